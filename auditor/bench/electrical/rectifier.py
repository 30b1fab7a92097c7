"""From the mains or a winding to B+: capacitor and choke input, with silicon, selenium or tube.

Capacitor input: with V the peak and a reservoir so large that it does not ripple, a diode behind a resistance R
conducts for an angle of +-theta around each peak, and the charge that passes then is what the load takes:

    cos theta = B / V,      tan theta - theta = pi R / RL  (half wave),   pi R / (2 RL)  (full wave).

Derived by integrating (V cos phi - B) / R over the conduction angle; the same limit as O. H. Schade, "Analysis of
Rectifier Operation", Proceedings of the IRE 31, 341 (1943), whose curves give volts and amperes within 5 % (R. Lee,
Electronic Transformers and Circuits, chapter 4-03). A real reservoir ripples; B is then within 3 % of this while
2 pi f C RL is above 20.
"""

from __future__ import annotations

from functools import lru_cache
from math import cos, pi, sin, sqrt, tan

from msgspec import Struct

from auditor.bench.electrical.bracket import bracketed
from auditor.logic.interval import Interval

FORWARD_DROP: dict[str, Interval] = {
    "silicon": Interval(0.7, 1.2), "selenium": Interval(5.0, 15.0), "tube": Interval(5.0, 60.0), "none": Interval(0.0, 0.0)}
"""Volts across the rectifier while it conducts [V]: one junction; a stack for 120 V, 5 to 8 plates of about 1 V new,
twice that aged; a rectifier tube at its rated current (data of the usual types; from memory)."""


class Rectified(Struct, frozen=True):
    """A rectifier with capacitor input: B+ [V], its current [A], peak and rms current of the rectifier [A], and the
    power factor of what it takes from the supply [0 to 1]."""

    voltage: float
    current: float
    peak_current: float
    rms_current: float
    power_factor: float


@lru_cache(maxsize=256)
def conduction_angle(resistance_ratio: float, pulses: int = 1) -> float:
    """Half the angle during which the rectifier conducts [rad], 0 to pi/2.

    resistance_ratio: source and surge resistance over the load's, 0 or more. pulses: 1 half wave, 2 full wave.

    >>> round(conduction_angle(100 / 2000), 3)
    0.72
    """
    wanted = pi * resistance_ratio / pulses
    if wanted <= 0.0:
        return 0.0
    top = pi / 2 - 1e-12

    def excess(theta: float) -> float:
        return tan(theta) - theta - wanted

    return bracketed(excess, 0.0, top, -wanted, excess(top))


def capacitor_input(peak: float, resistance: float, load: float, pulses: int = 1) -> Rectified:
    """B+ and currents with a reservoir that does not ripple.

    peak: of the supply, less the rectifier's forward drop [V]. resistance: of source and surge resistor [ohm], above
    0. load: what B+ feeds [ohm]. pulses: 1 half wave, 2 full wave.

    A five-tube set without a transformer, 120 V mains, 100 ohm, 2 kohm:

    >>> got = capacitor_input(120 * 2 ** 0.5, 100, 2000)
    >>> round(got.voltage, 1), round(got.rms_current / got.current, 2), round(got.power_factor, 2)
    (127.6, 2.29, 0.59)
    """
    theta = conduction_angle(resistance / load, pulses)
    voltage = peak * cos(theta)
    current = voltage / load
    square = pulses / (2 * pi) * (peak / resistance) ** 2 * (
        theta * (1 + 2 * cos(theta) ** 2) - 1.5 * sin(2 * theta))
    rms = sqrt(max(0.0, square))
    supplied = voltage * current + rms ** 2 * resistance
    factor = supplied / (peak / sqrt(2) * rms) if rms > 0.0 else 0.0
    return Rectified(voltage, current, peak * (1 - cos(theta)) / resistance, rms, factor)


def choke_input(peak: float, resistance: float, load: float) -> float:
    """B+ of a full-wave rectifier into a choke that never lets the current stop [V].

    The mean of the rectified wave, 2/pi of its peak, divided between the resistance of source and choke [ohm] and
    the load [ohm]. NEETS module 6 (NAVEDTRA 14178), choke-input filter: 0.9 of the rms volts (from memory).

    >>> round(choke_input(300 * 2 ** 0.5, 200, 4300), 0)
    258.0
    """
    return 2 / pi * peak * load / (load + resistance)


def critical_inductance(load: float, frequency: float) -> float:
    """The least choke that keeps the current flowing in a full-wave rectifier [H].

    load [ohm], frequency of the mains [Hz]. L = RL / (6 pi f): the usual RL / 1130 at 60 Hz (Terman, Radio Engineers'
    Handbook, 1943, section 8; from memory).

    >>> round(critical_inductance(4300, 60), 1)
    3.8
    """
    return load / (6 * pi * frequency)


def ripple(current: float, frequency: float, capacitance: float, pulses: int = 1) -> float:
    """Ripple on the reservoir, peak to peak [V]: an upper bound, as if it discharged all the time between peaks.

    current [A], frequency [Hz], capacitance [F]. dV = I / (pulses f C).

    >>> round(ripple(0.0633, 60, 40e-6), 1)  # 20.5 V by integration
    26.4
    """
    return current / (pulses * frequency * capacitance)


def inrush(peak: float, resistance: float) -> float:
    """The most current into an empty reservoir [A]: switched on at the peak, with nothing but this resistance.

    >>> round(inrush(120 * 2 ** 0.5, 100), 2)  # 1.04 A when switched on at a zero of the mains
    1.7
    """
    return peak / resistance
