"""A switching supply: constant power above a start voltage, so its current rises as its volts fall.

Behind a lamp it can have no running point, one (just touching) or two. The watts that source and lamp leave for it,
c I V, have one top over the current: the volts across the lamp bend upwards with the current, so those left bend
downwards. A power below the top is met twice, once on either side.
"""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.electrical.bracket import bracketed, top
from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.operating_point import Point, Source, remaining
from auditor.bench.electrical.ranges import Circuit, Settled, from_current
from auditor.bench.electrical.tungsten import ROOM
from auditor.logic.interval import Interval

NONE = Interval.exactly(0.0)
ROOM_TEMPERATURE = Interval.exactly(ROOM)


class SwitchingLoad(Struct, frozen=True):
    """A band of switching supplies.

    power: drawn from the mains while it runs [W]. starts_at: the least voltage at which it runs [V]. power_factor.
    """

    power: Interval
    starts_at: Interval
    power_factor: Interval


def running_points(source: Source, lamp: SeriesLamp, power: float, starts_at: float,
                   power_factor: float) -> tuple[Point, ...]:
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
    best = top(spare, ROOM, hot)
    most = spare(best)
    if most < 0.0:
        return ()
    roots = (bracketed(spare, ROOM, best, -power, most), bracketed(spare, best, hot, most, -power))
    points = tuple(dict.fromkeys(point(t) for t in roots))
    return tuple(p for p in points if p.set_voltage >= starts_at)


def switching_settled(circuit: Circuit, supply: SwitchingLoad) -> tuple[Settled, tuple[int, ...]]:
    """The ranges of every reading, all running points in them, and how many points the circuits in the band can have.

    `circuit.load` is not used. The two points of the best circuit (the strongest source, the lamp that passes most,
    the least power, the highest power factor) enclose those of all others, for each of these leaves more watts to
    spare at every current, which moves the two apart.
    """
    lamp, voltage = circuit.lamp, circuit.voltage
    if lamp is None:
        return _direct(circuit, supply)
    if voltage.high < supply.starts_at.low:
        idle = Settled(voltage, NONE, NONE, NONE, NONE, ROOM_TEMPERATURE, voltage)
        return idle, (0,)
    factor, starts = supply.power_factor, supply.starts_at
    best = running_points(Source(voltage.high, circuit.resistance.low), lamp.passing_most(), supply.power.low, 0.0,
                          factor.high)
    worst = running_points(Source(voltage.low, circuit.resistance.high), lamp.passing_least(), supply.power.high, 0.0,
                           factor.low)
    counts = _counts(best, worst, voltage, starts)
    volts, amps = [], []
    if counts != {0}:
        lowest = max(best[-1].set_voltage, starts.low)
        volts += [lowest, best[0].set_voltage]
        amps += [best[0].current, min(best[-1].current, supply.power.high / (factor.low * max(lowest, 1e-9)))]
        if worst:
            volts.append(worst[0].set_voltage)
            amps.append(worst[0].current)
    if 0 in counts:
        # It starts and falls off again and again, or does not start: anything from nothing to the whole.
        volts += [0.0, voltage.high]
        amps += [0.0, lamp.passing_most().current_at(voltage.high)]
    cool, hot = lamp.passing_most(), lamp.passing_least()
    current = Interval(min(amps), max(amps))
    across = Interval(cool.voltage_at(current.low), max(cool.voltage_at(current.low), min(
        hot.voltage_at(current.high), voltage.high)))
    # One that cannot run takes less than its rated watts: what its volts and amperes can bring.
    most = min(supply.power.high, factor.high * max(volts) * max(amps)) if counts == {0} else supply.power.high
    power = Interval(0.0 if 0 in counts else supply.power.low, most)
    return Settled(Interval(min(volts), max(volts)), current, power, across, across * current,
                   lamp.temperatures(across, current), voltage), tuple(sorted(counts))


def _counts(best: tuple[Point, ...], worst: tuple[Point, ...], voltage: Interval, starts: Interval) -> set[int]:
    """How many points with at least the start voltage the circuits between the best and the worst can have."""
    if not best or best[0].set_voltage < starts.low:
        return {0}
    counts = set()
    if not worst or min(worst[0].set_voltage, voltage.low) < starts.high:
        counts.add(0)
    if not worst or starts.high > best[-1].set_voltage:
        counts.add(1)
    if (worst[-1] if worst else best[0]).set_voltage >= starts.low:
        counts.add(2)
    return counts


def _direct(circuit: Circuit, supply: SwitchingLoad) -> tuple[Settled, tuple[int, ...]]:
    voltage, starts = circuit.voltage, supply.starts_at
    runs, idles = voltage.high >= starts.low, voltage.low < starts.high
    factor = supply.power_factor
    counts = tuple(count for count, can in ((0, idles), (1, runs)) if can)
    if not runs:
        return Settled(voltage, NONE, NONE, NONE, NONE, ROOM_TEMPERATURE, voltage), counts
    # V**2 - E V + R P / c = 0, the higher root; the wiring is far below what would leave none. It runs at its start voltage
    # and above alone, and where it does not run it leaves the volts of the source as they are.
    square = voltage.low ** 2 / 4 - circuit.resistance.high * supply.power.high / factor.low
    lowest = max(voltage.low / 2 + max(0.0, square) ** 0.5, min(voltage.low, starts.low))
    high = supply.power.high / (factor.low * max(lowest, starts.low, 1e-9))
    low = 0.0 if idles else supply.power.low / (factor.high * voltage.high)
    power = Interval(0.0 if idles else supply.power.low, supply.power.high)
    return Settled(Interval(min(lowest, voltage.high), voltage.high), Interval(low, max(low, high)), power, NONE, NONE,
                   ROOM_TEMPERATURE, voltage), counts


def switching_brought_to(reading: Interval, circuit: Circuit, supply: SwitchingLoad) -> Settled:
    """The ranges where the operator turned the dial until the set's meter showed this reading [V].

    circuit: its lamp and resistance; supply: the set.
    """
    direct, _ = _direct(Circuit(reading, NONE, None, circuit.load), supply)
    # The least current is that of the greatest power factor, and needs the least from the source.
    return from_current(reading, circuit, direct.current, direct.set_power, supply.power_factor.high,
                        supply.power_factor.low)
