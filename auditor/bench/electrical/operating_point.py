"""Where lamp and set settle: one source, a lamp in series, a set.

The lamp's filament cannot follow a cycle of the mains, so within a cycle the lamp is a plain resistance, as is the
wiring. With S the volts across lamp and wiring, V at the set and c the set's power factor (its watts over its
volts times amperes, whatever the shape of its current), the squares of the sum of the two voltages average to

    E**2 = S**2 + V**2 + 2 c S V

exactly: the cross term is the resistance times the set's watts. For c = 1 it is E = S + V.

The unknown is the temperature of the filament. As it rises, the lamp's volts and current both rise, so V falls; a
set whose current rises with its voltage then asks for less while the lamp passes more. The difference is monotone:
exactly one point, in a bracket that is known beforehand.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from math import sqrt

from msgspec import Struct

from auditor.bench.electrical.bracket import bracketed
from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.tungsten import ROOM

Load = Callable[[float], float]
"""A set: its current [A rms] for the volts across it [V rms]; nothing at nothing, and never falling."""


class Source(Struct, frozen=True):
    """What feeds lamp and set.

    voltage: with nothing drawn [V rms]. resistance: of transformer, wiring and contacts [ohm], 0 or more.
    """

    voltage: float
    resistance: float = 0.0


class Point(Struct, frozen=True):
    """A settled state: volts at the set [V], current [A], volts across the lamp [V], filament temperature [K]."""

    set_voltage: float
    current: float
    lamp_voltage: float = 0.0
    temperature: float = ROOM

    @property
    def lamp_power(self) -> float:
        """Heat in the lamp [W]."""
        return self.lamp_voltage * self.current


def remaining(source_voltage: float, series_voltage: float, power_factor: float) -> float:
    """Volts left for the set when so many are across lamp and wiring [V]; none below 0.

    source_voltage: E [V]. series_voltage: S [V], 0 to E. power_factor: c of the set [0 to 1].
    The positive root V of E**2 = S**2 + V**2 + 2 c S V.

    >>> remaining(120.0, 20.0, 1.0)
    100.0
    >>> round(remaining(120, 20, 0.9), 1)
    101.7
    """
    return max(0.0, _surplus(source_voltage, series_voltage, power_factor))


def _surplus(source_voltage: float, series_voltage: float, power_factor: float) -> float:
    """The same root, going on below 0 where lamp and wiring have more than the source [V]: always falling."""
    if power_factor == 1.0:
        return source_voltage - series_voltage
    under = source_voltage * source_voltage - (1.0 - power_factor * power_factor) * series_voltage * series_voltage
    return (sqrt(under) if under > 0.0 else 0.0) - power_factor * series_voltage


def needed(set_voltage: float, series_voltage: float, power_factor: float) -> float:
    """Volts that the source must have for these at the set and across lamp and wiring [V].

    set_voltage: V [V], series_voltage: S [V], power_factor: c of the set [0 to 1].

    >>> needed(100.0, 20.0, 1.0)
    120.0
    """
    return sqrt(set_voltage ** 2 + series_voltage ** 2 + 2 * power_factor * set_voltage * series_voltage)


def settle(source: Source, lamp: SeriesLamp | None, load: Load, power_factor: float = 1.0) -> Point:
    """The one point at which lamp and set can settle.

    lamp: None where the set is fed directly. load: a set whose current never falls as its volts rise.
    power_factor: of the set [0 to 1].

    A 100 W lamp and a resistance of 144 ohm on 120 V:

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> point = settle(Source(120), series_lamp(100, 120), lambda volts: volts / 144)
    >>> round(point.set_voltage, 1), round(point.current, 3)
    (71.9, 0.499)
    """
    if source.voltage <= 0.0:
        return Point(0.0, 0.0)
    return _direct(source, load, power_factor) if lamp is None else _through(source, lamp, load, power_factor)


def _direct(source: Source, load: Load, power_factor: float) -> Point:
    voltage, resistance = source.voltage, source.resistance
    if resistance == 0.0:
        return Point(voltage, load(voltage))

    def excess(volts: float) -> float:
        return volts - remaining(voltage, resistance * load(volts), power_factor)

    volts = bracketed(excess, 0.0, voltage, excess(0.0), excess(voltage))
    return Point(volts, load(volts))


def _through(source: Source, lamp: SeriesLamp, load: Load, power_factor: float) -> Point:
    voltage, resistance = source.voltage, source.resistance
    law, volts_scale, amps_scale = lamp.law, lamp.voltage, lamp.current

    def excess_at(relative_volts: float, relative_amps: float) -> float:
        amps = relative_amps * amps_scale
        left = _surplus(voltage, relative_volts * volts_scale + resistance * amps, power_factor)
        # With nothing left for the set only the sign matters: let it fall on as it fell before, for a steady search.
        return (load(left) if left > 0.0 else -load(-left)) - amps

    # The lamp has no more than all the volts, and passes no more than the set takes at all of them; there the law may end.
    low, at_low = 0, load(voltage)
    high = min(bisect_right(law.voltages, voltage / volts_scale), bisect_right(law.currents, at_low / amps_scale),
               len(law.temperatures) - 1)
    at_high = min(0.0, excess_at(law.voltages[high], law.currents[high]))
    while high - low > 1:
        # Where a straight line would cross, but a fifth of the rows goes at each step, however steep the set.
        share = min(max(at_low / (at_low - at_high), 0.2), 0.8)
        middle = min(max(low + round(share * (high - low)), low + 1), high - 1)
        value = excess_at(law.voltages[middle], law.currents[middle])
        if value > 0.0:
            low, at_low = middle, value
        else:
            high, at_high = middle, value
    piece = law.pieces[low]
    temperature = bracketed(lambda t: excess_at(*piece(t)), law.temperatures[low], law.temperatures[high], at_low, at_high)
    relative_volts, relative_amps = piece(temperature)
    amps, volts = relative_amps * amps_scale, relative_volts * volts_scale
    left = remaining(voltage, min(voltage, volts + resistance * amps), power_factor)
    return Point(left, amps, volts, temperature)
