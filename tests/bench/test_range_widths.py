"""No reading of any settled state of any procedure of the club is a wider range than it has to be.

Every circuit that a state stands for is sampled inside its bands: at random, and from the best sample found on to the ends
of one band after the other, which is where extremes are. The computed range must hold all samples, and be at most 1.3 times
as wide as what they reach from end to end.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from unittest.mock import patch

import pytest

from auditor.bench import prediction
from auditor.bench.electrical.bracket import bracketed
from auditor.bench.electrical.motor import STANDING, starts_at
from auditor.bench.electrical.operating_point import needed
from auditor.bench.electrical.ranges import Circuit
from auditor.bench.electrical.switching import SwitchingLoad, running_points
from auditor.bench.electrical.tungsten import ROOM
from auditor.bench.reading_facts import alike
from auditor.bench.state import State
from auditor.bench.trace import replay
from auditor.logic.interval import Interval
from auditor.plan.files import plan_texts
from auditor.plan.plan import Plan
from tests.bench.electrical.circuits import at, sampled

FOLDER = Path(__file__).parents[2] / "procedures"
WRITTEN = sorted(path.name for path in FOLDER.iterdir() if not path.name.endswith((".card.yaml", "policy.yaml")))
WIDEST = 1.3
SAMPLES = 24
INPUTS = 23
"""Of source 2, lamp 4, set 7, motor 5, a second lamp 4, and the reading."""
PASSES = 2
SHOWN = ("set_voltage", "current", "lamp_voltage", "lamp_power", "set_power", "filament_temperature", "dial_needed")
FULL_SCALE = {"set_voltage": 100.0, "current": 1.0, "lamp_voltage": 100.0, "lamp_power": 100.0, "set_power": 100.0,
              "filament_temperature": 1000.0, "dial_needed": 100.0}
NARROW = 1e-4
"""Of full scale: what no meter tells apart."""
Values = dict[str, float]


@dataclass(frozen=True)
class Case:
    """One circuit that a state can stand for; the set's meter was brought to `reading`, if at all."""

    circuit: Circuit
    reading: Interval | None
    switching: SwitchingLoad | None

    def values(self, fractions: list[float]) -> list[Values]:
        """What is read with every input at this fraction of its band; several where a supply can run at several points.

        Nothing where the motor can be so at none of these volts: standing still where it starts, turning where it cannot.
        """
        assert self.circuit.lamp is None or self.circuit.lamp.ratio == Interval.exactly(1.0), "a lamp before the dial"
        if self.switching is not None:
            return list(self._switching(self.switching, fractions))
        one = sampled(self.circuit, fractions)
        if self.reading is None:
            point = one.settle()
            if not self._motor_can_be_so(point.set_voltage):
                return []
            return [_values(point.set_voltage, point.current, point.lamp_voltage, point.temperature,
                            one.factor(point.set_voltage))]
        volts = at(self.reading, fractions[-1])
        if not self._motor_can_be_so(volts):
            return []
        amps = one.load(volts)
        across = one.lamp.voltage_at(amps) if one.lamp else 0.0
        temperature = one.lamp.temperature_at(across) if one.lamp else ROOM
        dial = needed(volts, across + one.source.resistance * amps, one.factor(volts))
        return [{**_values(volts, amps, across, temperature, one.factor(volts)), "dial_needed": dial}]

    def _motor_can_be_so(self, volts: float) -> bool:
        motor = self.circuit.motor
        if motor is None:
            return True
        starts = starts_at(motor.voltage)
        return volts <= starts.high if motor.shape == STANDING else volts >= starts.low

    @property
    def may_fall_off(self) -> bool:
        supply, circuit = self.switching, self.circuit
        return supply is not None and self.reading is None and (
            circuit.lamp is not None or circuit.voltage.low < supply.starts_at.high)

    def _switching(self, supply: SwitchingLoad, fractions: list[float]) -> Iterator[Values]:
        one, f = sampled(self.circuit, fractions), fractions[-3:]
        power, starts, factor = (at(band, x) for band, x in zip(
            (supply.power, supply.starts_at, supply.power_factor), f, strict=True))
        source, lamp = one.source, one.lamp
        if self.reading is not None:
            assert lamp is None, "no procedure brings a switching supply to a reading behind a lamp"
            volts = at(self.reading, fractions[-4])
            amps = power / (factor * volts) if volts >= starts else 0.0
            yield {**_values(volts, amps, 0.0, ROOM, factor), "dial_needed": needed(volts, source.resistance * amps, factor)}
        elif source.voltage < starts:
            yield _values(source.voltage, 0.0, 0.0, ROOM, factor)
        elif lamp is None:
            def excess(volts: float) -> float:
                return needed(volts, source.resistance * power / (factor * volts), factor) - source.voltage

            low = source.voltage / 2
            volts = source.voltage if excess(source.voltage) <= 0.0 else bracketed(
                excess, low, source.voltage, excess(low), excess(source.voltage))
            runs = volts >= starts
            yield _values(volts if runs else source.voltage, power / (factor * volts) if runs else 0.0, 0.0, ROOM, factor)
        elif points := running_points(source, lamp, power, starts, factor):
            for point in points:
                yield _values(point.set_voltage, point.current, point.lamp_voltage, point.temperature, factor)
        else:  # it starts and falls off, again and again: from nothing to all that its empty reservoir takes
            most = lamp.current_at(source.voltage)
            for amps in (0.0, most):
                across = lamp.voltage_at(amps)
                yield _values(source.voltage if amps == 0.0 else 0.0, amps, across, lamp.temperature_at(across), factor)


