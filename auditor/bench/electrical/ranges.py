"""Ranges in, ranges out: what lamp and set can read when wall, lamp and set are only known within bands.

Every input acts in one direction, so a bound is one settled point with each input at the end that drives the reading
that way. With G(V) = S**2 + V**2 + 2 c S V - E**2 = 0 at the settled point (operating_point), S the volts across
lamp and wiring, S = S(I), I = I(V), all non-decreasing, c the power factor:

- G rises with V, falls with E: the set's volts and the current rise with the source's volts.
- A set that draws more at every voltage has a larger S at that V, hence lower volts; S follows from E and V and
  falls with V, so more current. The reverse for a lamp that passes more at every voltage, or less wiring.
- The power factor at rated watts: I(V) goes as 1/c, and d ln S / d ln I = e is at least 1, for the resistance of a
  filament rises. dG/dc = -2 S (e S / c + (e - 1) V) is negative: the set's volts rise with c. At given E and V the S
  that solves G = 0 falls with c, and with V: the current falls.
- A lamp that passes more has less voltage across it; more source or set, more. The filament is hotter the larger the
  part of its rated volts, the higher its rated temperature, and, below its rated volts, the smaller its loss.
- The shape of the set's law does not matter at the rated voltage, nor the lamp's loss at the rated point of the
  lamp, so all shapes (all losses) lie on one side of each other: see `load` and `filament`, whose edges cross there.

Heat is a product, and is not monotone: more current goes with less voltage. The heat in the lamp is enclosed by the
product of the ranges of its volts and its current. The heat in the set, for one source, lamp and power factor, is
c I V with V falling ever faster as I rises (the resistance of a filament rises): one top over I, so the least is at an
end, and the most at an end or at that top, which is searched for. At one rated power it rises with the power factor:
I is then a function of V alone times 1/c, and V rises with c.

Nothing above asks that the true set follow one law. Let U and L be edges that never fall as V rises, with L(V) <= I <= U(V)
for whatever the set may draw at V, falling or of two minds though it be. At a settled point of it G is at most that of U and
at least that of L, and both of these rise with V, so the points of U and L enclose it. So may a motor beside the set, which
turns or stands still, and whose current lies in time as it likes to that of the set: the watts P and the current I of the
two together then have edges of their own (`load.most_together`). G = S**2 + V**2 + 2 (S / I) P - E**2 rises with both, so
the lowest volts come with the greatest power factor that U can have, and the highest current with the least.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.electrical.bracket import top
from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.lamp_band import LampBand, middle
from auditor.bench.electrical.load import Edge, SetLoad, Shape, least_together, most_together
from auditor.bench.electrical.operating_point import Point, Source, needed, remaining, settle
from auditor.bench.electrical.several_lamps import LampBands
from auditor.bench.electrical.tungsten import ROOM
from auditor.logic.interval import Interval

NOTHING = Interval.exactly(0.0)


class Circuit(Struct, frozen=True):
    """Source, lamp and set, each within its band.

    voltage: of the source with nothing drawn [V]. resistance: of source and wiring [ohm]. lamp: None where the set
    is fed directly. motor: beside the set, turning or standing still; None where there is none.
    """

    voltage: Interval
    resistance: Interval
    lamp: LampBand | LampBands | None
    load: SetLoad
    motor: SetLoad | None = None

    def most(self) -> Edge:
        """The edge of set and motor that draws the most current at every voltage."""
        edge = self.load.most()
        return edge if self.motor is None else most_together(edge, self.motor.most())

    def least(self) -> Edge:
        """The edge of set and motor that draws the least current at every voltage."""
        edge = self.load.least()
        return edge if self.motor is None else least_together(edge, self.motor.least())


class Settled(Struct, frozen=True):
    """What can be read when all has settled: volts at the set [V], current [A], watts of the set [W], volts [V] and
    watts [W] of the lamp, temperature of its filament [K], volts of the source with nothing drawn [V]."""

    set_voltage: Interval
    current: Interval
    set_power: Interval
    lamp_voltage: Interval
    lamp_power: Interval
    temperature: Interval
    source_voltage: Interval


@lru_cache(maxsize=4096)
def settled(circuit: Circuit) -> Settled:
    """The ranges of every reading; each holds what every circuit inside the bands settles to."""
    weak = Source(circuit.voltage.low, circuit.resistance.high)
    strong = Source(circuit.voltage.high, circuit.resistance.low)
    more, less = circuit.most(), circuit.least()
    if circuit.lamp is None:
        return _direct(circuit.voltage, weak, strong, more, less)
    passes_more, passes_less = circuit.lamp.passing_most(), circuit.lamp.passing_least()
    lowest = settle(weak, passes_less, more.load, more.power_factors.high)
    highest = settle(strong, passes_more, less.load, less.power_factors.low)
    least = settle(weak, passes_less, less.load, less.power_factors.high)
    most = settle(strong, passes_more, more.load, more.power_factors.low)
    coolest = settle(weak, passes_more, less.load, less.power_factors.high)
    hottest = settle(strong, passes_less, more.load, more.power_factors.low)
    lamp_voltage = _range(coolest.lamp_voltage, hottest.lamp_voltage)
    current = _range(least.current, most.current)
    power = (_set_power(weak, strong, circuit.load, passes_less, passes_more, lowest, highest) if circuit.motor is None
             else _range(less.power(lowest.set_voltage), more.power(highest.set_voltage)))
    return Settled(
        _range(lowest.set_voltage, highest.set_voltage), current, power,
        lamp_voltage, lamp_voltage * current, circuit.lamp.temperatures(lamp_voltage, current), circuit.voltage)


def _range(low: float, high: float) -> Interval:
    return Interval(min(low, high), max(low, high))


def _direct(voltage: Interval, weak: Source, strong: Source, more: Edge, less: Edge) -> Settled:
    lowest, highest = (settle(weak, None, more.load, more.power_factors.high),
                       settle(strong, None, less.load, less.power_factors.low))
    least, most = (settle(weak, None, less.load, less.power_factors.high),
                   settle(strong, None, more.load, more.power_factors.low))
    return Settled(_range(lowest.set_voltage, highest.set_voltage), _range(least.current, most.current),
                   _range(less.power(lowest.set_voltage), more.power(highest.set_voltage)),
                   NOTHING, NOTHING, Interval.exactly(ROOM), voltage)


def _set_power(weak: Source, strong: Source, load: SetLoad, passes_less: SeriesLamp, passes_more: SeriesLamp,
               lowest: Point, highest: Point) -> Interval:
    """Heat in the set: it rises with the power factor, so the least is at its low end and the most at its high one.

    lowest: the settled point of the heaviest set of the lowest power factor; highest: that of the lightest set of the
    highest.
    """
    low, high = load.shape.power_factor.low, load.shape.power_factor.high
    lightest = settle(weak, passes_less, load.least(low).load, low)
    heaviest = settle(strong, passes_more, load.most(high).load, high)

    def heat(temperature: float) -> float:
        relative_volts, relative_amps = passes_more.law.at(temperature)
        amps = relative_amps * passes_more.current
        series = min(relative_volts * passes_more.voltage + strong.resistance * amps, strong.voltage)
        return remaining(strong.voltage, series, high) * amps * high

    return _range(min(p.set_voltage * p.current * low for p in (lowest, lightest)),
                  _top(heat, heaviest.temperature, highest.temperature))


def _top(function: Callable[[float], float], one: float, other: float) -> float:
    """The most of a function with one top between two arguments.

    It is at an end from which the function falls inwards; else it is searched for, and what the search may miss is
    added: near its top a function is flat, so a hundredth of the width costs far less than a thousandth of the height.
    """
    low, high = min(one, other), max(one, other)
    nudge = 1e-4 * (high - low)
    at_low, at_high = function(low), function(high)
    if function(low + nudge) <= at_low or function(high - nudge) <= at_high:
        return max(at_low, at_high)
    return function(top(function, low, high, 0.01)) * 1.001


def brought_to(reading: Interval, circuit: Circuit) -> Settled:
    """The ranges where the operator turned the dial until the set's meter showed this [V].

    The volts of the source are then what the dial must stand at; `circuit.voltage` is not used. At given volts of the
    set they rise with its watts, and at given watts they fall with the power factor, by the same derivative as G.
    """
    more, less = circuit.most(), circuit.least()
    current = _range(less.load(reading.low), more.load(reading.high))
    power = _range(less.power(reading.low), more.power(reading.high))
    return from_current(reading, circuit, current, power, less.factor(reading.low), more.factor(reading.high))


def from_current(reading: Interval, circuit: Circuit, current: Interval, power: Interval, least: float,
                 most: float) -> Settled:
    """What goes with this current [A] and these watts of the set [W] while its meter shows `reading` [V].

    circuit: its lamp and resistance. least, most: the power factors with which the source needs the least and the most.
    """
    if circuit.lamp is None:
        lamp_voltage, temperature = NOTHING, Interval.exactly(ROOM)
    else:
        cool, hot = circuit.lamp.passing_most(), circuit.lamp.passing_least()
        lamp_voltage = _range(cool.voltage_at(current.low), hot.voltage_at(current.high))
        temperature = circuit.lamp.temperatures(lamp_voltage, current)
    low = lamp_voltage.low + circuit.resistance.low * current.low
    high = lamp_voltage.high + circuit.resistance.high * current.high
    source = _range(needed(reading.low, low, least), needed(reading.high, high, most))
    return Settled(reading, current, power, lamp_voltage, lamp_voltage * current, temperature, source)


def _middle_shape(shape: Shape) -> Shape:
    return Shape(middle(shape.heater_share), middle(shape.heater_exponent), middle(shape.rest_exponent),
                 middle(shape.onset), middle(shape.power_factor))


PARTS: dict[str, Callable[[Circuit], Circuit]] = {
    "the wall and the dial": lambda c: replace(c, voltage=middle(c.voltage)),
    "the wiring and the transformer": lambda c: replace(c, resistance=middle(c.resistance)),
    "the lamp": lambda c: c if c.lamp is None else replace(c, lamp=c.lamp.exactly_made()),
    "the set's power": lambda c: replace(c, load=replace(
        c.load, power=middle(c.load.power), voltage=middle(c.load.voltage))),
    "how the set's current goes with its volts": lambda c: replace(c, load=replace(
        c.load, shape=_middle_shape(c.load.shape))),
    "the motor": lambda c: c if c.motor is None else replace(c, motor=SetLoad(
        middle(c.motor.voltage), middle(c.motor.power), _middle_shape(c.motor.shape))),
}
"""Each part of the circuit that a person can find out more about, and the circuit with that part known exactly."""


def widest_input(circuit: Circuit, reading: str, compute: Callable[[Circuit], Settled] = settled) -> str | None:
    """The part of the circuit that makes this reading (a field of Settled) uncertain the most; None for a sure one.

    Of all parts, the one that narrows the reading the most when it alone becomes exactly known. compute: what makes
    readings of a circuit, `settled` or a `brought_to` with its reading.
    """
    def width(of: Circuit) -> float:
        interval: Interval = getattr(compute(of), reading)
        return interval.high - interval.low

    now = width(circuit)
    gains = {name: now - width(exact(circuit)) for name, exact in PARTS.items()}
    best = max(gains, key=lambda name: gains[name])
    return best if gains[best] > 1e-9 else None
