"""Guessing the word that somebody meant."""

import pytest

from auditor.plan.nearest import nearest


@pytest.mark.parametrize(
    ("word", "known"),
    [
        ("chasis", "chassis"),
        ("Chassis", "chassis"),
        ("rated voltage", "rated_voltage"),
        ("steps_", "steps"),
        ("mian", "mains"),
    ],
)
def test_a_misspelt_word_is_recognised(word: str, known: str) -> None:
    assert nearest(word, ["chassis", "common", "mains", "rated_voltage", "steps"]) == known


@pytest.mark.parametrize("word", ["", "frequency", "x", "chassis" * 1000])
def test_a_word_far_from_all_known_ones_is_not_guessed(word: str) -> None:
    assert nearest(word, ["chassis", "common", "steps"]) is None


def test_the_guess_does_not_depend_on_the_order_of_the_known_words() -> None:
    words = ["raise", "rinse", "raise_to", "arise", "praise"]
    assert nearest("raize", words) == nearest("raize", words[::-1]) == nearest("raize", set(words))


def test_of_two_equally_close_words_the_first_in_the_alphabet_is_guessed() -> None:
    assert nearest("rated voltage", ["rated_voltage", "rated-voltage"]) == "rated-voltage"
