"""What an audit says: findings, questions, and the verdict on one plan."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from auditor.plan.place import Path, Place
from auditor.plan.plan import Plan
from auditor.rulebook.policy import Policy


class Outcome(Enum):
    """What a rule comes to on a plan."""

    KEPT = "kept"
    BROKEN = "broken"
    UNDETERMINED = "undetermined"
    NOT_APPLICABLE = "not applicable"
    ACCEPTED = "accepted"


class Verdict(Enum):
    """The verdict on a plan. None of them says that the plan is safe."""

    NOTHING_FOUND = "nothing found"
    FINDINGS = "findings"
    NOTHING_TO_REVIEW = "nothing to review"


class Missing(Struct, frozen=True):
    """A fact that the plan does not state and that would decide an outcome.

    path: where it belongs in the plan, as the author would write it; line: what to add; asks: the question.
    """

    path: str
    asks: str
    line: str
    place: Place | None


class Since(Struct, frozen=True):
    """How a finding stands to an earlier report. why: what made it new; None where it was there."""

    why: str | None = None

    @property
    def new(self) -> bool:
        return self.why is not None


class Finding(Struct, frozen=True):
    """One rule that is not kept, or that cannot be told.

    step, step_words: the step as the author counts it, None where the finding is about the whole plan.
    also: further steps at which the same rule fails. branch: how the path began, where it is not the plan as written.
    path, place: what in the plan it is about; card: the line of the bench card that the step comes from.
    note: why an acceptance does not count.
    fingerprints: what tells it apart from others in the plan, see review.fingerprint.
    since: how it stands to an earlier report; None where none was given.
    """

    rule: str
    signal_word: str
    outcome: Outcome
    hazard: str
    step: int | None
    step_words: str | None
    also: tuple[int, ...]
    branch: str | None
    item: str | None
    path: Path
    place: Place
    card: str | None
    message: str
    because: str
    missing: tuple[Missing, ...]
    remedy: str
    write: str | None
    sources: tuple[str, ...]
    note: str | None = None
    fingerprints: tuple[str, ...] = ()
    since: Since | None = None


class Question(Struct, frozen=True):
    """A missing fact with the rules that it would decide."""

    missing: Missing
    rules: tuple[str, ...]


class Accepted(Struct, frozen=True):
    """A finding that the plan sets aside on purpose, until a day."""

    finding: Finding
    reason: str
    by: str
    until: str


class Audit(Struct, frozen=True):
    """Everything that was found out about one plan.

    outcomes: for every rule in force what it came to; findings: most serious first.
    policy: the one under which it was audited; notes: what else every report says of this plan.
    """

    plan: Plan
    verdict: Verdict
    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]
    assumptions: tuple[str, ...]
    questions: tuple[Question, ...]
    outcomes: dict[str, Outcome]
    policy: Policy | None = None
    notes: tuple[str, ...] = ()
