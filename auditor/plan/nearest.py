"""The known word that somebody most likely meant."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

CLOSE_ENOUGH = 0.6
"""Share of the letters that must agree, 0 to 1; chosen here: it forgives a typing error or a wrong ending."""

LONGEST = 40
"""Longest word, in letters, that is compared at all: nobody misspells a key at greater length."""


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The closest of the known words, whatever the case and whichever of `_`, `-` and blank joins its parts.

    None if none is close. Of two that are equally close, the one that comes first in the alphabet.

    >>> nearest("chasis", ["chassis", "common"]), nearest("Rated power", ["rated_power"])
    ('chassis', 'rated_power')
    >>> nearest("frequency", ["chassis", "common"]) is None
    True
    """
    if len(word) > LONGEST:
        return None
    by_form: dict[str, str] = {}
    for candidate in sorted(known, reverse=True):
        by_form[_form(candidate)] = candidate
    close = get_close_matches(_form(word), sorted(by_form), n=1, cutoff=CLOSE_ENOUGH)
    return by_form[close[0]] if close else None


def _form(word: str) -> str:
    return word.lower().replace("-", " ").replace("_", " ")
