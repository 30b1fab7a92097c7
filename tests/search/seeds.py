"""Where the search starts: clean plans of every kind."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from typing import Any

from auditor.plan.files import plan_texts
from auditor.plan.yaml_text import parse_yaml
from auditor.rulebook.examples import example
from tests.search.candidate import ROOT, judged

Data = dict[str, Any]
BASES = ("five-tube", "transformer-set", "switching-set", "record-player")


@cache
def seeds() -> tuple[Data, ...]:
    """The example procedures without a flaw, and the base plans of the rules."""
    return (*_procedures(), *(example({"base": name}) for name in BASES))


def _procedures() -> Iterator[Data]:
    for file in sorted((ROOT / "procedures").iterdir()):
        if file.name.startswith("flawed") or file.name.endswith(".card.yaml"):
            continue
        for text in plan_texts(str(file)):
            data: Any = parse_yaml(text.text).data
            if isinstance(data, dict):
                yield data


def shortened(data: Data) -> Data:
    """The plan without every step that it can lose and stay clean, tried from the last to the first: what is left of it
    stands alone between the plan and a broken rule."""
    for index in reversed(range(len(data["steps"]))):
        shorter = deepcopy(data)
        del shorter["steps"][index]
        candidate = judged(shorter, most=0)
        if candidate is not None and not candidate.failing:
            data = shorter
    return data
