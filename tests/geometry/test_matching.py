"""The search for a spacing, on densities whose answer is known."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.fills.shape import Exactly
from geometry.matching import MATCHED_PCT, Density, Match, matching_spacing


@given(st.floats(0.3, 3), st.floats(0.3, 3), st.floats(0.2, 2))
def test_where_density_follows_the_spacing_the_answer_is_met(amount: float, wanted: float, asked: float) -> None:
    """Density = amount / spacing: within 5 %, unless that lies beyond four times as wide or as close."""
    spacing, density = matching_spacing(lambda step: Density(amount / step, 8), wanted, asked)
    assert density == pytest.approx(amount / spacing)
    if asked / 4 < amount / wanted < asked * 4 and amount / wanted > 1 / 16:
        assert density == pytest.approx(wanted, rel=0.051)


def test_a_spacing_that_matches_already_is_kept() -> None:
    """Nothing is changed for a difference that is not felt."""
    asked = []

    def measure(spacing: float) -> Density:
        asked.append(spacing)
        return Density(1.04 / spacing, 8)

    assert matching_spacing(measure, 1.0, 1.0) == (1.0, 1.04)
    assert asked == [1.0]


@given(st.integers(2, 9), st.floats(0.4, 2.5))
def test_where_density_jumps_the_nearest_step_is_found(lines: int, wanted: float) -> None:
    """As many lines as fit: n at a spacing of lines / n."""

    def measure(spacing: float) -> Density:
        return Density(max(1, round(lines / spacing)) / lines, 8)

    _, density = matching_spacing(measure, wanted, 1.0)
    steps = [n / lines for n in range(max(1, round(lines / 4)), 4 * lines + 1)]
    assert abs(math.log(density / wanted)) <= max(
        math.log1p(MATCHED_PCT / 100), min(abs(math.log(step / wanted)) for step in steps) + 1e-9
    )


def test_a_spacing_at_which_sections_lose_their_fill_is_no_answer() -> None:
    """Twice as wide would match, but half the sections would be empty."""
    spacing, _ = matching_spacing(lambda step: Density(2 / step, 8 if step < 1.5 else 4), 1.0, 1.0)
    assert spacing < 1.5


def test_a_spacing_kept_to_exactly_is_a_number_like_any_other() -> None:
    """It can be written, compared and computed with."""
    assert Exactly(0.75) == 0.75
    assert f"{Exactly(0.75):.2f}" == "0.75"
    assert not isinstance(Exactly(0.75) * 2, Exactly)


def test_a_match_says_how_far_off_it_is() -> None:
    """Positive: denser than the first fill."""
    assert Match("outer", "channels", 0.5, 1.1, 1.0).difference_pct == pytest.approx(10)
    assert Match("outer", "channels", 0.5, 0.9, 1.0).difference_pct == pytest.approx(-10)
