"""What a current does to a person, and how much of it a touch draws.

Two bodies stand here. The measuring networks of the standards (`network_impedance`, `leakage_impedance`) are what a
leakage limit is stated for. `BODY_RESISTANCE` is half of that and is what an injury is judged with. "As quoted
elsewhere" means that the number was read in somebody else's reproduction of the document.

All thresholds of current are those of alternating current of 50 or 60 Hz. Direct current needs more for the same
effect (Dalziel, 1961, as quoted elsewhere: 41 mA dc until 0.5 % of women cannot let go), so judged by them it is
judged too severely, never too mildly.
"""

from __future__ import annotations

from enum import IntEnum
from math import inf, pi, sqrt

from auditor.bench.electrical.discharge import stored_charge, stored_energy
from auditor.logic.interval import Interval

BODY_RESISTANCE = 1000.0
"""From hand to hand or from a hand to the feet [ohm]: the design value of IEEE Std 80, as quoted elsewhere. Not the
least that there is: one person in twenty has less above 220 V (IEC 60479-1, edition of 1994, as quoted elsewhere), a
diver half of it."""
REACTION = 0.5e-3
"""Above this a person starts [A rms]: leakage limit of UL 101 and ANSI C39.5, and the reaction limit of IEC 60479-1,
all as quoted elsewhere."""
LET_GO = 6e-3
"""Above this one woman in two hundred cannot let go [A rms]: Dalziel and Lee, IEEE Transactions on Industry and General
Applications IGA-4, no. 5 (1968): 99.5 % of women let go of 6 mA, of men 9 mA."""
TOUCHABLE_VOLTAGE = 30.0
"""The most that a part may carry that can be touched [V rms], for dry hands: IEC 61010-1, 6.3.1 a, as quoted elsewhere.
Through BODY_RESISTANCE it would already pass 30 mA: it counts on skin."""
TOUCHABLE_VOLTAGE_DC = 60.0
"""The same for direct current [V]: IEC 61010-1, 6.3.1 a, as quoted elsewhere."""
HARMFUL_VOLTAGE = 15.0
"""Anything above is to be treated as able to harm [V]: NAVEDTRA 14009."""
STORED_CHARGE = 45e-6
"""The most charge that may be touched [C]: IEC 61010-1, 6.3.1 c, as quoted elsewhere, up to 15 kV. Its ceiling never
matters here: this charge holds STARTLING_ENERGY from 11.1 kV on."""
STARTLING_ENERGY = 0.25
"""Above this a discharge is to be guarded against for its start [J]: DOE-HDBK-1092-98, figure 10-1."""
DANGEROUS_ENERGY = 10.0
"""Above this a discharge counts as a dangerous shock [J]: DOE-HDBK-1092-98, figure 10-1; the same in the LBNL Electrical
Safety Manual, table 2.2.13, for 100 V and more. The energies of Dalziel's surges begin at 13.6 J (1961, as quoted
elsewhere)."""

_FIBRILLATION = Interval(8e-3, 5.0)
"""The times that the law of fibrillation holds for [s]."""


class Shock(IntEnum):
    """What a touch does to a person, in order of severity, so that `max` gives the worst.

    No grade says that a touch is safe: a person with a weak heart, a child or a wet hand may fare worse.
    """

    NOTHING = 0
    STARTLES = 1
    HOLDS = 2
    KILLS = 3

    @property
    def says(self) -> str:
        """The grade in a sentence, for a person."""
        return _SAYS[self]

    @staticmethod
    def of_current(current: float, time: float) -> Shock:
        """The grade of a current [A rms] that flows for a time [s].

        Above REACTION it startles, above LET_GO it holds, above `fibrillation_current` it kills. Only the last depends on
        the time, so what is over at once is judged on the strict side. Dalziel and Lee (1968) put the arrest of breathing
        at 20 to 40 mA: where nobody and nothing ends it, what holds may kill as well.

        >>> [Shock.of_current(amps, 1.0).name for amps in (0.5e-3, 1e-3, 10e-3, 0.12)]
        ['NOTHING', 'STARTLES', 'HOLDS', 'KILLS']
        """
        if _exceeds(current, fibrillation_current(time)):
            return Shock.KILLS
        if _exceeds(current, LET_GO):
            return Shock.HOLDS
        return Shock.STARTLES if _exceeds(current, REACTION) else Shock.NOTHING

    @staticmethod
    def of_charge(voltage: float, capacitance: float) -> Shock:
        """The grade of a capacitor discharged through a person: voltage [V dc], 0 or more, and capacitance [F].

        Up to TOUCHABLE_VOLTAGE_DC nothing. Above, either of STORED_CHARGE and STARTLING_ENERGY, once exceeded, startles,
        and more than DANGEROUS_ENERGY kills. It never holds: it is over in a fraction of a second.

        >>> [Shock.of_charge(*held).name for held in ((50, 100e-6), (450, 0.1e-6), (160, 40e-6), (450, 100e-6))]
        ['NOTHING', 'NOTHING', 'STARTLES', 'KILLS']
        """
        if not _exceeds(voltage, TOUCHABLE_VOLTAGE_DC):
            return Shock.NOTHING
        energy = stored_energy(capacitance, voltage)
        if _exceeds(energy, DANGEROUS_ENERGY):
            return Shock.KILLS
        startles = _exceeds(stored_charge(capacitance, voltage), STORED_CHARGE) or _exceeds(energy, STARTLING_ENERGY)
        return Shock.STARTLES if startles else Shock.NOTHING


