"""Quantities as people write them: `60 V`, `35..50 W`, `20 kohm..`, `230 V +- 10 %`, `2 h 30 min`."""

from __future__ import annotations

import re
from decimal import Decimal
from difflib import get_close_matches
from itertools import pairwise
from math import inf, isinf

from auditor.logic.dimension import DIMENSIONS, Dimension
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.units import PLAIN, SHOWN, UNITS, Unit

__all__ = ["DIMENSIONS", "Dimension", "QuantityError", "format_quantity", "parse_quantity"]

LONGEST = 64
"""Characters that a quantity may have."""

LARGEST_EXPONENT = 30
"""The largest power of ten that may be written after `e`, up or down."""

NOT_STATED = "not stated"

_EXAMPLES = {
    "voltage": "60 V",
    "current": "0.5 A",
    "power": "35..50 W",
    "resistance": "1.5 kohm",
    "capacitance": "40 uF",
    "time": "10 min",
    "frequency": "60 Hz",
    "temperature": "25 degC",
    "length": "3 mm",
    "energy": "2 J",
    "charge": "5 mC",
    "area": "0.75 mm2",
    "number": "0.5",
}
_EXAMPLE = {DIMENSIONS[name]: example for name, example in _EXAMPLES.items()}

_SPREAD = re.compile(r"\+-|\+/-|±")
_COMMA = re.compile(r"[0-9],[0-9]")
_ODD = re.compile(r"[^\x20-\x7eΩ\u2126µ\u03bc°±]")
_TERM = re.compile(r"([0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]+)?)\s*([^\s0-9.,+-][^\s.,+-]*)?\s*")
_POWERLESS_ZERO = re.compile(r"0[0-9]")

_Scalar = tuple[Decimal, Unit | None]


