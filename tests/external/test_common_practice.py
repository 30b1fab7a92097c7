"""Common practice, as it is handed on at benches: no published source.

What careful people do must be accepted as it is done, in either of two usual orders; what they warn each other of
must be found.
"""

from __future__ import annotations

from itertools import takewhile
from typing import Any, ClassVar

import pytest

from auditor.bench.circuit import cord_live, dial_output, energised, limiter_in, set_voltage
from auditor.bench.prediction import settled
from auditor.bench.trace import Sample, replay
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan
from auditor.review.finding import Outcome, Verdict
from tests.external.audited import Change, audited, broken, found, outcome, plan_of, swapped

SET_ON, LIMITER_ON, SUPPLY_ON = {"switch_on": "set"}, {"switch_on": "limiter"}, {"switch_on": "outlet"}
READ = {"read": ["set_voltage", "current", "lamp", "C1"], "expect": "predicted"}
CORD_SIDE = {"read": ["set_voltage", "current"], "expect": "predicted"}


class TestBothUsualOrdersAtZeroDial:
    FITTED: ClassVar[Change] = {"bench.chain.limiter.switch": "fitted"}
    SET_FIRST: ClassVar[Change] = {
        "state": FITTED,
        "write": {"supply-on": SET_ON, "set-on": SUPPLY_ON},
        "before": {"set-on": LIMITER_ON},
    }
    CORD_FIRST: ClassVar[Change] = {
        "state": FITTED,
        "write": {"supply-on": LIMITER_ON, "set-on": SUPPLY_ON},
        "after": {"set-on": [
            {"raise": {"to": "117 V", "by": "29 V"}, "hold": "1 min", **CORD_SIDE},
            {"set_dial": "0 V"},
            SET_ON,
        ]},
    }

    def test_set_then_limiter_then_supply_and_then_the_dial(self) -> None:
        assert audited(self.SET_FIRST).verdict is Verdict.NOTHING_FOUND

    def test_the_cord_side_alone_to_full_and_back_to_zero_and_then_the_set(self) -> None:
        assert audited(self.CORD_FIRST).verdict is Verdict.NOTHING_FOUND

    @pytest.mark.parametrize("change", [SET_FIRST, CORD_FIRST], ids=["set first", "cord first"])
    def test_both_orders_do_power_the_set_through_the_lamp(self, change: Change) -> None:
        # otherwise nothing found would mean that nothing was done
        plan = plan_of(change)
        assert any(energised(plan, s.state) & limiter_in(plan, s.state) is Truth.TRUE for s in replay(plan).main)

    def test_the_cord_first_order_tries_the_cord_at_full_voltage_with_the_set_off(self) -> None:
        plan = plan_of(self.CORD_FIRST)
        before = takewhile(lambda s: energised(plan, s.state) is Truth.FALSE, replay(plan).main)
        tried = [s.state.dial for s in before if cord_live(plan, s.state) is Truth.TRUE]
        assert max(dial.high for dial in tried if dial) == 117

    @pytest.mark.parametrize("wrong", [
        {**CORD_FIRST, "after": {"set-on": [CORD_FIRST["after"]["set-on"][0], SET_ON, {"set_dial": "0 V"}]}},
        {**SET_FIRST, "before": {"set-on": [LIMITER_ON, {"set_dial": "15 V"}]}},
    ], ids=["set switched on at full dial", "supply switched on with the dial up"])
    def test_a_dial_that_does_not_stand_at_zero_is_found(self, wrong: Change) -> None:
        assert "start-from-zero" in broken(wrong)


