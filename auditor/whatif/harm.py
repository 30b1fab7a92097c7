"""What a fault can do at a step: to whom, how badly, and in which words."""

from __future__ import annotations

from msgspec import Struct

from auditor.bench.electrical.body import Shock
from auditor.plan.steps import Step

SHOCK, BURST, FIRE, DAMAGE = "electric shock", "burst", "fire", "damage"
TO_A_PERSON = frozenset({SHOCK, BURST, FIRE})
"""The rest is harm to equipment alone."""


class Harm(Struct, frozen=True):
    """Harm at a step.

    hazard: one of SHOCK, BURST, FIRE, DAMAGE. part: the place touched, or the part that suffers. says: what happens, with
    its numbers. step: at which, None for what is left behind at the end. index: its place on the plan as written, counted
    from 0. branch: why the path left the plan, None on the plan as written. shock: how bad, where it is one. minor: it
    startles and injures little, as a signal word of CAUTION has it.
    """

    hazard: str
    part: str
    says: str
    step: Step | None
    index: int
    branch: str | None
    shock: Shock = Shock.NOTHING
    minor: bool = False

    @property
    def to_a_person(self) -> bool:
        return self.hazard in TO_A_PERSON

    @property
    def serious(self) -> bool:
        """Whether it can kill or badly hurt a person, as a signal word of WARNING has it."""
        return self.to_a_person and not self.minor
