"""Published arrangements of a test bench, its leads, its people and its fuses, as plans.

Each must pass as it is published and fail where it is left out or turned round. The documents bind employers; for a
bench they are used by analogy. Everything is paraphrased.
"""

from __future__ import annotations

from typing import Any, ClassVar

import pytest

from auditor.plan.problems import Unreadable
from auditor.review.finding import Outcome
from tests.external.audited import (
    DISCHARGE,
    PROVE_DEAD,
    PROVE_METER,
    WORK,
    Change,
    broken,
    found,
    outcome,
    plan_of,
    swapped,
    without,
)


class TestTheBenchSupply:
    """HSE INDG354, "Supplies to equipment under test", as quoted elsewhere.

    Each item under test has its own isolated supply with a single outlet; nothing earths that outlet; faults to earth
    and the insulation are looked for before class I equipment is made live; what is not isolated is earthed.
    """

    OTHER: ClassVar[Change] = {"other_load": {"description": "signal generator on the mains"}}

    @staticmethod
    def chain(*kinds: str) -> list[Any]:
        parts: dict[str, Any] = {
            "outlet": {"outlet": {"switch": "emergency", "within_reach": "yes"}},
            "isolation": {"isolating_transformer": {"rated_power": "300 W", "output_earthed": "no"}},
            "dial": {"autotransformer": {"output": "0..140 V", "rated_current": "3 A", "fuse": "3 A"}},
            "limiter": {"limiter": {
                "lamp": {"power": "40 W", "voltage": "120 V", "kind": "clear filament"}, "bypass": "open",
                "continuity_checked": {"how": "with a meter", "on": "2026-11-01"}}},
            "other": TestTheBenchSupply.OTHER,
        }
        return [parts.get(kind, kind) for kind in kinds]

    def plan(self, *kinds: str) -> Change:
        return {"state": {"bench.chain": self.chain(*kinds)}}

    def test_the_published_arrangement_passes(self) -> None:
        assert found(self.plan("outlet", "isolation", "dial", "limiter", "ammeter", "voltmeter", "set")) == set()

    def test_something_else_before_the_isolation_is_not_on_it(self) -> None:
        plan = self.plan("outlet", "other", "isolation", "dial", "limiter", "ammeter", "voltmeter", "set")
        assert found(plan) == set()

    @pytest.mark.parametrize("kinds", [
        ("outlet", "isolation", "other", "dial", "limiter", "ammeter", "voltmeter", "set"),
        ("outlet", "isolation", "dial", "limiter", "ammeter", "voltmeter", "other", "set"),
        ("outlet", "isolation", "dial", "limiter", "ammeter", "voltmeter", "set", "set"),
    ])
    def test_two_items_on_one_isolated_supply_fail(self, kinds: tuple[str, ...]) -> None:
        assert "one-set-on-the-isolated-supply" in broken(self.plan(*kinds))

    def test_a_second_item_put_on_during_the_work_fails(self) -> None:
        plan: Change = {"before": {"supply-on": {"connect": "second device", "at": "set outlet"}}}
        assert "one-set-on-the-isolated-supply" in broken(plan)

    def test_a_hot_chassis_without_isolation_fails(self) -> None:
        plan = self.plan("outlet", "dial", "limiter", "ammeter", "voltmeter", "set")
        assert "isolate-a-hot-chassis" in broken(plan)

    def test_isolation_behind_the_item_cannot_be_written(self) -> None:
        with pytest.raises(Unreadable):
            plan_of(self.plan("outlet", "dial", "limiter", "ammeter", "voltmeter", "set", "isolation"))

    @pytest.mark.parametrize("state", [
        {"bench.chain.isolating_transformer.output_earthed": "yes"}, {"set.aerial": "connected"},
        {"set.earth_lead": "connected"},
    ], ids=str)
    def test_an_isolated_supply_that_is_earthed_fails(self, state: Change) -> None:
        assert "keep-a-hot-chassis-off-earth" in broken({"state": state})

    EARTH: ClassVar[Change] = {
        "measure": "continuity", "across": "earth pin to chassis", "expect": "..0.5 ohm", "otherwise": "stop"}
    CLASS_I: ClassVar[Change] = {
        "base": "transformer-set", "state": {"set.earth": "bonded"}, "leave_out": ["steps.leakage"],
        "before": {"insulation": EARTH}}

    def test_class_i_equipment_with_earth_and_insulation_measured_first_passes(self) -> None:
        assert found(self.CLASS_I) == set()

    @pytest.mark.parametrize(("plan", "rule"), [
        ({**CLASS_I, "before": {}}, "measure-the-earth-of-a-bonded-set"),
        ({**CLASS_I, "before": {}, "after": {"unclip": EARTH}}, "measure-the-earth-of-a-bonded-set"),
        (without("insulation", {**CLASS_I, "before": {"b-plus-cold": EARTH}}), "insulate-the-mains-from-metal"),
        (swapped("insulation", "unclip", {**CLASS_I, "before": {"b-plus-cold": EARTH}}), "insulate-the-mains-from-metal"),
    ], ids=["no earth measured", "earth measured afterwards", "no insulation", "insulation afterwards"])
    def test_class_i_equipment_made_live_unmeasured_fails(self, plan: Change, rule: str) -> None:
        assert rule in broken(plan)

    def test_earth_is_tested_again_after_work(self) -> None:
        rule = "earth-measured-before-handing-over"
        repair: Change = {**self.CLASS_I, "state": {"set.earth": "bonded", "procedure.purpose": "after repair"}}
        assert rule in broken(repair)
        assert rule not in broken({**repair, "after": {"unclip": self.EARTH}})
        assert rule in broken({**repair, "after": {"unclip": [self.EARTH, WORK]}})

    def test_class_i_equipment_that_is_not_isolated_is_earthed(self) -> None:
        rule, bare = "lead-the-bond-to-a-real-earth", ["bench.chain.isolating_transformer", "steps.leakage"]
        plan: Change = {**self.CLASS_I, "leave_out": bare}
        assert rule not in broken(plan)
        assert rule in broken({**plan, "state": {"set.earth": "bonded", "mains.earth": "absent"}})


