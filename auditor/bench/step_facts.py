"""Facts that change from step to step: what is done, and how the bench stands on entry and on exit."""

from __future__ import annotations

from collections.abc import Callable

from auditor.bench import circuit
from auditor.bench.fact import TRUTH, Fact, StepReader, number, quantity, truth, words
from auditor.bench.replay import why_impossible
from auditor.bench.state import State
from auditor.bench.touch import TOUCHES, touch
from auditor.bench.trace import Sample
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
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
NO_TIME = Interval.exactly(0.0)
NO_FLOOR, NO_CEILING = Interval.exactly(0.0), Interval.exactly(1e15)
"""What a criterion that is not written lets pass: everything."""
FILAMENTS = ("clear filament", "frosted filament", "filament", "halogen")


def _step(name: str, kind: Kind, meaning: str, read: StepReader, *asks: str) -> Fact:
    return Fact(name, kind, meaning, "step", read, asks)


def _state(name: str, kind: Kind, meaning: str, read: Callable[[Plan, State], object], *asks: str) -> Fact:
    return Fact(name, kind, meaning, "step", lambda plan, sample: read(plan, sample.state), asks)  # type: ignore


def _what(plan: Plan, sample: Sample) -> str:
    what = sample.step.what
    return NONE if what is None else what if what in WHAT else INSTRUMENT


def _across(plan: Plan, sample: Sample) -> str:
    place = sample.step.across
    return NONE if place is None else place if place in PLACES else CAPACITOR


def _passed(plan: Plan, sample: Sample) -> Truth:
    """Evidence: the step can be done, has a criterion that can fail and a branch for failing, and has not failed."""
    possible = why_impossible(sample.before, sample.step, plan) is None
    return Truth.of(sample.exit and not sample.failed and possible and sample.step.can_fail())


def _criterion(kind: str, end: str) -> StepReader:
    """The lowest or highest reading that the step lets pass; everything where it sets no such limit."""
    def read(plan: Plan, sample: Sample) -> Interval:
        expect = sample.step.expect
        if expect is not None and expect.quantity is not None and expect.quantity[0] == kind:
            bound = expect.quantity[1].low if end == "from" else expect.quantity[1].high
            if abs(bound) != float("inf"):
                return Interval.exactly(bound)
        return NO_FLOOR if end == "from" else NO_CEILING
    return read


def _expected(reading: str) -> StepReader:
    """The highest value of a named reading that the step lets pass."""
    def read(plan: Plan, sample: Sample) -> Interval:
        expect = sample.step.expect
        for name, value in expect.readings if expect else ():
            if name == reading and isinstance(value, tuple) and value[1].high != float("inf"):
                return Interval.exactly(value[1].high)
        return NO_CEILING
    return read


def _expects_full_glow(plan: Plan, sample: Sample) -> Truth:
    readings = sample.step.expect.readings if sample.step.expect else ()
    return Truth.of(any(name == "lamp" and value in ("full", "full glow", "bright") for name, value in readings))


def _expects_readings(plan: Plan, sample: Sample) -> Truth:
    expect = sample.step.expect
    return Truth.of(expect is not None and (expect.predicted or bool(expect.readings)))


def _reads(*names: str) -> StepReader:
    return lambda plan, sample: Truth.of(any(name in sample.step.read for name in names))


def _dial_rise(plan: Plan, sample: Sample) -> Interval:
    """How far the supply is turned up in this step [V]; 0 where it is turned down or not at all.

    A dial that no step has set before is taken to have stood at zero: the largest step it can be.
    """
    if not sample.exit or sample.step.verb not in ("set_dial", "bring_set_to") or sample.step.to is None:
        return NO_TIME
    stood = sample.before.set_reading or sample.before.dial or NO_TIME
    return Interval.exactly(max(0.0, sample.step.to.high - stood.low))


def _at_most(plan: Plan, sample: Sample) -> Interval:
    """The highest current that the step allows [A]; everything where it names none."""
    at_most = sample.step.at_most
    return Interval.exactly(at_most.high) if at_most is not None and at_most.high != float("inf") else NO_CEILING


def _reads_b_plus(plan: Plan, sample: Sample) -> Truth:
    capacitors = {c.name for c in plan.set.filter_capacitors or ()}
    return Truth.of(any(reading == "B+" or reading in capacitors for reading in sample.step.read))


def _tube_rectifier(plan: Plan) -> Truth:
    rectifier = plan.set.rectifier
    return Truth.UNKNOWN if rectifier is None or rectifier.kind is None else Truth.of(rectifier.kind == "tube")


