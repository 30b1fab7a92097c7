"""The fault simulation on generated plans: it never fails, and what is taken from a bench never makes it less harmful."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from random import Random

import pytest
from hypothesis import given, note
from hypothesis import strategies as st
from msgspec.structs import replace

from auditor.bench.electrical.body import Shock
from auditor.bench.facts import replayed
from auditor.bench.touch import BENCH, INSIDE, LAMP, NOTHING, PLUG
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from auditor.whatif.catalogue import Entry, load_catalogue
from auditor.whatif.contact import at_the_touch
from auditor.whatif.course import Course
from auditor.whatif.electrics import faulty
from auditor.whatif.fault import Effect
from auditor.whatif.moments import moments
from auditor.whatif.story import matrix
from auditor.whatif.whatif import Outcome, Trial, Verdict, tried, what_if
from auditor.whatif.world import CHECKS, EARTH, FUSES, ISOLATION, PROTECTIONS, RESIDUAL, World, worlds
from auditor.whatif.world import LAMP as THE_LAMP
from tests.bench.naive_replay import naive_paths
from tests.plan_text import as_text
from tests.plans import Data, plans, searched
from tests.whatif.tried import METERS, UP, a_plan, left_by

FAULTS = load_catalogue()
SEEDS = st.integers(0, 2 ** 16)
FEW = 6
"""Faults tried on each generated plan, chosen by a seed: all of them on every plan would take minutes."""
Harms = dict[tuple[str, str], Shock]


def plan_of(data: Data) -> Plan:
    text = as_text(data)
    note(text)
    return read_plan(text)


def trial_of(data: Data) -> Trial:
    return Trial(replayed(plan_of(data)))


def some(seed: int) -> list[Entry]:
    """A few faults that are played."""
    return Random(seed).sample([entry for entry in FAULTS if entry.fault.not_simulated is None], FEW)


def ways(trial: Trial, seed: int) -> Iterator[World]:
    """One way of being there of each of a few faults, and nothing at fault."""
    chooser = Random(seed)
    yield World(trial.plan)
    for entry in some(seed):
        if trial.possible(entry):
            yield chooser.choice(worlds(trial.plan, entry.fault))


def comparable(outcome: Outcome) -> object:
    """An outcome without the plan, of which there may be two readings."""
    world = outcome.world
    return replace(outcome, world=None), world and (world.effect, world.starts, world.eager, world.slow)


def worst(course: Course) -> Harms:
    """How bad each harm is, at its worst."""
    found: Harms = {}
    for harm in course.harms:
        key = harm.hazard, harm.part
        found[key] = max(found.get(key, Shock.NOTHING), harm.shock)
    return found


def milder(here: Harms, there: Harms) -> list[tuple[str, str]]:
    """The harms here that are missing there, or less there."""
    return [key for key, shock in here.items() if key not in there or there[key] < shock]


# On any plan

@given(plans())
@searched(6)
def test_every_fault_comes_to_a_verdict_on_any_plan(data: Data) -> None:
    found = what_if(replayed(plan_of(data)))
    assert [outcome.fault for outcome in found.outcomes] == [entry.fault for entry in FAULTS]
    for outcome in found.outcomes:
        assert bool(outcome.harms) == (outcome.verdict in (Verdict.NOT_CONTAINED, Verdict.RESIDUAL)), outcome.fault.fault
        assert bool(outcome.contained_by) == (outcome.verdict is Verdict.CONTAINED), outcome.fault.fault
        assert outcome.notice is None or outcome.notice.told


@given(plans())
@searched(3)
def test_every_fault_can_be_told_as_a_story_that_ends_at_the_notice(data: Data) -> None:
    trial = trial_of(data)
    outcomes = [tried(trial, entry) for entry in FAULTS]
    for story in matrix(trial, outcomes):
        if story.beats and story.outcome.notice is not None:
            assert story.beats[-1].step is story.outcome.notice.step


@given(plans(), SEEDS)
@searched(10)
def test_the_same_plan_has_the_same_outcomes_however_the_faults_are_ordered(data: Data, seed: int) -> None:
    entries = some(seed)
    one, other = trial_of(data), trial_of(data)
    forwards = {entry.fault.fault: tried(one, entry) for entry in entries}
    backwards = {entry.fault.fault: tried(other, entry) for entry in reversed(entries)}
    for name, outcome in forwards.items():
        assert comparable(outcome) == comparable(backwards[name])


@given(plans(), SEEDS)
@searched(8)
def test_what_contains_a_fault_is_all_without_one_of_which_some_way_of_being_there_does_harm(data: Data, seed: int) -> None:
    trial = trial_of(data)
    for entry in some(seed):
        outcome = tried(trial, entry)
        if outcome.verdict not in (Verdict.CONTAINED, Verdict.HARMLESS):
            continue
        bare = [world.without(*PROTECTIONS) for world in worlds(trial.plan, entry.fault)]
        alone = {p: [replace(world, removed=frozenset({p})) for world in bare] for p in PROTECTIONS}
        needed = {p for p, these in alone.items() if any(trial.caused(world, trial.course(world)) for world in these)}
        if needed:
            assert (set(outcome.contained_by), outcome.any_of_them) == (needed, False), entry.fault.fault
        else:
            assert outcome.any_of_them == bool(outcome.contained_by), entry.fault.fault
            assert bool(outcome.contained_by) == any(trial.caused(world, trial.course(world)) for world in bare)


# Less on the bench

@pytest.mark.parametrize("protection", [ISOLATION, FUSES, EARTH, RESIDUAL, CHECKS])
@given(data=plans(), seed=SEEDS)
@searched(12)
def test_to_take_a_protection_away_takes_no_harm_away(protection: str, data: Data, seed: int) -> None:
    trial = trial_of(data)
    for world in ways(trial, seed):
        here, there = (worst(trial.course(one)) for one in (world, world.without(protection)))
        assert milder(here, there) == [], world


SHORTS = [entry for entry in FAULTS if entry.fault.effect.short is not None and entry.fault.heats is not None]


@given(plans(), SEEDS)
@searched(12)
def test_what_a_short_burns_through_the_lamp_it_burns_without_it_where_nothing_else_ends_the_current(
        data: Data, seed: int) -> None:
    # With fuses or with somebody who watches it may not: without the lamp a short blows the fuse, and is seen, at once. Nor
    # is it so of all else: behind a lamp a switching supply draws more current, cold tubes leave B+ higher, and the dial of
    # a set that is brought to its volts by its own meter stands higher: the transformer carries the lamp's watts too.
    trial, chooser = trial_of(data), Random(seed)
    for entry in chooser.sample(SHORTS, FEW):
        world = chooser.choice(worlds(trial.plan, entry.fault))
        with_it, without = (harms_to(entry, trial, world.without(FUSES, CHECKS, *more)) for more in ((), (THE_LAMP,)))
        assert with_it <= without, world


def harms_to(entry: Entry, trial: Trial, world: World) -> set[str]:
    """What becomes of the part that the fault heats."""
    assert entry.fault.heats is not None
    return {harm.hazard for harm in trial.course(world).harms if harm.part == entry.fault.heats.part}


# A fault and a set that is well

@given(plans(), SEEDS)
@searched(15)
def test_up_to_the_stop_a_fault_takes_away_no_shock_that_the_plan_gives(data: Data, seed: int) -> None:
    # But for a switch that the fault closes: one in the neutral line takes the chassis off the live side, and one of which
    # the plan says nothing is then known to be closed, where the worst of open and closed was taken.
    trial = trial_of(data)
    well = trial.course(World(trial.plan))
    for world in ways(trial, seed):
        if world.effect.stays_closed or world.effect.switched_on:
            continue
        found = trial.course(world)
        until = found.notice.index if found.notice is not None else len(trial.moments.main)
        before = worst(replace(well, harms=[harm for harm in well.harms if harm.index < until and harm.step is not None
                                            and harm.branch is None]))
        shocks = {key: shock for key, shock in before.items() if shock > Shock.NOTHING}
        assert milder(shocks, worst(found)) == [], world


@given(plans(), SEEDS)
@searched(15)
def test_a_fault_is_blamed_only_for_what_the_plan_does_not_do_as_badly_by_itself(data: Data, seed: int) -> None:
    trial = trial_of(data)
    for world in ways(trial, seed):
        well = worst(trial.course(World(trial.plan).without(*world.removed)))
        found = trial.course(world)
        caused = {(harm.hazard, harm.part): harm.shock for harm in trial.caused(world, found)}
        for key, shock in worst(found).items():
            assert (key in caused) == (key not in well or shock > well[key]), world
            assert caused.get(key, shock) == shock
        assert not (world.fault is None and caused)


# Heat through the lamp

@cache
def behind(power: int, ohms: float, dial: int) -> Interval:
    """Watts of a short behind a lamp [W]."""
    limiter = {"limiter": {"lamp": {"power": f"{power} W", "voltage": "120 V", "kind": "clear filament"}, "bypass": "open"}}
    plan = a_plan(*UP[:-1], f"set_dial: {dial} V", chain=(*METERS[:-1], limiter, "set"))
    effect = Effect.model_validate({"short": f"{ohms:.6f} ohm"})
    found = faulty(World(plan, None, effect), left_by(plan)).set_power
    assert found is not None
    return found


@given(st.integers(15, 300), st.integers(0, 200), st.floats(0.05, 1000.0), st.integers(5, 140))
@searched(60)
def test_a_smaller_lamp_never_lets_more_heat_through_a_short(power: int, more: int, ohms: float, dial: int) -> None:
    smaller, larger = behind(power, ohms, dial), behind(power + more, ohms, dial)
    assert smaller.low <= larger.low * (1 + 1e-6)
    assert smaller.high <= larger.high * (1 + 1e-6)


# The naive replay

def naive_dangers(plan: Plan) -> set[str]:
    """Where a hand is put that may meet volts: by the second replay, which knows nothing of the simulation."""
    feeds = {INSIDE: "cord_live", PLUG: "cord_live", LAMP: "supply_on", BENCH: "supply_on"}
    return {row["touch"] for path in naive_paths(plan) for row in path
            if row["touch"] in feeds and row[feeds[row["touch"]]] is not False}


@given(plans())
@searched(30)
def test_hands_meet_volts_where_the_naive_replay_has_them(data: Data) -> None:
    trial = trial_of(data)
    harms = trial.course(World(trial.plan)).harms
    met = {harm.part for harm in harms if harm.step is not None and harm.part in (INSIDE, PLUG, LAMP, BENCH)}
    assert met == naive_dangers(trial.plan)


@given(plans())
@searched(30)
def test_every_moment_touches_what_it_does_in_the_naive_replay(data: Data) -> None:
    plan = plan_of(data)
    here = moments(plan)
    main, *branches = naive_paths(plan)
    assert [moment.place for moment in here.main] == [row["touch"] for row in main]
    of_each = [way for index in sorted(here.ways) for way in here.ways[index]]
    for way, rows in zip(of_each, branches, strict=True):
        own = [row for row in rows[way.shared:] if row["exit"] or row["touch"] != NOTHING]
        assert [(moment.sample.exit, moment.place) for moment in way.moments] == [(row["exit"], row["touch"]) for row in own]


@given(plans())
@searched(20)
def test_a_bench_that_the_naive_replay_has_dead_shocks_nobody(data: Data) -> None:
    plan = plan_of(data)
    here, world = moments(plan), World(plan)
    for moment, row in zip(here.main, naive_paths(plan)[0], strict=True):
        if row["supply_on"] is False:
            assert at_the_touch(world, here.states[moment.state], moment.place).current == 0.0
