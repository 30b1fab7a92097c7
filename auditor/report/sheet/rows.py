"""The rows of the sheet: a step, or a stage of one, with what it should read, where to stop, and what is told beneath."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import isinf

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.forecast import Row
from auditor.bench.prediction import GLOW_TELLS_NOTHING
from auditor.bench.state import capacitor_names
from auditor.bench.stop_limits import StopLimit, stop_limits
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.report.columns import BLANK
from auditor.report.prediction import forming_said, glow_over_time, glow_said, left_said, row_notes, said, through_lamp
from auditor.report.result import Moment, Result
from auditor.report.sheet.step_text import details, expected, way_out

NOT_PREDICTED, TELLS_NOTHING = "not predicted", "tells nothing"
NO_B_PLUS = "B+ is not predicted: the plan says too little of how the set makes it, or it is a supply without a known law."
IN_COLUMNS = frozenset({"set_voltage", "dial", "current", "lamp", "B+"})
"""The readings that have a column, so that what is read can be written under what is expected."""
ELSEWHERE = frozenset({"hold", "note"})
"""What of a step with power stands in a column or beneath its row."""
LIMITED = {"current": ("current", "current"), "set_voltage": ("set", "voltage"), "B+": ("B+", "voltage")}
SHORT_GLOW = {"a trace of red in the dark": "faint red"}
"""A word of the glow as a narrow column can hold it; the sheet says what it means."""


class Line(Struct, frozen=True):
    """One row. label: the number of the step, with which part of it where it has several; how: what belongs to doing it;
    expect: what it should show, where that is no prediction; out: what is done if it does not.

    readings: expected dial, volts at the set, current, glow and B+; nothing while no volts reach the set.
    limits: where this setting ends the attempt; also: further readings to write down; beneath: sentences.
    """

    label: str
    words: str
    how: tuple[str, ...]
    expect: str | None
    out: str | None
    hold: str
    readings: tuple[str, ...]
    limits: tuple[str, ...]
    also: tuple[str, ...]
    beneath: tuple[str, ...]

    @property
    def powered(self) -> bool:
        return bool(self.readings)


def lines(result: Result) -> tuple[Line, ...]:
    """All rows, in order. What several rows in succession would say beneath is said at the first."""
    return tuple(_lines(result))


def _lines(result: Result) -> Iterator[Line]:
    parts = Counter(moment.step.number for moment in result.moments)
    done: Counter[int] = Counter()
    told: tuple[str, ...] = ()
    for moment in result.moments:
        number = moment.step.number
        done[number] += 1
        label = f"{number}.{done[number]}" if parts[number] > 1 else str(number)
        line, told = _line(result, moment, label, told)
        yield line


def _line(result: Result, moment: Moment, label: str, told: tuple[str, ...]) -> tuple[Line, tuple[str, ...]]:
    """The row, and what could be told beneath it; told: the same of the row before, which is not said again."""
    row, step, plan = moment.row, moment.step, result.plan
    beneath = tuple(_beneath(row))
    fresh = [note for note in beneath if note not in told]
    if row.powered and step.note:
        fresh.insert(0, _sentence(f"Note: {step.note}"))
    if step.stop_if:
        fresh.append(f"Stop here as well if: {'; '.join(step.stop_if)}.")
    how = details(step, without=ELSEWHERE if row.powered else frozenset())
    line = Line(label, step.in_words(), how, expected(step), way_out(step), "", (), (), _also(step, plan), tuple(fresh))
    if row.powered:
        limits = map(_limit, stop_limits((*plan.stop_when, *step.stop_if), row.dial))
        line = replace(line, hold=_hold(step), readings=_readings(row, plan), limits=tuple(limits))
    return line, beneath


def _hold(step: Step) -> str:
    return format_quantity(step.hold, DIMENSIONS["time"]) if step.hold is not None else BLANK


def _readings(row: Row, plan: Plan) -> tuple[str, ...]:
    r = row.readings
    return (said(row.dial, "voltage"), _said(r.set_voltage, "voltage"), _said(r.current, "current"), _glow(row, plan),
            _said(r.b_plus, "voltage"))


def _glow(row: Row, plan: Plan) -> str:
    if row.readings.current is None:
        return NOT_PREDICTED if plan.has("limiter") else BLANK
    if not through_lamp(row):
        return BLANK
    if GLOW_TELLS_NOTHING in row.readings.notes:
        return TELLS_NOTHING
    return glow_said(tuple(SHORT_GLOW.get(word, word) for word in row.readings.glow))


def _said(value: Interval | None, kind: str) -> str:
    return NOT_PREDICTED if value is None or isinf(value.high) else said(value, kind)


def _limit(limit: StopLimit) -> str:
    after = f" after {limit.after}" if limit.after else ""
    column, kind = LIMITED[limit.reading]
    return f"{column} {limit.side} {said(limit.value, kind)}{after}"


def _also(step: Step, plan: Plan) -> tuple[str, ...]:
    """What else is read: an instrument, a temperature; of a step that proves several things dead, each."""
    named = () if step.verb != "prove_dead" else capacitor_names(plan) if step.each == ("all",) else step.each or ()
    return tuple(name.replace("_", " ") for name in (*named, *step.read) if name not in IN_COLUMNS)


def _beneath(row: Row) -> Iterator[str]:
    """What is told of a row, each a sentence."""
    if row.forming is not None:
        yield _sentence(forming_said(row.forming))
    if not row.powered:
        if left := left_said(row):
            yield _sentence(left)
        return
    if (why := _why_not(row)) is not None:
        yield why
    if through_lamp(row) and row.readings.glow and GLOW_TELLS_NOTHING not in row.readings.notes:
        glow = glow_over_time(row)
        if "at first" in glow:
            yield _sentence(f"Glow: {glow}")
    yield from (_sentence(note) for note in row_notes(row) if note != GLOW_TELLS_NOTHING)  # its column says so


def _why_not(row: Row) -> str | None:
    """Why something is not predicted, in few words; nothing where a note of the prediction itself says it."""
    r = row.readings
    if r.current is not None:
        return None if r.b_plus is not None else NO_B_PLUS
    if any("no reading is predicted" in note for note in r.notes):
        return None
    if row.dial is None or row.dial.is_anything or isinf(row.dial.high):
        return "No reading is predicted: the plan does not say where the dial stands."
    return "No reading is predicted: the plan does not say which lamp is in the limiter, or it is one without a known law."


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
