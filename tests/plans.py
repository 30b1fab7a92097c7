"""Whole plans, generated: a bench, a set and steps, each ordinary or a little wrong.

Everything is built top down, and every choice has the ordinary answer first, so that nothing is thrown away and a
failing plan shrinks to an ordinary one with the one thing that matters. Plans are data as YAML would read them (text,
lists, mappings); `tests.plan_text` writes them down.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from hypothesis import settings
from hypothesis import strategies as st

from tests.plan_steps import steps_of, stop_of, volts
from tests.plan_text import as_text

T = TypeVar("T")
Data = dict[str, Any]


@dataclass(frozen=True)
class Pick:
    """Choices. number: from a bound to a number from 0 up to just below it; carelessness: how often things go wrong."""

    number: Callable[[int], int]
    carelessness: float = 1.0

    def one(self, options: Sequence[T]) -> T:
        """One of these, the first being the simplest."""
        return options[self.number(len(options))]

    def odd(self, percent: float) -> bool:
        """Whether something out of the ordinary happens here, in about this many of a hundred plans."""
        return self.number(256) >= 256 - 2.56 * percent * self.carelessness

    def state(self, into: Data, key: str, usual: Any, odd: Sequence[Any] = (), *, unstated: float = 9,
              varied: float = 12) -> None:
        """State a fact: usually as it should be, sometimes otherwise, sometimes not at all. None is not stated."""
        roll = self.number(256) - 256 + 2.56 * self.carelessness * (unstated + varied)
        if roll < 0:
            value = usual
        elif roll < 2.56 * self.carelessness * varied and odd:
            value = self.one(odd)
        else:
            value = None if unstated else usual
        if value is not None:
            into[key] = value


KINDS: dict[str, Data] = {
    "five-tube table set, series heaters": {
        "made_for": "either",
        "power_supply": "transformerless", "motor": "no", "chassis": "hot", "common": "floating from chassis",
        "rated_voltage": "117 V", "rated_power": "28..35 W", "fuse": "0.63 A", "rectifier": ("tube", "indirect"),
        "heaters": "series", "B+": "90..130 V", "B+_peak": "178 V", "capacitors": ("C1", "C2"), "working": "250 V",
        "capacitance": "40 uF", "neutral_to": "common", "plug_resistance": "80..200 ohm", "output": "tube",
        "lamp": "40 W", "stop": "0.4 A", "pole": "neutral to common", "return": "common",
    },
    "table set with a mains transformer": {
        "made_for": None,
        "power_supply": "transformer", "motor": "no", "chassis": "isolated", "common": "joined to chassis",
        "rated_voltage": "117 V", "rated_power": "45..50 W", "fuse": "1 A", "rectifier": ("tube", "direct"),
        "heaters": "parallel", "B+": "220..270 V", "B+_peak": "380 V", "capacitors": ("C1", "C2"), "working": "450 V",
        "capacitance": "16 uF", "neutral_to": "transformer", "plug_resistance": "5..20 ohm", "output": "tube",
        "lamp": "60 W", "stop": "0.5 A", "pole": "neutral to chassis", "return": "chassis",
    },
    "tape deck with a switching supply": {
        "made_for": "alternating current",
        "power_supply": "switching", "motor": "no", "chassis": "isolated", "common": None, "rated_voltage": "120 V",
        "rated_power": "50..60 W", "fuse": "1 A", "rectifier": ("silicon", None), "heaters": None, "B+": "150..178 V",
        "B+_peak": "178 V", "capacitors": ("C1",), "working": "250 V", "capacitance": "220 uF",
        "neutral_to": "either way round", "plug_resistance": "100 kohm..10 Mohm", "output": "transistor", "lamp": None,
        "stop": "0.8 A", "pole": "neutral to chassis", "return": "common",
    },
    "record player with a motor across the mains": {
        "made_for": "alternating current",
        "power_supply": "transformerless", "motor": "yes", "chassis": "hot", "common": "joined to chassis",
        "rated_voltage": "117 V", "rated_power": "35..40 W", "fuse": "0.75 A", "rectifier": ("silicon", None),
        "heaters": "series", "B+": "90..130 V", "B+_peak": "178 V", "capacitors": ("C1", "C2"), "working": "250 V",
        "capacitance": "40 uF", "neutral_to": "chassis", "plug_resistance": "80..200 ohm", "output": "tube",
        "lamp": "40 W", "stop": "0.5 A", "pole": "neutral to chassis", "return": "chassis",
    },
    "car radio with a vibrator on a mains unit": {
        "made_for": "alternating current",
        "power_supply": "vibrator", "motor": "no", "chassis": "isolated", "common": "joined to chassis",
        "rated_voltage": "120 V", "rated_power": "40 W", "fuse": "0.8 A", "rectifier": ("tube", "indirect"),
        "heaters": "parallel", "B+": "200..240 V", "B+_peak": "300 V", "capacitors": ("C1",), "working": "350 V",
        "capacitance": "8 uF", "neutral_to": "transformer", "plug_resistance": "5..20 ohm", "output": "tube",
        "lamp": "40 W", "stop": "0.5 A", "pole": "neutral to chassis", "return": "chassis",
    },
}
PARTS = (
    ["picture tube", "thermistor"], ["picture tube"], ["resistor cord"], ["resistor cord"], ["field coil"],
    ["dial lamp across the rectifier heater"], ["filaments fed from B+"], ["filaments fed from B+", "batteries"],
    ["batteries"], ["fixed bias"], ["fixed bias", "gas regulator"], ["bare terminals"], ["bare terminals"], ["delay relay"],
    ["gas regulator", "delay relay"], ["degaussing coil"], ["picture tube", "degaussing coil"],
)
"""What a set may have that asks for care of its own."""
LIKELIHOOD = (0, 1, 0, 2, 1, 3, 0, 1, 4)
"""Which kind of set, by its place above: those behind a hot chassis or a transformer oftenest."""


def plan_data(pick: Pick) -> Data:
    """A whole plan."""
    described = list(KINDS)[pick.one(LIKELIHOOD)]
    kind = KINDS[described]
    the_set = _set(pick, described, kind)
    bench = _bench(pick, kind)
    data: Data = {"procedure": _header(pick, described), "mains": _mains(pick), "set": the_set, "bench": bench}
    stop = stop_of(pick, kind)
    if stop:
        data["stop"] = stop
    data["steps"] = steps_of(pick, kind, the_set, bench)
    return data


def _header(pick: Pick, described: str) -> Data:
    header: Data = {"title": f"Millrace Valley Wireless Society, {described}"}
    purposes = ["after repair", "return to service", "after storage", "demonstration", "soak test"]
    pick.state(header, "purpose", "first power-up", purposes, unstated=14, varied=45)
    pick.state(header, "date", "2026-11-20", unstated=15)
    return header


def _mains(pick: Pick) -> Data:
    mains: Data = {}
    pick.state(mains, "voltage", "120 V", ["117 V", "130 V", "150 V", "115..125 V"])
    pick.state(mains, "band", None, ["114..126 V", "118..122 V"])
    pick.state(mains, "kind", None, ["direct current"], unstated=0, varied=12)
    pick.state(mains, "frequency", "60 Hz", ["50 Hz", "25 Hz"])
    pick.state(mains, "earth", "present", ["absent"])
    pick.state(mains, "residual_current_device", "6 mA", ["30 mA", "100 mA", "20..40 mA"])
    return mains


def _set(pick: Pick, described: str, kind: Data) -> Data:
    the_set: Data = {"description": described}
    for key, odd in (
        ("power_supply", ["transformer", "transformerless", "switching", "vibrator", "battery", "heaters only"]),
        ("motor", ["yes", "no"]), ("chassis", ["hot", "isolated"]),
        ("common", ["joined to chassis", "floating from chassis"]),
    ):
        pick.state(the_set, key, kind[key], odd, unstated=14)
    if the_set.get("motor") == "yes":
        pick.state(the_set, "motor_power", "10..14 W", ["25 W"])
    pick.state(the_set, "made_for", kind["made_for"], ["alternating current", "direct current", "either"])
    if the_set.get("power_supply") == "transformer" and the_set.get("made_for") == "direct current":
        the_set["made_for"] = "either"  # a transformer for direct current is refused
    pick.state(the_set, "frequency", None, ["50 or 60 Hz", "60 Hz", "25 Hz", "any"], unstated=0, varied=50)
    pick.state(the_set, "mains_tap", "none", ["120 V", "110 V", "100 V", "110..120 V"], varied=25)
    pick.state(the_set, "earth", "floating", ["bonded"], varied=25)
    pick.state(the_set, "rated_voltage", kind["rated_voltage"], ["105 V", "110..120 V", "220 V"])
    pick.state(the_set, "rated_power", kind["rated_power"], ["60 W", "20..90 W", "15 W"])
    fuse: Any = {}
    pick.state(fuse, "rating", kind["fuse"], ["0.2 A", "3 A", "0.4..1.2 A"])
    pick.state(fuse, "kind", "slow", ["fast"], varied=45 if kind["power_supply"] == "transformer" else 30)
    pick.state(the_set, "fuse", fuse or None, ["none"])
    rectifier: Data = {}
    pick.state(rectifier, "kind", kind["rectifier"][0], ["selenium", "tube", "silicon", "selenium"], varied=20)
    pick.state(rectifier, "heater", kind["rectifier"][1], ["direct", "indirect"])
    pick.state(the_set, "rectifier", rectifier or None)
    pick.state(the_set, "heaters", kind["heaters"] and {"connection": kind["heaters"]})
    pick.state(the_set, "B+", kind["B+"], ["200 V", "60..300 V"])
    pick.state(the_set, "B+_peak", kind["B+_peak"], ["150 V", "400 V"])
    if "B+" in the_set and "B+_peak" in the_set and volts(the_set["B+_peak"])[1] < volts(the_set["B+"])[0]:
        the_set["B+_peak"] = the_set["B+"]  # a peak below B+ in use is refused
    pick.state(the_set, "B+_resistance", None, ["20 kohm", "5..30 kohm"])
    if "B+_resistance" in the_set:  # a bleeder of its own goes with a choke before it, or with a capacitor
        the_set["filter"] = "choke input" if the_set["B+_resistance"] == "20 kohm" else "capacitor input"
    pick.state(the_set, "filter_capacitors", [_capacitor(pick, kind, name) for name in kind["capacitors"]], [[]], unstated=3,
               varied=3)
    makes_b_plus = any(map(the_set.get, ("B+", "B+_peak", "filter_capacitors", "rectifier")))
    if the_set.get("power_supply") == "heaters only" and makes_b_plus:
        the_set["power_supply"] = kind["power_supply"]  # heaters alone with B+ are refused
    line_capacitors = [_line_capacitor(pick, name) for name in ("C8", "C9")[:1 + pick.odd(20)]]
    pick.state(the_set, "line_capacitors", line_capacitors, [[]], unstated=3)
    plug: Data = {}
    pick.state(plug, "pins", "2", ["3"])
    pick.state(plug, "polarised", "yes", ["no"])
    pick.state(plug, "neutral_to", kind["neutral_to"], ["chassis", "common", "set switch", "either way round"])
    pick.state(the_set, "plug", plug or None, unstated=3)
    pick.state(the_set, "plug_resistance", kind["plug_resistance"], ["10..50 ohm", "1 ohm.."])
    pick.state(the_set, "switch", "in the live line", ["none", "in the neutral line", "both lines"])
    pick.state(the_set, "output", kind["output"], ["tube", "transistor", "none"])
    pick.state(the_set, "coupling_capacitors", "new" if kind["output"] == "tube" else None, ["original", "tested", "none"])
    pick.state(the_set, "buffer_capacitor", "new" if kind["power_supply"] == "vibrator" else None, ["original", "original"],
               varied=30)
    pick.state(the_set, "special_parts", None, PARTS, unstated=0, varied=60)
    pick.state(the_set, "speaker", "connected", ["disconnected", "dummy load"])
    pick.state(the_set, "interlock", "none", ["closed", "bypassed"])
    pick.state(the_set, "aerial", "disconnected", ["connected", "none"], varied=6)
    pick.state(the_set, "earth_lead", "none", ["connected", "disconnected"], varied=6)
    pick.state(the_set, "idle_for", "30 days", ["1 h", "10..40 h"], unstated=18)
    pick.state(the_set, "complete", "yes", ["no"], unstated=6, varied=3)
    return the_set


def _capacitor(pick: Pick, kind: Data, name: str) -> Data:
    capacitor = {"name": name}
    pick.state(capacitor, "capacitance", kind["capacitance"], ["1000 uF", "10..500 uF"])
    pick.state(capacitor, "working_voltage", kind["working"], ["150 V", "100..400 V", "600 V"], varied=25)
    pick.state(capacitor, "peak_voltage", None, ["100 V", "350 V"], varied=6)
    pick.state(capacitor, "leakage", None, ["1 mA", "60 mA"], varied=6)
    pick.state(capacitor, "condition", "new", ["original", "tested", "reform in this procedure", "leaking", "bulged",
                                               "reformed"], varied=35)
    return capacitor


def _line_capacitor(pick: Pick, name: str) -> Data:
    capacitor: Data = {}
    pick.state(capacitor, "name", name, unstated=15)
    pick.state(capacitor, "between", "line and line", ["line and chassis", "line and common", "common and chassis"],
               varied=40)
    pick.state(capacitor, "capacitance", "47 nF", ["4.7 nF", "1 uF"], varied=30)
    usual = "Y2" if "chassis" in capacitor.get("between", "") else "X2"
    pick.state(capacitor, "class", usual, ["X2", "Y2", "Y4", "paper", "film", "ceramic"], varied=35)
    return capacitor or {"capacitance": "47 nF"}


def _bench(pick: Pick, kind: Data) -> Data:
    bench: Data = {"chain": _chain(pick, kind)}
    pick.state(bench, "instruments", _instruments(pick), [[]], varied=4, unstated=3)
    people: Data = {}
    pick.state(people, "second_person", "within call", ["beside the bench", "none"])
    pick.state(people, "knows_the_switch", "yes", ["no"])
    pick.state(people, "attended", "throughout", ["at times", "no"], unstated=22)
    pick.state(people, "eye_protection", "yes", ["no"])
    pick.state(people, "extinguisher", "carbon dioxide", ["dry powder", "water", "none"])
    pick.state(bench, "people", people or None, unstated=3)
    direct = any("direct_current_supply" in part for part in bench["chain"])
    usual = ["residual current device"] if direct and pick.odd(45) else None
    pick.state(bench, "relies_on", usual, [["isolating transformer"], ["the dial kept low"], ["residual current device"],
                                          ["gfci", "fuse"]])
    pick.state(bench, "aired", "yes", ["no"], unstated=25, varied=25)
    pick.state(bench, "register", None, [_register("2026-11-20"), _register("2025-11-20"), _register("2025-10-01")],
               varied=30)
    pick.state(bench, "complete", "yes", ["no"], unstated=6, varied=3)
    return bench


def _register(proved: str) -> list[Data]:
    """A register with one instrument whose proof is good for a year."""
    return [{"name": "M1", "proved": proved, "good_for": "365 d"}]


def _chain(pick: Pick, kind: Data) -> list[Any]:
    outlet: Data = {}
    pick.state(outlet, "switch", "emergency", ["ordinary", "none"])
    pick.state(outlet, "within_reach", "yes", ["no"])
    iron = pick.one([None, None, "50 or 60 Hz", "60 Hz", "any"])
    isolation: Data = {"frequency": iron} if iron else {}
    pick.state(isolation, "rated_power", "300 W", ["30 W", "50..90 W"], varied=30)
    pick.state(isolation, "output_earthed", "no", ["yes"])
    pick.state(isolation, "proved", None, [_proof("2026-11-20"), _proof("2026-10-01"), _proof("2026-12-01")], varied=20)
    dial: Data = {"frequency": iron} if iron else {}
    pick.state(dial, "output", "0..140 V", ["0..120 V", "0..280 V"])
    pick.state(dial, "rated_current", "3 A", ["1.5 A", "2..6 A", "0.1 A", "0.1 A"], varied=24)
    pick.state(dial, "fuse", "3 A", ["5 A", "2 A"])
    limiter: Data = {}
    lamp: Data = {}
    pick.state(lamp, "power", kind["lamp"] or "60 W", ["15 W", "100 W", "25..60 W", ["25 W", "15 W"], ["40 W", "40 W"]],
               varied=25)
    if isinstance(lamp.get("power"), list):
        pick.state(lamp, "joined", "in parallel", ["in series"], varied=40)
    pick.state(lamp, "voltage", "120 V", ["240 V", "110..130 V", "24 V"])
    pick.state(lamp, "kind", "clear filament", ["frosted filament", "halogen", "LED", "heater"])
    pick.state(limiter, "lamp", lamp or None, ["none"], unstated=0, varied=4)
    pick.state(limiter, "bypass", "open", ["closed", "none"], unstated=20)
    pick.state(limiter, "switch", None, ["fitted", "none"], varied=6)
    pick.state(limiter, "continuity_checked", _proof("2026-11-01"), unstated=12)
    pick.state(limiter, "proved", None, [_proof("2026-11-20"), _proof("2026-09-01")], varied=8)
    has_limiter = pick.odd(30) if kind["lamp"] is None else not pick.odd(10)
    parts = {
        "outlet": (outlet, 96), "isolating_transformer": (isolation, 88), "autotransformer": (dial, 90),
        "limiter": (limiter, 100 if has_limiter else 0), "ammeter": ({"range": "0..5 A"}, 90),
        "voltmeter": ({"range": "0..200 V"}, 82),
    }
    chain: list[Any] = [{name: stated} if stated else name for name, (stated, likely) in parts.items()
                        if likely and not pick.odd(100 - likely)]
    if pick.odd(12):
        direct: Data = {"output": "0..140 V", "rated_current": "1 A", "fuse": "1 A"}
        pick.state(direct, "isolated", "yes", ["no"], unstated=50)
        chain = [{"direct_current_supply": direct} if "autotransformer" in part else part for part in chain
                 if "isolating_transformer" not in part]
    for extra, likely in (("residual_current_device", 6), ("other_load", 6), ("wattmeter", 4)):
        if pick.odd(likely):
            chain.insert(pick.number(len(chain) + 1), {"residual_current_device": {"trips_at": "30 mA"}}
                         if extra == "residual_current_device" else extra)
    if pick.odd(5):
        chain.sort(key=lambda part: "autotransformer" not in part)
    if len(chain) > 1 and pick.odd(15):
        chain.insert(pick.number(len(chain)), chain.pop(pick.number(len(chain))))
    if pick.odd(2):
        chain.insert(pick.number(len(chain) + 1), "set")
    return [*chain, "set"]


def _proof(day: str) -> Data:
    return {"how": "with a meter", "on": day}


def _instruments(pick: Pick) -> list[Data]:
    meter: Data = {"name": "M1"}
    pick.state(meter, "kind", "multimeter", ["voltmeter", "other"])
    pick.state(meter, "category", "CAT III 600 V", ["CAT I", "none", "CAT II 300 V"], unstated=20, varied=35)
    pick.state(meter, "supply", "battery", ["mains"])
    pick.state(meter, "earthed", "no", ["yes"])
    pick.state(meter, "earth_lifted", None, ["yes", "no"])
    clipped: Data = {"name": "M2", "category": "CAT III 600 V", "supply": "battery", "earthed": "no"}
    pick.state(clipped, "kind", "multimeter", ["ammeter"], unstated=4, varied=4)
    if not pick.odd(40):
        return [meter, clipped]
    scope: Data = {"name": "S1", "kind": "oscilloscope"}
    pick.state(scope, "supply", "mains", ["battery"])
    pick.state(scope, "earthed", "yes", ["no"])
    pick.state(scope, "earth_lifted", "no", ["yes"], unstated=20)
    pick.state(scope, "differential_probe", "no", ["yes"], unstated=20)
    pick.state(scope, "connected_to", "nothing", ["chassis", "speaker"], varied=60)
    return [meter, clipped, scope]


def searched(examples: int) -> settings:
    """This many examples under the profile `fixed`, and as many times more as another profile searches longer."""
    profile = settings.default
    assert profile is not None
    return settings(max_examples=max(1, examples * profile.max_examples // 100))


class Written(dict[str, Any]):
    """A plan that is shown as its text, so that a failing example can be saved and audited."""

    def __repr__(self) -> str:
        return "\n" + as_text(self)


LONGEST = 500
"""Choices that a plan may need; past them everything is ordinary."""


def chooser(choices: bytes) -> Callable[[int], int]:
    """Choices out of bytes, drawn all at once: the search would else repeat parts of one plan in the next, and miss
    what is rare. Smaller bytes choose simpler things."""
    left = iter(choices)
    return lambda bound: next(left, 0) * bound >> 8


@st.composite
def plans(draw: st.DrawFn) -> Data:
    """Whole plans as data; the simplest are ordinary and careful."""
    number = chooser(draw(st.binary(min_size=LONGEST, max_size=LONGEST)))
    return Written(plan_data(Pick(number, draw(st.sampled_from([1.0, 0.4, 2.0])))))
