"""`auditor index`: the table of all plans under a folder."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import Output, PolicyFile, stop, terminal_style, the_rulebooks, write

if TYPE_CHECKING:
    from collections.abc import Iterable

    from auditor.review.entry import Entry


class IndexForm(StrEnum):
    """How an index is written."""

    text = "text"
    markdown = "markdown"
    html = "html"


def index(
    folder: Annotated[str, typer.Argument(
        metavar="FOLDER", help="A folder with plans (.yaml) and pages with procedures (.md).")],
    as_: Annotated[IndexForm, typer.Option(
        "--as", help="Text for a terminal, Markdown for a wiki, or an HTML page.")] = IndexForm.text,
    policy: PolicyFile = None,
    output: Output = None,
) -> None:
    """The table of all plans under a folder: set, verdict, open findings and questions, accepted risks, who signed it off.

    Exit status: that of `auditor audit` on the same folder.

    \b
    For example:
      auditor index wiki/
      auditor index wiki/ --as markdown --output wiki/INDEX.md
    """
    from datetime import date
    from os.path import dirname, isdir

    from auditor.plan.files import files_under
    from auditor.report.index_words import markdown_lines, text_lines
    from auditor.report.progress import with_progress
    from auditor.review.entry import all_together, entry
    from auditor.review.run import review_file

    if not isdir(folder):
        stop(f"{folder} is not a folder. `auditor audit` reviews a single file.")
    files = files_under([folder])
    rulebooks = the_rulebooks(policy, files)
    today = date.today()
    entries: list[Entry] = [entry(reviewed) for file in with_progress(files)
                            for reviewed in review_file(file, rulebooks[file], today, asked_by_name=file == folder)]
    summary = all_together(entries)
    lies_in = folder if output is None else dirname(output) or "."
    match as_:
        case IndexForm.text:
            lines: Iterable[str] = text_lines(entries, summary, terminal_style(output))
        case IndexForm.markdown:
            lines = markdown_lines(entries, summary, lies_in)
        case IndexForm.html:
            from auditor.report.page.index import index_page

            lines = [index_page(entries, summary, lies_in)]
    write(lines, output)
    raise typer.Exit(summary.exit_status)
