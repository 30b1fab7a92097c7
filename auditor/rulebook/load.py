"""Reading and checking rule files."""

from __future__ import annotations

import re
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from auditor.bench.facts import FACTS, ITEM_KINDS, VOCABULARY
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.expression import ExpressionError, parse_expression
from auditor.logic.kinds import Kind, NumberKind
from auditor.logic.nodes import Expression, Implies, names_in
from auditor.logic.quantity import QuantityError, parse_quantity
from auditor.plan.nearest import nearest
from auditor.plan.place import Path, Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.refusals import refusals
from auditor.plan.values import listed
from auditor.plan.yaml_text import Document, parse_yaml, read_text
from auditor.rulebook.rule import Limit, LimitText, Rule, Rulebook, RuleFile, RuleText

SPEAKING_NAME = re.compile(r"[a-z]+(-[a-z0-9]+){1,9}")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
BETWEEN = "---"
ALWAYS_SAID = ("step", "item", "impossible")
"""What a message may name beside the facts: the step in words, the item, why a step cannot be done."""


class BadRules(Exception):
    """Rule files that cannot be used: for each its name and its problems."""

    def __init__(self, files: tuple[tuple[str, tuple[Problem, ...]], ...]) -> None:
        super().__init__("; ".join(f"{name}: {p.message}" for name, problems in files for p in problems))
        self.files = files


def rules_folder() -> FilePath:
    """Where the shipped rules lie: inside the installed package, or beside it in a checkout."""
    package = FilePath(__file__).resolve().parent.parent
    inside = package / "rules"
    return inside if inside.is_dir() else package.parent / "rules"


def load_rulebook(folder: FilePath | None = None) -> Rulebook:
    """The rules of a folder, by default those shipped. Raises BadRules with every problem of every file."""
    files = sorted((folder or rules_folder()).glob("*.yaml"))
    return compile_rulebook([(file.name, file.read_bytes()) for file in files])


def compile_rulebook(files: list[tuple[str, bytes]]) -> Rulebook:
    """Rules out of the texts of their files. Raises BadRules with every problem of every file."""
    read: list[tuple[str, Document, RuleFile]] = []
    examples: dict[str, tuple[str, int]] = {}
    problems: dict[str, list[Problem]] = {}
    for name, source in files:
        try:
            rules_text, examples_text, line = two_documents(read_text(source))
            examples[name] = examples_text, line
            document = parse_yaml(rules_text)
            read.append((name, document, _validated(document)))
        except Unreadable as error:
            problems[name] = list(error.problems)
    limits: dict[str, Limit] = {}
    rules: list[Rule] = []
    for name, document, file in read:
        found: list[Problem] = []
        for i, limit in enumerate(file.limits):
            _add_limit(limit, limits, found, ("limits", i))
        if found:
            problems.setdefault(name, []).extend(map(document.placed, found))
    vocabulary: dict[str, Kind] = {**VOCABULARY, **{f"limit.{n}": limit.kind for n, limit in limits.items()}}
    seen: dict[str, str] = {}
    for name, document, file in read:
        found = []
        for i, text in enumerate(file.rules):
            rule = _compiled(text, file.topic, name, document, ("rules", i), vocabulary, seen, found)
            if rule is not None:
                rules.append(rule)
        if found:
            problems.setdefault(name, []).extend(map(document.placed, found))
    if problems:
        raise BadRules(tuple((name, tuple(found)) for name, found in problems.items()))
    return Rulebook(tuple(rules), limits, examples)


def two_documents(text: str) -> tuple[str, str, int]:
    """The rules of a file, its examples, and the line on which those begin: a line `---` stands between them.

    An audit reads the first only.
    """
    rules, mark, examples = text.partition(f"\n{BETWEEN}\n")
    return rules + "\n" if mark else text, examples, rules.count("\n") + 3


