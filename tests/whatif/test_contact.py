"""What a hand meets on the cabinet and where a step puts it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.body import Shock, capacitor_touch_current
from auditor.bench.electrical.protective import residual_device_opens
from auditor.bench.touch import BENCH, INSIDE, LAMP, NOTHING, OUTSIDE, PLUG, TOUCHES
from auditor.plan.plan import Plan
from auditor.whatif.contact import (
    FREQUENCY,
    MATTERS,
    NO_CONTACT,
    NO_TIME_LIMIT,
    UNKNOWN_CAPACITANCE,
    Contact,
    at_the_touch,
    in_use,
    line_voltage,
    on_the_cabinet,
)
from auditor.whatif.fault import NO_EFFECT, Effect
from auditor.whatif.world import EARTH, ISOLATION, RESIDUAL, World
from tests.whatif.tried import (
    HOT_SET,
    ISOLATED,
    ON_NEUTRAL,
    TRANSFORMER_SET,
    UP,
    WALL,
    Stated,
    a_plan,
    course,
    left_by,
    with_effect,
)
from tests.whatif.tried import ISOLATION as TRANSFORMER
from tests.whatif.tried import MAINS as EARTHED

TOP_OF_THE_WALL = 126.0
"""120 V and 5 % [V]."""
CLASS_A: Stated = {**EARTHED, "residual_current_device": "6 mA"}
BONDED: Stated = {**HOT_SET, "earth": "bonded"}
NEUTRAL_SWITCHED: Stated = {**ON_NEUTRAL, "switch": "in the neutral line"}
SET_OFF = (*UP[:3], "set_dial: 120 V")
"""Until the dial is up, the set's own switch off."""
PLUGS = st.sampled_from([HOT_SET, ON_NEUTRAL, NEUTRAL_SWITCHED, BONDED, TRANSFORMER_SET])


def hot(**stated: object) -> Plan:
    """A set with a hot chassis and a plug that fits both ways, powered."""
    return a_plan(*UP, **{"the_set": HOT_SET, **stated})  # type: ignore[arg-type]


def touched(plan: Plan, *removed: str, **effect: object) -> Contact:
    """A hand on the cabinet after the last step. removed: protections taken away."""
    return on_the_cabinet(with_effect(plan, **effect).without(*removed), left_by(plan))


def leaking(capacitance: str, *more: str, mains: Stated = EARTHED) -> Plan:
    """A powered set on a transformer with capacitors from the line to its chassis."""
    capacitors = [{"name": f"C{9 + k}", "between": "line and chassis", "capacitance": farads}
                  for k, farads in enumerate((capacitance, *more))]
    return a_plan(*UP, the_set={**TRANSFORMER_SET, "line_capacitors": capacitors}, mains=mains)


# A hand and a voltage

@given(st.floats(0, 400), st.floats(0, 1e6), st.floats(0.025, 5))
def test_more_volts_less_in_the_way_or_more_time_is_never_milder(volts: float, ohms: float, seconds: float) -> None:
    here = Contact(volts, ohms, seconds)
    assert here.shock <= Contact(1.5 * volts, ohms, seconds).shock
    assert here.shock <= Contact(volts, ohms / 2, seconds).shock
    assert here.shock <= Contact(volts, ohms, NO_TIME_LIMIT).shock


def test_no_contact_is_no_current() -> None:
    assert NO_CONTACT.current == 0.0
    assert NO_CONTACT.shock is Shock.NOTHING


# The cabinet

def test_a_hot_chassis_whose_plug_fits_both_ways_is_at_the_mains() -> None:
    here = touched(hot())
    assert here == Contact(TOP_OF_THE_WALL)
    assert here.shock is Shock.KILLS


@pytest.mark.parametrize("steps", [(), UP[:1], UP[:2], (*UP[:3], "set_dial: 0 V")], ids=[
    "nothing done", "dial at zero", "plugged in", "switched on with the dial at zero"])
