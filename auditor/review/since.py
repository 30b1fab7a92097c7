"""What is new since an earlier report, what was there, and what is gone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from posixpath import normpath

from msgspec import Struct
from msgspec.structs import replace

from auditor.plan.fingerprint import plan_fingerprint
from auditor.review.finding import Audit, Finding, Since
from auditor.review.run import Gone, Reviewed
from auditor.rulebook.fingerprint import rule_fingerprints
from auditor.rulebook.rule import SIGNAL_WORDS, Rule, Rulebook


class EarlierPlan(Struct, frozen=True):
    """One plan of an earlier report: its fingerprint, its findings, and the fingerprints of those it had accepted.

    findings: as they would be told if they are gone, each with all its fingerprints.
    """

    path: str
    title: str | None
    fingerprint: str | None
    idle: bool
    findings: tuple[tuple[Gone, tuple[str, ...]], ...]
    accepted: frozenset[str]


class Earlier(Struct, frozen=True):
    """An earlier report: the fingerprints of the rules then in force, and the plans."""

    rules: dict[str, str]
    plans: tuple[EarlierPlan, ...]


def compared(reviews: Iterable[Reviewed], earlier: Earlier, rulebook: Rulebook, is_there: Callable[[str], bool]
             ) -> tuple[Reviewed, ...]:
    """The reviews with every finding told apart as new or there before, and with what is gone.

    A plan is compared with that of the same path and title, else with the same path, else, if its own was not in the
    report, with one of the same title whose file is no longer there. is_there: whether a file is.
    """
    reviews = tuple(reviews)
    partners = _partners(reviews, earlier.plans, is_there)
    rules = rule_fingerprints(rulebook)
    return tuple(_compared(reviewed, reviewed.audit, partners.get(i), earlier, rulebook, rules)
                 if reviewed.audit is not None else reviewed for i, reviewed in enumerate(reviews))


def _partners(reviews: Sequence[Reviewed], plans: Sequence[EarlierPlan], is_there: Callable[[str], bool]
              ) -> dict[int, EarlierPlan]:
    free = list(plans)
    found: dict[int, EarlierPlan] = {}
    criteria: tuple[Callable[[Reviewed, EarlierPlan], bool], ...] = (
        lambda now, then: _same_path(now, then) and now.title == then.title,
        _same_path,
        lambda now, then: now.title == then.title is not None and not is_there(then.path),
    )
    for fits in criteria:
        for i, reviewed in enumerate(reviews):
            if i in found or reviewed.audit is None:
                continue
            partner = next((plan for plan in free if fits(reviewed, plan)), None)
            if partner is not None:
                found[i] = partner
                free.remove(partner)
    return found


def _same_path(now: Reviewed, then: EarlierPlan) -> bool:
    return _spelled(now.path) == _spelled(then.path)


def _spelled(path: str) -> str:
    return normpath(path.replace("\\", "/"))


def _compared(reviewed: Reviewed, audit: Audit, then: EarlierPlan | None, earlier: Earlier, rulebook: Rulebook,
              rules: dict[str, str]) -> Reviewed:
    if then is None:
        findings = tuple(replace(f, since=Since("the plan was not in the earlier report")) for f in audit.findings)
        return replace(reviewed, audit=replace(audit, findings=findings), gone=())
    seriousness = {mark: SIGNAL_WORDS.index(gone.signal_word) for gone, marks in then.findings for mark in marks}
    plan_changed = then.fingerprint != plan_fingerprint(audit.plan)

    def since(finding: Finding) -> Since:
        now = SIGNAL_WORDS.index(finding.signal_word)
        unseen = [mark for mark in finding.fingerprints if seriousness.get(mark, len(SIGNAL_WORDS)) > now]
        if not unseen:
            return Since()
        if then.accepted.issuperset(unseen):
            return Since("the risk was accepted before and is no longer")
        rule = rulebook.by_name[finding.rule]
        return Since(_why(plan_changed, _earlier_fingerprint(rule, earlier.rules), rules[rule.name]))

    findings = tuple(replace(finding, since=since(finding)) for finding in audit.findings)
    here = {mark for f in (*audit.findings, *(a.finding for a in audit.accepted)) for mark in f.fingerprints}
    gone = tuple(each for each, marks in then.findings if here.isdisjoint(marks))
    return replace(reviewed, audit=replace(audit, findings=findings), gone=gone, was_idle=then.idle)


def _earlier_fingerprint(rule: Rule, rules: dict[str, str]) -> str | None:
    return next((rules[name] for name in (rule.name, *rule.text.formerly) if name in rules), None)


def _why(plan_changed: bool, rule_then: str | None, rule_now: str) -> str:
    """What made a finding new, as the end of `New, because ...`."""
    if rule_then is None:
        return "the rule was not in force then"
    match plan_changed, rule_then != rule_now:
        case True, True:
            return "the plan and the rule have changed"
        case True, False:
            return "the plan has changed"
        case False, True:
            return "the rule has changed"
    return "the program or the date is another; the plan and the rule are as they were"
