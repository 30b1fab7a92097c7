"""The kinds of value that a plan can hold: quantities with units, words from a list, yes or no, dates.

The reader hands over every scalar as text; these types decide what the text means, so that no habit of YAML
(`on`, `12:30`, `007`) can decide it first.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from math import inf
from typing import Annotated, Any

from msgspec import Struct
from pydantic import GetCoreSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from auditor.logic.interval import Interval
from auditor.logic.quantity import DIMENSIONS, QuantityError, parse_quantity
from auditor.plan.nearest import nearest
from auditor.plan.words import one_spelling

YES = frozenset({"yes", "true", "on"})
NO = frozenset({"no", "false", "off"})


def wrong(message: str, suggestion: str | None = None) -> PydanticCustomError:
    """A refusal in plain words, with what to write instead."""
    text = message.replace("{", "(").replace("}", ")")
    return PydanticCustomError("plan", text, {"suggestion": suggestion})


def text_of(value: Any, expected: str) -> str:
    """The text of a scalar, without blanks around it. Raises the refusal that says what was expected."""
    if not isinstance(value, str):
        kind = "a list" if isinstance(value, list) else "a mapping" if isinstance(value, dict) else "nothing"
        raise wrong(f"expected {expected}, found {kind}")
    return value.strip()


class _Validated(Struct, frozen=True):
    """Base of the annotations below: a value is what `read` makes of its text."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, value: Any) -> Any:
        raise NotImplementedError


class ReadBy(_Validated, frozen=True):
    """What a function makes of the text."""

    function: Callable[[Any], Any]

    def read(self, value: Any) -> Any:
        return self.function(value)


class Quantity(_Validated, frozen=True):
    """A number with a unit of one kind, or a range of such: `60 V`, `35..50 W`, `20 kohm..`, `..2 mA`.

    None of them is below zero, so `..2 mA` is 0 to 2 mA.
    """

    kind: str
    example: str

    def read(self, value: Any) -> Interval:
        if isinstance(value, Interval):
            return value
        text = text_of(value, f"a {self.kind} such as `{self.example}`")
        try:
            found = parse_quantity(text, DIMENSIONS[self.kind])
        except QuantityError as error:
            raise wrong(error.message, error.suggestion) from None
        if found.high < 0 or -inf < found.low < 0:
            raise wrong(f"`{text}` goes below zero; a {self.kind} is written by its size, such as `{self.example}`")
        return Interval(max(found.low, 0.0), found.high)


class QuantityAboveZero(Quantity, frozen=True):
    """Such a quantity of which zero is none: there are no mains of 0 V, nor is anything made for them."""

    def read(self, value: Any) -> Interval:
        found = super().read(value)
        if found.low <= 0.0:
            raise wrong(f"a {self.kind} here is above zero, from its lowest value on", f"as in `{self.example}`")
        return found


class QuantityNotZero(Quantity, frozen=True):
    """Such a quantity of something that is there: its size may not be known down to zero, but it is not zero."""

    def read(self, value: Any) -> Interval:
        found = super().read(value)
        if found.high == 0.0:
            raise wrong(f"a {self.kind} of zero is none; leave it out where it is not known",
                        f"as in `{self.example}`")
        return found


class QuantityOrNone(Quantity, frozen=True):
    """Such a quantity as a ceiling, or `none` where there is no such ceiling: that is read as above every number."""

    def read(self, value: Any) -> Interval:
        if isinstance(value, str) and value.strip().lower() == "none":
            return Interval.exactly(inf)
        return super().read(value)


class OneOrSeveral(Quantity, frozen=True):
    """Such a quantity, or a list of them, one for each of several things."""

    most: int = 4

    def read(self, value: Any) -> Any:
        if not isinstance(value, list | tuple):
            return super().read(value)
        if not 1 < len(value) <= self.most:
            raise wrong(f"a list here has two to {self.most} of them, this one has {len(value)}",
                        f"as in `[{self.example}, {self.example}]`, or one without brackets, as in `{self.example}`")
        return tuple(super(OneOrSeveral, self).read(item) for item in value)


Volts = Annotated[Interval, Quantity("voltage", "60 V")]
MadeForVolts = Annotated[Interval, QuantityAboveZero("voltage", "120 V")]
VoltsOrNone = Annotated[Interval, QuantityOrNone("voltage", "120 V")]
Amps = Annotated[Interval, Quantity("current", "0.3 A")]
RatedAmps = Annotated[Interval, QuantityNotZero("current", "0.3 A")]
Watts = Annotated[Interval, Quantity("power", "35..50 W")]
OneOrSeveralWatts = Annotated[Interval | tuple[Interval, ...], OneOrSeveral("power", "60 W")]
Ohms = Annotated[Interval, Quantity("resistance", "10 kohm")]
Farads = Annotated[Interval, QuantityNotZero("capacitance", "40 uF")]
Seconds = Annotated[Interval, Quantity("time", "5 min")]


class AnyQuantity(_Validated, frozen=True):
    """A quantity of whichever of these kinds its unit belongs to; kept with its kind."""

    kinds: tuple[str, ...]

    def read(self, value: Any) -> tuple[str, Interval]:
        text = text_of(value, "a quantity with its unit")
        refused: QuantityError | None = None
        for kind in self.kinds:
            try:
                return kind, parse_quantity(text, DIMENSIONS[kind])
            except QuantityError as error:
                refused = refused or error
        assert refused is not None
        raise wrong(refused.message, refused.suggestion)


class Word(_Validated, frozen=True):
    """One word, or a few, out of a list."""

    words: tuple[str, ...]

    def read(self, value: Any) -> str:
        text = one_spelling(text_of(value, f"one of {listed(self.words)}"))
        by_letters = {word.lower(): word for word in self.words}
        if text.lower() in by_letters:
            return by_letters[text.lower()]
        raise wrong(f"`{text}` is not one of {listed(self.words)}", nearest(text, self.words))


class Words(_Validated, frozen=True):
    """Several words out of a list, each once; `none` is none of them."""

    words: tuple[str, ...]

    def read(self, value: Any) -> tuple[str, ...]:
        if value == "none":
            return ()
        one = Word(self.words)
        return tuple(dict.fromkeys(one.read(item) for item in (value if isinstance(value, list | tuple) else [value])))


def listed(words: tuple[str, ...], last: str = "or") -> str:
    """`a`, `b` or `c`."""
    quoted = [f"`{word}`" for word in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"


def _yes_or_no(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    text = text_of(value, "`yes` or `no`").lower()
    if text in YES:
        return True
    if text in NO:
        return False
    raise wrong(f"expected `yes` or `no`, found `{text}`")


def _plain_text(value: Any) -> str:
    return text_of(value, "some words")


def _some_words(value: Any) -> str:
    text = text_of(value, "some words")
    if not text:
        raise wrong("this is empty, and whoever reads the plan later has to know it")
    return text


def _texts(value: Any) -> tuple[str, ...]:
    items = value if isinstance(value, list) else [value]
    return tuple(text_of(item, "a name") for item in items)


def _date(value: Any) -> date:
    text = text_of(value, "a date such as `2027-03-01`")
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            pass
    raise wrong(f"`{text}` is not a date", "write year, month and day, as in `2027-03-01`")


YesNo = Annotated[bool, ReadBy(_yes_or_no)]
Text = Annotated[str, ReadBy(_plain_text)]
Said = Annotated[str, ReadBy(_some_words)]
"""A text that is not empty."""
Names = Annotated[tuple[str, ...], ReadBy(_texts)]
Day = Annotated[date, ReadBy(_date)]
