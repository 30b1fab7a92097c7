"""Text to plan: what is known, what is not stated, and every mistake with its place."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.logic.interval import Interval
from auditor.plan.chain import IsolatingTransformer, Limiter
from auditor.plan.read import MOST_LISTED, PARTS, read_plan
from tests.written import refused, spot, stands_at, the_refusal, the_set, with_set, with_steps

THREE_MISTAKES = """\
procedure: {title: Three mistakes, purpose: first powerup}
set:
  chasis: hot
  rated_voltage: 117
steps: []
"""


def test_every_mistake_of_a_file_is_reported() -> None:
    assert len(refused(THREE_MISTAKES)) == 3


def test_every_mistake_has_its_own_place() -> None:
    places = [stands_at(problem) for problem in refused(THREE_MISTAKES)]
    assert places == [spot(THREE_MISTAKES, "first powerup"), spot(THREE_MISTAKES, "chasis"), spot(THREE_MISTAKES, "117")]


def test_mistakes_are_told_in_the_order_of_the_text() -> None:
    text = "steps:\n  - set_dail: 0 V\nset: {chasis: hot}\nmains: {voltage: 5}\nprocedure: {titel: x}\n"
    places = [stands_at(problem) for problem in refused(text)]
    assert places == sorted(places)


def test_every_mistake_says_what_to_write() -> None:
    assert [p.suggestion for p in refused(THREE_MISTAKES)] == ["first power-up", "write `chassis:`", "117 V"]


@given(st.lists(st.sampled_from(["chasis: hot", "rated_voltage: 117", "motor: perhaps", "speaker: conected"]),
                unique=True, min_size=1))
def test_one_mistake_never_hides_another(lines: list[str]) -> None:
    assert len(refused(with_set(*lines))) == len(lines)


def test_one_mistake_in_the_set_is_no_mistake_of_the_steps_that_name_its_capacitors() -> None:
    text = with_steps("{measure: resistance, across: C1, expect: 1 Mohm.., otherwise: stop}", "{set_dial: 0 V, read: [C2]}")
    assert len(refused(text.replace("{name: C2}", "{name: C2, conditoin: new}"))) == 1


@pytest.mark.parametrize(("line", "meant"), [
    ("capacitors: []", "filter_capacitors"),
    ("filter_capacitors: [{name: C1, rated_voltage: 350 V}]", "working_voltage"),
    ("filter_capacitors: [{name: C1, value: 8 uF}]", "capacitance")])
def test_a_usual_name_for_a_key_leads_to_that_key_and_not_to_another_of_like_spelling(line: str, meant: str) -> None:
    assert the_refusal(with_set(line)).suggestion == f"write `{meant}:`"


@pytest.mark.parametrize(("text", "meant"), [("bench: {chains: []}", "chain"), ("stop: {than: []}", "then")])
def test_a_misspelt_list_of_elements_or_steps_leads_to_its_key(text: str, meant: str) -> None:
    problem = the_refusal(f"procedure: {{title: x}}\n{text}\n")
    assert problem.suggestion == f"write `{meant}:`"
    assert f"`{meant}`" in problem.message


def test_a_part_written_as_one_word_is_refused_with_the_keys_that_it_has() -> None:
    problem = the_refusal(with_set("rectifier: tube"))
    assert problem.message == "expected keys and values under `rectifier`; known here are `kind` or `heater`"


@pytest.mark.parametrize("text", ["a: b\n", "[a, b]\n", "only words\n", "title: x\nset: {chassis: hot}\n"])
def test_a_text_that_is_no_plan_says_so_in_one_line(text: str) -> None:
    assert the_refusal(text).message.startswith("this is not a plan")


def test_a_part_that_no_plan_has_is_refused_with_the_nearest_one() -> None:
    text = "procedure: {title: x}\nsetps: []\n"
    problem = the_refusal(text)
    assert problem.suggestion == "steps"
    assert stands_at(problem) == spot(text, "setps")


def test_an_unknown_key_deep_inside_is_refused_at_the_key() -> None:
    text = with_set("rectifier: {knd: tube}")
    problem = the_refusal(text)
    assert problem.suggestion == "write `kind:`"
    assert stands_at(problem) == spot(text, "knd")


def test_an_unknown_key_in_a_list_is_refused_at_the_key() -> None:
    text = with_set("filter_capacitors:", "  - {name: C1}", "  - {name: C2, capacity: 40 uF}")
    problem = the_refusal(text)
    assert problem.suggestion == "write `capacitance:`"
    assert stands_at(problem) == spot(text, "capacity")


def test_a_key_that_has_to_be_there_is_named() -> None:
    assert the_refusal("procedure: {purpose: soak test}\nsteps: []\n").message == "`title` is missing"


@pytest.mark.parametrize("part", [part for part in PARTS if part in ("procedure", "mains", "set", "bench", "stop")])
def test_words_where_a_part_belongs_are_refused(part: str) -> None:
    text = {"procedure": "procedure: words\nsteps: []\n"}.get(part, f"procedure: {{title: x}}\n{part}: words\n")
    problem = the_refusal(text)
    assert problem.message == f"expected keys and values under `{part}`"
    assert stands_at(problem) == spot(text, "words")


@pytest.mark.parametrize("part", ["steps", "accepted_risks"])
def test_a_mapping_where_a_list_belongs_is_refused(part: str) -> None:
    assert the_refusal(f"procedure: {{title: x}}\n{part}: {{a: b}}\n").message == "expected a list"


@pytest.mark.parametrize("line", ["chassis: unknown", "chassis:", "chassis: ~", "# nothing"])
def test_unknown_means_the_same_as_leaving_the_line_out(line: str) -> None:
    assert the_set("motor: no", line).set == the_set("motor: no").set


def test_unknown_in_a_list_of_properties_leaves_only_that_one_out() -> None:
    capacitors = the_set("filter_capacitors: [{name: C1, condition: unknown}]").set.filter_capacitors
    assert capacitors is not None
    assert (capacitors[0].name, capacitors[0].condition) == ("C1", None)


def test_a_part_that_is_unknown_is_not_there() -> None:
    assert the_set("fuse: unknown").set.fuse is None


def test_no_fuse_is_not_the_same_as_an_unstated_fuse() -> None:
    fuse = the_set("fuse: none").set.fuse
    assert fuse is not None
    assert fuse.fitted is False


def test_no_mains_tap_is_not_the_same_as_an_unstated_one() -> None:
    assert the_set("mains_tap: unknown").set.mains_tap is None
    assert the_set("mains_tap: none").set.mains_tap == Interval.exactly(inf)
    assert the_set("mains_tap: 110 V").set.mains_tap == Interval.exactly(110.0)


def test_a_set_with_a_mains_transformer_is_not_made_for_direct_current() -> None:
    text = with_set("power_supply: transformer", "made_for: direct current")
    problem = the_refusal(text)
    assert "a set with a mains transformer is not made for direct current" in problem.message
    assert problem.place is not None
    assert the_set("power_supply: transformerless", "made_for: direct current").set.made_for == "direct current"


SAME_KEYS = [("HT: 90 V", "B+: 90 V"), ("ht: 90 V", "B+: 90 V"), ("b+: 90 V", "B+: 90 V"), ("b_plus: 90 V", "B+: 90 V"),
             ("HT_peak: 90 V", "B+_peak: 90 V"), ("ground: bonded", "earth: bonded"),
             ("ground_lead: none", "earth_lead: none"), ("antenna: connected", "aerial: connected"),
             ("filter_condensers: [{name: C1}]", "filter_capacitors: [{name: C1}]"),
             ("rectifier: {kind: valve}", "rectifier: {kind: tube}"), ("output: valve", "output: tube"),
             ("plug: {polarized: yes}", "plug: {polarised: yes}"), ("made_for: AC", "made_for: alternating current"),
             ("made_for: dc", "made_for: direct current"), ("made_for: AC/DC", "made_for: either"),
             ("mains_tap: None", "mains_tap: none")]


@pytest.mark.parametrize(("one", "other"), SAME_KEYS)
def test_the_words_of_both_sides_of_the_ocean_mean_the_same(one: str, other: str) -> None:
    assert the_set(one).set == the_set(other).set


def test_one_thing_under_two_names_is_refused_at_the_second() -> None:
    text = with_set("ground: bonded", "earth: floating")
    problem = the_refusal(text)
    assert problem.message == "`earth` says the same as `ground`, which is already there"
    assert stands_at(problem) == spot(text, "earth")


def test_a_mistake_under_a_name_of_the_other_side_stands_where_it_is_written() -> None:
    text = with_set("ground: boneded")
    assert stands_at(the_refusal(text)) == spot(text, "boneded")


def test_two_things_of_one_name_are_refused() -> None:
    text = with_set("filter_capacitors:", "  - {name: C1}", "  - {name: C1, condition: new}")
    assert the_refusal(text).message == "two things are called `C1`"


def test_a_capacitor_and_a_meter_cannot_share_a_name() -> None:
    text = with_steps("wait: 1 min").replace("name: C2", "name: M1")
    assert the_refusal(text).message == "two things are called `M1`"


def test_a_list_without_end_is_refused() -> None:
    names = "\n".join(f"    - {{name: C{i}}}" for i in range(MOST_LISTED + 1))
    assert "more than" in the_refusal(with_set("filter_capacitors:\n" + names)).message


def test_the_chain_is_kept_in_its_order() -> None:
    chain = read_plan(with_steps("wait: 1 min")).chain
    assert [element.kind for element in chain] == ["outlet", "autotransformer", "limiter", "set"]


def test_an_element_of_the_chain_may_be_one_word_or_have_properties() -> None:
    plan = read_plan("procedure: {title: x}\nbench:\n  chain:\n    - isolating_transformer: {output_earthed: no}\n"
                     "    - limiter\n    - set\n")
    assert plan.record("isolating_transformer") == IsolatingTransformer(output_earthed="no")
    assert plan.record("limiter") == Limiter()


def test_an_unknown_element_of_the_chain_is_refused_with_the_nearest_one() -> None:
    text = "procedure: {title: x}\nbench: {chain: [outlet, autotransfomer, set]}\n"
    problem = the_refusal(text)
    assert problem.suggestion == "autotransformer"
    assert stands_at(problem) == spot(text, "autotransfomer")


def test_a_chain_that_does_not_end_with_the_set_is_refused() -> None:
    assert "ends with `- set`" in the_refusal("procedure: {title: x}\nbench: {chain: [set, outlet]}\n").message


def test_a_holder_without_a_lamp_can_be_said() -> None:
    plan = read_plan("procedure: {title: x}\nbench: {chain: [{limiter: {lamp: none}}, set]}\n")
    assert plan.record("limiter").lamp is None


def test_a_plan_inside_a_page_has_the_lines_and_columns_of_the_page() -> None:
    from auditor.plan.problems import Unreadable

    with pytest.raises(Unreadable) as caught:
        read_plan(THREE_MISTAKES, first_line=41, first_column=5)
    line, column = spot(THREE_MISTAKES, "chasis")
    assert stands_at(caught.value.problems[1]) == (line + 40, column + 4)


def test_one_stop_condition_needs_no_list() -> None:
    assert read_plan("procedure: {title: x}\nstop: {if: smoke}\n").stop_when == ("smoke",)


def test_a_plan_without_steps_is_read() -> None:
    assert read_plan("procedure: {title: x}\n").steps == ()


@given(st.permutations(["chassis: hot", "motor: no", "rated_voltage: 117 V", "common: joined to chassis"]))
def test_the_order_of_keys_means_nothing(lines: list[str]) -> None:
    plan = the_set(*lines)
    assert (plan.set.chassis, plan.set.motor, plan.set.rated_voltage) == ("hot", False, Interval.exactly(117.0))
