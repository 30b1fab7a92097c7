"""The page of the rules is that of the rules, and leaves none of them out."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from auditor.report.rules_page import FILE, page_lines
from auditor.rulebook import citation as taken_apart
from auditor.rulebook.citation import UNPUBLISHED, citation
from auditor.rulebook.coverage import Item, load_coverage
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import STAGES

RULEBOOK, COVERAGE = load_rulebook(), load_coverage()
PAGE = "".join(f"{line}\n" for line in page_lines(RULEBOOK, COVERAGE))
ITEMS = [item for group in COVERAGE.practice for item in group.items]
SOURCES = sorted({source for each in (*(rule.text for rule in RULEBOOK.rules), *RULEBOOK.limits.values())
                  for source in each.sources})


def rows(part: str) -> list[str]:
    """The rows of all tables under a heading of the second rank."""
    return [line for line in PAGE.partition(f"\n## {part}\n")[2].partition("\n## ")[0].splitlines() if line.startswith("| ")]


def test_the_page_beside_the_rules_is_up_to_date() -> None:
    written = (Path(__file__).resolve().parents[2] / "rules" / FILE).read_text(encoding="utf-8")
    assert written == PAGE, f"write it anew: auditor rulebook page --output rules/{FILE}"


def test_every_rule_stands_once_under_its_stage() -> None:
    under_stages = "\n".join(rows("By stage and hazard"))
    assert [rule.name for rule in RULEBOOK.rules if under_stages.count(f"| `{rule.name}` |") != 1] == []
    for stage in STAGES:
        part = PAGE.partition(f"\n### {stage.capitalize()}\n")[2].partition("\n### ")[0]
        assert [rule.name for rule in RULEBOOK.rules if rule.text.stage == stage and f"| `{rule.name}` |" not in part] == []


@pytest.mark.parametrize("source", SOURCES)
def test_every_source_names_a_document_of_the_list_or_says_that_it_is_none(source: str) -> None:
    found = citation(source, COVERAGE.documents)
    assert "as quoted elsewhere" not in found.clause + found.note
    assert "by analogy" not in found.clause + found.note


def test_every_document_of_the_list_is_the_source_of_something() -> None:
    named = {citation(source, COVERAGE.documents).document for source in SOURCES}
    assert set(COVERAGE.documents) - named == set()


def test_every_rule_stands_beside_the_clauses_that_it_serves_or_among_those_without() -> None:
    by_clause, without = "\n".join(rows("By published clause")), "\n".join(rows("Without a published clause"))
    for rule in RULEBOOK.rules:
        published = any(citation(source, COVERAGE.documents).published for source in rule.text.sources)
        assert (f"`{rule.name}`" in by_clause, f"| `{rule.name}` |" in without) == (published, not published), rule.name


def test_a_longer_designation_is_another_document() -> None:
    names = ("IEC 60384-1", "IEC 60384-14", "IEC 60384")
    assert citation("IEC 60384-14 (X and Y classes)", names).document == "IEC 60384-14"
    with pytest.raises(ValueError, match="no document"):
        citation("IEC 60384-14", names[:1])


@pytest.mark.parametrize(("source", "clause"), [
    ("DOE-HDBK-1092 2.13.2.1 (checked before and after)", "2.13.2.1"), ("DOE-HDBK-1092, page 3", "page 3"),
    ("DOE-HDBK-1092 p. 3, by analogy", "page 3"), ("DOE-HDBK-1092", ""),
    ("DOE-HDBK-1092 figure 10-1 (a (b))", "figure 10-1")])
def test_a_clause_is_what_stands_behind_the_document(source: str, clause: str) -> None:
    assert citation(source, ["DOE-HDBK-1092"]).clause == clause


@pytest.mark.parametrize("source", ["common practice", "calculated: so", "from memory (so)"])
def test_what_is_not_published_is_no_document(source: str) -> None:
    assert citation(source, COVERAGE.documents).document in UNPUBLISHED


@pytest.mark.parametrize("item", ITEMS, ids=[item.item for item in ITEMS])
def test_what_practice_asks_for_is_served_by_rules_that_exist_or_has_a_reason(item: Item) -> None:
    assert bool(item.served_by) != bool(item.not_a_rule)
    assert [name for name in item.served_by if name not in RULEBOOK.by_name or RULEBOOK.by_name[name].name != name] == []


def test_the_page_is_tables_of_text_and_code_and_links_to_the_rule_files() -> None:
    tokens = MarkdownIt("gfm-like").parse(PAGE)
    inside = [child for token in tokens for child in token.children or ()]
    assert {child.type for child in inside} == {"text", "code_inline", "link_open", "link_close"}
    assert {child.attrs["href"] for child in inside if child.type == "link_open"} == {rule.file for rule in RULEBOOK.rules}
    assert len(cells(tokens, "th_open")) > 20


def cells(tokens: list[Token], kind: str) -> list[Token]:
    return [token for token in tokens if token.type == kind]


def test_the_examples_in_the_documentation_are_so() -> None:
    assert doctest.testmod(taken_apart).failed == 0
