"""The search for a clean plan that hurts somebody: edits of plans, kept where they are near to clean and near to harm."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from hashlib import blake2b
from pathlib import Path
from random import Random
from typing import Any

from tests.plan_text import as_text
from tests.search.candidate import NEARLY, Harmful, harms_of, judged
from tests.search.edits import Data, edited

POOL = 400
"""How many parents are kept."""


@dataclass
class Found:
    """A clean plan that does harm, as text, with what it does."""

    text: str
    fault: str | None
    hazard: str
    part: str
    says: str
    step: int | None


@dataclass
class Parent:
    """A plan near to clean. failing: how many serious rules it fails; harms: how many harms it does."""

    data: Data
    failing: int
    harms: int

    @property
    def promise(self) -> float:
        """How often it is chosen: near to harm and near to clean at once, and short, for a short plan is tried sooner and
        has nothing in it that can be lost."""
        return (1.0 + min(self.harms, 6)) * (4.0 if self.failing == 0 else 1.0) / len(self.data["steps"]) ** 2


@dataclass
class Search:
    """A search that can be stopped and gone on with.

    found: the clean plans that do harm, one for each kind of it. only: for each rule, how many harmful plans nothing but
    it has stopped; teeth: one of them. seen: fingerprints of the candidates, so that none counts twice.
    """

    seed: int
    parents: list[Parent]
    rounds: int = 0
    audited: int = 0
    unreadable: int = 0
    clean: int = 0
    nearly: int = 0
    found: dict[str, Found] = field(default_factory=dict)
    only: Counter[str] = field(default_factory=Counter)
    teeth: dict[str, Found] = field(default_factory=dict)
    seen: set[int] = field(default_factory=set)

    def round(self, candidates: int, off: frozenset[str] = frozenset()) -> None:
        """Try so many candidates. The same seed gives the same candidates whatever came before in other runs."""
        random = Random(f"{self.seed} {self.rounds}")
        self.rounds += 1
        for _ in range(candidates):
            parent = random.choices(self.parents, [parent.promise for parent in self.parents])[0]
            data = edited(parent.data, random)
            if data is not None:
                self._try(data, random, off)

    def _try(self, data: Data, random: Random, off: frozenset[str]) -> None:
        text = as_text(data)
        fingerprint = int.from_bytes(blake2b(text.encode(), digest_size=8).digest())
        if fingerprint in self.seen:
            return
        self.seen.add(fingerprint)
        candidate = judged(data, off=off)
        if candidate is None:
            self.unreadable += 1
            return
        self.audited += 1
        if len(candidate.failing) > NEARLY:
            return
        harms = harms_of(candidate)
        if candidate.failing:
            self.nearly += 1
            if harms:
                self.only[candidate.failing[0]] += 1
                self.teeth.setdefault(candidate.failing[0], _found(text, harms[0]))
        else:
            self.clean += 1
            self._keep(text, harms)
        self._adopt(Parent(data, len(candidate.failing), len(harms)), random)

    def _keep(self, text: str, harms: Iterable[Harmful]) -> None:
        for harmful in harms:
            fault, hazard, part = harmful.key
            self.found.setdefault(f"{fault}: {hazard} at {part}", _found(text, harmful))

    def _adopt(self, parent: Parent, random: Random) -> None:
        if len(self.parents) < POOL:
            self.parents.append(parent)
        else:
            self.parents[random.randrange(POOL)] = parent

    def written(self) -> str:
        """The whole search as JSON."""
        return json.dumps({
            "seed": self.seed, "rounds": self.rounds, "audited": self.audited, "unreadable": self.unreadable,
            "clean": self.clean, "nearly": self.nearly, "only": dict(self.only), "seen": sorted(self.seen),
            "found": {key: asdict(found) for key, found in self.found.items()},
            "teeth": {key: asdict(found) for key, found in self.teeth.items()},
            "parents": [asdict(parent) for parent in self.parents]})


def _found(text: str, harmful: Harmful) -> Found:
    step = harmful.harm.step
    return Found(text, *harmful.key, harmful.harm.says, step.number if step is not None else None)


def begun(seed: int, seeds: Iterable[Data]) -> Search:
    """A search that begins with these clean plans."""
    return Search(seed, [Parent(data, 0, 0) for data in seeds])


def gone_on_with(file: Path) -> Search:
    """The search that a file holds."""
    data: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    parents = [Parent(**parent) for parent in data.pop("parents")]
    found, teeth = ({key: Found(**one) for key, one in data.pop(name).items()} for name in ("found", "teeth"))
    return Search(**{**data, "parents": parents, "found": found, "teeth": teeth, "only": Counter(data["only"]),
                     "seen": set(data["seen"])})
