"""Collecting every problem of a plan while its parts are read one after the other."""

from __future__ import annotations

from typing import Any, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace
from pydantic import ValidationError

from auditor.plan.card import Card
from auditor.plan.place import Path
from auditor.plan.plan import Source
from auditor.plan.problems import Problem
from auditor.plan.record import Record
from auditor.plan.refusals import refusals

R = TypeVar("R", bound=Record)


class Reading(Struct):
    """A plan being read: where its parts stand, the problems found so far, and how many steps were read."""

    source: Source
    problems: list[Problem] = field(default_factory=list)
    steps: int = 0

    def refuse(self, message: str, path: Path, suggestion: str | None = None, *, at_key: bool = False) -> None:
        """Note a problem at this path."""
        self.problems.append(Problem(message, path, None, suggestion, at_key))

    def record(self, model: type[R], data: Any, path: Path) -> R | None:
        """The part as its schema reads it; None, with its problems noted, where it does not fit."""
        try:
            return model.model_validate(data)
        except ValidationError as error:
            self.problems.extend(refusals(error, model, path))
            return None

    def items(self, data: Any, path: Path) -> list[Any]:
        """The items of a list; none where nothing is stated."""
        if isinstance(data, list):
            return data
        if data is None:
            return []
        self.refuse("expected a list", path, "begin each item with `- `")
        return []

    def placed(self) -> tuple[Problem, ...]:
        """The problems in the order of the text, each with its place; one that comes from the card says where in it."""
        source = self.source
        found = [(p.place or source.place(p.path, key=p.at_key), p) for p in self.problems]
        return tuple(replace(p, message=p.message + _in_card(source.card, source, p.path), place=place)
                     for place, p in sorted(found, key=lambda each: each[0]))


def _in_card(card: Card | None, source: Source, path: Path) -> str:
    if card is None or source.says_itself(path) or not card.states(path):
        return ""
    return f" (in {card.file}, line {card.line(path)})"
