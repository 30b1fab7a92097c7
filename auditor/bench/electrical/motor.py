"""A small induction motor across the mains, as of a record player or a fan: it turns, or it stands still and heats.

Its torque at any speed is proportional to the square of its volts (NEMA MG 1, 12.44.2, in Condensed MG 1-2011, 9.9.2;
E. E. Kimberly, Electrical Engineering, 20-16: a tenth less volts leave 81 % of the torque). From rest it starts where that
torque exceeds what the mechanism needs to break away. Standing, it is a transformer with a shorted winding, a constant
impedance: its current goes with its volts. Turning with hardly any load, it takes mostly magnetising current: about the
same at fewer volts, at most in proportion to them, and faster than they above, where the iron saturates.

Between the volts at which it surely stands still and those at which it surely turns it may do either, by how stiff the
grease is, and whether it was turning before.
"""

from __future__ import annotations

from math import inf, sqrt

from msgspec import Struct

from auditor.bench.electrical.load import ALWAYS, SetLoad, Shape
from auditor.logic.interval import Interval

SPARE_TORQUE = Interval(1 / 0.9 ** 2, 11.0)
"""Torque from rest at the rated volts over what the mechanism needs to break away. A healthy motor still starts with a tenth
less volts (NEMA MG 1, 12.44.1, allows that much), which needs 1.23; a free platter is started at about a third of the volts
(a choice, with which a motor that could turn is never called standing)."""
STANDING_WATTS = Interval(1.0, 3.0)
"""Watts of the motor standing still over its watts turning, both at the rated volts: the current of a shaded-pole motor is
only slightly higher (encyclopaedias of electrical machines), of others some times higher (from memory)."""
TURNING = Shape(Interval.exactly(0.0), Interval.exactly(0.6), Interval(0.0, 2.0), Interval.exactly(ALWAYS),
                Interval(0.40, 0.80))
"""Current flat to square below the rated volts, and above them too. Power factor: of small motors (from memory)."""
STANDING = Shape(Interval.exactly(0.0), Interval.exactly(0.6), Interval.exactly(1.0), Interval.exactly(ALWAYS),
                 Interval(0.50, 0.90))
"""A constant impedance; its power factor is higher than that of the motor turning (from memory)."""
USUAL_POWER = Interval(10.0, 25.0)
"""Watts of the motors of record players and radiograms, turning (common practice)."""


class Behaviour(Struct, frozen=True):
    """What a motor can do: whether it turns, how it then loads the supply, and at which volts it can do so [V].

    load: None where there is no motor.
    """

    turns: bool
    load: SetLoad | None
    possible: Interval


def torque(volts: float, rated_voltage: float) -> float:
    """Torque at these volts over that at the rated ones, at the same speed.

    volts, rated_voltage [V]. T / Tn = (V / Vn)**2.

    >>> round(torque(0.9 * 230, 230), 2)  # a tenth less: 0.81
    0.81
    """
    return (volts / rated_voltage) ** 2


def starts_at(rated_voltage: Interval, spare_torque: Interval = SPARE_TORQUE) -> Interval:
    """The volts from which the motor starts [V]: below the range it surely stands still, above it it surely turns.

    rated_voltage [V]. spare_torque: at the rated volts over what the mechanism needs. V = Vn / sqrt(spare torque).

    >>> low, high = starts_at(Interval.exactly(120)).low, starts_at(Interval.exactly(120)).high
    >>> round(low), round(high)
    (36, 108)
    """
    return Interval(rated_voltage.low / sqrt(spare_torque.high), rated_voltage.high / sqrt(spare_torque.low))


def behaviours(rated_voltage: Interval, power: Interval = USUAL_POWER) -> tuple[Behaviour, Behaviour]:
    """The motor turning, and the motor standing still.

    rated_voltage [V]; power: drawn at it, turning [W].
    """
    starts = starts_at(rated_voltage)
    return (Behaviour(True, SetLoad(rated_voltage, power, TURNING), Interval(starts.low, inf)),
            Behaviour(False, standing(rated_voltage, power * STANDING_WATTS), Interval(0.0, starts.high)))


def standing(rated_voltage: Interval, power: Interval) -> SetLoad:
    """A motor that stands still, whatever its volts.

    rated_voltage [V]; power: drawn at it, standing still [W].
    """
    return SetLoad(rated_voltage, power, STANDING)
