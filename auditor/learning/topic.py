"""What the files of `rules/learning/` hold: a hazard, a safeguard, a word of the trade."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from auditor.learning.taken_out import TAKEN_OUT
from auditor.plan.chain import ELEMENTS
from auditor.plan.record import Record
from auditor.plan.values import Names, Text, Word, Words
from auditor.rulebook.rule import HAZARDS
from auditor.whatif.world import PROTECTIONS

TABLES = ("lamps",)
"""Tables that can stand beside the text of a safeguard."""


class Hazard(Record):
    """A harm that rules stand against.

    also: other names. says: what it is. figures: sentences with numbers of the model, which stand in braces by their names
    (`figures.FIGURES`). safeguards: names of those that stand against it. example: the rule whose examples show it.
    """

    hazard: Annotated[str, Word(HAZARDS)]
    also: Names = ()
    says: Text
    figures: Names
    safeguards: Names
    example: Text
    sources: Names


class Played(Record):
    """What is tried on the model: a plan, as a change to a base plan like an example of a rule, and what is taken from it.

    plan_says: the plan in words. alone: the protection that is left when all others are taken away. taken_out: what alone is
    taken out of the whole plan.
    """

    plan: dict[str, Any] = Field(default={})
    plan_says: Text
    alone: Annotated[str, Word(PROTECTIONS)] | None = None
    taken_out: Annotated[str, Word(tuple(TAKEN_OUT))] | None = None


class Safeguard(Record):
    """Something that stands against harm.

    also: other names. elements: those of the chain that it is. says: what it is. contains, does_not_contain: sentences with
    numbers of the model, as in Hazard. works: how one knows that it works today. rules: those that ask for it. example: the
    one of them whose examples show it.
    """

    safeguard: Text
    also: Names = ()
    elements: Annotated[tuple[str, ...], Words(tuple(ELEMENTS))] = ()
    says: Text
    contains: Names
    does_not_contain: Names
    works: Text
    table: Annotated[str, Word(TABLES)] | None = None
    played: Played | None = None
    rules: Names
    example: Text
    sources: Names


class Term(Record):
    """A word of the trade. also: other words for the same. says: what is meant. see: what stands beside it."""

    word: Text
    also: Names = ()
    says: Text
    see: Names = ()
    sources: Names


class HazardFile(Record):
    """The hazards."""

    hazards: tuple[Hazard, ...]


class SafeguardFile(Record):
    """The safeguards."""

    safeguards: tuple[Safeguard, ...]


class WordFile(Record):
    """The words."""

    words: tuple[Term, ...]
