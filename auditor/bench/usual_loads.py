"""What usual sets are as loads, where a plan does not say more: shapes, watts and shares, each a band."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.electrical.load import ALWAYS, SetLoad, Shape
from auditor.bench.electrical.switching import SwitchingLoad
from auditor.logic.interval import Interval

Load = SetLoad | SwitchingLoad
"""What a set can be as a load."""


class Kind(Struct, frozen=True):
    """A kind of set: the shape of its current, and what such sets draw at their rated voltage [W]."""

    shape: Shape
    power: Interval


HEATER_EXPONENT = Interval(0.55, 0.70)
"""Current of a heater against its volts: a lamp's filament has 0.54 to 0.58 (`lamp`), a heater runs cooler."""
TRANSFORMER_SET = Kind(Shape(Interval(0.35, 0.70), HEATER_EXPONENT, Interval(0.80, 1.30), Interval(0.40, 0.55),
                             Interval(0.88, 1.0)), Interval(15.0, 400.0))
TRANSFORMERLESS_SET = Kind(Shape(Interval(0.40, 0.70), HEATER_EXPONENT, Interval(0.80, 1.30), Interval(0.40, 0.60),
                                 Interval(0.80, 0.97)), Interval(10.0, 200.0))
TRANSISTOR_SET = Kind(Shape(Interval.exactly(0.0), HEATER_EXPONENT, Interval(0.50, 1.30), Interval.exactly(ALWAYS),
                            Interval(0.60, 0.95)), Interval(4.0, 150.0))
"""Shares, exponents, onsets and power factors: common practice, as bands around computed examples (a transformer set
0.94, a set without a transformer 0.81 to 0.89; onset at 40 to 60 % of the rated volts). Watts: the usual sets of each
kind (common practice)."""
IRON_ALONE = Shape(Interval.exactly(0.0), HEATER_EXPONENT, Interval(1.0, 2.0), Interval.exactly(ALWAYS),
                   Interval(0.20, 0.80))
"""A transformer with nothing to feed: magnetising current, which rises faster than the volts."""
IRON_SHARE = Interval(0.02, 0.20)
"""Watts of that transformer over the rated watts of its set (common practice)."""
HEATERS_ALONE = Shape(Interval.exactly(1.0), HEATER_EXPONENT, Interval.exactly(1.0), Interval.exactly(ALWAYS),
                      Interval(0.85, 1.0))
HEATING = Kind(Shape(Interval.exactly(1.0), Interval(HEATER_EXPONENT.low, 1.0), Interval.exactly(1.0),
                     Interval.exactly(ALWAYS), Interval.exactly(1.0)), Interval(5.0, 300.0))
"""Nothing but heaters, or a heating wire, whose resistance does not change: a plain resistance at every instant."""
HEATERS_SHARE = Interval(0.30, 0.75)
"""Watts of a set whose rectifier tube is out, over its rated watts: heaters and iron (common practice)."""
COLD_HEATERS = Shape(Interval.exactly(0.0), HEATER_EXPONENT, Interval.exactly(1.0), Interval.exactly(ALWAYS),
                     Interval(0.90, 1.0))
"""A plain resistance behind the leakage of a transformer at most."""
SHORT_POWER = Interval.exactly(1e6)
"""Watts, at its rated voltage, of a set that is as good as a dead short for any lamp [W]."""
SHORTED = SetLoad(Interval.exactly(100.0), Interval(100.0 ** 2 / 2.0, SHORT_POWER.high), COLD_HEATERS)
"""A short in place of the set: 2 ohm at most, as a choice; more than that is a load of its own."""
SWITCHING_SUPPLY = SwitchingLoad(Interval(20.0, 300.0), Interval.exactly(0.0), Interval(0.55, 0.95))
"""Power factor: 0.55 to 0.75 on a stiff supply, higher through a lamp, which lengthens the conduction (computed)."""
STARTS_AT = Interval(0.35, 0.75)
"""Least voltage of a switching supply over its rated voltage (from memory: 85 V of 120 V, 40 V for old ones)."""
