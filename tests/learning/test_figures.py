"""The numbers that are taught, against what others published, worked out here from their words."""

from __future__ import annotations

import re
from math import exp

import pytest

from auditor.learning.figures import FIGURES, hand_behind_lamp, kills_after, soft_share
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.quantity import parse_quantity


def number(name: str, kind: str) -> float:
    """A number as the texts show it, with its two or three digits."""
    shown = parse_quantity(FIGURES[name]().removeprefix("opens within "), DIMENSIONS[kind])
    assert shown.low == shown.high
    return shown.low


def near(value: float) -> object:
    """As near as two digits come."""
    return pytest.approx(value, rel=0.05)


def test_a_lamp_passes_into_a_short_what_is_printed_on_it() -> None:
    assert number("short_small", "current") == near(60 / 120)
    assert number("short_large", "current") == near(100 / 120)
    assert number("lamp_heat_small", "power") == near(60)


def test_the_share_of_the_lamp_that_a_soft_fault_gets_is_that_of_the_published_exponents() -> None:
    # Of a lamp whose current goes as the n-th power of its volts, a resistance behind it gets at most the maximum of
    # v^n (1 - v), which lies at v = n / (1 + n). Handbooks give n between 0.5 and 0.6 (0.55: Fink and Beaty, Standard
    # Handbook for Electrical Engineers, as quoted elsewhere): 0.385 and 0.347.
    def most(n: float) -> float:
        return float((n / (1 + n)) ** n / (1 + n))

    share = soft_share()
    assert most(0.6) - 0.005 <= share.low <= share.high <= most(0.5)
    assert share.low <= most(0.55) <= share.high


def test_the_lamp_takes_hardly_anything_off_what_a_hand_gets() -> None:
    # IEEE Std 80 (as quoted elsewhere): 1000 ohm of a person. With a lamp of 60 W, which has 240 ohm at most, at its
    # full glow, the current lies between that of both in a row and that of the person alone.
    assert 120 / (1000 + 240) < hand_behind_lamp(60) < 120 / 1000
    assert hand_behind_lamp(60) < hand_behind_lamp(100)


def test_how_long_a_hand_stands_the_mains_is_the_law_of_dalziel_and_lee() -> None:
    # 116 mA / sqrt(T) (Dalziel and Lee 1968); 67 mA for three seconds (NAVEDTRA 14086).
    assert number("kills_in_a_second", "current") == pytest.approx(0.116)
    assert kills_after(0.067) == pytest.approx(3.0, rel=0.01)
    assert number("hand_kills_after", "time") == near((0.116 / 0.120) ** 2)


def test_the_thresholds_of_a_person_are_the_published_ones() -> None:
    assert number("startles", "current") == 0.5e-3  # UL 101, ANSI C39.5
    assert number("holds", "current") == 6e-3  # 99.5 % of women let go (Dalziel and Lee 1968)
    assert number("touchable_ac", "voltage") == 30  # IEC 61010-1, 6.3.1 a
    assert number("touchable_dc", "voltage") == 60  # the same
    assert number("harmful", "voltage") == 15  # NAVEDTRA 14009
    assert number("dangerous_energy", "energy") == 10  # DOE-HDBK-1092-98, figure 10-1


def test_a_line_bypass_lets_through_what_its_reactance_does() -> None:
    # 0.05 uF at 126 V and 60 Hz through the 2000 ohm of IEC 60990: 2.38 mA with the body left out.
    assert number("line_bypass_touch", "current") == near(126 * 2 * 3.14159 * 60 * 0.05e-6)


def test_a_residual_current_device_opens_as_its_standards_say() -> None:
    # UL 943: (20 / I)^1.43 seconds, I in mA. IEC 61008: 0.3 s from the rated current on, below five times that.
    assert number("class_a_opens", "time") == near((20 / 120) ** 1.43)
    assert number("general_opens", "time") == 0.3


def test_a_fuse_opens_as_its_standards_say_and_never_for_a_hand() -> None:
    assert FIGURES["fuse_at_its_rating"]() == "does not open"
    assert number("fuse_at_twice", "time") == 120  # UL 248-14: 200 % within two minutes
    assert number("fuse_at_a_cord_short", "time") == 0.3  # IEC 60127-2, sheet 3: ten times within 300 ms
    assert FIGURES["fuse_at_a_hand"]() == "does not open"


def test_a_cord_carries_what_the_code_says() -> None:
    assert number("cord", "current") == 10  # NEC, table 400.5(A): 18 AWG


def test_the_charge_that_is_left_follows_the_law_of_the_capacitor() -> None:
    # OpenStax, College Physics, 21.6: V exp(-t / R C).
    assert 178 * exp(-number("tool_empties_in", "time") / (10e3 * 40e-6)) == pytest.approx(10, rel=0.15)
    assert 178 * exp(-number("bleeder_takes", "time") / (470e3 * 80e-6)) == near(60)
    assert number("large_held", "energy") == near(100e-6 * 450 ** 2 / 2)


def test_an_earth_takes_all_but_a_thousandth() -> None:
    # A leak of 1 kohm and a conductor of 1 ohm divide 120 V; the body has a thousand times the ohms of the conductor.
    assert number("earthed_touch", "current") == near(120 / 1001 / 1000)
    assert number("unearthed_touch", "current") == near(120 / 2000)


def test_every_number_is_said_without_a_gap() -> None:
    for name, figure in FIGURES.items():
        assert re.fullmatch(r"\S.*\S", figure()), name
        assert "inf" not in figure(), name
        assert "nan" not in figure(), name


def test_low_on_the_dial_a_short_glows_dull_red_and_a_healthy_set_gets_most_of_the_volts() -> None:
    # A quarter of the dial (common practice): a dead short is dull red, a healthy set leaves the lamp nearly dark.
    assert FIGURES["short_looks_low"]() == "dull red"
    assert parse_quantity(FIGURES["healthy_volts_low"](), DIMENSIONS["voltage"]).low > 30 / 2