def test_before_power_reaches_the_cord_nothing_is_met(steps: tuple[str, ...]) -> None:
    assert touched(a_plan(*(steps or ("inspect: cord",)), the_set=HOT_SET)) == NO_CONTACT


def test_the_switch_of_the_set_takes_nothing_from_a_hot_chassis() -> None:
    assert touched(a_plan(*SET_OFF, the_set=HOT_SET)) == Contact(TOP_OF_THE_WALL)


def test_a_dial_that_is_low_does_not_make_the_chassis_safe_to_touch() -> None:
    assert touched(a_plan(*UP[:-1], "set_dial: 10 V", the_set=HOT_SET)) == Contact(TOP_OF_THE_WALL)


def test_a_dial_above_the_wall_puts_its_own_volts_on_the_chassis() -> None:
    plan = a_plan(*UP[:-1], "set_dial: 140 V", the_set=HOT_SET)
    assert touched(plan).voltage == pytest.approx(140 * 126 / 120)
    assert line_voltage(plan, left_by(plan)) == touched(plan).voltage


def test_a_wall_of_which_nothing_is_said_is_taken_for_the_highest_usual_one() -> None:
    assert touched(hot(mains={"earth": "present"}, chain=(WALL[0], "set"))).voltage == 253.0


def test_an_isolating_transformer_takes_it_away() -> None:
    assert touched(hot(chain=ISOLATED)) == NO_CONTACT


def test_an_isolating_transformer_that_is_bridged_brings_it_back() -> None:
    assert touched(hot(chain=ISOLATED), isolation="bridged") == Contact(TOP_OF_THE_WALL)
    assert touched(hot(chain=ISOLATED), ISOLATION) == Contact(TOP_OF_THE_WALL)


@pytest.mark.parametrize("transformer", [
    {"rated_power": "300 W"}, {"rated_power": "300 W", "output_earthed": "yes"}], ids=["nothing said", "earthed"])
def test_an_isolating_transformer_counts_only_where_its_output_is_surely_not_earthed(transformer: Stated) -> None:
    chain = (WALL[0], {"isolating_transformer": transformer}, *WALL[1:])
    assert touched(hot(chain=chain)) == Contact(TOP_OF_THE_WALL)


def test_another_load_behind_the_isolating_transformer_may_earth_it() -> None:
    assert touched(hot(chain=(*ISOLATED[:-1], "other_load", "set"))) == Contact(TOP_OF_THE_WALL)
    assert touched(hot(chain=(WALL[0], "other_load", TRANSFORMER, *WALL[1:]))) == NO_CONTACT


def test_a_second_device_on_the_isolated_supply_may_earth_it() -> None:
    assert touched(a_plan("{connect: second device, at: set outlet}", *UP, the_set=HOT_SET, chain=ISOLATED)) == Contact(
        TOP_OF_THE_WALL)


def test_a_bonded_chassis_stays_at_earth() -> None:
    assert touched(hot(the_set=BONDED)) == NO_CONTACT


def test_a_bond_to_an_earth_that_is_broken_absent_or_taken_away_holds_nothing() -> None:
    assert touched(hot(the_set=BONDED), earth="broken") == Contact(TOP_OF_THE_WALL)
    assert touched(hot(the_set=BONDED, mains={**EARTHED, "earth": "absent"})) == Contact(TOP_OF_THE_WALL)
    assert touched(hot(the_set=BONDED), EARTH) == Contact(TOP_OF_THE_WALL)


def test_a_bare_live_wire_is_met_on_a_bonded_chassis_too() -> None:
    assert touched(hot(the_set=BONDED), bare=True) == Contact(TOP_OF_THE_WALL)


def test_a_chassis_on_the_neutral_is_not_felt() -> None:
    assert touched(hot(the_set=ON_NEUTRAL)) == NO_CONTACT


def test_a_chassis_on_the_neutral_is_live_when_the_plug_is_the_other_way_round() -> None:
    assert touched(hot(the_set=ON_NEUTRAL), plug="the other way round") == Contact(TOP_OF_THE_WALL)