def _values(volts: float, amps: float, across: float, temperature: float, factor: float) -> Values:
    return {"set_voltage": volts, "current": amps, "lamp_voltage": across, "lamp_power": across * amps,
            "set_power": volts * amps * factor, "filament_temperature": temperature, "dial_needed": volts}


@cache
def plans(name: str) -> tuple[Plan, ...]:
    return tuple(text.read() for text in plan_texts(str(FOLDER / name), b""))


def settled_states(plan: Plan) -> list[State]:
    """Every state of every path in which the model has something to say, each once."""
    return list(dict.fromkeys(alike(sample.state) for sample, _ in replay(plan).laid_out))


def cases(plan: Plan, state: State) -> tuple[prediction.Readings, list[Case]]:
    """The readings of a state, and every circuit that they were computed from."""
    found: list[Case] = []
    settle, brought, switching = prediction.settle_circuit, prediction.brought_to, prediction._switching

    def settling(circuit: Circuit) -> object:
        found.append(Case(circuit, None, None))
        return settle(circuit)

    def bringing(reading: Interval, circuit: Circuit) -> object:
        found.append(Case(circuit, reading, None))
        return brought(reading, circuit)

    def running(circuit: Circuit, load: SwitchingLoad, reading: Interval | None) -> object:
        found.append(Case(circuit, reading, load))
        return switching(circuit, load, reading)

    with patch.multiple(prediction, settle_circuit=settling, brought_to=bringing, _switching=running):
        return prediction.settled(plan, state), found


@cache
def reach(case: Case) -> dict[str, tuple[float, float]]:
    """The lowest and the highest sample of each reading."""
    draw = random.Random(1926)
    starts = [[draw.choice((0.0, 1.0, draw.random())) for _ in range(INPUTS)] for _ in range(SAMPLES)]
    first = [(fractions, of) for fractions in starts if (of := case.values(fractions))]
    if not first:
        return {}
    seen = [values for _, of in first for values in of]

    def climbed(value: Callable[[list[Values]], float]) -> None:
        best, top = max(((fractions, value(of)) for fractions, of in first), key=lambda pair: pair[1])
        for _ in range(PASSES):
            for k in range(INPUTS):
                for end in (0.0, 1.0):
                    if best[k] != end:
                        tried = [*best[:k], end, *best[k + 1:]]
                        of = case.values(tried)
                        seen.extend(of)
                        if of and value(of) > top:
                            best, top = tried, value(of)

    for name in SHOWN:
        climbed(lambda of, name=name: max(values[name] for values in of))  # type: ignore[misc]
        climbed(lambda of, name=name: -min(values[name] for values in of))  # type: ignore[misc]
    return {name: (min(values[name] for values in seen), max(values[name] for values in seen)) for name in SHOWN}


def widths(name: str) -> Iterator[tuple[str, Interval, float, float]]:
    """Each reading of each settled state: its name, the computed range, the lowest and the highest sample."""
    for plan in plans(name):
        for state in settled_states(plan):
            readings, of = cases(plan, state)
            for shown in SHOWN:
                computed: Interval | None = getattr(readings, shown)
                if of and computed is not None and not _only_a_bound(shown, of):
                    reached = [found[shown] for case in of if (found := reach(case))]
                    yield shown, computed, min(low for low, _ in reached), max(high for _, high in reached)


def _only_a_bound(shown: str, of: list[Case]) -> bool:
    """Of a switching supply that starts and falls off again watts, and volts where it is fed directly, are no readings."""
    falls_off = [case for case in of if case.may_fall_off]
    return bool(falls_off) and (shown == "set_power" or (
        shown == "set_voltage" and any(case.circuit.lamp is None for case in falls_off)))


@pytest.mark.parametrize("name", WRITTEN)
def test_no_range_is_over_one_and_a_third_times_what_samples_reach(name: str) -> None:
    for shown, computed, low, high in widths(name):
        narrow = NARROW * FULL_SCALE[shown]
        assert computed.low - narrow <= low, shown
        assert high <= computed.high + narrow, shown
        assert computed.high - computed.low <= WIDEST * (high - low) + narrow, (shown, computed, low, high)
