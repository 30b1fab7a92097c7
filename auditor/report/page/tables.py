"""The tables of the page: what each step reads, what every fault comes to, what each protection is for, who says so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from auditor.bench.forecast import Row
from auditor.bench.prediction import GLOW_TELLS_NOTHING
from auditor.report.columns import BLANK
from auditor.report.prediction import COLUMNS, forming_said, glow_said, left_said, row_notes, through_lamp
from auditor.report.result import Numbered, Result
from auditor.report.whatif import (
    BRIEFLY,
    GROUPS,
    LATE,
    OPEN_SAID,
    contained_by,
    harm_said,
    harms_a_person,
    looked_for,
    missing_safeguards,
    not_contained,
    outcomes_of,
)
from auditor.report.whatif_safeguards import safeguard_said
from auditor.whatif.harm import Harm
from auditor.whatif.safeguards import safeguards
from auditor.whatif.whatif import Outcome, Verdict
from auditor.whatif.world import PROTECTIONS

READINGS = tuple(column for column in COLUMNS[1:] if column.heading not in ("settles", "hold"))
"""The columns of the table of readings beside the step, those of a table for a terminal."""


class Reading(Struct, frozen=True):
    """A step with its readings, or with what is to be said of it while the power is off.

    line: where it stands in the plan. cells: one for each of READINGS, empty while the power is off. notes: sentences.
    """

    step: int
    words: str
    line: int
    glow: str
    cells: tuple[str, ...]
    notes: tuple[str, ...]


def readings(result: Result) -> tuple[Reading, ...]:
    """The steps that read something, and those after which something else is left in the capacitors."""
    found: list[Reading] = []
    charge, notes = "", frozenset[str]()
    for moment in result.moments:
        row, step = moment.row, moment.step
        line = result.plan.source.place(step.path).line
        said = [forming_said(row.forming)] if row.forming is not None else []
        if row.powered:
            here = tuple(row_notes(row))
            fresh = [note for note in here if note not in notes]
            notes, charge = frozenset(here), ""
            cells = tuple(column.cell(row) for column in READINGS)
            found.append(Reading(step.number, step.in_words(), line, _glow(row), cells, (*said, *fresh)))
            continue
        left, notes = left_said(row), frozenset()
        if left not in ("", charge):
            said.append(left)
        charge = left
        if said:
            found.append(Reading(step.number, step.in_words(), line, "", (), tuple(said)))
    return tuple(found)


def _glow(row: Row) -> str:
    if not through_lamp(row) or not row.readings.glow:
        return BLANK
    words = glow_said(row.readings.glow)
    return f"{words}, which tells nothing here" if GLOW_TELLS_NOTHING in row.readings.notes else words


class FaultRow(Struct, frozen=True):
    """A fault in the table: its name, the question, whether it gets through, what contains it, and how it shows."""

    name: str
    what_if: str
    through: bool
    to_a_person: bool
    contained_by: str
    step: int | None
    sign: str
    the_plan: str


def fault_rows(outcomes: Sequence[Outcome]) -> tuple[FaultRow, ...]:
    """The faults that could do harm here, those that get through first."""
    contained = [outcome for outcome in outcomes if outcome.verdict is Verdict.CONTAINED]
    return tuple(_fault_row(outcome) for outcome in (*not_contained(outcomes), *contained))


def _fault_row(outcome: Outcome) -> FaultRow:
    noticed = outcome.notice or outcome.seen
    through = outcome.verdict is Verdict.NOT_CONTAINED
    return FaultRow(outcome.fault.fault, outcome.fault.says, through, through and harms_a_person(outcome),
                    contained_by(outcome), noticed.step.number if noticed else None, noticed.words if noticed else "",
                    LATE if through and outcome.notice else looked_for(outcome))


class MissingRule(Struct, frozen=True):
    """A rule that asks for what would contain a fault, how it stands here, and the finding about it, if there is one."""

    rule: str
    said: str
    finding: Numbered | None


class Through(Struct, frozen=True):
    """A fault that gets through: what it does, in sentences, and the rules that ask for what is missing."""

    row: FaultRow
    harms: tuple[str, ...]
    missing: tuple[MissingRule, ...]


def through(result: Result) -> tuple[Through, ...]:
    """The faults that get through, harm to persons first."""
    by_rule: dict[str, Numbered] = {}
    for numbered in result.findings:
        by_rule.setdefault(numbered.finding.rule, numbered)
    return tuple(Through(_fault_row(outcome), harms_said(outcome.harms), tuple(
        MissingRule(rule, OPEN_SAID[is_], by_rule.get(rule))
        for rule, is_ in missing_safeguards(outcome.fault, outcomes_of(result.audit))))
        for outcome in not_contained(result.faults.outcomes if result.faults is not None else ()))


def harms_said(harms: Iterable[Harm]) -> tuple[str, ...]:
    """Each harm in a sentence."""
    return tuple(harm_said(harm) for harm in harms)


class Protection(Struct, frozen=True):
    """What stands against faults here: those that nothing else contains, and those for which it is one of several."""

    name: str
    needed_for: tuple[str, ...]
    one_of_several_for: tuple[str, ...]


def protections(outcomes: Sequence[Outcome]) -> tuple[Protection, ...]:
    """Each protection with the faults that it contains."""
    contained = [outcome for outcome in outcomes if outcome.verdict is Verdict.CONTAINED]

    def named(protection: str, several: bool) -> tuple[str, ...]:
        return tuple(outcome.fault.fault for outcome in contained if protection in outcome.contained_by
                     and (outcome.any_of_them and len(outcome.contained_by) > 1) is several)

    return tuple(Protection(BRIEFLY[protection], named(protection, False), named(protection, True))
                 for protection in PROTECTIONS)


class Has(Struct, frozen=True):
    """A safeguard that the plan has, in words, and the line of the step that it is, None where it is no step."""

    words: str
    line: int | None


def safeguards_of(result: Result) -> tuple[Has, ...]:
    """Every safeguard of the plan: along the chain, in the set, at what the operator stops, and in the steps."""
    return tuple(Has(safeguard_said(found), result.plan.source.place(found.step.path).line if found.step else None)
                 for found in safeguards(result.plan))


class Named(Struct, frozen=True):
    """Faults of which only their names are said, or each with a reason, under one heading."""

    heading: str
    faults: tuple[tuple[str, str], ...]


class Source(Struct, frozen=True):
    """A source, with the findings and the faults for which it is given."""

    text: str
    findings: tuple[Numbered, ...]
    faults: tuple[str, ...]


def sources(result: Result) -> tuple[Source, ...]:
    """Who says so, once each, in the order of the findings; then of the faults that stand in the table."""
    faults = result.faults.outcomes if result.faults is not None else ()
    told = [o.fault for o in faults if o.verdict in (Verdict.NOT_CONTAINED, Verdict.CONTAINED)]
    findings = [(source, n) for n in result.findings for source in n.finding.sources]
    of_faults = [(source, fault.fault) for fault in told for source in fault.sources]
    texts = dict.fromkeys(source for source, _ in (*findings, *of_faults))
    return tuple(Source(text, tuple(n for source, n in findings if source == text),
                        tuple(name for source, name in of_faults if source == text)) for text in texts)


def other_faults(outcomes: Sequence[Outcome]) -> tuple[Named, ...]:
    """The faults that do not stand in the table, each kind under its heading, with a reason where there is one."""
    kinds = [Named(heading, tuple((o.fault.fault, "") for o in outcomes if o.verdict is kind)) for kind, heading in GROUPS]
    residual = [o.fault for o in outcomes if o.fault.residual is not None]
    aside = [o.fault for o in outcomes if o.verdict is Verdict.NOT_PLAYED and o.fault.residual is None]
    kinds.append(Named("No written procedure can contain", tuple((f.fault, f"{f.says}. {f.residual}") for f in residual)))
    kinds.append(Named("Not played", tuple((f.fault, f.not_simulated or "") for f in aside)))
    return tuple(kind for kind in kinds if kind.faults)
