"""The filament of a lamp in its gas: what volts and amperes belong to which temperature.

Everything here is relative to the rated point: voltage, current and power are 1 where the filament is at its rated
temperature. The heat balance: electrical power = radiation (Jones' table) + loss to gas and leads,

    v i = p(T) = (1 - f) W'(T)/W'(Tr) + f (T**g - Ta**g)/(Tr**g - Ta**g),     v / i = R'(T)/R'(Tr),

with f the share of the rated power that is not radiated and g = 1.75, the exponent of conduction through a gas film
(I. Langmuir, Physical Review 34, 401 (1912); from memory). Two powers of the temperature are what is found in real
lamps: M. Carla, American Journal of Physics 81 (2013), doi 10.1119/1.4802873, abstract.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise
from math import sqrt

from msgspec import Struct

from auditor.bench.electrical.bracket import bracketed
from auditor.bench.electrical.tungsten import JONES, MELTING, ROOM, radiated, radiation_law, resistance

GAS_EXPONENT = 1.75
"""g in the heat balance (Langmuir's gas film; from memory)."""
LOSS = 0.10
"""f in the middle of its band: with it a 120 V, 100 W lamp obeys I ~ V**0.567 around its rated voltage, between the
0.541 of gas-filled and the 0.580 of vacuum lamps (IES Lighting Handbook, reference volume 1984, section 8; from
memory)."""
LOSS_BAND = (0.05, 0.15)
"""f of real mains lamps: the two measured ones lie near either end of it."""
HOTTEST = 40_000.0
"""Where the law ends [K]. Above the melting point no filament lives: the law goes on only so that every circuit has
a solution, which then says "melts"."""

_TEMPERATURES = (ROOM, *(row[0] for row in JONES if row[0] > ROOM), HOTTEST)


class FilamentLaw(Struct, frozen=True):
    """The law of one kind of filament, ready for a solver.

    rated_temperature: Tr [K]. loss_below, loss_above: f where the filament is cooler and hotter than at its rated
    point; they differ only for the outer edges of a band of lamps, which cross at the rated point.
    temperatures [K], voltages, currents: the law at the rows of Jones' table and at Tr, all increasing.
    """

    rated_temperature: float
    loss_below: float
    loss_above: float
    temperatures: tuple[float, ...]
    voltages: tuple[float, ...]
    currents: tuple[float, ...]
    pieces: tuple[Callable[[float], tuple[float, float]], ...]

    def at(self, temperature: float) -> tuple[float, float]:
        """Relative voltage and current at this filament temperature [K]; nothing at the room's."""
        k = bisect_right(self.temperatures, temperature) - 1
        return self.pieces[min(max(k, 0), len(self.pieces) - 1)](temperature)

    def from_voltage(self, voltage: float) -> float:
        """The filament temperature [K] at this relative voltage, 0 or more."""
        return self._inverse(voltage, self.voltages, 0)

    def from_current(self, current: float) -> float:
        """The filament temperature [K] at this relative current, 0 or more."""
        return self._inverse(current, self.currents, 1)

    def _inverse(self, value: float, knots: tuple[float, ...], which: int) -> float:
        if value <= 0.0:
            return ROOM
        k = bisect_right(knots, value) - 1
        if k >= len(self.pieces):
            return HOTTEST
        piece = self.pieces[k]
        low, high = self.temperatures[k], self.temperatures[k + 1]
        return bracketed(lambda t: piece(t)[which] - value, low, high, knots[k] - value, knots[k + 1] - value)


@lru_cache(maxsize=256)
def filament_law(rated_temperature: float, loss_below: float, loss_above: float) -> FilamentLaw:
    """The law of a filament that runs at `rated_temperature` [K] at its rated voltage.

    loss_below, loss_above: share of the rated power that is not radiated [0 to 1], cooler and hotter than rated.

    >>> law = filament_law(2850, 0.10, 0.10)
    >>> round(law.at(law.from_voltage(60 / 120))[1] * 100 / 120, 3)  # a 100 W lamp at half its volts [A]
    0.565
    """
    temperatures = tuple(sorted({*_TEMPERATURES, rated_temperature}))
    pieces = tuple(
        _piece(low, high, rated_temperature, loss_below if high <= rated_temperature else loss_above)
        for low, high in pairwise(temperatures))
    points = [piece(low) for piece, low in zip(pieces, temperatures, strict=False)]
    points.append(pieces[-1](temperatures[-1]))
    return FilamentLaw(rated_temperature, loss_below, loss_above, temperatures,
                       tuple(v for v, _ in points), tuple(i for _, i in points), pieces)


def _piece(low: float, high: float, rated: float, loss: float) -> Callable[[float], tuple[float, float]]:
    """The law between two neighbouring rows, with the constants worked in."""
    middle = (low + high) / 2
    r_low = resistance(low) / resistance(rated)
    slope = (resistance(high) / resistance(rated) - r_low) / (high - low)
    film = loss / (rated ** GAS_EXPONENT - ROOM ** GAS_EXPONENT)
    room = ROOM ** GAS_EXPONENT
    if middle < JONES[2][0]:
        straight = (1 - loss) / radiated(rated) * radiated(high) / (high - low)

        def near_room(t: float) -> tuple[float, float]:
            power = straight * (t - low) + film * (t ** GAS_EXPONENT - room)
            r = r_low + slope * (t - low)
            return sqrt(power * r), sqrt(power / r)
        return near_room
    base, at, exponent = radiation_law(min(middle, MELTING))
    scale = (1 - loss) / radiated(rated) * at / base ** exponent

    def between(t: float) -> tuple[float, float]:
        power = scale * t ** exponent + film * (t ** GAS_EXPONENT - room)
        r = r_low + slope * (t - low)
        return sqrt(power * r), sqrt(power / r)
    return between
