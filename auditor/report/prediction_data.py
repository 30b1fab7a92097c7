"""The expected readings for programs: JSON and comma-separated values, in SI units."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from auditor import __version__
from auditor.bench.forecast import Row, Start
from auditor.bench.lamp_choice import LampChoice
from auditor.logic.interval import Interval
from auditor.report.notice import CAUTIONS
from auditor.report.prediction import MEANS, row_notes, serves

READINGS = ("set_voltage", "current", "set_power", "lamp_voltage", "lamp_power", "filament_temperature", "relative_light",
            "b_plus", "source_voltage", "brush_load", "isolating_load", "direct_current", "settling_time")
"""The readings that are ranges."""


def as_json(title: str, rows: Sequence[Row], choices: Sequence[LampChoice], assumed: Sequence[str]) -> str:
    """All rows, powered or not, each reading as [low, high]; null for what cannot be said."""
    return json.dumps({
        "auditor": __version__, "title": title,
        "rows": [_record(row) for row in rows],
        "lamps": [{"power": c.power, "set_voltage": _pair(c.set_voltage), "healthy_glow": list(c.healthy_glow),
                   "short_current": c.short_current, "short_glow": c.short_glow, "most_heat": c.most_heat,
                   "serves_for": serves(c)} for c in choices],
        "assumed": list(assumed),
        "notice": [MEANS, CAUTIONS],
    }, indent=2, ensure_ascii=False)


def as_csv(rows: Sequence[Row]) -> str:
    """One line a row; low and high of each reading in columns of their own."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = ("dial", "hold", "stored_voltage", "stored_energy", "forming_current", "formed_current", *READINGS)
    writer.writerow(["step", "stage", "words", "powered", "settled",
                     *(f"{n}_{end}" for n in names for end in ("low", "high")), "glow", "notes"])
    for row in rows:
        record = _record(row)
        pairs = [value for name in names for value in (record[name] or ("", ""))]
        writer.writerow([record["step"], record["stage"], record["words"], _yes(row.powered), _yes(row.settled), *pairs,
                         " to ".join(record["glow"]), "; ".join(record["notes"])])
    return text.getvalue()


def _record(row: Row) -> dict[str, Any]:
    return {
        "step": row.step.number if row.step else None,
        "stage": row.step.stage[0] if row.step and row.step.stage else None,
        "words": row.step.in_words() if row.step else None,
        "powered": row.powered,
        "dial": _pair(row.dial), "hold": _pair(row.hold), "settled": row.settled,
        **{name: _pair(getattr(row.readings, name)) for name in READINGS},
        "glow": list(row.readings.glow),
        "at_first": None if row.start is None else _at_first(row.start),
        "stored_voltage": _pair(row.stored.voltage), "stored_energy": _pair(row.stored.energy),
        "forming_current": None if row.forming is None else _pair(row.forming.at_first),
        "formed_current": None if row.forming is None else _pair(row.forming.at_end),
        "widest": row.widest, "notes": list(row_notes(row)),
    }


def _at_first(start: Start) -> dict[str, Any]:
    return {"set_voltage": _pair(start.readings.set_voltage), "current": _pair(start.readings.current),
            "glow": list(start.readings.glow), "lasting": _pair(start.lasting)}


def _pair(value: Interval | None) -> list[float | None] | None:
    """Both ends; null for an end that is open, which JSON cannot write as a number."""
    if value is None or value.is_anything:
        return None
    return [end if abs(end) != float("inf") else None for end in (value.low, value.high)]


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"
