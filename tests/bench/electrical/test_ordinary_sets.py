"""Ordinary sets come out ordinary: figures of common practice, with no source beside it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from auditor.bench.electrical.bracket import bracketed
from auditor.bench.electrical.fault import most_heat, through_a_short
from auditor.bench.electrical.lamp import glow, relative_light, series_lamp
from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import SetLoad, relative_current
from auditor.bench.electrical.operating_point import Source, needed, settle
from auditor.bench.electrical.ranges import Circuit, Settled, settled
from auditor.bench.electrical.switching import running_points
from auditor.bench.usual_loads import TRANSFORMER_SET, TRANSFORMERLESS_SET
from auditor.logic.interval import Interval

EXACTLY = Interval.exactly
NOTHING = EXACTLY(0.0)

# One radio on a bench whose dial goes to about 140 V from a 120 V wall

FACTOR, RATED = 0.94, 117.0


def radio(watts: float) -> Callable[[float], float]:
    """A transformer set in the middle of its kind's bands, of so many watts at 117 V."""
    return lambda volts: watts / (RATED * FACTOR) * relative_current(volts / RATED, 0.525, 0.625, 1.05, 0.475)


def at_the_end(watts: float, lamp: float) -> float:
    return settle(Source(140), series_lamp(lamp, 120), radio(watts), FACTOR).set_voltage


@pytest.fixture(scope="module")
def fitted() -> float:
    """The watts at which the radio gets 90 V through a 60 W lamp with the dial at its end: the only thing fitted."""
    return bracketed(lambda watts: at_the_end(watts, 60) - 90, 5, 200, at_the_end(5, 60) - 90, at_the_end(200, 60) - 90)


def test_the_fitted_radio_is_an_ordinary_one(fitted: float) -> None:
    assert 40 <= fitted <= 60


def test_through_a_hundred_watt_lamp_it_gets_about_115_volts_at_the_end_of_the_dial(fitted: float) -> None:
    assert at_the_end(fitted, 100) == pytest.approx(115, abs=3)


def dial_for(watts: float, lamp: float, volts: float) -> float:
    bulb = series_lamp(lamp, 120)
    return needed(volts, bulb.voltage_at(radio(watts)(volts)), FACTOR)


def test_it_needs_a_visibly_higher_dial_than_through_a_hundred_and_fifty_watt_lamp(fitted: float) -> None:
    reached = at_the_end(fitted, 100)
    assert dial_for(fitted, 100, reached) == pytest.approx(140, abs=0.01)
    assert dial_for(fitted, 150, reached) < 130


def test_the_hundred_and_fifty_watt_lamp_then_barely_glows(fitted: float) -> None:
    bulb = series_lamp(150, 120)
    assert glow(bulb.temperature_at(bulb.voltage_at(radio(fitted)(115)))) == "a trace of red in the dark"


# Lamp against set, healthy, full dial: lamp watts over set watts, and the set's volts in % as a power law of the set's
# current (exponents 0.55 to 1) and of the lamp's (0.55) gives them.

TABLE = [(0.5, 22, 38), (0.75, 37, 51), (1.0, 50, 60), (1.5, 68, 73), (2.0, 78, 81), (2.5, 84, 86), (3.0, 88, 89),
         (4.0, 93, 95)]


def through(ratio: float, watts: float = 50.0) -> Settled:
    return settled(Circuit(EXACTLY(120), NOTHING, LampBand(EXACTLY(watts * ratio), EXACTLY(120)), SetLoad(
        EXACTLY(120), EXACTLY(watts), TRANSFORMER_SET.shape)))


@pytest.mark.parametrize(("ratio", "low", "high"), [row for row in TABLE if row[0] >= 1.0])
def test_lamps_of_the_set_s_watts_and_more_leave_it_the_usual_volts(ratio: float, low: float, high: float) -> None:
    got = through(ratio).set_voltage
    assert got.low / 1.2 <= high
    assert low <= got.high / 1.2
    assert low - 8 <= got.low / 1.2
    assert got.high / 1.2 <= high + 8


