"""The expected readings as a table for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import ceil, floor, isinf, log10

from auditor.bench.forecast import Row
from auditor.bench.forming import Forming
from auditor.bench.lamp_choice import LampChoice
from auditor.bench.prediction import GLOW_TELLS_NOTHING
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.logic.truth import Truth
from auditor.report.columns import BLANK, Column, Table, fitted
from auditor.report.notice import CAUTIONS
from auditor.report.style import Style, shown

UNITS = {"voltage": "V", "current": "A", "power": "W", "time": "s", "energy": "J"}
SMALL = {"current": "mA", "energy": "mJ"}
NOTHING = Interval.exactly(0.0)
INDENT = "      "
LEAST = 1.0
"""Volts below which a charge is not worth a number, for what comes back by itself is more [V]. A choice."""
MEANS = (
    "These are the readings of a healthy set at the end of each hold, as ranges over wall, lamp and set. A reading "
    "outside its range means that something is not as the plan says: stop and find out what. Times to settle are for full "
    "volts; low on the dial heaters take longer. `stored` is in all filter capacitors together; a load is in percent of the "
    "rating of the isolating transformer or of the autotransformer's brush."
)
CHOICE_MEANS = (
    "All at the rated voltage of the set. `set gets` is what reaches a healthy set; `short draws` is what a dead short is "
    "held to; `soft fault gets` is the most heat that a fault of the worst resistance can receive. A lamp for the first "
    "look is of about the watts of the set; one for running has at least twice as many."
)
NOT_KNOWN = ("off: what its capacitors hold cannot be said unless the plan states both `filter_capacitors:` and `B+:`; "
             "take them as charged until they are proved dead")


def said(value: Interval | None, kind: str) -> str:
    """The range as a person reads a meter: two figures of its high end, rounded outwards, one unit for both ends."""
    if value is None or value.is_anything:
        return BLANK
    if value.low == value.high or isinf(value.high):
        return format_quantity(value, DIMENSIONS[kind])
    small = kind in SMALL and value.high < 0.095 * (10 if kind == "current" else 1)
    unit, size = (SMALL[kind], 1e-3) if small else (UNITS[kind], 1.0)
    low, high = value.low / size, value.high / size
    places = 1 - floor(log10(high))
    low, high = floor(low * 10**places + 1e-9) / 10**places, ceil(high * 10**places - 1e-9) / 10**places
    return f"{low:g} {unit}" if low == high else f"{low:g}..{high:g} {unit}"


def glow_said(words: tuple[str, ...]) -> str:
    """The words that fit, from the darkest to the brightest."""
    return BLANK if not words else words[0] if len(words) == 1 else f"{words[0]} to {words[-1]}"


def through_lamp(row: Row) -> bool:
    """Whether a lamp may carry the current of this row."""
    return row.readings.lamp_power is not None and row.readings.lamp_power != NOTHING


def _step(row: Row) -> str:
    return BLANK if row.step is None else str(row.step.number)


def _lamp(row: Row, reading: Interval | None, kind: str) -> str:
    return said(reading, kind) if through_lamp(row) else BLANK


def _hold(row: Row) -> str:
    return BLANK if row.hold is None else format_quantity(row.hold, DIMENSIONS["time"])


def _stored(row: Row) -> str:
    energy, volts = row.stored.energy, row.stored.voltage
    return BLANK if volts is None or energy is None or volts.high < LEAST else said(energy, "energy")


def _load(row: Row) -> str:
    """Of the isolating transformer and the autotransformer's brush, where their ratings are stated."""
    loads = (("transformer", row.readings.isolating_load), ("brush", row.readings.brush_load))
    return ", ".join(f"{what} {_percent(load)}" for what, load in loads if load is not None and load != NOTHING) or BLANK


def _percent(load: Interval) -> str:
    low, high = floor(100 * load.low), ceil(100 * load.high - 1e-9)
    return f"{high} %" if low == high else f"{low}..{high} %"


COLUMNS: tuple[Column[Row], ...] = (
    Column("step", _step),
    Column("dial", lambda r: said(r.dial, "voltage")),
    Column("set", lambda r: said(r.readings.set_voltage, "voltage")),
    Column("current", lambda r: said(r.readings.current, "current")),
    Column("lamp", lambda r: _lamp(r, r.readings.lamp_voltage, "voltage"), "{} across the lamp"),
    Column("B+", lambda r: said(r.readings.b_plus, "voltage"), "B+ {}"),
    Column("settles", lambda r: said(r.readings.settling_time, "time"), "settles in {}"),
    Column("hold", _hold, "hold {}"),
    Column("lamp heat", lambda r: _lamp(r, r.readings.lamp_power, "power"), "lamp heat {}"),
    Column("stored", lambda r: _stored(r), "stored {}"),
    Column("load", lambda r: _load(r)),
)
"""In the order in which they find room; the first four always stand in the table."""
ALWAYS = 4


