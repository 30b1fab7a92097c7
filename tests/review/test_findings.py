"""What a rule comes to on a plan, and what its finding says."""

from __future__ import annotations

import re
from datetime import date

import pytest

from auditor.plan.read import read_plan
from auditor.review.finding import Audit, Finding, Outcome, Verdict
from auditor.review.review import counts, review_plan
from tests.written import a_rule, review, rules, spot, with_steps

POWER = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
POWERED = with_steps(*POWER)
LOW = a_rule("keep-it-low", "always(energised -> dial <= 30 V)", message="At `{step}` the dial stands at {dial}.")
HOT = a_rule("isolate-what-is-hot", "always(energised -> bench.isolated)", applies_when="set.chassis is hot")
NEW = a_rule("new-capacitors", "capacitor.condition is new", for_each="capacitor", message="{item} is not new.")


def only(audit: Audit) -> Finding:
    assert len(audit.findings) == 1
    return audit.findings[0]


def stating(**facts: str) -> str:
    """The powered plan with these facts of the set added."""
    return POWERED.replace("set: {", "set: {" + "".join(f"{key}: {value}, " for key, value in facts.items()))


@pytest.mark.parametrize(("text", "outcome"), [
    (stating(chassis="hot"), Outcome.BROKEN),
    (stating(chassis="isolated"), Outcome.NOT_APPLICABLE),
    (stating(chassis="hot").replace("autotransformer", "isolating_transformer, autotransformer"), Outcome.KEPT),
    (POWERED, Outcome.UNDETERMINED),
    (stating(chassis="unknown"), Outcome.UNDETERMINED),
])
def test_a_rule_comes_to_one_of_its_outcomes(text: str, outcome: Outcome) -> None:
    assert review(text, HOT).outcomes == {"isolate-what-is-hot": outcome}


def test_a_rule_that_is_kept_makes_no_finding() -> None:
    assert review(with_steps(*POWER[:4], "set_dial: 30 V"), LOW).findings == ()


def test_a_finding_names_the_step_as_the_author_counts_it() -> None:
    finding = only(review(POWERED, LOW))
    assert (finding.step, finding.step_words) == (5, "set the dial to 60 V")


def test_a_finding_has_the_values_of_the_plan_in_it() -> None:
    assert only(review(POWERED, LOW)).message == "At `set the dial to 60 V` the dial stands at 60 V."


def test_a_finding_stands_at_the_step_it_is_about() -> None:
    place = only(review(POWERED, LOW)).place
    assert (place.line, place.column) == spot(POWERED, "set_dial: 60 V")


def test_a_finding_in_a_stage_names_the_stage_and_stands_at_the_raise() -> None:
    text = with_steps(*POWER[:4], "raise: {to: 60 V, by: 20 V}")
    finding = only(review(text, LOW))
    assert finding.step_words == "set the dial to 40 V (stage 2 of 3)"
    assert (finding.place.line, finding.place.column) == spot(text, "raise")


def test_a_rule_that_fails_at_several_steps_is_one_finding() -> None:
    finding = only(review(with_steps(*POWER, "set_dial: 70 V", "set_dial: 20 V", "set_dial: 90 V"), LOW))
    assert (finding.step, finding.also) == (5, (6, 8))


def test_a_rule_about_the_end_is_about_the_whole_plan() -> None:
    finding = only(review(POWERED, a_rule("plug-out", "at_end(not set_plugged)")))
    assert (finding.step, finding.outcome) == (None, Outcome.BROKEN)


def test_a_rule_about_capacitors_is_asked_of_each() -> None:
    text = POWERED.replace("{name: C1}", "{name: C1, condition: new}").replace("{name: C2}", "{name: C2, condition: bulged}")
    audit = review(text.replace("set: {", "set: {complete: yes, "), NEW)
    assert [(finding.item, finding.message) for finding in audit.findings] == [("C2", "C2 is not new.")]


def test_a_finding_about_a_capacitor_stands_where_it_is_listed() -> None:
    text = POWERED.replace("{name: C1}", "{name: C1, condition: new}")
    finding = next(f for f in review(text, NEW).findings if f.item == "C2")
    assert (finding.place.line, finding.place.column) == spot(text, "{name: C2}")


def test_findings_alike_in_all_but_the_capacitor_are_told_as_one() -> None:
    finding = review(POWERED, NEW).findings[0]
    assert finding.item is not None
    assert finding.item.startswith("C1, C2")


def test_a_list_that_is_not_said_to_be_complete_leaves_the_rule_open() -> None:
    text = POWERED.replace("{name: C1}, {name: C2}", "{name: C1, condition: new}")
    finding = only(review(text, NEW))
    assert [missing.line for missing in finding.missing] == ["complete: yes"]


