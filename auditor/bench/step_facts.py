"""Facts of what is done: the step as written, and what it comes to in the state in which it is done."""

from __future__ import annotations

from auditor.bench.circuit import limiter_in
from auditor.bench.fact import NO_CEILING, TRUTH, Fact, StepReader, WrittenReader, quantity, words
from auditor.bench.metered import metered
from auditor.bench.replay import NEEDS_DIAL, why_impossible
from auditor.bench.touch import TOUCHES, touch
from auditor.bench.trace import Sample
from auditor.bench.written_volts import written_volts
from auditor.logic.interval import Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan.chain import DIALS
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.plan.verbs import (
    CLIPPED_FIRST,
    CONNECTED,
    FED_FROM,
    INSPECTED,
    MEASURED,
    PLACES,
    PLUGGED,
    PROVED,
    SWITCHED,
    TAKEN_OUT,
    VERBS,
)

NONE = "nothing"
INSTRUMENT = "an instrument"
CAPACITOR = "a capacitor"
WHAT = tuple(dict.fromkeys(INSPECTED + PROVED + PLUGGED + SWITCHED + TAKEN_OUT + CONNECTED + (INSTRUMENT, NONE)))
NO_TIME = ZERO = Interval.exactly(0.0)
LEAVES_AFTER = 300.0
"""Whoever does a step that takes longer than this [s] may leave it to itself (from memory: minutes are stood through,
a quarter of an hour is not)."""
LETS_ALL_PASS = {"from": ZERO, "up to": Interval.exactly(NO_CEILING)}
"""The ends of a criterion that is not written."""


def _step(name: str, kind: Kind, meaning: str, read: StepReader, *asks: str) -> Fact:
    """What the step comes to, which depends on the state and on how the step ends."""
    return Fact(name, kind, meaning, "step", read, asks)


def _written(name: str, kind: Kind, meaning: str, read: WrittenReader, *asks: str) -> Fact:
    """What the step says, whenever it is done."""
    return Fact(name, kind, meaning, "written", read, asks)


def _what(plan: Plan, step: Step) -> str:
    what = step.what
    return NONE if what is None else what if what in WHAT else INSTRUMENT


def _test_voltage(plan: Plan, step: Step) -> Interval:
    return Interval.exactly(next(written_volts(step.how or ""), NO_CEILING))


def _across(plan: Plan, step: Step) -> str:
    place = step.across
    return NONE if place is None else place if place in PLACES else CAPACITOR


def _passed(plan: Plan, sample: Sample) -> Truth:
    """Evidence: the step can be done, has a criterion that can fail and a branch for failing, and has not failed."""
    possible = why_impossible(sample.before, sample.step, plan) is None
    return Truth.of(sample.exit and not sample.failed and possible and sample.step.can_fail())


def _criterion(kind: str, end: str) -> WrittenReader:
    """The lowest or highest reading that the step lets pass; everything where it sets no such limit."""
    def read(plan: Plan, step: Step) -> Interval:
        expect = step.expect
        if expect is not None and expect.quantity is not None and expect.quantity[0] == kind:
            bound = expect.quantity[1].low if end == "from" else expect.quantity[1].high
            if abs(bound) != float("inf"):
                return Interval.exactly(bound)
        return LETS_ALL_PASS[end]
    return read


def _expects_full_glow(plan: Plan, step: Step) -> Truth:
    readings = step.expect.readings if step.expect else ()
    return Truth.of(any(name == "lamp" and value in ("full", "full glow", "bright") for name, value in readings))


def _expects_readings(plan: Plan, step: Step) -> Truth:
    expect = step.expect
    return Truth.of(expect is not None and (expect.predicted or bool(expect.readings)))


def _reads(*names: str) -> WrittenReader:
    return lambda plan, step: Truth.of(any(name in step.read for name in names))


