"""The report for a wiki: what the terminal says, on a page that a plan cannot disturb."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.markdown import procedure_blocks
from auditor.report.markdown_report import report_lines
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.phrases import verdict
from auditor.report.style import Style, shown
from auditor.report.terminal import report_lines as terminal_lines
from auditor.review.run import Reviewed, review_file, summed_up
from tests.written import a_rule, rules, spot, with_steps

TODAY = date(2026, 11, 20)
POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
TITLE = "A small plan of the Millrace Valley Wireless Society"
ACCEPTED = POWERED + "accepted_risks: [{rule: never-on, reason: soaked before, by: bench foreman, until: 2027-01-01}]\n"
NEVER_ON = a_rule("never-on", "never(energised)", message="At step `{step}` the set has volts, which is too early.")
CHASSIS = a_rule("chassis-known", "set.chassis is isolated", word="DANGER")
PARSER = MarkdownIt("gfm-like")
OF_THE_REPORT = {"paragraph_open", "paragraph_close", "heading_open", "heading_close", "bullet_list_open",
                 "bullet_list_close", "list_item_open", "list_item_close", "inline", "fence", "text", "code_inline",
                 "strong_open", "strong_close"}
HOSTILE = ("<img src=x onerror=alert(1)>", "![x](http://lamps.example/x.png)", "[x](javascript:alert)", "# x", "> x", "1. x",
           "- x", "x\n===", "x\n---", "```", "```procedure", "~~~", "`", "|", "|-|-|", "\\", "http://lamps.example",
           "www.lamps.example", "foreman@lamps.example", "@everyone", "&lt;b&gt;", "**x**", "__x__", "\u202ex", "\x07", "\n",
           "    x", "<!--", "]]>")
HOSTILE_TEXT = st.lists(st.sampled_from(HOSTILE) | st.text(max_size=4), min_size=1, max_size=4).map(" ".join)


def reviews(*sources: str, written: Iterable[dict[str, object]] = (NEVER_ON,)) -> list[Reviewed]:
    return [reviewed for source in sources
            for reviewed in review_file("-", rules(*written), TODAY, standard_input=source.encode())]


def page(*sources: str, written: Iterable[dict[str, object]] = (NEVER_ON,)) -> str:
    found = reviews(*sources, written=written)
    return "".join(f"{line}\n" for line in report_lines(found, summed_up(found, "CAUTION")))


def headings(source: str) -> list[str]:
    tokens = PARSER.parse(source)
    return [f"{token.tag} {words(tokens[i + 1])}" for i, token in enumerate(tokens) if token.type == "heading_open"]


def words(token: Token) -> str:
    return "".join(child.content for child in token.children or ())


def everything(source: str) -> str:
    """All that a reader sees, in one line."""
    tokens = PARSER.parse(source)
    return " ".join(" ".join(words(token) if token.type == "inline" else token.content for token in tokens).split())


def kinds(source: str) -> set[str]:
    tokens = PARSER.parse(source)
    return {token.type for each in tokens for token in (each, *(each.children or ()))}


def test_a_page_says_first_what_all_plans_come_to_and_last_what_was_not_looked_at() -> None:
    assert headings(page(POWERED)) == ["h1 Review of power-up procedures", f"h2 {TITLE}", "h3 Findings",
                                       "h4 WARNING, step 5: set the dial to 60 V", "h3 Assumed", "h2 What was not looked at"]
    assert page(POWERED).startswith("# Review of power-up procedures\n\n1 plan reviewed; broken or open: 1 WARNING.\n")


def test_the_cautions_are_on_every_page() -> None:
    for source in (POWERED, "a: b\n"):
        assert CAUTIONS in page(source)
        assert NOT_LOOKED_AT in page(source)


def test_the_verdict_stands_before_the_findings() -> None:
    text = page(POWERED)
    assert "\n**Verdict:** 1 finding, the most serious WARNING.\n" in text
    assert text.index("**Verdict:**") < text.index("### Findings")


def test_a_finding_quotes_the_line_of_the_plan_in_a_block() -> None:
    line = spot(POWERED, "set_dial: 60 V")[0]
    assert f"\nLine {line}:\n\n```yaml\n  - set_dial: 60 V\n```\n" in page(POWERED)


def test_a_finding_tells_what_why_what_to_do_and_last_the_rule() -> None:
    text = page(POWERED)
    parts = ["At step `set the dial to 60 V` the set has volts", "Line 12:", "**Why:** It has to be so.",
             "**Instead:** Make it so.", "**Rule:** `never-on`. `-`, line 12, column 5. Source: common practice."]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_every_question_has_the_line_to_add_and_where() -> None:
    text = page(POWERED, written=[CHASSIS])
    assert ("joined to one side of the mains? It decides 1 rule. "
            "Add to `set` (line 3): `chassis: hot   # or: isolated`\n") in text
    assert "\n- DANGER: `chassis-known`\n" in text


def test_an_accepted_risk_says_why_by_whom_and_until_when() -> None:
    assert "\n- `never-on` (WARNING), accepted by bench foreman until 2027-01-01. Reason: soaked before\n" in page(ACCEPTED)


def test_an_unreadable_plan_says_where_and_what_to_write() -> None:
    text = page("procedure: {title: x}\nset: {chasis: hot}\n")
    assert "\n**Cannot be read, line 2, column 7:** unknown key `chasis`" in text
    assert "\nTry: write `chassis:`\n" in text


def test_a_page_says_what_the_terminal_says() -> None:
    sources = (POWERED, ACCEPTED, with_steps("set_dial: 0 V"), "a: b\n")
    found = reviews(*sources, written=[NEVER_ON, CHASSIS])
    audits = [reviewed.audit for reviewed in found if reviewed.audit is not None]
    said = [part for audit in audits for each in (*audit.findings, *(accepted.finding for accepted in audit.accepted))
            for part in (each.rule, each.signal_word)]
    said += [part for audit in audits for each in audit.findings if not each.missing
             for part in (each.message, each.because, each.remedy, *each.sources, f"line {each.place.line}, column")]
    said += [part for audit in audits for question in audit.questions
             for part in (question.missing.asks[1:], " ".join(question.missing.line.split()))]
    said += [part for audit in audits for part in (verdict(audit), plan_fingerprint(audit.plan), *audit.assumptions)]
    said += [part for audit in audits for each in audit.accepted for part in (each.by, each.until, f"Reason: {each.reason}")]
    said += [problem.message for reviewed in found for problem in reviewed.problems]
    printed = "\n".join(terminal_lines(found, summed_up(found, "CAUTION"), Style(10_000)))
    for text in (everything(page(*sources, written=[NEVER_ON, CHASSIS])), " ".join(printed.split())):
        assert [part for part in said if part.replace("`", "") not in text.replace("`", "")] == []


def test_a_report_that_lies_in_a_wiki_is_no_plan_itself() -> None:
    quoting = POWERED.replace("set_dial: 60 V", '{set_dial: 60 V, note: "```procedure"}')
    assert procedure_blocks(page(quoting)) == ()


@pytest.mark.parametrize("place", ["title", "note", "reason", "by", "expect", "key", "quoted key"])
@given(text=HOSTILE_TEXT)
def test_a_plan_puts_nothing_on_the_page_but_text(place: str, text: str) -> None:
    written = json.dumps(f"x {text} x")
    source = {
        "title": ACCEPTED.replace(TITLE, written),
        "note": POWERED.replace("set_dial: 60 V", f"{{set_dial: 60 V, note: {written}}}"),
        "reason": ACCEPTED.replace("soaked before", written),
        "by": ACCEPTED.replace("bench foreman", written),
        "expect": POWERED.replace("set_dial: 0 V", f"{{inspect: cord, expect: {written}, otherwise: stop}}"),
        "key": POWERED.replace("set_dial: 60 V", f"{{set_dial: 60 V, {written}: 1}}"),
        "quoted key": POWERED.replace("set_dial: 60 V", f"{written}: 1"),
    }[place]
    made = page(source, written=[NEVER_ON, CHASSIS])
    assert kinds(made) <= OF_THE_REPORT
    assert [c for c in made if not c.isprintable() and c != "\n"] == []
    if place in ("title", "reason", "by") and "Cannot be read" not in made:
        assert " ".join(shown(f"x {text} x").split()) in everything(made)
