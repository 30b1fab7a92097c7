"""A plan as read: its parts, the steps one by one, and where each stands in the text."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from msgspec import Struct, field

from auditor.plan.card import Card, leads_somewhere
from auditor.plan.chain import DIALS, AcceptedRisk, Bench, Header, Mains, SignOff
from auditor.plan.equipment import Set
from auditor.plan.place import Path, Place
from auditor.plan.record import Record
from auditor.plan.steps import Step
from auditor.plan.yaml_text import Document


class Element(Struct, frozen=True):
    """One element of the chain: its kind, what is stated of it, and its place in the list."""

    kind: str
    record: Record
    index: int


class Source(Struct, frozen=True):
    """The text of a plan and the way back from a path in the tidied plan to a place in that text."""

    document: Document
    data: Any
    written: dict[Path, Path] = field(default_factory=dict)
    card: Card | None = None

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Where this stands in the text; what only the card says stands where the card is named."""
        if self.card is not None and not self.says_itself(path) and self.card.states(path):
            return self.document.place(("card",))
        return self.document.place(self.as_written(path), key=key)

    def as_written(self, path: Path) -> Path:
        """The path with the spelling that the author used."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.written:
                return self.written[path[:end]] + path[end:]
        return path

    def states(self, path: Path) -> bool:
        """Whether the plan or its card says anything at this path."""
        return self.says_itself(path) or (self.card is not None and self.card.states(path))

    def says_itself(self, path: Path) -> bool:
        """Whether the plan says anything at this path, apart from its card."""
        return leads_somewhere(self.data, path)


class Plan(Struct, frozen=True, dict=True):
    """A procedure, read and checked, with its staged steps expanded.

    stop_then, every `otherwise`: the steps of the branches. `None` where the plan has no such part.
    """

    source: Source
    header: Header
    mains: Mains
    set: Set
    bench: Bench
    chain: tuple[Element, ...]
    steps: tuple[Step, ...]
    stop_when: tuple[str, ...]
    stop_then: tuple[Step, ...]
    stop_again: str | None
    accepted_risks: tuple[AcceptedRisk, ...]
    signed_off: SignOff | None = None

    @cached_property
    def elements(self) -> dict[str, Element]:
        """The first element of each kind in the chain."""
        first: dict[str, Element] = {}
        for element in self.chain:
            first.setdefault(element.kind, element)
        return first

    def has(self, kind: str) -> bool:
        return kind in self.elements

    def record(self, kind: str) -> Any:
        """What is stated of the first element of this kind, or None where the chain has none."""
        element = self.elements.get(kind)
        return element.record if element else None

    @property
    def dial(self) -> str | None:
        """The kind of the element that has the dial: the first of them, or None where the chain has none."""
        return next((element.kind for element in self.chain if element.kind in DIALS), None)

    def position(self, kind: str) -> int | None:
        """Its place in the chain counted from the wall, or None."""
        element = self.elements.get(kind)
        return element.index if element else None
