"""Whatever the text: it is read and reviewed, or refused with a place. Nothing crashes and nothing hangs."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from hypothesis import event, example, given, note, settings
from hypothesis import strategies as st

from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.shipped import rules_folder
from auditor.review.review import review_plan
from auditor.rulebook.load import BadRules, compile_rulebook, load_rulebook
from auditor.rulebook.rule import Rulebook
from tests.plan_text import as_text
from tests.plans import Data, chooser, plans

SOON = timedelta(seconds=5)
"""A bound on one review, far above what any takes."""

ODD: tuple[Any, ...] = (
    "", " ", "..", "0 V..", "-1 V", "1e400 V", "NaN V", "99999999999999999999 V", "5..3 V", "60", "V", "yes", "unknown", "~",
    "none", "all", "é", "\U0001f4a1", "x" * 3000, [], {}, [[]], {"": ""}, {"to": "0 V"}, ["a", "a"], "0 V", "0 s", "0 ohm",
    "0 W", "0..0 A", "1e-300 W", "1e300 V", "stop", "C1", "2026-02-30", "9999-12-31", "0001-01-01",
)


@lru_cache(maxsize=1)
def rulebook() -> Rulebook:
    return load_rulebook()


@lru_cache(maxsize=1)
def rule_files() -> dict[str, str]:
    return {file.name: file.read_text(encoding="utf-8") for file in sorted(rules_folder().glob("*.yaml"))}


def placed(problems: tuple[Problem, ...]) -> None:
    """Every problem says something and where."""
    assert problems
    for problem in problems:
        assert problem.message
        assert problem.place is not None, problem
        assert problem.place.line >= 1
        assert problem.place.column >= 1


def reviewed_or_refused(text: str) -> None:
    try:
        plan = read_plan(text)
        review_plan(plan, rulebook(), date(2026, 11, 20))
        event("reviewed")
    except Unreadable as error:
        event("refused")
        placed(error.problems)


def spoilt(text: str, number: Callable[[int], int]) -> str:
    """The text with a few things cut out, repeated, swapped or put in."""
    for _ in range(1 + number(4)):
        far = number(256) * 256 + number(256)
        start = far * len(text) >> 16
        end = min(len(text), start + 1 + number(30))
        piece = text[start:end]
        put = ("", piece * 2, piece[::-1], "{", "]", ": ", "\n", "\t", "\n  ", "&a ", "*a", "!!x ", '"', "'", "#", "|\n",
               "\0", "\ufeff", "---\n", "? ", "0", "-", "..", "%")[number(24)]
        text = text[:start] + put + text[end:]
    return text


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of everything in the data."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [found for key, item in items for found in ((*path, key), *leaves(item, (*path, key)))]


choices = st.binary(min_size=40, max_size=40).map(chooser)


@given(st.one_of(st.text(max_size=200), st.text(st.sampled_from("steps: set{}[],-#'\"|>&*!%\n 0V."), max_size=120)))
@example("steps: []")
@example("procedure: {title: x}\nsteps: [unplug]")
@example("[" * 5000)
@example("a: &a [*a]")
@settings(deadline=SOON)
def test_any_text_is_reviewed_or_refused_with_a_place(text: str) -> None:
    reviewed_or_refused(text)


@given(plans(), choices)
@settings(deadline=SOON)
def test_a_spoilt_plan_is_reviewed_or_refused_with_a_place(data: Data, number: Callable[[int], int]) -> None:
    text = spoilt(as_text(data), number)
    note(text)
    reviewed_or_refused(text)


@given(plans(), choices)
@settings(max_examples=100, deadline=SOON)
def test_a_plan_with_an_odd_value_is_reviewed_or_refused_with_a_place(data: Data, number: Callable[[int], int]) -> None:
    copy: Any = deepcopy(dict(data))
    for _ in range(1 + number(3)):
        paths = leaves(copy)
        path = paths[(number(256) * 256 + number(256)) * len(paths) >> 16]
        owner = copy
        for part in path[:-1]:
            owner = owner[part]
        owner[path[-1]] = deepcopy(ODD[number(len(ODD))])
    text = json.dumps(copy, ensure_ascii=False)
    note(text)
    reviewed_or_refused(text)


@given(choices)
@settings(deadline=SOON)
def test_a_spoilt_rule_file_is_compiled_or_refused_with_a_place(number: Callable[[int], int]) -> None:
    files = rule_files()
    name = list(files)[number(len(files))]
    text = spoilt(files[name], number)
    try:
        compile_rulebook([(name, text.encode("utf-8", "replace"))])
        event("compiled")
    except BadRules as error:
        event("refused")
        for _, problems in error.files:
            placed(problems)


@given(st.text(max_size=200))
@settings(deadline=SOON)
def test_any_text_for_a_rule_file_is_compiled_or_refused_with_a_place(text: str) -> None:
    try:
        compile_rulebook([("some.yaml", text.encode("utf-8", "replace"))])
    except BadRules as error:
        for _, problems in error.files:
            placed(problems)


@given(st.text(st.sampled_from("always(energised -> once)0123456789 <=.%*/+-\"'Vset_dialne,wir"), max_size=120))
@settings(deadline=SOON)
def test_any_expression_is_compiled_or_refused_with_a_place(expression: str) -> None:
    rule = {"rule": "some-rule", "signal_word": "NOTICE", "hazard": "damage", "stage": "running", "requires": "x",
            "holds": expression, "message": "x", "because": "x", "remedy": {"do": "x"}, "sources": ["common practice"]}
    try:
        compile_rulebook([("some.yaml", json.dumps({"topic": "some", "rules": [rule]}).encode())])
    except BadRules as error:
        for _, problems in error.files:
            placed(problems)
