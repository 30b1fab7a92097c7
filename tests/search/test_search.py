"""The search for a clean plan that hurts somebody: a small fixed share of it, what it has found, and what it can find."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.plan_text import as_text
from tests.search.candidate import harms_of, judged, serious_rules
from tests.search.edits import edited
from tests.search.reasons import REASONS, WHY
from tests.search.search import begun, gone_on_with
from tests.search.seeds import seeds
from tests.search.teeth import FOLDER, bites, kept, read

MENDED = sorted((Path(__file__).parent / "mended").glob("*.yaml"))
TEETH = sorted(FOLDER.glob("*.yaml"))
SERIOUS = tuple(rule.name for rule in serious_rules())


@pytest.mark.parametrize("number", range(len(seeds())))
def test_the_plans_that_the_search_starts_from_are_clean_and_hurt_nobody(number: int) -> None:
    candidate = judged(seeds()[number])
    assert candidate is not None
    assert candidate.failing == ()
    assert harms_of(candidate) == []


@pytest.mark.parametrize("seed", [1, 2])
def test_no_clean_plan_is_found_that_hurts_somebody(seed: int, request: pytest.FixtureRequest) -> None:
    search = begun(seed, seeds()[-4:])
    search.round(2000 if request.config.getoption("--long") else 60)
    assert search.audited > 0
    assert search.found == {}, "\n".join(f"{key}\n{found.text}" for key, found in search.found.items())


@pytest.mark.parametrize("file", MENDED, ids=[file.stem for file in MENDED])
def test_a_plan_that_was_once_clean_and_did_harm_is_refused_now_or_does_none(file: Path) -> None:
    candidate = judged(read(file.read_text(encoding="utf-8")))
    assert candidate is None or candidate.failing or harms_of(candidate) == []


@pytest.mark.parametrize("file", TEETH, ids=[file.stem for file in TEETH])
def test_a_plan_is_kept_that_does_harm_and_that_only_this_rule_stops(file: Path) -> None:
    data = kept(file.stem)
    assert data is not None
    assert bites(data, file.stem)


@pytest.mark.parametrize("rule", SERIOUS)
def test_for_every_serious_rule_such_a_plan_is_kept_or_a_reason_why_it_stays_without(rule: str) -> None:
    assert (kept(rule) is not None) != (rule in REASONS)


def test_a_reason_is_given_for_rules_that_there_are_and_is_one_of_a_few() -> None:
    assert set(REASONS) <= set(SERIOUS)
    assert set(REASONS.values()) == set(WHY)


@pytest.mark.parametrize("rule", ["unplug-before-reaching-in", "take-the-interlock-bypass-off"])
def test_with_a_rule_switched_off_the_search_finds_what_only_it_has_stopped(rule: str) -> None:
    data = kept(rule)
    assert data is not None
    search = begun(3, [data])
    search.round(40, frozenset({rule}))
    assert search.found


def test_the_same_seed_tries_the_same_candidates() -> None:
    one, other = begun(5, seeds()[-4:-2]), begun(5, seeds()[-4:-2])
    one.round(20)
    other.round(20)
    assert one.written() == other.written()


def test_a_search_that_was_stopped_goes_on_as_if_it_had_not_been(tmp_path: Path) -> None:
    whole, stopped = begun(6, seeds()[-4:-2]), begun(6, seeds()[-4:-2])
    whole.round(15)
    whole.round(15)
    stopped.round(15)
    file = tmp_path / "search.json"
    file.write_text(stopped.written(), encoding="utf-8")
    resumed = gone_on_with(file)
    resumed.round(15)
    assert resumed.written() == whole.written()


def test_edits_leave_the_plan_that_they_start_from_alone() -> None:
    data = seeds()[-4]
    before = as_text(data)
    for number in range(50):
        edited(data, Random(number))
    assert as_text(data) == before
