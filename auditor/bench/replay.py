"""Steps to states: what each verb does, and why a step cannot be done."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from msgspec.structs import replace

from auditor.bench.circuit import energised, limiter_in
from auditor.bench.state import NO_TIME, TUBES, State, capacitor_names
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan
from auditor.plan.steps import Step

Effect = Callable[[State, Step, Plan], State]


def after(state: State, step: Step, plan: Plan) -> State:
    """The state that the step leaves behind. A step that cannot be done changes nothing."""
    if why_impossible(state, step, plan) is not None:
        return state
    changed = EFFECTS.get(step.verb, _nothing)(state, step, plan)
    if step.verb in CHANGES_THE_READING and changed.set_reading is not None and not _fed_directly(plan, state, changed):
        changed = replace(changed, set_reading=None)
    live = energised(plan, changed)
    changed = _held(changed, step, live, energised(plan, state))
    if live is Truth.FALSE:
        return changed
    if live is Truth.UNKNOWN:
        doubtful = frozenset(n for n, was in changed.charged if was is Truth.FALSE)
        return changed.with_charge(Truth.UNKNOWN, doubtful).with_none_discharged()
    return changed.with_charge(Truth.TRUE).with_none_discharged()


def _fed_directly(plan: Plan, *states: State) -> bool:
    """Whether no lamp is in series in any of these states, so that what the set draws moves its volts but little."""
    return all(limiter_in(plan, state) is Truth.FALSE for state in states)


def _held(state: State, step: Step, live: Truth, was_live: Truth) -> State:
    """The state after the hold of the step: the set has had the volts of this dial that much longer, or since this step
    moved the dial or switched the set on."""
    hold = step.hold or NO_TIME
    before = NO_TIME if step.verb in NEEDS_DIAL or was_live is Truth.FALSE else state.dial_stood
    stood = before + hold
    if live is not Truth.TRUE:  # none of it is sure
        stood = NO_TIME if live is Truth.FALSE else Interval(0.0, stood.high)
    return state if stood == state.dial_stood else replace(state, dial_stood=stood)


def named_capacitors(step: Step, plan: Plan) -> frozenset[str]:
    """The capacitors that `each` names; `all` means every one that is listed."""
    names = frozenset(step.each or ())
    return frozenset(capacitor_names(plan)) if "all" in names else names


def beside_on_b_plus(step: Step, plan: Plan) -> frozenset[str]:
    """The capacitors that hang on B+ and are charged with one that is reformed there, unless it is taken out for that."""
    if step.verb != "reform" or step.inside == "out of the set":
        return frozenset()
    return frozenset(c.name for c in plan.set.filter_capacitors or () if c.peak_voltage is None)


def _nothing(state: State, step: Step, plan: Plan) -> State:
    return state


def _plug_in(state: State, step: Step, plan: Plan) -> State:
    return replace(state, plugged=state.plugged | {str(step.what)})


def _unplug(state: State, step: Step, plan: Plan) -> State:
    return replace(state, plugged=state.plugged - {str(step.what)})


def _switch_on(state: State, step: Step, plan: Plan) -> State:
    return replace(state, on=state.on | {str(step.what)})


def _switch_off(state: State, step: Step, plan: Plan) -> State:
    return replace(state, on=state.on - {str(step.what)})


def _set_dial(state: State, step: Step, plan: Plan) -> State:
    return replace(state, dial=step.to, set_reading=None)


def _bring_set_to(state: State, step: Step, plan: Plan) -> State:
    assert step.to is not None
    assert plan.dial is not None
    top = plan.record(plan.dial).output
    high = top.high if top else inf
    # With the lamp in, the dial stands higher than the set's meter reads: somewhere up to its top, which may not be stated.
    return replace(state, set_reading=step.to, dial=step.to.hull(type(step.to)(step.to.low, max(high, step.to.high))))


def _set_bypass(state: State, step: Step, plan: Plan) -> State:
    return replace(state, bypass_closed=Truth.of(step.state == "closed"))


def _fit_lamp(state: State, step: Step, plan: Plan) -> State:
    return replace(state, lamp=step.lamp)


def _remove_lamp(state: State, step: Step, plan: Plan) -> State:
    return replace(state, lamp=None)


def _take_out(state: State, step: Step, plan: Plan) -> State:
    return replace(state, out=state.out | _taken(step))


def _put_in(state: State, step: Step, plan: Plan) -> State:
    return replace(state, out=state.out - _taken(step))


def _taken(step: Step) -> frozenset[str]:
    return TUBES if step.what == "tubes" else frozenset({str(step.what)})


def _connect(state: State, step: Step, plan: Plan) -> State:
    what = str(step.what)
    return replace(state, connected=state.connected | {(what, step.at or "set")}, apart=state.apart - {what})


def _disconnect(state: State, step: Step, plan: Plan) -> State:
    what = str(step.what)
    left = frozenset(pair for pair in state.connected if pair[0] != what)
    return replace(state, connected=left, apart=state.apart | {what})


def _clip(state: State, step: Step, plan: Plan) -> State:
    return replace(state, clipped=state.clipped | {(str(step.instrument), str(step.across))})


def _unclip(state: State, step: Step, plan: Plan) -> State:
    return replace(state, clipped=frozenset(p for p in state.clipped if p[0] != step.instrument))


def _discharge(state: State, step: Step, plan: Plan) -> State:
    return replace(state, discharged=state.discharged | named_capacitors(step, plan))


def _prove_dead(state: State, step: Step, plan: Plan) -> State:
    return state.with_charge(Truth.FALSE, named_capacitors(step, plan))


def _reform(state: State, step: Step, plan: Plan) -> State:
    names = named_capacitors(step, plan)
    beside = beside_on_b_plus(step, plan)
    if step.inside == "the set":
        names, beside = names | beside, frozenset()
    doubtful = frozenset(n for n, was in state.charged if was is Truth.FALSE) & beside - names
    return replace(state.with_charge(Truth.TRUE, names).with_charge(Truth.UNKNOWN, doubtful),
                   discharged=state.discharged - names - beside)


def charged_from(step: Step, plan: Plan) -> str | None:
    """What a measurement charges the capacitors from: TESTER, WALL, or nothing.

    A set measured straight at the wall with its switch on has run. An insulation tester across B+ or a capacitor has
    charged them to its hundreds of volts.
    """
    if step.verb != "measure":
        return None
    if step.measures == "insulation" and step.across in (*B_PLUS, *capacitor_names(plan)):
        return TESTER
    off = step.set_switch == "off" and plan.set.switch != "none"
    return WALL if step.fed_from == WALL and not off else None


def _measure(state: State, step: Step, plan: Plan) -> State:
    """What a measurement leaves behind: charge."""
    if charged_from(step, plan) is None:
        return state
    return replace(state.with_charge(Truth.TRUE), discharged=frozenset())


def _find_cause(state: State, step: Step, plan: Plan) -> State:
    """A cause is found where the step says what counts as found, and what is done when that is not."""
    return replace(state, stopped=state.stopped and not step.can_fail())


EFFECTS: dict[str, Effect] = {
    "plug_in": _plug_in, "unplug": _unplug, "switch_on": _switch_on, "switch_off": _switch_off,
    "set_dial": _set_dial, "bring_set_to": _bring_set_to, "set_bypass": _set_bypass,
    "fit_lamp": _fit_lamp, "change_lamp": _fit_lamp, "remove_lamp": _remove_lamp,
    "take_out": _take_out, "put_in": _put_in, "connect": _connect, "disconnect": _disconnect,
    "clip": _clip, "unclip": _unclip, "discharge": _discharge, "prove_dead": _prove_dead, "reform": _reform,
    "measure": _measure,
    "find_cause": _find_cause,
}

B_PLUS = ("B+ to chassis", "B+ to common")
TESTER, WALL = "insulation tester", "wall"
FED_FOR = ("leakage", "exposed metal to earth")
"""What a set is fed for by the step that measures it. For everything else it is plugged in, and steps of its own show
when it has volts."""
CHANGES_THE_READING = frozenset({
    "set_bypass", "fit_lamp", "change_lamp", "remove_lamp", "switch_on", "switch_off", "plug_in", "unplug", "take_out",
    "put_in", "connect", "disconnect"})
"""After these, with a lamp in series, the meter at the set no longer shows what it was brought to; the dial stands
where it was."""
NEEDS_LIMITER = frozenset({"set_bypass", "fit_lamp", "change_lamp", "remove_lamp"})
NEEDS_DIAL = frozenset({"set_dial", "bring_set_to"})


def why_impossible(state: State, step: Step, plan: Plan) -> str | None:
    """Why the step cannot be done in this state, in words; None where it can."""
    verb, what = step.verb, step.what
    if verb in NEEDS_DIAL:
        return ("the bench has no adjustable autotransformer" if plan.dial is None
                else _beyond_the_scale(step, plan, plan.dial))
    if verb in NEEDS_LIMITER and not plan.has("limiter"):
        return "the bench has no limiter"
    if verb == "set_bypass" and plan.record("limiter").bypass == "none":
        return "this limiter has no bypass switch"
    if verb == "fit_lamp" and state.lamp is not None and state.lamp != Lamp():  # of one that nobody states none may be in
        return "a lamp is already in the holder"
    if verb in ("change_lamp", "remove_lamp") and state.lamp is None:
        return "no lamp is in the holder"
    if verb == "switch_on" and what == "outlet" and "bench" not in state.plugged:
        return "the bench is not plugged in"
    if verb == "measure" and step.fed_from is not None:
        if (step.measures, step.across) != FED_FOR:
            return "a step feeds the set only to measure its leakage from exposed metal to earth"
        if (step.fed_from == WALL) is ("set" in state.plugged):
            return ("the set is plugged into the bench, not into the wall" if step.fed_from == WALL
                    else "the set is not plugged into the bench")
    if verb == "discharge_picture_tube" and "picture tube" not in (plan.set.special_parts or ()):
        return "no picture tube is listed among the special parts of the set"
    if verb == "put_in" and what == "batteries" and what not in (plan.set.special_parts or ()):
        return "no batteries are listed among the special parts of the set"
    if verb == "switch_on" and what == "set" and plan.set.switch == "none":
        return "the set has no switch"
    if verb == "connect" and what == "motor" and plan.set.motor is False:
        return "the plan says that the set has no motor on the mains"
    if verb in ("switch_on", "switch_off") and what == "limiter" and not plan.has("limiter"):
        return "the bench has no limiter"
    if verb in ("discharge", "prove_dead", "reform"):
        unknown = named_capacitors(step, plan) - set(capacitor_names(plan))
        if unknown:
            return f"no capacitor {', '.join(sorted(unknown))} is listed in the set"
    if verb in ("clip", "unclip", "prove_dead") and step.instrument is not None:
        return _not_on_the_bench(step.instrument, plan)
    return None


def _beyond_the_scale(step: Step, plan: Plan, dial: str) -> str | None:
    output = plan.record(dial).output
    if step.to is not None and output is not None and step.to.high > output.high * (1 + 1e-9):
        return f"the dial ends at {output.high:g} V"
    return None


def _not_on_the_bench(instrument: str, plan: Plan) -> str | None:
    names = [i.name for i in plan.bench.instruments or ()]
    return None if instrument in names else f"no instrument {instrument} is listed on the bench"
