"""What it costs to try every fault on a plan, on one core:  python tests/benchmarks/whatif_speed.py

    table    the whole fault table of a plan of 40 steps: every fault of the catalogue in every way in which it can be there,
             with what contains it; nothing is remembered from before but the files, which have been read: at most 1 s
    replay   what of that the replay of the plan takes: for the record
    worlds   how many ways of being there are played for it, those without a protection among them, and in how much time each
    matrix   all of it as stories, a fault against every step, on top of the table: for the record
    memory   what is held at the most while the table is made, and what is left of ten tables in a row over one, by which it
             is seen to stay flat
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from auditor.plan.plan import Plan
    from auditor.whatif.whatif import WhatIf

ROOT = Path(__file__).resolve().parents[2]
PLAN = ROOT / "procedures" / "five-tube-series-heaters.yaml"
STEPS = 40
TURNS = 5


def plan_of_40_steps() -> Plan:
    """The first 40 steps of the longest plan that stands alone."""
    from auditor.plan.read import read_plan

    whole = read_plan(PLAN.read_text(encoding="utf-8"))
    return replace(whole, steps=whole.steps[:STEPS])


def from_nothing() -> None:
    """Forget every lamp and circuit that has been computed."""
    from auditor.bench.electrical import filament, lamp, ranges

    for remembered in (filament.filament_law, lamp.series_lamp, ranges.settled):
        remembered.cache_clear()


def table(plan: Plan) -> WhatIf:
    from auditor.bench.facts import replayed
    from auditor.whatif.whatif import what_if

    return what_if(replayed(plan))


def seconds(function: Callable[[], object]) -> float:
    """Processor time of one call from nothing, the least of several [s]."""
    turns = []
    for _ in range(TURNS):
        from_nothing()
        begun = time.process_time()
        function()
        turns.append(time.process_time() - begun)
    return min(turns)


def worlds_played(plan: Plan) -> int:
    """How many worlds are played for one table."""
    from auditor.whatif.course import Course, Rehearsal
    from auditor.whatif.world import World

    played, play = 0, Rehearsal.play

    def counted(self: Rehearsal, world: World) -> Course:
        nonlocal played
        played += 1
        return play(self, world)

    Rehearsal.play = counted  # type: ignore[method-assign]
    try:
        table(plan)
    finally:
        Rehearsal.play = play  # type: ignore[method-assign]
    return played


def stories(plan: Plan) -> None:
    """The table, and every fault against every step."""
    from auditor.bench.facts import replayed
    from auditor.whatif.catalogue import load_catalogue
    from auditor.whatif.story import matrix
    from auditor.whatif.whatif import Trial, tried

    trial = Trial(replayed(plan))
    matrix(trial, [tried(trial, entry) for entry in load_catalogue()])


def memory(plan: Plan) -> tuple[float, float]:
    """The most that is held while a table is made, and what ten more leave behind [MB]."""
    table(plan)
    tracemalloc.start()
    table(plan)
    after_one, most = tracemalloc.get_traced_memory()
    for _ in range(10):
        table(plan)
    after_all, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / 1e6, (after_all - after_one) / 1e6


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    from auditor.bench.facts import replayed as replay_of
    from auditor.whatif.catalogue import load_catalogue as faults_of

    shortened = plan_of_40_steps()
    faults = faults_of()
    whole_table = seconds(lambda: table(shortened))
    count = worlds_played(shortened)
    held, left = memory(shortened)
    print(f"table    {whole_table:.2f} s for {len(faults)} faults and {len(shortened.steps)} steps (reach 1)")
    print(f"replay   {1000 * seconds(lambda: replay_of(shortened)):.1f} ms of it")
    print(f"worlds   {count} played, {1000 * whole_table / count:.2f} ms each")
    print(f"matrix   {seconds(lambda: stories(shortened)):.2f} s with the table")
    print(f"memory   {held:.1f} MB at the most, {left:.2f} MB left of ten tables more")
