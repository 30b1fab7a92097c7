"""Where a YAML value begins and ends in its text, worked out from the events that it was built from.

Nothing is computed until it is asked for: most documents are read without a problem, and then nobody asks.
"""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct

from auditor.plan.place import Data

_COLON = re.compile(r"(?:\s|(?<=\s)#[^\r\n]*)*:")
_COMMENT = re.compile(r"(?:^|(?<=\s))#[^\r\n]*")
_BLANK_OR_COMMENT = re.compile(r"(?:\s|#[^\r\n]*)*")


class Node(Struct):
    """One value, with what is needed to say where it stands."""

    data: Data
    first: Any
    """The event that begins it."""
    last: Any
    """The event that ends it; the same one for scalars and aliases."""
    parts: dict[str, tuple[Any, Node]] | list[Node] | None = None
    """What is inside: for a mapping the event of each key and its value."""
    before: Any = None
    """For a value that is not written: the event before it."""
    under_key: bool = False
    """Whether that event is the value's key."""
    size: int = 1
    """Nodes in it, itself included, aliases expanded."""
    height: int = 0
    """Levels of lists and mappings in it."""


def span(text: str, node: Node) -> tuple[int, int]:
    """First index of a value, and the index just after it."""
    if node.before is not None and not node.first.anchor and not node.first.value:
        return _unwritten(text, node)
    if node.last is node.first:
        return scalar_span(text, node.first)
    return _start(text, node.first), _end(text, node)


def scalar_span(text: str, event: Any) -> tuple[int, int]:
    """The same for the event of a scalar, such as a key, or of an alias."""
    end = event.end_mark.index
    start = min(_start(text, event), end)
    if getattr(event, "style", None) in ("|", ">"):
        # A block ends before the blank lines that follow it, which the parser counts in.
        end = start + len(text[start:end].rstrip())
    return start, end


def _start(text: str, event: Any) -> int:
    """Where the value itself begins, after its anchor if it has one."""
    start: int = event.start_mark.index
    if event.anchor is None or text[start] != "&":
        return start
    blank = _BLANK_OR_COMMENT.match(text, start + 1 + len(event.anchor))
    return blank.end() if blank else start


def _end(text: str, node: Node) -> int:
    """A collection in brackets ends with its bracket; any other ends with the last thing in it."""
    while node.last is not node.first:
        bracket = text[node.last.start_mark.index : node.last.end_mark.index]
        if bracket == ("}" if isinstance(node.parts, dict) else "]"):
            end: int = node.last.end_mark.index
            return end
        node = (
            list(node.parts.values())[-1][1] if isinstance(node.parts, dict) else (node.parts or [node])[-1]
        )
    return span(text, node)[1]


def _unwritten(text: str, node: Node) -> tuple[int, int]:
    """Just after the colon or the dash that the value would follow, or after a key that has no colon."""
    start = node.before.end_mark.index
    if node.under_key:
        colon = _COLON.match(text, start)
        spot = colon.end() if colon else start
    else:
        between = _COMMENT.sub(
            lambda comment: " " * len(comment[0]), text[start : node.first.start_mark.index]
        )
        spot = start + len(between.rstrip())
    return spot, spot
