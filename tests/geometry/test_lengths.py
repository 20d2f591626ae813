"""Lengths as quilters write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import LengthError
from geometry.lengths import fraction, parse_length


@pytest.mark.parametrize(
    ("text", "unit", "inches"),
    [
        ("6", "in", 6), ("6.5", "in", 6.5), ("5 3/8", "in", 5.375), ("5-3/8", "in", 5.375), ("5 3/8in", "mm", 5.375),
        ("140mm", "in", 140 / 25.4), ("14cm", "in", 140 / 25.4), ("254", "mm", 10), ("5⅜", "in", 5.375),
        ("-9.7e-17", "in", 0), ("3/8", "in", 0.375), ('4"', "cm", 4),
    ],
)  # fmt: skip
def test_every_way_of_writing_a_length_is_read(text: str, unit: str, inches: float) -> None:
    """With its own unit, or in the one given."""
    assert parse_length(text, unit) == pytest.approx(inches)


@pytest.mark.parametrize("text", ["", "nan", "inf", "1/0", "five", "1e999", "9" * 400, "5 3", "5,3", "--4"])
def test_what_is_no_length_is_refused(text: str) -> None:
    """In one sentence."""
    with pytest.raises(LengthError):
        parse_length(text)


@given(st.integers(0, 16 * 200))
def test_ruler_fractions_are_read_back(ticks: int) -> None:
    """Whatever is written to the ruler's mark is read as the same length."""
    assert parse_length(fraction(ticks / 16)) == ticks / 16
