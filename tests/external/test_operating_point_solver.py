"""The solver against scipy's root finder (Brent's method, scipy.optimize.brentq) on random circuits.

The reference shares no code with the solver: the heat balance is written again from Jones' table, the unknown is the
voltage at the set, and the lamp's voltage for its current is found by a root finder of its own.
"""

from __future__ import annotations

import random
from math import log

import pytest

from auditor.bench.electrical.filament import GAS_EXPONENT
from auditor.bench.electrical.lamp import rated_temperature, series_lamp
from auditor.bench.electrical.load import relative_current
from auditor.bench.electrical.operating_point import Source, settle
from auditor.bench.electrical.several_lamps import in_a_row, side_by_side
from auditor.bench.electrical.switching import running_points
from auditor.bench.electrical.tungsten import JONES

optimize = pytest.importorskip("scipy.optimize")
numpy = pytest.importorskip("numpy")

TEMPERATURES = numpy.array([row[0] for row in JONES[1:]], dtype=float)
RESISTANCES = numpy.array([row[1] for row in JONES[1:]], dtype=float)
LOG_RADIATION = numpy.log(numpy.array([row[2] for row in JONES[2:]], dtype=float))
CIRCUITS = 10_000
NESTED = 300
"""As many with the heat balance written again, which takes longer; under --long as many as the others."""
FULL_SCALE = 0.001


def relative_resistance(t: float, rated: float) -> float:
    return float(numpy.interp(t, TEMPERATURES, RESISTANCES) / numpy.interp(rated, TEMPERATURES, RESISTANCES))


def radiation(t: float) -> float:
    if t <= 300:
        return float(5.01e-5 * (t - 293) / 7)
    return float(numpy.exp(numpy.interp(log(t), numpy.log(TEMPERATURES[1:]), LOG_RADIATION)))


def lamp_volts(amps: float, power: float, voltage: float, loss: float) -> float:
    """The heat balance again: temperature at which the current's heat is carried off, then volts = current x ohms."""
    if amps <= 0:
        return 0.0
    rated, ohms = rated_temperature(power, voltage), voltage ** 2 / power

    def surplus(t: float) -> float:
        film = (t ** GAS_EXPONENT - 293 ** GAS_EXPONENT) / (rated ** GAS_EXPONENT - 293 ** GAS_EXPONENT)
        carried = power * ((1 - loss) * radiation(t) / radiation(rated) + loss * film)
        return float(amps ** 2 * ohms * relative_resistance(t, rated) - carried)

    t = optimize.brentq(surplus, 293, 3655, xtol=1e-9, rtol=1e-12)
    return float(amps * ohms * relative_resistance(t, rated))


def random_circuit(draw: random.Random) -> tuple[float, float, float, float, float, float, float, tuple[float, ...]]:
    mains = draw.choice((120.0, 230.0))
    shape = (draw.uniform(0, 1), draw.uniform(0.5, 0.8), draw.uniform(0.8, 1.5), draw.uniform(0.3, 0.7))
    return (draw.uniform(1, 1.2 * mains), draw.choice((0.0, draw.uniform(0, 8))), draw.uniform(15, 300), mains,
            draw.uniform(0.05, 0.15), draw.uniform(1, 300), draw.uniform(0.6, 1), shape)


def test_the_settled_point_agrees_with_brent_on_ten_thousand_random_circuits() -> None:
    draw, worst = random.Random(1926), 0.0
    for _ in range(CIRCUITS):
        source, ohms, watts, mains, loss, power, factor, shape = random_circuit(draw)
        lamp = series_lamp(round(watts, -1), mains, round(loss, 2))
        rated = power / (mains * factor)

        def load(volts: float, rated: float = rated, mains: float = mains, shape: tuple[float, ...] = shape) -> float:
            return rated * relative_current(volts / mains, *shape) if volts > 0 else 0.0

        def surplus(volts: float, lamp=lamp, ohms=ohms, factor=factor, source=source, load=load) -> float:  # type: ignore[no-untyped-def]
            amps = load(volts)
            series = lamp.voltage_at(amps) + ohms * amps
            return float(series ** 2 + volts ** 2 + 2 * factor * series * volts - source ** 2)

        expected = optimize.brentq(surplus, 0, source, xtol=1e-10, rtol=1e-12)
        got = settle(Source(source, ohms), lamp, load, factor)
        worst = max(worst, abs(got.set_voltage - expected) / source)
    assert worst < FULL_SCALE / 1000


