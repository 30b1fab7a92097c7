"""Plans under a policy: who may accept what and for how long, what is told of it, and the sign-off."""

from __future__ import annotations

import json
from datetime import date

import pytest
from msgspec.structs import replace

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.problems import Unreadable
from auditor.plan.read import read_plan
from auditor.review.finding import Audit, Outcome
from auditor.review.review import review_plan
from auditor.review.run import Reviewed, summed_up
from auditor.rulebook.policy import Permission, Policy
from auditor.rulebook.rule import Rulebook
from tests.plan.test_cards import NORTH, written
from tests.written import a_rule, rules, spot, stands_at, with_steps

POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
TODAY = date(2026, 11, 20)
FOREMAN = "bench foreman"
MONTH = 30 * 86400.0


def permission(*names: str, up_to: str | None = None, who: tuple[str, ...] = (FOREMAN,), longest: float | None = None
               ) -> Permission:
    return Permission(who, names, up_to, longest, "30 days" if longest else None)


def under(accepting: tuple[Permission, ...] | None, word: str = "WARNING", **more: object) -> Rulebook:
    rulebook = rules({**a_rule("never-on", "never(energised)", word=word), "formerly": ["not-on"]},
                     a_rule("plug-out", "set.chassis is isolated"))
    return replace(rulebook, policy=replace(Policy("club.policy.yaml", "The club", accepting=accepting), **more))  # type: ignore[arg-type]


def audited(rulebook: Rulebook, risk: str = "", *, rule: str = "never-on", until: str = "2026-12-01") -> Audit:
    text = f"{POWERED}accepted_risks:\n  - {{rule: {rule}, reason: tried, by: {FOREMAN}, until: {until}{risk}}}\n"
    return review_plan(read_plan(text), rulebook, TODAY)


def note(audit: Audit) -> str:
    """Why the acceptance of the one rule does not count."""
    assert audit.accepted == ()
    return next(finding.note or "" for finding in audit.findings if finding.rule == "never-on")


def test_a_policy_that_says_nothing_of_risks_leaves_them_as_they_are() -> None:
    assert audited(under(None)).accepted
    assert "DANGER cannot be accepted" in note(audited(under(None, "DANGER")))


def test_a_risk_may_be_accepted_up_to_a_signal_word() -> None:
    assert audited(under((permission(up_to="WARNING"),))).accepted
    assert audited(under((permission(up_to="WARNING"),), "CAUTION")).accepted
    assert "does not permit that" in note(audited(under((permission(up_to="CAUTION"),))))


def test_a_danger_is_accepted_only_where_the_policy_names_its_rule() -> None:
    assert audited(under((permission("never-on"),), "DANGER")).accepted
    assert "permits the rule by name" in note(audited(under((permission(up_to="WARNING"),), "DANGER")))
    assert "permits the rule by name" in note(audited(under((permission("plug-out"),), "DANGER")))


def test_an_accepted_danger_is_told_as_accepted() -> None:
    audit = audited(under((permission("never-on"),), "DANGER"))
    assert audit.outcomes["never-on"] is Outcome.ACCEPTED
    assert audit.accepted[0].finding.signal_word == "DANGER"


def test_only_those_whom_the_policy_names_may_accept() -> None:
    assert "only `keeper` may accept it" in note(audited(under((permission(up_to="WARNING", who=("keeper",)),))))
    assert audited(under((permission(up_to="WARNING", who=()),))).accepted


def test_a_policy_that_permits_nothing_takes_every_risk_back() -> None:
    assert "does not permit that" in note(audited(under(())))


def test_a_time_counts_from_the_day_of_acceptance() -> None:
    month = under((permission(up_to="WARNING", longest=MONTH),))
    assert audited(month, ", on: 2026-11-01").accepted
    assert "2026-11-01 to 2026-12-02 is longer" in note(audited(month, ", on: 2026-11-01", until="2026-12-02"))
    assert "add `on:`" in note(audited(month))


def test_any_one_permission_is_enough() -> None:
    both = under((permission(up_to="WARNING", longest=MONTH), permission("never-on")))
    assert audited(both, until="2030-01-01").accepted


def test_a_risk_that_is_accepted_from_tomorrow_on_does_not_count_today() -> None:
    assert "has not come" in note(audited(under(None), ", on: 2026-11-21"))


def test_a_risk_accepted_under_the_former_name_of_its_rule_counts() -> None:
    assert audited(under((permission("never-on"),), "DANGER"), rule="not-on").accepted


