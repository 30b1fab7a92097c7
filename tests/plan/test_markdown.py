"""Procedures inside a Markdown page: which blocks count, and where they stand."""

import subprocess
import sys
import time

import pytest

from auditor.plan.markdown import Block, procedure_blocks
from auditor.plan.place import Place
from auditor.plan.problems import Unreadable
from auditor.plan.yaml_text import Document, parse_yaml


def read(block: Block) -> Document:
    return parse_yaml(block.text, first_line=block.first_line, first_column=block.columns)


def texts(page: str) -> list[str]:
    return [block.text for block in procedure_blocks(page)]


PAGE = """\
# Millrace Valley Wireless Society: first power-up

```procedure
set:
  chassis: hot
```

Some words, and `code`.

~~~ procedure (second)
steps: []
~~~
"""


def test_a_page_may_hold_several_procedures() -> None:
    assert texts(PAGE) == ["set:\n  chassis: hot\n", "steps: []\n"]


def test_positions_are_those_of_the_page() -> None:
    first, second = procedure_blocks(PAGE)
    assert read(first).place(("set", "chassis")) == Place(5, 12, 5, 15)
    assert read(second).place(("steps",), key=True) == Place(11, 1, 11, 6)


@pytest.mark.parametrize(
    "info", ["procedure", " procedure", "procedure first", "procedure {.wide}", "procedure\tx"]
)
def test_the_first_word_of_the_info_string_decides(info: str) -> None:
    assert texts(f"```{info}\na: 1\n```\n") == ["a: 1\n"]


@pytest.mark.parametrize("info", ["", "yaml", "procedures", "Procedure", "a procedure", "{.procedure}"])
def test_any_other_block_is_not_read(info: str) -> None:
    assert texts(f"```{info}\na: 1\n```\n") == []


@pytest.mark.parametrize(
    "page",
    [
        "``procedure\na: 1\n``\n",
        "    ```procedure\n    a: 1\n    ```\n",
        "words ```procedure\na: 1\n",
        "<!--\n```procedure\na: 1\n```\n-->\n",
        "~~~\n```procedure\na: 1\n```\n~~~\n",
    ],
    ids=["two marks", "indented by four", "after words", "inside a comment", "inside another block"],
)
def test_what_is_no_fence_is_not_read(page: str) -> None:
    assert texts(page) == []


def test_a_closing_fence_is_at_least_as_long_and_of_the_same_mark() -> None:
    assert texts("````procedure\na: 1\n```\n~~~~\n`````\nb: 2\n") == ["a: 1\n```\n~~~~\n"]


@pytest.mark.parametrize("end", ["", "\n", "\n\n"])
def test_a_block_that_is_never_closed_runs_to_the_end(end: str) -> None:
    assert texts(f"```procedure\na: 1\nb: 2{end}") == [f"a: 1\nb: 2{end}"]


def test_an_empty_block_has_an_empty_text() -> None:
    assert procedure_blocks("\n```procedure\n```\n") == (Block("", 3, (1,)),)


def test_the_indentation_of_the_fence_is_taken_off_each_line() -> None:
    (block,) = procedure_blocks("   ```procedure\n   a:\n     b: 1\n   ```\n")
    assert block.text == "a:\n  b: 1\n"
    assert block.column == 4
    assert read(block).place(("a", "b")) == Place(3, 9, 3, 10)


def test_a_line_indented_less_than_its_fence_keeps_its_own_column() -> None:
    (block,) = procedure_blocks("  ```procedure\n  a: 1\n b: 2\n  ```\n")
    assert block.text == "a: 1\nb: 2\n"
    assert read(block).place(("b",), key=True) == Place(3, 2, 3, 3)


def test_a_block_may_stand_in_a_list_item() -> None:
    (block,) = procedure_blocks("1. First\n\n   ```procedure\n   a: 1\n\n   b: 2\n   ```\n2. Then\n")
    assert block.text == "a: 1\n\nb: 2\n"
    assert read(block).place(("b",)) == Place(6, 7, 6, 8)


def test_a_block_may_stand_in_a_quote() -> None:
    (block,) = procedure_blocks("> ```procedure\n> a: 1\n>b: 2\n> ```\n")
    assert block.text == "a: 1\nb: 2\n"
    assert read(block).place(("a",)) == Place(2, 6, 2, 7)
    assert read(block).place(("b",)) == Place(3, 5, 3, 6)


def test_line_ends_of_windows_mean_the_same() -> None:
    assert procedure_blocks(PAGE.replace("\n", "\r\n")) == procedure_blocks(PAGE)


def test_a_byte_order_mark_does_not_hide_a_fence() -> None:
    assert texts("\ufeff```procedure\na: 1\n```\n") == ["a: 1\n"]


def test_a_character_that_cannot_be_shown_is_still_there_to_be_refused() -> None:
    (block,) = procedure_blocks("```procedure\na: b\x00c\n```\n")
    with pytest.raises(Unreadable, match=r"U\+0000") as caught:
        read(block)
    assert caught.value.problems[0].place == Place(2, 5, 2, 6)


def test_a_tab_as_indentation_is_still_there_to_be_refused() -> None:
    (block,) = procedure_blocks("```procedure\na:\n\tb: 1\n```\n")
    with pytest.raises(Unreadable, match="tab"):
        read(block)


@pytest.mark.parametrize(
    "page",
    [
        ">" * 200_000,
        "- " * 100_000,
        "* " * 100_000,
        "[a]: b\n" * 20_000,
        "```\n" * 50_000,
        "<b>\n" * 50_000,
        "`" * 200_000,
        "\n".join(" " * deep + "- a" for deep in range(600)),
    ],
    ids=["quotes", "lists", "rules", "links", "fences", "tags", "marks", "deep lists"],
)
def test_a_hostile_page_takes_no_long_time(page: str) -> None:
    begun = time.process_time()
    assert procedure_blocks(page) == ()
    assert time.process_time() - begun < 2.0


def test_the_markdown_parser_is_imported_with_the_first_page_and_not_before() -> None:
    code = (
        "import sys, auditor.plan.markdown as m; assert 'markdown_it' not in sys.modules; "
        "m.procedure_blocks('a'); assert 'markdown_it' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
