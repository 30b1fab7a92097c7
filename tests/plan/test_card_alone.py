"""A bench card read by itself: what it says of the bench, and what is wrong with its sequences."""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path

import pytest

from auditor.plan.card_alone import BARE_POWER, read_card
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.review.review import review_plan
from auditor.review.run import of_the_bench
from auditor.rulebook.load import load_rulebook
from tests.plan.test_cards import CARD, cards, written
from tests.written import a_rule, rules, spot, stands_at

TODAY = date(2026, 11, 20)
PROCEDURES = Path(__file__).parents[2] / "procedures"


def read(text: str) -> Plan:
    return read_card(text.encode(), "north.card.yaml", TODAY)


def refused(text: str) -> tuple[Problem, ...]:
    with pytest.raises(Unreadable) as caught:
        read(text)
    return caught.value.problems


def test_a_card_is_a_plan_of_today_that_gives_some_set_power() -> None:
    plan = read(CARD)
    assert plan.header.date == TODAY
    assert plan.header.title == "Bench north of the Millrace Valley Wireless Society, the card by itself"
    assert [step.verb for step in plan.steps] == [verb for step in BARE_POWER for verb in step]
    assert plan.has("isolating_transformer")
    assert plan.stop_when == ("smoke",)


def test_what_a_plan_fills_in_may_be_missing_from_a_sequence() -> None:
    assert "each" not in CARD
    read(CARD)
    read(CARD + "  other lamp:\n    - change_lamp: {after: lamp cool}\n")


@pytest.mark.parametrize(("step", "piece"), [
    ("{inspect: valvs}", "valvs"), ("{set_dial: 5 W}", "5 W"), ("{do: makin dead}", "makin dead"),
    ("{sett_dial: 5 V}", "{sett_dial"),
    ("{discharge: {trough: 10 kohm 10 W}}", "trough"), ("{prove: M7}", "M7")])
def test_a_mistake_in_a_sequence_stands_in_the_card(step: str, piece: str) -> None:
    text = CARD + f"  more:\n    - {step}\n"
    assert spot(text, piece) in [stands_at(problem) for problem in refused(text)]


def test_a_mistake_in_the_bench_stands_in_the_card() -> None:
    text = CARD.replace("kind: multimeter", "kind: multimetre")
    problem, = refused(text)
    assert stands_at(problem) == spot(text, "multimetre")
    assert "north.card.yaml" not in problem.message


def test_a_part_that_a_card_has_not_is_refused_with_the_nearest_one() -> None:
    problem, = refused(CARD.replace("sequences:", "sequence:"))
    assert problem.suggestion == "sequences"


@pytest.mark.parametrize("calls", [["round"], ["a", "round"], ["a", "b", "c", "d", "e"]])
def test_sequences_that_go_round_or_too_deep_are_refused(calls: list[str]) -> None:
    names = ["round", *[call for call in calls if call != "round"]]
    text = CARD + "".join(f"  {name}:\n    - do: {called}\n" for name, called in zip(names, calls, strict=False))
    if calls[-1] == "e":
        text += "  e:\n    - set_dial: 0 V\n"
    assert any("deep, or in a circle" in problem.message for problem in refused(text))


def test_sequences_that_multiply_are_read_at_once() -> None:
    doubled = "".join(f"  {name}:\n" + f"    - do: {called}\n" * 200 for name, called in ("ab", "bc", "cd"))
    start = time.process_time()
    read(CARD + doubled + "  d:\n" + "    - set_dial: 0 V\n" * 20)
    assert time.process_time() - start < 1.0


@pytest.mark.parametrize("text", ["", "a: [", "[a]\n", "sequences: [a]\n", "bench: {chain: x}\n", "bench: 5\n",
                                  "mains: [a]\n", "sequences: {a: b}\n", "stop: {then: x}\n", "title: [a]\n"])
def test_whatever_is_no_card_is_refused_with_a_place(text: str) -> None:
    for problem in refused(text):
        assert problem.place is not None


