"""Random circuits for the tests, and the heat balance of a lamp written a second time, for comparison."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import cycle
from math import sqrt

from hypothesis import settings
from hypothesis import strategies as st
from msgspec.structs import replace

from auditor.bench.electrical.lamp import SeriesLamp, series_lamp
from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import Load, SetLoad, Shape, relative_current
from auditor.bench.electrical.operating_point import Point, Source, needed, settle
from auditor.bench.electrical.ranges import Circuit
from auditor.bench.electrical.several_lamps import LampBands, in_a_row, side_by_side
from auditor.bench.electrical.tungsten import ROOM
from auditor.logic.interval import Interval


@dataclass(frozen=True)
class Sampled:
    """One circuit out of a band: every input a number.

    set_load, motor_load: currents against volts, with their power factors; meet: how what brings no watts in the two
    currents lies to each other in time, from -1 (it cancels) to 1 (it adds). each, row: the lamps that `lamp` is made of,
    and whether they are in series.
    """

    source: Source
    lamp: SeriesLamp | None
    set_load: Load
    power_factor: float
    motor_load: Load | None = None
    motor_factor: float = 1.0
    meet: float = 0.0
    each: tuple[SeriesLamp, ...] = ()
    row: bool = False

    def load(self, volts: float) -> float:
        """Current of set and motor [A rms]: with the part of each that brings watts in step with the volts, and the rest."""
        one = self.set_load(volts)
        if self.motor_load is None:
            return one
        other = self.motor_load(volts)
        idle, idle_too = one * sqrt(1 - self.power_factor ** 2), other * sqrt(1 - self.motor_factor ** 2)
        rest = idle ** 2 + idle_too ** 2 + 2 * self.meet * idle * idle_too
        return sqrt((one * self.power_factor + other * self.motor_factor) ** 2 + max(0.0, rest))

    def factor(self, volts: float) -> float:
        """Power factor of set and motor together."""
        amps = self.load(volts)
        if self.motor_load is None or amps <= 0.0:
            return self.power_factor
        return (self.set_load(volts) * self.power_factor + self.motor_load(volts) * self.motor_factor) / amps

    def temperatures(self, point: Point) -> list[float]:
        """Of every filament [K]."""
        if not self.each:
            return [point.temperature]
        return [lamp.temperature_at(lamp.voltage_at(point.current) if self.row else point.lamp_voltage)
                for lamp in self.each]

    def settle(self) -> Point:
        if self.motor_load is None:
            return settle(self.source, self.lamp, self.set_load, self.power_factor)

        def drop(volts: float) -> float:
            amps = self.load(volts)
            return (self.lamp.voltage_at(amps) if self.lamp else 0.0) + self.source.resistance * amps

        def surplus(volts: float) -> float:
            return needed(volts, drop(volts), self.factor(volts)) - self.source.voltage

        low, high = 0.0, self.source.voltage
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if surplus(middle) < 0.0 else (low, middle)
        volts = high
        amps = self.load(volts)
        across = self.lamp.voltage_at(amps) if self.lamp else 0.0
        return Point(volts, amps, across, self.lamp.law.from_current(amps / self.lamp.current) if self.lamp else ROOM)


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
    """The circuit at these fractions of its ranges, in the order of the fields; further lamps and the motor come last."""
    f = cycle(fractions)
    source = Source(at(circuit.voltage, next(f)), at(circuit.resistance, next(f)))
    first = [next(f) for _ in range(4)]
    load, factor = _sampled_load(circuit.load, [next(f) for _ in range(7)])
    lamp = None if circuit.lamp is None else _sampled_lamp(circuit.lamp, first, f)
    if isinstance(lamp, tuple):
        assert isinstance(circuit.lamp, LampBands)
        row = circuit.lamp.row
        return Sampled(source, (in_a_row if row else side_by_side)(lamp), load, factor, each=lamp, row=row)
    if circuit.motor is None:
        return Sampled(source, lamp, load, factor)
    motor = [next(f) for _ in range(4)]
    # Of its seven inputs a motor has these: volts, watts, exponent, power factor.
    motor_load, motor_factor = _sampled_load(circuit.motor, [*motor[:2], 0.0, 0.0, motor[2], 0.0, motor[3]])
    return Sampled(source, lamp, load, factor, motor_load, motor_factor, 2 * next(f) - 1)


def _sampled_load(of: SetLoad, f: list[float]) -> tuple[Load, float]:
    shape, rated, power = of.shape, at(of.voltage, f[0]), at(of.power, f[1])
    bands = shape.heater_share, shape.heater_exponent, shape.rest_exponent, shape.onset, shape.power_factor
    share, a, b, onset, factor = (at(band, fraction) for band, fraction in zip(bands, f[2:], strict=True))

    def load(volts: float) -> float:
        return power / (rated * factor) * relative_current(volts / rated, share, a, b, onset) if volts > 0 else 0.0

    return load, factor


def _sampled_lamp(of: LampBand | LampBands, first: list[float],
                  f: Iterator[float]) -> SeriesLamp | tuple[SeriesLamp, ...]:
    if isinstance(of, LampBands):
        fractions = [first, *([next(f) for _ in range(4)] for _ in of.each[1:])]
        return tuple(_one_lamp(band, each) for band, each in zip(of.each, fractions, strict=True))
    return _one_lamp(of, first)


def _one_lamp(of: LampBand, f: list[float]) -> SeriesLamp:
    watts, volts, loss, made = f
    return series_lamp(at(of.power, watts), at(of.voltage, volts), at(of.loss, loss)).made(
        1 + (2 * made - 1) * of.made_within)