def test_it_agrees_with_the_heat_balance_written_again(pytestconfig: pytest.Config) -> None:
    draw = random.Random(206)
    for _ in range(CIRCUITS if pytestconfig.getoption("--long") else NESTED):
        source, ohms, watts, mains, loss, power, factor, shape = random_circuit(draw)
        rated = power / (mains * factor)

        def load(volts: float, rated: float = rated, mains: float = mains, shape: tuple[float, ...] = shape) -> float:
            return rated * relative_current(volts / mains, *shape) if volts > 0 else 0.0

        most = lamp_volts_bound(source, watts, mains, loss)

        def surplus(amps: float, args=(source, ohms, watts, mains, loss, factor), load=load) -> float:  # type: ignore[no-untyped-def]
            source, ohms, watts, mains, loss, factor = args
            series = lamp_volts(amps, watts, mains, loss) + ohms * amps
            if series >= source:
                return amps
            volts = -factor * series + (source ** 2 - (1 - factor ** 2) * series ** 2) ** 0.5
            return float(amps - load(volts))

        expected = optimize.brentq(surplus, 0, most, xtol=1e-12, rtol=1e-12)
        got = settle(Source(source, ohms), series_lamp(watts, mains, loss), load, factor)
        assert abs(got.current - expected) <= FULL_SCALE * watts / mains
        assert abs(got.lamp_voltage - lamp_volts(expected, watts, mains, loss)) <= FULL_SCALE * source


def lamp_volts_bound(source: float, watts: float, mains: float, loss: float) -> float:
    """A current at which the lamp alone takes all the volts of the source [A]."""
    high = watts / mains
    while lamp_volts(high, watts, mains, loss) < source:
        high *= 1.3
    return high


@pytest.mark.parametrize("row", [False, True])
def test_several_lamps_agree_with_the_heat_balance_of_each_written_again(row: bool) -> None:
    # Kirchhoff's laws: side by side the currents of the same volts add, in a row the volts of the same current. Each lamp
    # is given a temperature by the root finder; what follows is one equation.
    draw = random.Random(1827)
    for _ in range(40):
        mains = draw.choice((120.0, 230.0))
        powers = [draw.randrange(15, 200) for _ in range(draw.choice((2, 2, 3)))]
        amps = draw.uniform(0.05, 1.1) * min(powers) / mains
        together = (in_a_row if row else side_by_side)(tuple(series_lamp(power, mains) for power in powers))
        if row:
            volts = sum(lamp_volts(amps, power, mains, 0.10) for power in powers)
        else:
            volts = lamp_volts(amps, powers[0], mains, 0.10)
            amps += sum(lamp_amps(volts, power, mains) for power in powers[1:])
        load = draw.uniform(20, 1000)
        source = volts + load * amps
        got = settle(Source(source), together, lambda at_set, load=load: at_set / load)  # type: ignore[misc]
        assert got.current == pytest.approx(amps, rel=FULL_SCALE)
        assert got.lamp_voltage == pytest.approx(volts, rel=2 * FULL_SCALE)


def lamp_amps(volts: float, power: float, voltage: float) -> float:
    """The current at which the lamp of the reference has these volts [A]."""
    def surplus(amps: float) -> float:
        return lamp_volts(amps, power, voltage, 0.10) - volts

    return float(optimize.brentq(surplus, 0, 1.2 * power / voltage, xtol=1e-11))


@pytest.mark.parametrize("power", [5.0, 20.0, 30.0, 36.0])
def test_a_switching_supply_runs_where_a_scan_finds_its_watts(power: float) -> None:
    lamp, source = series_lamp(100, 120), Source(120, 1.0)
    volts = numpy.linspace(0.01, 119.999, 20_001)
    # Both the lamp and the wiring carry the current power / volts.
    def surplus(v: float) -> float:
        amps = power / v
        return v + float(lamp.voltage_at(min(amps, 3.0))) + 1.0 * amps - 120
    values = [surplus(float(v)) for v in volts]
    crossings = [float(volts[k]) for k in range(len(volts) - 1) if (values[k] > 0) != (values[k + 1] > 0)]
    points = running_points(source, lamp, power, 0.0, 1.0)
    assert len(crossings) == len(points)
    for crossing, point in zip(sorted(crossings, reverse=True), points, strict=True):
        assert point.set_voltage == pytest.approx(crossing, abs=0.02)
