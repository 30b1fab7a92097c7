"""Where something stands: a place in a text, and the path to a value in a document."""

from __future__ import annotations

from typing import TypeAlias

from msgspec import Struct

Data: TypeAlias = str | list["Data"] | dict[str, "Data"] | None
"""A document as plain data. Every scalar is text, or None where nothing is written."""

Path = tuple[str | int, ...]
"""The keys and the list positions (counted from 0) that lead from the whole document to one value in it."""


class Place(Struct, frozen=True, order=True):
    """A stretch of text, from its first character to just after its last.

    Lines and columns count from 1. Columns count code points, so a tab or an accented letter is one. An empty
    stretch, whose end is its start, marks a spot between two characters.
    """

    line: int
    column: int
    end_line: int
    end_column: int


def show_path(path: Path) -> str:
    """The path as one short text, for messages; the whole document has the empty path.

    >>> show_path(("steps", 2, "raise", "to"))
    'steps[2].raise.to'
    """
    shown = ""
    for part in path:
        shown += f"[{part}]" if isinstance(part, int) else f".{part}" if shown else part
    return shown