def _validated(document: Document) -> RuleFile:
    data: Any = document.data
    if not isinstance(data, dict):
        raise Unreadable((Problem("a rule file has the parts `topic`, `limits` and `rules`", place=document.place(())),))
    try:
        return RuleFile.model_validate(data)
    except ValidationError as error:
        raise Unreadable(tuple(map(document.placed, refusals(error, RuleFile, ())))) from None


def _add_limit(text: LimitText, limits: dict[str, Limit], problems: list[Problem], path: Path) -> None:
    if text.kind not in DIMENSIONS:
        problems.append(Problem(f"`{text.kind}` is not a kind of quantity; known are {listed(tuple(DIMENSIONS))}",
                                (*path, "kind"), None, nearest(text.kind, tuple(DIMENSIONS))))
        return
    if text.limit in limits:
        problems.append(Problem(f"the limit `{text.limit}` is there twice", (*path, "limit")))
        return
    try:
        value = parse_quantity(text.value, DIMENSIONS[text.kind])
    except QuantityError as error:
        problems.append(Problem(error.message, (*path, "value"), None, error.suggestion))
        return
    if value.low != value.high:
        problems.append(Problem("a limit is one number, not a range", (*path, "value")))
        return
    limits[text.limit] = Limit(text.limit, NumberKind(DIMENSIONS[text.kind]), value, text.value, text.stricter,
                               text.means, text.sources)


def _compiled(text: RuleText, topic: str, file: str, document: Document, path: Path,
              vocabulary: dict[str, Kind], seen: dict[str, str], problems: list[Problem]) -> Rule | None:
    before = len(problems)
    if not SPEAKING_NAME.fullmatch(text.rule):
        problems.append(Problem(f"`{text.rule}` is not a speaking name: two or more lower-case words with hyphens",
                                (*path, "rule"), None, "as in `isolate-a-hot-chassis`"))
    for name in (text.rule, *text.formerly):
        if name in seen:
            problems.append(Problem(f"`{name}` is already a rule of {seen[name]}", (*path, "rule")))
        seen[name] = file
    if not text.sources:
        problems.append(Problem("a rule names its source, `common practice` or `from memory`", (*path, "sources")))
    applies = _expression(text.applies_when, (*path, "applies_when"), document, vocabulary, problems, trigger=True)
    holds = _expression(text.holds, (*path, "holds"), document, vocabulary, problems)
    for name in PLACEHOLDER.findall(text.message):
        if name not in ALWAYS_SAID and name not in vocabulary:
            problems.append(Problem(f"the message names `{name}`, which is not a fact", (*path, "message"), None,
                                    nearest(name, tuple(vocabulary))))
    if len(problems) > before or holds is None:
        return None
    used = names_in(holds) | (names_in(applies) if applies else frozenset())
    kinds = {FACTS[n].scope for n in used if n in FACTS} & set(ITEM_KINDS)
    if kinds - {text.for_each}:
        kind = sorted(kinds - {text.for_each})[0].replace("_", " ")
        problems.append(Problem(f"the rule speaks of a {kind}, so it needs `for_each: {kind}`", (*path, "holds")))
        return None
    demand = holds if applies is None else Expression(
        f"{applies.text} -> {holds.text}", Implies(applies.root.column, applies.root, holds.root))
    return Rule(text, topic, file, path, applies, demand)


def _expression(text: str | None, path: Path, document: Document, vocabulary: dict[str, Kind],
                problems: list[Problem], *, trigger: bool = False) -> Expression | None:
    if text is None:
        return None
    try:
        return parse_expression(text, vocabulary, trigger=trigger)
    except ExpressionError as error:
        place = document.place(path)
        if place.line == place.end_line:  # written on one line, so the column within it is known
            quote = document.lines(place)[place.column - 1] in "'\""
            column = place.column + error.column - 1 + quote
            place = Place(place.line, column, place.end_line, max(column, place.end_column))
        problems.append(Problem(error.message, path, place, error.suggestion))
        return None
