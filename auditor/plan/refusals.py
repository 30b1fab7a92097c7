"""The schema's complaints, put into plain words with a place and a suggestion each."""

from __future__ import annotations

from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.values import listed
from auditor.plan.yaml_text import Document

Model = TypeVar("Model", bound=BaseModel)

MOST_TOLD = 100
"""Complaints about one part that are put into words."""

MEANT = {
    "capacitors": ("filter_capacitors",),
    "electrolytics": ("filter_capacitors",),
    "value": ("capacitance",),
    "rated_voltage": ("working_voltage",),
    "voltage": ("working_voltage", "rated_voltage"),
    "voltage_rating": ("working_voltage", "rated_voltage"),
    "power": ("rated_power",),
    "watts": ("rated_power", "power"),
    "current": ("rated_current",),
    "tap": ("mains_tap",),
    "voltage_selector": ("mains_tap",),
}
"""What people write for a key that is called otherwise. Its spelling may be nearer to a key that means another thing: the
rated voltage of a capacitor is its working voltage, and not the peak that it meets."""

PLAIN = {
    "missing": "{key} is missing",
    "model_type": "expected keys and values under {key}",
    "model_attributes_type": "expected keys and values under {key}",
    "tuple_type": "expected a list here",
    "list_type": "expected a list here",
    "dict_type": "expected a mapping here",
}
READ_APART: dict[Path, tuple[str, ...]] = {("bench",): ("chain",), ("stop",): ("then",)}
"""Keys of a part of a plan that are read by themselves, so that the model of the part does not have them."""
NO_KEYS = frozenset({"model_type", "model_attributes_type"})
"""Complaints about a part that is written as one word."""


def mapping_in(document: Document, parts: str) -> dict[Any, Any]:
    """The keys and values of a whole file. Raises Unreadable, saying which parts it has, where it holds something else."""
    if not isinstance(document.data, dict):
        raise Unreadable((Problem(parts, place=document.place(())),))
    return document.data


def fitting(data: dict[Any, Any], model: type[Model], document: Document) -> Model:
    """A whole file as its schema reads it. Raises Unreadable with every complaint and its place."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise Unreadable(tuple(map(document.placed, refusals(error, model, ())))) from None


def refusals(error: ValidationError, model: type[BaseModel], path: Path) -> list[Problem]:
    """One problem for each complaint, its path beginning at `path`."""
    problems = []
    for detail in error.errors(include_url=False, include_input=False)[:MOST_TOLD]:
        where = tuple(detail["loc"])
        key = str(where[-1]) if where else ""
        named = next((f"`{part}`" for part in reversed(path + where) if isinstance(part, str)), "it")
        if detail["type"] == "extra_forbidden":
            known = _keys_at(model, where[:-1]) + READ_APART.get(path + where[:-1], ())
            guess = next((meant for meant in MEANT.get(key.lower(), ()) if meant in known), None) or nearest(key, known)
            message = f"unknown key `{key}`" + (f"; known here are {listed(known)}" if known else "")
            problems.append(Problem(message, path + where, None, guess and f"write `{guess}:`", True))
        else:
            message = PLAIN.get(detail["type"], detail["msg"]).replace("{key}", named)
            if detail["type"] in NO_KEYS and len(path + where) > 1 and (known := _keys_at(model, where)):
                message += f"; known here are {listed(known)}"
            suggestion = detail.get("ctx", {}).get("suggestion")
            at = path + (where[:-1] if detail["type"] == "missing" else where)
            problems.append(Problem(message, at, None, suggestion, detail["type"] == "missing"))
    return problems


def _keys_at(model: type[BaseModel], where: tuple[str | int, ...]) -> tuple[str, ...]:
    """The keys that the part at this place may have."""
    here: Any = model
    free = False  # whether the next part is a key that the author chooses
    for part in where:
        if isinstance(part, int) or free:
            free = False
            continue
        fields = here.model_fields
        name = next((n for n, f in fields.items() if part in (n, f.alias)), None)
        found = _model_in(fields[name].annotation) if name else None
        if name is None or found is None:
            return ()
        here, free = found, get_origin(fields[name].annotation) is dict
    return tuple(f.alias or n for n, f in here.model_fields.items())


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((m for m in map(_model_in, get_args(annotation)) if m), None)