def _dial_rise(plan: Plan, sample: Sample) -> Interval:
    """How far the supply is turned up in this step [V]; 0 where it is turned down or not at all.

    A dial that no step has set before is taken to have stood at zero: the largest step it can be. Where the set is brought
    to its volts through the lamp, after the dial was set by its own mark, it may have had anything below that mark.
    """
    if not sample.exit or sample.step.verb not in ("set_dial", "bring_set_to") or sample.step.to is None:
        return NO_TIME
    before, to = sample.before, sample.step.to
    stood = before.set_reading or before.dial or NO_TIME
    rise = max(0.0, to.high - stood.low)
    by_another_meter = sample.step.verb == "bring_set_to" and before.set_reading is None
    return Interval(rise, to.high if by_another_meter and limiter_in(plan, before) is not Truth.FALSE else rise)


def _at_most(plan: Plan, step: Step) -> Interval:
    """The highest current that the step allows [A]; everything where it names none."""
    at_most = step.at_most
    return Interval.exactly(at_most.high) if at_most is not None and at_most.high != float("inf") else LETS_ALL_PASS["up to"]


def _reads_b_plus(plan: Plan, step: Step) -> Truth:
    capacitors = {c.name for c in plan.set.filter_capacitors or ()}
    return Truth.of(any(reading == "B+" or reading in capacitors for reading in step.read))


def _hold(plan: Plan, step: Step) -> Interval:
    """The hold of the step [s]."""
    return step.hold or NO_TIME


def _attended(plan: Plan, step: Step) -> Truth:
    """Whether somebody watches: as the step says, else by whoever does it where it leaves nothing to wait for."""
    if step.attended is not None:
        return Truth.of(step.attended)
    waits = any(time is not None and time.high > LEAVES_AFTER for time in (step.takes, step.settle, step.lasting))
    if not waits and step.hold is None and step.until is None and step.verb not in ("reform", "observe"):
        return Truth.TRUE
    people = plan.bench.people
    return Truth.UNKNOWN if people is None or people.attended is None else Truth.of(people.attended == "throughout")


def _shorted(plan: Plan, step: Step) -> Truth:
    return Truth.of((step.how or "").lower().startswith(("shorted plug", "a shorted plug", "with a shorted plug")))


def _reads_without_meter(plan: Plan, sample: Sample) -> Truth:
    """A reading that the step asks for and no meter on the bench can give."""
    return Truth.of(not all(metered(plan, sample.before, reading) for reading in sample.step.read))


def _impossible(plan: Plan, sample: Sample) -> Truth:
    if why_impossible(sample.before, sample.step, plan) is not None:
        return Truth.TRUE
    scale_unknown = sample.step.verb in NEEDS_DIAL and plan.dial is not None and plan.record(plan.dial).output is None
    return Truth.UNKNOWN if scale_unknown and sample.step.to != ZERO else Truth.FALSE


