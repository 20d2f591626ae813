"""The zigzag: dots on the border seam, points on the stop line, the diagonals between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from geometry.fitting import SideFit
    from geometry.plane import Line, Point
    from geometry.quilt import Side


@dataclass(frozen=True, slots=True)
class Zigzag:
    """The zigzag of one side: n + 1 dots on the seam, pivot to pivot, and n points on the stop line."""

    side: Side
    fit: SideFit
    dots: Line
    points: Line

    @property
    def line(self) -> Line:
        """Dot, point, dot, …, dot: 2n diagonals in one line from pivot to pivot."""
        woven = [spot for pair in zip(self.dots, self.points, strict=False) for spot in pair]
        return (*woven, self.dots[-1])


def zigzag_along(side: Side, fit: SideFit) -> Zigzag:
    """Set out the fitted triangles along a side; each point stands square over its foot, the middle of its base or a mark."""
    places = fit.places()
    dots = (side.start, *(side.on_seam(place) for place in places[1:-1]), side.end)
    points: tuple[Point, ...] = tuple(side.on_stop_line(foot) for foot in fit.feet())
    return Zigzag(side, fit, dots, points)
