"""A step with all that the operator has to know of it, in words short enough for a sheet."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import inf
from typing import Any

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.chain import Lamp
from auditor.plan.steps import Resistor, Step, Until
from auditor.plan.verbs import VERBS

STOP = "If not: STOP."
NO_WAY_OUT = "The plan does not say what to do if not: stop, and ask."


def quantity(kind: str) -> Callable[[Interval], str]:
    """How a range of this kind is written."""
    return lambda value: format_quantity(value, DIMENSIONS[kind])


def resistor(value: Resistor) -> str:
    """`10 kohm, 10 W`."""
    power = f", {quantity('power')(value.power)}" if value.power is not None else ""
    return quantity("resistance")(value.resistance) + power


def _until(value: Until) -> str:
    return f"{value.reading}, at most {quantity('time')(value.bound)}"


def _lamp(value: Lamp) -> str:
    volts = quantity("voltage")(value.voltage) if value.voltage is not None else None
    return ", ".join(filter(None, (volts, value.kind)))


DETAILS: tuple[tuple[str, str, Callable[[Any], str]], ...] = (
    ("after", "after: {}", str),
    ("lamp", "made for {}", _lamp),
    ("fed_from", "the set fed from the {}", str),
    ("set_switch", "switch of the set: {}", str),
    ("plug_ways", "plug {} way round", lambda ways: "either" if ways == "both" else "one"),
    ("clip_first", "clip to the {} first", str),
    ("on", "on a {}", str),
    ("how", "how: {}", str),
    ("at", "at the {}", str),
    ("inside", "{}", lambda where: "in the set" if where == "the set" else str(where)),
    ("through", "through {}", resistor),
    ("lasting", "for {}", quantity("time")),
    ("instrument", "with {}", str),
    ("settle", "wait {} before reading", quantity("time")),
    ("by", "in stages of {}", quantity("voltage")),
    ("at_most", "at most {}", quantity("current")),
    ("hold", "hold {}", quantity("time")),
    ("until", "until {}", _until),
    ("attended", "{}", lambda yes: "stay with it" if yes else "it may be left alone"),
    ("note", "note: {}", str),
)
"""What may stand beside the verb, in the order of doing, and how it is said. What is read and expected is told apart."""
OF_A_RAISE = frozenset({"by", "start"})
"""What has become of a `raise` in its stages."""


def details(step: Step, *, without: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """How the step is done, beyond what `in_words` says; `without`: fields that stand somewhere else."""
    verb = VERBS[step.verb]
    told = {*re.findall(r"\{(\w+)\}", verb.says), *without, *(OF_A_RAISE if step.stage else ())} - {"lamp"}
    said = []
    for name, words, of in DETAILS:
        value = getattr(step, name)
        if value is not None and name not in told and (text := of(value)):
            said.append(words.replace("{}", text))
    return tuple(said)


def expected(step: Step) -> str | None:
    """What the step should show, where that is not what is predicted."""
    if step.verb == "prove_dead" and step.below is not None:
        return f"below {quantity('voltage')(Interval.exactly(step.below.high))}"
    if step.expect is None or step.expect.predicted:
        return None
    if step.expect.readings:
        return ", ".join(f"{name.replace('_', ' ')} {_should(value)}" for name, value in step.expect.readings)
    return _should(step.expect.quantity or step.expect.text)


def _should(value: str | tuple[str, Interval]) -> str:
    """A criterion as one says it: what leaves one end open is `at most` or `at least`."""
    if isinstance(value, str):
        return value
    kind, passes = value
    if passes.low <= 0.0 < passes.high < inf:
        return f"at most {quantity(kind)(Interval.exactly(passes.high))}"
    if passes.high == inf:
        return f"at least {quantity(kind)(Interval.exactly(passes.low))}"
    return quantity(kind)(passes)


def way_out(step: Step) -> str | None:
    """What is done when the step does not show what it should."""
    if step.otherwise == "stop":
        return STOP
    if step.otherwise is None:
        return NO_WAY_OUT if expected(step) is not None else None
    return "If not: " + ", then ".join(in_full(one) for one in step.otherwise) + "."


def in_full(step: Step) -> str:
    """A step of a way out, or one that ends the attempt, in one piece."""
    more = list(details(step))
    if (should := expected(step)) is not None:
        more.append(f"expect {should}")
    if (out := way_out(step)) is not None:
        more.append(out[0].lower() + out[1:].rstrip("."))
    return step.in_words() + (f" ({'; '.join(more)})" if more else "")
