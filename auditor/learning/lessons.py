"""Reading and checking the files of `rules/learning/`."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from typing import TypeVar

from msgspec import Struct
from pydantic import BaseModel

from auditor.learning.topic import Hazard, HazardFile, Safeguard, SafeguardFile, Term, WordFile
from auditor.plan.nearest import nearest
from auditor.plan.place import Path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.refusals import fitting, mapping_in
from auditor.plan.shipped import rules_folder
from auditor.plan.words import one_spelling
from auditor.plan.yaml_text import Document, parse_yaml, read_text

FIGURE = re.compile(r"\{([^{}]*)\}")
Topic = Hazard | Safeguard | Term
Read = TypeVar("Read", bound=BaseModel)
FILES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("hazards", HazardFile), ("safeguards", SafeguardFile), ("glossary", WordFile))


class Lessons(Struct, frozen=True):
    """All topics, in the order of their files."""

    hazards: tuple[Hazard, ...]
    safeguards: tuple[Safeguard, ...]
    words: tuple[Term, ...]

    def called(self, name: str) -> tuple[Topic, ...]:
        """The topics of this name, however it is spelt, the fullest first: a safeguard before a hazard before a word."""
        wanted = form(name)
        return tuple(topic for topics in (self.safeguards, self.hazards, self.words)
                     for topic in topics if wanted in map(form, names_of(topic)))

    def names(self) -> tuple[str, ...]:
        """Every name of every topic."""
        return tuple(name for topics in (self.safeguards, self.hazards, self.words) for topic in topics
                     for name in names_of(topic))


def name_of(topic: Topic) -> str:
    """What a topic is called."""
    if isinstance(topic, Hazard):
        return topic.hazard
    return topic.safeguard if isinstance(topic, Safeguard) else topic.word


def kind_of(topic: Topic) -> str:
    """What a topic is, in words."""
    if isinstance(topic, Hazard):
        return "a hazard"
    return "a safeguard" if isinstance(topic, Safeguard) else "a word of the trade"


def names_of(topic: Topic) -> tuple[str, ...]:
    """What a topic is called, and everything else that it is called."""
    return (name_of(topic), *topic.also)


def form(name: str) -> str:
    """A name without what does not matter: case, what joins its parts, and which of two words of the trade is used.

    >>> form("Hot-Chassis"), form("HT")
    ('hot chassis', 'b+')
    """
    return one_spelling(" ".join(re.split(r"[\s_-]+", name.strip()))).lower()


@cache
def load_lessons() -> Lessons:
    """The shipped topics. Raises Unreadable with every problem of the first bad file."""
    folder = rules_folder() / "learning"
    return compile_lessons({name: (folder / f"{name}.yaml").read_bytes() for name, _ in FILES})


def compile_lessons(sources: dict[str, bytes]) -> Lessons:
    """The topics in the texts of the files, by the names of FILES. Raises Unreadable with every problem and its place."""
    documents = {name: parse_yaml(read_text(sources[name])) for name, _ in FILES}
    hazards = _read(documents["hazards"], HazardFile)
    safeguards = _read(documents["safeguards"], SafeguardFile)
    words = _read(documents["glossary"], WordFile)
    lessons = Lessons(hazards.hazards, safeguards.safeguards, words.words)
    problems = [documents[part].placed(problem) for part, problem in _problems(lessons)]
    if problems:
        raise Unreadable(tuple(problems))
    return lessons


def _read(document: Document, model: type[Read]) -> Read:
    part = next(iter(model.model_fields))
    return fitting(mapping_in(document, f"this file has the part `{part}`"), model, document)


def _problems(lessons: Lessons) -> Iterator[tuple[str, Problem]]:
    """Every problem of what the schema lets pass, with the file that it is in."""
    safeguards = tuple(topic.safeguard for topic in lessons.safeguards)
    everything = lessons.names()
    for i, hazard in enumerate(lessons.hazards):
        at: Path = ("hazards", i)
        yield from (("hazards", p) for p in _figures((*at, "figures"), hazard.figures))
        yield from (("hazards", p) for p in _known((*at, "safeguards"), hazard.safeguards, safeguards, "safeguard"))
    for i, safeguard in enumerate(lessons.safeguards):
        at = ("safeguards", i)
        for part in ("contains", "does_not_contain"):
            yield from (("safeguards", p) for p in _figures((*at, part), getattr(safeguard, part)))
        yield from (("safeguards", p) for p in _figures(at, (safeguard.works,), ("works",)))
    for i, word in enumerate(lessons.words):
        yield from (("glossary", p) for p in _known(("words", i, "see"), word.see, everything, "name"))
    yield from _twice(lessons)


def _figures(at: Path, texts: tuple[str, ...], keys: Sequence[str | int] | None = None) -> Iterator[Problem]:
    """keys: of each text below `at`; by its number where they are not given."""
    from auditor.learning.figures import FIGURES

    for k, text in zip(keys or range(len(texts)), texts, strict=True):
        for name in FIGURE.findall(text):
            if name not in FIGURES:
                guess = nearest(name, FIGURES)
                yield Problem(f"the text names the number `{name}`, which is not computed", (*at, k), None,
                              guess and f"write `{{{guess}}}`")


def _known(at: Path, names: tuple[str, ...], known: tuple[str, ...], kind: str) -> Iterator[Problem]:
    forms = set(map(form, known))
    for k, name in enumerate(names):
        if form(name) not in forms:
            guess = nearest(name, known)
            yield Problem(f"there is no {kind} `{name}`", (*at, k), None, guess and f"write `{guess}`")


def _twice(lessons: Lessons) -> Iterator[tuple[str, Problem]]:
    """A name that two topics of one kind have."""
    parts: tuple[tuple[str, tuple[Topic, ...]], ...] = (
        ("hazards", lessons.hazards), ("safeguards", lessons.safeguards), ("glossary", lessons.words))
    for part, topics in parts:
        seen: set[str] = set()
        for i, topic in enumerate(topics):
            names = set(map(form, names_of(topic)))
            for name in sorted(names & seen):
                yield part, Problem(f"`{name}` is there twice", ("words" if part == "glossary" else part, i))
            seen |= names


def filled(text: str, figures: dict[str, Callable[[], str]]) -> str:
    """The text with its numbers in place of their names."""
    return FIGURE.sub(lambda found: figures[found[1]](), text)
