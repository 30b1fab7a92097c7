"""What one protection holds when nothing else stands against a fault."""

from __future__ import annotations

from auditor.bench.electrical.body import Shock
from auditor.whatif.alone import Alone, alone
from auditor.whatif.catalogue import Entry
from auditor.whatif.world import EARTH, ISOLATION, LAMP, RESIDUAL
from tests.whatif.tried import DOWN, FIRE, ISOLATED, METERS, TRANSFORMER_SET, UP, WALL, a_fault, a_plan
from tests.whatif.tried import LAMP as LIMITER
from tests.whatif.tried import MAINS as EARTHED

DEAD_SHORT = a_fault(fault="a-dead-short", effect={"short": "0.5 ohm"}, heats=FIRE)
SOFT = a_fault(fault="a-soft-fault", effect={"short": "200 ohm"}, heats=FIRE)
LEAK = a_fault(fault="a-leak", effect={"leaks": "1 ohm"})
HARMLESS = a_fault(fault="nothing-much", effect={"draws": "1.01"})
RUN = (*UP, "wait: 10 min", *DOWN)


def split(found: Alone) -> tuple[set[str], set[str], set[str]]:
    """The names of what is contained, made less grave, let through."""
    return ({fault.fault for fault in found.contains}, {fault.fault for fault, _ in found.lessens},
            {fault.fault for fault, _ in found.lets_through})


def test_a_lamp_contains_a_dead_short_but_not_a_soft_fault_and_no_touch() -> None:
    plan = a_plan(*RUN, chain=(*WALL[:2], LIMITER, *METERS[2:]))
    contained, _, through = split(alone(plan, LAMP, (DEAD_SHORT, SOFT, LEAK)))
    assert contained == {"a-dead-short"}
    assert through == {"a-soft-fault", "a-leak"}


def test_what_does_no_harm_on_a_bare_bench_is_not_counted() -> None:
    assert split(alone(a_plan(*RUN), LAMP, (HARMLESS,))) == (set(), set(), set())


def test_what_no_procedure_contains_is_not_counted() -> None:
    entry = a_fault(fault="a-fate", effect={"short": "0.5 ohm"}, heats=FIRE, residual="It comes without a sign.")
    assert split(alone(a_plan(*RUN), LAMP, (entry,))) == (set(), set(), set())


def test_an_isolating_transformer_contains_a_touch_and_no_fire() -> None:
    contained, _, through = split(alone(a_plan(*RUN, chain=ISOLATED), ISOLATION, (LEAK, DEAD_SHORT)))
    assert (contained, through) == ({"a-leak"}, {"a-dead-short"})


def test_a_protective_earth_contains_a_leak_to_the_chassis() -> None:
    plan = a_plan(*RUN, the_set={**TRANSFORMER_SET, "earth": "bonded"})
    assert split(alone(plan, EARTH, (LEAK,)))[0] == {"a-leak"}


def test_a_residual_current_device_makes_a_touch_less_grave() -> None:
    plan = a_plan(*RUN, mains={**EARTHED, "residual_current_device": "6 mA"})
    found = alone(plan, RESIDUAL, (LEAK,))
    ((fault, left),) = found.lessens
    assert (fault.fault, left.shock) == ("a-leak", Shock.STARTLES)


def test_every_fault_that_does_harm_is_counted_once() -> None:
    faults: tuple[Entry, ...] = (DEAD_SHORT, SOFT, LEAK)
    plan = a_plan(*RUN, chain=(*WALL[:2], LIMITER, *METERS[2:]), mains={**EARTHED, "residual_current_device": "6 mA"})
    for protection in (LAMP, ISOLATION, EARTH, RESIDUAL):
        parts = split(alone(plan, protection, faults))
        assert sorted(name for part in parts for name in part) == ["a-dead-short", "a-leak", "a-soft-fault"]
