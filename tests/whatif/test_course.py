"""One world played through a plan: when the fault acts, what it uses up, and where the operator stops."""

from __future__ import annotations

from typing import Any

import pytest

from auditor.bench.electrical.body import Shock
from auditor.plan.plan import Plan
from auditor.whatif.charge import UNLISTED
from auditor.whatif.course import Course
from auditor.whatif.electrics import faulty
from auditor.whatif.harm import BURST, SHOCK
from auditor.whatif.noticing import REACTION
from auditor.whatif.overload import strains
from auditor.whatif.world import CHECKS, World
from tests.whatif.tried import (
    DOWN,
    HOT_SET,
    ISOLATED,
    METERS,
    TRANSFORMER_SET,
    UP,
    a_plan,
    a_world,
    course,
    harms_of,
    left_by,
)
from tests.whatif.tried import FIRE as BURNS

PART = "the shorted part"
READY = UP[:-1]
AGAIN = ("switch_off: outlet", "{switch_on: outlet, takes: 0 s}")
"""The power off and on again."""
INSIDE, CABINET = "set inside", "the cabinet"
ONE = {"name": "C1", "capacitance": "100 uF", "working_voltage": "450 V", "condition": "new"}
CHARGED = {**TRANSFORMER_SET, "filter_capacitors": [ONE], "B+": "300 V", "B+_peak": "320 V",
           "rectifier": {"kind": "silicon"}}
"""A set whose capacitor holds 5 J at B+."""
REACH_IN = ("{work: change a part, where: inside}",)
EMPTY = "{discharge: {each: all, through: 1 kohm 10 W, for: 60 s}}"
PROVE = "{prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}}"


def held(seconds: float, volts: int = 120) -> str:
    """The dial at so many volts for so long, and no time beside."""
    return f"{{set_dial: {volts} V, hold: {seconds:.3f} s, takes: 0 s}}"


def waits(seconds: float) -> str:
    return f"{{wait: {seconds:.3f} s, takes: 0 s}}"


def powered(*steps: str, **stated: Any) -> Plan:
    """The set made ready at a dial of nothing, these steps, and everything off again."""
    return a_plan(*READY, *steps, *DOWN, **stated)


def burning(plan: Plan, after: float, smokes: float | None = None, **more: Any) -> World:
    """A fault that burns its part after so many seconds at 120 V on the dial, and makes it smoke after so many there."""
    def heated(before: float, smoke: float) -> World:
        heats = {**BURNS, "before": f"{before:.6f} s"}
        signs = {"sensed": ["smoke"], "sensed_after": f"{smoke:.6f} s"} if smokes is not None else {}
        return a_world(plan, **{"effect": {"short": "200 ohm"}, "heats": heats, "signs": signs, **more})

    full = left_by(a_plan(*READY, held(1), chain=[_written(element) for element in plan.source.data["bench"]["chain"]]))
    trial = heated(1000.0, 0.0)
    (stood,) = (strain.stands for strain in strains(trial, faulty(trial, full)) if strain.part == PART)
    return heated(1000.0 * after / stood, (smokes or 0.0) * 1000.0 / stood)


def _written(element: Any) -> Any:
    """An element of a chain as data to write down again."""
    return element if isinstance(element, str) else {name: dict(stated) for name, stated in element.items()}


def burnt(found: Course) -> list[tuple[int | None, str | None]]:
    """At which step, and on which branch, the part is gone."""
    return [(harm.step.number if harm.step else None, harm.branch) for harm in found.harms if harm.part == PART]


# Time

@pytest.mark.parametrize(("seconds", "gone"), [(90, False), (110, True)])
def test_a_part_is_gone_once_it_has_had_all_that_it_stands(seconds: float, gone: bool) -> None:
    assert bool(burnt(course(burning(powered(held(seconds)), after=100)))) == gone


def test_what_is_used_up_adds_from_step_to_step() -> None:
    assert burnt(course(burning(powered(held(60), waits(30)), after=100))) == []
    assert burnt(course(burning(powered(held(60), waits(60)), after=100))) == [(6, None)]


