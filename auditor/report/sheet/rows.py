"""The rows of the sheet: a step, or a stage of one, with what it should read, where to stop, and what is told beneath."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import isinf

from auditor.bench.forecast import Row
from auditor.bench.prediction import GLOW_TELLS_NOTHING
from auditor.bench.stop_limits import StopLimit, stop_limits
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.steps import Step
from auditor.report.columns import BLANK
from auditor.report.prediction import forming_said, glow_over_time, left_said, row_notes, said, through_lamp
from auditor.report.result import Moment, Result
from auditor.report.sheet.step_text import details, expected, way_out

NOT_PREDICTED = "not predicted"
IN_COLUMNS = frozenset({"set_voltage", "dial", "current", "lamp", "B+"})
"""The readings that have a column, so that what is read can be written under what is expected."""
LIMIT_KINDS = {"current": "current", "set": "voltage", "B+": "voltage"}
SHORT_GLOW = {"a trace of red in the dark": "faint red"}
"""A word of the glow as a narrow column can hold it; the sheet says what it means."""


@dataclass(frozen=True, slots=True)
class Line:
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
    row, step = moment.row, moment.step
    here = tuple(_beneath(row))
    stops = stop_limits((*result.plan.stop_when, *step.stop_if), row.dial) if row.powered else ()
    own = (f"Stop here as well if: {'; '.join(step.stop_if)}.",) if step.stop_if else ()
    line = Line(
        label, step.in_words(), details(step, without=frozenset({"hold"}) if row.powered else frozenset()), expected(step),
        way_out(step) if step.expect is None or not step.expect.predicted else _if_not_predicted(step),
        _hold(step) if row.powered else "", _readings(row) if row.powered else (), tuple(map(_limit, stops)), _also(step),
        (*(note for note in here if note not in told), *own))
    return line, here


def _if_not_predicted(step: Step) -> str | None:
    """A reading that is not as predicted ends the attempt, whether the plan says so or only asks for it."""
    return way_out(step) if step.otherwise is not None else None


def _hold(step: Step) -> str:
    return format_quantity(step.hold, DIMENSIONS["time"]) if step.hold is not None else BLANK


def _readings(row: Row) -> tuple[str, ...]:
    r = row.readings
    glow = ", ".join(SHORT_GLOW.get(word, word) for word in _ends(r.glow)).replace(", ", " to ") if through_lamp(row) else BLANK
    if r.current is None:
        glow = NOT_PREDICTED
    elif through_lamp(row) and GLOW_TELLS_NOTHING in r.notes:
        glow = "tells nothing"
    return (said(row.dial, "voltage"), _volts(r.set_voltage), _said(r.current, "current"), glow, _said(r.b_plus, "voltage"))


def _ends(words: tuple[str, ...]) -> tuple[str, ...]:
    return words if len(words) < 2 else (words[0], words[-1])


def _volts(volts: Interval) -> str:
    return NOT_PREDICTED if isinf(volts.high) else said(volts, "voltage")


def _said(value: Interval | None, kind: str) -> str:
    return NOT_PREDICTED if value is None or isinf(value.high) else said(value, kind)


def _limit(limit: StopLimit) -> str:
    after = f" after {limit.after}" if limit.after else ""
    return f"{limit.reading} {limit.side} {said(limit.value, LIMIT_KINDS[limit.reading])}{after}"


def _also(step: Step) -> tuple[str, ...]:
    """What else is read: an instrument, a temperature; of a step that proves several things dead, each."""
    named = step.each if step.verb == "prove_dead" and step.each is not None and step.each != ("all",) else ()
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
    yield from (_sentence(note) for note in row_notes(row))


def _why_not(row: Row) -> str | None:
    """Why something is not predicted, in few words; nothing where a note of the prediction itself says it."""
    r = row.readings
    if r.current is not None:
        return None if r.b_plus is not None else "B+ is not predicted: the plan says too little of how this set makes it."
    if any("no reading is predicted" in note for note in r.notes):
        return None
    if row.dial is None or row.dial.is_anything or isinf(row.dial.high):
        return "No reading is predicted: the plan does not say where the dial stands."
    return "No reading is predicted: the plan does not say which lamp is in the limiter, or it is one without a known law."


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
