"""A top from its four measured sides."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import minimize

from geometry.errors import SizeError
from geometry.measured import outline_of, unlike
from geometry.plane import Point, distance

TOLD = (60.25, 72.0, 60.0, 71.75)


def sides_of(corners: tuple[Point, ...]) -> list[float]:
    """Inches of the four sides."""
    return [distance(corners[i], corners[(i + 1) % 4]) for i in range(4)]


def angles_of(corners: list[Point] | tuple[Point, ...]) -> list[float]:
    """Degrees inside each corner, by the directions of the sides beside it."""
    found = []
    for i in range(4):
        back, ahead = corners[i - 1].minus(corners[i]), corners[(i + 1) % 4].minus(corners[i])
        turn = math.atan2(back.y, back.x) - math.atan2(ahead.y, ahead.x)
        found.append(math.degrees(turn) % 360)
    return found


def departure(corners: list[Point] | tuple[Point, ...]) -> float:
    """Squared degrees by which the corners miss a right angle."""
    return sum((angle - 90) ** 2 for angle in angles_of(corners))


@given(
    top=st.floats(20, 110),
    right=st.floats(20, 110),
    across=st.floats(-2, 2),
    down=st.floats(-2, 2),
)
def test_measured_sides(top: float, right: float, across: float, down: float) -> None:
    """The outline closes and has the sides that were measured."""
    lengths = (top, right, top + across, right + down)
    corners = outline_of(lengths)
    assert sides_of(corners) == pytest.approx(lengths, abs=1e-9)
    assert sum(angles_of(corners)) == pytest.approx(360)
    assert min(p.x for p in corners) == pytest.approx(0, abs=1e-9)
    assert min(p.y for p in corners) == pytest.approx(0, abs=1e-9)


@given(
    top=st.floats(30, 100),
    right=st.floats(30, 100),
    across=st.floats(-3, 3),
    down=st.floats(-3, 3),
)
def test_nearest_to_square(top: float, right: float, across: float, down: float) -> None:
    """No lean brings the corners nearer to square: a search by scipy, led by the angle at the top left, finds none."""
    lengths = (top, right, top + across, right + down)

    def leaning(angle: float) -> list[Point] | None:
        """The outline with this angle at its top left corner: the last corner is where two circles meet."""
        first, second = Point(0.0, 0.0), Point(top, 0.0)
        fourth = Point(lengths[3] * math.cos(angle), lengths[3] * math.sin(angle))
        apart = distance(second, fourth)
        along = (lengths[1] ** 2 - lengths[2] ** 2 + apart**2) / (2 * apart)
        if lengths[1] < abs(along):
            return None
        step = fourth.minus(second).times(1 / apart)
        off = math.sqrt(lengths[1] ** 2 - along**2)
        return [first, second, second.plus(step.times(along)).plus(Point(step.y, -step.x).times(off)), fourth]

    def weight(angle: float) -> float:
        corners = leaning(float(angle))
        return 1e6 if corners is None else departure(corners)

    best = min(
        minimize(lambda a: weight(a[0]), [start], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12}).fun
        for start in (1.4, math.pi / 2, 1.7)
    )
    assume(best < 1e6)
    assert departure(outline_of(lengths)) == pytest.approx(best, rel=1e-4, abs=1e-6)


def test_rectangle() -> None:
    """A true rectangle stays one."""
    corners = outline_of((48, 64, 48, 64))
    assert [p.x for p in corners] == pytest.approx([0, 48, 48, 0], abs=1e-6)
    assert [p.y for p in corners] == pytest.approx([0, 0, 64, 64], abs=1e-6)


def test_wider_above() -> None:
    """A top that is wider above leans equally on both sides."""
    corners = outline_of((61, 60, 59, 60))
    assert angles_of(corners) == pytest.approx(
        [math.degrees(math.acos(1 / 60))] * 2 + [180 - math.degrees(math.acos(1 / 60))] * 2
    )
    assert corners[0].y == pytest.approx(corners[1].y, abs=1e-6), "its top lies level"


def test_unlike() -> None:
    """Opposite sides that cannot be eased together are named: about 1/4 in on 60 in ("Border for on-point quilts", patchworktimes.com)."""
    assert unlike(TOLD) == []
    assert unlike((60.3, 72, 60, 72)) == [("top", "bottom", pytest.approx(0.3))]
    assert [found[:2] for found in unlike((60, 72.5, 61, 72))] == [("top", "bottom"), ("left", "right")]


@pytest.mark.parametrize(
    ("lengths", "word"),
    [
        ((60, 72, 60), "3 measured sides"),
        ((60, 72, 60, 72, 60), "5 measured sides"),
        ((60, 0, 60, 72), "right side is 0"),
        ((60, 72, -60, 72), "bottom side"),
        ((60, 5, 20, 6), "do not close"),
        ((60, 30, 10, 30), "do not close"),
        ((100, 10, 10, 10), "do not close"),
    ],
)
def test_refused(lengths: tuple[float, ...], word: str) -> None:
    """Lengths that make no quilt are refused in one sentence."""
    with pytest.raises(SizeError, match=word) as refused:
        outline_of(lengths)
    assert "please" in str(refused.value).lower()
