"""The expected readings for a person and for programs."""

from __future__ import annotations

import csv
import io
import json
import re
from functools import cache
from pathlib import Path

import pytest

from auditor.bench.forecast import Row, at_setting, forecast
from auditor.bench.lamp_choice import lamp_choices
from auditor.bench.trace import replay
from auditor.logic.interval import Interval
from auditor.plan.files import plan_texts
from auditor.plan.plan import Plan
from auditor.report.columns import Column, fitted
from auditor.report.prediction import choice_lines, said, table_lines
from auditor.report.prediction_data import READINGS, as_csv, as_json
from auditor.report.style import Style
from tests.bench.test_forecast import DOWN, FIVE_TUBES, TRANSISTORS, UP, rows

FOLDER = Path(__file__).parents[2] / "procedures"
FIVE = "five-tube-series-heaters.yaml"
FIRST_RAISE = 21
"""The step of that plan that first raises the dial, as its author counts."""
ON = (*UP, "{set_dial: 117 V, hold: 5 min}")


@cache
def club(name: str) -> Plan:
    (text,) = plan_texts(str(FOLDER / name), b"")
    return text.read()


@cache
def of_club(name: str) -> tuple[Row, ...]:
    return forecast(replay(club(name)))


def printed(of: tuple[Row, ...], width: int = 88, assumed: tuple[str, ...] = ()) -> str:
    return "\n".join(table_lines(of, assumed, Style(width)))


def in_one_line(text: str) -> str:
    return " ".join(text.split())


# The table

@pytest.mark.parametrize("width", [88, 110])
@pytest.mark.parametrize("name", [FIVE, "transformer-table-set.yaml", "record-player-with-motor.yaml",
                                  "bench-south-230-volts.yaml", "flawed-switching-supply-on-the-lamp.yaml"])
def test_the_table_keeps_to_its_width(name: str, width: int) -> None:
    assert max(map(len, printed(of_club(name), width).splitlines())) <= width


def test_a_wider_table_has_more_columns_and_says_the_same() -> None:
    narrow, wide = (printed(of_club(FIVE), width) for width in (88, 110))
    assert narrow.splitlines()[0].split() == ["step", "dial", "set", "current", "lamp", "B+", "settles", "hold"]
    assert wide.splitlines()[0].split()[:8] == narrow.splitlines()[0].split()
    assert "stored" in wide.splitlines()[0]
    assert "stored 0..0.3 J" in narrow
    assert "stored 0..0.3 J" not in wide
    assert "0..0.3 J" in wide


def test_the_stages_of_a_step_stand_below_its_words() -> None:
    text = printed(of_club(FIVE))
    first = FIRST_RAISE
    assert f"step {first}: raise the dial to 60 V in 4 stages\n{first}    15 V" in text
    assert text.count(f"step {first}:") == 1
    assert len(re.findall(rf"^{first}  ", text, re.MULTILINE)) == 4


def test_steps_of_one_sequence_of_the_card_have_their_own_words() -> None:
    text = printed(of_club("transformer-table-set.yaml"))
    assert re.search(r"step \d+: discharge C1, C2\n", text)


def test_low_on_the_dial_glow_is_called_worthless_and_the_reading_to_trust_is_named() -> None:
    text = in_one_line(printed(rows(*UP, "{set_dial: 20 V, hold: 5 min}")))
    assert "which tells nothing so low on the dial: compare set and dial" in text
    assert "tells nothing" not in printed(rows(*ON))


def test_a_flash_is_told_with_how_long_it_lasts_and_what_follows() -> None:
    small = ("{change_lamp: {to: {power: 40 W, voltage: 120 V, kind: clear filament}, after: lamp cool}}", *ON)
    assert "orange to white at first, for 10..30 s, then dull red to orange" in in_one_line(printed(rows(*small)))
    assert re.search(r"at first, for under 2 s, then", in_one_line(printed(rows(*ON, the_set=TRANSISTORS))))


def test_without_a_lamp_the_current_of_cold_heaters_is_told() -> None:
    assert re.search(r"\d A at first, for 10\.\.30 s", in_one_line(printed(rows(*ON, bypass="closed"))))


def test_a_hold_shorter_than_the_time_to_settle_is_named() -> None:
    text = in_one_line(printed(rows(*UP, "{set_dial: 117 V, hold: 10 s}")))
    assert "Note: the hold of 10 s ends before the set is sure to have settled (20..32 s)" in text
    assert "without a hold" in in_one_line(printed(rows(*UP, "set_dial: 117 V")))
    assert "sure to have settled" not in in_one_line(printed(rows(*ON)))


def test_b_plus_that_comes_late_is_announced_once_while_power_stays() -> None:
    text = in_one_line(printed(rows(*UP, "{raise: {to: 117 V, by: 15 V}, hold: 5 min}")))
    assert text.count("B+ comes late and with a jump: the rectifier tube has to be hot first, which takes 10..20 s") == 1


