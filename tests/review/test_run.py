"""Everything that was asked for, together; one unreadable plan never hides the others."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

import auditor
from auditor.review.run import Reviewed, Summary, review_file, summed_up
from auditor.rulebook.rule import Rulebook
from tests.written import a_rule, rules, spot, with_steps

TODAY = date(2026, 11, 20)
POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
IDLE = with_steps("set_dial: 0 V")
PAGE = f"# Page\n\n```procedure\n{POWERED}```\n\n```procedure\nset: {{chasis: hot}}\n```\n\n```procedure\n{POWERED}```\n"


def under(word: str) -> Rulebook:
    """One rule that the powered plan breaks."""
    return rules(a_rule("never-on", "never(energised)", word=word))


def reviews(*texts: str, word: str = "WARNING") -> list[Reviewed]:
    return [reviewed for text in texts
            for reviewed in review_file("-", under(word), TODAY, standard_input=text.encode())]


def summary(*texts: str, word: str = "WARNING", at_least: str = "CAUTION") -> Summary:
    return summed_up(reviews(*texts, word=word), at_least)


def test_an_unreadable_plan_has_its_problems_and_no_audit() -> None:
    reviewed = reviews("a: b\n")[0]
    assert reviewed.audit is None
    assert reviewed.problems


def test_an_unreadable_plan_never_hides_the_others() -> None:
    assert [reviewed.audit is None for reviewed in reviews(POWERED, "a: b\n", POWERED)] == [False, True, False]


def test_an_unreadable_plan_on_a_page_never_hides_the_others(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    found = list(review_file(str(tmp_path / "page.md"), under("WARNING"), TODAY))
    assert [reviewed.audit is None for reviewed in found] == [False, True, False]


def test_a_finding_on_a_page_stands_at_the_line_of_the_page(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE.replace("set_dial: 60 V", "set_dial: 50 V", 1))
    last = list(review_file(str(tmp_path / "page.md"), under("WARNING"), TODAY))[2]
    assert last.audit is not None
    place = last.audit.findings[0].place
    assert (place.line, place.column) == spot(PAGE.replace("set_dial: 60 V", "set_dial: 50 V", 1), "set_dial: 60 V")


@pytest.mark.parametrize(("texts", "word", "at_least", "status"), [
    ((POWERED,), "WARNING", "CAUTION", 1),
    ((POWERED,), "CAUTION", "CAUTION", 1),
    ((POWERED,), "NOTICE", "CAUTION", 0),
    ((POWERED,), "NOTICE", "NOTICE", 1),
    ((POWERED,), "WARNING", "DANGER", 0),
    ((POWERED,), "DANGER", "DANGER", 1),
    ((IDLE,), "WARNING", "DANGER", 1),
    (("a: b\n",), "WARNING", "CAUTION", 2),
    ((POWERED, "a: b\n"), "WARNING", "CAUTION", 2),
    (("a: b\n", POWERED), "NOTICE", "CAUTION", 2),
    ((), "WARNING", "CAUTION", 2),
])
def test_the_exit_status(texts: tuple[str, ...], word: str, at_least: str, status: int) -> None:
    assert summary(*texts, word=word, at_least=at_least).exit_status == status


def test_the_summary_counts_plans_and_findings() -> None:
    found = summary(POWERED, IDLE, "a: b\n", POWERED)
    assert found == Summary(plans=4, unreadable=1, with_findings=2, nothing_to_review=1, findings={"WARNING": 2},
                            exit_status=2)


def test_findings_that_do_not_count_are_still_summed_up() -> None:
    assert summary(POWERED, word="NOTICE", at_least="DANGER").findings == {"NOTICE": 1}


def test_from_python_a_text_is_reviewed() -> None:
    reviewed, = auditor.audit(POWERED, today=TODAY)
    assert reviewed.title is not None
    assert reviewed.audit is not None


def test_from_python_a_file_is_reviewed(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(POWERED)
    for path in (tmp_path / "plan.yaml", str(tmp_path / "plan.yaml")):
        assert [reviewed.audit is None for reviewed in auditor.audit(path)] == [False]


def test_from_python_a_folder_is_reviewed(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(POWERED)
    (tmp_path / "page.md").write_text(PAGE)
    assert [reviewed.audit is None for reviewed in auditor.audit(tmp_path)] == [False, True, False, False]


def test_from_python_the_text_and_the_file_say_the_same(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(POWERED)
    file, = auditor.audit(tmp_path / "plan.yaml", today=TODAY)
    text, = auditor.audit(POWERED, today=TODAY)
    assert file.audit is not None
    assert text.audit is not None
    assert file.audit.findings == text.audit.findings


def test_from_python_a_hot_chassis_without_isolation_is_found() -> None:
    reviewed, = auditor.audit(POWERED.replace("set: {", "set: {chassis: hot, "), today=TODAY)
    assert reviewed.audit is not None
    assert "isolate-a-hot-chassis" in [f.rule for f in reviewed.audit.findings if f.outcome.value == "broken"]
