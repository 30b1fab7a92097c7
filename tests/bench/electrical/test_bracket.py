"""The root finder ends on every function and finds its zero."""

from __future__ import annotations

from collections.abc import Callable
from math import atan, copysign, exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.bracket import bracketed, top

MOST_STEPS = 200

NASTY: dict[str, tuple[Callable[[float], float], float]] = {
    "a step": (lambda x: copysign(1.0, x - 0.3), 0.3),
    "flat, then steep": (lambda x: (x - 0.1) ** 15 if x > 0.1 else x - 0.1, 0.1),
    "an exponential": (lambda x: exp(50 * x) - 2, 0.013862943611),
    "steep, then flat": (lambda x: atan(1e6 * (x - 0.7)), 0.7),
    "a kink": (lambda x: (x - 0.5) * (1e-9 if x < 0.5 else 1e9), 0.5),
}


@pytest.mark.parametrize("name", NASTY)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_it_ends_on_nasty_functions(name: str, sign: float) -> None:
    function, zero = NASTY[name]
    calls = 0

    def counted(x: float) -> float:
        nonlocal calls
        calls += 1
        return sign * function(x)

    assert bracketed(counted, 0.0, 1.0, counted(0.0), counted(1.0)) == pytest.approx(zero, abs=1e-9)
    assert calls < MOST_STEPS


@given(st.floats(0.01, 0.99), st.floats(0.2, 5))
def test_a_smooth_function_needs_few_steps(zero: float, power: float) -> None:
    calls = 0

    def counted(x: float) -> float:
        nonlocal calls
        calls += 1
        return float((1 + x) ** power - (1 + zero) ** power)

    assert bracketed(counted, 0.0, 1.0, counted(0.0), counted(1.0)) == pytest.approx(zero, abs=1e-10)
    assert calls <= 14


def test_a_zero_at_an_end_is_found_at_once() -> None:
    assert bracketed(lambda x: x, 0.0, 1.0, 0.0, 1.0) == 0.0
    assert bracketed(lambda x: x - 1, 0.0, 1.0, -1.0, 0.0) == 1.0


@given(st.floats(0, 1))
def test_the_top_of_a_hump_is_found_wherever_it_is(where: float) -> None:
    assert top(lambda x: -((x - where) ** 2), 0.0, 1.0) == pytest.approx(where, abs=1e-6)
