"""What holds of every circuit with a motor beside the set, and with several lamps in the limiter."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.motor import STANDING, behaviours, starts_at
from auditor.bench.electrical.ranges import Circuit, brought_to, settled
from auditor.bench.electrical.several_lamps import LampBands, in_a_row, rating, rating_band, side_by_side
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import FRACTIONS, THOROUGH, Sampled, at, circuits, interval, sampled
from tests.properties.test_operating_point import FULL_SCALE, READINGS, ROUNDING, holds, shown

FEW = settings(THOROUGH, max_examples=100)
MORE_FRACTIONS = st.lists(st.one_of(st.sampled_from([0.0, 1.0]), st.floats(0, 1)), min_size=23, max_size=23)


@st.composite
def with_motor(draw: st.DrawFn) -> Circuit:
    circuit = draw(circuits())
    one = draw(st.sampled_from(behaviours(circuit.load.voltage, interval(draw, 5.0, 30.0))))
    return replace(circuit, motor=one.load)


@st.composite
def with_lamps(draw: st.DrawFn) -> Circuit:
    circuit = draw(circuits(with_lamp=True))
    assert isinstance(circuit.lamp, LampBand)
    band = circuit.lamp
    others = draw(st.lists(st.builds(lambda power: replace(band, power=power), powers()), min_size=1, max_size=2))
    return replace(circuit, lamp=LampBands((band, *others), draw(st.booleans())))


@st.composite
def powers(draw: st.DrawFn) -> Interval:
    return interval(draw, 15.0, 300.0)


@given(with_motor(), MORE_FRACTIONS)
@FEW
def test_a_range_holds_what_set_and_motor_settle_to_however_their_currents_meet(
        circuit: Circuit, fractions: list[float]) -> None:
    one = sampled(circuit, fractions)
    motor = circuit.motor
    assert motor is not None
    # At fewer volts than it can turn at, a motor that turns is no state of anything.
    if motor.shape == STANDING or one.settle().set_voltage >= starts_at(motor.voltage).low:
        assert_held(circuit, one)


@given(with_lamps(), MORE_FRACTIONS)
@FEW
def test_a_range_holds_what_every_choice_of_lamps_inside_the_bands_settles_to(
        circuit: Circuit, fractions: list[float]) -> None:
    assert_held(circuit, sampled(circuit, fractions))


def assert_held(circuit: Circuit, one: Sampled) -> None:
    ranges, values = settled(circuit), shown(one)
    for reading in READINGS:
        assert holds(reading, getattr(ranges, reading), values[reading]), reading
    for temperature in one.temperatures(one.settle()):
        assert holds("temperature", ranges.temperature, temperature)


@given(with_motor(), MORE_FRACTIONS, st.floats(1, 250))
@FEW
def test_brought_to_a_reading_set_and_motor_draw_what_is_said_and_need_a_dial_that_is_said(
        circuit: Circuit, fractions: list[float], volts: float) -> None:
    there = brought_to(Interval.exactly(volts), circuit)
    one = sampled(circuit, fractions)
    amps, factor = one.load(volts), one.factor(volts)
    drop = (one.lamp.voltage_at(amps) if one.lamp else 0.0) + one.source.resistance * amps
    dial = (volts ** 2 + drop ** 2 + 2 * factor * volts * drop) ** 0.5
    assert holds("current", there.current, amps)
    assert holds("set_power", there.set_power, volts * amps * factor)
    assert holds("set_voltage", there.source_voltage, dial)


@given(with_motor(), st.data())
@FEW
def test_a_motor_that_is_better_known_never_gives_a_wider_reading(circuit: Circuit, data: st.DataObject) -> None:
    motor = circuit.motor
    assert motor is not None
    ends = sorted(data.draw(st.lists(st.sampled_from([0.0, 0.3, 0.5, 1.0]), min_size=2, max_size=2)))
    narrow = replace(motor, power=Interval(*(at(motor.power, end) for end in ends)))
    outer, inner = settled(circuit), settled(replace(circuit, motor=narrow))
    for reading in READINGS:
        one, other = getattr(outer, reading), getattr(inner, reading)
        slack = ROUNDING * max(abs(one.high), FULL_SCALE[reading])
        assert one.low - slack <= other.low, reading
        assert other.high <= one.high + slack, reading


@given(with_lamps(), powers())
@FEW
def test_a_lamp_more_side_by_side_never_lowers_the_volts_at_the_set_and_in_a_row_never_raises_them(
        circuit: Circuit, power: Interval) -> None:
    lamps = circuit.lamp
    assert isinstance(lamps, LampBands)
    more = LampBands((*lamps.each, replace(lamps.each[0], power=power)), lamps.row)
    now, then = settled(circuit).set_voltage, settled(replace(circuit, lamp=more)).set_voltage
    slack = ROUNDING * FULL_SCALE["set_voltage"]
    if lamps.row:
        now, then = then, now
    assert now.low <= then.low + slack
    assert now.high <= then.high + slack


@given(with_lamps())
@FEW
def test_one_lamp_alone_in_a_row_or_side_by_side_is_that_lamp(circuit: Circuit) -> None:
    assert isinstance(circuit.lamp, LampBands)
    lamp = circuit.lamp.each[0].passing_most()
    for alone in (in_a_row((lamp,)), side_by_side((lamp,))):
        for share in (0.05, 0.5, 1.0, 1.2):
            volts = share * lamp.voltage
            assert abs(alone.current_at(volts) - lamp.current_at(volts)) <= 1e-9 * lamp.current


@given(st.lists(powers(), min_size=2, max_size=3), st.booleans(), FRACTIONS)
@FEW
def test_what_several_lamps_count_as_holds_what_each_choice_of_them_counts_as(
        bands: list[Interval], row: bool, fractions: list[float]) -> None:
    volts, watts = rating_band(tuple(bands), Interval(115.0, 125.0), row)
    chosen = tuple(at(band, fraction) for band, fraction in zip(bands, fractions, strict=False))
    at_volts, at_watts = rating(chosen, at(Interval(115.0, 125.0), fractions[-1]), row)
    # How hot a lamp of so many watts runs depends a little on its volts, and not always in one direction.
    assert volts.low * (1 - 1e-4) <= at_volts <= volts.high * (1 + 1e-4)
    assert watts.low * (1 - 1e-4) <= at_watts <= watts.high * (1 + 1e-4)
