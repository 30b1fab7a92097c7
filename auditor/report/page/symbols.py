"""The symbols of a circuit, one for each kind of element of the bench chain, drawn from the top down."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from schemdraw import Drawing

NEUTRAL = 1.6
"""Where the neutral stands, right of the live line, in lengths of the library that draws."""
LETTERS_SIT = 0.12
"""How far below its middle the library wants the place of a letter."""

Symbol = Callable[["Drawing", float, Any], float]
"""Draws one element from this height down, and returns the height at which the next begins."""


def rails(drawing: Drawing, top: float, bottom: float, *, live: bool = True) -> float:
    from schemdraw import elements as parts

    for x in (0.0, NEUTRAL) if live else (NEUTRAL,):
        drawing.add(parts.Line().at((x, top)).to((x, bottom)))
    return bottom


def _in_line(part: Callable[[], Any], length: float = 1.3) -> Symbol:
    """A symbol in the live line."""
    def draw(drawing: Drawing, y: float, record: Any) -> float:
        drawing.add(part().at((0, y)).down().length(length))
        return rails(drawing, y, y - length, live=False)
    return draw


def _across(part: Callable[[], Any]) -> Symbol:
    """A symbol between live and neutral."""
    def draw(drawing: Drawing, y: float, record: Any) -> float:
        from schemdraw import elements as parts

        for x in (0.0, NEUTRAL):
            drawing.add(parts.Dot(radius=0.05).at((x, y - 0.6)))
        drawing.add(part().at((0, y - 0.6)).right().length(NEUTRAL))
        return rails(drawing, y, y - 1.2)
    return draw


def _box(drawing: Drawing, top: float, bottom: float, label: str) -> None:
    from schemdraw import elements as parts

    corners = ((-0.3, top), (NEUTRAL + 0.3, top), (NEUTRAL + 0.3, bottom), (-0.3, bottom))
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        drawing.add(parts.Line().at(start).to(end))
    letters(drawing, NEUTRAL / 2, (top + bottom) / 2, label)


def letters(drawing: Drawing, x: float, y: float, letters: str) -> None:
    """Letters around this point."""
    from schemdraw import elements as parts

    drawing.add(parts.Label().at((x, y - LETTERS_SIT)).label(letters, loc="center"))


def _outlet(drawing: Drawing, y: float, record: Any) -> float:
    from schemdraw import elements as parts

    for x in (0.0, NEUTRAL):
        drawing.add(parts.Dot(open=True).at((x, y - 0.2)))
    y = rails(drawing, y - 0.26, y - 0.5)
    if record.switch != "none":
        y = _in_line(parts.Switch)(drawing, y, record)
    if record.fuse is not None:
        y = _in_line(parts.FuseIEC, 1.0)(drawing, y, record)
    return rails(drawing, y, y - 0.3)


def _residual_current_device(drawing: Drawing, y: float, record: Any) -> float:
    rails(drawing, y, y - 0.3)
    _box(drawing, y - 0.3, y - 1.1, "ΔI")
    return rails(drawing, y - 1.1, y - 1.4)


def _direct_current_supply(drawing: Drawing, y: float, record: Any) -> float:
    from schemdraw import elements as parts

    rails(drawing, y, y - 0.3)
    _box(drawing, y - 0.3, y - 1.3, "")
    drawing.add(parts.Arrow(headwidth=0.2, headlength=0.25).at((-0.7, y - 1.5)).to((NEUTRAL + 0.6, y - 0.1)))
    for x, height, letter in ((0.3, 0.6, "~"), (1.3, 1.0, "="), (0.3, 1.6, "+"), (NEUTRAL + 0.3, 1.6, "-")):
        letters(drawing, x, y - height, letter)
    y = rails(drawing, y - 1.3, y - 1.7)
    return y if record.fuse is None else _in_line(parts.FuseIEC, 1.0)(drawing, y, record)


def _isolating_transformer(drawing: Drawing, y: float, record: Any) -> float:
    from schemdraw import elements as parts

    rails(drawing, y, y - 0.3)
    drawing.add(parts.Transformer(t1=4, t2=4).theta(-90).anchor("p2").at((0, y - 0.3)))
    below = rails(drawing, y - 1.3, y - 1.6)
    if record.output_earthed:
        drawing.add(parts.Line().at((NEUTRAL, below)).to((NEUTRAL + 0.4, below)))
        drawing.add(parts.Ground().at((NEUTRAL + 0.4, below)))
    return below


def _autotransformer(drawing: Drawing, y: float, record: Any) -> float:
    from schemdraw import elements as parts

    drawing.add(parts.Inductor(loops=5).at((0, y)).down().length(1.6))
    rails(drawing, y, y - 2.1, live=False)
    drawing.add(parts.Line().at((0, y - 1.6)).to((NEUTRAL, y - 1.6)))
    drawing.add(parts.Dot(radius=0.05).at((NEUTRAL, y - 1.6)))
    drawing.add(parts.Arrow(headwidth=0.2, headlength=0.25).at((-0.8, y - 0.8)).to((-0.1, y - 0.8)))
    for start, end in (((-0.8, y - 0.8), (-0.8, y - 2.1)), ((-0.8, y - 2.1), (0, y - 2.1))):
        drawing.add(parts.Line().at(start).to(end))
    if record.fuse is None:
        return y - 2.1
    return _in_line(parts.FuseIEC, 1.0)(drawing, y - 2.1, record)


def _limiter(drawing: Drawing, y: float, record: Any) -> float:
    from schemdraw import elements as parts

    bottom = _in_line(parts.Lamp, 1.6)(drawing, y, record)
    if record.bypass != "none":
        drawing.add(parts.Line().at((0, y)).to((-0.9, y)))
        switch = parts.Switch(nc=record.bypass == "closed")
        drawing.add(switch.at((-0.9, y)).down().length(y - bottom))
        drawing.add(parts.Line().at((-0.9, bottom)).to((0, bottom)))
    return bottom


def _set(drawing: Drawing, y: float, record: Any) -> float:
    rails(drawing, y, y - 0.3)
    _box(drawing, y - 0.3, y - 1.2, "the set")
    return y - 1.2


def _part(name: str) -> Callable[[], Any]:
    """A symbol of the library, looked up when it is drawn."""
    def make() -> Any:
        from schemdraw import elements as parts

        return getattr(parts, name)()
    return make


def _wattmeter(drawing: Drawing, y: float, record: Any) -> float:
    below = _in_line(_part("Source"))(drawing, y, record)
    letters(drawing, -0.12, (y + below) / 2, "W")
    return below


SYMBOLS: dict[str, Symbol] = {
    "outlet": _outlet,
    "residual_current_device": _residual_current_device,
    "isolating_transformer": _isolating_transformer,
    "autotransformer": _autotransformer,
    "direct_current_supply": _direct_current_supply,
    "limiter": _limiter,
    "voltmeter": _across(_part("MeterV")),
    "ammeter": _in_line(_part("MeterA")),
    "wattmeter": _wattmeter,
    "set": _set,
    "other_load": _across(_part("ResistorIEC")),
}
"""How each kind of element is drawn; the symbols are those of IEC 60617, as the library has them."""
