"""Words set to a width, and colour where a person looks on. Colour supports and never carries meaning."""

from __future__ import annotations

import textwrap

from msgspec import Struct

COLOURS = {"DANGER": "196", "WARNING": "208", "CAUTION": "220", "NOTICE": "33"}
"""The safety colours of ANSI Z535.1 (red, orange, yellow, blue) in the 256-colour palette of terminals."""


class Style(Struct, frozen=True):
    """How to set text: the width in columns, and whether colour may be used."""

    width: int = 88
    colour: bool = False

    def signal(self, word: str, text: str) -> str:
        """Text in the colour of a signal word."""
        return f"\x1b[1;38;5;{COLOURS[word]}m{text}\x1b[0m" if self.colour else text

    def strong(self, text: str) -> str:
        return f"\x1b[1m{text}\x1b[0m" if self.colour else text

    def faint(self, text: str) -> str:
        return f"\x1b[2m{text}\x1b[0m" if self.colour else text

    def wrapped(self, text: str, *, first: str = "", rest: str | None = None) -> str:
        """Text broken to the width, its lines beginning with `first` and then with `rest` (as much blank)."""
        rest = " " * len(first) if rest is None else rest
        return textwrap.fill(shown(text), self.width, initial_indent=first, subsequent_indent=rest,
                             break_long_words=False, break_on_hyphens=False)


def shown(text: str) -> str:
    """Text out of a plan without characters that a terminal would obey."""
    return "".join(c if c.isprintable() or c == " " else "?" for c in text.replace("\n", " "))
