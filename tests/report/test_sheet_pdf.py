"""The sheet on paper: its size, what stands on every page, and that no row is torn. Read back by pypdf."""

from __future__ import annotations

import io
import re
import time
from dataclasses import dataclass
from functools import cache

import pytest

from auditor.plan.fingerprint import plan_fingerprint
from auditor.report.sheet.paper import Paper
from auditor.report.sheet.rows import lines
from auditor.report.sheet.sheet import sheet
from tests.report.pages import hostile
from tests.report.sheets import sheet_named, sheet_result, without_faults

pypdf = pytest.importorskip("pypdf")
try:
    import weasyprint  # noqa: F401
except OSError:
    pytest.skip("the library Pango is not installed", allow_module_level=True)
except ImportError:
    pytest.skip("the extra `pdf` is not installed", allow_module_level=True)

FIVE, TELEVISION = "five-tube-series-heaters.yaml", "small-television.yaml"
POINTS = {Paper.a4: (841.89, 595.28), Paper.letter: (792.0, 612.0)}
"""Width and height in points of 1/72 inch: A4 is 210 mm by 297 mm (ISO 216), letter 8.5 by 11 inches (ANSI/ASME Y14.1)."""
BOX = 5 / 25.4 * 72
"""The side of a box to tick, in points."""


@dataclass(frozen=True)
class Sheet:
    """One page as read back: its words, the pieces of text with their height on the page, and the heights of boxes."""

    size: tuple[float, float]
    text: str
    pieces: tuple[tuple[str, float], ...]
    boxes: tuple[float, ...]


@cache
def printed(name: str, paper: Paper) -> tuple[Sheet, ...]:
    return read_back(sheet_named(name, paper))


def read_back(html: str) -> tuple[Sheet, ...]:
    from auditor.report.sheet.pdf import pdf

    return tuple(_read(page) for page in pypdf.PdfReader(io.BytesIO(pdf(html))).pages)


def _read(page) -> Sheet:  # type: ignore[no-untyped-def]
    pieces: list[tuple[str, float]] = []
    boxes: set[float] = set()

    def operand(operator, arguments, cm, tm) -> None:  # type: ignore[no-untyped-def]
        if operator == b"re":
            _, y, wide, high = (float(a) * abs(float(cm[0])) for a in arguments)
            if abs(wide - BOX) < 0.5 and abs(high - BOX) < 0.5:
                boxes.add(round(y + high / 2))

    def text(piece, cm, tm, font, size) -> None:  # type: ignore[no-untyped-def]
        if piece.strip():
            pieces.append((" ".join(piece.split()), float(tm[5]) * abs(float(cm[0]))))

    whole = page.extract_text(visitor_operand_before=operand, visitor_text=text)
    size = (float(page.mediabox.width), float(page.mediabox.height))
    return Sheet(size, " ".join(whole.split()), tuple(pieces), tuple(sorted(boxes)))


@pytest.mark.parametrize("paper", Paper)
def test_every_page_has_the_size_its_number_of_how_many_and_the_fingerprint(paper: Paper) -> None:
    pages = printed(FIVE, paper)
    assert len(pages) > 3
    for number, page in enumerate(pages, start=1):
        assert page.size == pytest.approx(POINTS[paper], abs=0.5)
        assert f"Plan {plan_fingerprint(sheet_result(FIVE).plan)}" in page.text
        assert page.text.endswith(f"page {number} of {len(pages)}")


@pytest.mark.parametrize(("name", "paper"), [(FIVE, Paper.a4), (FIVE, Paper.letter), (TELEVISION, Paper.a4)])
def test_no_row_is_torn_every_number_has_its_box_beside_it_and_its_words_on_the_same_page(name: str, paper: Paper) -> None:
    pages = printed(name, paper)
    for line in lines(sheet_result(name)):
        ends = [end for end in (line.words, line.expect, line.out, *line.beneath[-1:], *line.limits) if end]
        label = re.compile(rf"(?<![\w.]){re.escape(line.label)} {re.escape(line.words)}")
        on, = (page for page in pages if label.search(page.text))
        assert all(end in on.text for end in ends)
        heights = [y for piece, y in on.pieces if re.match(rf"{re.escape(line.label)}(?: |$)", piece)]
        assert any(abs(box - y) < BOX for y in heights for box in on.boxes)


def test_the_head_of_the_table_and_the_stop_conditions_stand_on_every_page_with_steps() -> None:
    steps = [page for page in printed(FIVE, Paper.a4) if "what to do hold dial set current" in page.text]
    assert len(steps) > 3
    for page in steps:
        assert all(condition in page.text for condition in sheet_result(FIVE).plan.stop_when)


def test_the_waiting_time_stands_on_the_last_page() -> None:
    last = printed(FIVE, Paper.a4)[-1].text
    assert re.search(r"C1 200 V 10 kohm, 10 W 1\.2 s 10 s below 10 V", last)


def test_the_same_sheet_gives_the_same_bytes_at_any_time() -> None:
    from auditor.report.sheet.pdf import pdf

    html = sheet(without_faults(hostile()), Paper.a4)
    at_once = pdf(html)
    time.sleep(1.1)
    assert pdf(html) == at_once


def test_a_page_that_asks_for_a_file_or_an_address_gets_nothing_and_is_printed_all_the_same() -> None:
    page, = read_back("<p>still here<img src='file:///etc/hostname'><img src='http://127.0.0.1:9/x.png'></p>")
    assert page.text == "still here"
