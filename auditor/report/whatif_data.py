"""Faults, one fault and safeguards for programs: one JSON document each, whose schema is whatif.schema.json beside this
module."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path as FilePath
from typing import Any

from auditor import __version__
from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.plan.steps import Step
from auditor.report.as_json import policy_data
from auditor.report.fault_text import played_as
from auditor.report.notice import CAUTIONS
from auditor.report.whatif import MEANS, MEANS_NOT, Outcomes, harms_a_person, missing_safeguards
from auditor.report.whatif_safeguards import MEANS_ALONE
from auditor.rulebook.policy import Policy
from auditor.whatif.course import Notice
from auditor.whatif.harm import Harm
from auditor.whatif.safeguards import Use
from auditor.whatif.story import Beat, Story
from auditor.whatif.whatif import WhatIf

FORMAT = 1
"""Of the documents; it grows with every change that a reader of the former form would not understand."""
SCHEMA = FilePath(__file__).with_name("whatif.schema.json")
READINGS = ("set_voltage", "current", "lamp_power", "b_plus")
"""The readings that are ranges, in volts, amperes and watts."""


def faults_json(found: WhatIf, stories: Sequence[Story], rules: Outcomes, assumed: Sequence[str], exit_status: int,
                policy: Policy | None = None) -> str:
    """All faults, each with the steps at which anything of it is to be seen."""
    return _document("all faults", found.plan, assumed, exit_status, [MEANS, MEANS_NOT, CAUTIONS], policy, {
        "healthy": [_harm(harm) for harm in found.healthy],
        "steps": [_step(step) for step in found.plan.steps],
        "faults": [_fault(story, rules) for story in stories],
    })


def story_json(plan: Plan, story: Story, rules: Outcomes, assumed: Sequence[str], exit_status: int,
               policy: Policy | None = None) -> str:
    """One fault in the same form; what the plan does with everything well is not asked, and `healthy` is null."""
    return _document("one fault", plan, assumed, exit_status, [MEANS, MEANS_NOT, CAUTIONS], policy, {
        "healthy": None,
        "steps": [_step(step) for step in plan.steps],
        "faults": [_fault(story, rules)],
    })


def uses_json(plan: Plan, uses: Sequence[Use], assumed: Sequence[str], exit_status: int, policy: Policy | None = None
              ) -> str:
    """Every safeguard, in the order of the plan, with what gets through without it."""
    return _document("safeguards", plan, assumed, exit_status, [MEANS_ALONE, MEANS, CAUTIONS], policy, {
        "safeguards": [{
            "words": use.safeguard.words,
            "step": None if use.safeguard.step is None else _step(use.safeguard.step),
            "guards_a_life": use.guards_a_life,
            "lets_through": [{"fault": fault.fault if fault else None, "harm": _harm(harm)}
                             for fault, harm in use.lets_through],
        } for use in uses],
    })


def _document(about: str, plan: Plan, assumed: Sequence[str], exit_status: int, notice: list[str], policy: Policy | None,
              parts: dict[str, Any]) -> str:
    return json.dumps({
        "auditor": __version__, "format": FORMAT, "about": about, "title": plan.header.title, **parts,
        "policy": None if policy is None else policy_data(policy), "assumed": list(assumed), "exit_status": exit_status,
        "notice": notice,
    }, indent=1, ensure_ascii=False)


def _step(step: Step) -> dict[str, Any]:
    return {"number": step.number, "stage": step.stage[0] if step.stage else None, "words": step.in_words()}


def _harm(harm: Harm) -> dict[str, Any]:
    return {
        "hazard": harm.hazard, "to_a_person": harm.to_a_person, "part": harm.part, "says": harm.says,
        "step": None if harm.step is None else _step(harm.step), "branch": harm.branch,
        "shock": harm.shock.name.lower(), "shock_says": harm.shock.says if harm.shock else None,
    }


def _fault(story: Story, rules: Outcomes) -> dict[str, Any]:
    outcome, fault = story.outcome, story.outcome.fault
    return {
        "fault": fault.fault, "says": fault.says, "kind": fault.kind, "topic": outcome.topic,
        "verdict": outcome.verdict.value, "harms_a_person": harms_a_person(outcome),
        "harms": [_harm(harm) for harm in outcome.harms],
        "missing": [{"rule": rule, "outcome": came_to.value} for rule, came_to in missing_safeguards(fault, rules)
                    if came_to is not None],
        "not_audited": [rule for rule, came_to in missing_safeguards(fault, rules) if came_to is None],
        "safeguards": list(fault.safeguards), "assumed": list(outcome.assumed),
        "contained_by": list(outcome.contained_by), "any_of_them": outcome.any_of_them,
        "notice": _notice(outcome.notice), "seen": _notice(outcome.seen),
        "played_as": played_as(outcome.world), "harm": fault.harm,
        "residual": fault.residual, "not_played": fault.not_simulated, "sources": list(fault.sources),
        "at_steps": [_beat(beat) for beat in story.beats],
    }


def _notice(notice: Notice | None) -> dict[str, Any] | None:
    return None if notice is None else {"sign": notice.words, "step": _step(notice.step), "told": notice.told}


def _beat(beat: Beat) -> dict[str, Any]:
    """A cell of faults against steps."""
    return {
        "at": beat.place, "acts": beat.acts, "dial": _pair(beat.dial),
        "shows": _readings(beat.faulty), "healthy": _readings(beat.well),
        "signs": [{"sign": words, "told": told} for words, told in beat.signs],
        "harms": [_harm(harm) for harm in beat.harms],
    }


def _readings(readings: Readings | None) -> dict[str, Any] | None:
    if readings is None:
        return None
    return {**{name: _pair(getattr(readings, name)) for name in READINGS}, "glow": list(readings.glow)}


def _pair(value: Interval | None) -> list[float | None] | None:
    """Both ends; null for an end that is open, which JSON cannot write as a number."""
    if value is None or value.is_anything:
        return None
    return [end if abs(end) != float("inf") else None for end in (value.low, value.high)]