def test_a_switch_in_the_neutral_line_leaves_the_chassis_live_while_it_is_off() -> None:
    assert touched(a_plan(*SET_OFF, the_set=NEUTRAL_SWITCHED)) == Contact(TOP_OF_THE_WALL)
    assert touched(hot(the_set=NEUTRAL_SWITCHED)) == NO_CONTACT


def test_what_joins_that_chassis_to_the_line_stands_in_the_way_where_it_is_stated() -> None:
    plan = a_plan(*SET_OFF, the_set={**NEUTRAL_SWITCHED, "plug_resistance": "80..200 ohm"})
    assert touched(plan) == Contact(TOP_OF_THE_WALL, 80.0)
    assert touched(plan).shock is Shock.KILLS


def test_a_chassis_of_which_nothing_is_said_is_taken_for_a_hot_one() -> None:
    unsaid = {key: value for key, value in TRANSFORMER_SET.items() if key != "chassis"}
    assert touched(hot(the_set=unsaid)) == Contact(TOP_OF_THE_WALL)


def test_a_chassis_that_a_transformer_keeps_apart_is_not_felt() -> None:
    assert touched(hot(the_set=TRANSFORMER_SET)) == NO_CONTACT


# What leaks

def test_0_0105_microfarad_at_the_top_of_the_wall_are_the_most_that_is_not_felt() -> None:
    # UL 101 (0.5 mA, as quoted elsewhere) at 126 V (COMAR 20.50.07.02 A), 60 Hz; calculated
    assert touched(leaking("10.5 nF")).current == pytest.approx(0.5e-3, rel=0.005)
    assert touched(leaking("10.5 nF")).shock is Shock.NOTHING
    assert touched(leaking("10.6 nF")).shock is Shock.STARTLES


@pytest.mark.parametrize(("farads", "written"), [(1e-9, "1 nF"), (0.05e-6, "50 nF"), (0.13e-6, "130 nF"), (1e-6, "1 uF")])
def test_a_capacitor_passes_at_least_what_the_measuring_network_would_draw(farads: float, written: str) -> None:
    # A body of 1000 ohm draws more than the 2000 ohm of IEC 60990, figure 4, as quoted elsewhere
    assert touched(leaking(written)).current >= capacitor_touch_current(TOP_OF_THE_WALL, farads, FREQUENCY)


def test_volts_of_body_and_capacitor_add_as_the_sides_of_a_right_angle() -> None:
    # 0.13 uF are 20.4 kohm at 60 Hz: 6.17 mA beside 1000 ohm, and not the 5.89 mA of a plain sum; calculated
    assert touched(leaking("130 nF")).current == pytest.approx(6.167e-3, rel=1e-3)
    assert touched(leaking("130 nF")).shock is Shock.HOLDS


def test_at_50_hertz_a_capacitor_passes_less() -> None:
    at_50 = leaking("10.6 nF", mains={**EARTHED, "frequency": "50 Hz"})
    assert touched(at_50).current == pytest.approx(touched(leaking("10.6 nF")).current * 50 / 60, rel=0.01)


def test_the_worst_of_several_leaks_counts() -> None:
    assert touched(leaking("1 nF", "50 nF")).current >= touched(leaking("50 nF")).current


@pytest.mark.parametrize(("stated", "farads"), [
    ({"between": "line and chassis"}, UNKNOWN_CAPACITANCE), ({}, UNKNOWN_CAPACITANCE), ({"capacitance": "50 nF"}, 50e-9)],
    ids=["no farads", "nothing said", "no places"])
def test_a_capacitor_that_says_little_may_be_the_largest_usual_one_from_line_to_chassis(stated: Stated, farads: float
                                                                                        ) -> None:
    plan = hot(the_set={**TRANSFORMER_SET, "line_capacitors": [{"name": "C9", **stated}]})
    said = touched(leaking(f"{1e9 * farads:g} nF"))
    assert touched(plan).current == pytest.approx(said.current)
    assert (said.assumed, touched(plan).assumed.split(" be ")[0]) == ("", "should C9")
    assert in_use(World(plan)).assumed == touched(plan).assumed


