"""What is in force after some of the policies, and what of it asks for less than before."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path as FilePath

from msgspec import Struct, field
from msgspec.structs import replace

from auditor.plan.files import POLICY
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.rulebook.permissions import said
from auditor.rulebook.policy import USUAL_BAR, Permission, Policy, shown
from auditor.rulebook.policy_file import PolicyRead
from auditor.rulebook.rule import Limit, Rulebook


class State(Struct):
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


def said_beside(part: str, policy: PolicyRead, state: State) -> bool:
    """Whether a policy that this one does not build on says something of the same part; that this one does is noted."""
    files = state.said.setdefault(part, set())
    beside = not files <= state.below[policy.file]
    files.add(policy.file)
    return beside


def needs_reason(message: str, path: Path, value: str) -> Problem:
    return Problem(f"{message}: whatever asks for less needs a reason, which every report prints", path, None,
                   f"{path[-1]}: {{{value}, reason: ...}}", True)
