"""Ranges are not wider than they need be, and say where they come from."""

from __future__ import annotations

import random

import pytest
from msgspec.structs import replace

from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import SetLoad, Shape
from auditor.bench.electrical.ranges import Circuit, brought_to, settled, widest_input
from auditor.bench.electrical.several_lamps import LampBands
from auditor.bench.usual_loads import TRANSFORMER_SET, TRANSFORMERLESS_SET
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import Sampled, sampled

EXACTLY = Interval.exactly
SAMPLES = 150
INPUTS = 23
READINGS = ("set_voltage", "current", "set_power", "lamp_voltage", "lamp_power", "temperature")
WIDEST = 1.3


def radio(volts: float, lamp: float | None) -> Circuit:
    band = None if lamp is None else LampBand(EXACTLY(lamp), EXACTLY(120))
    load = SetLoad(EXACTLY(117), Interval(28, 35), TRANSFORMERLESS_SET.shape)
    return Circuit(Interval(0.95 * volts, 1.05 * volts), Interval(0.0, 5.8), band, load)


def two(one: float, other: float, *, row: bool) -> LampBands:
    return LampBands((LampBand(EXACTLY(one), EXACTLY(120)), LampBand(EXACTLY(other), EXACTLY(120))), row)


CIRCUITS = {
    "a five-tube set on its first lamp, low": radio(30, 40),
    "a five-tube set on its first lamp": radio(117, 40),
    "a five-tube set on its running lamp": radio(117, 75),
    "a five-tube set fed directly": radio(105, None),
    "a five-tube set on two lamps side by side": replace(radio(117, 40), lamp=two(25, 40, row=False)),
    "a five-tube set on two lamps in a row": replace(radio(117, 40), lamp=two(100, 60, row=True)),
    "a transformer set on its running lamp": Circuit(
        Interval(114, 126), Interval(0, 4), LampBand(EXACTLY(150), EXACTLY(120)),
        SetLoad(EXACTLY(117), Interval(50, 60), TRANSFORMER_SET.shape)),
}


def values(one: Sampled) -> dict[str, float]:
    point = one.settle()
    return {"set_voltage": point.set_voltage, "current": point.current, "lamp_voltage": point.lamp_voltage,
            "lamp_power": point.lamp_power, "temperature": point.temperature,
            "set_power": point.set_voltage * point.current * one.factor(point.set_voltage)}


def extreme(circuit: Circuit, reading: str, sign: float, draw: random.Random) -> float:
    """The highest (sign 1) or lowest (-1) reading found: samples at random, and from the best one input at a time."""
    def value(fractions: list[float]) -> float:
        one = sampled(circuit, fractions)
        if reading == "temperature":  # of the coolest filament, or of the hottest
            return max(sign * temperature for temperature in one.temperatures(one.settle()))
        return sign * values(one)[reading]

    best = max(([draw.choice((0.0, 1.0, draw.random())) for _ in range(INPUTS)] for _ in range(SAMPLES)), key=value)
    for _ in range(2):
        for k in range(INPUTS):
            best = max((best, *([*best[:k], end, *best[k + 1:]] for end in (0.0, 0.5, 1.0))), key=value)
    return sign * value(best)


@pytest.mark.parametrize("reading", READINGS)
@pytest.mark.parametrize("name", CIRCUITS)
def test_no_range_is_over_one_and_a_third_times_the_sampled_one(name: str, reading: str) -> None:
    circuit, draw = CIRCUITS[name], random.Random(9)
    interval: Interval = getattr(settled(circuit), reading)
    low, high = extreme(circuit, reading, -1.0, draw), extreme(circuit, reading, 1.0, draw)
    assert interval.low <= low + 1e-6
    assert high - 1e-6 <= interval.high
    assert interval.high - interval.low <= WIDEST * (high - low) + 1e-6


def test_with_every_input_known_a_reading_is_one_number() -> None:
    shape = Shape(EXACTLY(0.5), EXACTLY(0.6), EXACTLY(1.0), EXACTLY(0.5), EXACTLY(0.9))
    circuit = Circuit(EXACTLY(120), EXACTLY(2), LampBand(EXACTLY(60), EXACTLY(120), 0.0, EXACTLY(0.1)),
                      SetLoad(EXACTLY(117), EXACTLY(40), shape))
    got = settled(circuit)
    for reading in READINGS:
        interval: Interval = getattr(got, reading)
        assert interval.high - interval.low <= 1e-9 * interval.high
    assert widest_input(circuit, "set_voltage") is None


def test_the_input_that_contributes_most_is_the_one_left_unknown() -> None:
    known = Shape(EXACTLY(0.5), EXACTLY(0.6), EXACTLY(1.0), EXACTLY(0.5), EXACTLY(0.9))
    lamp = LampBand(EXACTLY(60), EXACTLY(120), 0.0, EXACTLY(0.1))

    def named(voltage: Interval, ohms: Interval, power: Interval, shape: Shape = known, lamp: LampBand = lamp) -> str | None:
        return widest_input(Circuit(voltage, ohms, lamp, SetLoad(EXACTLY(117), power, shape)), "set_voltage")

    wall, ohms, power = EXACTLY(120), EXACTLY(1), EXACTLY(40)
    assert named(Interval(114, 126), ohms, power) == "the wall and the dial"
    assert named(wall, Interval(0, 9), power) == "the wiring and the transformer"
    assert named(wall, ohms, Interval(30, 50)) == "the set's power"
    assert named(wall, ohms, power, TRANSFORMER_SET.shape) == "how the set's current goes with its volts"
    assert named(wall, ohms, power, lamp=LampBand(EXACTLY(60), EXACTLY(120))) == "the lamp"


def test_a_set_fed_directly_at_its_rated_voltage_draws_its_rated_power() -> None:
    circuit = Circuit(EXACTLY(117), EXACTLY(0), None, SetLoad(EXACTLY(117), Interval(28, 35), TRANSFORMERLESS_SET.shape))
    power = settled(circuit).set_power
    assert (power.low, power.high) == pytest.approx((28, 35))


def test_a_set_brought_to_its_rated_voltage_draws_its_rated_power_through_any_lamp() -> None:
    power = brought_to(EXACTLY(117), radio(120, 60)).set_power
    assert (power.low, power.high) == pytest.approx((28, 35))


def test_the_shape_of_a_set_must_let_its_heaters_count_most_at_low_volts() -> None:
    with pytest.raises(ValueError, match="exponent"):
        Shape(Interval(0.2, 0.5), Interval(0.5, 0.9), Interval(0.8, 1.0), EXACTLY(0.5), EXACTLY(1.0))
