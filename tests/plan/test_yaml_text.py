"""Reading YAML: what is accepted and as what, what is refused and how it is told, and where things stand."""

import re
import subprocess
import sys
import time

import pytest

from auditor.plan.place import Data, Path, Place, show_path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.yaml_nodes import CONTROL
from auditor.plan.yaml_text import Document, parse_yaml, read_text

BOTH = pytest.mark.parametrize("pure", [False, True], ids=["C", "Python"])

BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join(['*' + before] * 9)}]\n"
    for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)


def read(text: str, pure: bool = False) -> Data:
    return parse_yaml(text, pure=pure).data


def problems(text: str, pure: bool = False) -> tuple[Problem, ...]:
    with pytest.raises(Unreadable) as caught:
        parse_yaml(text, pure=pure)
    return caught.value.problems


def shown(document: Document, path: Path, key: bool = False) -> str:
    """The text at the place of a one-line value or key."""
    place = document.place(path, key=key)
    assert place.line == place.end_line
    return document.lines(place)[place.column - 1 : place.end_column - 1]


# What a text means


@BOTH
@pytest.mark.parametrize(
    "word", ["on", "yes", "12:30", "007", "1e3", "0x1F", "1_000", ".5", "2027-03-01", "60 V", "..2 mA"]
)
def test_a_plain_scalar_is_the_text_that_was_typed(word: str, pure: bool) -> None:
    assert read(f"a: {word}", pure) == {"a": word}
    assert read(f"{word}: a", pure) == {word: "a"}


@BOTH
@pytest.mark.parametrize("nothing", ["", "~", "null", "Null", "NULL", "# a comment"])
def test_a_value_that_is_not_written_is_none(nothing: str, pure: bool) -> None:
    assert read(f"a: {nothing}\nb: 1", pure) == {"a": None, "b": "1"}


@BOTH
def test_quotes_make_text_of_what_would_be_nothing(pure: bool) -> None:
    assert read("[\"\", '~', 'null']", pure) == ["", "~", "null"]


@BOTH
def test_a_quoted_merge_sign_is_an_ordinary_key(pure: bool) -> None:
    assert read("'<<': 1", pure) == {"<<": "1"}


@BOTH
def test_a_key_that_looks_like_nothing_is_its_text(pure: bool) -> None:
    assert read("null: 1\n~: 2", pure) == {"null": "1", "~": "2"}


@BOTH
@pytest.mark.parametrize("text", ["", "\n\n", "# only a comment\n", "---\n", "%YAML 1.2\n---\n", "\ufeff"])
def test_a_text_with_nothing_in_it_has_no_data(text: str, pure: bool) -> None:
    assert read(text, pure) is None


@BOTH
def test_block_scalars_are_text(pure: bool) -> None:
    assert read("a: |\n  one\n  two\nb: >-\n  one\n  two\n", pure) == {"a": "one\ntwo\n", "b": "one two"}


@BOTH
def test_the_version_directive_of_yaml_1_2_is_accepted(pure: bool) -> None:
    assert read("%YAML 1.2\n---\na: no\n", pure) == {"a": "no"}


@BOTH
def test_line_ends_of_windows_mean_the_same(pure: bool) -> None:
    text = "a:\n- b\n- |\n  c\n  d\ne: 1\n"
    assert read(text.replace("\n", "\r\n"), pure) == read(text, pure)


@BOTH
def test_a_colon_inside_a_word_is_part_of_it_even_in_brackets(pure: bool) -> None:
    assert read("[12:30, {at: 12:30}]", pure) == ["12:30", {"at": "12:30"}]


@BOTH
def test_an_alias_repeats_a_value_as_a_copy(pure: bool) -> None:
    data = read("a: &x {b: [1]}\nc: *x\n", pure)
    assert isinstance(data, dict)
    assert data["a"] == data["c"] == {"b": ["1"]}
    assert data["a"] is not data["c"]


@BOTH
def test_a_tab_inside_a_line_counts_as_a_blank(pure: bool) -> None:
    assert read("a:\t1\t# note\n", pure) == {"a": "1"}
    assert read("note: one\ttwo", pure) == {"note": "one two"}


# What is refused, and how it is told

