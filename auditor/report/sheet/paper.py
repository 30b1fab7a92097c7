"""The paper that a sheet is made for, and what stands in the margin of every page of it."""

from __future__ import annotations

from enum import StrEnum

LONGEST_TITLE = 55
"""Characters of a title that find room in the margin."""


class Paper(StrEnum):
    """A size of paper, laid crosswise."""

    a4 = "a4"
    letter = "letter"


SIZES = {Paper.a4: "297mm 210mm", Paper.letter: "11in 8.5in"}
"""Width and height, by ISO 216 and ANSI/ASME Y14.1."""


def page_rule(paper: Paper, title: str, fingerprint: str) -> str:
    """The size of every page, and in its margin the title, the fingerprint of the plan, and which page of how many it is."""
    name = title if len(title) <= LONGEST_TITLE else f"{title[:LONGEST_TITLE]}..."
    return f"""
@page {{
  size: {SIZES[paper]};
  @bottom-left {{ content: {_quoted(name)}; }}
  @bottom-center {{ content: {_quoted(f"Plan {fingerprint}")}; }}
  @bottom-right {{ content: "page " counter(page) " of " counter(pages); }}
}}
"""


def _quoted(text: str) -> str:
    """A string of a style sheet in which nothing but letters, digits and blanks stands as it is, whoever wrote it."""
    # The blank after the digits ends them, and is no part of the text.
    return '"' + "".join(c if c.isascii() and (c.isalnum() or c == " ") else f"\\{ord(c):06x} " for c in text) + '"'