def test_a_part_is_gone_only_once() -> None:
    assert len(burnt(course(burning(powered(held(110), waits(110), waits(110)), after=100)))) == 1


@pytest.mark.parametrize(("time_constants", "gone"), [(0.2, True), (0.35, True), (0.45, False), (2.0, False)])
def test_with_the_power_off_the_part_loses_heat_by_its_time_constant(time_constants: float, gone: bool) -> None:
    # 0.6 of what it stands is more than 0.4 until 0.405 time constants have passed
    heats = burning(powered(held(1)), after=100).heats
    assert heats is not None
    pause = (AGAIN[0], waits(time_constants * heats.before.low), AGAIN[1])
    world = burning(powered(held(60), *pause, held(60)), after=100)
    assert world.heats == heats
    assert bool(burnt(course(world))) == gone


def test_a_moment_without_power_takes_no_heat_away() -> None:
    # neither does the time that switching off takes, for it may come at the end of that
    for seconds, gone in ((45, False), (55, True)):
        assert bool(burnt(course(burning(powered(held(seconds), *AGAIN, held(seconds)), after=100)))) == gone


def test_with_the_power_on_no_heat_is_sure_to_be_lost() -> None:
    assert burnt(course(burning(powered(held(60), held(1000, 5), held(60)), after=100))) == [(7, None)]


def test_a_part_that_is_gone_is_not_gone_again_after_a_pause() -> None:
    plan = powered(held(110), AGAIN[0], waits(1e6), AGAIN[1], held(110))
    assert len(burnt(course(burning(plan, after=100)))) == 1


def test_at_fewer_volts_less_is_used_up() -> None:
    # 60 V are a quarter of the watts
    assert burnt(course(burning(powered(held(200, 60), held(40)), after=100))) == []
    assert burnt(course(burning(powered(held(200, 60), held(60)), after=100))) != []


def test_a_fault_that_comes_later_uses_nothing_up_before() -> None:
    for seconds, gone in ((140, False), (160, True)):
        world = burning(powered(held(seconds)), after=100, starts="50 s")
        assert bool(burnt(course(world, starts=50.0))) == gone


