"""What is taken for granted where the plan does not say; every report prints what it used."""

from __future__ import annotations

from auditor.bench.circuit import wall
from auditor.bench.state import START
from auditor.bench.trace import DOING
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.quantity import format_quantity
from auditor.plan.equipment import CURRENTS
from auditor.plan.plan import Plan


def assumptions(plan: Plan) -> tuple[str, ...]:
    """The assumptions that the replay of this plan rests on, each with how to replace it."""
    used = [START]
    if any(i.connected_to is None for i in plan.bench.instruments or ()):
        used.append("An instrument is on nothing of the set until a step says so; `connected_to:` in its line replaces it.")
    card = plan.source.card
    if card is not None and card.data is not plan.source.data:
        used.append(f"The bench card {card.file} (fingerprint {card.fingerprint}) says what the plan does not.")
    if plan.mains.kind is None:
        used.append(f"The mains are {CURRENTS[0]}; `kind:` under `mains:` replaces it.")
    if plan.mains.band is None and plan.mains.voltage is not None:
        band = format_quantity(wall(plan), DIMENSIONS["voltage"])
        used.append(f"The wall is {band}, the usual tolerance; `band:` under `mains:` replaces it.")
    if any(step.takes is None for step in plan.steps):
        doing = format_quantity(DOING, DIMENSIONS["time"])
        used.append(f"A step takes {doing} beside its hold; `takes:` in a step replaces it.")
    if any(c.peak_voltage is None and c.working_voltage is not None for c in plan.set.filter_capacitors or ()):
        used.append("A filter capacitor can meet the peak of B+; `peak_voltage:` in its line replaces it.")
    if plan.set.idle_for is not None:
        used.append("A set without power for at least 30 days starts with its capacitors discharged.")
    return tuple(used)
