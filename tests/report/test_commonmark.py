"""Whatever a plan says stays text on a page. Checked by a parser of CommonMark and of the common extensions: tables,
strikethrough, and addresses that become links by themselves."""

from __future__ import annotations

import doctest
from collections.abc import Iterator
from itertools import chain

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from auditor.report import commonmark
from auditor.report.commonmark import block, code, link, plain, sentence, table
from auditor.report.style import shown

PARSERS = (MarkdownIt("commonmark"), MarkdownIt("gfm-like"))
FRAGMENTS = (
    "`", "``", "```", "\\", "|", "*", "**", "_", "__", "~~", "~~~", "[", "]", "(", ")", "![", "](", "<", ">", "<b>", "</b>",
    "<!--", "<script>", "&amp;", "&#35;", "#", "# ", "## ", "> ", "- ", "+ ", "1. ", "1) ", "---", "===", "***", ":", ": ",
    "$", "{", "}", "\n", "\n\n", "\r\n", "\t", "    ", "  \n", "\u202e", "\u2066", "\u009b", "\x1b[31m", "\x00", "\ufeff",
    "|-|-|",
    "|\n|-|\n", "\n===\n", "\n---\n", "\n```procedure\n", "[x]: http://a.example", "[^1]", "<http://a.example>", "http://a.example",
    "www.a.example", "a@b.example", "mailto:a@b.example", "a.com", "//a.com", "@everyone", "#12", ":smile:", "!", "a", "B+",
    "60 W", "é", "\U0001f4a1", " ", "",
)
TEXTS = st.lists(st.sampled_from(FRAGMENTS) | st.text(max_size=3), max_size=8).map("".join)
TEXT = {"text", "code_inline"}


def inline(tokens: list[Token]) -> Iterator[Token]:
    """What stands inside the blocks."""
    return chain.from_iterable(token.children or () for token in tokens if token.type == "inline")


def said(tokens: list[Token]) -> str:
    return "".join(token.content for token in inline(tokens))


def read(source: str) -> Iterator[list[Token]]:
    return (parser.parse(source) for parser in PARSERS)


def one_line(text: str) -> str:
    return " ".join(shown(text).split())


@pytest.mark.parametrize("before", ["", "# ", "#### ", "- ", "1. ", "> ", "Before:\n\n", "- x\n- "])
@given(text=TEXTS)
def test_a_text_stays_that_text_at_the_beginning_of_every_block(before: str, text: str) -> None:
    for tokens in read(f"{before}{plain(text)}\n"):
        expected = [token.type for token in PARSERS[0].parse(f"{before}{'x' * bool(one_line(text))}\n")]
        assert [token.type for token in tokens] == expected
        assert {token.type for token in inline(tokens)} <= TEXT
        assert said(tokens) == ("Before:" * before.startswith("B") or "x" * before.startswith("- x")) + one_line(text)


@given(text=TEXTS)
def test_a_text_in_the_midst_of_a_line_stays_that_text(text: str) -> None:
    for tokens in read(f"**Why:** {plain(text)} (x)\n"):
        assert {token.type for token in inline(tokens)} == {"text", "strong_open", "strong_close"} | (
            {"code_inline"} if any(token.type == "code_inline" for token in inline(tokens)) else set())
        assert said(tokens).split() == f"Why: {one_line(text)} (x)".split()


@given(cells=st.lists(TEXTS, min_size=2, max_size=3))
def test_a_text_in_a_table_stays_in_its_cell(cells: list[str]) -> None:
    source = "\n".join(table([plain(cell) for cell in cells], [[plain(cell) for cell in reversed(cells)]]))
    tokens = PARSERS[1].parse(source)
    found = ["".join(child.content for child in token.children or ()) for token in tokens if token.type == "inline"]
    assert {token.type for token in inline(tokens)} <= TEXT
    assert found == [one_line(cell) for cell in (*cells, *reversed(cells))]


@pytest.mark.parametrize("word", ["@everyone", "#12", ":smile:", "www.a", "//a", "a@b"])
def test_a_word_that_some_wiki_makes_into_a_link_or_a_picture_is_code(word: str) -> None:
    assert plain(f"ask {word} first") == f"ask `{word}` first"


@given(text=TEXTS)
@example(text="`a`lamps.example")
@example(text="lamps.example`a``b`")
def test_a_sentence_has_code_for_what_stands_between_backticks_and_else_stays_as_it_is(text: str) -> None:
    for tokens in read(f"{sentence(text)}\n"):
        assert [token.type for token in tokens] in ([], ["paragraph_open", "inline", "paragraph_close"])
        assert {token.type for token in inline(tokens)} <= TEXT
        assert [token.content for token in inline(tokens) if token.type == "code_inline" and "`" in token.content] == []
        assert said(tokens).replace("`", "").split() == one_line(text).replace("`", "").split()


def test_what_a_sentence_quotes_from_a_plan_is_code() -> None:
    assert sentence("At step `dial to *60* V` it is_so.") == "At step `dial to *60* V` it is\\_so."


@given(text=TEXTS)
def test_code_is_the_text_as_it_is(text: str) -> None:
    for tokens in read(f"x {code(text)} x\n"):
        assert {token.type for token in inline(tokens)} == TEXT or not one_line(text)
        assert said(tokens).split() == f"x {one_line(text)} x".split() or not one_line(text)


@pytest.mark.parametrize("indent", ["", "   "])
@given(lines=st.lists(TEXTS, max_size=4))
def test_a_block_holds_its_lines_and_ends_after_them(indent: str, lines: list[str]) -> None:
    for tokens in read("\n".join([*block(lines, "yaml", indent), "", "# After"])):
        assert [token.type for token in tokens] == ["fence", "heading_open", "inline", "heading_close"]
        assert tokens[0].content == "".join(f"{shown(line)}\n" for line in lines)


@given(words=TEXTS, target=st.lists(st.sampled_from(FRAGMENTS), min_size=1, max_size=4).map("".join))
def test_a_link_leads_to_its_file_and_nowhere_else(words: str, target: str) -> None:
    for tokens in read(f"{link('x' + words, 'wiki/' + target)}\n"):
        links = [token for token in inline(tokens) if token.type not in TEXT]
        assert [token.type for token in links] == ["link_open", "link_close"]
        assert str(links[0].attrs["href"]).startswith("wiki/")
        assert said(tokens) == one_line("x" + words)


def test_the_examples_in_the_documentation_are_so() -> None:
    assert doctest.testmod(commonmark).failed == 0


def test_the_brackets_and_the_full_stop_around_an_address_are_no_part_of_it() -> None:
    assert plain("By the policy (wiki/a.yaml), see www.a.example.") == "By the policy (`wiki/a.yaml`), see `www.a.example`."
