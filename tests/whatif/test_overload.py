"""What a fault overloads, how long that is stood, and which fuse ends it."""

from __future__ import annotations

from math import inf
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.protective import CORD_AMPACITY, fuse_opens_within, stands
from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.whatif.harm import BURST, FIRE
from auditor.whatif.overload import (
    COOLS,
    FUSE_IS_TRUSTED,
    LARGEST_FUSE,
    SMALLEST_DIAL,
    SURGE,
    Strain,
    cooling_time,
    reforming,
    strains,
)
from auditor.whatif.overload import WALL as OF_THE_WALL
from auditor.whatif.world import FUSES, World
from tests.whatif.tried import FIRE as BURNS
from tests.whatif.tried import ISOLATED, MAINS, TRANSFORMER_SET, WALL, Stated, a_plan, a_world, with_effect

EXACTLY = Interval.exactly
UNTIL_THE_WALL_OPENS = fuse_opens_within(50 / OF_THE_WALL.high)
"""Of 50 A, where nothing smaller is in the way [s]."""
AMPERES = st.floats(0.01, 500.0)
SECONDS = st.floats(0.01, 1e5)


def readings(amps: float, volts: float = 120.0, b_plus: float | None = None, dial: float = 120.0) -> Readings:
    """What the meters show at so many amperes and volts at the set."""
    return Readings(EXACTLY(volts), EXACTLY(amps), EXACTLY(amps * volts), source_voltage=EXACTLY(dial),
                    b_plus=None if b_plus is None else EXACTLY(b_plus))


def strained(world: World, amps: float, volts: float = 120.0, b_plus: float | None = None,
             dial: float = 120.0) -> dict[str, Strain]:
    """Each part under more than it is made for."""
    return {strain.part: strain for strain in strains(world, readings(amps, volts, b_plus, dial))}


def fused(rating: str | None, **of_the_set: Any) -> Plan:
    """A plan with a fuse of this rating behind the dial, or none."""
    dial = {"autotransformer": {"output": "0..140 V", "rated_current": "3 A", **({"fuse": rating} if rating else {})}}
    return a_plan("set_dial: 0 V", chain=(WALL[0], dial, "set"), the_set={**TRANSFORMER_SET, **of_the_set},
                  mains={**MAINS, "band": "120 V"})


def shorted(plan: Plan, heats: Stated | None = None, **effect: Any) -> World:
    """A short with the part that it heats."""
    return a_world(plan, effect={"short": "1 ohm", **effect}, **({"heats": heats} if heats else {}))


# A part and a fuse

@given(st.floats(0.1, 1e4), st.floats(0.1, 1e4), SECONDS)
def test_a_part_is_not_harmed_that_a_fuse_ends_no_later_than_it_stands(ended: float, stood: float, time: float) -> None:
    share = Strain("it", FIRE, "it burns", stood, ended).share(time)
    assert share == 0.0 if ended <= stood else share > 0.0


@given(st.floats(0.1, 1e4), SECONDS)
def test_without_a_fuse_a_part_is_gone_after_just_what_it_stands(stood: float, time: float) -> None:
    assert Strain("it", FIRE, "it burns", stood).share(time) == pytest.approx(time / stood)


def test_after_the_fuse_has_opened_no_more_is_used_up() -> None:
    assert Strain("it", FIRE, "it burns", stands=10.0, ended=12.0).share(1e6) == pytest.approx(1.2)


def test_what_bursts_at_once_is_gone_however_short_the_time() -> None:
    assert Strain("it", BURST, "it bursts", stands=0.0, ended=0.1).share(0.0) == 1.0


@given(AMPERES)
def test_every_part_stands_what_a_fuse_of_its_own_rating_lets_pass(amps: float) -> None:
    found = strained(shorted(fused("3 A")), amps)
    if "the brush of the autotransformer" in found:
        brush = found["the brush of the autotransformer"]
        assert brush.stands == stands(amps / 3.0) == brush.ended == fuse_opens_within(amps / 3.0)
        assert brush.share(1e9) == 0.0
    else:
        assert stands(amps / 3.0) == inf


