"""Text to plan: reading, checking, and every problem reported with its place."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from auditor.plan.chain import ELEMENTS, AcceptedRisk, Bench, Header, Mains, StopRule
from auditor.plan.equipment import Set
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.plan import Element, Plan, Source
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.record import Record
from auditor.plan.refusals import refusals
from auditor.plan.spelling import tidy
from auditor.plan.stages import expand
from auditor.plan.steps import Step
from auditor.plan.values import listed
from auditor.plan.verbs import VERBS
from auditor.plan.words import one_spelling
from auditor.plan.yaml_text import parse_yaml

PARTS = ("procedure", "mains", "set", "bench", "stop", "steps", "accepted_risks")
LONGEST_BRANCH = 40


def read_plan(text: str, *, first_line: int = 1, first_column: int | tuple[int, ...] = 1) -> Plan:
    """The plan that the text holds.

    first_line, first_column: where the text begins in its file, for a plan inside a page.
    Raises Unreadable with every problem found, each with its place.
    """
    document = parse_yaml(text, first_line=first_line, first_column=first_column)
    data, written, problems = tidy(document.data)
    source = Source(document, data, written)
    reader = _Reader(source, problems)
    plan = reader.plan(data)
    if reader.problems:
        raise Unreadable(tuple(
            Problem(p.message, p.path, p.place or source.place(p.path, key=p.at_key), p.suggestion)
            for p in reader.problems
        ))
    assert plan is not None
    return plan


class _Reader:
    """Reads part after part and collects the problems of all."""

    def __init__(self, source: Source, problems: list[Problem]) -> None:
        self.source = source
        self.problems = problems
        self.names: frozenset[str] = frozenset()

    def plan(self, data: Any) -> Plan | None:
        if not isinstance(data, dict) or not ("procedure" in data or "steps" in data):
            self.refuse("this is not a plan: a plan has the parts `procedure`, `set`, `bench` and `steps`", ())
            return None
        for key in data:
            if key not in PARTS:
                self.refuse(f"a plan has no part `{key}`; it has {listed(PARTS)}", (key,),
                            nearest(key, PARTS), at_key=True)
        bench_data = dict(data.get("bench", {})) if isinstance(data.get("bench", {}), dict) else {}
        if "bench" in data and not isinstance(data["bench"], dict):
            self.refuse("`bench` holds `chain`, `instruments` and `people`", ("bench",))
        chain = self.chain(bench_data.pop("chain", []))
        header = self.record(Header, data.get("procedure", {}), ("procedure",))
        mains = self.record(Mains, data.get("mains", {}), ("mains",))
        the_set = self.record(Set, data.get("set", {}), ("set",))
        bench = self.record(Bench, bench_data, ("bench",))
        risks = tuple(self.record(AcceptedRisk, item, ("accepted_risks", i))
                      for i, item in enumerate(self.items(data.get("accepted_risks", []), ("accepted_risks",))))
        self.names = frozenset(
            [i.name for i in (bench.instruments or ())] if bench else []
        ) | frozenset([c.name for c in (the_set.filter_capacitors or ())] if the_set else [])
        stop_data = data.get("stop", {})
        then: Any = []
        if isinstance(stop_data, dict):
            stop_data = dict(stop_data)
            then = stop_data.pop("then", [])
        stop = self.record(StopRule, stop_data, ("stop",))
        stop_then = self.steps(then, ("stop", "then"))
        steps = self.steps(data.get("steps", []), ("steps",))
        expanded, unexpanded = expand(steps)
        self.problems.extend(unexpanded)
        if self.problems:
            return None
        return Plan(self.source, header, mains, the_set, bench, chain, expanded,
                    stop.when or (), stop_then, stop.again, risks)

    def chain(self, data: Any) -> tuple[Element, ...]:
        elements = []
        for i, item in enumerate(self.items(data, ("bench", "chain"))):
            path: Path = ("bench", "chain", i)
            kind, value = self.tagged(item, path)
            kind = _chain_name(kind)
            if kind not in ELEMENTS:
                self.refuse(f"`{kind}` is not an element of a bench chain; known are {listed(tuple(ELEMENTS))}",
                            path, nearest(kind, tuple(ELEMENTS)), at_key=True)
                continue
            record = self.record(ELEMENTS[kind], value, (*path, kind))
            if record is not None:
                elements.append(Element(kind, record, i))
        if data and (not elements or elements[-1].kind != "set"):
            self.refuse("a bench chain goes from the wall to the set, so it ends with `- set`", ("bench", "chain"))
        return tuple(elements)

    def steps(self, data: Any, path: Path, number: int | None = None) -> tuple[Step, ...]:
        steps = []
        for i, item in enumerate(self.items(data, path)):
            step = self.step(item, (*path, i), i + 1 if number is None else number)
            if step is not None:
                steps.append(step)
        return tuple(steps)

    def step(self, item: Any, path: Path, number: int) -> Step | None:
        """One step: its verb found, what stands beside the verb and inside it brought together, and checked."""
        if isinstance(item, str):
            item = {item: {}}
        if not isinstance(item, dict):
            self.refuse("a step is a mapping with one verb, as in `set_dial: 0 V`", path)
            return None
        verbs = [key for key in item if key in VERBS]
        if len(verbs) != 1:
            known = tuple(VERBS)
            if not verbs:
                key = next(iter(item), "")
                guess = nearest(key, known)
                self.refuse(f"this step has no verb that is known: {listed(known)}", path, guess, at_key=False)
            else:
                self.refuse(f"a step has one verb, this one has {listed(tuple(verbs))}", path,
                            "write two steps")
            return None
        verb_name = verbs[0]
        verb = VERBS[verb_name]
        inner = item[verb_name]
        fields: dict[str, Any] = {key: value for key, value in item.items() if key != verb_name}
        if isinstance(inner, dict) and not (verb.main == "lamp" and "lamp" not in inner and "to" not in inner):
            for key, value in inner.items():
                key = {"to": "lamp"}.get(key, key) if verb.main == "lamp" else key
                if key in fields:
                    self.refuse(f"`{key}` is written both beside `{verb_name}` and inside it", path,
                                "write it once")
                fields[key] = value
        elif inner != {}:
            if verb.main is None:
                self.refuse(f"`{verb_name}` takes no value of its own", path, f"write `- {verb_name}`")
                return None
            fields[verb.main] = inner
        return self.checked_step(verb_name, fields, path, number)

    def checked_step(self, verb_name: str, fields: dict[str, Any], path: Path, number: int) -> Step | None:
        verb = VERBS[verb_name]
        before = len(self.problems)
        for key in fields:
            if key not in verb.fields:
                own = tuple(sorted(verb.fields))
                self.refuse(f"`{verb_name}` does not take `{key}`; it takes {listed(own)}",
                            self.within(path, verb_name, key), nearest(key, own), at_key=True)
        for key in ((verb.main, *verb.needs) if verb.main else verb.needs):
            if key not in fields:
                self.refuse(f"`{verb_name}` needs `{key}`", path, f"add `{key}:` to this step")
        if len(self.problems) > before:
            return None
        otherwise = fields.pop("otherwise", None)
        if isinstance(otherwise, list):
            at = self.within(path, verb_name, "otherwise")
            if len(otherwise) > LONGEST_BRANCH:
                self.refuse(f"a branch has at most {LONGEST_BRANCH} steps", at)
                return None
            otherwise = self.steps(otherwise, at, number)
        elif otherwise is not None and otherwise != "stop":
            self.refuse("`otherwise` is `stop` or a list of steps", self.within(path, verb_name, "otherwise"),
                        "write `otherwise: stop`")
            return None
        try:
            step = Step.model_validate({**fields, "verb": verb_name, "otherwise": otherwise})
        except ValidationError as error:
            self.problems.extend(
                Problem(p.message, self.within(path, verb_name, *p.path), None, p.suggestion, p.at_key)
                for p in refusals(error, Step, ())
            )
            return None
        if verb_name == "measure" and step.expect is not None and step.expect.quantity is None:
            self.refuse(f"`{step.expect.text}` is no quantity that a meter shows", self.within(path, verb_name, "expect"),
                        "write a range with a unit, as in `expect: 10 Mohm..`")
            return None
        step = step.model_copy(update={"number": number, "path": path})
        return self.named(step, verb_name, path)

    def named(self, step: Step, verb_name: str, path: Path) -> Step | None:
        """The step with its `what` in the spelling of the list; a word out of the list is refused."""
        verb = VERBS[verb_name]
        if not verb.words or step.what is None:
            return step
        what = one_spelling(step.what).removeprefix("the ")
        known = verb.words + (tuple(sorted(self.names)) if verb.names else ())
        if what not in known:
            self.refuse(f"`{verb_name}` does not know `{what}`; it knows {listed(known)}",
                        self.within(path, verb_name, "what"), nearest(what, known))
            return None
        return step.model_copy(update={"what": what})

    def record(self, model: type[Record], data: Any, path: Path) -> Any:
        try:
            return model.model_validate(data)
        except ValidationError as error:
            self.problems.extend(refusals(error, model, path))
            return None

    def tagged(self, item: Any, path: Path) -> tuple[str, Any]:
        if isinstance(item, str):
            return item, {}
        if isinstance(item, dict) and len(item) == 1:
            return next(iter(item.items()))
        self.refuse("an element of the chain is one name with its properties, as in `- outlet: {switch: emergency}`",
                    path)
        return "outlet", {}

    def items(self, data: Any, path: Path) -> list[Any]:
        if isinstance(data, list):
            return data
        self.refuse("expected a list", path, "begin each item with `- `")
        return []

    def within(self, path: Path, verb: str, *rest: str | int) -> Path:
        """Where a field of a step stands: inside the verb's mapping, beside it, or as the verb's own value."""
        for candidate in ((*path, verb, *rest), (*path, *rest)):
            if self.source.states(candidate):
                return candidate
        return (*path, verb)

    def refuse(self, message: str, path: Path, suggestion: str | None = None, *, at_key: bool = False) -> None:
        self.problems.append(Problem(message, path, None, suggestion, at_key))


def _chain_name(kind: str) -> str:
    return one_spelling(kind).replace(" ", "_")
