"""The numbers among the stop conditions as a person reads them on the meters at one setting of the dial."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, isinf

from msgspec import Struct

from auditor.bench.stop_words import limit
from auditor.logic.interval import Interval


class StopLimit(Struct, frozen=True):
    """Where a reading ends the attempt.

    reading: `current`, `set_voltage` or `B+`; side: `above` or `below`; value: in amperes or volts, a range where the dial
    is one; a share of the dial is rounded up to what a meter shows, so that nobody stops later than the plan says. after:
    how long it may be so before it counts, as the plan writes it, None where it counts at once.
    """

    reading: str
    side: str
    value: Interval
    after: str | None


def stop_limits(conditions: Iterable[str], dial: Interval | None) -> tuple[StopLimit, ...]:
    """The conditions that give a number for this setting of the dial [V]; one that speaks of one setting alone is none."""
    found = (_limit(condition, dial) for condition in conditions)
    return tuple(each for each in found if each is not None)


def _limit(condition: str, dial: Interval | None) -> StopLimit | None:
    found = limit(condition)
    if found is None or found.at_one_setting:
        return None
    if found.value is not None:
        return StopLimit(found.reading, found.side, Interval.exactly(found.value), found.after)
    if found.share is None or dial is None or isinf(dial.high):
        return None
    value = Interval(_on_a_meter(found.share * dial.low), _on_a_meter(found.share * dial.high))
    return StopLimit(found.reading, found.side, value, found.after)


def _on_a_meter(volts: float) -> float:
    """Rounded up to whole volts, below 10 V to tenths."""
    return ceil(volts - 1e-9) if volts >= 10.0 else ceil(10.0 * volts - 1e-9) / 10.0