class QuantityError(ValueError):
    """A text that is no such quantity: `message` in plain words, `suggestion` what to write."""

    def __init__(self, message: str, suggestion: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.suggestion = suggestion


def parse_quantity(text: str, dimension: Dimension) -> Interval:
    """The range that a text states, in base units: V, A, W, ohm, F, s, Hz, degC, m, J, C, m2; 1 % is 0.01.

    A side left open is infinite: `..2 mA` reaches down without end. Raises QuantityError.
    """
    _check_characters(text)
    if ".." in text:
        return _parse_range(text, dimension)
    if _SPREAD.search(text):
        return _parse_spread(text, dimension)
    value, unit = _parse_scalar(text, text, dimension)
    return Interval.exactly(_in_base_units(value, _need(unit, text, dimension)))


def _check_characters(text: str) -> None:
    if len(text) > LONGEST:
        raise QuantityError(f"a quantity is at most {LONGEST} characters long; this has {len(text)}")
    if odd := _ODD.search(text):
        raise QuantityError(f"the character {odd.group()!a} has no place in a quantity: write plain digits and units")
    if _COMMA.search(text):
        thousands = re.search(r",[0-9]{3}(?![0-9])", text)
        raise QuantityError(
            "a number has a decimal point and no comma",
            None if thousands else _COMMA.sub(_with_point, text.strip()),
        )


def _with_point(digits: re.Match[str]) -> str:
    return digits.group().replace(",", ".")


def _parse_range(text: str, dimension: Dimension) -> Interval:
    left, right = (side.strip() for side in text.split("..", 1))
    if not left and not right:
        raise QuantityError("a range needs at least one end; leave the line out if the value is not known")
    low = _parse_scalar(left, text, dimension) if left else None
    high = _parse_scalar(right, text, dimension) if right else None
    if low and high and low[1] and high[1] is None:
        raise QuantityError("the unit stands after the range", f"{_number(low[0])}..{right} {_spelled(low[1])}")
    unit = high[1] if high else None
    lowest = _in_base_units(low[0], _need(low[1] or unit, text, dimension)) if low else -inf
    highest = _in_base_units(high[0], _need(unit, text, dimension)) if high else inf
    if lowest > highest:
        raise QuantityError(f"`{text.strip()}` runs backwards: the lower end comes first", _turned(left, right, low, high))
    return Interval(lowest, highest)


def _turned(left: str, right: str, low: _Scalar | None, high: _Scalar | None) -> str | None:
    if low is None or high is None:
        return None
    if low[1] is None and high[1] is not None:
        return f"{_number(high[0])}..{left} {_spelled(high[1])}".strip()
    return f"{right}..{left}"


def _parse_spread(text: str, dimension: Dimension) -> Interval:
    middle, spread, *more = _SPREAD.split(text)
    if more:
        raise QuantityError("a quantity has one spread, such as `230 V +- 10 %`")
    relative = spread.strip().endswith("%") and dimension != PLAIN.dimension
    width, width_unit = _parse_scalar(spread, text, PLAIN.dimension if relative else dimension)
    centre, centre_unit = _parse_scalar(middle, text, dimension)
    if not relative:
        centre_unit, width_unit = centre_unit or width_unit, width_unit or centre_unit
    centre *= _need(centre_unit, text, dimension).scale
    width *= _need(width_unit, text, PLAIN.dimension if relative else dimension).scale
    if width < 0:
        raise QuantityError("a spread is not negative")
    if relative:
        width *= abs(centre)
    return Interval(float(centre - width), float(centre + width))


def _parse_scalar(part: str, text: str, dimension: Dimension) -> _Scalar:
    """A number with its unit, if it has one; a time may be a sum of several, such as `2 h 30 min`.

    `text` is the whole of which it is a part.
    """
    signed = part.strip()
    body = signed.removeprefix("-").lstrip()
    terms = list(_TERM.finditer(body))
    if not terms or "".join(term.group() for term in terms) != body:
        found = f"`{signed}` cannot be read as {dimension}" if signed else f"{dimension} is missing"
        raise QuantityError(f"{found}; write it like `{_example(dimension)}`")
    scalars = [(_decimal(term[1], text), _unit(term[2], text, dimension)) for term in terms]
    value, unit = scalars[0] if len(scalars) == 1 else _sum_of_times(scalars, text, dimension)
    return (-value if signed.startswith("-") else value), unit


def _sum_of_times(scalars: list[_Scalar], text: str, dimension: Dimension) -> _Scalar:
    parts = [(value, _need(unit, text, dimension).scale) for value, unit in scalars]
    falling = all(larger > smaller for (_, larger), (_, smaller) in pairwise(parts))
    if dimension != DIMENSIONS["time"] or not falling:
        raise QuantityError(f"`{text.strip()}` states more than one number; write {dimension} like `{_example(dimension)}`")
    return sum((value * scale for value, scale in parts), Decimal(0)), UNITS["s"]


def _decimal(digits: str, text: str) -> Decimal:
    if _POWERLESS_ZERO.match(digits):
        raise QuantityError(f"the number `{digits}` has a leading zero", text.strip().replace(digits, digits.lstrip("0")))
    exponent = digits.partition("e")[2]
    if exponent and abs(int(exponent)) > LARGEST_EXPONENT:
        raise QuantityError(f"the number `{digits}` is beyond anything met here: its exponent is at most {LARGEST_EXPONENT}")
    return Decimal(digits)


def _unit(spelling: str | None, text: str, dimension: Dimension) -> Unit | None:
    if spelling is None:
        return None
    unit = UNITS.get(spelling)
    if unit is None:
        nearest = _nearest_unit(spelling, dimension)
        raise QuantityError(
            f"no unit is spelled `{spelling}`; write {dimension} like `{_example(dimension)}`",
            text.strip().replace(spelling, nearest) if nearest else None,
        )
    if unit.dimension != dimension:
        raise QuantityError(
            f"`{text.strip()}` is {unit.dimension}; here {dimension} is expected, such as `{_example(dimension)}`"
        )
    return unit


def _nearest_unit(spelling: str, dimension: Dimension) -> str | None:
    known = [unit.spelling for unit in UNITS.values() if unit.dimension == dimension and unit.spelling.isascii()]
    same_letters = [unit for unit in known if unit.lower() == spelling.lower()]
    if same_letters:  # `MA` may mean mA as well as MA: suggest only what cannot be mistaken
        return same_letters[0] if len(same_letters) == 1 else None
    return next(iter(get_close_matches(spelling, known, 1)), None)


def _need(unit: Unit | None, text: str, dimension: Dimension) -> Unit:
    if unit is None and dimension == PLAIN.dimension:
        return PLAIN
    if unit is None:
        example = _EXAMPLE[dimension].split()[-1] if dimension in _EXAMPLE else dimension.symbol
        stated = text.strip()
        suggestion = f"{stated[:-2].rstrip()} {example}.." if stated.endswith("..") else f"{stated} {example}"
        raise QuantityError(f"write `{suggestion}`: {dimension} needs its unit", suggestion)
    return unit


def _in_base_units(value: Decimal, unit: Unit) -> float:
    return float(value * unit.scale)  # in decimal, so that 0.12 kV is 120 V to the last bit


def _example(dimension: Dimension) -> str:
    return _EXAMPLE.get(dimension, dimension.symbol)


def _spelled(unit: Unit | None) -> str:
    return unit.spelling if unit else ""


def _number(value: Decimal) -> str:
    return format(value, "f")


def format_quantity(interval: Interval, dimension: Dimension) -> str:
    """The shortest form, to four significant digits: `60 V`, `35..50 W`, `20 kohm..`, `..0.5 mA`.

    `not stated` for ANYTHING. For any other interval, of a dimension that has a name and of a size met in
    practice, the text is a quantity again.
    """
    if interval == ANYTHING:
        return NOT_STATED
    units = SHOWN.get(dimension) or (Unit(dimension.symbol, dimension, Decimal(1)),)
    ends = [[_rounded(end, unit) for end in (interval.low, interval.high)] for unit in units]
    best = min(range(len(units)), key=lambda order: sum(map(len, ends[order])))
    (low, high), unit = ends[best], units[best].spelling
    if not high:
        return f"{low} {unit}".rstrip() + ".."
    return f"{low if low == high else f'{low}..{high}'} {unit}".rstrip()


def _rounded(value: float, unit: Unit) -> str:
    """The value in that unit to four significant digits, without an exponent; empty for an open end."""
    if isinf(value):
        return ""
    text = format(Decimal(f"{Decimal(value) / unit.scale:.3e}"), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
