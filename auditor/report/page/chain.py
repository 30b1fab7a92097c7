"""The bench chain as a circuit: the wall at the top, the set at the bottom, live on the left and neutral on the right."""

from __future__ import annotations

import textwrap
from xml.etree.ElementTree import fromstring

from markupsafe import Markup
from msgspec import Struct

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.equipment import CURRENTS
from auditor.plan.plan import Element as ChainElement
from auditor.plan.record import Record
from auditor.report.page.drawing import marked_up, plain
from auditor.report.page.symbols import NEUTRAL, SYMBOLS, letters, rails
from auditor.report.result import Numbered, Result

POINTS = 36
"""Units of the drawing in one length of the library that draws the symbols."""
LEFT, WORDS, RIGHT = -42, 84, 332
"""The left edge, where the words begin, and the right edge of the drawing."""
LETTERS = 34
"""How many find room in a line of words."""
MOST_LINES = 3
DIMENSION = {"rated_power": "power", "power": "power", "output": "voltage", "voltage": "voltage", "rated_current": "current",
             "trips_at": "current"}
"""What the numbers of a record are; a range is in the unit of its meter, and a fuse in amperes."""
METERS = {"voltmeter": "voltage", "ammeter": "current", "wattmeter": "power"}


class Drawn(Struct, frozen=True):
    """One element: its name, what is stated of it in lines of words, where its words begin, and the findings about it."""

    name: str
    stated: tuple[str, ...]
    top: float
    findings: tuple[Numbered, ...]


class Diagram(Struct, frozen=True):
    """The chain as drawn: the symbols, what is beside each, and the frame of the drawing."""

    symbols: Markup
    elements: tuple[Drawn, ...]
    left: int
    width: int
    height: float
    words: int

    @property
    def in_words(self) -> str:
        """The whole chain in one sentence, with the findings at each element."""
        return "; then ".join(_in_words(element) for element in self.elements) + "."


def diagram(result: Result) -> Diagram:
    """The chain of a plan with the findings at its elements."""
    import schemdraw
    from schemdraw import Drawing

    schemdraw.use("svg")
    schemdraw.svgconfig.text = "text"
    drawing = Drawing(show=False, unit=1.0, fontsize=12, lw=1.6)
    chain, plan = result.plan.chain, result.plan
    for x, name in zip((0.3, NEUTRAL + 0.3), ("+", "-") if plan.mains.kind == CURRENTS[1] else ("L", "N"), strict=True):
        letters(drawing, x, -0.2, name)
    elements, y = [], 0.0
    for element in chain:
        here = tuple(n for n in result.findings if n.element == element.index)
        elements.append(Drawn(element.kind.replace("_", " "), _stated(element), -y * POINTS, here))
        y = SYMBOLS[element.kind](drawing, y, element.record)
        if element is not chain[-1]:
            y = rails(drawing, y, y - 0.3)
    symbols = marked_up(plain(fromstring(drawing.get_imagedata("svg").decode())))
    return Diagram(symbols, tuple(elements), LEFT, RIGHT - LEFT, -y * POINTS + 6, WORDS)


def _in_words(element: Drawn) -> str:
    stated = f" ({' '.join(element.stated)})" if element.stated else ""
    found = ", ".join(str(n.number) for n in element.findings)
    return f"{element.name}{stated}" + (f", finding {found}" if found else "")


def _stated(element: ChainElement) -> tuple[str, ...]:
    """What the plan states of an element, broken into lines."""
    words = ", ".join(said_of(element.record, element.kind)) or "nothing stated"
    if element.kind == "set":
        return ()
    return tuple(textwrap.wrap(words, LETTERS, max_lines=MOST_LINES, placeholder=" ...", break_long_words=True))


def said_of(record: Record, kind: str) -> list[str]:
    """What is stated of an element of this kind, each part in a few words."""
    said = []
    for name in type(record).model_fields:
        value = getattr(record, name)
        if value is None:
            continue
        label = name.replace("_", " ")
        if isinstance(value, Interval):
            dimension = METERS.get(kind, "voltage") if name == "range" else DIMENSION.get(name, "current")
            quantity = format_quantity(value, DIMENSIONS[dimension])
            said.append(f"fuse {quantity}" if name == "fuse" else quantity if name != "trips_at" else f"trips at {quantity}")
        elif isinstance(value, tuple) and all(isinstance(one, Interval) for one in value):
            said.append(" and ".join(format_quantity(one, DIMENSIONS[DIMENSION.get(name, "current")]) for one in value))
        elif isinstance(value, bool):
            said.append(f"{label}: {'yes' if value else 'no'}")
        elif name == "lamp":
            said.append(" ".join(["lamp", *said_of(value, kind)]))
        elif isinstance(value, str):
            said.append(value if name in ("kind", "description", "joined") else f"{label} {value}" if name == "bypass"
                        else f"{value} {label}" if name == "switch" else f"{label}: {value}")
    return said