def test_loads_are_in_percent_of_the_ratings_and_one_above_is_noted() -> None:
    text = in_one_line(printed(rows(*ON)))
    assert re.search(r"transformer \d+\.\.\d+ %, brush \d+\.\.\d+ %", text)
    assert "of its rating." not in text
    heavy = FIVE_TUBES.replace("28..35 W", "280..350 W").replace("150 mA", "1.5 A")
    over = in_one_line(printed(rows(*ON, the_set=heavy, bypass="closed")))
    assert re.search(r"Note: the isolating transformer may carry \d{3} % of its rating", over)
    assert re.search(r"Note: the autotransformer's brush may carry \d{3} % of its rating", over)


def test_what_widens_the_volts_at_the_set_is_named_once() -> None:
    text = in_one_line(printed(of_club(FIVE)))
    assert text.count("The range of the volts at the set comes mostly from") == 1
    assert f"how the set's current goes with its volts (step {FIRST_RAISE}" in text


def test_after_power_off_the_charge_is_told_until_it_is_gone() -> None:
    steps = ("{discharge: {each: all, through: 10 kohm 10 W, for: 10 s}}",
             "{prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}}")
    lines = [line.strip() for line in printed(rows(*ON, *DOWN, *steps)).splitlines() if line.strip().startswith("off:")]
    assert lines == ["off: its capacitors may hold up to 130 V (0.6 J)",
                     "off: by calculation its capacitors hold less than 1 V; only a meter proves it"]


def test_charge_that_cannot_be_computed_is_taken_as_there() -> None:
    text = in_one_line(printed(rows(*ON, *DOWN, the_set=TRANSISTORS + "  switch: in the live line\n")))
    assert "take them as charged until they are proved dead" in text


def test_what_is_taken_for_granted_stands_below_the_table() -> None:
    text = printed(rows(*ON), assumed=("The wall is flat.",))
    assert text.index("These are the readings") < text.index("Assumed: The wall is flat.")


def test_a_plan_that_never_powers_its_set_has_nothing_to_read() -> None:
    text = printed(rows("set_dial: 0 V"))
    assert text.startswith("No step powers the set, so there is nothing to read.")
    assert "licensed practice" in in_one_line(text)


def test_a_vibrator_supply_is_refused_once_with_the_reason() -> None:
    text = in_one_line(printed(rows(*UP, "{raise: {to: 117 V, by: 20 V}, hold: 5 min}",
                                    the_set="\n  power_supply: vibrator\n")))
    assert text.count("a vibrator supply runs from a battery") == 1


def test_a_capacitor_that_forms_on_a_supply_of_its_own_has_its_current_told_from_first_to_last() -> None:
    text = in_one_line(printed(of_club("after-storage-with-reforming.yaml")))
    assert ("step 5: reform C1 up to 350 V forming: at most 3.5 mA at first, falling; a good capacitor ends at 0.94 mA or "
            "less off: its capacitors may hold up to 350 V") in text
    assert "switched straight on" not in text


REFORM = "{reform: {each: [C1], to: 350 V, through: 10 kohm 10 W, at_most: 5 mA}}"


def test_a_voltage_that_must_be_raised_slowly_is_named_with_what_would_flow() -> None:
    text = in_one_line(printed(rows(REFORM)))
    assert text.startswith("No step powers the set: there is only what its capacitors draw while they form.")
    assert ("forming: at most 5 mA at first, falling; switched straight on, 35 mA would flow: raise the voltage so slowly "
            "that it stays below 5 mA") in text


def test_capacitors_that_form_in_the_set_are_noted_once_while_they_do() -> None:
    marked = FIVE_TUBES.replace(
        "{name: C1, capacitance: 40 uF}",
        "{name: C1, capacitance: 40 uF, working_voltage: 250 V, condition: reform in this procedure}")
    text = in_one_line(printed(rows(*ON, "wait: 5 min", the_set=marked)))
    assert text.count("C1: electrolytics that form in the set draw more at first, and current and B+ creep until they have; "
                      "formed, they draw 1.1 mA of B+ or less") == 1
    assert "form in the set" not in printed(rows(*ON))


def test_selenium_and_its_fumes_are_noted_when_power_comes() -> None:
    selenium = FIVE_TUBES.replace("{kind: tube, heater: indirect}", "{kind: selenium}")
    assert in_one_line(printed(rows(*ON, the_set=selenium))).count("toxic fumes") == 1


def test_a_motor_behind_a_lamp_is_noted() -> None:
    motor = FIVE_TUBES + "  motor: yes\n"
    assert "the motor may stand still here, hum and heat" in in_one_line(printed(rows(*ON, the_set=motor)))
    assert "a motor may not start" not in in_one_line(printed(rows("disconnect: motor", *ON, the_set=motor)))


def test_the_table_never_calls_anything_safe() -> None:
    for text in (printed(of_club(FIVE)), "\n".join(choice_lines(lamp_choices(club(FIVE)), Style()))):
        assert not re.search(r"\bsafe\b", text)
        assert "Local codes and licensed practice come first" in in_one_line(text)


# Numbers

