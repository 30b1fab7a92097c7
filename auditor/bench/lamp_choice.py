"""What every common size of lamp would do for a set at its rated voltage."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.described import lamp_voltage, rated_voltage
from auditor.bench.electrical.fault import most_heat, through_a_short
from auditor.bench.electrical.lamp import glow, series_lamp
from auditor.bench.electrical.operating_point import Source
from auditor.bench.forecast import at_setting
from auditor.bench.state import initial_state
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan

LAMP_SIZES = (15.0, 25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0, 300.0)
"""Rated watts of the lamps that are sold [W] (common practice)."""
FIRST_LOOK = Interval(0.5, 1.5)
RUNNING = Interval(2.0, float("inf"))
"""Watts of the lamp over those of the set, for the first look and for running on the lamp (common practice; at twice
the watts a healthy set gets about four fifths of its voltage, by calculation)."""


class LampChoice(Struct, frozen=True):
    """One size of lamp behind the full supply: power [W]; what a healthy set gets [V] and how the lamp then looks;
    a dead short's current [A] and look; the most heat that a soft fault can receive [W]; what the size serves for."""

    power: float
    set_voltage: Interval
    healthy_glow: tuple[str, ...]
    short_current: float
    short_glow: str
    most_heat: float
    first_look: Truth
    running: Truth


def lamp_choices(plan: Plan) -> tuple[LampChoice, ...]:
    """Every common size of lamp for this set at its rated voltage; none where the set or its voltage is not known."""
    voltage = rated_voltage(plan)
    if voltage is None or plan.set.rated_power is None:
        return ()
    return tuple(_choice(plan, watts, voltage.high, plan.set.rated_power) for watts in LAMP_SIZES)


def _choice(plan: Plan, watts: float, volts: float, set_power: Interval) -> LampChoice:
    row = at_setting(plan, Interval.exactly(volts), Interval.exactly(watts))
    nominal = (lamp_voltage(plan, initial_state(plan).lamp) or Interval.exactly(volts)).high
    lamp, source = series_lamp(watts, nominal), Source(volts)
    short, fault = through_a_short(source, lamp), most_heat(source, lamp)
    ratio = Interval.exactly(watts) / set_power
    return LampChoice(
        watts, row.readings.set_voltage, row.readings.glow, short.current, glow(short.temperature),
        fault.set_voltage * fault.current,
        ratio.at_least(Interval.exactly(FIRST_LOOK.low)) & ratio.at_most(Interval.exactly(FIRST_LOOK.high)),
        ratio.at_least(Interval.exactly(RUNNING.low)))
