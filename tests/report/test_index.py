"""The index of many plans: a row for each, in every form, and the summary that an audit of all of them has."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from msgspec.structs import replace
from typer.testing import CliRunner

from auditor.cli import app
from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.read import read_plan
from auditor.report.index_words import HEADINGS, cells, markdown_lines, text_lines, verdict
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.page.index import index_page
from auditor.report.style import Style, shown
from auditor.review.entry import Entry, all_together, entry, kind_of_set
from auditor.review.run import Reviewed, review_file, summed_up
from tests.report.test_commonmark import TEXTS
from tests.written import a_rule, rules, the_set, with_steps

TODAY = date(2026, 11, 20)
POWERED = with_steps("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
IDLE = with_steps("set_dial: 0 V")
UNREADABLE = "procedure: {title: x}\nset: {chasis: hot}\n"
RISK = "accepted_risks: [{rule: never-on, reason: soaked before, by: bench foreman, until: 2027-01-01}]\n"
NEVER_ON = a_rule("never-on", "never(energised)")
CHASSIS = a_rule("chassis-known", "set.chassis is isolated", word="DANGER")
NEVER_90 = a_rule("never-90", "always(dial <= 90 V)")


def reviewed(source: str, *written: dict[str, object], path: str = "-") -> Reviewed:
    found, = review_file("-", rules(*written or (NEVER_ON,)), TODAY, standard_input=source.encode())
    return Reviewed(path, found.title, found.audit, found.problems)


def an_entry(source: str, *written: dict[str, object], path: str = "wiki/a.yaml") -> Entry:
    return entry(reviewed(source, *written, path=path))


def row(source: str, *written: dict[str, object]) -> dict[str, str]:
    return dict(zip(HEADINGS, cells(an_entry(source, *written)), strict=True))


def markdown(*entries: Entry, folder: str = "wiki") -> str:
    return "".join(f"{line}\n" for line in markdown_lines(entries, all_together(entries), folder))


def html(*entries: Entry, folder: str = "wiki") -> str:
    return index_page(entries, all_together(entries), folder)


def table_of(page: str) -> list[str]:
    tokens = MarkdownIt("gfm-like").parse(page)
    start = next((i for i, token in enumerate(tokens) if token.type == "tbody_open"), len(tokens))
    return ["".join(child.content for child in token.children or ()) for token in tokens[start:]
            if token.type == "inline" and token.level > 2]


class Read(HTMLParser):
    """The elements of a page, its links, and what stands in the cells of its table."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.links: list[str] = []
        self.cells: list[str] = []
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        self.elements.append(tag)
        self.links += [value or "" for name, value in attrs if tag == "a" and name == "href"]
        if tag in ("td", "th"):
            self.inside = True
            self.cells.append("")

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.cells[-1] += data


@pytest.mark.parametrize(("source", "rule", "said"), [
    (POWERED, NEVER_ON, "findings"), (POWERED, CHASSIS, "cannot be told"), (POWERED + RISK, NEVER_ON, "risks accepted"),
    (POWERED, NEVER_90, "nothing found"), (IDLE, NEVER_ON, "nothing to review"), (UNREADABLE, NEVER_ON, "cannot be read")])
def test_the_verdict_is_a_few_words(source: str, rule: dict[str, object], said: str) -> None:
    assert verdict(an_entry(source, rule)) == said


def test_a_row_counts_what_is_open() -> None:
    found = row(POWERED, NEVER_ON, CHASSIS)
    assert found["Findings"] == "1 WARNING, 1 cannot be told"
    assert found["Questions"] == "1"


def test_a_row_has_the_accepted_risks_with_their_last_day() -> None:
    assert row(POWERED + RISK)["Accepted risks"] == "never-on (WARNING) until 2027-01-01, by bench foreman"


def test_a_risk_whose_last_day_is_past_is_an_open_finding_again() -> None:
    found = row(POWERED + RISK.replace("2027", "2026"))
    assert (found["Findings"], found["Accepted risks"]) == ("1 WARNING", "")


def test_a_row_of_an_unreadable_plan_says_why() -> None:
    found = row(UNREADABLE)
    assert found["Procedure"] == "wiki/a.yaml"
    assert found["Findings"] == "line 2: unknown key `chasis`"


def test_a_row_says_who_signed_off_and_whether_the_plan_has_changed_since() -> None:
    mark = plan_fingerprint(read_plan(POWERED))
    signed = POWERED + f"signed_off: {{by: bench foreman, on: 2026-11-02, fingerprint: {mark}}}\n"
    assert row(signed)["Signed off"] == "bench foreman, 2026-11-02"
    assert row(signed.replace("60 V", "61 V"))["Signed off"] == "bench foreman, 2026-11-02 (changed since, does not count)"
    assert row(POWERED)["Signed off"] == ""


