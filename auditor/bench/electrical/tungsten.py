"""Tungsten: its resistance and its radiation against temperature.

Source of every number: H. A. Jones, "A Temperature Scale for Tungsten", Physical Review 28, 202-207 (July 1926),
Table I, p. 206. The table is for a filament 1 cm long and 1 cm in diameter, net of what the room radiates back,
referred to the dimensions at room temperature. Two of its other columns carry misprints: the resistivity at 1200 K
is printed as 31.96 and at 1100 K as 28.10 microohm cm, where the resistance column gives 30.99 and 27.94. Only the
columns R' and W' are used here. W' below 600 K was calculated by Jones, not measured (p. 205).
"""

from __future__ import annotations

from bisect import bisect_right
from math import log

JONES: tuple[tuple[float, float, float], ...] = (
    (273, 6.37, 0.0), (293, 6.99, 0.0), (300, 7.20, 5.01e-5), (400, 10.26, 0.00619), (500, 13.45, 0.0304),
    (600, 16.85, 0.0953), (700, 20.49, 0.240), (800, 24.19, 0.529), (900, 27.94, 1.04), (1000, 31.74, 1.89),
    (1100, 35.58, 3.24), (1200, 39.46, 5.24), (1300, 43.40, 8.10), (1400, 47.37, 12.1), (1500, 51.40, 17.4),
    (1600, 55.46, 24.4), (1700, 59.58, 33.3), (1800, 63.74, 44.4), (1900, 67.94, 58.2), (2000, 72.19, 75.0),
    (2100, 76.49, 95.1), (2200, 80.83, 119.0), (2300, 85.22, 147.2), (2400, 89.65, 179.9), (2500, 94.13, 217.4),
    (2600, 98.66, 260.6), (2700, 103.2, 310.1), (2800, 107.9, 366.4), (2900, 112.5, 430.3), (3000, 117.2, 502.6),
    (3100, 122.0, 583.9), (3200, 126.8, 675.2), (3300, 131.6, 777.5), (3400, 136.5, 891.9), (3500, 141.4, 1020.0),
    (3600, 146.4, 1164.0), (3655, 149.2, 1253.0),
)
"""Temperature [K], R' [1e-6 ohm], W' [W] (Jones 1926, Table I, columns 1, 2 and 3)."""

ROOM = 293.0
"""Temperature of the surroundings in Jones' table [K]: the highest row at which no net power is radiated."""
MELTING = 3655.0
"""Melting point of tungsten [K] (Jones 1926, Table I, last row)."""
DENSITY = 19.3
"""Density of tungsten [g/cm3] (CRC Handbook; from memory)."""

Table = tuple[tuple[float, float, float], ...]


def resistance(temperature: float, table: Table = JONES) -> float:
    """Resistance R' of a tungsten filament 1 cm long and 1 cm thick [ohm], by linear interpolation.

    temperature: of the filament [K]; beyond the table the nearest segment is continued.

    Exact at the rows of the table and increasing between them. Source: Jones 1926, Table I, column R'.

    >>> from math import pi
    >>> round(resistance(1200) * pi / 4 * 1e6, 2)  # resistivity [microohm cm]: not the misprint 31.96
    30.99
    >>> round(resistance(2850) / resistance(293), 2)  # a 100 W lamp, hot against cold
    15.77
    """
    (low, at_low, _), (high, at_high, _) = _segment(temperature, table)
    return (at_low + (at_high - at_low) * (temperature - low) / (high - low)) * 1e-6


def radiated(temperature: float, table: Table = JONES) -> float:
    """Net power W' radiated by a tungsten filament 1 cm long and 1 cm thick [W].

    temperature: of the filament [K]; nothing at or below room temperature, above the table its last law goes on.

    A power law between the rows (linear in the logarithms), linear from the room's temperature to the first row
    above it. Exact at the rows. Source: Jones 1926, Table I, column W'.

    >>> from math import pi
    >>> round(radiated(2800) / pi, 1)  # [W/cm2]
    116.6
    """
    (low, at_low, factor), (high, _, _) = _radiation_segment(temperature, table)
    if at_low == 0.0:
        return max(0.0, (temperature - low) / (high - low)) * factor
    return float(at_low * (temperature / low) ** factor)


def radiation_law(temperature: float, table: Table = JONES) -> tuple[float, float, float]:
    """The power law W' = at * (T / base)**exponent that holds around this temperature: base [K], at [W], exponent.

    Only above the first row that radiates (300 K). Raises ValueError below it.

    >>> base, at, exponent = radiation_law(2850)
    >>> base, at, round(exponent, 2)
    (2800, 366.4, 4.58)
    """
    (low, at_low, factor), _ = _radiation_segment(temperature, table)
    if at_low == 0.0:
        raise ValueError("no power law holds so near the temperature of the room")
    return low, at_low, factor


def _segment(temperature: float, table: Table) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    k = min(max(bisect_right(table, (temperature, float("inf"), 0.0)), 1), len(table) - 1)
    return table[k - 1], table[k]


def _radiation_segment(temperature: float, table: Table) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """The segment with its lower row as (T, W', exponent), or (T, 0, W' at the upper row) where it starts from nothing."""
    (low, _, at_low), upper = _segment(temperature, table)
    high, _, at_high = upper
    if at_low == 0.0:
        return (low, 0.0, at_high), upper
    return (low, at_low, log(at_high / at_low) / log(high / low)), upper
