"""What each safeguard of a plan is for: what gets through when it alone is taken away."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.facts import replayed
from auditor.plan.equipment import Fuse
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.whatif.catalogue import Entry, load_catalogue
from auditor.whatif.fault import Fault
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Trial
from auditor.whatif.world import World, worlds

MAKES_SAFE = frozenset({"unplug", "switch_off", "discharge", "prove_dead", "inspect", "measure", "prove", "observe"})
"""Verbs whose steps are there for safety."""


class Safeguard(Struct, frozen=True):
    """One thing in a plan that is there for safety. words: as one would say it; step: where it is one; without: the plan
    without it."""

    words: str
    step: Step | None
    without: Callable[[], Plan]


class Use(Struct, frozen=True):
    """What a safeguard is for. lets_through: without it, each fault that then does harm, or worse harm, None for a set that
    is well, with that harm."""

    safeguard: Safeguard
    lets_through: tuple[Through, ...]

    @property
    def guards_a_life(self) -> bool:
        """Whether harm to a person depends on this safeguard alone."""
        return any(harm.to_a_person for _, harm in self.lets_through)


def safeguards(plan: Plan) -> tuple[Safeguard, ...]:
    """Every safeguard of a plan: along the chain, in the set, at what the operator stops, and in the steps."""
    return (*_of_the_bench(plan), *_of_the_set(plan), *_of_the_stop(plan), *_of_the_steps(plan))


def uses(plan: Plan, catalogue: tuple[Entry, ...] | None = None,
         progress: Callable[[Safeguard], None] = lambda safeguard: None) -> Iterator[Use]:
    """What every safeguard is for. progress: told of each before it is tried."""
    entries = load_catalogue() if catalogue is None else catalogue
    with_all = _gets_through(plan, entries)
    for safeguard in safeguards(plan):
        progress(safeguard)
        yield Use(safeguard, _worse(with_all, _gets_through(safeguard.without(), entries)))


def lets_through(plan: Plan, without: Plan, catalogue: tuple[Entry, ...] | None = None) -> tuple[Through, ...]:
    """What gets through, or is worse, where the plan `without` is followed in place of `plan`."""
    entries = load_catalogue() if catalogue is None else catalogue
    return _worse(_gets_through(plan, entries), _gets_through(without, entries))


Through = tuple[Fault | None, Harm]
"""A fault, None for a set that is well, and a harm that it does."""
Found = dict[tuple[str | None, str, str], Through]


def _worse(before: Found, after: Found) -> tuple[Through, ...]:
    return tuple(found for key, found in after.items() if key not in before or found[1].shock > before[key][1].shock)


def _gets_through(plan: Plan, entries: tuple[Entry, ...]) -> Found:
    """Every harm that some fault does, and that the plan does with everything well, each at its worst."""
    trial = Trial(replayed(plan))
    found: Found = {}

    def add(fault: Fault | None, harm: Harm) -> None:
        key = (fault.fault if fault else None, harm.hazard, harm.part)
        if key not in found or harm.shock > found[key][1].shock:
            found[key] = fault, harm

    for harm in trial.course(World(plan)).harms:
        add(None, harm)
    for entry in entries:
        if not trial.possible(entry) or entry.fault.residual is not None:
            continue
        for world in worlds(plan, entry.fault):
            for harm in trial.caused(world, trial.course(world)):
                add(entry.fault, harm)
    return found


def _of_the_bench(plan: Plan) -> Iterator[Safeguard]:
    for kind, words in (("isolating_transformer", "the isolating transformer"), ("limiter", "the lamp in series"),
                        ("residual_current_device", "the residual current device")):
        if plan.has(kind):
            yield Safeguard(words, None, partial(_without_element, plan, kind))
    if plan.mains.residual_current_device is not None:
        mains = plan.mains.model_copy(update={"residual_current_device": None})
        yield Safeguard("the residual current device of the wall", None, partial(replace, plan, mains=mains))
    supply = plan.record("direct_current_supply")
    if supply is not None and supply.isolated:
        yield Safeguard("the isolation of the direct current supply", None,
                        partial(_with_record, plan, "direct_current_supply", isolated=False))
    for kind, words in (("autotransformer", "the fuse of the dial"), ("direct_current_supply",
                        "the fuse of the direct current supply"), ("outlet", "the fuse of the outlet")):
        if plan.has(kind) and plan.record(kind).fuse is not None:
            yield Safeguard(words, None, partial(_with_record, plan, kind, fuse=None))
    people = plan.bench.people
    if people is not None and people.attended == "throughout":
        bench = plan.bench.model_copy(update={"people": people.model_copy(update={"attended": "no"})})
        yield Safeguard("somebody who watches", None, partial(replace, plan, bench=bench))


def _of_the_set(plan: Plan) -> Iterator[Safeguard]:
    if plan.set.fuse is not None and plan.set.fuse.fitted:
        yield Safeguard("the fuse of the set", None, partial(_with_set, plan, fuse=Fuse(fitted=False)))
    if plan.set.earth == "bonded":
        yield Safeguard("the protective earth of the set", None, partial(_with_set, plan, earth="floating"))


def _of_the_stop(plan: Plan) -> Iterator[Safeguard]:
    for condition in plan.stop_when:
        kept = tuple(other for other in plan.stop_when if other != condition)
        yield Safeguard(f"to stop at: {condition}", None, partial(replace, plan, stop_when=kept))


def _of_the_steps(plan: Plan) -> Iterator[Safeguard]:
    for k, step in enumerate(plan.steps):
        if step.verb in MAKES_SAFE:
            kept = plan.steps[:k] + plan.steps[k + 1:]
            yield Safeguard(step.in_words(), step, partial(replace, plan, steps=kept))


def _without_element(plan: Plan, kind: str) -> Plan:
    """The plan with nothing of this kind in its chain. Its steps stay: one that only it made possible changes nothing."""
    return replace(plan, chain=tuple(element for element in plan.chain if element.kind != kind))


def _with_record(plan: Plan, kind: str, **stated: object) -> Plan:
    return replace(plan, chain=tuple(
        replace(element, record=element.record.model_copy(update=stated)) if element.kind == kind else element
        for element in plan.chain))


def _with_set(plan: Plan, **stated: object) -> Plan:
    return replace(plan, set=plan.set.model_copy(update=stated))
