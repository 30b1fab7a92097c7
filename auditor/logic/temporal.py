"""The operators of time, on columns. Their definitions are in operators.py."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator

from auditor.logic.flood import flood_down, flood_up
from auditor.logic.interval import Interval, no_more
from auditor.logic.timeline import Column, Numbers, Timeline, samples_in


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


def always(timeline: Timeline, mask: int) -> int:
    """Where the mask holds now and will hold to the end."""
    return timeline.all & ~eventually(timeline, timeline.all & ~mask)


def historically(timeline: Timeline, mask: int) -> int:
    """Where the mask holds now and has held from the start."""
    return timeline.all & ~once(timeline, timeline.all & ~mask)


def at_end(timeline: Timeline, mask: int) -> int:
    """Where the mask will hold at the last sample."""
    return eventually(timeline, mask & timeline.ends)


# Operators on columns


_Operands = tuple[Column, ...]
_ColumnOf = Callable[[Timeline, _Operands, Numbers | None], Column]


def _growing(on_masks: Callable[..., int]) -> _ColumnOf:
    """An operator that only grows with its operands: certain bits and possible bits go their own ways.

    They are most often the same, and then one way is enough.
    """

    def column(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
        certain = [operand.certain for operand in operands]
        possible = [operand.possible for operand in operands]
        mask = on_masks(timeline, *certain)
        return Column(mask, mask if possible == certain else on_masks(timeline, *possible))

    return column


def _never(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    return negated(timeline, _eventually(timeline, operands, None))


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
    return column if bound is None else _timed(timeline, column, operands[1], bound, _after, _WITHIN)


def _eventually(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    column = _growing(eventually)(timeline, operands, None)
    return column if bound is None else _timed(timeline, column, operands[0], bound, _before, _WITHIN)


def _for_at_least(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    (x,) = operands
    run_starts = Column(*(mask & ~previously(timeline, mask) for mask in (x.certain, x.possible)))
    return x if bound is None else _timed(timeline, x, run_starts, bound, _after, _LASTING)


_Runs = Callable[[Timeline, int], Iterator[tuple[int, range]]]
"""The marks that have samples beside themselves to decide, each with those samples, the closest first."""


_Fits = Callable[[Timeline, int, int, Interval], bool]
"""Whether the time from one sample to a later one fits a limit."""


def _surely_within(timeline: Timeline, earlier: int, later: int, limit: Interval) -> bool:
    return no_more(timeline.most(earlier, later), limit.low)


def perhaps_within(timeline: Timeline, earlier: int, later: int, limit: Interval) -> bool:
    """Whether no more time than the limit may lie between two samples of one path."""
    return no_more(timeline.least(earlier, later), limit.high)


def _surely_lasting(timeline: Timeline, earlier: int, later: int, limit: Interval) -> bool:
    return no_more(limit.high, timeline.least(earlier, later))


def _perhaps_lasting(timeline: Timeline, earlier: int, later: int, limit: Interval) -> bool:
    return no_more(limit.low, timeline.most(earlier, later))


_WITHIN = (_surely_within, perhaps_within)
_LASTING = (_surely_lasting, _perhaps_lasting)


def _timed(timeline: Timeline, column: Column, marks: Column, bound: Numbers, runs: _Runs,
           fits: tuple[_Fits, _Fits]) -> Column:
    """Of the column, what is left when the time from each sample to the nearest mark has to fit the bound.

    fits: when it surely fits, and when it perhaps does.
    """
    certain = possible = 0
    surely, perhaps = fits
    for limit, where in bound:
        if fits is _WITHIN and no_more(timeline.longest, limit.low):  # no path takes as long as that
            certain |= where & column.certain
            possible |= where & column.possible
            continue
        certain |= where & column.certain & _fitting(timeline, marks.certain, runs, surely, limit)
        possible |= where & column.possible & _fitting(timeline, marks.possible, runs, perhaps, limit)
    return Column(certain, possible)


def _fitting(timeline: Timeline, marks: int, runs: _Runs, fits: _Fits, limit: Interval) -> int:
    """The samples whose time to their mark fits. Along a run that time only grows, so one place parts it in two."""
    at_once = fits(timeline, 0, 0, limit)
    mask = marks if at_once else 0
    for mark, run in runs(timeline, marks):

        def changed(sample: int, mark: int = mark) -> bool:
            earlier, later = (mark, sample) if mark < sample else (sample, mark)
            return fits(timeline, earlier, later, limit) is not at_once

        # Most runs are short, and do not change at all.
        parting = bisect_left(run, True, key=changed) if run and changed(run[-1]) else len(run)
        mask |= _mask(run[:parting] if at_once else run[parting:])
    return mask


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
    "historically": _growing(historically),
    "since": _since,
    "previously": _previously,
    "begins": _begins,
    "ends": _ends,
    "first": _first,
    "for_at_least": _for_at_least,
    "always": _growing(always),
    "never": _never,
    "eventually": _eventually,
    "until": _growing(until),
    "at_end": _growing(at_end),
}
"""Each operator: from the timeline, the columns of its operands, and its bound if any, to its column."""
