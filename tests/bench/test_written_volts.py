"""Volts in a text that is otherwise free."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.written_volts import written_volts


@pytest.mark.parametrize(("text", "volts"), [
    ("CAT III 600 V, CAT II 1 kV", [600.0, 1000.0]), ("500V for 5 s", [500.0]), ("with the plug shorted", []),
    ("0500 V", []), ("1.2.3 V", []), ("५०० V", []), ("9" * 500 + " V", [])])
def test_volts_are_read_where_they_are_written_as_a_quantity(text: str, volts: list[float]) -> None:
    assert list(written_volts(text)) == volts


@given(st.text(alphabet="0123456789. kV,CAT"))
def test_no_text_is_too_odd(text: str) -> None:
    assert all(volts >= 0.0 for volts in written_volts(text))
