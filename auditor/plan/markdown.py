"""Procedures inside a Markdown page: its fenced code blocks that say they are one.

A fence is what CommonMark 0.31 calls so (section 4.5), also inside list items and block quotes; the first
word of its info string has to be `procedure`. A block that is never closed runs to the end of what it is in.

    for block in procedure_blocks(page):
        document = parse_yaml(block.text, first_line=block.first_line, first_column=block.columns)
"""

from __future__ import annotations

from msgspec import Struct

from auditor.plan.lines import LINE_BREAK

WORD = "procedure"
"""First word of the info string of a block that is read."""


class Block(Struct, frozen=True):
    """The text of one block, and where it stands on its page."""

    text: str
    """The lines between the fences, without the indentation or the quote marks that belong to the page."""

    first_line: int
    """The line of the page, from 1, on which the text begins: the one after the opening fence."""

    columns: tuple[int, ...]
    """The column of the page in which each line of the text begins; also for the end after a last break."""

    @property
    def column(self) -> int:
        """The column in which the first line of the text begins."""
        return self.columns[0]


def procedure_blocks(text: str) -> tuple[Block, ...]:
    """The procedures on a page, in their order."""
    from markdown_it import MarkdownIt

    page = LINE_BREAK.split(text.removeprefix("\ufeff"))
    parser = MarkdownIt("commonmark")
    # Only where blocks begin and end matters, so what is inside paragraphs is never looked at.
    parser.core.ruler.enableOnly(["normalize", "block"])
    return tuple(
        _block(token.content, page, token.map[0] + 1)
        for token in parser.parse("\n".join(page))
        if token.type == "fence" and token.map and token.info.split()[:1] == [WORD]
    )


def _block(content: str, page: list[str], first: int) -> Block:
    """The block whose text begins at index `first` of the page's lines."""
    lines = content.split("\n")
    columns: list[int] = []
    for index, line in enumerate(lines):
        if line == "" and index == len(lines) - 1:
            # After the last line break there is no line of the page any more.
            columns.append(columns[-1] if columns else 1)
            break
        written = page[first + index]
        kept = len(line.lstrip())
        # Taken from the page again, because the Markdown parser replaces characters that cannot be shown.
        lines[index] = line[: len(line) - kept] + written[len(written) - kept :]
        columns.append(len(written) - len(line) + 1)
    return Block("\n".join(lines), first + 1, tuple(columns))
