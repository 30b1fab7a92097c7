"""One fault of the catalogue told in full, and what it changes in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.report.style import Style
from auditor.whatif.catalogue import Entry
from auditor.whatif.fault import Effect, Fault, Signs
from auditor.whatif.world import World

WHERE = {
    "the cord": "before the switch of the set", "the set": "behind the switch of the set",
    "B+": "on B+, once the rectifier conducts",
}


def figures(value: Interval, kind: str) -> str:
    """A range in three figures, with its unit; of a resistance never in thousandths, which nobody says on a bench."""
    if kind == "resistance" and value.low < 1.0 and value.high < 1000.0:
        low, high = f"{value.low:.3g}", f"{value.high:.3g}"
        return f"{low if low == high else f'{low}..{high}'} ohm"
    return format_quantity(Interval(float(f"{value.low:.3g}"), float(f"{value.high:.3g}")), DIMENSIONS[kind])


CHANGES: dict[str, Callable[[Any, Effect], str]] = {
    "short": lambda value, effect: f"{figures(value, 'resistance')} across the supply, {WHERE[effect.at]}",
    "draws": lambda value, effect: (
        f"the motor stands still and draws {figures(value, 'number')} times the watts that it draws turning"
        if effect.at == "the motor" else f"{figures(value, 'number')} times the current of a healthy set"),
    "open_circuit": lambda value, effect: "the set draws nothing",
    "b_plus": lambda value, effect: "B+ stands at its peak, with nothing drawn from it",
    "leaks": lambda value, effect: f"{figures(value, 'resistance')} from the mains side to the chassis",
    "lamp": lambda value, effect: "the limiter limits nothing",
    "isolation": lambda value, effect: "something bridges the isolating transformer",
    "earth": lambda value, effect: "the conductor of the protective earth is broken",
    "plug": lambda value, effect: "live and neutral are the wrong way round",
    "stays_closed": lambda value, effect: f"the switch of the {value} cuts nothing",
    "bare": lambda value, effect: "a live wire lies open where a hand can reach it",
    "meter": lambda value, effect: "instruments show nothing, whatever is there",
    "residual_current_device": lambda value, effect: "the residual current device never opens",
    "fuse": lambda value, effect: "the fuse of the set never opens",
    "tool": lambda value, effect: "the discharging resistor is open",
    "switched_on": lambda value, effect: f"the {value} is switched on at any moment",
}
"""How each part of an effect is said; `at` belongs to the short."""


def effect_said(effect: Effect) -> str:
    """What a fault changes on the bench, in words; empty where the model changes nothing."""
    values = ((said, getattr(effect, name)) for name, said in CHANGES.items())
    return "; ".join(said(value, effect) for said, value in values if value not in (None, False))


def played_as(world: World | None) -> str:
    """How a fault was there, in words; empty where it was not played or the model changes nothing."""
    if world is None or not (changes := effect_said(world.effect)):
        return ""
    starts = figures(Interval.exactly(world.starts), "time")
    return f"{changes}, from {starts} after power on" if world.starts > 0.0 else changes


def fault_lines(entry: Entry, style: Style) -> Iterator[str]:
    """What a fault is, how it acts and shows, what it can do, and what stands against it."""
    fault = entry.fault
    yield style.strong(fault.fault)
    yield style.wrapped(f"{entry.topic}", first="  ")
    yield ""
    yield style.wrapped(f"{fault.says}?", first="What if ", rest="  ")
    if changes := effect_said(fault.effect):
        yield style.wrapped(f"{changes}.", first="In the model: ", rest="  ")
    if fault.starts.high > 0.0:
        yield style.wrapped(f"after {figures(fault.starts, 'time')} with power on.", first="Begins: ", rest="  ")
    for line in _signs(fault.signs):
        yield style.wrapped(line, first="Shows: ", rest="  ")
    yield style.wrapped(fault.harm, first="Harm: ", rest="  ")
    if fault.heats is not None:
        part = fault.heats
        share = f" or {part.share.low:.0%} of the set's watts" if part.share is not None else ""
        yield style.wrapped(
            f"{part.part} stands {figures(part.stands, 'power')}{share}, and more for {figures(part.before, 'time')}; then "
            f"{part.ends_in}. Source: {'; '.join(part.sources)}.", first="Limit: ", rest="  ")
    yield from _bounds(fault, style)
    if fault.safeguards:
        yield style.wrapped(f"What stands against it, as rules: {', '.join(fault.safeguards)}.", rest="  ")
    yield style.wrapped("; ".join(fault.sources) + ".", first="Source: ", rest="  ")
    if fault.possible_when or fault.ruled_out_by:
        yield ""
        yield "In the language of the rules:"
    if fault.possible_when:
        yield style.wrapped(f"possible when {fault.possible_when}", first="    ", rest="      ")
    if fault.ruled_out_by:
        yield style.wrapped(f"ruled out by {fault.ruled_out_by}", first="    ", rest="      ")


def _signs(signs: Signs) -> Iterator[str]:
    """How it shows apart from meters and lamp, which are computed."""
    for sign in signs.measured:
        switch = f", set switch {sign.set_switch}" if sign.set_switch else ""
        kind, value = sign.reads
        yield f"{sign.measures} at {' or '.join(sign.across)}{switch} reads {figures(value, kind)}."
    if signs.inspected:
        yield f"to the eye, at {' or '.join(signs.inspected)}."
    if signs.proved:
        yield f"when {' or '.join(signs.proved)} is proved."
    if signs.reforming:
        yield "when it is reformed with a limit of leakage."
    if signs.sensed:
        after = f", after {figures(signs.sensed_after, 'time')}" if signs.sensed_after.high > 0.0 else ""
        yield f"{', '.join(signs.sensed)}{after}."


def _bounds(fault: Fault, style: Style) -> Iterator[str]:
    """Why nothing written contains it, or why it is not played."""
    if fault.residual is not None:
        yield style.wrapped(f"No written procedure can contain it: {fault.residual}", rest="  ")
    if fault.not_simulated is not None:
        yield style.wrapped(fault.not_simulated, first="Not played: ", rest="  ")
