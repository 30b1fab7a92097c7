"""The page of all keys of a plan: complete, and as the reader of plans has them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from auditor.cli import app
from auditor.plan.chain import ELEMENTS, INSTRUMENTS, LAMPS, AcceptedRisk, Bench, Header, Instrument, Lamp, Mains, People
from auditor.plan.equipment import CONDITIONS, SPECIAL_PARTS, FilterCapacitor, LineCapacitor, Set
from auditor.plan.record import Record
from auditor.plan.steps import Step
from auditor.plan.verbs import VERBS
from auditor.report.keys_page import FILE, keys_page_lines

ROOT = Path(__file__).resolve().parents[2]
PAGE = "\n".join(keys_page_lines())
PARTS: dict[str, type[Record]] = {
    "procedure": Header, "mains": Mains, "set": Set, "set.filter_capacitors": FilterCapacitor,
    "set.line_capacitors": LineCapacitor, "bench": Bench, "bench.instruments": Instrument, "bench.people": People,
    "bench.chain.limiter.lamp": Lamp, "accepted_risks": AcceptedRisk,
    **{f"bench.chain.{kind}": model for kind, model in ELEMENTS.items() if model.model_fields},
}


def rows(heading: str) -> dict[str, str]:
    """The rows below a heading, by their key."""
    below = PAGE.split(f"\n## `{heading}`\n")[1].split("\n## ")[0]
    return dict(re.findall(r"^\| `([^`]+)` \| (.*) \|$", below, re.MULTILINE))


@pytest.mark.parametrize("place", PARTS)
def test_every_key_of_a_part_is_told_with_its_meaning(place: str) -> None:
    found = rows(place)
    assert [key for name, info in PARTS[place].model_fields.items() if not found.get(key := info.alias or name)] == []


def test_every_verb_and_every_key_of_a_step_is_told() -> None:
    found = rows("steps")
    keys = {info.alias or name for name, info in Step.model_fields.items()}
    taken = {key for verb in VERBS.values() for key in verb.fields if key in keys and key != "what"}
    assert [name for name in (*VERBS, *taken) if not found.get(name)] == []


@pytest.mark.parametrize(("place", "key", "words"), [
    ("set", "special_parts", SPECIAL_PARTS), ("set.filter_capacitors", "condition", CONDITIONS),
    ("bench.chain.limiter.lamp", "kind", LAMPS), ("bench.instruments", "kind", INSTRUMENTS)])
def test_every_word_that_may_stand_under_a_key_is_told(place: str, key: str, words: tuple[str, ...]) -> None:
    assert [word for word in words if f"`{word}`" not in rows(place)[key]] == []


def test_every_part_that_another_refers_to_is_on_the_page() -> None:
    assert [place for place in re.findall(r"see `([^`]+)`", PAGE) if f"\n## `{place}`\n" not in PAGE] == []


def test_the_page_beside_the_readme_is_the_page_that_the_command_writes() -> None:
    written = CliRunner().invoke(app, ["schema", "--as", "markdown"]).stdout
    assert (ROOT / FILE).read_text(encoding="utf-8") == written


def test_only_the_keys_of_a_plan_are_told_as_a_page() -> None:
    ran = CliRunner().invoke(app, ["schema", "card", "--as", "markdown"])
    assert ran.exit_code == 2
    assert "Only the keys of a plan" in ran.stderr