class TestTheMeterSitsAtTheSet:
    @staticmethod
    def on_the_lamp() -> tuple[Plan, list[Sample]]:
        plan = plan_of({})
        samples = [s for s in replay(plan).main
                   if s.exit and energised(plan, s.state) & limiter_in(plan, s.state) is Truth.TRUE]
        assert len(samples) > 5
        return plan, samples

    def chain_with_the_voltmeter(self, place: int) -> Change:
        chain = plan_of({}).source.data["bench"]["chain"]
        meter, rest = chain[-2], [*chain[:-2], chain[-1]]
        assert "voltmeter" in meter
        return {"state": {"bench.chain": [*rest[:place], meter, *rest[place:]]}}

    def test_behind_the_lamp_is_the_place(self) -> None:
        assert found(self.chain_with_the_voltmeter(5)) == set()

    @pytest.mark.parametrize("place", [1, 2, 3], ids=["at the wall", "before the dial", "before the lamp"])
    def test_before_the_lamp_it_shows_only_what_the_supply_puts_out(self, place: int) -> None:
        assert "voltmeter-at-the-set" in broken(self.chain_with_the_voltmeter(place))

    def test_the_bound_on_the_set_never_exceeds_what_the_dial_puts_out(self) -> None:
        plan, samples = self.on_the_lamp()
        for sample in samples:
            assert set_voltage(plan, sample.state).high <= dial_output(plan, sample.state).high

    def test_a_healthy_set_on_the_lamp_reads_less_than_the_supply_puts_out(self) -> None:
        plan, samples = self.on_the_lamp()
        for sample in samples:
            at_set, supply = settled(plan, sample.state).set_voltage, dial_output(plan, sample.state)
            assert at_set.low < supply.low
            assert at_set.high < supply.high


class TestTheLimiterIsCheckedThrough:
    """With everything unplugged: earth to both outlets; neutral to the set's outlet, the switch on or off; live there
    only with the switch on and the lamp's holder bridged, or a lamp in it."""

    RULE = "check-the-limiter-through"
    EARTH, NEUTRAL, LIVE = CHECKS = (
        {"measure": "continuity", "across": "limiter earth", "how": "plug to both outlets", "expect": "..0.5 ohm",
         "otherwise": "stop"},
        {"measure": "continuity", "across": "limiter neutral", "how": "plug to set outlet, switch on and switch off",
         "expect": "..0.5 ohm", "otherwise": "stop"},
        {"measure": "continuity", "across": "limiter live", "how": "switch on, holder bridged", "expect": "..0.5 ohm",
         "otherwise": "stop"},
    )

    @staticmethod
    def checked(*checks: Any) -> Change:
        return {"leave_out": ["bench.chain.limiter.continuity_checked"],
                "before": {"prove-limiter": [{"unplug": "bench"}, *checks, {"plug_in": "bench"}]}}

    def test_all_three_lines_checked_is_enough(self) -> None:
        assert found(self.checked(*self.CHECKS)) == set()

    def test_in_any_order(self) -> None:
        assert found(self.checked(*reversed(self.CHECKS))) == set()

    @pytest.mark.parametrize("left", [(NEUTRAL, LIVE), (EARTH, LIVE), (EARTH, NEUTRAL), ()], ids=[
        "no earth", "no neutral", "no live", "nothing"])
    def test_a_line_left_out_is_found(self, left: tuple[Any, ...]) -> None:
        assert self.RULE in broken(self.checked(*left))

    @pytest.mark.parametrize("reads", ["..5 ohm", "10 Mohm.."], ids=["a poor joint passes", "an open line passes"])
    @pytest.mark.parametrize("line", [0, 1], ids=["earth", "neutral"])
    def test_earth_and_neutral_go_straight_through(self, line: int, reads: str) -> None:
        checks: list[Any] = list(self.CHECKS)
        checks[line] = {**checks[line], "expect": reads}
        assert self.RULE in broken(self.checked(*checks))

    def test_live_through_a_cold_lamp_is_accepted(self) -> None:
        live = {**self.LIVE, "how": "switch on, lamp in the holder", "expect": "20..60 ohm"}
        assert found(self.checked(self.EARTH, self.NEUTRAL, live)) == set()

    def test_a_check_after_the_set_had_power_is_too_late(self) -> None:
        late: Change = {"leave_out": ["bench.chain.limiter.continuity_checked"],
                        "after": {"unplug-bench": list(self.CHECKS)}}
        assert self.RULE in broken(late)

    def test_the_wiring_is_not_checked_with_the_bench_plugged_in(self) -> None:
        plugged: Change = {"leave_out": ["bench.chain.limiter.continuity_checked"],
                           "before": {"prove-limiter": list(self.CHECKS)}}
        assert "unplug-before-reaching-in" in broken(plugged)