class TestReadingHighVoltage:
    """NAVEDTRA 14188, p. 1-15, above 300 V: off, discharge, clip the leads on, on, read, off, discharge, unclip."""

    COLD: ClassVar[list[Change]] = [DISCHARGE, PROVE_METER, PROVE_DEAD, PROVE_METER]
    PLAN: ClassVar[Change] = {
        "base": "transformer-set", "state": {"set.idle_for": "2 h"}, "leave_out": ["steps.leakage"],
        "before": {"look-inside": COLD}}

    def test_the_published_order_passes(self) -> None:
        # the set ran two hours ago, and its B+ without load is 380 V
        assert found(self.PLAN) == set()

    @pytest.mark.parametrize(("plan", "rule"), [
        ({**PLAN, "before": {}}, "prove-dead-before-reaching-in"),
        ({**PLAN, "before": {"look-inside": COLD[1:]}}, "discharge-before-proving-dead"),
        ({**PLAN, "before": {"look-inside": COLD[:1]}}, "prove-dead-before-reaching-in"),
        ({**PLAN, "before": {}, "after": {"clip": COLD}}, "prove-dead-before-reaching-in"),
        (swapped("clip", "plug-in-set", PLAN), "clip-the-meter-while-dead"),
        (swapped("clip", "supply-on", PLAN), "clip-the-meter-while-dead"),
        (without("clip", PLAN), "ask-for-readings-that-a-meter-gives"),
        (swapped("unclip", "set-off", PLAN), "clip-the-meter-while-dead"),
        (swapped("unclip", "supply-off-last", PLAN), "clip-the-meter-while-dead"),
        (swapped("unclip", "unplug-set", PLAN), "clip-the-meter-while-dead"),
        (swapped("unclip", "discharge", PLAN), "prove-dead-before-reaching-in"),
        (swapped("unclip", "prove-dead", PLAN), "prove-dead-before-reaching-in"),
        (without("discharge", PLAN), "discharge-before-proving-dead"),
    ], ids=["not discharged", "proved dead only", "discharged only", "clipped before the discharge",
            "clipped with the set plugged in", "clipped under power", "never clipped", "unclipped under power",
            "unclipped before the supply is off", "unclipped before the plug is out", "unclipped before the discharge",
            "unclipped before it is dead", "not discharged afterwards"])
    def test_a_wrong_order_fails(self, plan: Change, rule: str) -> None:
        assert rule in broken(plan)

    def test_a_clipped_meter_may_be_read_under_power_and_a_probe_held_by_hand_may_not(self) -> None:
        def reading(across: str) -> Change:
            return {**self.PLAN, "after": {"raise-low": {
                "measure": "voltage", "across": across, "instrument": "M2", "expect": "..300 V", "otherwise": "stop"}}}

        assert found(reading("C1")) == set()
        assert "clip-the-meter-while-dead" in broken(reading("C2"))
        assert "clip-the-meter-while-dead" in broken(reading("B+ to chassis"))


