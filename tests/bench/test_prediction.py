"""What a plan's steps will read, from the plan's own words."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import inf, pi

import pytest
from msgspec.structs import replace

from auditor.bench.described import resistance, taken_for_granted
from auditor.bench.prediction import Readings, at_first, settled
from auditor.bench.state import TUBES, State
from auditor.bench.trace import replay
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.chain import Lamp
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan

ZERO = Interval.exactly(0.0)
DIAL_117 = Interval(117 * 114 / 120, 117 * 126 / 120)
"""What the mark of 117 V gives with the wall anywhere in its tolerance [V]."""
SMALL = Lamp(power=Interval.exactly(40), voltage=Interval.exactly(120))
FIVE_TUBES = """
  power_supply: transformerless
  rated_voltage: 117 V
  rated_power: 28..35 W
  rectifier: {kind: tube, heater: indirect}
  heaters: {connection: series, current: 150 mA}
  B+: 90..130 V
  B+_peak: 120..178 V
  output: tube
  switch: in the live line
"""
CHAIN = """
    - outlet: {switch: emergency}
    - isolating_transformer: {rated_power: 300 W}
    - autotransformer: {output: 0..140 V, rated_current: 3 A}
    - limiter: {lamp: {power: 60 W, voltage: 120 V, kind: clear filament}, bypass: open}
    - set
"""


@cache
def plan(the_set: str = FIVE_TUBES, chain: str = CHAIN, mains: str = "voltage: 120 V") -> Plan:
    return read_plan(f"""procedure: {{title: A reading, format: 1}}
mains: {{{mains}}}
set:{the_set}bench:
  chain:{chain}stop: {{if: [smoke], then: [switch_off: outlet]}}
steps:
  - set_dial: 0 V
  - plug_in: set
  - switch_on: outlet
  - switch_on: set
  - set_dial: 117 V
