"""How far long work is, for somebody at a terminal; nothing is shown in a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager

import typer

MANY = 20
"""Files that are worth a bar."""


def with_progress(files: tuple[str, ...]) -> Iterable[str]:
    """The files, with a bar where there are many."""
    if len(files) < MANY or not sys.stderr.isatty():
        yield from files
        return
    with typer.progressbar(files, label="Reviewing", file=sys.stderr) as shown:
        yield from shown


@contextmanager
def bar(label: str, length: int) -> Iterator[Callable[[object], None]]:
    """Something to be told of each of so many pieces of work before it is begun."""
    if not sys.stderr.isatty():
        yield lambda piece: None
        return
    with typer.progressbar(length=length, label=label, file=sys.stderr) as shown:
        yield lambda piece: shown.update(1)
