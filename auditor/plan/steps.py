"""One step of a plan, as written, and the stages that a `raise` stands for."""

import re
from typing import Annotated, Any, Literal

from msgspec import Struct
from pydantic import Field
from pydantic_core import PydanticCustomError

from auditor.logic.interval import Interval
from auditor.plan.chain import Lamp
from auditor.plan.record import Record
from auditor.plan.values import (
    NO,
    YES,
    Amps,
    AnyQuantity,
    Names,
    Quantity,
    ReadBy,
    Seconds,
    Text,
    Volts,
    Word,
    YesNo,
    text_of,
    wrong,
)
from auditor.plan.verbs import CLIPPED_FIRST, FED_FROM, MEASURED, POINTS, VERBS, WHERE
from auditor.plan.words import one_key

ENDS_AN_ATTEMPT = frozenset({"switch_off", "unplug"})
EXPECTED_KINDS = ("resistance", "voltage", "current", "power", "temperature", "time", "number")
_quantity = AnyQuantity(EXPECTED_KINDS)
_at_most = re.compile(r"(?P<until>.+?),?\s+at most\s+(?P<bound>.+)", re.DOTALL)


BEYOND_ANY_METER = 1e10
"""A ceiling from here on, in ohms, volts, amperes, watts or seconds, is none: no reading on a bench goes above it."""


def _leaves_something_out(passes: Interval) -> bool:
    return passes.low > 0 or passes.high < BEYOND_ANY_METER


class Expectation(Struct, frozen=True):
    """What a step should show: a quantity, words, `predicted`, or a reading by name."""

    text: str
    quantity: tuple[str, Interval] | None = None
    readings: tuple[tuple[str, str | tuple[str, Interval]], ...] = ()
    predicted: bool = False

    def can_fail(self) -> bool:
        """Whether some reading fails it: words always can, `0 ohm..` and `..1e12 ohm` never do, and what is
        predicted is not yet a criterion."""
        if self.predicted:
            return False
        criteria = [value for _, value in self.readings] if self.readings else [self.quantity or self.text]
        return any(isinstance(value, str) or _leaves_something_out(value[1]) for value in criteria)


class Resistor(Struct, frozen=True):
    """The tool for discharging: `10 kohm 10 W`."""

    resistance: Interval
    power: Interval | None


class Until(Struct, frozen=True):
    """A hold that ends with a reading, and its upper bound in time [s]."""

    reading: str
    bound: Interval


def _scalar_expectation(text: str) -> tuple[str, Interval] | None:
    """The quantity that the text is, or None where it is words such as `0.75 A slow`."""
    try:
        return _quantity.read(text)
    except PydanticCustomError:
        return None


def _expectation(value: Any) -> Expectation:
    if isinstance(value, dict):
        readings = []
        for key, item in value.items():
            text = text_of(item, f"the expected reading of `{key}`")
            readings.append((one_key(key), _scalar_expectation(text) or text))
        return Expectation(", ".join(f"{key} {item}" for key, item in value.items()), readings=tuple(readings))
    text = text_of(value, "what should be seen")
    if text.lower() in YES | NO | {""}:
        raise wrong(f"`{text}` says nothing that can be seen to fail", "as in `expect: no crack or nick`")
    if text == "predicted":
        return Expectation("the predicted readings", predicted=True)
    return Expectation(text, _scalar_expectation(text))


def _resistor(value: Any) -> Resistor:
    words = text_of(value, "a resistor such as `10 kohm 10 W`")
    parts = re.fullmatch(r"(?P<ohms>\S+\s*\S*?ohms?|\S+\s*\S*?Ω)(?:[\s,]+(?P<watts>.+))?", words)
    if parts is None:
        raise wrong(f"`{words}` is not a resistor", "write resistance and power, as in `10 kohm 10 W`")
    watts = parts["watts"]
    return Resistor(Quantity("resistance", "10 kohm").read(parts["ohms"]),
                    Quantity("power", "10 W").read(watts) if watts else None)


