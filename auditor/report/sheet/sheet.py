"""The bench sheet of one plan as a page of HTML, made to be printed: it lays out what is known and computes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as FilePath

from msgspec import Struct

from auditor.bench.making_dead import MakingDead
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.plan import Plan
from auditor.report import phrases
from auditor.report.columns import BLANK
from auditor.report.page.axis import time_said
from auditor.report.page.chain import said_of
from auditor.report.page.frame import framed
from auditor.report.prediction import two_figures_up
from auditor.report.result import Result
from auditor.report.sheet.paper import Paper, page_rule
from auditor.report.sheet.rows import lines
from auditor.report.sheet.step_text import in_full, resistor
from auditor.report.style import shown

HERE = FilePath(__file__).parent
MOST_REPEATED = 260
"""Letters of the stop conditions up to which they are repeated at the head of every page; more would leave no room."""
NOT_STATED, NOT_KNOWN = "not stated", "cannot be said"


class Capacitor(Struct, frozen=True):
    """A filter capacitor at the end, in words: what it may hold, how it is emptied and after how long that is done.

    too_short: the plan does not hold it as long as that takes.
    """

    name: str
    holds: str
    through: str
    time: str
    planned: str
    alone: str
    below: str
    too_short: bool


def sheet(result: Result, paper: Paper) -> str:
    """The whole sheet as one page of HTML."""
    plan = result.plan
    fingerprint = plan_fingerprint(plan)
    conditions = "; ".join(plan.stop_when)
    return framed(
        "sheet.html", str(HERE / "sheet.css"), page_rule(paper, shown(plan.header.title), fingerprint),
        result=result, plan=plan, fingerprint=fingerprint, phrases=phrases, lines=lines(result), about_set=tuple(_set(plan)),
        chain=tuple(_chain(plan)), people=_people(plan), then=tuple(in_full(step) for step in plan.stop_then),
        repeated=conditions if len(conditions) <= MOST_REPEATED else "",
        open_rules=phrases.open_until_then(n.finding for n in result.waiting),
        capacitors=tuple(map(_capacitor, result.making_dead)), alone=any(dead.alone for dead in result.making_dead),
        none_here=BLANK,
        picture_tube="picture tube" in (plan.set.special_parts or ()),
        soonest=time_said(result.moments[-1].ends) if result.moments else None)


def _set(plan: Plan) -> Iterator[str]:
    """What one looks up at the bench, each in a few words."""
    of = plan.set
    yield of.description or "set not described"
    yield f"chassis: {of.chassis or NOT_STATED}"
    yield f"rated {_quantity(of.rated_voltage, 'voltage')}, {_quantity(of.rated_power, 'power')}"
    if of.fuse is not None:
        rating = _quantity(of.fuse.rating, "current") if of.fuse.rating is not None else ""
        yield " ".join(filter(None, ("fuse", rating, of.fuse.kind))) if rating or of.fuse.kind else "no fuse"
    yield f"B+ {_quantity(of.b_plus, 'voltage')}, peak {_quantity(of.b_plus_peak, 'voltage')}"
    if of.special_parts:
        yield f"takes care: {', '.join(of.special_parts)}"


def _chain(plan: Plan) -> Iterator[str]:
    """Every element from the wall to the set, with what is stated of it."""
    for element in plan.chain:
        stated = ", ".join(said_of(element.record, element.kind)) if element.kind != "set" else ""
        yield element.kind.replace("_", " ") + (f" ({stated})" if stated else "")


def _people(plan: Plan) -> str:
    people = plan.bench.people
    second = people.second_person if people is not None else None
    return f"second person: {second or NOT_STATED}"


def _capacitor(dead: MakingDead) -> Capacitor:
    return Capacitor(
        dead.name,
        NOT_KNOWN if dead.holds is None else "by calculation nothing" if dead.holds <= 0 else _up(dead.holds, "voltage"),
        "the plan does not discharge it" if dead.through is None and dead.planned is None
        else "resistor not stated" if dead.through is None else resistor(dead.through),
        NOT_KNOWN if dead.takes is None else _up(dead.takes, "time"),
        BLANK if dead.planned is None else format_quantity(dead.planned, DIMENSIONS["time"]),
        NOT_KNOWN if dead.alone is None else _up(dead.alone, "time"),
        "the plan does not say" if dead.below is None else f"below {_quantity(Interval.exactly(dead.below), 'voltage')}",
        dead.takes is not None and dead.planned is not None and dead.planned.low < dead.takes)


def _up(value: float, kind: str) -> str:
    """A number to two figures, rounded up: nobody is told of less than may be there, or to wait for less."""
    return format_quantity(Interval.exactly(two_figures_up(value) if value > 0 else 0.0), DIMENSIONS[kind])


def _quantity(value: Interval | None, kind: str) -> str:
    return NOT_STATED if value is None else format_quantity(value, DIMENSIONS[kind])
