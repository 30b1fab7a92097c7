"""What a touch draws and does, against published examples; each check names its source and tolerance.

"As quoted elsewhere" means that the number was read in somebody else's reproduction of the document.
"""

from __future__ import annotations

from math import inf

import pytest

from auditor.bench.electrical.body import (
    BODY_RESISTANCE,
    HARMFUL_VOLTAGE,
    LET_GO,
    REACTION,
    TOUCHABLE_VOLTAGE,
    TOUCHABLE_VOLTAGE_DC,
    Shock,
    body_current,
    capacitor_touch_current,
    fibrillation_current,
    leakage_impedance,
    network_impedance,
    touch_current,
)


class TestTheMeasuringNetworks:
    @pytest.mark.parametrize(("hertz", "ohms"), [(0, 2000), (50, 1990), (60, 1986)])
    def test_the_network_of_the_standard(self, hertz: float, ohms: float) -> None:
        # IEC 60990, figure 4, as quoted elsewhere (1500 ohm, 0.22 uF, 500 ohm); calculated from the parts
        assert network_impedance(hertz) == pytest.approx(ohms, abs=0.5)

    def test_at_high_frequency_only_the_500_ohm_of_the_body_are_left(self) -> None:
        # IEC 60990, figure 4, as quoted elsewhere
        assert network_impedance(10e6) == pytest.approx(500, rel=1e-3)

    def test_three_quarters_of_a_volt_on_the_service_network_are_half_a_milliampere(self) -> None:
        # leakage clause of service manuals: 0.75 V rms is 0.5 mA; 0.4 % of it flows in the capacitor
        assert 0.75 / leakage_impedance(60) == pytest.approx(0.5e-3, rel=0.005)

    def test_a_manual_that_calls_0_35_v_half_a_milliampere_contradicts_its_own_network(self) -> None:
        # such a manual's limit; calculated: 0.234 mA
        assert 0.35 / leakage_impedance(60) == pytest.approx(0.234e-3, abs=0.0005e-3)

    @pytest.mark.parametrize(("volts", "hertz", "amperes"), [(6.0, 50, 3e-3), (24.0, 0, 12e-3)])
    def test_what_a_test_station_may_pass_through_2_kohm(self, volts: float, hertz: float, amperes: float) -> None:
        # EN 50191:2010, 1.2: 3 mA rms or 12 mA dc through 2 kohm; the network is 0.5 % under 2 kohm at 50 Hz
        assert touch_current(volts, frequency=hertz) == pytest.approx(amperes, rel=0.006)


class TestHalfAMilliampereFrom120Volts:
    SOURCE = 238.5e3
    """So that 1500 ohm make it 240 kohm: an article by a product-safety engineer, as quoted elsewhere."""

    @pytest.mark.parametrize(("ohms", "milliamperes"), [(500, 0.5021), (1000, 0.5010), (1500, 0.5000), (2000, 0.4990)])
    def test_the_sampling_resistor_of_a_standard_changes_little(self, ohms: float, milliamperes: float) -> None:
        # UL 1270, UL 544, UL 478, UL 1459 in that order, the same article; all but 1500 ohm calculated
        assert body_current(120, self.SOURCE, ohms) * 1e3 == pytest.approx(milliamperes, abs=0.00006)

    def test_a_person_by_default_is_the_sampling_resistor_of_1000_ohm(self) -> None:
        assert body_current(120, self.SOURCE) * 1e3 == pytest.approx(0.5010, abs=0.00006)

    def test_the_network_reads_what_2000_ohm_read(self) -> None:
        assert touch_current(120, self.SOURCE) * 1e3 == pytest.approx(0.4990, abs=0.00006)


