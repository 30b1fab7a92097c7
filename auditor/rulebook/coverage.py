"""What the trade and the published sources ask for, item by item, and what becomes of it: data beside the rules."""

from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct

from auditor.plan.record import Record
from auditor.plan.shipped import rules_folder
from auditor.plan.values import Names, Text
from auditor.plan.yaml_text import parse_yaml, read_text


class Item(Record):
    """One thing that practice asks for: the rules that serve it and the procedures that show it, or why it is not a rule."""

    item: Text
    served_by: Names = ()
    shown_by: Names = ()
    not_a_rule: Text | None = None


class Group(Record):
    """Items that belong together."""

    group: Text
    items: tuple[Item, ...]


class Coverage(Struct, frozen=True):
    """The documents that sources may name, and the practice of the trade."""

    documents: tuple[str, ...]
    practice: tuple[Group, ...]


def load_coverage(folder: FilePath | None = None) -> Coverage:
    """The data in the folder `coverage` beside the rules."""
    here = (folder or rules_folder()) / "coverage"
    return Coverage(tuple(_data(here / "documents.yaml")), tuple(map(Group.model_validate, _data(here / "practice.yaml"))))


def _data(file: FilePath) -> Any:
    return parse_yaml(read_text(file.read_bytes())).data
