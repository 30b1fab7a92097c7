"""What a lamp lets through when the set behind it is at fault."""

from __future__ import annotations

from auditor.bench.electrical.bracket import top
from auditor.bench.electrical.lamp import SeriesLamp
from auditor.bench.electrical.load import dead_short
from auditor.bench.electrical.operating_point import Point, Source, remaining, settle


def through_a_short(source: Source, lamp: SeriesLamp) -> Point:
    """The settled state with a dead short behind the lamp.

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> point = through_a_short(Source(120), series_lamp(60, 120))
    >>> round(point.current, 3), round(point.set_voltage, 3), round(point.temperature)
    (0.5, 0.0, 2780)
    """
    return settle(source, lamp, dead_short)


def most_heat(source: Source, lamp: SeriesLamp) -> Point:
    """The settled state at which a soft fault behind the lamp, a plain resistance, gets the most heat.

    Volts times current has one top between no current and a dead short (see `switching`); golden section.

    >>> from auditor.bench.electrical.lamp import series_lamp
    >>> point = most_heat(Source(120), series_lamp(100, 120))
    >>> round(point.set_voltage * point.current), round(point.set_voltage / 120, 2)
    (36, 0.64)
    """
    law = lamp.law

    def point(temperature: float) -> Point:
        relative_volts, relative_amps = law.at(temperature)
        volts, amps = relative_volts * lamp.voltage, relative_amps * lamp.current
        series = min(volts + source.resistance * amps, source.voltage)
        return Point(remaining(source.voltage, series, 1.0), amps, volts, temperature)

    def heat(temperature: float) -> float:
        at = point(temperature)
        return at.set_voltage * at.current

    return point(top(heat, law.temperatures[0], law.from_voltage(source.voltage / lamp.voltage)))