_SAYS = {
    Shock.NOTHING: "A faint tingle at most.",
    Shock.STARTLES: "It stings, and the hand jerks away into whatever is near.",
    Shock.HOLDS: "The muscles cramp, the hand may not let go, and breathing grows hard until somebody cuts the power.",
    Shock.KILLS: "The heart may stop pumping; without help within minutes that is death.",
}


def _exceeds(value: float, limit: float) -> bool:
    return value not in Interval(-inf, limit)


def fibrillation_current(time: float) -> float:
    """Above this the heart of a person of 50 kg may fibrillate [A rms].

    time: how long it flows [s], 0 or more. 116 mA / sqrt(T), from 8 ms to 5 s (Dalziel and Lee, 1968). Beyond, the value
    at the nearer end is kept. For less than 8 ms that is on the strict side. For more than 5 s it is 52 mA and on the
    lenient side: curve c1 of IEC 60479-1 levels off at about 30 mA, as quoted elsewhere. Nothing should lean on the
    difference: whatever exceeds LET_GO for so long is an injury already.

    >>> round(fibrillation_current(3.0) * 1e3)
    67
    >>> round(fibrillation_current(60.0) * 1e3), round(fibrillation_current(0.0) * 1e3)
    (52, 1297)
    """
    return 0.116 / sqrt(min(max(time, _FIBRILLATION.low), _FIBRILLATION.high))


def _network(frequency: float) -> complex:
    """1500 ohm with 0.22 uF in parallel, in series with 500 ohm: IEC 60990, figure 4, as quoted elsewhere."""
    return 500.0 + _parallel(1500.0, 0.22e-6, frequency)


def _parallel(resistance: float, capacitance: float, frequency: float) -> complex:
    return resistance / (1 + 2j * pi * frequency * capacitance * resistance)


def network_impedance(frequency: float) -> float:
    """Impedance of the measuring network for touch current [ohm]: IEC 60990, figure 4, as quoted elsewhere.

    frequency [Hz], 0 for direct current. 1500 ohm with 0.22 uF across it (the skin), in series with 500 ohm (the body).

    >>> round(network_impedance(50)), round(network_impedance(60)), network_impedance(0)
    (1990, 1986, 2000.0)
    """
    return abs(_network(frequency))


def leakage_impedance(frequency: float) -> float:
    """Impedance of the network that service manuals measure leakage with [ohm]: 1500 ohm with 0.15 uF across it.

    frequency [Hz]. The same network as in ANSI C39.5, as quoted elsewhere. 0.75 V across it are 0.5 mA.

    >>> round(leakage_impedance(60), 1)
    1494.6
    """
    return abs(_parallel(1500.0, 0.15e-6, frequency))


def touch_current(voltage: float, source_resistance: float = 0.0, frequency: float = 60.0) -> float:
    """Current through the measuring network of `network_impedance` [A rms], as a leakage limit means it.

    voltage [V rms] behind a source_resistance [ohm]; frequency [Hz], 0 for direct current.

    >>> round(touch_current(120, 238.5e3) * 1e3, 4)
    0.499
    """
    return abs(voltage / (source_resistance + _network(frequency)))


def capacitor_touch_current(voltage: float, capacitance: float, frequency: float) -> float:
    """Current through a capacitor and the measuring network of `network_impedance` [A rms].

    voltage [V rms], capacitance [F] from the mains to what is touched, frequency [Hz].

    >>> round(capacitor_touch_current(126, 0.05e-6, 60) * 1e3, 2)  # the line bypass of an old set
    2.37
    """
    rate = 2 * pi * frequency * capacitance
    return abs(voltage / (_network(frequency) + 1 / (1j * rate))) if rate > 0.0 else 0.0


def body_current(voltage: float, source_resistance: float = 0.0, body: float = BODY_RESISTANCE) -> float:
    """Current through a person behind a resistance [A], for judging an injury.

    voltage [V], source_resistance [ohm], body: resistance of the person [ohm], above 0. A purely resistive body of half
    the resistance of the measuring network: the current is never less than `touch_current`.

    >>> round(body_current(120) * 1e3)
    120
    """
    return voltage / (source_resistance + body)
