"""From a parser's events to plain data, each node with the events that say where it stands.

Every scalar is text, or None if nothing is written. What the text means is decided by whoever reads the data.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NoReturn

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from auditor.plan.lines import Lines
from auditor.plan.place import Data
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.yaml_errors import complaint
from auditor.plan.yaml_spans import Node

DEEPEST = 30
"""Levels of lists and mappings inside each other; a plan needs about 6."""

MOST_NODES = 20_000
"""Keys, values, lists and mappings, aliases counted as what they stand for; a long plan has about 2,000."""

MOST_ANCHORS = 50
"""Values that are marked to be used again."""

NOTHING = frozenset({"", "~", "null", "Null", "NULL"})
"""Unquoted texts that say nothing is there: the null of the YAML 1.2.2 core schema, section 10.3.2."""

CONTROL = r"[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
"""Characters that cannot be seen: controls, unusual line separators, stray byte order marks."""

MOST_PROBLEMS = 100
"""Problems that are told; reading stops there."""


class TooMany(Unreadable):
    """The text is longer than is read, whoever reads it."""


_BLOCK_HEADER = re.compile(r"[^|>]*[|>][-+0-9]*(?=\s|\Z)")
_AFTER_ALIAS = re.compile(r"[\s,\]}]|\Z")


def control_in(text: str) -> re.Match[str] | None:
    """The first character that cannot be seen."""
    # What can be printed holds none, and that is known before the expression, slow to compile, is needed.
    return None if text.replace("\n", "").isprintable() else re.search(CONTROL, text)


def quoted(text: str) -> str:
    """The text set off from a message, on one line and not longer than the message can bear."""
    text = " ".join(text.split())
    return f"`{text}`" if len(text) <= 40 else f"`{text[:37]}...`"


def read_nodes(text: str, lines: Lines, *, pure: bool = False) -> Node | None:
    """The one document in the text, None if there is none.

    `pure` asks for the parser written in Python even where the one in C is installed.

    Raises Unreadable: with every problem that a parser can read past, or with the first that it cannot.
    """
    problems: list[Problem] = []
    root = _Builder(text, lines, _events(text, lines, pure, problems), problems).document()
    if problems:
        raise Unreadable(tuple(problems))
    return root


def _events(text: str, lines: Lines, pure: bool, problems: list[Problem]) -> Iterator[Any]:
    """The parser's events; if it gives up, Unreadable with the problems so far and what it objects to."""
    event = None
    try:
        for event in YAML(typ="safe", pure=pure).parse(text):
            yield event
    except MarkedYAMLError as error:
        entry = complaint(f"{error.context or ''} {error.problem or ''}")
        mark = error.context_mark if entry.at_opening and error.context_mark else error.problem_mark
        mark = mark or error.context_mark
        place = lines.spot(mark.index) if mark else None
        raise Unreadable(
            (*problems, Problem(entry.message, place=place, suggestion=entry.suggestion))
        ) from None
    except (YAMLError, ValueError, OverflowError):
        # The parser in Python lets a nonsensical character code through to chr().
        entry = complaint("unicode character")
        place = lines.spot(event.end_mark.index if event else 0)
        raise Unreadable(
            (*problems, Problem(entry.message, place=place, suggestion=entry.suggestion))
        ) from None