@given(AMPERES, st.floats(1.0, 3.0))
def test_more_current_is_stood_no_longer(amps: float, more: float) -> None:
    world = shorted(fused("3 A", rated_power="50 W"), BURNS)
    milder, worse = strained(world, amps), strained(world, amps * more)
    assert milder.keys() <= worse.keys()
    assert all(worse[part].stands <= strain.stands for part, strain in milder.items())


def test_no_current_strains_nothing() -> None:
    assert strained(shorted(fused(None), BURNS), 0.0) == {}
    assert list(strains(shorted(fused(None), BURNS), Readings(EXACTLY(120.0)))) == []


# The parts

@pytest.mark.parametrize(("amps", "harmed"), [(10.0, False), (13.4, False), (13.5, True), (100.0, True)])
def test_a_cord_of_10_amperes_burns_from_1_35_times_its_rating_on(amps: float, harmed: bool) -> None:
    # NEC, table 400.5(A), 18 AWG; UL 248-14; both as quoted elsewhere
    assert CORD_AMPACITY[18] == 10.0
    assert ("the cord of the set" in strained(shorted(fused(None)), amps)) == harmed


def test_the_set_stands_three_times_its_watts() -> None:
    plan = fused(None, rated_power="50 W")
    assert "the set" not in strained(shorted(plan), LARGEST_FUSE * 50 / 120)
    assert strained(shorted(plan), 2 * LARGEST_FUSE * 50 / 120)["the set"].stands == stands(2.0)


def test_a_short_in_the_cord_does_not_pass_through_the_set() -> None:
    assert "the set" not in strained(shorted(fused(None, rated_power="50 W"), at="the cord"), 50.0)


def test_the_isolating_transformer_is_judged_by_its_watts() -> None:
    plan = a_plan("set_dial: 0 V", chain=ISOLATED)
    assert "the isolating transformer" not in strained(shorted(plan), 300 / 120)
    assert strained(shorted(plan), 4 * 300 / 120)["the isolating transformer"].stands == stands(4.0)


def test_a_part_that_states_no_rating_is_taken_for_the_smallest_usual_one_and_the_harm_says_so() -> None:
    chain = (WALL[0], "isolating_transformer", "autotransformer", "set")
    plan = a_plan("set_dial: 0 V", chain=chain, the_set={"power_supply": "transformer"})
    says = {part: strain.says.removeprefix(f"{part} carries ") for part, strain in strained(shorted(plan), 5.0).items()}
    assert says == {
        "the brush of the autotransformer": "5.0 times the 1 A of the smallest usual one, for the plan states none",
        "the isolating transformer": "6.0 times the 100 VA of the smallest usual one, for the plan states none",
        "the set": "13.3 times the 45 W that the smallest usual one stands, for the plan states no watts"}


def test_an_adjustable_supply_of_direct_current_that_states_no_rating_is_taken_for_the_smallest_usual_one() -> None:
    plan = a_plan("set_dial: 0 V", chain=({"direct_current_supply": {"output": "0..250 V", "isolated": "yes"}}, "set"))
    assert strained(shorted(plan), 1.0)["the direct current supply"].stands == stands(2.0)
    assert SMALLEST_DIAL["direct_current_supply"] == 0.5


@given(AMPERES)
def test_a_stated_rating_no_smaller_than_the_smallest_usual_one_is_never_judged_the_harder(amps: float) -> None:
    unsaid = a_plan("set_dial: 0 V", chain=(WALL[0], {"autotransformer": {"output": "0..140 V"}}, "set"))
    brush = "the brush of the autotransformer"
    stated, assumed = strained(shorted(fused(None)), amps), strained(shorted(unsaid), amps)
    assert brush not in stated or assumed[brush].stands <= stated[brush].stands


