"""Heaters: the chain and its dropper, warm and cold, and how long they take."""

from __future__ import annotations

from math import exp, log

from auditor.logic.interval import Interval

COLD_RATIO = Interval(3.0, 7.2)
"""Hot over cold resistance of a heater: 3 to 5 for heaters of receiving tubes, up to 7.2 for directly heated power
types (audioXpress, September 2004, "Filament and High Voltage Power", table 1)."""
NEAR_FULL: dict[str, tuple[float, float]] = {
    "constant voltage": (6.7, 13.3), "series resistance": (12.6, 20.4), "constant current": (21.6, 31.6)}
"""Time to 90 % and to 99 % of a heater's final temperature [s] by how it is fed (J. A. Harper, "Kindness to
Filaments"). A lamp or a long chain in series lies between the first two and the last."""
RECTIFIER_WARM: dict[str, Interval] = {"direct": Interval(2.0, 5.0), "indirect": Interval(10.0, 20.0)}
"""From switching on at full volts to conduction of a rectifier tube [s] (usual types; from memory)."""


def dropper(supply: float, chain: float, current: float) -> tuple[float, float]:
    """Resistance [ohm] and heat [W] of the dropping resistor of a heater chain.

    supply [V], chain: sum of the heaters' volts [V], current of the chain [A].
    Worked example: 6.3 + 6.3 + 25 + 25 V at 0.3 A on 117 V (capeoldradio.com, "Resistors in AC/DC radios"): 181 ohm, 16 W.

    >>> ohms, watts = dropper(117, 6.3 + 6.3 + 25 + 25, 0.3)
    >>> round(ohms), round(watts)
    (181, 16)
    """
    rest = supply - chain
    return rest / current, rest * current


def shunt(lamp_current: float, lamp_voltage: float, chain_current: float) -> float:
    """Resistor across a dial lamp that carries what the lamp does not [ohm].

    lamp_current [A] and lamp_voltage [V] of the lamp, chain_current [A].
    Worked example: 6.3 V, 250 mA in a chain of 300 mA (cool386.com, part 5): 126 ohm.

    >>> round(shunt(0.25, 6.3, 0.3))
    126
    """
    return lamp_voltage / (chain_current - lamp_current)


def hot_resistance(chain: float, current: float) -> float:
    """Resistance of a warm heater chain [ohm].

    chain: sum of the heaters' volts [V], current [A].

    >>> round(hot_resistance(121, 0.15))  # five tubes, 150 mA, and 18.2 W
    807
    """
    return chain / current


def cold_resistance(chain: float, current: float, ratio: Interval = COLD_RATIO) -> Interval:
    """Resistance of the chain before it has warmed [ohm].

    chain: sum of the heaters' volts [V], current when warm [A], ratio: of the hot over the cold resistance.

    >>> cold = cold_resistance(121, 0.15)
    >>> round(cold.low), round(cold.high)
    (112, 269)
    """
    hot = hot_resistance(chain, current)
    return Interval(hot / ratio.high, hot / ratio.low)


def time_constant(feed: str) -> float:
    """Time constant of the last approach to the final temperature [s], for a way of feeding named in NEAR_FULL.

    From 90 to 99 % the rest falls to a tenth.

    >>> round(time_constant("constant voltage"), 2)
    2.87
    """
    near, nearer = NEAR_FULL[feed]
    return (nearer - near) / log(10)


def warmed(time: float, feed: str) -> float:
    """Share of the final rise in temperature that is reached [0 to 1], `time` [s] after switching on.

    feed: one of NEAR_FULL. A straight line to 90 %, from there exponential with `time_constant`.

    >>> round(warmed(6.7, "constant voltage"), 2), round(warmed(13.3, "constant voltage"), 2)
    (0.9, 0.99)
    """
    near, tau = NEAR_FULL[feed][0], time_constant(feed)
    if time >= near:
        return 1.0 - 0.1 * exp(-(time - near) / tau)
    return 0.9 * time / near


def settling_time(through_lamp: bool) -> Interval:
    """From switching on at full volts to heaters within 1 % of their final temperature [s].

    through_lamp: whether a lamp is in series with the set, which slows them.

    At fewer volts it takes longer, which no source gives and this does not compute: a heater that ends cooler gives off its
    heat more slowly. It radiates as T**4, so its time constant goes as 1 / T**3, and T as about the 0.4th power of the
    volts: twice as long at half the volts, five times at a quarter, where heaters never get hot enough for tubes to draw.

    >>> settling_time(False)
    Interval(low=13.3, high=20.4)
    """
    first = "series resistance" if through_lamp else "constant voltage"
    last = "constant current" if through_lamp else "series resistance"
    return Interval(NEAR_FULL[first][1], NEAR_FULL[last][1])
