"""Edits of the club's procedures that read well and would hurt somebody, burn or burst: each is found or refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from auditor.plan.files import PlanText
from auditor.plan.yaml_text import parse_yaml
from auditor.review.run import Reviewed, review_text
from auditor.rulebook.load import load_rulebook

FOLDER = Path(__file__).parents[2] / "procedures"
TODAY = date(2026, 11, 20)
RULEBOOK = load_rulebook()
FIVE, PLAYER, DIRECT, TELEVISION = (
    "five-tube-series-heaters.yaml", "record-player-with-motor.yaml", "direct-current-set.yaml", "small-television.yaml")
LAMP_AND_ISOLATION = ("isolating_transformer", "limiter")
Data = dict[str, Any]
Edit = Callable[[Data], object]
AT_THE_WALL = {"measure": "leakage", "across": "exposed metal to earth", "fed_from": "wall", "set_switch": "both",
               "plug_ways": "both", "expect": "..0.5 mA", "otherwise": "stop"}


def reviewed(procedure: str, edit: Edit) -> Reviewed:
    data = parse_yaml((FOLDER / procedure).read_text(encoding="utf-8")).data
    edit(data)
    return review_text(PlanText((FOLDER / procedure).as_posix(), json.dumps(data)), RULEBOOK, TODAY)


def without(data: Data, *elements: str) -> None:
    """Takes elements out of the chain, and what is done with them out of the steps."""
    data["bench"]["chain"] = [e for e in data["bench"]["chain"] if not any(name in e for name in elements)]
    done = {"limiter": ("change_lamp", "set_bypass")}
    data["steps"] = [s for s in data["steps"] if not any(
        s.get("prove") in (name, "isolation") or any(verb in s for verb in done.get(name, ())) for name in elements)]
    for step in data["steps"]:
        step["read"] = [reading for reading in step.get("read", []) if reading != "lamp"]


def element(data: Data, kind: str) -> Data:
    return next(e[kind] for e in data["bench"]["chain"] if kind in e)


def after_the_last(data: Data, verb: str, *steps: Data) -> None:
    i = max(i for i, step in enumerate(data["steps"]) if verb in step)
    data["steps"][i + 1:i + 1] = steps


def heaters_alone(data: Data) -> None:
    """The series heaters of the set by themselves, called isolated, with nothing between them and the wall."""
    for key in ("B+", "B+_peak", "filter_capacitors", "rectifier"):
        del data["set"][key]
    data["set"] |= {"power_supply": "heaters only", "chassis": "isolated", "output": "none"}
    without(data, *LAMP_AND_ISOLATION)
    data["steps"] = [s for s in data["steps"] if not {"clip", "unclip", "discharge", "prove_dead"} & set(s)]
    for step in data["steps"]:
        step["read"] = [reading for reading in step["read"] if reading != "C1"]


def called_a_battery_set(data: Data) -> None:
    data["set"] |= {"power_supply": "battery", "chassis": "isolated"}
    without(data, *LAMP_AND_ISOLATION)


def output_joined_to_earth(data: Data) -> None:
    element(data, "direct_current_supply")["isolated"] = "no"
    data["bench"]["chain"].insert(1, {"isolating_transformer": {"rated_power": "500 W", "output_earthed": "no"}})


def leakage_at_the_wall(data: Data) -> None:
    data["mains"] = {"voltage": "220 V"}
    data["steps"].append(AT_THE_WALL)


def polarity_seen_once(data: Data) -> None:
    i = max(i for i, step in enumerate(data["steps"]) if step.get("inspect") == "polarity")
    del data["steps"][i]


FOUND: dict[str, tuple[str, Edit, str]] = {
    "series heaters alone are called isolated": (FIVE, heaters_alone, "no-isolated-chassis-without-a-transformer"),
    "series heaters alone get the wall at once": (FIVE, heaters_alone, "first-power-through-the-lamp"),
    "a set for the mains is called one for batteries": (
        FIVE, called_a_battery_set, "power-from-the-mains-that-the-set-is-made-for"),
    "direct current that may be joined to earth, behind a transformer that is not": (
        DIRECT, output_joined_to_earth, "isolate-a-hot-chassis"),
    "a set for direct current is tested at a wall with alternating": (
        DIRECT, leakage_at_the_wall, "power-from-the-mains-that-the-set-is-made-for"),
    "a plug that fits both ways goes in again, its polarity seen before it came out": (
        DIRECT, polarity_seen_once, "mind-the-polarity-of-direct-current"),
    "the isolation is proved against an earth that is not there": (
        FIVE, lambda d: d["mains"].update(earth="absent"), "prove-the-isolation-before-use"),
    "leakage is measured to an earth that is not there": (
        PLAYER, lambda d: d.update(mains={"earth": "absent"}), "leakage-test-before-handing-over"),
    "a hand on an open television that runs": (
        TELEVISION, lambda d: after_the_last(d, "bring_set_to", {"work": "turn the yoke", "where": "outside"}),
        "keep-hands-off-bare-terminals"),
    "a motor is connected that the set has not": (
        PLAYER, lambda d: (d["set"].update(motor="no"), d["set"].pop("motor_power")), "do-only-what-can-be-done"),
    "smoke ends it only after a while": (
        FIVE, lambda d: d["stop"].update({"if": [
            "current above 0.4 A", "set voltage below 40 % of the dial", "heavy smoke for 10 min", "smell", "red anode"]}),
        "stop-at-smoke-and-smell"),
}
REFUSED: dict[str, tuple[str, Edit, str]] = {
    "heaters alone with capacitors at B+": (FIVE, lambda d: d["set"].update(power_supply="heaters only"), "makes no B+"),
    "alternating current on capacitors behind a transformer": (
        FIVE, lambda d: d["set"].update(power_supply="transformer", rectifier={"kind": "none"}), "no rectifier"),
    "alternating current on capacitors of a set for either": (
        FIVE, lambda d: d["set"].update(rectifier={"kind": "none"}), "no rectifier"),
    "direct current into the transformer of the bench": (
        DIRECT, lambda d: d["bench"]["chain"].insert(2, {"isolating_transformer": {"rated_power": "500 W"}}),
        "feeds this transformer"),
    "two dials, of which one is not looked at": (
        DIRECT, lambda d: d["bench"]["chain"].insert(1, {"autotransformer": {"output": "0..250 V"}}), "two dials"),
    "a risk accepted by nobody": (
        FIVE, lambda d: d.update(accepted_risks=[{"rule": "stop-at-numbers", "reason": "tried", "by": " ",
                                                  "until": "2027-03-01"}]), "this is empty"),
    "signed off by nobody": (
        FIVE, lambda d: d.update(signed_off={"by": "", "on": "2026-11-20", "fingerprint": "0"}), "this is empty"),
}


@pytest.mark.parametrize("what", FOUND)
def test_what_would_hurt_is_found(what: str) -> None:
    procedure, edit, rule = FOUND[what]
    audit = reviewed(procedure, edit).audit
    assert audit is not None
    assert rule in [finding.rule for finding in audit.findings if finding.signal_word in ("DANGER", "WARNING")]


@pytest.mark.parametrize("what", REFUSED)
def test_what_contradicts_itself_is_refused(what: str) -> None:
    procedure, edit, words = REFUSED[what]
    assert any(words in problem.message and problem.place is not None for problem in reviewed(procedure, edit).problems)
