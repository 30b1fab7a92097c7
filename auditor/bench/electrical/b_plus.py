"""B+ of a healthy, warm set at the volts that it gets."""

from __future__ import annotations

from dataclasses import dataclass

from auditor.bench.electrical.load import ONSET_WIDTH
from auditor.logic.interval import Interval

NO_LOAD_RISE = Interval(1.10, 1.60)
"""Highest B+ with no tube drawing over B+ in use, where the peak is not stated: a transformer set with capacitor
input. One measured set: 272 V with its load out, 196 V filtered (common practice)."""
TRANSFORMERLESS = Interval(0.75, 1.25)
"""B+ in use over the rms mains of a half-wave set without a transformer: 90 to 125 V on 120 V after its filter
(common practice), up to 1.23 at the reservoir with 25 ohm of surge resistance (`rectifier`)."""
MAINS_PEAK = Interval(2 ** 0.5, 2 ** 0.5)
"""Of a sine wave, over its rms value."""
FLATTENED = 0.9
"""A lamp in series rounds off the peaks of the mains, from which B+ is taken: so much of B+ is left at the same rms
volts, at the worst (`rectifier` with a 60 W lamp's hot resistance before it gives 0.95). A choice."""


@dataclass(frozen=True, slots=True)
class Supply:
    """What makes B+.

    in_use: B+ at the rated mains voltage, warm [V]. peak: the highest, with nothing drawn [V]. needs_heat: whether
    the rectifier conducts only when its heater is warm. onset: of conduction, relative to the rated mains voltage.
    loaded: whether any tube can draw on it.
    """

    in_use: Interval
    peak: Interval
    needs_heat: bool
    onset: Interval
    loaded: bool = True


def b_plus(supply: Supply, rated_voltage: Interval, set_voltage: Interval, through_lamp: bool) -> Interval:
    """The range of B+ when all is warm [V].

    rated_voltage of the set, set_voltage across it [V]. through_lamp: whether a lamp is in series.

    Nothing before a tube rectifier conducts. Between the first conduction and full use anything from nothing to the
    peak that belongs to the volts: B+ appears late and with a jump. Silicon with tubes that are not warm enough to
    draw, or with none in, stands at that peak; a tube rectifier may be one of the tubes that are out. In use, B+ goes
    with the volts.

    >>> supply = Supply(Interval(240, 260), Interval(330, 360), True, Interval(0.40, 0.55))
    >>> b_plus(supply, Interval(120, 120), Interval(40, 45), False)
    Interval(low=0.0, high=0.0)
    >>> b_plus(supply, Interval(120, 120), Interval(120, 120), False)
    Interval(low=240.0, high=260.0)
    """
    low = set_voltage.low / rated_voltage.high
    high = set_voltage.high / rated_voltage.low
    flattened = FLATTENED if through_lamp else 1.0
    if high <= 0.0 or (supply.needs_heat and high <= supply.onset.low):
        return Interval.exactly(0.0)
    if not supply.loaded:
        return Interval(0.0 if supply.needs_heat else low * supply.peak.low * flattened, high * supply.peak.high)
    in_use = supply.onset.high + ONSET_WIDTH
    lowest = 0.0 if supply.needs_heat and low < in_use else low * supply.in_use.low * flattened
    return Interval(lowest, max(lowest, _most(supply, high, low)))


def _most(supply: Supply, high: float, low: float) -> float:
    """The highest B+ over these relative volts: less is drawn at lower volts, so less of the peak is lost.

    The loss grows in proportion from the first conduction to the rated volts; the bound increases with the volts.
    """
    start = supply.onset.low

    def at(u: float) -> float:
        drawn = min(1.0, max(0.0, (u - start) / (1.0 - start)))
        return u * (supply.peak.high - drawn * (supply.peak.high - supply.in_use.high))

    # u (p - d(u) (p - b)) is one hump of u, so its most lies at an end or at the top of the parabola.
    span = supply.peak.high - supply.in_use.high
    candidates = [high, low]
    if span > 0.0:
        candidates.append((supply.peak.high * (1.0 - start) + span * start) / (2 * span))
    return max(at(u) for u in candidates if low <= u <= high)
