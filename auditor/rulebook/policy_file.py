"""A policy file as it is written: what it may say, and reading it with those that it builds on."""

import os
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Annotated, Any

from msgspec import Struct
from msgspec.structs import replace
from pydantic import Field, ValidationError, model_validator

from auditor.plan.place import Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.record import Record
from auditor.plan.refusals import mapping_in, refusals
from auditor.plan.values import Names, Seconds, Text, Word, YesNo
from auditor.plan.yaml_text import LARGEST, Document, parse_yaml
from auditor.rulebook.load import READ_AGAIN, BadRules, bounded_text, check_size, two_documents
from auditor.rulebook.policy import shown
from auditor.rulebook.rule import SIGNAL_WORDS, LimitText, RuleText

MOST_POLICIES = 8
"""Policies that build on one another."""
MOST_FILES = 16
"""Policies that stand behind one, side by side or one below the other, itself counted."""

NEVER_EMPTY = {"may_accept": "`may_accept: []` where nobody may accept anything, else leave the line out",
               "builds_on": "name the policy that this one builds on, or leave the line out"}
"""Parts of a policy of which the key alone says nothing, and what to write instead."""


class Reasoned(Record):
    """A decision that may carry its reason; where it has none, the value alone may be written."""

    reason: Text | None = None

    @model_validator(mode="before")
    @classmethod
    def value_alone(cls, value: Any) -> Any:
        return {"value": value} if isinstance(value, str) else value


class Bar(Reasoned):
    """The lowest signal word that fails."""

    value: Annotated[str, Word(SIGNAL_WORDS)]


class Topic(Reasoned):
    """Whether the rules of a topic are audited."""

    value: YesNo


class LimitChange(Reasoned):
    """Another value for a limit."""

    value: Text


class MayAccept(Record):
    """Who may accept which risks, and for how long."""

    who: Names = ()
    rules: Names = ()
    up_to: Annotated[str, Word(SIGNAL_WORDS)] | None = None
    at_most: Seconds | None = None
    reason: Text | None = None


class Equipment(Record):
    """What a plan has to say of the bench, because the bench is so."""

    rule: Text
    when: Text | None = None
    has: dict[str, Any] = Field(alias="is")
    because: Text | None = None


class PolicyText(Record):
    """A policy as written."""

    policy: Text
    builds_on: Names = ()
    fails_from: Bar | None = None
    cards: Text | None = None
    topics: dict[str, Topic] = Field(default={})
    limits: dict[str, LimitChange] = Field(default={})
    every_plan_states: Names = ()
    equipment: tuple[Equipment, ...] = ()
    may_accept: tuple[MayAccept, ...] | None = None
    new_limits: tuple[LimitText, ...] = ()
    rules: tuple[RuleText, ...] = ()


class PolicyRead(Struct, frozen=True):
    """A policy file as read: the name by which reports call it, its text, and its examples with the line of the first."""

    file: str
    at: FilePath
    document: Document
    text: PolicyText
    examples: tuple[str, int]


def policies_of(file: str) -> tuple[PolicyRead, ...]:
    """A policy and all that it builds on, each once and after those that it builds on itself.

    Raises BadRules with every problem of the first file that has any.
    """
    found: dict[FilePath, PolicyRead] = {}
    for read in _deepest_first(file, FilePath(file), None, (), found):
        found[read.at] = read
    return tuple(found.values())