def test_a_healthy_set_that_states_no_watts_does_not_overload_itself() -> None:
    plan = a_plan("set_dial: 0 V", the_set={"power_supply": "transformer"})
    assert "the set" not in strained(World(plan), 400 / 120)
    assert "the set" not in strained(a_world(plan, effect={"draws": "2", "at": "the motor"}), 400 / 120)


def test_a_set_that_states_no_watts_is_judged_by_what_the_fault_makes_the_smallest_one_draw() -> None:
    # 8 times 15 W are 120 W of the 45 W that it stands; of 3 times its watts it stands all
    plan = a_plan("set_dial: 0 V", the_set={"power_supply": "transformer"}, mains={**MAINS, "band": "120 V"})
    assert strained(a_world(plan, effect={"draws": "8"}), 10.0)["the set"].stands == stands(120 / 45)
    assert "the set" not in strained(a_world(plan, effect={"draws": "3"}), 10.0)


# Which fuse

def test_without_any_fuse_a_short_burns_the_cord() -> None:
    assert strained(shorted(fused(None)), 50.0)["the cord of the set"].share(3600.0) > 1.0


def test_a_fuse_of_the_cords_rating_or_less_contains_the_short() -> None:
    for rating in ("3 A", "10 A"):
        assert strained(shorted(fused(rating)), 50.0)["the cord of the set"].share(3600.0) == 0.0


def test_a_fuse_that_is_too_large_does_not() -> None:
    assert strained(shorted(fused("30 A")), 50.0)["the cord of the set"].share(3600.0) > 1.0


def test_the_fuse_of_the_set_contains_what_is_behind_it_and_not_a_short_in_its_cord() -> None:
    plan = fused(None, fuse={"rating": "1 A"})
    assert strained(shorted(plan), 50.0)["the cord of the set"].ended == fuse_opens_within(50.0)
    assert strained(shorted(plan, at="the cord"), 50.0)["the cord of the set"].ended == UNTIL_THE_WALL_OPENS


def test_a_fuse_of_the_set_that_never_opens_contains_nothing_and_that_of_the_dial_still_does() -> None:
    of_both = fused("3 A", fuse={"rating": "1 A"})
    assert strained(shorted(of_both, fuse="never opens"), 50.0)["the cord of the set"].ended == fuse_opens_within(50 / 3)
    assert strained(shorted(fused(None, fuse={"rating": "1 A"}), fuse="never opens"), 50.0)[
        "the cord of the set"].ended == UNTIL_THE_WALL_OPENS


def test_without_the_fuses_nothing_ends_it() -> None:
    assert strained(shorted(fused("3 A")).without(FUSES), 50.0)["the cord of the set"].ended == inf


def test_a_fuse_that_states_no_rating_is_not_relied_on() -> None:
    assert strained(shorted(fused(None, fuse={"kind": "slow"})), 50.0)["the cord of the set"].ended == UNTIL_THE_WALL_OPENS


def test_an_outlet_with_a_fuse_of_its_own_opens_before_the_wall() -> None:
    chain = ({"outlet": {"switch": "ordinary", "fuse": "3 A"}}, "set")
    found = strained(shorted(a_plan("plug_in: set", chain=chain)), 50.0)
    assert found["the cord of the set"].ended == fuse_opens_within(50 / 3) < UNTIL_THE_WALL_OPENS


@pytest.mark.parametrize(("dial", "before"), [(120.0, 50.0), (60.0, 25.0), (12.0, 5.0)])
def test_a_fuse_before_the_dial_carries_the_current_turned_down_with_the_volts(dial: float, before: float) -> None:
    # an engineer's example, as quoted elsewhere: at 12 V of 120 V, 10 A out draw 1 A in
    found = strained(shorted(fused(None)), 50.0, volts=dial, dial=dial)["the cord of the set"]
    assert found.ended == fuse_opens_within(before / OF_THE_WALL.high)
    behind = strained(shorted(fused("3 A")), 50.0, volts=dial, dial=dial)["the cord of the set"]
    assert behind.ended == fuse_opens_within(50 / 3)