def _b_plus_fed(plan: Plan, state: State) -> Truth:
    """Whether B+ can rise: the set is energised, and its rectifier is not a tube that has been taken out."""
    taken_out = Truth.of(bool(state.out & {"tubes", "rectifier tube"}))
    return circuit.energised(plan, state) & ~(_tube_rectifier(plan) & taken_out)


def _b_plus_loaded(plan: Plan, state: State) -> Truth:
    """Whether B+ never stands without load: a rectifier tube that heats as slowly as the tubes that it feeds."""
    rectifier = plan.set.rectifier
    heater = rectifier.heater if rectifier is not None else None
    slow = Truth.UNKNOWN if heater is None else Truth.of(heater == "indirect")
    return _tube_rectifier(plan) & slow & Truth.of(not state.out & {"tubes", "output tubes"})


def _hold(plan: Plan, sample: Sample) -> Interval:
    """The hold [s] that is sure to have passed at the exit."""
    return Interval.exactly(sample.step.hold.low) if sample.step.hold is not None else NO_TIME


def _attended(plan: Plan, sample: Sample) -> Truth:
    """Whether somebody watches: as the step says, else by whoever does it where it leaves nothing to wait for."""
    step = sample.step
    if step.attended is not None:
        return Truth.of(step.attended)
    if step.hold is None and step.until is None and step.verb not in ("reform", "observe"):
        return Truth.TRUE
    people = plan.bench.people
    return Truth.UNKNOWN if people is None or people.attended is None else Truth.of(people.attended == "throughout")


def _shorted(plan: Plan, sample: Sample) -> Truth:
    return Truth.of("short" in (sample.step.how or ""))


def _connected(what: str) -> Callable[[Plan, State], Truth]:
    return lambda plan, state: Truth.of(any(name == what for name, _ in state.connected))


def _loaded(plan: Plan, state: State) -> Truth:
    """Whether a loudspeaker or a dummy load is on the output."""
    if any(name in ("speaker", "dummy load") for name, _ in state.connected):
        return Truth.TRUE
    return Truth.UNKNOWN if plan.set.speaker is None and "speaker" not in state.apart else Truth.FALSE


def _interlock_bypassed(plan: Plan, state: State) -> Truth:
    if any(name == "interlock bypass" for name, _ in state.connected):
        return Truth.TRUE
    return Truth.UNKNOWN if plan.set.interlock is None and "interlock bypass" not in state.apart else Truth.FALSE


def _motor_connected(plan: Plan, state: State) -> Truth:
    return truth(plan.set.motor) & Truth.of("motor" not in state.apart)


def _lamp(field: str) -> Callable[[Plan, State], Interval]:
    def read(plan: Plan, state: State) -> Interval:
        return ANYTHING if state.lamp is None else number(getattr(state.lamp, field))
    return read


def _filament(plan: Plan, state: State) -> Truth:
    if state.lamp is None or state.lamp.kind is None:
        return Truth.UNKNOWN
    return Truth.of(state.lamp.kind in FILAMENTS)


def _aimed_voltage(plan: Plan, state: State) -> Interval:
    if not plan.has("autotransformer"):
        return number(plan.mains.voltage)
    return number(state.set_reading or state.dial)


def _reads_without_meter(plan: Plan, sample: Sample) -> Truth:
    """A reading that the step asks for and no meter on the bench can give."""
    has = {"set_voltage": ("voltmeter",), "current": ("ammeter", "wattmeter"), "power": ("wattmeter",)}
    clipped = {place for _, place in sample.before.clipped}
    for reading in sample.step.read:
        if reading in has and not any(plan.has(kind) for kind in has[reading]):
            return Truth.TRUE
        capacitors = {c.name for c in plan.set.filter_capacitors or ()}
        if reading in capacitors and reading not in clipped:
            return Truth.TRUE
        if reading == "B+" and not clipped & (capacitors | {"B+ to chassis", "B+ to common"}):
            return Truth.TRUE
    return Truth.FALSE


def _impossible(plan: Plan, sample: Sample) -> Truth:
    return Truth.of(why_impossible(sample.before, sample.step, plan) is not None)


