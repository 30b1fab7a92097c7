"""The time axis that all plots of a procedure share: every step has its place, and a long hold is drawn shorter."""

from __future__ import annotations

from collections.abc import Sequence
from math import log2

from msgspec import Struct

from auditor.report.result import Moment

SHORT = 15.0
"""Times well below this are drawn to scale, times well above it by their logarithm [s]. A choice: a stage of one minute
stays readable beside a hold of four hours."""
FIRST = 1.0
"""What a step that takes no time gets of the axis."""
MINUTE, HOUR = 60.0, 3600.0


class Axis(Struct, frozen=True):
    """Where each moment begins and ends, in units of a drawing of this width."""

    width: float
    spans: tuple[tuple[float, float], ...]


class Label(Struct, frozen=True):
    """A text at a place on the axis."""

    at: float
    text: str


def axis(moments: Sequence[Moment], width: float) -> Axis:
    """The axis of a procedure, whose end is at `width`."""
    lengths = [FIRST + log2(1.0 + (moment.ends - moment.begins) / SHORT) for moment in moments]
    scale = width / sum(lengths)
    spans, now = [], 0.0
    for length in lengths:
        spans.append((now, now + length * scale))
        now += length * scale
    return Axis(width, tuple(spans))


def step_labels(moments: Sequence[Moment], on: Axis, apart: float) -> list[Label]:
    """The numbers of the steps, as many as find room this far apart."""
    firsts = [k for k, moment in enumerate(moments) if k == 0 or moment.step.path != moments[k - 1].step.path
              or moment.step.number != moments[k - 1].step.number]
    return _with_room([Label(on.spans[k][0], str(moments[k].step.number)) for k in firsts], apart, on.width)


def time_labels(moments: Sequence[Moment], on: Axis, apart: float) -> list[Label]:
    """When steps end at the soonest, as many as find room this far apart; the end of all is always there."""
    ends = [Label(span[1], time_said(moment.ends)) for moment, span in zip(moments, on.spans, strict=True)]
    fresh = [label for k, label in enumerate(ends[:-1]) if label.text not in (ends[k - 1].text if k else "", ends[-1].text)]
    return [*_with_room([label for label in fresh if label.at < on.width - 1.4 * apart], apart, on.width), *ends[-1:]]


def time_said(seconds: float) -> str:
    """A time since the start as one says it, to the minute; to the second below two minutes."""
    if seconds < 2 * MINUTE:
        return f"{seconds:.0f} s"
    hours, rest = divmod(round(seconds / MINUTE), 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _with_room(labels: Sequence[Label], apart: float, width: float) -> list[Label]:
    kept: list[Label] = []
    for label in labels:
        if (not kept or label.at - kept[-1].at >= apart) and label.at <= width - apart / 2:
            kept.append(label)
    return kept
