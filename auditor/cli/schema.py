"""`auditor schema`: the JSON Schema of what is read and written."""

from __future__ import annotations


def schema() -> None:
    """The JSON Schema of the report that `auditor audit --as json` writes."""
    from auditor.report.as_json import SCHEMA

    print(SCHEMA.read_text(encoding="utf-8"), end="")
