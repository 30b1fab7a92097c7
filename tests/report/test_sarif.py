"""What a SARIF report says of each plan; that it is SARIF is tested in tests/external/test_sarif_schema.py."""

from __future__ import annotations

import json
import os
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest

from auditor.report.sarif import LEVELS, sarif
from auditor.review.run import review_file, summed_up
from auditor.rulebook.rule import SIGNAL_WORDS
from tests.written import a_rule, rules, spot, with_steps

TODAY = date(2026, 11, 20)
PLAN = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V", "wait: 1 min")
ACCEPTED = PLAN + "accepted_risks: [{rule: never-on, reason: seen to, by: bench foreman, until: 2027-01-01}]\n"
PAGE = f"# Page\n\n```procedure\n{PLAN}```\n\n```procedure\n{PLAN.replace('A small', 'Another')}```\n"
CARD = """\
bench:
  chain: [outlet, autotransformer, {limiter: {lamp: {power: 40 W}, bypass: open}}, set]
sequences:
  power:
    - switch_on: outlet
    - switch_on: set
"""
WITH_CARD = ("card: north-bench\nprocedure: {title: With a card}\nmains: {voltage: 120 V}\n"
             "steps: [{set_dial: 60 V}, {plug_in: set}, {do: power}]\n")
RULES = rules(a_rule("never-on", "never(energised)"), a_rule("chassis-known", "set.chassis is isolated", word="DANGER"),
              a_rule("no-outlet-on", "never(cord_live)", word="CAUTION"))


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*files: str, source: str = "", levels_only: bool = False) -> Any:
    reviews = [reviewed for file in files
               for reviewed in review_file(file, RULES, TODAY, standard_input=source.encode())]
    return json.loads(sarif(reviews, summed_up(reviews, "CAUTION"), RULES, levels_only=levels_only))["runs"][0]


def results(source: str, *, levels_only: bool = False) -> dict[str, Any]:
    Path("plan.yaml").write_text(source)
    return {result["ruleId"]: result for result in run("plan.yaml", levels_only=levels_only)["results"]}


def at(where: Any) -> tuple[int, int]:
    region = where["physicalLocation"]["region"]
    return region["startLine"], region["startColumn"]


def test_a_rule_is_told_with_why_and_what_to_write() -> None:
    rule = next(rule for rule in run()["tool"]["driver"]["rules"] if rule["id"] == "never-on")
    assert rule["shortDescription"]["text"] == "That it is so."
    assert rule["defaultConfiguration"]["level"] == "error"
    assert rule["properties"]["signal_word"] == "WARNING"
    for part in ("It has to be so.", "Make it so.", "common practice", "Local codes and licensed practice"):
        assert part in rule["help"]["text"]
        assert part in rule["help"]["markdown"]


def test_every_signal_word_has_its_level() -> None:
    assert tuple(LEVELS) == SIGNAL_WORDS
    assert list(LEVELS.values()) == ["error", "error", "warning", "note"]


def test_a_broken_rule_stands_at_its_step() -> None:
    found = results(PLAN)["never-on"]
    assert (found["kind"], found["level"], found["properties"]["signal_word"]) == ("fail", "error", "WARNING")
    assert at(found["locations"][0]) == spot(PLAN, "set_dial: 60 V")
    assert found["locations"][0]["logicalLocations"][0]["fullyQualifiedName"] == "steps[4]"


def test_a_rule_that_cannot_be_told_is_open_and_says_what_to_add() -> None:
    found = results(PLAN)["chassis-known"]
    assert (found["kind"], found["level"]) == ("open", "none")
    assert found["properties"]["missing"][0]["path"] == "set.chassis"
    related = found["relatedLocations"][0]
    assert at(related)[0] == spot(PLAN, "set: {")[0]
    assert "set.chassis" in related["message"]["text"]


def test_the_other_steps_are_related_locations() -> None:
    found = results(PLAN)["never-on"]
    assert [(at(where), where["message"]["text"]) for where in found["relatedLocations"]] == [
        (spot(PLAN, "wait: 1 min"), "The same at step 6.")]


def test_the_line_of_the_bench_card_is_a_related_location(here: Path) -> None:
    (here / "wiki").mkdir()
    (here / "wiki" / "north-bench.card.yaml").write_text(CARD)
    (here / "wiki" / "plan.yaml").write_text(WITH_CARD)
    found = next(result for result in run("wiki/plan.yaml")["results"] if result["ruleId"] == "never-on")
    where = next(where["physicalLocation"] for where in found["relatedLocations"]
                 if where["physicalLocation"]["artifactLocation"]["uri"].endswith("card.yaml"))
    assert where["artifactLocation"]["uri"] == "wiki/north-bench.card.yaml"
    assert where["region"] == {"startLine": spot(CARD, "switch_on: set")[0]}


def test_a_plan_on_a_page_has_the_lines_of_the_page(here: Path) -> None:
    (here / "page.md").write_text(PAGE)
    lines = [at(result["locations"][0])[0] for result in run("page.md")["results"] if result["ruleId"] == "never-on"]
    assert [PAGE.splitlines()[line - 1] for line in lines] == ["  - set_dial: 60 V"] * 2
    assert len(set(lines)) == 2


def test_two_procedures_on_a_page_have_different_fingerprints(here: Path) -> None:
    (here / "page.md").write_text(PAGE)
    marks = [json.dumps(r["partialFingerprints"]) for r in run("page.md")["results"] if r["ruleId"] == "never-on"]
    assert len(set(marks)) == 2