def test_a_rating_of_nothing_is_exceeded_by_any_current() -> None:
    transformer = {"isolating_transformer": {"rated_power": "0 VA", "output_earthed": "no"}}
    found = strained(shorted(a_plan("set_dial: 0 V", chain=(WALL[0], transformer, *WALL[1:]))), 0.1)
    assert found["the isolating transformer"].stands == fuse_opens_within(inf)


# The part that a fault heats

@given(st.floats(0.5, 200.0), st.floats(1.0, 140.0))
def test_the_heat_of_a_short_is_its_volts_squared_over_its_resistance(ohms: float, volts: float) -> None:
    world = a_world(fused(None), effect={"short": f"{ohms:.9f} ohm"}, heats=BURNS)
    watts = volts ** 2 / ohms
    found = strained(world, volts / ohms, volts)
    if watts > 10.0 * (1 + 1e-6):
        assert found["the shorted part"].stands == pytest.approx(max(FUSE_IS_TRUSTED, 60 * 10 / watts), rel=1e-6)
    elif watts < 10.0 * (1 - 1e-6):
        assert "the shorted part" not in found


def test_a_short_never_takes_more_than_all_that_reaches_the_set() -> None:
    # 1 ohm at 120 V would take 14.4 kW: only 60 W arrive
    found = strained(shorted(fused(None), BURNS), 0.5, 120.0)
    assert found["the shorted part"].says == "the shorted part takes 60 W"


def test_of_twice_the_watts_a_part_stands_half_the_time() -> None:
    world = a_world(fused(None), effect={"draws": "2"}, heats=BURNS)
    # half of what twice the healthy current brings is the fault's: 20 and 40 W
    assert strained(world, 40 / 120)["the shorted part"].stands == pytest.approx(30.0)
    assert strained(world, 80 / 120)["the shorted part"].stands == pytest.approx(15.0)


def test_a_load_that_is_no_heavier_heats_nothing() -> None:
    world = a_world(fused(None), effect={"draws": "1"}, heats=BURNS)
    assert "the shorted part" not in strained(world, 2.0)


def test_the_hazard_is_the_one_that_the_fault_names() -> None:
    world = shorted(fused(None), {**BURNS, "ends_in": "burst", "part": "C1"})
    assert strained(world, 5.0)["C1"].hazard == BURST


def test_however_hot_a_part_gets_a_fuse_of_ten_times_less_is_trusted_to_end_it() -> None:
    # IEC 60127-2, sheet 3, as quoted elsewhere: 0.3 s at ten times
    assert strained(shorted(fused("3 A"), BURNS), 120.0)["the shorted part"].share(3600.0) == 0.0


def test_what_a_fault_heats_cools_as_slowly_as_just_more_than_it_stands_has_heated_it_and_the_rest_in_an_hour() -> None:
    world = a_world(fused(None), effect={"draws": "2"}, heats=BURNS)
    assert BURNS["before"] == "60 s"
    assert cooling_time(world, "the shorted part") == 60.0
    assert cooling_time(world, "the cord of the set") == COOLS == stands(1.35)


# Volts

def with_a_capacitor(**stated: Any) -> World:
    """A set with one filter capacitor, made for 160 V."""
    capacitor = {"name": "C1", "working_voltage": "160 V", **stated}
    return with_effect(fused(None, filter_capacitors=[capacitor]))


@pytest.mark.parametrize(("volts", "bursts"), [(160.0, False), (184.0, False), (184.1, True), (400.0, True)])
def test_a_capacitor_bursts_above_1_15_times_its_working_voltage(volts: float, bursts: bool) -> None:
    # IEC 60384-4, for ratings up to 315 V, as quoted elsewhere
    assert SURGE == 1.15
    found = strained(with_a_capacitor(), 0.1, b_plus=volts)
    assert ("C1" in found) == bursts
    assert not bursts or (found["C1"].hazard, found["C1"].share(0.0)) == (BURST, 1.0)


