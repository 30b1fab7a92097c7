"""Which of the special parts a set has: an open list until the plan says that it is complete."""

from __future__ import annotations

from auditor.logic.truth import Truth
from auditor.plan.plan import Plan

PARTS_LISTED = ("set.special_parts", "set.complete")
"""The lines of a plan that say which special parts a set has, and that it has no other."""


def has_part(plan: Plan, *parts: str) -> Truth:
    """Whether the set has any of these parts; a list that is not complete may have left one out."""
    listed = plan.set.special_parts
    if any(part in parts for part in listed or ()):
        return Truth.TRUE
    return Truth.FALSE if listed == () or plan.set.complete else Truth.UNKNOWN
