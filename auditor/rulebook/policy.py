"""What a club or shop decides beside the rules: who may accept which risk, what counts, where its cards lie."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from auditor.plan.files import POLICY, STANDARD_INPUT

if TYPE_CHECKING:
    from auditor.rulebook.rule import Rulebook

USUAL_BAR = "CAUTION"
"""Findings count for the exit status from this signal word up, where no policy says otherwise."""
MEANT = re.compile(r"power[-_ ]?up[-_ ]?policy(\.(yaml|yml|txt))+", re.IGNORECASE)
"""The name of a file that was meant to be a policy, but for its spelling."""


class Permission(Struct, frozen=True):
    """Who may accept which risks, and for how long.

    who: names as a plan writes them, empty for everybody; rules: by name; up_to: every rule of this signal word or a less
    serious one. longest: seconds from the day of acceptance to the last day, None without a bound; written: the same as
    the policy writes it.
    """

    who: tuple[str, ...]
    rules: tuple[str, ...]
    up_to: str | None
    longest: float | None
    written: str | None


class Policy(Struct, frozen=True):
    """A policy in force.

    file: the one that was asked for or found; files: it and those that it builds on, the deepest first.
    fails_from: findings count from this signal word up.
    accepting: who may accept what; None where the policy does not say, so that anybody may accept all but a DANGER.
    left_out: the names of rules, present and former, that stand in topics which are not audited.
    weakens: every way in which it asks for less than the rules that it starts from, in words, with the reason.
    cards: the folder in which bench cards lie, beside those that lie with a plan.
    """

    file: str
    title: str
    files: tuple[str, ...] = ()
    fails_from: str = USUAL_BAR
    accepting: tuple[Permission, ...] | None = None
    left_out: frozenset[str] = frozenset()
    weakens: tuple[str, ...] = ()
    cards: str | None = None


def policies_above(plans: Iterable[str]) -> dict[str, str | None]:
    """For each plan the policy nearest above it: in its folder, or in the next one above that has one; None where none is.

    For standard input, the folder in which the command runs counts.
    """
    known: dict[FilePath, str | None] = {}

    def above(folder: FilePath) -> str | None:
        if folder not in known:
            here = folder / POLICY
            top = folder.parent == folder
            known[folder] = shown(here) if os.path.lexists(here) else None if top else above(folder.parent)
        return known[folder]

    return {plan: above(_folder(plan)) for plan in plans}


def misnamed(plan: str) -> tuple[str, ...]:
    """The files in the folder of a plan, or in one above it, that are a policy but for their name, the nearest first.

    No folder above the nearest one with a policy is looked at, nor one that cannot be listed.
    """
    found: list[str] = []
    for folder in (_folder(plan), *_folder(plan).parents):
        policy = folder / POLICY
        try:
            names = sorted(name for name in os.listdir(folder) if name != POLICY and MEANT.fullmatch(name))
            found += [shown(folder / name) for name in names
                      if not policy.exists() or not (folder / name).samefile(policy)]  # one file where letters are all one
        except OSError:
            continue
        if os.path.lexists(policy):
            break
    return tuple(found)


def _folder(plan: str) -> FilePath:
    """The folder in which a plan lies, or that it is."""
    path = FilePath(os.path.abspath("." if plan == STANDARD_INPUT else plan))
    return path if path.is_dir() else path.parent


def rules_for(shipped: Rulebook, plans: Iterable[str], asked_for: str | None) -> dict[str, Rulebook]:
    """For each plan the rules in force: under the policy that is asked for, else under the one nearest above the plan.

    Every report tells which policy is passed over because another is asked for, and which file is none but for its name.
    Raises BadRules where a policy cannot be used.
    """
    plans = tuple(plans)
    nearest = policies_above(plans)
    if asked_for is None:
        rulebooks = under_policies(shipped, nearest)
    else:
        from auditor.rulebook.in_force import under

        passed_over = dict.fromkeys(file for file in nearest.values() if file is not None)
        rulebooks = dict.fromkeys(plans, under(shipped, asked_for, tuple(passed_over)))
    return _noted(rulebooks)


def _noted(rulebooks: dict[str, Rulebook]) -> dict[str, Rulebook]:
    """The rules for each plan, with a note where a file beside or above it is no policy for its name alone."""
    folders: dict[FilePath, tuple[str, ...]] = {}
    known: dict[tuple[int, tuple[str, ...]], Rulebook] = {}
    for plan, rulebook in rulebooks.items():
        folder = _folder(plan)
        files = folders[folder] if folder in folders else folders.setdefault(folder, misnamed(plan))
        if files:
            notes = tuple(f"The file {file} is no policy, for one is called `{POLICY}`: nothing that it asks for counts"
                          " here." for file in files)
            rulebooks[plan] = known.setdefault((id(rulebook), files), replace(rulebook, notes=notes))
    return rulebooks


def under_policies(shipped: Rulebook, by_plan: Mapping[str, str | None]) -> dict[str, Rulebook]:
    """For each plan the rules in force under its policy; the shipped ones where it has none.

    Raises BadRules where any of the policies cannot be used: no plan is then audited under a weaker one.
    """
    files = {file for file in by_plan.values() if file is not None}
    if not files:
        return dict.fromkeys(by_plan, shipped)
    from auditor.rulebook.in_force import under

    by_policy: dict[str | None, Rulebook] = {None: shipped, **{file: under(shipped, file) for file in sorted(files)}}
    return {plan: by_policy[file] for plan, file in by_plan.items()}


def shown(file: FilePath) -> str:
    """A path as a report prints it: from where the command runs, if the file lies there or below."""
    here = FilePath.cwd()
    return (file.relative_to(here) if file.is_relative_to(here) else file).as_posix()
