"""By which sign the operator surely notices a fault, and whether the plan says to look for it and to stop."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import inf

from msgspec import Struct

from auditor.bench.circuit import dial_output
from auditor.bench.prediction import Readings
from auditor.bench.state import State
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import parse_quantity
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.whatif.fault import Signs
from auditor.whatif.world import World

REACTION = 15.0
"""From a sign that somebody watches for to the power being off [s]. A choice: three times the 5 s in which a lamp that
stays bright should be answered (common practice)."""
CURRENT = re.compile(
    r"(?:the )?(?:set )?current\s+(?:above|over)\s+(?P<limit>[\d.]+\s*m?A)(?:\s+after\s+(?P<after>[\d.]+\s*\w+))?")
VOLTS = re.compile(
    r"(?:the )?(?:set[ _]voltage|set[ _]volts|voltage at the set)\s+(?:below|under|stays below)\s+"
    r"(?:(?P<half>half)|(?P<percent>[\d.]+)\s*%)\s+(?:of )?the dial(?:\s+after\s+(?P<after>[\d.]+\s*\w+))?")
B_PLUS = re.compile(r"(?:the )?B\+\s+(?P<side>above|over|below|under)\s+(?P<limit>[\d.]+\s*V)")
TURNED = re.compile(r"\b(no|not|without|never|unless|except|until|only)\b", re.IGNORECASE)
BRIGHT = frozenset({"yellow", "white", "melts"})
DARK_WORDS, BRIGHT_WORDS = ("dark", "off", "no glow"), ("full", "full glow", "bright")
METERS = {"set_voltage": "the set's meter", "current": "the ammeter", "power": "the wattmeter", "B+": "the meter at B+"}
UNITS = {"current": "A", "power": "W"}


class Sign(Struct, frozen=True):
    """What surely shows. words: for a person; after: how long the fault must have acted for it to show [s]; used: the share
    of what the heated part stands after which it shows however soon that is; begun: it shows only once the fault has set
    in, with power or without."""

    words: str
    after: float = 0.0
    used: float = inf
    begun: bool = False


def at_the_step(world: World, step: Step) -> Iterator[Sign]:
    """What an inspection, a proof or a measurement shows of the fault, whether or not the set has power."""
    if world.fault is None:
        return
    signs = world.fault.signs
    if step.verb == "inspect" and step.what in signs.inspected:
        yield Sign(f"looking at the {step.what} shows it")
    if step.verb == "prove" and _proof_fails(world, step, signs):
        yield Sign(f"the proof of {step.what} fails")
    if step.verb == "prove_dead" and world.effect.tool is not None:
        yield Sign("the capacitors are still charged")
    if step.verb == "reform" and signs.reforming:
        yield Sign("the leakage stays too high")
    for sign in signs.measured:
        if step.measures == sign.measures and step.across in sign.across and _outside(step, sign.reads) and (
                sign.set_switch is None or step.set_switch in (sign.set_switch, "both")):
            yield Sign(f"{step.measures} at {step.across} is not as expected", begun=sign.begun)


def _proof_fails(world: World, step: Step, signs: Signs) -> bool:
    if step.what in signs.proved:
        return True
    instruments = {instrument.name for instrument in world.plan.bench.instruments or ()}
    passes = step.expect.quantity[1] if step.expect is not None and step.expect.quantity is not None else None
    return "the meter" in signs.proved and step.what in instruments and (passes is None or 0.0 not in passes)


def _outside(step: Step, reads: tuple[str, Interval]) -> bool:
    """Whether a reading is sure to miss what the step expects."""
    expect = step.expect
    if expect is None or expect.quantity is None:
        return False
    kind, wanted = expect.quantity
    return kind == reads[0] and wanted.meet(reads[1]) is None


def on_the_meters(plan: Plan, step: Step, healthy: Readings, faulty: Readings) -> Iterator[Sign]:
    """Where meters and lamp are sure to miss what the step expects of them."""
    expect = step.expect
    if expect is None:
        return
    wanted: dict[str, object] = {name: _read(plan, name, healthy) for name in step.read} if expect.predicted else {
        name: value[1] if isinstance(value, tuple) else value for name, value in expect.readings}
    for name, expected in wanted.items():
        got = _read(plan, name, faulty)
        if isinstance(got, Interval) and isinstance(expected, Interval) and got.meet(expected) is None:
            meter, unit = METERS.get(name, f"the meter at {name}"), UNITS.get(name, "V")
            yield Sign(f"{meter} shows {span(got)} {unit} instead of {span(expected)} {unit}")
        elif isinstance(got, tuple) and got and isinstance(expected, tuple | str) and expected and not _fits(expected, got):
            said = expected if isinstance(expected, str) else glow(expected)
            yield Sign(f"the lamp is {glow(got)} instead of {said}")


def _read(plan: Plan, name: str, readings: Readings) -> Interval | tuple[str, ...] | None:
    """What is read under this name; None where the bench has no meter for it or the model no law."""
    if name == "B+" or name in {c.name for c in plan.set.filter_capacitors or () if c.peak_voltage is None}:
        return readings.b_plus
    match name:
        case "set_voltage":
            return readings.set_voltage if plan.has("voltmeter") else None
        case "current":
            return readings.current if plan.has("ammeter") or plan.has("wattmeter") else None
        case "power":
            return readings.set_power if plan.has("wattmeter") else None
        case "lamp":
            return readings.glow if plan.has("limiter") else None
    return None


def _fits(expected: tuple[str, ...] | str, glow_words: tuple[str, ...]) -> bool:
    """Whether a lamp that looks so can be taken for one that looks as expected; unknown words fit anything."""
    if isinstance(expected, tuple):
        return bool(set(expected) & set(glow_words))
    if expected in DARK_WORDS:
        return "dark" in glow_words
    return expected not in BRIGHT_WORDS or bool(BRIGHT & set(glow_words))


def watched(world: World, conditions: tuple[str, ...], state: State, healthy: Readings, faulty: Readings) -> Iterator[Sign]:
    """Which of the conditions for a stop are surely met while somebody watches, and would not be by a healthy set."""
    if world.fault is None:
        return
    signs = world.fault.signs
    after, heats = signs.sensed_after.high, world.fault.heats
    # It smells and smokes from the heat that it has taken up, as it burns from that: both come sooner at more watts.
    used = after / heats.before.low if heats is not None and heats.before.low > 0.0 else inf
    for condition in conditions:
        yield from (Sign(word, after, used) for word in signs.sensed if _names(condition, word))
        if not any(_numbers(world.plan, condition, state, healthy)):
            yield from _numbers(world.plan, condition, state, faulty)


def _names(condition: str, word: str) -> bool:
    """Whether a condition for a stop is that something is seen, heard or smelt; a word beside it may turn it round."""
    return word in condition.lower() and TURNED.search(condition) is None


def _numbers(plan: Plan, condition: str, state: State, faulty: Readings) -> Iterator[Sign]:
    if (found := CURRENT.fullmatch(condition)) and isinstance(amps := _read(plan, "current", faulty), Interval):
        limit = parse_quantity(found["limit"], DIMENSIONS["current"]).low
        if amps.low > limit:
            yield Sign(f"the current is {span(amps)} A, above {limit:g} A", _after(found))
    if (found := VOLTS.fullmatch(condition)) and plan.has("voltmeter"):
        share = 0.5 if found["half"] else float(found["percent"]) / 100
        if faulty.set_voltage.high < share * dial_output(plan, state).low:
            yield Sign(f"the set's meter shows {span(faulty.set_voltage)} V, below {share:.0%} of the dial", _after(found))
    if (found := B_PLUS.fullmatch(condition)) and faulty.b_plus is not None:
        limit = parse_quantity(found["limit"], DIMENSIONS["voltage"]).low
        if faulty.b_plus.low > limit if found["side"] in ("above", "over") else faulty.b_plus.high < limit:
            yield Sign(f"B+ is {span(faulty.b_plus)} V")
    if "lamp" in condition and "bright" in condition and faulty.glow and BRIGHT.issuperset(faulty.glow):
        yield Sign("the lamp is bright and stays so")


def _after(found: re.Match[str]) -> float:
    """The time after which a condition counts [s]."""
    return parse_quantity(found["after"], DIMENSIONS["time"]).high if found["after"] else 0.0


def span(value: Interval) -> str:
    """A range in three figures: `2`, `41..46`, `..50`."""
    low, high = ("" if end in (-inf, inf) else f"{end:.3g}" for end in (value.low, value.high))
    return low if low == high else f"{low}..{high}"


def glow(words: tuple[str, ...]) -> str:
    """The words for a lamp, from the darkest to the brightest."""
    return words[0] if len(words) == 1 else f"{words[0]} to {words[-1]}"