class TestACapacitorFromLineToMetal:
    """Calculated from 2 pi f C V, which leaves out the body; the network takes 0.1 % and 0.6 % off."""

    def test_the_largest_at_the_top_of_the_wall_is_0_0105_microfarad(self) -> None:
        # UL 101 (0.5 mA, as quoted elsewhere) at 126 V (COMAR 20.50.07.02 A), 60 Hz
        assert capacitor_touch_current(126, 0.0105e-6, 60) == pytest.approx(0.5e-3, rel=0.005)
        assert Shock.of_current(capacitor_touch_current(126, 0.0105e-6, 60), inf) is Shock.NOTHING
        assert Shock.of_current(capacitor_touch_current(126, 0.0106e-6, 60), inf) is Shock.STARTLES

    def test_an_old_bypass_of_0_05_microfarad_passes_more_than_2_milliamperes(self) -> None:
        passed = capacitor_touch_current(126, 0.05e-6, 60)
        assert passed == pytest.approx(2.38e-3, rel=0.01)
        assert Shock.of_current(passed, inf) is Shock.STARTLES

    @pytest.mark.parametrize(("volts", "hertz", "picofarads", "microamperes"), [
        (120, 60, 100, 4.5), (120, 60, 300, 14), (120, 60, 1000, 45), (230, 50, 300, 22), (230, 50, 1000, 72)])
    def test_the_capacitance_of_a_small_isolating_transformer_is_not_felt(
            self, volts: float, hertz: float, picofarads: float, microamperes: float) -> None:
        # calculated; that such transformers have 100 pF to 1 nF is from memory
        passed = capacitor_touch_current(volts, picofarads * 1e-12, hertz)
        assert passed * 1e6 == pytest.approx(microamperes, abs=0.5)
        assert Shock.of_current(passed, inf) is Shock.NOTHING


class TestThresholds:
    def test_three_seconds_of_67_milliamperes(self) -> None:
        # Dalziel and Lee, 1968: 116 mA / sqrt(T); NAVEDTRA 14086 has 67 mA for 3 s
        assert fibrillation_current(3.0) == pytest.approx(67e-3, abs=0.05e-3)

    @pytest.mark.parametrize(("seconds", "milliamperes"), [(25e-3, 734), (1.0, 116)])
    def test_other_times(self, seconds: float, milliamperes: float) -> None:
        # calculated from Dalziel and Lee, 1968
        assert fibrillation_current(seconds) * 1e3 == pytest.approx(milliamperes, abs=0.5)

    @pytest.mark.parametrize(("milliamperes", "expected"), [
        (0.5, Shock.NOTHING),  # UL 101, ANSI C39.5, IEC 60479-1, as quoted elsewhere: at the limit
        (1.0, Shock.STARTLES),  # OSHA 3075: just perceptible
        (5.0, Shock.STARTLES),  # OSHA 3075: slight shock, can let go
        (6.0, Shock.STARTLES),  # Dalziel and Lee, 1968: 99.5 % of women let go
        (9.0, Shock.HOLDS),  # Dalziel and Lee, 1968: of men; OSHA 3075: loss of control from 6 (women) and 9 (men)
        (30.0, Shock.HOLDS),  # OSHA 3075: loss of control to 25 and 30
        (1000.0, Shock.KILLS),  # OSHA 3075: the heart stops pumping
    ])
    def test_one_second_of_what_the_tables_of_effects_name(self, milliamperes: float, expected: Shock) -> None:
        assert Shock.of_current(milliamperes * 1e-3, 1.0) is expected

    def test_the_thresholds_lie_in_the_published_order(self) -> None:
        # DOE-HDBK-1092-98, figure 10-1: startle above 0.5 mA, shock above 5 mA; Dalziel and Lee, 1968: breathing at 20 mA
        assert REACTION == 0.5e-3
        assert REACTION < 5e-3 < LET_GO < 20e-3 < fibrillation_current(inf)


