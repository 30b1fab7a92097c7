"""Which readings the meters on the bench give."""

from __future__ import annotations

from auditor.bench.replay import B_PLUS
from auditor.bench.state import State
from auditor.plan.plan import Plan

IN_THE_CHAIN = {"set_voltage": ("voltmeter",), "current": ("ammeter", "wattmeter"), "power": ("wattmeter",),
                "lamp": ("limiter",)}
"""What in the chain shows a reading."""


def metered(plan: Plan, state: State, reading: str) -> bool:
    """Whether something in the chain, or an instrument clipped to the set, shows this reading.

    A reading under a name that is not the bench's own is taken to be.
    """
    if reading in IN_THE_CHAIN:
        return any(plan.has(kind) for kind in IN_THE_CHAIN[reading])
    clipped = {place for _, place in state.clipped}
    capacitors = {capacitor.name for capacitor in plan.set.filter_capacitors or ()}
    if reading in capacitors:
        return reading in clipped
    return reading != "B+" or bool(clipped & {*capacitors, *B_PLUS})
