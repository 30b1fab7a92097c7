"""What is predicted beyond the usual set behind one lamp: a motor, heaters alone, several lamps, direct current."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from auditor.bench.described import taken_for_granted
from auditor.bench.facts import replayed
from auditor.bench.prediction import Readings, at_first, settled
from auditor.bench.state import State
from auditor.bench.trace import replay
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan
from tests.bench.test_prediction import CHAIN, FIVE_TUBES, after, at_dial, plan

EXACTLY = Interval.exactly
ZERO = EXACTLY(0.0)
DIRECT = {"bypass_closed": Truth.TRUE}


def known(reading: Interval | None) -> Interval:
    assert reading is not None
    return reading


# A motor beside the set

PLAYER = FIVE_TUBES + "  motor: yes\n  motor_power: 12 W\n"


def notes(got: Readings) -> str:
    return " ".join(note for note in got.notes if "motor" in note)


def test_at_full_volts_the_motor_turns_and_the_set_draws_that_much_more() -> None:
    got, alone = at_dial(117, plan(PLAYER), **DIRECT), at_dial(117, **DIRECT)
    assert not notes(got)
    assert known(got.set_power).high == pytest.approx(known(alone.set_power).high + 12 * 1.05 ** 2, rel=0.02)
    assert known(got.set_power).low > known(alone.set_power).low + 8


def test_far_down_the_motor_stands_still_and_the_row_says_below_how_many_volts() -> None:
    said = notes(at_dial(30, plan(PLAYER), **DIRECT))
    assert "stands still here, hums and heats" in said
    assert "below 35 V at the set and may below 105 V" in said


def test_between_it_may_do_either_and_the_readings_hold_both() -> None:
    of = plan(PLAYER)
    got, state = at_dial(80, of, **DIRECT), after(of, dial=EXACTLY(80), **DIRECT)
    assert "may stand still here" in notes(got)
    assert got.widest("current") == "whether the motor turns"
    turning = settled(plan(FIVE_TUBES), replace(state, connected=frozenset()))
    # Standing still, a constant impedance, it draws at most 3 times 12 W at 117 V, at half the power factor.
    most = 3 * 12 / (117 * 0.5) * known(got.set_voltage).high / 117
    assert known(got.current).high == pytest.approx(known(turning.current).high + most, rel=0.02)


def test_behind_a_small_lamp_it_may_stand_still_at_any_setting_of_the_dial() -> None:
    got = at_dial(117, plan(PLAYER))
    assert "at any setting of it" in notes(got)
    large = Lamp(power=EXACTLY(2000), voltage=EXACTLY(120))
    assert "at any setting of it" not in notes(at_dial(60, plan(PLAYER), lamp=large))


def test_a_motor_that_is_off_or_not_connected_draws_nothing() -> None:
    of = plan(PLAYER)
    apart = at_dial(117, of, connected=frozenset(), **DIRECT)
    assert apart.current == at_dial(117, **DIRECT).current
    state = after(of, **DIRECT)
    assert settled(of, replace(state, on=state.on - {"set"})).current == ZERO


@pytest.mark.parametrize("volts", [20, 60, 90, 117])
def test_stating_the_watts_of_the_motor_only_narrows_what_is_read(volts: float) -> None:
    wide, narrow = at_dial(volts, plan(FIVE_TUBES + "  motor: yes\n"), **DIRECT), at_dial(volts, plan(PLAYER), **DIRECT)
    assert known(wide.current).low <= known(narrow.current).low
    assert known(narrow.current).high < known(wide.current).high


def test_a_motor_whose_watts_are_not_stated_is_of_the_usual_ones_and_the_report_says_so() -> None:
    assert any("`motor_power:`" in line for line in taken_for_granted(plan(FIVE_TUBES + "  motor: yes\n")))
    assert not any("`motor_power:`" in line for line in taken_for_granted(plan(PLAYER)))


# Heaters alone

HEATERS = """
  power_supply: heaters only
  rated_voltage: 117 V
  rated_power: 18 W
  heaters: {connection: series, current: 150 mA}
  switch: none
