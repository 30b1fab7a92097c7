"""Files and places as SARIF 2.1.0 writes them (OASIS Standard, March 2020): sections 3.4, 3.24, 3.28 to 3.30, 3.33."""

from __future__ import annotations

import os
from pathlib import PurePath, PurePosixPath
from posixpath import normpath
from typing import Any
from urllib.parse import quote

from auditor.plan.files import PAGES, STANDARD_INPUT
from auditor.plan.place import Path, Place, show_path

ROOT = "SRCROOT"
"""Paths are relative to this: the folder in which the audit was run, which the reader of the report has to know."""
ROOTS = {ROOT: {"description": {"text": "The folder in which the audit was run."}}}


class Artifacts:
    """The files that a report speaks of, each once, in the order in which they come."""

    def __init__(self) -> None:
        self._found: dict[str, dict[str, Any]] = {}

    def location(self, path: str) -> dict[str, Any]:
        """Where the file is, with its number in the list."""
        if path not in self._found:
            self._found[path] = {"location": _location(path), "mimeType": _mime_type(path), "encoding": "utf-8"}
        return {**self._found[path]["location"], "index": tuple(self._found).index(path)}

    def listed(self) -> list[dict[str, Any]]:
        return list(self._found.values())


def _mime_type(path: str) -> str:
    return "text/markdown" if PurePath(path).suffix.lower() in PAGES else "application/yaml"


def _location(path: str) -> dict[str, Any]:
    """A file below the working folder is relative to it; any other is absolute (section 3.4.3: no `..` segments)."""
    if path == STANDARD_INPUT:
        return {"uri": "standard-input", "description": {"text": "What was given on standard input."}}
    spelled = normpath(PurePath(path).as_posix())
    if spelled.startswith("../") or spelled == ".." or PurePath(path).is_absolute():
        absolute = PurePath(os.path.abspath(path))
        if not absolute.is_relative_to(os.getcwd()):
            return {"uri": absolute.as_uri()}
        spelled = absolute.relative_to(os.getcwd()).as_posix()
    return {"uri": quote(os.fsencode(spelled)), "uriBaseId": ROOT}


def region(place: Place) -> dict[str, int]:
    """Lines and columns, in code points: `columnKind` of the run says so."""
    return {"startLine": place.line, "startColumn": place.column, "endLine": place.end_line, "endColumn": place.end_column}


def location(artifact: dict[str, Any], at: dict[str, int] | None, path: Path = (), message: str | None = None
             ) -> dict[str, Any]:
    """A place in a file, with the key path that leads to it and what is to be said about it."""
    physical = {"artifactLocation": artifact, **({"region": at} if at else {})}
    found: dict[str, Any] = {"physicalLocation": physical}
    if path:
        kind = "object" if isinstance(path[-1], int) else "property"
        found["logicalLocations"] = [{"fullyQualifiedName": show_path(path), "kind": kind}]
    if message:
        found["message"] = text(message)
    return found


def beside(path: str, file: str) -> str:
    """The path of a file in the same folder."""
    return PurePosixPath(PurePath(path).as_posix()).with_name(file).as_posix() if path != STANDARD_INPUT else file


def text(words: str) -> dict[str, str]:
    """A message; a brace in it is doubled, since one alone stands for an argument (section 3.11.5)."""
    return {"text": words.replace("{", "{{").replace("}", "}}")}