def _deepest_first(file: str, path: FilePath, place: tuple[str, Place] | None, below: tuple[FilePath, ...],
                   known: dict[FilePath, PolicyRead]) -> Iterator[PolicyRead]:
    """The policies that this one builds on, then itself. place: the file and place that ask for it."""
    at = FilePath(os.path.realpath(path))
    if at in below:
        chain = " builds on ".join(shown(each) for each in (*below[below.index(at):], at))
        raise _wanted(file, place, f"these policies go round in a circle: {chain}", "take one of them out")
    if at in known:
        return
    if len(below) >= MOST_POLICIES:
        raise _wanted(file, place, f"more than {MOST_POLICIES} policies build on one another", "put some of them together")
    if len(known) + len(below) >= MOST_FILES:
        raise _wanted(file, place, f"more than {MOST_FILES} policies stand behind one", "put some of them together")
    read = read_policy(file, at, _bytes(file, path, place))
    for i, other in enumerate(read.text.builds_on):
        several = isinstance(_inside(read.document.data, "builds_on"), list)
        where = (file, read.document.place(("builds_on", i) if several else ("builds_on",)))
        if FilePath(other).is_absolute() or not other.endswith(".yaml"):
            raise _wanted(other, where, f"`{other}` is no policy to build on: it is named from the folder of this file and"
                          " ends in `.yaml`", "as in `builds_on: ../club.policy.yaml`")
        beside = FilePath(os.path.normpath(FilePath(file).parent / other))
        yield from _deepest_first(beside.as_posix(), at.parent / other, where, (*below, at), known)
    yield read


def read_policy(file: str, at: FilePath, source: bytes) -> PolicyRead:
    """One policy out of its bytes. Raises BadRules with every problem found."""
    try:
        text, examples, line = two_documents(bounded_text(source))
        document = parse_yaml(text, again=len(text) <= READ_AGAIN)
        data = mapping_in(document, "a policy has keys and values, and says in `policy` whose it is")
        check_size(document)
        if unsaid := tuple(map(document.placed, _left_unsaid(data))):
            raise Unreadable(unsaid)
        try:
            return PolicyRead(file, at, document, PolicyText.model_validate(data), (examples, line))
        except ValidationError as error:
            raise Unreadable(tuple(document.placed(_at_value_alone(problem, document))
                                   for problem in refusals(error, PolicyText, ()))) from None
    except Unreadable as error:
        raise BadRules(((file, error.problems),)) from None


def _left_unsaid(data: dict[Any, Any]) -> Iterator[Problem]:
    """Keys without a value where nothing written could be taken for everybody as well as for nobody."""
    for key, instead in NEVER_EMPTY.items():
        if key in data and data[key] is None:
            yield Problem(f"nothing stands under `{key}`", (key,), None, instead, True)
    entries = data.get("may_accept")
    for i, entry in enumerate(entries if isinstance(entries, list) else []):
        for key, value in entry.items() if isinstance(entry, dict) else ():
            nobody = key == "who" and (value == [] or "" in (value if isinstance(value, list) else [value]))
            if nobody or (value is None and key in MayAccept.model_fields):
                instead = "name them, or leave `who` out where anybody may" if key == "who" else f"leave `{key}` out"
                yield Problem(f"nothing stands under `{key}`", ("may_accept", i, key), None, instead, True)


def _at_value_alone(problem: Problem, document: Document) -> Problem:
    """The problem at the value itself, where that is written without braces."""
    if problem.path[-1:] != ("value",):
        return problem
    here: Any = document.data
    for part in problem.path[:-1]:
        here = _inside(here, part)
    return replace(problem, path=problem.path[:-1]) if isinstance(here, str) else problem


def _inside(data: Any, part: str | int) -> Any:
    return data.get(part) if isinstance(data, dict) else None


def _bytes(file: str, path: FilePath, place: tuple[str, Place] | None) -> bytes:
    try:
        if path.is_file():
            with path.open("rb") as stream:
                return stream.read(LARGEST + 1)
        reason = "it is no file" if path.exists() else "there is no such file"
    except OSError as error:
        reason = error.strerror or str(error)
    raise _wanted(file, place, f"the policy {file} cannot be read: {reason}", None)


def _wanted(file: str, place: tuple[str, Place] | None, message: str, suggestion: str | None) -> BadRules:
    """What is wrong with a policy that another one asks for, told where that one does."""
    asking, at = place if place is not None else (file, None)
    return BadRules(((asking, (Problem(message, ("builds_on",), at, suggestion),)),))
