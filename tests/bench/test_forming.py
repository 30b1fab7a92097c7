"""Electrolytics that form: what flows on a supply of their own, and what is said while they form in the set."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from auditor.bench.forecast import Row, forecast
from auditor.bench.forming import Forming
from auditor.bench.trace import replay
from auditor.plan.files import plan_texts
from tests.bench.test_forecast import FIVE_TUBES, UP, rows

FOLDER = Path(__file__).parents[2] / "procedures"
MARKED = FIVE_TUBES.replace("{name: C1, capacitance: 40 uF}",
                            "{name: C1, capacitance: 40 uF, working_voltage: 250 V, condition: reform in this procedure}")
REFORM = "{reform: {each: [C1], to: 250 V, through: 100 kohm 2 W, at_most: 5 mA, in: out of the set}}"
ON = (*UP, "{set_dial: 117 V, hold: 5 min}")


def formed(step: str, the_set: str = MARKED) -> Forming:
    got = rows(step, the_set=the_set)[-1].forming
    assert got is not None
    return got


@cache
def after_storage() -> tuple[Row, ...]:
    (text,) = plan_texts(str(FOLDER / "after-storage-with-reforming.yaml"), b"")
    return forecast(replay(text.read()))


# On a supply of its own

def test_at_once_the_resistor_alone_limits_the_current() -> None:
    got = formed(REFORM)
    assert got.at_first.low == 0.0
    assert got.at_first.high == pytest.approx(2.5e-3)
    assert not got.too_much


def test_a_good_capacitor_ends_at_its_leakage_limit() -> None:
    end = formed(REFORM).at_end
    assert end is not None
    assert end.high == pytest.approx((0.02 * 40 + 0.3) * 1e-3)  # JAN-C-62, as quoted elsewhere


def test_it_ends_no_higher_than_the_resistor_lets_through() -> None:
    end = formed(REFORM.replace("100 kohm", "1 Mohm")).at_end
    assert end is not None
    assert end.high == pytest.approx(0.25e-3)


def test_without_a_rating_or_a_capacitance_no_end_is_said() -> None:
    assert formed(REFORM, FIVE_TUBES).at_end is None
    assert formed(REFORM, MARKED.replace("C1, capacitance: 40 uF", "C1")).at_end is None


def test_of_several_in_one_step_the_one_that_leaks_most_counts() -> None:
    both = MARKED.replace("{name: C2, capacitance: 40 uF}", "{name: C2, capacitance: 100 uF, working_voltage: 250 V}")
    one, two = (formed(REFORM.replace("[C1]", names), both).at_end for names in ("[C1]", "all"))
    assert one is not None
    assert two is not None
    assert two.high == pytest.approx((0.02 * 100 + 0.3) * 1e-3)
    assert two.high > one.high


def test_more_than_the_step_allows_must_not_flow_at_once() -> None:
    got = formed(REFORM.replace("100 kohm", "10 kohm"))
    assert got.at_once == pytest.approx(25e-3)
    assert got.at_first.high == 5e-3
    assert got.too_much


def test_more_than_ten_milliamperes_must_not_flow_whatever_the_step_allows() -> None:
    # MIL-HDBK-1131C, as cited elsewhere.
    for allowed in ("", ", at_most: 30 mA"):
        got = formed(REFORM.replace("100 kohm", "10 kohm").replace(", at_most: 5 mA", allowed))
        assert got.at_first.high == 10e-3
        assert got.too_much


def test_a_step_that_forms_nothing_of_this_set_says_nothing() -> None:
    assert rows(REFORM.replace("[C1]", "[C9]"), the_set=MARKED)[-1].forming is None
    assert rows("set_dial: 0 V", the_set=MARKED)[-1].forming is None


# In the set

def test_while_a_marked_capacitor_is_not_formed_the_run_says_so() -> None:
    row = rows(*ON, the_set=MARKED)[-1]
    assert row.unformed is not None
    assert row.unformed.names == ("C1",)
    assert row.unformed.leakage == pytest.approx(1.1e-3)


def test_after_it_was_formed_on_a_supply_of_its_own_nothing_is_said() -> None:
    assert rows(REFORM, *ON, the_set=MARKED)[-1].unformed is None
    assert not any(row.unformed for row in after_storage())


def test_nothing_forms_while_there_is_no_b_plus() -> None:
    assert rows(*UP, "{set_dial: 30 V, hold: 5 min}", the_set=MARKED)[-1].unformed is None
    assert rows(*ON, "switch_off: set", the_set=MARKED)[-1].unformed is None
    assert rows("take_out: rectifier tube", *ON, the_set=MARKED)[-1].unformed is None


def test_a_set_with_new_capacitors_says_nothing() -> None:
    assert rows(*ON)[-1].unformed is None


@pytest.mark.parametrize(("farads", "rating", "b_plus", "watts"), [
    ((40, 40), 250, 130, 28), ((16, 32), 450, 260, 50), ((20, 20, 20), 450, 400, 90)])
def test_what_formed_capacitors_leak_is_under_two_per_cent_of_the_set_and_needs_no_wider_range(
        farads: tuple[float, ...], rating: float, b_plus: float, watts: float) -> None:
    marked = ", ".join(
        f"{{name: C{k}, capacitance: {c} uF, working_voltage: {rating} V, condition: reform in this procedure}}"
        for k, c in enumerate(farads))
    lines = [f"  filter_capacitors: [{marked}]" if "filter_capacitors" in line else line for line in FIVE_TUBES.splitlines()]
    row = rows(*ON, the_set="\n".join(lines) + "\n")[-1]
    assert row.unformed is not None
    assert row.unformed.leakage is not None
    assert row.unformed.leakage * b_plus < 0.02 * watts
    assert row.readings == rows(*ON)[-1].readings
