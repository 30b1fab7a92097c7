"""What a shell offers while a command is typed. It reads names out of the files line by line, so that it is at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path as FilePath

PACKAGE = FilePath(__file__).resolve().parent.parent
RULES = PACKAGE / "rules" if (PACKAGE / "rules").is_dir() else PACKAGE.parent / "rules"
EXPLAINED = ("*.yaml", "faults/*.yaml", "learning/*.yaml")
NAMED = re.compile(r"^ *- (?:rule|fault|hazard|safeguard|word): ([^\s#]+)$", re.MULTILINE)


def explained(incomplete: str) -> list[str]:
    """The names of one word that `auditor reason` explains and that begin so."""
    return sorted({name for pattern in EXPLAINED for name in _names(pattern) if name.startswith(incomplete)})


def faults(incomplete: str) -> list[str]:
    """The faults whose names begin so."""
    return sorted(name for name in _names("faults/*.yaml") if name.startswith(incomplete))


def _names(pattern: str) -> Iterator[str]:
    for file in RULES.glob(pattern):
        yield from NAMED.findall(file.read_text(encoding="utf-8"))
