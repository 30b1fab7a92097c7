"""The numbers among the stop conditions as a person reads them on the meters at one setting of the dial."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import ceil, isinf

from msgspec import Struct

from auditor.bench.stop_conditions import AT, B_PLUS, CURRENT, SET_VOLTAGE
from auditor.logic.dimension import DIMENSIONS
from auditor.logic.interval import Interval
from auditor.logic.quantity import QuantityError, parse_quantity

AT_ONE_SETTING = re.compile(AT.removesuffix("?"))


class StopLimit(Struct, frozen=True):
    """Where a reading ends the attempt.

    reading: `current`, `set` or `B+`; side: `above` or `below`; value: in amperes or volts, a range where the dial is one;
    a share of the dial is rounded up to what a meter shows, so that nobody stops later than the plan says. after: how
    long it may be so before it counts, as the plan writes it, None where it counts at once.
    """

    reading: str
    side: str
    value: Interval
    after: str | None


def stop_limits(conditions: Iterable[str], dial: Interval | None) -> tuple[StopLimit, ...]:
    """The conditions that give a number for this setting of the dial [V]; one that speaks of one setting alone is none."""
    found = (_limit(condition.strip(), dial) for condition in conditions if not AT_ONE_SETTING.search(condition))
    return tuple(limit for limit in found if limit is not None)


def _limit(condition: str, dial: Interval | None) -> StopLimit | None:
    try:
        if met := CURRENT.fullmatch(condition):
            return StopLimit("current", "above", parse_quantity(met["limit"], DIMENSIONS["current"]), met["after"])
        if met := B_PLUS.fullmatch(condition):
            side = "above" if met["side"].lower() in ("above", "over") else "below"
            return StopLimit("B+", side, parse_quantity(met["limit"], DIMENSIONS["voltage"]), met["after"])
        if met := SET_VOLTAGE.fullmatch(condition):
            if met["limit"]:
                return StopLimit("set", "below", parse_quantity(met["limit"], DIMENSIONS["voltage"]), met["after"])
            if dial is not None and not isinf(dial.high):
                share = 0.5 if met["half"] else float(met["share"]) / 100
                value = Interval(_on_a_meter(share * dial.low), _on_a_meter(share * dial.high))
                return StopLimit("set", "below", value, met["after"])
    except QuantityError:
        return None
    return None


def _on_a_meter(volts: float) -> float:
    """Rounded up to whole volts, below 10 V to tenths."""
    return ceil(volts - 1e-9) if volts >= 10.0 else ceil(10.0 * volts - 1e-9) / 10.0
