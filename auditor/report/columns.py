"""Tables that keep to a width: what finds no room in a row is said below it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from msgspec import Struct

T = TypeVar("T")
BLANK = "-"


class Column(Struct, Generic[T], frozen=True):
    """A column: its heading, what stands in it, and how that is said below the row where it finds no room."""

    heading: str
    cell: Callable[[T], str]
    below: str = "{}"


class Table(Struct, Generic[T], frozen=True):
    """The columns that find room, how wide each is, and those that do not."""

    columns: tuple[Column[T], ...]
    widths: tuple[int, ...]
    left_out: tuple[Column[T], ...]

    def heading(self) -> str:
        return self._line([column.heading for column in self.columns])

    def line(self, row: T) -> str:
        return self._line([column.cell(row) for column in self.columns])

    def below(self, row: T) -> tuple[str, ...]:
        """What found no room in the row, in words."""
        cells = ((column, column.cell(row)) for column in self.left_out)
        return tuple(column.below.format(cell) for column, cell in cells if cell != BLANK)

    def _line(self, cells: Sequence[str]) -> str:
        return "  ".join(cell.ljust(width) for cell, width in zip(cells, self.widths, strict=True)).rstrip()


def fitted(columns: Sequence[Column[T]], always: int, rows: Sequence[T], width: int) -> Table[T]:
    """As many columns as fit into the width, the first `always` of them in any case. An empty column is left out."""
    chosen: list[Column[T]] = []
    widths: list[int] = []
    left_out: list[Column[T]] = []
    for place, column in enumerate(columns):
        cells = [column.cell(row) for row in rows]
        wide = max(map(len, (column.heading, *cells)))
        fits = sum(widths) + 2 * len(widths) + wide <= width
        if place < always or (fits and any(cell != BLANK for cell in cells)):
            chosen.append(column)
            widths.append(wide)
        else:
            left_out.append(column)
    return Table(tuple(chosen), tuple(widths), tuple(left_out))
