"""Published orders of work, each as a plan that passes in the published order and fails in every wrong one.

The documents bind employers and speak of fixed equipment; for a bench their order of steps is used, by analogy.
Everything is paraphrased. Each table names, for a wrong order, the rules that must break; others may break as well.
"""

from __future__ import annotations

from itertools import pairwise, permutations
from typing import Any, ClassVar

import pytest

from auditor.plan.problems import Unreadable
from auditor.review.finding import Outcome
from auditor.rulebook.examples import base_plan
from tests.external.audited import (
    DISCHARGE,
    LOOK,
    PROVE_DEAD,
    PROVE_METER,
    WORK,
    Change,
    broken,
    found,
    outcome,
    swapped,
    without,
)


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
    PLAN: ClassVar[Change] = {"leave_out": ["steps.leakage"], "write": {TOUCH: WORK}}

    WRONG_PLACES: ClassVar[dict[tuple[str, str], tuple[str, ...]]] = {
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

    def test_of_all_orders_of_the_five_only_the_published_one_passes(self) -> None:
        # the check of the meter stays in its place
        five = (self.ISOLATE, self.RELEASE, self.VERIFY, self.CHECK_AGAIN, self.TOUCH)
        written = {**base_plan("five-tube")["steps"], self.TOUCH: WORK}
        passed = [order for order in permutations(five) if not found(
            {**self.PLAN, "write": {place: written[step] for place, step in zip(five, order, strict=True)}})]
        assert passed == [five]

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

    HSE INDG354: the insulation is measured again after work. Two of the published steps of the former
    are not asked for by any rule: warning those nearby, and seeing that they are clear.
    """

    B_PLUS: ClassVar[Change] = {
        "measure": "resistance", "across": "B+ to common", "settle": "30 s", "expect": "15 kohm..", "otherwise": "stop"}
    INSULATION: ClassVar[Change] = {
        "measure": "insulation", "across": "mains to chassis", "set_switch": "on", "expect": "2 Mohm..",
        "otherwise": "stop"}
    POLARITY: ClassVar[Change] = {"inspect": "capacitors", "expect": "polarity as marked", "otherwise": "stop"}
    PIN: ClassVar[Change] = {
        "measure": "resistance", "across": "neutral to common", "expect": "..1 ohm", "otherwise": "stop"}

    def plan(self, *steps: Any) -> Change:
        """Work in the set between two runs, with these steps after it is proved dead and before power."""
        return {"after": {"prove-meter-after": list(steps)},
                "leave_out": ["steps.feel-for-heat", "steps.lamp-out", "steps.raise-full", "steps.at-rating",
                              "steps.leakage"],
                "before": {"set-off": self.second_run()}}

    @staticmethod
    def second_run() -> list[Any]:
        read = {"read": ["set_voltage", "current", "lamp", "C1"], "expect": "predicted"}
        return [{"raise": {"to": "60 V", "by": "15 V"}, "hold": "1 min", **read},
                {"raise": {"to": "117 V", "by": "15 V"}, "hold": "5 min", **read}]

    def test_the_published_order_passes(self) -> None:
        assert found(self.plan(WORK, LOOK, self.POLARITY, self.B_PLUS, self.PIN, self.INSULATION)) == set()

    @pytest.mark.parametrize("steps", [(LOOK, WORK), (WORK,), (WORK, LOOK, WORK), ()], ids=[
        "looked at before the work", "not looked at", "worked on again", "not worked on"])
    def test_power_comes_only_after_a_look_after_the_last_work(self, steps: tuple[Any, ...]) -> None:
        wrong = bool(steps) and steps[-1] is WORK
        assert ("look-inside-before-power" in broken(self.plan(*steps, self.B_PLUS))) == wrong

    @pytest.mark.parametrize(("steps", "wrong"), [
        ((WORK, INSULATION), False), ((INSULATION, WORK), True), ((WORK,), True),
    ], ids=["measured after the work", "measured before it", "not measured again"])
    def test_power_comes_only_after_the_insulation_is_measured_after_the_last_work(
        self, steps: tuple[Any, ...], wrong: bool
    ) -> None:
        assert ("insulate-the-mains-from-metal" in broken(self.plan(*steps, LOOK, self.B_PLUS))) == wrong

    def test_a_look_that_nothing_can_come_of_does_not_count(self) -> None:
        plan = self.plan(WORK, {"inspect": "inside"}, self.B_PLUS)
        assert "look-inside-before-power" in broken(plan)

    def test_the_look_comes_before_power_and_not_after(self) -> None:
        late = self.plan(WORK, self.B_PLUS)
        late["before"]["set-off"] = [*self.second_run(), LOOK]
        assert {"look-inside-before-power", "unplug-before-reaching-in"} <= broken(late)

    def test_a_lead_to_earth_put_on_for_the_work_is_taken_off(self) -> None:
        on, off = {"connect": "earth lead", "at": "chassis"}, {"disconnect": "earth lead"}
        assert found(self.plan(on, WORK, off, LOOK, self.POLARITY, self.B_PLUS, self.PIN, self.INSULATION)) == set()
        assert "keep-a-hot-chassis-off-earth" in broken(self.plan(on, WORK, LOOK, self.B_PLUS))


class TestLiveDeadLive:
    """DOE-HDBK-1092, 2.13.2.1: the instrument is checked on a live source, used, and checked again."""

    BEFORE, TEST, AFTER = "prove-meter-before", "prove-dead", "prove-meter-again"
    PLAN: ClassVar[Change] = {"leave_out": ["steps.leakage"]}
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
    """29 CFR 1910.334(b)(2): after a protective device has opened, power and fuses wait until the cause is found.

    The clause waits until it has been determined that circuit and equipment can be energised: something that can turn
    out otherwise.
    """

    RULE = "find-the-cause-before-power-comes-back"
    OFF, ON = {"switch_off": "outlet"}, {"switch_on": "outlet"}
    CAUSE: ClassVar[Change] = {"find_cause": "what drew the current", "expect": "a shorted capacitor, replaced",
                               "otherwise": "stop"}
    SOUGHT: ClassVar[Change] = {"find_cause": "none found"}
    REFUSE: ClassVar[Change] = {"put_in": "fuse"}
    END = ({"switch_off": "outlet"}, {"unplug": "bench"})

    def stop(self, *steps: Any) -> Change:
        return {"state": {"stop.then": [*steps, *self.END]}}

    def test_the_published_order_passes(self) -> None:
        assert outcome(self.stop(self.OFF, self.CAUSE, self.ON), self.RULE) is Outcome.KEPT

    @pytest.mark.parametrize("steps", [
        (OFF, ON), (OFF, ON, CAUSE), (OFF, ON, OFF, CAUSE), ({"unplug": "bench"}, REFUSE, {"plug_in": "bench"}, ON),
        (OFF, SOUGHT, ON),
    ], ids=["no cause", "cause afterwards", "one try first", "a new fuse instead", "a cause that was only looked for"])
    def test_a_wrong_order_fails(self, steps: tuple[Any, ...]) -> None:
        assert self.RULE in broken(self.stop(*steps))

    def test_the_plan_says_that_power_waits_for_the_cause(self) -> None:
        assert self.RULE in broken({"state": {"stop.again": "not stated"}})

    @pytest.mark.parametrize("again", ["after a rest", "with a larger fuse"])
    def test_power_that_comes_back_for_another_reason_cannot_be_written(self, again: str) -> None:
        with pytest.raises(Unreadable):
            broken({"state": {"stop.again": again}})

    @pytest.mark.parametrize(("steps", "expected"), [((OFF, ON, *END), True), ((OFF, CAUSE, ON, *END), False)])
    def test_a_reading_that_fails_under_power_is_a_stop_as_well(self, steps: tuple[Any, ...], expected: bool) -> None:
        measured = {"measure": "voltage", "across": "C1", "instrument": "M2", "expect": "60..90 V",
                    "otherwise": list(steps)}
        assert (self.RULE in broken({"after": {"raise-low": measured}})) == expected

    @pytest.mark.parametrize(("steps", "expected"), [((), True), ((CAUSE,), False)], ids=["no cause", "the cause found"])
    def test_a_check_that_fails_before_power_is_one_too(self, steps: tuple[Any, ...], expected: bool) -> None:
        power = [{"plug_in": "bench"}, {"set_dial": "0 V"}, {"plug_in": "set"}, self.ON, {"set_dial": "15 V"},
                 {"set_dial": "0 V"}, *self.END]
        look = {"inspect": "inside", "expect": "nothing burnt", "otherwise": [{"unplug": "bench"}, *steps, *power]}
        assert (self.RULE in broken({"write": {"look-inside": look}})) == expected
