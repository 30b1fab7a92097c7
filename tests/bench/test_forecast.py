"""A row for every step: what is read at the end of its hold, how it begins, and what the set still holds afterwards."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from auditor.bench.circuit import dial_output
from auditor.bench.described import unsettled_loads
from auditor.bench.electrical.load import SetLoad
from auditor.bench.forecast import Row, at_setting, forecast
from auditor.bench.lamp_choice import lamp_choices
from auditor.bench.prediction import at_first, settled, unsettled
from auditor.bench.trace import replay
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.files import plan_texts
from auditor.plan.plan import Plan
from auditor.plan.read import read_plan

FOLDER = Path(__file__).parents[2] / "procedures"
WRITTEN = sorted(path.name for path in FOLDER.iterdir() if not path.name.endswith((".card.yaml", "policy.yaml")))
EXACTLY = Interval.exactly
ZERO = EXACTLY(0.0)
FIVE_TUBES = """
  power_supply: transformerless
  rated_voltage: 117 V
  rated_power: 28..35 W
  rectifier: {kind: tube, heater: indirect}
  heaters: {connection: series, current: 150 mA}
  B+: 90..130 V
  B+_peak: 120..178 V
  filter_capacitors: [{name: C1, capacitance: 40 uF}, {name: C2, capacitance: 40 uF}]
  output: tube
  switch: in the live line
  idle_for: 30 days
"""
TRANSISTORS = """
  power_supply: transformer
  rated_voltage: 117 V
  rated_power: 30 W
  rectifier: {kind: silicon}
  B+: 30..35 V
  output: transistor
"""
LAMP = "{power: 60 W, voltage: 120 V, kind: clear filament}"
UP = ("set_dial: 0 V", "plug_in: set", "switch_on: outlet", "switch_on: set")
DOWN = ("switch_off: set", "unplug: set")


@cache
def plan(*steps: str, the_set: str = FIVE_TUBES, bypass: str = "open") -> Plan:
    return read_plan(f"""procedure: {{title: A forecast, format: 1}}
mains: {{voltage: 120 V}}
set:{the_set}bench:
  chain:
    - outlet: {{switch: emergency}}
    - isolating_transformer: {{rated_power: 300 W}}
    - autotransformer: {{output: 0..140 V, rated_current: 3 A}}
    - limiter: {{lamp: {LAMP}, bypass: {bypass}}}
    - set
  instruments: [{{name: M1, kind: multimeter}}]
