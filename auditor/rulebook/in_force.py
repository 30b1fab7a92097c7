"""The rules in force under a policy: what it adds, tightens, leaves out or permits, and where each came from.

    rulebook = under(load_rulebook(), "procedures/power-up-policy.yaml")

Whatever asks for less than before carries a reason, and every report prints it.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path as FilePath

from msgspec.structs import replace

from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem
from auditor.plan.values import listed
from auditor.rulebook.load import BadRules, Enough, Found, RulesRead, extended, limit_value, listed_under
from auditor.rulebook.permitted import permit
from auditor.rulebook.policy import USUAL_BAR, shown
from auditor.rulebook.policy_file import PolicyRead, policies_of
from auditor.rulebook.policy_rules import bench_rules, stating_rules
from auditor.rulebook.policy_state import State, looser, needs_reason, said_beside
from auditor.rulebook.rule import SIGNAL_WORDS, Rulebook


def under(rulebook: Rulebook, file: str, in_place_of: tuple[str, ...] = ()) -> Rulebook:
    """The rulebook as a policy has it. in_place_of: the policies nearest above the plans, where this one was asked for.

    Raises BadRules with the problems of the policy or of one that it builds on."""
    policies = policies_of(file)
    state, files = State(rulebook), {policy.at: policy.file for policy in policies}
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


def _apply(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
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
    permit(policy, state, problems)
    _find_cards(policy, state, problems)


def _choose_topics(policy: PolicyRead, topics: tuple[str, ...], state: State, problems: list[Problem]) -> None:
    for name, choice in policy.text.topics.items():
        if name not in topics:
            problems.append(Problem(f"no topic is called `{name}`; there are {listed(topics)}", ("topics", name), None,
                                    nearest(name, topics), True))
        elif choice.value:
            state.left_out.pop(name, None)
            state.kept.setdefault(name, set()).add(policy.file)
        elif not choice.reason:
            problems.append(needs_reason(f"a topic is left out (`{name}`)", ("topics", name), "value: no"))
        elif state.kept.get(name, set()) <= state.below[policy.file]:
            state.left_out[name] = choice.reason


def _change_limits(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
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
            problems.append(needs_reason(said, path, f"value: {change.value}"))
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


def _add_rules(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
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


def _set_bar(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
    place, bar = SIGNAL_WORDS.index, policy.text.fails_from
    own = state.bars[policy.file] = max((state.bars[base] for base in state.bases), key=place, default=USUAL_BAR)
    if bar is None:
        return
    if place(bar.value) < place(own) and not bar.reason:
        problems.append(needs_reason(f"findings below {bar.value} would no longer fail, and {own} did",
                                      ("fails_from",), f"value: {bar.value}"))
        return
    if bar.reason and place(bar.value) < place(own):
        state.reasons["fails_from"] = bar.reason
    if not said_beside("fails_from", policy, state) or place(bar.value) >= place(state.fails_from):
        state.fails_from = bar.value
    state.bars[policy.file] = bar.value
    state.strictest_bar = max(bar.value, state.strictest_bar, key=SIGNAL_WORDS.index)


def _find_cards(policy: PolicyRead, state: State, problems: list[Problem]) -> None:
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
