"""From text to words, numbers and signs."""

from __future__ import annotations

import re

from msgspec import Struct

LONGEST = 2000
"""Characters that an expression may have."""

_TOKEN = re.compile(
    r"""(?P<space>[ \t\r\n]+)
    |(?P<number>[0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]+)?)
    |(?P<name>[A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z_][A-Za-z0-9_]*)*)
    |(?P<quoted>"[^"]*"|'[^']*')
    |(?P<foreign>==|!=|<>|=>|&&|\|\||[=!&|])
    |(?P<sign>->|<=|>=|[<>(),+\-*/%])""",
    re.VERBOSE,
)

_INSTEAD = {
    "==": "is", "=": "is", "!=": "is not", "<>": "is not", "=>": "->",
    "&&": "and", "&": "and", "||": "or", "|": "or", "!": "not",
}  # fmt: skip


class ExpressionError(ValueError):
    """A text that is no expression: `message` in plain words, its 1-based `column`, and what to write."""

    def __init__(self, message: str, column: int, suggestion: str | None = None) -> None:
        super().__init__(f"column {column}: {message}")
        self.message = message
        self.column = column
        self.suggestion = suggestion


class Token(Struct, frozen=True):
    """A piece of text; `sort` is number, name, quoted, sign, or end."""

    sort: str
    text: str
    column: int

    @property
    def end(self) -> int:
        """The column after its last character."""
        return self.column + len(self.text)


def tokens_of(text: str) -> list[Token]:
    """The tokens of a text, with one of sort `end` after the last. Raises ExpressionError."""
    if len(text) > LONGEST:
        raise ExpressionError(f"an expression is at most {LONGEST} characters long; this has {len(text)}", LONGEST + 1)
    tokens, position = [], 0
    while position < len(text):
        found = _TOKEN.match(text, position)
        if found is None:
            raise ExpressionError(f"the character {text[position]!a} has no meaning here", position + 1)
        sort, piece = str(found.lastgroup), found.group()
        if sort == "foreign":
            raise ExpressionError(f"write `{_INSTEAD[piece]}` in place of `{piece}`", position + 1, _INSTEAD[piece])
        if sort != "space":
            tokens.append(Token(sort, piece, position + 1))
        position = found.end()
    return [*tokens, Token("end", "", len(text) + 1)]