class _Builder:
    """Walks the events once. What it can read past goes to `problems`; what it cannot is raised at once."""

    def __init__(self, text: str, lines: Lines, events: Iterator[Any], problems: list[Problem]) -> None:
        self.text = text
        self.lines = lines
        self.events = events
        self.problems = problems
        self.path: list[str | int] = []
        self.anchors: dict[str, Node | None] = {}
        self.count = 0
        self.depth = 0
        self.event: Any = None
        self.read: dict[type, Any] = {
            ScalarEvent: self.scalar,
            MappingStartEvent: self.mapping,
            SequenceStartEvent: self.sequence,
            AliasEvent: self.alias,
        }

    def document(self) -> Node | None:
        root: Node | None = None
        for event in self.events:
            if isinstance(event, DocumentStartEvent):
                if root is not None:
                    self.stop(
                        "A second document begins here; one file holds one document.",
                        event,
                        "Remove the line of dashes, or put what follows into a file of its own.",
                    )
                root = self.node(self.next())
                if isinstance(root.first, ScalarEvent) and root.first.style in ("|", ">"):
                    # Where such a text ends is not the same for both parsers.
                    self.stop(
                        "The whole document is one block of text.", root.first, "Put the text under a key."
                    )
        return root

    def next(self) -> Any:
        self.event = next(self.events)
        return self.event

    def note(self, message: str, event: Any, suggestion: str | None = None) -> None:
        place = self.lines.place(event.start_mark.index, event.end_mark.index)
        self.problems.append(Problem(message, tuple(self.path), place, suggestion))
        if len(self.problems) >= MOST_PROBLEMS:
            raise Unreadable(tuple(self.problems))

    def stop(self, message: str, event: Any, suggestion: str | None = None) -> NoReturn:
        self.note(message, event, suggestion)
        raise Unreadable(tuple(self.problems))

    def node(self, event: Any, before: Any = None, under_key: bool = False) -> Node:
        self.add(1, event)
        anchored = event.anchor is not None and not isinstance(event, AliasEvent)
        if anchored:
            # Until it is complete, the name stands for nothing that an alias could repeat.
            self.anchors[event.anchor] = None
            if len(self.anchors) > MOST_ANCHORS:
                self.stop(f"There are more than {MOST_ANCHORS} anchors.", event, "Write the values out.")
        node: Node = self.read[type(event)](event)
        if anchored:
            self.anchors[event.anchor] = node
        if node.data is None:
            node.before, node.under_key = before, under_key
        return node

    def add(self, nodes: int, event: Any) -> None:
        self.count += nodes
        if self.count > MOST_NODES:
            self.note(
                f"The file holds more than {MOST_NODES} keys and values, counting what its aliases repeat.",
                event,
                "Split it, or use fewer aliases.",
            )
            raise TooMany(tuple(self.problems))

    def tagged(self, event: Any) -> None:
        tag = str(event.tag).replace("tag:yaml.org,2002:", "!!")
        self.note(f"The tag {quoted(tag)} has no meaning here.", event, "Remove the tag and keep the value.")

    def scalar(self, event: Any) -> Node:
        if event.tag is not None:
            self.tagged(event)
        if not event.style:
            return Node(None if event.value in NOTHING else event.value, event, event)
        if event.style == '"' and control_in(event.value):
            self.note("This text holds the code of a character that cannot be shown.", event, "Leave it out.")
        if event.style in ("|", ">") and not _BLOCK_HEADER.match(self.text, event.start_mark.index):
            self.note(
                "After `|` or `>` a comment needs a blank before it.", event, "Write ` #`, or no comment."
            )
        return Node(event.value, event, event)

    def sequence(self, event: Any) -> Node:
        self.descend(event)
        parts: list[Node] = []
        before = event
        while not isinstance(item := self.next(), SequenceEndEvent):
            self.path.append(len(parts))
            parts.append(self.node(item, before))
            self.path.pop()
            before = self.event
        self.depth -= 1
        return self.collection(event, parts, parts, [part.data for part in parts])

    def mapping(self, event: Any) -> Node:
        self.descend(event)
        parts: dict[str, tuple[Any, Node]] = {}
        while not isinstance(key := self.next(), MappingEndEvent):
            name = self.key(key)
            if name is None:
                self.node(self.next())
                continue
            self.path.append(name)
            twice = name in parts
            if twice:
                line = self.lines.spot(parts[name][0].start_mark.index).line
                self.note(
                    f"The key {quoted(name)} is written twice; the first is on line {line}.",
                    key,
                    "Keep one of the two, or put both values under one key.",
                )
            value = self.node(self.next(), key, under_key=True)
            if not twice:
                parts[name] = (key, value)
            self.path.pop()
        self.depth -= 1
        nodes = [value for _, value in parts.values()]
        return self.collection(event, parts, nodes, {name: value.data for name, (_, value) in parts.items()})

    def descend(self, event: Any) -> None:
        if event.tag is not None:
            self.tagged(event)
        self.depth += 1
        if self.depth > DEEPEST:
            self.stop(f"Lists and mappings lie more than {DEEPEST} deep in each other here.", event)

    def collection(self, event: Any, parts: Any, nodes: list[Node], data: Data) -> Node:
        size = 1 + sum([node.size for node in nodes]) + (len(nodes) if isinstance(parts, dict) else 0)
        height = 1 + max([node.height for node in nodes], default=0)
        return Node(data, event, self.event, parts, size=size, height=height)

    def key(self, event: Any) -> str | None:
        """The text of a key, or None where it cannot be one; then that is noted and the key read past."""
        if not isinstance(event, ScalarEvent):
            self.note("A key has to be one text, written out.", event, "Write a short text before the colon.")
            self.node(event)
            return None
        self.node(event)
        name: str = event.value
        if event.style or name not in ("", "<<"):
            return name
        if name == "":
            self.note("A key is missing before this colon.", event, "Write the key, or remove the colon.")
        else:
            self.note(
                "Merging one mapping into another with `<<` is not known here.", event, "Write the keys out."
            )
        return None

    def alias(self, event: Any) -> Node:
        name = event.anchor
        if not _AFTER_ALIAS.match(self.text, event.end_mark.index):
            self.stop(
                "The name after * ends in a character that cannot stand there.",
                event,
                "Write a blank after it.",
            )
        if name not in self.anchors:
            self.note(f"No value before this one is marked `&{name}`.", event, "Write the value out.")
            return Node(None, event, event)
        target = self.anchors[name]
        if target is None:
            self.stop(f"The value marked `&{name}` contains itself.", event, "Write the value out.")
        self.add(target.size - 1, event)
        if self.depth + target.height > DEEPEST:
            self.stop(f"Lists and mappings lie more than {DEEPEST} deep in each other here.", event)
        return Node(_copy(target.data), event, event, target.parts, size=target.size, height=target.height)


def _copy(data: Data) -> Data:
    if isinstance(data, dict):
        return {key: _copy(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_copy(value) for value in data]
    return data
