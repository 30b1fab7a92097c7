"""A bench card: what a club writes once, and how a plan calls it."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from auditor.plan.card import Finder
from auditor.plan.files import PlanText
from auditor.plan.plan import Plan
from auditor.plan.problems import Unreadable
from auditor.plan.read import read_plan
from tests.written import refused, spot, stands_at, the_refusal

CARD = """\
title: Bench north of the Millrace Valley Wireless Society
mains: {voltage: 120 V, earth: present}
bench:
  chain: [outlet, isolating_transformer, autotransformer, {limiter: {lamp: {power: 40 W}, bypass: open}}, set]
  instruments: [{name: M1, kind: multimeter}]
  people: {second_person: within call, attended: throughout}
stop:
  if: [smoke]
  then: [{switch_off: outlet}]
sequences:
  making dead:
    - switch_off: outlet
    - {discharge: {through: 10 kohm 10 W}}
    - {prove_dead: {below: 10 V, instrument: M1, otherwise: stop}}
  end:
    - set_dial: 0 V
    - do: making dead
  valve_check:
    - {inspect: valves, expect: all seated, otherwise: stop}
"""


def cards(**texts: str) -> Finder:
    return lambda file: texts[name].encode() if (name := file.removesuffix(".card.yaml")) in texts else None


NORTH = cards(north=CARD)


def written(*lines: str, card: str = "north") -> str:
    return "\n".join((f"card: {card}", "procedure: {title: With a card}",
                      "set: {filter_capacitors: [{name: C1}]}", *lines)) + "\n"


def read(*lines: str) -> Plan:
    return read_plan(written(*lines), cards=NORTH)


def test_a_plan_has_the_bench_of_its_card() -> None:
    assert [element.kind for element in read().chain][:2] == ["outlet", "isolating_transformer"]


def test_what_the_plan_says_stands_in_place_of_the_card() -> None:
    assert [element.kind for element in read("bench: {chain: [outlet, set]}").chain] == ["outlet", "set"]


def test_what_the_plan_does_not_say_is_still_said_by_the_card() -> None:
    people = read("bench: {people: {second_person: none}}").bench.people
    assert people is not None
    assert (people.second_person, people.attended) == ("none", "throughout")


def test_a_list_of_the_plan_replaces_the_list_of_the_card_whole() -> None:
    assert read("stop: {if: [smell]}").stop_when == ("smell",)


def test_the_card_says_nothing_about_the_set() -> None:
    assert read().set.chassis is None


def test_a_called_sequence_is_its_steps() -> None:
    steps = read("steps:", "  - {do: making dead, each: [C1]}").steps
    assert [step.verb for step in steps] == ["switch_off", "discharge", "prove_dead"]


def test_the_steps_of_a_sequence_count_as_the_step_that_calls_it() -> None:
    steps = read("steps:", "  - set_dial: 0 V", "  - {do: making dead, each: [C1]}", "  - unplug: set").steps
    assert [step.number for step in steps] == [1, 2, 2, 2, 3]


def test_what_differs_goes_into_the_steps_that_take_it() -> None:
    steps = read("steps:", "  - {do: making dead, each: [C1]}").steps
    assert [step.each for step in steps] == [None, ("C1",), ("C1",)]


def test_what_the_plan_says_beside_do_stands_in_place_of_what_the_card_says() -> None:
    steps = read("steps:", "  - {do: making dead, each: [C1], below: 5 V}").steps
    assert steps[2].below is not None
    assert steps[2].below.high == 5.0


def test_what_differs_reaches_sequences_that_sequences_call() -> None:
    steps = read("steps:", "  - {do: end, each: [C1]}").steps
    assert [(step.verb, step.each) for step in steps][2:] == [("discharge", ("C1",)), ("prove_dead", ("C1",))]


def test_a_lamp_that_differs_goes_into_the_step_that_fits_it() -> None:
    card = CARD + "  other lamp:\n    - change_lamp: {after: lamp cool}\n"
    text = written("steps:", "  - {do: other lamp, lamp: {power: 100 W}}")
    step = read_plan(text, cards=cards(north=card)).steps[0]
    assert step.lamp is not None
    assert step.lamp.power is not None
    assert (step.lamp.power.low, step.after) == (100.0, "lamp cool")


def test_every_step_of_a_sequence_knows_its_line_of_the_card() -> None:
    steps = read("steps:", "  - {do: making dead, each: [C1]}").steps
    assert [step.card_line for step in steps] == [
        spot(CARD, text)[0] for text in ("switch_off: outlet\n", "discharge:", "prove_dead:")]


def test_a_sequence_may_have_a_name_with_the_words_of_either_side() -> None:
    assert read("steps:", "  - do: valve_check").steps[0].what == "tubes"


def test_a_step_of_a_sequence_that_lacks_something_names_plan_and_card() -> None:
    text = written("steps:", "  - do: making dead")
    first, second = refused(text, cards=NORTH)
    assert stands_at(first) == spot(text, "do: making dead")
    assert f"step 2 of `making dead` in north.card.yaml, line {spot(CARD, 'discharge:')[0]}" in first.message
    assert "`prove_dead` needs `each`" in second.message


def test_a_misspelt_sequence_is_refused_with_the_nearest_one() -> None:
    text = written("steps:", "  - do: making ded")
    problem = the_refusal(text, cards=NORTH)
    assert problem.suggestion == "making dead"
    assert stands_at(problem) == spot(text, "making ded")


def test_a_sequence_without_a_card_is_refused() -> None:
    assert "names no card" in the_refusal("procedure: {title: x}\nsteps: [{do: making dead}]\n").message


def test_a_missing_card_is_one_problem_however_often_it_is_called() -> None:
    text = written("steps:", "  - do: making dead", "  - do: end", card="south")
    problem = the_refusal(text, cards=NORTH)
    assert "no file south.card.yaml lies beside the plan" in problem.message
    assert stands_at(problem) == spot(text, "south")


@pytest.mark.parametrize("name", ["../north", "/north", "north/..", "..", "north.card.yaml", "North", "nörth", "a b",
                                  "north\\south", "C:north", "''", "[north]", "north-", "-north"])
def test_a_card_is_named_by_small_letters_digits_and_hyphens_alone(name: str) -> None:
    def never(file: str) -> bytes | None:
        raise AssertionError(f"looked for {file}")

    text = written(card=name)
    assert stands_at(the_refusal(text, cards=never)) == spot(text, name)


def test_a_card_outside_the_folder_of_the_plan_is_never_read(tmp_path: Path) -> None:
    (tmp_path / "north.card.yaml").write_text(CARD)
    (tmp_path / "inner").mkdir()
    with pytest.raises(Unreadable, match="lies beside the plan"):
        PlanText(str(tmp_path / "inner" / "plan.yaml"), written()).read()


def test_a_card_beside_the_plan_is_read(tmp_path: Path) -> None:
    (tmp_path / "north.card.yaml").write_text(CARD)
    assert PlanText(str(tmp_path / "plan.yaml"), written()).read().has("isolating_transformer")


@pytest.mark.parametrize("card", ["a: [", "set: {chassis: hot}\n", "[a]\n", "sequences: [a]\n", "\ttitle: x\n", ""])
def test_a_card_that_cannot_be_read_is_a_problem_of_the_plan_that_names_it(card: str) -> None:
    text = written()
    problem = refused(text, cards=cards(north=card))[0]
    assert "north.card.yaml" in problem.message
    assert stands_at(problem) == spot(text, "north")


def test_a_mistake_in_the_bench_of_a_card_names_its_line() -> None:
    wrong = CARD.replace("kind: multimeter", "kind: multimetre")
    problem = the_refusal(written(), cards=cards(north=wrong))
    assert f"(in north.card.yaml, line {spot(wrong, 'multimetre')[0]})" in problem.message


def test_what_only_the_card_says_stands_where_the_card_is_named() -> None:
    plan = read()
    place = plan.source.place(("bench", "chain", 1))
    assert (place.line, place.column) == spot(written(), "north")


def test_the_fingerprint_of_a_card_is_that_of_its_bytes() -> None:
    card = read().source.card
    assert card is not None
    assert card.fingerprint == hashlib.sha256(CARD.encode()).hexdigest()[:12]


def test_a_sequence_that_calls_itself_is_refused() -> None:
    card = "sequences:\n  round:\n    - do: round\n"
    assert "deep" in the_refusal(written("steps: [{do: round}]"), cards=cards(north=card)).message


def test_sequences_that_multiply_are_refused_at_once() -> None:
    doubled = "".join(f"  {name}:\n" + f"    - do: {called}\n" * 200 for name, called in ("ab", "bc", "cd"))
    card = f"sequences:\n{doubled}  d:\n" + "    - set_dial: 0 V\n" * 200
    assert "more than" in the_refusal(written("steps: [{do: a}]"), cards=cards(north=card)).message