@pytest.mark.parametrize("edit", [
    lambda text: "# a comment\n\n" + text,
    lambda text: text.replace("steps:\n", "steps:\n  - {inspect: cord, expect: no nick, otherwise: stop}\n"),
    lambda text: text.replace("60 V", "75 V"),
    lambda text: text.replace("wait: 1 min", "wait: 2 min\n  - wait: 5 min"),
    lambda text: text.replace("  instruments: [{name: M1, kind: multimeter}]\n", "").replace(
        "bench:\n", "bench:\n  instruments: [{name: M1, kind: multimeter}]\n"),
    lambda text: text.replace("A small plan", "A plan"),
], ids=["comment", "a step before", "another amount", "steps after", "another order", "title"])
def test_a_fingerprint_survives_an_unrelated_edit(edit: Any) -> None:
    before, after = results(PLAN), results(edit(PLAN))
    assert edit(PLAN) != PLAN
    assert before.keys() == after.keys()
    assert all(before[rule]["partialFingerprints"] == after[rule]["partialFingerprints"] for rule in before)


def test_a_fingerprint_is_that_of_one_finding() -> None:
    marks = [json.dumps(result["partialFingerprints"]) for result in results(PLAN).values()]
    assert len(set(marks)) == len(marks)


def test_an_accepted_risk_is_a_suppression_with_its_reason() -> None:
    found = results(ACCEPTED)["never-on"]
    assert found["suppressions"] == [{"kind": "inSource", "status": "accepted", "justification": "seen to",
                                      "properties": {"by": "bench foreman", "until": "2027-01-01"}}]
    assert results(PLAN)["never-on"]["suppressions"] == []


def test_for_a_consumer_of_levels_an_open_rule_is_a_note_that_says_so() -> None:
    found = results(PLAN, levels_only=True)["chassis-known"]
    assert "kind" not in found
    assert found["level"] == "note"
    assert found["message"]["text"].startswith("DANGER, cannot be told. ")


def test_for_a_consumer_of_levels_a_broken_rule_begins_with_its_signal_word() -> None:
    found = results(PLAN, levels_only=True)
    assert (found["never-on"]["level"], found["no-outlet-on"]["level"]) == ("error", "warning")
    assert found["never-on"]["message"]["text"].startswith("WARNING. Step 5. ")


def test_for_a_consumer_of_levels_an_accepted_risk_is_a_note_that_says_so() -> None:
    found = results(ACCEPTED, levels_only=True)["never-on"]
    assert found["level"] == "note"
    assert "accepted by bench foreman until 2027-01-01: seen to" in found["message"]["text"]


def test_a_plan_that_cannot_be_read_is_a_notification_with_its_place(here: Path) -> None:
    source = "procedure: {title: x}\nset: {chasis: hot}\n"
    (here / "bad.yaml").write_text(source)
    invocation = run("bad.yaml")["invocations"][0]
    assert (invocation["executionSuccessful"], invocation["exitCode"]) == (False, 2)
    note, = invocation["toolExecutionNotifications"]
    assert note["level"] == "error"
    assert at(note["locations"][0]) == spot(source, "chasis")
    assert "chassis" in note["message"]["text"]


def test_a_plan_with_nothing_to_review_is_a_notification(here: Path) -> None:
    (here / "idle.yaml").write_text(with_steps("set_dial: 0 V"))
    notes = run("idle.yaml")["invocations"][0]["toolExecutionNotifications"]
    assert any(note["level"] == "warning" and "Nothing to review" in note["message"]["text"] for note in notes)


@pytest.mark.parametrize("name", ["a b.yaml", "50 %.yaml", "röhre.yaml", "a#b?.yaml", "a:b.yaml"])
@pytest.mark.skipif(os.name == "nt", reason="such names of files cannot be on this system")
def test_a_path_is_a_relative_reference_with_everything_odd_encoded(here: Path, name: str) -> None:
    (here / "wiki").mkdir()
    (here / "wiki" / name).write_text(PLAN, encoding="utf-8")
    where = run(f"./wiki/{name}")["artifacts"][0]["location"]
    assert where["uriBaseId"] == "SRCROOT"
    assert unquote(where["uri"]) == f"wiki/{name}"
    assert where["uri"].isascii()
    assert set(where["uri"]) & set(" #?:") == set()


def test_a_path_is_the_same_however_it_was_asked_for(here: Path) -> None:
    (here / "plan.yaml").write_text(PLAN)
    uris = {run(path)["artifacts"][0]["location"]["uri"] for path in ("plan.yaml", "./plan.yaml", str(here / "plan.yaml"))}
    assert uris == {"plan.yaml"}


def test_a_path_outside_of_the_folder_is_absolute(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (here / "plan.yaml").write_text(PLAN)
    (here / "inside").mkdir()
    monkeypatch.chdir(here / "inside")
    where = run("../plan.yaml")["artifacts"][0]["location"]
    assert "uriBaseId" not in where
    assert where["uri"] == (here / "plan.yaml").as_uri()


def test_the_report_calls_nothing_safe() -> None:
    assert any("does not say that a procedure is safe" in line for line in run()["properties"]["notice"])


def test_the_assumptions_are_notifications() -> None:
    notes = run("-", source=PLAN)["invocations"][0]["toolExecutionNotifications"]
    assert any("114..126 V" in note["message"]["text"] for note in notes)
