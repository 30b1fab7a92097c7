"""Lines and columns of a text, which may be a block on a page and then counts as the page does."""

from __future__ import annotations

import re
from bisect import bisect_right

from msgspec import Struct, field

from auditor.plan.place import Place

LINE_BREAK = re.compile(r"\r\n|\r|\n")
"""The line breaks of YAML 1.2.2, section 5.4, which are those of CommonMark too."""


class Lines(Struct):
    """A text and where its lines begin, on the page that it was taken from."""

    text: str
    first_line: int = 1
    first_column: int | tuple[int, ...] = 1
    """The column in which every line begins on its page: one for all lines, or one for each."""
    _starts: list[int] = field(default_factory=list)

    @property
    def starts(self) -> list[int]:
        """Index of the first character of each line; found when first asked for."""
        if not self._starts:
            self._starts = [0, *(found.end() for found in LINE_BREAK.finditer(self.text))]
        return self._starts

    def place(self, start: int, end: int) -> Place:
        """The place of the characters from index `start` to just before index `end`."""
        return Place(*self._at(start), *self._at(end))

    def spot(self, index: int) -> Place:
        """The place of the one character at an index; empty at the end of a line or of the text."""
        index = min(index, len(self.text))
        one = self.text[index : index + 1]
        return self.place(index, index + (one not in ("", "\r", "\n")))

    def covered(self, place: Place) -> str:
        """The whole lines of the text that a place touches, without the last line break."""
        first = max(place.line - self.first_line, 0)
        last = min(place.end_line - self.first_line, len(self.starts) - 1)
        if place.end_line > place.line and place.end_column <= self._column(last):
            last -= 1
        end = self.starts[last + 1] if last + 1 < len(self.starts) else len(self.text)
        return self.text[self.starts[first] : end].rstrip("\r\n") if first <= last else ""

    def _column(self, line: int) -> int:
        return self.first_column if isinstance(self.first_column, int) else self.first_column[line]

    def _at(self, index: int) -> tuple[int, int]:
        line = bisect_right(self.starts, index) - 1
        return self.first_line + line, self._column(line) + index - self.starts[line]