def test_a_risk_of_a_rule_that_the_policy_leaves_out_is_refused() -> None:
    with pytest.raises(Unreadable, match=r"not audited under the policy club\.policy\.yaml"):
        audited(under(None, left_out=frozenset({"old-rule"})), rule="old-rule")


def test_every_report_tells_of_an_acceptance_that_nothing_needs() -> None:
    text = POWERED.replace("set: {", "set: {chassis: isolated, ") + (
        f"accepted_risks: [{{rule: plug-out, reason: tried, by: {FOREMAN}, until: 2026-12-01}}]\n")
    told, = review_plan(read_plan(text), under(None), TODAY).notes
    assert told == "The risk of `plug-out` is accepted by bench foreman until 2026-12-01 (reason: tried), but was not found."


def test_the_policy_sets_what_counts() -> None:
    for bar, status in (("DANGER", 0), ("WARNING", 1)):
        audit = review_plan(read_plan(POWERED), under(None, fails_from=bar), TODAY)
        assert summed_up([Reviewed("-", None, audit)]).exit_status == status


def test_every_policy_is_summed_up_once() -> None:
    reviews = [Reviewed("-", None, review_plan(read_plan(POWERED), under(None), TODAY)) for _ in range(3)]
    assert [policy.title for policy in summed_up(reviews).policies] == ["The club"]


# The sign-off


def signed(fingerprint: str, text: str = POWERED) -> str:
    return f"{text}signed_off: {{by: keeper, on: 2026-11-21, fingerprint: {fingerprint}}}\n"


def notes(text: str) -> tuple[str, ...]:
    return review_plan(read_plan(text, cards=NORTH), under(None), TODAY).notes


HERE = plan_fingerprint(read_plan(POWERED))


def test_a_plan_that_is_as_it_was_signed_is_told_so() -> None:
    assert notes(signed(HERE)) == ("Signed off by keeper on 2026-11-21; plan and card have not changed since.",)


@pytest.mark.parametrize(("was", "now"), [
    ("60 V", "61 V"), ("  - plug_in: set\n", ""), ("power: 40 W", "power: 60 W"), ("mains: {", "mains: {earth: present, ")])
def test_a_plan_that_was_changed_since_is_told_so(was: str, now: str) -> None:
    told, = notes(signed(HERE, POWERED.replace(was, now)))
    assert told.startswith("Changed since it was signed off")
    assert HERE in told


@pytest.mark.parametrize(("was", "now"), [
    ("steps:", "# looked at\nsteps:"), ("{voltage: 120 V}", "\n  voltage: '120 V'"), ("plug_in: set", "{plug_in:   set}")])
def test_comments_and_layout_change_nothing(was: str, now: str) -> None:
    assert "have not changed" in notes(signed(HERE, POWERED.replace(was, now)))[0]


def test_a_change_of_the_card_is_a_change() -> None:
    text = written("steps: [set_dial: 0 V]")
    mark = plan_fingerprint(read_plan(text, cards=NORTH))
    assert "have not changed" in notes(signed(mark, text))[0]
    other = read_plan(text, cards=lambda file: (NORTH(file) or b"").replace(b"40 W", b"60 W"))
    assert plan_fingerprint(other) != mark


def test_a_risk_accepted_after_the_sign_off_is_a_change() -> None:
    text = POWERED + "accepted_risks: [{rule: never-on, reason: x, by: y, until: 2027-01-01}]\n"
    assert notes(signed(HERE, text))[0].startswith("Changed")


def test_a_sign_off_names_person_day_and_fingerprint() -> None:
    with pytest.raises(Unreadable, match="`fingerprint` is missing"):
        read_plan(POWERED + "signed_off: {by: keeper, on: 2026-11-21}\n")
    text = signed(HERE).replace("2026-11-21", "2026-13-21")
    with pytest.raises(Unreadable) as caught:
        read_plan(text)
    assert stands_at(caught.value.problems[0]) == spot(text, "2026-13-21")


def test_a_shop_can_require_the_sign_off() -> None:
    required = rules(a_rule("as-signed", "procedure.as_signed_off", applies_when="procedure.signed_off"),
                     a_rule("somebody-signs", "procedure.signed_off"))
    outcomes = [review_plan(read_plan(text), required, TODAY).outcomes for text in (POWERED, signed(HERE), signed("0"))]
    assert [json.dumps([o["as-signed"].value, o["somebody-signs"].value]) for o in outcomes] == [
        '["not applicable", "broken"]', '["kept", "kept"]', '["broken", "kept"]']
