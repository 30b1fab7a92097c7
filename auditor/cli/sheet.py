"""`auditor sheet`: the page to take along to the bench."""

from __future__ import annotations

import sys
from enum import StrEnum
from typing import Annotated

import typer

from auditor.cli.common import Output, PolicyFile, one_plan, stop, stop_for_unreadable, the_rulebook, write, write_bytes
from auditor.report.sheet.paper import Paper


class SheetForm(StrEnum):
    """How a sheet is written."""

    html = "html"
    pdf = "pdf"


def sheet(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="A plan (.yaml), or a page with one procedure.")],
    as_: Annotated[SheetForm, typer.Option(
        "--as", help="HTML to print from a browser; PDF needs the extra `pdf` and --output.")] = SheetForm.html,
    paper: Annotated[Paper, typer.Option(help="The paper to print it on, crosswise.", case_sensitive=False)] = Paper.a4,
    policy: PolicyFile = None,
    output: Output = None,
) -> None:
    """The bench sheet to print and take along: steps, boxes, expected readings, stop limits, room for what is read.

    Findings that are still open stand on top of it. It does not say that a procedure is safe.

    \b
    For example:
      auditor sheet plan.yaml --output sheet.html
      auditor sheet plan.yaml --as pdf --paper letter --output sheet.pdf
    """
    from datetime import date

    from auditor.plan.problems import Unreadable
    from auditor.report.phrases import counted
    from auditor.report.result import collected
    from auditor.report.sheet.sheet import sheet as sheet_of
    from auditor.review.review import review_plan
    from auditor.review.run import Reviewed

    if as_ is SheetForm.pdf and output is None and sys.stdout.isatty():
        stop("A PDF is nothing for a terminal: name a file, as in `--output sheet.pdf`.")
    rulebook = the_rulebook(policy, plan)
    read = one_plan(plan, rulebook.policy.cards if rulebook.policy is not None else None)
    if not read.steps:
        stop(f"{plan} has no steps, so there is nothing to take along.")
    try:
        audit = review_plan(read, rulebook, date.today())
    except Unreadable as error:
        stop_for_unreadable(error, plan)
    page = sheet_of(collected(Reviewed(plan, read.header.title, audit), audit, faults=False), paper)
    if as_ is SheetForm.html:
        write([page], output)
    else:
        write_bytes(_printed(page), output)
    if audit.findings:
        print(f"{counted(len(audit.findings), 'finding')} still open: they stand on top of the sheet.", file=sys.stderr)


def _printed(page: str) -> bytes:
    from auditor.report.sheet.pdf import CannotPrint, pdf

    try:
        return pdf(page)
    except CannotPrint as error:
        stop(str(error))
