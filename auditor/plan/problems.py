"""What is wrong with a text that cannot be used: one shape for malformed plans and malformed rules alike."""

from __future__ import annotations

from msgspec import Struct

from auditor.plan.place import Path, Place


class Problem(Struct, frozen=True):
    """One thing that has to be mended before the text can be used."""

    message: str
    """One or two plain sentences: what is wrong, and what was expected."""

    path: Path = ()
    """The value it concerns; empty for the document as a whole."""

    place: Place | None = None
    """Where in the text; None where no place can be given."""

    suggestion: str | None = None
    """What to write or do instead."""

    at_key: bool = False
    """Whether it is the key at that path that is wrong, rather than its value."""


class Unreadable(Exception):
    """The text cannot be used. `problems` says why; there is at least one, in the order of the text."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems
