"""What tells a finding apart from others in the same plan, through edits that have nothing to do with it.

What is broken is known by its rule, by what it is about, and by where it begins: the step named by what it does and to
what, without its number, its line and its amounts. So it stays the same when steps are put in before it, when lines
move, and when comments or numbers change. What cannot be told is not told of any step, so the rule and what it is about
are enough.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256

from auditor.plan.place import Path
from auditor.plan.steps import Step
from auditor.review.finding import Outcome

DIGITS = 16
"""Hexadecimal digits of a fingerprint."""
NAMED_BY = ("verb", "what", "measures", "across", "instrument", "state", "at", "doing", "where", "each", "inside")
"""The fields that say what a step does and to what; all others say how much, how long, or what to look for."""


def fingerprints(rule: str, outcome: Outcome, items: Sequence[str], path: Path, steps: Iterable[Step]) -> tuple[str, ...]:
    """One fingerprint for each item and each stretch of steps that the finding is about; at least one.

    rule: its first name, which it keeps when it is renamed.

    items: the names of what it is about; none where it is about the plan. steps: those at which the rule fails, in
    the order in which they are done; none where the finding is about a part of the plan, which `path` then names.
    """
    part = ".".join(key for key in path if isinstance(key, str))
    places = list(_numbered(map(_named, _stretches(steps)))) or [part]
    if outcome is Outcome.UNDETERMINED:
        places = [""]
    return tuple(_digest(rule, outcome.value, item, place) for place in places for item in items or [""])


def _stretches(steps: Iterable[Step]) -> Iterator[Step]:
    """The first step of each unbroken row: a state that lasts over many steps is one thing, wherever it ends."""
    before: Step | None = None
    for step in steps:
        if before is None or not _follows(step, before):
            yield step
        before = step


def _follows(step: Step, before: Step) -> bool:
    return step.path[:1] == before.path[:1] and 0 <= step.number - before.number <= 1


def _named(step: Step) -> str:
    """The step by what it does; the stages of a `raise` are one step."""
    staged = {"verb": "raise"} if step.stage else {}
    said = [str(staged.get(name, getattr(step, name))) for name in NAMED_BY if getattr(step, name) not in (None, ())]
    return " ".join((*(key for key in step.path[:-1] if isinstance(key, str)), *said))


def _numbered(places: Iterable[str]) -> Iterator[str]:
    """The same place a second time is another place."""
    seen: Counter[str] = Counter()
    for place in places:
        seen[place] += 1
        yield f"{place} {seen[place]}"


def _digest(*parts: str) -> str:
    return sha256("\n".join(parts).encode("utf-8", "surrogatepass")).hexdigest()[:DIGITS]