def table_lines(rows: Sequence[Row], assumed: Sequence[str], style: Style) -> Iterator[str]:
    """A line a powered step, with more and its notes below; then what the set still holds while it is off.

    assumed: what the prediction takes for granted, each in a sentence.
    """
    powered = [row for row in rows if row.powered]
    table = fitted(COLUMNS, ALWAYS, powered, style.width)
    if not powered:
        rows = [row for row in rows if row.forming is not None]
        yield style.wrapped("No step powers the set: there is only what its capacitors draw while they form." if rows
                            else "No step powers the set, so there is nothing to read.")
    else:
        yield style.strong(table.heading())
    notes: tuple[str, ...] = ()
    charge = ""
    for _, group in groupby(rows, key=_written):
        same_step = list(group)
        title = _title(same_step)
        for row in same_step:
            text = "" if row.powered else left_said(row)
            forms = "" if row.forming is None else forming_said(row.forming)
            if (row.powered or forms or text not in ("", charge)) and title:
                yield style.faint(style.wrapped(title, rest="  "))
                title = ""
            if forms:
                yield style.wrapped(forms, first=INDENT)
            if not row.powered:
                if text not in ("", charge):
                    yield style.wrapped(text, first=INDENT)
                charge, notes = text, ()
                continue
            charge = ""
            yield table.line(row)
            if below := "; ".join(_below(row, table)):
                yield style.wrapped(below, first=INDENT)
            fresh, notes = [note for note in _notes(row) if note not in notes], tuple(_notes(row))
            for note in fresh:
                yield style.wrapped(f"Note: {note}.", first=INDENT)
    if powered:
        yield ""
        yield style.wrapped(MEANS)
        yield from (style.wrapped(line) for line in _widest(powered))
        yield from (style.faint(style.wrapped(line, first="  Assumed: ", rest="    ")) for line in assumed)
    yield style.wrapped(CAUTIONS)


def _written(row: Row) -> object:
    """What is the same for all stages of one step as written, in the plan or on its card."""
    return None if row.step is None else (row.step.number, row.step.path, row.step.card_line)


def forming_said(forming: Forming) -> str:
    """What a meter in the lead of a capacitor shows while it forms, in words."""
    words = f"forming: at most {_milliamperes(forming.at_first.high)} at first, falling"
    if forming.at_end is not None:
        words += f"; a good capacitor ends at {_milliamperes(forming.at_end.high)} or less"
    if forming.too_much:
        words += (f"; switched straight on, {_milliamperes(forming.at_once)} would flow: raise the voltage so slowly that "
                  f"it stays below {_milliamperes(forming.at_first.high)}, or take a larger resistor")
    return words


def _milliamperes(current: float) -> str:
    return f"{two_figures_up(current / 1e-3):g} mA"


def _title(rows: Sequence[Row]) -> str:
    """The step in words, once for all its stages."""
    step = rows[0].step
    if step is None:
        return ""
    last = rows[-1].step
    words = step.in_words()
    if step.stage is not None and last is not None and last.to is not None:
        words = f"raise the dial to {format_quantity(last.to, DIMENSIONS['voltage'])} in {len(rows)} stages"
    return shown(f"step {step.number}: {words}")


def _below(row: Row, table: Table[Row]) -> Iterator[str]:
    """What found no room in the table, and what is said rather than tabled."""
    r = row.readings
    if through_lamp(row) and r.glow:
        if GLOW_TELLS_NOTHING in r.notes:
            yield f"{glow_said(r.glow)}, which tells nothing so low on the dial: compare set and dial"
        else:
            yield glow_over_time(row)
    elif row.start is not None and r.current is not None:
        first = row.start.readings.current
        if first is not None and first.high > 1.2 * r.current.high and row.start.lasting.low >= 1.0:
            yield f"{said(first, 'current')} at first, for {said(row.start.lasting, 'time')}"
    yield from table.below(row)


