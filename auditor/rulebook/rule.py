"""A rule as its file writes it, and as the audit uses it."""

from collections.abc import Iterable
from functools import cached_property
from typing import Annotated

from msgspec import Struct, field
from pydantic import Field

from auditor.bench.facts import ITEM_KINDS
from auditor.logic.interval import Interval
from auditor.logic.kinds import NumberKind
from auditor.logic.nodes import Expression
from auditor.plan.record import Record
from auditor.plan.values import Names, Text, Word
from auditor.rulebook.policy import Policy

SIGNAL_WORDS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
"""The signal words of ANSI Z535.6, most serious first: will kill or seriously injure if not avoided; could;
minor or moderate injury; property only."""
HAZARDS = ("electric shock", "fire", "burst", "damage", "false reading")
STAGES = ("papers and inspection", "cold measurements", "bench and limiter", "people and place", "first power",
          "ramp and hold", "running", "making dead", "before return")


class LimitText(Record):
    """A number that a shop may want to change."""

    limit: Text
    kind: Text
    value: Text
    stricter: Annotated[str, Word(("lower", "higher"))]
    means: Text
    sources: Names


class Remedy(Record):
    """What to do about a finding: a sentence, and the lines to write."""

    do: Text
    write: Text | None = None


class RuleText(Record):
    """A rule as written. Expressions are in the language of logic.expression over bench.facts.VOCABULARY."""

    rule: Text
    formerly: Names = ()
    signal_word: Annotated[str, Word(SIGNAL_WORDS)]
    hazard: Annotated[str, Word(HAZARDS)]
    stage: Annotated[str, Word(STAGES)]
    requires: Text
    for_each: Annotated[str, Word(ITEM_KINDS)] | None = None
    paths: Annotated[str, Word(("every", "main"))] = "every"
    applies_when: Text | None = None
    holds: Text
    message: Text
    because: Text
    remedy: Remedy
    sources: Names
    helped_by: Names = ()
    harmed_by: Names = ()


class RuleFile(Record):
    """One topic: its limits and its rules."""

    topic: Text
    limits: tuple[LimitText, ...] = ()
    rules: tuple[RuleText, ...] = Field(default=())


class Limit(Struct, frozen=True):
    """A named number with its unit, where it is stricter, and who says so.

    file: where this value comes from; was: the limit as it was before that file changed it.
    """

    name: str
    kind: NumberKind
    value: Interval
    text: str
    stricter: str
    means: str
    sources: tuple[str, ...]
    file: str = ""
    was: "Limit | None" = None


class Rule(Struct, frozen=True):
    """A rule ready for use. `demand` is `applies_when -> holds`; both are also there alone."""

    text: RuleText
    topic: str
    file: str
    path: tuple[str | int, ...]
    applies: Expression | None
    demand: Expression

    @property
    def name(self) -> str:
        return self.text.rule

    @property
    def seriousness(self) -> int:
        """0 for DANGER, 3 for NOTICE."""
        return SIGNAL_WORDS.index(self.text.signal_word)


class Rulebook(Struct, frozen=True, dict=True):
    """The rules in force, in the order of their files, and the limits that they use.

    examples: for each file the text of its second document, which no audit needs, and the line where it begins.
    policy: what a policy file says beside rules and limits; None where the rules stand as they are shipped.
    left_out: the rules of topics that the policy leaves out; notes: what every report says of how the rules came into force,
    beside the policy.
    """

    rules: tuple[Rule, ...]
    limits: dict[str, Limit]
    examples: dict[str, tuple[str, int]] = field(default_factory=dict)
    policy: Policy | None = None
    left_out: tuple[Rule, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def by_name(self) -> dict[str, Rule]:
        """The rules by their names, those of before included."""
        names = {former: rule for rule in self.rules for former in rule.text.formerly}
        return {**names, **{rule.name: rule for rule in self.rules}}


def together(rulebooks: Iterable[Rulebook]) -> Rulebook:
    """The rules that are in force in any of these, for a report on plans under several policies.

    Where they differ in a limit or in a rule of the same name, the first of them is told.
    """
    distinct = list({id(rulebook): rulebook for rulebook in rulebooks}.values())
    if len(distinct) == 1:
        return distinct[0]
    rules = {rule.name: rule for rulebook in reversed(distinct) for rule in rulebook.rules}
    limits = {name: limit for rulebook in reversed(distinct) for name, limit in rulebook.limits.items()}
    examples = {file: text for rulebook in reversed(distinct) for file, text in rulebook.examples.items()}
    return Rulebook(tuple(rules.values()), limits, examples)
