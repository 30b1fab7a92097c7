"""One candidate of the search: read, audited until it is surely not nearly clean, and played under every fault."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from auditor.bench.circuit import energised
from auditor.bench.facts import FACTS, Replayed, replayed
from auditor.logic.nodes import names_in
from auditor.logic.truth import Truth
from auditor.plan.problems import Unreadable
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.review.judge import Case, judge
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rule
from auditor.whatif.catalogue import load_catalogue
from auditor.whatif.harm import Harm
from auditor.whatif.whatif import Trial
from auditor.whatif.world import World, worlds
from tests.plan_text import as_text

ROOT = Path(__file__).resolve().parents[2]
NEARLY = 1
"""A plan with so many serious rules failing is nearly clean."""
RULEBOOK = load_rulebook()


@dataclass(frozen=True)
class Judged:
    """failing: the DANGER and WARNING rules that are not kept, as far as they were looked at."""

    replayed: Replayed
    failing: tuple[str, ...]


@dataclass(frozen=True)
class Harmful:
    """A harm that a candidate does. fault: its name, None where everything is well; world: in which way it is there."""

    fault: str | None
    harm: Harm
    world: World | None = None

    @property
    def key(self) -> tuple[str | None, str, str]:
        return self.fault, self.harm.hazard, self.harm.part


@cache
def serious_rules() -> tuple[Rule, ...]:
    """The rules that a clean plan keeps, those that need no electrical model first."""
    def needs_the_model(rule: Rule) -> bool:
        return any(name in FACTS and FACTS[name].scope == "reading" for name in names_in(rule.demand))

    return tuple(sorted((r for r in RULEBOOK.rules if r.text.signal_word in ("DANGER", "WARNING")), key=needs_the_model))


def judged(data: dict[str, Any], *, most: int = NEARLY, off: frozenset[str] = frozenset()) -> Judged | None:
    """The candidate audited until more than `most` serious rules fail; None where it is no plan, or powers nothing.

    off: rules that are switched off.
    """
    try:
        plan = read_plan(as_text(data), cards=lambda name: _card(name))
    except (Unreadable, AttributeError, TypeError):
        return None
    if not plan.steps:
        return None
    played = replayed(plan)
    if all(energised(plan, sample.state) is Truth.FALSE for sample in played.trace.main):
        return None
    case, failing = Case(played, RULEBOOK), []
    for rule in serious_rules():
        if rule.name not in off and any(j.outcome in (Outcome.BROKEN, Outcome.UNDETERMINED) for j in judge(rule, case)):
            failing.append(rule.name)
            if len(failing) > most:
                break
    return Judged(played, tuple(failing))


def harms_of(candidate: Judged) -> list[Harmful]:
    """Every serious harm to a person, with everything well and under every fault that the set may have and that a plan can
    contain."""
    trial, plan = Trial(candidate.replayed), candidate.replayed.trace.plan
    found = {}
    for harm in trial.course(World(plan)).harms:
        if harm.serious:
            found.setdefault((None, harm.hazard, harm.part), Harmful(None, harm))
    for entry in load_catalogue():
        if entry.fault.residual is not None or not trial.possible(entry):
            continue
        for world in worlds(plan, entry.fault):
            for harm in trial.caused(world, trial.course(world)):
                if harm.serious:
                    harmful = Harmful(entry.fault.fault, harm, world)
                    found.setdefault(harmful.key, harmful)
    return list(found.values())


def _card(name: str) -> bytes | None:
    file = ROOT / "procedures" / Path(name).name
    return file.read_bytes() if file.is_file() else None
