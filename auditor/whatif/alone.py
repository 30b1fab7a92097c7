"""What one protection holds by itself: the faults that it contains where nothing else stands against them."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.facts import replayed
from auditor.plan.plan import Plan
from auditor.whatif.catalogue import Entry, load_catalogue
from auditor.whatif.fault import Fault
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Trial
from auditor.whatif.world import PROTECTIONS, World, worlds

Left = tuple[Fault, Harm]
"""A fault, and the gravest harm that it still does."""


class Alone(Struct, frozen=True):
    """One protection against every fault that does harm on a bench without any.

    contains: faults that then do none. lessens: faults that could kill or badly hurt, and then do less. lets_through: the
    rest.
    """

    contains: tuple[Fault, ...]
    lessens: tuple[Left, ...]
    lets_through: tuple[Left, ...]


def alone(plan: Plan, protection: str, catalogue: tuple[Entry, ...] | None = None) -> Alone:
    """What this protection, one of world.PROTECTIONS, holds in a plan from which all others are taken away.

    Left out are faults that this set cannot have, and those that no written procedure contains.
    """
    trial = Trial(replayed(plan))
    others = tuple(other for other in PROTECTIONS if other != protection)
    contains: list[Fault] = []
    lessens: list[Left] = []
    lets_through: list[Left] = []
    for entry in load_catalogue() if catalogue is None else catalogue:
        fault = entry.fault
        if fault.residual is not None or not trial.possible(entry):
            continue
        every_way = worlds(plan, fault)
        bare = _gravest(trial, every_way, PROTECTIONS)
        if bare is None:
            continue
        left = _gravest(trial, every_way, others)
        if left is None:
            contains.append(fault)
        else:
            (lessens if bare.serious and not left.serious else lets_through).append((fault, left))
    return Alone(tuple(contains), tuple(lessens), tuple(lets_through))


def _gravest(trial: Trial, every_way: tuple[World, ...], removed: tuple[str, ...]) -> Harm | None:
    """The gravest harm in any way of being there, without these protections; None where there is none."""
    without = (world.without(*removed) for world in every_way)
    harms = [harm for world in without for harm in trial.caused(world, trial.course(world))]
    return max(harms, key=lambda harm: (harm.serious, harm.to_a_person, harm.shock), default=None)
