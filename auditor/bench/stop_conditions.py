"""What the stop conditions of a plan come to: the numbers that end the attempt in time, and the signs that do."""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from operator import or_

from auditor.bench.fact import NO_CEILING
from auditor.bench.stop_words import Limit, limit, names
from auditor.logic.interval import Interval
from auditor.logic.truth import Truth
from auditor.plan.plan import Plan

IN_TIME = 300.0
"""A number that counts only after a longer time [s] ends nothing in time: tubes are warm within a minute, and what a
fault does within some minutes of full power is done (from memory)."""
LEAST_SHARE = 0.05
"""A number below this share of what a sound set shows is no limit: of all faults behind a lamp only a dead short at the
plug comes to it (from memory: a shorted filter behind a transformer leaves a tenth and more of the dial)."""


def current_above(plan: Plan) -> Interval:
    """The lowest current at which a stop condition ends the attempt [A]; NO_CEILING where none gives one."""
    currents = (each.value for each in _in_time(plan) if each.reading == "current" and each.value is not None)
    return Interval.exactly(min(currents, default=NO_CEILING))


def gives_a_voltage(plan: Plan) -> Truth:
    """Whether a stop condition gives a voltage at the set, or a B+, that a fault comes to and a sound set does not."""
    return reduce(or_, (_gives_a_voltage(plan, each) for each in _in_time(plan)), Truth.FALSE)


def ends_at(plan: Plan, sign: str) -> Truth:
    """Whether a stop condition names this sign, which by itself ends the attempt."""
    return Truth.of(any(names(condition, sign) for condition in plan.stop_when))


def _in_time(plan: Plan) -> Iterator[Limit]:
    """The numbers that count at once or within some minutes."""
    for condition in plan.stop_when:
        found = limit(condition)
        if found is not None and found.seconds <= IN_TIME:
            yield found


def _gives_a_voltage(plan: Plan, found: Limit) -> Truth:
    if found.share is not None:
        return _below(found.share, Interval.exactly(1.0))
    if found.value is None or found.reading == "current":
        return Truth.FALSE
    if found.side == "below":
        return _below(found.value, plan.set.rated_voltage if found.reading == "set_voltage" else plan.set.b_plus)
    in_use, peak = plan.set.b_plus, plan.set.b_plus_peak
    beyond_sound = Truth.UNKNOWN if in_use is None else Truth.of(found.value >= in_use.low)
    reached = Truth.UNKNOWN if peak is None else peak.at_least(Interval.exactly(found.value))
    return beyond_sound & reached


def _below(number: float, usual: Interval | None) -> Truth:
    """Whether falling below a number tells a fault from a set that shows what is usual.

    Of the usual its loose end counts, for a stop that a sound set may come to hurts nobody; of what a fault comes to the
    whole range.
    """
    if usual is None:
        return Truth.UNKNOWN
    return Truth.of(number <= usual.high) & (usual * Interval.exactly(LEAST_SHARE)).at_most(Interval.exactly(number))