def test_the_most_serious_finding_comes_first_whatever_the_order_of_the_rules() -> None:
    words = ["NOTICE", "DANGER", "CAUTION", "WARNING"]
    written = [a_rule(f"rule-{word.lower()}", "never(energised)", word=word) for word in words]
    found = [finding.signal_word for finding in review(POWERED, *written).findings]
    assert found == ["DANGER", "WARNING", "CAUTION", "NOTICE"]


def test_of_two_equally_serious_findings_the_broken_one_comes_first() -> None:
    audit = review(POWERED, HOT, a_rule("never-on", "never(energised)"))
    assert [finding.outcome for finding in audit.findings] == [Outcome.BROKEN, Outcome.UNDETERMINED]


def test_a_failure_on_the_way_out_says_how_the_way_out_began() -> None:
    stop = "stop: {if: [smoke], then: [{set_dial: 90 V}]}\n"
    text = with_steps(*POWER, "set_dial: 0 V", "unplug: set").replace("steps:", stop + "steps:")
    finding = only(review(text, a_rule("dial-below-80", "always(dial <= 80 V)")))
    assert finding.branch is not None
    assert finding.branch.startswith("step ")


def test_a_finding_about_a_step_of_a_card_names_the_line_of_the_card() -> None:
    card = "bench: {chain: [outlet, autotransformer, set]}\nsequences: {up: [switch_on: outlet,\n set_dial: 60 V]}\n"
    text = "card: north\nprocedure: {title: x}\nsteps:\n" + "".join(
        f"  - {step}\n" for step in ("set_dial: 0 V", "plug_in: set", "switch_on: set", "do: up"))
    plan = read_plan(text, cards=lambda file: card.encode())
    finding = only(review_plan(plan, rules(LOW), date(2026, 11, 20)))
    assert (finding.card, finding.place.line) == (f"north.card.yaml, line {spot(card, 'set_dial: 60 V')[0]}", 7)


def test_a_plan_without_findings_is_not_called_safe() -> None:
    assert review(POWERED, a_rule("never-90", "always(dial <= 90 V)")).verdict is Verdict.NOTHING_FOUND
    assert not any("safe" in verdict.value for verdict in Verdict)


@pytest.mark.parametrize("text", [with_steps(*POWER[:2]), with_steps("set_dial: 0 V"), "procedure: {title: x}\n"])
def test_a_plan_that_never_energises_its_set_has_nothing_to_review(text: str) -> None:
    assert review(text, LOW).verdict is Verdict.NOTHING_TO_REVIEW


def test_an_undetermined_rule_is_a_finding_like_a_broken_one() -> None:
    assert review(POWERED, HOT).verdict is Verdict.FINDINGS


@pytest.mark.parametrize(("word", "counting"), [
    ("DANGER", ["DANGER", "WARNING", "CAUTION", "NOTICE"]),
    ("CAUTION", ["CAUTION", "NOTICE"]),
    ("NOTICE", ["NOTICE"]),
])
def test_a_finding_counts_from_its_own_signal_word_down(word: str, counting: list[str]) -> None:
    audit = review(POWERED, a_rule("never-on", "never(energised)", word=word))
    assert [bar for bar in ("DANGER", "WARNING", "CAUTION", "NOTICE") if counts(audit, bar)] == counting


def test_an_open_rule_says_what_it_would_require() -> None:
    finding = only(review(POWERED, HOT))
    assert finding.message == "Whether this is so cannot be told, because the plan does not say enough: that it is so."


def test_a_range_that_reaches_over_the_limit_is_neither_kept_nor_broken() -> None:
    text = stating(rated_power="28..35 W")
    audit = review(text, a_rule("draws-little", "set.rated_power <= 30 W"))
    assert only(audit).outcome is Outcome.UNDETERMINED
    assert only(audit).missing == ()


def on_mains_of(volts: str) -> str:
    return re.sub(r"(?m)^mains: .*$", f"mains: {{voltage: {volts}}}", POWERED)


@pytest.mark.parametrize(("mains", "said"), [("120 V", False), ("115..125 V", False), ("230 V", True)])
def test_a_remedy_says_whose_volts_its_lines_have_where_the_mains_are_others(mains: str, said: bool) -> None:
    rule = {**LOW, "remedy": {"do": "Stop lower.", "write": "- {raise: {to: 117 V, by: 15 V}}"}}
    finding = only(review(on_mains_of(mains), rule))
    assert ("bench on 120 V" in finding.remedy) == said


def test_a_remedy_without_such_volts_says_nothing_of_them() -> None:
    rule = {**LOW, "remedy": {"do": "Stop lower.", "write": "working_voltage: 450 V"}}
    assert only(review(on_mains_of("230 V"), rule)).remedy == "Stop lower."
