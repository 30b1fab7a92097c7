"""What the trade asks of a power-up, item by item: each is served by rules, or has a reason why it is none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from auditor.plan.shipped import rules_folder
from auditor.plan.yaml_text import parse_yaml
from tests.rules.played import RULEBOOK

FILE = rules_folder() / "coverage" / "practice.yaml"
PROCEDURES = Path(__file__).parents[2] / "procedures"
GROUPS: list[dict[str, Any]] = parse_yaml(FILE.read_text(encoding="utf-8")).data
ITEMS = [item for group in GROUPS for item in group["items"]]


def test_every_rule_serves_an_item_and_every_rule_that_is_named_exists() -> None:
    assert {name for item in ITEMS for name in item.get("served_by", ())} == {rule.name for rule in RULEBOOK.rules}


@pytest.mark.parametrize("group", GROUPS, ids=[group["group"] for group in GROUPS])
def test_an_item_says_what_serves_it_or_why_nothing_does(group: dict[str, Any]) -> None:
    assert set(group) == {"group", "items"}
    for item in group["items"]:
        assert set(item) <= {"item", "served_by", "shown_by", "not_a_rule"}
        assert ("served_by" in item) != ("not_a_rule" in item), item
        assert item["item"][-1] in ".?"
        assert item.get("not_a_rule", ".").endswith(".")


def test_no_item_stands_there_twice() -> None:
    said = [item["item"] for item in ITEMS]
    assert len(set(said)) == len(said)


def test_every_kind_of_set_is_shown_by_a_procedure_of_the_club() -> None:
    (kinds,) = [group for group in GROUPS if group["group"] == "kinds of set"]
    shown = [file for item in kinds["items"] for file in item["shown_by"]]
    assert [file for file in shown if not (PROCEDURES / file).is_file()] == []