class TestThePerson:
    @pytest.mark.parametrize(("volts", "ohms"), [(21.0, 2330), (10.2, 1130)])
    def test_wet_hands_at_the_current_that_was_measured(self, volts: float, ohms: float) -> None:
        # IEEE Std 80, as quoted elsewhere: 9 mA hand to hand at 21.0 V (2330 ohm), hand to feet at 10.2 V (1130 ohm)
        assert body_current(volts, body=ohms) == pytest.approx(9e-3, rel=0.005)

    def test_the_design_value_is_worse_than_wet_hands(self) -> None:
        # IEEE Std 80, as quoted elsewhere
        assert body_current(10.2) > body_current(10.2, body=1130) > body_current(10.2, body=2330)
        assert BODY_RESISTANCE == 1000

    @pytest.mark.parametrize(("volts", "ohms"), [(125, 1125), (125, 1625), (220, 1000), (220, 1350)])
    def test_at_mains_voltage_it_is_no_milder_than_one_person_in_twenty(self, volts: float, ohms: float) -> None:
        # IEC 60479-1, edition of 1994, as quoted elsewhere: 5 % and 50 % of people, hand to hand
        assert body_current(volts) >= volts / ohms

    def test_what_the_navy_calls_able_to_harm_holds_a_wet_hand(self) -> None:
        # NAVEDTRA 14009: above 15 V; by the 1130 ohm of IEEE Std 80, as quoted elsewhere
        assert Shock.of_current(body_current(HARMFUL_VOLTAGE, body=1130), 1.0) is Shock.HOLDS

    def test_what_may_be_touched_counts_on_dry_skin(self) -> None:
        # IEC 61010-1, 6.3.1 a: 30 V rms; IEEE Std 80: 2330 ohm between wet hands; both as quoted elsewhere
        assert TOUCHABLE_VOLTAGE == 30
        assert Shock.of_current(body_current(TOUCHABLE_VOLTAGE, body=2330), 1.0) is Shock.HOLDS

    def test_the_mains_for_a_second_kills(self) -> None:
        assert Shock.of_current(body_current(120), 1.0) is Shock.KILLS


class TestCharge:
    @pytest.mark.parametrize(("farads", "volts", "expected"), [
        (0.1e-6, 450, Shock.NOTHING),  # IEC 60335-1, 8.1.4, as quoted elsewhere: 45 uC, just allowed
        (0.102e-6, 450, Shock.STARTLES),
        (4.4e-6, 80, Shock.STARTLES),  # IEC 61010-1, a case told elsewhere: 352 uC on the pins of a plug fail
        (4.4e-6, 60, Shock.NOTHING),  # IEC 61010-1, 6.3.1 a, as quoted elsewhere: 60 V dc may be touched
        (10e-6, 230, Shock.STARTLES),  # engineering tables, as quoted elsewhere: 0.26 J; DOE-HDBK-1092-98: above 0.25 J
        (100e-6, 450, Shock.KILLS),  # calculated: 10.1 J; DOE-HDBK-1092-98, figure 10-1: above 10 J
        (98e-6, 450, Shock.STARTLES),  # calculated: 98.8 uF hold 10 J
        (2e-9, 27e3, Shock.STARTLES),  # calculated: the anode of a picture tube, 0.73 J
        (2e-9, 16e3, Shock.STARTLES),  # DOE-HDBK-1092-98, figure 10-1; calculated: 32 uC are allowed, 0.256 J are not
        (2e-9, 15e3, Shock.NOTHING),  # calculated: 30 uC, 0.225 J
    ])
    def test_published_cases(self, farads: float, volts: float, expected: Shock) -> None:
        assert Shock.of_charge(volts, farads) is expected

    def test_no_radio_holds_what_counts_as_a_dangerous_shock(self) -> None:
        # LBNL Electrical Safety Manual, table 2.2.13: 10 J at 100 V and more; 40 uF would need 707 V
        assert Shock.of_charge(700, 40e-6) is Shock.STARTLES
        assert Shock.of_charge(710, 40e-6) is Shock.KILLS

    def test_four_standards_agree_on_the_dc_limit(self) -> None:
        # IEC 61010-1, 6.3.1 a, IEC 60065, IEC 60204-1, 6.2.4, all as quoted elsewhere; EN 50191:2010, 1.2
        assert TOUCHABLE_VOLTAGE_DC == 60
