"""The bench sheet: a row and a box a step, what it should read, where to stop, and all that is still open on top."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

import pytest

from auditor.plan.fingerprint import plan_fingerprint
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.prediction import said
from auditor.report.sheet.paper import SIZES, Paper, page_rule
from auditor.report.sheet.sheet import MOST_REPEATED, sheet
from auditor.report.sheet.step_text import in_full
from tests.report.pages import MARKUP, all_named, hostile, read, words
from tests.report.sheets import boxes, result_of, sheet_named, sheet_result, step_bodies, without_faults
from tests.written import steps_of, with_steps

FIVE, BARE, TELEVISION = "five-tube-series-heaters.yaml", "flawed-ten-lines.yaml", "small-television.yaml"
LIVE = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set")


@pytest.fixture(scope="module", params=[FIVE, BARE, TELEVISION])
def procedure(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def tree(procedure: str) -> Element:
    return read(sheet_named(procedure))


def section(tree: Element, name: str) -> Element:
    found, = (part for part in all_named(tree, "section") if part.get("class") == name)
    return found


def the_row(*steps: str, of: str = "") -> str:
    """The last row of the sheet of a small plan."""
    return words(step_bodies(read(sheet(result_of(with_steps(*steps) + of), Paper.a4)))[-1])


# The rows

def test_every_step_and_every_stage_has_one_row_with_one_box_and_a_number_of_its_own(tree: Element, procedure: str) -> None:
    moments, rows = sheet_result(procedure).moments, step_bodies(tree)
    labels = [words(next(all_named(row, "th"))) for row in rows]
    assert [label.partition(".")[0] for label in labels] == [str(moment.step.number) for moment in moments]
    assert len(labels) == len({*labels})
    assert all(len(boxes(row)) == 1 for row in rows)
    for moment, row in zip(moments, rows, strict=True):
        assert moment.step.in_words() in words(row)


def test_a_row_with_power_has_what_is_expected_and_room_for_what_is_read() -> None:
    rows = step_bodies(read(sheet_named(FIVE)))
    powered = [(m.row, row) for m, row in zip(sheet_result(FIVE).moments, rows, strict=True) if m.row.powered]
    assert len(powered) > 10
    for row, body in powered:
        cells = [words(cell) for cell in all_named(body, "td")]
        r = row.readings
        assert said(r.current, "current") in cells
        assert all(said(volts, "voltage") in cells for volts in (row.dial, r.set_voltage, r.b_plus))
        assert sum(span.get("class") == "got" for span in all_named(body, "span")) >= 3


def test_where_to_stop_stands_in_volts_at_each_setting_of_the_dial() -> None:
    rows = [words(row) for row in step_bodies(read(sheet_named(FIVE)))]
    row = next(row for row in rows if "set the dial to 60 V (stage 4 of 4)" in row)
    assert "current above 0.4 A; set below 24 V after 1 min" in row  # 40 % of 60 V


def test_the_glow_is_told_in_words_and_where_it_tells_nothing_the_row_says_so() -> None:
    rows = [words(row) for row in step_bodies(read(sheet_named(FIVE)))]
    assert "tells nothing" in next(row for row in rows if "set the dial to 15 V" in row)
    assert "dull red to orange" in next(row for row in rows if "set the dial to 117 V (stage 4 of 4)" in row)


def test_the_ways_out_of_a_step_are_told_in_its_row() -> None:
    assert "Expect: no crack or nick. If not: STOP." in the_row("{inspect: cord, expect: no crack or nick, otherwise: stop}")
    row = the_row("{inspect: cord, expect: no nick, otherwise: [{switch_off: outlet}, {wait: 5 min, note: cord cools}]}")
    assert "If not: switch off the outlet, then wait 5 min (note: cord cools)." in row
    assert "does not say what to do if not" in the_row("{inspect: cord, expect: no nick}")


def test_a_way_out_of_a_powered_step_is_told_beneath_its_row() -> None:
    *_, body = step_bodies(read(sheet(result_of(with_steps(
        *LIVE, "{set_dial: 60 V, hold: 1 min, expect: {lamp: dark}, otherwise: [{switch_off: outlet}]}")), Paper.a4)))
    first, beneath = all_named(body, "tr")
    assert "If not" not in words(first)
    assert words(beneath).startswith("Expect: lamp dark. If not: switch off the outlet.")


def test_how_a_step_is_done_is_told_with_it() -> None:
    row = the_row("{measure: resistance, across: B+ to common, set_switch: on, settle: 30 s, instrument: M1, "
                  "expect: 15 kohm.., otherwise: stop}")
    assert "switch of the set: on; with M1; wait 30 s before reading Expect: at least 15 kohm." in row
    row = the_row("{discharge: {each: [C1], through: 10 kohm 10 W, for: 10 s, clip_first: common}}")
    assert "clip to the common first; through 10 kohm, 10 W; for 10 s" in row
    row = the_row("{prove_dead: {each: [C1, C2], below: 10 V, instrument: M1, otherwise: stop}}")
    assert "prove C1, C2 dead; with M1 Expect: below 10 V. If not: STOP." in row


@pytest.mark.parametrize("each", ["[C1, C2]", "all"])
def test_each_capacitor_that_is_proved_dead_has_a_blank_of_its_own(each: str) -> None:
    *_, body = step_bodies(read(sheet(result_of(with_steps(
        f"{{prove_dead: {{each: {each}, below: 10 V, instrument: M1, otherwise: stop}}}}")), Paper.a4)))
    assert [words(span) for span in all_named(body, "span") if "blank" in span.get("class", "")] == ["C1", "C2"]


def test_a_step_that_has_stop_conditions_of_its_own_tells_them() -> None:
    row = the_row(*LIVE, "{set_dial: 60 V, stop_if: [current above 0.2 A, a hum]}")
    assert "current above 0.2 A" in row
    assert "Stop here as well if: current above 0.2 A; a hum." in row


def test_what_is_not_predicted_says_why() -> None:
    rows = [words(row) for row in step_bodies(read(sheet_named(BARE)))]
    assert "not predicted" in rows[0]
    assert "the plan does not say where the dial stands" in rows[0]
    assert any("B+ is not predicted: the plan says too little" in row for row in rows)
    assert "vibrator supply" in " ".join(words(row) for row in step_bodies(read(sheet_named("vibrator-car-radio.yaml"))))


@pytest.mark.parametrize(("expect", "told"), [("..2 mA", "at most 2 mA"), ("10 Mohm..", "at least 10 Mohm"),
                                              ("80..200 ohm", "80..200 ohm"), ("0.63 A slow", "0.63 A slow")])
def test_a_range_with_an_open_end_is_told_in_words(expect: str, told: str) -> None:
    step, = steps_of(f"{{inspect: fuse, expect: {expect}, otherwise: stop}}")
    assert in_full(step) == f"inspect the fuse (expect {told}; if not: STOP)"


# On top

def test_every_open_finding_stands_before_the_steps_with_its_words(procedure: str) -> None:
    told, text = sheet_result(procedure), sheet_named(procedure)
    top = words(section(read(text), "open"))
    for numbered in told.standing:
        finding = numbered.finding
        for part in (finding.signal_word, finding.message, finding.remedy):
            assert " ".join(part.replace("`", "").split()) in top
    for numbered in told.waiting:
        assert numbered.finding.rule in top
        assert all(missing.asks in top for missing in numbered.finding.missing)
    assert text.index('class="open"') < text.index('class="stopbox"') < text.index('class="steps"')


def test_the_plan_that_leaves_nearly_all_open_has_findings_of_both_kinds() -> None:
    assert sheet_result(BARE).standing
    assert sheet_result(BARE).waiting


def test_an_accepted_risk_and_a_sign_off_that_no_longer_counts_are_told() -> None:
    told = result_of(with_steps(*LIVE, "{set_dial: 60 V, hold: 1 min}")
                     + "signed_off: {by: bench foreman, on: 2026-11-01, fingerprint: 000000000000}\n"
                     + "accepted_risks:\n"
                     + "  - {rule: look-at-the-leads-first, reason: new leads, by: keeper, until: 2027-01-01}\n")
    assert told.audit.accepted
    top = words(section(read(sheet(told, Paper.a4)), "open"))
    assert "Changed since it was signed off" in top
    assert "Accepted by keeper until 2027-01-01: WARNING look-at-the-leads-first" in top
    assert "Reason: new leads" in top


def test_the_sheet_says_that_it_does_not_call_the_procedure_safe_and_has_the_cautions(tree: Element) -> None:
    text = words(tree)
    assert "This sheet does not say that the procedure is safe." in text
    for part in (CAUTIONS, NOT_LOOKED_AT):
        assert part in text


def test_set_bench_who_and_when_stand_at_the_head() -> None:
    head = words(section(read(sheet_named(FIVE)), "head"))
    for part in ("five-tube table radio", "chassis: hot", "117 V", "28..35 W", "isolating transformer (300 W", "Date",
                 "Done by", "Second person", "stopped"):
        assert part in head


# Stopping, and making dead

def test_every_stop_condition_and_every_stop_action_stands_in_the_stop_box(tree: Element, procedure: str) -> None:
    plan, box = sheet_result(procedure).plan, words(section(tree, "stopbox"))
    for part in (*plan.stop_when, *(step.in_words() for step in plan.stop_then)):
        assert part in box
    if not plan.stop_when:
        assert "The plan does not say what ends the attempt" in box
        assert "The plan does not say what to do then" in box


def test_the_head_of_the_table_which_every_page_repeats_has_the_stop_conditions(tree: Element, procedure: str) -> None:
    again, = (words(row) for row in all_named(tree, "tr") if row.get("class") == "again")
    assert all(condition in again for condition in sheet_result(procedure).plan.stop_when)
    assert again.startswith("STOP if")


def test_conditions_too_long_to_repeat_are_never_cut_but_stand_in_the_stop_box() -> None:
    long = "smoke from any part " * 20
    assert len(long) > MOST_REPEATED
    tree = read(sheet(result_of(with_steps(*LIVE) + f"stop: {{if: [{long.strip()}]}}\n"), Paper.a4))
    again, = (words(row) for row in all_named(tree, "tr") if row.get("class") == "again")
    assert "any condition in the stop box" in again
    assert long.strip() in words(section(tree, "stopbox"))


def test_each_capacitor_has_its_time_its_box_and_a_blank_at_the_end() -> None:
    for name in (FIVE, TELEVISION):
        end = section(read(sheet_named(name)), "dead")
        rows = list(all_named(end, "tbody"))
        assert [words(next(all_named(row, "th"))) for row in rows] == ["C1", "C2"]
        for row in rows:
            assert len(boxes(row)) == 1
            cells = [words(cell) for cell in all_named(row, "td")]
            assert cells[2] == "10 kohm, 10 W"
            assert re.fullmatch(r"[0-9.]+ s", cells[3])
            assert cells[4:] == ["10 s", "below 10 V", "", ""]
    assert "The picture tube is a capacitor as well" in words(end)


def test_a_discharge_that_is_too_short_is_called_so() -> None:
    text = sheet_result(FIVE).plan.source.document.text
    assert "longer than the plan holds it" not in sheet_named(FIVE)
    assert "longer than the plan holds it" in sheet(result_of(text.replace("for: 10 s", "for: 1 s")), Paper.a4)


def test_a_plan_that_names_no_capacitor_is_no_reason_to_take_the_set_for_dead() -> None:
    end = words(section(read(sheet_named(BARE)), "dead"))
    assert "no time can be computed" in end
    assert "Take every capacitor as charged" in end


# The paper, and what a plan says

@pytest.mark.parametrize("paper", Paper)
def test_the_paper_and_the_fingerprint_stand_in_the_rule_of_every_page(paper: Paper) -> None:
    text = sheet_named(FIVE, paper)
    assert f"size: {SIZES[paper]};" in text
    assert f'content: "Plan {plan_fingerprint(sheet_result(FIVE).plan)}"' in text


def test_a_title_cannot_leave_the_string_of_the_style_sheet_in_which_it_stands() -> None:
    rule = page_rule(Paper.a4, 'x"; } @import url(http://x) </style> \\', "0" * 12)
    name, = re.findall(r"@bottom-left \{ content: (.*?); \}\n", rule)
    assert re.fullmatch(r'"(?:[A-Za-z0-9 ]|\\[0-9a-f]{6} )*"', name)


def test_a_title_with_commas_and_letters_of_any_tongue_keeps_its_blanks_in_the_margin() -> None:
    tinycss2 = pytest.importorskip("tinycss2")
    rule = page_rule(Paper.a4, "Radio, après 30 years: “first”", "0" * 12)
    name, = re.findall(r"@bottom-left \{ content: (.*?); \}\n", rule)
    assert tinycss2.parse_one_component_value(name).value == "Radio, après 30 years: “first”"


def test_what_a_plan_says_stays_text() -> None:
    tree = read(sheet(without_faults(hostile()), Paper.a4))
    assert list(all_named(tree, "script", "img", "iframe", "b")) == []
    assert "".join(tree.itertext()).count(MARKUP) >= 5
    assert "\u202e" not in sheet(without_faults(hostile()), Paper.a4)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert sheet(sheet_result(FIVE), Paper.a4) == sheet(sheet_result(FIVE), Paper.a4)
