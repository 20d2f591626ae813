"""Runs cut into moments: nothing lost, nothing twice, each told by the line it is."""

from __future__ import annotations

import itertools
import math

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.moments import inside, moments, way
from geometry.pattern import pattern_of
from geometry.plan import Request, lay_out
from geometry.plane import Point, distance, length_of


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", [*CATALOGUE, "none"])
def test_moments_are_the_run_piece_by_piece(fill: str, corner: str, order: str) -> None:
    """Each begins where the last ended, their lengths add up, every fill and diagonal is told once."""
    pattern = pattern_of(lay_out(Request(60, 72, (6,) * 4, fill=fill, corner=corner, order=order)))
    diagonals: list[tuple[str, int]] = []
    fills: list[str] = []
    for run in pattern.runs:
        found = moments(pattern, run)
        assert sum(length_of(way(one)) for one in found) == pytest.approx(run.length, abs=1e-6)
        for one, other in itertools.pairwise(found):
            assert distance(one.end, other.start) < 1e-6
        assert distance(found[0].start, run.line[0]) < 1e-9
        fills += [one.name for one in found if one.what == "fill"]
        diagonals += [(one.name, one.place) for one in found if one.what == "diagonal"]
    assert sorted(fills) == sorted(one.name for one in pattern.sections if one.lines)
    assert sorted(diagonals) == sorted((side.name, i) for side in pattern.sides for i in range(2 * len(side.points)))


@pytest.mark.parametrize(
    ("point", "within"),
    [((1, 1), True), ((0, 0), True), ((2, 0), True), ((3, 2), False), ((-0.01, 1), False), ((2.5, 1.5), True)],
)
def test_inside_counts_the_outline(point: tuple[float, float], within: bool) -> None:
    """A triangle with a right angle."""
    assert inside(Point(*point), (Point(0, 0), Point(4, 0), Point(0, 4))) is within


def test_inside_an_arrowhead_bent_inwards() -> None:
    """The notch is outside."""
    arrow = (Point(0, 0), Point(4, 0), Point(1, 1), Point(0, 4))
    assert inside(Point(0.5, 0.5), arrow)
    assert not inside(Point(1.6, 1.6), arrow)
    assert math.isclose(4.0, distance(arrow[0], arrow[1]))
