"""The operators of time, on columns. Their definitions are in operators.py."""

from __future__ import annotations

from collections.abc import Callable

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
    return column if bound is None else _timed(timeline, column, operands[1], bound, _latest, Interval.at_most)


def _eventually(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    column = _growing(eventually)(timeline, operands, None)
    return column if bound is None else _timed(timeline, column, operands[0], bound, _next, Interval.at_most)


def _for_at_least(timeline: Timeline, operands: _Operands, bound: Numbers | None) -> Column:
    (x,) = operands
    run_starts = Column(*(mask & ~previously(timeline, mask) for mask in (x.certain, x.possible)))
    return x if bound is None else _timed(timeline, x, run_starts, bound, _latest, Interval.at_least)


def _timed(
    timeline: Timeline,
    column: Column,
    marks: Column,
    bound: Numbers,
    nearest: Callable[[int, int], int],
    fits: Callable[[Interval, Interval], Truth],
) -> Column:
    """Of the column, what is left when the time from each sample to the nearest mark has to fit the bound."""
    certain = possible = 0
    for limit, where in bound:
        for sample in samples_in(column.possible & where):
            here = 1 << sample
            mark = nearest(marks.possible, sample)
            fit = fits(_between(timeline, sample, mark), limit)
            if fit is not Truth.FALSE:
                possible |= here
            if column.certain & here:
                surely = nearest(marks.certain, sample)
                if surely != mark:
                    fit = fits(_between(timeline, sample, surely), limit)
                if fit is Truth.TRUE:
                    certain |= here
    return Column(certain, possible)


def _between(timeline: Timeline, sample: int, mark: int) -> Interval:
    return timeline.elapsed(mark, sample) if mark < sample else timeline.elapsed(sample, mark)


def _latest(marks: int, sample: int) -> int:
    """The last mark at or before the sample. There is one on its path."""
    return (marks & ((2 << sample) - 1)).bit_length() - 1


def _next(marks: int, sample: int) -> int:
    """The first mark at or after the sample. There is one on its path."""
    ahead = marks >> sample
    return sample + (ahead & -ahead).bit_length() - 1


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
