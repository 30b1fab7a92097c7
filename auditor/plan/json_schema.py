"""JSON Schema (draft 2020-12) of the parts of a file, out of the models that read them.

An editor sees the document as YAML gives it, so a number without a unit, `yes` and `2` can be numbers and truth values
there. Every key can be left without a value, or be `unknown`: not stated.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from itertools import product
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.units import UNITS
from auditor.plan import steps, values
from auditor.plan.record import Record
from auditor.plan.words import SAME_WORD, UNKNOWN

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]
Meanings = Mapping[str, Mapping[str, str]]

UNITS_IN_WORDS = {
    "voltage": "volts (V)", "current": "amperes (A)", "power": "watts or volt-amperes (W, VA)", "resistance": "ohms (ohm)",
    "capacitance": "farads (F)", "time": "seconds, minutes, hours or days (s, min, h, d)", "frequency": "hertz (Hz)",
    "temperature": "degrees Celsius (degC)",
}
NOT_STATED: Schema = {"$ref": "#/$defs/not_stated"}
TEXT: Schema = {"type": ["string", "number", "boolean"]}
SAID: Schema = {**TEXT, "pattern": r"\S"}
YES_NO: Schema = {"enum": ["yes", "no", True, False, "true", "false", "on", "off"]}
DAY: Schema = {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "format": "date", "examples": ["2027-03-01"]}
OTHER_TYPES: dict[str, list[Any]] = {"on": [True], "yes": [True], "off": [False], "no": [False]}
"""What a word is to a reader of YAML 1.1, to which many editors still keep."""

_NUMBER = r"(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:e[+-]?[0-9]+)?"


def quantity(kind: str) -> Schema:
    """A quantity of one kind, as logic.quantity reads it: `60 V`, `35..50 W`, `20 kohm..`, `..2 mA`, `230 V +- 10 %`."""
    return {
        "type": "string", "maxLength": 64, "pattern": quantity_pattern(kind),
        "description": f"A {kind} in {UNITS_IN_WORDS[kind]}, its unit beside the number; or a range: `a..b`, `a..` and up, "
                       "`..b` and down, `a +- b`.",
    }


def quantity_pattern(kind: str) -> str:
    """The regular expression of such a quantity, without what needs arithmetic: which end is lower, what is above zero."""
    spellings = sorted((unit.spelling for unit in UNITS.values() if unit.dimension == DIMENSIONS[kind]),
                       key=lambda spelling: (-len(spelling), spelling))
    unit = f"(?:{'|'.join(map(re.escape, spellings))})"
    one = rf"{_NUMBER}\s*{unit}"
    if kind == "time":
        one = rf"{one}(?:\s+{one})*"
    spread = rf"{one}\s*(?:\+-|\+/-|±)\s*(?:{one}|{_NUMBER}|{_NUMBER}\s*%)|{_NUMBER}\s*(?:\+-|\+/-|±)\s*{one}"
    ranged = rf"{one}\s*\.\.|(?:{one}|{_NUMBER})?\s*\.\.\s*{one}"
    return rf"^\s*(?:{one}|{ranged}|{spread})\s*$"


PLAIN_NUMBER: Schema = {"anyOf": [
    {"type": "number"},
    {"type": "string", "pattern": rf"^\s*(?:{_NUMBER})?\s*%?\s*(?:\.\.\s*(?:{_NUMBER}\s*%?)?)?\s*$", "minLength": 1}]}
"""A number that needs no unit, or a range of such."""


def words(options: Iterable[str]) -> Schema:
    """One of these words, the preferred spelling first, then the others that mean the same."""
    options = tuple(options)
    others = [same for option in options for same in same_words(option)]
    typed = [other for option in options for other in OTHER_TYPES.get(option, [int(option)] if option.isdigit() else [])]
    return {"enum": [*options, *dict.fromkeys(o for o in others if o not in options), *typed]}


def same_words(text: str, joint: str = " ") -> tuple[str, ...]:
    """The text in the other spellings of the trade: `tube` for `valve`, `earth` for `ground`."""
    parts = text.split(joint)
    choices = [(part, *(other for other, preferred in SAME_WORD.items() if preferred == part),
                *(["HT"] if part == "B+" else [])) for part in parts]
    spelled = (joint.join(chosen) for chosen in product(*choices))
    whole = (other.upper() for other, preferred in SAME_WORD.items() if preferred == text)
    return tuple(dict.fromkeys(other for other in (*spelled, *whole) if other != text))


def _one_or_more(item: Schema) -> Schema:
    return {"anyOf": [item, {"type": "array", "items": item}]}


RESISTOR: Schema = {"type": "string", "examples": ["10 kohm 10 W"],
                    "pattern": r"^\s*\S+\s*\S*?(?:ohms?|Ω)(?:[\s,]+.+)?\s*$",
                    "description": "A resistor: resistance in ohms (ohm), then power in watts (W)."}
UNTIL: Schema = {"type": "string", "pattern": r"[\s\S]+?,?\s+at most\s+[\s\S]+",
                 "examples": ["leakage below 1 mA, at most 4 h"]}
EXPECTATION: Schema = {"anyOf": [
    {"type": "string", "minLength": 1, "not": {"pattern": r"^\s*([Yy]es|[Nn]o|[Oo]n|[Oo]ff|[Tt]rue|[Ff]alse)?\s*$"},
     "examples": ["no crack or nick", "10 Mohm..", "predicted"]},
    {"type": "number"},
    {"type": "object", "additionalProperties": TEXT, "description": "Several readings, each by its name."}]}

BY_FUNCTION: dict[Callable[..., Any], Schema] = {
    values._yes_or_no: YES_NO, values._plain_text: TEXT, values._some_words: SAID, values._texts: _one_or_more(TEXT),
    values._date: DAY,
    steps._resistor: RESISTOR, steps._until: UNTIL, steps._expectation: EXPECTATION,
    steps._anything: {"anyOf": [{"enum": ["stop"]}, {"$ref": "#/$defs/branch"}]},
}


def described(schema: Schema, meaning: str | None) -> Schema:
    """The schema of a value that may be left unstated, with what its key means."""
    own = {key: value for key, value in schema.items() if key != "description"}
    of_its_own = schema.get("description") if meaning is None or "properties" not in schema else None
    told = " ".join(filter(None, (meaning, of_its_own)))
    if "$ref" in own or "enum" in own:
        own = {"anyOf": [own, NOT_STATED]}
    elif "anyOf" in own:
        own = {**own, "anyOf": [*own["anyOf"], NOT_STATED]}
    else:
        inner = {key: value for key, value in own.items() if key != "examples"}
        own = {"anyOf": [inner, NOT_STATED], **({"examples": own["examples"]} if "examples" in own else {})}
    return {"description": told, **own} if told else own


class Definitions:
    """The schemas of records, each defined once under `$defs`.

    meanings: what each key means, by record and key. variants: for a key of a record, or with an empty key for the
    record itself wherever it stands, what may stand there as well.
    """

    def __init__(self, meanings: Meanings, variants: Mapping[tuple[str, str], Schema] | None = None) -> None:
        self.found: dict[str, Schema] = {"not_stated": {"enum": [None, UNKNOWN], "description": "Not stated."}}
        self._meanings = meanings
        self._variants = variants or {}

    def record(self, model: type[Record]) -> Schema:
        """A reference to the schema of a record."""
        name = model.__name__
        if name not in self.found:
            self.found[name] = {}
            self.found[name] = self.mapping(model)
        told = {"$ref": f"#/$defs/{name}"}
        return {"anyOf": [self._variants[name, ""], told]} if (name, "") in self._variants else told

    def mapping(self, model: type[Record], more: Mapping[str, Schema] | None = None) -> Schema:
        """The schema of a record itself, with further keys where it is read in parts."""
        fields = {info.alias or name: info for name, info in model.model_fields.items()}
        about = (model.__doc__ or "").strip().splitlines()
        return {
            "type": "object",
            **({"description": about[0]} if about else {}),
            **keyed({**{key: self.field(model.__name__, key, info) for key, info in fields.items()}, **(more or {})}),
            **({"required": needed} if (needed := [k for k, info in fields.items() if info.is_required()]) else {}),
        }

    def field(self, owner: str, key: str, info: FieldInfo) -> Schema:
        """The schema of one key."""
        schema = self.value(info.annotation, info.metadata)
        if (owner, key) in self._variants:
            schema = {"anyOf": [schema, self._variants[owner, key]]}
        told = described(schema, self._meanings.get(owner, {}).get(key) or info.description)
        default = None if info.is_required() else info.get_default(call_default_factory=True)
        if isinstance(default, bool):
            return {**told, "default": "yes" if default else "no"}
        return {**told, "default": default} if isinstance(default, str) else told

    def quantity(self, kind: str) -> Schema:
        """A reference to the schema of a quantity of one kind."""
        self.found.setdefault(kind, quantity(kind))
        return {"$ref": f"#/$defs/{kind}"}

    def value(self, annotation: Any, metadata: Iterable[Any] = ()) -> Schema:
        """The schema of a value of this annotation."""
        for note in metadata:
            if (found := self._noted(note)) is not None:
                return found
        if get_origin(annotation) is Annotated:
            inner, *notes = get_args(annotation)
            return self.value(inner, notes)
        if get_origin(annotation) in (Union, UnionType):
            return self.value(next(each for each in get_args(annotation) if each is not type(None)))
        if get_origin(annotation) is tuple:
            return {"type": "array", "items": self.value(get_args(annotation)[0])}
        if get_origin(annotation) is dict:
            return {"type": "object", "additionalProperties": described(self.value(get_args(annotation)[1]), None)}
        if isinstance(annotation, type) and issubclass(annotation, Record):
            return self.record(annotation)
        return {}

    def _noted(self, note: Any) -> Schema | None:
        match note:
            case values.ReadBy(function=function):
                return BY_FUNCTION[function]
            case values.OneOrSeveral(most=most):
                one = self._quantity(note)
                several = {"type": "array", "items": one["anyOf"][0], "minItems": 2, "maxItems": most}
                return {**one, "anyOf": [*one["anyOf"], several],
                        "description": f"{one['description']} Or a list of two to {most}."}
            case values.QuantityOrNone():
                one = self._quantity(note)
                return {**one, "anyOf": [*one["anyOf"], {"enum": ["none"]}],
                        "description": f"{one['description']} Or `none`."}
            case values.Quantity():
                return self._quantity(note)
            case values.Words(words=options):
                return {"anyOf": [{"enum": ["none"]}, words(options), {"type": "array", "items": words(options)}]}
            case values.Word(words=options):
                return words(options)
        return None

    def _quantity(self, note: values.Quantity) -> Schema:
        return {"anyOf": [self.quantity(note.kind)], "examples": [note.example],
                "description": f"In {UNITS_IN_WORDS[note.kind]}, as in `{note.example}`, or a range."}


def keyed(properties: Mapping[str, Schema]) -> Schema:
    """These keys and no others; a key in another spelling of the trade is the same key."""
    others = {f"^(?:{'|'.join(map(re.escape, same))})$": schema for key, schema in properties.items()
              if (same := same_words(key, "_"))}
    return {"properties": dict(properties), **({"patternProperties": others} if others else {}),
            "additionalProperties": False}
