"""Plan data written out as YAML text, plainly or in another hand.

The data are what YAML would read: mappings, lists, and scalars as text. `as_text` writes them the way people do, one
line a step. `in_another_hand` writes the same data with other key orders, quotes, comments and spellings of units.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

PLAIN = re.compile(r"[A-Za-z0-9.][A-Za-z0-9 ._+/-]*")
QUANTITY = re.compile(r"(?P<numbers>[0-9.]*[0-9.]) (?P<unit>V|W|A|mA|ohm|kohm|Mohm|s|min|h)")
LARGER_OR_SMALLER = {
    "V": ("kV", "0.001"), "W": ("kW", "0.001"), "A": ("mA", "1000"), "mA": ("A", "0.001"), "ohm": ("kohm", "0.001"),
    "kohm": ("ohm", "1000"), "Mohm": ("kohm", "1000"), "min": ("s", "60"), "h": ("min", "60"), "s": ("ms", "1000"),
}
"""For each unit another one, and how many of the other make one of it."""

Number = Callable[[int], int]
"""From a bound to a number of choice from 0 up to just below it."""


def as_text(data: dict[str, Any]) -> str:
    """The plan as one would write it by hand."""
    return "".join(_part(key, value, _plain) for key, value in data.items())


def in_another_hand(data: dict[str, Any], number: Number) -> str:
    """The same plan as somebody else might write it; `number` makes every choice."""
    return "".join(_comment(number) + _part(key, value, _variously(number)) for key, value in shuffled(data, number))


def shuffled(data: dict[str, Any], number: Number) -> list[tuple[str, Any]]:
    """The entries of a mapping in an order of choice."""
    entries, order = list(data.items()), []
    while entries:
        order.append(entries.pop(number(len(entries))))
    return order


Hand = Callable[[Any], str]


def _part(key: str, value: Any, hand: Hand) -> str:
    if isinstance(value, dict) and value:
        lines = []
        for name, item in value.items():
            if isinstance(item, list) and item and name != "if":
                lines.append(f"  {name}:\n" + "".join(f"    - {hand(one)}\n" for one in item))
            else:
                lines.append(f"  {name}: {hand(item)}\n")
        return f"{key}:\n" + "".join(lines)
    if isinstance(value, list) and value:
        return f"{key}:\n" + "".join(f"  - {hand(item)}\n" for item in value)
    return f"{key}: {hand(value)}\n"


def _plain(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_plain(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_plain, value)) + "]"
    return value if PLAIN.fullmatch(value) and value == value.strip() else json.dumps(value)


def _variously(number: Number) -> Hand:
    def write(value: Any) -> str:
        space = " " * number(2)
        if isinstance(value, dict):
            return "{" + space + ", ".join(f"{key}: {write(item)}" for key, item in shuffled(value, number)) + space + "}"
        if isinstance(value, list):
            return "[" + space + f",{' ' * number(3)} ".join(map(write, value)) + space + "]"
        text = respelt(value) if number(3) == 2 else value
        style = number(3)
        return _plain(text) if style == 0 else json.dumps(text) if style == 1 else f"'{text}'"

    return write


def _comment(number: Number) -> str:
    return ("", "# checked twice\n", "\n", "# {not: data}, [nor this]\n\n")[number(4)]


def respelt(text: str) -> str:
    """The same quantity in another unit; any other text as it is.

    >>> respelt("120 V"), respelt("28..35 W"), respelt("..0.5 mA"), respelt("0.63 A slow")
    ('0.120 kV', '0.028..0.035 kW', '..0.0005 A', '0.63 A slow')
    """
    found = QUANTITY.fullmatch(text)
    if found is None:
        return text
    unit, factor = LARGER_OR_SMALLER[found["unit"]]
    ends = [f"{Decimal(end) * Decimal(factor):f}" if end else "" for end in found["numbers"].split("..")]
    return f"{'..'.join(ends)} {unit}"
