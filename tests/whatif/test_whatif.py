"""What a plan makes of a fault: each verdict, what contains it, and whose harm it is."""

from __future__ import annotations

from typing import Any

import pytest

from auditor.bench.electrical.body import Shock
from auditor.bench.facts import replayed
from auditor.whatif.harm import FIRE, SHOCK
from auditor.whatif.whatif import Trial, Verdict, what_if
from auditor.whatif.world import CHECKS, EARTH, FUSES, ISOLATION, LAMP, PROTECTIONS, RESIDUAL, World
from tests.whatif.tried import DOWN, HOT_SET, ISOLATED, TRANSFORMER_SET, UP, WALL, a_fault, a_plan, of_all, outcome
from tests.whatif.tried import FIRE as BURNS
from tests.whatif.tried import LAMP as LIMITER
from tests.whatif.tried import MAINS as EARTHED

SHORT: dict[str, Any] = {"effect": {"short": "20 ohm"}, "heats": {**BURNS, "stands": "100 W"}}
"""Some 700 W at six amperes, which the fuse of the wall lets pass: it burns wherever nothing else holds them down."""
COLD = "{measure: resistance, across: plug, expect: 50 ohm.., otherwise: stop}"
SHOWS_COLD = {"signs": {"measured": [{"measures": "resistance", "across": ["plug"], "reads": "..30 ohm"}]}}
LEAK: dict[str, Any] = {"effect": {"leaks": "1 ohm"}}
FUSED = (WALL[0], {"autotransformer": {"output": "0..140 V", "fuse": "0.5 A"}}, "set")
LIMITED = (*WALL[:-1], LIMITER, "set")
RUN = (*UP, "wait: 10 min", *DOWN)


# Each verdict

def test_what_harms_somebody_is_not_contained() -> None:
    found = outcome(a_plan(*RUN), **SHORT)
    assert found.verdict is Verdict.NOT_CONTAINED
    assert {(harm.hazard, harm.part) for harm in found.harms} == {
        (FIRE, "the shorted part"), (FIRE, "the set"), (FIRE, "the brush of the autotransformer")}
    assert found.contained_by == ()


def test_what_no_procedure_can_contain_is_residual_and_is_told_with_its_harm() -> None:
    found = outcome(a_plan(*RUN), **SHORT, residual="No text stops a person.")
    assert found.verdict is Verdict.RESIDUAL
    assert found.harms


def test_a_residual_fault_that_something_contains_is_contained() -> None:
    assert outcome(a_plan(*RUN, chain=LIMITED), **SHORT, residual="No text stops a person.").verdict is Verdict.CONTAINED


def test_what_would_do_harm_but_for_a_protection_is_contained_by_it() -> None:
    assert outcome(a_plan(*RUN, chain=LIMITED), **SHORT).verdict is Verdict.CONTAINED


def test_what_does_no_harm_with_every_protection_gone_is_harmless() -> None:
    found = outcome(a_plan(*RUN), effect={"draws": "1.01"})
    assert (found.verdict, found.harms, found.contained_by) == (Verdict.HARMLESS, (), ())


def test_what_the_plan_states_rules_a_fault_out() -> None:
    found = outcome(a_plan(*RUN), **SHORT, ruled_out_by="set.power_supply is transformer")
    assert (found.verdict, found.world) == (Verdict.RULED_OUT, None)


def test_a_set_of_another_kind_cannot_have_it() -> None:
    assert outcome(a_plan(*RUN), **SHORT, possible_when="set.motor").verdict is Verdict.CANNOT_BE


def test_what_the_model_does_not_play_is_said_so_before_all_else() -> None:
    found = outcome(a_plan(*RUN), not_simulated="A plan cannot say it.", possible_when="set.motor")
    assert (found.verdict, found.world) == (Verdict.NOT_PLAYED, None)


def test_the_outcomes_stand_in_the_order_of_the_catalogue_and_each_is_told_before_it_is_tried() -> None:
    faults = [a_fault(fault=f"fault-{name}", **LEAK) for name in ("b", "a", "c")]
    told: list[str] = []
    found = what_if(replayed(a_plan(*RUN)), tuple(faults), lambda fault: told.append(fault.fault))
    assert [one.fault.fault for one in found.outcomes] == told == ["fault-b", "fault-a", "fault-c"]


# What contains it

@pytest.mark.parametrize(("by", "stated", "fault"), [
    (LAMP, {"chain": LIMITED}, SHORT),
    (FUSES, {"chain": FUSED}, SHORT),
    (ISOLATION, {"chain": ISOLATED}, LEAK),
    (EARTH, {"the_set": {**TRANSFORMER_SET, "earth": "bonded"}}, LEAK),
], ids=["lamp", "fuse", "isolation", "earth"])
def test_the_one_protection_without_which_there_would_be_harm_is_named(by: str, stated: Any, fault: dict[str, Any]) -> None:
    found = outcome(a_plan(*RUN, **stated), **fault)
    assert (found.verdict, found.contained_by, found.any_of_them) == (Verdict.CONTAINED, (by,), False)


