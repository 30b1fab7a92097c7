"""How units are spelled, and which spelling reads best."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct

from auditor.logic.dimension import DIMENSIONS, Dimension


class Unit(Struct, frozen=True):
    """A spelling of a unit; one of it is `scale` base units of its dimension."""

    spelling: str
    dimension: Dimension
    scale: Decimal


_PREFIXES = {
    "p": "1e-12", "n": "1e-9", "u": "1e-6", "\N{MICRO SIGN}": "1e-6", "\N{GREEK SMALL LETTER MU}": "1e-6",
    "m": "1e-3", "": "1", "k": "1e3", "M": "1e6", "G": "1e9",
}  # fmt: skip

# Spellings that take a prefix: dimension, size in base units, spellings.
_PREFIXED = (
    ("voltage", "1", "V"),
    ("current", "1", "A"),
    ("power", "1", "W VA"),
    ("resistance", "1", "ohm ohms \N{GREEK CAPITAL LETTER OMEGA} \N{OHM SIGN}"),
    ("capacitance", "1", "F"),
    ("time", "1", "s"),
    ("frequency", "1", "Hz"),
    ("length", "1", "m"),
    ("energy", "1", "J"),
    ("energy", "3600", "Wh"),
    ("charge", "1", "C"),
    ("charge", "3600", "Ah"),
)

# Spellings that stand as they are.
_WHOLE = (
    ("voltage", "1", "volt volts"),
    ("current", "1", "amp amps ampere amperes"),
    ("power", "1", "watt watts"),
    ("resistance", "1e3", "kilohm kilohms"),
    ("resistance", "1e6", "megohm megohms"),
    ("time", "1", "sec second seconds"),
    ("time", "60", "min minute minutes"),
    ("time", "3600", "h hour hours"),
    ("time", "86400", "d day days"),
    ("time", "604800", "week weeks"),
    ("time", "31556952", "year years"),
    ("temperature", "1", "degC \N{DEGREE SIGN}C"),
    ("length", "1e-2", "cm"),
    ("area", "1", "m2"),
    ("area", "1e-4", "cm2"),
    ("area", "1e-6", "mm2"),
    ("number", "1e-2", "%"),
)


def _spellings() -> dict[str, Unit]:
    units = [
        Unit(prefix + spelling, DIMENSIONS[name], Decimal(size) * Decimal(factor))
        for name, size, spellings in _PREFIXED
        for spelling in spellings.split()
        for prefix, factor in _PREFIXES.items()
    ]
    units += [
        Unit(spelling, DIMENSIONS[name], Decimal(size)) for name, size, spellings in _WHOLE for spelling in spellings.split()
    ]
    return {unit.spelling: unit for unit in units}


UNITS = _spellings()
"""Every unit by each of its spellings. Letter case counts: `mohm` is not `Mohm`."""

PLAIN = Unit("", DIMENSIONS["number"], Decimal(1))
"""The unit of a plain number."""

_SHOWN = {
    "voltage": "V kV mV uV",
    "current": "A mA uA nA",
    "power": "W mW kW uW",
    "resistance": "ohm kohm Mohm mohm Gohm",
    "capacitance": "uF nF pF F",  # not mF: on old parts it is written for the microfarad
    "time": "s min h d ms us",
    "frequency": "Hz kHz MHz",
    "temperature": "degC",
    "length": "m mm",
    "energy": "J mJ kJ",
    "charge": "C mC uC",
    "area": "mm2 m2",
}

SHOWN = {DIMENSIONS[name]: tuple(UNITS[spelling] for spelling in spellings.split()) for name, spellings in _SHOWN.items()}
"""The units shown for a dimension; of two forms that read equally well, the one named first is used."""


def base_unit(dimension: Dimension) -> str:
    """The spelling of the unit of size 1, empty for a plain number or a dimension without a name."""
    return next((unit.spelling for unit in SHOWN.get(dimension, ()) if unit.scale == 1), "")
