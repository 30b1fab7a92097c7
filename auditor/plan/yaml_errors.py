"""What a YAML parser objects to, in plain words.

The parsers of `ruamel.yaml`, in C and in Python, put one complaint differently, so the table looks for the
part that both have.
"""

from __future__ import annotations

import re

from msgspec import Struct


class Complaint(Struct, frozen=True):
    """How one kind of syntax error is told."""

    heard: re.Pattern[str]
    """What the parser says, in its context and its problem together."""

    message: str
    suggestion: str
    at_opening: bool = False
    """Whether it is best shown where the thing began, since the parser notices it only much later."""


def _complaint(heard: str, message: str, suggestion: str, at_opening: bool = False) -> Complaint:
    return Complaint(re.compile(heard, re.IGNORECASE), message, suggestion, at_opening)


COMPLAINTS = (
    _complaint(
        "quoted scalar.*(end of stream|document)",
        "A quoted text begins here and is never closed.",
        "Put the same kind of quote at its end.",
        at_opening=True,
    ),
    _complaint(
        "escape|hexdecimal|unicode character",
        "A backslash in double quotes begins a code, and this code is not known.",
        "Use single quotes, or write two backslashes.",
    ),
    _complaint(
        "flow sequence",
        "A list in square brackets is not closed, or a comma is missing in it. It begins here.",
        "Write `[first, second]`, with a comma between any two items and a closing bracket.",
        at_opening=True,
    ),
    _complaint(
        "flow mapping",
        "A mapping in braces is not closed, or a comma is missing in it. It begins here.",
        "Write `{key: value, key: value}`, with a comma between any two pairs and a closing brace.",
        at_opening=True,
    ),
    _complaint(
        "mapping values are not allowed|unexpected ':'",
        "A colon stands here where no key can be: either the text before it holds a colon of its own, or the "
        "line is indented further than the line it belongs with.",
        "Put a text that holds a colon between quotes, or line the key up with its neighbours.",
    ),
    _complaint(
        "mapping keys are not allowed|sequence entries are not allowed",
        "A list item or a key begins here where none can be.",
        "Begin it on a line of its own, indented like its neighbours.",
    ),
    _complaint(
        "could not find expected ':'",
        "A key was expected here, and no colon follows it.",
        "Write `key: value`, with a blank after the colon.",
        at_opening=True,
    ),
    _complaint(
        "block collection|block sequence|expected '-'",
        "Another list item was expected here, and this line does not line up with the items above it.",
        "Begin it with a dash and a blank, in the same column as the items above.",
    ),
    _complaint(
        "block mapping|expected key",
        "Another key was expected here, and this line does not line up with the keys above it.",
        "Begin it in the same column as the keys above, or close the quote or bracket before it.",
    ),
    _complaint(
        "block scalar",
        "The text after `|` or `>` cannot be read: it begins on the next line, each line indented by blanks "
        "further than its key.",
        "Put the text on the lines below, all indented alike.",
    ),
    _complaint(
        "anchor|alias",
        "A name was expected after `&` or `*`, made of letters, digits, - and _.",
        "Put a text that begins with `&` or `*` between quotes.",
    ),
    _complaint(
        "tag|directive",
        "A tag or a directive begins here, and neither has a meaning in this file.",
        "Put a text that begins with `!` or `%` between quotes.",
    ),
    _complaint(
        "cannot start any token",
        "A text cannot begin with this character unless it is quoted.",
        "Put the text between quotes.",
    ),
    _complaint(
        "node content",
        "A value was expected here.",
        "Write the value, or put it between quotes if it begins with a sign such as `,`, `]` or `}`.",
    ),
    _complaint(
        "document start",
        "Something stands here that belongs to no key and no list.",
        "Indent it under its key, or remove it.",
    ),
)

OTHERWISE = _complaint(
    "",
    "This cannot be read as YAML.",
    "Look at the quotes, the brackets and the indentation of this line and the one before it.",
)


def complaint(heard: str) -> Complaint:
    """The plain words for what a parser said.

    >>> complaint("while scanning for the next token found character that cannot start any token").suggestion
    'Put the text between quotes.'
    """
    return next((entry for entry in COMPLAINTS if entry.heard.search(heard)), OTHERWISE)