def test_only_rules_that_speak_of_the_bench_alone_are_asked() -> None:
    rulebook = rules(a_rule("the-bench", "always(energised -> bench.isolated)"),
                     a_rule("the-set", "set.chassis is isolated"),
                     a_rule("the-steps", "eventually(step.verb is inspect)"),
                     a_rule("bench-and-set", "bench.isolated or set.chassis is isolated"))
    assert [rule.name for rule in of_the_bench(rulebook).rules] == ["the-bench"]


def test_the_shipped_rules_of_the_bench_are_more_than_a_few() -> None:
    names = {rule.name for rule in of_the_bench(load_rulebook()).rules}
    assert {"keep-proofs-in-date", "switch-within-reach", "have-someone-who-can-cut-the-power", "isolation-before-the-dial",
            "stop-at-smoke-and-smell", "leave-the-isolated-output-unearthed"} <= names


@pytest.mark.parametrize("card", sorted(path.name for path in PROCEDURES.glob("*.card.yaml")))
def test_the_cards_of_the_club_have_nothing_to_correct(card: str) -> None:
    plan = read_card((PROCEDURES / card).read_bytes(), card, TODAY)
    outcomes = review_plan(plan, of_the_bench(load_rulebook()), TODAY).outcomes
    assert {name for name, outcome in outcomes.items() if outcome in (Outcome.BROKEN, Outcome.UNDETERMINED)} == set()


@pytest.mark.parametrize("card", sorted(path.name for path in PROCEDURES.glob("*.card.yaml")))
def test_the_proofs_of_the_club_run_out(card: str) -> None:
    later = date(2028, 1, 1)
    plan = read_card((PROCEDURES / card).read_bytes(), card, later)
    found, = (f for f in review_plan(plan, of_the_bench(load_rulebook()), later).findings if f.rule == "keep-proofs-in-date"
              and f.item == "residual current device")
    assert plan.source.document.lines(found.place).strip().startswith("- {name: residual current device")


def test_a_finding_about_what_the_card_alone_says_has_its_line_of_the_card() -> None:
    card = CARD.replace("  people:", "  register: [{name: M1, proved: 2020-01-01, good_for: 1 d}]\n  people:")
    text = written("steps: [set_dial: 0 V]").replace("title: With a card", "title: With a card, date: 2026-11-20")
    plan = read_plan(text, cards=cards(north=card))
    found, = (f for f in review_plan(plan, load_rulebook(), TODAY).findings if f.rule == "keep-proofs-in-date")
    assert (found.place.line, found.place.column) == spot(text, "north")
    assert found.card == f"north.card.yaml, line {spot(card, '{name: M1, proved')[0]}"


def test_a_plan_without_a_date_leaves_open_whether_a_proof_is_in_date() -> None:
    card = CARD.replace("  people:", "  register: [{name: M1, proved: 2026-01-01, good_for: 1 year}]\n  people:")
    audit = review_plan(read_plan(written("steps: [set_dial: 0 V]"), cards=cards(north=card)), load_rulebook(), TODAY)
    assert audit.outcomes["keep-proofs-in-date"] is Outcome.UNDETERMINED
    assert "procedure.date" in [question.missing.path for question in audit.questions]


@pytest.mark.parametrize(("entry", "piece"), [
    ("{name: M1, proved: 2026-01-01}", "{name: M1, proved"), ("{name: M1, proved: soon, good_for: 1 d}", "soon"),
    ("{name: M1, proved: 2026-01-01, good_for: 5 V}", "5 V"), ("{name: M1, prooved: 2026-01-01, good_for: 5 d}", "prooved")])
def test_a_register_says_what_when_and_for_how_long(entry: str, piece: str) -> None:
    text = CARD.replace("  people:", f"  register: [{entry}]\n  people:")
    assert spot(text, piece) in [stands_at(problem) for problem in refused(text)]


def test_a_register_has_an_end() -> None:
    many = ", ".join("{name: M1, proved: 2026-01-01, good_for: 1 d}" for _ in range(101))
    assert any("more than 100" in p.message for p in refused(CARD.replace("  people:", f"  register: [{many}]\n  people:")))
