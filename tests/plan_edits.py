"""Edits of a plan, as data: a fact hidden, a range narrowed, the same said otherwise."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from typing import Any

from tests.plan_steps import volts

Data = dict[str, Any]
Path = tuple[str | int, ...]

RANGE = re.compile(r"(?P<low>[0-9.]*[0-9])\.\.(?P<high>[0-9][0-9.]*) (?P<unit>\S+)")

NOT_FACTS = {
    "title": "says nothing of the bench", "description": "says nothing of the bench", "name": "tells items apart",
    "filter_capacitors": "a list: what it holds is stated item by item", "line_capacitors": "a list", "chain": "closed",
    "instruments": "a list", "proved": "evidence: what is not written has not been done",
    "continuity_checked": "evidence", "relies_on": "what the plan writes down to rely on",
    "band": "has a printed assumption", "peak_voltage": "has a printed assumption",
    "leakage": "a defect that somebody has found: what is not written has not been found",
    "connected_to": "what is not written to be connected is not", "how": "words",
    "good_for": "goes with `proved`: an entry of the register has both",
}
"""Keys that hiding leaves alone, and why; steps and stop rules are closed lists and are left alone too."""
ASSUMED = (("mains", "kind"),)
"""Places that hiding leaves alone since their silence is a printed assumption, though the key means more elsewhere."""


SPANS = {
    "output": "how far the dial goes", "range": "how far the meter goes", "expect": "a criterion",
    "plug_resistance": "what is usual for sets of this kind, against which the reading is held",
}
"""Keys whose range says how far something reaches, not how little is known of it."""


def at(data: Any, path: Path) -> Any:
    """What stands at a path."""
    for part in path:
        data = data[part]
    return data


def without(data: Data, path: Path) -> Data:
    """A copy without what stands at a path; a mapping left empty by it goes as well."""
    copy = deepcopy(data)
    owner = at(copy, path[:-1])
    del owner[path[-1]]
    if owner == {} and len(path) > 2 and isinstance(path[-2], str):
        return _emptied(copy, path[:-1])
    return copy


def _emptied(copy: Data, path: Path) -> Data:
    above = at(copy, path[:-1])
    if isinstance(path[-2], int):  # an element of the chain of which nothing is stated any more
        at(copy, path[:-2])[path[-2]] = path[-1]
    elif path[-1] == "lamp":
        above["lamp"] = {"power": "unknown"}  # there is a lamp still
    else:
        del above[path[-1]]
    return copy


def replaced(data: Data, path: Path, value: Any) -> Data:
    copy = deepcopy(data)
    at(copy, path[:-1])[path[-1]] = value
    return copy


def facts(data: Data) -> Iterator[Path]:
    """Where the plan states something that it might have left out."""
    for part in ("procedure", "mains", "set", "bench"):
        yield from (path for path in _facts(data.get(part, {}), (part,)) if path not in ASSUMED)
    for i, step in enumerate(data["steps"]):
        for verb in ("change_lamp", "fit_lamp"):
            if isinstance(step.get(verb), dict) and len(step[verb]) > 1:
                yield from ((("steps", i, verb, key)) for key in step[verb])


def _facts(value: Any, path: Path) -> Iterator[Path]:
    if isinstance(value, list):
        for i, item in enumerate(value):
            yield from _facts(item, (*path, i))
    elif isinstance(value, dict):
        for key, item in value.items():
            lists = isinstance(item, list) and key in ("filter_capacitors", "line_capacitors", "chain", "instruments")
            if key not in NOT_FACTS or lists:
                if not (isinstance(item, (dict, list)) and key != "fuse"):
                    yield (*path, key)
                yield from _facts(item, (*path, key))


def ranges(data: Any, path: Path = ()) -> Iterator[Path]:
    """Where a quantity is given as a range because it is uncertain."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, item in items:
        if key in SPANS:
            continue
        if isinstance(item, str):
            if RANGE.fullmatch(item) and not (path and path[0] == "stop"):
                yield (*path, key)
        else:
            yield from ranges(item, (*path, key))


def narrowed(text: str, choice: int) -> str:
    """A range inside the range: one of its ends, its middle, or a half."""
    found = RANGE.fullmatch(text)
    assert found is not None
    low, high = float(found["low"]), float(found["high"])
    middle = (low + high) / 2
    ends = ((low, low), (high, high), (middle, middle), (low, middle), (middle, high))[choice % 5]
    shown = f"{ends[0]:g}" if ends[0] == ends[1] else f"{ends[0]:g}..{ends[1]:g}"
    return f"{shown} {found['unit']}"


def with_switches(data: Data) -> Data:
    """A copy that says of the outlet, the limiter and the set how they are switched, where it did not."""
    copy = deepcopy(data)
    copy["set"].setdefault("switch", "in the live line")
    for i, part in enumerate(copy["bench"]["chain"]):
        kind, stated = (part, {}) if isinstance(part, str) else next(iter(part.items()))
        if kind in UNSAID:
            key, usual = UNSAID[kind]
            copy["bench"]["chain"][i] = {kind: {key: usual, **stated}}
    return copy


UNSAID = {"outlet": ("switch", "ordinary"), "limiter": ("bypass", "open")}
"""Of the elements that break the chain: the key that says how, and what is usual."""


# The same plan, said otherwise


def staged_out(data: Data) -> Data:
    """Every `raise` written out as the settings of the dial that it stands for."""
    copy = deepcopy(data)
    steps: list[Data] = []
    dial = 0.0
    for step in data["steps"]:
        if "raise" not in step:
            steps.append(step)
            if "set_dial" in step:
                dial = volts(step["set_dial"])[1]
            continue
        up, beside = step["raise"], {key: value for key, value in step.items() if key != "raise"}
        here = volts(up["from"])[0] if "from" in up else dial
        by, top = volts(up["by"])[0], volts(up["to"])[0]
        stage = 1
        while here + stage * by < top * (1 - 1e-9):
            steps.append({"set_dial": f"{here + stage * by:.10g} V", **beside})
            stage += 1
        steps.append({"set_dial": up["to"], **beside})
        dial = top
    copy["steps"] = steps
    return copy


def split_hold(data: Data, number: Callable[[int], int]) -> Data | None:
    """A hold of minutes in two: the step holds for a part of it, and a `wait` that takes no time of its own the rest,
    with the same readings."""
    found = [i for i, step in enumerate(data["steps"]) if re.fullmatch(r"[0-9]+ min", step.get("hold", ""))
             and "raise" not in step]
    if not found:
        return None
    copy = deepcopy(data)
    where = found[number(len(found))]
    step = copy["steps"][where]
    seconds = 60 * int(step["hold"].split(" ")[0])
    first = 1 + number(seconds - 1)
    step["hold"] = f"{first} s"
    rest: Data = {"wait": f"{seconds - first} s", "takes": "0 s"}
    rest.update({key: step[key] for key in ("read", "expect", "attended") if key in step})
    copy["steps"].insert(where + 1, rest)
    return copy


def swapped_checks(data: Data, number: Callable[[int], int]) -> Data | None:
    """Two cold checks that follow each other, the other way round. They share nothing but the time they take."""
    def is_cold(step: Data) -> bool:
        return ("inspect" in step or "measure" in step) and step.get("fed_from") is None

    steps = data["steps"]
    found = [i for i in range(len(steps) - 1) if is_cold(steps[i]) and is_cold(steps[i + 1])]
    if not found:
        return None
    copy = deepcopy(data)
    i = found[number(len(found))]
    copy["steps"][i], copy["steps"][i + 1] = steps[i + 1], steps[i]
    return copy
