"""The verbs of the steps: what each takes, and the words for what it acts on. Data only.

One step is one mapping with one verb. What belongs to the step may stand beside the verb or inside its mapping.
"""

from __future__ import annotations

from functools import cached_property

from msgspec import Struct

INSPECTED = ("cord", "plug", "inside", "fuse", "capacitors", "lamp", "limiter", "wiring", "loose metal", "switch",
             "interlock", "mechanism", "leads", "power supply", "tubes", "mains selector", "resistor cord", "dial lamp",
             "polarity")
PROVED = ("limiter", "isolation", "residual current device", "fuse")
PLUGGED = ("bench", "set")
SWITCHED = ("outlet", "limiter", "set")
FED_FROM = ("wall", "bench")
MEASURED = ("resistance", "insulation", "continuity", "voltage", "leakage", "current", "temperature")
PLACES = (
    "plug", "mains to chassis", "mains to exposed metal", "earth pin to chassis", "neutral to chassis",
    "neutral to common", "B+ to chassis", "B+ to common", "speaker", "heaters", "primary", "windings",
    "limiter earth", "limiter neutral", "limiter live", "limiter cross-paths", "exposed metal to earth",
    "set outlet", "set outlet to earth", "grid to chassis", "cathode to chassis",
    "field coil", "other",
)
TAKEN_OUT = ("tubes", "rectifier tube", "output tubes", "back", "chassis", "dial lamp", "vibrator", "fuse", "batteries")
CONNECTED = ("aerial", "earth lead", "speaker", "dummy load", "motor", "interlock bypass", "second device",
             "degaussing coil")
POINTS = ("chassis", "common", "B+", "speaker", "grid", "set outlet", "nothing")
CLIPPED_FIRST = ("common", "chassis", "negative terminal", "outer coating")
WHERE = ("inside", "outside", "bench", "limiter")
READINGS = ("set_voltage", "dial", "current", "lamp", "B+", "temperature", "smell", "ripple", "leakage", "power")

COMMON = ("hold", "until", "read", "expect", "otherwise", "stop_if", "attended", "note", "takes")


class Verb(Struct, frozen=True, dict=True):
    """How a verb is written.

    main: the field that the verb's own value fills (`set_dial: 0 V` fills `to`); None where it has no value.
    needs, may: further fields that must or may be there; the common ones may always be.
    words: what `what` may be; names of instruments or capacitors are allowed too where `names` says so.
    says: the step in words, with fields put in.
    """

    main: str | None
    says: str
    needs: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    names: bool = False

    @cached_property
    def fields(self) -> frozenset[str]:
        """Every field that a step with this verb may have."""
        own = {self.main} if self.main else set()
        return frozenset({*own, *self.needs, *self.may, *COMMON})


VERBS: dict[str, Verb] = {
    "inspect": Verb("what", "inspect the {what}", words=INSPECTED),
    "measure": Verb("measures", "measure {measures} at {across}", ("across",),
                    ("set_switch", "settle", "instrument", "how", "plug_ways", "through", "fed_from")),
    "prove": Verb("what", "prove {what}", may=("on", "how", "through", "instrument"), words=PROVED, names=True),
    "clip": Verb("instrument", "clip {instrument} across {across}", ("across",)),
    "unclip": Verb("instrument", "unclip {instrument}"),
    "plug_in": Verb("what", "plug in the {what}", words=PLUGGED),
    "unplug": Verb("what", "unplug the {what}", words=PLUGGED),
    "switch_on": Verb("what", "switch on the {what}", words=SWITCHED),
    "switch_off": Verb("what", "switch off the {what}", words=SWITCHED),
    "set_dial": Verb("to", "set the dial to {to}"),
    "bring_set_to": Verb("to", "bring the set to {to} by its own meter"),
    "raise": Verb("to", "raise the dial to {to}", ("by",), ("from",)),
    "wait": Verb("hold", "wait {hold}"),
    "set_bypass": Verb("state", "set the limiter's bypass {state}"),
    "fit_lamp": Verb("lamp", "fit a lamp of {lamp}"),
    "change_lamp": Verb("lamp", "change the lamp to {lamp}", may=("after",)),
    "remove_lamp": Verb(None, "take the lamp out", may=("after",)),
    "take_out": Verb("what", "take out the {what}", words=TAKEN_OUT),
    "put_in": Verb("what", "put in the {what}", words=TAKEN_OUT),
    "connect": Verb("what", "connect {what}", may=("at",), words=CONNECTED, names=True),
    "disconnect": Verb("what", "disconnect {what}", may=("at",), words=CONNECTED, names=True),
    "work": Verb("doing", "work {where}: {doing}", ("where",)),
    "discharge": Verb("each", "discharge {each}", ("through",), ("for", "instrument", "clip_first")),
    "discharge_picture_tube": Verb(None, "discharge the picture tube", ("through",), ("for", "clip_first")),
    "prove_dead": Verb("each", "prove {each} dead", ("below", "instrument", "otherwise")),
    "reform": Verb("each", "reform {each} up to {to}", ("to", "through"), ("at_most", "in", "by")),
    "observe": Verb("doing", "observe: {doing}"),
    "find_cause": Verb("doing", "find the cause: {doing}"),
    "record": Verb("doing", "write down {doing}"),
}
