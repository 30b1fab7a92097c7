"""Text set in CommonMark 0.31 so that it stays text: nothing that a plan says becomes markup, a link or a picture.

Tables are those of the common extension for tables. No raw HTML is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from urllib.parse import quote

from auditor.report.style import shown

MARKUP = re.compile(r"[\\`*_\[\]<>&~#$]")
"""Characters that may begin markup anywhere in a line, here or in a common extension (strikethrough, formulas)."""
BEGINS_A_BLOCK = re.compile(r"(?=[-+=:])|\d+(?=[.)](?:\s|$))")
"""What may begin a list, a rule, an underline or a definition at the start of a block; a backslash belongs after it."""
ADDRESS = re.compile(r"[^\s|\\`]*(?:@\w|#\w|//|www\.|\w\.[^\W\d]{2}|:\w+:)[^\s|\\`]*", re.IGNORECASE)
"""Words that wikis make into links, mentions or pictures even without markup. A `|`, a backslash or a backtick ends them:
inside code in a table those do not mean the same everywhere."""

Part = tuple[bool, str]
"""Whether a part of a line is code, and its text."""


def plain(text: str) -> str:
    """Text of a plan, as one line that shows every character of it; words that look like an address become code.

    >>> print(plain("# 40 W *lamp* in C_1, see lamps.example"))
    \\# 40 W \\*lamp\\* in C\\_1, see `lamps.example`
    """
    return _set(_addresses_apart(_one_line(text)))


def sentence(text: str) -> str:
    """A sentence of a rule or of a report: what it has between two backticks, as written in a plan, becomes code.

    Not for the cell of a table, see ADDRESS.

    >>> sentence("At step `set_dial: 60 V` it is *50* % too high.")
    'At step `set_dial: 60 V` it is \\\\*50\\\\* % too high.'
    """
    return _set(_written_apart(_one_line(text)))


def code(text: str) -> str:
    """Text as it is, as code within a line.

    >>> code("a ` b")
    '``a ` b``'
    """
    return _code(shown(text))


def block(lines: Iterable[str], info: str = "", indent: str = "") -> list[str]:
    """Lines as a fenced block, whose fence is longer than any in them."""
    inside = [shown(line) for line in lines]
    fence = "`" * max(3, _longest_run("\n".join(inside)) + 1)
    return [f"{indent}{line}" for line in (f"{fence}{info}", *inside, fence)]


def link(words: str, path: str) -> str:
    """A link to a file, whose words are those of a plan."""
    return f"[{plain(words)}](<{address(path)}>)"


def address(path: str) -> str:
    """The relative address of a file, whatever it is called.

    >>> address("wiki/a set.yaml"), address("javascript:x")
    ('wiki/a%20set.yaml', 'javascript%3Ax')
    """
    return quote(path.encode("utf-8", "surrogateescape"), safe="/.-_~")


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table of cells that are CommonMark already."""
    return [_row(headings), _row(["---"] * len(headings)), *map(_row, rows)]


def _row(cells: Sequence[str]) -> str:
    escaped = (cell.replace("|", "\\|") for cell in cells)
    return f"| {' | '.join(escaped)} |"


def _one_line(text: str) -> str:
    return " ".join(shown(text).split())


def _addresses_apart(line: str) -> Iterator[Part]:
    end = 0
    for word in ADDRESS.finditer(line):
        first, last = word.span()
        first += len(word[0]) - len(word[0].lstrip("("))
        last -= len(word[0]) - len(word[0].rstrip(".,;)"))
        yield False, line[end:first]
        yield True, line[first:last]
        end = last
    yield False, line[end:]


def _written_apart(line: str) -> Iterator[Part]:
    parts = line.split("`")
    if len(parts) % 2 == 0:  # the last backtick has no partner
        parts[-2:] = ["`".join(parts[-2:])]
    for i, part in enumerate(parts):
        if i % 2 == 0:
            yield from _addresses_apart(part)
        elif part.strip():
            yield True, part
        else:
            yield False, f"`{part}`"


def _set(parts: Iterable[Part]) -> str:
    """The parts of a line one after the other. Code that touches code is one piece, else their marks would run together."""
    joined: list[Part] = []
    for is_code, text in parts:
        if joined and text and joined[-1][0] == is_code:
            joined[-1] = is_code, joined[-1][1] + text
        elif text:
            joined.append((is_code, text))
    line = "".join(_code(text) if is_code else MARKUP.sub(r"\\\g<0>", text) for is_code, text in joined)
    begins = BEGINS_A_BLOCK.match(line)
    return f"{line[:begins.end()]}\\{line[begins.end():]}" if begins else line


def _code(line: str) -> str:
    marks = "`" * (_longest_run(line) + 1)
    padding = " " if line[:1] in ("", " ", "`") or line[-1:] in (" ", "`") else ""
    return f"{marks}{padding}{line}{padding}{marks}"


def _longest_run(line: str) -> int:
    return max(map(len, re.findall("`+", line)), default=0)