stop: {{if: [smoke], then: [switch_off: outlet]}}
steps:
""" + "".join(f"  - {step}\n" for step in steps))


def rows(*steps: str, the_set: str = FIVE_TUBES, bypass: str = "open") -> tuple[Row, ...]:
    return forecast(replay(plan(*steps, the_set=the_set, bypass=bypass)))


def within(inner: Interval | None, outer: Interval | None) -> bool:
    assert inner is not None
    assert outer is not None
    return outer.low <= inner.low and inner.high <= outer.high


# One row a step

def test_every_step_and_every_stage_has_a_row() -> None:
    got = rows(*UP, "{raise: {to: 60 V, by: 20 V}, hold: 1 min}")
    assert [row.step.number if row.step else None for row in got] == [1, 2, 3, 4, 5, 5, 5]
    assert [row.powered for row in got] == [False] * 4 + [True] * 3


def test_where_the_set_was_brought_to_a_reading_the_row_says_what_the_dial_must_show() -> None:
    row = rows(*UP, "{bring_set_to: 80 V, hold: 5 min}")[-1]
    assert row.readings.set_voltage == EXACTLY(80)
    assert row.dial is not None
    assert 80 < row.dial.low < row.dial.high < 140


@pytest.mark.parametrize("name", WRITTEN)
def test_in_no_row_of_any_procedure_does_the_set_get_more_than_the_dial_puts_out(name: str) -> None:
    for text in plan_texts(str(FOLDER / name), b""):
        trace = replay(text.read())
        exits = [sample for sample in trace.main if sample.exit]
        got = forecast(trace)
        assert len(got) == len(exits)
        for row, sample in zip(got, exits, strict=True):
            assert row.readings.set_voltage.low >= 0.0
            assert row.readings.set_voltage.high <= dial_output(trace.plan, sample.state).high * (1 + 1e-9)


@pytest.mark.parametrize("name", WRITTEN)
def test_in_no_row_of_any_procedure_is_more_heat_in_the_set_than_its_volts_and_amperes_can_bring(name: str) -> None:
    for text in plan_texts(str(FOLDER / name), b""):
        for row in forecast(replay(text.read())):
            r = row.readings
            if r.set_power is not None and r.current is not None:
                assert r.set_power.high <= r.set_voltage.high * r.current.high * (1 + 1e-9)
                assert r.set_power.low <= r.set_voltage.high * r.current.high


# Warm-up within a hold

def test_a_hold_as_long_as_the_time_to_settle_gives_the_settled_readings() -> None:
    row = rows(*UP, "{set_dial: 117 V, hold: 5 min}")[-1]
    assert row.settled
    assert row.readings == settled(plan(*UP, "{set_dial: 117 V, hold: 5 min}"),
                                   replay(plan(*UP, "{set_dial: 117 V, hold: 5 min}")).main[-1].state)


def test_a_hold_that_ends_too_early_gives_all_from_cold_to_settled() -> None:
    short = rows(*UP, "{set_dial: 117 V, hold: 10 s}")[-1]
    long = rows(*UP, "{set_dial: 117 V, hold: 5 min}")[-1]
    assert not short.settled
    assert short.start is not None
    for cold_or_settled in (long.readings, short.start.readings):
        assert within(cold_or_settled.set_voltage, short.readings.set_voltage)
        assert within(cold_or_settled.current, short.readings.current)
        assert within(cold_or_settled.lamp_power, short.readings.lamp_power)
        assert within(cold_or_settled.b_plus, short.readings.b_plus)


def test_while_it_warms_a_set_may_draw_less_than_both_cold_and_settled_for_its_heaters_warm_before_there_is_b_plus() -> None:
    short, long = (rows(*UP, f"{{set_dial: 117 V, hold: {hold}}}", bypass="closed")[-1] for hold in ("5 s", "5 min"))
    assert short.readings.current is not None
    assert long.readings.current is not None
    assert short.readings.current.low < 0.8 * long.readings.current.low


def test_at_every_voltage_the_set_stays_between_its_edges_while_it_warms() -> None:
    """A heater of every share and ratio that the bands allow, at every stage of warming, as tubes begin to conduct."""
    of = plan(*UP, "set_dial: 117 V")
    loads = [load for load in unsettled_loads(of, replay(of).main[-1].state) if isinstance(load, SetLoad)]
    for volts in (60.0, 90.0, 117.0):
        least, most = min(load.least().load(volts) for load in loads), max(load.most().load(volts) for load in loads)
        for share in (0.5, 0.6):  # 150 mA on 117 V of 28 to 35 W
            for ratio in (3.0, 7.2):
                for cold in (1.0, 0.6, 0.3, 0.13, 0.0):
                    conducting = 1.0 if cold < 0.15 else 0.0  # ONSET_WIDTH: emission comes when heaters are nearly warm
                    u = volts / 117
                    heat = share * u ** 0.6 * (1 + cold * (ratio - 1) * u ** 0.4)
                    amps = 30 / 117 / 0.9 * (heat + conducting * (1 - share) * u)
                    assert least <= amps <= most


def test_time_goes_on_where_steps_leave_the_bench_as_it_is() -> None:
    got = rows(*UP, "set_dial: 117 V", "{wait: 5 min}", "{observe: smell, expect: none, otherwise: stop}")
    assert [row.settled for row in got[-3:]] == [False, True, True]


def test_time_starts_again_when_power_was_away() -> None:
    got = rows(*UP, "{set_dial: 117 V, hold: 5 min}", "switch_off: set", "switch_on: set")
    assert not got[-1].settled
    assert got[-1].start is not None


def test_a_set_without_heaters_has_settled_before_anybody_reads_it() -> None:
    assert rows(*UP, "set_dial: 117 V", the_set=TRANSISTORS)[-1].settled


def test_a_lowered_dial_finds_heaters_that_are_still_hot_and_draws_less_than_settled() -> None:
    quick = rows(*UP, "{set_dial: 117 V, hold: 5 min}", "{set_dial: 40 V, hold: 1 s}")[-1]
    slow = rows(*UP, "{set_dial: 117 V, hold: 5 min}", "{set_dial: 40 V, hold: 5 min}")[-1]
    assert quick.readings.current is not None
    assert slow.readings.current is not None
    assert quick.readings.current.low < slow.readings.current.low


# How it begins

def test_power_comes_on_once() -> None:
    got = rows(*UP, "{raise: {to: 60 V, by: 20 V}, hold: 1 min}")
    assert [row.start is not None for row in got] == [False] * 4 + [True, False, False]


def test_cold_heaters_flash_for_many_seconds_and_a_reservoir_for_a_moment() -> None:
    tubes, none = (rows(*UP, "{set_dial: 117 V, hold: 1 min}", the_set=of)[-1].start for of in (FIVE_TUBES, TRANSISTORS))
    assert tubes is not None
    assert none is not None
    assert tubes.lasting == Interval(10, 30)
    assert none.lasting.high <= 2
    assert tubes.readings.glow[-1] in ("yellow", "white")


def test_b_plus_behind_a_tube_rectifier_waits_for_its_heater() -> None:
    for heater, seconds in (("indirect", Interval(10, 20)), ("direct", Interval(2, 5))):
        of = FIVE_TUBES.replace("heater: indirect", f"heater: {heater}")
        assert rows(*UP, "{set_dial: 117 V, hold: 1 min}", the_set=of)[-1].conducts == seconds
    silicon = FIVE_TUBES.replace("{kind: tube, heater: indirect}", "{kind: silicon}")
    assert rows(*UP, "{set_dial: 117 V, hold: 1 min}", the_set=silicon)[-1].conducts is None


# B+ with tubes out, and where the rectifier is not stated

@pytest.mark.parametrize("tubes", ["tubes", "output tubes"])
def test_behind_silicon_with_its_heater_chain_open_b_plus_stands_at_the_peak_of_the_volts(tubes: str) -> None:
    silicon = FIVE_TUBES.replace("{kind: tube, heater: indirect}", "{kind: silicon}").replace("120..178 V", "165..178 V")
    got = rows(f"take_out: {tubes}", *UP, "{set_dial: 117 V, hold: 1 min}", the_set=silicon)[-1].readings
    assert got.current == ZERO
    assert got.b_plus is not None
    # Peak of a sine: the square root of 2 times the rms value.
    assert got.b_plus.high >= 2 ** 0.5 * 117
    assert got.b_plus.low > 130


def test_behind_a_tube_rectifier_with_the_heater_chain_open_there_is_no_b_plus() -> None:
    assert rows("take_out: tubes", *UP, "{set_dial: 117 V, hold: 1 min}")[-1].readings.b_plus == ZERO


def test_a_rectifier_that_is_not_stated_may_be_of_either_kind() -> None:
    steps = (*UP, "{set_dial: 40 V, hold: 1 min}")
    unstated, tube, silicon = (
        rows(*steps, the_set=FIVE_TUBES.replace("  rectifier: {kind: tube, heater: indirect}\n", kind))[-1].readings.b_plus
        for kind in ("", "  rectifier: {kind: tube}\n", "  rectifier: {kind: silicon}\n"))
    assert tube == ZERO
    assert within(tube, unstated)
    assert within(silicon, unstated)


@pytest.mark.parametrize("the_set", [FIVE_TUBES, TRANSISTORS])
def test_at_first_and_on_the_way_b_plus_may_be_anything_up_to_the_peak_that_belongs_to_the_volts(the_set: str) -> None:
    of = plan(*UP, "set_dial: 117 V", the_set=the_set)
    state = replay(of).main[-1].state
    for got in (at_first(of, state), unsettled(of, state)):
        assert got.b_plus is not None
        assert got.b_plus.low == 0.0
        settled_b_plus = settled(of, state).b_plus
        assert settled_b_plus is not None
    assert unsettled(of, state).b_plus.high >= settled_b_plus.high  # type: ignore[union-attr]


# A question about a setting that is no step

def test_a_setting_is_answered_as_settled_and_with_its_beginning() -> None:
    row = at_setting(plan(*UP), EXACTLY(117), EXACTLY(100))
    assert row.step is None
    assert row.settled
    assert row.start is not None
    assert row.readings == settled(plan(*UP), replay(plan(
        f"{{change_lamp: {{to: {LAMP.replace('60', '100')}, after: lamp cool}}}}", *UP, "set_dial: 117 V")).main[-1].state)


def test_more_lamp_gives_a_resistive_set_more_volts_and_a_short_more_current() -> None:
    choices = lamp_choices(plan(*UP))
    for smaller, larger in pairwise(choices):
        assert smaller.set_voltage.low <= larger.set_voltage.low
        assert smaller.short_current < larger.short_current
        assert smaller.most_heat < larger.most_heat


def test_a_size_serves_the_first_look_or_the_running_test_and_never_both() -> None:
    choices = lamp_choices(plan(*UP))
    assert any(choice.first_look is Truth.TRUE for choice in choices)
    assert any(choice.running is Truth.TRUE for choice in choices)
    assert not any(choice.first_look is choice.running is Truth.TRUE for choice in choices)


def test_without_the_set_s_watts_no_lamp_is_chosen() -> None:
    assert lamp_choices(plan(*UP, the_set=FIVE_TUBES.replace("  rated_power: 28..35 W\n", ""))) == ()
