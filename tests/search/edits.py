"""Edits of plans as data, towards trouble: something left out, moved, turned up, put in, said otherwise."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from random import Random
from typing import Any

from auditor.plan import chain, equipment, verbs

Data = dict[str, Any]
Path = tuple[str | int, ...]
QUANTITY = re.compile(r"(?P<low>\.\.|[0-9.]*[0-9])(?P<rest>(?:\.\.)?(?:[0-9.]*[0-9])?) (?P<unit>\S+)")
FACTORS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.1, 1.5, 2.0, 4.0, 10.0)
WORDS: dict[str, tuple[str, ...]] = {
    "power_supply": equipment.POWER_SUPPLIES, "chassis": equipment.CHASSIS, "earth": equipment.EARTHS,
    "made_for": (*equipment.CURRENTS, "either"), "frequency": equipment.IRON_FREQUENCIES,
    "mains_tap": ("none", "110 V", "120 V"),
    "common": equipment.COMMONS, "condition": equipment.CONDITIONS, "between": equipment.LINE_PLACES,
    "class": equipment.CAPACITOR_CLASSES, "neutral_to": equipment.NEUTRAL_TO, "speaker": equipment.LOADS,
    "output": equipment.OUTPUTS, "interlock": equipment.INTERLOCKS, "aerial": equipment.LEADS, "earth_lead": equipment.LEADS,
    "polarised": ("yes", "no"), "motor": ("yes", "no"), "complete": ("yes", "no"), "earthed": ("yes", "no"),
    "earth_lifted": ("yes", "no"), "output_earthed": ("yes", "no"), "within_reach": ("yes", "no"),
    "eye_protection": ("yes", "no"), "knows_the_switch": ("yes", "no"), "bypass": ("open", "closed", "none"),
    "attended": ("throughout", "at times", "no"), "second_person": ("beside the bench", "within call", "none"),
    "kind": (*chain.LAMPS, *equipment.RECTIFIERS, "slow", "fast"), "heater": ("direct", "indirect"),
    "connection": ("series", "parallel"), "purpose": chain.PURPOSES, "set_bypass": ("open", "closed"),
    "what": (), "plug_in": verbs.PLUGGED, "unplug": verbs.PLUGGED, "switch_on": verbs.SWITCHED,
    "switch_off": verbs.SWITCHED, "take_out": verbs.TAKEN_OUT, "put_in": verbs.TAKEN_OUT, "connect": verbs.CONNECTED,
    "inspect": verbs.INSPECTED, "prove": verbs.PROVED, "across": verbs.PLACES, "set_switch": ("on", "off", "both"),
    "clip_first": verbs.CLIPPED_FIRST, "where": verbs.WHERE, "otherwise": ("stop",), "fed_from": verbs.FED_FROM,
    "voltage": ("100 V", "120 V", "230 V"), "after": ("lamp cool", "now"), "again": chain.AGAIN,
    "switch": (*equipment.SWITCHES, "ordinary", "emergency"),
}
"""What else may stand under a key that holds a word."""
RISKY: tuple[Data, ...] = (
    {"measure": "voltage", "across": "B+ to chassis", "expect": "50..400 V", "otherwise": "stop"},
    {"work": "look for the cold joint", "where": "inside"}, {"work": "tighten the socket", "where": "limiter"},
    {"work": "clean the terminals", "where": "bench"}, {"work": "clean the knobs", "where": "outside"},
    {"inspect": "inside", "expect": "nothing burnt", "otherwise": "stop"},
    {"inspect": "lamp", "expect": "clear glass", "otherwise": "stop"},
    {"connect": "earth lead"}, {"connect": "aerial"}, {"connect": "second device"}, {"connect": "interlock bypass"},
    {"take_out": "output tubes"}, {"put_in": "output tubes"}, {"take_out": "tubes"}, {"put_in": "tubes"},
    {"take_out": "rectifier tube"}, {"take_out": "back"}, {"take_out": "fuse"}, {"put_in": "fuse"},
    {"set_bypass": "closed"}, {"set_bypass": "open"}, {"remove_lamp": {"after": "lamp cool"}},
    {"change_lamp": {"to": {"power": "150 W", "voltage": "120 V", "kind": "clear filament"}, "after": "lamp cool"}},
    {"switch_on": "outlet"}, {"switch_on": "set"}, {"plug_in": "set"}, {"plug_in": "bench"}, {"switch_off": "set"},
    {"unplug": "set"}, {"unplug": "bench"}, {"set_dial": "117 V"}, {"set_dial": "0 V"}, {"set_dial": "140 V"},
    {"bring_set_to": "117 V", "hold": "30 min"}, {"wait": "1 h"}, {"wait": "40 days"}, {"unclip": "M2"},
    {"clip": "M2", "across": "C1"}, {"measure": "resistance", "across": "plug", "expect": "5 ohm..", "otherwise": "stop"},
    {"measure": "insulation", "across": "B+ to chassis", "how": "500 V", "expect": "2 Mohm..", "otherwise": "stop"},
    {"measure": "leakage", "across": "exposed metal to earth", "fed_from": "wall", "plug_ways": "both", "set_switch": "on",
     "expect": "..0.5 mA", "otherwise": "stop"},
    {"reform": ["C1"], "to": "400 V", "through": "100 kohm", "at_most": "5 mA", "in": "the set"},
    {"find_cause": "why it stopped"},
)
"""Steps that belong somewhere, but not everywhere."""
CHAIN: tuple[Any, ...] = (
    "other_load", {"residual_current_device": {"trips_at": "30 mA"}}, {"isolating_transformer": {"rated_power": "300 W"}},
    {"voltmeter": {"range": "0..200 V"}}, {"ammeter": {"range": "0..5 A"}})

Edit = Callable[[Data, Random], Data | None]


def places(data: Any, path: Path = ()) -> Iterator[Path]:
    """Every place of a value, from the outside in."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from places(value, (*path, key))