def test_the_harm_of_such_a_capacitor_says_what_was_assumed() -> None:
    plan = hot(the_set={**TRANSFORMER_SET, "line_capacitors": [{"between": "line and chassis"}]})
    says = {harm.says.partition("hand, ")[2] for harm in course(World(plan)).harms if harm.part == "the cabinet"}
    assert says == {"should a line capacitor be 0.1 uF from the line to the chassis, for the plan does not say"}


def test_a_capacitor_between_the_lines_is_not_felt() -> None:
    across = {**TRANSFORMER_SET, "line_capacitors": [{"between": "line and line", "capacitance": "1 uF"}]}
    assert touched(hot(the_set=across)) == NO_CONTACT


@given(st.floats(1.0, 1e7))
def test_insulation_that_leaks_stands_in_the_way_with_its_resistance(ohms: float) -> None:
    assert touched(hot(the_set=TRANSFORMER_SET), leaks=f"{ohms:.6f} ohm").resistance == pytest.approx(ohms, abs=1e-6)


def test_a_leak_is_led_away_by_a_bond_and_has_no_return_behind_isolation() -> None:
    assert touched(hot(the_set={**TRANSFORMER_SET, "earth": "bonded"}), leaks="1 ohm") == NO_CONTACT
    assert touched(hot(the_set=TRANSFORMER_SET, chain=ISOLATED), leaks="1 ohm") == NO_CONTACT


# A residual current device

def test_a_residual_current_device_ends_the_current_of_a_hot_chassis_before_the_heart_is_at_risk() -> None:
    # UL 943, as quoted elsewhere: 126 mA within 72 ms
    assert touched(hot(mains=CLASS_A)).time == residual_device_opens(0.126, 6e-3) < 0.1


def test_what_it_ends_only_startles() -> None:
    assert touched(hot(mains=CLASS_A)).shock is Shock.STARTLES


def test_a_residual_current_device_of_300_milliamperes_sees_nothing_of_a_hand() -> None:
    assert touched(hot(mains={**EARTHED, "residual_current_device": "300 mA"})).shock is Shock.KILLS


@pytest.mark.parametrize("chain", [
    (WALL[0], {"residual_current_device": {"trips_at": "6 mA"}}, TRANSFORMER, *WALL[1:]),
    (WALL[0], TRANSFORMER, {"residual_current_device": {"trips_at": "6 mA"}}, *WALL[1:]),
], ids=["before it", "behind it"])
def test_beside_an_isolating_transformer_it_sees_nothing(chain: tuple[object, ...]) -> None:
    # there is no way back to the wall that would miss it
    bridged = touched(hot(chain=chain), isolation="bridged")
    assert (bridged.time, bridged.shock) == (NO_TIME_LIMIT, Shock.KILLS)


def test_one_in_the_chain_counts_like_one_in_the_wall() -> None:
    chain = (WALL[0], {"residual_current_device": {"trips_at": "6 mA"}}, *WALL[1:])
    assert touched(hot(chain=chain)) == touched(hot(mains=CLASS_A))


def test_one_that_never_opens_is_none() -> None:
    assert touched(hot(mains=CLASS_A), residual_current_device="never opens").shock is Shock.KILLS
    assert touched(hot(mains=CLASS_A), RESIDUAL).shock is Shock.KILLS


def test_less_than_it_trips_at_flows_on() -> None:
    assert touched(leaking("50 nF", mains=CLASS_A)).time == NO_TIME_LIMIT


# Where a step puts a hand

@given(PLUGS, st.sampled_from([WALL, ISOLATED]), st.sampled_from(sorted(TOUCHES)))
def test_nothing_is_met_on_a_bench_that_is_off(the_set: Stated, chain: tuple[object, ...], place: str) -> None:
    plan = a_plan("set_dial: 0 V", "plug_in: set", the_set=the_set, chain=chain)
    assert at_the_touch(World(plan), left_by(plan), place) == NO_CONTACT


