"""The forms in which an audit is written, and who writes each. Every form shows the same result; none computes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from auditor.report.style import Style
    from auditor.review.run import Reviewed, Summary
    from auditor.rulebook.rule import Rulebook


class Form(StrEnum):
    """How an audit is written."""

    text = "text"
    markdown = "markdown"
    html = "html"
    json = "json"
    sarif = "sarif"
    sarif_levels = "sarif-levels"


def report_lines(form: Form, reviews: Sequence[Reviewed], summary: Summary, rulebook: Rulebook, style: Style
                 ) -> Iterable[str]:
    """The whole report in one form, line by line without line ends."""
    match form:
        case Form.text:
            from auditor.report.terminal import report_lines as text_lines

            return text_lines(reviews, summary, style)
        case Form.markdown:
            from auditor.report.markdown_report import report_lines as markdown_lines

            return markdown_lines(reviews, summary)
        case Form.html:
            from auditor.report.page.page import page

            return [page(reviews, summary)]
        case Form.json:
            from auditor.report.as_json import report

            return [report(reviews, summary, rulebook)]
        case Form.sarif | Form.sarif_levels:
            from auditor.report.sarif import sarif

            return [sarif(reviews, summary, rulebook, levels_only=form is Form.sarif_levels)]
