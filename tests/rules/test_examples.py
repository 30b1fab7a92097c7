"""Every example of every shipped rule comes to what it says."""

from __future__ import annotations

import pytest

from tests.rules.played import RULEBOOK, examples_of


@pytest.mark.parametrize("name", [rule.name for rule in RULEBOOK.rules])
def test_every_example_of_the_rule_comes_to_what_it_says(name: str) -> None:
    wrong = [f"{each.outcomes[name].value} in place of {each.expected.value}: {each.change}"
             for each in examples_of(name) if each.outcomes[name] is not each.expected]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("name", [rule.name for rule in RULEBOOK.rules])
def test_no_example_of_the_rule_is_there_twice(name: str) -> None:
    changes = [each.change for each in examples_of(name)]
    assert not [change for i, change in enumerate(changes) if change in changes[:i]]
