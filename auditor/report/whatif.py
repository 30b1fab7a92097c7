"""Every usual fault against a plan, for a person: first what gets through, then what contains the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import shorten

from auditor.bench.electrical.body import Shock
from auditor.bench.facts import FACTS
from auditor.plan.steps import Step
from auditor.report.columns import BLANK, Column, fitted
from auditor.report.notice import CAUTIONS
from auditor.report.policy_text import policy_lines
from auditor.report.style import Style, shown
from auditor.review.finding import Audit
from auditor.review.finding import Outcome as RuleOutcome
from auditor.rulebook.policy import Policy
from auditor.whatif.fault import Fault
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Outcome, Verdict, WhatIf
from auditor.whatif.world import CHECKS, EARTH, FUSES, ISOLATION, LAMP, RESIDUAL, SEVERITIES

INDENT = "      "
LEAST_FAULT = 30
"""Letters of a fault that a table shows at least, before another column makes room."""
LATE = "the plan stops there, too late"
OPEN_SAID: dict[RuleOutcome | None, str] = {
    RuleOutcome.BROKEN: "broken here", RuleOutcome.UNDETERMINED: "cannot be told here",
    None: "not audited under the policy"}
BRIEFLY = {LAMP: "lamp", ISOLATION: "isolation", FUSES: "fuses", EARTH: "earth", RESIDUAL: "residual current device",
           CHECKS: "checks"}
"""What contains a fault, short enough for a table."""
MEANS = (
    f"Each fault is played alone, at up to {SEVERITIES} severities, as early and as late as it may come, through every step "
    "of the plan and every way out of it, on the same model of bench and set as the expected readings; the worst of these "
    "counts, and where the plan says nothing the worst case. A hand may be on the cabinet at any time, and where a step "
    "puts it. What a current or a charge does to a person and what fuses and cords stand are judged by published limits, "
    "what a part of the set stands by published ones or by common practice; `auditor reason FAULT` names the source. Only a "
    "sign that is sure to show counts; a person may well notice sooner."
)
MEANS_NOT = (
    "Not looked at: two faults at once, faults that are in no catalogue, and what the model has no law for. `checks` are "
    "what the plan has the operator inspect, measure, prove, read and watch for. Contained means that the model finds no "
    "harm from this one fault on this plan, and nothing more."
)
NOTHING_POWERED = ("No step of this procedure powers the set, so hardly a fault can act. Is `plug_in: set` or a switch "
                   "missing?")
NOT_NEEDED = f"even without any of {', '.join(list(BRIEFLY.values())[:-1])} and {BRIEFLY[CHECKS]}"
"""How much is taken away before a fault is said to do no harm; the steps that make dead are left."""
GROUPS = (
    (Verdict.HARMLESS, f"No harm here, {NOT_NEEDED}"),
    (Verdict.RULED_OUT, "Ruled out by what the plan states"),
    (Verdict.CANNOT_BE, "Cannot be in this set or on this bench"),
)
"""Faults that are only named, each kind with how it is said."""
COUNTED = (
    (Verdict.RESIDUAL, "that get through and that no written procedure can contain"), (Verdict.CONTAINED, "contained"),
    (Verdict.HARMLESS, "without harm here"), (Verdict.RULED_OUT, "ruled out"), (Verdict.CANNOT_BE, "that cannot be here"),
    (Verdict.NOT_PLAYED, "not played"),
)
"""How the other kinds are said in the verdict."""
Outcomes = Mapping[str, RuleOutcome | None]
"""What each rule comes to on a plan; None for those that are not audited under the policy."""


def outcomes_of(audit: Audit) -> Outcomes:
    """What each rule comes to, with those that the policy leaves out."""
    left_out = audit.policy.left_out if audit.policy is not None else ()
    return {**dict.fromkeys(left_out), **audit.outcomes}


def what_if_lines(found: WhatIf, rules: Outcomes, assumed: Sequence[str], powered: bool, style: Style,
                  policy: Policy | None = None) -> Iterator[str]:
    """The report on all faults. rules: what each rule comes to on the same plan; assumed: what replay and prediction take
    for granted, each in a sentence; powered: whether some step powers the set."""
    yield style.strong(style.wrapped(f"What if something is at fault: {found.plan.header.title}"))
    yield ""
    if not powered:
        yield style.wrapped(NOTHING_POWERED)
        yield ""
    for harm in found.healthy:
        yield from _healthy(harm, style)
        yield ""
    for outcome in not_contained(found.outcomes):
        yield from not_contained_lines(outcome, rules, style)
        yield ""
    yield from _table(found.outcomes, style)
    yield from _named(found.outcomes, style)
    yield from _bounds(found.outcomes, style)
    yield ""
    yield style.wrapped(verdict(found), first="Verdict: ", rest="  ")
    yield style.wrapped(MEANS, first="  ")
    yield style.wrapped(MEANS_NOT, first="  ")
    yield from (style.faint(style.wrapped(line, first="  Assumed: ", rest="    ")) for line in taken(found.outcomes))
    yield from (style.faint(style.wrapped(line, first="  Assumed: ", rest="    ")) for line in assumed)
    yield from policy_lines(policy, style)
    yield style.wrapped(CAUTIONS)


def not_contained(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """What gets through, harm to persons first."""
    return sorted((o for o in outcomes if o.verdict is Verdict.NOT_CONTAINED), key=_seriousness)


def _seriousness(outcome: Outcome) -> tuple[bool, int]:
    return not harms_a_person(outcome), -max(harm.shock for harm in outcome.harms)


def harms_a_person(outcome: Outcome) -> bool:
    """Whether what gets through reaches a person."""
    return any(harm.to_a_person for harm in outcome.harms)


def counts(healthy: Iterable[Harm], outcomes: Iterable[Outcome]) -> bool:
    """Whether somebody is badly harmed with everything well, or by a fault that a procedure could contain."""
    return any(harm.serious for harm in (*healthy, *(h for outcome in not_contained(outcomes) for h in outcome.harms)))


def missing_safeguards(fault: Fault, rules: Outcomes) -> tuple[tuple[str, RuleOutcome | None], ...]:
    """The rules that ask for what contains the fault and that this plan does not keep, that cannot be told, or that are
    not audited."""
    return tuple((rule, rules[rule]) for rule in fault.safeguards if rule in rules and rules[rule] in OPEN_SAID)


def verdict(found: WhatIf) -> str:
    """All faults in one sentence."""
    count = {kind: sum(outcome.verdict is kind for outcome in found.outcomes) for kind in Verdict}
    to_persons = sum(harms_a_person(outcome) for outcome in not_contained(found.outcomes))
    through = count[Verdict.NOT_CONTAINED]
    parts = [f"{through} not contained" + (f" ({to_persons} with harm to a person)" if through else "")]
    parts += [f"{count[kind]} {said}" for kind, said in COUNTED if count[kind]]
    well = ("with everything well, harm is done as well" if found.healthy
            else "with everything well, the model finds no harm")
    return f"of {len(found.outcomes)} faults: {'; '.join(parts)}; {well}."


def taken(outcomes: Iterable[Outcome]) -> Iterator[str]:
    """What the plan leaves open, with the faults that were taken to be possible therefore."""
    by_fact: dict[str, list[str]] = {}
    for outcome in outcomes:
        for name in outcome.assumed:
            by_fact.setdefault(name, []).append(outcome.fault.fault)
    for name, faults in by_fact.items():
        yield f"The plan does not say {fact_said(name)}, so it may have: {', '.join(faults)}."


def fact_said(name: str) -> str:
    """The line of a plan that would state a fact, and what it means."""
    fact = FACTS[name]
    return f"`{fact.asks[0] if fact.asks else name}` ({fact.meaning})"


def assumed_said(outcome: Outcome) -> str:
    """What was assumed for one fault."""
    return f"Assumed, since the plan does not say: {'; '.join(map(fact_said, outcome.assumed))}."


def harm_said(harm: Harm, here: Step | None = None) -> str:
    """What happens, where, and what it does to a person. here: a step that is said already."""
    where = ", at the end" if harm.step is None else f", step {harm.step.number}, {shown(harm.step.in_words())}"
    where = "" if here is not None and harm.step == here else where
    branch = f", on the way out when {harm.branch}" if harm.branch else ""
    grave = f" {harm.shock.says}" if harm.shock > Shock.NOTHING else ""
    return f"{harm.hazard[0].upper()}{harm.hazard[1:]}{where}{branch}: {harm.says}.{grave}"


def _healthy(harm: Harm, style: Style) -> Iterator[str]:
    yield _headed("HARM WITH NOTHING AT FAULT", ": the plan itself does this", harm.to_a_person, style)
    yield style.wrapped(harm_said(harm), first="  ", rest="    ")


def _headed(head: str, rest: str, to_a_person: bool, style: Style) -> str:
    """The first line of something that gets through; its colour says again what its words say."""
    line = style.wrapped(head + rest, rest="  ")
    return line.replace(head, style.signal("DANGER" if to_a_person else "NOTICE", head), 1)


def not_contained_lines(outcome: Outcome, rules: Outcomes, style: Style, told: Sequence[Harm] | None = None
                        ) -> Iterator[str]:
    """One fault that gets through: what it does and where, what was assumed, and which safeguard is missing.

    told: the harms that its story has told already, together with all but the end; None without a story.
    """
    fault, person = outcome.fault, harms_a_person(outcome)
    whom = "harm to a person" if person else "damage to equipment"
    yield _headed("NOT CONTAINED", f", {whom}: {fault.fault}", person, style)
    if told is None:
        yield style.wrapped(f"{fault.says}?", first="  What if ", rest="    ")
    for harm in outcome.harms:
        if told is None or harm not in told:
            yield style.wrapped(harm_said(harm), first="  ", rest="    ")
    if outcome.assumed and told is None:
        yield style.wrapped(assumed_said(outcome), first="  ", rest="    ")
    yield style.wrapped(_missing(fault, rules), first="  ", rest="    ")
    if noticed := outcome.notice or outcome.seen:
        looks = LATE if noticed.told else "shows, but the plan does not say to look for it and stop"
        yield style.wrapped(f"{noticed.words} ({looks}).", first=f"  Step {noticed.step.number}: ", rest="    ")
    else:
        yield style.wrapped("No sign of it is sure to show.", first="  ")


def _missing(fault: Fault, rules: Outcomes) -> str:
    lacking = missing_safeguards(fault, rules)
    if lacking:
        return f"Missing safeguard: {', '.join(f'{rule} ({OPEN_SAID[outcome]})' for rule, outcome in lacking)}."
    if fault.safeguards:
        return f"No rule about it is broken here; see {', '.join(fault.safeguards)}."
    return "No rule asks for a safeguard against it."


def contained_by(outcome: Outcome) -> str:
    """What contains a fault: each of several is needed, or any one of them is enough."""
    if outcome.verdict is not Verdict.CONTAINED:
        return "NOTHING" if outcome.verdict in (Verdict.NOT_CONTAINED, Verdict.RESIDUAL) else BLANK
    return (" or " if outcome.any_of_them else " and ").join(BRIEFLY.get(by, by) for by in outcome.contained_by)


def noticed_at(outcome: Outcome) -> str:
    """The number of the step at which it is noticed."""
    noticed = outcome.notice or outcome.seen
    return BLANK if noticed is None else str(noticed.step.number)


def looked_for(outcome: Outcome) -> str:
    """Whether the plan has the operator look for the sign."""
    return "stops there" if outcome.notice else "not told to stop" if outcome.seen else "no sure sign"


def _table(outcomes: Sequence[Outcome], style: Style) -> Iterator[str]:
    """A line a fault, with its name and its sign below."""
    contained = [outcome for outcome in outcomes if outcome.verdict is Verdict.CONTAINED]
    rows = [*not_contained(outcomes), *contained]
    if not rows:
        return
    by = Column("contained by", contained_by, "contained by {}")
    others: tuple[Column[Outcome], ...] = (Column("step", noticed_at), Column("the plan", looked_for))
    taken_up = sum(2 + max(len(column.heading), *(len(column.cell(row)) for row in rows)) for column in (*others, by))
    room = style.width - taken_up
    if room < LEAST_FAULT:
        room = style.width - (taken_up - 2 - max(len(by.heading), *(len(by.cell(row)) for row in rows)))
    columns = (Column[Outcome]("fault", lambda row: shorten(row.fault.says, room, placeholder="...")), *others, by)
    table = fitted(columns, 3, rows, style.width)
    yield style.strong(table.heading())
    for row in rows:
        yield table.line(row)
        noticed = row.notice or row.seen
        below = "; ".join((*((noticed.words,) if noticed else ()), *table.below(row)))
        yield style.wrapped(row.fault.fault + (f": {below}" if below else ""), first=INDENT)
    yield ""


def _named(outcomes: Sequence[Outcome], style: Style) -> Iterator[str]:
    for kind, words in GROUPS:
        names = [outcome.fault.fault for outcome in outcomes if outcome.verdict is kind]
        if names:
            yield style.wrapped(f"{words} ({len(names)}): {', '.join(names)}.", rest="  ")


def _bounds(outcomes: Sequence[Outcome], style: Style) -> Iterator[str]:
    """What no procedure contains, and what was not played, each with its reason."""
    residual = [o for o in outcomes if o.fault.residual is not None]
    if residual:
        yield style.wrapped(f"No written procedure can contain ({len(residual)}):")
    for outcome in residual:
        fault = outcome.fault
        yield style.wrapped(f"{fault.fault}: {fault.says}. {fault.residual}", first="  ", rest="    ")
        for harm in outcome.harms[:1]:
            yield style.wrapped(harm_said(harm), first="    ", rest="      ")
    aside = [o for o in outcomes if o.verdict is Verdict.NOT_PLAYED and o.fault.residual is None]
    if aside:
        yield style.wrapped(f"Not played ({len(aside)}):")
    for outcome in aside:
        yield style.wrapped(f"{outcome.fault.fault}: {outcome.fault.not_simulated}", first="  ", rest="    ")
