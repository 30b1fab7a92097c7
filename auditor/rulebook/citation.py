"""What the source of a rule names: a document with its clause; or the custom of the trade, a calculation, a memory."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

UNPUBLISHED = ("common practice", "calculated", "from memory")
"""Sources that are no document."""
MANNERS = ("as quoted elsewhere", "by analogy")
"""How a document is taken: from another one that quotes it; for a case beside the one that it was written for."""
CLAUSE_AND_NOTE = re.compile(r"(.*?)(?: \((.*)\))?")


class Citation(Struct, frozen=True):
    """A source taken apart.

    document: as the list of documents writes it, or one of UNPUBLISHED; clause: where in it, empty for the whole; note: what
    it says there; manner: those of MANNERS that the source states.
    """

    document: str
    clause: str
    note: str
    manner: tuple[str, ...]

    @property
    def published(self) -> bool:
        return self.document not in UNPUBLISHED


def citation(source: str, documents: Sequence[str]) -> Citation:
    """A source taken apart. Raises ValueError where it names no document of the list.

    >>> citation("29 CFR 1910.334(a), by analogy (cords are inspected)", ["29 CFR 1910"])
    Citation(document='29 CFR 1910', clause='1910.334(a)', note='cords are inspected', manner=('by analogy',))
    """
    manner = tuple(each for each in MANNERS if f", {each}" in source)
    bare = source
    for each in manner:
        bare = bare.replace(f", {each}", "")
    begins = [name for name in (*documents, *UNPUBLISHED) if re.match(rf"{re.escape(name)}(?![\w-])", bare)]
    if not begins:
        raise ValueError(f"the source `{source}` begins with no document of rules/coverage/documents.yaml")
    document = max(begins, key=len)
    rest = bare.removeprefix(document)
    if document in UNPUBLISHED:
        return Citation(document, "", rest.strip(" :()"), manner)
    found = CLAUSE_AND_NOTE.fullmatch(rest)
    assert found is not None  # it matches any line
    clause = found[1].strip(" ,").replace("p. ", "page ")
    if clause.startswith("."):  # a section of the part that the name ends with
        clause = document.rpartition(" ")[2] + clause
    return Citation(document, clause, found[2] or "", manner)
