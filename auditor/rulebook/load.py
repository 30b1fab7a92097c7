"""Reading and checking rule files."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from auditor.bench.facts import FACTS, ITEM_KINDS, VOCABULARY
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.expression import ExpressionError, parse_expression
from auditor.logic.interval import Interval
from auditor.logic.kinds import Kind, NumberKind
from auditor.logic.nodes import Expression, Implies, IsWord, names_in, parts_of
from auditor.logic.quantity import QuantityError, parse_quantity
from auditor.plan.lines import Lines
from auditor.plan.nearest import nearest
from auditor.plan.place import Path, Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.refusals import fitting, mapping_in
from auditor.plan.shipped import rules_folder
from auditor.plan.values import listed
from auditor.plan.yaml_text import Document, parse_yaml, read_text
from auditor.rulebook.rule import Limit, LimitText, Rule, Rulebook, RuleFile, RuleText

SPEAKING_NAME = re.compile(r"[a-z]+(-[a-z0-9]+){1,9}")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
LIMIT_NAME = re.compile(r"[a-z]+(_[a-z0-9]+)*")
BETWEEN = re.compile(r"^---(?:[ \t]+#.*|[ \t]*)\r?$", re.MULTILINE)
NOTHING_YET = re.compile(r"(?:[ \t\r]*(?:[#%].*)?\n)*")
"""Comments, directives and blank lines, which may stand before the line that begins the rules."""
LARGEST = 1 << 17
"""Bytes that a file with rules may have: twice the longest one that is shipped."""
READ_AGAIN = 1 << 14
"""Characters up to which a text that cannot be read is looked at a second time, by a parser that is slow."""
NEVER_A_STEP = "raise"
"""The verb that a plan writes and that no rule meets: it is replaced by the dial settings that it stands for."""
MOST_LISTED = 100
"""Items of one list or mapping in a file with rules, and so the rules of one file."""
MOST_PROBLEMS = 25
"""Problems of one file that are told; looking for more stops there."""


class Enough(Exception):
    """So many problems have been found in a file that no more are looked for."""


class Found(list[Problem]):
    """The problems of one file. Raises Enough when there are MOST_PROBLEMS."""

    def append(self, problem: Problem) -> None:
        super().append(problem)
        if len(self) >= MOST_PROBLEMS:
            raise Enough
ALWAYS_SAID = ("step", "item", "impossible")
"""What a message may name beside the facts: the step in words, the item, why a step cannot be done."""


class BadRules(Exception):
    """Rule files that cannot be used: for each its name and its problems."""

    def __init__(self, files: tuple[tuple[str, tuple[Problem, ...]], ...]) -> None:
        super().__init__("; ".join(f"{name}: {p.message}" for name, problems in files for p in problems))
        self.files = files


def load_rulebook(folder: FilePath | None = None) -> Rulebook:
    """The rules of a folder, by default those shipped. Raises BadRules with every problem of every file."""
    files = sorted((folder or rules_folder()).glob("*.yaml"))
    return compile_rulebook([(file.name, file.read_bytes()) for file in files])


class RulesRead(Struct, frozen=True):
    """The limits and rules of one file as its schema reads them, before they are compiled.

    rules: each with its path in the file; limits_at: the part of the file that holds its limits.
    """

    name: str
    document: Document
    topic: str
    limits: tuple[LimitText, ...]
    rules: tuple[tuple[Path, RuleText], ...]
    limits_at: str = "limits"


def compile_rulebook(files: list[tuple[str, bytes]]) -> Rulebook:
    """Rules out of the texts of their files. Raises BadRules with every problem of every file."""
    read: list[RulesRead] = []
    examples: dict[str, tuple[str, int]] = {}
    problems: dict[str, list[Problem]] = {}
    for name, source in files:
        try:
            rules_text, examples_text, line = two_documents(bounded_text(source))
            examples[name] = examples_text, line
            document = parse_yaml(rules_text, again=len(rules_text) <= READ_AGAIN)
            file = _validated(document)
            read.append(RulesRead(name, document, file.topic, file.limits, listed_under("rules", file.rules)))
        except Unreadable as error:
            problems[name] = list(error.problems)
    rulebook = extended(Rulebook((), {}, examples), read, problems)
    if problems:
        raise BadRules(tuple((name, tuple(found)) for name, found in problems.items()))
    return rulebook


def extended(rulebook: Rulebook, read: list[RulesRead], problems: dict[str, list[Problem]]) -> Rulebook:
    """The rulebook with these rules compiled and added; what is wrong with them goes to `problems`, by file."""
    limits = dict(rulebook.limits)
    rules = list(rulebook.rules)
    for file in read:
        found = Found()
        with suppress(Enough):
            for i, limit in enumerate(file.limits):
                _add_limit(limit, limits, found, (file.limits_at, i), file.name)
        if found:
            problems.setdefault(file.name, []).extend(map(file.document.placed, found))
    vocabulary: dict[str, Kind] = {**VOCABULARY, **{f"limit.{n}": limit.kind for n, limit in limits.items()}}
    seen = {name: rule.file for name, rule in rulebook.by_name.items()}
    for file in read:
        found = Found()
        with suppress(Enough):
            for path, text in file.rules:
                rule = _compiled(text, file, path, vocabulary, seen, found)
                if rule is not None:
                    rules.append(rule)
        if found:
            problems.setdefault(file.name, []).extend(map(file.document.placed, found))
    return replace(rulebook, rules=tuple(rules), limits=limits)


def listed_under(part: str, rules: Iterable[RuleText]) -> tuple[tuple[Path, RuleText], ...]:
    """Rules with their paths, where they are the items of one part of a file."""
    return tuple(((part, i), rule) for i, rule in enumerate(rules))


def bounded_text(source: bytes) -> str:
    """The text of a file with rules in it. Raises Unreadable where it is too large for one."""
    if len(source) > LARGEST:
        place = Lines(source[: LARGEST + 1].decode("utf-8-sig", "replace")).spot(LARGEST)
        raise Unreadable((Problem(f"a file with rules has at most {LARGEST} bytes, and this one goes on here", (), place,
                                  "split it into several files"),))
    return read_text(source)


def two_documents(text: str) -> tuple[str, str, int]:
    """The rules of a file, its examples, and the line on which those begin: a line `---` stands between them.

    An audit reads the first only.
    """
    mark = next((found for found in BETWEEN.finditer(text) if not NOTHING_YET.fullmatch(text, 0, found.start())), None)
    if mark is None:
        return text, "", text.count("\n") + 3
    rules = text[: mark.start()]
    return rules, text[mark.end() + 1 :], rules.count("\n") + 2


def _validated(document: Document) -> RuleFile:
    data = mapping_in(document, "a rule file has the parts `topic`, `limits` and `rules`")
    check_size(document)
    return fitting(data, RuleFile, document)


def check_size(document: Document) -> None:
    """Raises Unreadable where any list or mapping of a file is longer than MOST_LISTED."""
    waiting: list[tuple[Path, Any]] = [((), document.data)]
    while waiting:
        path, here = waiting.pop()
        inside = list(here.items() if isinstance(here, dict) else enumerate(here))
        if len(inside) > MOST_LISTED:
            problem = Problem(f"at most {MOST_LISTED} can stand here, and these are {len(inside)}",
                              (*path, inside[MOST_LISTED][0]), None, "split them into several files")
            raise Unreadable((document.placed(problem),))
        waiting.extend(((*path, key), value) for key, value in inside if isinstance(value, dict | list))


def _add_limit(text: LimitText, limits: dict[str, Limit], problems: list[Problem], path: Path, file: str) -> None:
    if not LIMIT_NAME.fullmatch(text.limit):
        problems.append(Problem(f"`{shortened(text.limit)}` is not a name that a rule can write: small letters and "
                                "underscores", (*path, "limit"), None, "as in `dead_below`"))
        return
    if text.kind not in DIMENSIONS:
        problems.append(Problem(f"`{text.kind}` is not a kind of quantity; known are {listed(tuple(DIMENSIONS))}",
                                (*path, "kind"), None, nearest(text.kind, tuple(DIMENSIONS))))
        return
    if text.limit in limits:
        problems.append(Problem(f"the limit `{text.limit}` is there twice", (*path, "limit"), None,
                                f"the other one is in {limits[text.limit].file}"))
        return
    kind = NumberKind(DIMENSIONS[text.kind])
    value = limit_value(text.value, kind, (*path, "value"), problems)
    if value is not None:
        limits[text.limit] = Limit(text.limit, kind, value, text.value, text.stricter, text.means, text.sources, file)


def limit_value(text: str, kind: NumberKind, path: Path, problems: list[Problem]) -> Interval | None:
    """The one number that a limit is; None, with the problem noted, where the text is none."""
    try:
        value = parse_quantity(text, kind.dimension)
    except QuantityError as error:
        problems.append(Problem(error.message, path, None, error.suggestion))
        return None
    if value.low != value.high:
        problems.append(Problem("a limit is one number, not a range", path))
        return None
    return value


def shortened(word: str) -> str:
    """A word as a message can bear it."""
    return word if len(word) <= 60 else f"{word[:57]}..."


def _compiled(text: RuleText, file: RulesRead, path: Path, vocabulary: dict[str, Kind], seen: dict[str, str],
              problems: list[Problem]) -> Rule | None:
    before, document = len(problems), file.document
    if not SPEAKING_NAME.fullmatch(text.rule):
        problems.append(Problem(f"`{shortened(text.rule)}` is not a speaking name: two or more lower-case words with "
                                "hyphens", (*path, "rule"), None, "as in `isolate-a-hot-chassis`"))
    for name in (text.rule, *text.formerly):
        if name in seen:
            problems.append(Problem(f"`{name}` is already a rule of {seen[name]}", (*path, "rule")))
        seen.setdefault(name, file.name)
    if not text.sources:
        problems.append(Problem("a rule names its source, `common practice` or `from memory`", (*path, "sources")))
    when = "applies_when" if path[:1] == ("rules",) else "when"
    applies = _expression(text.applies_when, (*path, when), document, vocabulary, problems, trigger=True)
    holds = _expression(text.holds, (*path, "holds"), document, vocabulary, problems)
    for name in PLACEHOLDER.findall(text.message):
        scope = FACTS[name].scope if name in FACTS else None
        if scope in ITEM_KINDS and scope != text.for_each:
            kind = str(scope).replace("_", " ")
            problems.append(Problem(f"the message names `{name}`, and which {kind} that is, is not known without "
                                    f"`for_each: {kind}`", (*path, "message")))
        elif name == "item" and text.for_each is None:
            problems.append(Problem("the message names `item`, and the rule is about none without `for_each`",
                                    (*path, "message"), None, f"as in `for_each: {ITEM_KINDS[0]}`"))
        elif name not in ALWAYS_SAID and name not in vocabulary:
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
    return Rule(text, file.topic, file.name, path, applies, demand)


def _expression(text: str | None, path: Path, document: Document, vocabulary: dict[str, Kind],
                problems: list[Problem], *, trigger: bool = False) -> Expression | None:
    if text is None:
        return None
    try:
        read = parse_expression(text, vocabulary, trigger=trigger)
        for part in parts_of(read.root):
            if isinstance(part, IsWord) and part.fact.name == "step.verb" and NEVER_A_STEP in part.words:
                message = f"a `{NEVER_A_STEP}` is judged as its stages, so no step is ever called so: write `set_dial`"
                raise ExpressionError(message, part.column, "set_dial")
        return read
    except ExpressionError as error:
        place = document.place(path)
        if place.line == place.end_line:  # written on one line, so the column within it is known
            quote = document.lines(place)[place.column - 1] in "'\""
            column = place.column + error.column - 1 + quote
            place = Place(place.line, column, place.end_line, max(column, place.end_column))
        problems.append(Problem(error.message, path, place, error.suggestion))
        return None
