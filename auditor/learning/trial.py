"""What the model tells of a topic: a safeguard tried on a plan, and the faults and rules of a hazard."""

from __future__ import annotations

import json
from collections.abc import Iterable

from msgspec import Struct

from auditor.learning.figures import example_plan
from auditor.learning.taken_out import TAKEN_OUT
from auditor.learning.topic import Played
from auditor.rulebook.rule import STAGES, Rule, Rulebook
from auditor.whatif.alone import Alone, alone
from auditor.whatif.catalogue import Entry
from auditor.whatif.fault import Fault
from auditor.whatif.harm import SHOCK
from auditor.whatif.safeguards import Through, lets_through


class Tried(Struct, frozen=True):
    """A safeguard on a plan. alone: with nothing else against any fault; without: what gets through where it alone is taken
    out; each None where it is not asked for."""

    alone: Alone | None
    without: tuple[Through, ...] | None


def tried(played: Played, catalogue: tuple[Entry, ...] | None = None) -> Tried:
    """A safeguard tried against every fault of the catalogue, by default the shipped one."""
    plan = example_plan(json.dumps(played.plan))
    return Tried(
        alone(plan, played.alone, catalogue) if played.alone else None,
        lets_through(plan, TAKEN_OUT[played.taken_out](plan), catalogue) if played.taken_out else None)


def rules_by_stage(hazard: str, rulebook: Rulebook) -> tuple[tuple[str, tuple[Rule, ...]], ...]:
    """The rules that stand against a hazard, stage by stage in the order of the work, the most serious first."""
    against = sorted((rule for rule in rulebook.rules if rule.text.hazard == hazard), key=lambda rule: rule.seriousness)
    staged = ((stage, tuple(rule for rule in against if rule.text.stage == stage)) for stage in STAGES)
    return tuple((stage, rules) for stage, rules in staged if rules)


def faults_leading_to(hazard: str, rulebook: Rulebook, catalogue: Iterable[Entry]) -> tuple[Fault, ...]:
    """The faults that end in a hazard."""
    return tuple(entry.fault for entry in catalogue if hazard in ends_in(entry.fault, rulebook))


def ends_in(fault: Fault, rulebook: Rulebook) -> frozenset[str]:
    """The hazards that a fault ends in: what becomes of the part that it heats, a shock where it brings a live part to a
    hand, and where it does neither by itself, what the rules stand against that are asked to contain it."""
    ends = {fault.heats.ends_in} if fault.heats is not None else set()
    if fault.effect.bare or fault.effect.leaks is not None:
        ends.add(SHOCK)
    if not ends:
        ends = {rulebook.by_name[name].text.hazard for name in fault.safeguards if name in rulebook.by_name}
    return frozenset(ends)