def _at(data: Any, path: Path) -> Any:
    for part in path:
        data = data[part]
    return data


def _step_left_out(data: Data, random: Random) -> Data | None:
    del data["steps"][random.randrange(len(data["steps"]))]
    return data if data["steps"] else None


def _run_left_out(data: Data, random: Random) -> Data | None:
    first = random.randrange(len(data["steps"]))
    del data["steps"][first:first + random.randint(2, 6)]
    return data if data["steps"] else None


def _step_moved(data: Data, random: Random) -> Data:
    steps = data["steps"]
    steps.insert(random.randrange(len(steps)), steps.pop(random.randrange(len(steps))))
    return data


def _run_moved(data: Data, random: Random) -> Data:
    steps = data["steps"]
    first, length = random.randrange(len(steps)), random.randint(2, 8)
    run = steps[first:first + length]
    del steps[first:first + length]
    there = random.randrange(len(steps) + 1)
    steps[there:there] = run
    return data


def _step_again(data: Data, random: Random) -> Data:
    steps = data["steps"]
    steps.insert(random.randrange(len(steps) + 1), deepcopy(random.choice(steps)))
    return data


def _neighbours_swapped(data: Data, random: Random) -> Data | None:
    steps = data["steps"]
    if len(steps) < 2:
        return None
    k = random.randrange(len(steps) - 1)
    steps[k], steps[k + 1] = steps[k + 1], steps[k]
    return data


def _risky_step_put_in(data: Data, random: Random) -> Data:
    data["steps"].insert(random.randrange(len(data["steps"]) + 1), deepcopy(random.choice(RISKY)))
    return data


def _fact_left_out(data: Data, random: Random) -> Data | None:
    found = [path for path in places(data) if isinstance(path[-1], str) and len(path) > 1]
    path = random.choice(found)
    del _at(data, path[:-1])[path[-1]]
    return data


def _word_changed(data: Data, random: Random) -> Data | None:
    found = [path for path in places(data) if isinstance(path[-1], str) and WORDS.get(path[-1])
             and isinstance(_at(data, path), str)]
    if not found:
        return None
    path = random.choice(found)
    _at(data, path[:-1])[path[-1]] = random.choice(WORDS[str(path[-1])])
    return data


def _quantity_changed(data: Data, random: Random) -> Data | None:
    found = [path for path in places(data) if isinstance(value := _at(data, path), str) and QUANTITY.fullmatch(value)]
    if not found:
        return None
    path = random.choice(found)
    text = _at(data, path)
    factor = random.choice(FACTORS)
    _at(data, path[:-1])[path[-1]] = re.sub(r"[0-9]+(?:\.[0-9]+)?", lambda m: f"{float(m[0]) * factor:.4g}", text)
    return data


def _chain_changed(data: Data, random: Random) -> Data | None:
    elements = data.get("bench", {}).get("chain")
    if not isinstance(elements, list) or len(elements) < 2:
        return None
    match random.randrange(3):
        case 0:
            del elements[random.randrange(len(elements))]
        case 1:
            elements.insert(random.randrange(len(elements)), elements.pop(random.randrange(len(elements))))
        case _:
            elements.insert(random.randrange(len(elements) + 1), deepcopy(random.choice(CHAIN)))
    return data


def _item_left_out(data: Data, random: Random) -> Data | None:
    lists = [path for path in places(data) if isinstance(_at(data, path), list) and _at(data, path) and path != ("steps",)]
    if not lists:
        return None
    chosen = _at(data, random.choice(lists))
    del chosen[random.randrange(len(chosen))]
    return data


EDITS: tuple[tuple[Edit, int], ...] = (
    (_step_left_out, 5), (_run_left_out, 2), (_step_moved, 5), (_run_moved, 2), (_step_again, 2), (_neighbours_swapped, 3),
    (_risky_step_put_in, 6), (_fact_left_out, 4), (_word_changed, 5), (_quantity_changed, 6), (_chain_changed, 2),
    (_item_left_out, 2))
"""Each edit and how often it is chosen."""


def edited(data: Data, random: Random, most: int = 9) -> Data | None:
    """A copy with one to `most` edits; None where the last found nothing to change."""
    whole: Data | None = deepcopy(data)
    edits, weights = [edit for edit, _ in EDITS], [weight for _, weight in EDITS]
    for edit in random.choices(edits, weights, k=random.randint(1, most)):
        if whole is None or not whole.get("steps"):
            return None
        whole = edit(whole, random)
    return whole
