"""A second replay, written to be obvious: one mutable dictionary walked by plain ifs.

It shares nothing with the replay of the audit but the plan that it reads. What the plan leaves open (the bypass, the
charge at the start, whether outlet and set have a switch) is not reasoned about: the walk is done once for each way in
which it could be, and what comes out the same every time is known. Three-valued answers are True, False and None here.
"""

from __future__ import annotations

from itertools import product
from math import inf
from typing import Any

from auditor.plan.plan import Plan
from auditor.plan.steps import Step

Row = dict[str, Any]

TOUCHED_BY_VERB = {
    "lamp": ("fit_lamp", "change_lamp", "remove_lamp"),
    "set inside": ("take_out", "put_in", "discharge", "discharge_picture_tube", "prove_dead", "reform", "find_cause", "clip",
                   "unclip"),
}
MOVES_THE_METER = (
    "set_bypass", "fit_lamp", "change_lamp", "remove_lamp", "switch_on", "switch_off", "plug_in", "unplug", "take_out",
    "put_in", "connect", "disconnect",
)


def naive_paths(plan: Plan) -> list[list[Row]]:
    """Every path, the plan as written first; on each a row for entry to and exit from every step."""
    ways = list(product(_bypasses(plan), _charges(plan), _switches(_first(plan, "outlet")), _switches(plan.set)))
    worlds = [_paths(plan, *way) for way in ways]
    if any([len(path) for path in world] != [len(path) for path in worlds[0]] for world in worlds):
        # A branch begins wherever volts may reach the outlet, so each world is walked with every branch that any has.
        wanted = {step for world in worlds for step in _stops(world)}
        worlds = [_paths(plan, *way, wanted) for way in ways]
    return [[_joined([world[i][k] for world in worlds]) for k in range(len(path))] for i, path in enumerate(worlds[0])]


def _bypasses(plan: Plan) -> list[bool]:
    limiter = _first(plan, "limiter")
    if limiter is None:
        return [False]
    return [False, True] if limiter.bypass is None else [limiter.bypass == "closed"]


def _switches(thing: Any) -> list[bool]:
    """Whether the outlet or the set has a switch."""
    if thing is None:
        return [True]
    return [True, False] if thing.switch is None else [thing.switch != "none"]


def _dial(plan: Plan) -> Any:
    """What has the dial: the autotransformer or the supply of direct current, whichever comes first."""
    return next((e.record for e in plan.chain if e.kind in ("autotransformer", "direct_current_supply")), None)


def _charges(plan: Plan) -> list[bool]:
    idle = plan.set.idle_for
    if idle is None:
        return [False, True]
    if idle.low >= 30 * 86400:
        return [False]
    if idle.high < 30 * 86400:
        return [True]
    return [False, True]


def _stops(world: list[list[Row]]) -> set[int]:
    return {index for index, row in enumerate(world[0]) if row["exit"] and row["fed"]}


def _joined(rows: list[Row]) -> Row:
    """What is the same in every world; None for a truth that is not, and for volts and times the range of them all."""
    joined: Row = {}
    for key in rows[0]:
        values = [row[key] for row in rows]
        if key == "charged":
            joined[key] = {name: _same([value[name] for value in values]) for name in values[0]}
        elif key in ("set_voltage", "stood"):
            joined[key] = (min(v[0] for v in values), max(v[1] for v in values))
        else:
            joined[key] = _same(values)
    return joined


def _same(values: list[Any]) -> Any:
    return values[0] if all(value == values[0] for value in values) else None


def _start(plan: Plan, bypass: bool, charged: bool, outlet_switch: bool, set_switch: bool) -> Row:
    bench: Row = {
        "outlet switch": outlet_switch, "set switch": set_switch,
        "plugged": {"bench"}, "on": set(), "dial": None, "reading": None, "lamp": None, "bypass": bypass,
        "stood": (0.0, 0.0),
        "charged": {}, "joined": [], "off": set(), "clipped": [], "out": set(), "stopped": False,
    }
    if _first(plan, "limiter") is not None:
        bench["lamp"] = _first(plan, "limiter").lamp
    for capacitor in plan.set.filter_capacitors or ():
        bench["charged"][capacitor.name] = charged
    if plan.set.aerial == "connected":
        bench["joined"].append(("aerial", "set"))
    if plan.set.earth_lead == "connected":
        bench["joined"].append(("earth lead", "set"))
    for instrument in plan.bench.instruments or ():
        if instrument.connected_to is not None and instrument.connected_to != "nothing":
            bench["joined"].append((instrument.name, instrument.connected_to))
    return bench


