"""The page in a real browser: it asks for nothing, its links work, it fits a phone, and it can be read in the dark."""

from __future__ import annotations

import json
import shutil
from base64 import b64decode
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.report.pages import MARKUP, hostile, page_named, page_of, result

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(CHROMIUM is None or DRIVER is None,
                                reason="no browser: `chromium` and `chromedriver` are not installed")
FLAWED = "flawed-reaches-in-before-dead.yaml"
PHONE, DESK = 360, 1100
SWITCHES = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync")

TOO_FAINT = """
const parsed = colour => (colour.match(/[\\d.]+/g) || []).map(Number);
const linear = v => v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4;
const light = ([r, g, b]) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
const behind = element => {
  for (let e = element; e; e = e.parentElement) {
    const c = parsed(getComputedStyle(e).backgroundColor);
    if (c.length === 3 || c[3] > 0) return c.slice(0, 3);
  }
  return [255, 255, 255];
};
const faint = [];
for (const element of document.body.querySelectorAll('*')) {
  if (![...element.childNodes].some(n => n.nodeType === 3 && n.data.trim()) || !element.checkVisibility()) continue;
  const style = getComputedStyle(element);
  const text = parsed(element.closest('svg') ? style.fill : style.color).slice(0, 3);
  const [high, low] = [light(text), light(behind(element))].sort((a, b) => b - a);
  if ((high + 0.05) / (low + 0.05) < 4.5) faint.push(element.outerHTML.slice(0, 120));
}
return faint;
"""
"""Finds every text whose contrast, as WCAG 2.2 counts it (success criterion 1.4.3), is below 4.5 to 1."""


class Browser:
    """A browser with one page open at a time, and what it asked for and complained of."""

    def __init__(self, folder: Path) -> None:
        from selenium import webdriver
        from selenium.webdriver.chrome.service import Service

        options = webdriver.ChromeOptions()
        options.binary_location = str(CHROMIUM)
        for switch in (*SWITCHES, f"--user-data-dir={folder}"):
            options.add_argument(switch)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service(DRIVER))

    def open(self, page: Path, *, width: int = DESK, dark: bool = False, media: str = "") -> None:
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": 740, "deviceScaleFactor": 1, "mobile": width < DESK})
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media, "features": [
            {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]})
        self.driver.get("about:blank")
        self.complaints(), self.requests()
        self.driver.get(page.as_uri())

    def ask(self, script: str) -> Any:
        return self.driver.execute_script(script)  # type: ignore[no-untyped-call]

    def complaints(self) -> list[Any]:
        return list(self.driver.get_log("browser"))  # type: ignore[no-untyped-call]

    def requests(self) -> list[str]:
        told = (json.loads(entry["message"])["message"]
                for entry in self.driver.get_log("performance"))  # type: ignore[no-untyped-call]
        return [event["params"]["request"]["url"] for event in told if event["method"] == "Network.requestWillBeSent"]


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("profile"))
    yield browser
    browser.driver.quit()


@pytest.fixture(scope="module")
def flawed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    page = tmp_path_factory.mktemp("pages") / "flawed.html"
    page.write_text(page_named(FLAWED), encoding="utf-8")
    return page


