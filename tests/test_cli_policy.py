"""Policies and bench cards, as somebody uses them from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.test_cli import HOT, inside

CLUB = "policy: Millrace Valley Wireless Society\n"
CARD = """\
title: Bench north
mains: {voltage: 120 V}
bench:
  chain:
    - outlet: {switch: emergency, within_reach: yes}
    - isolating_transformer: {rated_power: 500 W, output_earthed: no}
    - autotransformer: {output: 0..140 V, rated_current: 4 A, fuse: 4 A}
    - limiter: {lamp: {power: 60 W, voltage: 120 V, kind: clear filament}, bypass: open}
    - set
  register:
    - {name: M1, proved: 2020-11-20, good_for: 1 year}
    - {name: M2, proved: 2020-11-20, good_for: 90 years}
  people: {second_person: none}
  complete: yes
stop: {if: [smoke, smell], then: [{switch_off: outlet}], again: never}
sequences:
  off:
    - set_dial: 0 V
    - {discharge: {through: 10 kohm 10 W}}
"""
LOOSE = CLUB + "limits: {dead_below: {value: 30 V, reason: old meters}}\n"
BROKEN = CLUB + "limits: {dead_blow: 5 V}\n"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for every test, with one plan in it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "hot.yaml").write_text(HOT)
    return tmp_path


def test_without_a_policy_none_is_named() -> None:
    assert "Policy:" not in inside("audit", "hot.yaml").out


def test_a_policy_above_the_plan_is_found_and_named(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB)
    assert "Policy: Millrace Valley Wireless Society (power-up-policy.yaml). Findings" in inside("audit", "hot.yaml").out


def test_a_policy_that_is_asked_for_stands_in_place_of_the_one_that_lies_above(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(BROKEN)
    (here / "other.policy.yaml").write_text(CLUB)
    ran = inside("audit", "--policy", "other.policy.yaml", "hot.yaml")
    assert ran.status == 1
    assert "(other.policy.yaml)" in ran.out


@pytest.mark.parametrize("form", ["text", "json"])
def test_every_report_tells_where_the_policy_asks_for_less(form: str, here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LOOSE)
    told = " ".join(inside("audit", "--as", form, "hot.yaml").out.split())
    assert "The limit `dead_below` is 30 V in place of 10 V. Reason: old meters" in told


def test_the_report_for_programs_has_the_policy_of_each_plan_and_each_policy_once(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LOOSE)
    (here / "wiki").mkdir()
    (here / "wiki" / "power-up-policy.yaml").write_text(CLUB + "fails_from: NOTICE\n")
    (here / "wiki" / "hot.yaml").write_text(HOT)
    data = json.loads(inside("audit", "--as", "json", ".").out)
    assert {plan["path"]: plan["policy"] for plan in data["plans"]} == {
        "hot.yaml": "power-up-policy.yaml", "wiki/hot.yaml": "wiki/power-up-policy.yaml"}
    assert [(policy["file"], policy["fails_from"]) for policy in data["summary"]["policies"]] == [
        ("power-up-policy.yaml", "CAUTION"), ("wiki/power-up-policy.yaml", "NOTICE")]


@pytest.mark.parametrize("command", ["audit", "predict", "whatif"])
def test_nothing_is_done_under_a_broken_policy(command: str, here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(BROKEN)
    ran = inside(command, "hot.yaml")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("power-up-policy.yaml, line 2, column 10: no limit is called `dead_blow`")
    assert "Try: dead_below" in ran.err


def test_one_broken_policy_stops_the_audit_of_the_other_plans_too(here: Path) -> None:
    (here / "wiki").mkdir()
    (here / "wiki" / "power-up-policy.yaml").write_text(BROKEN)
    (here / "wiki" / "hot.yaml").write_text(HOT)
    assert inside("audit", ".").status == 2


def test_a_policy_that_is_not_there_is_refused() -> None:
    ran = inside("audit", "--policy", "gone.policy.yaml", "hot.yaml")
    assert (ran.status, ran.out) == (2, "")
    assert "gone.policy.yaml cannot be read: there is no such file" in " ".join(ran.err.split())


def test_the_bar_of_the_policy_can_be_lowered_and_not_raised(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB + "fails_from: NOTICE\n")
    assert inside("audit", "--at-least", "NOTICE", "hot.yaml").status == 1
    ran = inside("audit", "--at-least", "DANGER", "hot.yaml")
    assert (ran.status, ran.out) == (2, "")
    assert "findings count from NOTICE up" in ran.err


def test_a_policy_is_no_plan(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB)
    (here / "b.policy.yaml").write_text(CLUB)
    assert [plan["path"] for plan in json.loads(inside("audit", "--as", "json", ".").out)["plans"]] == ["hot.yaml"]
    assert "this is a policy and no plan" in inside("audit", "b.policy.yaml").out


def test_a_plan_that_says_it_needs_no_policy_is_not_believed(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB)
    for line in ("policy: none", "rules: []", "topics: {isolation: no}", "limits: {dead_below: 90 V}"):
        (here / "hot.yaml").write_text(HOT + line + "\n")
        assert inside("audit", "hot.yaml").status == 2


# The rulebook


def test_the_rulebook_lists_every_limit_with_where_it_came_from(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LOOSE)
    told = " ".join(inside("rulebook").out.split())
    assert "dead_below: 30 V (from power-up-policy.yaml, in place of 10 V, from making-dead.yaml); stricter" in told
    assert "time_constants: 5 (from making-dead.yaml); stricter when higher" in told


def test_the_rulebook_lists_a_rule_of_the_policy_with_its_file(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB + "every_plan_states: [set.chassis]\n")
    out = inside("rulebook").out
    assert "Millrace Valley Wireless Society (power-up-policy.yaml)" in out
    assert "CAUTION state-set-chassis" in out


RULE = """\
rules:
  - rule: keep-the-eyes-safe
    signal_word: CAUTION
    hazard: burst
    stage: people and place
    requires: Eyes are protected.
    holds: always(energised -> bench.eye_protection)
    message: Eyes are not protected.
    because: It has to be so.
    remedy: {do: Protect them.}
    sources: [common practice]