class TestTheLampIsFittedWithTheLimiterUnpowered:
    RULE = "unplug-before-changing-the-lamp"
    LAMP: ClassVar[Change] = {"power": "40 W", "voltage": "120 V", "kind": "clear filament"}
    FIT: ClassVar[Change] = {"fit_lamp": LAMP}

    def fitted(self, *steps: Any) -> Change:
        return {"leave_out": ["bench.chain.limiter.lamp"], "before": {"prove-limiter": list(steps)}}

    def test_unplugged_first_is_accepted(self) -> None:
        assert found(self.fitted({"unplug": "bench"}, self.FIT, {"plug_in": "bench"})) == set()

    @pytest.mark.parametrize("steps", [
        (FIT,), ({"switch_off": "outlet"}, FIT), (FIT, {"unplug": "bench"}, {"plug_in": "bench"}),
    ], ids=["plugged in", "only switched off", "unplugged afterwards"])
    def test_a_holder_that_only_switches_keep_dead_is_found(self, steps: tuple[Any, ...]) -> None:
        assert self.RULE in broken(self.fitted(*steps))


class TestALimiterThatFailsItsTestIsNotPowered:
    PROVE: ClassVar[Change] = {"prove": "limiter", "how": "shorted plug", "expect": {"lamp": "full", "set_voltage": "..2 V"}}
    POWER = ({"plug_in": "set"}, {"set_dial": "0 V"}, {"switch_on": "outlet"}, {"switch_on": "set"},
             {"set_dial": "15 V", "read": ["set_voltage", "current", "C1"], "expect": "predicted"})
    OFF = ({"switch_off": "outlet"}, {"unplug": "bench"})
    MEND = ({"find_cause": "a wire off in the plug of the limiter"},
            {"work": "mend the plug of the limiter", "where": "limiter"}, {"plug_in": "bench"})
    PROVED, THROUGH = "prove-the-limiter-with-a-shorted-plug", "check-the-limiter-through"

    def proved(self, *otherwise: Any) -> Change:
        return {"write": {"prove-limiter": {**self.PROVE, "otherwise": list(otherwise)}}}

    def test_stopping_there_is_accepted(self) -> None:
        assert found(self.proved(*self.OFF)) == set()

    def test_powering_the_set_all_the_same_is_found(self) -> None:
        assert self.PROVED in broken(self.proved(*self.POWER, *self.OFF))

    def test_mending_it_and_powering_the_set_unproved_is_found(self) -> None:
        assert self.PROVED in broken(self.proved({"unplug": "bench"}, *self.MEND, *self.POWER, *self.OFF))

    def test_mending_and_proving_it_again_gives_the_rule_nothing_to_find(self) -> None:
        again = {**self.PROVE, "otherwise": "stop"}
        plan = self.proved({"unplug": "bench"}, *self.MEND, again, *self.POWER, *self.OFF)
        assert outcome(plan, self.PROVED) is Outcome.KEPT

    def test_a_test_without_a_way_out_does_not_count(self) -> None:
        assert self.PROVED in broken({"write": {"prove-limiter": self.PROVE}})

    @pytest.mark.parametrize("line", [0, 1, 2], ids=["earth", "neutral", "live"])
    def test_a_line_that_does_not_go_through_keeps_the_set_off(self, line: int) -> None:
        checks: list[Any] = list(TestTheLimiterIsCheckedThrough.CHECKS)
        checks[line] = {**checks[line], "otherwise": [{"plug_in": "bench"}, *self.POWER, *self.OFF]}
        assert self.THROUGH in broken(TestTheLimiterIsCheckedThrough.checked(*checks))
        checks[line] = {**checks[line], "otherwise": list(self.OFF)}
        assert self.THROUGH not in found(TestTheLimiterIsCheckedThrough.checked(*checks))

    def test_the_limiter_is_proved_before_the_set_is_plugged_into_it(self) -> None:
        assert self.PROVED in broken(swapped("prove-limiter", "set-on", {}))