"""


def test_heaters_alone_make_no_b_plus_and_draw_their_rated_watts() -> None:
    got = settled(plan(HEATERS), after(plan(HEATERS), set_reading=EXACTLY(117), **DIRECT))
    assert got.b_plus == ZERO
    assert got.set_power == EXACTLY(18)
    assert known(got.current).low == pytest.approx(0.154, abs=0.001)


def test_cold_they_draw_three_to_seven_times_as_much() -> None:
    of = plan(HEATERS)
    # 3 to 7.2 times (audioXpress, September 2004, table 1), less what the wiring drops.
    cold = known(at_first(of, after(of, **DIRECT)).current)
    warm = known(at_dial(117, of, **DIRECT).current)
    assert 2.7 * warm.low < cold.low < 3.3 * warm.low
    assert 6.5 * warm.high < cold.high < 7.4 * warm.high


def test_a_heating_load_that_is_no_tube_heater_may_keep_its_resistance() -> None:
    wire = plan(HEATERS.replace("  heaters: {connection: series, current: 150 mA}\n", ""))
    got = known(at_dial(58.5, wire, **DIRECT).current)
    half = 18 / 117 / 2
    assert got.low <= half * 0.96  # with the wall at its lowest
    assert got.high > half * 1.3  # a heater draws more than half at half the volts
    assert known(at_first(wire, after(wire, **DIRECT)).current).low <= known(at_dial(117, wire, **DIRECT).current).low


def test_a_tube_out_of_a_chain_of_heaters_stops_everything() -> None:
    assert at_dial(117, plan(HEATERS), out=frozenset({"output tubes"})).current == ZERO


def test_nothing_makes_the_rules_think_that_heaters_alone_have_b_plus() -> None:
    plays = replayed(plan(HEATERS))
    assert plays.value("b_plus_fed", None, plays.trace.main[-1]) is Truth.FALSE


# Several lamps

def lamps(*watts: float, joined: str | None = "in parallel") -> Lamp:
    return Lamp.model_validate({"power": [f"{each} W" for each in watts], "joined": joined, "voltage": "120 V"})


def one(watts: float) -> Lamp:
    return Lamp(power=EXACTLY(watts), voltage=EXACTLY(120))


def test_lamps_in_parallel_let_through_more_than_either_and_in_series_less() -> None:
    small, large = at_dial(117, lamp=one(40)), at_dial(117, lamp=one(60))
    both, row = at_dial(117, lamp=lamps(60, 40)), at_dial(117, lamp=lamps(60, 40, joined="in series"))
    assert known(row.current).high < known(small.current).high < known(large.current).high < known(both.current).high
    assert row.set_voltage.low < small.set_voltage.low < large.set_voltage.low < both.set_voltage.low


def test_two_lamps_in_parallel_are_about_one_of_their_watts_together() -> None:
    two, single = at_dial(117, lamp=lamps(50, 50)), at_dial(117, lamp=one(100))
    assert two.set_voltage.low == pytest.approx(single.set_voltage.low, rel=0.01)
    assert two.set_voltage.high == pytest.approx(single.set_voltage.high, rel=0.01)


def test_of_unlike_lamps_in_series_the_small_one_glows_and_the_large_one_is_nearly_dark() -> None:
    state = replace(after(plan(), dial=EXACTLY(117)), lamp=lamps(100, 25, joined="in series"))
    shorted = plan("\n  power_supply: heaters only\n  rated_voltage: 117 V\n  rated_power: 20000 W\n")
    glow = settled(shorted, state).glow
    assert glow[0] in ("dark", "a trace of red in the dark", "dull red")
    assert glow[-1] == "white"


def test_lamps_of_which_nothing_says_how_they_are_joined_may_be_either() -> None:
    got = at_dial(117, lamp=lamps(60, 40, joined=None))
    each = [at_dial(117, lamp=lamps(60, 40, joined=joined)) for joined in ("in parallel", "in series")]
    assert got.set_voltage == each[0].set_voltage.hull(each[1].set_voltage)


def rating(lamp: Lamp) -> tuple[Interval, Interval]:
    plays = replayed(plan(chain=CHAIN.replace("power: 60 W", f"power: {text(lamp)}")))
    last = plays.trace.main[-1]
    return plays.value("lamp.voltage", None, last), plays.value("lamp.power", None, last)  # type: ignore[return-value]


def text(lamp: Lamp) -> str:
    watts = ", ".join(f"{power.low:g} W" for power in lamp.each)
    return f"[{watts}]" + (f", joined: {lamp.joined}" if lamp.joined else "")


def test_the_rules_see_lamps_in_parallel_as_one_of_all_their_watts() -> None:
    assert rating(lamps(60, 40)) == (EXACTLY(120), EXACTLY(100))


def test_the_rules_see_two_equal_lamps_in_series_as_one_for_twice_the_volts() -> None:
    volts, watts = rating(lamps(60, 60, joined="in series"))
    assert (volts.low, watts.high) == pytest.approx((240, 120))


def test_the_rules_see_unlike_lamps_in_series_at_the_volts_that_the_smallest_stands() -> None:
    volts, watts = rating(lamps(100, 40, joined="in series"))
    # The 40 W lamp has its 120 V at a third of an ampere, and the 100 W one, at two fifths of its current, some 20 V.
    assert 135 < volts.low == volts.high < 150
    assert watts.low == pytest.approx(volts.low * 40 / 120)


def test_the_rules_do_not_guess_how_lamps_are_joined() -> None:
    assert rating(lamps(60, 40, joined=None)) == (ANYTHING, ANYTHING)


# Direct current

STRAIGHT = """
    - outlet: {switch: emergency}
    - limiter: {lamp: {power: 60 W, voltage: 120 V, kind: clear filament}, bypass: closed}
    - set