class TestCords:
    """29 CFR 1910.334(a): cords are inspected before use, a defective one is withdrawn, no earth pin is defeated."""

    RULE = "inspect-the-cord-before-power"

    def test_a_cord_inspected_first_passes(self) -> None:
        assert found({}) == set()

    @pytest.mark.parametrize("plan", [
        without("look-at-cord", {}),
        swapped("look-at-cord", "unclip", {}),
        {"write": {"look-at-cord": {"inspect": "cord", "expect": "no crack or nick"}}},
        {"write": {"look-at-cord": {"inspect": "cord", "otherwise": "stop"}}},
    ], ids=["left out", "afterwards", "a defective one is used", "nothing is looked for"])
    def test_a_cord_used_uninspected_fails(self, plan: Change) -> None:
        assert self.RULE in broken(plan)

    def test_a_cord_is_not_inspected_while_it_is_plugged_in(self) -> None:
        assert "unplug-before-reaching-in" in broken(swapped("look-at-cord", "supply-on", {}))

    @pytest.mark.parametrize(("lifted", "expected"), [("yes", True), ("no", False)])
    def test_the_earth_of_an_instrument_is_not_defeated(self, lifted: str, expected: bool) -> None:
        # 1910.334(a); HSE EIS36, hazards (f): an oscilloscope run without earth can make its case live
        scope = {"name": "S1", "kind": "oscilloscope", "supply": "mains", "earthed": "no", "earth_lifted": lifted,
                 "differential_probe": "yes", "connected_to": "chassis"}
        meter = {"name": "M1", "kind": "multimeter", "category": "CAT III 600 V", "supply": "battery", "earthed": "no"}
        plan: Change = {"state": {"bench.instruments": [meter, scope]}}
        assert ("leave-the-earth-on-the-instruments" in broken(plan)) == expected