STEP_FACTS: tuple[Fact, ...] = (
    _step("step.verb", words(*VERBS), "what is done in this step", lambda p, s: s.step.verb),
    _step("step.what", words(*WHAT), "what it is done to", _what),
    _step("step.measures", words(*MEASURED, NONE), "the quantity measured", lambda p, s: s.step.measures or NONE),
    _step("step.across", words(*PLACES, CAPACITOR, NONE), "the place measured or clipped to", _across),
    _step("step.set_switch", words("on", "off", "both", NONE), "how the set's switch stands in a cold measurement",
          lambda p, s: s.step.set_switch or NONE),
    _step("step.plug_ways", words("one", "both", NONE), "whether a leakage test is done with the plug both ways round",
          lambda p, s: s.step.plug_ways or NONE),
    _step("step.fed_from", words(*FED_FROM, NONE), "what feeds the set while its leakage is measured",
          lambda p, s: s.step.fed_from or NONE),
    _step("step.touches", words(*TOUCHES), "where the step puts a hand or a tool",
          lambda p, s: touch(s.step, s.before)),
    _step("step.passed", TRUTH, "the step has a criterion that can fail and a branch for failing, and has passed it",
          _passed),
    _step("step.resistance_from", quantity("resistance"), "the lowest resistance that the step lets pass",
          _criterion("resistance", "from")),
    _step("step.resistance_up_to", quantity("resistance"), "the highest resistance that the step lets pass",
          _criterion("resistance", "up to")),
    _step("step.current_up_to", quantity("current"), "the highest current that the step lets pass",
          _criterion("current", "up to")),
    _step("step.voltage_up_to", quantity("voltage"), "the highest voltage that the step lets pass",
          _criterion("voltage", "up to")),
    _step("step.expects_set_voltage_up_to", quantity("voltage"), "the highest voltage at the set that it lets pass",
          _expected("set_voltage")),
    _step("step.expects_full_glow", TRUTH, "the step expects the limiter lamp at full glow", _expects_full_glow),
    _step("step.expects_readings", TRUTH, "the step says what the meters should show", _expects_readings),
    _step("step.shorted_plug", TRUTH, "the step uses a shorted plug", _shorted),
    _step("step.settle", quantity("time"), "how long the meter is left to settle", lambda p, s: s.step.settle or NO_TIME),
    _step("step.hold", quantity("time"), "how long the step is sure to hold", _hold),
    _step("step.lasting", quantity("time"), "how long a discharge is held", lambda p, s: s.step.lasting or NO_TIME),
    _step("step.through", quantity("resistance"), "the resistance of the discharging tool",
          lambda p, s: s.step.through.resistance if s.step.through else NO_TIME),
    _step("step.below", quantity("voltage"), "the voltage under which it counts as dead",
          lambda p, s: Interval.exactly(s.step.below.high) if s.step.below else NO_CEILING),
    _step("step.clips_first", words(*CLIPPED_FIRST, NONE), "what the discharging tool is clipped to before it touches",
          lambda p, s: s.step.clip_first or NONE),
    _step("step.to", quantity("voltage"), "the voltage that the step goes up to, 0 where it names none",
          lambda p, s: Interval.exactly(s.step.to.high) if s.step.to else NO_TIME),
    _step("step.at_most", quantity("current"), "the highest current that a reforming step allows", _at_most),
    _step("step.dial_rise", quantity("voltage"), "how far the dial is turned up in this step", _dial_rise),
    _step("step.reads_set_voltage", TRUTH, "the voltage at the set is read", _reads("set_voltage")),
    _step("step.reads_current", TRUTH, "the current is read", _reads("current")),
    _step("step.reads_b_plus", TRUTH, "B+ or the voltage on a filter capacitor is read", _reads_b_plus),
    _step("step.reads_lamp", TRUTH, "the lamp is looked at", _reads("lamp")),
    _step("step.reads_without_meter", TRUTH, "a reading is asked for that no meter can give", _reads_without_meter),
    _step("step.after_cooling", TRUTH, "the step says that it waits until the lamp is cool",
          lambda p, s: Truth.of("cool" in (s.step.after or ""))),
    _step("step.impossible", TRUTH, "the step cannot be done as the bench then stands", _impossible),
    _step("step.first_of_branch", TRUTH, "this is the end of the first action after a stop or a failed check",
          lambda p, s: Truth.of(s.tail == 1 and s.exit)),
    _step("attended", TRUTH, "somebody watches", _attended, "bench.people.attended"),
    _state("bench_plugged", TRUTH, "the bench is plugged into the wall", lambda p, s: Truth.of("bench" in s.plugged)),
    _state("set_plugged", TRUTH, "the set is plugged into the bench", lambda p, s: Truth.of("set" in s.plugged)),
    _state("set_connected", TRUTH, "set and bench are both plugged in: only switches stand between wall and set",
           lambda p, s: Truth.of(s.plugged >= {"bench", "set"})),
    _state("set_switched_on", TRUTH, "the switch of the set is on",
           lambda p, s: Truth.of("set" in s.on or p.set.switch == "none")),
    _state("supply_on", TRUTH, "the bench is fed from the wall", circuit.supply_on),
    _state("fed", TRUTH, "volts can reach the set's outlet on the bench", circuit.fed),
    _state("cord_live", TRUTH, "the set's cord carries volts, its own switch on or off", circuit.cord_live),
    _state("energised", TRUTH, "volts reach the set past its own switch", circuit.energised),
    _state("dial", quantity("voltage"), "the mark on the dial; 0 before a step has set it, see dial_set",
           lambda p, s: s.dial or NO_TIME),
    _state("dial_set", TRUTH, "a step has said where the dial stands", lambda p, s: Truth.of(s.dial is not None)),
    _state("dial_stood", quantity("time"), "how long holds are sure to have kept the dial where it is",
           lambda p, s: Interval.exactly(s.dial_stood)),
    _state("b_plus_fed", TRUTH, "the set is energised and its rectifier is in, so that B+ can rise", _b_plus_fed,
           "set.rectifier.kind"),
    _state("b_plus_loaded", TRUTH, "B+ never stands without load: its rectifier tube is indirectly heated and the"
           " tubes that it feeds are in", _b_plus_loaded, "set.rectifier.kind", "set.rectifier.heater"),
    _state("dial_at_zero", TRUTH, "a step has brought the dial to zero and none has raised it",
           lambda p, s: Truth.of(s.dial == circuit.ZERO)),
    _state("dial_output", quantity("voltage"), "what the adjustable supply puts out", circuit.dial_output,
           "mains.voltage"),
    _state("set_voltage", quantity("voltage"), "the volts at the set", circuit.set_voltage, "mains.voltage"),
    _state("aimed_voltage", quantity("voltage"), "the volts that the plan means the supply to give: what the meter at"
           " the set was brought to, else the mark on the dial, without a dial the nominal voltage at the wall",
           _aimed_voltage, "mains.voltage"),
    _state("limiter_in", TRUTH, "the set is fed through the lamp", circuit.limiter_in, "bench.chain.limiter.bypass"),
    _state("bypass_closed", TRUTH, "the limiter's bypass is closed", lambda p, s: s.bypass_closed,
           "bench.chain.limiter.bypass"),
    _state("lamp_fitted", TRUTH, "a lamp is in the limiter", lambda p, s: Truth.of(s.lamp is not None)),
    _state("lamp_hot", TRUTH, "the lamp may have carried current", lambda p, s: Truth.of(s.lamp_hot)),
    _state("lamp.power", quantity("power"), "rated power of the lamp in the limiter", _lamp("power"),
           "bench.chain.limiter.lamp.power"),
    _state("lamp.voltage", quantity("voltage"), "rated voltage of that lamp", _lamp("voltage"),
           "bench.chain.limiter.lamp.voltage"),
    _state("lamp.filament", TRUTH, "that lamp has a tungsten filament", _filament, "bench.chain.limiter.lamp.kind"),
    _state("earth_joined", TRUTH, "something joins the set to earth: an earthed output, a bonded chassis, a lead,"
           " an instrument", circuit.earth_joined, "bench.chain.isolating_transformer.output_earthed", "set.earth",
           "set.aerial", "set.earth_lead"),
    _state("lead_to_earth", TRUTH, "an aerial, an earth lead or an earthed output of the isolating transformer joins the"
           " set to earth", circuit.lead_to_earth, "bench.chain.isolating_transformer.output_earthed", "set.aerial",
           "set.earth_lead"),
    _state("second_device", TRUTH, "a step has put a second device on the supply of the set",
           _connected("second device")),
    _state("load_connected", TRUTH, "a loudspeaker or dummy load is on the output", _loaded, "set.speaker"),
    _state("interlock_bypassed", TRUTH, "the interlock of the back is bypassed", _interlock_bypassed, "set.interlock"),
    _state("motor_connected", TRUTH, "the motor is connected", _motor_connected, "set.motor"),
    _state("tubes_out", TRUTH, "the tubes are out of their sockets", lambda p, s: Truth.of("tubes" in s.out)),
    _state("stopped", TRUTH, "power was cut by a stop and the cause is not found yet", lambda p, s: Truth.of(s.stopped)),
)
