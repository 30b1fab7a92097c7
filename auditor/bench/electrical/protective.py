"""What opens a circuit, and when: residual current devices, fuses; and what a part or a cord stands until then.

A standard states gates, not curves: at this multiple of the rating, open within that time. Between the gates a step is
taken, which needs only that more current never opens later: from one gate up to the next, the time of the first one
holds as the longest; from one gate down to the one before, its time holds as the least. "As quoted elsewhere" means
that the number was read in somebody else's reproduction of the document.
"""

from __future__ import annotations

from math import inf

from auditor.logic.interval import Interval

CORD_AMPACITY: dict[int, float] = {18: 10.0, 16: 13.0, 14: 18.0}
"""What a flexible cord with two current-carrying conductors may carry [A], by its gauge [AWG] (NEC, table 400.5(A), as
quoted elsewhere)."""
CLASS_A = 6e-3
"""A class A device must trip at this current to earth [A], and holds below 4 mA (UL 943; NEC, article 100; both as
quoted elsewhere)."""
FUSE_OPENS: dict[str, dict[float, float]] = {
    "UL 248-14": {1.35: 3600.0, 2.0: 120.0},
    "IEC 60127-2": {2.1: 120.0, 2.75: 10.0, 4.0: 3.0, 10.0: 0.3},
}
"""Multiple of the rated current, and the longest until a fuse has opened [s]. UL 248-14, up to 30 A; IEC 60127-2, sheet
3, glass, marked T; both as quoted elsewhere."""
FUSE_HOLDS: dict[str, dict[float, float]] = {
    "UL 248-14": {1.0: inf},
    "IEC 60127-2": {1.0: inf, 1.5: 3600.0, 2.75: 0.6, 4.0: 0.15, 10.0: 0.02},
}
"""Multiple of the rated current, and the least until a fuse has opened [s]; from the same places. That the rated current
is carried for good is what the word means, and UL 248-14 says so."""

_CLASS_A_END = 264e-3
"""The highest current that the law of UL 943 is written for [A]."""
_GENERAL: dict[float, float] = {1.0: 0.3, 5.0: 0.04}
"""Multiple of the rated residual current, and the longest until a device without delay has opened [s]."""


def residual_device_opens(leakage: float, trips_at: float) -> float:
    """The longest until a residual current device has opened [s]; endless where it need not open.

    leakage: current to earth [A]. trips_at: rated residual current [A], above 0. A device of 6 mA or less is taken for
    class A: (20 / I)**1.43 with I in mA from 6 to 264 mA, 25 ms above (UL 943, as quoted elsewhere). Any other is
    taken for one without delay: 0.3 s from its rated current on, 0.04 s from five times that (IEC 61008, as quoted
    elsewhere). It sees nothing of a current from line to neutral, nor of one behind an isolating transformer.

    >>> round(residual_device_opens(30e-3, 6e-3), 2), residual_device_opens(30e-3, 30e-3), residual_device_opens(5e-3, 6e-3)
    (0.56, 0.3, inf)
    """
    if not _reaches(CLASS_A, trips_at):
        return _longest(leakage / trips_at, _GENERAL)
    if not _reaches(leakage, CLASS_A):
        return inf
    milliamperes = 1e3 * min(leakage, _CLASS_A_END)
    return float((20.0 / milliamperes) ** 1.43)


def fuse_opens_within(ratio: float, standard: str | None = None) -> float:
    """The longest until a fuse has opened [s]; endless where it need not open.

    ratio: current over the rated current of the fuse, 0 or more. standard: one of FUSE_OPENS, for a fuse whose mark is
    known. None: a fuse that is taken to meet every gate of both, 1.35 times within an hour, twice within 2 min, ten
    times within 0.3 s. That is a choice, and no bound for every fuse: by IEC 60127-2 it must hold 1.5 times for an hour
    and need not open below 2.1 times, and UL 248-14 says nothing about more than twice. The bound for any fuse at all
    is the most over FUSE_OPENS.

    >>> [fuse_opens_within(ratio) for ratio in (1.3, 1.35, 2.0, 3.0, 12.0)]
    [inf, 3600.0, 120.0, 10.0, 0.3]
    >>> [fuse_opens_within(1.5, standard) for standard in FUSE_OPENS]
    [3600.0, inf]
    """
    tables = FUSE_OPENS.values() if standard is None else [FUSE_OPENS[standard]]
    return min(_longest(ratio, table) for table in tables)


def fuse_holds(ratio: float, standard: str | None = None) -> float:
    """The least until a fuse has opened [s]; 0 where it may open at once.

    ratio: current over the rated current of the fuse, 0 or more. standard: one of FUSE_HOLDS, for a fuse whose mark is
    known. None: the least of both, so nothing is promised above the rated current.

    >>> [fuse_holds(ratio) for ratio in (1.0, 1.01)]
    [inf, 0.0]
    >>> [fuse_holds(ratio, "IEC 60127-2") for ratio in (1.0, 1.5, 1.6, 10.0, 11.0)]
    [inf, 3600.0, 0.6, 0.02, 0.0]
    """
    tables = FUSE_HOLDS.values() if standard is None else [FUSE_HOLDS[standard]]
    return min(_least(ratio, table) for table in tables)


def stands(ratio: float) -> float:
    """How long a part is taken to stand more than it is rated for [s].

    ratio: over its rated current or power, 0 or more. A choice: a part stands what a fuse of its own rating lets pass,
    `fuse_opens_within`. Whoever protects a part by a fuse of its rating relies on just that; a part that stood less
    would burn behind the right fuse. Of the two standards the stricter gate counts. A ratio of powers is judged as if
    it were one of currents: in a resistance the currents are only as its square root, so that is on the strict side.

    >>> [stands(ratio) for ratio in (1.0, 1.5, 2.0, 4.0)]
    [inf, 3600.0, 120.0, 3.0]
    """
    return fuse_opens_within(ratio)


def _longest(ratio: float, gates: dict[float, float]) -> float:
    return min((time for gate, time in gates.items() if _reaches(ratio, gate)), default=inf)


def _least(ratio: float, gates: dict[float, float]) -> float:
    return max((time for gate, time in gates.items() if _reaches(gate, ratio)), default=0.0)


def _reaches(value: float, gate: float) -> bool:
    return gate in Interval(-inf, value)
