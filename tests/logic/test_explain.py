"""Why a formula is not kept."""

from __future__ import annotations

import pytest

from auditor.logic.evaluate import Evaluation
from auditor.logic.explain import blamed, witnesses
from auditor.logic.expression import TRUTH, Kind, NumberKind, WordKind, parse_expression
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.quantity import DIMENSIONS
from auditor.logic.timeline import Timeline
from auditor.logic.truth import Truth

VOCABULARY: dict[str, Kind] = {
    "live": TRUTH,
    "isolated": TRUTH,
    "proved": TRUTH,
    "volts": NumberKind(DIMENSIONS["voltage"]),
    "rated": NumberKind(DIMENSIONS["voltage"]),
    "chassis": WordKind(("hot", "isolated")),
}

# Two paths of four and two samples, one second apart.
TIMELINE = Timeline((4, 2), tuple(Interval(float(i not in (0, 4)), float(i not in (0, 4))) for i in range(6)))


def truth(samples: str) -> tuple[tuple[Truth, int], ...]:
    shown = {"1": Truth.TRUE, "0": Truth.FALSE, "?": Truth.UNKNOWN}
    return tuple((value, sum(1 << i for i, s in enumerate(samples) if s == letter)) for letter, value in shown.items())


EVALUATION = Evaluation(
    TIMELINE,
    {
        "live": truth("011001"),
        "isolated": truth("101001"),
        "proved": truth("?0??10"),
        "volts": ((Interval(10, 20), 0b000011), (Interval(30, 30), 0b111100)),
        "rated": ((ANYTHING, 0b111111),),
    },
)


@pytest.mark.parametrize(
    ("text", "path", "outcome", "samples"),
    [
        ("always(live -> isolated)", 0, Truth.FALSE, (1,)),
        ("always(live)", 0, Truth.FALSE, (0, 3)),
        ("never(live)", 0, Truth.FALSE, (1, 2)),
        ("never(live)", 1, Truth.FALSE, (5,)),
        ("never(proved)", 1, Truth.FALSE, (4,)),
        ("always(volts <= 25 V)", 0, Truth.FALSE, (2, 3)),
        ("always(live -> not proved)", 0, Truth.UNKNOWN, (2,)),
        ("always(live) and never(isolated)", 0, Truth.FALSE, (0, 2, 3)),
        ("always(not live) and always(proved or live or not live)", 0, Truth.FALSE, (1, 2)),
        ("always(live -> always(live))", 0, Truth.FALSE, (3,)),
        ("always(isolated and always(volts < 25 V))", 0, Truth.FALSE, (1, 2, 3)),
        ("isolated -> always(live)", 0, Truth.FALSE, (0, 3)),
        ("eventually(proved and live)", 0, Truth.UNKNOWN, ()),
        ("live", 0, Truth.FALSE, ()),
        ("always(live -> isolated)", 1, Truth.FALSE, ()),
    ],
)
def test_the_samples_that_break_a_rule_or_leave_it_open(
    text: str, path: int, outcome: Truth, samples: tuple[int, ...]
) -> None:
    assert witnesses(parse_expression(text, VOCABULARY), EVALUATION, path, outcome) == samples


@pytest.mark.parametrize(
    ("text", "sample", "names"),
    [
        ("proved", 0, {"proved"}),
        ("proved", 1, set()),
        ("isolated or proved", 0, set()),
        ("live and proved", 0, set()),
        ("live or proved", 0, {"proved"}),
        ("proved -> isolated", 0, set()),
        ("chassis is hot", 0, {"chassis"}),
        ("chassis is hot or chassis is isolated or proved", 0, {"chassis", "proved"}),
        ("volts <= rated", 0, {"rated"}),
        ("volts <= 15 V", 0, set()),  # stated, but too widely
        ("volts <= 15 V and proved", 0, {"proved"}),
        ("once(proved)", 1, {"proved"}),
        ("once(proved, within 1 s)", 1, {"proved"}),
        ("previously(proved)", 1, {"proved"}),
        ("previously(proved)", 2, set()),
        ("since(proved, isolated)", 3, {"proved"}),
        ("always(live -> chassis is isolated)", 0, {"chassis"}),
        ("always(live -> chassis is isolated)", 3, set()),
        ("at_end(proved)", 0, {"proved"}),
        ("at_end(proved)", 4, set()),
        ("stated(proved) and not live", 0, set()),
    ],
)
def test_the_unstated_facts_that_an_outcome_depends_on(text: str, sample: int, names: set[str]) -> None:
    assert blamed(parse_expression(text, VOCABULARY), EVALUATION, sample) == names


# What is not stated when: one thing at the first sample, another at the third, a third at the last of the path.
ONE_AT_A_TIME = Evaluation(TIMELINE, {"live": truth("?00000"), "isolated": truth("00?0?0"), "proved": truth("000?00")})


@pytest.mark.parametrize(
    ("text", "sample", "names"),
    [
        ("previously({any})", 1, {"live"}),
        ("previously({any})", 3, {"isolated"}),
        ("ends({any})", 1, {"live"}),
        ("begins({any})", 2, {"isolated"}),
        ("begins({any})", 4, {"isolated"}),
        ("first({any})", 2, {"live", "isolated"}),
        ("once({any})", 1, {"live"}),
        ("once({any})", 2, {"live", "isolated"}),
        ("once({any}, within 1 s)", 2, {"isolated"}),
        ("historically(not {any})", 1, {"live"}),
        ("since(not {any}, live)", 1, {"live"}),
        ("since(stated(isolated), {any})", 3, {"isolated", "proved"}),
        ("eventually({any})", 1, {"isolated", "proved"}),
        ("eventually({any}, within 1 s)", 1, {"isolated"}),
        ("until(stated(isolated), {any})", 0, {"live", "isolated"}),
        ("always(not {any})", 3, {"proved"}),
        ("never({any})", 3, {"proved"}),
        ("at_end({any})", 0, {"proved"}),
        ("at_end({any})", 4, set()),
        ("for_at_least(not {any}, 1 s)", 1, {"live"}),
    ],
)
def test_an_operator_blames_only_what_it_looks_at(text: str, sample: int, names: set[str]) -> None:
    formula = text.format(any="(live or isolated or proved)")
    assert blamed(parse_expression(formula, VOCABULARY), ONE_AT_A_TIME, sample) == names


def test_what_lies_beyond_a_bound_in_time_is_not_blamed() -> None:
    signals = {"proved": truth("?00?00"), "live": truth("000000")}
    evaluation = Evaluation(TIMELINE, signals)
    assert (
        blamed(parse_expression("once(proved or chassis is hot and live, within 1 s)", VOCABULARY), evaluation, 2) == set()
    )
    open_at_both = parse_expression("once(proved and live or proved, within 2 s)", VOCABULARY)
    assert blamed(open_at_both, evaluation, 2) == {"proved"}
