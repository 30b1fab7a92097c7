"""Steps as written to steps as used: the verb found, its fields gathered and checked, sequences of a card put in."""

from __future__ import annotations

from collections.abc import Mapping
from math import isinf
from typing import Any

from msgspec import Struct
from msgspec.structs import replace
from pydantic import ValidationError

from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.reading import Reading
from auditor.plan.refusals import refusals
from auditor.plan.steps import Step
from auditor.plan.values import listed
from auditor.plan.verbs import PLACES, READINGS, VERBS, Verb
from auditor.plan.words import one_key, one_spelling

DO = "do"
"""Calls a sequence of the card; fields beside it stand in place of the card's in those of its steps that take them."""
LONGEST_BRANCH = 40
DEEPEST_SEQUENCE = 4
MOST_READ = 4000
"""Steps read from one plan, those of branches and called sequences counted each time: a bound on the work."""


class StepReader(Struct, frozen=True):
    """Reads lists of steps.

    names: instruments and filter capacitors; capacitors: filter and line capacitors, as places to measure at.
    sequences: those of the card, None where the card could not be read.
    completed_by_plans: whether these are steps of a card by itself, in which a plan fills in what a verb needs.
    """

    reading: Reading
    names: tuple[str, ...]
    capacitors: tuple[str, ...]
    sequences: Mapping[str, Any] | None
    completed_by_plans: bool = False

    def steps(self, data: Any, path: Path) -> tuple[Step, ...]:
        """The steps of the plan, numbered from 1."""
        return tuple(step for i, item in enumerate(self.reading.items(data, path))
                     for step in self.read(item, (*path, i), i + 1))

    def branch(self, data: list[Any], path: Path, number: int) -> tuple[Step, ...] | None:
        """The steps of a branch, which all count as the step that they branch from."""
        if len(data) > LONGEST_BRANCH:
            self.reading.refuse(f"a branch has at most {LONGEST_BRANCH} steps", path)
            return None
        return tuple(step for i, item in enumerate(data) for step in self.read(item, (*path, i), number))

    def read(self, item: Any, path: Path, number: int) -> tuple[Step, ...]:
        """The step, or the steps of the sequence that it calls."""
        if isinstance(item, str):
            item = {item: {}}
        if isinstance(item, dict) and DO in item:
            return self.sequence(item, path, number, 1)
        step = self.step(item, path, number)
        return (step,) if step is not None else ()

    def sequence(self, item: dict[str, Any], path: Path, number: int, depth: int) -> tuple[Step, ...]:
        """The steps of a sequence, with what stands beside `do` put in."""
        name, own = item[DO], {key: value for key, value in item.items() if key != DO and value is not None}
        card = self.reading.source.card
        if self.sequences is None:
            return ()
        if depth > DEEPEST_SEQUENCE:
            self.reading.refuse(f"sequences call one another more than {DEEPEST_SEQUENCE} deep", (*path, DO))
            return ()
        known = tuple(self.sequences)
        if not isinstance(name, str):
            self.reading.refuse(f"`{DO}` takes the name of one sequence", (*path, DO))
            return ()
        name = one_key(name)
        if name not in self.sequences:
            has = "the plan names no card" if card is None else f"it has {listed(known)}" if known else "it has none"
            self.reading.refuse(f"the card has no sequence `{name}`; {has}", (*path, DO), nearest(name, known))
            return ()
        steps: list[Step] = []
        at: Path = ("sequences", name)
        taken: set[str] = set()
        nested: set[str] = set()
        for i, called in enumerate(self.reading.items(self.sequences[name], (*path, DO))):
            if isinstance(called, str):
                called = {called: {}}
            if isinstance(called, dict) and DO in called:
                steps.extend(self.sequence({**called, **own}, path, number, depth + 1))
                nested.update(own)  # whether a sequence within takes it is not looked into
                continue
            line = card.line((*at, i)) if card else None
            before = len(self.reading.problems)
            taken.update(_taken(called, own))
            step = self.step(_filled(called, own), path, number)
            self.reading.problems[before:] = [
                replace(p, message=f"{p.message} (step {i + 1} of `{name}` in {card.file}, line {line})" if card
                        else p.message) for p in self.reading.problems[before:]]
            if step is not None:
                steps.append(step.model_copy(update={"card_line": line}))
        for key in sorted(set(own) - taken):
            if depth == 1 and key not in nested:
                self.reading.refuse(f"no step of `{name}` takes `{key}`", (*path, key), at_key=True)
        return tuple(steps)

    def step(self, item: Any, path: Path, number: int) -> Step | None:
        """One step: what stands beside its verb and inside it brought together, and checked.

        Raises Unreadable where a plan, with its branches and the sequences that it calls, has too many.
        """
        self.reading.steps += 1
        if self.reading.steps > MOST_READ:
            self.reading.refuse(f"with its branches and sequences the plan has more than {MOST_READ} steps", path,
                                "write two procedures")
            raise Unreadable(self.reading.placed())
        if not isinstance(item, dict):
            self.reading.refuse("a step is a mapping with one verb, as in `set_dial: 0 V`", path)
            return None
        verbs = tuple(key for key in item if key in VERBS)
        if len(verbs) != 1:
            if verbs:
                self.reading.refuse(f"a step has one verb, this one has {listed(verbs, 'and')}", path,
                                    "write a step for each")
            elif not item:
                self.reading.refuse("this step says nothing: its verb has no value, or the value is `unknown`", path,
                                    "write what it acts on, as in `set_dial: 0 V`")
            else:
                known = tuple(VERBS)
                self.reading.refuse(f"this step has no verb that is known; verbs are {listed((*known, DO))}", path,
                                    nearest(next(iter(item), ""), known))
            return None
        if verbs[0] == "raise" and _on_a_way_out(path):
            self.reading.refuse("a way out has no stages: `raise` is for the steps themselves", path,
                                "write `set_dial` steps")
            return None
        fields = self._gathered(item, verbs[0], path)
        if fields is None or not self._fit(fields, verbs[0], path):
            return None
        return self._checked(fields, verbs[0], path, number)

    def _gathered(self, item: dict[str, Any], verb_name: str, path: Path) -> dict[str, Any] | None:
        verb, inner = VERBS[verb_name], item[verb_name]
        fields = {key: value for key, value in item.items() if key != verb_name}
        a_lamp = (verb.main == "lamp" and isinstance(inner, dict) and not {"lamp", "to"} & {*inner, *fields}
                  and not (self.completed_by_plans and set(inner) <= set(verb.fields)))
        if verb.main in fields and not (isinstance(inner, dict) and not a_lamp):
            self.reading.refuse(f"`{verb.main}` is written both beside `{verb_name}` and as its own value", path,
                                "write it once")
            return None
        if isinstance(inner, dict) and not a_lamp:
            for key, value in inner.items():
                name = "lamp" if verb.main == "lamp" and key == "to" else key
                if name in fields:
                    self.reading.refuse(f"`{key}` is written both beside `{verb_name}` and inside it", path,
                                        "write it once")
                fields[name] = value
        elif verb.main is None:
            self.reading.refuse(f"`{verb_name}` takes no value of its own", path, f"write `- {verb_name}`")
            return None
        else:
            fields[verb.main] = inner
        return fields

    def _fit(self, fields: dict[str, Any], verb_name: str, path: Path) -> bool:
        """Whether the verb has all that it needs and nothing that it does not take."""
        verb = VERBS[verb_name]
        before = len(self.reading.problems)
        own = tuple(sorted(verb.fields))
        for key in fields:
            if key not in verb.fields:
                self.reading.refuse(f"`{verb_name}` does not take `{key}`; it takes {listed(own)}",
                                    self._within(path, verb_name, key), nearest(key, own), at_key=True)
        missing = [key for key in filter(None, (verb.main, *verb.needs)) if fields.get(key) is None]
        if self.completed_by_plans and missing:
            return False
        for key in missing:
            self.reading.refuse(
                f"`{verb_name}` needs `{key}`", path, f"write it after `{verb_name}:`"
                if key == verb.main and verb.main not in ("to", "each") else f"add `{key}:` to this step")
        return len(self.reading.problems) == before

    def _checked(self, fields: dict[str, Any], verb_name: str, path: Path, number: int) -> Step | None:
        fields = {key: value for key, value in fields.items() if value is not None}
        otherwise = fields.pop("otherwise", None)
        at = self._within(path, verb_name, "otherwise")
        if isinstance(otherwise, list) and _on_a_way_out(path):
            self.reading.refuse("a way out has no steps for a way out of its own", at, "write `otherwise: stop`")
            return None
        if isinstance(otherwise, list):
            otherwise = self.branch(otherwise, at, number)
        elif otherwise not in (None, "stop"):
            self.reading.refuse("`otherwise` is `stop` or a list of steps", at, "write `otherwise: stop`")
            return None
        try:
            step = Step.model_validate({**fields, "verb": verb_name, "otherwise": otherwise, "number": number,
                                        "path": path})
        except ValidationError as error:
            self.reading.problems.extend(
                Problem(p.message, self._within(path, verb_name, *p.path), None, p.suggestion, p.at_key)
                for p in refusals(error, Step, ()))
            return None
        if step.to is not None and isinf(step.to.high):
            self.reading.refuse("no voltage ends this range", self._within(path, verb_name, "to"),
                                "write one voltage, as in `60 V`")
            return None
        if verb_name == "measure" and step.expect is not None and step.expect.quantity is None:
            self.reading.refuse(f"`{step.expect.text}` is no quantity that a meter shows",
                                self._within(path, verb_name, "expect"),
                                "write a range with a unit, as in `expect: 10 Mohm..`")
            return None
        return self._named(self._at_a_place(self._read_by_name(step, path), path), path)

    def _read_by_name(self, step: Step, path: Path) -> Step:
        """The step with its readings in the spelling of the list; one that no meter gives is refused."""
        known = READINGS + self.names
        readings = tuple(one_key(one_spelling(reading).replace(" ", "_")) for reading in step.read)
        for i, reading in enumerate(readings):
            if reading not in known:
                self.reading.refuse(f"`{reading}` is not a reading; known are {listed(known)}",
                                    self._within(path, step.verb, "read", i), nearest(reading, known))
        return step.model_copy(update={"read": readings})

    def _at_a_place(self, step: Step, path: Path) -> Step:
        """The step with its `across` in the spelling of the list; a place that is not known is refused."""
        if step.across is None:
            return step
        across, known = one_spelling(step.across).removeprefix("the "), PLACES + self.capacitors
        if across not in known:
            self.reading.refuse(f"`{across}` is no place that is known; known are {listed(known)}",
                                self._within(path, step.verb, "across"), nearest(across, known))
        return step.model_copy(update={"across": across})

    def _named(self, step: Step, path: Path) -> Step | None:
        """The step with its `what` in the spelling of the list; a word out of the list is refused."""
        verb = VERBS[step.verb]
        if not verb.words or step.what is None:
            return step
        what = one_spelling(step.what).removeprefix("the ")
        known = verb.words + (self.names if verb.names else ())
        if what not in known:
            self.reading.refuse(f"`{step.verb}` does not know `{what}`; it knows {listed(known)}",
                                self._within(path, step.verb, "what"), nearest(what, known))
            return None
        return step.model_copy(update={"what": what})

    def _within(self, path: Path, verb: str, *rest: str | int) -> Path:
        """Where a field of a step stands: inside the verb's mapping, beside it, or as the verb's own value."""
        for candidate in ((*path, verb, *rest), (*path, *rest)):
            if self.reading.source.says_itself(candidate):
                return candidate
        return (*path, verb)


def _on_a_way_out(path: Path) -> bool:
    """Whether a step stands in `stop` or in an `otherwise`, from which the replay goes no further ways."""
    return path[0] == "stop" or "otherwise" in path


def _taken(called: Any, own: dict[str, Any]) -> set[str]:
    """Which of the plan's fields this step of a sequence takes."""
    verb = _verb(called)
    return set() if verb is None else {key for key in own if key in verb.fields}


def _filled(called: Any, own: dict[str, Any]) -> Any:
    """A step of a sequence with the plan's own fields in place of those of the card, where its verb takes them."""
    taken = _taken(called, own)
    if not taken:
        return called
    name = _name(called)
    inner = called[name]
    if isinstance(inner, dict):
        inner = {key: value for key, value in inner.items() if key not in taken}
    elif VERBS[name].main in taken:
        inner = {}
    beside = {key: value for key, value in called.items() if key not in taken and key != name}
    return {name: inner, **beside, **{key: own[key] for key in own if key in taken}}


def _name(called: Any) -> str:
    return next((key for key in called if key in VERBS), "") if isinstance(called, dict) else ""


def _verb(called: Any) -> Verb | None:
    return VERBS.get(_name(called))
