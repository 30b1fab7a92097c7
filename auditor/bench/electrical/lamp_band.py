"""A lamp as a band: what is printed on it, and how real ones spread about that."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.electrical.filament import LOSS_BAND, filament_law
from auditor.bench.electrical.lamp import MADE_WITHIN, SeriesLamp, rated_temperature, relative_light, series_lamp
from auditor.logic.interval import Interval


class LampBand(Struct, frozen=True):
    """A lamp of which watts [W] and volts [V] are printed, and how real ones spread about that.

    made_within: relative spread of the watts. loss: share of the power not radiated. ratio: of an autotransformer
    between the lamp and the set, by which the lamp's volts look multiplied from the set's side.
    """

    power: Interval
    voltage: Interval
    made_within: float = MADE_WITHIN
    loss: Interval = Interval(*LOSS_BAND)
    ratio: Interval = Interval.exactly(1.0)

    def passing_most(self) -> SeriesLamp:
        """The edge of the band with the most current at every voltage."""
        lamp = series_lamp(self.power.high, self.voltage.low, self.loss.high, self.loss.low)
        return lamp.made(1 + self.made_within).at_ratio(self.ratio.low)

    def passing_least(self) -> SeriesLamp:
        """The edge of the band with the least current at every voltage."""
        lamp = series_lamp(self.power.low, self.voltage.high, self.loss.low, self.loss.high)
        return lamp.made(1 - self.made_within).at_ratio(self.ratio.high)

    def temperatures(self, voltage: Interval, current: Interval) -> Interval:
        """Temperatures of the filament [K] for this range of volts across the lamp [V]; current [A] tells nothing more."""
        low = voltage.low / (self.voltage.high * self.ratio.high)
        high = voltage.high / (self.voltage.low * self.ratio.low)
        cool = filament_law(rated_temperature(self.power.low, self.voltage.high), self.loss.high, self.loss.low)
        hot = filament_law(rated_temperature(self.power.high, self.voltage.low), self.loss.low, self.loss.high)
        low, high = cool.from_voltage(low), hot.from_voltage(high)
        return Interval(min(low, high), max(low, high))

    def light(self, temperature: Interval) -> Interval:
        """Light relative to that at the rated volts, between these temperatures of the filament [K]."""
        rated = rated_temperature((self.power.low + self.power.high) / 2, self.voltage.high)
        return Interval(relative_light(temperature.low, rated), relative_light(temperature.high, rated))

    def exactly_made(self) -> LampBand:
        """The lamp in the middle of the band, known exactly."""
        return LampBand(middle(self.power), middle(self.voltage), 0.0, middle(self.loss), self.ratio)


def middle(interval: Interval) -> Interval:
    """The number halfway between the ends of the interval."""
    return Interval.exactly((interval.low + interval.high) / 2)
