"""`auditor audit`: findings for plans, folders and pages."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import Output, SignalWord, terminal_style, the_rulebook, write
from auditor.report.forms import Form, report_lines

if TYPE_CHECKING:
    from auditor.review.run import Reviewed


def audit(
    paths: Annotated[list[str], typer.Argument(
        metavar="PATH", help="Plans (.yaml), pages with procedures (.md), folders of both, or - for standard input.")],
    as_: Annotated[Form, typer.Option("--as", help="Text for a person, or JSON for a program.")] = Form.text,
    at_least: Annotated[SignalWord, typer.Option(
        help="Findings count for the exit status from this signal word up.", case_sensitive=False,
    )] = SignalWord.CAUTION,
    output: Output = None,
) -> None:
    """Findings for plans, folders of plans, and Markdown pages that contain plans.

    Exit status: 0 nothing counts, 1 something counts, 2 something asked for could not be used.

    For example: auditor audit procedures/    or    auditor audit - < plan.yaml
    """
    from datetime import date

    from auditor.plan.files import STANDARD_INPUT, files_under
    from auditor.report.progress import with_progress
    from auditor.review.run import review_file, summed_up

    rulebook = the_rulebook()
    files = files_under(paths)
    given = sys.stdin.buffer.read() if STANDARD_INPUT in files else b""
    today = date.today()
    reviews: list[Reviewed] = []
    for file in with_progress(files):
        for reviewed in review_file(file, rulebook, today, standard_input=given, asked_by_name=file in paths):
            reviews.append(reviewed)
    summary = summed_up(reviews, at_least.value)
    write(report_lines(as_, reviews, summary, terminal_style(output)), output)
    raise typer.Exit(summary.exit_status)
