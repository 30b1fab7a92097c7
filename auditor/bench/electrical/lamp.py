"""The limiter's lamp: from the watts and volts printed on it to what it passes and how it glows."""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache
from math import exp, log

from msgspec import Struct

from auditor.bench.electrical.filament import LOSS, FilamentLaw, filament_law
from auditor.bench.electrical.tungsten import MELTING, ROOM, resistance

RATED_TEMPERATURES: tuple[tuple[float, float], ...] = (
    (10, 2400), (25, 2550), (40, 2700), (60, 2780), (100, 2850), (150, 2880), (200, 2900))
"""Filament temperature [K] of a 120 V lamp of so many watts (typical general-service lamps; from memory)."""
REFERENCE_VOLTAGE = 120.0
"""Of the lamps in that table [V]."""
MADE_WITHIN = 0.04
"""How far the watts of a new lamp may lie above those printed on it, relative (IEC 60064: 104 % and 0.5 W; from
memory), and here taken downwards as well."""
DRAPER_POINT = 798.0
"""The temperature at which a body is first seen to glow in the dark [K] (J. W. Draper, Philosophical Magazine 30
(1847); J. R. Mahan, Radiation Heat Transfer, p. 58)."""
SECOND_RADIATION = 14387.77
"""hc/k [um K] (CODATA 2018)."""
EYE_PEAK = 0.555
"""Wavelength to which the eye is most sensitive by day [um] (CIE 1924)."""

GLOW: tuple[tuple[float, str], ...] = (
    (0.0, "dark"), (DRAPER_POINT, "a trace of red in the dark"), (1300.0, "dull red"), (1850.0, "orange"),
    (2350.0, "yellow"), (2500.0, "white"))
"""From which filament temperature [K] which word holds. The first is the Draper point; the others are this project's
scale, laid so that a dead short behind the lamp reads dull red at a quarter of the dial and orange at half of it
(common practice)."""


class SeriesLamp(Struct, frozen=True):
    """A lamp as a solver needs it: the law of its filament, its volts [V] and amperes [A] at the rated point."""

    law: FilamentLaw
    voltage: float
    current: float

    def current_at(self, volts: float) -> float:
        """Current at this voltage across the lamp [A], settled.

        >>> round(series_lamp(156, 220).current_at(120), 2)  # measured: 0.51 A
        0.5
        """
        return self.law.at(self.law.from_voltage(volts / self.voltage))[1] * self.current

    def voltage_at(self, amps: float) -> float:
        """Voltage across the lamp at this current [V], settled.

        >>> round(series_lamp(100, 120).voltage_at(0.4505), 0)
        40.0
        """
        return self.law.at(self.law.from_current(amps / self.current))[0] * self.voltage

    def temperature_at(self, volts: float) -> float:
        """Filament temperature at this voltage across the lamp [K], settled."""
        return self.law.from_voltage(volts / self.voltage)

    @property
    def cold_resistance(self) -> float:
        """Resistance at the temperature of the room [ohm].

        >>> round(series_lamp(100, 120).cold_resistance, 1)  # a 100 W, 120 V lamp measures 9.5 ohm
        9.1
        """
        return self.voltage / self.current * resistance(ROOM) / resistance(self.law.rated_temperature)

    @property
    def dark_below(self) -> float:
        """The current below which the lamp shows nothing [A]: all that a dark lamp says."""
        return self.law.at(DRAPER_POINT)[1] * self.current

    def at_ratio(self, ratio: float) -> SeriesLamp:
        """The lamp as seen through a transformer that multiplies its volts by `ratio`: the same watts."""
        return self if ratio == 1.0 else SeriesLamp(self.law, self.voltage * ratio, self.current / ratio)

    def made(self, factor: float) -> SeriesLamp:
        """A lamp of the same kind that came out with so many times the watts."""
        return SeriesLamp(self.law, self.voltage, self.current * factor)


def rated_temperature(power: float, voltage: float) -> float:
    """Filament temperature of a lamp at its rated voltage [K].

    power [W], voltage [V] as printed. Lamps of one rated current have wire of one thickness and run about equally
    hot, so a lamp for another voltage counts as the 120 V lamp of its current. Table RATED_TEMPERATURES, linear in
    the logarithm of the watts, its ends kept beyond it.

    >>> rated_temperature(100, 120)
    2850.0
    >>> round(rated_temperature(156, 220))  # by its measured law between 2700 and 2850 K
    2828
    """
    watts = power * REFERENCE_VOLTAGE / voltage
    table = RATED_TEMPERATURES
    if watts <= table[0][0]:
        return float(table[0][1])
    if watts >= table[-1][0]:
        return float(table[-1][1])
    k = bisect_right(table, (watts, float("inf")))
    (w0, t0), (w1, t1) = table[k - 1], table[k]
    return t0 + (t1 - t0) * log(watts / w0) / log(w1 / w0)


@lru_cache(maxsize=256)
def series_lamp(power: float, voltage: float, loss: float = LOSS, loss_above: float | None = None) -> SeriesLamp:
    """The lamp with these watts and volts printed on it.

    power [W] and voltage [V], above 0. loss: share of its power that it does not radiate [0.05 to 0.15]; loss_above:
    the same where it runs hotter than rated, if it differs.
    """
    law = filament_law(rated_temperature(power, voltage), loss, loss if loss_above is None else loss_above)
    return SeriesLamp(law, voltage, power / voltage)


def relative_light(temperature: float, rated: float) -> float:
    """Light of the filament relative to its light at the rated temperature.

    temperature, rated [K]. Wien's law at the wavelength of the eye's greatest sensitivity:
    L = exp(c2 / wavelength (1 / rated - 1 / temperature)).

    >>> round(relative_light(2210, 2850), 2)  # half the volts: 0.09 by the lamp makers' exponent of 3.4 to 3.5
    0.07
    """
    if temperature <= ROOM:
        return 0.0
    return exp(SECOND_RADIATION / EYE_PEAK * (1 / rated - 1 / temperature))


def glow(temperature: float) -> str:
    """What a filament of this temperature [K] looks like, in the words of GLOW; above its melting point, "melts"."""
    if temperature > MELTING:
        return "melts"
    return next(word for start, word in reversed(GLOW) if temperature >= start)


def glow_words(low: float, high: float) -> tuple[str, ...]:
    """Every word that fits a filament between the temperatures `low` and `high` [K], from the darkest.

    >>> glow_words(1000, 1900)
    ('a trace of red in the dark', 'dull red', 'orange')
    """
    words = [word for start, word in GLOW if start <= high]
    first = words.index(glow(low)) if low <= MELTING else len(words)
    return (*words[first:], *(("melts",) if high > MELTING else ()))