def _paths(plan: Plan, bypass: bool, charged: bool, outlet_switch: bool, set_switch: bool,
           stops: set[int] | None = None) -> list[list[Row]]:
    """The main path and its branches, where the unstated is so."""
    main: list[Row] = []
    branches: list[tuple[int, Row, Step, Row, tuple[Step, ...]]] = []
    bench = _start(plan, bypass, charged, outlet_switch, set_switch)
    for step in plan.steps:
        before = _copy(bench)
        main.append(_row(plan, bench, before, step, False))
        _do(plan, bench, step)
        main.append(_row(plan, bench, before, step, True))
        live = main[-1]["fed"] if stops is None else len(main) - 1 in stops
        if live and plan.stop_then:
            branches.append((len(main) - 1, before, step, _copy(bench), plan.stop_then))
        if step.otherwise == "stop":
            if plan.stop_then and not live:
                branches.append((len(main) - 1, before, step, _copy(bench), plan.stop_then))
        elif step.otherwise is not None:
            branches.append((len(main) - 1, before, step, _copy(bench), step.otherwise))
    paths = [main]
    for length, before, step, bench, steps in branches:
        if step.verb == "prove_dead":
            bench = _copy(before)  # it was not dead
        bench["stood"] = (0.0, bench["stood"][1])  # it ended early, so no hold is sure
        path = [*main[:length], _row(plan, bench, before, step, True)]
        bench["stopped"] = True
        for then in steps:
            before = _copy(bench)
            path.append(_row(plan, bench, before, then, False))
            _do(plan, bench, then)
            path.append(_row(plan, bench, before, then, True))
        paths.append(path)
    return paths


def _copy(bench: Row) -> Row:
    return {key: value.copy() if isinstance(value, (set, list, dict)) else value for key, value in bench.items()}


def _first(plan: Plan, kind: str) -> Any:
    for element in plan.chain:
        if element.kind == kind:
            return element.record
    return None


def _row(plan: Plan, bench: Row, before: Row, step: Step, leaving: bool) -> Row:
    """What can be asked of one moment."""
    on = _electrics(plan, bench)
    return {
        "verb": step.verb, "exit": leaving, "plugged": set(bench["plugged"]), "on": set(bench["on"]),
        "dial": bench["dial"], "stood": bench["stood"], "supply_on": on["supply"], "fed": on["fed"],
        "cord_live": on["cord"], "energised": on["set"], "limiter_in": on["through the lamp"],
        "set_voltage": _set_voltage(plan, bench, on), "charged": dict(bench["charged"]),
        "earth_joined": _earth_joined(plan, bench), "stopped": bench["stopped"], "touch": _touch(before, step),
        "impossible": _cannot(plan, before, step), "out": set(bench["out"]),
    }


def _electrics(plan: Plan, bench: Row) -> dict[str, bool]:
    limiter = _first(plan, "limiter")
    supply = "bench" in bench["plugged"]
    if bench["outlet switch"]:
        supply = supply and "outlet" in bench["on"]
    passes = True
    if limiter is not None:
        passes = bench["lamp"] is not None or bench["bypass"]
        if limiter.switch == "fitted" and "limiter" not in bench["on"]:
            passes = False
    fed = supply and passes
    if _dial(plan) is not None and bench["dial"] == (0.0, 0.0):
        fed = False
    cord = fed and "set" in bench["plugged"]
    switched_on = not bench["set switch"] or "set" in bench["on"]
    through = limiter is not None and bench["lamp"] is not None and not bench["bypass"]
    return {"supply": supply, "fed": fed, "cord": cord, "set": cord and switched_on, "through the lamp": through}


def _set_voltage(plan: Plan, bench: Row, on: dict[str, bool]) -> tuple[float, float]:
    """The lowest and highest that the volts at the set can be, whatever the lamp leaves of them."""
    if not on["cord"]:
        return (0.0, 0.0)
    if bench["reading"] is not None:
        return bench["reading"]  # type: ignore[no-any-return]
    volts, band = plan.mains.voltage, plan.mains.band
    if band is not None:
        low, high = band.low, band.high
    elif volts is None:
        low, high = float("-inf"), float("inf")
    else:
        part = 0.05 if volts.high <= 150 else 0.10
        low, high = volts.low * (1 - part), volts.high * (1 + part)
    auto = _dial(plan)
    if auto is not None:
        if bench["dial"] is None:
            low, high = 0.0, auto.output.high if auto.output is not None else float("inf")
        elif bench["dial"] == (0.0, 0.0):
            low, high = 0.0, 0.0
        elif volts is None:
            low, high = 0.0, float("inf")
        else:
            low, high = bench["dial"][0] * low / volts.high, bench["dial"][1] * high / volts.low
    return (min(low, 0.0) if on["through the lamp"] else low, high)


