"""Quantities as people write them."""

from __future__ import annotations

from math import inf

import pytest

from auditor.logic.dimension import DIMENSIONS, Dimension
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.quantity import QuantityError, format_quantity, parse_quantity
from auditor.logic.units import UNITS


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high"),
    [
        ("60 V", "voltage", 60, 60),
        ("60V", "voltage", 60, 60),
        ("0.12 kV", "voltage", 120, 120),
        ("1e3 V", "voltage", 1000, 1000),
        ("35..50 W", "power", 35, 50),
        ("35 W .. 50 W", "power", 35, 50),
        ("500 mV..2 V", "voltage", 0.5, 2),
        ("20 kohm..", "resistance", 20e3, inf),
        ("..2 mA", "current", -inf, 0.002),
        ("-5..5 V", "voltage", -5, 5),
        ("230 V \N{PLUS-MINUS SIGN} 10 %", "voltage", 207, 253),
        ("60 V +- 2 V", "voltage", 58, 62),
        ("60 +- 2 V", "voltage", 58, 62),
        ("-10 degC +- 10 %", "temperature", -11, -9),
        ("300 VA", "power", 300, 300),
        ("1.5 \N{OHM SIGN}", "resistance", 1.5, 1.5),
        ("1.5 k\N{GREEK CAPITAL LETTER OMEGA}", "resistance", 1500, 1500),
        ("2.2 megohm", "resistance", 2.2e6, 2.2e6),
        ("40 \N{MICRO SIGN}F", "capacitance", 40e-6, 40e-6),
        ("40 \N{GREEK SMALL LETTER MU}F", "capacitance", 40e-6, 40e-6),
        ("47 nF", "capacitance", 47e-9, 47e-9),
        ("10 min", "time", 600, 600),
        ("2 h 30 min", "time", 9000, 9000),
        ("1 h 30 min..2 h", "time", 5400, 7200),
        ("3 days", "time", 259200, 259200),
        ("5 %", "number", 0.05, 0.05),
        ("3", "number", 3, 3),
        ("1..3", "number", 1, 3),
        ("5..10 %", "number", 0.05, 0.1),
        ("5 % +- 1 %", "number", 0.04, 0.06),
        ("5 +- 1 %", "number", 0.04, 0.06),
        ("0.75 mm2", "area", 0.75e-6, 0.75e-6),
    ],
)
def test_a_quantity_is_read_in_base_units(text: str, dimension: str, low: float, high: float) -> None:
    assert parse_quantity(text, DIMENSIONS[dimension]) == Interval(low, high)


@pytest.mark.parametrize(
    ("text", "dimension", "message", "suggestion"),
    [
        ("60", "voltage", "write `60 V`: a voltage needs its unit", "60 V"),
        ("35..50", "power", "write `35..50 W`: a power needs its unit", "35..50 W"),
        ("5..", "current", "write `5 A..`: a current needs its unit", "5 A.."),
        ("5 V", "resistance", "`5 V` is a voltage; here a resistance is expected, such as `1.5 kohm`", None),
        ("35..50 w", "power", "no unit is spelled `w`", "35..50 W"),
        ("5 %..10", "number", "the unit stands after the range", "5..10 %"),
        ("60 v", "voltage", "no unit is spelled `v`", "60 V"),
        ("5 ohmm", "resistance", "no unit is spelled `ohmm`", "5 ohm"),
        ("1,5 kohm", "resistance", "decimal point and no comma", "1.5 kohm"),
        ("1,000 V", "voltage", "decimal point and no comma", None),
        ("50..35 W", "power", "runs backwards", "35..50 W"),
        ("1 kV..2 V", "voltage", "runs backwards", "2 V..1 kV"),
        ("35 W..50", "power", "the unit stands after the range", "35..50 W"),
        ("..", "voltage", "at least one end", None),
        ("", "voltage", "a voltage is missing; write it like `60 V`", None),
        ("010 V", "voltage", "leading zero", "10 V"),
        ("0x10 V", "voltage", "cannot be read as a voltage", None),
        ("1_000 V", "voltage", "cannot be read as a voltage", None),
        ("inf V", "voltage", "cannot be read as a voltage", None),
        ("nan", "number", "cannot be read as a number", None),
        (".5 V", "voltage", "cannot be read as a voltage", None),
        ("1e31 V", "voltage", "exponent is at most 30", None),
        ("\N{FULLWIDTH DIGIT SIX}0 V", "voltage", "has no place in a quantity", None),
        ("60 \N{FULLWIDTH LATIN CAPITAL LETTER V}", "voltage", "has no place in a quantity", None),
        ("1" * 65, "number", "at most 64 characters", None),
        ("5 V 3 V", "voltage", "more than one number", None),
        ("30 min 2 h", "time", "more than one number", None),
        ("60 V +- -2 V", "voltage", "a spread is not negative", None),
        ("60 V +- 2 V +- 1 V", "voltage", "one spread", None),
    ],
)
def test_anything_else_is_refused_with_what_to_write(
    text: str, dimension: str, message: str, suggestion: str | None
) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_quantity(text, DIMENSIONS[dimension])
    assert message in refused.value.message
    assert refused.value.suggestion == suggestion


