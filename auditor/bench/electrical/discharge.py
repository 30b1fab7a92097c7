"""Charge that stays in a capacitor, and how long it takes to leave.

Sources of the laws: NEETS module 2 (NAVEDTRA 14174), RC time constant: 36.8 % is left after R C; OpenStax, College
Physics, chapters 19 and 21.
"""

from __future__ import annotations

from math import exp, inf, log

from auditor.logic.interval import Interval


def stored_energy(capacitance: float, voltage: float) -> float:
    """Energy C V**2 / 2 [J] of a capacitance [F] at a voltage [V].

    >>> round(stored_energy(16e-6, 350), 2)
    0.98
    """
    return capacitance * voltage ** 2 / 2


def stored_charge(capacitance: float, voltage: float) -> float:
    """Charge C V [C] of a capacitance [F] at a voltage [V].

    >>> round(stored_charge(0.1e-6, 450) * 1e6)  # IEC 60335-1, 8.1.4: 45 uC is the limit above 450 V
    45
    """
    return capacitance * voltage


def voltage_after(voltage: float, resistance: float, capacitance: float, time: float) -> float:
    """Voltage that is left after some time [V]: V exp(-t / R C).

    voltage at the start [V], resistance [ohm], capacitance [F], time [s].

    >>> round(voltage_after(12.0, 0.8e6, 5e-6, 4.0), 2)  # one time constant
    4.41
    """
    return voltage * exp(-time / (resistance * capacitance))


def time_to_reach(voltage: float, target: float, resistance: float, capacitance: float) -> float:
    """Time until the voltage has fallen to `target` [s]: R C ln(V / V1); endless for a target of 0.

    voltage at the start [V], target [V], resistance [ohm], capacitance [F].

    Worked example: 250 kohm and 80 uF, to 0.25 % (OpenStax, College Physics, 21.6): 120 s.

    >>> round(time_to_reach(1.0, 0.0025, 250e3, 80e-6))
    120
    """
    if target <= 0.0:
        return inf
    return max(0.0, resistance * capacitance * log(voltage / target)) if voltage > 0.0 else 0.0


def left_after(voltage: Interval, resistance: Interval, capacitance: Interval, time: Interval) -> Interval:
    """The range of what is left: more volts, more ohms, more farads and less time all leave more.

    voltage at the start [V], resistance [ohm], capacitance [F], time [s], each 0 or more.
    """
    return Interval(
        _left(voltage.low, resistance.low * capacitance.low, time.high),
        _left(voltage.high, resistance.high * capacitance.high, time.low))


def _left(voltage: float, constant: float, time: float) -> float:
    if voltage == 0.0 or (constant == 0.0 and time > 0.0):
        return 0.0
    return voltage if time == 0.0 or constant == inf else voltage * exp(-time / constant)


def discharge_time(voltage: Interval, target: float, resistance: Interval, capacitance: Interval) -> Interval:
    """The range of the time until at most `target` [V] is left [s].

    voltage at the start [V], resistance [ohm], capacitance [F], each above 0.

    >>> discharge_time(Interval(140, 160), 10, Interval(9e3, 11e3), Interval(32e-6, 48e-6)).high < 2
    True
    """
    return Interval(
        time_to_reach(voltage.low, target, resistance.low, capacitance.low),
        time_to_reach(voltage.high, target, resistance.high, capacitance.high))
