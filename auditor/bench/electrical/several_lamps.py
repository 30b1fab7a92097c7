"""Several lamps in one limiter, side by side or in a row: together they are one lamp with a law of its own.

Side by side they have the same volts, and their currents add; in a row they carry the same current, and their volts add.
Each has its own filament at its own temperature, so a small lamp in a row with a large one takes nearly all the volts.

The law of all is written against the temperature of the first, which gives its volts and amperes, and through these those
of every other. Both sums rise with it, so what `operating_point` and `ranges` say of one lamp holds of several: the volts
across them rise with the current, and faster than in proportion (of lamps side by side the currents rise slower than the
volts, each for itself and so their sum; of lamps in a row the volts rise faster than the current, each and so their sum).
Whatever makes one of them pass more at every voltage makes all together pass more, since a sum is monotone in each of its
parts. So the edges of the band of all are the sums of the edges of each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import product

from msgspec import Struct

from auditor.bench.electrical.filament import FilamentLaw
from auditor.bench.electrical.lamp import SeriesLamp, series_lamp
from auditor.bench.electrical.lamp_band import LampBand
from auditor.logic.interval import Interval


def side_by_side(lamps: tuple[SeriesLamp, ...]) -> SeriesLamp:
    """These lamps in parallel, as one lamp. lamps: one or more.

    >>> pair = side_by_side((series_lamp(60, 120), series_lamp(40, 120)))
    >>> round(pair.current_at(120), 3)  # 0.5 and 0.333 A
    0.833
    """
    def others(volts: float, amps: float) -> tuple[float, float]:
        return volts, amps + sum(lamp.current_at(volts) for lamp in lamps[1:])

    return _together(lamps, others)


def in_a_row(lamps: tuple[SeriesLamp, ...]) -> SeriesLamp:
    """These lamps in series, as one lamp. lamps: one or more.

    >>> pair = in_a_row((series_lamp(100, 120), series_lamp(40, 120)))
    >>> round(pair.current_at(120), 3)  # 19 V on the large one, 101 V on the small one
    0.302
    """
    def others(volts: float, amps: float) -> tuple[float, float]:
        return volts + sum(lamp.voltage_at(amps) for lamp in lamps[1:]), amps

    return _together(lamps, others)


@lru_cache(maxsize=64)
def _law(lamps: tuple[SeriesLamp, ...], row: bool) -> SeriesLamp:
    return in_a_row(lamps) if row else side_by_side(lamps)


def _together(lamps: tuple[SeriesLamp, ...], others: Callable[[float, float], tuple[float, float]]) -> SeriesLamp:
    first = lamps[0]
    law = first.law

    def whole(piece: Callable[[float], tuple[float, float]]) -> Callable[[float], tuple[float, float]]:
        def at(temperature: float) -> tuple[float, float]:
            volts, amps = piece(temperature)
            return others(volts * first.voltage, amps * first.current)
        return at

    points = [others(volts * first.voltage, amps * first.current)
              for volts, amps in zip(law.voltages, law.currents, strict=True)]
    return SeriesLamp(FilamentLaw(
        law.rated_temperature, law.loss_below, law.loss_above, law.temperatures, tuple(volts for volts, _ in points),
        tuple(amps for _, amps in points), tuple(whole(piece) for piece in law.pieces)), 1.0, 1.0)


def rating(powers: tuple[float, ...], voltage: float, row: bool) -> tuple[float, float]:
    """The volts [V] and watts [W] of one lamp in place of these: at them none has more than its own volts.

    powers: watts printed on each [W]. voltage: printed on all [V]. row: whether they are in series; else in parallel.
    In parallel the volts of one and the watts of all. In series the smallest has its own volts and sets the current, and the
    others take what they take at that; equal ones have the volts of all and the watts of all.

    >>> [round(x) for x in rating((60, 40), 120, row=False)]
    [120, 100]
    >>> [round(x) for x in rating((60, 60), 120, row=True)]
    [240, 120]
    >>> [round(x) for x in rating((100, 40), 120, row=True)]
    [143, 48]
    """
    if not row:
        return voltage, sum(powers)
    amps = min(powers) / voltage
    volts = sum(series_lamp(power, voltage).voltage_at(amps) for power in powers)
    return volts, volts * amps


@lru_cache(maxsize=64)
def rating_band(powers: tuple[Interval, ...], voltage: Interval, row: bool) -> tuple[Interval, Interval]:
    """The volts [V] and watts [W] of `rating` for bands of these.

    powers [W] and voltage [V] of each, above 0; row: whether they are in series. Volts and watts of a row rise with the
    watts of its smallest lamp, and fall with those of the others. So they are lowest at a corner, and highest at one or
    where lamps are equal, at an end of the band of one of them: all of these are tried.
    """
    if not row:
        return voltage, Interval(sum(power.low for power in powers), sum(power.high for power in powers))
    ends = sorted({end for power in powers for end in (power.low, power.high)})
    corners = [rating(each, volts, row) for volts in (voltage.low, voltage.high)
               for each in product(*([end for end in ends if end in power] for power in powers))]
    return (Interval(min(volts for volts, _ in corners), max(volts for volts, _ in corners)),
            Interval(min(watts for _, watts in corners), max(watts for _, watts in corners)))


class LampBands(Struct, frozen=True):
    """Several lamps, each a band, with the same volts printed on all. row: whether they are in series; else in parallel."""

    each: tuple[LampBand, ...]
    row: bool

    @property
    def voltage(self) -> Interval:
        """Volts at which all together are at full glow, or the smallest of a row is [V]."""
        return rating_band(tuple(band.power for band in self.each), self.each[0].voltage, self.row)[0]

    @property
    def ratio(self) -> Interval:
        """Of an autotransformer between lamps and set."""
        return self.each[0].ratio

    def passing_most(self) -> SeriesLamp:
        """The edge of the band with the most current at every voltage."""
        return _law(tuple(band.passing_most() for band in self.each), self.row)

    def passing_least(self) -> SeriesLamp:
        """The edge of the band with the least current at every voltage."""
        return _law(tuple(band.passing_least() for band in self.each), self.row)

    def temperatures(self, voltage: Interval, current: Interval) -> Interval:
        """Temperatures of all filaments [K] for these volts across all [V] at this current [A]."""
        return _hull(band.temperatures(voltage if not self.row else Interval(
            band.passing_most().voltage_at(current.low), band.passing_least().voltage_at(current.high)), current)
            for band in self.each)

    def light(self, temperature: Interval) -> Interval:
        """Light of any of them relative to that at its rated volts, between these temperatures [K]."""
        return _hull(band.light(temperature) for band in self.each)

    def exactly_made(self) -> LampBands:
        """The same lamps, all of them known exactly."""
        return LampBands(tuple(band.exactly_made() for band in self.each), self.row)


def _hull(intervals: Iterable[Interval]) -> Interval:
    first, *rest = intervals
    for other in rest:
        first = first.hull(other)
    return first
