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

from collections.abc import Iterable
from copy import deepcopy
from functools import cache
from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct
from pydantic import Field, ValidationError

from auditor.plan.fingerprint import SIGN_OFF, fingerprint_of
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.record import Record
from auditor.plan.refusals import refusals
from auditor.plan.shipped import rules_folder
from auditor.plan.spelling import tidy
from auditor.plan.values import Names, Text
from auditor.plan.yaml_text import Document, parse_yaml, read_text
from auditor.rulebook.rule import Rule, Rulebook

AS_IT_IS = "as it is"
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


class Written(Struct, frozen=True):
    """An example as it is written: the outcome that it should have, the change, and where in the second document it is."""

    outcome: str
    change: Any
    path: Path


def changes_of(rule: Rule, rulebook: Rulebook) -> tuple[tuple[str, Any], ...]:
    """Every example of the rule as it is written: the outcome that it should have, and the change.

    A rule that a policy asks for without writing it out has none.
    Raises Unreadable where the rule has no example of being kept or of being broken.
    """
    return tuple((written.outcome, written.change) for written in examples_of(rule, rulebook))


def examples_of(rule: Rule, rulebook: Rulebook) -> tuple[Written, ...]:
    """The same with the place of each."""
    if rule.path[:1] != WRITTEN_OUT:
        return ()
    document = examples_in(rulebook, rule.file)
    data = document.data if isinstance(document.data, dict) else {}
    its = data.get(rule.name)
    strange = [key for key in its if key not in OUTCOMES] if isinstance(its, dict) else []
    if not isinstance(its, dict) or strange or not {"kept", "broken"} <= set(its):
        problem = Problem(
            f"`{rule.name}` needs examples under `kept` and `broken`; besides them only `undetermined` and "
            "`not applicable` can stand here" + (f", and not `{strange[0]}`" if strange else ""), (rule.name, *strange[:1]),
            None, nearest(str(strange[0]), OUTCOMES) if strange else None, True)
        raise Unreadable((document.placed(problem) if rule.name in data else problem,))
    if empty := [outcome for outcome in OUTCOMES if outcome in its and its[outcome] in (None, [])]:
        raise Unreadable(tuple(document.placed(Problem(f"no example stands under `{outcome}`", (rule.name, outcome), None,
                                                       None, True)) for outcome in empty))
    return tuple(Written(outcome, change, (rule.name, outcome, *((i,) if isinstance(its[outcome], list) else ())))
                 for outcome in OUTCOMES if outcome in its for i, change in enumerate(_listed(its[outcome])))


def examples_in(rulebook: Rulebook, file: str) -> Document:
    """The second document of a file of rules. Raises Unreadable where it is no YAML."""
    return _document(*rulebook.examples[file])


@cache
def _document(text: str, line: int) -> Document:
    return parse_yaml(text, first_line=line)


def example(change: Any) -> dict[str, Any]:
    """The data of the plan that a change describes; `as it is` changes nothing."""
    if change == AS_IT_IS:
        change = {}
    if not isinstance(change, dict):
        message = f"an example is `{AS_IT_IS}`, or has changes to a base plan"
        raise Unreadable((Problem(message, ("examples",), None, AS_IT_IS),))
    try:
        read = Change.model_validate(change)
    except ValidationError as error:
        raise Unreadable(tuple(refusals(error, Change, ("examples",)))) from None
    data: dict[str, Any] = deepcopy(base_plan(read.base))
    for i, place in enumerate(read.leave_out):
        _leave_out(data, place, ("examples", "leave_out", i))
    for place, value in read.state.items():
        if value == NOT_STATED:
            _leave_out(data, place, ("examples", "state", place))
        else:
            owner, key = _owner(data, place, ("examples", "state", place))
            owner[key] = value
    steps: dict[str, Any] = data["steps"]
    for label, step in read.write.items():
        _known(steps, label, ("examples", "write", label))
        steps[label] = step
    data["steps"] = [
        step for label, own in steps.items()
        for step in (*_listed(read.before.get(label)), own, *_listed(read.after.get(label)))
    ]
    for part in ("before", "after"):
        for label in getattr(read, part):
            _known(steps, label, ("examples", part, label))
    sign_off = data.get(SIGN_OFF)
    if isinstance(sign_off, dict) and sign_off.get("fingerprint") == OF_THIS_PLAN:
        data[SIGN_OFF] = {**sign_off, "fingerprint": fingerprint_of(tidy(data)[0])}
    return data


@cache
def base_plan(name: str) -> Any:
    """A base plan by name, from the folder `examples` of the rules."""
    file = rules_folder() / "examples" / f"{FilePath(name).name}.yaml"
    if not file.is_file():
        known = (each.stem for each in file.parent.glob("*.yaml"))
        raise Unreadable((Problem(f"there is no base plan `{name}`", ("examples", "base"), None, nearest(name, known)),))
    return parse_yaml(read_text(file.read_bytes())).data


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _known(steps: dict[str, Any], label: str, at: Path) -> None:
    if label not in steps:
        raise Unreadable((Problem(f"the base plan has no step labelled `{label}`", at, None, nearest(label, steps), True),))


def _not_there(place: str, part: str, known: Iterable[str], at: Path) -> Unreadable:
    """That the base plan has no such part, with the part that was meant."""
    meant = nearest(part, known)
    return Unreadable((Problem(f"the base plan has no `{place}`", at, None, meant and f"`{meant}` for `{part}`", True),))


def _leave_out(data: Any, place: str, at: Path) -> None:
    owner, key = _owner(data, place, at)
    if isinstance(owner, dict) and key not in owner:
        raise _not_there(place, key, owner, at)
    del owner[key]


def _owner(data: Any, place: str, at: Path) -> tuple[Any, Any]:
    """The container and key that a dotted path leads to; new keys of a mapping may be named, all else must exist."""
    here: Any = data
    parts = place.split(".")
    if parts == ["steps"]:
        raise Unreadable((Problem("the steps are changed one by one, by their labels", at, None,
                                  f"as in `steps.{next(iter(data['steps']))}`", True),))
    for part in parts[:-1]:
        here = _inside(here, part, place, at)
    if isinstance(here, dict):
        return here, parts[-1]
    return here, _index(here, parts[-1], place, at)


def _inside(here: Any, part: str, place: str, at: Path) -> Any:
    if isinstance(here, dict):
        if part in here:
            return here[part]
        raise _not_there(place, part, here, at)
    index = _index(here, part, place, at)
    item = here[index]
    if isinstance(item, str):  # a bare element of the chain gains a mapping when something is stated of it
        here[index] = item = {item: {}}
    return item[part] if part in item and isinstance(item[part], dict) else item


def _index(here: Any, part: str, place: str, at: Path) -> int:
    known: list[str] = []
    for i, item in enumerate(here if isinstance(here, list) else []):
        if item == part or (isinstance(item, dict) and (part in item or item.get("name") == part)):
            return i
        known += [item] if isinstance(item, str) else [str(item["name"])] if "name" in item else list(item)
    raise _not_there(place, part, known, at)