def test_an_ambiguous_letter_case_is_not_guessed() -> None:
    """`5 MOHM` may be a thousandth or a million."""
    with pytest.raises(QuantityError) as refused:
        parse_quantity("5 MOHM", DIMENSIONS["resistance"])
    assert refused.value.suggestion is None


@pytest.mark.parametrize(
    ("interval", "dimension", "text"),
    [
        (Interval(60, 60), "voltage", "60 V"),
        (Interval(100, 100), "voltage", "100 V"),
        (Interval(1000, 1000), "voltage", "1 kV"),
        (Interval(35, 50), "power", "35..50 W"),
        (Interval(20e3, inf), "resistance", "20 kohm.."),
        (Interval(-inf, 0.002), "current", "..2 mA"),
        (Interval(0.0005, 0.0005), "current", "0.5 mA"),
        (Interval(0.15, 0.15), "current", "150 mA"),
        (Interval(0.5, 2), "voltage", "0.5..2 V"),
        (Interval(600, 600), "time", "10 min"),
        (Interval(90, 90), "time", "90 s"),
        (Interval(3600, 3600), "time", "1 h"),
        (Interval(86400, 86400), "time", "1 d"),
        (Interval(100e-9, 100e-9), "capacitance", "0.1 uF"),
        (Interval(0, 0), "voltage", "0 V"),
        (Interval(1 / 3, 1 / 3), "voltage", "333.3 mV"),
        (Interval(119.9999, 120.0001), "voltage", "120 V"),
        (Interval(0.25, 0.5), "number", "0.25..0.5"),
        (ANYTHING, "voltage", "not stated"),
    ],
)
def test_a_quantity_is_shown_in_the_form_that_reads_best(interval: Interval, dimension: str, text: str) -> None:
    assert format_quantity(interval, DIMENSIONS[dimension]) == text


def test_the_units_of_electricity_follow_from_one_another() -> None:
    """SI Brochure, 9th edition, 2019, table 4: W = V A, ohm = V/A, F = C/V, C = A s, J = W s, Hz = 1/s."""
    d = DIMENSIONS
    assert d["voltage"] * d["current"] == d["power"]
    assert d["voltage"] / d["current"] == d["resistance"]
    assert d["current"] * d["time"] == d["charge"]
    assert d["charge"] / d["voltage"] == d["capacitance"]
    assert d["power"] * d["time"] == d["energy"]
    assert d["number"] / d["time"] == d["frequency"]
    assert d["resistance"] * d["capacitance"] == d["time"]


def test_a_dimension_without_a_name_is_told_by_its_units() -> None:
    assert str(DIMENSIONS["area"]) == "an area"
    assert str(Dimension(volt=1, second=-1)) == "a quantity in V s^-1"


def test_no_spelling_means_two_units() -> None:
    for spelling, unit in UNITS.items():
        assert unit.spelling == spelling
        expected = Interval.exactly(float(unit.scale))
        assert parse_quantity(f"1 {spelling}", unit.dimension) == expected