@pytest.fixture(scope="module")
def several(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page of two plans, each of whose texts would like to be part of the page."""
    page = tmp_path_factory.mktemp("pages") / "several.html"
    page.write_text(page_of(hostile(), hostile()), encoding="utf-8")
    return page


def test_the_page_asks_for_nothing_and_the_browser_has_no_complaint(browser: Browser, flawed: Path) -> None:
    browser.open(flawed)
    asked = browser.requests()
    assert asked[0] == flawed.as_uri()
    assert all(url == flawed.as_uri() or url.startswith("data:") for url in asked)
    assert browser.complaints() == []


def test_the_style_sheet_is_in_force(browser: Browser, flawed: Path) -> None:
    browser.open(flawed)
    behind = browser.ask("return getComputedStyle(document.querySelector('.signal.DANGER')).backgroundColor")
    assert behind == "rgb(184, 15, 42)"


def test_a_script_that_came_into_the_page_would_not_run(browser: Browser, flawed: Path, tmp_path: Path) -> None:
    tampered = tmp_path / "tampered.html"
    text = flawed.read_text(encoding="utf-8").replace("<main", "<script>document.title = 'taken'</script><main", 1)
    tampered.write_text(text, encoding="utf-8")
    browser.open(tampered)
    assert browser.driver.title != "taken"
    assert any("Content Security Policy" in complaint["message"] for complaint in browser.complaints())


def test_what_a_plan_says_stays_text(browser: Browser, several: Path) -> None:
    browser.open(several)
    assert browser.ask("return document.querySelectorAll('script, img, iframe, [onerror]').length") == 0
    assert browser.complaints() == []
    assert browser.ask("return document.querySelector('#p1 > h2').textContent").startswith(MARKUP)


@pytest.mark.parametrize("page", ["flawed", "several"])
def test_nothing_scrolls_sideways_on_a_phone(page: str, browser: Browser, request: pytest.FixtureRequest) -> None:
    browser.open(request.getfixturevalue(page), width=PHONE)
    assert browser.ask("return document.documentElement.scrollWidth") <= PHONE
    beyond = browser.ask("return [...document.body.querySelectorAll('*')].filter(e => e.checkVisibility()"
                         f" && !e.closest('.scrolls, .skip, svg') && e.getBoundingClientRect().right > {PHONE + 1})"
                         ".map(e => e.outerHTML.slice(0, 120))")
    assert beyond == []


def test_a_finding_leads_to_its_line_and_the_line_back(browser: Browser, flawed: Path) -> None:
    browser.open(flawed, width=PHONE)
    line = result(FLAWED).standing[0].finding.place.line
    for inside, target in (("p1-finding-1", f"p1-line-{line}"), (f"p1-line-{line}", "p1-finding-1")):
        browser.ask(f"document.querySelector('#{inside} a[href=\"#{target}\"]').click()")
        top, bottom, high = browser.ask(f"const box = document.getElementById('{target}').getBoundingClientRect();"
                                        "return [box.top, box.bottom, innerHeight]")
        assert browser.ask("return location.hash") == f"#{target}"
        assert bottom > 0
        assert top < high


def test_a_number_on_the_time_axis_leads_to_its_finding(browser: Browser, flawed: Path) -> None:
    browser.open(flawed, width=PHONE)
    assert browser.ask("const link = [...document.querySelectorAll('svg.narrow a')].find(a => a.checkVisibility());"
                       "link.dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}));"
                       "return link.getAttribute('href') === location.hash && location.hash.startsWith('#p1-finding-')")


def test_a_link_opens_what_is_folded_away(browser: Browser, several: Path) -> None:
    browser.open(several)
    key = browser.ask("return document.querySelector('#p1 details .waiting > li').id")
    browser.ask(f"location.hash = '{key}'")
    assert browser.ask(f"return document.getElementById('{key}').checkVisibility({{contentVisibilityAuto: true}})"
                       f" && document.getElementById('{key}').closest('details').open")


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("dark", [False, True])
def test_every_text_stands_out_from_what_is_behind_it(dark: bool, width: int, browser: Browser, flawed: Path) -> None:
    browser.open(flawed, width=width, dark=dark)
    paper = browser.ask("return getComputedStyle(document.documentElement).backgroundColor")
    assert paper == ("rgb(22, 22, 20)" if dark else "rgb(250, 249, 245)")
    assert browser.ask(TOO_FAINT) == []


def test_the_keyboard_reaches_the_review_first_and_every_part_that_scrolls(browser: Browser, flawed: Path) -> None:
    from selenium.webdriver.common.keys import Keys

    browser.open(flawed)
    body = browser.driver.find_element("tag name", "body")
    body.send_keys(Keys.TAB)
    assert browser.ask("return document.activeElement.getAttribute('href')") == "#content"
    assert browser.ask("return document.activeElement.getBoundingClientRect().left") >= 0
    assert browser.ask("return [...document.querySelectorAll('.scrolls')].every(e => e.tabIndex === 0)")


def test_a_screen_reader_finds_landmarks_named_drawings_and_named_links(browser: Browser, flawed: Path) -> None:
    browser.open(flawed)
    nodes = browser.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    seen = [(node["role"]["value"], node.get("name", {}).get("value", "")) for node in nodes if not node["ignored"]]
    assert {"banner", "main", "contentinfo", "navigation"} <= {role for role, _ in seen}
    images = [label for role, label in seen if role in ("image", "img")]
    assert [label.partition(".")[0] for label in images] == ["Volts", "Current", "Glow of the lamp", "B+", "Stored energy"]
    assert all(label for role, label in seen if role in ("link", "region", "navigation", "article"))


def test_the_printed_page_is_black_on_white_wide_and_unfolded(browser: Browser, flawed: Path) -> None:
    browser.open(flawed, dark=True, media="print")
    assert browser.ask("return getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert browser.ask("return getComputedStyle(document.querySelector('svg.wide')).display") == "block"
    assert browser.ask("return [...document.querySelectorAll('details li')].every(e => e.checkVisibility())")
    sheet = b64decode(browser.driver.execute_cdp_cmd("Page.printToPDF", {})["data"])
    assert sheet.startswith(b"%PDF")
