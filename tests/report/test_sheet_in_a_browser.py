"""The sheet printed from a real browser: pages, type and what is loaded."""

from __future__ import annotations

import io
import re
from base64 import b64decode
from pathlib import Path
from unicodedata import normalize

import pytest

from auditor.plan.fingerprint import plan_fingerprint
from auditor.report.sheet.paper import Paper
from auditor.report.sheet.rows import lines
from auditor.report.sheet.sheet import sheet
from tests.report.pages import MARKUP, hostile
from tests.report.sheets import sheet_named, sheet_result, without_faults
from tests.report.test_page_in_a_browser import CHROMIUM, DRIVER, TOO_FAINT, Browser, browser

pytestmark = pytest.mark.skipif(CHROMIUM is None or DRIVER is None,
                                reason="no browser: `chromium` and `chromedriver` are not installed")
pypdf = pytest.importorskip("pypdf")
FIVE = "five-tube-series-heaters.yaml"
FIRST_WITH_MARGINS = 131
"""The first Chromium that prints the boxes in the margin of CSS Paged Media."""
POINT = 96 / 72
"""Pixels of CSS in a point."""
__all__ = ["browser"]


@pytest.fixture(scope="module")
def five(tmp_path_factory: pytest.TempPathFactory) -> Path:
    page = tmp_path_factory.mktemp("sheets") / "five.html"
    page.write_text(sheet_named(FIVE, Paper.letter), encoding="utf-8")
    return page


def printed(browser: Browser) -> list[str]:
    """The words of each page as the browser prints it, letters that are joined in print taken apart."""
    told = browser.driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    pages = pypdf.PdfReader(io.BytesIO(b64decode(told["data"]))).pages
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((792, 612), abs=1)
    return [" ".join(normalize("NFKC", page.extract_text()).split()) for page in pages]


def test_a_browser_prints_number_and_fingerprint_on_every_page_and_tears_no_row(browser: Browser, five: Path) -> None:
    if int(browser.driver.capabilities["browserVersion"].partition(".")[0]) < FIRST_WITH_MARGINS:
        pytest.skip("this browser is too old to print what stands in the margin of a page")
    browser.open(five)
    pages = printed(browser)
    told = sheet_result(FIVE)
    for number, page in enumerate(pages, start=1):
        assert f"Plan {plan_fingerprint(told.plan)}" in page
        assert f"page {number} of {len(pages)}" in page
    for line in lines(told):
        label = re.compile(rf"(?<![\w.]){re.escape(line.label)} {re.escape(line.words)}")
        on, = (page for page in pages if label.search(page))
        assert all(end in on for end in (line.words, *line.limits, *line.beneath[-1:]))


def test_the_sheet_loads_nothing_and_the_browser_has_no_complaint(browser: Browser, five: Path) -> None:
    browser.open(five)
    assert all(url == five.as_uri() or url.startswith("data:") for url in browser.requests())
    assert browser.complaints() == []


@pytest.mark.parametrize(("part", "least"), [
    ("table td, table th, .blank", 9.0), (".stopbox, .stopbox li, .stopbox p", 14.0)])
def test_the_type_is_large_enough_to_read(part: str, least: float, browser: Browser, five: Path) -> None:
    browser.open(five, media="print")
    sizes = browser.ask(f"return [...document.querySelectorAll('{part}')]"
                        ".map(e => parseFloat(getComputedStyle(e).fontSize))")
    assert min(sizes) >= least * POINT - 0.01


def test_the_sheet_is_black_on_white_even_where_the_device_is_dark(browser: Browser, five: Path) -> None:
    browser.open(five, dark=True)
    assert browser.ask("return getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert browser.ask("return [...new Set([...document.body.querySelectorAll('*')].map(e => getComputedStyle(e).color))]"
                       ) == ["rgb(0, 0, 0)"]
    assert browser.ask(TOO_FAINT) == []


def test_what_a_plan_says_stays_text(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "hostile.html"
    page.write_text(sheet(without_faults(hostile()), Paper.a4), encoding="utf-8")
    browser.open(page)
    assert browser.ask("return document.querySelectorAll('script, img, iframe, [onerror]').length") == 0
    assert browser.complaints() == []
    assert browser.driver.title.startswith(f"Bench sheet: {MARKUP}"[:60])