@pytest.mark.parametrize(("ratio", "low", "high"), [row for row in TABLE if row[0] < 1.0])
def test_on_a_smaller_lamp_the_set_gets_more_than_the_power_law_says_for_its_tubes_stay_cold(
        ratio: float, low: float, high: float) -> None:
    got = through(ratio).set_voltage
    assert low <= got.low / 1.2 <= high
    assert got.high / 1.2 < 70


def test_a_lamp_of_four_times_the_watts_protects_little() -> None:
    assert through(4.0).set_voltage.low > 0.9 * 120


# A dead short behind the lamp, at reduced dial: % of the dial, % of the lamp's current, % of its light. Below a tenth
# the power law behind these figures no longer holds: the filament levels off at its cold resistance.

@pytest.mark.parametrize(("dial", "current", "light"), [
    (10, 28, 0.04), (15, 35, 0.2), (25, 47, 0.9), (50, 68, 9), (75, 85, 38)])
def test_a_short_at_a_low_dial(dial: float, current: float, light: float) -> None:
    lamp = series_lamp(100, 120)
    point = through_a_short(Source(1.2 * dial), lamp)
    assert 100 * point.current / lamp.current == pytest.approx(current, abs=3)
    assert 100 * relative_light(point.temperature, lamp.law.rated_temperature) == pytest.approx(light, rel=0.25, abs=0.8)


@pytest.mark.parametrize(("dial", "words"), [
    (10, "a trace of red in the dark"), (25, "dull red"), (50, "orange"), (100, "white")])
def test_a_short_at_a_low_dial_glows_like_a_healthy_set(dial: float, words: str) -> None:
    assert glow(through_a_short(Source(1.2 * dial), series_lamp(100, 120)).temperature) == words


@pytest.mark.parametrize("lamp", [40, 60, 100, 150])
def test_a_soft_fault_gets_a_third_of_the_lamp_s_watts_at_two_thirds_of_the_volts(lamp: float) -> None:
    point = most_heat(Source(120), series_lamp(lamp, 120))
    assert 0.35 <= point.set_voltage * point.current / lamp <= 0.39
    assert point.set_voltage / 120 == pytest.approx(0.65, abs=0.02)


def test_a_switching_supply_needs_a_lamp_of_some_two_and_three_quarter_times_its_watts() -> None:
    lamp, source = series_lamp(100, 120), Source(120)
    assert running_points(source, lamp, 100 / 2.9, 0.0, 1.0)
    assert not running_points(source, lamp, 100 / 2.5, 0.0, 1.0)


# The usual classes with the lamps that the trade gives them: watts of the set, first lamp, running lamp.

CLASSES = {
    "transformer table radio": (TRANSFORMER_SET, 40, 60, 60, 125),
    "console": (TRANSFORMER_SET, 90, 130, 100, 225),
    "five-tube series heaters": (TRANSFORMERLESS_SET, 28, 35, 40, 70),
    "record player": (TRANSFORMERLESS_SET, 25, 45, 60, 100),
    "stereo amplifier": (TRANSFORMER_SET, 150, 220, 175, 350),
    "guitar amplifier": (TRANSFORMER_SET, 35, 50, 50, 100),
}


@pytest.mark.parametrize("name", CLASSES)
def test_the_running_lamp_of_a_class_lets_its_set_run_and_the_first_one_does_not(name: str) -> None:
    kind, low, high, first, run = CLASSES[name]
    load = SetLoad(EXACTLY(120), EXACTLY((low + high) / 2), kind.shape)

    def volts(lamp: float) -> Interval:
        return settled(Circuit(EXACTLY(120), NOTHING, LampBand(EXACTLY(lamp), EXACTLY(120)), load)).set_voltage

    assert volts(run).low > 0.70 * 120
    assert volts(run).high < 0.95 * 120
    assert volts(first).low < 0.70 * 120
    assert volts(first).high < 0.90 * 120
