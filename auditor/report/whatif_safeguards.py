"""What each safeguard of a plan is for, for a person: those on which a life depends alone come first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from auditor.report.notice import CAUTIONS
from auditor.report.policy_text import policy_lines
from auditor.report.style import Style, shown
from auditor.report.whatif import MEANS
from auditor.rulebook.policy import Policy
from auditor.whatif.harm import Harm
from auditor.whatif.safeguards import Safeguard, Use

NOTHING_AT_FAULT = "nothing at fault"
HEADS = (("A LIFE DEPENDS ON THIS ALONE", "A LIFE DEPENDS ON EACH OF THESE ALONE"),
         ("DAMAGE WITHOUT THIS", "DAMAGE WITHOUT ANY ONE OF THESE"),
         ("PROTECTS AGAINST NOTHING HERE", "EACH OF THESE PROTECTS AGAINST NOTHING HERE"))
"""How a safeguard is headed, or several of which the same is to be said, the most important first."""
MEANS_ALONE = (
    "One safeguard at a time is taken out of the plan, and every fault is played again. What protects against nothing here "
    "may still be needed: another safeguard covers the same fault today, two faults may come at once, and the catalogue "
    "does not hold every fault. Leave nothing out for the sake of this list."
)


def use_lines(title: str, uses: Sequence[Use], assumed: Sequence[str], style: Style, policy: Policy | None = None
              ) -> Iterator[str]:
    """What gets through without each safeguard. Safeguards without which the same gets through stand together."""
    yield style.strong(style.wrapped(f"What each safeguard is for: {title}"))
    yield ""
    if not uses:
        yield style.wrapped("This plan has no safeguard that could be taken out.")
        yield ""
    for together in sorted(grouped(uses), key=lambda group: rank(group[0])):
        kind = rank(together[0])
        names = "; ".join(safeguard_said(use.safeguard) for use in together)
        head = HEADS[kind][len(together) > 1]
        line = style.wrapped(f"{head}: {names}", rest="  ")
        yield line.replace(head, style.signal("DANGER", head) if kind == 0 else style.strong(head), 1)
        for what, faults in let_through(together[0]):
            yield style.wrapped(f"{', '.join(faults)}.", first=f"  {what}: ", rest="    ")
        if together[0].lets_through:
            yield style.wrapped(_example(together[0]), first="  For example ", rest="    ")
        yield ""
    counts = [sum(rank(use) == kind for use in uses) for kind in range(len(HEADS))]
    yield style.wrapped(f"of {len(uses)} safeguards, a life depends on {counts[0]} alone, equipment on {counts[1]}; "
                        f"{counts[2]} protect against nothing here that another does not.", first="Verdict: ", rest="  ")
    yield style.wrapped(MEANS_ALONE, first="  ")
    yield style.wrapped(MEANS, first="  ")
    yield from (style.faint(style.wrapped(line, first="  Assumed: ", rest="    ")) for line in assumed)
    yield from policy_lines(policy, style)
    yield style.wrapped(CAUTIONS)


def rank(use: Use) -> int:
    """Which of HEADS a safeguard stands under."""
    return 0 if use.guards_a_life else 1 if use.lets_through else 2


def grouped(uses: Sequence[Use]) -> list[list[Use]]:
    """Safeguards without which the same faults do the same harm, together, in the order of the plan."""
    groups: dict[frozenset[tuple[str, str, str]], list[Use]] = {}
    for use in uses:
        key = frozenset((fault.fault if fault else "", harm.hazard, harm.part) for fault, harm in use.lets_through)
        groups.setdefault(key, []).append(use)
    return list(groups.values())


def let_through(use: Use) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each hazard that gets through, to persons first, with the names of the faults that do it."""
    by_hazard: dict[tuple[bool, str], dict[str, None]] = {}
    for fault, harm in use.lets_through:
        by_hazard.setdefault((not harm.to_a_person, harm.hazard), {})[fault.fault if fault else NOTHING_AT_FAULT] = None
    for (_, hazard), faults in sorted(by_hazard.items(), key=lambda found: found[0]):
        yield f"{hazard[0].upper()}{hazard[1:]}", tuple(faults)


def safeguard_said(safeguard: Safeguard) -> str:
    """A safeguard in words, with its step."""
    words = shown(safeguard.words)
    return words if safeguard.step is None else f"step {safeguard.step.number}, {words}"


def _example(use: Use) -> str:
    """The first harm that gets through, to a person where there is one."""
    harm: Harm = min((harm for _, harm in use.lets_through), key=lambda harm: not harm.to_a_person)
    where = "" if harm.step is None else f"at step {harm.step.number}: "
    return f"{where}{harm.says}."
