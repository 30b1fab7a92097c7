"""What the words of a stop condition say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.stop_words import Limit, limit, names


def the_limit(condition: str) -> Limit:
    found = limit(condition)
    assert found is not None
    return found


@given(st.floats(0.001, 9.0), st.integers(1, 600))
def test_a_current_and_a_time_are_read_as_they_are_written(amperes: float, seconds: int) -> None:
    found = the_limit(f"current above {amperes:.3f} A after {seconds} s")
    assert found == Limit("current", "above", float(f"{amperes:.3f}"), None, False, f"{seconds} s", float(seconds))


@pytest.mark.parametrize(("condition", "share", "at_one_setting"), [
    ("set voltage below half the dial", 0.5, False),
    ("voltage at the set stays under 35 % of what the dial shows", 0.35, False),
    ("set voltage below 40 % of the dial with the dial at 90 V", 0.4, True)])
def test_a_share_of_the_dial_is_a_share(condition: str, share: float, at_one_setting: bool) -> None:
    found = the_limit(condition)
    assert (found.reading, found.side, found.value) == ("set_voltage", "below", None)
    assert (found.share, found.at_one_setting) == (share, at_one_setting)


@pytest.mark.parametrize(("condition", "seconds"), [
    ("lamp bright", 0.0), ("the lamp stays bright", 0.0), ("the lamp is bright and stays so", 0.0),
    ("bright lamp after 5 s", 5.0), ("lamp still fully bright for more than 10 s", 10.0), ("lamp at full brightness", 0.0)])
def test_a_lamp_may_be_the_reading_that_ends_the_attempt(condition: str, seconds: float) -> None:
    found = the_limit(condition)
    assert (found.reading, found.seconds) == ("lamp", seconds)


@pytest.mark.parametrize("condition", [
    "the lamp is not bright", "lamp bright unless the set is cold", "lamp never bright", "current above 04 A",
    "current above 0.4 A unless it falls", "current above the usual", "current above 0.4 A after a while",
    "current above 0.4 A after 3 apples", "smoke", ""])
def test_a_condition_with_any_other_word_gives_no_reading(condition: str) -> None:
    assert limit(condition) is None


@pytest.mark.parametrize(("condition", "sign"), [
    ("smoke", "smoke"), ("Smoke or a smell", "smell"), ("loud buzz", "buzz"), ("red anode", "red anode"),
    ("a glowing plate", "red anode"), ("anodes turn red", "red anode"), ("any smells", "smell")])
def test_a_sign_is_named_by_its_own_word_or_the_other_words_for_it(condition: str, sign: str) -> None:
    assert names(condition, sign)


@pytest.mark.parametrize("condition", [
    "no smoke", "smoke after the first minute", "too much smoke", "smoke and a smell", "smokeless", "the smoker next door"])
def test_a_sign_that_must_be_more_than_itself_or_is_part_of_another_word_is_not_named(condition: str) -> None:
    assert not names(condition, "smoke")
