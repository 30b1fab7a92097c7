"""The state of the bench between two steps, and how it looks at the start."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan

START = (
    "At the start the bench is plugged into the wall, the set is not plugged in, every switch is off and every tube "
    "is in its socket."
)
TUBES = frozenset({"rectifier tube", "output tubes", "other tubes"})
"""What `take_out: tubes` takes out, each of which can be put back for itself."""
NO_TIME = Interval.exactly(0.0)
LONG_IDLE = 30 * 24 * 3600.0
"""A set unpowered for this long [s] is taken as discharged: a printed assumption, not a measurement. A filter capacitor
without a bleeder holds charge for days (common practice)."""


class State(Struct, frozen=True):
    """What the replay knows between two steps.

    plugged, on: which of bench and set are plugged in, which switches are on.
    dial: the mark on the scale [V], None until a step has set it.
    set_reading: what the meter at the set was brought to [V], None while the dial alone was set.
    dial_stood: for how long holds are sure to have kept the set at the volts of this dial [s].
    lamp, bypass_closed: the lamp in the limiter's holder; whether the bypass is across it.
    charged: for each listed capacitor whether it may hold charge; discharged: those through a resistor since.
    connected: leads and instruments joined to a point of the set; apart: those that a step has taken off;
    clipped: instruments and where they are clipped.
    out: what has been taken out of the set.
    stopped: a stop or a failed check ended the plan as written, and the cause has not been found since.
    """

    plugged: frozenset[str] = frozenset()
    on: frozenset[str] = frozenset()
    dial: Interval | None = None
    set_reading: Interval | None = None
    dial_stood: Interval = NO_TIME
    lamp: Lamp | None = None
    bypass_closed: Truth = Truth.UNKNOWN
    charged: tuple[tuple[str, Truth], ...] = ()
    discharged: frozenset[str] = frozenset()
    connected: frozenset[tuple[str, str]] = frozenset()
    apart: frozenset[str] = frozenset()
    clipped: frozenset[tuple[str, str]] = frozenset()
    out: frozenset[str] = frozenset()
    stopped: bool = False

    def may_be_charged(self, capacitor: str) -> Truth:
        return dict(self.charged)[capacitor]

    def with_charge(self, truth: Truth, names: frozenset[str] | None = None) -> State:
        """The state with these capacitors (all where None) charged, not charged, or perhaps charged."""
        charged = tuple((name, truth if names is None or name in names else was) for name, was in self.charged)
        return self if charged == self.charged else replace(self, charged=charged)

    def with_none_discharged(self) -> State:
        """The state in which no capacitor has been discharged through a resistor since it last had volts."""
        return replace(self, discharged=frozenset()) if self.discharged else self


def capacitor_names(plan: Plan) -> tuple[str, ...]:
    return tuple(c.name for c in plan.set.filter_capacitors or ())


def initial_state(plan: Plan) -> State:
    """The bench before the first step."""
    limiter = plan.record("limiter")
    idle = plan.set.idle_for
    charged = (Truth.UNKNOWN if idle is None
               else Truth.FALSE if idle.low >= LONG_IDLE
               else Truth.TRUE if idle.high < LONG_IDLE else Truth.UNKNOWN)
    joined = {(lead, "set") for lead, stated in (("aerial", plan.set.aerial), ("earth lead", plan.set.earth_lead),
                                                 ("speaker", plan.set.speaker)) if stated == "connected"}
    if plan.set.speaker == "dummy load":
        joined.add(("dummy load", "set"))
    if plan.set.interlock == "bypassed":
        joined.add(("interlock bypass", "set"))
    if plan.set.motor:
        joined.add(("motor", "set"))
    joined |= {(i.name, i.connected_to) for i in plan.bench.instruments or ()
               if i.connected_to and i.connected_to != "nothing"}
    return State(
        plugged=frozenset({"bench"}),
        lamp=limiter.lamp if limiter else None,
        bypass_closed=_bypass(limiter.bypass if limiter else "none"),
        charged=tuple((name, charged) for name in capacitor_names(plan)),
        connected=frozenset(joined),
    )


def _bypass(stated: str | None) -> Truth:
    return Truth.UNKNOWN if stated is None else Truth.of(stated == "closed")