def _earth_joined(plan: Plan, bench: Row) -> bool | None:
    maybe = False
    transformer = _first(plan, "isolating_transformer")
    if transformer is not None:
        if transformer.output_earthed:
            return True
        maybe = maybe or transformer.output_earthed is None
    if plan.set.earth == "bonded":
        return True
    maybe = maybe or plan.set.earth is None
    for lead, stated in (("aerial", plan.set.aerial), ("earth lead", plan.set.earth_lead)):
        if any(what == lead for what, _ in bench["joined"]):
            return True
        maybe = maybe or (stated is None and lead not in bench["off"])
    for instrument in plan.bench.instruments or ():
        if not any(name == instrument.name for name, _ in bench["joined"] + bench["clipped"]):
            continue
        if instrument.earthed is False or instrument.earth_lifted or instrument.differential_probe:
            continue
        if instrument.earthed and instrument.earth_lifted is False and instrument.differential_probe is False:
            return True
        maybe = True
    return None if maybe else False


def _named(plan: Plan, step: Step) -> list[str]:
    names = [] if step.each is None else list(step.each)
    return [c.name for c in plan.set.filter_capacitors or ()] if "all" in names else names


def _cannot(plan: Plan, bench: Row, step: Step) -> bool:
    """Whether the step cannot be done on this bench as it stands."""
    verb = step.verb
    limiter, auto = _first(plan, "limiter"), _dial(plan)
    listed = [instrument.name for instrument in plan.bench.instruments or ()]
    if verb == "set_dial" or verb == "bring_set_to":
        if auto is None:
            return True
        if auto.output is not None and step.to is not None and step.to.high > auto.output.high + 1e-6:
            return True
    if verb == "set_bypass" and (limiter is None or limiter.bypass == "none"):
        return True
    if verb == "fit_lamp" and (limiter is None or bench["lamp"] is not None):
        return True
    if verb in ("change_lamp", "remove_lamp") and (limiter is None or bench["lamp"] is None):
        return True
    if verb == "switch_on" and step.what == "outlet" and "bench" not in bench["plugged"]:
        return True
    if verb == "switch_on" and step.what == "set" and plan.set.switch == "none":
        return True
    if verb in ("switch_on", "switch_off") and step.what == "limiter" and limiter is None:
        return True
    if verb == "measure" and step.fed_from is not None:
        if step.measures != "leakage" or step.across != "exposed metal to earth":
            return True
        if ("set" in bench["plugged"]) != (step.fed_from == "bench"):
            return True
    if verb == "put_in" and step.what == "batteries" and "batteries" not in (plan.set.special_parts or ()):
        return True
    if verb == "discharge_picture_tube" and "picture tube" not in (plan.set.special_parts or ()):
        return True
    if verb in ("discharge", "prove_dead", "reform") and any(name not in bench["charged"] for name in _named(plan, step)):
        return True
    return verb in ("clip", "unclip", "prove_dead") and step.instrument is not None and step.instrument not in listed


def _do(plan: Plan, bench: Row, step: Step) -> None:
    """Change the bench as the step does."""
    if _cannot(plan, bench, step):
        return
    was = _electrics(plan, bench)
    _change(plan, bench, step)
    # With a lamp in series the volts follow what the set draws, so what its meter was brought to is gone.
    if step.verb in MOVES_THE_METER and (was["through the lamp"] or _electrics(plan, bench)["through the lamp"]):
        bench["reading"] = None
    is_on = _electrics(plan, bench)["set"]
    if not is_on or not was["set"]:
        bench["stood"] = (0.0, 0.0)
    if is_on and step.hold is not None:
        bench["stood"] = (bench["stood"][0] + step.hold.low, bench["stood"][1] + step.hold.high)
    if is_on:
        for name in bench["charged"]:
            bench["charged"][name] = True


