"""The index as a page."""

from __future__ import annotations

from collections.abc import Sequence

from auditor.report import index_words, phrases
from auditor.report.commonmark import address
from auditor.report.page.frame import framed
from auditor.review.entry import Entry
from auditor.review.run import Summary
from auditor.rulebook.rule import SIGNAL_WORDS


def index_page(entries: Sequence[Entry], summary: Summary, folder: str) -> str:
    """The index as a page that lies in `folder`, with a link to every plan."""
    return framed("index.html", "index.css", words=index_words, entries=entries, folder=folder, address=address,
                  signal_words=SIGNAL_WORDS, together=phrases.all_together(summary), policies=summary.policies,
                  phrases=phrases)
