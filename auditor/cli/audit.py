"""`auditor audit`: findings for plans, folders and pages."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import (
    Output,
    PolicyFile,
    SignalWord,
    stop,
    stop_for_unreadable,
    terminal_style,
    the_rulebooks,
    write,
)
from auditor.report.forms import Form, report_lines

if TYPE_CHECKING:
    from auditor.review.run import Reviewed
    from auditor.review.since import Earlier
    from auditor.rulebook.rule import Rulebook


def audit(
    paths: Annotated[list[str], typer.Argument(
        metavar="PATH", help="Plans (.yaml), pages with procedures (.md), folders of both, or - for standard input.")],
    as_: Annotated[Form, typer.Option(
        "--as", help="Text for a person, HTML for a page to look at, Markdown for a wiki, JSON for a program, "
                     "SARIF 2.1.0 for continuous integration; sarif-levels is for what shows levels alone.")] = Form.text,
    at_least: Annotated[SignalWord | None, typer.Option(
        help="Findings count for the exit status from this signal word up; if not given, from the one that the policy "
             "names, else from CAUTION.", case_sensitive=False, show_default=False,
    )] = None,
    since: Annotated[str | None, typer.Option(
        metavar="REPORT", help="An earlier report (`--as json`): only what is new since then counts.")] = None,
    policy: PolicyFile = None,
    output: Output = None,
) -> None:
    """Findings for plans, folders of plans, and Markdown pages that contain plans.

    Exit status: 0 nothing counts, 1 something counts, 2 something asked for could not be used.

    \b
    For example:
      auditor audit procedures/
      auditor audit - < plan.yaml
      auditor audit wiki/ --as sarif --output findings.sarif

    \b
    To start with what is not yet as it should be, and count only what is new:
      auditor audit wiki/ --as json --output before.json
      auditor audit wiki/ --since before.json
    """
    from datetime import date

    from auditor.plan.files import STANDARD_INPUT, files_under
    from auditor.report.progress import with_progress
    from auditor.review.run import review_file, summed_up
    from auditor.rulebook.rule import together

    files = files_under(paths)
    rulebooks = the_rulebooks(policy, files)
    _as_strict_as_the_policy(at_least, rulebooks.values())
    earlier = _earlier(since) if since is not None else None
    given = sys.stdin.buffer.read() if STANDARD_INPUT in files else b""
    today = date.today()
    reviews: list[Reviewed] = []
    for file in with_progress(files):
        for reviewed in review_file(file, rulebooks[file], today, standard_input=given, asked_by_name=file in paths):
            reviews.append(reviewed)
    rulebook = together(rulebooks.values())
    if earlier is not None:
        from os.path import exists

        from auditor.review.since import compared

        reviews = list(compared(reviews, earlier, rulebook, exists))
    summary = summed_up(reviews, at_least.value if at_least is not None else None)
    write(report_lines(as_, reviews, summary, rulebook, terminal_style(output)), output)
    raise typer.Exit(summary.exit_status)


def _as_strict_as_the_policy(at_least: SignalWord | None, rulebooks: Iterable[Rulebook]) -> None:
    """Stop where fewer findings would count than a policy asks for."""
    from auditor.rulebook.rule import SIGNAL_WORDS

    for rulebook in rulebooks:
        policy = rulebook.policy
        if at_least is not None and policy is not None and (
                SIGNAL_WORDS.index(at_least.value) < SIGNAL_WORDS.index(policy.fails_from)):
            stop(f"By the policy {policy.file} findings count from {policy.fails_from} up; --at-least {at_least.value} "
                 "would let some of them pass.")


def _earlier(path: str) -> Earlier:
    from auditor.plan.problems import Unreadable
    from auditor.report.earlier import earlier_report

    try:
        with open(path, "rb") as file:
            return earlier_report(file.read())
    except OSError as error:
        stop(f"The earlier report {path} cannot be read: {error.strerror}.")
    except Unreadable as error:
        stop_for_unreadable(error, path)
