"""What holds for every text: reading never crashes, places point at what they name, both parsers agree."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from hypothesis import assume, event, example, given, settings
from hypothesis import strategies as st

from auditor.plan.lines import LINE_BREAK
from auditor.plan.markdown import procedure_blocks
from auditor.plan.place import Data, Path, Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.yaml_text import Document, parse_yaml, read_text

# Documents written top down, with the index of everything that is written


@dataclass
class Written:
    """A text under construction, and where in it the keys and the values were put."""

    text: str = ""
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    keys: dict[Path, tuple[int, int]] = field(default_factory=dict)
    data: Data = None

    def put(self, text: str) -> tuple[int, int]:
        start = len(self.text)
        self.text += text
        return start, len(self.text)


PLAIN = [
    "60 V",
    "1.5 kohm",
    "..2 mA",
    "35..50 W",
    "12:30",
    "on",
    "007",
    "B+",
    "a'b",
    "x#y",
    "-1",
    "ünd",
    "💡 lamp",
    "null and void",
]
QUOTED = st.text(
    st.characters(codec="utf-8", categories=["L", "N", "P", "S"], include_characters=" "), max_size=8
)
KEYS = st.lists(
    st.sampled_from(["set", "to", "a b", "é", "null", "on", "12", "x-y", "n_1"]),
    min_size=1,
    max_size=4,
    unique=True,
)
FILLER = st.sampled_from(["", "", "", "\n", "# a: comment\n", "\n  # indented\n\n", "   \n"])
TRAIL = st.sampled_from(["", "", "  ", " # why: [x", "   # 'q"])


@st.composite
def documents(draw: st.DrawFn) -> Written:
    written = Written()
    written.put(draw(st.sampled_from(["", "---\n", "%YAML 1.2\n---\n", "# first\n\n"])))
    written.data = _block(draw, written, (), 0, 3)
    if draw(st.booleans()):
        _to_windows(written)
    return written


def _block(draw: st.DrawFn, out: Written, path: Path, indent: int, depth: int) -> Data:
    """A mapping or a list in block style; its first line begins where the text stands now."""
    if draw(st.booleans()):
        entries: dict[str, Data] = {}
        begun = len(out.text)
        for number, key in enumerate(draw(KEYS)):
            if number:
                out.put(draw(FILLER) + " " * indent)
            out.keys[*path, key] = out.put(draw(st.sampled_from([key, f"'{key}'", f'"{key}"'])))
            out.put(draw(st.sampled_from([":", " :"])))
            entries[key] = _value(draw, out, (*path, key), indent, depth)
            last = out.values[*path, key][1]
        out.values[path] = begun, last
        return entries
    items: list[Data] = []
    begun = len(out.text)
    for number in range(draw(st.integers(1, 3))):
        if number:
            out.put(draw(FILLER) + " " * indent)
        out.put("-")
        items.append(_value(draw, out, (*path, number), indent, depth, item=True))
        last = out.values[*path, number][1]
    out.values[path] = begun, last
    return items


def _value(draw: st.DrawFn, out: Written, path: Path, indent: int, depth: int, item: bool = False) -> Data:
    """What stands after a colon or a dash, to the end of its line or lines."""
    kind = draw(
        st.sampled_from(
            ["nothing", "flow", "flow", "text", "deeper", "deeper"] if depth else ["nothing", "flow"]
        )
    )
    data: Data = None
    if kind == "nothing":
        out.values[path] = out.put("")
        out.put(draw(TRAIL) + "\n")
    elif kind == "flow":
        out.put(" ")
        data = _flow(draw, out, path, depth)
        out.put(draw(TRAIL) + "\n")
    elif kind == "text":
        words = draw(st.lists(st.sampled_from(PLAIN), min_size=1, max_size=3))
        out.put(" ")
        out.values[path] = out.put("|" + "".join(f"\n{' ' * (indent + 2)}{word}" for word in words))
        # A comment at the margin ends the text; one that is indented would belong to it.
        out.put("\n# after\n")
        data = "".join(f"{word}\n" for word in words)
    elif item:
        out.put(" ")
        data = _block(draw, out, path, indent + 2, depth - 1)
    else:
        deeper = indent + draw(st.integers(1, 4))
        out.put(draw(TRAIL) + "\n" + draw(FILLER) + " " * deeper)
        data = _block(draw, out, path, deeper, depth - 1)
    return data


def _flow(draw: st.DrawFn, out: Written, path: Path, depth: int) -> Data:
    kind = draw(
        st.sampled_from(
            ["plain", "plain", "single", "double", "null", "list", "mapping"][: 7 if depth else 5]
        )
    )
    begun = len(out.text)
    data: Data = None
    if kind == "plain":
        data = draw(st.sampled_from(PLAIN))
        out.put(str(data))
    elif kind == "single":
        data = draw(QUOTED)
        out.put("'" + data.replace("'", "''") + "'")
    elif kind == "double":
        data = draw(QUOTED)
        out.put(json.dumps(data, ensure_ascii=draw(st.booleans()) and data.isascii()))
    elif kind == "null":
        out.put(draw(st.sampled_from(["~", "null"])))
    elif kind == "list":
        items: list[Data] = []
        out.put("[")
        for number in range(draw(st.integers(0, 3))):
            out.put(", " if number else "")
            items.append(_flow(draw, out, (*path, number), depth - 1))
        out.put("]")
        data = items
    else:
        entries: dict[str, Data] = {}
        out.put("{")
        for number, key in enumerate(draw(KEYS)):
            out.put(", " if number else " ")
            out.keys[*path, key] = out.put(key)
            out.put(": ")
            entries[key] = _flow(draw, out, (*path, key), depth - 1)
        out.put("}")
        data = entries
    out.values[path] = begun, len(out.text)
    return data


def _to_windows(written: Written) -> None:
    before = [written.text.count("\n", 0, index) for index in range(len(written.text) + 1)]
    for spans in (written.values, written.keys):
        spans.update({path: (a + before[a], b + before[b]) for path, (a, b) in spans.items()})
    written.text = written.text.replace("\n", "\r\n")


# Texts that nobody means


PIECES = st.sampled_from(
    [
        "a",
        "b",
        "1",
        "é",
        " ",
        "  ",
        "\n",
        "\n  ",
        "\r\n",
        "\r",
        ": ",
        ":",
        "- ",
        "-",
        "? ",
        ", ",
        ",",
        "[",
        "]",
        "{",
        "}",
        "&x ",
        "*x",
        "'",
        '"',
        " # c\n",
        "|",
        "|\n  ",
        ">-\n  ",
        "!t ",
        "!!str ",
        "~",
        "null",
        "<<: ",
        "\n---\n",
        "\n...\n",
        "%",
        "@",
        "`",
        "\t",
        "\\",
        "\\ud800",
        "\\U00110000",
        "\\e",
        "%YAML 1.2\n---\n",
        "\x00",
        "\x85",
        "\u2028",
        "\ufeff",
        "\ud800",
        "a: ",
        "\n- ",
        "\na: ",
    ]
)
SOUP = st.lists(PIECES, max_size=25).map("".join)


def outcome(text: str, pure: bool) -> Document | None:
    """The document, or None for a refusal that is told properly; anything else fails the test."""
    try:
        return parse_yaml(text, pure=pure)
    except Unreadable as unreadable:
        problems = unreadable.problems
    assert problems
    rows = LINE_BREAK.split(text.removeprefix("\ufeff"))
    for problem in problems:
        assert problem.message
        assert problem.place is not None
        assert (problem.place.line, problem.place.column) <= (
            problem.place.end_line,
            problem.place.end_column,
        )
        assert 1 <= problem.place.line <= problem.place.end_line <= len(rows)
        assert 1 <= problem.place.column <= len(rows[problem.place.line - 1]) + 2
    return None


def everything(data: Data, path: Path = ()) -> Iterator[Path]:
    yield path
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for part, value in inside:
        yield from everything(value, (*path, part))


def index(text: str, line: int, column: int) -> int:
    """Counted afresh, one character after the other."""
    here, row = 0, 1
    while row < line:
        here += 2 if text.startswith("\r\n", here) else 1
        row += text[here - 1] in "\r\n"
    return here + column - 1


def span(text: str, place: Place) -> tuple[int, int]:
    return index(text, place.line, place.column), index(text, place.end_line, place.end_column)


@given(st.one_of(st.text(max_size=80), SOUP), st.booleans())
@example('a: !x 1\nb: "\\UFFFFFFFF', True)
def test_any_text_is_a_document_or_a_refusal_with_a_place(text: str, pure: bool) -> None:
    document = outcome(text, pure)
    event("read" if document else "refused")
    if document:
        for path in everything(document.data):
            for place in (
                document.place(path),
                document.place(path, key=True),
                document.place((*path, "no such")),
            ):
                start, end = span(document.text, place)
                assert 0 <= start <= end <= len(document.text)


@given(st.binary(max_size=200))
def test_any_bytes_are_text_or_a_refusal(source: bytes) -> None:
    text: str | None = None
    problems: tuple[Problem, ...] = ()
    try:
        text = read_text(source)
    except Unreadable as unreadable:
        problems = unreadable.problems
    if text is None:
        assert "UTF-8" in problems[0].message
    else:
        assert text.encode() == source.removeprefix(b"\xef\xbb\xbf")


@given(
    st.one_of(
        st.text(max_size=80),
        st.lists(
            st.sampled_from(
                [
                    "```procedure\n",
                    "```\n",
                    "~~~ procedure\n",
                    "> ",
                    "- ",
                    "1. ",
                    "\t",
                    "   ",
                    " ",
                    "a: 1\n",
                    "\n",
                    "\r",
                    "\x00",
                    "<!--",
                ]
            ),
            max_size=25,
        ).map("".join),
    )
)
def test_any_page_gives_blocks_whose_lines_are_on_the_page(page: str) -> None:
    rows = LINE_BREAK.split(page.removeprefix("\ufeff"))
    for block in procedure_blocks(page):
        lines = block.text.split("\n")
        assert len(lines) == len(block.columns)
        for number, line in enumerate(lines[:-1] if lines[-1] == "" else lines):
            assert rows[block.first_line - 1 + number].endswith(line.lstrip())


@given(documents(), st.booleans())
def test_a_document_is_read_as_it_was_meant(written: Written, pure: bool) -> None:
    assert parse_yaml(written.text, pure=pure).data == written.data


@given(documents(), st.booleans())
def test_every_place_points_at_the_text_of_its_value_or_key(written: Written, pure: bool) -> None:
    document = parse_yaml(written.text, pure=pure)
    assert set(everything(written.data)) == set(written.values)
    for path, meant in written.values.items():
        assert span(written.text, document.place(path)) == meant
    for path, meant in written.keys.items():
        assert span(written.text, document.place(path, key=True)) == meant


@given(documents(), st.data())
def test_the_place_of_what_is_missing_is_a_key_around_it(written: Written, data: st.DataObject) -> None:
    around = data.draw(st.sampled_from(sorted(written.keys, key=repr)) if written.keys else st.just(()))
    assume(around)
    document = parse_yaml(written.text)
    assert document.place((*around, "no such key", 3)) == document.place(around, key=True)


@given(documents())
def test_a_value_read_from_its_own_place_is_the_same_value(written: Written) -> None:
    """Each one-line value, cut out of the text by its place and read alone, means what it meant there."""
    document = parse_yaml(written.text)
    for path in everything(document.data):
        place = document.place(path)
        if place.line == place.end_line:
            start, end = span(document.text, place)
            here: Data = document.data
            for part in path:
                here = here[part]  # type: ignore[index]
            assert parse_yaml(document.text[start:end]).data == here


@given(st.one_of(SOUP, documents().map(lambda written: written.text)))
@settings(max_examples=300)
def test_both_parsers_find_the_same_data_in_the_same_places(text: str) -> None:
    """But for a block of text that begins with a line of blanks, which the one in Python refuses."""
    in_c, in_python = outcome(text, pure=False), outcome(text, pure=True)
    event(f"C {bool(in_c)}, Python {bool(in_python)}")
    assert in_c or not in_python
    if in_c and not in_python:
        assert re.search(r"[|>][^\r\n]*(\r\n|\r|\n)[ \t]+[\r\n]", text)
    if in_c and in_python:
        assert in_c.data == in_python.data
        for path in everything(in_c.data):
            assert in_c.place(path) == in_python.place(path)
            assert in_c.place(path, key=True) == in_python.place(path, key=True)


PREFIXES = ["", "  ", "> ", ">", "- ", "1. ", "> - "]


@given(documents(), st.sampled_from(PREFIXES), st.sampled_from(["```", "~~~~~"]), st.booleans())
def test_a_document_on_a_page_is_the_same_and_counts_as_the_page_does(
    written: Written, prefix: str, fence: str, closed: bool
) -> None:
    text = written.text.replace("\r\n", "\n").removesuffix("\n")
    assume(
        not (prefix == ">" and re.search(r"^[ \t]", text, re.MULTILINE))
    )  # the quote mark would take a blank along
    rows = [f"{fence}procedure", *text.split("\n"), *([fence] if closed else [])]
    later = prefix.replace("-", " ").replace("1.", "  ")
    page = "\n".join(["A page", "", prefix + rows[0], *(later + row for row in rows[1:])])
    (block,) = procedure_blocks(page)
    alone = parse_yaml(text + "\n" * closed)
    there = parse_yaml(block.text, first_line=block.first_line, first_column=block.columns)
    assert there.data == alone.data
    for path in everything(alone.data):
        mine, moved = alone.place(path), there.place(path)
        assert (moved.line, moved.end_line) == (mine.line + 3, mine.end_line + 3)
        start, end = span(page, moved)
        if mine.line == mine.end_line:
            assert page[start:end] == text[slice(*span(text, mine))]