@pytest.mark.parametrize("place", [INSIDE, PLUG, LAMP, BENCH])
def test_inside_at_the_plug_the_lamp_and_the_bench_the_mains_are_met_behind_isolation_too(place: str) -> None:
    # a hand there may meet both sides of the supply
    plan = a_plan(*UP, chain=ISOLATED)
    assert at_the_touch(World(plan), left_by(plan), place) == Contact(TOP_OF_THE_WALL)


@pytest.mark.parametrize(("place", "met"), [(INSIDE, False), (PLUG, False), (LAMP, True), (BENCH, True)])
def test_with_the_set_unplugged_only_the_bench_is_live(place: str, met: bool) -> None:
    plan = a_plan(*UP, "unplug: set")
    assert at_the_touch(World(plan), left_by(plan), place) == (Contact(TOP_OF_THE_WALL) if met else NO_CONTACT)


def test_with_the_set_switched_off_its_inside_and_its_plug_are_still_live() -> None:
    plan = a_plan(*SET_OFF)
    for place in (INSIDE, PLUG):
        assert at_the_touch(World(plan), left_by(plan), place).shock is Shock.KILLS


def test_inside_b_plus_is_met_where_it_is_higher_than_the_mains() -> None:
    plan = a_plan(*UP, the_set={**TRANSFORMER_SET, "B+": "220..270 V", "B+_peak": "380 V"})
    assert at_the_touch(World(plan), left_by(plan), INSIDE).voltage == 380


def test_a_hand_outside_meets_what_the_cabinet_has_and_no_hand_meets_nothing() -> None:
    plan = hot()
    state = left_by(plan)
    assert at_the_touch(World(plan), state, OUTSIDE) == on_the_cabinet(World(plan), state)
    assert at_the_touch(World(plan), state, NOTHING) == NO_CONTACT


@pytest.mark.parametrize("place", [INSIDE, PLUG])
def test_an_outlet_that_stays_closed_leaves_them_live(place: str) -> None:
    plan = a_plan(*UP, "switch_off: outlet")
    state = left_by(plan)
    assert at_the_touch(World(plan), state, place) == NO_CONTACT
    assert at_the_touch(with_effect(plan, stays_closed="outlet"), state, place).shock is Shock.KILLS


def test_somebody_who_switches_the_outlet_on_makes_them_live() -> None:
    plan = a_plan("set_dial: 120 V", "plug_in: set")
    assert at_the_touch(with_effect(plan, switched_on="outlet"), left_by(plan), INSIDE).shock is Shock.KILLS


# Back in use

def test_in_use_a_leak_has_the_whole_wall_and_neither_isolation_nor_a_device_of_the_bench() -> None:
    plan = a_plan(*UP, chain=ISOLATED, mains=CLASS_A)
    assert in_use(with_effect(plan, leaks="5 kohm")) == Contact(TOP_OF_THE_WALL, 5e3)


def test_in_use_what_is_joined_to_the_mains_by_design_is_behind_the_cabinet() -> None:
    assert in_use(World(hot())).shock is Shock.NOTHING


def test_in_use_a_bond_leads_a_leak_away_until_it_breaks() -> None:
    bonded = a_plan(*UP, the_set={**TRANSFORMER_SET, "earth": "bonded"})
    assert in_use(with_effect(bonded, leaks="1 ohm")) == NO_CONTACT
    assert in_use(with_effect(bonded, leaks="1 ohm", earth="broken")).shock is Shock.KILLS


# What a hand can tell apart

def test_effects_that_only_a_meter_tells_apart_are_alike_to_a_hand() -> None:
    assert Effect.model_validate({"short": "1 ohm"}).parts(MATTERS) == NO_EFFECT.parts(MATTERS)
    assert Effect.model_validate({"leaks": "1 ohm"}).parts(MATTERS) != NO_EFFECT.parts(MATTERS)

