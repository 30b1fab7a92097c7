"""Facts of what the meters would show: what the electrical model makes of how the bench stands."""

from __future__ import annotations

import re
from functools import cached_property
from typing import TYPE_CHECKING

from auditor.bench import circuit
from auditor.bench.fact import NO_CEILING, TRUTH, Fact, ReadingReader, WrittenReader, number, quantity
from auditor.bench.state import State
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.kinds import Kind
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

if TYPE_CHECKING:  # the model is loaded when the first reading is asked for
    from auditor.bench.prediction import Readings

SOURCE = ("mains.voltage", "bench.chain.isolating_transformer.rated_power", "bench.chain.limiter.lamp.power",
          "bench.chain.limiter.lamp.joined",
          "bench.chain.limiter.lamp.voltage", "bench.chain.limiter.lamp.kind")
DESCRIBED = (*SOURCE, "set.power_supply", "set.rated_voltage", "set.rated_power", "set.motor",
             "set.motor_power")
"""What a reading depends on: of the source, and of the set."""
FORMING = re.compile(r"\b(re)?form(s|ed|ing)?\b", re.IGNORECASE)


class Foreseen:
    """What the model makes of one state, computed when it is first asked for and then kept."""

    def __init__(self, plan: Plan, state: State) -> None:
        self._plan, self.state = plan, state

    @cached_property
    def settled(self) -> Readings:
        """Of a healthy set, when all has settled."""
        from auditor.bench.prediction import settled

        return settled(self._plan, self.state)

    @cached_property
    def shorted(self) -> Readings:
        """Of a short in its place."""
        from auditor.bench.prediction import shorted

        return shorted(self._plan, self.state)

    @cached_property
    def healthy(self) -> Readings | None:
        """Of a healthy set, where the plan says all that they depend on, or no volts reach the set whatever it says."""
        of = self._plan.set
        said = circuit.cord_live(self._plan, self.state) is Truth.FALSE or _said(
            self._plan, self.state, of.power_supply, of.rated_voltage, of.rated_power, of.motor,
            of.motor_power if of.motor and any(what == "motor" for what, _ in self.state.connected) else 0)
        return self.settled if said else None

    @cached_property
    def limited(self) -> Readings | None:
        """Of a short behind a lamp of which the plan says enough."""
        through = circuit.limiter_in(self._plan, self.state) is not Truth.FALSE
        return self.shorted if through and _said(self._plan, self.state) else None


def alike(state: State) -> State:
    """The state with only what readings depend on: two that are equal in this show the same readings."""
    return State(plugged=state.plugged, on=state.on, dial=state.dial, set_reading=state.set_reading, lamp=state.lamp,
                 bypass_closed=state.bypass_closed, charged=state.charged, connected=state.connected, out=state.out)


def _reading(name: str, kind: Kind, meaning: str, read: ReadingReader, *asks: str) -> Fact:
    return Fact(name, kind, meaning, "reading", read, asks)


def _said(plan: Plan, state: State, *of_the_set: object) -> bool:
    """Whether the plan says what a reading depends on: these of the set, the source, and the lamp in the way.

    Where it does not, the model takes what is usual. That may be put before a person, its assumptions below; a rule
    is not decided by it.
    """
    transformer = plan.record("isolating_transformer")
    said = [plan.mains.voltage, *of_the_set]
    if transformer is not None:
        said.append(transformer.rated_power)
    if state.lamp is not None and circuit.limiter_in(plan, state) is not Truth.FALSE:
        said += [state.lamp.power, state.lamp.voltage, state.lamp.kind]
        if len(state.lamp.each) > 1:
            said.append(state.lamp.joined)
    return None not in said


def _healthy(foreseen: Foreseen, field: str) -> Interval:
    """A reading of the healthy set; anything where the plan does not say enough, or the model has no law."""
    readings = foreseen.healthy
    return ANYTHING if readings is None else number(getattr(readings, field))


def _settled(field: str) -> ReadingReader:
    return lambda plan, state, foreseen: _healthy(foreseen, field)