def _change(plan: Plan, bench: Row, step: Step) -> None:
    verb, what = step.verb, step.what
    if verb == "plug_in":
        bench["plugged"].add(what)
    elif verb == "unplug":
        bench["plugged"].discard(what)
    elif verb == "switch_on":
        bench["on"].add(what)
    elif verb == "switch_off":
        bench["on"].discard(what)
    elif verb == "set_dial":
        assert step.to is not None
        bench["dial"], bench["reading"], bench["stood"] = (step.to.low, step.to.high), None, (0.0, 0.0)
    elif verb == "bring_set_to":
        assert step.to is not None
        top = _dial(plan).output
        bench["reading"], bench["stood"] = (step.to.low, step.to.high), (0.0, 0.0)
        bench["dial"] = (step.to.low, max(step.to.high, top.high) if top is not None else inf)
    elif verb == "set_bypass":
        bench["bypass"] = step.state == "closed"
    elif verb in ("fit_lamp", "change_lamp"):
        bench["lamp"] = step.lamp
    elif verb == "remove_lamp":
        bench["lamp"] = None
    elif verb == "take_out":
        bench["out"].update(["rectifier tube", "output tubes", "other tubes"] if what == "tubes" else [what])
    elif verb == "put_in":
        for one in ["rectifier tube", "output tubes", "other tubes"] if what == "tubes" else [what]:
            bench["out"].discard(one)
    elif verb == "connect":
        bench["joined"].append((what, step.at or "set"))
        bench["off"].discard(what)
    elif verb == "disconnect":
        bench["joined"] = [pair for pair in bench["joined"] if pair[0] != what]
        bench["off"].add(what)
    elif verb == "clip":
        bench["clipped"].append((step.instrument, step.across))
    elif verb == "unclip":
        bench["clipped"] = [pair for pair in bench["clipped"] if pair[0] != step.instrument]
    elif verb == "prove_dead":
        for name in _named(plan, step):
            bench["charged"][name] = False
    elif verb == "reform":
        for capacitor in plan.set.filter_capacitors or ():  # those that hang on the same B+ are charged with it
            if capacitor.peak_voltage is None and step.inside == "the set":
                bench["charged"][capacitor.name] = True
            if capacitor.peak_voltage is None and step.inside is None and bench["charged"][capacitor.name] is False:
                bench["charged"][capacitor.name] = None
        for name in _named(plan, step):
            bench["charged"][name] = True
    elif verb == "measure" and step.measures == "insulation" and (
            step.across in ("B+ to chassis", "B+ to common") or step.across in bench["charged"]):
        for name in bench["charged"]:
            bench["charged"][name] = True
    elif verb == "measure" and step.fed_from == "wall":
        if plan.set.switch == "none" or step.set_switch != "off":
            for name in bench["charged"]:
                bench["charged"][name] = True
    elif verb == "find_cause" and step.can_fail():
        bench["stopped"] = False


def _touch(before: Row, step: Step) -> str:
    """Where a hand or a tool goes."""
    at_the_outlet = "bench wiring" if "outlet" in before["on"] else "plug pins"
    if step.verb == "clip" and step.across in ("set outlet", "set outlet to earth"):
        return at_the_outlet
    if step.verb == "unclip" and any(
            name == step.instrument and place in ("set outlet", "set outlet to earth") for name, place in before["clipped"]):
        return at_the_outlet
    for place, verbs in TOUCHED_BY_VERB.items():
        if step.verb in verbs:
            return place
    if step.verb == "prove":
        return "set inside" if step.what == "fuse" else "nothing"
    if step.verb == "inspect":
        if step.what in ("cord", "plug", "resistor cord", "polarity"):
            return "plug pins"
        if step.what == "lamp":
            return "lamp"
        if step.what == "limiter":
            return "bench wiring"
        return "nothing" if step.what in ("leads", "power supply") else "set inside"
    if step.verb == "measure":
        for name, place in before["clipped"]:
            if place == step.across and step.instrument in (None, name):
                return "nothing"
        if step.across is not None and step.across.startswith("limiter "):
            return "bench wiring"
        if step.across == "exposed metal to earth":
            return "set outside"
        at_the_plug = ("plug", "mains to chassis", "mains to exposed metal", "earth pin to chassis", "neutral to chassis",
                       "set outlet", "set outlet to earth")
        return "plug pins" if step.across in at_the_plug else "set inside"
    if step.verb in ("connect", "disconnect"):
        if step.what == "second device":
            return "nothing"
        if step.what in ("aerial", "earth lead", "speaker", "dummy load"):
            return "set outside"
        of_the_set = ("motor", "interlock bypass", "degaussing coil")
        return at_the_outlet if step.at == "set outlet" and step.what not in of_the_set else "set inside"
    if step.verb == "work":
        places = {"inside": "set inside", "outside": "set outside", "bench": "bench wiring", "limiter": "bench wiring"}
        return places[step.where or "inside"]
    return "nothing"