def _until(value: Any) -> Until:
    words = text_of(value, "a reading with an upper bound in time")
    parts = _at_most.fullmatch(words)
    if parts is None:
        raise wrong("a hold until a reading needs an upper bound in time",
                    "as in `until: leakage below 1 mA, at most 4 h`")
    return Until(parts["until"], Quantity("time", "4 h").read(parts["bound"]))


def _anything(value: Any) -> Any:
    return value


class Step(Record):
    """One step. `verb` says which of the fields can be there (see verbs.VERBS); quantities are in SI units.

    number, path: the step as the author counts it, and where it stands in the plan.
    stage: which stage of how many, for a step that a `raise` stood for.
    fed_from: what feeds the set during a leakage measurement. `wall`: the meter is clipped on, the set plugged straight
    into the wall, read with nobody touching it, and unplugged again, all in this one step.
    card_line: the line of the bench card that it comes from, where it is a step of a sequence there.
    """

    verb: str
    number: int = 0
    path: tuple[str | int, ...] = ()
    stage: tuple[int, int] | None = None
    card_line: int | None = None
    what: Text | None = None
    measures: Annotated[str, Word(MEASURED)] | None = None
    across: Text | None = None
    set_switch: Annotated[str, Word(("on", "off", "both"))] | None = None
    plug_ways: Annotated[str, Word(("one", "both"))] | None = None
    fed_from: Annotated[str, Word(FED_FROM)] | None = None
    settle: Seconds | None = None
    instrument: Text | None = None
    how: Text | None = None
    on: Text | None = None
    to: Volts | None = None
    by: Volts | None = None
    start: Volts | None = Field(default=None, alias="from")
    state: Annotated[str, Word(("open", "closed"))] | None = None
    lamp: Lamp | None = None
    after: Text | None = None
    at: Annotated[str, Word(POINTS)] | None = None
    doing: Text | None = None
    where: Annotated[str, Word(WHERE)] | None = None
    each: Names | None = None
    through: Annotated[Resistor, ReadBy(_resistor)] | None = None
    lasting: Seconds | None = Field(default=None, alias="for")
    clip_first: Annotated[str, Word(CLIPPED_FIRST)] | None = None
    below: Volts | None = None
    at_most: Amps | None = None
    inside: Annotated[str, Word(("the set", "out of the set"))] | None = Field(default=None, alias="in")
    hold: Seconds | None = None
    until: Annotated[Until, ReadBy(_until)] | None = None
    read: Names = ()
    expect: Annotated[Expectation, ReadBy(_expectation)] | None = None
    otherwise: Annotated["tuple[Step, ...] | Literal['stop'] | None", ReadBy(_anything)] = None
    stop_if: Names = ()
    attended: YesNo | None = None
    note: Text | None = None
    takes: Seconds | None = None

    def in_words(self) -> str:
        """The step as one would say it: "set the dial to 30 V"."""
        from auditor.logic.quantity import DIMENSIONS, format_quantity

        def said(name: str) -> str:
            value = getattr(self, name)
            if isinstance(value, Interval):
                return format_quantity(value, DIMENSIONS["time" if name == "hold" else "voltage"])
            if isinstance(value, Lamp):
                watts = [format_quantity(power, DIMENSIONS["power"]) for power in value.each]
                return " ".join(filter(None, (" and ".join(watts) or "unstated power", value.joined)))
            return ", ".join(value) if isinstance(value, tuple) else str(value)

        verb = VERBS[self.verb]
        names = re.findall(r"\{(\w+)\}", verb.says)
        words = verb.says.format(**{name: said(name) for name in names})
        stage = f" (stage {self.stage[0]} of {self.stage[1]})" if self.stage else ""
        return words + stage

    def can_fail(self) -> bool:
        """Evidence, not words: a criterion that some reading fails, and a way out when it is not met.

        A way out stops, or takes the power off; to wait a little, or to look again, ends nothing.
        """
        if self.expect is None or not self.expect.can_fail() or self.otherwise is None:
            return False
        return self.otherwise == "stop" or any(step.verb in ENDS_AN_ATTEMPT for step in self.otherwise)
