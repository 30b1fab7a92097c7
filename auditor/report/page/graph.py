"""An empty plot and what is put into it; the style sheet of the page knows every part by its class."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import ceil, floor, log10
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import Element

from auditor.logic.interval import Interval
from auditor.report.page.axis import Axis, Label
from auditor.report.page.drawing import plain

if TYPE_CHECKING:
    from ziaplot import Graph

LETTER = 7.0
"""How wide a letter of a label is, about."""
MOST_TICKS = 4
"""Steps of a scale from nought to its highest value, about."""


def empty(width: float, height: float, top: float) -> Graph:
    """An empty plot whose frame is its edge, so that all plots of a page have the same axis."""
    import ziaplot
    from ziaplot.config import config

    config.text, config.precision = "text", 1
    graph = ziaplot.Graph().size(width, height).xrange(0, width).yrange(0, top)
    graph.xticks([0, width]).yticks([0, top]).noxticks().noyticks()
    graph.css("Graph {color: none; edge_color: none; edge_width: 0} Graph.Legend {edge_width: 0}"
              "Graph.TickX {pad: 0} Graph.TickY {pad: 0; font_size: 0}"
              "Graph.GridX {color: none} Graph.GridY {color: currentColor; stroke: solid; stroke_width: 1}")
    return graph


def _put(graph: Graph, part: Any, css: str, **more: str) -> None:
    """Add a part that the style sheet of the page knows by its class."""
    for name, value in {"class": css, **more}.items():
        part.svg.set(name.replace("_", "-"), value)
    graph.add(part)


def put_text(graph: Graph, label: Label, y: float, css: str, align: str = "left", **more: str) -> None:
    """A label whose letters stand on this height."""
    import ziaplot

    _put(graph, ziaplot.Text(label.at, y, label.text, halign=align, valign="base"), css, **more)


def put_line(graph: Graph, xs: Sequence[float], ys: Sequence[float], css: str) -> None:
    """A line from point to point."""
    import ziaplot

    _put(graph, ziaplot.PolyLine(xs, ys).strokewidth(1), css)


def put_block(graph: Graph, left: float, bottom: float, width: float, height: float, css: str) -> None:
    """A block without a frame."""
    import ziaplot

    _put(graph, ziaplot.Rectangle(left, bottom, width, height).color("none"), css)


def put_blocks(graph: Graph, on: Axis, tops: Sequence[float], bottom: float, css: str) -> None:
    """Blocks that each last as long as a step and reach up to its top; none where the top is the bottom."""
    for top, group in groupby(zip(tops, on.spans, strict=True), key=lambda one: one[0]):
        spans = [span for _, span in group]
        if top > bottom:
            put_block(graph, spans[0][0], bottom, spans[-1][1] - spans[0][0], top - bottom, css)


def put_band(graph: Graph, spans: Sequence[tuple[float, float]], values: Sequence[Interval], key: str) -> None:
    """A band that keeps its height for as long as each step lasts."""
    import ziaplot

    xs = [x for span in spans for x in span]
    lows, highs = ([getattr(value, end) for value in values for _ in range(2)] for end in ("low", "high"))
    area = ziaplot.LineFill(xs, highs, lows)
    area.svg.fill.set("class", f"band {key}")
    _put(graph, area, f"edge {key}")


def drawn(graph: Graph) -> list[Element]:
    """All that was put into the plot."""
    return plain(graph.svgxml())


def ticks_to(highest: float) -> list[float]:
    """Round numbers from nought to above the highest value, few enough to read."""
    if highest <= 0.0:
        return [0.0, 1.0]
    rough = highest / MOST_TICKS
    decade = 10.0 ** floor(log10(rough))
    step = next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= rough * (1 - 1e-9))
    steps = ceil(highest / step * (1 - 1e-9))
    return [*(step * k for k in range(steps + 1)), step * (steps + 0.5)]


def linked(part: Element) -> Element:
    """A part that leads to a finding, as a link; any other as it is."""
    to = part.attrib.pop("to", None)
    if to is None:
        return part
    anchor = Element("a", {"href": to, "aria-label": f"finding {part.text}"})
    anchor.append(part)
    return anchor