class TestPeople:
    @pytest.mark.parametrize(("eyes", "expected"), [
        ("yes", Outcome.KEPT), ("no", Outcome.BROKEN), ("not stated", Outcome.UNDETERMINED)])
    def test_eyes_are_protected_where_a_part_may_fly(self, eyes: str, expected: Outcome) -> None:
        # 29 CFR 1910.335(a)(1)
        assert outcome({"state": {"bench.people.eye_protection": eyes}}, "protect-the-eyes") is expected

    @pytest.mark.parametrize(("person", "knows", "expected"), [
        ("within call", "yes", Outcome.KEPT), ("none", "yes", Outcome.BROKEN), ("within call", "no", Outcome.BROKEN)])
    def test_nobody_works_alone_and_the_other_knows_the_switch(
        self, person: str, knows: str, expected: Outcome
    ) -> None:
        # NAVEDTRA 14009 (nobody alone near high voltage); NAVEDTRA 14344, live circuits (one knows how to cut power)
        state = {"bench.people.second_person": person, "bench.people.knows_the_switch": knows}
        assert outcome({"state": state}, "have-someone-who-can-cut-the-power") is expected

    @pytest.mark.parametrize(("first", "expected"), [
        ({"switch_off": "outlet"}, False), ({"unplug": "bench"}, False), ({"switch_off": "set"}, True),
        ({"work": "push the set away", "where": "outside"}, True)])
    def test_in_an_emergency_power_is_cut_first(self, first: Change, expected: bool) -> None:
        # NAVEDTRA 14086, rescue
        plan: Change = {"state": {"stop.then": [first, {"switch_off": "outlet"}, {"unplug": "bench"}]}}
        assert ("stop-by-cutting-the-power" in broken(plan)) == expected

    @pytest.mark.parametrize(("base", "side"), [("five-tube", "common"), ("transformer-set", "chassis")])
    def test_a_shorting_tool_is_clipped_to_the_common_side_before_it_touches(self, base: str, side: str) -> None:
        # NAVEDTRA 14086, safety shorting probe
        rule, tool = "discharge-gently-and-long-enough", DISCHARGE["discharge"]
        loose = {key: value for key, value in tool.items() if key != "clip_first"}
        clipped: Change = {"base": base, "write": {"discharge": {"discharge": {**loose, "clip_first": side}}}}
        assert rule not in found(clipped)
        assert rule in broken({"base": base, "write": {"discharge": {"discharge": loose}}})

    @pytest.mark.parametrize(("interlock", "expected"), [("closed", False), ("bypassed", True)])
    def test_no_interlock_stays_bypassed(self, interlock: str, expected: bool) -> None:
        # NAVEDTRA 14191, p. 1-2; NAVEDTRA 14188, p. 1-15
        assert ("take-the-interlock-bypass-off" in broken({"state": {"set.interlock": interlock}})) == expected


class TestHandsOff:
    """NAVEDTRA 14188, p. 1-17, and EIS35, risk assessment (a): parts are replaced with the plug out."""

    @pytest.mark.parametrize("doing", [
        WORK, {"take_out": "fuse"}, {"take_out": "rectifier tube"}, {"put_in": "tubes"}, {"inspect": "inside"},
    ], ids=lambda doing: " ".join(doing))
    def test_nothing_is_replaced_while_only_switches_are_open(self, doing: Change) -> None:
        assert "unplug-before-reaching-in" in broken({"after": {"supply-off-last": doing}})


class TestChangingTheFuse:
    """NAVEDTRA 14188, p. 1-17: a fuse is replaced by its like; 29 CFR 1910.334(b)(2): and its cause is known first."""

    RULE = "confirm-the-fuse-before-the-lamp-goes-out"

    def test_the_fuse_is_confirmed_before_it_must_do_the_work_of_the_lamp(self) -> None:
        assert self.RULE not in broken({})

    @pytest.mark.parametrize("plan", [
        without("look-at-fuse-again", {}),
        swapped("look-at-fuse-again", "unclip", {}),
        {"write": {"look-at-fuse-again": {"inspect": "fuse"}}},
    ], ids=["left out", "afterwards", "nothing is looked for"])
    def test_a_fuse_that_is_not_confirmed_fails(self, plan: Change) -> None:
        assert self.RULE in broken(plan)


