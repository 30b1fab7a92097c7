"""The numbers among the stop conditions, as they are met on the meters at one setting of the dial."""

from __future__ import annotations

import pytest

from auditor.bench.stop_limits import StopLimit, stop_limits
from auditor.logic.interval import Interval

DIAL = Interval.exactly(117.0)


def the_limit(condition: str, dial: Interval | None = DIAL) -> StopLimit:
    found, = stop_limits([condition], dial)
    return found


@pytest.mark.parametrize(("condition", "limit"), [
    ("set current above 400 mA", StopLimit("current", "above", Interval.exactly(0.4), None)),
    ("current over 1.85 A for 10 s", StopLimit("current", "above", Interval.exactly(1.85), "10 s")),
    ("B+ above 180 V", StopLimit("B+", "above", Interval.exactly(180.0), None)),
    ("HT below 60 V after 2 min", StopLimit("B+", "below", Interval.exactly(60.0), "2 min")),
    ("set voltage below 43.5 V", StopLimit("set_voltage", "below", Interval.exactly(43.5), None)),
])
def test_a_limit_in_amperes_or_volts_stands_as_it_is_written(condition: str, limit: StopLimit) -> None:
    assert the_limit(condition) == limit


def test_a_share_of_the_dial_becomes_volts_that_a_meter_shows_and_never_fewer_than_the_share() -> None:
    assert the_limit("set voltage below 40 % of the dial after 1 min") == StopLimit(
        "set_voltage", "below", Interval.exactly(47.0), "1 min")  # 46.8 V
    assert the_limit("set voltage below half the dial", Interval.exactly(15.0)).value == Interval.exactly(7.5)
    assert the_limit("set voltage below half the dial", Interval(110.0, 130.0)).value == Interval(55.0, 65.0)


@pytest.mark.parametrize("condition", ["smoke", "current above the usual", "current above 0.4 A unless it falls",
                                       "B+ above 400 V at full dial",
                                       "set voltage below 40 % of the dial with the dial at 90 V",
                                       "set voltage below " + "9" * 500 + " V"])
def test_what_gives_no_number_for_this_setting_is_no_limit(condition: str) -> None:
    assert stop_limits([condition], DIAL) == ()


def test_a_share_of_a_dial_that_is_not_known_is_no_limit() -> None:
    assert stop_limits(["set voltage below half the dial"], None) == ()
