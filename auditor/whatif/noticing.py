"""By which sign the operator surely notices a fault, and whether the plan says to look for it and to stop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.circuit import dial_output
from auditor.bench.metered import metered
from auditor.bench.prediction import Readings
from auditor.bench.state import State
from auditor.bench.stop_words import Limit, limit, names
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.whatif.fault import Signs
from auditor.whatif.world import World

REACTION = 15.0
"""From a sign that somebody watches for to the power being off [s]. A choice: three times the 5 s in which a lamp that
stays bright should be answered (common practice)."""
BRIGHT = frozenset({"yellow", "white", "melts"})
DARK_WORDS, BRIGHT_WORDS = ("dark", "off", "no glow"), ("full", "full glow", "bright")
METERS = {"set_voltage": "the set's meter", "current": "the ammeter", "power": "the wattmeter", "B+": "the meter at B+"}
UNITS = {"current": "A", "power": "W"}


class Sign(Struct, frozen=True):
    """What surely shows. words: for a person; after: how long the fault must have acted for it to show [s]; used: the share
    of what the heated part stands after which it shows however soon that is; begun: it shows only once the fault has set
    in, with power or without; settles: how long the bench must have stood so, for it shows only once all has settled [s]."""

    words: str
    after: float = 0.0
    used: float = inf
    begun: bool = False
    settles: float = 0.0


Pair = tuple[Readings, Readings]
"""The readings of a healthy set and those with the fault."""


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


def on_the_meters(plan: Plan, step: Step, state: State, healthy: Readings, faulty: Readings) -> Iterator[Sign]:
    """Where meters and lamp are sure to miss what the step expects of them."""
    expect = step.expect
    if expect is None:
        return
    wanted: dict[str, object] = {name: _of(plan, name, healthy) for name in step.read} if expect.predicted else {
        name: value[1] if isinstance(value, tuple) else value for name, value in expect.readings}
    for name, expected in wanted.items():
        got = _read(plan, state, name, faulty)
        if isinstance(got, Interval) and isinstance(expected, Interval) and got.meet(expected) is None:
            meter, unit = METERS.get(name, f"the meter at {name}"), UNITS.get(name, "V")
            yield Sign(f"{meter} shows {span(got)} {unit} instead of {span(expected)} {unit}")
        elif isinstance(got, tuple) and got and isinstance(expected, tuple | str) and expected and not _fits(expected, got):
            said = expected if isinstance(expected, str) else glow(expected)
            yield Sign(f"the lamp is {glow(got)} instead of {said}")


def _read(plan: Plan, state: State, name: str, readings: Readings) -> Interval | tuple[str, ...] | None:
    """What is read under this name; None where nothing on the bench shows it or the model has no law."""
    return _of(plan, name, readings) if metered(plan, state, name) else None


def _of(plan: Plan, name: str, readings: Readings) -> Interval | tuple[str, ...] | None:
    """The reading of this name, whether or not somebody can take it."""
    if name in {c.name for c in plan.set.filter_capacitors or () if c.peak_voltage is None}:
        return readings.b_plus
    return {"B+": readings.b_plus, "set_voltage": readings.set_voltage, "current": readings.current,
            "power": readings.set_power, "lamp": readings.glow}.get(name)


def _fits(expected: tuple[str, ...] | str, glow_words: tuple[str, ...]) -> bool:
    """Whether a lamp that looks so can be taken for one that looks as expected; unknown words fit anything."""
    if isinstance(expected, tuple):
        return bool(set(expected) & set(glow_words))
    if expected in DARK_WORDS:
        return "dark" in glow_words
    return expected not in BRIGHT_WORDS or bool(BRIGHT & set(glow_words))


def watched(world: World, conditions: tuple[str, ...], state: State, healthy: Readings, faulty: Readings,
            on_the_way: Callable[[], Pair] | None = None) -> Iterator[Sign]:
    """Which of the conditions for a stop are surely met while somebody watches, and would not be by a healthy set.

    on_the_way: the readings from the first moment until those given have settled; None where they show at once.
    """
    if world.fault is None:
        return
    signs = world.fault.signs
    after, heats = signs.sensed_after.high, world.fault.heats
    # It smells and smokes from the heat that it has taken up, as it burns from that: both come sooner at more watts.
    used = after / heats.before.low if heats is not None and heats.before.low > 0.0 else inf
    for condition in conditions:
        yield from (Sign(word, after, used) for word in signs.sensed if names(condition, word))
        for sign in _beyond(world.plan, condition, state, (healthy, faulty)):
            at_once = on_the_way is None or any(_beyond(world.plan, condition, state, on_the_way()))
            yield sign if at_once or faulty.settling_time is None else replace(sign, settles=faulty.settling_time.high)


def _beyond(plan: Plan, condition: str, state: State, shown: Pair) -> Iterator[Sign]:
    """How a set with the fault is sure to meet a condition that gives a reading, which a healthy one is not."""
    healthy, faulty = shown
    if not any(_limited(plan, condition, state, healthy)):
        yield from _limited(plan, condition, state, faulty)


def _limited(plan: Plan, condition: str, state: State, readings: Readings) -> Iterator[Sign]:
    """How these readings are sure to meet a condition that gives a reading."""
    found = limit(condition)
    if found is None or found.at_one_setting:
        return
    unit = UNITS.get(found.reading, "V")
    got, wanted = _read(plan, state, found.reading, readings), _value(found, plan, state)
    if isinstance(got, tuple) and got and BRIGHT.issuperset(got):
        yield Sign("the lamp is bright and stays so", found.seconds)
    if isinstance(got, Interval) and (got.low > wanted.high if found.side == "above" else got.high < wanted.low):
        limit_said = f"{found.share:.0%} of the dial" if found.share is not None else f"{found.value:g} {unit}"
        yield Sign(f"{METERS[found.reading]} shows {span(got)} {unit}, {found.side} {limit_said}", found.seconds)


def _value(found: Limit, plan: Plan, state: State) -> Interval:
    """Where a limit lies at this setting of the dial, in amperes or volts."""
    if found.share is not None:
        output = dial_output(plan, state)
        return Interval(found.share * output.low, found.share * output.high)
    return Interval.exactly(found.value or 0.0)


def span(value: Interval) -> str:
    """A range in three figures: `2`, `41..46`, `..50`."""
    low, high = ("" if end in (-inf, inf) else f"{end:.3g}" for end in (value.low, value.high))
    return low if low == high else f"{low}..{high}"


def glow(words: tuple[str, ...]) -> str:
    """The words for a lamp, from the darkest to the brightest."""
    return words[0] if len(words) == 1 else f"{words[0]} to {words[-1]}"
