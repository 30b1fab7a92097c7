"""Volts in a text that is otherwise free: `CAT III 600 V`, `500 V for 5 s`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from auditor.logic.dimension import DIMENSIONS
from auditor.logic.quantity import QuantityError, parse_quantity

VOLTS = re.compile(r"(?<![0-9.])[0-9]+(?:\.[0-9]+)? ?k?V\b")


def written_volts(text: str) -> Iterator[float]:
    """The volts that a text gives, in its order [V]; a number that no quantity is written with (`0500 V`) gives none."""
    for found in VOLTS.findall(text):
        try:
            yield parse_quantity(found, DIMENSIONS["voltage"]).low
        except QuantityError:
            continue
