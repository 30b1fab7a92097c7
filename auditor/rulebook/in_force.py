"""The rules in force under a policy: what it adds, tightens, leaves out or permits, and where each came from.

    rulebook = under(load_rulebook(), "procedures/power-up-policy.yaml")

Whatever asks for less than before carries a reason, and every report prints it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from math import inf
from pathlib import Path as FilePath

from msgspec import Struct, field
from msgspec.structs import replace

from auditor.plan.files import POLICY
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.plan.values import listed
from auditor.rulebook.load import BadRules, Enough, Found, RulesRead, extended, limit_value, listed_under
from auditor.rulebook.policy import USUAL_BAR, Permission, Policy, shown
from auditor.rulebook.policy_file import MayAccept, PolicyRead, policies_of
from auditor.rulebook.policy_rules import bench_rules, stating_rules
from auditor.rulebook.rule import SIGNAL_WORDS, Limit, Rulebook


def under(rulebook: Rulebook, file: str) -> Rulebook:
    """The rulebook as a policy has it. Raises BadRules with the problems of the policy or of one that it builds on."""
    policies = policies_of(file)
    state = _State(rulebook)
    for policy in policies:
        problems = Found()
        with suppress(Enough):
            _apply(policy, state, problems)
        if problems:
            placed = sorted(map(policy.document.placed, problems), key=lambda p: (p.place is None, p.place))
            raise BadRules(((policy.file, tuple(placed)),))
    return state.rulebook_in_force(policies)


class _State(Struct):
    """What is in force after some of the policies.

    strictest_bar: the lowest signal word that ever failed; reasons: for what asks for less, by what it is about.
    """

    rulebook: Rulebook
    left_out: dict[str, str] = field(default_factory=dict)
    fails_from: str = USUAL_BAR
    strictest_bar: str = USUAL_BAR
    accepting: tuple[Permission, ...] | None = None
    permits: tuple[str, ...] = ()
    cards: str | None = None
    reasons: dict[str, str] = field(default_factory=dict)

    def rulebook_in_force(self, policies: tuple[PolicyRead, ...]) -> Rulebook:
        left = [rule for rule in self.rulebook.rules if rule.topic in self.left_out]
        kept = tuple(rule for rule in self.rulebook.rules if rule.topic not in self.left_out)
        policy = Policy(
            policies[-1].file, policies[-1].text.policy, tuple(read.file for read in policies), self.fails_from,
            self.accepting, frozenset(name for rule in left for name in (rule.name, *rule.text.formerly)),
            (*_passed_over(policies), *self._weakens()), self.cards)
        return replace(self.rulebook, rules=kept, policy=policy)

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
        return [*found, *self.permits]


def _passed_over(policies: tuple[PolicyRead, ...]) -> Iterator[str]:
    """That a policy lies above the one in force which this one does not build on."""
    known = {read.at for read in policies}
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
        elif not choice.reason:
            problems.append(_needs_reason(f"a topic is left out (`{name}`)", ("topics", name), "value: no"))
        else:
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
        now = replace(was, value=value, text=change.value, file=policy.file, was=was)
        if looser(now, was):
            if not change.reason:
                said = f"`{name}` is stricter when it is {was.stricter}, and {change.value} is looser than {was.text}"
                problems.append(_needs_reason(said, path, f"value: {change.value}"))
                continue
            state.reasons[name] = change.reason
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
    bar = policy.text.fails_from
    if bar is None:
        return
    if SIGNAL_WORDS.index(bar.value) < SIGNAL_WORDS.index(state.fails_from):
        if not bar.reason:
            problems.append(_needs_reason(f"findings below {bar.value} would no longer fail, and {state.fails_from} did",
                                          ("fails_from",), f"value: {bar.value}"))
            return
        state.reasons["fails_from"] = bar.reason
    state.fails_from = bar.value
    state.strictest_bar = max(bar.value, state.strictest_bar, key=SIGNAL_WORDS.index)


def _permit(policy: PolicyRead, state: _State, problems: list[Problem]) -> None:
    written = policy.text.may_accept
    if written is None:
        return
    more = state.accepting is not None
    found = [permission for i, entry in enumerate(written)
             if (permission := _permission(entry, ("may_accept", i), more, state, problems)) is not None]
    # An empty list takes back what the policies below it permit.
    state.accepting = (*(state.accepting or ()), *found) if written else ()
    state.permits = state.permits if written else ()
    for entry, permission in zip(written, found, strict=False):
        if entry.reason:
            state.permits += (f"{_said(permission)} Reason: {entry.reason}",)


def _permission(entry: MayAccept, path: Path, more: bool, state: _State, problems: list[Problem]) -> Permission | None:
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
    if len(problems) > before:
        return None
    rules = tuple(by_name[name].name for name in entry.rules)
    dangers = [name for name in rules if by_name[name].text.signal_word == "DANGER"]
    if (dangers or more) and not entry.reason:
        what = f"`{dangers[0]}` is a DANGER" if dangers else "a policy that this one builds on does not permit this"
        problems.append(Problem(f"{what}: whatever asks for less needs a reason, which every report prints", path, None,
                                "add `reason:`"))
        return None
    longest = entry.at_most.high if entry.at_most is not None and entry.at_most.high < inf else None
    return Permission(entry.who, rules, entry.up_to, longest, _days(longest))


def _days(seconds: float | None) -> str | None:
    return None if seconds is None else f"{seconds / 86400:.0f} days"


def _said(permission: Permission) -> str:
    """A permission in one sentence."""
    who = listed(permission.who) if permission.who else "anybody"
    what = " and ".join(filter(None, (listed(permission.rules, "and") if permission.rules else "",
                                      f"every rule up to {permission.up_to}" if permission.up_to else "")))
    return f"{who} may accept {what}{f' for {permission.written}' if permission.written else ''}."


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