def test_a_dead_short_is_ended_by_the_fuse_of_the_wall() -> None:
    assert outcome(a_plan(*RUN), effect={"short": "0.5 ohm"}, heats=SHORT["heats"]).contained_by == (FUSES,)


def test_a_check_that_finds_it_cold_is_named_with_where_it_stops() -> None:
    found = outcome(a_plan(COLD, *RUN, stop=["smoke"]), **SHORT, **SHOWS_COLD)
    assert found.contained_by == (CHECKS,)
    assert found.notice is not None
    assert (found.notice.step.number, found.notice.told) == (1, True)


def test_a_bridge_that_a_proof_finds_is_contained_by_the_proof() -> None:
    # without the transformer the well set does the same harm, so that alone would say nothing
    proof = "{prove: isolation, how: set outlet to earth, expect: ..0.5 mA, otherwise: stop}"
    bridge = {"effect": {"isolation": "bridged"}, "signs": {"proved": ["isolation"]}}
    plans = [a_plan(*steps, *RUN, the_set=HOT_SET, chain=ISOLATED, stop=["smoke"]) for steps in ((proof,), ())]
    proved, unproved = (outcome(plan, **bridge) for plan in plans)
    assert (proved.verdict, proved.contained_by) == (Verdict.CONTAINED, (CHECKS,))
    assert (unproved.verdict, [harm.shock for harm in unproved.harms]) == (Verdict.NOT_CONTAINED, [Shock.KILLS])


def test_what_only_some_severities_need_is_named() -> None:
    # at 5 ohm a fuse of 2 A is as good as the lamp; at 200 ohm nothing but the lamp helps
    heats = {**BURNS, "stands": "40 W"}
    chain = (WALL[0], {"autotransformer": {"output": "0..140 V", "fuse": "2 A"}}, LIMITER, "set")
    mild, grave, any_severity = (outcome(a_plan(*RUN, chain=chain), effect={"short": ohms}, heats=heats)
                                 for ohms in ("200 ohm", "5 ohm", "5..200 ohm"))
    assert (mild.contained_by, mild.any_of_them) == ((LAMP,), False)
    assert (set(grave.contained_by), grave.any_of_them) == ({LAMP, FUSES}, True)
    assert (any_severity.contained_by, any_severity.any_of_them) == ((LAMP,), False)


def test_a_residual_current_device_makes_a_shock_milder_and_does_not_contain_it() -> None:
    with_it, without = (outcome(a_plan(*RUN, mains=mains), **LEAK) for mains in (
        {**EARTHED, "residual_current_device": "6 mA"}, EARTHED))
    assert (with_it.verdict, with_it.harms[0].shock, with_it.harms[0].serious) == (
        Verdict.NOT_CONTAINED, Shock.STARTLES, False)
    assert (without.verdict, without.harms[0].shock, without.harms[0].serious) == (Verdict.NOT_CONTAINED, Shock.KILLS, True)
    assert RESIDUAL in PROTECTIONS


def test_where_any_of_several_is_enough_all_are_named_and_that_any_is_enough() -> None:
    chain = (*FUSED[:-1], LIMITER, "set")
    found = outcome(a_plan(*RUN, chain=chain), **SHORT)
    assert (set(found.contained_by), found.any_of_them) == ({LAMP, FUSES}, True)
    both = outcome(a_plan(COLD, *RUN, chain=chain, stop=["smoke"]), **SHORT, **SHOWS_COLD)
    assert (set(both.contained_by), both.any_of_them) == ({LAMP, FUSES, CHECKS}, True)


def test_what_is_not_on_the_bench_contains_nothing() -> None:
    found = outcome(a_plan(*RUN, chain=LIMITED), **SHORT)
    assert ISOLATION not in found.contained_by
    assert FUSES not in found.contained_by


# What shows

def test_a_sign_that_nobody_is_told_to_look_for_is_seen_and_stops_nobody() -> None:
    found = outcome(a_plan(COLD.replace(", otherwise: stop", ""), *RUN), **SHORT, **SHOWS_COLD)
    assert found.verdict is Verdict.NOT_CONTAINED
    assert found.notice is None
    assert found.seen is not None
    assert not found.seen.told


def test_the_gravest_way_of_being_there_is_told() -> None:
    found = outcome(a_plan(*RUN), effect={"leaks": "1 ohm..1 Mohm"})
    assert found.world is not None
    assert found.world.effect.leaks is not None
    assert found.world.effect.leaks.high == 1.0
    assert [harm.shock for harm in found.harms] == [Shock.KILLS]


# What was assumed

def test_a_fact_that_the_plan_does_not_state_is_named_and_the_fault_taken_to_be_there() -> None:
    unsaid = {key: value for key, value in TRANSFORMER_SET.items() if key != "motor"}
    found = outcome(a_plan(*RUN, the_set=unsaid), **SHORT, possible_when="set.motor")
    assert found.verdict is Verdict.NOT_CONTAINED
    assert found.assumed == ("set.motor",)


