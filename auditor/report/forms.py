"""The forms in which an audit is written, and who writes each. Every form shows the same result; none computes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from auditor.report.style import Style
    from auditor.review.run import Reviewed, Summary


class Form(StrEnum):
    """How an audit is written."""

    text = "text"
    json = "json"


def report_lines(form: Form, reviews: Sequence[Reviewed], summary: Summary, style: Style) -> Iterable[str]:
    """The whole report in one form, line by line without line ends."""
    match form:
        case Form.text:
            from auditor.report.terminal import report_lines as text_lines

            return text_lines(reviews, summary, style)
        case Form.json:
            from auditor.report.as_json import report

            return [report(reviews, summary)]