""")


def after(of: Plan, **changes: object) -> State:
    """The state at the end of the steps, with what differs."""
    return replace(replay(of).main[-1].state, **changes)  # type: ignore[arg-type]


def at_dial(volts: float, of: Plan | None = None, **changes: object) -> Readings:
    of = of or plan()
    return settled(of, after(of, dial=Interval.exactly(volts), **changes))


# Dead, off and on

def test_before_the_outlet_is_on_nothing_reads_anything() -> None:
    got = settled(plan(), replay(plan()).main[0].state)
    assert got.set_voltage == got.current == got.lamp_voltage == ZERO
    assert got.glow == ("dark",)


def test_with_the_set_s_switch_off_its_cord_has_the_volts_of_the_dial_and_the_lamp_is_dark() -> None:
    state = after(plan())
    got = settled(plan(), replace(state, on=state.on - {"set"}))
    assert got.set_voltage == DIAL_117
    assert got.current == ZERO
    assert got.glow == ("dark",)


def test_with_the_set_off_b_plus_is_nothing_only_if_its_capacitors_are_known_to_hold_nothing() -> None:
    state = after(plan())
    off = replace(state, on=state.on - {"set"})
    assert settled(plan(), off).b_plus is None
    assert settled(plan(), replace(off, charged=(("C1", Truth.UNKNOWN),))).b_plus is None
    assert settled(plan(), replace(off, charged=(("C1", Truth.FALSE),))).b_plus == ZERO


def test_the_set_gets_less_than_the_dial_through_a_lamp_and_nearly_all_without_it() -> None:
    through = at_dial(117)
    direct = at_dial(117, bypass_closed=Truth.TRUE)
    assert through.set_voltage.high < 0.9 * 117
    assert direct.set_voltage.low > 0.95 * 0.97 * 117
    assert direct.lamp_voltage == ZERO


def test_a_bypass_that_may_be_closed_gives_both_ranges() -> None:
    either = at_dial(117, bypass_closed=Truth.UNKNOWN)
    one, other = at_dial(117), at_dial(117, bypass_closed=Truth.TRUE)
    assert either.set_voltage == one.set_voltage.hull(other.set_voltage)
    assert either.current is not None
    assert one.current is not None
    assert other.current is not None
    assert either.current == one.current.hull(other.current)
    assert either.widest("set_voltage") == "what kind of supply the set has, or how it is fed"


def test_more_lamp_gives_more_volts_at_the_set() -> None:
    volts = [at_dial(117, lamp=Lamp(power=Interval.exactly(watts), voltage=Interval.exactly(120))).set_voltage
             for watts in (25, 40, 60, 100, 150)]
    assert all(a.low < b.low and a.high < b.high for a, b in pairwise(volts))


# B+

def test_b_plus_is_nothing_until_a_tube_rectifier_is_warm_and_then_comes_with_a_jump() -> None:
    low, full = at_dial(40), at_dial(117, bypass_closed=Truth.TRUE)
    assert low.b_plus == ZERO
    assert full.b_plus is not None
    assert full.b_plus.low > 80
    between = at_dial(70, bypass_closed=Truth.TRUE).b_plus
    assert between is not None
    assert between.low == 0.0
    assert between.high > 60


def test_at_its_rated_voltage_b_plus_is_what_the_plan_states() -> None:
    got = settled(plan(), after(plan(), set_reading=Interval.exactly(117), bypass_closed=Truth.TRUE))
    assert got.b_plus == Interval(90, 130)


def test_with_silicon_b_plus_is_there_from_the_first_volt() -> None:
    silicon = plan(FIVE_TUBES.replace("{kind: tube, heater: indirect}", "{kind: silicon}"))
    got = at_dial(40, silicon).b_plus
    assert got is not None
    assert got.low > 0


def test_with_silicon_and_cold_tubes_b_plus_may_stand_at_the_peak_that_belongs_to_the_volts() -> None:
    silicon = plan(FIVE_TUBES.replace("{kind: tube, heater: indirect}", "{kind: silicon}"))
    got = at_dial(40, silicon, bypass_closed=Truth.TRUE)
    assert got.b_plus is not None
    assert got.b_plus.high == pytest.approx(got.set_voltage.high / 117 * 178)


def test_without_its_rectifier_tube_a_set_has_no_b_plus() -> None:
    assert at_dial(117, out=frozenset({"rectifier tube"})).b_plus == ZERO


# What stands at the input of the filter

TRANSFORMER = """
  power_supply: transformer
  rated_voltage: 117 V
  rated_power: 50..60 W
  rectifier: {kind: silicon}
  heaters: {connection: parallel}
  B+: 240..260 V
  output: tube
  switch: in the live line
