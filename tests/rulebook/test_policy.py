"""What a policy changes, that it says so, and that it never changes anything else."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from auditor.plan.problems import Problem
from auditor.rulebook.in_force import under
from auditor.rulebook.load import BadRules, load_rulebook
from auditor.rulebook.policy import Policy, misnamed, policies_above, rules_for, under_policies
from auditor.rulebook.rule import Rulebook, together

SHIPPED = load_rulebook()
CLUB = "policy: Millrace Valley Wireless Society\n"
A_RULE = """\
rules:
  - rule: keep-the-dial-low
    signal_word: CAUTION
    hazard: damage
    stage: ramp and hold
    requires: The dial stays low.
    holds: always(energised -> dial <= limit.highest_dial)
    message: At step `{step}` the dial stands at {dial}.
    because: It is an example. It teaches nothing.
    remedy: {do: Turn it down.}
    sources: [common practice]
new_limits:
  - {limit: highest_dial, kind: voltage, value: 100 V, stricter: lower, means: The most., sources: [common practice]}
"""


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Every test has a folder of its own, in which it works."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def write(text: str, name: str = "power-up-policy.yaml") -> str:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")
    return name


def in_force(text: str, name: str = "power-up-policy.yaml") -> Rulebook:
    return under(SHIPPED, write(CLUB + text, name))


def policy(text: str, name: str = "power-up-policy.yaml") -> Policy:
    found = in_force(text, name).policy
    assert found is not None
    return found


def problems(text: str) -> tuple[tuple[str, Problem], ...]:
    with pytest.raises(BadRules) as bad:
        in_force(text)
    return tuple((file, problem) for file, found in bad.value.files for problem in found)


def test_an_empty_policy_changes_nothing() -> None:
    rulebook = in_force("")
    assert (rulebook.rules, rulebook.limits) == (SHIPPED.rules, SHIPPED.limits)
    assert (policy("").weakens, policy("").fails_from, policy("").accepting) == ((), "CAUTION", None)


def test_a_policy_has_its_title_and_its_file() -> None:
    assert (policy("").title, policy("").file) == ("Millrace Valley Wireless Society", "power-up-policy.yaml")


# Limits


def test_a_tighter_limit_needs_no_reason_and_is_no_weakening() -> None:
    limit = in_force("limits: {dead_below: 5 V}").limits["dead_below"]
    assert (limit.value.high, limit.file) == (5.0, "power-up-policy.yaml")
    assert limit.was == SHIPPED.limits["dead_below"]
    assert policy("limits: {dead_below: 5 V}").weakens == ()


def test_a_limit_is_tighter_in_the_direction_that_it_calls_stricter() -> None:
    assert in_force("limits: {stage_dwell: 2 min}").limits["stage_dwell"].value.low == 120.0
    assert "looser" in problems("limits: {stage_dwell: 30 s}")[0][1].message


def test_a_looser_limit_with_a_reason_is_told_with_it() -> None:
    told, = policy("limits: {dead_below: {value: 30 V, reason: old meters}}").weakens
    assert told == "The limit `dead_below` is 30 V in place of 10 V. Reason: old meters"


def test_the_same_value_in_another_unit_is_not_looser() -> None:
    assert policy("limits: {dead_below: 0.01 kV}").weakens == ()


def test_every_other_limit_stays() -> None:
    changed = in_force("limits: {dead_below: 5 V}").limits
    assert {name for name in changed if changed[name] != SHIPPED.limits[name]} == {"dead_below"}


# Topics


def test_a_topic_left_out_is_told_with_how_many_rules_and_dangers_it_has() -> None:
    topic = [rule.text.signal_word for rule in SHIPPED.rules if rule.topic == "isolation"]
    rulebook = in_force("topics: {isolation: {value: no, reason: we have batteries}}")
    assert not [rule for rule in rulebook.rules if rule.topic == "isolation"]
    assert len(rulebook.rules) == len(SHIPPED.rules) - len(topic)
    assert rulebook.policy is not None
    told, = rulebook.policy.weakens
    assert told == (f"The topic `isolation` is not audited: {len(topic)} rules, {topic.count('DANGER')} of them DANGER. "
                    "Reason: we have batteries")


def test_a_topic_that_is_asked_for_stays() -> None:
    assert in_force("topics: {isolation: yes}").rules == SHIPPED.rules


# Rules of its own


def test_a_rule_of_its_own_is_in_force_with_a_limit_of_its_own() -> None:
    rulebook = in_force(A_RULE)
    rule = rulebook.by_name["keep-the-dial-low"]
    assert (rule.file, rule.topic) == ("power-up-policy.yaml", "Millrace Valley Wireless Society")
    assert rulebook.limits["highest_dial"].file == "power-up-policy.yaml"
    assert rulebook.rules[:-1] == SHIPPED.rules


def test_a_rule_of_its_own_uses_the_shipped_limits_too() -> None:
    assert in_force(A_RULE.replace("limit.highest_dial", "limit.dead_below")).by_name["keep-the-dial-low"]


def test_a_fact_that_every_plan_states_is_a_rule_by_the_name_of_the_fact() -> None:
    rule = in_force("every_plan_states: [bench.second_person]").by_name["state-bench-second-person"]
    assert rule.text.holds == "stated(bench.second_person)"
    assert "bench.people.second_person" in rule.text.remedy.do


def test_a_fact_of_an_item_is_asked_of_each() -> None:
    assert in_force("every_plan_states: [capacitor.condition]").rules[-1].text.for_each == "capacitor"


@pytest.mark.parametrize(("said", "formula"), [
    ("bench.isolating_power: 300 VA", "bench.isolating_power >= 300 W and bench.isolating_power <= 300 W"),
    ("bench.isolating_power: 300..500 W", "bench.isolating_power >= 300 W and bench.isolating_power <= 500 W"),
    ("bench.isolating_power: 300 W..", "bench.isolating_power >= 300 W"),
    ("mains.residual_current: 6 mA", "mains.residual_current >= 0.006 A and mains.residual_current <= 0.006 A"),
    ("mains.earth: present", 'mains.earth is "present"'),
    ("bench.isolated: yes", "bench.isolated"),
    ("bench.isolated: no", "not bench.isolated")])
def test_the_bench_is_what_the_policy_says(said: str, formula: str) -> None:
    rule = in_force(f"equipment: [{{rule: our-own-bench, when: mains.voltage <= 130 V, is: {{{said}}}}}]").rules[-1]
    assert rule.text.holds == formula
    assert rule.text.applies_when == "mains.voltage <= 130 V"


# What counts, and who may accept


def test_a_lower_bar_makes_more_fail_and_needs_no_reason() -> None:
    assert (policy("fails_from: NOTICE").fails_from, policy("fails_from: NOTICE").weakens) == ("NOTICE", ())


def test_a_higher_bar_is_told_with_its_reason() -> None:
    found = policy("fails_from: {value: WARNING, reason: beginners}")
    assert found.fails_from == "WARNING"
    assert found.weakens == ("Findings count from WARNING up, in place of CAUTION. Reason: beginners",)


def test_a_danger_that_may_be_accepted_is_told() -> None:
    found = policy("may_accept: [{who: foreman, rules: [isolate-a-hot-chassis], at_most: 30 d, reason: museum}]")
    assert found.weakens == ("`foreman` may accept `isolate-a-hot-chassis` for 30 days. Reason: museum",)


def test_permission_for_less_than_danger_needs_no_reason() -> None:
    found = policy("may_accept: [{who: [foreman, keeper], up_to: WARNING}]")
    assert found.weakens == ()
    assert found.accepting is not None
    assert (found.accepting[0].who, found.accepting[0].up_to) == (("foreman", "keeper"), "WARNING")


def test_a_bar_that_another_policy_lowered_is_raised_with_a_reason_only() -> None:
    write(CLUB + "fails_from: NOTICE\n", "region.policy.yaml")
    assert "NOTICE did" in problems("builds_on: region.policy.yaml\nfails_from: CAUTION")[0][1].message
    told, = policy("builds_on: region.policy.yaml\nfails_from: {value: CAUTION, reason: x}").weakens
    assert told == "Findings count from CAUTION up, in place of NOTICE. Reason: x"


# Cards


def test_the_folder_of_cards_lies_below_the_policy(here: Path) -> None:
    (here / "club" / "cards").mkdir(parents=True)
    assert policy("cards: cards", "club/power-up-policy.yaml").cards == "club/cards"


def test_a_link_out_of_the_folder_is_no_folder_of_cards(here: Path) -> None:
    (here / "elsewhere").mkdir()
    (here / "club").mkdir()
    os.symlink(here / "elsewhere", here / "club" / "cards")
    with pytest.raises(BadRules, match="in the folder of the policy"):
        in_force("cards: cards", "club/power-up-policy.yaml")


# Policies that build on others


def test_a_fact_that_a_policy_below_asks_for_already_can_be_asked_for_again() -> None:
    write(CLUB.replace("Millrace Valley", "Region of") + "every_plan_states: [set.chassis]", "region.policy.yaml")
    rulebook = in_force("builds_on: region.policy.yaml\nevery_plan_states: [set.chassis, set.earth]")
    assert {"state-set-chassis", "state-set-earth"} <= rulebook.by_name.keys()


def test_a_rule_that_only_has_the_name_of_such_a_fact_does_not_stand_in_for_it() -> None:
    hollow = A_RULE.replace("keep-the-dial-low", "state-set-chassis")
    write("policy: Region of the club\n" + hollow, "region.policy.yaml")
    assert "is already a rule" in problems("builds_on: region.policy.yaml\nevery_plan_states: [set.chassis]")[0][1].message


def test_a_policy_further_above_that_is_not_built_on_is_told() -> None:
    write("policy: Region of the club\nfails_from: NOTICE")
    told, = policy("", "wiki/sets/power-up-policy.yaml").weakens
    assert "The policy power-up-policy.yaml lies above this one, which does not build on it" in told


def test_a_policy_further_above_that_is_built_on_is_no_weakening() -> None:
    write("policy: Region of the club\nfails_from: NOTICE")
    assert policy("builds_on: ../../power-up-policy.yaml", "wiki/sets/power-up-policy.yaml").weakens == ()


def test_a_policy_has_what_it_builds_on_and_changes_it() -> None:
    write(CLUB + "limits: {dead_below: 5 V, stage_dwell: 2 min}\n", "region.policy.yaml")
    rulebook = in_force("builds_on: region.policy.yaml\nlimits: {dead_below: 3 V}\n")
    assert (rulebook.limits["dead_below"].value.high, rulebook.limits["stage_dwell"].value.low) == (3.0, 120.0)
    assert rulebook.policy is not None
    assert rulebook.policy.files == ("region.policy.yaml", "power-up-policy.yaml")


def test_a_limit_that_another_policy_tightened_is_loosened_with_a_reason_only() -> None:
    write(CLUB + "limits: {dead_below: 3 V}\n", "region.policy.yaml")
    (file, problem), = problems("builds_on: region.policy.yaml\nlimits: {dead_below: 5 V}\n")
    assert file == "power-up-policy.yaml"
    assert "5 V is looser than 3 V" in problem.message
    told, = policy("builds_on: region.policy.yaml\nlimits: {dead_below: {value: 5 V, reason: x}}\n").weakens
    assert told == "The limit `dead_below` is 5 V in place of 3 V. Reason: x"


def test_what_is_loosened_below_and_tightened_above_is_no_weakening() -> None:
    write(CLUB + "limits: {dead_below: {value: 30 V, reason: x}}\ntopics: {isolation: {value: no, reason: x}}\n"
          "fails_from: {value: DANGER, reason: x}\n", "region.policy.yaml")
    above = "builds_on: region.policy.yaml\nlimits: {dead_below: 10 V}\ntopics: {isolation: yes}\nfails_from: CAUTION\n"
    assert policy(above).weakens == ()
    assert in_force(above).rules == SHIPPED.rules


def test_more_permission_than_below_needs_a_reason_and_none_at_all_takes_it_back() -> None:
    write(CLUB + "may_accept: [{up_to: NOTICE}]\n", "region.policy.yaml")
    assert "does not permit this" in problems("builds_on: region.policy.yaml\nmay_accept: [{up_to: WARNING}]")[0][1].message
    more = policy("builds_on: region.policy.yaml\nmay_accept: [{up_to: WARNING, reason: x}]")
    assert more.weakens == ("anybody may accept every rule up to WARNING. Reason: x",)
    assert policy("builds_on: region.policy.yaml\nmay_accept: []").accepting == ()


REGION = """\
policy: Region of the club
may_accept:
  - {up_to: WARNING, at_most: 180 days}
  - {who: keeper, rules: [isolate-a-hot-chassis], at_most: 30 days, reason: museum}
