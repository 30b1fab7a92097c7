"""YAML read with a place for every key and value, and nothing else decided.

Every scalar is text, or None if nothing is written (`~`, `null`, or an empty place), so `on`, `12:30` and
`007` are what the author typed. A tab inside a line is read as one blank. Custom tags, merge keys, double
keys and anything without a bound are refused.
"""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from auditor.plan.lines import Lines
from auditor.plan.place import Data, Path, Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.yaml_spans import Node, scalar_span, span

LARGEST = 1 << 20
"""Largest text in bytes (or characters): 1 MiB."""

LONGEST_LINE = 20_000
"""Longest line in characters: the parser in Python takes time as the square of some of them."""

# What stands first on a line has nothing but a line break before it. The mark itself is looked for first: it is rare.
_LONG_LINE = re.compile(rf"(?<![^\r\n])[^\r\n]{{{LONGEST_LINE + 1}}}")
_TAB_INDENT = re.compile(r"(?<![^\r\n]) *\t[ \t]*(?=[^\s#])")
_DIRECTIVE = re.compile(r"%(?<![^\r\n]%)(?!YAML 1\.2[ \t]*(?:#|[\r\n]))")
_END = re.compile(r"\.\.\.(?<![^\r\n]\.\.\.)(?=\s|\Z)")


class Document(Struct, frozen=True):
    """One YAML document: its data, its text (without a byte order mark), and where everything stands."""

    data: Data
    text: str
    _lines: Lines
    _root: Node | None

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Where the value at a path stands, or its key.

        A value's place leaves out its anchor. A value that an alias stands for is the alias; what is inside
        stands where it is written. A value that is not written has an empty place, where it would begin. A
        list item has no key: its value is given. If the path does not exist, the place is the key of the
        nearest value around it that exists, or, where that is a list item or the whole document, its first
        key.
        """
        node, key_event, found = self._root, None, True
        for part in path:
            inner = _inside(node, part)
            if inner is None:
                found = False
                break
            key_event, node = inner
        if node is None:
            return self._lines.place(0, 0)
        if not found and key_event is None and isinstance(node.parts, dict) and node.parts:
            key_event = next(iter(node.parts.values()))[0]
        if key_event is not None and (key or not found):
            return self._lines.place(*scalar_span(self.text, key_event))
        return self._lines.place(*span(self.text, node))

    def placed(self, problem: Problem) -> Problem:
        """The problem with the place of its path, where it has none yet."""
        return replace(problem, place=problem.place or self.place(problem.path, key=problem.at_key))

    @property
    def first_line(self) -> int:
        """The line on its page at which the text begins."""
        return self._lines.first_line

    def lines(self, place: Place) -> str:
        """The whole lines that a place touches, without the last line break."""
        return self._lines.covered(place)


def read_text(source: bytes) -> str:
    """The text of a file, which has to be UTF-8; a byte order mark at its start is left out.

    Raises Unreadable if it is not UTF-8 or larger than LARGEST bytes.
    """
    if len(source) > LARGEST:
        raise Unreadable((_too_large(),))
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        lines = Lines(source[: error.start].decode("utf-8-sig", "replace"))
        place = lines.spot(len(lines.text))
        message = f"This is not UTF-8: byte {error.start}, on line {place.line}, belongs to no character."
        raise Unreadable((Problem(message, place=place, suggestion="Save the file as UTF-8."),)) from None


def parse_yaml(
    text: str, *, first_line: int = 1, first_column: int | tuple[int, ...] = 1, pure: bool = False, again: bool = True
) -> Document:
    """The one document in the text; its data are None if there is none.

    `first_line` and `first_column` say where the text begins on the page it was taken from; a tuple gives
    the column of each line. The parser in C is tried first where it is installed, and the one in Python has
    the last word; `pure` asks for the one in Python alone. Where not `again`, what the one
    in C refuses stays refused: the other takes many times as long.

    Raises Unreadable with positioned problems.
    """
    text = text.removeprefix("\ufeff")
    if len(text) > LARGEST:
        raise Unreadable((_too_large(),))
    # Here, so that the parser is imported when the first text is read.
    from auditor.plan.yaml_nodes import TooMany, control_in, read_nodes

    lines = Lines(text, first_line, first_column)
    if found := control_in(text):
        message = f"A character that cannot be shown (U+{ord(found[0]):04X}) stands here."
        raise _at(found, lines, message, "Delete it, and save the file as UTF-8 text.")
    if found := _LONG_LINE.search(text):
        raise _at(found, lines, f"This line is longer than {LONGEST_LINE} characters.", "Break it.")
    if "\t" in text and (found := _TAB_INDENT.search(text)):
        raise _at(found, lines, "This line is indented with a tab.", "Indent with blanks only.")
    if found := _DIRECTIVE.search(text):
        message = "A line that begins with `%` is a directive, and only `%YAML 1.2` is known here."
        raise _at(found, lines, message, "Remove the line, or indent or quote the text.")
    for found in list(_END.finditer(text))[1:2]:
        raise _at(
            found, lines, "The document ends twice: `...` stands on a line above too.", "Keep one of the two."
        )
    blank_for_tab = text.replace("\t", " ")
    try:
        root = read_nodes(blank_for_tab, lines, pure=pure)
    except Unreadable as error:
        if pure or not again or isinstance(error, TooMany):
            raise
        # The one in C refuses some good YAML, such as [12:30]; and a refusal should read the same everywhere.
        root = read_nodes(blank_for_tab, lines, pure=True)
    return Document(root.data if root else None, text, lines, root)


def _too_large() -> Problem:
    return Problem("The file is larger than 1 MiB.", suggestion="Split it into several files.")


def _at(found: re.Match[str], lines: Lines, message: str, suggestion: str) -> Unreadable:
    return Unreadable((Problem(message, place=lines.place(*found.span()), suggestion=suggestion),))


def _inside(node: Node | None, part: str | int) -> tuple[Any, Node] | None:
    """The event of the key (None for a list item) and the value that one part of a path leads to."""
    parts = node.parts if node else None
    if isinstance(parts, dict) and isinstance(part, str):
        return parts.get(part)
    if isinstance(parts, list) and isinstance(part, int) and 0 <= part < len(parts):
        return None, parts[part]
    return None
