"""The examples of a rule: a base plan with a few changes, and what the rule should come to on it.

They stand in the second document of a rule file, after a line `---`, so that an audit need not read them:

    isolate-a-hot-chassis:
      kept: as it is
      broken: {leave_out: [bench.chain.isolating_transformer]}

A base plan writes its steps as a mapping from a label to a step. A change names a place by a dotted path, in which an
element of the chain is found by its kind, and a capacitor or instrument by its name:

    state:     {set.chassis: hot, bench.chain.limiter.lamp.kind: LED}   # `not stated` takes the line out
    state:     {signed_off: {by: x, on: 2026-11-20, fingerprint: of this plan}}   # a sign-off that fits
    leave_out: [steps.prove-limiter, bench.chain.isolating_transformer]
    write:     {raise-far: {raise: {to: 117 V, by: 40 V}}}              # the step with this label, written anew
    before:    {power-on: {switch_on: outlet}}                          # one step or a list, before the label
    after:     {power-on: [...]}
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path as FilePath
from typing import Any

from pydantic import Field, ValidationError

from auditor.plan.fingerprint import SIGN_OFF, fingerprint_of
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.record import Record
from auditor.plan.refusals import refusals
from auditor.plan.shipped import rules_folder
from auditor.plan.spelling import tidy
from auditor.plan.values import Names, Text
from auditor.plan.yaml_text import parse_yaml, read_text
from auditor.rulebook.rule import Rule, Rulebook

NOT_STATED = "not stated"
OF_THIS_PLAN = "of this plan"
WRITTEN_OUT = ("rules",)
"""The part of a file in which rules are written out."""
USUAL_BASE = "five-tube"
"""The base plan of an example that names none."""
OUTCOMES = ("kept", "broken", "undetermined", "not applicable")


class Change(Record):
    """One example: the base plan it starts from and what is changed in it."""

    base: Text = USUAL_BASE
    state: dict[str, Any] = Field(default={})
    leave_out: Names = ()
    write: dict[str, Any] = Field(default={})
    before: dict[str, Any] = Field(default={})
    after: dict[str, Any] = Field(default={})


def examples_of(rule: Rule, rulebook: Rulebook) -> Iterator[tuple[str, Plan]]:
    """Every example of the rule as a plan, with the outcome that it should have.

    Raises Unreadable where an example is missing, cannot be built or is no plan.
    """
    for outcome, change in changes_of(rule, rulebook):
        yield outcome, read_plan(json.dumps(example(change)))


def changes_of(rule: Rule, rulebook: Rulebook) -> tuple[tuple[str, Any], ...]:
    """Every example of the rule as it is written: the outcome that it should have, and the change.

    A rule that a policy asks for without writing it out has none.
    Raises Unreadable where the rule has no example of being kept or of being broken.
    """
    if rule.path[:1] != WRITTEN_OUT:
        return ()
    written = _examples_in(*rulebook.examples[rule.file]).get(rule.name)
    if not isinstance(written, dict) or set(written) - set(OUTCOMES) or not {"kept", "broken"} <= set(written):
        raise Unreadable((Problem(f"`{rule.name}` needs examples under `kept` and `broken`; besides them only "
                                  "`undetermined` and `not applicable` can stand here"),))
    return tuple((outcome, change) for outcome in OUTCOMES if outcome in written
                 for change in _listed(written[outcome]))


@cache
def _examples_in(text: str, line: int) -> dict[str, Any]:
    data = parse_yaml(text, first_line=line).data
    return data if isinstance(data, dict) else {}


def example(change: Any) -> dict[str, Any]:
    """The data of the plan that a change describes; `as it is` changes nothing."""
    if change == "as it is":
        change = {}
    try:
        read = Change.model_validate(change)
    except ValidationError as error:
        raise Unreadable(tuple(refusals(error, Change, ("examples",)))) from None
    data: dict[str, Any] = deepcopy(base_plan(read.base))
    for place in read.leave_out:
        _leave_out(data, place)
    for place, value in read.state.items():
        if value == NOT_STATED:
            _leave_out(data, place)
        else:
            owner, key = _owner(data, place)
            owner[key] = value
    steps: dict[str, Any] = data["steps"]
    for label, step in read.write.items():
        _known(steps, label)
        steps[label] = step
    data["steps"] = [
        step for label, own in steps.items()
        for step in (*_listed(read.before.get(label)), own, *_listed(read.after.get(label)))
    ]
    for label in (*read.before, *read.after):
        _known(steps, label)
    sign_off = data.get(SIGN_OFF)
    if isinstance(sign_off, dict) and sign_off.get("fingerprint") == OF_THIS_PLAN:
        data[SIGN_OFF] = {**sign_off, "fingerprint": fingerprint_of(tidy(data)[0])}
    return data


@cache
def base_plan(name: str) -> Any:
    """A base plan by name, from the folder `examples` of the rules."""
    file = rules_folder() / "examples" / f"{FilePath(name).name}.yaml"
    if not file.is_file():
        raise Unreadable((Problem(f"there is no base plan `{name}`", ("examples", "base")),))
    return parse_yaml(read_text(file.read_bytes())).data


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _known(steps: dict[str, Any], label: str) -> None:
    if label not in steps:
        raise Unreadable((Problem(f"the base plan has no step labelled `{label}`", ("examples",)),))


def _leave_out(data: Any, place: str) -> None:
    owner, key = _owner(data, place)
    if isinstance(owner, dict) and key not in owner:
        raise Unreadable((Problem(f"the base plan has no `{place}`", ("examples",)),))
    del owner[key]


def _owner(data: Any, place: str) -> tuple[Any, Any]:
    """The container and key that a dotted path leads to; new keys of a mapping may be named, all else must exist."""
    here: Any = data
    parts = place.split(".")
    for part in parts[:-1]:
        here = _inside(here, part, place)
    if isinstance(here, dict):
        return here, parts[-1]
    return here, _index(here, parts[-1], place)


def _inside(here: Any, part: str, place: str) -> Any:
    if isinstance(here, dict):
        if part in here:
            return here[part]
        raise Unreadable((Problem(f"the base plan has no `{place}`", ("examples",)),))
    index = _index(here, part, place)
    item = here[index]
    if isinstance(item, str):  # a bare element of the chain gains a mapping when something is stated of it
        here[index] = item = {item: {}}
    return item[part] if part in item and isinstance(item[part], dict) else item


def _index(here: Any, part: str, place: str) -> int:
    for i, item in enumerate(here if isinstance(here, list) else []):
        if item == part or (isinstance(item, dict) and (part in item or item.get("name") == part)):
            return i
    raise Unreadable((Problem(f"the base plan has no `{place}`", ("examples",)),))
