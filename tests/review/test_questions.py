"""Missing facts: which are asked for, in what order, and the line that answers each."""

from __future__ import annotations

import pytest

from auditor.bench.facts import FACTS
from auditor.bench.item_facts import LISTS
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.review.questions import LINES
from tests.written import a_rule, review, spot, with_steps

POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
CHASSIS = a_rule("chassis-isolated", "set.chassis is isolated")
EARTH = a_rule("earth-present", "mains.earth is present")
BOTH = a_rule("chassis-and-earth", "set.chassis is isolated and mains.earth is present")


def asked(*written: dict[str, object], text: str = POWERED) -> list[str]:
    return [question.missing.path for question in review(text, *written).questions]


def test_an_open_rule_names_the_fact_that_is_missing() -> None:
    assert asked(CHASSIS) == ["set.chassis"]


def test_an_open_rule_names_the_line_to_add() -> None:
    missing = review(POWERED, CHASSIS).findings[0].missing[0]
    assert missing.line.startswith("chassis: hot")


def test_the_line_to_add_answers_the_question() -> None:
    line = review(POWERED, EARTH).findings[0].missing[0].line
    answered = POWERED.replace("mains: {", f"mains: {{{line.split('#')[0].strip()}, ")
    assert review(answered, EARTH).outcomes == {"earth-present": Outcome.KEPT}


def test_a_question_stands_where_the_line_is_to_be_added() -> None:
    place = review(POWERED, CHASSIS).questions[0].missing.place
    assert place is not None
    assert place.line == spot(POWERED, "set: {")[0]


def test_a_question_says_which_rules_it_decides() -> None:
    questions = review(POWERED, CHASSIS, EARTH, BOTH).questions
    assert {q.missing.path: set(q.rules) for q in questions} == {
        "set.chassis": {"chassis-isolated", "chassis-and-earth"}, "mains.earth": {"earth-present", "chassis-and-earth"}}


def test_a_fact_that_many_rules_miss_is_asked_for_once() -> None:
    many = [a_rule(f"chassis-rule-{i}", f"always(dial <= {i} V -> set.chassis is isolated)") for i in range(60, 90)]
    assert asked(*many) == ["set.chassis"]


def test_the_fact_that_decides_most_rules_is_asked_for_first() -> None:
    assert asked(EARTH, CHASSIS, BOTH, a_rule("chassis-again", "set.chassis is isolated")) == ["set.chassis", "mains.earth"]


def test_the_order_of_the_rules_does_not_change_the_order_of_the_questions() -> None:
    written = [EARTH, CHASSIS, a_rule("speaker-on", "set.output is tube")]
    assert asked(*written) == asked(*written[::-1])


def test_a_fact_that_is_stated_is_not_asked_for() -> None:
    assert asked(CHASSIS, EARTH, text=POWERED.replace("set: {", "set: {chassis: isolated, ")) == ["mains.earth"]


def test_unknown_is_asked_for_like_a_line_that_is_not_there() -> None:
    assert asked(CHASSIS, text=POWERED.replace("set: {", "set: {chassis: unknown, ")) == asked(CHASSIS)


def test_a_fact_that_cannot_change_an_outcome_is_not_asked_for() -> None:
    broken = a_rule("earth-and-never-on", "mains.earth is present and never(energised)")
    assert asked(broken) == []


@pytest.mark.parametrize("formula", [
    "set.chassis is hot or set.chassis is isolated",
    "set.motor or not set.motor",
    "set.chassis is hot -> set.chassis is not isolated",
])
def test_a_rule_that_every_answer_keeps_is_kept_and_asks_nothing(formula: str) -> None:
    audit = review(POWERED, a_rule("either-way", formula))
    assert (audit.outcomes, audit.questions) == ({"either-way": Outcome.KEPT}, ())


def test_a_rule_that_every_answer_breaks_is_not_kept() -> None:
    audit = review(POWERED, a_rule("neither-way", "set.chassis is hot and set.chassis is isolated"))
    assert [finding.outcome for finding in audit.findings] == [Outcome.BROKEN]
    assert audit.questions == ()


def test_of_two_facts_only_the_one_that_changes_the_outcome_is_asked_for() -> None:
    formula = "(set.motor or not set.motor) and set.chassis is isolated"
    assert asked(a_rule("one-matters", formula)) == ["set.chassis"]


def test_a_capacitor_is_named_in_the_question_about_it() -> None:
    new = a_rule("new-capacitors", "capacitor.condition is new", for_each="capacitor")
    text = POWERED.replace("set: {", "set: {complete: yes, ").replace("{name: C1}", "{name: C1, condition: new}")
    assert asked(new, text=text) == ["set.filter_capacitors C2.condition"]


def test_an_element_of_the_chain_is_found_by_its_kind() -> None:
    missing = review(POWERED, a_rule("fuse-the-dial", "bench.dial_fuse <= 5 A")).questions[0].missing
    assert missing.path == "bench.chain.autotransformer.fuse"
    assert missing.place is not None
    assert missing.place.line == spot(POWERED, "autotransformer")[0]


def test_every_fact_that_asks_has_a_question_and_a_line() -> None:
    asks = {ask for fact in FACTS.values() for ask in fact.asks} | {line for _, line in LISTS.values()}
    assert asks - set(LINES) == set()


def test_every_line_that_is_offered_can_be_read() -> None:
    for path, (_, line) in LINES.items():
        assert _read_with(path, line.split("   #")[0]) is not None, path


def _read_with(path: str, line: str) -> object:
    """A plan in which the line stands where the path says."""
    parts = path.split(".")[:-1]
    if parts[:2] == ["bench", "chain"]:
        inner = f"{{{line}}}"
        for part in reversed(parts[3:]):
            inner = f"{{{part}: {inner}}}"
        text = f"bench: {{chain: [{{{parts[2]}: {inner}}}, set]}}"
    else:
        text = f"name: N, {line}" if parts[-1].endswith("[]") else line
        for part in reversed(parts):
            text = f"{part[:-2]}: [{{{text}}}]" if part.endswith("[]") else f"{part}: {{{text}}}"
    title = "" if parts[0] == "procedure" else "procedure: {title: x}\n"
    return read_plan(title + text.replace("procedure: {", "procedure: {title: x, ") + "\n")


def test_a_plan_of_ten_lines_gets_each_question_once() -> None:
    ten = """\
procedure: {title: Ten lines}
mains: {voltage: 120 V}
set: {rated_voltage: 117 V}
bench: {chain: [outlet, autotransformer, {limiter: {lamp: {power: 40 W}, bypass: open}}, set]}
steps:
  - set_dial: 0 V
  - plug_in: set
  - switch_on: outlet
  - switch_on: set
  - raise: {to: 60 V, by: 15 V}
"""
    written = [a_rule(f"rule-{n}-{name}", f"always(dial <= {n} V -> {formula})")
               for n in (60, 70, 80, 90) for name, formula in (
                   ("chassis", "set.chassis is isolated"), ("earth", "mains.earth is present"),
                   ("output", "set.output is tube"), ("people", "bench.second_person is \"within call\""))]
    audit = review(ten, *written)
    assert len(audit.findings) == 16
    assert len(audit.questions) == 4
