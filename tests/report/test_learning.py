"""What somebody who learns reads of a hazard, a safeguard, a word, and of a plan before and after."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from auditor.bench.lamp_choice import lamp_choices
from auditor.learning.figures import example_plan
from auditor.learning.lessons import load_lessons
from auditor.learning.trial import Tried, faults_leading_to, rules_by_stage
from auditor.report.before_and_after import NOTHING, before_and_after_lines
from auditor.report.learning_text import glossary_lines, hazard_lines, index_lines, safeguard_lines, word_lines
from auditor.report.notice import CAUTIONS
from auditor.report.style import Style
from auditor.rulebook.before_and_after import BeforeAndAfter, Line
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook
from auditor.whatif.alone import Alone
from auditor.whatif.catalogue import load_catalogue
from auditor.whatif.harm import FIRE, Harm

WIDTHS = (60, 88, 110)


@cache
def rulebook() -> Rulebook:
    return load_rulebook()


def hazard(name: str, style: Style) -> list[str]:
    lessons = load_lessons()
    (topic,) = (topic for topic in lessons.hazards if topic.hazard == name)
    return list(hazard_lines(topic, lessons, rules_by_stage(name, rulebook()),
                             faults_leading_to(name, rulebook(), load_catalogue()), rulebook(), style))


def safeguard(name: str, style: Style, trial: Tried | None = None) -> list[str]:
    (topic,) = (topic for topic in load_lessons().safeguards if topic.safeguard == name)
    return list(safeguard_lines(topic, trial, lamp_choices(example_plan()) if topic.table else (), rulebook(), style))


def everything(style: Style) -> Iterator[str]:
    """All that can be told, but for what is tried on the model."""
    lessons = load_lessons()
    for topic in lessons.hazards:
        yield from hazard(topic.hazard, style)
    for guard in lessons.safeguards:
        yield from safeguard(guard.safeguard, style)
    for word in lessons.words:
        yield from word_lines(word, style)
    yield from glossary_lines(lessons, style)
    yield from index_lines(lessons, "Kinds.", style)


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_wider_than_the_terminal(width: int) -> None:
    printed = "\n".join(everything(Style(width))).splitlines()
    assert [line for line in printed if len(line) > width] == []


def test_no_name_of_a_number_is_left_in_a_text() -> None:
    told = " ".join(everything(Style(110)))
    assert [name for name in ("{hand}", "{mains}", "{bond}", "{soft_small}") if name in told] == []


def test_a_hazard_a_safeguard_and_a_list_end_with_the_cautions() -> None:
    cautions = Style().wrapped(CAUTIONS).splitlines()
    lessons = load_lessons()
    for lines in (hazard("fire", Style()), safeguard("limiter", Style()), list(glossary_lines(lessons, Style())),
                  list(index_lines(lessons, "Kinds.", Style()))):
        assert "\n".join(lines).splitlines()[-len(cautions):] == cautions


def test_a_hazard_is_told_from_what_it_is_to_what_a_plan_does_against_it() -> None:
    told = "\n".join(hazard("electric shock", Style()))
    parts = ["A current through a person", "In numbers:", "What stands against it:", "- isolating transformer:",
             "in the order of the work:", "papers and inspection:", "making dead:", "Faults that lead to it:",
             "so that the rule is broken:", "so that it is kept:", "Source:"]
    places = [told.index(part) for part in parts]
    assert places == sorted(places)


def test_a_safeguard_says_what_it_does_not_contain_with_the_numbers_of_the_model() -> None:
    told = " ".join(" ".join(safeguard("limiter", Style())).split())
    assert "It is no protection against shock. A hand between a live wire and earth gets 113 mA" in told
    assert "0.35..0.37 times the watts printed on the lamp" in told


def test_every_common_lamp_has_a_line() -> None:
    told = safeguard("limiter", Style())
    assert [watts for watts in (15, 25, 40, 60, 75, 100, 150, 200, 300)
            if not any(line.startswith(f"  {watts} W ") for line in told)] == []


def test_what_was_tried_is_told_by_what_comes_of_it() -> None:
    short, slow, soft = (entry.fault for entry in load_catalogue()[:3])
    harm = Harm(FIRE, "the part", "it burns", None, 0, None)
    trial = Tried(Alone((short,), ((slow, harm),), ((soft, harm),)), ((None, harm), (slow, harm)))
    told = " ".join(" ".join(safeguard("limiter", Style(), trial)).split())
    assert "it contains 1 of the 3 faults that then do harm" in told
    assert f"contained: {short.fault}." in told
    assert f"made less grave, and still felt: {slow.fault}." in told
    assert f"gets through, fire: {soft.fault}." in told
    assert f"this gets through: fire: nothing at fault, {slow.fault}." in told


def test_what_nothing_depends_on_is_not_called_needless() -> None:
    told = " ".join(" ".join(safeguard("limiter", Style(), Tried(None, ()))).split())
    assert "nothing more gets through" in told
    assert "Leave it in" in told


def test_the_lines_that_tell_the_place_are_cut_and_those_that_matter_are_not() -> None:
    long = "- {inspect: " + "a b " * 40 + "}"
    found = BeforeAndAfter("A plan", (), (Line(("steps",), long, same=True), Line(("steps",), long)))
    lines = "\n".join(before_and_after_lines(found, Style(60))).splitlines()
    assert f"    {NOTHING}" in lines
    assert sum(line.endswith("...") for line in lines) == 1
    assert max(map(len, lines)) <= 60
    assert "".join("".join(lines[lines.index("    steps:") + 2:]).split()) == "".join(long.split())


def test_the_glossary_is_in_the_order_of_the_alphabet() -> None:
    lines = [line for line in glossary_lines(load_lessons(), Style(400)) if ":" in line]
    words = [line.split(":")[0].split(" (")[0].lower() for line in lines]
    assert words == sorted(words)
    assert len(words) == len(load_lessons().words)