HOSTILE = {
    "billion laughs": (BOMB, "more than 20000"),
    "ten thousand brackets": ("[" * 10_000, "30 deep"),
    "ten thousand braces": ("{" * 10_000, "30 deep"),
    "ten thousand dashes": ("- " * 5_000, "30 deep"),
    "an alias that deepens": (
        "a: &a " + "[" * 20 + "]" * 20 + "\nb: " + "[" * 20 + "*a" + "]" * 20,
        "30 deep",
    ),
    "a tag of a Python object": ("!!python/object:os.system {a: b}", "tag"),
    "an explicit tag": ("a: !!str 1", "tag"),
    "the tag that says nothing": ("a: ! 1", "tag"),
    "a value that contains itself": ("&a [*a]", "contains itself"),
    "an alias of nothing": ("a: *x", "No value before this one is marked `&x`"),
    "a double key in braces": ("{a: 1, a: 2}", "written twice"),
    "a merge key": ("a: &x {b: 1}\nc:\n  <<: *x\n", "Merging"),
    "a mapping as a key": ("? {a: b}\n: c\n", "key has to be one text"),
    "a list as a key": ("[a]: c\n", "key has to be one text"),
    "an alias as a key": ("a: &x b\n*x : c\n", "key has to be one text"),
    "a missing key": (": c\n", "key"),
    "two documents": ("a: 1\n---\nb: 2\n", "second document"),
    "an end twice": ("a: 1\n...\n\n...\n", "ends twice"),
    "a lone NUL": ("\x00", "U\\+0000"),
    "a NUL in a value": ("a: b\x00c", "U\\+0000"),
    "an escape of a terminal": ("a: b\x1b[2Jc", "U\\+001B"),
    "an escape of a terminal, in code": ('a: "b\\e[2Jc"', "cannot be shown"),
    "a code of half a character": ('a: "\\ud800"', "code"),
    "a code beyond all characters": ('a: "\\UFFFFFFFF"', "code"),
    "half a character": ("a: \ud800", "U\\+D800"),
    "a hidden line separator": ("a: b\u2028c", "U\\+2028"),
    "a byte order mark inside": ("a: \ufeffb", "U\\+FEFF"),
    "more than 1 MiB": ("# c\n" * (1 << 18) + "#", "1 MiB"),
    "a line without end": ("a: " + "b" * 30_000, "longer than 20000"),
    "too many values": ("- a\n" * 20_001, "more than 20000"),
    "too many anchors": ("".join(f"- &a{n} b\n" for n in range(51)), "more than 50 anchors"),
    "a tag directive": ("%TAG ! tag:example.org,2000:\n---\na: 1", "directive"),
    "another version": ("%YAML 1.1\n---\na: 1", "directive"),
    "a tab as indentation": ("a:\n\tb: 1", "indented with a tab"),
    "a tab after blanks": ("a:\n  \tb: 1", "indented with a tab"),
    "a document that is one block": ("|\n a\n", "one block"),
}


