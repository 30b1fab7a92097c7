"""What a fault gets through the lamp of a limiter, and how the lamp then looks: as it is calculated, and as it is handed
on at benches.

"Common practice" has no published source. What is calculated here uses nothing of the model but its answers.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest
from msgspec.structs import replace

from auditor.bench.facts import replayed
from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.whatif.course import Rehearsal
from auditor.whatif.electrics import Electrics
from auditor.whatif.fault import Effect
from auditor.whatif.harm import FIRE
from auditor.whatif.moments import moments
from auditor.whatif.whatif import Trial, Verdict, tried
from auditor.whatif.world import LAMP, World
from tests.whatif.tried import DOWN, METERS, TRANSFORMER_SET, UP, Stated, a_fault, a_plan

LAMPS = (25, 40, 60, 100, 150, 200)
MADE_WITHIN = 0.04
"""How far the watts of a new lamp may lie above those printed on it (IEC 60064, from memory)."""
EXPONENTS = (0.50, 0.60)
"""Current of a filament lamp against its volts, as a power: 0.541 of gas-filled and 0.580 of vacuum lamps (IES Lighting
Handbook, reference volume 1984, section 8; from memory), and what is measured around them."""
HARDLY, NEARLY_ALL = 0.05, 0.9
"""Of the light that a lamp gives at its rated volts: what "hardly" and "shines" are taken to mean."""
SHINES = {"yellow", "white"}
SETS: dict[str, Stated] = {
    "tubes and a transformer": {"power_supply": "transformer", "output": "tube"},
    "tubes in series": {"power_supply": "transformerless", "output": "tube"},
    "transistors": {"power_supply": "transformer", "output": "transistor"},
}


@cache
def bench(lamp: int, watts: int = 30, kind: str = "tubes and a transformer") -> Rehearsal:
    """A set of so many watts, brought up to 120 V behind a lamp of so many, on a wall that is exact."""
    limiter = {"limiter": {"lamp": {"power": f"{lamp} W", "voltage": "120 V", "kind": "clear filament"}, "bypass": "open"}}
    the_set = {**TRANSFORMER_SET, **SETS[kind], "rated_power": f"{watts} W"}
    mains = {"voltage": "120 V", "band": "120 V", "frequency": "60 Hz", "earth": "present"}
    return Rehearsal(moments(a_plan(*UP, chain=(*METERS[:-1], limiter, "set"), the_set=the_set, mains=mains)))


def shown(rehearsal: Rehearsal, **effect: object) -> Readings:
    """What the meters and the lamp show at the end, with an effect of a fault."""
    end = rehearsal.moments.main[-1].state
    electrics: Electrics = rehearsal.model.of(World(rehearsal.moments.plan, None, Effect.model_validate(effect)))
    return electrics.faulty(end)


def ends(found: Interval | None) -> tuple[float, float]:
    assert found is not None
    return found.low, found.high


def heat(lamp: int, ohms: float) -> float:
    """The most watts that a part of so many ohms gets beside the set [W]."""
    return shown(bench(lamp), short=f"{ohms:.6f} ohm").set_voltage.high ** 2 / ohms


def most_heat(lamp: int) -> float:
    """The most watts that a part of whatever resistance gets, over those of the lamp as it may come out."""
    rated = 120.0 ** 2 / lamp
    return max(heat(lamp, rated * 0.02 * 1.1 ** k) for k in range(80)) / (lamp * (1 + MADE_WITHIN))


# The most heat behind a lamp

@pytest.mark.parametrize("lamp", LAMPS)
def test_the_most_heat_behind_a_lamp_is_0_35_to_0_39_of_its_watts(lamp: int) -> None:
    # Calculated: with i = v**k the rest of the volts gets (1 - v) v**k, the most of which is k**k / (1 + k)**(1 + k)
    least, most = sorted(k ** k / (1 + k) ** (1 + k) for k in EXPONENTS)
    assert (round(least, 2), round(most, 2)) == (0.35, 0.38)
    assert least - 0.005 <= most_heat(lamp) <= most + 0.005


@pytest.mark.parametrize("lamp", LAMPS)
def test_it_comes_where_the_part_has_two_thirds_of_the_volts(lamp: int) -> None:
    # Calculated: the lamp then has k / (1 + k) of them, 0.33 to 0.38
    ohms = max((120.0 ** 2 / lamp * 0.1 * 1.05 ** k for k in range(80)), key=lambda ohms: heat(lamp, ohms))
    assert shown(bench(lamp), short=f"{ohms:.6f} ohm").set_voltage.high / 120 == pytest.approx(0.645, abs=0.035)


RUN = a_plan(*UP, "wait: 10 min", *DOWN).steps
PARTIAL = (0.1, 0.3, 0.7, 1.1, 1.5, 1.9)
"""Resistances over that of the hot lamp: without the lamp, each takes more than half its watts."""


@pytest.mark.parametrize("lamp", LAMPS)
def test_half_the_watts_of_a_lamp_never_get_through_it_and_a_quarter_of_them_do(lamp: int) -> None:
    # Calculated, as above: at most 0.39 of them, of a lamp that comes out 4 % too large at most 0.41
    verdicts = {}
    for share in (0.25, 0.5):
        heats = {"part": "a part", "stands": f"{share * lamp} W", "before": "1 s", "ends_in": "fire",
                 "sources": ["common practice"]}
        trial = Trial(replayed(replace(bench(lamp).moments.plan, steps=RUN)))
        found = [tried(trial, a_fault(fault=f"of-{ratio}", effect={"short": f"{ratio * 14400 / lamp} ohm"}, heats=heats))
                 for ratio in PARTIAL]
        verdicts[share] = {outcome.verdict for outcome in found}
        assert share == 0.25 or all(LAMP in outcome.contained_by for outcome in found)
        assert all(harm.hazard == FIRE for outcome in found for harm in outcome.harms)
    assert verdicts[0.5] == {Verdict.CONTAINED}
    assert Verdict.NOT_CONTAINED in verdicts[0.25]


# How the lamp looks

@pytest.mark.parametrize("kind", SETS)
@pytest.mark.parametrize(("lamp", "watts"), [(75, 30), (100, 40), (100, 30), (150, 60), (150, 50), (200, 60)])
def test_the_bare_filament_hardly_glows_behind_a_healthy_set_and_shines_on_a_short(lamp: int, watts: int, kind: str) -> None:
    # Common practice: the lamp that a set runs on has two and a half to some three times its watts
    healthy, shorted = (shown(bench(lamp, watts, kind), **effect) for effect in ({}, {"short": "0.5 ohm"}))
    assert ends(healthy.relative_light)[1] < HARDLY
    assert ends(shorted.relative_light)[0] > NEARLY_ALL
    assert not set(healthy.glow) & SHINES
    assert set(shorted.glow) <= SHINES


@pytest.mark.parametrize("kind", ["tubes and a transformer", "tubes in series"])
@pytest.mark.parametrize(("lamp", "watts"), [(75, 30), (100, 40), (150, 60), (200, 60)])
def test_behind_a_healthy_set_with_tubes_it_is_dull_red_at_most(lamp: int, watts: int, kind: str) -> None:
    # Common practice
    assert set(shown(bench(lamp, watts, kind)).glow) <= {"dark", "a trace of red in the dark", "dull red"}


@pytest.mark.parametrize("lamp", LAMPS)
def test_on_a_short_nearly_all_volts_are_at_the_lamp_and_it_draws_its_own_watts(lamp: int) -> None:
    # Common practice; by what is printed on the lamp
    found = shown(bench(lamp), short="0.5 ohm")
    assert found.set_voltage.high < 0.01 * 120
    assert found.current is not None
    assert found.current.low <= lamp / 120 <= found.current.high
    assert found.current.high <= lamp / 120 * (1 + MADE_WITHIN) * (1 + 1e-6)


# The smaller the lamp

@pytest.mark.parametrize("ohms", [0.5, 5, 50, 200, 1000])
def test_the_smaller_the_lamp_the_less_gets_through(ohms: float) -> None:
    # Common practice
    found = [shown(bench(lamp), short=f"{ohms} ohm") for lamp in LAMPS]
    for smaller, larger in pairwise(found):
        for reading in ("current", "set_voltage", "set_power"):
            assert all(a < b for a, b in zip(ends(getattr(smaller, reading)), ends(getattr(larger, reading)), strict=True))


def test_through_a_small_lamp_the_same_short_does_what_it_does_through_a_large_one_only_later_or_not_at_all() -> None:
    # Common practice
    heats = {"part": "a part", "stands": "20 W", "before": "1 min", "ends_in": "fire", "sources": ["common practice"]}
    burns = []
    for lamp in LAMPS:
        trial = Trial(replayed(bench(lamp).moments.plan))
        burns.append(tried(trial, a_fault(effect={"short": "200 ohm"}, heats=heats)).verdict is Verdict.NOT_CONTAINED)
    assert burns == sorted(burns)
    assert burns[0] is False
