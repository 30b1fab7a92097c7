"""What each safeguard of a plan is for."""

from __future__ import annotations

from functools import cache
from typing import Any

from auditor.bench.electrical.body import Shock
from auditor.plan.plan import Plan
from auditor.whatif.catalogue import Entry
from auditor.whatif.harm import SHOCK
from auditor.whatif.safeguards import MAKES_SAFE, Use, safeguards, uses
from tests.whatif.tried import DOWN, HOT_SET, ISOLATED, METERS, TRANSFORMER_SET, UP, WALL, a_fault, a_plan
from tests.whatif.tried import FIRE as BURNS
from tests.whatif.tried import LAMP as LIMITER
from tests.whatif.tried import MAINS as EARTHED

SHORT = a_fault(fault="a-short", effect={"short": "20 ohm"}, heats={**BURNS, "stands": "100 W"}, signs={
    "measured": [{"measures": "resistance", "across": ["plug"], "reads": "..30 ohm"}], "sensed": ["smoke"],
    "sensed_after": "1 s"})
"""Some 700 W at six amperes, which the fuse of the wall lets pass."""
SLOW = a_fault(fault="a-slow-short", effect={"short": "20 ohm"}, heats={**BURNS, "stands": "100 W", "before": "1 h"},
               signs={"sensed": ["smoke"], "sensed_after": "1 s"})
LEAK = a_fault(fault="a-leak", effect={"leaks": "1 ohm"})
HARMLESS = a_fault(fault="nothing-much", effect={"draws": "1.01"})
COLD = "{measure: resistance, across: plug, expect: 50 ohm.., otherwise: stop}"
RUN = (*UP, "wait: 10 min", *DOWN)
INSIDE = ("{work: change a part, where: inside}",)


def lets_through(plan: Plan, words: str, *faults: Entry) -> set[tuple[str | None, str]]:
    """Each fault that does harm without the safeguard so called, and the hazard."""
    return {(fault.fault if fault else None, harm.hazard) for fault, harm in the_use(plan, words, *faults).lets_through}


def the_use(plan: Plan, words: str, *faults: Entry) -> Use:
    (use,) = (use for use in uses(plan, faults) if use.safeguard.words == words)
    return use


def said(plan: Plan) -> list[str]:
    return [safeguard.words for safeguard in safeguards(plan)]


@cache
def with_everything() -> Plan:
    """A plan with a safeguard of every kind."""
    chain = ({"outlet": {"switch": "ordinary", "fuse": "10 A"}}, ISOLATED[1],
             {"autotransformer": {"output": "0..140 V", "fuse": "3 A"}}, LIMITER, *METERS[2:])
    return a_plan(COLD, *RUN, chain=chain, stop=["smoke", "crackling"], mains={**EARTHED, "residual_current_device": "6 mA"},
                  the_set={**TRANSFORMER_SET, "earth": "bonded", "fuse": {"rating": "1 A"}})


# Which there are

def test_everything_that_is_there_for_safety_is_a_safeguard() -> None:
    measured, *off = (step.in_words() for step in with_everything().steps if step.verb in MAKES_SAFE)
    assert said(with_everything()) == [
        "the isolating transformer", "the lamp in series", "the residual current device of the wall", "the fuse of the dial",
        "the fuse of the outlet", "somebody who watches", "the fuse of the set", "the protective earth of the set",
        "to stop at: smoke", "to stop at: crackling", measured, *off]


def test_what_is_not_there_is_none() -> None:
    assert said(a_plan(*UP, attended="no")) == []


def test_the_plan_without_a_safeguard_lacks_only_that() -> None:
    whole = with_everything()
    before = said(whole)
    for safeguard in safeguards(whole):
        after = said(safeguard.without())
        assert after == [words for words in before if words != safeguard.words], safeguard.words


def test_each_is_told_before_it_is_tried() -> None:
    told: list[str] = []
    plan = a_plan(COLD, *RUN, chain=ISOLATED)
    of_each = uses(plan, (), lambda safeguard: told.append(safeguard.words))
    assert [use.safeguard.words for use in of_each] == told == said(plan)


# What each is for

def test_the_lamp_is_for_a_short() -> None:
    plan = a_plan(*RUN, chain=(*WALL[:-1], LIMITER, "set"))
    assert lets_through(plan, "the lamp in series", SHORT, LEAK, HARMLESS) == {("a-short", "fire")}


def test_isolation_is_for_a_hot_chassis_and_for_a_leak() -> None:
    hot, leaking = (a_plan(*RUN, chain=ISOLATED, the_set=the_set) for the_set in (HOT_SET, TRANSFORMER_SET))
    assert lets_through(hot, "the isolating transformer", HARMLESS) == {(None, SHOCK)}
    assert lets_through(leaking, "the isolating transformer", LEAK) == {("a-leak", SHOCK)}


def test_the_fuse_of_the_dial_is_for_a_short() -> None:
    chain = (WALL[0], {"autotransformer": {"output": "0..140 V", "fuse": "0.5 A"}}, "set")
    assert lets_through(a_plan(*RUN, chain=chain), "the fuse of the dial", SHORT) == {("a-short", "fire")}


