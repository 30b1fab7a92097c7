"""What holds of every circuit: energy is kept, more lamp is more volts, ranges enclose and only shrink."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.lamp import series_lamp
from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.operating_point import Source, settle
from auditor.bench.electrical.ranges import Circuit, Settled, brought_to, settled
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import FRACTIONS, THOROUGH, Sampled, circuits, narrowed, sampled

READINGS = ("set_voltage", "current", "set_power", "lamp_voltage", "lamp_power", "temperature")
ROUNDING = 1e-7
"""What the solver may be off by, relative."""
FULL_SCALE = {"set_voltage": 100.0, "current": 1.0, "set_power": 100.0, "lamp_voltage": 100.0, "lamp_power": 100.0,
              "temperature": 1000.0}
"""Of a reading: below ROUNDING times this it is nothing."""


def shown(circuit: Sampled) -> dict[str, float]:
    point = circuit.settle()
    return {"set_voltage": point.set_voltage, "current": point.current,
            "set_power": point.set_voltage * point.current * circuit.factor(point.set_voltage),
            "lamp_voltage": point.lamp_voltage, "lamp_power": point.lamp_power, "temperature": point.temperature}


def holds(reading: str, interval: Interval, value: float) -> bool:
    slack = ROUNDING * max(abs(interval.high), FULL_SCALE[reading])
    return interval.low - slack <= value <= interval.high + slack


@given(circuits(), FRACTIONS)
@THOROUGH
def test_a_range_holds_what_every_circuit_inside_the_bands_settles_to(circuit: Circuit, fractions: list[float]) -> None:
    ranges, values = settled(circuit), shown(sampled(circuit, fractions))
    for reading in READINGS:
        assert holds(reading, getattr(ranges, reading), values[reading]), reading


@given(st.data())
@THOROUGH
def test_a_narrower_input_never_gives_a_wider_reading(data: st.DataObject) -> None:
    wide = data.draw(circuits())
    narrow = data.draw(narrowed(wide))
    outer, inner = settled(wide), settled(narrow)
    for reading in READINGS:
        one, other = getattr(outer, reading), getattr(inner, reading)
        # The top of a hump is found within a thousandth.
        slack = (1.1e-3 if reading.endswith("power") else ROUNDING) * max(abs(one.high), FULL_SCALE[reading])
        assert one.low - slack <= other.low, reading
        assert other.high <= one.high + slack, reading


@given(circuits(), FRACTIONS)
@THOROUGH
def test_energy_is_conserved(circuit: Circuit, fractions: list[float]) -> None:
    one = sampled(circuit, fractions)
    point = one.settle()
    drop = point.lamp_voltage + one.source.resistance * point.current
    assert abs(drop ** 2 + point.set_voltage ** 2 + 2 * one.factor(point.set_voltage) * drop * point.set_voltage
                   - one.source.voltage ** 2) <= 1e-6 * max(one.source.voltage ** 2, 1.0)
    if point.current > 1e-4:
        heat = point.lamp_power + one.source.resistance * point.current ** 2
        to_set = point.set_voltage * point.current * one.factor(point.set_voltage)
        # What the source gives is at most its volts times the current, and all of it is heat in lamp, wire and set.
        given_out = (heat + to_set) / (one.source.voltage * point.current)
        assert given_out <= 1 + 1e-6
        assert abs(point.current - one.load(point.set_voltage)) <= ROUNDING * FULL_SCALE["current"]


@given(circuits(), FRACTIONS)
@THOROUGH
def test_the_set_never_gets_more_than_the_dial_gives(circuit: Circuit, fractions: list[float]) -> None:
    one = sampled(circuit, fractions)
    assert 0.0 <= one.settle().set_voltage <= one.source.voltage * (1 + 1e-12)
    assert settled(circuit).set_voltage.high <= circuit.voltage.high * (1 + 1e-12)


@given(circuits(with_lamp=True), FRACTIONS, st.floats(10, 300), st.floats(10, 300))
@THOROUGH
def test_more_lamp_watts_never_lower_the_volts_at_the_set(
        circuit: Circuit, fractions: list[float], one: float, other: float) -> None:
    base = sampled(circuit, fractions)
    volts = [settle(base.source, series_lamp(watts, 120.0), base.set_load, base.power_factor).set_voltage
             for watts in sorted((one, other))]
    assert volts[0] <= volts[1] + ROUNDING * FULL_SCALE["set_voltage"]


@given(circuits(with_lamp=True), FRACTIONS, st.floats(0, 300), st.floats(0, 300))
@THOROUGH
def test_more_on_the_dial_never_lowers_the_volts_at_the_set(
        circuit: Circuit, fractions: list[float], one: float, other: float) -> None:
    base = sampled(circuit, fractions)
    low, high = (settle(Source(volts, base.source.resistance), base.lamp, base.set_load, base.power_factor)
                 for volts in sorted((one, other)))
    assert low.set_voltage <= high.set_voltage + ROUNDING * FULL_SCALE["set_voltage"]
    assert low.current <= high.current + ROUNDING * FULL_SCALE["current"]


@given(circuits(), st.floats(1, 250), st.floats(0, 20))
@THOROUGH
def test_what_the_dial_must_stand_at_brings_the_set_back_to_its_reading(
        circuit: Circuit, volts: float, width: float) -> None:
    reading = Interval(volts, volts + width)
    there = brought_to(reading, circuit)
    back = settled(Circuit(there.source_voltage, circuit.resistance, circuit.lamp, circuit.load))
    assert back.set_voltage.low <= reading.low * (1 + 1e-6)
    assert reading.high <= back.set_voltage.high * (1 + 1e-6)


@given(circuits(with_lamp=True))
@THOROUGH
def test_a_set_that_draws_nothing_leaves_the_lamp_dark_and_gets_all_the_volts(circuit: Circuit) -> None:
    off = SetLoad(circuit.load.voltage, Interval(0.0, 0.0), circuit.load.shape)
    got: Settled = settled(Circuit(circuit.voltage, circuit.resistance, circuit.lamp, off))
    assert got.set_voltage == circuit.voltage
    assert got.current == got.lamp_power == Interval(0.0, 0.0)
