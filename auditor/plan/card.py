"""A bench card: what a shop or club writes once for all its procedures.

The bench and its ratings, the people, the stop rules, and named sequences of steps. A plan names its card and calls
a sequence with `do`; what the plan says itself stands in place of what the card says. The card lies beside the plan,
in the file `NAME.card.yaml`.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from msgspec import Struct

from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.spelling import tidy
from auditor.plan.values import listed
from auditor.plan.yaml_text import Document, parse_yaml, read_text

ENDING = ".card.yaml"
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SHARED_PARTS = ("mains", "bench", "stop")
PARTS = ("title", *SHARED_PARTS, "sequences")

Finder = Callable[[str], bytes | None]
"""The bytes of the card file of this name, or None where there is none."""


def no_cards(file: str) -> bytes | None:
    """For a plan that lies nowhere, so that no card lies beside it."""
    return None


class Card(Struct, frozen=True):
    """A card as read. fingerprint: the first twelve digits of the SHA-256 of its file."""

    name: str
    document: Document
    data: dict[str, Any]
    written: dict[Path, Path]
    fingerprint: str

    @property
    def file(self) -> str:
        return self.name + ENDING

    def line(self, path: Path) -> int:
        """The line of the card at which this stands."""
        return self.document.place(self.written.get(path, path)).line

    def states(self, path: Path) -> bool:
        return leads_somewhere(self.data, path)


def find_card(name: Any, finder: Finder) -> Card:
    """The card that a plan names. Raises Unreadable, its problems without a place in the plan."""
    if not isinstance(name, str) or not NAME.fullmatch(name):
        raise Unreadable((Problem("a card has a name of small letters, digits and hyphens, as in `card: north-bench`"),))
    source = finder(name + ENDING)
    if source is None:
        raise Unreadable((Problem(f"there is no card `{name}`: no file {name}{ENDING} lies beside the plan"),))
    try:
        return card_of(source, name + ENDING)
    except Unreadable as error:
        raise Unreadable(tuple(
            Problem(f"the card {name}{ENDING}{f', line {p.place.line}' if p.place else ''}: {p.message}",
                    suggestion=p.suggestion) for p in error.problems)) from None


@lru_cache(maxsize=16)
def card_of(source: bytes, file: str) -> Card:
    """A card out of the bytes of its file, read once for all the plans of a run that name it.

    Raises Unreadable, each problem with its place in the card.
    """
    document = parse_yaml(read_text(source))
    data, written, problems = tidy(document.data)
    if not isinstance(data, dict):
        raise Unreadable((Problem(f"a card has the parts {listed(PARTS)} and no others", (), document.place(())),))
    for key in data:
        if key not in PARTS:
            problems.append(Problem(f"a card has no part `{key}`; it has {listed(PARTS)}", (written.get((key,), (key,))),
                                    None, nearest(key, PARTS), True))
    if not isinstance(data.get("title") or "", str):
        problems.append(Problem("`title` is the name of the bench, in a few words", ("title",)))
    if not isinstance(data.get("sequences") or {}, dict):
        problems.append(Problem("`sequences` is a mapping from a name to a list of steps", ("sequences",)))
    if problems:
        raise Unreadable(tuple(map(document.placed, problems)))
    return Card(file.removesuffix(ENDING), document, data, written, hashlib.sha256(source).hexdigest()[:12])


def merged(own: Any, shared: Any) -> Any:
    """What the plan says, with what only the card says: mappings key by key, everything else whole."""
    if isinstance(own, dict) and isinstance(shared, dict):
        return {key: merged(own.get(key), shared.get(key)) for key in {**shared, **own}}
    return shared if own is None else own


def leads_somewhere(data: Any, path: Path) -> bool:
    """Whether the data state anything at this path."""
    here = data
    for part in path:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return False
    return here is not None
