"""The expected readings: a table for a person, JSON and comma-separated values for programs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, isinf, log10
from typing import Any

from auditor import __version__
from auditor.bench.forecast import LampChoice, Row
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.logic.truth import Truth
from auditor.report.notice import CAUTIONS
from auditor.report.style import Style, shown

HEADINGS = ("step", "dial", "set", "current", "lamp", "glow", "B+", "settles")
UNITS = {"voltage": "V", "current": "A", "power": "W", "time": "s"}
MEANS = (
    "These are the readings of a healthy set when all has settled, as ranges over wall, lamp and set. A reading "
    "outside its range means that something is not as the plan says: stop and find out what."
)
KINDS = {"set_voltage": "voltage", "current": "current", "set_power": "power", "lamp_voltage": "voltage",
         "lamp_power": "power", "filament_temperature": "number", "relative_light": "number", "b_plus": "voltage",
         "source_voltage": "voltage", "brush_load": "number", "isolating_load": "number", "direct_current": "current",
         "settling_time": "time"}


def table_lines(rows: Sequence[Row], style: Style) -> Iterator[str]:
    """One line a powered step with its notes below; the others are passed over."""
    powered = [row for row in rows if row.powered]
    if not powered:
        yield "No step powers the set, so there is nothing to read."
        return
    table = [HEADINGS, *(_cells(row) for row in powered)]
    widths = [max(len(line[i]) for line in table) for i in range(len(HEADINGS))]
    yield style.strong(_line(HEADINGS, widths))
    last: str | None = None
    for row in powered:
        words = f"step {row.step.number}: {row.step.in_words()}" if row.step else None
        if words and words != last:
            hold = f", hold {_said(row.hold, 'time')}" if row.hold else ""
            yield style.faint(style.wrapped(shown(words + hold), rest="  "))
            last = words
        yield _line(_cells(row), widths)
        for note in _notes(row):
            yield style.wrapped(note, first="      ", rest="      ")
    yield ""
    yield style.wrapped(MEANS)
    yield style.wrapped(CAUTIONS)


def _cells(row: Row) -> tuple[str, ...]:
    r = row.readings
    lamp = f"{_said(r.lamp_voltage, 'voltage')}, {_said(r.lamp_power, 'power')}" if r.lamp_power else "-"
    if r.lamp_power == Interval.exactly(0.0):
        lamp = "-"
    return (str(row.step.number) if row.step else "-", _said(row.dial, "voltage"), _said(r.set_voltage, "voltage"),
            _said(r.current, "current"), lamp, "-" if lamp == "-" else _glow(r.glow), _said(r.b_plus, "voltage"),
            _said(r.settling_time, "time"))


def _notes(row: Row) -> Iterator[str]:
    r = row.readings
    yield from r.notes
    for load, what in ((r.isolating_load, "the isolating transformer"), (r.brush_load, "the autotransformer's brush")):
        if load is not None and load.high > 1.0:
            yield f"{what} may carry {100 * load.high:.0f} % of its rating"


def _glow(words: tuple[str, ...]) -> str:
    return "-" if not words else words[0] if len(words) == 1 else f"{words[0]} to {words[-1]}"


def _said(value: Interval | None, kind: str) -> str:
    """The range as a person reads a meter: two figures of its high end, rounded outwards, one unit for both ends."""
    if value is None or value.is_anything:
        return "-"
    if value.low == value.high or isinf(value.high):
        return format_quantity(value, DIMENSIONS[kind])
    unit, size = ("mA", 1e-3) if kind == "current" and value.high < 0.95 else (UNITS[kind], 1.0)
    low, high = value.low / size, value.high / size
    places = 1 - floor(log10(high))
    low, high = floor(low * 10**places + 1e-9) / 10**places, ceil(high * 10**places - 1e-9) / 10**places
    return f"{low:g} {unit}" if low == high else f"{low:g}..{high:g} {unit}"


def _line(cells: Iterable[str], widths: list[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def choice_lines(choices: Sequence[LampChoice], style: Style) -> Iterator[str]:
    """What every common size of lamp would do for the set at its rated voltage."""
    if not choices:
        yield style.wrapped("The lamp can be chosen once the plan states `rated_power` and `rated_voltage` of the set.")
        return
    headings = ("lamp", "healthy set gets", "healthy glow", "short draws", "short glow", "soft fault gets", "serves for")
    table = [headings, *(
        (f"{c.power:g} W", _said(c.set_voltage, "voltage"), _glow(c.healthy_glow), f"{c.short_current:.2f} A", c.short_glow,
         f"up to {c.most_heat:.0f} W", _serves(c)) for c in choices)]
    widths = [max(len(line[i]) for line in table) for i in range(len(headings))]
    yield style.strong(_line(headings, widths))
    for line in table[1:]:
        yield _line(line, widths)


def _serves(choice: LampChoice) -> str:
    serves = [name for name, truth in (("first look", choice.first_look), ("running", choice.running))
              if truth is Truth.TRUE]
    return ", ".join(serves) or "-"


def as_json(title: str, rows: Sequence[Row], choices: Sequence[LampChoice]) -> str:
    """All rows, powered or not, each reading as [low, high] in SI units."""
    return json.dumps({
        "auditor": __version__, "title": title,
        "rows": [_record(row) for row in rows],
        "lamps": [{"power": c.power, "set_voltage": _pair(c.set_voltage), "healthy_glow": list(c.healthy_glow),
                   "short_current": c.short_current, "short_glow": c.short_glow, "most_heat": c.most_heat,
                   "serves_for": _serves(c)} for c in choices],
        "notice": [MEANS, CAUTIONS],
    }, indent=2, ensure_ascii=False)


def _record(row: Row) -> dict[str, Any]:
    return {
        "step": row.step.number if row.step else None,
        "words": row.step.in_words() if row.step else None,
        "powered": row.powered,
        "dial": _pair(row.dial), "hold": _pair(row.hold), "stored_energy": _pair(row.stored_energy),
        **{name: _pair(getattr(row.readings, name)) for name in KINDS},
        "glow": list(row.readings.glow), "notes": list(_notes(row)),
    }


def _pair(value: Interval | None) -> list[float] | None:
    return None if value is None or value.is_anything else [value.low, value.high]


def as_csv(rows: Sequence[Row]) -> str:
    """One line a row; low and high of each reading in columns of their own, in SI units."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = ("dial", "hold", "stored_energy", *KINDS)
    writer.writerow(["step", "words", "powered", *(f"{n}_{end}" for n in names for end in ("low", "high")), "glow"])
    for row in rows:
        record = _record(row)
        pairs = [value for name in names for value in (record[name] or ("", ""))]
        writer.writerow([record["step"], record["words"], "yes" if row.powered else "no", *pairs,
                         " to ".join(record["glow"])])
    return text.getvalue()
