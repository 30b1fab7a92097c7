"""The report for a person."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from auditor.report.phrases import MOST_ASKED, MOST_QUOTED
from auditor.report.style import COLOURS, Style
from auditor.report.terminal import report_lines, reviewed_lines, summary_lines
from auditor.review.run import review_file, summed_up
from auditor.rulebook.rule import SIGNAL_WORDS
from tests.written import a_rule, rules, spot, with_steps

TODAY = date(2026, 11, 20)
STEPS = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set", "set_dial: 60 V")
POWERED = with_steps(*STEPS)
ACCEPTED = POWERED + "accepted_risks: [{rule: never-on, reason: soaked before, by: bench foreman, until: 2027-01-01}]\n"
NEVER_ON = a_rule("never-on", "never(energised)", message="At step `{step}` the set has volts, which is too early.")
CHASSIS = a_rule("chassis-known", "set.chassis is isolated", word="DANGER")
PLAIN = Style()


def printed(source: str, *written: dict[str, object], style: Style = PLAIN) -> str:
    """The report on one plan."""
    reviewed, = review_file("-", rules(*written), TODAY, standard_input=source.encode())
    return "\n".join(reviewed_lines(reviewed, style))


def summed(*sources: str, style: Style = PLAIN) -> str:
    reviews = [r for source in sources for r in review_file("-", rules(NEVER_ON), TODAY, standard_input=source.encode())]
    return "\n".join(summary_lines(summed_up(reviews, "CAUTION"), style))


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def test_a_finding_leads_with_its_signal_word_and_the_step_in_words() -> None:
    assert "\nWARNING, step 5: set the dial to 60 V\n" in printed(POWERED, NEVER_ON)


def test_a_finding_tells_what_why_what_to_do_and_last_the_rule() -> None:
    text = in_one_line(printed(POWERED, NEVER_ON))
    parts = ["WARNING, step 5", "which is too early.", "Line 12:", "Why: It has to be so.", "Instead: Make it so.",
             "Rule: never-on. -, line 12, column 5. Source: common practice."]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_a_finding_quotes_the_line_of_the_plan() -> None:
    line = spot(POWERED, "set_dial: 60 V")[0]
    assert f"  Line {line}:   - set_dial: 60 V\n" in printed(POWERED, NEVER_ON)


def test_a_long_line_is_cut_where_it_can_be_seen() -> None:
    text = printed(POWERED.replace("set_dial: 60 V", "{set_dial: 60 V, note: " + "x" * 200 + "}"), NEVER_ON)
    quoted = next(line for line in text.splitlines() if line.startswith("  Line"))
    assert quoted.endswith("xxx...")
    assert len(quoted) <= PLAIN.width


def test_a_step_of_many_lines_is_quoted_in_part_and_the_rest_counted() -> None:
    step = "{set_dial: 60 V,\n     hold: 1 min,\n     read: [current],\n     attended: yes,\n     note: x}"
    text = printed(POWERED.replace("set_dial: 60 V", step), NEVER_ON)
    assert text.count("  Line ") == MOST_QUOTED
    assert "  and 1 more line\n" in text


def test_a_finding_about_the_whole_plan_does_not_quote_the_whole_plan() -> None:
    text = printed(POWERED, a_rule("plug-out", "at_end(not set_plugged)"))
    assert "WARNING, whole plan" in text
    assert "  Line " not in text


def test_open_rules_are_asked_about_together_and_not_told_one_by_one() -> None:
    text = printed(POWERED, CHASSIS, a_rule("chassis-again", "set.chassis is isolated"))
    assert "Cannot tell" not in text
    assert "Answer this question and 2 open rules can be decided. The lines to add are examples;" in in_one_line(text)


def test_a_rule_that_is_open_for_two_capacitors_counts_as_one_open_rule() -> None:
    two = POWERED.replace("set: {", "set: {complete: yes, ").replace("{name: C2}", "{name: C2, capacitance: 8 uF}")
    each = a_rule("capacitors-new", "capacitor.condition is new and capacitor.capacitance >= 1 uF")
    text = in_one_line(printed(two, {**each, "for_each": "capacitor"}))
    assert "and 1 open rule can be decided" in text
    assert "Verdict: 1 rule that cannot be told, 3 questions to answer." in text


def test_a_question_has_the_line_to_add_and_where() -> None:
    text = in_one_line(printed(POWERED, CHASSIS))
    assert "? It decides 1 rule. Add to set (line 3): chassis: hot # or: isolated" in text
    assert "Open until then, DANGER: chassis-known." in text


def test_many_questions_are_asked_a_few_at_a_time_and_the_others_named() -> None:
    formulas = ("not set.motor", "set.output is tube", "set.chassis is isolated", "set.switch is none",
                "set.common is \"joined to chassis\"", "mains.earth is present", "set.rated_power <= 30 W",
                "set.b_plus <= 300 V", "set.rated_voltage <= 120 V", "set.power_supply is transformer")
    written = [a_rule(f"rule-number-{i}", formula) for i, formula in enumerate(formulas)]
    text = printed(POWERED, *written)
    assert text.count("? It decides") == MOST_ASKED
    assert text.count("\n  Then: ") == 1


def test_a_rule_that_a_wide_range_leaves_open_is_told_as_a_finding() -> None:
    stated = POWERED.replace("set: {", "set: {rated_power: 28..35 W, ")
    text = printed(stated, a_rule("draws-little", "set.rated_power <= 30 W"))
    assert "WARNING (cannot be told), whole plan" in text


def test_an_accepted_risk_says_why_by_whom_and_until_when() -> None:
    text = in_one_line(printed(ACCEPTED, NEVER_ON))
    assert "Accepted by bench foreman until 2027-01-01: never-on (WARNING). Reason: soaked before" in text


def test_a_clean_verdict_says_that_it_proves_nothing() -> None:
    text = in_one_line(printed(POWERED, a_rule("never-90", "always(dial <= 90 V)")))
    assert "Verdict: nothing found by the rules in force. That does not make the procedure safe." in text


def test_an_accepted_risk_is_part_of_the_verdict() -> None:
    assert "Verdict: 1 risk accepted." in printed(ACCEPTED, NEVER_ON)


def test_the_verdict_is_one_sentence_with_the_counts() -> None:
    text = in_one_line(printed(POWERED, NEVER_ON, CHASSIS))
    assert "Verdict: 1 finding, the most serious WARNING; 1 rule that cannot be told, 1 question to answer." in text


def test_a_plan_that_never_energises_its_set_says_what_may_be_missing() -> None:
    assert "Is `plug_in: set` or a switch missing?" in in_one_line(printed(with_steps("set_dial: 0 V"), NEVER_ON))


def test_every_assumption_is_printed() -> None:
    assert "Assumed: The wall is 114..126 V" in in_one_line(printed(POWERED, NEVER_ON))


def test_what_is_assumed_of_several_plans_alike_is_told_once(tmp_path: Path) -> None:
    direct = POWERED.replace("mains: {", "mains: {band: 100..130 V, ")
    for name, text in (("a", POWERED), ("b", POWERED), ("c", direct)):
        (tmp_path / f"{name}.yaml").write_text(text)
    reviews = [r for name in "abc" for r in review_file(str(tmp_path / f"{name}.yaml"), rules(NEVER_ON), TODAY)]
    first, second, third = "\n".join(report_lines(reviews, summed_up(reviews), PLAIN)).split("Verdict: ")[1:]
    assert "Assumed: A step takes" in first
    assert in_one_line(second).count("Assumed:") == 1
    assert f"Assumed: The same as for {tmp_path / 'a.yaml'}." in in_one_line(second)
    assert "Assumed: A step takes" in third


def test_an_unreadable_plan_says_where_and_what_to_write() -> None:
    text = printed("procedure: {title: x}\nset: {chasis: hot}\n", NEVER_ON)
    assert "Cannot be read, line 2, column 7: unknown key `chasis`" in text
    assert "    Try: write `chassis:`" in text


def test_the_summary_counts_plans_and_findings() -> None:
    assert summed(POWERED, with_steps("set_dial: 0 V"), "a: b\n", style=Style(120)).splitlines()[0] == (
        "2 plans reviewed; broken or open: 1 WARNING; 1 with nothing to review; 1 could not be read.")


def test_a_summary_of_nothing_readable_does_not_say_that_nothing_was_found() -> None:
    assert summed("a: b\n").splitlines()[0] == "0 plans reviewed; 1 could not be read."


def test_the_summary_ends_with_the_cautions() -> None:
    text = in_one_line(summed(POWERED))
    assert "does not say that a procedure is safe" in text
    assert "Local codes and licensed practice come first" in text


@pytest.mark.parametrize("width", [40, 60, 88, 110])
def test_sentences_keep_to_the_width(width: int) -> None:
    text = printed(POWERED, NEVER_ON, CHASSIS, style=Style(width))
    offered = ("         ",)  # lines to copy are never broken
    assert [line for line in text.splitlines() if len(line) > width and not line.startswith(offered)] == []


def test_colour_adds_nothing_but_colour() -> None:
    coloured = printed(POWERED, NEVER_ON, CHASSIS, style=Style(colour=True))
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == printed(POWERED, NEVER_ON, CHASSIS)
    assert "\x1b[" in coloured


def test_without_colour_there_is_no_escape() -> None:
    assert "\x1b" not in printed(POWERED, NEVER_ON, CHASSIS)


def test_every_signal_word_has_its_own_colour() -> None:
    assert set(COLOURS) == set(SIGNAL_WORDS)
    assert len(set(COLOURS.values())) == len(COLOURS)


@pytest.mark.parametrize("place", ["title", "note", "reason"])
def test_a_plan_cannot_send_commands_to_the_terminal(place: str) -> None:
    evil = '"\\e[31mred\\a\\u202e\\u009b"'
    source = {
        "title": POWERED.replace("A small plan of the Millrace Valley Wireless Society", evil),
        "note": POWERED.replace("set_dial: 60 V", f"{{set_dial: 60 V, note: {evil}}}"),
        "reason": ACCEPTED.replace("soaked before", evil),
    }[place]
    text = printed(source, NEVER_ON)
    assert [c for c in text if not c.isprintable() and c != "\n"] == []
