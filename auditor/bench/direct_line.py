"""A set on direct current: what it then draws, and what B+ it makes, or why nothing can be said."""

from __future__ import annotations

from msgspec.structs import replace

from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.rectifier import FORWARD_DROP
from auditor.bench.usual_loads import HEATERS_ALONE
from auditor.logic.interval import Interval
from auditor.plan.equipment import CURRENTS
from auditor.plan.plan import Plan

REST_ON_DIRECT_CURRENT = Interval(0.4, 1.5)
"""Watts of all but the heaters on direct current over those on alternating current of as many volts: B+ is 0.75 to 1.25 of
the rms volts on the one and somewhat below them on the other, and current goes with B+ (derived, then rounded outwards)."""
FILTER_DROP = Interval(0.0, 0.15)
"""Of the line, in the choke or resistor of the filter (common practice)."""


def why_no_law(plan: Plan) -> str | None:
    """Why nothing can be predicted for the set on direct current, in words; None where it can."""
    supply, limiter = plan.position("direct_current_supply"), plan.position("limiter")
    if any(element.kind in ("isolating_transformer", "autotransformer") and (supply is None or element.index > supply)
           for element in plan.chain):
        return "a transformer gives nothing of it and burns"
    if supply is not None and limiter is not None and limiter < supply:
        return "the lamp stands before the supply that makes it"
    if plan.set.motor:
        return "an induction motor stands still on it and burns"
    if plan.set.power_supply == "transformerless" and plan.set.made_for in (None, CURRENTS[0]):
        return "`made_for` does not say that the set is made for it"
    if plan.set.power_supply in (None, "transformer", "switching"):
        return {"transformer": "a mains transformer gives nothing of it and burns",
                "switching": "a switching supply is not known to start on it"}.get(
                    plan.set.power_supply or "", "the plan does not say what kind of supply the set has")
    return None


def either_way_round(load: SetLoad) -> tuple[SetLoad, SetLoad]:
    """A set without a transformer on direct current, its plug either way round: all of it draws, or its heaters alone do.

    Direct current of as many volts heats a heater as much as alternating current does. What B+ draws flows all the time,
    at the volts of the line, and there is nothing in it that brings no watts.
    """
    share, factor = load.shape.heater_share, load.shape.power_factor
    heat = Interval(1.0, 1.0 / factor.low)

    def rest(of: float, by: float) -> float:
        return (1.0 - of) * by

    heaters = Interval(share.low * heat.low, share.high * heat.high)
    low = min(h * heat.low + rest(h, REST_ON_DIRECT_CURRENT.low) for h in (share.low, share.high))
    high = max(h * heat.high + rest(h, REST_ON_DIRECT_CURRENT.high) for h in (share.low, share.high))
    part = Interval(heaters.low / (heaters.low + rest(share.low, REST_ON_DIRECT_CURRENT.high)),
                    heaters.high / (heaters.high + rest(share.high, REST_ON_DIRECT_CURRENT.low)))
    whole = replace(load.shape, heater_share=part, power_factor=Interval.exactly(1.0))
    return (SetLoad(load.voltage, load.power * Interval(low, high), whole),
            SetLoad(load.voltage, load.power * heaters, replace(HEATERS_ALONE, power_factor=Interval.exactly(1.0))))


def b_plus(plan: Plan, voltage: Interval) -> Interval:
    """B+ in use on direct current of this voltage [V]: the line, less what rectifier and filter drop."""
    kind = plan.set.rectifier.kind if plan.set.rectifier else None
    drops = [FORWARD_DROP[kind]] if kind is not None else list(FORWARD_DROP.values())
    most = max(drop.high for drop in drops) + FILTER_DROP.high * voltage.high
    return Interval(max(0.0, voltage.low - most), voltage.high)
