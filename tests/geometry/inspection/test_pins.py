"""Numbers of findings stand beside their places, never on top of each other."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from geometry.inspection.pins import pins
from geometry.plane import Point, distance

PLACES = st.lists(
    st.builds(Point, st.floats(0, 20, allow_nan=False), st.floats(0, 20, allow_nan=False)), max_size=30
) | st.lists(st.sampled_from([Point(3, 3), Point(3.2, 3), Point(10, 10)]), max_size=25)
CENTRE = Point(10, 10)


@given(PLACES)
def test_discs_cover_neither_one_another_nor_any_place(places: list[Point]) -> None:
    """However many findings are at one point."""
    wide = 0.8
    discs = pins(places, wide, CENTRE)
    assert len(discs) == len(places)
    assert all(distance(a, b) > wide for a, b in itertools.combinations(discs, 2))
    assert all(distance(disc, place) > wide / 2 for disc in discs for place in places)


def test_a_number_by_itself_stands_towards_the_centre() -> None:
    """Close to its place."""
    (disc,) = pins([Point(0, 10)], 1.0, CENTRE)
    assert disc.x > 0
    assert abs(disc.y - 10) < 1e-9
    assert distance(disc, Point(0, 10)) < 2