def test_one_that_states_its_own_highest_voltage_does_not_meet_b_plus() -> None:
    assert "C1" not in strained(with_a_capacitor(peak_voltage="50 V"), 0.1, b_plus=400.0)


def test_one_that_states_no_working_voltage_and_b_plus_that_cannot_be_told_are_not_judged() -> None:
    unrated = with_effect(fused(None, filter_capacitors=[{"name": "C1"}]))
    assert strained(unrated, 0.1, b_plus=400.0) == strained(with_a_capacitor(), 0.1) == {}


# Reforming

def reformed(*, to: str = "100 V", through: str = "100 kohm", at_most: str | None = None, **stated: Any) -> set[str]:
    """What reforming a capacitor made for 160 V does, in words."""
    capacitor = {"name": "C1", "working_voltage": "160 V", "condition": "original", **stated}
    limit = f", at_most: {at_most}" if at_most else ""
    plan = a_plan(f"{{reform: {{each: [C1], to: {to}, through: {through}{limit}}}}}",
                  the_set={**TRANSFORMER_SET, "filter_capacitors": [capacitor]})
    found = list(reforming(plan, plan.steps[0]))
    assert all((strain.part, strain.hazard, strain.share(0.0)) == ("C1", BURST, 1.0) for strain in found)
    return {strain.says for strain in found}


def test_slow_reforming_below_the_rating_does_nothing() -> None:
    assert reformed() == reformed(to="184 V") == set()


def test_reforming_above_the_surge_voltage_bursts_it() -> None:
    assert reformed(to="185 V") == {"C1 is reformed at 185 V and is made for 160 V"}


@pytest.mark.parametrize(("through", "at_most", "bursts"), [
    ("10 kohm", None, False),  # 100 V through 10 kohm: 10 mA, just allowed
    ("9.9 kohm", None, True), ("100 ohm", None, True), ("100 ohm", "10 mA", False), ("100 ohm", "11 mA", True),
    ("100 kohm", "30 mA", False)])
def test_more_than_10_milliamperes_burst_it_whatever_limits_them(through: str, at_most: str | None, bursts: bool) -> None:
    # MIL-HDBK-1131C, as cited elsewhere
    assert reformed(through=through, at_most=at_most) == (
        {"C1 may take more than 10 mA while it reforms"} if bursts else set())


@pytest.mark.parametrize("condition", ["leaking", "bulged"])
def test_one_that_leaks_or_bulges_takes_no_voltage(condition: str) -> None:
    assert reformed(condition=condition) == {f"C1 is {condition} and takes voltage"}


@pytest.mark.parametrize(("where", "found"), [("", ["C2"]), (", in: out of the set", [])])
def test_a_capacitor_on_the_same_line_gets_the_volts_too_unless_one_is_out_of_the_set(where: str, found: list[str]) -> None:
    two = [{"name": "C1", "working_voltage": "450 V"}, {"name": "C2", "working_voltage": "160 V"}]
    plan = a_plan(f"{{reform: {{each: [C1], to: 400 V, through: 100 kohm{where}}}}}",
                  the_set={**TRANSFORMER_SET, "filter_capacitors": two})
    assert [strain.part for strain in reforming(plan, plan.steps[0])] == found


def test_more_current_than_it_stands_is_only_that_of_the_capacitors_of_the_step() -> None:
    two = [{"name": name, "working_voltage": "450 V"} for name in ("C1", "C2")]
    plan = a_plan("{reform: {each: [C1], to: 400 V, through: 1 kohm}}",
                  the_set={**TRANSFORMER_SET, "filter_capacitors": two})
    assert [strain.part for strain in reforming(plan, plan.steps[0])] == ["C1"]
