"""An example is a base plan with a few changes; a change that does not fit the base plan is refused."""

from __future__ import annotations

import pytest

from auditor.plan.problems import Unreadable
from auditor.rulebook.examples import base_plan, changes_of, example
from auditor.rulebook.load import compile_rulebook, load_rulebook
from auditor.rulebook.rule import Rulebook

LABELS = list(base_plan("five-tube")["steps"])
STEP = {"wait": "1 min"}


def steps(change: object) -> list[object]:
    found = example(change)["steps"]
    assert isinstance(found, list)
    return found


def test_as_it_is_changes_nothing() -> None:
    assert steps("as it is") == list(base_plan("five-tube")["steps"].values())


def test_a_fact_is_stated_anew() -> None:
    assert example({"state": {"set.chassis": "isolated"}})["set"]["chassis"] == "isolated"


def test_a_fact_that_the_base_does_not_have_is_added() -> None:
    assert example({"state": {"mains.band": "120 V"}})["mains"]["band"] == "120 V"


def test_a_fact_is_taken_out_where_it_is_not_stated() -> None:
    assert "chassis" not in example({"state": {"set.chassis": "not stated"}})["set"]


def test_an_element_of_the_chain_is_found_by_its_kind() -> None:
    chain = example({"state": {"bench.chain.limiter.lamp.power": "60 W"}})["bench"]["chain"]
    assert [element["limiter"]["lamp"]["power"] for element in chain if "limiter" in element] == ["60 W"]


def test_a_capacitor_is_found_by_its_name() -> None:
    capacitors = example({"state": {"set.filter_capacitors.C2.condition": "original"}})["set"]["filter_capacitors"]
    assert [c["condition"] for c in capacitors] == ["new", "original"]


def test_an_element_is_left_out() -> None:
    chain = example({"leave_out": ["bench.chain.limiter"]})["bench"]["chain"]
    assert len(chain) == len(base_plan("five-tube")["bench"]["chain"]) - 1


def test_a_step_is_left_out() -> None:
    assert len(steps({"leave_out": ["steps.prove-limiter"]})) == len(LABELS) - 1


def test_a_step_is_written_anew_in_its_place() -> None:
    assert steps({"write": {"prove-limiter": STEP}})[LABELS.index("prove-limiter")] == STEP


def test_a_step_is_put_before_another() -> None:
    assert steps({"before": {"prove-limiter": STEP}})[LABELS.index("prove-limiter")] == STEP


def test_steps_are_put_after_another_in_their_order() -> None:
    at = LABELS.index("prove-limiter") + 1
    assert steps({"after": {"prove-limiter": [STEP, {"wait": "2 min"}]}})[at:at + 2] == [STEP, {"wait": "2 min"}]


def test_another_base_is_named() -> None:
    assert example({"base": "switching-set"})["set"]["power_supply"] == "switching"


def test_a_change_leaves_the_base_as_it_was() -> None:
    example({"state": {"set.chassis": "isolated"}, "leave_out": ["steps.prove-limiter"]})
    assert base_plan("five-tube")["set"]["chassis"] == "hot"
    assert "prove-limiter" in base_plan("five-tube")["steps"]


@pytest.mark.parametrize("change", [
    {"write": {"no-such-step": STEP}}, {"before": {"no-such-step": STEP}}, {"after": {"no-such-step": STEP}},
    {"leave_out": ["steps.no-such-step"]}, {"leave_out": ["bench.chain.no_such_element"]},
    {"leave_out": ["set.no_such_key"]},
    {"state": {"set.filter_capacitors.C9.condition": "new"}}, {"state": {"bench.chain.no_such_element.power": "60 W"}},
    {"state": {"set.no_such_part.kind": "x"}}, {"state": {"set.no_such_key": "not stated"}},
    {"leave_out": ["steps"]}, {"state": {"steps": "not stated"}}, {"state": {"steps": "y"}}, {"state": {"steps": []}},
    {"base": "no-such-plan"}, {"base": "../../procedures/console-amplifier"}, {"remove": ["steps.prove-limiter"]}, 7,
], ids=str)
def test_a_change_that_does_not_fit_is_refused(change: object) -> None:
    with pytest.raises(Unreadable):
        example(change)


def test_a_label_that_does_not_fit_is_named() -> None:
    with pytest.raises(Unreadable, match="no step labelled `no-such-step`"):
        example({"after": {"no-such-step": STEP}})


@pytest.mark.parametrize(("change", "instead"), [
    ({"after": {"prove-limitr": STEP}}, "prove-limiter"), ({"leave_out": ["steps.prove-limitr"]}, "prove-limiter"),
    ({"state": {"bench.chain.limitr.bypass": "open"}}, "limiter"), ({"base": "five-tubes"}, "five-tube"),
    ("as it iss", "as it is")])
def test_a_change_that_does_not_fit_is_told_with_what_was_meant(change: object, instead: str) -> None:
    with pytest.raises(Unreadable) as caught:
        example(change)
    assert instead in (caught.value.problems[0].suggestion or "")


@pytest.mark.parametrize("written", ["{kept: [], broken: as it is}", "{kept: as it is, broken: []}",
                                     "{kept: as it is, broken: }", "{kept: as it is, broken: as it is, undetermined: []}"])
def test_a_rule_is_not_proved_by_no_example(written: str) -> None:
    rule = load_rulebook().rules[0]
    with pytest.raises(Unreadable, match="no example stands under") as caught:
        changes_of(rule, with_examples(f"{rule.name}: {written}"))
    assert caught.value.problems[0].place is not None


def with_examples(text: str) -> Rulebook:
    shipped = load_rulebook()
    return Rulebook(shipped.rules, shipped.limits, dict.fromkeys(shipped.examples, (text, 1)))


@pytest.mark.parametrize("written", ["kept: as it is", "broken: as it is", "as it is",
                                     "{kept: as it is, broken: as it is, wrong: as it is}"])
def test_a_rule_needs_an_example_of_each_outcome_and_of_no_other(written: str) -> None:
    rule = load_rulebook().rules[0]
    with pytest.raises(Unreadable, match="needs examples under `kept` and `broken`"):
        changes_of(rule, with_examples(f"{rule.name}: {written}" if written[0] in "{a" else f"{rule.name}:\n  {written}"))


def test_a_rule_without_examples_is_refused() -> None:
    with pytest.raises(Unreadable):
        changes_of(load_rulebook().rules[0], with_examples(""))


def test_examples_are_read_only_when_they_are_asked_for() -> None:
    assert compile_rulebook([("a.yaml", b"topic: x\nrules: []\n---\n[ this is no YAML")]).rules == ()
