"""B+ of a healthy, warm set at the volts that it gets."""

from __future__ import annotations

from math import pi

from msgspec import Struct

from auditor.bench.electrical.load import ONSET_WIDTH
from auditor.bench.electrical.rectifier import FORWARD_DROP
from auditor.logic.interval import Interval

NO_LOAD_RISE: dict[str, Interval] = {
    "capacitor input": Interval(1.10, 1.60), "choke input": Interval(1.0, pi / 2 * 4 / 3)}
"""B+ with no tube drawing over B+ in use, where the peak is not stated: a transformer set.

Capacitor input: one measured set has 272 V with its load out, 196 V filtered (common practice).

Choke input: in use B+ is the mean of the rectified wave, 2/pi of its peak, less what winding, rectifier and choke drop
(`rectifier.choke_input`); a third of the load's resistance is the most taken here (a choice: tube data of full-wave
rectifiers give 1.7 to 2.0 for peak over volts at the filter, from memory). Below the critical current the choke no longer
keeps the current flowing, and B+ rises to the peak: pi/2 of the mean and the drops besides. A bleeder that draws the
critical current prevents that, and B+ stays at its mean; the usual one does not, for a choke of 10 H needs 11 kohm or
less at 60 Hz (`rectifier.critical_inductance`) and bleeders have 20 kohm and more (common practice). Which it is the plan
does not say, so the low end is 1."""
TRANSFORMERLESS = Interval(0.75, 1.25)
"""B+ in use over the rms mains of a half-wave set without a transformer: 90 to 125 V on 120 V after its filter
(common practice), up to 1.23 at the reservoir with 25 ohm of surge resistance (`rectifier`)."""
MAINS_PEAK = Interval(2 ** 0.5, 2 ** 0.5)
"""Of a sine wave, over its rms value."""
FLATTENED = 0.9
"""A lamp in series rounds off the peaks of the mains, from which B+ is taken: so much of B+ is left at the same rms
volts, at the worst (`rectifier` with a 60 W lamp's hot resistance before it gives 0.95). A choice."""
FLATTENED_MEAN = 0.85
"""The same behind a choke: the set then draws its B+ current as a square wave, which lowers the mean of the volts more
than their rms value. At the worst for a set of which 35 % is heaters and which still gets half of the dial's volts
(integrated: 0.86); below that no tube conducts. A choice."""
FLATTENED_SQUARE = 0.5
"""The same behind a choke for a set without heaters, all of whose current is a square wave (integrated: 0.55 where the
set gets half of the dial's volts). A choice."""
AGED_SELENIUM = (FORWARD_DROP["selenium"].high - FORWARD_DROP["selenium"].low) / 120.0
"""By how much of itself B+ may be lower than stated, behind a selenium rectifier that has aged: a stack drops 5 to 8 V new
and up to 15 V aged for 120 V of supply (FORWARD_DROP), and has as many plates more as the supply has volts more."""


class Supply(Struct, frozen=True):
    """What makes B+.

    in_use: B+ at the rated mains voltage, warm [V]. peak: the highest, with nothing drawn [V]. needs_heat: whether
    the rectifier conducts only when its heater is warm. onset: of conduction, relative to the rated mains voltage.
    loaded: whether any tube can draw on it. flattened: how much of B+ a lamp in series leaves at the same rms volts.
    """

    in_use: Interval
    peak: Interval
    needs_heat: bool
    onset: Interval
    loaded: bool = True
    flattened: float = FLATTENED


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
    flattened = supply.flattened if through_lamp else 1.0
    if high <= 0.0 or (supply.needs_heat and high <= supply.onset.low):
        return Interval.exactly(0.0)
    if not supply.loaded:
        return Interval(0.0 if supply.needs_heat else low * supply.peak.low * flattened, high * supply.peak.high)
    in_use = supply.onset.high + ONSET_WIDTH
    lowest = 0.0 if supply.needs_heat and low < in_use else low * supply.in_use.low * flattened
    return Interval(lowest, max(lowest, _most(supply, high, low)))


def _most(supply: Supply, high: float, low: float) -> float:
    """The highest B+ over these relative volts: less is drawn at lower volts, so less of the peak is lost.

    The loss grows in proportion from the first conduction to the rated volts; the bound increases with the volts. Behind a
    choke the first of the current takes most of the peak, so that B+ stays below this.
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
