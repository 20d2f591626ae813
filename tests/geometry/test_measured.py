"""Four measured sides: the outline has them, and no other is nearer to square."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from geometry.errors import QuiltError
from geometry.measured import parse_measured, quadrilateral, unlike
from geometry.plane import Point, cross, distance


def off_square(corners: tuple[Point, ...]) -> float:
    """The sum of squared differences from 90 degrees."""
    total = 0.0
    for i, here in enumerate(corners):
        one, other = corners[i - 1].minus(here), corners[(i + 1) % 4].minus(here)
        angle = math.degrees(math.atan2(cross(other, one), one.x * other.x + one.y * other.y))
        total += (angle - 90) ** 2
    return total


def leaning(lengths: tuple[float, ...], angle: float) -> tuple[Point, ...] | None:
    """The outline whose top left corner has that angle: the last corner where two circles meet."""
    top, right, bottom, left = lengths
    start, one = Point(0.0, 0.0), Point(top, 0.0)
    foot = Point(left * math.cos(angle), left * math.sin(angle))
    step = foot.minus(one)
    apart = math.hypot(*step)
    along = (apart * apart + right * right - bottom * bottom) / (2 * apart)
    if right * right < along * along:
        return None
    off = math.sqrt(right * right - along * along)
    ahead = step.times(1 / apart)
    return start, one, Point(one.x + ahead.x * along + ahead.y * off, one.y + ahead.y * along - ahead.x * off), foot


@settings(max_examples=60, deadline=None)
@given(st.floats(40, 60), st.floats(40, 60), st.floats(-3, 3), st.floats(-3, 3))
def test_no_outline_of_these_sides_is_nearer_to_square(wide: float, high: float, one: float, other: float) -> None:
    """Against a search over the angle of one corner by scipy."""
    lengths = (wide, high, wide + one, high + other)
    corners = quadrilateral(lengths)
    found = [distance(corners[i], corners[(i + 1) % 4]) for i in range(4)]
    assert found == pytest.approx(lengths, abs=1e-9)
    assert min(corner.x for corner in corners) == pytest.approx(0, abs=1e-9)

    def lean(angle: float) -> float:
        outline = leaning(lengths, angle)
        return math.inf if outline is None else off_square(outline)

    best = minimize_scalar(
        lean, bounds=(math.radians(60), math.radians(120)), method="bounded", options={"xatol": 1e-10}
    )
    assert off_square(corners) <= best.fun + 1e-6


def test_a_true_rectangle_is_drawn_as_one() -> None:
    """Opposite sides alike: every corner is square."""
    assert off_square(quadrilateral((60.0, 72.0, 60.0, 72.0))) < 1e-9


def test_opposite_sides_that_cannot_be_eased_in_are_told() -> None:
    """1/4 in on 60 can ("Border for on-point quilts", patchworktimes.com); more is said."""
    assert not list(unlike(parse_measured("60 1/4, 72, 60, 71 3/4", "in")))
    (said,) = unlike(parse_measured("60 1/2, 72, 60, 72", "in"))
    assert said.startswith("Top and bottom differ by 1/2 in")


@pytest.mark.parametrize(
    ("text", "told"),
    [("60, 72, 60", "3 measured sides"), ("200, 60, 60, 60", "cannot close"), ("60, 0, 60, 72", "more than 0"), ("60, x, 60, 72", "not a length")],
)  # fmt: skip
def test_sides_that_make_no_quilt_are_refused(text: str, told: str) -> None:
    """One sentence that says what is wrong."""
    with pytest.raises(QuiltError, match=told):
        parse_measured(text, "in")
