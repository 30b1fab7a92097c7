"""Who may accept which risk under policies that build on one another, or stand side by side."""

from __future__ import annotations

from itertools import product
from math import inf

from auditor.bench.plan_facts import DAY
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.rulebook.load import MOST_LISTED
from auditor.rulebook.permissions import covers, meet
from auditor.rulebook.policy import Permission
from auditor.rulebook.policy_file import MayAccept, PolicyRead
from auditor.rulebook.policy_state import State, said_beside


def permit(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
    """What one policy lets be accepted, beside or in place of what those that it builds on do."""
    written = policy.text.may_accept
    own: tuple[Permission, ...] | None = None
    for base in state.bases:
        its = state.acceptings[base]
        own = its if own is None else own if its is None else _in_both(own, its, state, problems)
    state.acceptings[policy.file] = own
    if written is None:
        return
    below = own or ()
    found: list[Permission] = []
    narrowed: list[Permission] = []
    for i, entry in enumerate(written):
        permission = _permission(entry, ("may_accept", i), state, problems)
        if permission is None:
            continue
        wider = [each for each in below if covers(each, permission, state.rulebook)]
        reason = entry.reason or next((state.permits[each] for each in wider if each in state.permits), None)
        if wider or entry.reason or not _asks_for_less(permission, own, ("may_accept", i), state, problems):
            found.append(permission)
            narrowed += wider
            if reason:
                state.permits[permission] = reason
    # An empty list takes back what the policies below it permit.
    mine = (*(each for each in below if each not in narrowed), *found) if written else ()
    beside = said_beside("may_accept", policy, state)
    state.accepting = _in_both(state.accepting or (), mine, state, problems) if beside else mine
    state.acceptings[policy.file] = mine


def _in_both(some: tuple[Permission, ...], others: tuple[Permission, ...], state: State, problems: list[Problem]
             ) -> tuple[Permission, ...]:
    """What is permitted by two policies that do not build on one another; a reason for either is one for both."""
    found: list[Permission] = []
    for one, other in product(some, others):
        both = meet(one, other, state.rulebook)
        if both is None:
            continue
        reasons = dict.fromkeys(state.permits[each] for each in (one, other) if each in state.permits)
        if reasons:
            state.permits.setdefault(both, " ".join(reasons))
        found.append(both)
    found = list(dict.fromkeys(found))
    if len(found) > MOST_LISTED:
        problems.append(Problem(f"what may be accepted here and by the policies beside it comes to more than {MOST_LISTED}"
                                " entries", ("may_accept",), None, "put these policies into one"))
        return ()
    return tuple(each for i, each in enumerate(found) if not any(
        covers(wider, each, state.rulebook) and (j < i or not covers(each, wider, state.rulebook))
        for j, wider in enumerate(found) if j != i))


def _asks_for_less(permission: Permission, own: tuple[Permission, ...] | None, path: Path, state: State,
                   problems: list[Problem]) -> bool:
    """Whether a permission without a reason needs one, which is then noted: it lets more pass than what is below it."""
    by_name = state.rulebook.by_name
    danger = next((name for name in permission.rules if by_name[name].text.signal_word == "DANGER"), None)
    if danger is None and own is None:
        return False
    what = f"`{danger}` is a DANGER" if danger is not None else (
        "what this one builds on does not permit this, or not for so long or to the same persons")
    problems.append(Problem(f"{what}: whatever asks for less needs a reason, which every report prints", path, None,
                            "add `reason:`"))
    return True


def _permission(entry: MayAccept, path: Path, state: State, problems: list[Problem]) -> Permission | None:
    """One permission, with its rules by their present names; None, with the problem noted, where it is none."""
    before, by_name = len(problems), state.rulebook.by_name
    for j, name in enumerate(entry.rules):
        if name not in by_name:
            problems.append(Problem(f"no rule is called `{name}`", (*path, "rules", j), None, nearest(name, tuple(by_name))))
    if entry.up_to == "DANGER":
        problems.append(Problem("a DANGER can be accepted only rule by rule", (*path, "up_to"), None,
                                "name the rules under `rules`"))
    if entry.up_to is None and not entry.rules:
        problems.append(Problem("this does not say which risks may be accepted", path, None,
                                "add `up_to: CAUTION`, or name the rules under `rules`"))
    longest = entry.at_most.high if entry.at_most is not None else None
    if longest is not None and not DAY <= longest < inf:
        problems.append(Problem("a time for which a risk may be accepted ends, after one day at the soonest",
                                (*path, "at_most"), None, "as in `at_most: 30 days`"))
    if len(problems) > before:
        return None
    rules = tuple(by_name[name].name for name in entry.rules)
    return Permission(entry.who, rules, entry.up_to, longest, _days(longest))


def _days(seconds: float | None) -> str | None:
    """So many whole days."""
    if seconds is None:
        return None
    days = int(seconds // DAY)
    return f"{days} day" if days == 1 else f"{days} days"
