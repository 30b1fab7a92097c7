"""The procedure over time as plots: bands of volts, current, B+ and stored energy, and the glow of the lamp as a strip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from math import isfinite
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from markupsafe import Markup
from msgspec import Struct

from auditor.bench.forecast import Row
from auditor.logic.interval import Interval
from auditor.report.page.axis import Axis, Label, axis, step_labels, time_labels
from auditor.report.page.drawing import marked_up
from auditor.report.page.graph import (
    LETTER,
    drawn,
    empty,
    linked,
    put_band,
    put_block,
    put_blocks,
    put_line,
    put_text,
    ticks_to,
)
from auditor.report.prediction import glow_said, said, through_lamp
from auditor.report.result import Moment, Numbered, Result, is_at

if TYPE_CHECKING:
    from ziaplot import Graph

WIDE, NARROW = 880.0, 328.0
"""The widths in which every plot is drawn: for a screen or a sheet of paper, and for a phone."""
HEIGHT, STRIP, TOP = 110.0, 34.0, 64.0
"""Of a plot of bands, of the strip of glow, and of the steps above them all."""
TIERS = 3
"""Rows in which the numbers of findings stand above one another where they are close."""
MOST_NUMBERS = 3
"""Findings whose numbers stand at one step of the time axis; there are dots for more."""
GAP = "cannot be said"

Value = Callable[[Row], Interval | None]


class Band(Struct, frozen=True):
    """One quantity of a plot: its key in the style sheet, what it is called, and what it is at each step."""

    key: str
    name: str
    value: Value


class Panel(Struct, frozen=True):
    """One plot: its title, what kind of quantity it shows, and its bands."""

    title: str
    kind: str
    bands: tuple[Band, ...]


def _charge(row: Row) -> Interval | None:
    """B+ as it is read; with the power off, what the capacitors may still hold."""
    return row.readings.b_plus if row.powered else row.stored.voltage


PANELS = (
    Panel("Volts", "voltage", (Band("dial", "dial", lambda row: row.dial),
                               Band("set", "at the set", lambda row: row.readings.set_voltage))),
    Panel("Current", "current", (Band("current", "through the set", lambda row: row.readings.current),)),
    Panel("B+", "voltage", (Band("b-plus", "B+; with the power off, what the capacitors may still hold", _charge),)),
    Panel("Stored energy", "energy", (Band("stored", "in all filter capacitors together", lambda row: row.stored.energy),)),
)
GLOW = "Glow of the lamp"
NO_LAMP = "no current through a lamp"
UNITS = {"voltage": (("V", 1.0),), "current": (("mA", 1e-3), ("A", 1.0)), "energy": (("mJ", 1e-3), ("J", 1.0))}
"""The units of an axis, each with its size; the first whose numbers stay below a thousand is taken."""
MOST = 1000.0


class Plot(Struct, frozen=True):
    """A plot as drawn, wide and narrow, with its numbers in words."""

    title: str
    legend: tuple[Band, ...]
    height: float
    wide: Markup
    narrow: Markup
    in_words: str


def steps_plot(result: Result, link: str) -> Plot:
    """The steps along the axis, with the holds and the findings. link: what the address of a finding begins with."""
    words = "; ".join(f"step {moment.step.number} has {', '.join(f'finding {n.number}' for n in found)}"
                      for moment, found in _found(result) if found) or "no finding is about a step"
    wide, narrow = (marked_up(_steps(result, width, link)) for width in (WIDE, NARROW))
    return Plot("Steps, holds and findings", (), TOP, wide, narrow, f"{words}.")


def plots(result: Result) -> tuple[Plot, ...]:
    """The plots below the steps, in the order in which they stand."""
    volts, current, *rest = (_panel(panel, result) for panel in PANELS)
    return volts, current, _glow(result), *rest


def _found(result: Result) -> Iterator[tuple[Moment, list[Numbered]]]:
    """Each moment with the findings whose first step it is, the first of the stages of a step having them all."""
    told: set[int] = set()
    for moment in result.moments:
        found = [n for n in result.standing if n.number not in told and n.finding.step == moment.step.number
                 and is_at(n.finding, moment.step)]
        told |= {n.number for n in found}
        yield moment, found


def _panel(panel: Panel, result: Result) -> Plot:
    wide, narrow = (marked_up(_bands(panel, result, width)) for width in (WIDE, NARROW))
    words = " ".join(f"{band.name[0].upper()}{band.name[1:]}: {_in_words(result.moments, band.value, panel.kind)}."
                     for band in panel.bands)
    return Plot(panel.title, panel.bands, HEIGHT, wide, narrow, words)


def _in_words(moments: Sequence[Moment], value: Value, kind: str) -> str:
    def told(moment: Moment) -> str:
        interval = value(moment.row)
        return GAP if interval is None else said(interval, kind)

    return _by_steps(moments, told)


def _by_steps(moments: Sequence[Moment], told: Callable[[Moment], str]) -> str:
    """What is said of every step; where it stays the same, of several steps at once."""
    parts = []
    for words, group in groupby(moments, key=told):
        numbers = list(dict.fromkeys(moment.step.number for moment in group))
        steps = f"step {numbers[0]}" if len(numbers) == 1 else f"steps {numbers[0]} to {numbers[-1]}"
        parts.append(f"{steps}, {words}")
    return "; ".join(parts)


def _bands(panel: Panel, result: Result, width: float) -> list[Element]:
    on = axis(result.moments, width)
    by_band = [[_known(band.value(moment.row)) for moment in result.moments] for band in panel.bands]
    highest = max((value.high for values in by_band for value in values if value is not None), default=0.0)
    unit, size = next(((u, s) for u, s in UNITS[panel.kind] if highest / s < MOST), UNITS[panel.kind][-1])
    ticks = ticks_to(highest / size)
    top, scale = ticks[-1], Interval.exactly(1.0 / size)
    graph = empty(width, HEIGHT, top)
    graph.yticks(ticks)
    _marks(graph, result, on, top)
    for band, values in zip(panel.bands, by_band, strict=True):
        for known, group in groupby(zip(values, on.spans, strict=True), key=lambda one: one[0] is not None):
            run = list(group)
            spans = [span for _, span in run]
            if known:
                put_band(graph, spans, [value * scale for value, _ in run if value is not None], band.key)
            elif band is panel.bands[-1]:
                _gap(graph, spans[0][0], spans[-1][1], top)
    for tick in ticks[1:-1]:
        put_text(graph, Label(3, f"{tick:g} {unit}"), tick + 0.02 * top, "label")
    return drawn(graph)


def _known(value: Interval | None) -> Interval | None:
    """A range that can be drawn; None where nothing is known, or no upper end."""
    return value if value is not None and isfinite(value.high) else None


def _gap(graph: Graph, left: float, right: float, top: float) -> None:
    """A stretch of which nothing can be said."""
    put_block(graph, left, 0, right - left, top, "unknown")
    if right - left > LETTER * len(GAP):
        put_text(graph, Label((left + right) / 2, GAP), 0.45 * top, "label", "center")


def _marks(graph: Graph, result: Result, on: Axis, top: float) -> None:
    """A line where a step begins that there is a finding about."""
    for (_, found), (begins, _) in zip(_found(result), on.spans, strict=True):
        if found:
            put_line(graph, (begins, begins), (0, top), f"mark {found[0].finding.signal_word}")


def _steps(result: Result, width: float, link: str) -> list[Element]:
    on = axis(result.moments, width)
    graph = empty(width, TOP, TOP)
    base = 14.0
    powered = [base + 14 * moment.row.powered for moment in result.moments]
    holds = [base + 5 * (moment.row.hold is not None and moment.row.hold.high > 0.0) for moment in result.moments]
    for tops, css in ((powered, "powered"), (holds, "hold")):
        put_blocks(graph, on, tops, base, css)
    ticks = [point for begins, _ in on.spans for point in ((begins, base), (begins, base + 3), (begins, base))]
    put_line(graph, [x for x, _ in ticks], [y for _, y in ticks], "tick")
    for label in step_labels(result.moments, on, LETTER * 3):
        put_text(graph, Label(label.at + 1, label.text), 2, "label")
    free = [0.0] * TIERS
    for (_, found), (begins, _) in zip(_found(result), on.spans, strict=True):
        if found:
            put_line(graph, (begins, begins), (14, 30), f"mark {found[0].finding.signal_word}")
            _numbers(graph, found, min(begins, width - LETTER * 2 * min(len(found), MOST_NUMBERS)), free, link)
    return [linked(part) for part in drawn(graph)]


def _numbers(graph: Graph, found: Sequence[Numbered], at: float, free: list[float], link: str) -> None:
    """The numbers of the findings about one step, in the first row where they find room. free: where each row ends."""
    tier = next((k for k, end in enumerate(free) if at >= end), None)
    if tier is None:
        return
    y = 31 + 11 * tier
    for n in found[:MOST_NUMBERS]:
        put_text(graph, Label(at, str(n.number)), y, f"number {n.finding.signal_word}", to=f"{link}{n.number}")
        at += LETTER * (len(str(n.number)) + 1)
    if len(found) > MOST_NUMBERS:
        put_text(graph, Label(at, "..."), y, "label")
        at += LETTER * 2
    free[tier] = at


def time_axis(result: Result) -> tuple[Markup, Markup]:
    """The times below the last plot, wide and narrow."""
    wide, narrow = (marked_up(_times(result, width)) for width in (WIDE, NARROW))
    return wide, narrow


def _times(result: Result, width: float) -> list[Element]:
    on = axis(result.moments, width)
    graph = empty(width, 20, 20)
    put_text(graph, Label(0, "0"), 4, "label")
    for label in time_labels(result.moments, on, LETTER * 11):
        if label.at > LETTER * 10:
            put_line(graph, (label.at, label.at), (16, 20), "tick")
            put_text(graph, label, 4, "label", "right" if label.at > width - LETTER * 5 else "center")
    return drawn(graph)


def _glow(result: Result) -> Plot:
    def told(moment: Moment) -> str:
        return (glow_said(moment.row.readings.glow) if through_lamp(moment.row) and moment.row.readings.glow
                else NO_LAMP)

    wide, narrow = (marked_up(_strip(result, width)) for width in (WIDE, NARROW))
    return Plot(GLOW, (), STRIP, wide, narrow, f"{_by_steps(result.moments, told)}.")


def _strip(result: Result, width: float) -> list[Element]:
    """The colour of the filament: below as dark as it may be, above as bright."""
    on = axis(result.moments, width)
    graph = empty(width, STRIP, STRIP)
    if not any(through_lamp(moment.row) for moment in result.moments):
        put_text(graph, Label(width / 2, NO_LAMP), 0.35 * STRIP, "label", "center")
    glows = [moment.row.readings.glow if through_lamp(moment.row) else () for moment in result.moments]
    for end, bottom in ((0, 0.0), (-1, STRIP / 2)):
        for word in dict.fromkeys(glow[end] for glow in glows if glow):
            tops = [bottom + STRIP / 2 * bool(glow and glow[end] == word) for glow in glows]
            put_blocks(graph, on, tops, bottom, f"glow {glow_key(word)}")
    _marks(graph, result, on, STRIP)
    return drawn(graph)


def glow_key(word: str) -> str:
    """What the style sheet calls a word of glow."""
    return f"glow-{word.replace(' ', '-')}"
