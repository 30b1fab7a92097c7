"""Which special parts a set has: an open list until the plan says that it is complete, or that there are none."""

from __future__ import annotations

from typing import Any

import pytest

from auditor.bench.special_parts import has_part
from auditor.logic.truth import Truth
from auditor.plan.equipment import SPECIAL_PARTS
from auditor.plan.problems import Unreadable
from auditor.plan.read import read_plan
from tests.plan_text import as_text


def has(part: str, **stated: Any) -> Truth:
    return has_part(read_plan(as_text({"procedure": {"title": "T"}, "set": stated, "steps": [{"wait": "1 s"}]})), part)


@pytest.mark.parametrize("part", SPECIAL_PARTS)
def test_a_part_that_is_listed_is_there(part: str) -> None:
    assert has(part, special_parts=[part]) is Truth.TRUE


def test_a_part_that_is_not_listed_may_be_there_as_long_as_the_list_is_open() -> None:
    assert has("picture tube", special_parts=["resistor cord"]) is Truth.UNKNOWN
    assert has("picture tube") is Truth.UNKNOWN


def test_a_complete_list_has_no_other_part() -> None:
    assert has("picture tube", special_parts=["resistor cord"], complete="yes") is Truth.FALSE
    assert has("picture tube", complete="yes") is Truth.FALSE


def test_none_closes_the_list() -> None:
    assert has("picture tube", special_parts="none") is Truth.FALSE


def test_a_part_may_be_written_in_the_other_words_of_the_trade() -> None:
    assert has("filaments fed from B+", special_parts=["filaments fed from HT"]) is Truth.TRUE


def test_a_part_that_is_not_known_is_refused_with_the_nearest() -> None:
    with pytest.raises(Unreadable) as refused:
        has("picture tube", special_parts=["picture tub"])
    (problem,) = refused.value.problems
    assert problem.suggestion is not None
    assert "picture tube" in problem.suggestion
