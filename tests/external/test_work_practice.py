"""Published orders of work, each as a plan that passes in the published order and fails in every wrong one.

The documents bind employers and speak of fixed equipment; for a bench their order of steps is used, by analogy.
Everything is paraphrased. Each table names, for a wrong order, the rules that must break; others may break as well.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from auditor.plan.problems import Unreadable
from auditor.review.finding import Outcome
from tests.external.audited import Change, broken, found, outcome, plan_of, swapped, without

WORK = {"work": "replace the line capacitor", "where": "inside"}
LOOK = {"inspect": "inside", "expect": "no tool or clip lead left, nothing loose", "otherwise": "stop"}
DISCHARGE = {"discharge": {"each": ["C1", "C2"], "through": "10 kohm 10 W", "for": "10 s", "clip_first": "common"}}
PROVE_METER = {"prove": "M1", "on": "known source", "expect": "114..126 V", "otherwise": "stop"}
PROVE_DEAD = {"prove_dead": {"each": ["C1", "C2"], "below": "10 V", "instrument": "M1"}}


def neighbours(order: tuple[str, ...]) -> set[tuple[str, str]]:
    return set(pairwise(order))


class TestMakingDead:
    """29 CFR 1910.333(b)(2)(ii) and (iv); 29 CFR 1910.147(d)(2) to (6), as quoted elsewhere.

    Shut down; disconnect from every source, controls not being the only means; release stored energy; verify, with
    the instrument checked; then work.
    """

    SET_OFF, DIAL_DOWN, SHUT, ISOLATE, RELEASE, CHECK, VERIFY, CHECK_AGAIN, TOUCH = ORDER = (
        "set-off", "dial-zero-last", "supply-off-last", "unplug-set", "discharge", "prove-meter-before", "prove-dead",
        "prove-meter-again", "unclip")
    PLAN: Change = {"leave_out": ["steps.leakage"], "write": {TOUCH: WORK}}

    WRONG_PLACES = {
        (SET_OFF, DIAL_DOWN): (),  # both shut down; either may come first
        (DIAL_DOWN, SHUT): ("shut-down-in-order",),
        (SHUT, ISOLATE): (),  # the dial is at zero before both, so no current is broken either way
        (ISOLATE, RELEASE): ("unplug-before-reaching-in",),
        (RELEASE, CHECK): (),  # the meter may be checked before the discharge or after it
        (CHECK, VERIFY): ("prove-the-meter-before-and-after",),
        (VERIFY, CHECK_AGAIN): ("prove-the-meter-before-and-after",),
        (CHECK_AGAIN, TOUCH): ("prove-the-meter-before-and-after",),
    }

    def test_the_published_order_passes(self) -> None:
        assert found(self.PLAN) == set()

    def test_every_pair_of_neighbours_is_tried(self) -> None:
        assert set(self.WRONG_PLACES) == neighbours(self.ORDER)

    @pytest.mark.parametrize(("pair", "rules"), WRONG_PLACES.items(), ids=str)
    def test_two_steps_in_each_others_place(self, pair: tuple[str, str], rules: tuple[str, ...]) -> None:
        assert set(rules) <= broken(swapped(*pair, self.PLAN))
        assert rules or found(swapped(*pair, self.PLAN)) == set()

    @pytest.mark.parametrize(("later", "earlier", "rule"), [
        (VERIFY, RELEASE, "discharge-before-proving-dead"),
        (TOUCH, VERIFY, "prove-dead-before-reaching-in"),
        (TOUCH, RELEASE, "prove-dead-before-reaching-in"),
        (TOUCH, ISOLATE, "unplug-before-reaching-in"),
        (VERIFY, ISOLATE, "unplug-before-reaching-in"),
    ])
    def test_what_comes_last_done_first(self, later: str, earlier: str, rule: str) -> None:
        assert rule in broken(swapped(earlier, later, self.PLAN))

    @pytest.mark.parametrize(("step", "rules"), [
        (SET_OFF, ("shut-down-in-order",)),
        (DIAL_DOWN, ("shut-down-in-order",)),
        (SHUT, ("end-with-the-plug-out",)),
        (ISOLATE, ("unplug-before-reaching-in",)),
        (RELEASE, ("discharge-before-proving-dead",)),
        (CHECK, ("prove-the-meter-before-and-after",)),
        (VERIFY, ("prove-dead-before-reaching-in", "leave-every-capacitor-dead")),
        (CHECK_AGAIN, ("prove-the-meter-before-and-after", "prove-the-meter-after-the-last-dead-test")),
    ])
    def test_a_step_left_out(self, step: str, rules: tuple[str, ...]) -> None:
        assert set(rules) <= broken(without(step, self.PLAN))

    @pytest.mark.parametrize("control", ["outlet", "set"])
    def test_controls_are_not_the_only_means(self, control: str) -> None:
        # 1910.333(b)(2)(ii)(B)
        plan: Change = {**self.PLAN, "write": {"unclip": WORK, self.ISOLATE: {"switch_off": control}}}
        assert "unplug-before-reaching-in" in broken(plan)

    @pytest.mark.parametrize(("step", "done_to_one", "rule"), [
        (RELEASE, {"discharge": {**DISCHARGE["discharge"], "each": ["C1"]}}, "discharge-before-proving-dead"),
        (VERIFY, {"prove_dead": {**PROVE_DEAD["prove_dead"], "each": ["C1"]}}, "prove-dead-before-reaching-in"),
    ])
    def test_every_part_is_released_and_verified(self, step: str, done_to_one: Change, rule: str) -> None:
        # 1910.333(b)(2)(ii)(C) and (iv)(B)
        assert rule in broken({**self.PLAN, "write": {"unclip": WORK, step: done_to_one}})

    def test_the_plug_is_not_pulled_under_load(self) -> None:
        # 1910.147(d)(2) before (d)(3): shut down, then isolate
        plan: Change = {"leave_out": [*self.PLAN["leave_out"], "steps.set-off", "steps.dial-zero-last"],
                        "write": {"unclip": WORK}}
        assert "shut-down-in-order" in broken(swapped(self.SHUT, self.ISOLATE, plan))

    def test_energy_that_has_come_back_is_released_and_verified_again(self) -> None:
        # 1910.147(d)(5)(ii): here the set has run at the wall, for its leakage test, after it was verified
        again: Change = {
            "leave_out": ["steps.leakage", "steps.unclip"],
            "after": {"prove-meter-again": [
                {"measure": "leakage", "across": "exposed metal to earth", "how": "1.5 kohm", "fed_from": "wall",
                 "plug_ways": "both", "set_switch": "both", "expect": "..0.5 mA", "otherwise": "stop"},
                DISCHARGE, PROVE_METER, PROVE_DEAD, PROVE_METER, WORK]},
        }
        assert found(again) == set()
        for left_out, rule in ((1, "discharge-before-proving-dead"), (3, "prove-dead-before-reaching-in")):
            steps = list(again["after"]["prove-meter-again"])
            del steps[left_out]
            assert rule in broken({**again, "after": {"prove-meter-again": steps}})

    def test_a_lamp_is_changed_only_unplugged(self) -> None:
        # 1910.333(b)(2)(ii)(B), with NEC 200.10, as quoted elsewhere: a switch may leave the shell live
        change = {"change_lamp": {"power": "60 W", "voltage": "120 V", "kind": "clear filament"}, "after": "cooling"}
        rule = "unplug-before-changing-the-lamp"
        assert outcome({"after": {"prove-dead-between": change}}, rule) is Outcome.KEPT
        assert outcome({"after": {"supply-off": change}}, rule) is Outcome.BROKEN


class TestReenergising:
    """29 CFR 1910.333(b)(2)(v), even for a moment: tools, jumpers, shorts and grounds are seen to be gone, then power.

    Two of the published steps are not asked for by any rule: warning those nearby, and seeing that they are clear.
    """

    B_PLUS = {"measure": "resistance", "across": "B+ to common", "settle": "30 s", "expect": "15 kohm..",
              "otherwise": "stop"}

    def plan(self, *steps: Any) -> Change:
        """Work in the set between two runs, with these steps after it is proved dead and before power."""
        return {"after": {"prove-meter-after": list(steps)},
                "leave_out": ["steps.lamp-out", "steps.raise-full", "steps.at-rating", "steps.leakage"],
                "before": {"set-off": self.second_run()}}

    @staticmethod
    def second_run() -> list[Any]:
        read = {"read": ["set_voltage", "current", "lamp", "C1"], "expect": "predicted"}
        return [{"raise": {"to": "60 V", "by": "15 V"}, "hold": "1 min", **read},
                {"raise": {"to": "117 V", "by": "15 V"}, "hold": "5 min", **read}]

    def test_the_published_order_passes(self) -> None:
        assert found(self.plan(WORK, LOOK, self.B_PLUS)) == set()

    @pytest.mark.parametrize("steps", [(LOOK, WORK), (WORK,), (WORK, LOOK, WORK), ()], ids=[
        "looked at before the work", "not looked at", "worked on again", "not worked on"])
    def test_power_comes_only_after_a_look_after_the_last_work(self, steps: tuple[Any, ...]) -> None:
        wrong = bool(steps) and steps[-1] is WORK
        assert ("look-inside-before-power" in broken(self.plan(*steps, self.B_PLUS))) == wrong

    def test_a_look_that_nothing_can_come_of_does_not_count(self) -> None:
        plan = self.plan(WORK, {"inspect": "inside"}, self.B_PLUS)
        assert "look-inside-before-power" in broken(plan)

    def test_the_look_comes_before_power_and_not_after(self) -> None:
        late = self.plan(WORK, self.B_PLUS)
        late["before"]["set-off"] = [*self.second_run(), LOOK]
        assert {"look-inside-before-power", "unplug-before-reaching-in"} <= broken(late)

    def test_a_lead_to_earth_put_on_for_the_work_is_taken_off(self) -> None:
        on, off = {"connect": "earth lead", "at": "chassis"}, {"disconnect": "earth lead"}
        assert found(self.plan(on, WORK, off, LOOK, self.B_PLUS)) == set()
        assert "keep-a-hot-chassis-off-earth" in broken(self.plan(on, WORK, LOOK, self.B_PLUS))


class TestLiveDeadLive:
    """DOE-HDBK-1092, 2.13.2.1: the instrument is checked on a live source, used, and checked again."""

    BEFORE, TEST, AFTER = "prove-meter-before", "prove-dead", "prove-meter-again"
    PLAN: Change = {"leave_out": ["steps.leakage"]}
    RULE = "prove-the-meter-before-and-after"

    def test_the_published_order_passes(self) -> None:
        assert found(self.PLAN) == set()

    @pytest.mark.parametrize("plan", [
        swapped(BEFORE, TEST, PLAN), swapped(TEST, AFTER, PLAN), without(BEFORE, PLAN), without(AFTER, PLAN),
    ], ids=["dead, live, live", "live, live, dead", "dead, live", "live, dead"])
    def test_a_wrong_order_fails(self, plan: Change) -> None:
        assert self.RULE in broken(plan)

    @pytest.mark.parametrize("no_proof", [
        {"prove": "M1", "on": "known source"},
        {"prove": "M1", "on": "known source", "expect": "114..126 V"},
        {"prove": "M1", "expect": "114..126 V", "otherwise": "stop"},
        {"prove": "M2", "on": "known source", "expect": "114..126 V", "otherwise": "stop"},
    ], ids=["nothing expected", "nothing done otherwise", "no source", "another instrument"])
    def test_a_check_that_could_not_fail_is_no_check(self, no_proof: Change) -> None:
        second = {"name": "M2", "kind": "multimeter", "category": "CAT III 600 V", "supply": "battery", "earthed": "no"}
        first = {**second, "name": "M1"}
        for place in (self.BEFORE, self.AFTER):
            plan: Change = {**self.PLAN, "state": {"bench.instruments": [first, second]}, "write": {place: no_proof}}
            assert self.RULE in broken(plan)

    def test_a_check_from_before_the_power_is_too_old(self) -> None:
        assert self.RULE in broken({**without(self.BEFORE, self.PLAN), "before": {"set-off": PROVE_METER}})


class TestNoPowerBeforeTheCauseIsKnown:
    """29 CFR 1910.334(b)(2): after a protective device has opened, power and fuses wait until the cause is found."""

    RULE = "find-the-cause-before-power-comes-back"
    OFF, CAUSE, ON = {"switch_off": "outlet"}, {"find_cause": "shorted capacitor"}, {"switch_on": "outlet"}
    REFUSE = {"put_in": "fuse"}
    END = ({"switch_off": "outlet"}, {"unplug": "bench"})

    def stop(self, *steps: Any) -> Change:
        return {"state": {"stop.then": [*steps, *self.END]}}

    def test_the_published_order_passes(self) -> None:
        assert outcome(self.stop(self.OFF, self.CAUSE, self.ON), self.RULE) is Outcome.KEPT

    @pytest.mark.parametrize("steps", [
        (OFF, ON), (OFF, ON, CAUSE), (OFF, ON, OFF, CAUSE), ({"unplug": "bench"}, REFUSE, {"plug_in": "bench"}, ON),
    ], ids=["no cause", "cause afterwards", "one try first", "a new fuse instead"])
    def test_a_wrong_order_fails(self, steps: tuple[Any, ...]) -> None:
        assert self.RULE in broken(self.stop(*steps))

    @pytest.mark.parametrize("again", ["not stated", "after a rest", "with a larger fuse"])
    def test_the_plan_says_that_power_waits_for_the_cause(self, again: str) -> None:
        assert self.RULE in broken({"state": {"stop.again": again}})

    @pytest.mark.parametrize(("steps", "expected"), [((OFF, ON, *END), True), ((OFF, CAUSE, ON, *END), False)])
    def test_a_reading_that_fails_under_power_is_a_stop_as_well(self, steps: tuple[Any, ...], expected: bool) -> None:
        measured = {"measure": "voltage", "across": "C1", "instrument": "M1", "expect": "60..90 V",
                    "otherwise": list(steps)}
        assert (self.RULE in broken({"after": {"raise-low": measured}})) == expected


class TestTheBenchSupply:
    """HSE INDG354, "Supplies to equipment under test", as quoted elsewhere.

    Each item under test has its own isolated supply with a single outlet; nothing earths that outlet; faults to earth
    and the insulation are looked for before class I equipment is made live; what is not isolated is earthed.
    """

    OTHER = {"other_load": {"description": "signal generator on the mains"}}

    @staticmethod
    def chain(*kinds: str) -> list[Any]:
        parts: dict[str, Any] = {
            "outlet": {"outlet": {"switch": "emergency", "within_reach": "yes"}},
            "isolation": {"isolating_transformer": {"rated_power": "300 W", "output_earthed": "no", "outlets": "1"}},
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

    EARTH = {"measure": "continuity", "across": "earth pin to chassis", "expect": "..0.5 ohm", "otherwise": "stop"}
    CLASS_I: Change = {"base": "transformer-set", "state": {"set.earth": "bonded"}, "leave_out": ["steps.leakage"],
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

    COLD = [DISCHARGE, PROVE_METER, PROVE_DEAD, PROVE_METER]
    PLAN: Change = {"base": "transformer-set", "state": {"set.idle_for": "2 h"}, "leave_out": ["steps.leakage"],
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
                "measure": "voltage", "across": across, "instrument": "M1", "expect": "..300 V", "otherwise": "stop"}}}

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
