"""The JSON Schema of plans and cards: what an editor accepts and refuses is what the reader does.

The schema is judged by `jsonschema`, an implementation of draft 2020-12 that knows nothing of this project, on what
`ruamel.yaml` makes of the text by itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import event, given, note, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from ruamel.yaml.error import YAMLError

from auditor.plan.card import PARTS as CARD_PARTS
from auditor.plan.chain import ELEMENTS
from auditor.plan.equipment import Set
from auditor.plan.files import plan_texts
from auditor.plan.json_schema import UNITS_IN_WORDS
from auditor.plan.plan_schema import card_schema, plan_schema
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import PARTS, read_plan
from auditor.plan.verbs import VERBS
from tests.as_an_editor import document
from tests.plan_text import as_text
from tests.plans import Data, chooser, plans
from tests.written import HEAD, with_steps

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"
CARDS = sorted(PROCEDURES.glob("*.card.yaml"))
FILES = sorted(file for file in (*PROCEDURES.glob("*.yaml"), *PROCEDURES.glob("*.md")) if file not in CARDS)
EXAMPLES = [text for file in FILES for text in plan_texts(str(file), asked_by_name=False) if not text.problems]
SCHEMA, CARD_SCHEMA = plan_schema(), card_schema()
PLAN, CARD = Draft202012Validator(SCHEMA), Draft202012Validator(CARD_SCHEMA)


def fits(text: str) -> bool:
    return PLAN.is_valid(document(text))


def problems_of(text: str) -> tuple[Problem, ...]:
    try:
        read_plan(text)
    except Unreadable as error:
        return error.problems
    return ()


@pytest.mark.parametrize("schema", [SCHEMA, CARD_SCHEMA], ids=["plan", "card"])
def test_the_schema_is_one_of_draft_2020_12(schema: Any) -> None:
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("text", EXAMPLES, ids=lambda text: Path(text.path).name)
def test_an_example_plan_fits(text: Any) -> None:
    assert [f"{error.json_path}: {error.message[:300]}" for error in PLAN.iter_errors(document(text.text))] == []


@pytest.mark.parametrize("file", CARDS, ids=lambda file: file.name)
def test_a_bench_card_fits(file: Path) -> None:
    data = document(file.read_text(encoding="utf-8"))
    assert [f"{error.json_path}: {error.message[:300]}" for error in CARD.iter_errors(data)] == []


BEYOND_A_SCHEMA = tuple(map(re.compile, (
    r"runs backwards|is above zero|no voltage ends|its exponent|states more than one number",         # arithmetic
    r"is not a date",                                                                                # a calendar
    r"is not a reading; known are|is no place that is known|`prove` does not know|`(dis)?connect` does not know",  # names
    r"two things are called|there is no card|has no sequence|the plan names no card",
    r"is written both|which is already there",                                                       # one thing twice
    r"where the dial stands before|already stands at|size of stage above zero|more than \d+ stages|expand to more",
    r"a way out has no",                                                                             # where a step stands
    r"a set with a mains transformer is not made for|lies below `B\+`|`joined` says how|and the set has no motor",
    r"ends with `- set`",                                                                            # the last of a list
)))
"""What the reader refuses and a schema cannot. The description of the schema says the same in words."""
NEEDED = re.compile(r"needs `|is missing|says nothing|has no verb")


def beyond(problem: Problem, text: str) -> bool:
    """Whether a schema cannot say this; what is `unknown` where it is needed is there for a schema."""
    return any(known.search(problem.message) for known in BEYOND_A_SCHEMA) or (
        "unknown" in text and NEEDED.search(problem.message) is not None)


ODD: tuple[Any, ...] = (
    "", "60", "V", "60 V", "35..50 W", "yes", "no", "on", "true", "unknown", "none", "stop", "C1", "2026-02-30", "tube",
    "valve", "hot", "some words", [], {}, ["a"], {"to": "0 V"}, "5..3 V", "0 V", "60V", "1,5 V", "10 kohm 10 W", "..2 mA",
    "leakage below 1 mA, at most 4 h", "2 h 30 min", "230 V +- 10 %", "12:30", "M1", "-1 V", "007 V", "1e3 V", "60 v", "..",
    "predicted", "5 %", "1 Mohm..")
KEYS = ("misspelt", "aerial", "antenna", "name", "hold", "to", "read", "expect", "what", "across", "ground")


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of everything in the data."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from leaves(item, (*path, key))


def changed(data: Data, number: Callable[[int], int]) -> Any:
    """A shortened plan in which one or two things are renamed, left out or replaced, or none."""
    copy: Any = {**deepcopy(dict(data)), "steps": deepcopy(list(data["steps"])[:8])}
    for _ in range((0, 1, 1, 2)[number(4)]):
        paths = list(leaves(copy))
        *way, last = paths[(number(256) * 256 + number(256)) * len(paths) >> 16]
        owner = copy
        for part in way:
            owner = owner[part]
        how = number(5)
        if how == 0 and isinstance(owner, dict):
            owner[KEYS[number(len(KEYS))]] = owner.pop(last)
        elif how == 1 and isinstance(owner, dict):
            del owner[last]
        else:
            owner[last] = deepcopy(ODD[number(len(ODD))])
    return copy


@given(plans(), st.binary(min_size=40, max_size=40).map(chooser))
@settings(max_examples=50)
def test_reader_and_schema_agree_on_good_and_bad_plans(data: Data, number: Callable[[int], int]) -> None:
    text = as_text(changed(data, number))
    note(text)
    problems = problems_of(text)
    try:
        fitting = fits(text)
    except YAMLError:
        assert problems  # not even YAML
        return
    event(f"read: {not problems}, fits: {fitting}")
    if not problems:
        assert fitting
    elif not all(beyond(problem, text) for problem in problems):
        assert not fitting, [problem.message for problem in problems]


ACCEPTED = {
    "a bare element": "bench: {chain: [outlet, set]}",
    "a word of the trade for another": "set: {antenna: disconnected, rectifier: {kind: valve}, HT: 90..130 V}",
    "not stated, twice": "set: {chassis: unknown, earth: }",
    "none": "set: {fuse: none, mains_tap: none}",
    "a number that is a word": "set: {plug: {pins: 2}}",
    "a day": "procedure: {title: x, date: 2026-11-20}",
    "several units of time": "set: {idle_for: 1 year 2 weeks}",
    "a spread": "mains: {voltage: 230 V +- 10 %}",
    "an ohm sign": "set: {plug_resistance: 80..200 Ω}",
}
REFUSED = {
    "no unit": "mains: {voltage: 120}",
    "another unit": "mains: {voltage: 120 W}",
    "small letters in a unit": "mains: {voltage: 120 v}",
    "a decimal comma": "set: {rated_power: '1,5 W'}",
    "an unknown key": "set: {chasis: hot}",
    "an unknown word": "set: {chassis: warm}",
    "an unknown part": "sets: {chassis: hot}",
    "two of what there can be one of": "bench: {chain: [outlet, outlet, set]}",
    "a chain without the set": "bench: {chain: [outlet]}",
    "an element that is none": "bench: {chain: [plug, set]}",
    "a list in place of a mapping": "set: [hot]",
    "no name": "bench: {instruments: [{kind: multimeter}]}",
    "no until": "accepted_risks: [{rule: a-b, reason: x, by: y}]",
}


def a_plan(lines: str) -> str:
    return lines if lines.startswith("procedure") else f"procedure: {{title: x}}\n{lines}\n"


@pytest.mark.parametrize("lines", ACCEPTED.values(), ids=ACCEPTED)
def test_what_the_reader_takes_fits(lines: str) -> None:
    assert problems_of(a_plan(lines)) == ()
    assert fits(a_plan(lines))


@pytest.mark.parametrize("lines", REFUSED.values(), ids=REFUSED)
def test_what_the_reader_refuses_does_not_fit(lines: str) -> None:
    assert problems_of(a_plan(lines)) != ()
    assert not fits(a_plan(lines))


GOOD_STEPS = (
    "remove_lamp", "set_dial: 60 V", "{set_dial: {to: 60 V, hold: 5 min}}", "{set_dial: 60 V, hold: 5 min}",
    "{inspect: cord, expect: no nick, otherwise: stop}", "{inspect: the cord}", "{prove: M1, on: known source}",
    "{change_lamp: {to: {power: 100 W}, after: lamp cool}}", "{fit_lamp: {power: 60 W}}",
    "{fit_lamp: {lamp: {power: 60 W}}}",
    "{measure: resistance, across: plug, expect: 10 Mohm..}", "{measure: {measures: resistance, across: plug}}",
    "{discharge: {each: [C1, C2], through: 10 kohm 10 W, for: 10 s}}", "{wait: 5 min}", "{switch_on: outlet}",
    "{measure: resistance, across: plug, expect: 1 ohm.., otherwise: [{unplug: set}, {switch_off: outlet}]}",
    "{raise: {from: 0 V, to: 60 V, by: 15 V}, hold: 1 min, read: [set_voltage, current], expect: predicted}",
)
BAD_STEPS = (
    "60", "set_dial", "{set_dial: 60}", "{set_dial: 60 W}", "{set_dail: 60 V}", "{set_dial: 60 V, plug_in: set}", "{}",
    "{set_dial: 60 V, across: plug}", "{inspect: moon}", "{raise: {from: 0 V, to: 60 V}}", "{plug_in: outlet}",
    "{measure: resistance}", "{measure: weight, across: plug}", "{measure: resistance, across: plug, expect: some ohms}",
    "{inspect: cord, expect: yes, otherwise: stop}", "{inspect: cord, otherwise: go on}", "{work: turn a knob}",
    "{discharge: {each: all}}", "{discharge: {each: all, through: a screwdriver}}", "{remove_lamp: now}", "[plug_in]",
    "{reform: {each: [C1], to: 250 V, through: 100 kohm 2 W}, until: leakage below 1 mA}", "{wait: a while}",
)


@pytest.mark.parametrize("step", GOOD_STEPS)
def test_a_step_that_the_reader_takes_fits(step: str) -> None:
    assert problems_of(with_steps(step)) == ()
    assert fits(with_steps(step))


@pytest.mark.parametrize("step", BAD_STEPS)
def test_a_step_that_the_reader_refuses_does_not_fit(step: str) -> None:
    assert problems_of(with_steps(step)) != ()
    assert not fits(with_steps(step))


def test_what_is_written_for_an_older_yaml_fits_too() -> None:
    data = document(HEAD + "  - {measure: resistance, across: plug, set_switch: off}\n")
    data["steps"][0]["set_switch"] = False
    data["set"]["complete"] = True
    assert PLAN.is_valid(data)


def meaning(schema: dict[str, Any], about: dict[str, Any]) -> str:
    """What a key says, or what it refers to says."""
    name = about.get("$ref", "").removeprefix("#/$defs/")
    return str(about.get("description") or (schema["$defs"][name].get("description", "") if name else ""))


@pytest.mark.parametrize("record", [name for name, about in SCHEMA["$defs"].items() if "properties" in about])
def test_every_key_is_explained(record: str) -> None:
    keys = SCHEMA["$defs"][record]["properties"]
    assert [key for key, about in keys.items() if len(meaning(SCHEMA, about)) < 8] == []


def test_every_part_and_every_verb_is_explained() -> None:
    step = SCHEMA["$defs"]["Step"]["anyOf"][1]["properties"]
    assert [verb for verb in VERBS if "{" in step[verb]["description"] or not step[verb]["description"]] == []
    assert [key for key, about in step.items() if len(meaning(SCHEMA, about)) < 5] == []
    assert [part for part in PARTS if not SCHEMA["properties"][part]["description"]] == []
    assert [part for part in CARD_PARTS if not CARD_SCHEMA["properties"][part]["description"]] == []


def test_every_element_of_the_chain_is_offered() -> None:
    options = SCHEMA["properties"]["bench"]["anyOf"][0]["properties"]["chain"]["anyOf"][0]["items"]["anyOf"]
    assert options[0]["enum"][: len(ELEMENTS)] == list(ELEMENTS)


def test_a_quantity_says_its_unit_in_words_and_has_an_example() -> None:
    about = SCHEMA["$defs"]["Set"]["properties"]["rated_power"]
    assert UNITS_IN_WORDS["power"] in about["description"]
    assert about["examples"] == ["35..50 W"]


def test_a_default_that_is_taken_is_told() -> None:
    assert SCHEMA["$defs"]["Fuse"]["properties"]["fitted"]["default"] == "yes"


def test_the_words_of_a_key_are_offered() -> None:
    about = SCHEMA["$defs"]["Set"]["properties"]["chassis"]
    assert about["anyOf"][0]["enum"] == ["hot", "isolated"]
    assert set(Set.model_fields) - {"b_plus", "b_plus_peak", "b_plus_resistance"} <= set(
        SCHEMA["$defs"]["Set"]["properties"])