def _settling_time(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
    """It does not depend on the watts of anything, and is the wider for what is not said of tubes [s]."""
    return number(foreseen.settled.settling_time)


def _b_plus(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
    return ANYTHING if plan.set.b_plus is None else _healthy(foreseen, "b_plus")


def _behind_the_lamp(field: str) -> ReadingReader:
    """A reading of a short behind the lamp; anything where no lamp limits it."""
    def read(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
        readings = foreseen.limited
        return ANYTHING if readings is None else number(getattr(readings, field))
    return read


def _set_voltage(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
    """The bound that holds for any set; through the lamp, what the electrical model makes of it for a healthy one; fed
    directly, less by what transformer and wiring take of it."""
    bound = circuit.set_voltage(plan, state)
    if bound.low == bound.high:
        return bound
    healthy = _healthy(foreseen, "set_voltage")
    if circuit.limiter_in(plan, state) is Truth.FALSE:
        return Interval(max(0.0, min(bound.low, healthy.low)), bound.high) if foreseen.healthy is not None else bound
    return bound.meet(healthy) or bound


def _unloaded(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
    """What B+ rises to at the volts of the set when nothing draws on it: the peak of the winding or of the line [V].

    Without a transformer it is the peak of a sine wave at least, whatever is stated; a doubler makes it more.
    """
    from auditor.bench.electrical.b_plus import FLATTENED, MAINS_PEAK

    volts, rated, peak = _set_voltage(plan, state, foreseen), plan.set.rated_voltage, plan.set.b_plus_peak
    if rated is None or plan.set.power_supply not in ("transformer", "transformerless"):
        return ANYTHING
    if plan.set.power_supply == "transformerless":
        # Direct current has no peak above the line, whatever is stated for alternating current.
        on_direct_current = circuit.direct_current(plan)
        line = rated if on_direct_current else rated * MAINS_PEAK
        peak = line if peak is None or on_direct_current else Interval(max(line.low, peak.low), max(line.high, peak.high))
    if peak is None:
        return ANYTHING
    rounded = Interval(1.0 if circuit.limiter_in(plan, state) is Truth.FALSE else FLATTENED, 1.0)
    return peak * volts / rated * rounded


def _supply_load(plan: Plan, state: State, foreseen: Foreseen) -> Interval:
    """The volts of the dial times the current of the set [VA]: the dial passes on what it takes, whatever its setting."""
    return _healthy(foreseen, "source_voltage") * _healthy(foreseen, "current")


def _named(step: Step, reading: str, kind: str) -> Interval | None:
    """What the step expects of a reading by name, where that is a number."""
    for name, value in step.expect.readings if step.expect else ():
        if name == reading and isinstance(value, tuple) and value[0] == kind:
            return value[1]
    return None


def _expects_a_number(reading: str, kind: str) -> WrittenReader:
    return lambda plan, step: Truth.of(_named(step, reading, kind) is not None)


def _expects(reading: str, kind: str) -> WrittenReader:
    return lambda plan, step: number(_named(step, reading, kind))


def _expects_from(reading: str, kind: str) -> WrittenReader:
    """The lowest value of a named reading that the step lets pass."""
    def read(plan: Plan, step: Step) -> Interval:
        named = _named(step, reading, kind)
        return Interval.exactly(max(named.low, 0.0) if named is not None else 0.0)
    return read


def _expects_up_to(reading: str, kind: str) -> WrittenReader:
    """The highest value of a named reading that the step lets pass."""
    def read(plan: Plan, step: Step) -> Interval:
        named = _named(step, reading, kind)
        return Interval.exactly(min(named.high, NO_CEILING) if named is not None else NO_CEILING)
    return read


def _expects_numbers(plan: Plan, step: Step) -> Truth:
    """Whether what the step expects of its readings is numbers alone; of words only a person can judge."""
    readings = step.expect.readings if step.expect else ()
    return Truth.of(bool(readings) and all(isinstance(value, tuple) for _, value in readings))


def _forms(plan: Plan, step: Step) -> Truth:
    """Whether the step is one in which capacitors are to form in the set: it says so, or reforms them there."""
    if step.verb == "reform":
        return Truth.UNKNOWN if step.inside is None else Truth.of(step.inside == "the set")
    said = " ".join(words for words in (step.doing, step.note, step.until.reading if step.until else None) if words)
    return Truth.of(step.verb != "work" and FORMING.search(said) is not None)


def _written(name: str, kind: Kind, meaning: str, read: WrittenReader) -> Fact:
    return Fact(name, kind, meaning, "written", read)


EXPECTED = (("set_voltage", "set_voltage", "voltage", "voltage at the set"), ("current", "current", "current", "current"),
            ("B+", "b_plus", "voltage", "B+"))
"""The readings of which a step may expect a number that can be computed: key, name in facts, kind, in words."""
EXPECTATIONS = tuple(
    fact for reading, called, kind, words in EXPECTED for fact in (
        _written(f"step.expects_{called}", TRUTH, f"the step expects a number of the {words}",
                 _expects_a_number(reading, kind)),
        _written(f"step.expected_{called}", quantity(kind), f"the {words} that the step expects", _expects(reading, kind)),
        _written(f"step.expects_{called}_from", quantity(kind), f"the lowest {words} that the step lets pass",
                 _expects_from(reading, kind)),
        _written(f"step.expects_{called}_up_to", quantity(kind), f"the highest {words} that the step lets pass",
                 _expects_up_to(reading, kind))))

READING_FACTS: tuple[Fact, ...] = (
    _reading("set_voltage", quantity("voltage"), "the volts at the set, settled, where it is well", _set_voltage,
             *DESCRIBED),
    _reading("set_current", quantity("current"), "the current that a healthy set draws, settled", _settled("current"),
             *DESCRIBED),
    _reading("b_plus", quantity("voltage"), "B+ of a healthy set, settled", _b_plus, *DESCRIBED,
             "set.B+", "set.filter"),
    _reading("b_plus_unloaded", quantity("voltage"), "what B+ rises to at these volts when no tube draws on it",
             _unloaded, *DESCRIBED, "set.B+_peak"),
    _reading("settling_time", quantity("time"), "how long the readings take to settle after a change",
             _settling_time, "mains.voltage", "set.power_supply", "set.output"),
    _reading("dial_needed", quantity("voltage"), "what the supply must give for the volts that the set is brought to,"
             " where it is well", _settled("dial_needed"), *DESCRIBED),
    _reading("short_current", quantity("current"), "the current into a short behind the lamp",
             _behind_the_lamp("current"), *SOURCE),
    _reading("short_voltage", quantity("voltage"), "the volts that are left across a short behind the lamp",
             _behind_the_lamp("set_voltage"), *SOURCE),
    _reading("supply_load", quantity("power"), "the volt-amperes that a healthy set takes from the isolating transformer",
             _supply_load, *DESCRIBED),
    *EXPECTATIONS,
    _written("step.expects_numbers", TRUTH, "what the step expects of its readings is numbers alone", _expects_numbers),
    _written("step.forms", TRUTH, "capacitors are to form in the set during the step", _forms),
)