@pytest.mark.parametrize(("lines", "kind"), [
    (("description: five-tube table set", "power_supply: transformer"), "five-tube table set"),
    (("power_supply: transformerless", "heaters: {connection: series}", "motor: yes"),
     "transformerless, series heaters, motor"),
    (("motor: no",), None)])
def test_the_kind_of_set_is_what_the_plan_says_of_it(lines: tuple[str, ...], kind: str | None) -> None:
    assert kind_of_set(the_set(*lines)) == kind


@given(sources=st.lists(st.sampled_from([POWERED, POWERED + RISK, IDLE, UNREADABLE]), max_size=4),
       at_least=st.sampled_from([None, "DANGER", "NOTICE"]))
def test_all_plans_of_an_index_come_to_what_an_audit_of_them_comes_to(sources: list[str], at_least: str | None) -> None:
    reviews = [reviewed(source, NEVER_ON, CHASSIS) for source in sources]
    assert all_together([entry(each, at_least) for each in reviews]) == summed_up(reviews, at_least)


def test_the_plans_are_linked_from_where_the_index_lies() -> None:
    sample = an_entry(POWERED, path="wiki/a set (1).yaml")
    for folder, target in (("wiki", "a%20set%20%281%29.yaml"), (".", "wiki/a%20set%20%281%29.yaml"),
                           ("pages", "../wiki/a%20set%20%281%29.yaml")):
        assert f"(<{target}>)" in markdown(sample, folder=folder)
        assert Read(html(sample, folder=folder)).links[1:] == [target]


def test_a_file_cannot_be_called_so_that_a_link_to_it_runs_something() -> None:
    sample = an_entry(POWERED, path="wiki/javascript:alert(1).yaml")
    assert Read(html(sample)).links[1:] == ["javascript%3Aalert%281%29.yaml"]
    assert "(<javascript%3Aalert%281%29.yaml>)" in markdown(sample)


@given(title=TEXTS, path=TEXTS)
def test_a_plan_puts_nothing_but_text_into_an_index(title: str, path: str) -> None:
    plain = an_entry(POWERED, NEVER_ON, CHASSIS)
    named = replace(plain, path=f"wiki/x{path}", title=f"x{title}", kind=f"x{title}")
    expected = [" ".join(shown(cell).split()) for cell in cells(named)]
    assert table_of(markdown(named)) == expected
    read = Read(html(named))
    assert read.elements == Read(html(plain)).elements
    assert [" ".join(cell.split()) for cell in read.cells[len(HEADINGS):]] == expected
    text = "\n".join(text_lines([named], all_together([named]), Style()))
    assert [c for page in (text, markdown(named), html(named)) for c in page if not c.isprintable() and c != "\n"] == []


def test_every_form_has_the_cautions_even_of_no_plan() -> None:
    text = " ".join(" ".join(text_lines([], all_together([]), Style())).split())
    for page in (text, markdown(), html()):
        assert CAUTIONS in page
        assert NOT_LOOKED_AT in page


def test_the_page_may_load_nothing_and_runs_nothing() -> None:
    page = html(an_entry(POWERED))
    assert "default-src &#39;none&#39;" in page
    assert not {"script", "img", "iframe", "object", "form"} & set(Read(page).elements)


@pytest.mark.parametrize(("sources", "status"), [
    ({"a.yaml": IDLE}, 1), ({"a.yaml": POWERED, "b/c.yaml": UNREADABLE}, 2), ({"a.md": "No procedure."}, 2), ({}, 2)])
def test_the_exit_status_is_that_of_an_audit(sources: dict[str, str], status: int, tmp_path: Path) -> None:
    for name, source in sources.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(source, encoding="utf-8")
    ran = [CliRunner().invoke(app, [command, str(tmp_path)]) for command in ("audit", "index")]
    assert [each.exit_code for each in ran] == [status, status]
    assert [name for name in sources if name.endswith("yaml") and Path(name).name not in ran[1].stdout] == []


def test_an_index_can_lie_among_its_plans_and_is_none_of_them(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(POWERED, encoding="utf-8")
    for form in ("markdown", "html"):
        command = ["index", str(tmp_path), "--as", form, "--output", str(tmp_path / f"index.{form[:2]}")]
        CliRunner().invoke(app, command)
        first = (tmp_path / f"index.{form[:2]}").read_bytes()
        CliRunner().invoke(app, command)
        assert (tmp_path / f"index.{form[:2]}").read_bytes() == first
        assert b"a.yaml" in first


def test_an_index_is_asked_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(POWERED, encoding="utf-8")
    ran = CliRunner().invoke(app, ["index", str(tmp_path / "a.yaml")])
    assert ran.exit_code == 2
    assert "is not a folder" in ran.stderr
