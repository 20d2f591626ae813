"""The zigzag: dots on the border seam, points on the stop line, the diagonals between them."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.fitting import SideFit
    from geometry.plane import Line, Point
    from geometry.quilt import Side


class Zigzag(NamedTuple):
    """The zigzag of one side, pivot to pivot: its dots on the seam and its points on the stop line, by turns.

    Between two pivots on the seam n triangles have n + 1 dots and n points; a pivot on the stop line is a point.
    """

    side: Side
    fit: SideFit
    dots: Line
    points: Line

    @property
    def line(self) -> Line:
        """Dot, point, dot, …: all diagonals in one line from pivot to pivot."""
        return woven(self.dots, self.points, points_first=self.side.turned_start)


def woven(dots: Sequence[Point], points: Sequence[Point], *, points_first: bool = False) -> Line:
    """Dots and points by turns, as the zigzag goes."""
    first, second = (points, dots) if points_first else (dots, points)
    pairs = itertools.zip_longest(first, second)
    return tuple(spot for pair in pairs for spot in pair if spot is not None)


def zigzag_along(side: Side, fit: SideFit) -> Zigzag:
    """Set out the fitted triangles along a side; each point stands square over its foot, the middle of its base or a mark."""
    dots = [side.on_seam(place) for place in fit.places()]
    points = [side.on_stop_line(foot) for foot in fit.feet()]
    # the pivots exactly
    (points if side.turned_start else dots)[0] = side.start
    (points if side.turned_end else dots)[-1] = side.end
    return Zigzag(side, fit, tuple(dots), tuple(points))
