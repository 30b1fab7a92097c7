"""Where each step puts a hand or a tool. Between touches nobody is in contact with anything inside."""

from __future__ import annotations

from auditor.bench.state import State
from auditor.plan import verbs
from auditor.plan.steps import Step

NOTHING, INSIDE, OUTSIDE, PLUG, LAMP, BENCH = (
    "nothing", "set inside", "set outside", "plug pins", "lamp", "bench wiring")
TOUCHES = (NOTHING, INSIDE, OUTSIDE, PLUG, LAMP, BENCH)

BY_VERB = {
    "fit_lamp": LAMP, "change_lamp": LAMP, "remove_lamp": LAMP,
    "take_out": INSIDE, "put_in": INSIDE, "discharge": INSIDE, "discharge_picture_tube": INSIDE, "prove_dead": INSIDE,
    "reform": INSIDE, "find_cause": INSIDE, "clip": INSIDE, "unclip": INSIDE,
}
INSPECTED = {
    "cord": PLUG, "plug": PLUG, "lamp": LAMP, "limiter": BENCH, "leads": NOTHING, "power supply": NOTHING,
    "resistor cord": PLUG, "polarity": PLUG, "dial lamp": INSIDE,
}
MEASURED = {
    "plug": PLUG, "mains to chassis": PLUG, "mains to exposed metal": PLUG, "earth pin to chassis": PLUG,
    "neutral to chassis": PLUG, "neutral to common": INSIDE, "exposed metal to earth": OUTSIDE,
    "limiter earth": BENCH, "limiter neutral": BENCH, "limiter live": BENCH, "limiter cross-paths": BENCH,
    "set outlet": PLUG, "set outlet to earth": PLUG,
}
CONNECTED = {"aerial": OUTSIDE, "earth lead": OUTSIDE, "interlock bypass": INSIDE, "second device": NOTHING,
             "speaker": OUTSIDE, "dummy load": OUTSIDE}
AT_THE_OUTLET = ("set outlet", "set outlet to earth")
WORKED = {"inside": INSIDE, "outside": OUTSIDE, "bench": BENCH, "limiter": BENCH}


def touch(step: Step, state: State) -> str:
    """The place that the step touches, one of TOUCHES.

    A measurement with an instrument that was clipped there before touches nothing. Leads that are put into the outlet for
    the set, or taken out of it, while the supply is switched on, are put to the wiring of the bench.
    """
    if step.verb == "prove" and step.what == "fuse":
        return INSIDE
    if step.verb == "inspect":
        return INSPECTED.get(step.what or "", INSIDE)
    if step.verb == "measure":
        if any(place == step.across and step.instrument in (None, name) for name, place in state.clipped):
            return NOTHING
        return MEASURED.get(step.across or "", INSIDE)
    if _puts_leads_into_the_outlet(step, state):
        return BENCH if "outlet" in state.on else PLUG
    if step.verb in ("connect", "disconnect"):
        return CONNECTED.get(step.what or "", INSIDE)
    if step.verb == "work":
        return WORKED[step.where or "inside"]
    return BY_VERB.get(step.verb, NOTHING)


def _puts_leads_into_the_outlet(step: Step, state: State) -> bool:
    """Whether an instrument comes to the outlet for the set here, or from it."""
    if step.verb == "clip":
        return step.across in AT_THE_OUTLET
    if step.verb == "unclip":
        return any(name == step.instrument and place in AT_THE_OUTLET for name, place in state.clipped)
    return step.verb in ("connect", "disconnect") and step.at in AT_THE_OUTLET and step.what not in verbs.CONNECTED
