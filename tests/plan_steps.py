"""The steps of generated plans: the usual course of a power-up, with things left out, swapped, and done wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.plans import Pick

Data = dict[str, Any]


NUMBERS = (
    {"set_voltage": "90..120 V"}, {"set_voltage": "..140 V"}, {"current": "0.1..0.5 A"}, {"current": "2..3 A"},
    {"current": "..2 A"}, {"current": "3..4 A"}, {"B+": "80..140 V"}, {"B+": "600..700 V"}, {"B+": "..450 V"}, "all well",
)
"""What a stage may expect in place of what is predicted: some right, some wrong, some that a short meets too."""


def stop_of(pick: Pick, kind: Data) -> Data:
    """What ends the attempt, and what is then done."""
    limits = [f"set current above {kind['stop']}", "set voltage below half the dial after 30 s", "smoke", "smell",
              "red anode"]
    stop: Data = {}
    pick.state(stop, "if", limits, [limits[1:], [limits[0], "smoke"], ["set current above 3 A", *limits[1:]], ["smoke"],
                                    *[["set current above 0.05 A", *limits[1:]]] * 4,
                                    limits[:4]], varied=26)
    pick.state(stop, "then", [{"switch_off": "outlet"}, {"set_dial": "0 V"}, {"unplug": "bench"}], [
        [{"set_dial": "0 V"}, {"switch_off": "outlet"}, {"unplug": "bench"}],
        [{"switch_off": "set"}, {"set_dial": "0 V"}],
        [{"switch_off": "outlet"}, {"find_cause": "what smokes", "expect": "a part found bad", "otherwise": "stop"},
         {"switch_on": "outlet"}],
        [{"switch_off": "outlet"}, {"switch_on": "outlet"}],
        [{"unplug": "set"}, {"work": "look for it", "where": "inside"}],
    ])
    pick.state(stop, "again", "only after the cause is found", ["never"])
    return stop


def steps_of(pick: Pick, kind: Data, the_set: Data, bench: Data) -> list[Any]:
    """A whole course of steps for this set on this bench."""
    steps = _mended(_muddled(pick, Course(pick, kind, the_set, bench).whole()))
    if pick.odd(24):
        steps = _without_the_outlet(pick, steps, bench)
    takes = pick.one([None, None, "20 s", "1..10 min"])
    return [{**step, "takes": takes} if takes else step for step in steps]


def _without_the_outlet(pick: Pick, steps: list[Data], bench: Data) -> list[Data]:
    """The steps of somebody who forgets the outlet, on a bench that does not say whether it has a switch: whether
    anything ever has volts stays open, and so does every check that is then left out."""
    for part in bench["chain"]:
        if isinstance(part, dict) and isinstance(part.get("outlet"), dict):
            part["outlet"].pop("switch", None)
    if pick.odd(40):
        bench["chain"].insert(len(bench["chain"]) - 1, "other_load")
    left_out = pick.one(["inspect", "prove", "prove", "measure"])
    still: set[int] = set()
    if pick.odd(60):  # the meter is proved at first and after each test with it, but not again before one
        left_out, steps = "prove", [step for step in steps if step.get("fed_from") != "wall"]
        proofs = [i for i, step in enumerate(steps) if step.get("prove") == "M1"]
        still = {i for i in proofs if i == proofs[0] or not any("prove_dead" in step for step in steps[i + 1:i + 2])}
    kept = [step for i, step in enumerate(steps) if step.get("switch_on") != "outlet"
            and (left_out not in step or i in still or pick.odd(20))]
    if pick.odd(25):
        kept.insert(len(kept) // 4, {"work": "tighten a terminal", "where": "bench"})
    return kept if any("set_dial" in step or "raise" in step for step in kept) else steps


class Course:
    """The parts that a power-up is made of, in the usual order."""

    def __init__(self, pick: Pick, kind: Data, the_set: Data, bench: Data) -> None:
        self.pick, self.kind, self.set = pick, kind, the_set
        chain = {name if isinstance(name, str) else next(iter(name)): name for name in bench["chain"]}
        self.dial, self.limiter = "autotransformer" in chain or "direct_current_supply" in chain, "limiter" in chain
        self.isolated, self.direct = "isolating_transformer" in chain, "direct_current_supply" in chain
        self.parts = the_set.get("special_parts", ())
        stated = chain.get("limiter", {})
        self.holder = stated["limiter"] if isinstance(stated, dict) and stated else {}
        self.caps = [c["name"] for c in the_set.get("filter_capacitors", [])]
        self.meters = [i["name"] for i in bench.get("instruments", [])]
        self.switched = the_set.get("switch") != "none"

    def whole(self) -> list[Data]:
        pick, motor = self.pick, self.set.get("motor") == "yes"
        before = [*([{"take_out": "batteries"}] if "batteries" in self.parts and not pick.odd(40) else []),
                  *self.emptied(), *self.proofs(), *(self.dead()[1:] if pick.odd(15) else []), *self.looks(), *self.cold(),
                  *self.reforming()]
        if motor and not pick.odd(15):
            before.append({"disconnect": "motor"})
        if "degaussing coil" in self.parts and not pick.odd(40):
            before.append({"disconnect": "degaussing coil"})
        taken = self.taken_out()
        before += [{"take_out": what} for what in taken]
        if self.meters:
            before.append({"clip": self.pick.one(["M2"] * 8 + ["M1"]),
                           "across": self.caps[0] if self.caps else "B+ to common"})
        if pick.odd(8):
            leads = ["second device", "aerial", "earth lead", "interlock bypass", *self.meters]
            before.append({"connect": pick.one(leads), "at": "chassis"})
        if pick.odd(6):
            before.append({"disconnect": pick.one(["speaker", "interlock bypass", "aerial"])})
        steps = [*before, *self.power("set"), *self.climb()]
        if taken and not pick.odd(25):
            steps.append({"measure": "voltage", "across": "B+ to chassis", "instrument": "M2", "expect": "4..400 V",
                          "otherwise": "stop"})
        if pick.odd(18):
            steps.insert(-1, self.check("measure", "voltage", across="B+ to chassis", instrument="M2", expect="4..400 V"))
        if pick.odd(50 if "bare terminals" in self.parts else 8):
            steps.append({"connect": "dummy load", "at": "speaker"})
        if not pick.odd(15):
            steps += [*self.down("bench"), *([] if pick.odd(12) else self.dead()), *self.between()]
            steps += [step for what in taken for step in ({"put_in": what}, self.tubes())]
            steps += [*self.power("bench"), *self.run()]
        if pick.odd(8):
            steps.append({"measure": "voltage", "across": pick.one(["B+ to chassis", *self.caps, "set outlet", "heaters"]),
                          "expect": "90..300 V", "otherwise": "stop"})
        steps += self.down("set")
        if motor and not pick.odd(30):
            steps += [*self.dead(), {"connect": "motor"}, *self.power("set"), *self.at_once("117 V"), *self.down("set")]
        if pick.odd(8):
            steps.append({"disconnect": pick.one(["interlock bypass", "earth lead"])})
        if not pick.odd(20):
            steps.append(self.leakage())
        steps += self.dead()
        if not pick.odd(10):
            steps.append({"unclip": "M2"})
        if pick.odd(22):
            steps.append({pick.one(["take_out", "take_out", "put_in"]): pick.one(["back", "chassis", "tubes"])})
        if self.set.get("earth") == "bonded" and not pick.odd(40):
            steps.append(self.check("measure", "resistance", across="earth pin to chassis", expect="..0.5 ohm"))
        if not pick.odd(15):
            steps.append({"record": "readings, parts changed, date and name"})
        return steps

    def emptied(self) -> list[Data]:
        """What empties a picture tube, twice, where the set has one."""
        if "picture tube" not in self.parts or self.pick.odd(10):
            return []
        empty: Data = {"through": "1 Mohm 2 W"}
        self.pick.state(empty, "for", "1 min", ["5 s"], unstated=4)
        self.pick.state(empty, "clip_first", "outer coating", ["chassis"], unstated=4)
        return [{"discharge_picture_tube": dict(empty)}, {"wait": self.pick.one(["5 min"] * 7 + ["1 min"])},
                {"discharge_picture_tube": dict(empty)}]

    def taken_out(self) -> list[str]:
        """The tubes that are left out of the first run, and a vibrator."""
        what = [tubes for part, tubes in (("filaments fed from B+", "tubes"), ("fixed bias", "output tubes"))
                if part in self.parts]
        if self.set.get("power_supply") == "vibrator":
            what.append("vibrator")
        return [] if self.pick.odd(30) else what

    def tubes(self) -> Data:
        return self.check("inspect", "tubes", expect="types and places as on the chart")

    def check(self, verb: str, value: Any, *, weaker: tuple[Any, ...] = (), expect: Any, **fields: Any) -> Data:
        """A step that can fail; sometimes with a weaker criterion, none, or no way out."""
        step: Data = {verb: value, **fields}
        self.pick.state(step, "expect", expect, weaker, unstated=4, varied=8)
        after = [[{"switch_off": "outlet"}, {"unplug": "set"}], [{"work": "mend it", "where": "inside"}]]
        self.pick.state(step, "otherwise", "stop", after, unstated=4, varied=4)
        return step

    def proofs(self) -> list[Data]:
        found = [] if self.pick.odd(15) else [
            self.check("prove", "isolation", how="set outlet to earth", expect="..0.5 mA", weaker=("..5 mA",))]
        if self.meters:
            found.insert(0, self.meter())
        if not self.pick.odd(40 if not self.isolated else 95):
            found.append(self.check("prove", "residual current device", how="its button", expect="the outlet goes dead"))
        if self.limiter:
            found.append(self.check("prove", "limiter", how=self.pick.one(["shorted plug"] * 9 + ["by eye"]), expect={
                "lamp": "full", "set_voltage": "..2 V"}, weaker=({"lamp": "full"}, {"set_voltage": "..20 V"})))
            if self.pick.odd(6):
                found.pop()
        return found

    def meter(self) -> Data:
        return self.check("prove", "M1", on="known source", expect="114..126 V")

    def looks(self) -> list[Data]:
        looks = [self.check("inspect", what, expect=sign) for what, sign in (
            ("cord", "no crack or nick"), ("inside", "nothing burnt or loose"), ("fuse", f"{self.kind['fuse']} slow"))]
        looks.insert(0, self.check("inspect", "leads", expect="no bare wire"))
        more = [("polarity", 50), ("mechanism", 20 if self.set.get("motor") == "yes" else 95),
                ("resistor cord", 30 if "resistor cord" in self.parts else 97),
                ("dial lamp", 30 if "dial lamp across the rectifier heater" in self.parts else 97)]
        looks += [self.check("inspect", what, expect="as it should be") for what, left_out in more
                  if not self.pick.odd(left_out)]
        if "tube" in (self.kind["output"], self.kind["rectifier"][0]):
            looks.append(self.tubes())
        return looks if self.pick.odd(8) else [*looks, self.check("inspect", "capacitors", expect="polarity as marked")]

    def cold(self) -> list[Data]:
        kind, check, pick = self.kind, self.check, self.pick
        common = f"B+ to {kind['return']}"
        found = [
            check("measure", "resistance", across="plug", set_switch="off", expect="10 Mohm..", weaker=("10 kohm..",)),
            check("measure", "resistance", across="plug", set_switch="on", expect=kind["plug_resistance"],
                  weaker=("..500 ohm", "1 ohm..")),
            check("measure", "resistance", across=kind["pole"], expect="..1 ohm", weaker=("..1 kohm",)),
            check("measure", "insulation", across=pick.one(["mains to chassis", "mains to exposed metal"]),
                  set_switch=pick.one(["on"] * 12 + ["off"]),
                  expect="2 Mohm..", weaker=("1 Mohm..", "0.2 Mohm..")),
            check("measure", "resistance", across=common, settle=pick.one(["30 s"] * 9 + ["5 s"]), expect="15 kohm..",
                  weaker=("4 kohm..", "100 ohm..")),
            check("measure", "resistance", across="speaker", expect="2..8 ohm", weaker=("..1 Mohm",)),
        ]
        if "field coil" in self.parts and not pick.odd(25):
            found.append(check("measure", "resistance", across="field coil", expect="500 ohm..3 kohm", weaker=("..1 Mohm",)))
        if pick.odd(4):
            found.append(check("measure", "insulation", across=pick.one([common, *self.caps[:1]]), expect="1 Mohm.."))
        if self.set.get("earth") == "bonded":
            found.append(check("measure", "resistance", across="earth pin to chassis", expect="..0.1 ohm",
                               weaker=("..5 ohm",)))
        if self.limiter and "continuity_checked" not in self.holder:
            found += [check("measure", "continuity", across=f"limiter {wire}", expect=expect) for wire, expect in (
                ("earth", "..1 ohm"), ("neutral", "..1 ohm"), ("live", "10..100 ohm"))]
        return found

    def reforming(self) -> list[Data]:
        old = [c["name"] for c in self.set.get("filter_capacitors", [])
               if c.get("condition") in (None, "original", "reform in this procedure", "leaking", "bulged")]
        if not old or self.pick.odd(15):
            return []
        step = self.check("reform", {
            "each": self.pick.one([old, "all"]), "to": self.pick.one(["100 V", "250 V", "300 V"]),
            "through": self.pick.one(["100 kohm 2 W", "100 kohm", "10 kohm 10 W", "1 kohm 5 W", "100 ohm 10 W"])},
            expect="..1 mA", weaker=("..8 mA",))
        self.pick.state(step["reform"], "at_most", "5 mA", ["30 mA"])
        self.pick.state(step, "until", None, ["leakage below 1 mA, at most 4 h"], varied=30)
        return [step, *([] if self.pick.odd(20) else self.dead())]

    def power(self, plug: str) -> list[Data]:
        steps: list[Data] = [{"set_dial": "0 V"}] if self.dial else []
        steps += [{"plug_in": plug}, {"switch_on": "outlet"}]
        if self.holder.get("switch") == "fitted":
            steps.append({"switch_on": "limiter"})
        if self.switched and plug == "set":
            steps.append({"switch_on": "set"})
        if self.direct and self.pick.odd(25):
            steps.append({"work": "splice the cord", "where": "outside"})
        return steps

    def climb(self) -> list[Data]:
        if self.kind["power_supply"] in ("switching", "vibrator"):
            return self.at_once("120 V")
        if not self.dial:
            return [self.stage({"wait": "5 min"})]
        by = self.pick.one(["15 V"] * 6 + ["30 V", "29.25 V", "60 V"])
        far = self.pick.one(["117 V"] * 6 + ["90 V", "105.3 V", "120 V", "130 V", "150 V"])
        return [self.stage({"raise": {"to": "60 V", "by": by}}, "1 min", ("30 s", "59 s", "2 min", "40 min")),
                self.stage({"raise": {"to": far, "by": by}}, "5 min", ("1 min", "3 min", "10 s"))]

    def run(self) -> list[Data]:
        if not self.dial:
            return [self.stage({"wait": "1 h"})]
        if self.kind["power_supply"] in ("switching", "vibrator"):
            return self.at_once("120 V")
        steps = [self.stage({"raise": {"to": "105 V", "by": "20 V"}}, "1 min", ("20 s",))]
        last: Data = {"bring_set_to": self.pick.one(["117 V"] * 5 + ["122 V", "125 V", "135 V", "110..120 V"])}
        return [*steps, self.stage(last, "1 h", ("1 min", "4..6 min"))]

    def at_once(self, volts: str) -> list[Data]:
        if not self.dial:
            return [self.stage({"wait": "10 min"})]
        return [self.stage({"set_dial": self.pick.one([volts] * 4 + ["40 V", "102 V", "132 V"])}, "10 min", ("1 min",))]

    def stage(self, step: Data, hold: str | None = None, odd: tuple[str, ...] = ()) -> Data:
        readings = ["set_voltage", "current", "lamp", *(self.caps[:1] or ["B+"])]
        if hold:
            self.pick.state(step, "hold", hold, odd, unstated=7, varied=18)
        self.pick.state(step, "read", readings, [["lamp", "current"], ["set_voltage", "current"], ["lamp"]], unstated=4,
                        varied=14)
        self.pick.state(step, "expect", "predicted", NUMBERS, unstated=4, varied=22)
        self.pick.state(step, "note", None, ["to form the capacitors"], varied=9)
        self.pick.state(step, "attended", None, ["no", "yes"], varied=6)
        return step

    def between(self) -> list[Data]:
        steps: list[Data] = []
        if self.pick.odd(15):
            steps.append({"work": "change a part", "where": self.pick.one(["inside", "outside", "bench", "limiter"])})
        if not self.pick.odd(12):
            steps.append(self.check("inspect", "inside", expect="nothing hot"))
        if not self.pick.odd(10):
            steps.append(self.check("inspect", "fuse", expect=f"{self.kind['fuse']} slow"))
        if not self.limiter or self.pick.odd(12):
            return steps
        lamp = {"power": "100 W", "voltage": "120 V", "kind": "clear filament"}
        change: Data = {"change_lamp": lamp}
        self.pick.state(change, "after", None, ["lamp cool"], varied=40)
        way = self.pick.one(["bypass", "bypass", "change", "change", "remove", "fit"])
        if way == "bypass":
            steps.append({"set_bypass": "closed"})
        elif way == "change":
            steps.append(change)
        else:
            steps.append({"remove_lamp": {}})
            steps.append({"fit_lamp": lamp} if way == "fit" else {"set_bypass": "closed"})
        if self.pick.odd(15):
            steps.insert(0, {"wait": "15 min"})
        return steps

    def down(self, plug: str) -> list[Data]:
        forgotten = self.pick.odd(3 if "switch" in self.set else 40)
        steps: list[Data] = [{"switch_off": "set"}] if self.switched and plug == "set" and not forgotten else []
        if self.dial:
            steps.append({"set_dial": "0 V"})
        return [*steps, {"switch_off": "outlet"}, {"unplug": plug}]

    def leakage(self) -> Data:
        pick = self.pick
        return self.check(
            "measure", "leakage", across="exposed metal to earth", how="1.5 kohm",
            fed_from=pick.one(["wall"] * 7 + ["bench"]), plug_ways=pick.one(["both"] * 7 + ["one"]),
            set_switch=pick.one(["both"] * 7 + ["on"]), expect="..0.5 mA",
            weaker=("..3.5 mA",))

    def dead(self) -> list[Data]:
        names: Any = self.caps or "all"
        each = self.pick.one([names, "all", names[:1] if self.caps else "all"])
        empty: Data = {"discharge": {"each": each, "through": self.pick.one(["10 kohm 10 W"] * 7 + ["100 ohm", "1 Mohm"])}}
        self.pick.state(empty["discharge"], "for", "60 s", ["1 s", "10 s"], unstated=4)
        self.pick.state(empty["discharge"], "clip_first", self.kind["return"], ["negative terminal"], unstated=5)
        proof: Data = {"prove_dead": {"each": self.pick.one([names, "all"])}}
        self.pick.state(proof["prove_dead"], "below", "10 V", ["30 V"], unstated=0, varied=5)
        self.pick.state(proof["prove_dead"], "instrument", "M1", ["S1"], unstated=0, varied=4)
        ways = [[{"discharge": empty["discharge"]}, {"unplug": "set"}], [{"work": "see why", "where": "inside"}]]
        self.pick.state(proof, "otherwise", "stop", ways, unstated=0, varied=10)
        meter = [self.meter()] if self.meters else []
        return [empty, *meter, proof, *meter, *self.emptied()]


STRAY: tuple[Data, ...] = (
    {"find_cause": "why it hums"}, {"observe": "the dial lamp"}, {"take_out": "rectifier tube"},
    {"put_in": "rectifier tube"},
    {"take_out": "output tubes"}, {"take_out": "tubes"}, {"set_bypass": "open"}, {"set_bypass": "closed"},
    {"switch_off": "outlet"}, {"switch_on": "outlet"}, {"switch_on": "set"}, {"switch_off": "set"}, {"set_dial": "0 V"},
    {"set_dial": "60 V"}, {"set_dial": "20..30 V"}, {"bring_set_to": "90 V"}, {"plug_in": "set"}, {"unplug": "set"},
    {"plug_in": "bench"}, {"work": "tighten a nut", "where": "inside"}, {"work": "wipe the case", "where": "outside"},
    {"discharge": {"each": "all", "through": "10 kohm 10 W", "for": "60 s"}}, {"clip": "M1", "across": "B+ to chassis"},
    {"connect": "aerial"}, {"connect": "earth lead", "at": "chassis"}, {"disconnect": "speaker"},
    {"connect": "dummy load", "at": "speaker"}, {"inspect": "capacitors", "expect": "dry", "otherwise": "stop"},
    {"remove_lamp": {"after": "lamp cool"}}, {"wait": "10 min"}, {"wait": "2..20 min"}, {"switch_off": "limiter"},
    {"reform": {"each": "all", "to": "100 V", "through": "100 kohm"}},
    {"prove_dead": {"each": "all", "below": "5 V", "instrument": "M1"}, "otherwise": "stop"}, {"connect": "second device"},
    {"measure": "resistance", "across": "primary", "expect": "5..50 ohm", "otherwise": "stop"},
)


def _muddled(pick: Pick, steps: list[Data]) -> list[Data]:
    """The steps with a few left out, swapped, moved or put in between."""
    for _ in range(3):
        if pick.odd(30):
            steps.pop(pick.number(len(steps)))
        if pick.odd(20):
            at = pick.number(len(steps) - 1)
            steps[at], steps[at + 1] = steps[at + 1], steps[at]
        if pick.odd(30):
            steps.insert(pick.number(len(steps) + 1), pick.one(STRAY))
    if pick.odd(10):
        steps.insert(pick.number(len(steps)), steps.pop(pick.number(len(steps))))
    if pick.odd(10):
        del steps[pick.number(len(steps)):]
    return steps or [{"wait": "1 min"}]


def volts(text: str) -> tuple[float, float]:
    """The ends of a voltage written in volts."""
    low, _, high = text.removesuffix(" V").partition("..")
    return float(low), float(high or low)


def _mended(steps: list[Data]) -> list[Data]:
    """The steps with every `raise` made to rise from where the dial stands, so that the plan can be read."""
    dial: float | None = None
    mended = []
    for step in steps:
        if "raise" in step:
            up = step["raise"]
            start = dial if dial is not None else 0.0
            if volts(up["to"])[0] <= start:
                step = {**step, "raise": None, "set_dial": up["to"]}
                del step["raise"]
            elif dial is None:
                step = {**step, "raise": {**up, "from": "0 V"}}
            dial = volts(up["to"])[1]
        elif "set_dial" in step:
            dial = volts(step["set_dial"])[1]
        elif "bring_set_to" in step:
            dial = None
        mended.append(step)
    return mended
