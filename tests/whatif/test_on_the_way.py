"""Signs on meters while heaters are on their way: before all has settled, only what surely tells whatever they do."""

from __future__ import annotations

from typing import Any

import pytest

from auditor.bench.facts import replayed
from auditor.bench.prediction import Readings, unsettled
from auditor.plan.plan import Plan
from auditor.whatif.electrics import faulty, on_the_way
from auditor.whatif.noticing import REACTION
from auditor.whatif.story import told
from auditor.whatif.whatif import Trial
from auditor.whatif.world import World
from tests.whatif.test_course import READY, burning, burnt, held, powered, waits
from tests.whatif.tried import DOWN, LAMP, METERS, a_fault, a_plan, a_world, course, left_by

LIMITED = (*METERS[:-1], LAMP, "set")
"""Through the lamp, with both meters."""
TOO_MUCH = "current above 0.6 A"
"""Of the 50 W of the set more than it draws warm, and less than it may draw cold."""
TWICE = {"effect": {"draws": "2"}}
SHORTED = {"effect": {"short": "60 ohm"}}
"""Draws more than 1.8 A beside anything that the set may draw."""


def reads(seconds: float) -> str:
    """The dial at 120 V for so long, and then a look at the ammeter, to stop at what was not predicted."""
    return f"{{set_dial: 120 V, hold: {seconds:.3f} s, takes: 0 s, read: [current], expect: predicted, otherwise: stop}}"


def stopped(plan: Plan, **fault: Any) -> bool:
    """Whether the plan has somebody stop at a sign of the fault."""
    return course(a_world(plan, **fault)).notice is not None


def metered(*steps: str, **stated: Any) -> Plan:
    return powered(*steps, **{"chain": METERS, "stop": [TOO_MUCH], **stated})


def encloses(wide: Readings, narrow: Readings) -> bool:
    """Whether the volts and amperes of one lie within those of the other."""
    pairs = [(wide.set_voltage, narrow.set_voltage)]
    if wide.current is not None and narrow.current is not None:
        pairs.append((wide.current, narrow.current))
    return all(w.low <= n.low * (1 + 1e-9) and n.high <= w.high * (1 + 1e-9) for w, n in pairs)


# The readings

@pytest.mark.parametrize("chain", [METERS, LIMITED], ids=["fed directly", "through the lamp"])
@pytest.mark.parametrize("effect", [
    {}, {"draws": "2"}, {"draws": "1.3", "at": "B+"}, {"short": "60 ohm"}, {"short": "0.5 ohm", "at": "the cord"},
    {"short": "60 ohm", "at": "B+"}, {"open_circuit": True}, {"draws": "2", "at": "the motor"}],
    ids=lambda effect: " ".join(map(str, effect.values())) or "none")
@pytest.mark.parametrize("volts", [15, 60, 120])
def test_what_has_settled_lies_within_what_may_be_on_the_way_there(chain: Any, effect: dict[str, Any], volts: int) -> None:
    plan = a_plan(*READY, held(1, volts), chain=chain)
    world, state = a_world(plan, effect=effect), left_by(plan)
    cold, warm = on_the_way(world, state, warm=False), on_the_way(world, state, warm=True)
    assert encloses(cold, warm)
    assert encloses(warm, faulty(world, state))


def test_a_set_that_is_well_is_on_its_way_as_the_forecast_has_it() -> None:
    plan = a_plan(*READY, held(1), chain=LIMITED)
    assert on_the_way(World(plan), left_by(plan), warm=False) == unsettled(plan, left_by(plan))


def settles(plan: Plan) -> float:
    """After how many seconds all has surely settled in the state that a plan leaves."""
    time = faulty(World(plan), left_by(plan)).settling_time
    assert time is not None
    return time.high


SETTLES = settles(a_plan(*READY, held(1), chain=METERS))


# A limit at which to stop