"""


def accepted_above(entry: str) -> set[tuple[tuple[str, ...], str | None, str | None]]:
    """Who may accept what and for how long under a policy that builds on that of the region."""
    write(REGION, "region.policy.yaml")
    found = policy(f"builds_on: region.policy.yaml\nmay_accept: [{entry}]").accepting
    assert found is not None
    return {(each.who, each.up_to or each.rules[0], each.written) for each in found}


KEEPER = (("keeper",), "isolate-a-hot-chassis", "30 days")


@pytest.mark.parametrize(("entry", "left"), [
    ("{who: foreman, up_to: WARNING, at_most: 180 days}", (("foreman",), "WARNING", "180 days")),
    ("{up_to: CAUTION, at_most: 180 days}", ((), "CAUTION", "180 days")),
    ("{up_to: WARNING, at_most: 30 days}", ((), "WARNING", "30 days")),
    ("{rules: [prove-the-limiter], at_most: 30 days}", ((), "prove-the-limiter", "30 days"))])
def test_a_policy_narrows_without_a_reason_who_may_accept_what_and_for_how_long(
        entry: str, left: tuple[tuple[str, ...], str, str]) -> None:
    entry = entry.replace("prove-the-limiter", next(r.name for r in SHIPPED.rules if r.text.signal_word == "WARNING"))
    (who, what, longest), = accepted_above(entry) - {KEEPER}
    assert (who, longest) == (left[0], left[2])
    assert what == left[1] or left[1] == "prove-the-limiter"


def test_a_narrower_permission_of_a_danger_is_told_with_the_reason_of_the_wider_one() -> None:
    write(REGION, "region.policy.yaml")
    told, = policy("builds_on: region.policy.yaml\n"
                   "may_accept: [{who: keeper, rules: [isolate-a-hot-chassis], at_most: 1 day}]").weakens
    assert told == "`keeper` may accept `isolate-a-hot-chassis` for 1 day. Reason: museum"


@pytest.mark.parametrize("entry", [
    "{up_to: WARNING, at_most: 181 days}", "{up_to: WARNING}",
    "{who: foreman, rules: [isolate-a-hot-chassis], at_most: 1 day}"])
def test_a_permission_for_longer_or_to_others_needs_a_reason(entry: str) -> None:
    write(REGION, "region.policy.yaml")
    (_, problem), = problems(f"builds_on: region.policy.yaml\nmay_accept: [{entry}]")
    assert problem.suggestion == "add `reason:`"


def test_a_permission_in_part_of_a_day_is_told_in_whole_days() -> None:
    found = policy("may_accept: [{up_to: CAUTION, at_most: 36 h}]").accepting
    assert found is not None
    assert found[0].written == "1 day"


# Policies side by side


STRICT = {"limits: {dead_below: 5 V}\n": "limits: {dead_below: 3 V}\n",
          "fails_from: CAUTION\n": "fails_from: NOTICE\n",
          "topics: {isolation: {value: no, reason: x}}\n": "topics: {isolation: yes}\n",
          "may_accept: [{up_to: WARNING}]\n": "may_accept: [{up_to: NOTICE}]\n"}
"""What a policy says, and what a stricter one says of the same."""


@pytest.mark.parametrize("loose", STRICT)
@pytest.mark.parametrize("order", ["loose.policy.yaml, strict.policy.yaml", "strict.policy.yaml, loose.policy.yaml"])
def test_of_two_policies_side_by_side_the_stricter_counts_in_either_order(loose: str, order: str) -> None:
    write("policy: loose\n" + loose, "loose.policy.yaml")
    write("policy: strict\n" + STRICT[loose], "strict.policy.yaml")
    both, strict = in_force(f"builds_on: [{order}]"), in_force("builds_on: strict.policy.yaml", "b.policy.yaml")
    assert {name: limit.value for name, limit in both.limits.items()} == {
        name: limit.value for name, limit in strict.limits.items()}
    assert both.rules == strict.rules
    assert both.policy is not None
    assert strict.policy is not None
    assert (both.policy.fails_from, both.policy.accepting, both.policy.weakens) == (
        strict.policy.fails_from, strict.policy.accepting, ())


@pytest.mark.parametrize("order", ["a.policy.yaml, b.policy.yaml", "b.policy.yaml, a.policy.yaml"])
def test_of_two_policies_side_by_side_only_what_both_permit_may_be_accepted(order: str) -> None:
    write("policy: a\nmay_accept: [{who: [foreman, keeper], up_to: WARNING}]", "a.policy.yaml")
    write("policy: b\nmay_accept: [{who: [keeper, guest], up_to: CAUTION, at_most: 9 days}]", "b.policy.yaml")
    found = policy(f"builds_on: [{order}]").accepting
    assert found is not None
    assert [(each.who, each.up_to, each.written) for each in found] == [(("keeper",), "CAUTION", "9 days")]


def test_what_one_of_two_policies_loosens_is_measured_by_what_it_builds_on_itself() -> None:
    write("policy: a\nlimits: {dead_below: {value: 30 V, reason: x}}", "a.policy.yaml")
    write("policy: b\nlimits: {dead_below: 20 V}", "b.policy.yaml")
    assert "20 V is looser than 10 V" in problems("builds_on: [a.policy.yaml, b.policy.yaml]")[0][1].message


def test_so_many_permissions_side_by_side_that_nobody_reads_them_are_refused() -> None:
    names = [rule.name for rule in SHIPPED.rules if rule.text.signal_word == "WARNING"][:11]
    write("policy: a\nmay_accept:\n" + "".join(f"  - {{rules: [{name}]}}\n" for name in names), "a.policy.yaml")
    write("policy: b\nmay_accept:\n" + "".join(f"  - {{up_to: WARNING, at_most: {i + 1} days}}\n" for i in range(11)),
          "b.policy.yaml")
    assert "more than 100 entries" in problems("builds_on: [a.policy.yaml, b.policy.yaml]")[0][1].message


def test_policies_side_by_side_are_bounded_too() -> None:
    for i in range(16):
        write(f"policy: p{i}\n", f"p{i}.policy.yaml")
    assert len(policy(f"builds_on: [{', '.join(f'p{i}.policy.yaml' for i in range(15))}]").files) == 16
    (file, problem), = problems(f"builds_on: [{', '.join(f'p{i}.policy.yaml' for i in range(16))}]")
    assert "more than 16 policies" in problem.message
    assert (file, problem.place is not None) == ("power-up-policy.yaml", True)


def test_two_policies_may_build_on_the_same_one() -> None:
    write(CLUB + "limits: {dead_below: 3 V}\n", "base.policy.yaml")
    for name in ("one", "two"):
        write(f"{CLUB}builds_on: base.policy.yaml\n", f"{name}.policy.yaml")
    found = policy("builds_on: [one.policy.yaml, two.policy.yaml]")
    assert found.files == ("base.policy.yaml", "one.policy.yaml", "two.policy.yaml", "power-up-policy.yaml")


def test_a_circle_is_told_where_it_closes() -> None:
    write(CLUB + "builds_on: power-up-policy.yaml\n", "a.policy.yaml")
    (file, problem), = problems("builds_on: a.policy.yaml")
    assert file == "a.policy.yaml"
    assert problem.place is not None
    assert (problem.place.line, problem.place.column) == (2, 12)
    assert "power-up-policy.yaml builds on a.policy.yaml builds on power-up-policy.yaml" in problem.message


def test_a_policy_that_builds_on_itself_is_a_circle() -> None:
    assert "circle" in problems("builds_on: power-up-policy.yaml")[0][1].message


def test_a_missing_policy_is_told_by_the_one_that_builds_on_it() -> None:
    (file, problem), = problems("builds_on: ../gone.policy.yaml")
    assert file == "power-up-policy.yaml"
    assert "no such file" in problem.message


def test_a_mistake_in_a_policy_below_is_told_there() -> None:
    write(CLUB + "limits: {dead_blow: 3 V}\n", "sub/region.policy.yaml")
    (file, _), = problems("builds_on: sub/region.policy.yaml")
    assert file == "sub/region.policy.yaml"


def test_a_long_chain_of_policies_ends() -> None:
    for i in range(12):
        write(f"{CLUB}builds_on: p{i + 1}.policy.yaml\n", f"p{i}.policy.yaml")
    with pytest.raises(BadRules, match="more than 8 policies"):
        under(SHIPPED, "p0.policy.yaml")


# Which policy


def test_the_nearest_policy_above_a_plan_is_its_policy() -> None:
    write(CLUB)
    write(CLUB, "wiki/power-up-policy.yaml")
    plans = ["plan.yaml", "wiki/plan.yaml", "wiki/radios/old/plan.yaml", "bench/plan.yaml", "-"]
    assert [policies_above(plans)[plan] for plan in plans] == [
        "power-up-policy.yaml", "wiki/power-up-policy.yaml", "wiki/power-up-policy.yaml", "power-up-policy.yaml",
        "power-up-policy.yaml"]


def test_a_plan_with_no_policy_above_has_the_rules_as_they_are_shipped() -> None:
    assert under_policies(SHIPPED, {"plan.yaml": None}) == {"plan.yaml": SHIPPED}


def test_a_policy_that_is_a_broken_link_is_refused_and_not_passed_over(here: Path) -> None:
    write(CLUB)
    (here / "wiki").mkdir()
    os.symlink(here / "gone", here / "wiki" / "power-up-policy.yaml")
    with pytest.raises(BadRules, match="no such file"):
        under_policies(SHIPPED, policies_above(["wiki/plan.yaml"]))


def test_a_policy_that_is_a_link_to_itself_is_refused(here: Path) -> None:
    os.symlink(here / "power-up-policy.yaml", here / "power-up-policy.yaml")
    with pytest.raises(BadRules, match="no such file"):
        under_policies(SHIPPED, policies_above(["plan.yaml"]))


def test_rules_of_several_policies_are_told_together() -> None:
    one, two = in_force(A_RULE), in_force("topics: {isolation: {value: no, reason: x}}", "b.policy.yaml")
    assert {rule.name for rule in together([one, two, one]).rules} == {rule.name for rule in one.rules}
    assert together([one, one]) is one


# Which policy is passed over, and which file is none


def test_the_policy_above_a_plan_is_told_where_another_is_asked_for_that_does_not_build_on_it() -> None:
    write(CLUB, "wiki/power-up-policy.yaml")
    write(CLUB, "weak.policy.yaml")
    found = rules_for(SHIPPED, ["wiki/a.yaml", "wiki/b.yaml"], "weak.policy.yaml")["wiki/a.yaml"].policy
    assert found is not None
    told, = found.weakens
    assert "The policy wiki/power-up-policy.yaml lies nearest above the plan" in told


def test_a_policy_that_is_asked_for_and_builds_on_the_one_above_the_plan_passes_over_nothing() -> None:
    write(CLUB, "wiki/power-up-policy.yaml")
    write("policy: more\nbuilds_on: wiki/power-up-policy.yaml", "more.policy.yaml")
    found = rules_for(SHIPPED, ["wiki/a.yaml"], "more.policy.yaml")["wiki/a.yaml"].policy
    assert found is not None
    assert found.weakens == ()


@pytest.mark.parametrize("name", ["power-up-policy.yml", "Power-Up-Policy.yaml", "power_up_policy.yaml",
                                  "power-up-policy.yaml.txt"])
def test_a_file_that_is_a_policy_but_for_its_name_is_told(name: str) -> None:
    write(CLUB, f"wiki/{name}")
    for plan in ("wiki/a.yaml", "wiki/sets/a.yaml"):
        told, = rules_for(SHIPPED, [plan], None)[plan].notes
        assert told == (f"The file wiki/{name} is no policy, for one is called `power-up-policy.yaml`: nothing that it asks"
                        " for counts here.")


@pytest.mark.parametrize("name", ["power-up-policy.yaml", "weak.policy.yaml", "power-up-policy-notes.md"])
def test_a_file_that_is_called_otherwise_on_purpose_is_not_told(name: str) -> None:
    write(CLUB, f"wiki/{name}")
    assert misnamed("wiki/a.yaml") == ()


def test_above_the_policy_in_force_nobody_looks_for_a_misnamed_one() -> None:
    write(CLUB, "power-up-policy.yml")
    write(CLUB, "wiki/power-up-policy.yaml")
    assert misnamed("wiki/a.yaml") == ()
