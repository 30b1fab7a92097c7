"""Heater chains against worked examples and measurements; each check names its source and tolerance."""

from __future__ import annotations

import pytest

from auditor.bench.electrical.heaters import (
    cold_resistance,
    dropper,
    hot_resistance,
    settling_time,
    shunt,
    time_constant,
    warmed,
)


def test_the_dropper_of_a_four_tube_set() -> None:
    # capeoldradio.com, "Resistors in AC/DC radios": 6.3 + 6.3 + 25 + 25 V at 0.3 A, 117 V: 54.4 V, 181 ohm, 16 W.
    ohms, watts = dropper(117, 62.6, 0.3)
    assert ohms == pytest.approx(181, abs=0.5)
    assert watts == pytest.approx(16, abs=0.5)


def test_the_shunt_of_a_dial_lamp() -> None:
    # cool386.com, "Line cord resistors and other heater droppers", part 5: 126 ohm for 50 mA.
    assert shunt(0.25, 6.3, 0.3) == pytest.approx(126, abs=0.5)


def test_the_chain_of_a_five_tube_set() -> None:
    # 121 V at 150 mA (encyclopedia text on the five-tube set): 807 ohm, 18.2 W.
    assert hot_resistance(121, 0.15) == pytest.approx(807, abs=0.5)
    assert dropper(121 * 2, 121, 0.15)[1] == pytest.approx(18.2, abs=0.1)


def test_a_cold_chain_has_a_third_to_a_seventh() -> None:
    # audioXpress, September 2004, "Filament and High Voltage Power": 2.7 to 7.2 times the current when cold.
    cold = cold_resistance(121, 0.15)
    assert cold.low == pytest.approx(807 / 7.2, rel=0.01)
    assert cold.high <= 807 / 2.7


@pytest.mark.parametrize(("feed", "ninety", "ninety_nine"), [
    ("constant voltage", 6.7, 13.3), ("series resistance", 12.6, 20.4), ("constant current", 21.6, 31.6)])
def test_warming_passes_through_the_measured_times(feed: str, ninety: float, ninety_nine: float) -> None:
    # J. A. Harper, "Kindness to Filaments".
    assert warmed(ninety, feed) == pytest.approx(0.90, abs=1e-6)
    assert warmed(ninety_nine, feed) == pytest.approx(0.99, abs=1e-6)
    assert warmed(0.0, feed) == 0.0
    assert warmed(ninety * (1 - 1e-9), feed) == pytest.approx(warmed(ninety, feed), abs=1e-6)


def test_a_resistance_in_series_slows_the_warming() -> None:
    assert time_constant("constant voltage") < time_constant("series resistance") < time_constant("constant current")
    assert settling_time(True).low > settling_time(False).low
