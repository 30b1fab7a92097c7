"""A rule broken and kept: the lines in which two of its examples differ, as a plan would write them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from typing import Any

from msgspec import Struct

from auditor.rulebook.examples import USUAL_BASE, changes_of, example
from auditor.rulebook.rule import Rule, Rulebook

PLAIN = re.compile(r"[A-Za-z0-9+.]([^,\[\]{}#:\"']|:(?! ))*")
"""Text that means itself inside braces, without quotes."""

NATURE = frozenset(("power_supply", "made_for", "motor", "chassis", "common", "rectifier", "heaters", "plug", "switch",
                    "output", "special_parts", "purpose", "rated_voltage", "rated_power"))
"""What a set is, or what the work is for: nobody mends a plan by another set."""
POWERING = ("- {plug_in: ", "- {set_dial: ", "- {raise: ", "- {bring_set_to: ", "- {switch_on: ")
FAR = 10


class Line(Struct, frozen=True):
    """One line of a plan. under: the keys above it, from the outermost; same: whether it stands in both plans, and is shown
    only to tell the place."""

    under: tuple[str, ...]
    text: str
    same: bool = False


class BeforeAndAfter(Struct, frozen=True):
    """title: of the plan. before: lines with which the rule is broken; after: with which it is kept. Either may be empty."""

    title: str
    before: tuple[Line, ...]
    after: tuple[Line, ...]


def before_and_after(rule: Rule, rulebook: Rulebook) -> BeforeAndAfter | None:
    """The first example that breaks the rule, beside the one most like it that keeps it.

    Where all that keep it change another base plan, it is the base plan itself, on which no rule is broken.
    None for a rule without examples, which a policy asks for. Raises Unreadable where one is missing or cannot be built.
    """
    changes = changes_of(rule, rulebook)
    broken = next((change for outcome, change in changes if outcome == "broken"), None)
    if broken is None:
        return None
    kept = [change for outcome, change in changes if outcome == "kept" and _base(change) == _base(broken)]
    data = example(broken)
    lines = tuple(plan_lines(data))
    pairs = [_between(lines, tuple(plan_lines(example(change)))) for change in kept or [{"base": _base(broken)}]]
    before, after = min(pairs, key=_cost)
    header = data.get("procedure")
    return BeforeAndAfter(str(header.get("title")) if isinstance(header, dict) else "", before, after)


def _cost(pair: tuple[tuple[Line, ...], tuple[Line, ...]]) -> int:
    """How little one pair teaches: its lines, the more so those that are only left out; and far more where the set is
    another one or is simply not powered."""
    before, after = (tuple(line for line in lines if not line.same) for lines in pair)
    nature = sum(line.text.partition(":")[0] in NATURE for line in (*before, *after) if line.under != ("steps",))
    left_out = max(0, len(before) - len(after))
    return max(len(before), len(after)) + left_out + FAR * (nature + max(0, _powering(before) - _powering(after)))


def _powering(lines: tuple[Line, ...]) -> int:
    return sum(line.text.startswith(POWERING) for line in lines)


def _base(change: Any) -> str:
    return str(change.get("base", USUAL_BASE)) if isinstance(change, dict) else USUAL_BASE


def plan_lines(data: dict[str, Any]) -> Iterator[Line]:
    """The data of a plan, one line for every property, element, instrument, capacitor and step."""
    for key, value in data.items():
        yield from _lines((), key, value)


def _lines(under: tuple[str, ...], key: str, value: Any) -> Iterator[Line]:
    if isinstance(value, dict) and len(under) == 0:
        for inner, item in value.items():
            yield from _lines((key,), inner, item)
    elif isinstance(value, list) and any(isinstance(item, dict) for item in value):
        yield from (Line((*under, key), f"- {in_flow(item)}") for item in value)
    else:
        yield Line(under, f"{key}: {in_flow(value)}")


def in_flow(value: Any) -> str:
    """A value on one line.

    >>> in_flow({"inspect": "cord", "expect": "no crack, no nick", "otherwise": "stop"})
    '{inspect: cord, expect: "no crack, no nick", otherwise: stop}'
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {in_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(in_flow, value)) + "]"
    text = str(value)
    return text if PLAIN.fullmatch(text) and text == text.strip() else json.dumps(text, ensure_ascii=False)


def _between(one: tuple[Line, ...], other: tuple[Line, ...]) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The lines in which two plans differ; where one has only more, the lines beside it too, so that the place is seen."""
    before: dict[int, Line] = {}
    after: dict[int, Line] = {}
    for kind, i, i_end, j, j_end in SequenceMatcher(None, one, other, autojunk=False).get_opcodes():
        if kind == "equal":
            continue
        more = one[i:i_end] or other[j:j_end]
        in_a_list = kind != "replace" and more[0].text.startswith("- ")
        beside = 1 if in_a_list else 0
        before.update(_shown(one, i, i_end, beside, more[0].under))
        after.update(_shown(other, j, j_end, beside, more[0].under))
    return tuple(before[k] for k in sorted(before)), tuple(after[k] for k in sorted(after))


def _shown(lines: tuple[Line, ...], start: int, end: int, beside: int, under: tuple[str, ...]) -> Iterable[tuple[int, Line]]:
    for k in range(max(0, start - beside), min(len(lines), end + beside)):
        line = lines[k]
        if start <= k < end:
            yield k, line
        elif line.under == under:
            yield k, Line(line.under, line.text, same=True)
