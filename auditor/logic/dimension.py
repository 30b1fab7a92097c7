"""Kinds of physical quantity: what may be added, compared, multiplied and divided."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import astuple


class Dimension(Struct, frozen=True):
    """Exponents over volt, ampere, second, kelvin and metre; all zero is a plain number.

    With the volt in place of the kilogram every electrical unit is a short product: W = V A, F = A s/V.
    """

    volt: int = 0
    ampere: int = 0
    second: int = 0
    kelvin: int = 0
    metre: int = 0

    def __mul__(self, other: Dimension) -> Dimension:
        return Dimension(*(mine + yours for mine, yours in zip(astuple(self), astuple(other), strict=True)))

    def __truediv__(self, other: Dimension) -> Dimension:
        return Dimension(*(mine - yours for mine, yours in zip(astuple(self), astuple(other), strict=True)))

    def __str__(self) -> str:
        """With its article: `a voltage`, or `a quantity in V s^-1` when it has no name."""
        if self in _NAMES:
            return _NAMES[self]
        return f"a quantity in {self.symbol}"

    @property
    def symbol(self) -> str:
        """The product of base units, such as `V s^-1`; empty for a plain number."""
        powers = zip(("V", "A", "s", "degC", "m"), astuple(self), strict=True)
        return " ".join(base if power == 1 else f"{base}^{power}" for base, power in powers if power)


_NUMBER = Dimension()
_VOLTAGE = Dimension(volt=1)
_CURRENT = Dimension(ampere=1)
_TIME = Dimension(second=1)
_LENGTH = Dimension(metre=1)

DIMENSIONS = {
    "voltage": _VOLTAGE,
    "current": _CURRENT,
    "power": _VOLTAGE * _CURRENT,
    "resistance": _VOLTAGE / _CURRENT,
    "capacitance": _CURRENT * _TIME / _VOLTAGE,
    "time": _TIME,
    "frequency": _NUMBER / _TIME,
    "temperature": Dimension(kelvin=1),
    "length": _LENGTH,
    "energy": _VOLTAGE * _CURRENT * _TIME,
    "charge": _CURRENT * _TIME,
    "area": _LENGTH * _LENGTH,
    "number": _NUMBER,
}
"""The dimensions that have a name. A temperature is a reading in degC; a difference is not told apart."""

_NAMES = {dimension: f"{'an' if name[0] in 'ae' else 'a'} {name}" for name, dimension in DIMENSIONS.items()}
