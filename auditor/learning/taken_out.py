"""A plan without one kind of safeguard, with everything else in place."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from auditor.plan.equipment import Fuse
from auditor.plan.plan import Plan


def _without_elements(*kinds: str) -> Callable[[Plan], Plan]:
    return lambda plan: replace(plan, chain=tuple(element for element in plan.chain if element.kind not in kinds))


def _without_steps(*verbs: str) -> Callable[[Plan], Plan]:
    return lambda plan: replace(plan, steps=tuple(step for step in plan.steps if step.verb not in verbs))


def _without_residual_current_device(plan: Plan) -> Plan:
    bare = _without_elements("residual_current_device")(plan)
    return replace(bare, mains=plan.mains.model_copy(update={"residual_current_device": None}))


def _without_fuses(plan: Plan) -> Plan:
    chain = tuple(replace(element, record=element.record.model_copy(update={"fuse": None}))
                  if "fuse" in type(element.record).model_fields else element for element in plan.chain)
    return replace(plan, chain=chain, set=plan.set.model_copy(update={"fuse": Fuse(fitted=False)}))


def _without_earth(plan: Plan) -> Plan:
    return replace(plan, set=plan.set.model_copy(update={"earth": "floating"}))


def _unattended(plan: Plan) -> Plan:
    people = plan.bench.people
    if people is None:
        return plan
    bench = plan.bench.model_copy(update={"people": people.model_copy(update={"attended": "no"})})
    return replace(plan, bench=bench)


TAKEN_OUT: dict[str, Callable[[Plan], Plan]] = {
    "the limiter": _without_elements("limiter"),
    "the isolating transformer": _without_elements("isolating_transformer"),
    "the residual current device": _without_residual_current_device,
    "every fuse": _without_fuses,
    "the protective earth": _without_earth,
    "the meters of the chain": _without_elements("voltmeter", "ammeter", "wattmeter"),
    "every stop condition": lambda plan: replace(plan, stop_when=()),
    "whoever watches": _unattended,
    "every discharge": _without_steps("discharge"),
    "every proof that it is dead": _without_steps("prove_dead"),
    "every look and every measurement": _without_steps("inspect", "measure"),
}
"""What can be taken out of a plan, in words, and how."""
