"""A switching supply: constant power above a start voltage, so its current rises as its volts fall.

Behind a lamp it can have no running point, one (just touching) or two. The watts that source and lamp leave for it,
c I V, have one top over the current: the volts across the lamp bend upwards with the current, so those left bend
downwards. A power below the top is met twice, once on either side.
"""

from __future__ import annotations

from dataclasses import dataclass

from auditor.bench.electrical.bracket import bracketed
from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.operating_point import Point, Source, remaining
from auditor.bench.electrical.ranges import Circuit, LampBand, Settled, from_current
from auditor.bench.electrical.tungsten import ROOM
from auditor.logic.interval import Interval

GOLDEN = 0.6180339887498949


@dataclass(frozen=True, slots=True)
class SwitchingLoad:
    """A band of switching supplies.

    power: drawn from the mains while it runs [W]. starts_at: the least voltage at which it runs [V]. power_factor.
    """

    power: Interval
    starts_at: Interval
    power_factor: Interval


def running_points(source: Source, lamp: SeriesLamp, power: float, starts_at: float, power_factor: float) -> tuple[Point, ...]:
    """Where it can run behind a lamp: none, one or two points, the one with the higher set voltage first.

    power [W]; starts_at [V]: points below it do not run; power_factor [0 to 1].

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> [round(p.set_voltage) for p in running_points(Source(120), series_lamp(100, 120), 20, 0, 1.0)]
    [115, 28]
    >>> running_points(Source(120), series_lamp(100, 120), 60, 0, 1.0)
    ()
    """
    law = lamp.law
    if source.voltage <= 0.0:
        return ()

    def point(temperature: float) -> Point:
        volts, amps = law.at(temperature)
        volts, amps = volts * lamp.voltage, amps * lamp.current
        series = volts + source.resistance * amps
        left = remaining(source.voltage, series, power_factor) if series < source.voltage else 0.0
        return Point(left, amps, volts, temperature)

    def spare(temperature: float) -> float:
        at = point(temperature)
        return power_factor * at.set_voltage * at.current - power

    hot = law.from_voltage(source.voltage / lamp.voltage)
    low, high = ROOM, hot
    x, y = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_x, at_y = spare(x), spare(y)
    while high - low > 1e-7 * hot and max(at_x, at_y) < 0.0:
        if at_x < at_y:
            low, x, at_x = x, y, at_y
            y = low + GOLDEN * (high - low)
            at_y = spare(y)
        else:
            high, y, at_y = y, x, at_x
            x = high - GOLDEN * (high - low)
            at_x = spare(x)
    top, most = (x, at_x) if at_x > at_y else (y, at_y)
    if most < 0.0:
        return ()
    roots = (bracketed(spare, ROOM, top, spare(ROOM), most), bracketed(spare, top, hot, most, -power))
    points = tuple(dict.fromkeys(point(t) for t in roots))
    return tuple(p for p in points if p.set_voltage >= starts_at)


def switching_settled(circuit: Circuit, supply: SwitchingLoad) -> tuple[Settled, tuple[int, ...]]:
    """The ranges of every reading, all running points in them, and how many points the circuits in the band can have.

    `circuit.load` is not used. Both points of the circuit that leaves the most spare watts (the strongest source,
    the lamp that passes most, the least power, the highest power factor) enclose those of all others.
    """
    voltage = circuit.voltage
    if circuit.lamp is None:
        return _direct(voltage, supply)
    counts, points = set(), []
    for best in (True, False):
        found = running_points(*_end(circuit, circuit.lamp, supply, best))
        counts.add(len(found))
        points.extend(found)
    idle = voltage.low < supply.starts_at.high or 0 in counts
    if idle or not points:
        # It does not start, or starts and falls off again and again: anything from nothing to the whole.
        counts.add(0)
        points += [Point(0.0, circuit.lamp.passing_most().current_at(voltage.high)), Point(voltage.high, 0.0)]
        if voltage.high < supply.starts_at.low:
            points = [Point(voltage.high, 0.0), Point(voltage.low, 0.0)]
    counts |= {1} if {0, 2} <= counts else set()
    volts, amps = [p.set_voltage for p in points], [p.current for p in points]
    current = Interval(min(amps), max(amps))
    cool, hot = circuit.lamp.passing_most(), circuit.lamp.passing_least()
    lamp_voltage = Interval(cool.voltage_at(current.low), min(hot.voltage_at(current.high), voltage.high))
    temperature = Interval(cool.temperature_at(lamp_voltage.low), hot.temperature_at(lamp_voltage.high))
    power = Interval(0.0 if 0 in counts else supply.power.low, 0.0 if counts == {0} and max(amps) == 0 else supply.power.high)
    return Settled(Interval(min(volts), max(volts)), current, power, lamp_voltage, lamp_voltage * current,
                   temperature, voltage), tuple(sorted(counts))


def _end(circuit: Circuit, lamp: LampBand, supply: SwitchingLoad, best: bool) -> tuple[Source, SeriesLamp, float, float, float]:
    if best:
        return (Source(circuit.voltage.high, circuit.resistance.low), lamp.passing_most(), supply.power.low,
                supply.starts_at.low, supply.power_factor.high)
    return (Source(circuit.voltage.low, circuit.resistance.high), lamp.passing_least(), supply.power.high,
            supply.starts_at.high, supply.power_factor.low)


def _direct(voltage: Interval, supply: SwitchingLoad) -> tuple[Settled, tuple[int, ...]]:
    runs, idles = voltage.high >= supply.starts_at.low, voltage.low < supply.starts_at.high
    factor = supply.power_factor
    high = supply.power.high / (factor.low * max(voltage.low, supply.starts_at.low)) if runs else 0.0
    low = 0.0 if idles else supply.power.low / (factor.high * voltage.high)
    none = Interval.exactly(0.0)
    power = Interval(0.0 if idles else supply.power.low, supply.power.high if runs else 0.0)
    counts = tuple(count for count, can in ((0, idles), (1, runs)) if can)
    return Settled(voltage, Interval(low, high), power, none, none, Interval.exactly(ROOM), voltage), counts


def switching_brought_to(reading: Interval, circuit: Circuit, supply: SwitchingLoad) -> Settled:
    """The ranges where the operator turned the dial until the set's meter showed this [V]."""
    direct, _ = _direct(reading, supply)
    return from_current(reading, circuit, direct.current, direct.set_power, supply.power_factor)
