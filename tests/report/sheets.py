"""Sheets for the tests, and their rows."""

from __future__ import annotations

from functools import cache
from xml.etree.ElementTree import Element

from auditor.plan.files import PlanText
from auditor.report.result import Result, collected
from auditor.report.sheet.paper import Paper
from auditor.report.sheet.sheet import sheet
from auditor.review.run import Reviewed, review_text
from tests.report.pages import TODAY, all_named, reviewed, rulebook


def without_faults(found: Reviewed) -> Result:
    """All that a sheet shows of a plan."""
    assert found.audit is not None
    return collected(found, found.audit, faults=False)


def result_of(text: str) -> Result:
    return without_faults(review_text(PlanText("plan.yaml", text), rulebook(), TODAY))


@cache
def sheet_result(name: str) -> Result:
    """The same of a procedure of the club."""
    return without_faults(reviewed(name))


@cache
def sheet_named(name: str, paper: Paper = Paper.a4) -> str:
    """The sheet of a procedure of the club."""
    return sheet(sheet_result(name), paper)


def step_bodies(tree: Element) -> list[Element]:
    """The parts of the table of steps, one a row."""
    table, = (table for table in all_named(tree, "table") if table.get("class") == "steps")
    return list(all_named(table, "tbody"))


def boxes(element: Element) -> list[Element]:
    return [span for span in all_named(element, "span") if span.get("class") == "box"]
