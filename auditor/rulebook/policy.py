"""What a club or shop decides beside the rules: who may accept which risk, what counts, where its cards lie."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from msgspec import Struct

from auditor.plan.files import POLICY, STANDARD_INPUT

if TYPE_CHECKING:
    from auditor.rulebook.rule import Rulebook

USUAL_BAR = "CAUTION"
"""Findings count for the exit status from this signal word up, where no policy says otherwise."""


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

    found: dict[str, str | None] = {}
    for plan in plans:
        path = FilePath(os.path.abspath("." if plan == STANDARD_INPUT else plan))
        found[plan] = above(path if path.is_dir() else path.parent)
    return found


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
