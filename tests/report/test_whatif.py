"""Faults against a plan, one fault told, and what each safeguard is for: for a person and for programs."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any

import jsonschema
import pytest

from auditor.bench.facts import replayed
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.report.fault_text import CHANGES, effect_said, fault_lines
from auditor.report.notice import CAUTIONS
from auditor.report.style import Style
from auditor.report.whatif import MEANS, contained_by, looked_for, what_if_lines
from auditor.report.whatif_data import SCHEMA, faults_json, story_json, uses_json
from auditor.report.whatif_safeguards import use_lines
from auditor.report.whatif_story import story_lines
from auditor.review.finding import Outcome as Rule
from auditor.whatif.catalogue import Entry, compile_faults, load_catalogue
from auditor.whatif.fault import Effect
from auditor.whatif.safeguards import uses
from auditor.whatif.story import Story, matrix, told
from auditor.whatif.whatif import Trial, Verdict, WhatIf, what_if

LAMP = "{limiter: {lamp: {power: 40 W, voltage: 120 V, kind: clear filament}, bypass: open}}"
UP = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set",
      "{raise: {to: 90 V, by: 30 V}, hold: 2 min, read: [set_voltage]}", "set_dial: 0 V", "switch_off: outlet",
      "unplug: set")
READS = tuple(step.replace("read: [set_voltage]", "read: [set_voltage], expect: predicted") for step in UP)
"""The same with a look at the meter that ends nothing."""
CHECK = "{measure: resistance, across: plug, set_switch: on, expect: 10..40 ohm, otherwise: stop}"
STOP = "{if: [set voltage below 25 % of the dial], then: [{switch_off: outlet}, {unplug: set}]}"
ASSUMED = ("Everything stands where the plan says.",)

SHORT = {
    "fault": "short-behind-the-switch", "says": "something behind the switch of the set is shorted", "kind": "of the set",
    "effect": {"short": "0.5 ohm"},
    "signs": {"measured": [{"measures": "resistance", "across": ["plug"], "reads": "..2 ohm"}]},
    "heats": {"part": "the shorted part", "stands": "60 W", "before": "5 s", "ends_in": "fire",
              "sources": ["common practice"]},
    "harm": "The part burns.", "safeguards": ["lamp-first", "ohms-first", "look-first"], "sources": ["common practice"],
}
HIDDEN = {**SHORT, "fault": "short-under-voltage", "says": "something shorts once there are volts on it", "signs": {}}
MOTOR = {**HIDDEN, "fault": "motor-shorted", "says": "the winding of the motor is shorted", "possible_when": "set.motor"}
RESIDUAL = {**HIDDEN, "fault": "nothing-helps", "says": "somebody does it all the same",
            "residual": "No text stops a person."}
ASIDE = {**HIDDEN, "fault": "picture-tube", "says": "a picture tube is charged", "effect": {},
         "not_simulated": "A plan cannot say it."}
HOT = {**HIDDEN, "fault": "hot-only", "says": "a hot chassis does it", "possible_when": "set.chassis is hot"}
TRANSFORMER = {**HIDDEN, "fault": "transformer-less-only", "says": "no transformer does it",
               "ruled_out_by": "set.power_supply is transformer"}
MILD = {**HIDDEN, "fault": "a-little-more", "says": "the set draws a little more", "effect": {"draws": "1.01"}}
ALL = (SHORT, HIDDEN, MOTOR, RESIDUAL, ASIDE, HOT, TRANSFORMER, MILD)
RULES = {"lamp-first": Rule.BROKEN, "ohms-first": Rule.UNDETERMINED, "look-first": Rule.KEPT}


def a_plan(*steps: str, lamp: bool = False, meter: bool = True, stop: bool = False, more: str = "") -> Plan:
    """A transformer set on an isolated bench, with or without a lamp, a meter at the set and stop conditions."""
    chain = ["{outlet: {switch: emergency}}", "{isolating_transformer: {rated_power: 300 W, output_earthed: no}}",
             "{autotransformer: {output: 0..140 V}}", *([LAMP] if lamp else []),
             *(["{voltmeter: {range: 0..200 V}}"] if meter else []), "set"]
    return read_plan(
        "procedure: {title: A small plan of the Millrace Valley Wireless Society}\n"
        "mains: {voltage: 120 V, frequency: 60 Hz, earth: present}\n"
        f"set: {{power_supply: transformer, chassis: isolated, rated_voltage: 117 V, rated_power: 45..55 W{more}}}\n"
        f"bench:\n  chain: [{', '.join(chain)}]\n  people: {{attended: throughout}}\n"
        + (f"stop: {STOP}\n" if stop else "") + "steps:\n" + "".join(f"  - {step}\n" for step in steps or UP))


def entries(*faults: dict[str, Any]) -> tuple[Entry, ...]:
    return compile_faults(json.dumps({"topic": "faults for a test", "faults": list(faults)}).encode())


def tried(plan: Plan, *faults: dict[str, Any]) -> WhatIf:
    return what_if(replayed(plan), entries(*faults))


def printed(found: WhatIf, width: int = 88, *, powered: bool = True, colour: bool = False) -> str:
    return "\n".join(what_if_lines(found, RULES, ASSUMED, powered, Style(width, colour)))


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def a_story(plan: Plan, fault: dict[str, Any]) -> Story:
    (entry,) = entries(fault)
    return told(Trial(replayed(plan)), entry)


def the_story(plan: Plan, fault: dict[str, Any], width: int = 88) -> str:
    return "\n".join(story_lines(a_story(plan, fault), plan, RULES, ASSUMED, Style(width)))


@cache
def of_all() -> WhatIf:
    return tried(a_plan(), *ALL)


def the_uses(plan: Plan, *faults: dict[str, Any], width: int = 88) -> str:
    return "\n".join(use_lines("A plan", tuple(uses(plan, entries(*faults))), ASSUMED, Style(width)))


# All faults, for a person

def test_faults_that_get_through_stand_before_the_table() -> None:
    text = printed(tried(a_plan(), MILD, HIDDEN))
    first = text.index("NOT CONTAINED, harm to a person: short-under-voltage")
    assert first < text.index("\nfault ") < text.index("No harm here")


def test_a_fault_that_gets_through_is_told_with_step_hazard_and_numbers() -> None:
    text = in_one_line(printed(tried(a_plan(), HIDDEN)))
    assert re.search(r"Fire, step 5, set the dial to \d+ V \(stage \d of 3\): the shorted part takes \d+ W\.", text)
    assert "What if something shorts once there are volts on it?" in text


def test_harm_to_a_person_stands_before_damage_to_equipment() -> None:
    damage = {**HIDDEN, "fault": "only-damage", "effect": {"draws": "1.5"}, "heats": {
        **SHORT["heats"], "stands": "1 W", "ends_in": "damage"}}  # type: ignore[dict-item]
    text = printed(tried(a_plan(), damage, HIDDEN))
    assert text.index("harm to a person: short-under-voltage") < text.index("damage to equipment: only-damage")


def test_the_missing_safeguard_is_named_with_what_the_audit_says_of_it() -> None:
    text = in_one_line(printed(tried(a_plan(), HIDDEN)))
    assert "Missing safeguard: lamp-first (broken here), ohms-first (cannot be told here)." in text


def test_where_no_rule_is_broken_the_rules_are_named_all_the_same() -> None:
    found = tried(a_plan(), HIDDEN)
    text = in_one_line("\n".join(what_if_lines(found, dict.fromkeys(RULES, Rule.KEPT), (), True, Style())))
    assert "No rule about it is broken here; see lamp-first, ohms-first, look-first." in text


def test_what_was_assumed_for_a_fault_is_said_with_the_line_that_the_plan_lacks() -> None:
    text = in_one_line(printed(tried(a_plan(), MOTOR)))
    assert "Assumed, since the plan does not say: `set.motor` (the set has a motor on the mains)." in text
    assert "Assumed: The plan does not say `set.motor`" in text
    assert "Assumed" not in in_one_line(printed(tried(a_plan(more=", motor: yes"), MOTOR))).replace(
        "Assumed: Everything stands", "")


def test_harm_with_everything_well_stands_at_the_very_top() -> None:
    hot = read_plan("procedure: {title: Hot}\nmains: {voltage: 120 V}\nset: {chassis: hot}\nbench:\n  chain: "
                    "[outlet, autotransformer, set]\nsteps:\n" + "".join(f"  - {step}\n" for step in UP))
    lines = printed(tried(hot, HIDDEN)).splitlines()
    assert lines[2].startswith("HARM WITH NOTHING AT FAULT")
    assert re.match(r"  Electric shock, step \d, .*: the chassis and all metal", lines[3])
    assert "harm is done as well" in in_one_line("\n".join(lines))


def test_the_table_says_what_contains_a_fault_and_where_the_plan_stops() -> None:
    text = printed(tried(a_plan(CHECK, *UP), SHORT))
    assert re.search(r"^something behind the switch.* 1 +stops there +checks$", text, re.MULTILINE)
    assert "short-behind-the-switch: resistance at plug is not as expected" in text


def test_the_table_says_where_a_sign_shows_that_the_plan_does_not_look_for() -> None:
    found = tried(a_plan(*READS, lamp=True), HIDDEN)
    assert looked_for(found.outcomes[0]) == "not told to stop"
    assert "not told to stop" in printed(found)


def test_a_fault_that_nothing_contains_has_nothing_in_its_row() -> None:
    found = tried(a_plan(), HIDDEN)
    assert contained_by(found.outcomes[0]) == "NOTHING"
    assert re.search(r"no sure sign +NOTHING$", printed(found), re.MULTILINE)


def test_faults_that_need_no_safeguard_or_cannot_be_are_counted_and_named() -> None:
    text = in_one_line(printed(of_all()))
    assert re.search(r"No harm here, even without any of lamp, .* and checks \(1\): a-little-more\.", text)
    assert "Ruled out by what the plan states (1): transformer-less-only." in text
    assert "Cannot be in this set or on this bench (1): hot-only." in text


def test_what_no_procedure_can_contain_is_printed_with_its_reason() -> None:
    text = in_one_line(printed(of_all()))
    assert "No written procedure can contain (1): nothing-helps: somebody does it all the same. No text stops a" in text
    assert "NOT CONTAINED, harm to a person: nothing-helps" not in text


def test_it_is_printed_even_where_it_does_no_harm() -> None:
    harmless = {**RESIDUAL, "effect": {}, "heats": None}
    assert "No text stops a person." in in_one_line(printed(tried(a_plan(), harmless)))


def test_what_is_not_played_is_printed_with_its_reason() -> None:
    assert "Not played (1): picture-tube: A plan cannot say it." in in_one_line(printed(of_all()))


def test_the_verdict_counts_every_fault_once() -> None:
    text = in_one_line(printed(of_all()))
    found = re.search(r"Verdict: of 8 faults: (.*?); with everything well", text)
    assert found is not None
    assert sum(map(int, re.findall(r"\b(\d+) (?:not|that|without|ruled|contained)", found[1]))) == 8


def test_a_plan_that_powers_nothing_is_told_so() -> None:
    found = tried(a_plan("set_dial: 0 V", "plug_in: set"), HIDDEN)
    assert "No step of this procedure powers the set" in printed(found, powered=False)
    assert "powers the set" not in printed(tried(a_plan(), HIDDEN))


def test_what_the_model_is_and_all_that_was_assumed_stand_below() -> None:
    text = in_one_line(printed(of_all()))
    assert in_one_line(MEANS) in text
    assert "Not looked at: two faults at once" in text
    assert text.endswith(f"Assumed: {ASSUMED[0]} {CAUTIONS}")


# What holds of every text

def texts(width: int) -> dict[str, str]:
    with_lamp = a_plan(CHECK, *UP, lamp=True, stop=True)
    (entry,) = entries({**SHORT, "starts": "1..5 min", "residual": "It is so.", "not_simulated": "It is not.",
                        "possible_when": "set.motor", "ruled_out_by": "set.motor"})
    return {
        "all faults": printed(of_all(), width), "contained": printed(tried(with_lamp, *ALL), width),
        "a story": the_story(with_lamp, HIDDEN, width), "a story of harm": the_story(a_plan(), MOTOR, width),
        "safeguards": the_uses(with_lamp, HIDDEN, SHORT, width=width),
        "one fault": "\n".join(fault_lines(entry, Style(width))),
    }


@pytest.mark.parametrize("width", [60, 88, 110])
def test_no_line_is_longer_than_the_terminal_is_wide(width: int) -> None:
    for name, text in texts(width).items():
        assert max(map(len, text.splitlines())) <= width, name


def test_the_shipped_faults_keep_to_a_narrow_terminal_too() -> None:
    found = what_if(replayed(a_plan()))
    assert max(map(len, printed(found, 60).splitlines())) <= 60


def test_nothing_is_called_safe() -> None:
    for name, text in texts(88).items():
        assert re.search(r"\bsafe(ly|r|st|ty)?\b", text, re.IGNORECASE) is None, name


def test_what_colour_says_is_said_in_words_too() -> None:
    plain, coloured = printed(of_all()), printed(of_all(), colour=True)
    assert "\x1b[1;38;5;196mNOT CONTAINED\x1b[0m, harm to a person" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


# One fault told

def test_a_story_sets_the_reading_beside_that_of_a_healthy_set_and_tells_where_the_plan_stops() -> None:
    text = in_one_line(the_story(a_plan(lamp=True, stop=True), HIDDEN))
    assert re.search(r"Step 5, set the dial to \d+ V \(stage \d of 3\): ", text)
    assert re.search(r"[Tt]he set's meter shows [\d.]+\.\.[\d.]+ m?V, below 25% of the dial \(a healthy set shows "
                     r"[\d.]+\.\.[\d.]+ V\)\. The plan looks for that here, and stops\.", text)


def test_a_story_ends_where_the_plan_stops() -> None:
    story = a_story(a_plan(CHECK, *UP, lamp=True), SHORT)
    assert [beat.step.number for beat in story.beats] == [1]
    assert story.beats[0].signs == (("resistance at plug is not as expected", True),)


def test_a_reading_that_no_meter_shows_is_told_as_one() -> None:
    text = in_one_line(the_story(a_plan(lamp=True, meter=False), HIDDEN))
    assert re.search(r"the set gets [\d.]+\.\.[\d.]+ m?V instead of [\d.]+\.\.[\d.]+ V, and no meter shows it", text)


def test_steps_at_which_nothing_new_shows_stand_together() -> None:
    steps = (*UP[:4], "{raise: {to: 40 V, by: 2 V}, hold: 1 min}", *UP[5:])
    story = the_story(a_plan(*steps), MILD)
    assert len(a_story(a_plan(*steps), MILD).beats) >= 15
    assert story.count("nothing tells it from a healthy set") == 1
    assert re.search(r"^Step 5, \d+ stages, dial 2 V to 40 V: nothing tells", story, re.MULTILINE)


def test_a_sign_that_the_plan_does_not_look_for_is_told_as_one() -> None:
    text = in_one_line(the_story(a_plan(*READS, lamp=True), HIDDEN))
    assert re.search(r"set's meter shows \S+ V instead of \S+ V\. The plan does not say to look for that and stop\.", text)


def test_harm_is_told_at_its_step_and_once() -> None:
    text = in_one_line(the_story(a_plan(), HIDDEN))
    assert text.count("HARM: Fire: the shorted part takes") == 1
    assert text.count("the shorted part takes") == 1
    assert "NOT CONTAINED, harm to a person: short-under-voltage" in text
    assert "Missing safeguard: lamp-first (broken here)" in text


def test_a_fault_does_not_show_before_it_is_surely_there() -> None:
    late = {**HIDDEN, "starts": "0..5 min"}
    at_once, later = (a_story(a_plan(lamp=True), fault) for fault in (HIDDEN, late))
    assert at_once.beats[0].place < later.beats[0].place
    assert later.beats[0].acts


@pytest.mark.parametrize(("fault", "reason"), [
    (HOT, "it is only possible when set.chassis is hot"), (TRANSFORMER, "this asks: set.power_supply is transformer"),
    (ASIDE, "It is not played. A plan cannot say it."), (RESIDUAL, "No written procedure can contain it: No text stops"),
    (MILD, "It does no harm here, even without any of lamp")])
def test_a_fault_without_a_story_says_why(fault: dict[str, Any], reason: str) -> None:
    assert reason in in_one_line(the_story(a_plan(), fault))


# What each safeguard is for

def test_a_safeguard_on_which_a_life_depends_alone_is_marked_in_words_and_comes_first() -> None:
    lines = the_uses(a_plan(lamp=True), HIDDEN).splitlines()
    assert lines[2] == "A LIFE DEPENDS ON THIS ALONE: the lamp in series"
    assert lines[3] == "  Fire: short-under-voltage."
    assert re.match(r"  For example at step 5: the \w.* (takes|carries) \d", lines[4])


def test_safeguards_without_which_nothing_gets_through_stand_together_and_are_said_so() -> None:
    text = in_one_line(the_uses(a_plan(CHECK, *UP, lamp=True), SHORT))
    assert re.search(r"EACH OF THESE PROTECTS AGAINST NOTHING HERE: .*the lamp in series; .*step 1, measure", text)
    assert "Leave nothing out for the sake of this list." in text


def test_safeguards_without_which_the_same_gets_through_stand_together() -> None:
    bonded = {**HIDDEN, "effect": {"draws": "3"}}
    both = the_uses(a_plan(CHECK, *UP, lamp=True), HIDDEN, SHORT, bonded)
    names = [line for line in both.splitlines() if line.startswith(("A LIFE", "DAMAGE", "PROTECTS", "EACH"))]
    assert len(names) == len(set(names))


def test_the_verdict_on_safeguards_counts_them_all() -> None:
    text = in_one_line(the_uses(a_plan(lamp=True), HIDDEN))
    found = re.search(r"of (\d+) safeguards, a life depends on (\d+) alone, equipment on (\d+); (\d+) protect", text)
    assert found is not None
    all_, *parts = map(int, found.groups())
    assert all_ == sum(parts) == len(tuple(uses(a_plan(lamp=True), entries(HIDDEN))))


# For programs

SCHEMA_DATA = json.loads(SCHEMA.read_text(encoding="utf-8"))


def checked(text: str) -> Any:
    data = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))
    jsonschema.Draft202012Validator(SCHEMA_DATA).validate(data)
    return data


def as_data(plan: Plan, *faults: dict[str, Any]) -> Any:
    trace = replayed(plan)
    found = what_if(trace, entries(*faults))
    return checked(faults_json(found, matrix(Trial(trace), found.outcomes), RULES, ASSUMED, 1))


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA_DATA)


def test_all_faults_one_fault_and_safeguards_fit_the_schema() -> None:
    plan = a_plan(CHECK, *UP, lamp=True, stop=True)
    assert as_data(plan, *ALL)["about"] == "all faults"
    assert checked(story_json(plan, a_story(plan, HIDDEN), RULES, ASSUMED, 0))["about"] == "one fault"
    assert checked(uses_json(plan, tuple(uses(plan, entries(HIDDEN))), ASSUMED, 0))["about"] == "safeguards"


@pytest.mark.parametrize("part", ["format", "faults", "steps", "healthy", "notice"])
def test_the_schema_refuses_a_document_with_a_part_left_out(part: str) -> None:
    data = as_data(a_plan(), HIDDEN)
    del data[part]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, SCHEMA_DATA)


def test_the_schema_refuses_a_part_that_it_does_not_know() -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**as_data(a_plan(), HIDDEN), "more": 1}, SCHEMA_DATA)


def test_the_text_says_all_that_the_data_say() -> None:
    data, text = as_data(a_plan(), *ALL), in_one_line(printed(of_all()))
    for fault in data["faults"]:
        assert fault["fault"] in text
        if fault["verdict"] == Verdict.NOT_CONTAINED.value:
            assert all(harm["says"] in text and f"step {harm['step']['number']}" in text for harm in fault["harms"])
            assert all(lacking["rule"] in text for lacking in fault["missing"])
    assert sum(fault["verdict"] == "not contained" for fault in data["faults"]) == text.count("NOT CONTAINED")
    assert data["assumed"] == list(ASSUMED)


def test_a_cell_has_the_readings_with_and_without_the_fault() -> None:
    (fault,) = as_data(a_plan(lamp=True), HIDDEN)["faults"]
    acting = [cell for cell in fault["at_steps"] if cell["acts"]]
    assert acting
    for cell in acting[1:]:
        assert cell["shows"]["set_voltage"][1] < cell["healthy"]["set_voltage"][0]
        assert cell["shows"]["glow"]


def test_cells_and_steps_fit_together() -> None:
    data = as_data(a_plan(CHECK, *UP, lamp=True, stop=True), *ALL)
    for fault in data["faults"]:
        for cell in fault["at_steps"]:
            assert 0 <= cell["at"] < len(data["steps"])
        if fault["notice"]:
            assert data["steps"][fault["at_steps"][-1]["at"]] == fault["notice"]["step"]


def test_the_missing_safeguard_is_data_too() -> None:
    (fault,) = as_data(a_plan(), HIDDEN)["faults"]
    assert fault["missing"] == [{"rule": "lamp-first", "outcome": "broken"},
                                {"rule": "ohms-first", "outcome": "undetermined"}]


# A fault in full

def test_every_part_of_an_effect_has_words() -> None:
    assert set(CHANGES) == set(Effect.model_fields) - {"at"}


@pytest.mark.parametrize("entry", load_catalogue(), ids=lambda entry: entry.fault.fault)
def test_every_shipped_fault_can_be_told(entry: Entry) -> None:
    text = in_one_line("\n".join(fault_lines(entry, Style())))
    for part in (f"What if {entry.fault.says}?", entry.fault.harm, *entry.fault.safeguards, *entry.fault.sources,
                 entry.fault.residual or "", entry.fault.not_simulated or "", effect_said(entry.fault.effect)):
        assert in_one_line(part) in text


def test_a_small_resistance_is_said_in_ohms() -> None:
    (entry,) = entries({**HIDDEN, "effect": {"short": "0.05..2 ohm"}})
    assert "0.05..2 ohm across the supply, behind the switch of the set" in "\n".join(fault_lines(entry, Style()))