STEP_FACTS: tuple[Fact, ...] = (
    _written("step.verb", words(*VERBS), "what is done in this step", lambda p, s: s.verb),
    _written("step.what", words(*WHAT), "what it is done to", _what),
    _written("step.measures", words(*MEASURED, NONE), "the quantity measured", lambda p, s: s.measures or NONE),
    _written("step.across", words(*PLACES, CAPACITOR, NONE), "the place measured or clipped to", _across),
    _written("step.set_switch", words("on", "off", "both", NONE), "how the set's switch stands in a cold measurement",
             lambda p, s: s.set_switch or NONE),
    _written("step.plug_ways", words("one", "both", NONE), "whether a leakage test is done with the plug both ways round",
             lambda p, s: s.plug_ways or NONE),
    _written("step.fed_from", words(*FED_FROM, NONE), "what feeds the set while its leakage is measured",
             lambda p, s: s.fed_from or NONE),
    _step("step.touches", words(*TOUCHES), "where the step puts a hand or a tool",
          lambda p, s: touch(s.step, s.before)),
    _written("step.rewires_the_bench", TRUTH, "this is work on the wiring of the bench or the limiter",
             lambda p, s: Truth.of(s.verb == "work" and s.where in ("bench", "limiter"))),
    _step("step.passed", TRUTH, "the step has a criterion that can fail and a branch for failing, and has passed it",
          _passed),
    _written("step.test_voltage", quantity("voltage"), "the volts with which the step measures, as its `how` says; above all"
             " numbers where it says none, for an insulation tester has enough", _test_voltage),
    _written("step.test_voltage_up_to", quantity("voltage"), "the same, 0 where its `how` says none",
             lambda p, s: Interval.exactly(next(written_volts(s.how or ""), 0.0))),
    _written("step.resistance_from", quantity("resistance"), "the lowest resistance that the step lets pass",
             _criterion("resistance", "from")),
    _written("step.resistance_up_to", quantity("resistance"), "the highest resistance that the step lets pass",
             _criterion("resistance", "up to")),
    _written("step.current_up_to", quantity("current"), "the highest current that the step lets pass",
             _criterion("current", "up to")),
    _written("step.temperature_up_to", quantity("temperature"), "the highest temperature that the step lets pass",
             _criterion("temperature", "up to")),
    _written("step.expects_full_glow", TRUTH, "the step expects the limiter lamp at full glow", _expects_full_glow),
    _written("step.expects_readings", TRUTH, "the step says what the meters should show", _expects_readings),
    _written("step.expects_predicted", TRUTH, "the step expects the readings that are predicted",
             lambda p, s: Truth.of(s.expect is not None and s.expect.predicted)),
    _written("step.shorted_plug", TRUTH, "the step uses a shorted plug", _shorted),
    _written("step.settle", quantity("time"), "how long the meter is left to settle", lambda p, s: s.settle or NO_TIME),
    _written("step.hold", quantity("time"), "how long the step holds", _hold),
    _written("step.lasting", quantity("time"), "how long a discharge is held", lambda p, s: s.lasting or NO_TIME),
    _written("step.through", quantity("resistance"), "the resistance of the resistor that discharges or reforms",
             lambda p, s: s.through.resistance if s.through else NO_TIME),
    _written("step.through_power", quantity("power"), "the power that this resistor stands, 0 where none is written",
             lambda p, s: s.through.power if s.through and s.through.power else ZERO),
    _written("step.below", quantity("voltage"), "the voltage under which it counts as dead",
             lambda p, s: Interval.exactly(s.below.high) if s.below else LETS_ALL_PASS["up to"]),
    _written("step.clips_first", words(*CLIPPED_FIRST, NONE), "what the discharging tool is clipped to before it touches",
             lambda p, s: s.clip_first or NONE),
    _written("step.to", quantity("voltage"), "the voltage that the step goes up to, 0 where it names none",
             lambda p, s: Interval.exactly(s.to.high) if s.to else NO_TIME),
    _written("step.at_most", quantity("current"), "the highest current that a reforming step allows", _at_most),
    _step("step.dial_rise", quantity("voltage"), "how far the dial is turned up in this step", _dial_rise),
    _written("step.reads_set_voltage", TRUTH, "the voltage at the set is read", _reads("set_voltage")),
    _written("step.reads_current", TRUTH, "the current is read", _reads("current")),
    _written("step.reads_b_plus", TRUTH, "B+ or the voltage on a filter capacitor is read", _reads_b_plus),
    _written("step.reads_lamp", TRUTH, "the lamp is looked at", _reads("lamp")),
    _step("step.reads_without_meter", TRUTH, "a reading is asked for that no meter can give", _reads_without_meter),
    _written("step.after_cooling", TRUTH, "the step says that it waits until the lamp is cool",
             lambda p, s: Truth.of("cool" in (s.after or ""))),
    _step("step.impossible", TRUTH, "the step cannot be done as the bench then stands", _impossible,
          *(f"bench.chain.{kind}.output" for kind in DIALS)),
    _step("step.at_its_end", TRUTH, "this is the end of the step", lambda p, s: Truth.of(s.exit)),
    _step("step.begins_the_plan", TRUTH, "this is the beginning of the first step of the plan",
          lambda p, s: Truth.of(s.step is p.steps[0] and not s.exit)),
    _step("step.first_of_branch", TRUTH, "this is the end of the first action after a stop or a failed check",
          lambda p, s: Truth.of(s.tail == 1 and s.exit)),
    _written("attended", TRUTH, "somebody watches", _attended, "bench.people.attended"),
)