def test_it_comes_so_long_after_power_came_whichever_step_that_is() -> None:
    plan = powered(held(30), waits(10), waits(30), waits(30))
    found = course(burning(plan, after=1000, starts="50 s"), starts=50.0)
    assert {plan.steps[index // 2].number for index in found.acted} == {7, 8}


def test_after_a_pause_it_comes_only_so_long_after_power_is_back() -> None:
    plan = powered(held(60), *AGAIN, waits(40), waits(40))
    found = course(burning(plan, after=1000, starts="50 s"), starts=50.0)
    assert {plan.steps[index // 2].number for index in found.acted} == {5, 9}


def test_a_slow_operator_takes_the_longest_that_the_plan_leaves_and_a_quick_one_the_shortest() -> None:
    world = burning(powered("{set_dial: 120 V, takes: 10..200 s}"), after=100)
    assert burnt(course(world, slow=True)) == [(5, None)]
    assert burnt(course(world, slow=False)) == []


def test_a_short_behind_the_switch_does_nothing_while_the_switch_is_off_and_one_in_the_cord_does() -> None:
    plan = a_plan(*READY[:-1], held(110), *DOWN)
    assert burnt(course(burning(plan, after=100))) == []
    assert burnt(course(burning(plan, after=100, effect={"short": "200 ohm", "at": "the cord"}))) == [(4, None)]


def test_what_may_or_may_not_act_acts_for_the_eager() -> None:
    a_tube = {**TRANSFORMER_SET, "rectifier": {"kind": "tube", "heater": "direct"}, "B+": "250 V"}
    for volts, acts in ((10, {False}), (55, {True, False}), (120, {True})):
        world = a_world(powered(held(110, volts), the_set=a_tube), effect={"short": "200 ohm", "at": "B+"})
        assert {bool(course(world, eager=eager).acted) for eager in (True, False)} == acts


# Signs

@pytest.mark.parametrize(("stands", "gone"), [(30 + REACTION - 5, True), (30 + REACTION + 5, False)])
def test_power_is_off_15_seconds_after_a_sign_that_is_watched_for(stands: float, gone: bool) -> None:
    world = burning(powered(held(1000), stop=["smoke"]), after=stands, smokes=30)
    assert REACTION == 15.0
    assert bool(burnt(course(world))) == gone


def test_at_fewer_volts_the_part_smokes_as_much_later_as_it_burns_later() -> None:
    # 60 V are a quarter of the watts
    for seconds, seen in ((100, False), (140, True)):
        world = burning(powered(held(seconds, 60), stop=["smoke"]), after=1000, smokes=30)
        assert (course(world).notice is not None) == seen


def test_a_sign_counts_from_when_the_fault_acts() -> None:
    plan = powered(held(10), waits(10), waits(100), stop=["smoke"])
    notice = course(burning(plan, after=1000, smokes=30)).notice
    assert notice is not None
    assert (notice.words, notice.step.number, notice.told) == ("smoke", 7, True)


def test_a_sign_that_has_not_surely_come_by_the_end_of_the_step_stops_nobody_there() -> None:
    assert course(burning(powered(held(29), stop=["smoke"]), after=1000, smokes=30)).notice is None


@pytest.mark.parametrize("stated", [
    {"attended": "no", "stop": ["smoke"]}, {"stop": ["crackling"]}, {}], ids=["nobody watches", "another sign", "no stop"])
def test_a_sign_that_nobody_is_told_to_watch_for_stops_nobody(stated: dict[str, Any]) -> None:
    assert burnt(course(burning(powered(held(1000), **stated), after=100, smokes=30))) == [(5, None)]


def test_a_condition_of_the_step_itself_counts_like_one_of_the_plan() -> None:
    plan = powered("{set_dial: 120 V, hold: 1000 s, takes: 0 s, stop_if: [smoke]}")
    assert burnt(course(burning(plan, after=100, smokes=30))) == []


def test_without_the_checks_nobody_looks() -> None:
    world = burning(powered(held(1000), stop=["smoke"]), after=100, smokes=30)
    assert course(world).notice is not None
    assert course(world.without(CHECKS)).notice is None
    assert burnt(course(world.without(CHECKS))) == [(5, None)]


MEASURES = "{measure: resistance, across: plug, expect: 10 ohm..OTHERWISE}"
COLD = {"effect": {"short": "0.5 ohm"}, "signs": {"measured": [{"measures": "resistance", "across": ["plug"],
                                                                "reads": "..1 ohm"}]}}


@pytest.mark.parametrize(("otherwise", "stopped"), [(", otherwise: stop", True), ("", False)])
def test_a_check_stops_only_where_it_says_what_then(otherwise: str, stopped: bool) -> None:
    plan = a_plan(MEASURES.replace("OTHERWISE", otherwise), *READY, held(1), *DOWN, stop=["smoke"])
    found = course(a_world(plan, **COLD))
    assert found.seen is not None
    assert found.seen.words == "resistance at plug is not as expected"
    assert (found.notice is not None) == (found.seen.told) == stopped
    assert bool(found.acted) != stopped


def test_a_meter_that_is_read_shows_it_at_the_end_of_the_step() -> None:
    reading = "{set_dial: 120 V, hold: 90 s, takes: 0 s, read: [current], expect: predicted, otherwise: stop}"
    plan = powered(reading, held(1000), stop=["smoke"], chain=METERS)
    found = course(burning(plan, after=100))
    assert burnt(found) == []
    assert found.notice is not None
    assert found.notice.words.startswith("the ammeter shows")
    assert burnt(course(burning(plan, after=80))) == [(5, None)]


def test_of_several_signs_the_soonest_that_is_told_ends_it() -> None:
    reading = "{set_dial: 120 V, hold: 1000 s, takes: 0 s, read: [current], expect: predicted, otherwise: stop}"
    plan = powered(reading, stop=["smoke"], chain=METERS)
    assert burnt(course(burning(plan, after=100, smokes=30))) == []


def test_nothing_that_would_come_after_the_stop_is_met() -> None:
    plan = a_plan(MEASURES.replace("OTHERWISE", ", otherwise: stop"), *READY, held(1), *REACH_IN, *DOWN, stop=["smoke"])
    assert (SHOCK, INSIDE) in harms_of(course(World(plan)))
    assert harms_of(course(a_world(plan, **COLD))) == set()


def test_what_a_step_touches_is_met_before_it_shows_anything() -> None:
    plan = powered(held(1), "{inspect: fuse, expect: 1 A, otherwise: stop}")
    assert (SHOCK, INSIDE) in harms_of(course(a_world(plan, effect={"short": "1 ohm"}, signs={"inspected": ["fuse"]})))


# Branches

LOOKS_IN = {"stop": ["smoke"], "then": ({"work": "look for it", "where": "inside"}, {"switch_off": "outlet"})}


def test_whoever_stops_at_any_step_before_meets_what_the_branch_does() -> None:
    found = course(World(powered(held(1), waits(1), **LOOKS_IN)))
    met = {(harm.branch, harm.index // 2 + 1) for harm in found.harms if harm.part == INSIDE}
    assert met == {("a stop condition is met", step) for step in (5, 6, 7)}, "until the dial is down again"


def test_no_branch_is_taken_after_the_stop() -> None:
    plan = powered(held(100), waits(100), **LOOKS_IN)
    found = course(burning(plan, after=1000, smokes=30))
    assert {harm.index // 2 + 1 for harm in found.harms} == {5}


def test_a_branch_goes_on_from_what_the_plan_has_used_up() -> None:
    lets_it_burn = ({"find_cause": "what smokes"}, *LOOKS_IN["then"][1:])
    for used, gone in ((80, False), (90, True)):
        plan = powered(held(used), stop=["smoke"], then=lets_it_burn)
        assert burnt(course(burning(plan, after=100))) == ([(1, "a stop condition is met")] if gone else [])


@pytest.mark.parametrize(("first", "gone"), [
    ({"find_cause": "what smokes"}, False), ({"find_cause": "what smokes", "takes": "2 min"}, True),
    ({"wait": "2 min"}, True)], ids=["as fast as can be", "takes its time", "waits"])
def test_the_first_action_of_a_stop_is_quick_unless_the_plan_says_how_long_it_lasts(first: Any, gone: bool) -> None:
    plan = powered(held(1), stop=["smoke"], then=(first, {"switch_off": "outlet"}))
    assert bool(burnt(course(burning(plan, after=100)))) == gone


def test_a_capacitor_that_is_reformed_on_a_branch_is_judged_there() -> None:
    too_much = "{reform: {each: [C1], to: 600 V, through: 100 kohm}}"
    plan = a_plan(f"{{inspect: inside, expect: clean, otherwise: [{too_much}]}}", the_set=CHARGED)
    (harm,) = (harm for harm in course(World(plan)).harms if harm.hazard == BURST)
    assert (harm.part, harm.branch) == ("C1", "it does not show what it should")


# What is left behind

def test_a_set_that_is_left_with_power_on_is_met_by_whoever_comes_next() -> None:
    (harm,) = (harm for harm in course(World(a_plan(*UP))).harms if harm.part == INSIDE)
    assert (harm.step, harm.says, harm.branch) == (None, "the set is left with power on it", None)


def test_a_stop_that_leaves_power_on_is_no_stop() -> None:
    plan = powered(held(1), stop=["smoke"], then=({"switch_off": "set"},))
    assert {(harm.branch, harm.step) for harm in course(World(plan)).harms if harm.part == INSIDE} == {
        ("a stop condition is met", None)}
    assert harms_of(course(World(powered(held(1), stop=["smoke"])))) == set()


def test_an_interlock_that_is_left_bypassed_is_met_later() -> None:
    steps = ("connect: interlock bypass", *UP, *DOWN)
    assert harms_of(course(World(a_plan(*steps)))) == {(SHOCK, "the interlock")}
    assert harms_of(course(World(a_plan(*steps, "disconnect: interlock bypass")))) == set()


@pytest.mark.parametrize(("purpose", "met"), [
    ("return to service", True), ("after repair", True), ("demonstration", True), ("first power-up", False)])
def test_metal_that_a_leak_makes_live_is_met_in_use_where_the_set_leaves_the_bench(purpose: str, met: bool) -> None:
    plan = a_plan(*UP, *DOWN, chain=ISOLATED, purpose=purpose)
    found = harms_of(course(a_world(plan, effect={"leaks": "1 ohm"})))
    assert found == ({(SHOCK, "the set in use")} if met else set())


# Charge

def charges(*steps: str, **effect: Any) -> dict[str, tuple[int | None, Shock]]:
    """What the capacitor does to a hand after a run: where, and how badly."""
    plan = a_plan(*UP, *DOWN, *steps, the_set=CHARGED, instruments=("M1",), stop=["smoke"])
    found = course(a_world(plan, effect=effect) if effect else World(plan))
    return {harm.part: (harm.step.number if harm.step else None, harm.shock) for harm in found.harms[::-1]}


def test_a_hand_inside_meets_the_charge_of_the_run() -> None:
    assert charges(*REACH_IN)["C1"] == (10, Shock.STARTLES)


def test_discharging_takes_it_away() -> None:
    assert charges(EMPTY, *REACH_IN) == {}


def test_a_discharging_resistor_that_is_open_leaves_it() -> None:
    assert charges(EMPTY, *REACH_IN, tool="open")["C1"] == (11, Shock.STARTLES)


def test_whoever_proves_it_dead_finds_that_the_discharging_failed() -> None:
    assert charges(EMPTY, PROVE, *REACH_IN, tool="open") == {}


def test_a_meter_that_shows_nothing_is_believed() -> None:
    assert charges(PROVE, *REACH_IN) == {}
    assert charges(PROVE, *REACH_IN, meter="shows nothing")["C1"] == (11, Shock.STARTLES)


def test_what_is_never_discharged_is_left_for_the_next_person() -> None:
    assert charges()["C1"] == (None, Shock.STARTLES)


@pytest.mark.parametrize("what", ["back", "chassis", "batteries"])
def test_whoever_only_opens_the_set_meets_no_charge_and_whoever_takes_a_tube_out_does(what: str) -> None:
    assert charges(f"take_out: {what}", EMPTY, "take_out: tubes") == {}
    assert charges(f"take_out: {what}", "take_out: tubes")["C1"] == (11, Shock.STARTLES)


def test_the_tool_itself_meets_the_charge_without_harm() -> None:
    assert charges(EMPTY) == {}


def test_a_short_that_keeps_b_plus_down_does_not_excuse_a_charge() -> None:
    # every fault but those that leave more is taken to leave what a healthy set has
    assert charges(*REACH_IN, short="1 ohm")["C1"] == charges(*REACH_IN)["C1"]


# Nothing at fault

def test_with_nothing_at_fault_nobody_stops() -> None:
    found = course(World(powered(held(1), stop=["smoke"])))
    assert (found.shown, found.harms) == ([], [])


def test_the_harms_come_in_the_order_of_the_plan() -> None:
    plan = powered(held(110), *REACH_IN, the_set=HOT_SET)
    found = course(burning(plan, after=100))
    assert [harm.index for harm in found.harms] == sorted(harm.index for harm in found.harms)
    assert {harm.part for harm in found.harms} == {PART, INSIDE, CABINET}


@pytest.mark.parametrize(("first", "held"), [((), True), (("take_out: rectifier tube",), False)])
def test_a_capacitor_that_is_not_listed_is_left_charged_where_b_plus_could_rise(first: tuple[str, ...], held: bool) -> None:
    the_set = {**TRANSFORMER_SET, "rectifier": {"kind": "tube"}, "filter_capacitors": []}
    found = course(World(a_plan(*first, *UP, *DOWN, the_set=the_set)))
    assert ((SHOCK, UNLISTED) in harms_of(found)) == held
