"""Plans that do harm and that one rule alone stops:  python -m tests.search.teeth --minutes 10 [--only RULE ...]

For every serious rule for which the folder `teeth/` holds none: starts from the examples in which nothing but this rule
fails, edits them with the rule switched off, and writes down the first plan that does harm, without the steps it can lose.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable
from copy import deepcopy
from pathlib import Path
from random import Random
from typing import Any

from auditor.plan.yaml_text import parse_yaml
from auditor.rulebook.examples import changes_of, example
from auditor.rulebook.rule import Rule
from tests.plan_text import as_text
from tests.search.candidate import RULEBOOK, Harmful, harms_of, judged, serious_rules
from tests.search.edits import Data, edited

FOLDER = Path(__file__).parent / "teeth"


def bites(data: Data, rule: str) -> list[Harmful]:
    """The harms of a plan of which this rule, and no other serious one, is not kept; none of any other plan."""
    candidate = judged(data, most=1)
    return harms_of(candidate) if candidate is not None and candidate.failing == (rule,) else []


def kept(rule: str) -> Data | None:
    """The plan that is kept for a rule."""
    file = FOLDER / f"{rule}.yaml"
    return read(file.read_text(encoding="utf-8")) if file.is_file() else None


def read(text: str) -> Data:
    data: Any = parse_yaml(text).data
    assert isinstance(data, dict)
    return data


def looked_for(rule: Rule, until: float, random: Random) -> Data | None:
    """A plan that only this rule stops, looked for until a time of the clock [s]."""
    parents = [example(change) for outcome, change in changes_of(rule, RULEBOOK) if outcome in ("broken", "undetermined")]
    for data in parents:
        if bites(data, rule.name):
            return data
    while parents and time.monotonic() < until:
        data = edited(random.choice(parents), random, 4)
        candidate = judged(data, most=1, off=frozenset({rule.name})) if data is not None else None
        if data is None or candidate is None or candidate.failing:
            continue
        if bites(data, rule.name):
            return data
        parents.append(data)
    return None


def shortened(data: Data, rule: str) -> Data:
    """The plan without every step that it can lose and still bite."""
    for index in reversed(range(len(data["steps"]))):
        shorter = deepcopy(data)
        del shorter["steps"][index]
        if shorter["steps"] and bites(shorter, rule):
            data = shorter
    return data


def keep(rule: str, data: Data) -> None:
    """Write the plan down, with what it does."""
    short = shortened(data, rule)
    harm = bites(short, rule)[0]
    what = f"{harm.fault or 'with everything well'}: {harm.harm.says}"
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / f"{rule}.yaml").write_text(f"# Only `{rule}` stops this: {what}.\n{as_text(short)}", encoding="utf-8")


def main(arguments: Iterable[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.search.teeth")
    parser.add_argument("--minutes", type=float, default=1.0, help="for each rule")
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(None if arguments is None else list(arguments))
    for rule in serious_rules():
        if (asked.only and rule.name not in asked.only) or kept(rule.name) is not None:
            continue
        found = looked_for(rule, time.monotonic() + 60 * asked.minutes, Random(f"{asked.seed} {rule.name}"))
        print(f"{rule.name}: {'found' if found else 'none'}", flush=True)
        if found is not None:
            keep(rule.name, found)


if __name__ == "__main__":
    main()