@pytest.mark.parametrize(("seconds", "sure"), [(SETTLES - 3, False), (SETTLES + 1, True)])
def test_a_heavier_load_is_sure_to_pass_a_limit_only_once_all_has_settled(seconds: float, sure: bool) -> None:
    assert stopped(metered(held(seconds)), **TWICE) == sure


def test_a_short_passes_it_at_once_whatever_the_heaters_do() -> None:
    assert stopped(metered(held(1)), **SHORTED)


def test_every_step_of_the_dial_begins_anew_and_waiting_adds_to_it() -> None:
    short = SETTLES / 2
    assert not stopped(metered(held(short, 110), held(short, 115), held(short)), **TWICE)
    assert stopped(metered(held(short), waits(short), waits(3)), **TWICE)


def test_of_the_step_that_moves_the_dial_the_time_for_doing_it_does_not_count() -> None:
    plan = metered("{set_dial: 120 V, takes: 5 min}", "{set_dial: 0 V, takes: 0 s}")
    assert not stopped(plan, **TWICE)


def test_the_part_goes_on_heating_until_the_reading_is_sure() -> None:
    for after, gone in ((SETTLES + REACTION - 3, True), (SETTLES + REACTION + 3, False)):
        world = burning(metered(held(1000)), after=after, **TWICE)
        assert bool(burnt(course(world))) == gone
    assert burnt(course(burning(metered(held(1000)), after=REACTION + 3, **SHORTED))) == []


# A reading that a step asks for

@pytest.mark.parametrize(("seconds", "sure"), [(SETTLES - 3, False), (SETTLES + 1, True)])
def test_a_reading_misses_what_was_predicted_only_once_all_has_settled(seconds: float, sure: bool) -> None:
    assert stopped(metered(reads(seconds), stop=["smoke"]), **TWICE) == sure


def test_a_stated_range_is_missed_only_once_all_has_settled() -> None:
    for seconds, sure in ((5, False), (SETTLES + 1, True)):
        step = f"{{set_dial: 120 V, hold: {seconds:.3f} s, read: [current], expect: {{current: ..0.6 A}}, otherwise: stop}}"
        assert stopped(metered(step, stop=["smoke"]), **TWICE) == sure


# A fault that sets in later

LATE = {"effect": {"draws": "4"}, "starts": "10 min"}


def noticed(seconds: float, **stated: Any) -> bool:
    """Whether a fault that sets in ten minutes after power came is noticed within so many seconds of that."""
    plan = metered(held(600 + seconds), **stated)
    return course(a_world(plan, **LATE), starts=600.0).notice is not None


def test_in_a_warm_set_that_is_fed_directly_it_shows_at_once() -> None:
    assert noticed(5)


def test_through_the_lamp_its_heaters_have_to_follow_first() -> None:
    plan = a_plan(*READY, held(1), chain=LIMITED)
    current = faulty(a_world(plan, **LATE), left_by(plan)).current
    assert current is not None
    for seconds, sure in ((5, False), (60, True)):
        assert noticed(seconds, chain=LIMITED, stop=[f"current above {current.low - 0.001:.4f} A"]) == sure


# The story

def test_the_story_tells_the_readings_that_there_are_at_the_end_of_a_step() -> None:
    for seconds, settled in ((5, False), (SETTLES + 1, True)):
        plan = a_plan(*READY, held(seconds), *DOWN, chain=METERS, stop=["smoke"])
        story = told(Trial(replayed(plan)), a_fault(**TWICE))
        (beat,) = (beat for beat in story.beats if beat.step.hold is not None)
        assert beat.faulty is not None
        assert beat.well is not None
        in_the_end = faulty(a_world(plan, **TWICE), left_by(a_plan(*READY, held(seconds), chain=METERS)))
        assert (beat.faulty == in_the_end) == settled
        assert (beat.faulty.current.meet(beat.well.current) is None) == settled  # type: ignore[union-attr, arg-type]