def test_a_fact_that_would_rule_it_out_is_named_too() -> None:
    found = outcome(a_plan(*RUN, the_set={"rated_power": "50 W", "chassis": "isolated"}), **SHORT,
                    possible_when="set.power_supply is transformer", ruled_out_by="set.earth is bonded")
    assert found.assumed == ("set.power_supply", "set.earth")


def test_what_is_stated_is_not_assumed() -> None:
    assert outcome(a_plan(*RUN), **SHORT, possible_when="set.power_supply is transformer").assumed == ()


@pytest.mark.parametrize(("conditions", "verdict", "assumed"), [
    (("new", "new"), Verdict.RULED_OUT, ()), (("new", "original"), Verdict.NOT_CONTAINED, ()),
    (("new", None), Verdict.NOT_CONTAINED, ("capacitor.condition",))])
def test_a_condition_on_capacitors_holds_where_it_holds_for_each(conditions: tuple[str | None, ...], verdict: Verdict,
                                                                  assumed: tuple[str, ...]) -> None:
    capacitors = [{"name": f"C{k}", **({"condition": said} if said else {})} for k, said in enumerate(conditions)]
    plan = a_plan(*RUN, the_set={**TRANSFORMER_SET, "filter_capacitors": capacitors})
    found = outcome(plan, **SHORT, ruled_out_by="capacitor.condition is new")
    assert (found.verdict, found.assumed) == (verdict, assumed)


# Whose harm it is

def test_what_the_plan_does_with_everything_well_is_told_for_itself_and_blamed_on_no_fault() -> None:
    found = of_all(a_plan(*RUN, the_set=HOT_SET), a_fault(**LEAK))
    assert [(harm.hazard, harm.part, harm.shock) for harm in found.healthy] == [(SHOCK, "the cabinet", Shock.KILLS)]
    assert found.outcomes[0].verdict is Verdict.HARMLESS


def test_a_fault_that_makes_the_same_harm_worse_is_to_blame_for_it() -> None:
    startles = {**TRANSFORMER_SET, "line_capacitors": [{"between": "line and chassis", "capacitance": "50 nF"}]}
    found = of_all(a_plan(*RUN, the_set=startles), a_fault(**LEAK))
    assert [harm.shock for harm in found.healthy] == [Shock.STARTLES]
    assert [harm.shock for harm in found.outcomes[0].harms] == [Shock.KILLS]
    assert found.outcomes[0].verdict is Verdict.NOT_CONTAINED


def test_a_fault_that_makes_it_no_worse_is_not() -> None:
    startles = {**TRANSFORMER_SET, "line_capacitors": [{"between": "line and chassis", "capacitance": "50 nF"}]}
    assert outcome(a_plan(*RUN, the_set=startles), effect={"leaks": "100 kohm"}).verdict is not Verdict.NOT_CONTAINED


def test_without_a_protection_the_well_set_is_played_without_it_too() -> None:
    # behind the transformer a hot chassis is met by nobody; what it does without is no fault's doing
    found = outcome(a_plan(*RUN, the_set=HOT_SET, chain=ISOLATED), **LEAK)
    assert (found.verdict, found.contained_by) == (Verdict.HARMLESS, ())


def test_every_harm_is_told_once_at_its_worst_and_to_persons_first() -> None:
    plan = a_plan(*UP, *2 * ("{work: change a part, where: inside}",), *DOWN, the_set=HOT_SET)
    trial = Trial(replayed(plan))
    harms = of_all(plan).healthy
    assert len(trial.course(World(plan)).harms) > len(harms) == len({(harm.hazard, harm.part) for harm in harms}) == 2
    assert [harm.to_a_person for harm in harms] == [True, True]


def test_on_a_wall_of_unknown_volts_b_plus_at_its_peak_cannot_be_told_and_every_charge_is_taken_to_kill() -> None:
    the_set = {**TRANSFORMER_SET, "B+": "250 V", "B+_peak": "380 V", "rectifier": {"kind": "silicon"},
               "filter_capacitors": [{"name": "C1", "capacitance": "40 uF", "working_voltage": "450 V"}]}
    plan = a_plan(*RUN, "{discharge: {each: all, through: 100 ohm, for: 60 s}}", the_set=the_set, chain=(WALL[0], "set"),
                  mains={"earth": "present"})
    found = of_all(plan, a_fault(effect={"b_plus": "peak"}))
    assert [harm.part for harm in found.healthy] == ["C1"]
    assert found.outcomes[0].verdict is Verdict.HARMLESS


def test_a_plan_that_powers_nothing_does_no_harm_whatever_the_fault() -> None:
    found = of_all(a_plan("{inspect: cord, expect: no nick, otherwise: stop}"), a_fault(**SHORT), a_fault(**LEAK))
    assert found.healthy == ()
    assert {one.verdict for one in found.outcomes} == {Verdict.HARMLESS}