class TestTheLeakageTest:
    """Leakage clause of service manuals; ANSI C39.5, 11.6.1, as quoted elsewhere.

    From touchable metal to a good earth through 1500 ohm, no more than 0.5 mA, the set straight at the outlet without
    isolating transformer, and again with the plug turned round where it fits both ways.
    """

    RULE = "leakage-test-before-handing-over"
    REPAIR: ClassVar[Change] = {"procedure.purpose": "after repair"}
    TEST: ClassVar[Change] = {
        "measure": "leakage", "across": "exposed metal to earth", "how": "1.5 kohm", "fed_from": "wall",
        "plug_ways": "both", "set_switch": "both", "expect": "..0.5 mA", "otherwise": "stop"}

    def test_the_published_test_passes(self) -> None:
        assert found({"state": self.REPAIR, "write": {"leakage": self.TEST}}) == set()

    @pytest.mark.parametrize("wrong", [
        {"fed_from": "bench"}, {"expect": "..0.75 mA"}, {"set_switch": "on"}, {"across": "mains to chassis"},
    ], ids=str)
    def test_a_test_done_otherwise_fails(self, wrong: Change) -> None:
        assert self.RULE in broken({"state": self.REPAIR, "write": {"leakage": {**self.TEST, **wrong}}})

    @pytest.mark.parametrize(("polarised", "expected"), [("yes", False), ("no", True)])
    def test_a_plug_that_fits_both_ways_is_tried_both_ways(self, polarised: str, expected: bool) -> None:
        state = {**self.REPAIR, "set.plug.polarised": polarised}
        one_way: Change = {"state": state, "write": {"leakage": {**self.TEST, "plug_ways": "one"}}}
        assert (self.RULE in broken(one_way)) == expected

    def test_the_test_comes_after_the_repair(self) -> None:
        assert self.RULE in broken({"state": self.REPAIR, "after": {"prove-meter-again": WORK}})
        assert self.RULE in broken(without("leakage", {"state": self.REPAIR}))


class TestInstrumentsAtTheBench:
    @pytest.mark.parametrize(("instrument", "expected"), [
        ({"earthed": "yes"}, True),
        ({"earthed": "no"}, False),
        ({"earthed": "yes", "differential_probe": "yes"}, False),
    ], ids=str)
    def test_no_earthed_oscilloscope_on_a_hot_chassis(self, instrument: Change, expected: bool) -> None:
        # HSE EIS36, hazards (f); an instrument maker's advice: a differential probe or an isolated input instead
        scope = {"name": "S1", "kind": "oscilloscope", "supply": "mains", "earth_lifted": "no", "differential_probe": "no",
                 "connected_to": "chassis"}
        meter = {"name": "M1", "kind": "multimeter", "category": "CAT III 600 V", "supply": "battery", "earthed": "no"}
        plan: Change = {"state": {"bench.instruments": [meter, {**scope, **instrument}]}}
        assert ("no-earthed-instrument-on-a-hot-chassis" in broken(plan)) == expected

    @pytest.mark.parametrize(("outlet", "expected"), [
        ({"switch": "emergency", "within_reach": "yes"}, Outcome.KEPT),
        ({"switch": "none", "within_reach": "yes"}, Outcome.BROKEN),
        ({"switch": "emergency", "within_reach": "no"}, Outcome.BROKEN),
    ], ids=str)
    def test_a_test_place_has_a_switch_that_can_be_reached(self, outlet: Change, expected: Outcome) -> None:
        # EN 50191, as quoted elsewhere: emergency switching
        assert outcome({"state": {"bench.chain.outlet": {"outlet": outlet}}}, "switch-within-reach") is expected

    def test_the_leak_of_the_isolation_itself_is_measured_before_it_is_relied_on(self) -> None:
        # HSE INDG354, as quoted elsewhere: no unacceptably high leakage
        rule = "prove-the-isolation-before-use"
        assert rule in broken(without("prove-isolation", {}))
        assert rule in broken(swapped("prove-isolation", "unclip", {}))
        assert rule not in found({})

    def test_the_pin_that_reaches_the_chassis_is_known_before_power(self) -> None:
        # NEC 200.11, as quoted elsewhere: polarity of connections
        rule = "know-which-pin-reaches-the-chassis"
        assert rule in broken(without("polarity", {}))
        assert rule in broken(swapped("polarity", "unclip", {}))
        assert rule not in found({})
