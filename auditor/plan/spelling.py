"""Tidying a document before the schema sees it: one spelling for one thing, and `unknown` for nothing said."""

from __future__ import annotations

from typing import Any

from auditor.plan.problems import Problem
from auditor.plan.words import UNKNOWN, one_key

Path = tuple[str | int, ...]


def tidy(data: Any) -> tuple[Any, dict[Path, Path], list[Problem]]:
    """The data with preferred key spellings, and None for what is written `unknown`.

    Returns the tidied data, for every respelt key its path as written, and a problem for each key that is then
    there twice (`valve_heaters` beside `tube_heaters`).
    """
    written: dict[Path, Path] = {}
    problems: list[Problem] = []

    def walk(value: Any, path: Path, origin: Path) -> Any:
        if path != origin:
            written[path] = origin
        if isinstance(value, dict):
            tidied: dict[str, Any] = {}
            first: dict[str, str] = {}
            for key, item in value.items():
                name = one_key(key)
                if name in tidied:
                    problems.append(Problem(f"`{key}` says the same as `{first[name]}`, which is already there",
                                            (*origin, key), suggestion="keep one of the two", at_key=True))
                first[name] = key
                # What is not stated stays as a key without a value, so that a misspelt one is still seen.
                tidied[name] = None if item == UNKNOWN else walk(item, (*path, name), (*origin, key))
            return tidied
        if isinstance(value, list):
            return [walk(item, (*path, i), (*origin, i)) for i, item in enumerate(value)]
        return value

    return walk(data, (), ()), written, problems
