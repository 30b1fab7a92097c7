"""A plan before and after a rule is kept: only the lines that matter, as the plan would write them."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.report.style import Style, shown
from auditor.rulebook.before_and_after import BeforeAndAfter, Line

NOTHING = "# nothing of it is there"


def before_and_after_lines(found: BeforeAndAfter, style: Style) -> Iterator[str]:
    """The lines that break a rule, and those in place of them that keep it; lines that stay tell the place, and are cut."""
    yield style.wrapped(f"Before and after, in the plan \"{found.title}\":")
    yield style.wrapped("so that the rule is broken:", first="  ")
    yield from _yaml(found.before, style)
    yield style.wrapped("so that it is kept:", first="  ")
    yield from _yaml(found.after, style)


def _yaml(lines: tuple[Line, ...], style: Style) -> Iterator[str]:
    if not lines:
        yield f"    {NOTHING}"
    above: tuple[str, ...] = ()
    for line in lines:
        for depth, key in enumerate(line.under):
            if line.under[:depth + 1] != above[:depth + 1]:
                yield f"    {'  ' * depth}{shown(key)}:"
        above = line.under
        margin = "    " + "  " * len(line.under)
        if line.same:
            yield style.faint(_cut(f"{margin}{shown(line.text)}", style.width))
        else:
            yield style.wrapped(line.text, first=margin, rest=f"{margin}    ")


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else f"{text[:width - 4].rstrip()} ..."
