"""The page: one file with everything in it, that asks nothing of a network and runs no script."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.electrical.lamp import GLOW
from auditor.plan.fingerprint import plan_fingerprint
from auditor.report import phrases, whatif
from auditor.report.page import tables
from auditor.report.page.chain import Diagram, diagram
from auditor.report.page.frame import framed
from auditor.report.page.plots import NARROW, WIDE, Plot, glow_key, plots, steps_plot, time_axis
from auditor.report.page.text import PlanLine, plan_lines
from auditor.report.phrases import MOST_ASKED, quoted
from auditor.report.progress import bar
from auditor.report.result import Result, collected
from auditor.review.run import Reviewed, Summary


class Sheet(Struct, frozen=True):
    """One plan as its part of the page lays it out. key: what all its addresses begin with; result: None where the plan
    could not be read."""

    key: str
    reviewed: Reviewed
    result: Result | None = None
    lines: tuple[PlanLine, ...] = ()
    chain: Diagram | None = None
    steps: Plot | None = None
    plots: tuple[Plot, ...] = ()
    times: tuple[Markup, Markup] = (Markup(), Markup())
    readings: tuple[tables.Reading, ...] = ()
    sources: tuple[tables.Source, ...] = ()

    @property
    def title(self) -> str:
        return self.reviewed.title or self.reviewed.path


def page(reviews: Sequence[Reviewed], summary: Summary) -> str:
    """All reviews as one page; several have an index above them."""
    with bar("Playing faults", len(reviews)) as progress:
        sheets = []
        for number, reviewed in enumerate(reviews, start=1):
            progress(reviewed)
            sheets.append(_sheet(Sheet(f"p{number}", reviewed)))
    return framed("page.html", "page.css", sheets=sheets, summary=summary, phrases=phrases, whatif=whatif, tables=tables,
                  quoted=quoted, fingerprint=plan_fingerprint, most_asked=MOST_ASKED, wide=WIDE, narrow=NARROW,
                  glow_words=[(word, glow_key(word)) for _, word in GLOW])


def _sheet(sheet: Sheet) -> Sheet:
    if sheet.reviewed.audit is None:
        return sheet
    result = collected(sheet.reviewed, sheet.reviewed.audit)
    sheet = replace(sheet, result=result, lines=plan_lines(result), sources=tables.sources(result),
                    chain=diagram(result) if result.plan.chain else None)
    if not result.moments:
        return sheet
    return replace(sheet, steps=steps_plot(result, f"#{sheet.key}-finding-"), plots=plots(result), times=time_axis(result),
                   readings=tables.readings(result))
