"""What a name stands for: a truth, a number of some dimension, or one of several words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from msgspec import Struct

from auditor.logic.dimension import Dimension

_LONGEST_COMPARED = 100  # a longer name resembles nothing, and comparing it takes long


class TruthKind(Struct, frozen=True):
    """True, false, or not stated."""

    def __str__(self) -> str:
        return "true or false"


class NumberKind(Struct, frozen=True):
    """A range of numbers of one dimension."""

    dimension: Dimension

    def __str__(self) -> str:
        return str(self.dimension)


class WordKind(Struct, frozen=True):
    """One of a few words, which are the only ones that the fact can be."""

    words: tuple[str, ...]

    def __str__(self) -> str:
        return "a word"


Kind = TruthKind | NumberKind | WordKind

Vocabulary = Mapping[str, Kind]
"""The facts that may be read, by name: dotted, lower-case, ASCII, such as `set.rated_voltage`."""

TRUTH = TruthKind()


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like a misspelt one, or the only one that ends in it (`power` for `set.power`)."""
    if len(word) > _LONGEST_COMPARED:
        return None
    words = list(known)
    endings = [candidate for candidate in words if candidate.endswith(f".{word}")]
    if len(endings) == 1:
        return endings[0]
    return next(iter(get_close_matches(word, words, 1)), None)