def glow_over_time(row: Row) -> str:
    """The glow in words, with the flash where power comes on."""
    at_end = glow_said(row.readings.glow)
    first = row.start.readings.glow if row.start is not None else ()
    if row.start is None or not first or first[-1] == row.readings.glow[-1] or first == row.readings.glow:
        return at_end
    flash = glow_said(first)
    lasting = row.start.lasting
    time = f"under {lasting.high:g} s" if lasting.low < 1.0 else said(lasting, "time")
    return f"{flash} at first, for {time}, then {at_end}"


def row_notes(row: Row) -> Iterator[str]:
    """All that has to be said of a row, in words."""
    r = row.readings
    yield from r.notes
    if row.conducts is not None:
        yield ("B+ comes late and with a jump: the rectifier tube has to be hot first, which takes "
               f"{said(row.conducts, 'time')} at full volts and longer below")
    if row.unformed is not None:
        names, leakage = ", ".join(row.unformed.names), row.unformed.leakage
        formed = f"; formed, they draw {_milliamperes(leakage)} of B+ or less" if leakage is not None else ""
        yield (f"{names}: electrolytics that form in the set draw more at first, and current and B+ creep until they have"
               f"{formed}. A current that stays high or rises, or a can that warms, means power off")
    if not row.settled and r.settling_time is not None:
        hold = f"the hold of {_hold(row)} ends" if row.hold is not None else "without a hold it is read"
        yield (f"{hold} before the set is sure to have settled ({said(r.settling_time, 'time')}), so the ranges reach from "
               "cold to settled")
    for load, what in ((r.isolating_load, "the isolating transformer"), (r.brush_load, "the autotransformer's brush")):
        if load is not None and load.high > 1.0:
            yield f"{what} may carry {100 * load.high:.0f} % of its rating"


def _notes(row: Row) -> Iterator[str]:
    return (note for note in row_notes(row) if note != GLOW_TELLS_NOTHING)


def left_said(row: Row) -> str:
    """What the set holds while it is off, in words; nothing where it surely holds nothing."""
    volts, energy = row.stored.voltage, row.stored.energy
    if volts is None:
        return NOT_KNOWN
    if volts.high <= 0.0:
        return ""
    if volts.high < LEAST:
        return f"off: by calculation its capacitors hold less than {LEAST:g} V; only a meter proves it"
    joules = f" ({two_figures_up(energy.high):g} J)" if energy is not None else ""
    return f"off: its capacitors may hold up to {two_figures_up(volts.high):g} V{joules}"


def two_figures_up(value: float) -> float:
    """Two figures, rounded up."""
    places = 1 - floor(log10(value))
    return float(ceil(value * 10**places - 1e-9) / 10**places)


def _widest(rows: Sequence[Row]) -> Iterator[str]:
    """What widens the volts at the set the most, once for all steps where it is the same."""
    steps: dict[str, list[str]] = {}
    for row in rows:
        if row.widest is not None and _step(row) not in steps.setdefault(row.widest, []):
            steps[row.widest].append(_step(row))
    if steps:
        parts = (f"{widest} (step {', '.join(where)})" if len(steps) > 1 else widest for widest, where in steps.items())
        yield f"The range of the volts at the set comes mostly from {', and from '.join(parts)}."


CHOICES: tuple[Column[LampChoice], ...] = (
    Column("lamp", lambda c: f"{c.power:g} W"),
    Column("set gets", lambda c: said(c.set_voltage, "voltage")),
    Column("short draws", lambda c: f"{c.short_current:.2f} A"),
    Column("soft fault gets", lambda c: f"up to {c.most_heat:.0f} W"),
    Column("serves for", lambda c: serves(c)),
    Column("glow on a short", lambda c: c.short_glow, "on a dead short {}"),
    Column("healthy glow", lambda c: glow_said(c.healthy_glow), "healthy {}"),
)


def choice_lines(choices: Sequence[LampChoice], style: Style) -> Iterator[str]:
    """What every common size of lamp would do for the set at its rated voltage."""
    if not choices:
        yield style.wrapped("The lamp can be chosen once the plan states `rated_power` and `rated_voltage` of the set.")
        return
    table = fitted(CHOICES, ALWAYS, choices, style.width)
    yield style.strong(table.heading())
    for choice in choices:
        yield table.line(choice)
        if below := "; ".join(table.below(choice)):
            yield style.wrapped(below, first=INDENT)
    yield ""
    yield style.wrapped(CHOICE_MEANS)
    yield style.wrapped(CAUTIONS)


def serves(choice: LampChoice) -> str:
    """What this size of lamp is for, in words."""
    uses = [name for name, truth in (("first look", choice.first_look), ("running", choice.running)) if truth is Truth.TRUE]
    return ", ".join(uses) or BLANK
