"""The border of a quilt: trimmed edge, border seam, stop line, sides and pivots.

Words, as everywhere in this project:

* trimmed edge: the quilt's edge as it will be trimmed (on an inner border, its outer seam);
* border seam: the seam between the border and the centre; its corners are the pivots;
* stop line: the line the points may reach, the trimmed edge set in by the room for the
  binding (on an inner border, the outer seam itself);
* width: border seam to trimmed edge; height: border seam to stop line.

Everything is built from the outline's corners, so a rectangle is only one case.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from geometry.errors import SizeError
from geometry.lengths import about
from geometry.plane import SAME_POINT, Point, distance, meet

if TYPE_CHECKING:
    from collections.abc import Sequence

Kind = Literal["outer", "inner"]

PLACES = ("top", "right", "bottom", "left")
"""The sides of a four-sided outline, clockwise."""

BINDING_TAKES = 0.25
"""Inches of the top that a binding covers
("Are Your Borders Borderline?", longarm newsletter 16; for the rest common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a border, walked clockwise from pivot to pivot.

    Attributes:
        name: `top`, `right`, … as the designer says it.
        start, end: the two pivots.
        stop_start, stop_end: the outer corners, where this side's stop line begins and ends.
        height: inches from border seam to stop line.
    """

    name: str
    start: Point
    end: Point
    stop_start: Point
    stop_end: Point
    height: float

    @property
    def length(self) -> float:
        """Inches from pivot to pivot."""
        return distance(self.start, self.end)

    @property
    def ahead(self) -> Point:
        """The step of one inch along the seam, clockwise."""
        return self.end.minus(self.start).times(1 / self.length)

    @property
    def outward(self) -> Point:
        """The step of one inch square to the seam, away from the centre."""
        ahead = self.ahead
        return Point(ahead.y, -ahead.x)

    def on_seam(self, inches: float) -> Point:
        """The point of the border seam `inches` after the first pivot; both pivots exactly."""
        length = self.length
        if inches == length:
            return self.end
        share = inches / length
        return Point(
            self.start.x + (self.end.x - self.start.x) * share,
            self.start.y + (self.end.y - self.start.y) * share,
        )

    def on_stop_line(self, inches: float) -> Point:
        """The point of the stop line square across from `on_seam(inches)`."""
        return self.on_seam(inches).plus(self.outward.times(self.height))


@dataclass(frozen=True, slots=True)
class Border:
    """A closed border: its outlines (corners clockwise, none repeated) and its sides."""

    kind: Kind
    edge: tuple[Point, ...]
    seam: tuple[Point, ...]
    stop_line: tuple[Point, ...]
    sides: tuple[Side, ...]
    widths: tuple[float, ...]
    room: float


def border_around(
    edge: Sequence[Point],
    widths: Sequence[float],
    room: float,
    kind: Kind = "outer",
    names: Sequence[str] = PLACES,
) -> Border:
    """Lay a border inside an outline.

    Args:
        edge: corners of the trimmed edge, clockwise as seen, none repeated; side i runs
            from corner i to the next.
        widths: border width of each side, inches.
        room: room for the binding, inches; must be 0 on an inner border.
        kind: outer (a binding will cover the edge) or inner (a seam lies there).
        names: what the sides are called, in the same order.

    Raises:
        SizeError: the border leaves no centre, or the binding leaves no border.
    """
    narrow = min(widths)
    if narrow <= 0:
        raise SizeError(f"The border is {about(narrow)} wide; it must be wider than 0: please give a larger width.")
    if room < 0:
        raise SizeError(
            f"The room for the binding is {about(room)}; it cannot be less than 0: please give 1/4 in or more."
        )
    if room >= narrow:
        raise SizeError(
            f"The room for the binding, {about(room)}, takes up the whole border of {about(narrow)}; "
            "it must be less than the width: please give a wider border or less room."
        )
    seam = _inset(edge, widths)
    stop_line = _inset(edge, [room] * len(edge)) if room else tuple(edge)
    _check_centre(edge, seam, widths)
    sides = tuple(
        Side(name, seam[i], seam[j], stop_line[i], stop_line[j], widths[i] - room)
        for i, j, name in zip(range(len(edge)), [*range(1, len(edge)), 0], names, strict=True)
    )
    return Border(kind, tuple(edge), seam, stop_line, sides, tuple(widths), room)


def _check_centre(edge: Sequence[Point], seam: Sequence[Point], widths: Sequence[float]) -> None:
    count = len(edge)
    for i in range(count):
        j = (i + 1) % count
        before, after = edge[j].minus(edge[i]), seam[j].minus(seam[i])
        if before.x * after.x + before.y * after.y <= SAME_POINT:
            short = min(distance(edge[k], edge[(k + 1) % count]) for k in range(count))
            raise SizeError(
                f"A border of {about(max(widths))} leaves no centre in a quilt whose short side is {about(short)}; "
                f"the width must be less than half of that, {about(short / 2)}: "
                "please give a smaller width, or check the scale and the size of the rectangle."
            )


def _inset(corners: Sequence[Point], by: Sequence[float]) -> tuple[Point, ...]:
    """Move each side of an outline inwards by its own amount; the new corners, in the same order."""
    count = len(corners)
    starts, steps = [], []
    for i in range(count):
        here, following = corners[i], corners[(i + 1) % count]
        step = following.minus(here).times(1 / distance(here, following))
        starts.append(here.plus(Point(-step.y, step.x).times(by[i])))
        steps.append(step)
    return tuple(meet(starts[i - 1], steps[i - 1], starts[i], steps[i]) for i in range(count))


def rectangle(width: float, height: float) -> tuple[Point, ...]:
    """The corners of a rectangle, clockwise from its top left, which is the origin."""
    return (Point(0.0, 0.0), Point(width, 0.0), Point(width, height), Point(0.0, height))