"""
DIRECT = {"bypass_closed": Truth.TRUE}
NO_TUBES = {**DIRECT, "out": TUBES}


def b_plus(of: Plan, volts: float = 117, **changes: object) -> Interval:
    got = at_dial(volts, of, **changes).b_plus
    assert got is not None
    return got


def with_filter(of: str, the_set: str = TRANSFORMER) -> Plan:
    return plan(f"{the_set}  filter: {of}\n")


def test_behind_a_choke_b_plus_without_load_rises_to_half_pi_of_its_mean_and_more() -> None:
    choke, capacitor = (with_filter(of) for of in ("choke input", "capacitor input"))
    assert b_plus(choke, **NO_TUBES).high > pi / 2 * 260
    assert b_plus(choke, **NO_TUBES).high > 1.25 * b_plus(capacitor, **NO_TUBES).high


def test_a_bleeder_that_draws_enough_keeps_b_plus_behind_a_choke_at_its_mean() -> None:
    assert b_plus(with_filter("choke input"), **NO_TUBES).low <= 240 < b_plus(with_filter("capacitor input"), **NO_TUBES).low


def test_a_stated_peak_goes_before_the_kind_of_filter() -> None:
    the_set = TRANSFORMER + "  B+_peak: 330..360 V\n"
    assert b_plus(with_filter("choke input", the_set), **NO_TUBES) == b_plus(
        with_filter("capacitor input", the_set), **NO_TUBES)


@pytest.mark.parametrize("changes", [DIRECT, NO_TUBES, {}])
@pytest.mark.parametrize("volts", [30, 60, 117])
def test_a_filter_that_is_not_stated_may_be_of_either_kind(volts: float, changes: dict[str, object]) -> None:
    unstated = b_plus(plan(TRANSFORMER), volts, **changes)
    one, other = (b_plus(with_filter(of), volts, **changes) for of in ("capacitor input", "choke input"))
    assert unstated == one.hull(other)


def test_with_all_tubes_drawing_at_the_rated_voltage_the_filter_makes_no_difference() -> None:
    for of in ("capacitor input", "choke input"):
        made = with_filter(of, TRANSFORMER)
        got = settled(made, after(made, set_reading=Interval.exactly(117), bypass_closed=Truth.TRUE))
        assert got.b_plus == Interval(240, 260)


def test_through_a_lamp_a_choke_loses_more_of_b_plus_than_a_capacitor() -> None:
    assert b_plus(with_filter("choke input"), 140).low < b_plus(with_filter("capacitor input"), 140).low
    transistors = TRANSFORMER.replace("output: tube", "output: transistor")
    assert b_plus(with_filter("choke input", transistors), 140).low < 0.6 * b_plus(plan(transistors), 140).low


def test_a_set_without_a_transformer_has_a_capacitor_there() -> None:
    assert at_dial(117).b_plus == at_dial(117, with_filter("capacitor input", FIVE_TUBES)).b_plus
    # B+ of a half wave into a choke is not what such sets have: nothing is said unless it is stated.
    bare = FIVE_TUBES.replace("  B+: 90..130 V\n", "")
    assert at_dial(117, with_filter("choke input", bare)).b_plus is None
    assert at_dial(117, with_filter("capacitor input", bare)).b_plus is not None


def test_a_filter_that_is_not_stated_is_named_where_it_could_matter() -> None:
    assert any("`filter:`" in line for line in taken_for_granted(plan(TRANSFORMER)))
    assert not any("`filter:`" in line for line in taken_for_granted(with_filter("choke input")))
    assert not any("`filter:`" in line for line in taken_for_granted(plan()))


# Selenium

SELENIUM = TRANSFORMER.replace("silicon", "selenium")


def test_selenium_conducts_from_the_first_volt_on_as_silicon_does() -> None:
    for of in (TRANSFORMER, SELENIUM):
        assert b_plus(plan(of), 20, **DIRECT).low > 0
    assert b_plus(plan(SELENIUM), 20, **DIRECT).high == b_plus(plan(TRANSFORMER), 20, **DIRECT).high


def test_aged_selenium_gives_up_to_a_twelfth_less_b_plus_than_stated() -> None:
    # A stack for 120 V drops 5 to 8 V new and up to 15 V aged (from memory).
    got = settled(plan(SELENIUM), after(plan(SELENIUM), set_reading=Interval.exactly(117), bypass_closed=Truth.TRUE))
    assert got.b_plus is not None
    assert (got.b_plus.low, got.b_plus.high) == pytest.approx((240 * (1 - 10 / 120), 260))


def test_selenium_under_power_is_a_matter_of_fumes_and_what_to_do_is_said() -> None:
    (note,) = (note for note in at_dial(117, plan(SELENIUM)).notes if "selenium" in note)
    for word in ("toxic", "switch off", "windows", "leave"):
        assert word in note
    led = Lamp(power=Interval.exactly(9), voltage=Interval.exactly(120), kind="LED")
    assert note in at_dial(117, plan(SELENIUM), lamp=led).notes


def test_nothing_is_said_of_fumes_without_power_or_without_selenium() -> None:
    state = after(plan(SELENIUM))
    assert not settled(plan(SELENIUM), replace(state, on=state.on - {"set"})).notes
    assert not any("selenium" in note for note in at_dial(117, plan(TRANSFORMER)).notes)


# Taken out

def test_a_tube_out_of_a_series_chain_stops_everything() -> None:
    got = at_dial(117, out=frozenset({"output tubes"}))
    assert got.current == ZERO
    assert got.set_voltage == DIAL_117


def test_a_transformer_with_its_tubes_out_draws_a_fraction() -> None:
    of = plan("\n  power_supply: transformer\n  rated_voltage: 117 V\n  rated_power: 50 W\n  output: tube\n")
    full, bare = at_dial(117, of), at_dial(117, of, out=TUBES)
    assert full.set_power is not None
    assert bare.set_power is not None
    assert bare.set_power.high < full.set_power.low


# Brought to a reading

def test_a_set_brought_to_a_reading_reads_it_and_the_dial_stands_higher() -> None:
    got = settled(plan(), after(plan(), set_reading=Interval.exactly(80)))
    assert got.set_voltage == Interval.exactly(80)
    assert got.source_voltage is not None
    assert got.source_voltage.low > 80
    assert not got.notes


def test_a_reading_that_the_dial_cannot_reach_through_this_lamp_is_said() -> None:
    got = settled(plan(), after(plan(), set_reading=Interval.exactly(117), dial=Interval(117, 140), lamp=SMALL))
    assert any("dial ends" in note for note in got.notes)


# What cannot be said

def test_a_vibrator_supply_is_refused_with_the_reason() -> None:
    got = at_dial(117, plan("\n  power_supply: vibrator\n"))
    assert got.current is None
    assert any("vibrator" in note for note in got.notes)


def test_direct_current_into_a_bench_with_transformers_is_refused_with_the_reason() -> None:
    got = at_dial(117, plan(mains="voltage: 120 V, kind: direct current"))
    assert (got.current, got.b_plus) == (None, None)
    assert any("direct current" in note for note in got.notes)


def test_a_lamp_without_a_filament_leaves_only_the_bound_of_the_dial() -> None:
    got = at_dial(117, lamp=Lamp(power=Interval.exactly(9), voltage=Interval.exactly(120), kind="LED"))
    assert got.set_voltage == Interval(0, DIAL_117.high)
    assert got.current is None


def test_without_any_voltage_stated_the_volts_are_open() -> None:
    of = plan("\n  power_supply: transformer\n  rated_power: 50 W\n", mains="earth: present")
    assert at_dial(117, of).set_voltage.high == inf


def test_a_set_that_is_not_described_may_be_anything_between_what_it_can_be() -> None:
    unknown = at_dial(117, plan("\n  rated_voltage: 117 V\n  rated_power: 28..35 W\n"))
    assert unknown.current is not None
    for supply in ("transformer", "transformerless", "switching"):
        known = at_dial(117, plan(f"\n  power_supply: {supply}\n  rated_voltage: 117 V\n  rated_power: 28..35 W\n"))
        assert known.current is not None
        assert unknown.set_voltage.low <= known.set_voltage.low
        assert known.set_voltage.high <= unknown.set_voltage.high
        assert unknown.current.low <= known.current.low
        assert known.current.high <= unknown.current.high


def test_a_switching_supply_may_find_no_running_point_on_a_small_lamp() -> None:
    of = plan("\n  power_supply: switching\n  rated_voltage: 117 V\n  rated_power: 40 W\n")
    got = at_dial(117, of)
    assert got.running_points == (0,)
    large = at_dial(117, of, lamp=Lamp(power=Interval.exactly(500), voltage=Interval.exactly(120)))
    assert 0 not in large.running_points


# Loads on the bench, glow, and where a range comes from

def test_the_brush_and_the_isolating_transformer_carry_what_their_ratings_say() -> None:
    got = at_dial(117)
    assert got.current is not None
    assert got.brush_load == Interval(got.current.low / 3, got.current.high / 3)
    assert got.isolating_load is not None
    assert got.isolating_load.high == pytest.approx(117 * 1.05 * got.current.high / 300)


def test_low_on_the_dial_glow_is_not_to_be_trusted() -> None:
    assert any("glow tells nothing" in note for note in at_dial(30).notes)
    assert not at_dial(117).notes


def test_a_half_wave_set_draws_direct_current_and_a_transformer_set_none() -> None:
    five = at_dial(117).direct_current
    assert five is not None
    assert five.high > 0.03
    of = plan("\n  power_supply: transformer\n  rated_voltage: 117 V\n  rated_power: 50 W\n")
    assert at_dial(117, of).direct_current == ZERO


def test_what_would_narrow_a_reading_the_most_is_named() -> None:
    assert at_dial(117).widest("set_voltage") == "how the set's current goes with its volts"
    known = plan(FIVE_TUBES.replace("28..35 W", "20..60 W"))
    assert at_dial(117, known).widest("current") is not None


def test_a_lamp_before_the_dial_looks_smaller_the_lower_the_dial() -> None:
    lines = CHAIN.splitlines(keepends=True)
    swapped = plan(chain="".join([lines[0], lines[1], lines[2], lines[4], lines[3], lines[5]]))
    behind, before = at_dial(60), at_dial(60, swapped)
    assert behind.current is not None
    assert before.current is not None
    # Seen from the set, the lamp's volts are halved and its current doubled: it limits less.
    assert before.set_voltage.low > behind.set_voltage.low
    assert before.lamp_voltage is None


@pytest.mark.parametrize("volts", [0.5, 10, 30, 60, 90, 117, 140])
def test_the_set_never_gets_more_than_the_dial_gives(volts: float) -> None:
    got = at_dial(volts)
    assert got.set_voltage.high <= volts * 1.05
    assert got.set_voltage.low >= 0


def test_stating_the_wall_narrows_what_is_read() -> None:
    of = plan(mains="voltage: 120 V, band: 119..121 V")
    wide, narrow = at_dial(117), at_dial(117, of)
    assert wide.set_voltage.low < narrow.set_voltage.low
    assert narrow.set_voltage.high < wide.set_voltage.high


# The first second

def test_a_cold_set_flashes_the_lamp() -> None:
    state = after(plan())
    cold, warm = at_first(plan(), state), settled(plan(), state)
    assert cold.current is not None
    assert warm.current is not None
    assert cold.current.low > warm.current.low
    assert cold.current.high > warm.current.high
    assert cold.set_voltage.high < warm.set_voltage.high
    assert "yellow" in cold.glow
    assert cold.b_plus == ZERO


def test_a_set_without_tubes_may_look_like_a_short_at_first() -> None:
    of = plan("\n  power_supply: transformer\n  rated_voltage: 117 V\n  rated_power: 30 W\n  output: transistor\n")
    cold = at_first(of, after(of))
    assert cold.set_voltage.low < 1
    assert cold.current is not None
    assert cold.current.high > 0.49


def test_a_dead_set_stays_dead_at_first() -> None:
    assert at_first(plan(), replay(plan()).main[0].state) == settled(plan(), replay(plan()).main[0].state)


# What is taken for granted is said

def test_a_full_plan_takes_only_the_spread_of_lamps_and_the_health_of_the_set_for_granted() -> None:
    healthy, lamps = taken_for_granted(plan(FIVE_TUBES + "  motor: no\n"))
    assert "healthy" in healthy
    assert "lamp" in lamps


def test_what_a_plan_leaves_out_is_named_with_the_line_that_replaces_it() -> None:
    bare = plan("\n  output: tube\n", CHAIN.replace("rated_power: 300 W", "output_earthed: no").replace("power: 60 W, ", ""))
    said = " ".join(taken_for_granted(bare))
    for line in ("`power:`", "`rated_power:`", "`rated_voltage:`"):
        assert line in said
    assert "100 VA" in said


def test_the_isolating_transformer_sags_less_the_lower_the_dial() -> None:
    of = plan()
    low, high = (resistance(of, after(of, dial=Interval.exactly(volts))) for volts in (30, 120))
    assert low.high < high.high