@pytest.mark.parametrize(("low", "high", "kind", "text"), [
    (36.04, 58.61, "voltage", "36..59 V"),
    (0.0261, 0.0698, "current", "26..70 mA"),
    (0.94, 1.06, "current", "0.9..1.1 A"),
    (117.0, 117.0, "voltage", "117 V"),
    (0.0, 0.0, "energy", "0 J"),
    (0.001, 0.0231, "energy", "1..24 mJ"),
    (0.0, 0.2961, "energy", "0..0.3 J"),
    (0.0, float("inf"), "voltage", "0 V.."),
])
def test_a_range_is_said_in_two_figures_and_rounded_outwards(low: float, high: float, kind: str, text: str) -> None:
    assert said(Interval(low, high), kind) == text


def test_what_is_not_known_is_a_dash() -> None:
    assert said(None, "voltage") == "-"


def test_a_column_that_finds_no_room_is_said_below_and_an_empty_one_is_left_out() -> None:
    columns = (Column[int]("number", str), Column[int]("long", lambda n: "x" * 30, "long {}"),
               Column[int]("none", lambda n: "-"))
    wide, narrow = fitted(columns, 1, [1, 2], 60), fitted(columns, 1, [1, 2], 20)
    assert wide.heading() == "number  long"
    assert wide.below(1) == ()
    assert narrow.heading() == "number"
    assert narrow.below(1) == ("long " + "x" * 30,)


# The choice of a lamp

@pytest.mark.parametrize("width", [88, 110])
def test_every_common_lamp_has_a_line_with_its_glow(width: int) -> None:
    text = "\n".join(choice_lines(lamp_choices(club(FIVE)), Style(width)))
    assert len(re.findall(r"^\d+ W ", text, re.MULTILINE)) == 9
    assert max(map(len, text.splitlines())) <= width
    assert "healthy dull red to orange" in text or "healthy glow" in text


def test_without_the_watts_of_the_set_the_line_to_add_is_named() -> None:
    assert "`rated_power`" in "\n".join(choice_lines((), Style()))


# For programs

def test_json_has_every_row_with_its_readings_in_si_units() -> None:
    data = json.loads(as_json("A title", rows(*ON), (), ("As assumed.",)))
    assert data["title"] == "A title"
    assert data["assumed"] == ["As assumed."]
    assert [row["step"] for row in data["rows"]] == [1, 2, 3, 4, 5]
    last = data["rows"][-1]
    assert last["powered"] is last["settled"] is True
    assert last["dial"] == [117, 117]
    assert last["hold"] == [300, 300]
    assert 0 < last["current"][0] < last["current"][1] < 0.5
    assert last["at_first"]["lasting"] == [10, 30]
    assert last["at_first"]["glow"][-1] == "white"
    assert set(READINGS) < set(last)


def test_json_and_csv_have_the_current_of_a_capacitor_that_forms() -> None:
    of = rows(REFORM, the_set=FIVE_TUBES.replace("{name: C1, capacitance: 40 uF}",
                                                 "{name: C1, capacitance: 40 uF, working_voltage: 450 V}"))
    (record,) = json.loads(as_json("", of, (), ()))["rows"]
    (line,) = csv.DictReader(io.StringIO(as_csv(of)))
    assert record["forming_current"] == [0.0, 5e-3]
    assert record["formed_current"] == pytest.approx([0.0, 1.9e-3])
    assert [float(line["forming_current_high"]), float(line["formed_current_high"])] == pytest.approx([5e-3, 1.9e-3])


def test_json_writes_null_for_what_cannot_be_said_and_for_an_open_end() -> None:
    text = as_json("", rows(*ON, the_set="\n  power_supply: vibrator\n"), (), ())
    assert json.loads(text)["rows"][-1]["current"] is None
    assert "Infinity" not in text
    assert "NaN" not in text


@pytest.mark.parametrize("name", sorted(path.name for path in FOLDER.glob("flawed-*.yaml")))
def test_json_is_json_for_every_procedure(name: str) -> None:
    def refuse(constant: str) -> None:
        raise AssertionError(constant)

    json.loads(as_json("", of_club(name), (), ()), parse_constant=refuse)


def test_csv_has_a_line_a_row_and_the_same_numbers_as_json() -> None:
    of = rows(*ON, "set_dial: 0 V")
    lines = list(csv.DictReader(io.StringIO(as_csv(of))))
    data = json.loads(as_json("", of, (), ()))["rows"]
    assert len(lines) == len(data) == 6
    for line, row in zip(lines, data, strict=True):
        assert line["powered"] == ("yes" if row["powered"] else "no")
        for name in ("dial", "stored_energy", *READINGS):
            pair = row[name] or ["", ""]
            assert [line[f"{name}_low"], line[f"{name}_high"]] == ["" if end in (None, "") else str(end) for end in pair]


def test_a_question_about_a_setting_is_one_row_without_a_step() -> None:
    (row,) = json.loads(as_json("", (at_setting(club(FIVE), Interval.exactly(90), None),), (), ()))["rows"]
    assert row["step"] is None
    assert row["dial"] == [90, 90]
