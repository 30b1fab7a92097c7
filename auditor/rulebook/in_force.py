"""The rules in force under a policy: what it adds, tightens, leaves out or permits, and where each came from.

    rulebook = under(load_rulebook(), "procedures/power-up-policy.yaml")

Whatever asks for less than before carries a reason, and every report prints it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from itertools import product
from math import inf
from pathlib import Path as FilePath

from msgspec import Struct, field
from msgspec.structs import replace

from auditor.plan.files import POLICY
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.plan.values import listed
from auditor.rulebook.load import MOST_LISTED, BadRules, Enough, Found, RulesRead, extended, limit_value, listed_under
from auditor.rulebook.permissions import covers, meet, said
from auditor.rulebook.policy import USUAL_BAR, Permission, Policy, shown
from auditor.rulebook.policy_file import MayAccept, PolicyRead, policies_of
from auditor.rulebook.policy_rules import bench_rules, stating_rules
from auditor.rulebook.rule import SIGNAL_WORDS, Limit, Rulebook

DAY = 86400.0


def under(rulebook: Rulebook, file: str, in_place_of: tuple[str, ...] = ()) -> Rulebook:
    """The rulebook as a policy has it. in_place_of: the policies nearest above the plans, where this one was asked for.

    Raises BadRules with the problems of the policy or of one that it builds on."""
    policies = policies_of(file)
    state, files = _State(rulebook), {policy.at: policy.file for policy in policies}
    for policy in policies:
        problems = Found()
        state.bases = tuple(files[FilePath(os.path.realpath(policy.at.parent / other))] for other in policy.text.builds_on)
        state.below[policy.file] = frozenset(state.bases).union(*(state.below[base] for base in state.bases))
        with suppress(Enough):
            _apply(policy, state, problems)
        if problems:
            placed = sorted(map(policy.document.placed, problems), key=lambda p: (p.place is None, p.place))
            raise BadRules(((policy.file, tuple(placed)),))
    return state.rulebook_in_force(policies, in_place_of)


class _State(Struct):
    """What is in force after some of the policies. Of two of which neither builds on the other, the stricter counts.

    bases: the files that the policy at hand names under `builds_on`; below: for every file all that it builds on, itself or
    through another. kept: topics that are asked for, with the files that do so. bars, acceptings: for every file from which
    signal word findings count, and what may be accepted, by it and those that it builds on alone; said: of either, by
    which files something is said.
    strictest_bar: the lowest signal word that ever failed; reasons: for what asks for less, by what it is about;
    permits: the same for what may be accepted.
    """

    rulebook: Rulebook
    bases: tuple[str, ...] = ()
    below: dict[str, frozenset[str]] = field(default_factory=dict)
    left_out: dict[str, str] = field(default_factory=dict)
    kept: dict[str, set[str]] = field(default_factory=dict)
    bars: dict[str, str] = field(default_factory=dict)
    acceptings: dict[str, tuple[Permission, ...] | None] = field(default_factory=dict)
    said: dict[str, set[str]] = field(default_factory=dict)
    fails_from: str = USUAL_BAR
    strictest_bar: str = USUAL_BAR
    accepting: tuple[Permission, ...] | None = None
    permits: dict[Permission, str] = field(default_factory=dict)
    cards: str | None = None
    reasons: dict[str, str] = field(default_factory=dict)

    def rulebook_in_force(self, policies: tuple[PolicyRead, ...], in_place_of: tuple[str, ...]) -> Rulebook:
        left = tuple(rule for rule in self.rulebook.rules if rule.topic in self.left_out)
        kept = tuple(rule for rule in self.rulebook.rules if rule.topic not in self.left_out)
        policy = Policy(
            policies[-1].file, policies[-1].text.policy, tuple(read.file for read in policies), self.fails_from,
            self.accepting, frozenset(name for rule in left for name in (rule.name, *rule.text.formerly)),
            (*_passed_over(policies, in_place_of), *self._weakens()), self.cards)
        return replace(self.rulebook, rules=kept, policy=policy, left_out=left)

    def _weakens(self) -> list[str]:
        found = []
        for topic, reason in self.left_out.items():
            words = [rule.text.signal_word for rule in self.rulebook.rules if rule.topic == topic]
            found.append(f"The topic `{topic}` is not audited: {len(words)} rules, {words.count('DANGER')} of them DANGER. "
                         f"Reason: {reason}")
        for limit in self.rulebook.limits.values():
            strictest = _strictest(limit)
            if looser(limit, strictest):
                found.append(f"The limit `{limit.name}` is {limit.text} in place of {strictest.text}. "
                             f"Reason: {self.reasons[limit.name]}")
        if self.fails_from != self.strictest_bar:
            found.append(f"Findings count from {self.fails_from} up, in place of {self.strictest_bar}. "
                         f"Reason: {self.reasons['fails_from']}")
        return [*found, *(f"{said(permission)} Reason: {self.permits[permission]}"
                          for permission in self.accepting or () if permission in self.permits)]


def _passed_over(policies: tuple[PolicyRead, ...], in_place_of: tuple[str, ...]) -> Iterator[str]:
    """That a policy lies above the plans, or above the one in force, which this one does not build on."""
    known = {read.at for read in policies}
    for file in in_place_of:
        at = FilePath(os.path.realpath(file))
        if at not in known:
            known.add(at)
            yield (f"The policy {file} lies nearest above the plan, and another was asked for in its place, which does not"
                   " build on it: nothing that it asks for counts here.")
    for folder in policies[-1].at.parent.parents:
        above = folder / POLICY
        if os.path.lexists(above):
            if FilePath(os.path.realpath(above)) not in known:
                yield (f"The policy {shown(above)} lies above this one, which does not build on it: nothing that it asks"
                       " for counts here.")
            return


def looser(limit: Limit, than: Limit) -> bool:
    """Whether a limit asks for less than another of its name."""
    more, less = limit.value.low, than.value.low
    return more > less if limit.stricter == "lower" else more < less


def _strictest(limit: Limit) -> Limit:
    """The strictest value that a limit ever had, in the rules or in a policy."""
    found, here = limit, limit.was
    while here is not None:
        found, here = (here if looser(found, here) else found), here.was
    return found


def _apply(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    """Change the state as one policy says; what is wrong with it goes to `problems`."""
    text = policy.text
    topics = tuple(dict.fromkeys(rule.topic for rule in state.rulebook.rules))
    if text.policy in topics:
        problems.append(Problem(f"`{text.policy}` is the name of a topic already; a policy has a name of its own",
                                ("policy",)))
    _choose_topics(policy, topics, state, problems)
    _change_limits(policy, state, problems)
    _add_rules(policy, state, problems)
    _set_bar(policy, state, problems)
    _permit(policy, state, problems)
    _find_cards(policy, state, problems)


def _choose_topics(policy: PolicyRead, topics: tuple[str, ...], state: _State, problems: list[Problem]) -> None:
    for name, choice in policy.text.topics.items():
        if name not in topics:
            problems.append(Problem(f"no topic is called `{name}`; there are {listed(topics)}", ("topics", name), None,
                                    nearest(name, topics), True))
        elif choice.value:
            state.left_out.pop(name, None)
            state.kept.setdefault(name, set()).add(policy.file)
        elif not choice.reason:
            problems.append(_needs_reason(f"a topic is left out (`{name}`)", ("topics", name), "value: no"))
        elif state.kept.get(name, set()) <= state.below[policy.file]:
            state.left_out[name] = choice.reason


def _change_limits(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    limits = dict(state.rulebook.limits)
    for name, change in policy.text.limits.items():
        path: Path = ("limits", name)
        if name not in limits:
            problems.append(Problem(f"no limit is called `{name}`; `auditor rulebook` lists them", path, None,
                                    nearest(name, tuple(limits)), True))
            continue
        was = limits[name]
        value = limit_value(change.value, was.kind, _value_at(policy, path), problems)
        if value is None:
            continue
        now, own = replace(was, value=value, text=change.value, file=policy.file, was=was), was
        while own.was is not None and own.file not in state.below[policy.file]:
            own = own.was
        if looser(now, own) and not change.reason:
            said = f"`{name}` is stricter when it is {was.stricter}, and {change.value} is looser than {own.text}"
            problems.append(_needs_reason(said, path, f"value: {change.value}"))
            continue
        if change.reason and looser(now, own):
            state.reasons[name] = change.reason
        if own is was or not looser(now, was):
            limits[name] = now
    state.rulebook = replace(state.rulebook, limits=limits)


def _value_at(policy: PolicyRead, path: Path) -> Path:
    """Where the value of a decision stands: beside its reason, or alone."""
    data: object = policy.document.data
    for part in path:
        data = data[part] if isinstance(data, dict) else None
    return (*path, "value") if isinstance(data, dict) else path


def _needs_reason(message: str, path: Path, value: str) -> Problem:
    return Problem(f"{message}: whatever asks for less needs a reason, which every report prints", path, None,
                   f"{path[-1]}: {{{value}, reason: ...}}", True)


def _add_rules(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    text = policy.text
    stated = stating_rules(text, state.rulebook, problems)
    rules = (*listed_under("rules", text.rules), *stated, *bench_rules(text, problems))
    read = RulesRead(policy.file, policy.document, text.policy, text.new_limits, rules, "new_limits")
    found: dict[str, list[Problem]] = {}
    before = len(problems)
    added = extended(state.rulebook, [read], found)
    for problem in found.get(policy.file, []):
        problems.append(problem)
    if len(problems) == before:
        state.rulebook = replace(added, examples={**added.examples, policy.file: policy.examples})


def _set_bar(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    place, bar = SIGNAL_WORDS.index, policy.text.fails_from
    own = state.bars[policy.file] = max((state.bars[base] for base in state.bases), key=place, default=USUAL_BAR)
    if bar is None:
        return
    if place(bar.value) < place(own) and not bar.reason:
        problems.append(_needs_reason(f"findings below {bar.value} would no longer fail, and {own} did",
                                      ("fails_from",), f"value: {bar.value}"))
        return
    if bar.reason and place(bar.value) < place(own):
        state.reasons["fails_from"] = bar.reason
    if not _said_beside("fails_from", policy, state) or place(bar.value) >= place(state.fails_from):
        state.fails_from = bar.value
    state.bars[policy.file] = bar.value
    state.strictest_bar = max(bar.value, state.strictest_bar, key=SIGNAL_WORDS.index)


def _said_beside(part: str, policy: PolicyRead, state: _State) -> bool:
    """Whether a policy that this one does not build on says something of the same part; that this one does is noted."""
    files = state.said.setdefault(part, set())
    beside = not files <= state.below[policy.file]
    files.add(policy.file)
    return beside


def _permit(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
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
    beside = _said_beside("may_accept", policy, state)
    state.accepting = _in_both(state.accepting or (), mine, state, problems) if beside else mine
    state.acceptings[policy.file] = mine


def _in_both(some: tuple[Permission, ...], others: tuple[Permission, ...], state: _State, problems: list[Problem]
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


def _asks_for_less(permission: Permission, own: tuple[Permission, ...] | None, path: Path, state: _State,
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


def _permission(entry: MayAccept, path: Path, state: _State, problems: list[Problem]) -> Permission | None:
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


def _find_cards(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    name = policy.text.cards
    if name is None:
        return
    folder = policy.at.parent / name
    if FilePath(name).is_absolute() or ".." in FilePath(name).parts or not FilePath(
            os.path.realpath(folder)).is_relative_to(policy.at.parent):
        problems.append(Problem("the cards lie in the folder of the policy or in one below it", ("cards",), None,
                                "as in `cards: cards`"))
    elif not folder.is_dir():
        problems.append(Problem(f"there is no folder `{name}` beside this policy", ("cards",)))
    else:
        state.cards = shown(folder)