---
keep-the-eyes-safe:
  kept: as it is
  broken: {state: {bench.people.eye_protection: yes}}
"""


def test_a_policy_is_proved_with_the_examples_of_its_rules(here: Path) -> None:
    (here / "club.yaml").write_text(CLUB + RULE)
    ran = inside("rulebook", "prove", "club.yaml")
    assert ran.status == 1
    assert ("keep-the-eyes-safe in club.yaml, line 16, column 11: example 2 should be broken and is kept."
            in " ".join(ran.out.split()))
    (here / "club.yaml").write_text(CLUB + RULE.replace("eye_protection: yes", "eye_protection: no"))
    ran = inside("rulebook", "prove", "club.yaml")
    assert (ran.status, ran.out) == (
        0, "The policy club.yaml can be used.\n1 rule, 2 examples, 2 as they should be.\n")


def test_a_broken_policy_is_told_when_it_is_proved(here: Path) -> None:
    (here / "club.policy.yaml").write_text(BROKEN)
    ran = inside("rulebook", "prove", "club.policy.yaml")
    assert (ran.status, ran.out) == (2, "")
    assert "club.policy.yaml, line 2, column 10" in ran.err


def test_a_rule_file_with_the_name_of_a_shipped_one_hides_none_of_the_shipped_rules(here: Path) -> None:
    (here / "isolation.yaml").write_text("topic: ours\n" + RULE.replace("eye_protection: yes", "eye_protection: no"))
    assert inside("rulebook", "prove", "isolation.yaml").out == "1 rule, 2 examples, 2 as they should be.\n"


# Cards


def test_a_card_lies_in_the_folder_that_the_policy_names(here: Path) -> None:
    plan = "card: north\n" + HOT.replace("mains: {voltage: 120 V}\n", "")
    (here / "hot.yaml").write_text(plan)
    (here / "cards").mkdir()
    (here / "cards" / "north.card.yaml").write_text(CARD)
    assert inside("audit", "hot.yaml").status == 2
    (here / "power-up-policy.yaml").write_text(CLUB + "cards: cards\n")
    for command in ("audit", "predict", "whatif"):
        assert inside(command, "hot.yaml").status != 2


def test_a_card_is_audited_by_itself(here: Path) -> None:
    (here / "north.card.yaml").write_text(CARD)
    ran = inside("audit", "--as", "json", "north.card.yaml")
    plan, = json.loads(ran.out)["plans"]
    assert ran.status == 1
    assert plan["title"] == "Bench north, the card by itself"
    assert "only the rules that speak of bench" in plan["notes"][0]
    found = {finding["rule"]: finding for finding in plan["findings"]}
    assert found["keep-proofs-in-date"]["item"] == "M1"
    assert found["keep-proofs-in-date"]["line"] == 11
    assert "have-someone-who-can-cut-the-power" in found


def test_only_the_audit_takes_a_card(here: Path) -> None:
    (here / "north.card.yaml").write_text(CARD)
    for command in ("predict", "whatif"):
        ran = inside(command, "north.card.yaml")
        assert ran.status == 2
        assert "is a bench card" in ran.err


def test_the_library_call_takes_a_policy(here: Path) -> None:
    import auditor

    (here / "club.policy.yaml").write_text(CLUB + "every_plan_states: [set.rated_power]\n")
    reviewed, = auditor.audit("hot.yaml", policy="club.policy.yaml")
    assert reviewed.audit is not None
    assert "state-set-rated-power" in reviewed.audit.outcomes
    text, = auditor.audit(HOT, policy="club.policy.yaml")
    assert text.audit is not None
    assert text.audit.policy == reviewed.audit.policy


# What if, under a policy


LEFT_OUT = CLUB + "topics: {isolation: {value: no, reason: we have batteries}}\n"
TOLD = "The topic `isolation` is not audited"


@pytest.mark.parametrize("form", [(), ("--fault", "short-in-the-cord"), ("--safeguards",), ("--as", "json")])
def test_what_if_tells_the_policy_and_where_it_asks_for_less(form: tuple[str, ...], here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LEFT_OUT)
    out = " ".join(inside("whatif", *form, "hot.yaml").out.split())
    assert TOLD in out
    assert "Millrace Valley Wireless Society" in out


def test_what_if_names_a_safeguard_of_a_rule_that_the_policy_leaves_out(here: Path) -> None:
    rule, about = "prove-the-limiter-with-a-shorted-plug", "limiter-does-not-limit"

    def of_the_fault() -> dict[str, list[object]]:
        faults = json.loads(inside("whatif", "--as", "json", "hot.yaml").out)["faults"]
        found: dict[str, list[object]] = next(each for each in faults if each["fault"] == about)
        return found

    assert {"rule": rule, "outcome": "broken"} in of_the_fault()["missing"]
    assert of_the_fault()["not_audited"] == []
    (here / "power-up-policy.yaml").write_text(LEFT_OUT.replace("isolation", "limiter"))
    assert {"rule": rule, "outcome": "broken"} not in of_the_fault()["missing"]
    assert rule in of_the_fault()["not_audited"]
    for form in ((), ("--fault", about)):
        assert f"{rule} (not audited under the policy)" in " ".join(inside("whatif", *form, "hot.yaml").out.split())
    assert "not audited under the policy" in inside("audit", "--as", "html", "hot.yaml").out


# What is passed over


def test_every_report_tells_the_policy_of_the_plan_that_another_stands_in_place_of(here: Path) -> None:
    (here / "wiki").mkdir()
    (here / "wiki" / "power-up-policy.yaml").write_text(CLUB + "fails_from: NOTICE\n")
    (here / "wiki" / "hot.yaml").write_text(HOT)
    (here / "weak.policy.yaml").write_text(CLUB)
    for command in ("audit", "whatif"):
        out = " ".join(inside(command, "--policy", "weak.policy.yaml", "wiki/hot.yaml").out.split())
        assert "The policy wiki/power-up-policy.yaml lies nearest above the plan, and another was asked for" in out


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json", "sarif"])
def test_every_report_tells_a_file_that_is_no_policy_for_its_name_alone(form: str, here: Path) -> None:
    (here / "power-up-policy.yml").write_text(CLUB)
    out = " ".join(inside("audit", "--as", form, "hot.yaml").out.split())
    assert "power-up-policy.yml" in out
    assert "nothing that it asks for counts here" in out


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json", "sarif"])
def test_the_policy_is_told_where_no_plan_can_be_read(form: str, here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LOOSE)
    (here / "hot.yaml").write_text("procedure: [")
    out = inside("audit", "--as", form, "hot.yaml").out
    assert "Millrace Valley Wireless Society" in out
    assert "old meters" in out


# Reasons, and proving


def test_a_rule_that_the_policy_leaves_out_is_told_as_not_audited(here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(LEFT_OUT)
    ran = inside("reason", "isolate-a-hot-chassis")
    assert ran.status == 0
    assert ran.out.startswith("NOT AUDITED: the policy power-up-policy.yaml leaves out the topic `isolation`.\n")
    assert "Requires: " in ran.out


@pytest.mark.parametrize("examples", ["", "keep-the-eyes-safe: {kept: as it is}", "keep-the-eyes-safe: [", "- x",
                                      "keep-the-eyes-safe: {kept: as it is, broken: {leave_out: [steps]}}"])
def test_a_rule_of_the_policy_is_told_whose_examples_cannot_be_read(examples: str, here: Path) -> None:
    (here / "power-up-policy.yaml").write_text(CLUB + RULE.split("---")[0] + f"---\n{examples}\n")
    ran = inside("reason", "keep-the-eyes-safe")
    assert ran.status == 0
    assert "Its examples cannot be read: " in ran.out


def proved(here: Path, examples: str, name: str = "club.yaml") -> str:
    """What comes of proving the rule with these examples, in one line."""
    (here / name).write_text(CLUB + RULE.split("---")[0] + f"---\n{examples}\n")
    return " ".join(inside("rulebook", "prove", name).out.split())


EYES = "keep-the-eyes-safe:\n  kept: as it is\n"


@pytest.mark.parametrize(("examples", "place", "message", "instead"), [
    (EYES + "  broken: {leave_out: [steps]}", "16, column 24", "the steps are changed one by one", "steps."),
    (EYES + "  broken: {before: {prove-limitr: {wait: 1 min}}}", "16, column 21", "no step labelled", "prove-limiter"),
    (EYES + "  broken: {state: {set.chassis: hott}}", "16, column 11", "example 2 is no plan (at `set.chassis`)", "hot"),
    (EYES + "  brokn: as it is", "16, column 3", "and not `brokn`", "broken"),
    (EYES + "  broken: []", "16, column 3", "no example stands under `broken`", None),
    (EYES + "  broken: [", "17, column 1", "A value was expected here", "Write the value"),
    (EYES + "  broken: {leaveout: [x]}", "16, column 12", "unknown key `leaveout`", "leave_out"),
    (EYES.replace("eyes", "eys") + "  broken: as it is", "14, column 1", "no rule of this file is called so",
     "keep-the-eyes-safe")])
def test_a_mistake_in_an_example_is_told_with_its_place(
        examples: str, place: str, message: str, instead: str | None, here: Path) -> None:
    told = proved(here, examples)
    assert f"in club.yaml, line {place}: " in told
    assert message in told
    assert instead is None or instead in told.partition("Try: ")[2]


def test_the_examples_that_came_out_right_are_counted() -> None:
    here = Path()
    assert proved(here, EYES + "  broken: [as it is, {state: {bench.people.eye_protection: no}}, {leave_out: [steps]}]"
                  ).endswith("1 rule, 4 examples, 2 as they should be.")
    assert proved(here, "keep-the-eyes-safe: {}").endswith("1 rule, 0 examples, 0 as they should be.")


def test_a_policy_is_known_by_its_keys_however_they_are_written(here: Path) -> None:
    for text in ("\ufeff" + CLUB, '"policy": the club\n', "{policy: the club}\n", CLUB.replace("\n", "\r\n")):
        (here / "club.yaml").write_text(text, encoding="utf-8", newline="")
        assert "The policy club.yaml can be used." in inside("rulebook", "prove", "club.yaml").out


def test_a_folder_is_not_proved(here: Path) -> None:
    (here / "rules").mkdir()
    ran = inside("rulebook", "prove", "rules")
    assert ran.status == 2
    assert "this is a folder" in ran.err
