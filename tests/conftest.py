"""For all tests: how long an example takes says nothing about whether it is right; and drawings for more than one of them."""

from __future__ import annotations

import itertools
import math
import random
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from geometry.plane import Point

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.plane import Line

settings.register_profile("house", deadline=None)
settings.load_profile("house")


def _unsteady(start: Point, end: Point, off: float, hand: random.Random) -> Line:
    """A line as a hand draws it: its ends where they should be, the rest up to `off` inches beside."""
    steps = 12
    points = [
        Point(
            start.x + (end.x - start.x) * step / steps + hand.uniform(-off, off),
            start.y + (end.y - start.y) * step / steps + hand.uniform(-off, off),
        )
        for step in range(1, steps)
    ]
    return (start, *points, end)


def _crosshatch(count: int) -> list[Line]:
    """So many lines each way in the triangle (0, 0), (24, 0), (12, 12), from base to diagonal."""
    hand = random.Random(count)
    rows = [(k + 0.5) / count for k in range(count)]
    lines = [_unsteady(Point(24 * s, 0.0), Point(12 + 12 * s, 12 - 12 * s), 0.04, hand) for s in rows]
    return lines + [_unsteady(Point(24 - 24 * s, 0.0), Point(12 - 12 * s, 12 - 12 * s), 0.04, hand) for s in rows]


def _chords(count: int) -> list[Line]:
    """Straight lines between places on two sides of the triangle, thrown in at random."""
    hand = random.Random(count)
    corners = [Point(0.0, 0.0), Point(24.0, 0.0), Point(12.0, 12.0)]

    def place(side: int) -> Point:
        share = hand.uniform(0.02, 0.98)
        one, other = corners[side], corners[(side + 1) % 3]
        return Point(one.x + (other.x - one.x) * share, one.y + (other.y - one.y) * share)

    return [tuple(map(place, hand.sample(range(3), 2))) for _ in range(count)]


def _lattice(count: int) -> list[Line]:
    """So many lines each way of a square that stands on the middle of the base, their ends free, and a line to it."""
    hand = random.Random(count)
    rows = [9 * (k + 0.5) / count for k in range(count)]
    lines = [_unsteady(Point(s, -0.03), Point(s, 9.03), 0.03, hand) for s in rows]
    lines += [_unsteady(Point(-0.03, s), Point(9.03, s), 0.03, hand) for s in rows]
    turned = [tuple(Point(12 + 0.6 * (x - y), 0.3 + 0.6 * (x + y)) for x, y in line) for line in lines]
    return [*turned, (Point(12.0, 0.0), turned[0][1])]


def _scribble(count: int) -> list[Line]:
    """One line of so many nodes that wanders about and over itself."""
    hand = random.Random(count)
    heading = turn = 0.0
    points = [Point(24.0, 0.0), Point(12.0, 4.0)]
    for _ in itertools.repeat(None):
        turn = 0.8 * turn + hand.gauss(0, 0.25)
        heading += turn
        x, y = points[-1].x + 0.25 * math.cos(heading), points[-1].y + 0.25 * math.sin(heading)
        if y < 0.1 or abs(x - 12) > 11.8 - y:
            heading += 1.0
            continue
        points.append(Point(x, y))
        if len(points) == count:
            break
    return [tuple(points)]


TANGLES: dict[str, Callable[[], list[Line]]] = {
    "crosshatch": lambda: _crosshatch(64),
    "chords": lambda: _chords(100),
    "lattice": lambda: _lattice(45),
    "scribble": lambda: _scribble(3800),
}


@pytest.fixture(params=sorted(TANGLES))
def tangle(request: pytest.FixtureRequest) -> list[Line]:
    """A section drawn by hand in the triangle (0, 0), (24, 0), (12, 12), with 2,000 crossings or more."""
    return TANGLES[request.param]()