"""
UNIVERSAL = FIVE_TUBES + "  made_for: either\n"
MAINS = "voltage: 120 V, kind: direct current"


def on_direct_current(the_set: str = UNIVERSAL, chain: str = STRAIGHT) -> tuple[Plan, State]:
    of = read_plan(f"""procedure: {{title: A reading, format: 1}}
mains: {{{MAINS}}}
set:{the_set}bench:
  chain:{chain}steps:
  - plug_in: set
  - switch_on: outlet
  - switch_on: set
""")
    return of, replay(of).main[-1].state


def test_b_plus_is_the_line_less_what_rectifier_and_filter_drop_or_nothing_the_other_way_round() -> None:
    # A set for either gives about 120 V on direct current and 160 V or more on alternating current (encyclopaedia article on
    # five-tube sets). With its plug the other way round dial lamp and heaters glow, and there is no B+ (recollection of an
    # electrician in a town with direct current until the 1960s).
    got = settled(*on_direct_current())
    assert known(got.b_plus).low == 0.0
    assert 100 < known(got.b_plus).high <= 126
    assert any("one way round of the plug" in note for note in got.notes)


def test_volts_are_those_of_the_line_and_heaters_draw_what_they_draw_on_as_many_volts_of_alternating_current() -> None:
    got = settled(*on_direct_current())
    assert got.set_voltage.high == 126
    assert known(got.current).low < 0.150 < known(got.current).high  # the heaters, 150 mA
    assert got.direct_current == got.current


def test_a_lamp_limits_on_direct_current_too() -> None:
    of, state = on_direct_current()
    through = settled(of, replace(state, bypass_closed=Truth.FALSE))
    assert through.set_voltage.low < 0.6 * settled(of, state).set_voltage.low
    assert through.set_voltage.high < settled(of, state).set_voltage.high


@pytest.mark.parametrize(("the_set", "chain", "reason"), [
    (UNIVERSAL, CHAIN, "a transformer gives nothing"),
    ("\n  power_supply: transformer\n  rated_voltage: 117 V\n  rated_power: 50 W\n", STRAIGHT,
     "a mains transformer gives nothing"),
    ("\n  power_supply: switching\n  rated_voltage: 117 V\n  rated_power: 50 W\n", STRAIGHT, "not known to start"),
    (UNIVERSAL + "  motor: yes\n", STRAIGHT, "an induction motor stands still"),
    (FIVE_TUBES, STRAIGHT, "`made_for` does not say"),
    ("\n  rated_voltage: 117 V\n  rated_power: 50 W\n", STRAIGHT, "does not say what kind of supply")])
def test_what_has_no_reading_on_direct_current_is_refused_with_the_reason(the_set: str, chain: str, reason: str) -> None:
    got = settled(*on_direct_current(the_set, chain))
    assert (got.current, got.b_plus) == (None, None)
    assert any("direct current" in note and reason in note for note in got.notes)


def test_heaters_alone_read_the_same_on_direct_as_on_alternating_current() -> None:
    of, state = on_direct_current(HEATERS)
    alternating = replace(of, mains=of.mains.model_copy(update={"kind": "alternating current"}))
    assert settled(of, state).current == settled(alternating, state).current


# A switching supply, fed directly

def test_a_switching_supply_that_runs_has_at_least_the_volts_at_which_it_starts() -> None:
    of = plan("\n  power_supply: switching\n  rated_voltage: 117 V\n  rated_power: 300 W\n")
    got = at_dial(50, of, **DIRECT)
    assert got.running_points == (0, 1)
    assert got.set_voltage.low >= 0.35 * 117
