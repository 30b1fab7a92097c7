"""The numbers that the texts name in braces: each computed by the model when it is asked for, none written by hand.

Where a set or a bench is needed it is the usual base plan of the examples of rules, a five-tube table set. A lamp is a new
one with these watts and the volts of the mains printed on it. What a current does to a person is in `bench.electrical.body`,
what opens and when in `bench.electrical.protective`; both name their sources.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from math import inf

from auditor.bench import circuit
from auditor.bench.electrical import body
from auditor.bench.electrical.body import Shock, body_current, fibrillation_current
from auditor.bench.electrical.discharge import stored_energy, time_to_reach
from auditor.bench.electrical.fault import most_heat, through_a_short
from auditor.bench.electrical.filament import LOSS_BAND
from auditor.bench.electrical.lamp import glow, series_lamp
from auditor.bench.electrical.operating_point import Point, Source, settle
from auditor.bench.electrical.protective import CORD_AMPACITY, fuse_opens_within, residual_device_opens
from auditor.bench.forecast import Row, at_setting
from auditor.bench.lamp_choice import LAMP_SIZES
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import format_quantity
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.plan.steps import Resistor
from auditor.rulebook.examples import USUAL_BASE, example

SMALL, LARGE = 60.0, 100.0
"""The two lamps that are compared [W]."""
LOW = 30.0
"""A low mark on the dial: a quarter of the mains [V]."""
CLASS_A, GENERAL = 6e-3, 30e-3
"""The two usual residual current devices [A]."""
LEAK, BOND, CORD_SHORT, CARELESS = 1000.0, 1.0, 0.5, 0.1
"""Examples [ohm]: a leak from the mains to the chassis, the conductor of a protective earth, two wires that touch in a cord,
the blade of a tool across a capacitor."""
BLEEDER = 470e3
"""A usual resistor across B+ that drains it [ohm]."""
LARGE_HELD = (100e-6, 450.0)
"""A large capacitor of an amplifier [F], [V]."""
LINE_BYPASS = 0.05e-6
"""The capacitor of an old set between the line and its chassis [F]."""


@cache
def example_plan(change: str = "{}") -> Plan:
    """A base plan of the examples with a change, written as JSON."""
    return read_plan(json.dumps(example({"base": USUAL_BASE, **json.loads(change)})))


def said(value: float, kind: str, digits: int = 2) -> str:
    """A number with its unit, to so many digits.

    >>> said(0.11812, "current"), said(28800.0, "power"), said(0.934, "time")
    ('120 mA', '29 kW', '0.93 s')
    """
    rounded = float(f"{value:.{digits}g}")
    if kind == "time" and 0.1 <= rounded < 1.0:
        return f"{rounded:g} s"
    return format_quantity(Interval.exactly(rounded), DIMENSIONS[kind])


def range_said(value: Interval, kind: str) -> str:
    """A range with its unit, to two digits, or to a whole number."""
    low, high = (float(round(end)) if end >= 10.0 else float(f"{end:.2g}") for end in (value.low, value.high))
    return format_quantity(Interval(low, high), DIMENSIONS[kind])


def _volts() -> float:
    nominal = example_plan().mains.voltage
    assert nominal is not None
    return nominal.high


def _shorted(watts: float, dial: float | None = None) -> Point:
    return through_a_short(Source(dial or _volts()), series_lamp(watts, _volts()))


def _soft(watts: float) -> float:
    point = most_heat(Source(_volts()), series_lamp(watts, _volts()))
    return point.set_voltage * point.current


def soft_share() -> Interval:
    """The most heat of a soft fault over the watts of the lamp, over all common lamps and what their gas takes."""
    shares = []
    for watts in LAMP_SIZES:
        for loss in LOSS_BAND:
            point = most_heat(Source(_volts()), series_lamp(watts, _volts(), loss))
            shares.append(point.set_voltage * point.current / watts)
    return Interval(min(shares), max(shares))


def hand_behind_lamp(watts: float) -> float:
    """Current through a hand that lies between the lamp and earth [A]."""
    return settle(Source(_volts()), series_lamp(watts, _volts()), lambda volts: volts / body.BODY_RESISTANCE).current


def kills_after(current: float) -> float:
    """How long a current must flow until the heart may fibrillate [s], by the law of `fibrillation_current`."""
    return (fibrillation_current(1.0) / current) ** 2


def _does(current: float, time: float) -> str:
    says = Shock.of_current(current, time).says
    return f"{says[0].lower()}{says[1:].rstrip('.')}"


def _healthy_low() -> Row:
    return at_setting(example_plan(), Interval.exactly(LOW), None)


def _lamp() -> float:
    lamp = example_plan().record("limiter").lamp
    return float(lamp.power.high)


def _fuse() -> float:
    fuse = example_plan().set.fuse
    assert fuse is not None
    assert fuse.rating is not None
    return fuse.rating.high


def _peak() -> float:
    peak = example_plan().set.b_plus_peak
    assert peak is not None
    return peak.high


def _capacitors() -> list[float]:
    return [c.capacitance.high for c in example_plan().set.filter_capacitors or () if c.capacitance is not None]


def _tool() -> Resistor:
    return next(step.through for step in example_plan().steps if step.verb == "discharge" and step.through is not None)


def _dead() -> float:
    return next(step.below.high for step in example_plan().steps if step.verb == "prove_dead" and step.below is not None)


def _earthed_touch() -> float:
    chassis = _volts() * BOND / (LEAK + BOND)
    return body_current(chassis)


def _held_does(capacitance: float, volts: float) -> str:
    says = Shock.of_charge(volts, capacitance).says
    return f"{says[0].lower()}{says[1:].rstrip('.')}"


def _opens(time: float) -> str:
    return "does not open" if time == inf else f"opens within {said(time, 'time')}"


def _dial_top() -> float:
    output = example_plan().record("autotransformer").output
    return float(output.high)


FIGURES: dict[str, Callable[[], str]] = {
    # Of the bench and the set of the example.
    "mains": lambda: said(_volts(), "voltage", 3),
    "wall": lambda: said(circuit.wall(example_plan()).high, "voltage", 3),
    "low_dial": lambda: said(LOW, "voltage"),
    "dial_top": lambda: said(_dial_top(), "voltage", 3),
    "b_plus": lambda: format_quantity(example_plan().set.b_plus or Interval.exactly(0.0), DIMENSIONS["voltage"]),
    "b_plus_peak": lambda: said(_peak(), "voltage", 3),
    "first_stop": lambda: example_plan().stop_when[0],
    "fuse": lambda: said(_fuse(), "current"),
    "lamp": lambda: said(_lamp(), "power"),
    "cord": lambda: said(CORD_AMPACITY[18], "current"),

    # What a current does to a person.
    "body": lambda: said(body.BODY_RESISTANCE, "resistance"),
    "startles": lambda: said(body.REACTION, "current"),
    "holds": lambda: said(body.LET_GO, "current"),
    "holds_does": lambda: _does(2 * body.LET_GO, 1.0),
    "kills_in_a_second": lambda: said(fibrillation_current(1.0), "current", 3),
    "kills_in_a_tenth": lambda: said(fibrillation_current(0.1), "current"),
    "hand": lambda: said(body_current(_volts()), "current", 3),
    "hand_does": lambda: _does(body_current(_volts()), 1.0),
    "hand_kills_after": lambda: said(kills_after(body_current(_volts())), "time"),
    "hand_at_low_dial": lambda: said(body_current(LOW), "current"),
    "hand_on_b_plus": lambda: said(body_current(_peak()), "current"),
    "let_go_volts": lambda: said(body.LET_GO * body.BODY_RESISTANCE, "voltage"),
    "touchable_ac": lambda: said(body.TOUCHABLE_VOLTAGE, "voltage"),
    "touchable_dc": lambda: said(body.TOUCHABLE_VOLTAGE_DC, "voltage"),
    "harmful": lambda: said(body.HARMFUL_VOLTAGE, "voltage"),
    "line_bypass": lambda: said(LINE_BYPASS, "capacitance"),
    "line_bypass_touch": lambda: said(
        body.capacitor_touch_current(circuit.wall(example_plan()).high, LINE_BYPASS, 60.0), "current"),

    # What the capacitors hold.
    "held": lambda: said(sum(stored_energy(farads, _peak()) for farads in _capacitors()), "energy"),
    "held_does": lambda: _held_does(max(_capacitors()), _peak()),
    "large_capacitor": lambda: said(LARGE_HELD[0], "capacitance"),
    "large_volts": lambda: said(LARGE_HELD[1], "voltage"),
    "large_held": lambda: said(stored_energy(*LARGE_HELD), "energy", 3),
    "large_held_does": lambda: _held_does(*LARGE_HELD),
    "startling_energy": lambda: said(body.STARTLING_ENERGY, "energy"),
    "dangerous_energy": lambda: said(body.DANGEROUS_ENERGY, "energy"),
    "tool": lambda: said(_tool().resistance.high, "resistance"),
    "dead": lambda: said(_dead(), "voltage"),
    "tool_empties_in": lambda: said(time_to_reach(_peak(), _dead(), _tool().resistance.high, max(_capacitors())), "time"),
    "tool_heat": lambda: said(_peak() ** 2 / _tool().resistance.low, "power"),
    "careless": lambda: said(CARELESS, "resistance"),
    "careless_current": lambda: said(_peak() / CARELESS, "current"),
    "bleeder": lambda: said(BLEEDER, "resistance"),
    "bleeder_takes": lambda: said(time_to_reach(_peak(), body.TOUCHABLE_VOLTAGE_DC, BLEEDER, sum(_capacitors())), "time"),

    # What the limiter lets through.
    "small": lambda: said(SMALL, "power"),
    "large": lambda: said(LARGE, "power", 3),
    "short_small": lambda: said(_shorted(SMALL).current, "current"),
    "short_large": lambda: said(_shorted(LARGE).current, "current"),
    "short_here": lambda: said(_shorted(_lamp()).current, "current"),
    "lamp_heat_small": lambda: said(_shorted(SMALL).lamp_power, "power"),
    "lamp_heat_large": lambda: said(_shorted(LARGE).lamp_power, "power", 3),
    "soft_small": lambda: said(_soft(SMALL), "power"),
    "soft_large": lambda: said(_soft(LARGE), "power"),
    "soft_share": lambda: range_said(soft_share(), "number"),
    "hand_small": lambda: said(hand_behind_lamp(SMALL), "current", 3),
    "hand_large": lambda: said(hand_behind_lamp(LARGE), "current", 3),
    "short_looks_low": lambda: glow(_shorted(_lamp(), LOW).temperature),
    "healthy_looks_low": lambda: " to ".join(dict.fromkeys(_healthy_low().readings.glow[k] for k in (0, -1))),
    "healthy_volts_low": lambda: range_said(_healthy_low().readings.set_voltage, "voltage"),

    # What a cord and fuses do.
    "cord_short": lambda: said(CORD_SHORT, "resistance"),
    "cord_short_current": lambda: said(_volts() / CORD_SHORT, "current"),
    "cord_short_heat": lambda: said(_volts() ** 2 / CORD_SHORT, "power"),
    "fuse_at_its_rating": lambda: _opens(fuse_opens_within(1.0)),
    "fuse_at_twice": lambda: _opens(fuse_opens_within(2.0)),
    "fuse_at_a_cord_short": lambda: _opens(fuse_opens_within(_volts() / CORD_SHORT / _fuse())),
    "fuse_behind_small": lambda: _opens(fuse_opens_within(_shorted(SMALL).current / _fuse())),
    "hand_of_fuse": lambda: said(body_current(_volts()) / _fuse(), "number"),
    "fuse_at_a_hand": lambda: _opens(fuse_opens_within(body_current(_volts()) / _fuse())),

    # What a residual current device and an earth do.
    "class_a": lambda: said(CLASS_A, "current"),
    "general": lambda: said(GENERAL, "current"),
    "class_a_opens": lambda: _opens(residual_device_opens(body_current(_volts()), CLASS_A)),
    "general_opens": lambda: _opens(residual_device_opens(body_current(_volts()), GENERAL)),
    "class_a_bound": lambda: said(fibrillation_current(residual_device_opens(body_current(_volts()), CLASS_A)), "current"),
    "general_bound": lambda: said(fibrillation_current(residual_device_opens(body_current(_volts()), GENERAL)), "current"),
    "leak": lambda: said(LEAK, "resistance"),
    "bond": lambda: said(BOND, "resistance"),
    "earthed_touch": lambda: said(_earthed_touch(), "current"),
    "unearthed_touch": lambda: said(body_current(_volts(), LEAK), "current"),
    "unearthed_touch_does": lambda: _does(body_current(_volts(), LEAK), 1.0),
}
"""What each number is called in a text, and how it comes about."""
