"""The signal words against the standards that define them.

ANSI Z535.4-2007, 4.14.1 to 4.14.4 (the same words stand in ANSI Z535.6), as quoted elsewhere and paraphrased:
DANGER will cause death or serious injury if not avoided, and is kept for the most extreme cases; WARNING could cause
death or serious injury; CAUTION could cause minor or moderate injury; NOTICE is not about personal injury.
ISO 3864-2:2016, as quoted elsewhere: three levels of risk to people, low, medium and high, on a yellow, an orange and
a red panel.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from auditor.report.style import COLOURS
from auditor.rulebook.rule import HAZARDS, SIGNAL_WORDS, Rule
from tests.external.audited import rulebook

ROOT = Path(__file__).parents[2]
TO_PEOPLE = {"electric shock", "fire", "burst"}
MISLEADS = "false reading"
PROPERTY = "damage"
RULES = rulebook().rules
by_name = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)


def readme_severity() -> dict[str, str]:
    """The README's table of signal words."""
    rows = re.findall(r"^\| (DANGER|WARNING|CAUTION|NOTICE) \| (.+?) \|$", (ROOT / "README.md").read_text(), re.MULTILINE)
    return dict(rows)


def palette(number: int) -> tuple[int, int, int]:
    """Red, green and blue of a colour of the terminal palette's 6 x 6 x 6 cube (xterm, 256colres.h; from memory)."""
    levels = (0, 95, 135, 175, 215, 255)
    cube = number - 16
    return levels[cube // 36], levels[cube // 6 % 6], levels[cube % 6]


def test_the_words_stand_from_most_to_least_serious() -> None:
    assert SIGNAL_WORDS == ("DANGER", "WARNING", "CAUTION", "NOTICE")


def test_the_readme_tells_all_four_in_this_order() -> None:
    assert tuple(readme_severity()) == SIGNAL_WORDS


@pytest.mark.parametrize(("word", "says", "never"), [
    ("DANGER", r"\bwill\b.*\bkill\b.*\bseriously injure\b", r"\bcould\b|\bmay\b|\bminor\b"),
    ("WARNING", r"\bcould\b.*\bkill\b.*\bseriously injure\b", r"\bwill\b|\bminor\b"),
    ("CAUTION", r"\bminor or moderate injury\b", r"\bkill\b|\bserious"),
    ("NOTICE", r"\bdamage\b.*\bproperty\b", r"\binjur|\bkill\b"),
])
def test_the_readme_gives_each_word_its_severity(word: str, says: str, never: str) -> None:
    told = readme_severity()[word]
    assert re.search(says, told)
    assert not re.search(never, told)


def test_the_schema_of_the_report_allows_these_four_in_this_order() -> None:
    schema = json.loads((ROOT / "auditor" / "report" / "audit.schema.json").read_text())
    assert tuple(schema["$defs"]["signal_word"]["enum"]) == SIGNAL_WORDS


def test_every_hazard_is_to_people_to_judgement_or_to_property() -> None:
    assert set(HAZARDS) == TO_PEOPLE | {MISLEADS, PROPERTY}


@by_name
def test_a_notice_and_only_a_notice_is_about_property(rule: Rule) -> None:
    # ANSI Z535.4, 4.14.4
    assert (rule.text.signal_word == "NOTICE") == (rule.text.hazard == PROPERTY)


@by_name
def test_a_rule_that_speaks_of_death_names_what_would_cause_it(rule: Rule) -> None:
    # ANSI Z535.4, 4.14.1 and 4.14.2: a reading that misleads harms nobody by itself
    if rule.text.signal_word in ("DANGER", "WARNING"):
        assert rule.text.hazard in TO_PEOPLE


@by_name
def test_a_reading_that_misleads_is_a_caution(rule: Rule) -> None:
    # the README's own addition to the definition of CAUTION
    if rule.text.hazard == MISLEADS:
        assert rule.text.signal_word == "CAUTION"
        assert "or a reading that misleads" in readme_severity()["CAUTION"]


def test_danger_is_kept_for_the_most_extreme_cases() -> None:
    # ANSI Z535.4, 4.14.1: here, for what stops a heart at the bench, and for fewer than half of the rules
    dangers = [rule for rule in RULES if rule.text.signal_word == "DANGER"]
    assert {rule.text.hazard for rule in dangers} == {"electric shock"}
    assert 2 * len(dangers) < len(RULES)


@pytest.mark.parametrize(("word", "red", "green", "blue"), [
    ("WARNING", 0xFF, 0x82, 0x00),  # orange, the ANSI approximation PMS 151 (#FF8200), as quoted elsewhere
    ("CAUTION", 0xFF, 0xD1, 0x00),  # yellow, PMS 109 (#FFD100), as quoted elsewhere
])
def test_the_colour_is_the_nearest_of_the_terminal_to_that_of_the_standard(
    word: str, red: int, green: int, blue: int
) -> None:
    def distance(number: int) -> int:
        r, g, b = palette(number)
        return (r - red) ** 2 + (g - green) ** 2 + (b - blue) ** 2

    assert int(COLOURS[word]) == min(range(16, 232), key=distance)


def test_danger_is_red_and_notice_blue() -> None:
    # ANSI Z535.1 (red, orange, yellow, blue); ISO 3864-2 (red for the highest risk), as quoted elsewhere
    red, green, blue = palette(int(COLOURS["DANGER"]))
    assert (red, green, blue) == (255, 0, 0)
    red, green, blue = palette(int(COLOURS["NOTICE"]))
    assert blue > green > red
