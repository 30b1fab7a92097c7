"""How fast a filament warms: cold inrush and the time until the current has settled.

The wire is sized from the lamp's own rating: with R' and W' of Jones' table (a wire 1 cm long and 1 cm thick), a wire
of length l and thickness d [cm] has R = R' l / d**2 and radiates k W' l d, k being what neighbouring turns leave of it.
Both are known at the rated point, which gives l and d, hence the mass. Heat then goes into the wire:

    m c(T) dT/dt = V**2 / R(T) - P p(T).
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache
from math import pi

from msgspec import Struct

from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.tungsten import DENSITY, ROOM, radiated, resistance

COIL = 0.65
"""k: share of the radiation of a straight wire that a coil still gives (D. C. Agrawal, 2011, has 0.69 for a coiled
coil, as quoted; 0.65 is chosen within what is published)."""
MOLAR_MASS = 183.84
"""Of tungsten [g/mol]."""
HEAT_CAPACITY: tuple[tuple[float, float], ...] = ((298.15, 24.295), (1000.0, 27.564), (2000.0, 32.254), (2800.0, 37.447))
"""Temperature [K] and molar heat capacity of tungsten [J/(mol K)] (M. W. Chase, NIST-JANAF Thermochemical Tables,
4th edition, 1998)."""
STEP = 2.5e-4
"""Step of the integration [s]: a sixtieth of the fastest time constant met (25 W)."""
LONGEST = 10.0
"""After this time [s] a lamp that has not settled is given up; the slowest met takes 1 s (240 V, 500 W)."""


class Wire(Struct, frozen=True):
    """The filament uncoiled: length [m], thickness [m], mass [kg]."""

    length: float
    thickness: float
    mass: float


def heat_capacity(temperature: float) -> float:
    """Heat capacity of tungsten [J/(kg K)] at this temperature [K], linear between the rows of HEAT_CAPACITY.

    >>> round(heat_capacity(298.15))
    132
    """
    table = HEAT_CAPACITY
    k = min(max(bisect_right(table, (temperature, 0.0)), 1), len(table) - 1)
    (t0, c0), (t1, c1) = table[k - 1], table[k]
    return (c0 + (c1 - c0) * (temperature - t0) / (t1 - t0)) / MOLAR_MASS * 1e3


@lru_cache(maxsize=64)
def wire(lamp: SeriesLamp) -> Wire:
    """The wire of a lamp's filament, from its rating.

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> got = wire(series_lamp(100, 120))
    >>> round(got.thickness * 1e6), round(got.length * 1e3), round(got.mass * 1e6)  # [um, mm, mg]
    (64, 541, 34)
    """
    rated = lamp.law.rated_temperature
    light = (1 - lamp.law.loss_below) * lamp.voltage * lamp.current
    length_by_square = lamp.voltage / lamp.current / resistance(rated)
    length_times = light / (COIL * radiated(rated))
    thickness = (length_times / length_by_square) ** (1 / 3)
    length = length_times / thickness
    return Wire(length / 100, thickness / 100, DENSITY * pi / 4 * thickness ** 2 * length / 1000)


def cold_ratio(lamp: SeriesLamp) -> float:
    """Current of the cold lamp over its rated current, at its rated volts.

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> round(cold_ratio(series_lamp(100, 120)), 1)
    15.8
    """
    return resistance(lamp.law.rated_temperature) / resistance(ROOM)


def settles_in(lamp: SeriesLamp, voltage: float, within: float = 1.1) -> float:
    """Time until a cold lamp draws less than `within` times its settled current [s].

    voltage: across it from the start [V], a steady (rms) voltage. Runge-Kutta of fourth order with a step of STEP.

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> round(settles_in(series_lamp(100, 120), 120), 3)  # "current stabilises in about 0.10 s"
    0.087
    """
    return _settles_in(lamp, voltage, within)


@lru_cache(maxsize=256)
def _settles_in(lamp: SeriesLamp, voltage: float, within: float) -> float:
    law = lamp.law
    rated = lamp.voltage * lamp.current
    mass = wire(lamp).mass
    rated_ohms = lamp.voltage / lamp.current / resistance(law.rated_temperature)
    goal = lamp.current_at(voltage) * within

    def rate(temperature: float) -> float:
        volts, amps = law.at(temperature)
        heat = voltage ** 2 / (rated_ohms * resistance(temperature)) - rated * volts * amps
        return heat / (mass * heat_capacity(temperature))

    temperature, time = ROOM, 0.0
    while voltage / (rated_ohms * resistance(temperature)) > goal and time < LONGEST:
        a = rate(temperature)
        b = rate(temperature + STEP / 2 * a)
        c = rate(temperature + STEP / 2 * b)
        d = rate(temperature + STEP * c)
        temperature += STEP / 6 * (a + 2 * b + 2 * c + d)
        time += STEP
    return time
