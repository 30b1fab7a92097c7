"""The operators of time, on columns. Their definitions are in operators.py."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator

from auditor.logic.flood import flood_down, flood_up
from auditor.logic.interval import Interval
from auditor.logic.timeline import Column, Numbers, Timeline, samples_in
from auditor.logic.truth import Truth


def negated(timeline: Timeline, column: Column) -> Column:
    """The column of the negation: certain and possible change places."""
    return Column(timeline.all & ~column.possible, timeline.all & ~column.certain)


# Operators on masks. No path leaks into the next: nothing enters a first sample from below, nor a last one
# from above.


def once(timeline: Timeline, mask: int) -> int:
    """Where the mask holds now or held before."""
    return since(timeline, timeline.all, mask)


def since(timeline: Timeline, kept: int, mask: int) -> int:
    """Where the mask holds now, or held before with `kept` at every sample after it."""
    return flood_up(mask, kept & ~timeline.starts)


def previously(timeline: Timeline, mask: int) -> int:
    """Where the mask held one sample before."""
    return mask << 1 & timeline.all & ~timeline.starts


def eventually(timeline: Timeline, mask: int) -> int:
    """Where the mask holds now or will hold."""
    return until(timeline, timeline.all, mask)


def until(timeline: Timeline, kept: int, mask: int) -> int:
    """Where the mask holds now, or will hold with `kept` at every sample before it."""
    return flood_down(mask, kept & ~timeline.ends)


# Operators on columns


_Operands = tuple[Column, ...]
_ColumnOf = Callable[[Timeline, _Operands, Numbers | None], Column]


def _growing(on_masks: Callable[..., int]) -> _ColumnOf:
    """An operator that only grows with its operands: certain bits and possible bits go their own ways."""

    def column(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
        return Column(
            on_masks(timeline, *(operand.certain for operand in operands)),
            on_masks(timeline, *(operand.possible for operand in operands)),
        )

    return column


def _always(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return negated(timeline, _eventually(timeline, (negated(timeline, operands[0]),), None))


def _never(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return negated(timeline, _eventually(timeline, operands, None))


def _historically(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return negated(timeline, _once(timeline, (negated(timeline, operands[0]),), None))


def _at_end(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    (x,) = operands
    return _eventually(timeline, (Column(x.certain & timeline.ends, x.possible & timeline.ends),), None)


def _begins(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return _both(operands[0], negated(timeline, _previously(timeline, operands, None)))


def _ends(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return _both(negated(timeline, operands[0]), _previously(timeline, operands, None))


def _first(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    before = _previously(timeline, (_once(timeline, operands, None),), None)
    return _both(operands[0], negated(timeline, before))


def _both(left: Column, right: Column) -> Column:
    return Column(left.certain & right.certain, left.possible & right.possible)


# Bounds in time. Of all the samples that make an operator true, one decides its bound: the nearest for an
# upper bound, the farthest for a lower one.


def _once(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return _since(timeline, (Column(timeline.all, timeline.all), *operands), bound)


def _since(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    column = _growing(since)(timeline, operands, None)
    return column if bound is None else _timed(timeline, column, operands[1], bound, _after, Interval.at_most)


def _eventually(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    column = _growing(eventually)(timeline, operands, None)
    return column if bound is None else _timed(timeline, column, operands[0], bound, _before, Interval.at_most)


def _for_at_least(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    (x,) = operands
    run_starts = Column(*(mask & ~previously(timeline, mask) for mask in (x.certain, x.possible)))
    return x if bound is None else _timed(timeline, x, run_starts, bound, _after, Interval.at_least)


_Runs = Callable[[Timeline, int], Iterator[tuple[int, range]]]
"""The marks that have samples beside themselves to decide, each with those samples, the closest first."""


def _timed(
    timeline: Timeline,
    column: Column,
    marks: Column,
    bound: Numbers,
    runs: _Runs,
    fits: Callable[[Interval, Interval], Truth],
) -> Column:
    """Of the column, what is left when the time from each sample to the nearest mark has to fit the bound."""
    certain = possible = 0
    for limit, where in bound:

        def fitting(marks: int, least: tuple[Truth, ...], limit: Interval = limit) -> int:
            return _fitting(timeline, marks, runs, lambda elapsed: fits(elapsed, limit) in least)

        certain |= where & column.certain & fitting(marks.certain, (Truth.TRUE,))
        possible |= where & column.possible & fitting(marks.possible, (Truth.TRUE, Truth.UNKNOWN))
    return Column(certain, possible)


def _fitting(timeline: Timeline, marks: int, runs: _Runs, fits: Callable[[Interval], bool]) -> int:
    """The samples whose time to their mark fits. Along a run that time only grows, so one place parts it in two."""
    at_once = fits(Interval.exactly(0))
    mask = marks if at_once else 0
    for mark, run in runs(timeline, marks):
        parting = _parting(timeline, mark, run, fits, at_once)
        mask |= _mask(run[:parting] if at_once else run[parting:])
    return mask


def _parting(timeline: Timeline, mark: int, run: range, fits: Callable[[Interval], bool], at_once: bool) -> int:
    """The first position in the run at which the fit is no longer what it is at the mark."""

    def changed(sample: int) -> bool:
        return fits(timeline.elapsed(min(mark, sample), max(mark, sample))) is not at_once

    # Most runs are short, and do not change at all.
    return bisect_left(run, True, key=changed) if run and changed(run[-1]) else len(run)


def _after(timeline: Timeline, marks: int) -> Iterator[tuple[int, range]]:
    """Each mark with the samples after it, up to the next mark on its path."""
    for mark in samples_in(marks & ~(marks >> 1 | timeline.ends)):
        following = (marks | timeline.starts) >> mark + 1
        stop = mark + (following & -following).bit_length() if following else len(timeline.gaps)
        yield mark, range(mark + 1, stop)


def _before(timeline: Timeline, marks: int) -> Iterator[tuple[int, range]]:
    """Each mark with the samples before it, back to the mark before on its path."""
    for mark in samples_in(marks & ~(marks << 1 | timeline.starts)):
        earlier = (marks | timeline.ends) & (1 << mark) - 1
        yield mark, range(mark - 1, earlier.bit_length() - 1, -1)


def _mask(samples: range) -> int:
    """The bits of neighbouring samples."""
    return (1 << len(samples)) - 1 << min(samples) if samples else 0


_previously = _growing(previously)

COLUMNS: dict[str, _ColumnOf] = {
    "once": _once,
    "historically": _historically,
    "since": _since,
    "previously": _previously,
    "begins": _begins,
    "ends": _ends,
    "first": _first,
    "for_at_least": _for_at_least,
    "always": _always,
    "never": _never,
    "eventually": _eventually,
    "until": _growing(until),
    "at_end": _at_end,
}
"""Each operator: from the timeline, the columns of its operands, and its bound if any, to its column."""