@BOTH
@pytest.mark.parametrize(("text", "said"), HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_text_is_refused_at_once(text: str, said: str, pure: bool) -> None:
    begun = time.process_time()
    with pytest.raises(Unreadable, match=said):
        parse_yaml(text, pure=pure)
    assert time.process_time() - begun < 2.0


@BOTH
def test_fifty_anchors_and_thirty_levels_are_allowed(pure: bool) -> None:
    read("".join(f"- &a{n} b\n" for n in range(50)), pure)
    read("[" * 30 + "]" * 30, pure)


@BOTH
def test_aliases_are_counted_as_what_they_repeat(pure: bool) -> None:
    hundred = "- &a [" + "x," * 99 + "]\n"
    read(hundred + "- *a\n" * 198, pure)
    assert "20000" in problems(hundred + "- *a\n" * 200, pure)[0].message


@BOTH
def test_a_double_key_names_the_line_of_the_first(pure: bool) -> None:
    (problem,) = problems("set:\n  fuse: 1 A\n  plug: x\n  fuse: 2 A\n", pure)
    assert problem.message == "The key `fuse` is written twice; the first is on line 2."
    assert problem.place == Place(4, 3, 4, 7)
    assert problem.path == ("set", "fuse")
    assert problem.suggestion


@BOTH
def test_a_key_written_three_times_names_the_first_both_times(pure: bool) -> None:
    assert ["first is on line 1" in problem.message for problem in problems("a: 1\na: 2\na: 3\n", pure)] == [
        True
    ] * 2


@BOTH
def test_all_problems_that_can_be_read_past_are_told_in_order(pure: bool) -> None:
    found = problems("a: 1\na: 2\nb: !x 1\n<<: {}\n? [1]\n: 2\nc: [1\n", pure)
    assert [problem.place and problem.place.line for problem in found] == [2, 3, 4, 5, 7]


@BOTH
def test_no_more_than_a_hundred_problems_are_told(pure: bool) -> None:
    assert len(problems("a: 1\n" * 500, pure)) == 100


SLIPS = {
    "a list that is not closed": ("a: 1\nb: [1, 2\nc: 3\n", (2, 4), "square brackets"),
    "a mapping that is not closed": ("a: {b: 1\nc: 3\n", (1, 4), "braces"),
    "a missing comma": ("{a: 1 b: 2}\n", (1, 1), "comma"),
    "a quote that is not closed": ("a: 'b\nc: d\n", (1, 4), "never closed"),
    "a second colon": ("note: switch: on\n", (1, 13), "colon"),
    "a line indented too far": ("a: 1\n  b: 2\n", (2, 4), "indented further"),
    "a line indented between": ("a:\n    b: 1\n  c: 2\n", (3, 3), "line up"),
    "a key without a colon": ("a: 1\nb\nc: 2\n", (2, 1), "no colon"),
    "a key after a list": ("- a\nb: 1\n", (2, 1), "list item"),
    "a list item after a key": ("a: b\n- c\n", (2, 1), "line up"),
    "an unknown code": ('a: "\\q"\n', None, "backslash"),
    "an at sign first": ("a: @b\n", (1, 4), "quoted"),
    "a star alone": ("a: * b\n", (1, 5), "name was expected"),
    "a bracket out of place": ("a: ]\n", (1, 4), "value was expected"),
    "a word after a bar": ("a: |word\n  b\n", (1, 5), "`|` or `>`"),
}


@BOTH
@pytest.mark.parametrize(("text", "at", "said"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_of_the_pen_is_told_in_plain_words(
    text: str, at: tuple[int, int] | None, said: str, pure: bool
) -> None:
    (problem,) = problems(text, pure)
    assert said in problem.message
    assert problem.suggestion
    assert problem.place is not None
    assert at is None or (problem.place.line, problem.place.column) == at


@BOTH
def test_nobody_is_told_of_tokens_nodes_or_scalars(pure: bool) -> None:
    for text in [*(text for text, _, _ in SLIPS.values()), *(text for text, _ in HOSTILE.values())]:
        for problem in problems(text, pure):
            words = f"{problem.message} {problem.suggestion}".lower()
            assert not any(
                jargon in words for jargon in ("token", "scalar", "node", "parse", "stream", "flow")
            )


def test_the_python_parser_alone_refuses_blanks_on_the_first_line_of_a_block() -> None:
    """The one known difference that a plan could meet; it is refused with its place, never read otherwise."""
    text = "a: |\n \n   b\n"
    assert read(text) == {"a": "\nb\n"}
    assert problems(text, pure=True)[0].place


# Where things stand

PAGE = """\
set:  # the patient
  chassis: hot
  fuse: {rating: 0.5 A, kind: slow}
  switch:
steps:
- raise: &up
    to: 60 V
- raise: *up
- note: >
    two
    lines

end: "ünd"
"""


@BOTH
def test_a_value_stands_where_it_is_written(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert shown(page, ("set", "chassis")) == "hot"
    assert shown(page, ("set", "fuse")) == "{rating: 0.5 A, kind: slow}"
    assert shown(page, ("set", "fuse", "rating")) == "0.5 A"
    assert shown(page, ("end",)) == '"ünd"'


@BOTH
def test_a_key_stands_where_it_is_written(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert shown(page, ("set", "fuse", "kind"), key=True) == "kind"
    assert page.place(("steps",), key=True) == Place(5, 1, 5, 6)


@BOTH
def test_a_block_runs_to_its_last_word_and_not_into_what_follows(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert page.place(("set",)) == Place(2, 3, 4, 10)
    assert page.place(("steps",)) == Place(6, 1, 11, 10)
    assert page.place(("steps", 2, "note")) == Place(9, 9, 11, 10)
    assert page.place(()) == Place(1, 1, 13, 11)


@BOTH
def test_a_value_that_is_not_written_has_an_empty_place_after_its_colon_or_dash(pure: bool) -> None:
    page = parse_yaml("a:  # later\n\nb:\n-\n- # c\n- x\n", pure=pure)
    assert page.place(("a",)) == Place(1, 3, 1, 3)
    assert page.place(("b", 0)) == Place(4, 2, 4, 2)
    assert page.place(("b", 1)) == Place(5, 2, 5, 2)


@BOTH
def test_an_anchor_is_not_part_of_its_value(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert page.place(("steps", 0, "raise")) == Place(7, 5, 7, 13)


@BOTH
def test_an_alias_stands_for_its_value_and_what_is_inside_stands_where_it_is_written(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert shown(page, ("steps", 1, "raise")) == "*up"
    assert page.place(("steps", 1, "raise", "to")) == page.place(("steps", 0, "raise", "to"))


@BOTH
def test_what_is_missing_is_shown_at_the_nearest_key_around_it(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert page.place(("set", "plug", "pins")) == page.place(("set",), key=True)
    assert page.place(("set", "chassis", "kind")) == page.place(("set", "chassis"), key=True)
    assert page.place(("steps", 0, "hold")) == page.place(("steps", 0, "raise"), key=True)
    assert page.place(("steps", 9)) == page.place(("steps",), key=True)
    assert page.place(("mains",)) == page.place(("set",), key=True)


@BOTH
def test_a_list_item_has_no_key_and_shows_its_value(pure: bool) -> None:
    page = parse_yaml(PAGE, pure=pure)
    assert page.place(("steps", 1), key=True) == page.place(("steps", 1))


def test_an_empty_document_has_a_place_at_its_beginning() -> None:
    assert parse_yaml("# nothing\n").place(("set",)) == Place(1, 1, 1, 1)


@BOTH
def test_a_byte_order_mark_shifts_no_column(pure: bool) -> None:
    assert parse_yaml("\ufeffa: b\n", pure=pure).place(("a",)) == Place(1, 4, 1, 5)


@BOTH
def test_columns_count_characters_and_not_bytes(pure: bool) -> None:
    assert parse_yaml("{é: 💡, b: c}", pure=pure).place(("b",)) == Place(1, 11, 1, 12)


@BOTH
def test_a_text_taken_from_a_page_counts_as_the_page_does(pure: bool) -> None:
    page = parse_yaml("a: b\nc: d\n", first_line=10, first_column=5, pure=pure)
    assert page.place(("c",)) == Place(11, 8, 11, 9)
    assert page.lines(page.place(("c",))) == "c: d"
    assert parse_yaml("a: b\nc: d\n", first_column=(5, 3, 3), pure=pure).place(("c",)) == Place(2, 6, 2, 7)


def test_the_lines_of_a_place_are_whole_and_without_the_last_line_break() -> None:
    page = parse_yaml(PAGE)
    assert page.lines(page.place(("set", "fuse", "kind"))) == "  fuse: {rating: 0.5 A, kind: slow}"
    assert page.lines(Place(1, 1, 3, 1)) == "set:  # the patient\n  chassis: hot"


def test_a_path_is_shown_with_dots_and_positions_from_nought() -> None:
    assert show_path(("steps", 2, "raise", "to")) == "steps[2].raise.to"
    assert show_path(()) == ""


# Bytes


def test_a_file_is_utf_8_and_its_byte_order_mark_is_left_out() -> None:
    assert read_text("ünd".encode()) == read_text("ünd".encode("utf-8-sig")) == "ünd"


@pytest.mark.parametrize(
    "source", ["a: ü\n".encode("latin-1"), "a: b\n".encode("utf-16"), b"\xff", b"a: \xc3"]
)
def test_a_file_in_another_encoding_is_refused(source: bytes) -> None:
    with pytest.raises(Unreadable, match="not UTF-8") as caught:
        read_text(source)
    assert caught.value.problems[0].suggestion == "Save the file as UTF-8."


def test_the_byte_and_the_line_that_are_not_utf_8_are_named() -> None:
    with pytest.raises(Unreadable, match="byte 10, on line 2") as caught:
        read_text("é: b\nc: d".encode() + b"\xfc\n")
    assert caught.value.problems[0].place == Place(2, 5, 2, 5)


def test_utf_16_without_a_mark_is_refused_as_hidden_characters() -> None:
    assert "U+0000" in problems(read_text("a: b\n".encode("utf-16-le")))[0].message


def test_a_file_larger_than_1_mib_is_refused() -> None:
    assert read_text(b"#" * (1 << 20))
    with pytest.raises(Unreadable, match="1 MiB"):
        read_text(b"#" * ((1 << 20) + 1))


# Start-up


def test_the_parser_is_imported_with_the_first_text_and_not_before() -> None:
    code = (
        "import sys, auditor.plan.yaml_text as y; assert 'ruamel.yaml' not in sys.modules; "
        "y.parse_yaml('a: 1'); assert 'ruamel.yaml' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_no_character_that_can_be_printed_is_taken_for_one_that_cannot_be_seen() -> None:
    printed = "".join(filter(str.isprintable, map(chr, range(0x110000))))
    assert re.search(CONTROL, printed) is None
