"""The set as the lamp sees it: how much current at how many volts, when it is healthy and warm.

A healthy set is heaters, which take less than proportionally more as they get hotter, and the rest (B+ and iron),
which takes about proportionally or a little more. B+ is not drawn before the tubes are hot enough to conduct. The
law, relative to the rated point, with u = V / Vn:

    I / In = h u**a + (1 - h) u**b conducting(u)

so that I(Vn) = In whatever h, a and b are. Nothing in it falls as u rises, hence one settled point (operating_point).
A band of sets is enclosed by two such laws, an edge that draws the most and one that draws the least at every
voltage; both pass through the rated point, where the shape does not matter.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from auditor.logic.interval import Interval

ONSET_WIDTH = 0.15
"""From the first conduction to all of it, relative to the rated voltage. Emission against heater volts: 1 % of the
nominal at half, 5 % at 60 %, 12 % at 70 % (Richardson's law, computed); a set uses 5 to 10 % of it. A choice."""
ALWAYS = -ONSET_WIDTH
"""Onset of a load that conducts from the first volt on."""

Load = Callable[[float], float]


class Shape(Struct, frozen=True):
    """The shape of a set's law; each a range.

    heater_share: h, the heaters' part of the rated current [0 to 1]. heater_exponent: a; a filament has 0.54 to
    0.58, a heater with its slower law up to 0.7. rest_exponent: b; 1 is a resistance, 1.5 a space-charge diode
    (Child's law); not below the heaters'. onset: where tubes begin to conduct, relative to the rated voltage.
    power_factor: watts over volts times amperes [0 to 1].
    """

    heater_share: Interval
    heater_exponent: Interval
    rest_exponent: Interval
    onset: Interval
    power_factor: Interval

    def __post_init__(self) -> None:
        # Ordered so, a larger share of heaters always means more current below the rated voltage.
        if self.heater_share.high > 0.0 and self.heater_share.low < 1.0 \
                and self.heater_exponent.high > self.rest_exponent.low:
            raise ValueError("the heaters' exponent is not above that of the rest")


class Edge(Struct, frozen=True):
    """One edge of a band of sets: its current [A] and its watts over its volts [A] against volts, neither ever falling, and
    the least and the greatest power factor that it can have."""

    load: Load
    active: Load
    power_factors: Interval

    def power(self, volts: float) -> float:
        """Watts at this voltage [W]; it never falls as the volts rise."""
        return volts * self.active(volts)

    def factor(self, volts: float) -> float:
        """The power factor at this voltage [0 to 1]; 1 where nothing flows."""
        amps = self.load(volts)
        return self.active(volts) / amps if amps > 0.0 else 1.0


def most_together(one: Edge, other: Edge) -> Edge:
    """The edge of two loads side by side that draws the most: `one` and `other` are the edges of each that do.

    However the two currents lie to each other in time, together they are at most their sum (rms values obey the triangle
    inequality), and the watts are the sum of the watts.
    """
    return Edge(lambda volts: one.load(volts) + other.load(volts), lambda volts: one.active(volts) + other.active(volts),
                one.power_factors.hull(other.power_factors))


def least_together(one: Edge, other: Edge) -> Edge:
    """The edge of two loads side by side that draws the least: `one` and `other` are the edges of each that do.

    However the two currents lie to each other in time, the watts must flow: the current is at least the sum of the watts
    over the volts, which is all of it where what brings no watts cancels.
    """
    def active(volts: float) -> float:
        return one.active(volts) + other.active(volts)

    return Edge(active, active, Interval.exactly(1.0))


class SetLoad(Struct, frozen=True):
    """A band of sets whose current never falls as their volts rise.

    voltage: rated [V], above 0. power: drawn at it [W], 0 or more.
    """

    voltage: Interval
    power: Interval
    shape: Shape

    def most(self, power_factor: float | None = None) -> Edge:
        """The edge that draws the most current at every voltage, among sets of this power factor.

        Where none is given, among all: that with the lowest power factor.
        """
        return _edge(self, True, self.shape.power_factor.low if power_factor is None else power_factor)

    def least(self, power_factor: float | None = None) -> Edge:
        """The edge that draws the least current at every voltage, among sets of this power factor.

        Where none is given, among all: that with the highest power factor.
        """
        return _edge(self, False, self.shape.power_factor.high if power_factor is None else power_factor)


def _edge(band: SetLoad, most: bool, power_factor: float) -> Edge:
    voltage = band.voltage.low if most else band.voltage.high
    power = band.power.high if most else band.power.low
    # Below the rated voltage small exponents mean much current, above it they mean little; so with the shares.
    below = _law(band.shape, most)
    above = _law(band.shape, not most)
    amps = power / (voltage * power_factor)

    def current(volts: float) -> float:
        if volts <= 0.0:
            return 0.0
        u = volts / voltage
        return amps * (below(u) if u < 1.0 else above(u))

    return Edge(current, lambda volts: power_factor * current(volts), Interval.exactly(power_factor))


def _law(shape: Shape, early: bool) -> Load:
    """I / In against u, from the ends of the shape's ranges that make it rise early or late."""
    share = shape.heater_share.high if early else shape.heater_share.low
    a = shape.heater_exponent.low if early else shape.heater_exponent.high
    b = shape.rest_exponent.low if early else shape.rest_exponent.high
    onset = shape.onset.low if early else shape.onset.high
    return relative_law(share, a, b, onset)


def relative_law(share: float, heater_exponent: float, rest_exponent: float, onset: float) -> Load:
    """The law of a healthy, warm set: its current relative to that at its rated voltage, against its relative volts.

    share of the heaters [0 to 1], heater_exponent, rest_exponent, onset: as in Shape, onset + ONSET_WIDTH at most 1.
    """
    of_rest = 1.0 - share

    def law(u: float) -> float:
        heaters: float = share * u ** heater_exponent if share > 0.0 else 0.0
        conducting = (u - onset) / ONSET_WIDTH
        if conducting <= 0.0:
            return heaters
        rest: float = of_rest * u ** rest_exponent
        return heaters + (rest * conducting if conducting < 1.0 else rest)

    return law


def relative_current(u: float, share: float, heater_exponent: float, rest_exponent: float, onset: float) -> float:
    """Current of a healthy, warm set relative to that at its rated voltage.

    u: volts relative to the rated [0 to 2]. share, heater_exponent, rest_exponent, onset: as in `relative_law`.

    >>> relative_current(1.0, 0.5, 0.6, 1.0, 0.5)
    1.0
    >>> round(relative_current(0.4, 0.5, 0.6, 1.0, 0.5), 3)  # heaters alone: no tube conducts yet
    0.289
    """
    return relative_law(share, heater_exponent, rest_exponent, onset)(u)


def dead_short(volts: float) -> float:
    """A set that is a dead short, for an operating point: any voltage across it is too much.

    >>> dead_short(0.0)
    0.0
    """
    return volts * 1e9


def open_circuit(volts: float) -> float:
    """A set that draws nothing: switched off, its fuse or a tube of its heater chain out."""
    return 0.0
