"""What is new since an earlier report, what was there and what is gone."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings

from auditor.plan.files import PlanText
from auditor.plan.problems import Problem, Unreadable
from auditor.report.as_json import report
from auditor.report.earlier import earlier_report
from auditor.report.style import Style
from auditor.report.terminal import report_lines
from auditor.review.finding import Finding
from auditor.review.run import Reviewed, Summary, review_text, summed_up
from auditor.review.since import compared
from auditor.rulebook.load import compile_rulebook
from auditor.rulebook.rule import Rulebook
from tests.plan_text import as_text
from tests.plans import Data, plans
from tests.written import a_rule, rules, with_steps

TODAY = date(2026, 11, 20)
STEPS = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V", "switch_off: outlet",
         "unplug: set")
PLAN = with_steps(*STEPS)
NEVER_ON = a_rule("never-on", "never(energised)")
CHASSIS_KNOWN = a_rule("chassis-known", "set.chassis is isolated", word="CAUTION")
NO_WORK = a_rule("no-work-at-all", "never(step.verb is work)", word="DANGER")
RULES = rules(NEVER_ON, CHASSIS_KNOWN, NO_WORK)
WORK = "{work: move the wires, where: inside}"


@dataclass(frozen=True)
class Compared:
    """One plan compared with an earlier report."""

    reviewed: Reviewed
    summary: Summary

    @property
    def findings(self) -> tuple[Finding, ...]:
        assert self.reviewed.audit is not None
        return self.reviewed.audit.findings

    @property
    def new(self) -> dict[str, str]:
        """The rules of the new findings, and why they are new."""
        return {f.rule: f.since.why for f in self.findings if f.since and f.since.why}

    @property
    def there(self) -> set[str]:
        return {f.rule for f in self.findings if f.since and not f.since.new}

    @property
    def gone(self) -> set[str]:
        return {gone.rule for gone in self.reviewed.gone or ()}


def reviewed(text: str, rulebook: Rulebook = RULES, path: str = "wiki/plan.yaml", today: date = TODAY) -> Reviewed:
    return review_text(PlanText(path, text), rulebook, today)


def written(*reviews: Reviewed, rulebook: Rulebook = RULES) -> bytes:
    """The report on these, as it stands in a file."""
    return report(reviews, summed_up(reviews), rulebook).encode()


def since(before: str, now: str, rulebook: Rulebook = RULES, *, before_rules: Rulebook = RULES, path: str = "wiki/plan.yaml",
          at_least: str = "CAUTION", is_there: Callable[[str], bool] = lambda path: True, today: date = TODAY) -> Compared:
    """A plan compared with the report on an earlier state of it."""
    earlier = earlier_report(written(reviewed(before, before_rules), rulebook=before_rules))
    found = compared([reviewed(now, rulebook, path, today)], earlier, rulebook, is_there)
    return Compared(found[0], summed_up(found, at_least))


def test_nothing_is_new_in_an_unchanged_plan() -> None:
    found = since(PLAN, PLAN)
    assert (found.new, found.there, found.gone) == ({}, {"never-on", "chassis-known"}, set())


@given(plans())
@settings(max_examples=15)
def test_nothing_is_new_in_any_unchanged_plan(data: Data) -> None:
    text = as_text(data)
    found = since(text, f"# a comment\n{text}")
    assert (found.new, found.gone) == ({}, set())
    assert found.summary.exit_status == 0 or found.reviewed.audit is None


def test_only_new_findings_count_for_the_exit_status() -> None:
    assert since(PLAN, PLAN).summary.exit_status == 0
    assert since(PLAN, with_steps(*STEPS, WORK)).summary.exit_status == 1


def test_a_new_finding_below_the_signal_word_does_not_count() -> None:
    stated = PLAN.replace("set: {", "set: {chassis: isolated, ")
    assert since(stated, PLAN).new == {"chassis-known": "the plan has changed"}
    assert since(stated, PLAN).summary.exit_status == 1
    assert since(stated, PLAN, at_least="WARNING").summary.exit_status == 0


def test_a_new_finding_says_that_the_plan_has_changed() -> None:
    found = since(PLAN, with_steps(*STEPS, WORK))
    assert found.new == {"no-work-at-all": "the plan has changed"}
    assert found.there == {"never-on", "chassis-known"}


def test_what_is_mended_is_gone() -> None:
    assert since(with_steps(*STEPS, WORK), PLAN).gone == {"no-work-at-all"}


def test_a_step_put_in_where_the_same_state_goes_on_is_not_new() -> None:
    found = since(PLAN, with_steps(*STEPS[:5], "wait: 1 min", "wait: 2 min", *STEPS[5:]))
    assert found.new == {}


def test_the_same_mistake_at_another_place_is_new() -> None:
    again = with_steps(*STEPS, "set_dial: 0 V", "plug_in: set", "switch_on: outlet", "set_dial: 60 V")
    assert since(PLAN, again).new == {"never-on": "the plan has changed"}


def test_the_same_mistake_at_one_place_less_is_not_new() -> None:
    again = with_steps(*STEPS, "set_dial: 0 V", "plug_in: set", "switch_on: outlet", "set_dial: 60 V")
    found = since(again, PLAN)
    assert (found.new, found.gone) == ({}, set())


def test_an_item_more_with_the_same_mistake_is_new_and_one_less_is_not() -> None:
    rulebook = rules(a_rule("new-capacitors", "capacitor.condition is new", for_each="capacitor",
                            message="`{item}` is not new."))
    one = PLAN.replace("{name: C1}, {name: C2}", "{name: C1, condition: leaking}, {name: C2, condition: new}")
    two = PLAN.replace("{name: C1}, {name: C2}", "{name: C1, condition: leaking}, {name: C2, condition: leaking}")
    assert since(one, two, rulebook, before_rules=rulebook).new == {"new-capacitors": "the plan has changed"}
    assert since(two, one, rulebook, before_rules=rulebook).new == {}


def test_an_open_rule_that_turns_out_broken_is_new() -> None:
    found = since(PLAN, PLAN.replace("set: {", "set: {chassis: hot, "))
    assert found.new == {"chassis-known": "the plan has changed"}


def test_a_finding_of_a_rule_that_was_not_in_force_says_so() -> None:
    assert since(PLAN, PLAN, before_rules=rules(CHASSIS_KNOWN)).new == {"never-on": "the rule was not in force then"}


def test_a_finding_of_a_rule_that_asks_for_more_says_so() -> None:
    lax = rules({**NEVER_ON, "holds": "never(energised and set.chassis is isolated)"}, CHASSIS_KNOWN, NO_WORK)
    text = PLAN.replace("set: {", "set: {chassis: hot, ")
    assert since(text, text, before_rules=lax).new == {"never-on": "the rule has changed"}
    assert since(text, text + "# longer\n", before_rules=lax).new == {"never-on": "the rule has changed"}
    longer = text.replace("60 V", "70 V")
    assert since(text, longer, before_rules=lax).new == {"never-on": "the plan and the rule have changed"}


def test_a_rule_that_becomes_more_serious_makes_its_findings_new() -> None:
    milder = rules({**NEVER_ON, "signal_word": "NOTICE"}, CHASSIS_KNOWN, NO_WORK)
    assert since(PLAN, PLAN, before_rules=milder).new == {"never-on": "the rule has changed"}
    assert since(PLAN, PLAN, milder).new == {}


def test_another_wording_of_a_rule_makes_nothing_new() -> None:
    reworded = rules({**NEVER_ON, "because": "It is so.", "message": "No."}, CHASSIS_KNOWN, NO_WORK)
    assert since(PLAN, PLAN, reworded).new == {}


def test_another_name_of_a_rule_makes_nothing_new() -> None:
    renamed = rules({**NEVER_ON, "rule": "never-with-power", "formerly": ["never-on"]}, CHASSIS_KNOWN, NO_WORK)
    found = since(PLAN, PLAN, renamed)
    assert (found.new, found.gone) == ({}, set())


def test_another_value_of_a_limit_is_another_rule() -> None:
    def with_limit(value: str) -> Rulebook:
        limit = {"limit": "most_volts", "kind": "voltage", "value": value, "stricter": "lower", "means": "x",
                 "sources": ["common practice"]}
        rule = a_rule("few-volts", "always(dial <= limit.most_volts)")
        return compile_rulebook([("r.yaml", json.dumps({"topic": "t", "limits": [limit], "rules": [rule]}).encode())])

    found = since(PLAN, PLAN, with_limit("50 V"), before_rules=with_limit("90 V"))
    assert found.new == {"few-volts": "the rule has changed"}


def test_an_acceptance_that_has_ended_says_so() -> None:
    accepted = PLAN + "accepted_risks: [{rule: never-on, reason: x, by: y, until: 2026-12-01}]\n"
    found = since(accepted, accepted, today=date(2026, 12, 2))
    assert found.new == {"never-on": "the risk was accepted before and is no longer"}


def test_a_finding_that_is_accepted_now_is_not_gone() -> None:
    accepted = PLAN + "accepted_risks: [{rule: never-on, reason: x, by: y, until: 2026-12-01}]\n"
    assert since(PLAN, accepted).gone == set()


def test_a_plan_that_was_not_in_the_report_is_new_in_all() -> None:
    found = since(PLAN, PLAN, path="wiki/other.yaml")
    assert set(found.new.values()) == {"the plan was not in the earlier report"}


def test_a_plan_that_was_moved_is_known_by_its_title() -> None:
    assert since(PLAN, PLAN, path="wiki/moved.yaml", is_there=lambda path: path != "wiki/plan.yaml").new == {}


def test_a_path_in_another_spelling_is_the_same() -> None:
    assert since(PLAN, PLAN, path="./wiki/plan.yaml").new == {}


def test_the_procedures_of_a_page_are_told_apart() -> None:
    first, second = PLAN, with_steps(*STEPS, WORK).replace("A small", "Another")
    both = [reviewed(first, path="page.md"), reviewed(second, path="page.md")]
    turned = compared(list(reversed(both)), earlier_report(written(*both)), RULES, lambda path: True)
    assert all(f.since and not f.since.new for r in turned if r.audit for f in r.audit.findings)


def test_what_had_nothing_to_review_then_does_not_count_now() -> None:
    idle = with_steps("set_dial: 0 V")
    assert since(idle, idle).summary.exit_status == 0
    assert since(PLAN, idle).summary.exit_status == 1


def test_a_plan_that_cannot_be_read_counts_whatever_was_there() -> None:
    found = since("a: [", "a: [")
    assert found.summary.exit_status == 2


def test_a_plan_that_is_not_asked_about_has_nothing_gone() -> None:
    earlier = earlier_report(written(reviewed(PLAN), reviewed(with_steps(*STEPS, WORK), path="wiki/other.yaml")))
    found = compared([reviewed(PLAN)], earlier, RULES, lambda path: True)
    assert [r.gone for r in found] == [()]


def told(found: Compared) -> str:
    return "\n".join(report_lines([found.reviewed], found.summary, Style(200)))


def test_the_terminal_tells_new_ones_in_full_and_the_others_in_a_line() -> None:
    text = told(since(with_steps(*STEPS, "{work: look into it, where: bench}"),
                      with_steps(*STEPS[:2], WORK, *STEPS[2:])))
    assert "New: the plan has changed." in text
    assert text.count("Instead: Make it so.") == 1
    assert "  WARNING never-on: step 6, set the dial to 60 V" in text
    assert "  CAUTION (cannot be told): chassis-known" in text


def test_the_terminal_tells_what_is_gone_and_the_counts() -> None:
    text = told(since(with_steps(*STEPS, WORK), PLAN))
    assert "Gone since the earlier report: 1." in text
    assert "DANGER no-work-at-all" in text
    assert "none is new, 2 still there, 1 gone" in text


def test_the_json_report_tells_it_too() -> None:
    found = since(PLAN, with_steps(*STEPS, WORK))
    data = json.loads(report([found.reviewed], found.summary, RULES))
    states = {f["rule"]: f["since"] for f in data["plans"][0]["findings"]}
    assert states["no-work-at-all"] == {"new": True, "why": "the plan has changed"}
    assert states["never-on"] == {"new": False, "why": None}
    assert (data["summary"]["new"], data["summary"]["gone"]) == ({"DANGER": 1}, 0)


def refused(source: bytes) -> tuple[Problem, ...]:
    with pytest.raises(Unreadable) as caught:
        earlier_report(source)
    return caught.value.problems


def test_a_report_that_is_cut_off_is_refused_with_its_place() -> None:
    source = written(reviewed(PLAN))
    problem, = refused(source[: len(source) // 2])
    assert problem.place is not None
    assert problem.place.line > 10


@pytest.mark.parametrize("source", [b"", b"null", b"[]", b"{}", b"\xff", b'{"rules": {}, "plans": [{}]}', b"[" * 100_000,
                                    b'{"rules": [], "plans": {}}', b"procedure: {title: x}",
                                    b'{"rules": {}, "plans": [], "more": ' + b"9" * 5000 + b"}"])
def test_what_is_no_report_is_refused_and_says_how_to_write_one(source: bytes) -> None:
    assert all("auditor audit PATH... --as json" in (problem.suggestion or "") for problem in refused(source))


def spoilt(change: Callable[[Any], object]) -> bytes:
    data = json.loads(written(reviewed(PLAN)))
    change(data)
    return json.dumps(data).encode()


def test_a_part_that_is_missing_is_named_with_its_place() -> None:
    problem, = refused(spoilt(lambda data: data["plans"][0]["findings"][1].pop("fingerprints")))
    assert problem.message.startswith("at plans[0].findings[1]: `fingerprints` is missing")


def test_a_signal_word_that_is_none_is_refused() -> None:
    problem, = refused(spoilt(lambda data: data["plans"][0]["findings"][0].update(signal_word="Danger")))
    assert "at plans[0].findings[0].signal_word: `Danger` is not one of" in problem.message


def test_what_a_later_version_adds_is_read_past() -> None:
    earlier_report(spoilt(lambda data: data.update(more=1) or data["plans"][0].update(more=2)))
