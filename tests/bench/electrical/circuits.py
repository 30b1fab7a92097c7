"""Random circuits for the tests, and the heat balance of a lamp written a second time, for comparison."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hypothesis import settings
from hypothesis import strategies as st

from auditor.bench.electrical.lamp import SeriesLamp, series_lamp
from auditor.bench.electrical.load import Load, SetLoad, Shape, relative_current
from auditor.bench.electrical.operating_point import Point, Source, settle
from auditor.bench.electrical.ranges import Circuit, LampBand
from auditor.logic.interval import Interval


@dataclass(frozen=True)
class Sampled:
    """One circuit out of a band: every input a number."""

    source: Source
    lamp: SeriesLamp | None
    load: Load
    power_factor: float

    def settle(self) -> Point:
        return settle(self.source, self.lamp, self.load, self.power_factor)


def interval(draw: st.DrawFn, low: float, high: float, widest: float = 0.3) -> Interval:
    """A range inside low..high, at most `widest` of it wide; often a single number. What no meter shows is nothing."""
    middle = draw(st.floats(low, high))
    width = draw(st.sampled_from([0.0, 0.02, 0.1, 1.0])) * widest * (high - low)
    ends = (max(low, middle - width / 2), min(high, middle + width / 2))
    return Interval(*(0.0 if end < high / 1000 else end for end in ends))


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    return Shape(interval(draw, 0.0, 1.0), interval(draw, 0.5, 0.8), interval(draw, 0.8, 1.5),
                 interval(draw, 0.3, 0.7), interval(draw, 0.6, 1.0))


@st.composite
def circuits(draw: st.DrawFn, *, with_lamp: bool | None = None) -> Circuit:
    mains = draw(st.sampled_from([120.0, 230.0]))
    lamp = LampBand(interval(draw, 15.0, 300.0), interval(draw, 0.9 * mains, 1.1 * mains),
                    loss=interval(draw, 0.05, 0.15))
    through = draw(st.booleans()) if with_lamp is None else with_lamp
    load = SetLoad(interval(draw, 0.9 * mains, 1.1 * mains), interval(draw, 0.0, 300.0), draw(shapes()))
    return Circuit(interval(draw, 0.0, 1.25 * mains), interval(draw, 0.0, 8.0), lamp if through else None, load)


@st.composite
def narrowed(draw: st.DrawFn, circuit: Circuit) -> Circuit:
    """A circuit with some or all of the ranges of this one made narrower."""
    def inside(of: Interval) -> Interval:
        a, b = draw(fractions), draw(fractions)
        return Interval(at(of, min(a, b)), at(of, max(a, b)))

    fractions = st.sampled_from([0.0, 0.0, 1.0, 1.0, 0.3, 0.5, 0.9])
    shape, lamp = circuit.load.shape, circuit.lamp
    return Circuit(
        inside(circuit.voltage), inside(circuit.resistance),
        lamp and replace(lamp, power=inside(lamp.power), voltage=inside(lamp.voltage), loss=inside(lamp.loss)),
        SetLoad(inside(circuit.load.voltage), inside(circuit.load.power), Shape(
            inside(shape.heater_share), inside(shape.heater_exponent), inside(shape.rest_exponent),
            inside(shape.onset), inside(shape.power_factor))))


def at(of: Interval, fraction: float) -> float:
    return min(of.high, of.low + fraction * (of.high - of.low))


THOROUGH = settings(max_examples=max(300, (settings.default or settings()).max_examples), deadline=None)
"""300 cases, or as many as the chosen profile asks for."""
FRACTIONS = st.lists(st.one_of(st.sampled_from([0.0, 1.0]), st.floats(0, 1)), min_size=13, max_size=13)


def sampled(circuit: Circuit, fractions: list[float]) -> Sampled:
    """The circuit at these fractions of its ranges, in the order of the fields."""
    f = iter(fractions)
    source = Source(at(circuit.voltage, next(f)), at(circuit.resistance, next(f)))
    watts, volts, loss, made = (next(f) for _ in range(4))
    band = circuit.lamp
    lamp = None if band is None else series_lamp(
        at(band.power, watts), at(band.voltage, volts), at(band.loss, loss)).made(1 + (2 * made - 1) * band.made_within)
    shape, rated, power = circuit.load.shape, at(circuit.load.voltage, next(f)), at(circuit.load.power, next(f))
    share, a, b, onset, factor = (at(band, next(f)) for band in (
        shape.heater_share, shape.heater_exponent, shape.rest_exponent, shape.onset, shape.power_factor))

    def load(volts: float) -> float:
        return power / (rated * factor) * relative_current(volts / rated, share, a, b, onset) if volts > 0 else 0.0

    return Sampled(source, lamp, load, factor)
