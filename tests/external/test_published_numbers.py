"""Numbers of the rules and of the bench model against the documents that they come from.

Each check names its document and clause. "As quoted elsewhere" means that the number was read in somebody else's
reproduction of the document; all others were read in the document or in a legal text that carries it. What says
"calculated" follows from the number beside it.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from auditor.bench.circuit import wall
from auditor.bench.electrical.discharge import stored_charge, stored_energy, time_to_reach, voltage_after
from auditor.logic.quantity import DIMENSIONS, parse_quantity
from auditor.review.finding import Outcome
from tests.external.audited import Change, audited, broken, limit, outcome, plan_of

BROKEN, KEPT = Outcome.BROKEN, Outcome.KEPT


def at_wall(voltage: str) -> tuple[float, float]:
    band = wall(plan_of({"state": {"mains.voltage": voltage}}))
    return band.low, band.high


class TestTheWall:
    def test_a_120_v_service_is_114_to_126_v(self) -> None:
        # COMAR 20.50.07.02 A (the ANSI C84.1 Range A service voltages)
        assert at_wall("120 V") == pytest.approx((114, 126))

    def test_a_230_v_supply_is_207_to_253_v(self) -> None:
        # IEC 60038, table 1, as quoted elsewhere (230 V, 10 % either way)
        assert at_wall("230 V") == pytest.approx((207, 253))

    @pytest.mark.parametrize(("lowest", "highest"), [
        (216, 252),  # COMAR 20.50.07.02 A, 240 V service
        (225.6, 254.4),  # IEE Regulations, appendix 2, as quoted elsewhere: 240 V, 6 % either way
    ])
    def test_a_240_v_supply_is_taken_as_no_narrower_than_either_published_band(
        self, lowest: float, highest: float
    ) -> None:
        low, high = at_wall("240 V")
        assert low <= lowest * (1 + 1e-9)
        assert high >= highest

    def test_the_report_prints_the_published_band_that_it_assumed(self) -> None:
        # COMAR 20.50.07.02 A
        assert any("114..126 V" in line for line in audited({}).assumptions)


class TestTheRatingOfTheSet:
    RULE = "keep-the-set-within-its-rating"

    @staticmethod
    def straight_at_the_wall(rated: str, mains: str = "120 V") -> Change:
        return {"state": {"set.rated_voltage": rated, "mains.voltage": mains},
                "leave_out": ["bench.chain.autotransformer", "steps.dial-zero", "steps.raise-low", "steps.raise-high",
                              "steps.dial-down", "steps.raise-full", "steps.at-rating", "steps.dial-zero-last"]}

    @pytest.mark.parametrize("nominal", [220.0, 230.0, 240.0])
    def test_above_120_v_the_ceiling_is_the_published_share_of_nominal(self, nominal: float) -> None:
        # 21 CFR 1020.10(b)(2): 110 % of nominal
        assert limit("highest_set_voltage") * nominal == pytest.approx(1.10 * nominal)

    @pytest.mark.parametrize("plate", [110.0, 115.0, 117.0, 118.0])
    def test_a_plate_of_110_to_118_v_gets_no_more_than_the_published_130_v(self, plate: float) -> None:
        # 21 CFR 1020.10(b)(2): 130 V for receivers of 110 to 120 V
        assert limit("highest_set_voltage") * plate <= 130

    def test_the_ceiling_at_230_v_is_the_top_of_the_published_band(self) -> None:
        # IEC 60038, table 1, as quoted elsewhere; calculated: 230 V at 110 % is 253 V
        assert limit("highest_set_voltage") * 230 == pytest.approx(at_wall("230 V")[1])

    def test_a_110_v_set_does_not_stand_a_present_day_120_v_wall(self) -> None:
        # COMAR 20.50.07.02 A; calculated: 126 / 110 = 1.145
        assert outcome(self.straight_at_the_wall("110 V"), self.RULE) is BROKEN

    def test_a_117_v_set_stands_a_present_day_120_v_wall(self) -> None:
        # COMAR 20.50.07.02 A; calculated: 126 / 117 = 1.077
        assert outcome(self.straight_at_the_wall("117 V"), self.RULE) is KEPT


class TestEarthAndInsulation:
    def test_a_bond_to_earth_is_under_the_published_ohm(self) -> None:
        # NAVEDTRA 14146 (less than 1 ohm from housing to hull); NAVEDTRA 14344 (strap, no more than 1 ohm)
        assert limit("earth_resistance") < 1.0

    def test_the_earth_through_the_limiter_is_no_more_than_the_published_ohm(self) -> None:
        # NAVEDTRA 14146
        assert limit("limiter_through_resistance") <= 1.0

    def test_insulation_of_class_i_equipment_is_the_published_megohm(self) -> None:
        # IET Code of Practice for In-Service Inspection, as quoted elsewhere: 1.0 Mohm for class I
        assert limit("insulation_floor") == 1.0e6

    def test_insulation_of_class_ii_equipment_is_the_published_two_megohms(self) -> None:
        # IET Code of Practice for In-Service Inspection, as quoted elsewhere: 2.0 Mohm for class II
        assert limit("insulation_doubt") == 2.0e6


class TestCurrentThroughABody:
    def test_the_leakage_limit_is_the_published_half_milliampere(self) -> None:
        # ANSI C39.5, 11.6.1, and IEC 60479-1 (reaction limit), both as quoted elsewhere
        assert limit("touch_current") == 0.5e-3

    def test_the_leakage_limit_is_what_service_manuals_measure(self) -> None:
        # leakage clause of service manuals: 0.75 V across 1500 ohm, 0.15 uF in parallel with it
        across = abs(1 / (1 / 1500 + 2j * math.pi * 60 * 0.15e-6))
        assert limit("touch_current") == pytest.approx(0.75 / 1500)
        assert 0.75 / across == pytest.approx(limit("touch_current"), rel=0.005)

    def test_the_leakage_limit_is_far_below_let_go(self) -> None:
        # Dalziel and Lee, 1968: 99.5 % of women let go of 6 mA, of men 9 mA
        assert 10 * limit("touch_current") < 6e-3

    def test_the_leakage_limit_is_below_what_test_equipment_may_give(self) -> None:
        # EN 50191:2010, 1.2, and HSE INDG354: 3 mA
        assert limit("touch_current") < 3e-3

    def test_a_residual_current_device_for_people_trips_at_30_ma_or_less(self) -> None:
        # HSE guidance, as quoted elsewhere
        assert limit("residual_current") == 30e-3

    @pytest.mark.parametrize(("trips_at", "expected"), [
        ("6 mA", KEPT),  # a class A device, NEC article 100 and UL 943, as quoted elsewhere
        ("30 mA", KEPT),  # HSE guidance, as quoted elsewhere
        ("31 mA", BROKEN),
        ("100 mA", BROKEN),
    ])
    def test_devices_of_both_countries_serve_where_nothing_isolates(self, trips_at: str, expected: Outcome) -> None:
        change: Change = {"leave_out": ["bench.chain.isolating_transformer"],
                          "state": {"mains.residual_current_device": trips_at}}
        assert outcome(change, "residual-current-device-where-nothing-isolates") is expected

    def test_the_smallest_lamp_passes_enough_to_stop_a_heart(self) -> None:
        # Dalziel and Lee, 1968: 116 mA / sqrt(T), here for 1 s; so no lamp may be counted on against shock
        assert limit("smallest_lamp") / 120 > 116e-3
        assert outcome({"state": {"bench.relies_on": ["lamp"]}}, "count-no-dial-or-lamp-against-shock") is BROKEN


class TestDead:
    @pytest.mark.parametrize("touchable", [
        60,  # IEC 61010-1, 6.3.1, direct current, as quoted elsewhere
        50,  # 29 CFR 1910.333(a)(1)
        15,  # NAVEDTRA 14009: anything above is treated as able to harm
    ])
    def test_a_capacitor_counts_as_dead_only_below_every_published_touch_voltage(self, touchable: float) -> None:
        assert limit("dead_below") < touchable

    def test_the_published_example_of_a_discharge(self) -> None:
        # service guidance, as quoted elsewhere: 400 uF through 5 kohm has a time constant of 2 s, and takes 10 s
        assert limit("time_constants") * 5e3 * 400e-6 == pytest.approx(10)
        assert voltage_after(200, 5e3, 400e-6, 2.0) == pytest.approx(200 / math.e)
        assert time_to_reach(200, 60, 5e3, 400e-6) == pytest.approx(2.41, abs=0.005)

    @pytest.mark.parametrize(("held", "expected"), [("10 s", KEPT), ("9.9 s", BROKEN)])
    def test_a_plan_with_that_capacitor_holds_the_published_ten_seconds(self, held: str, expected: Outcome) -> None:
        # service guidance, as quoted elsewhere
        tool: dict[str, Any] = {"each": ["C1", "C2"], "through": "5 kohm 10 W", "clip_first": "common"}
        change: Change = {
            "state": {"set.filter_capacitors.C1.capacitance": "400 uF"},
            "write": {"discharge-between": {"discharge": {**tool, "for": "10 s"}},
                      "discharge": {"discharge": {**tool, "for": held}}},
        }
        assert outcome(change, "discharge-gently-and-long-enough") is expected

    def test_the_least_discharging_resistance_is_five_ohms_a_volt(self) -> None:
        # service guidance, as quoted elsewhere: 5 to 50 ohm for each volt
        assert 1 / limit("discharge_current") == pytest.approx(5)

    @pytest.mark.parametrize(("microfarads", "volts", "joules"), [
        (10, 230, 0.26),  # engineering tables, as quoted elsewhere: just above the 0.25 J of startle
        (100, 450, 10.1),  # calculated: just above the 10 J of shock
    ])
    def test_stored_energies_at_the_published_thresholds(self, microfarads: float, volts: float, joules: float) -> None:
        # DOE-HDBK-1092, figure 10-1: shock above 10 J, startle above 0.25 J
        assert stored_energy(microfarads * 1e-6, volts) == pytest.approx(joules, abs=0.05 if joules > 1 else 0.005)

    @pytest.mark.parametrize(("microfarads", "volts", "microcoulombs"), [
        (0.1, 450, 45),  # IEC 60335-1, 8.1.4, and IEC 61010-1, 6.3.1 c, as quoted elsewhere: the two limits meet here
        (4.4, 80, 352),  # IEC 61010-1, a case told elsewhere: far too much on the pins of a plug
    ])
    def test_stored_charges_of_published_cases(self, microfarads: float, volts: float, microcoulombs: float) -> None:
        assert stored_charge(microfarads * 1e-6, volts) * 1e6 == pytest.approx(microcoulombs)

    def test_an_anode_of_a_television_set_holds_more_than_the_published_350_mj(self) -> None:
        # IEC 60335-1, 8.1.4, as quoted elsewhere, and EN 50191:2010, 1.2: 350 mJ; calculated: 2 nF at 27 kV, 0.73 J
        assert stored_energy(2e-9, 27e3) == pytest.approx(0.73, abs=0.005)
        assert stored_energy(2e-9, 27e3) > 0.350


class TestReforming:
    @staticmethod
    def reform(through: str, to: str = "450 V", **more: str) -> Change:
        return {"state": {"set.filter_capacitors.C1.working_voltage": "450 V",
                          "set.filter_capacitors.C1.condition": "original"},
                "before": {"dial-zero": {
                    "reform": {"each": ["C1"], "to": to, "through": through, "in": "out of the set", **more},
                    "expect": "..1 mA", "otherwise": "stop"}}}

    def test_the_current_is_held_to_the_published_ten_milliamperes(self) -> None:
        # MIL-HDBK-1131C, as quoted elsewhere
        assert limit("reforming_current") == 10e-3

    def test_a_capacitor_makers_100_kohm_needs_no_watching(self) -> None:
        # a capacitor maker's note of 1993, as quoted elsewhere: 100 kohm above 75 V
        assert outcome(self.reform("100 kohm"), "limit-the-reforming-current") is KEPT

    def test_the_series_resistor_of_eia_815_needs_a_ceiling_that_somebody_watches(self) -> None:
        # EIA-815:1999, as quoted elsewhere: about 1000 ohm above 100 V
        assert outcome(self.reform("1 kohm"), "limit-the-reforming-current") is BROKEN
        assert outcome(self.reform("1 kohm", at_most="10 mA"), "limit-the-reforming-current") is KEPT

    def test_reforming_goes_to_the_rated_voltage_and_no_further(self) -> None:
        # EIA-815:1999, as quoted elsewhere: at rated voltage
        assert outcome(self.reform("100 kohm", to="450 V"), "reform-within-the-working-voltage") is KEPT
        assert outcome(self.reform("100 kohm", to="451 V"), "reform-within-the-working-voltage") is BROKEN

    @pytest.mark.parametrize(("microfarads", "constant", "milliamperes"), [
        (20, 0.04, 1.1), (20, 0.02, 0.7), (100, 0.04, 4.3),  # JAN-C-62, as quoted elsewhere; the last calculated
    ])
    def test_no_capacitor_that_leaks_as_little_as_its_period_allowed_is_rejected(
        self, microfarads: float, constant: float, milliamperes: float
    ) -> None:
        # JAN-C-62: 0.3 mA and K for each uF; K is 0.02 mA for 101 to 250 V and 0.04 mA for 351 to 450 V
        allowed = constant * microfarads + 0.3
        assert allowed == pytest.approx(milliamperes)
        assert allowed * 1e-3 <= limit("reformed_leakage")


class TestCapacitorsInService:
    def test_without_a_slow_rectifier_the_surge_voltage_is_never_reached(self) -> None:
        # IEC 60384-4 and data sheets: surge voltage 1.15 times the rated one
        assert limit("capacitor_margin") > 1 / 1.15

    @pytest.mark.parametrize(("kind", "rated", "expected"), [
        ("Y1", "240 V", KEPT),  # up to 500 V
        ("Y2", "240 V", KEPT),  # 150 to 300 V
        ("Y4", "150 V", KEPT),  # up to 150 V
        ("Y4", "151 V", BROKEN),
        ("paper", "117 V", BROKEN),
        ("X2", "117 V", BROKEN),  # an X capacitor is one whose failure gives no shock
    ])
    def test_only_a_y_capacitor_of_its_voltage_joins_line_and_chassis(
        self, kind: str, rated: str, expected: Outcome
    ) -> None:
        # IEC 60384-14, as quoted elsewhere
        state = {"set.rated_voltage": rated, "set.line_capacitors.C3.between": "line and chassis",
                 "set.line_capacitors.C3.class": kind}
        assert outcome({"state": state}, "y-capacitor-from-line-to-chassis") is expected

    @pytest.mark.parametrize(("kind", "expected"), [("X1", KEPT), ("X2", KEPT), ("Y2", KEPT), ("film", BROKEN)])
    def test_a_capacitor_across_the_line_is_of_class_x_or_better(self, kind: str, expected: Outcome) -> None:
        # IEC 60384-14, as quoted elsewhere
        change: Change = {"state": {"set.line_capacitors.C3.class": kind}}
        assert outcome(change, "x-capacitor-across-the-line") is expected


class TestFuses:
    def test_the_smallest_fuse_carries_the_running_current_for_good(self) -> None:
        # UL practice, as quoted elsewhere: a fuse carries about 75 % of its rating continuously
        assert 1 / limit("smallest_fuse") <= 0.75

    def test_a_fuse_at_the_wall_is_no_fuse_at_the_brush(self) -> None:
        # an engineer's example, as quoted elsewhere: at a tenth of the dial 10 A out draw 1 A in
        rule = "fuse-the-output-of-the-dial"
        at_the_wall = {"bench.chain.outlet.fuse": "1 A"}
        assert outcome({"state": {**at_the_wall, "bench.chain.autotransformer.fuse": "10 A"}}, rule) is BROKEN
        assert outcome({"state": {"bench.chain.autotransformer.fuse": "3 A"}}, rule) is KEPT


class TestInstruments:
    @pytest.mark.parametrize(("category", "expected"), [
        ("CAT I 300 V", BROKEN),  # circuits that are not tied to the mains
        ("CAT II 300 V", KEPT),  # appliances
        ("CAT III 600 V", KEPT),
        ("CAT IV 600 V", KEPT),
    ])
    def test_a_meter_on_an_appliance_is_of_category_ii_or_higher(self, category: str, expected: Outcome) -> None:
        # IEC 61010-1, 6.7.4, as quoted elsewhere; 29 CFR 1910.334(c): instruments rated for the circuit
        assert outcome({"state": {"bench.instruments.M2.category": category}}, "meters-made-for-the-mains") is expected


def test_the_limits_are_compared_in_the_units_that_they_are_written_in() -> None:
    # guards the comparisons above: 0.5 mA is read as 0.0005 A
    assert parse_quantity("0.5 mA", DIMENSIONS["current"]).high == pytest.approx(limit("touch_current"))


def test_an_autotransformer_is_no_isolation() -> None:
    # IEC 60364-4-41, 411.7.4, note, as quoted elsewhere: its output is part of the circuit that feeds it
    assert "isolate-a-hot-chassis" in broken({"leave_out": ["bench.chain.isolating_transformer"]})
    assert "isolate-a-hot-chassis" not in broken({})
