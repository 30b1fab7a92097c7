"""Safeguards put into a plan or taken away, and dangers: one pair of edits for each word that rules declare.

An edit is None where there is nothing to edit, or where the edited plan would not have the safeguard as it should be:
a dial turned beyond its scale, a bypass opened that is not there.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

from tests.plan_edits import Data, Path, without
from tests.plan_steps import volts

Number = Callable[[int], int]
"""From a bound to a number of choice from 0 up to just below it."""

Edit = Callable[[Data, Number], Data | None]
"""From a plan and a source of choices to the edited plan."""

# `add_*` puts in one that suits; `drop_*` takes away one that suits.

GOOD_CHECKS: tuple[Data, ...] = (
    {"inspect": "cord", "expect": "no crack or nick", "otherwise": "stop"},
    {"inspect": "inside", "expect": "nothing burnt or loose", "otherwise": "stop"},
    {"inspect": "capacitors", "expect": "polarity as marked", "otherwise": "stop"},
    {"inspect": "fuse", "expect": "the size on the plate", "otherwise": "stop"},
    {"measure": "resistance", "across": "plug", "set_switch": "off", "expect": "10 Mohm..", "otherwise": "stop"},
    {"measure": "insulation", "across": "mains to chassis", "expect": "2 Mohm..", "otherwise": "stop"},
    {"measure": "resistance", "across": "speaker", "expect": "2..8 ohm", "otherwise": "stop"},
    {"measure": "resistance", "across": "earth pin to chassis", "expect": "..0.1 ohm", "otherwise": "stop"},
    {"measure": "resistance", "across": "B+ to common", "settle": "30 s", "expect": "15 kohm..", "otherwise": "stop"},
    {"measure": "resistance", "across": "B+ to chassis", "settle": "30 s", "expect": "15 kohm..", "otherwise": "stop"},
    {"measure": "resistance", "across": "neutral to common", "expect": "..1 ohm", "otherwise": "stop"},
    {"measure": "resistance", "across": "neutral to chassis", "expect": "..1 ohm", "otherwise": "stop"},
    {"measure": "continuity", "across": "limiter earth", "expect": "..1 ohm", "otherwise": "stop"},
    {"measure": "continuity", "across": "limiter neutral", "expect": "..1 ohm", "otherwise": "stop"},
    {"measure": "continuity", "across": "limiter live", "expect": "10..100 ohm", "otherwise": "stop"},
)
PROOFS: tuple[Data, ...] = (
    {"prove": "isolation", "how": "set outlet to earth", "expect": "..0.5 mA", "otherwise": "stop"},
    {"prove": "limiter", "how": "shorted plug", "expect": {"lamp": "full", "set_voltage": "..2 V"}, "otherwise": "stop"},
    {"prove": "M1", "on": "known source", "expect": "114..126 V", "otherwise": "stop"},
)
PROOFS_OF_DEATH: tuple[Data, ...] = (
    {"prove_dead": {"each": "all", "below": "10 V", "instrument": "M1"}, "otherwise": "stop"},)
PROOFS_OF_INSULATION: tuple[Data, ...] = (
    {"measure": "leakage", "across": "exposed metal to earth", "how": "1.5 kohm", "fed_from": "wall", "plug_ways": "both",
     "set_switch": "both", "expect": "..0.5 mA", "otherwise": "stop"},
)
GOOD_DISCHARGES: tuple[Data, ...] = (
    {"discharge": {"each": "all", "through": "10 kohm 10 W", "for": "1 h", "clip_first": "chassis"}},)


def _insert(good: tuple[Data, ...]) -> Edit:
    def edit(data: Data, number: Number) -> Data | None:
        step = good[number(len(good))]
        if step.get("prove") == "M1" and not any(i["name"] == "M1" for i in data["bench"].get("instruments", [])):
            return None
        copy = deepcopy(data)
        copy["steps"].insert(number(len(copy["steps"]) + 1), step)
        return copy
    return edit


def _remove(good: tuple[Data, ...]) -> Edit:
    def edit(data: Data, number: Number) -> Data | None:
        shapes = [{k: v for k, v in step.items() if k not in ("expect", "how")} for step in good]
        found = [i for i, step in enumerate(data["steps"])
                 if {k: v for k, v in step.items() if k not in ("expect", "how", "takes")} in shapes]
        return without(data, ("steps", found[number(len(found))])) if found else None
    return edit


def _position(data: Data, kind: str) -> int | None:
    chain = data["bench"]["chain"]
    return next((i for i, part in enumerate(chain) if part == kind or (isinstance(part, dict) and kind in part)), None)


def _add_element(element: Data, before: str) -> Edit:
    kind = next(iter(element))

    def edit(data: Data, number: Number) -> Data | None:
        if _position(data, kind) is not None:
            return None
        where = _position(data, before)
        copy = deepcopy(data)
        copy["bench"]["chain"].insert(where if where is not None else 0, deepcopy(element))
        return copy
    return edit


def _drop_element(kind: str) -> Edit:
    def edit(data: Data, number: Number) -> Data | None:
        where = _position(data, kind)
        if where is None:
            return None
        copy = without(data, ("bench", "chain", where))
        return copy if _position(copy, kind) is None else None  # one of two is not its absence
    return edit


def _state(path: Path, value: Any) -> Edit:
    """State this; what leads there is made where it is missing."""
    def edit(data: Data, number: Number) -> Data | None:
        copy = deepcopy(data)
        here: Any = copy
        for part in path[:-1]:
            here = here.setdefault(part, {})
        if here.get(path[-1]) == value:
            return None
        here[path[-1]] = value
        return copy
    return edit


def _state_in_element(kind: str, key: str, value: Any) -> Edit:
    def edit(data: Data, number: Number) -> Data | None:
        where = _position(data, kind)
        if where is None:
            return None
        copy = deepcopy(data)
        part = copy["bench"]["chain"][where]
        stated = {} if isinstance(part, str) else part[kind]
        if key == "bypass" and stated.get("bypass") == "none":
            return None  # there is none to open or to close
        copy["bench"]["chain"][where] = {kind: {**stated, key: value}}
        return copy
    return edit


def _scaled_dial(factor: float) -> Edit:
    """Every setting of the dial, and every stage, larger or smaller in proportion, as far as the scale goes."""
    def scaled(text: str) -> str:
        low, high = (f"{end * factor:.6g}" for end in volts(text))
        return f"{low} V" if low == high else f"{low}..{high} V"

    def edit(data: Data, number: Number) -> Data | None:
        copy = deepcopy(data)
        for step in copy["steps"]:
            for verb in ("set_dial", "bring_set_to"):
                if verb in step:
                    step[verb] = scaled(step[verb])
            if "raise" in step:
                step["raise"] = {key: scaled(value) for key, value in step["raise"].items()}
        where = _position(data, "autotransformer")
        stated = data["bench"]["chain"][where] if where is not None else None
        scale = stated["autotransformer"].get("output") if isinstance(stated, dict) else None
        highest = max((volts(text)[1] for step in copy["steps"] for text in (
            step.get("set_dial"), step.get("bring_set_to"), step.get("raise", {}).get("to")) if text), default=0.0)
        return None if scale and highest > volts(scale)[1] else copy
    return edit


def _finer_stages(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    for step in copy["steps"]:
        if "raise" in step:
            step["raise"]["by"] = f"{volts(step['raise']['by'])[0] / 2:g} V"
    return copy


def _coarser_stages(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    for step in copy["steps"]:
        if "raise" in step:
            step["raise"]["by"] = f"{volts(step['raise']['by'])[0] * 2:g} V"
    return copy


def _holds(longer: bool) -> Edit:
    """Every hold with the dial up twice as long, or half as long."""
    units = {"s": 1.0, "min": 60.0, "h": 3600.0}

    def edit(data: Data, number: Number) -> Data | None:
        copy = deepcopy(data)
        for step in copy["steps"]:
            if "hold" in step:
                numbers, unit = step["hold"].split(" ")
                ends = [f"{float(end) * units[unit] * (2 if longer else 0.5):g}" for end in numbers.split("..")]
                step["hold"] = f"{'..'.join(ends)} s"
        return copy
    return edit


def _lamps(factor: float) -> Edit:
    def times(watts: str) -> str:
        numbers, unit = watts.split(" ")
        return "..".join(f"{float(end) * factor:g}" for end in numbers.split("..")) + f" {unit}"

    def larger(lamp: Data) -> None:
        if "power" in lamp:  # of one lamp, or of each of several
            watts = lamp["power"]
            lamp["power"] = [times(each) for each in watts] if isinstance(watts, list) else times(watts)

    def edit(data: Data, number: Number) -> Data | None:
        copy = deepcopy(data)
        where = _position(copy, "limiter")
        stated = copy["bench"]["chain"][where] if where is not None else None
        if isinstance(stated, dict) and isinstance(stated["limiter"].get("lamp"), dict):
            larger(stated["limiter"]["lamp"])
        for step in copy["steps"]:
            for verb in ("change_lamp", "fit_lamp"):
                if isinstance(step.get(verb), dict):
                    larger(step[verb])
        return copy
    return edit


def _attended(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    copy["bench"].setdefault("people", {})["attended"] = "throughout"
    for step in copy["steps"]:
        if step.get("attended") == "no":
            step["attended"] = "yes"
    return copy


def _unattended(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    copy["bench"].setdefault("people", {})["attended"] = "no"
    for step in copy["steps"]:
        if step.get("attended") == "yes":
            step["attended"] = "no"
    return copy


def _second_person(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    copy["bench"].setdefault("people", {}).update(second_person="within call", knows_the_switch="yes")
    return copy


def _fuse_that_suits(data: Data, number: Number) -> Data | None:
    """A slow fuse of twice the running current, where one number for that current is stated."""
    power, voltage = (data["set"].get(key, "") for key in ("rated_power", "rated_voltage"))
    if not power or not voltage or ".." in voltage:
        return None
    low, high = (float(end) for end in (power.removesuffix(" W").split("..") * 2)[:2])
    if high > 1.5 * low:
        return None
    rating = f"{(low + high) / float(voltage.removesuffix(' V')):.3g} A"
    return _state(("set", "fuse"), {"rating": rating, "kind": "slow"})(data, number)


def _earthed_instrument(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    copy["bench"].setdefault("instruments", []).append({
        "name": "S9", "kind": "oscilloscope", "supply": "mains", "earthed": "yes", "connected_to": "chassis"})
    return copy


def _nothing_earthed(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    for instrument in copy["bench"].get("instruments", []):
        instrument["earthed"] = "no"
    return copy


def _lead_on(data: Data, number: Number) -> Data | None:
    copy = deepcopy(data)
    copy["steps"].insert(number(len(copy["steps"]) + 1), {"connect": "earth lead", "at": "chassis"})
    return copy


def _nothing_joined(data: Data, number: Number) -> Data | None:
    """No bond, no lead, no earthed output: written as facts, and no step that connects a lead."""
    copy = deepcopy(data)
    copy["set"].update(earth="floating", aerial="disconnected", earth_lead="disconnected")
    copy = _state_in_element("isolating_transformer", "output_earthed", "no")(copy, number) or copy
    copy["steps"] = [s for s in copy["steps"] if s.get("connect") not in ("aerial", "earth lead")] or [{"wait": "1 s"}]
    return copy


ISOLATION: Data = {"isolating_transformer": {"rated_power": "500 W", "output_earthed": "no"}}
LIMITER: Data = {"limiter": {"lamp": {"power": "25 W", "voltage": "120 V", "kind": "clear filament"}, "bypass": "open"}}

Edits = tuple[tuple[Edit, ...], tuple[Edit, ...]]

PROOF_OF: dict[str, Edits] = {
    "leave-every-capacitor-dead": ((_insert(PROOFS_OF_DEATH),), (_remove(PROOFS_OF_DEATH),)),
    "prove-dead-before-reaching-in": ((_insert(PROOFS_OF_DEATH),), (_remove(PROOFS_OF_DEATH),)),
    "prove-dead-by-a-number": ((_insert(PROOFS_OF_DEATH),), ()),
    "leakage-test-before-handing-over": ((_insert(PROOFS_OF_INSULATION),), (_remove(PROOFS_OF_INSULATION),)),
}
"""For the rules to which `proof` means another one than that of the limiter, the isolation or the meter."""

WORDS: dict[str, Edits] = {
    "inspection": ((_insert(GOOD_CHECKS),), (_remove(GOOD_CHECKS),)),
    "proof": ((_insert(PROOFS),), (_remove(PROOFS),)),
    "discharge": ((_insert(GOOD_DISCHARGES),), (_remove(GOOD_DISCHARGES),)),
    "isolating_transformer": ((_add_element(ISOLATION, "autotransformer"),), (_drop_element("isolating_transformer"),)),
    "limiter": ((_add_element(LIMITER, "set"),), (_drop_element("limiter"),)),
    "bypass_open": ((_state_in_element("limiter", "bypass", "open"),), (_state_in_element("limiter", "bypass", "closed"),)),
    "lamp_power": ((_lamps(1.5),), (_lamps(0.6),)),
    "hold": ((_holds(True),), (_holds(False),)),
    "dial": ((_scaled_dial(1.1),), (_scaled_dial(0.9),)),
    "dial_step": ((_coarser_stages,), (_finer_stages,)),
    "fuse": ((_fuse_that_suits,), (_state(("set", "fuse"), "none"),)),
    "second_person": ((_second_person,), (_state(("bench", "people", "second_person"), "none"),)),
    "attended": ((_attended,), (_unattended,)),
    "earth_joined": ((_state(("set", "earth"), "bonded"), _lead_on), (_nothing_joined,)),
    "earthed_instrument": ((_earthed_instrument,), (_nothing_earthed,)),
}
"""For each word of `helped_by` and `harmed_by` the edits that put it in, and those that take it away."""


def edits_of(word: str, rule: str) -> Edits:
    """The edits of a word as this rule means it."""
    return PROOF_OF.get(rule, WORDS[word]) if word == "proof" else WORDS[word]
