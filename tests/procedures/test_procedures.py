"""The club's own procedures: those to follow have nothing to correct, the others have their one mistake and no more.

A procedure with a mistake names the rules that it breaks in the comments at its head: `# broken: rule, rule`.
"""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path

import pytest

import auditor
from auditor.review.finding import Finding, Outcome, Verdict
from auditor.review.run import Reviewed
from auditor.rulebook.rule import SIGNAL_WORDS

FOLDER = Path(__file__).parents[2] / "procedures"
TODAY = date(2026, 11, 20)
"""The day on which the procedures are dated; none of them accepts a risk, so it decides nothing."""

FLAWED = sorted(path.name for path in FOLDER.glob("flawed-*.yaml"))
CLEAN = sorted(path.name for path in FOLDER.glob("*.yaml")
               if path.name not in FLAWED and not path.name.endswith((".card.yaml", "policy.yaml")))
PAGE = "wiki-first-power.md"
ON_THE_CARD = re.compile(r"^card: millrace-north$", re.MULTILINE)


@cache
def reviews(name: str) -> tuple[Reviewed, ...]:
    return auditor.audit(FOLDER / name, today=TODAY)


def findings(reviewed: Reviewed) -> tuple[Finding, ...]:
    assert reviewed.audit is not None, reviewed.problems
    return reviewed.audit.findings


def that_count(reviewed: Reviewed) -> list[str]:
    """The rules of the findings at CAUTION or above."""
    counting = SIGNAL_WORDS[:SIGNAL_WORDS.index("CAUTION") + 1]
    return [finding.rule for finding in findings(reviewed) if finding.signal_word in counting]


def listed_as_broken(name: str) -> set[str]:
    """The rules that the comments at the head of the file say are broken."""
    lines = re.findall(r"^# broken: (.+)$", (FOLDER / name).read_text(encoding="utf-8"), re.MULTILINE)
    return {rule.strip() for line in lines for rule in line.split(",")}


def test_the_folder_has_procedures_of_both_kinds() -> None:
    assert len(CLEAN) >= 6
    assert len(FLAWED) >= 6


@pytest.mark.parametrize("name", CLEAN)
def test_a_procedure_to_follow_has_nothing_to_correct(name: str) -> None:
    (reviewed,) = reviews(name)
    assert that_count(reviewed) == []


@pytest.mark.parametrize("name", CLEAN)
def test_a_procedure_to_follow_gives_its_set_power(name: str) -> None:
    (reviewed,) = reviews(name)
    assert reviewed.audit is not None
    assert reviewed.audit.verdict is not Verdict.NOTHING_TO_REVIEW


@pytest.mark.parametrize("name", FLAWED)
def test_a_procedure_with_a_mistake_breaks_what_its_head_lists(name: str) -> None:
    (reviewed,) = reviews(name)
    broken = {finding.rule for finding in findings(reviewed) if finding.outcome is Outcome.BROKEN}
    assert broken == listed_as_broken(name)
    assert broken


@pytest.mark.parametrize("name", [name for name in FLAWED if name != "flawed-ten-lines.yaml"])
def test_a_procedure_with_a_mistake_leaves_no_question_open(name: str) -> None:
    (reviewed,) = reviews(name)
    assert [finding.rule for finding in findings(reviewed) if finding.outcome is Outcome.UNDETERMINED] == []


def test_ten_lines_that_say_little_are_asked_about() -> None:
    (reviewed,) = reviews("flawed-ten-lines.yaml")
    assert reviewed.audit is not None
    asked = [question.missing.path for question in reviewed.audit.questions]
    assert {"set.power_supply", "bench.chain.outlet.switch"} <= set(asked[:3])
    assert {"set.chassis", "set.rated_voltage", "set.rated_power", "bench.people.second_person"} <= set(asked)


def test_the_page_holds_two_procedures_with_nothing_to_correct() -> None:
    first, second = reviews(PAGE)
    assert that_count(first) == []
    assert that_count(second) == []
    assert first.title != second.title


def test_the_procedures_of_bench_north_share_its_card() -> None:
    sharing = [name for name in CLEAN if ON_THE_CARD.search((FOLDER / name).read_text(encoding="utf-8"))]
    assert len(sharing) >= 3


def test_the_folder_as_a_whole_can_be_read() -> None:
    assert [(r.path, r.problems) for r in auditor.audit(FOLDER, today=TODAY) if r.audit is None] == []