def test_the_fuse_of_the_set_is_for_a_short_in_it() -> None:
    plan = a_plan(*RUN, the_set={**TRANSFORMER_SET, "fuse": {"rating": "0.5 A"}})
    assert lets_through(plan, "the fuse of the set", SHORT) == {("a-short", "fire")}


def test_a_bond_is_for_a_leak() -> None:
    plan = a_plan(*RUN, the_set={**TRANSFORMER_SET, "earth": "bonded"})
    assert lets_through(plan, "the protective earth of the set", LEAK) == {("a-leak", SHOCK)}


def test_a_cold_check_is_for_the_short_that_it_finds() -> None:
    plan = a_plan(COLD, *RUN, stop=["crackling"])
    assert lets_through(plan, plan.steps[0].in_words(), SHORT) == {("a-short", "fire")}


def test_a_condition_for_a_stop_and_somebody_who_watches_are_for_a_fault_that_comes_slowly() -> None:
    plan = a_plan(*UP, "wait: 2 h", *DOWN, stop=["smoke", "crackling"], the_set={**TRANSFORMER_SET, "rated_power": "600 W"})
    for words in ("to stop at: smoke", "somebody who watches"):
        assert lets_through(plan, words, SLOW) == {("a-slow-short", "fire")}
    assert lets_through(plan, "to stop at: crackling", SLOW) == set()


def test_the_plug_pulled_is_for_the_hand_that_reaches_in() -> None:
    plan = a_plan(*UP, "unplug: set", *INSIDE)
    assert lets_through(plan, "unplug the set") == {(None, SHOCK)}


def test_a_discharge_and_its_proof_are_for_each_other() -> None:
    charged: dict[str, Any] = {
        **TRANSFORMER_SET, "B+": "300 V", "B+_peak": "320 V", "rectifier": {"kind": "silicon"},
        "filter_capacitors": [{"name": "C1", "capacitance": "100 uF", "working_voltage": "450 V", "condition": "new"}]}
    tool = a_fault(fault="an-open-resistor", effect={"tool": "open"})
    empty = "{discharge: {each: all, through: 1 kohm 10 W, for: 60 s}}"
    prove = "{prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}}"
    plan = a_plan(*UP, *DOWN, empty, prove, *INSIDE, the_set=charged, instruments=("M1",), stop=["smoke"])
    found = {use.safeguard.step.verb: use.lets_through for use in uses(plan, (tool,)) if use.safeguard.step}
    assert {fault.fault if fault else None for fault, _ in found["prove_dead"]} == {"an-open-resistor"}
    assert found["discharge"] == ()


# How much depends on it

def test_a_safeguard_that_makes_a_shock_milder_is_for_the_worse_one() -> None:
    plan = a_plan(*RUN, the_set=HOT_SET, mains={**EARTHED, "residual_current_device": "6 mA"})
    use = the_use(plan, "the residual current device of the wall")
    assert [(fault, harm.part, harm.shock) for fault, harm in use.lets_through] == [(None, "the cabinet", Shock.KILLS)]


def test_a_safeguard_that_another_makes_good_protects_against_nothing_here() -> None:
    plan = a_plan(COLD, *RUN, chain=(*WALL[:-1], LIMITER, "set"), stop=["crackling"])
    assert lets_through(plan, "the lamp in series", SHORT) == set()
    assert lets_through(plan, plan.steps[0].in_words(), SHORT) == set()


def test_harm_that_is_done_in_any_case_depends_on_no_safeguard() -> None:
    plan = a_plan(*RUN, the_set=HOT_SET, chain=(*WALL[:-1], LIMITER, "set"))
    assert lets_through(plan, "the lamp in series", LEAK) == set()


def test_a_fault_that_nothing_contains_says_nothing_of_a_safeguard() -> None:
    residual = a_fault(fault="residual", effect={"leaks": "1 ohm"}, residual="No text stops a person.")
    plan = a_plan(*RUN, chain=ISOLATED)
    assert lets_through(plan, "the isolating transformer", residual) == set()
    assert lets_through(plan, "the isolating transformer", LEAK) == {("a-leak", SHOCK)}


def test_a_life_depends_on_what_alone_keeps_a_person_from_harm() -> None:
    damage = a_fault(fault="damaging", effect={"short": "20 ohm"}, heats={**BURNS, "stands": "100 W", "ends_in": "damage"})
    large = {**TRANSFORMER_SET, "rated_power": "600 W"}
    strong = {"autotransformer": {"output": "0..140 V", "rated_current": "10 A"}}
    plan = a_plan(*RUN, chain=(WALL[0], strong, LIMITER, "set"), the_set=large)
    assert the_use(plan, "the lamp in series", SHORT).guards_a_life
    assert the_use(plan, "the lamp in series", damage).lets_through
    assert not the_use(plan, "the lamp in series", damage).guards_a_life
    assert not the_use(plan, "the lamp in series", HARMLESS).guards_a_life
