"""All that is known of one plan, in one place: its audit, what each step reads, when it comes, and what every fault does.

Whoever writes a report lays this out and computes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from msgspec import Struct

from auditor.bench.described import taken_for_granted
from auditor.bench.facts import replayed
from auditor.bench.forecast import Row, forecast
from auditor.bench.making_dead import MakingDead, making_dead
from auditor.plan.chain import DIALS
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.report.phrases import rules_in, waits
from auditor.review.finding import Audit, Finding
from auditor.review.run import Reviewed
from auditor.whatif.whatif import WhatIf, what_if

STEP_WORKS_ON = {
    **dict.fromkeys(("set_dial", "raise", "bring_set_to"), DIALS),
    **dict.fromkeys(("set_bypass", "change_lamp", "fit_lamp", "remove_lamp"), ("limiter",)),
}
"""The elements of the chain that a verb may be about, of which a plan has one."""
NAMES_ITS_ELEMENT = frozenset({"switch_on", "switch_off", "plug_in", "unplug", "prove"})
"""Verbs whose object is an element of the chain, or is said of one."""
SAID_OF = {"isolation": "isolating_transformer", "bench": "outlet"}
"""What such an object means where it is no element itself."""


class Moment(Struct, frozen=True):
    """A step as written, with its stages apart: what is read at its end, and when that is at the soonest [s]."""

    row: Row
    step: Step
    begins: float
    ends: float


class Numbered(Struct, frozen=True):
    """A finding with the number that it has in the report; the first line of the plan that it is about; the place in the
    chain of the element that it is about or that its step works on, None where there is none."""

    number: int
    finding: Finding
    line: int
    element: int | None


class Result(Struct, frozen=True, dict=True):
    """Everything about one plan that was asked for.

    moments: the plan as written, in order; faults: None where there is nothing to play them through, or where they were
    not asked for; making_dead: each filter capacitor, wherever the attempt ends; assumed: all that review, readings and
    faults take for granted, each in a sentence.
    """

    reviewed: Reviewed
    audit: Audit
    moments: tuple[Moment, ...]
    faults: WhatIf | None
    assumed: tuple[str, ...]
    making_dead: tuple[MakingDead, ...] = ()

    @property
    def plan(self) -> Plan:
        return self.audit.plan

    @cached_property
    def findings(self) -> tuple[Numbered, ...]:
        """All findings, those that stand before those that wait for an answer, the most serious first."""
        ordered = sorted(self.audit.findings, key=waits)
        return tuple(Numbered(number, finding, finding.place.line, _element(finding, self.plan))
                     for number, finding in enumerate(ordered, start=1))

    @property
    def standing(self) -> tuple[Numbered, ...]:
        """The findings that no answer is needed for."""
        return tuple(n for n in self.findings if not waits(n.finding))

    @property
    def waiting(self) -> tuple[Numbered, ...]:
        """The findings that wait for an answer."""
        return tuple(n for n in self.findings if waits(n.finding))

    @property
    def rules_waiting(self) -> int:
        """How many rules wait for an answer."""
        return rules_in(n.finding for n in self.waiting)


def collected(reviewed: Reviewed, audit: Audit, *, faults: bool = True) -> Result:
    """Everything about a plan that has been reviewed; to play all its faults takes about a second."""
    plan = audit.plan
    assumed = tuple(dict.fromkeys((*audit.assumptions, *taken_for_granted(plan))))
    if not plan.steps:
        return Result(reviewed, audit, (), None, assumed)
    played = replayed(plan)
    rows = forecast(played.trace)
    exits = [sample for sample in played.trace.main if sample.exit]
    moments: list[Moment] = []
    now = 0.0
    for row, sample in zip(rows, exits, strict=True):
        ends = now + max(sample.elapsed.low, 0.0)
        moments.append(Moment(row, sample.step, now, ends))
        now = ends
    return Result(reviewed, audit, tuple(moments), what_if(played) if faults else None, assumed,
                  making_dead(played.trace, rows))


def is_at(finding: Finding, step: Step) -> bool:
    """Whether a finding is about this step of the plan as written, or at it among others."""
    return (finding.branch is None and step.number in (finding.step, *finding.also)
            and finding.path[:1] == step.path[:1])


def _element(finding: Finding, plan: Plan) -> int | None:
    """Where in the chain the element stands that a finding is about, that it asks about, or that its step works on."""
    if waits(finding):
        return _first((_asked_about(missing.path) for missing in finding.missing), plan)
    match finding.path:
        case ("bench", "chain", int(index), *_):
            return index
        case ("set", *_):
            return plan.position("set")
    step = next((step for step in plan.steps if is_at(finding, step)), None)
    if step is None:
        return None
    kinds = STEP_WORKS_ON.get(step.verb, ())
    if step.verb in NAMES_ITS_ELEMENT and step.what is not None:
        kinds = (SAID_OF.get(step.what, step.what),)
    return _first(kinds, plan)


def _first(kinds: Iterable[str], plan: Plan) -> int | None:
    """Where the first of these kinds of element stands that the chain has."""
    return next((place for kind in kinds if (place := plan.position(kind)) is not None), None)


def _asked_about(path: str) -> str:
    """The kind of element that a fact of the plan belongs to: `bench.chain.limiter.bypass` to the limiter."""
    parts = path.split(".")
    return parts[2] if parts[:2] == ["bench", "chain"] and len(parts) > 2 else parts[0]
