"""What a prediction costs, in ratios taken within one run:  python tests/benchmarks/prediction_speed.py

    point     one settled operating point against scipy.optimize.brentq on the same equations as they stand in the model:
              the set's volts unknown, and inside, for each of its currents, the temperature at which the heat balance
              holds, from the public formulas of tungsten; at most 1/20 of its time
    compiled  the same against scipy.optimize.root, given the solver's own compiled law of the filament and a guess near
              the answer, all unknowns at once: for the record
    plan      the settled ranges of every state of a plan of some 40 steps with all its branches, nothing remembered
              from before: at most 20 ms on one core
    audit     plans a second with settled prediction: replay and review with the whole rulebook, which asks for the readings;
              cold, where no circuit is remembered from plan to plan, as in a search that changes the circuit (the laws
              of filaments, which no plan changes, are), and warm, where the circuits are those of before: reach 50
    import    what importing the prediction adds to a process that has the replay: for the record
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from auditor.plan.plan import Plan

ROOT = Path(__file__).resolve().parents[2]
PLAN = ROOT / "procedures" / "five-tube-series-heaters.yaml"
SOURCE, OHMS, WATTS, FACTOR = 117.0, 3.0, 60.0, 0.9
GUESS = [1500.0, 0.3, 70.0]
TURNS = 7


def best(function: Callable[[], object], times: int) -> float:
    """Processor time of one call, the least of several turns [s]."""
    turns = []
    for _ in range(TURNS):
        begun = time.process_time()
        for _ in range(times):
            function()
        turns.append((time.process_time() - begun) / times)
    return min(turns)


def points() -> tuple[float, float, float, float]:
    """Times of the solver, of Brent's method, and of scipy's root finder [s], and the largest difference [V]."""
    from scipy import optimize

    from auditor.bench.electrical.filament import GAS_EXPONENT, LOSS
    from auditor.bench.electrical.lamp import rated_temperature, series_lamp
    from auditor.bench.electrical.load import relative_law
    from auditor.bench.electrical.operating_point import Source, settle
    from auditor.bench.electrical.tungsten import MELTING, ROOM, radiated, resistance

    lamp, source = series_lamp(WATTS, 120.0), Source(SOURCE, OHMS)
    rated, hot_ohms = rated_temperature(WATTS, 120.0), 120.0 ** 2 / WATTS

    relative_current = relative_law(0.55, 0.6, 1.0, 0.5)

    def load(volts: float) -> float:
        return 35.0 / (117.0 * FACTOR) * relative_current(volts / 117.0) if volts > 0 else 0.0

    def mesh(series: float, volts: float) -> float:
        return series ** 2 + volts ** 2 + 2 * FACTOR * series * volts - SOURCE ** 2

    def lamp_volts(amps: float) -> float:
        def surplus(t: float) -> float:
            film = (t ** GAS_EXPONENT - ROOM ** GAS_EXPONENT) / (rated ** GAS_EXPONENT - ROOM ** GAS_EXPONENT)
            carried = WATTS * ((1 - LOSS) * radiated(t) / radiated(rated) + LOSS * film)
            return amps ** 2 * hot_ohms * resistance(t) / resistance(rated) - carried
        t = optimize.brentq(surplus, ROOM, MELTING, xtol=1e-9) if amps > 0 else ROOM
        return amps * hot_ohms * resistance(t) / resistance(rated)

    def balance(volts: float) -> float:
        amps = load(volts)
        return mesh(lamp_volts(amps) + OHMS * amps, volts)

    def compiled(x: list[float]) -> list[float]:
        temperature, amps, volts = x
        relative_volts, relative_amps = lamp.law.at(min(max(temperature, 293.1), 3600.0))
        return [relative_amps * lamp.current - amps, load(volts) - amps,
                mesh(relative_volts * lamp.voltage + OHMS * amps, volts) / SOURCE ** 2]

    got = settle(source, lamp, load, FACTOR).set_voltage
    difference = max(abs(optimize.root(compiled, GUESS).x[2] - got),
                     abs(optimize.brentq(balance, 0.0, SOURCE, xtol=1e-9) - got))
    return (best(lambda: settle(source, lamp, load, FACTOR), 500),
            best(lambda: optimize.brentq(balance, 0.0, SOURCE, xtol=1e-9), 20),
            best(lambda: optimize.root(compiled, GUESS), 50), difference)


def plan_milliseconds() -> tuple[int, int, float]:
    """Steps, states, and processor time of the settled ranges of a plan and all its branches [ms]."""
    from auditor.bench.electrical import filament, lamp, ranges
    from auditor.bench.prediction import settled
    from auditor.bench.trace import replay
    from auditor.plan.read import read_plan

    plan = read_plan(PLAN.read_text(encoding="utf-8"))
    states = [sample.state for sample, _ in replay(plan).laid_out]

    def from_nothing() -> None:
        for remembered in (filament.filament_law, lamp.series_lamp, ranges.settled):
            remembered.cache_clear()
        for state in states:
            settled(plan, state)

    return len(plan.steps), len(states), 1000 * best(from_nothing, 1)


def audits_per_second(plan: Plan) -> tuple[float, float]:
    """Plans a second, replayed and reviewed with the whole rulebook: no circuit remembered, and all of them."""
    from auditor.bench.electrical import ranges
    from auditor.bench.facts import replayed
    from auditor.review.review import review_replayed
    from auditor.rulebook.load import load_rulebook

    rulebook, today = load_rulebook(), date(2026, 11, 20)

    def warm() -> None:
        review_replayed(replayed(plan), rulebook, today)

    def cold() -> None:
        ranges.settled.cache_clear()
        warm()

    warm()
    return 1 / best(cold, 3), 1 / best(warm, 3)


def plans() -> tuple[Plan, Plan]:
    """The first 40 steps of the longest plan that stands alone, and the whole of it."""
    from auditor.plan.read import read_plan

    whole = read_plan(PLAN.read_text(encoding="utf-8"))
    return replace(whole, steps=whole.steps[:40]), whole


def import_milliseconds() -> float:
    program = ("import auditor.bench.trace, time; t = time.process_time(); import auditor.bench.prediction; "
               "print(time.process_time() - t)")
    return 1000 * min(float(subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True,
                                           cwd=ROOT).stdout) for _ in range(TURNS))


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    ours, brent, root, difference = points()
    print(f"point     {1e6 * ours:.1f} us against {1e6 * brent:.0f} us: 1/{brent / ours:.0f} (reach 1/20); "
          f"{difference:.0e} V apart")
    print(f"compiled  {1e6 * root:.0f} us: 1/{root / ours:.1f}")
    steps, states, milliseconds = plan_milliseconds()
    print(f"plan      {milliseconds:.1f} ms for {steps} steps, {states} states (reach 20)")
    for plan in plans():
        cold, warm = audits_per_second(plan)
        print(f"audit     {cold:.1f} plans of {len(plan.steps)} steps a second with settled prediction, {warm:.1f} with all "
              "circuits remembered (reach 50)")
    print(f"import    {import_milliseconds():.0f} ms")
