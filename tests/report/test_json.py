"""The report for programs, and its published schema."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from auditor.report.as_json import SCHEMA, report
from auditor.review.run import review_file, summed_up
from auditor.rulebook.load import load_rulebook
from tests.written import a_rule, rules, spot, with_steps

SCHEMA_DATA = json.loads(SCHEMA.read_text(encoding="utf-8"))
CHECK = Draft202012Validator(SCHEMA_DATA, format_checker=Draft202012Validator.FORMAT_CHECKER)
TODAY = date(2026, 11, 20)
POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
ACCEPTED = POWERED + "accepted_risks: [{rule: never-on, reason: x, by: y, until: 2027-01-01}]\n"
EXPIRED = ACCEPTED.replace("2027", "2020")
UNREADABLE = "procedure: {title: x}\nset: {chasis: hot}\n"
PAGE = f"# Page\n\n```procedure\n{POWERED}```\n\n> ```procedure\n> procedure: {{title: x}}\n> set: {{chasis: hot}}\n> ```\n"
RULES = rules(a_rule("never-on", "never(energised)"), a_rule("chassis-known", "set.chassis is isolated"),
              a_rule("new-capacitors", "capacitor.condition is new", for_each="capacitor"),
              a_rule("no-motor", "not set.motor", applies_when="set.power_supply is switching"))


def reported(*files: str, source: str = "", shipped: bool = False) -> Any:
    """The report as data, checked against its schema."""
    rulebook = load_rulebook() if shipped else RULES
    reviews = [reviewed for file in files
               for reviewed in review_file(file, rulebook, TODAY, standard_input=source.encode())]
    data = json.loads(report(reviews, summed_up(reviews, "CAUTION"), rulebook))
    CHECK.validate(data)
    return data


def plan(source: str) -> Any:
    return reported("-", source=source)["plans"][0]


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA_DATA)


def test_the_schema_knows_every_key_of_a_report() -> None:
    keys = set(SCHEMA_DATA["properties"])
    assert keys == set(SCHEMA_DATA["required"]) == {"auditor", "rules", "plans", "summary", "notice"}


@pytest.mark.parametrize("source", [POWERED, ACCEPTED, EXPIRED, UNREADABLE, "", "a: [", "a: b\n", "\x00",
                                    "procedure: {title: x}\n", with_steps("set_dial: 0 V")])
@pytest.mark.parametrize("shipped", [False, True])
def test_every_report_fits_the_schema(source: str, shipped: bool) -> None:
    if shipped and "never-on" in source:
        source = source.replace("never-on", "isolate-a-hot-chassis")
    reported("-", source=source, shipped=shipped)


@given(st.text(max_size=200))
def test_the_report_on_any_text_fits_the_schema(source: str) -> None:
    reported("-", source=source)


def test_the_report_on_a_page_fits_the_schema_and_has_its_lines(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    first, second = reported(str(tmp_path / "page.md"))["plans"]
    found = next(finding for finding in first["findings"] if finding["step"] == 5)
    assert (found["line"], found["column"]) == spot(PAGE, "set_dial: 60 V")
    problem, = second["error"]
    assert (problem["line"], problem["column"]) == spot(PAGE, "chasis")


def test_a_file_that_cannot_be_read_has_an_error_and_no_verdict(tmp_path: Path) -> None:
    missing, = reported(str(tmp_path / "none.yaml"))["plans"]
    assert (missing["verdict"], missing["title"], missing["findings"]) == (None, None, [])
    assert missing["error"] == [
        {"message": "there is no such file", "path": "", "line": None, "column": None, "suggestion": None}]


def test_an_error_has_its_place_and_what_to_write() -> None:
    problem, = plan(UNREADABLE)["error"]
    assert (problem["path"], problem["line"], problem["column"]) == ("set.chasis", *spot(UNREADABLE, "chasis"))
    assert problem["suggestion"] == "write `chassis:`"


def test_a_plan_that_was_read_has_no_error() -> None:
    assert plan(POWERED)["error"] is None


def test_a_finding_has_the_step_and_its_place() -> None:
    finding = next(f for f in plan(POWERED)["findings"] if f["rule"] == "never-on")
    assert (finding["step"], finding["path"], finding["outcome"]) == (5, "steps[4]", "broken")
    assert (finding["line"], finding["column"]) == spot(POWERED, "set_dial: 60 V")


def test_an_open_finding_has_the_line_to_add() -> None:
    finding = next(f for f in plan(POWERED)["findings"] if f["rule"] == "chassis-known")
    missing, = finding["missing"]
    assert (missing["path"], missing["line"]) == ("set.chassis", spot(POWERED, "set: {")[0])
    assert missing["add"].startswith("chassis:")


def test_a_question_says_what_it_decides() -> None:
    questions = {q["path"]: q["decides"] for q in plan(POWERED)["questions"]}
    assert questions["set.chassis"] == ["chassis-known"]


def test_an_accepted_finding_is_listed_apart() -> None:
    found = plan(ACCEPTED)
    assert [(a["rule"], a["until"]) for a in found["accepted"]] == [("never-on", "2027-01-01")]
    assert "never-on" not in [finding["rule"] for finding in found["findings"]]


def test_an_expired_acceptance_leaves_a_note_at_the_finding() -> None:
    finding = next(f for f in plan(EXPIRED)["findings"] if f["rule"] == "never-on")
    assert "is past" in finding["note"]


def test_every_rule_has_its_outcome() -> None:
    assert plan(POWERED)["outcomes"] == {"never-on": "broken", "chassis-known": "undetermined",
                                         "new-capacitors": "undetermined", "no-motor": "undetermined"}


def test_the_summary_counts_what_the_plans_show(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    data = reported(str(tmp_path / "page.md"))
    words = [finding["signal_word"] for each in data["plans"] for finding in each["findings"]]
    assert data["summary"]["findings"] == {word: words.count(word) for word in set(words)}
    assert (data["summary"]["plans"], data["summary"]["unreadable"], data["summary"]["exit_status"]) == (2, 1, 2)


def test_the_report_calls_nothing_safe() -> None:
    data = reported("-", source=POWERED)
    assert any("does not say that a procedure is safe" in line for line in data["notice"])


def test_the_assumptions_are_listed() -> None:
    assert any("114..126 V" in line for line in plan(POWERED)["assumptions"])
