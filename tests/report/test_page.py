"""The page: one file that needs nothing else, with the content of the other reports, every finding linked both ways."""

from __future__ import annotations

import itertools
import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from msgspec.structs import replace
from typer.testing import CliRunner

from auditor.cli import app
from auditor.plan.chain import ELEMENTS
from auditor.plan.files import PlanText
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.page.symbols import SYMBOLS
from auditor.report.phrases import rules_in, verdict, waits
from auditor.report.prediction import said
from auditor.report.whatif import verdict as fault_verdict
from auditor.review.run import Reviewed, review_text
from auditor.rulebook.rule import SIGNAL_WORDS
from tests.report.pages import (
    HOSTILE,
    MARKUP,
    ROOT,
    TODAY,
    addresses,
    all_named,
    hostile,
    name,
    page_named,
    page_of,
    read,
    result,
    rulebook,
    with_id,
    words,
)
from tests.written import a_rule, review, with_steps

BARE, FLAWED = "flawed-ten-lines.yaml", "flawed-reaches-in-before-dead.yaml"
"""A plan that leaves nearly all open; and one that reaches into a set that holds charge."""


@pytest.fixture(scope="module", params=[BARE, FLAWED])
def procedure(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def tree(procedure: str) -> Element:
    return read(page_named(procedure))


@pytest.fixture(scope="module")
def hostile_tree() -> Element:
    return read(page_of(hostile()))


# One file, and nothing else

def test_the_page_loads_nothing_and_runs_nothing(tree: Element) -> None:
    assert [name(e) for e in all_named(tree, "script", "iframe", "object", "embed", "form", "image", "use", "img")] == []
    for element in tree.iter():
        for attribute, value in element.attrib.items():
            assert not attribute.startswith("on")
            assert attribute not in ("src", "srcset", "style")
            if attribute.endswith("href"):
                assert value.startswith("#") or value == "data:,"


def test_the_page_lets_a_browser_use_its_own_style_sheet_and_nothing_else(tree: Element) -> None:
    (allowed,) = (e.get("content", "") for e in all_named(tree, "meta") if e.get("http-equiv") == "Content-Security-Policy")
    (style,) = all_named(tree, "style")
    digest = b64encode(sha256((style.text or "").encode()).digest()).decode()
    directives = dict(part.strip().split(" ", 1) for part in allowed.split(";"))
    assert directives == {"default-src": "'none'", "style-src": f"'sha256-{digest}'", "img-src": "data:",
                          "base-uri": "'none'", "form-action": "'none'"}
    assert "url(" not in (style.text or "")
    assert "@import" not in (style.text or "")


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert page_of(hostile()) == page_of(hostile())


# The content of the other reports

def test_the_page_tells_every_finding_in_full(tree: Element, procedure: str) -> None:
    told = result(procedure)
    assert told.standing
    for numbered in told.standing:
        finding = numbered.finding
        text = words(with_id(tree, f"p1-finding-{numbered.number}"))
        for part in (finding.signal_word, finding.message, finding.because, finding.remedy, finding.rule, *finding.sources,
                     *(finding.write or "").splitlines()):
            assert " ".join(part.replace("`", "").split()) in text


def test_the_page_names_every_finding_and_every_question_once() -> None:
    told, tree = result(BARE), read(page_named(BARE))
    assert told.waiting
    assert len(told.findings) == len(told.audit.findings)
    for numbered in told.findings:
        assert numbered.finding.rule in words(with_id(tree, f"p1-finding-{numbered.number}"))
    asked = [words(item) for lists in all_named(tree, "ol") if lists.get("class") == "questions" for item in lists]
    assert len(asked) == len(told.audit.questions)
    for question, text in zip(told.audit.questions, asked, strict=True):
        assert question.missing.asks[1:] in text
        assert " ".join(question.missing.line.split()) in text


def test_the_page_counts_the_rules_that_wait_and_not_their_findings() -> None:
    two = HOSTILE.replace("filter_capacitors: [", "filter_capacitors: [{name: C2, working_voltage: 450 V}, ")
    told = review_text(PlanText("two.yaml", two), rulebook(), TODAY)
    assert told.audit is not None
    waiting = [finding for finding in told.audit.findings if waits(finding)]
    assert rules_in(waiting) < len(waiting)
    assert f"{rules_in(waiting)} rules that wait for an answer" in words(read(page_of(told)))


def test_the_page_gives_verdicts_assumptions_and_cautions(tree: Element, procedure: str) -> None:
    told, text = result(procedure), words(tree)
    assert told.faults is not None
    for part in (verdict(told.audit), fault_verdict(told.faults), *told.assumed, NOT_LOOKED_AT, CAUTIONS):
        assert part.replace("`", "")[1:] in text


def test_the_page_has_every_fault_that_can_do_harm_in_its_table(tree: Element, procedure: str) -> None:
    told = result(procedure)
    assert told.faults is not None
    for outcome in told.faults.outcomes:
        if outcome.verdict.value in ("contained", "not contained"):
            assert outcome.fault.says in words(with_id(tree, f"p1-fault-{outcome.fault.fault}"))
        assert outcome.fault.fault in words(tree)


def test_the_page_has_the_whole_plan_line_by_line(tree: Element, procedure: str) -> None:
    text = (ROOT / "procedures" / procedure).read_text(encoding="utf-8").rstrip().splitlines()
    for number, line in enumerate(text, start=1):
        item = with_id(tree, f"p1-line-{number}")
        assert item.get("value") == str(number)
        assert "".join(next(all_named(item, "code")).itertext()) == line


# Links

def test_every_link_leads_somewhere_and_every_place_has_a_name_of_its_own(tree: Element) -> None:
    keys = [element.attrib["id"] for element in tree.iter() if "id" in element.attrib]
    assert len(keys) == len(set(keys))
    assert {address[1:] for address in addresses(tree)} <= {*keys}
    for element in tree.iter():
        for attribute in ("aria-labelledby", "aria-describedby"):
            assert {*element.get(attribute, "").split()} <= {*keys}


def test_every_finding_and_its_line_of_the_plan_lead_to_each_other(tree: Element, procedure: str) -> None:
    for numbered in result(procedure).findings:
        finding, line = f"p1-finding-{numbered.number}", f"p1-line-{numbered.finding.place.line}"
        assert f"#{line}" in addresses(with_id(tree, finding))
        assert f"#{finding}" in addresses(with_id(tree, line))


def test_the_lines_that_a_finding_quotes_are_those_of_the_plan(tree: Element, procedure: str) -> None:
    text = (ROOT / "procedures" / procedure).read_text(encoding="utf-8").splitlines()
    quoted = [(int(item.attrib["value"]), "".join(item.itertext())) for element in tree.iter()
              if element.get("class") == "beside" for item in all_named(element, "li")]
    assert quoted
    assert all(text[number - 1] == line for number, line in quoted)


def test_the_time_axis_leads_to_each_finding_about_a_step() -> None:
    told, tree = result(FLAWED), read(page_named(FLAWED))
    steps = {f"#p1-finding-{n.number}" for n in told.standing if n.finding.step is not None and n.finding.branch is None}
    drawings = [svg for svg in all_named(tree, "svg") if svg.get("aria-label", "").startswith("Steps, holds and findings")]
    assert steps
    assert len(drawings) == 2
    assert all({*addresses(drawing)} == steps for drawing in drawings)


# The chain

def test_the_chain_is_drawn_from_the_wall_to_the_set_with_its_findings(tree: Element, procedure: str) -> None:
    told = result(procedure)
    (chain,) = (svg for svg in all_named(tree, "svg") if svg.get("class") == "chain")
    texts = [(float(text.attrib["y"]), words(text)) for text in all_named(chain, "text") if text.get("class") == "name"]
    assert texts == sorted(texts)
    assert [name_ for _, name_ in texts] == [element.kind.replace("_", " ") for element in told.plan.chain]
    placed = {f"#p1-finding-{n.number}" for n in told.findings if n.element is not None}
    assert placed
    assert {*addresses(chain)} <= placed


def test_a_question_about_the_set_is_marked_at_the_set() -> None:
    told = result(BARE)
    (place,) = (element.index for element in told.plan.chain if element.kind == "set")
    asking = [n for n in told.waiting if n.finding.missing[0].path.startswith("set.")]
    assert asking
    assert all(n.element == place for n in asking)


def test_every_kind_of_element_has_a_symbol() -> None:
    assert SYMBOLS.keys() == ELEMENTS.keys()


# Safety of the texts

def test_what_a_plan_says_stays_text(hostile_tree: Element) -> None:
    assert hostile().audit is not None
    assert list(all_named(hostile_tree, "script", "img", "b")) == []
    (title,) = all_named(hostile_tree, "title")
    assert words(title).startswith(MARKUP)
    text = "".join(hostile_tree.itertext())
    assert text.count(MARKUP) >= 5
    assert "<b>plan</b>.yaml" in text


def test_a_character_that_would_turn_a_line_about_is_not_let_through(hostile_tree: Element) -> None:
    whole = page_of(hostile())
    assert "\u202e" not in whole
    assert "?right to left" in "".join(hostile_tree.itertext())


# Reading without eyes, and without a mouse

def test_the_page_has_its_landmarks_and_headings_in_order(tree: Element) -> None:
    (page,) = all_named(tree, "html")
    assert page.get("lang") == "en"
    for landmark in ("header", "main", "footer"):
        assert len(list(all_named(tree, landmark))) == 1
    assert all(nav.get("aria-label") for nav in all_named(tree, "nav"))
    levels = [int(name(element)[1]) for element in all_named(tree, "h1", "h2", "h3", "h4", "h5")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(then <= before + 1 for before, then in itertools.pairwise(levels))


def test_the_first_link_leads_past_the_head_of_the_page(tree: Element) -> None:
    main = next(all_named(tree, "main"))
    assert addresses(tree)[0] == f"#{main.attrib['id']}"


def test_every_table_says_what_its_columns_and_rows_are(tree: Element) -> None:
    tables = list(all_named(tree, "table"))
    assert len(tables) == 3
    for table in tables:
        rows = [row for row in all_named(table, "tr") if row.get("class") != "notes"]
        assert all(cell.get("scope") == "col" for cell in rows[0])
        assert all(name(row[0]) == "th" and row[0].get("scope") == "row" for row in rows[1:])
        columns = len(rows[0])
        assert all(sum(int(cell.get("colspan", "1")) for cell in row) == columns for row in all_named(table, "tr"))


def test_every_drawing_says_its_numbers_in_words_or_is_passed_over() -> None:
    told, tree = result(FLAWED), read(page_named(FLAWED))
    labels = [svg.get("aria-label", "") for svg in all_named(tree, "svg")
              if svg.get("aria-hidden") != "true" and "times" not in _around(tree, svg).get("class", "")]
    assert len(labels) == 1 + 2 * 6  # the chain, and six plots in two widths
    for moment in told.moments:
        row = moment.row
        if row.powered:
            assert any(label.startswith("Volts") and said(row.readings.set_voltage, "voltage") in label for label in labels)
            assert any(label.startswith("Current") and said(row.readings.current, "current") in label for label in labels)
            assert any(label.startswith("Stored") and said(row.stored.energy, "energy") in label for label in labels)
            assert any(label.startswith("B+") and said(row.readings.b_plus, "voltage") in label for label in labels)
            assert any(label.startswith("Glow") and row.readings.glow[-1] in label for label in labels)


def _around(tree: Element, inner: Element) -> Element:
    return next(element for element in tree.iter() if inner in list(element))


def test_a_signal_word_always_stands_there_as_a_word(tree: Element) -> None:
    marks = [e for e in tree.iter() if {*e.get("class", "").split()} >= {"signal"}]
    assert marks
    assert all(words(mark) in SIGNAL_WORDS and words(mark) in mark.attrib["class"] for mark in marks)


# Several plans, and the command

def test_several_plans_are_one_page_with_an_index_and_an_unreadable_one_hides_no_other() -> None:
    broken = review_text(PlanText("broken.yaml", "procedure: {titel: A}\n"), rulebook(), TODAY)
    tree = read(page_of(broken, hostile()))
    (index,) = (item for item in all_named(tree, "ol") if item.get("class") == "index")
    assert addresses(index) == ["#p1", "#p2"]
    assert broken.problems[0].message.replace("`", "") in words(with_id(tree, "p1"))
    assert "Findings" in words(with_id(tree, "p2"))
    for element in with_id(tree, "p2").iter():
        assert element.get("id", "p2").startswith("p2")


def test_a_plan_without_steps_has_a_page_that_says_so() -> None:
    empty = review_text(PlanText("empty.yaml", "procedure: {title: Nothing yet}\n"), rulebook(), TODAY)
    assert "othing to review" in words(with_id(read(page_of(empty)), "p1"))


def test_a_plan_on_a_page_of_a_wiki_is_numbered_as_that_page_is() -> None:
    text = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set")
    tree = read(page_of(review_text(PlanText("wiki.md", text, first_line=31), rulebook(), TODAY)))
    lines = [item for lists in all_named(tree, "ol") if lists.get("class") == "plan" for item in lists if item.get("id")]
    assert [item.attrib["value"] for item in lines] == [str(31 + k) for k in range(len(text.splitlines()))]
    assert all(address.removeprefix("#") in {item.get("id") for item in lines}
               for address in addresses(tree) if "-line-" in address)


def test_the_page_tells_what_is_accepted_and_what_else_every_report_says() -> None:
    risk = "accepted_risks: [{rule: never-on, reason: soaked before, by: bench foreman, until: 2027-01-01}]\n"
    text = with_steps("plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V") + risk
    audit = replace(review(text, a_rule("never-on", "never(energised)")), notes=("Signed off by the bench foreman.",))
    (accepted,) = audit.accepted
    whole = words(read(page_of(Reviewed("plan.yaml", "A plan", audit))))
    assert f"Accepted by bench foreman until 2027-01-01: {accepted.finding.signal_word} never-on" in whole
    assert "Reason: soaked before" in whole
    assert "Signed off by the bench foreman." in whole


def test_the_command_writes_the_page_and_keeps_its_exit_status(tmp_path: Path) -> None:
    plan, out = ROOT / "procedures" / BARE, tmp_path / "review.html"
    ran = CliRunner().invoke(app, ["audit", str(plan), "--as", "html", "--output", str(out)])
    assert ran.exit_code == CliRunner().invoke(app, ["audit", str(plan)]).exit_code == 1
    assert ran.stdout == ""
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_the_page_of_a_long_plan_stays_small() -> None:
    told = result(FLAWED)
    assert len(told.moments) > 30
    assert len(page_named(FLAWED).encode()) < 250_000


# Contrast. WCAG 2.2, success criteria 1.4.3 (4.5 to 1 for text) and 1.4.11 (3 to 1 for what is drawn); relative luminance
# and contrast ratio as WCAG 2.2 defines them.

LOOK = (ROOT / "auditor" / "report" / "look.css").read_text(encoding="utf-8")
SCHEMES = {
    "light": r"\A/\*.*?\*/\s*:root \{(.*?)\}", "dark": r"prefers-color-scheme: dark\) \{\s*:root \{(.*?)\}",
    "paper": r"@media print \{\s*:root \{(.*?)\}",
}


def colours(scheme: str) -> dict[str, str]:
    """The colours in force; those of the light scheme where a scheme says nothing else."""
    found: dict[str, str] = {}
    for pattern in (SCHEMES["light"], SCHEMES[scheme]):
        block = re.search(pattern, LOOK, re.DOTALL)
        assert block is not None
        found |= dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block[1]))
    return found


def luminance(colour: str) -> float:
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_is_counted_as_wcag_counts_it() -> None:
    # WCAG 2.2 gives 21 to 1 as the most there is; technique G18 works its formula.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#123456", "#123456") == pytest.approx(1.0)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_text_stands_out_from_what_is_behind_it(scheme: str) -> None:
    c = colours(scheme)
    on_paper = ("ink", "faint", "link", *(f"mark-{word.lower()}" for word in SIGNAL_WORDS))
    pairs = [(c[text], c[behind]) for text in on_paper for behind in ("paper", "raised")]
    pairs += [(c[f"on-{word.lower()}"], c[word.lower()]) for word in SIGNAL_WORDS]
    assert min(contrast(*pair) for pair in pairs) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_line_that_carries_meaning_stands_out_from_the_paper(scheme: str) -> None:
    c = colours(scheme)
    assert min(contrast(c[line], c["paper"]) for line in ("first", "second", "ink")) >= 3.0
