"""Electrolytic capacitors: what leaks through a good one, and what flows while one forms.

The oxide of a capacitor that has stood for years has thinned. Volts through a resistor grow it again: at once the current
is that into an empty capacitor, then it falls, within a few R C as the capacitor charges and from there over minutes to
hours as the oxide grows. How fast that is no formula says; where it ends for a good capacitor is its leakage limit.
"""

from __future__ import annotations

from auditor.logic.interval import Interval

LEAKAGE_FACTORS: tuple[tuple[float, float], ...] = ((100.0, 0.01), (250.0, 0.02), (350.0, 0.025), (450.0, 0.04))
"""Highest rated voltage [V] and factor K [mA/uF] of the leakage limit of JAN-C-62 (as quoted elsewhere). Above 450 V it says
nothing; the last factor is used on, as a choice."""
LEAKAGE_BASE = 0.3e-3
"""What JAN-C-62 (as quoted elsewhere) allows every capacitor besides [A]."""
MOST_WHILE_FORMING = 10e-3
"""The most current into a capacitor while it forms [A] (MIL-HDBK-1131C, as cited elsewhere)."""


def leakage_limit(capacitance: float, rated_voltage: float) -> float:
    """The most leakage of a good capacitor of the tube era, formed and at its rated voltage [A].

    capacitance [F], rated_voltage [V]. JAN-C-62 (as quoted elsewhere): I = K C + 0.3 mA. Below the rated voltage it is less.

    >>> round(leakage_limit(20e-6, 450) * 1e3, 2), round(leakage_limit(20e-6, 250) * 1e3, 2)
    (1.1, 0.7)
    """
    factor = next((k for highest, k in LEAKAGE_FACTORS if rated_voltage <= highest), LEAKAGE_FACTORS[-1][1])
    return factor * 1e3 * capacitance + LEAKAGE_BASE


def modern_leakage_limit(capacitance: float, rated_voltage: float) -> float:
    """The most leakage of a new capacitor of today, two minutes after it got its rated voltage [A].

    capacitance [F], rated_voltage [V]. Data sheets: 0.01 C V, or 3 uA where that is more; from 160 V up 0.06 C V + 10 uA.

    >>> round(modern_leakage_limit(2200e-6, 35) * 1e6)
    770
    """
    if rated_voltage >= 160.0:
        return 0.06 * capacitance * rated_voltage + 10e-6
    return max(0.01 * capacitance * rated_voltage, 3e-6)


def forming_current(voltage: float, resistance: float, held: float = 0.0) -> float:
    """Current through the resistor into a capacitor while it forms [A]: Ohm's law over what the capacitor does not hold.

    voltage: of the supply [V], resistance: in series [ohm], above 0, held: by the capacitor [V], 0 at once.

    >>> round(forming_current(350, 100e3) * 1e3, 2)
    3.5
    """
    return max(0.0, voltage - held) / resistance


def formed_current(voltage: Interval, resistance: Interval, limit: float) -> Interval:
    """Where the current of a good capacitor ends [A]: at most at its leakage limit, and at what the resistor lets through.

    voltage: of the supply [V], resistance: in series [ohm], above 0, limit: of its leakage [A].

    >>> round(formed_current(Interval(350, 350), Interval(100e3, 100e3), leakage_limit(16e-6, 450)).high * 1e3, 2)
    0.94
    """
    return Interval(0.0, min(limit, forming_current(voltage.high, resistance.low)))
