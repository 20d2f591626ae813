"""The closed regions to fill: triangles on the seam, triangles on the stop line, corners."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from geometry.plane import Line, Point, area_of, halfway_foot, meet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from geometry.zigzag import Zigzag

Base = Literal["inner", "outer", "corner"]
CornerStyle = Literal["mitred", "large", "square"]
Hand = Literal["left", "right"]

LEFT: Hand = "left"
RIGHT: Hand = "right"


@dataclass(frozen=True, slots=True)
class Section:
    """One region to fill.

    Attributes:
        name: `top-in-3`, `top-out-2`, `top-corner-1`: unique in the border.
        side: the side it belongs to; a corner belongs to the side that ends in it.
        place: its number on that side, from 1.
        base: on the border seam (inner), on the stop line (outer), or at a corner.
        corners: the base from left to right as seen from the centre, then the tip; a four-sided
            piece of a corner: pivot, last point, outer corner, first point.
        hand: the base corner at which one-handed fills begin and end.
        at_pivot: a triangle on the seam that touches a pivot; its fill keeps clear of the
            base corners, because the lines of both sides and of the corner meet there.
        lines_at_tip: lines that meet at its tip, or for which room is kept there.
        tip_only: of its corners only the tip is a point of the zigzag.
    """

    name: str
    side: str
    place: int
    base: Base
    corners: Line
    hand: Hand
    at_pivot: bool = False
    lines_at_tip: int = 2
    tip_only: bool = False

    @property
    def four_sided(self) -> bool:
        """A piece of a corner with four sides, bent at the outer corner."""
        return len(self.corners) > 3  # noqa: PLR2004

    @property
    def left(self) -> Point:
        """The left end of the base, seen from the centre."""
        return self.corners[1] if self.four_sided else self.corners[0]

    @property
    def right(self) -> Point:
        """The right end of the base, seen from the centre."""
        return self.corners[3] if self.four_sided else self.corners[1]

    @property
    def tip(self) -> Point:
        """The corner across from the base."""
        return self.corners[0] if self.four_sided else self.corners[2]

    @property
    def middle(self) -> Point:
        """The bend of the base, or on a straight base the foot of the line that halves the angle at the tip."""
        return self.corners[2] if self.four_sided else halfway_foot(self.left, self.right, self.tip)

    @property
    def base_line(self) -> Line:
        """The base from left to right, in two pieces where it bends."""
        return (self.left, self.middle, self.right) if self.four_sided else (self.left, self.right)

    @property
    def area(self) -> float:
        """Square inches."""
        return area_of(self.corners)


def sections_along(zigzag: Zigzag) -> Iterator[Section]:
    """The triangles of one side, those on the seam first, then those on the stop line.

    One-handed fills turn over at the middle of the side, so that opposite halves mirror each other.
    """
    name, dots, points = zigzag.side.name, zigzag.dots, zigzag.points
    count = len(points)
    for i in range(count):
        hand = RIGHT if 2 * i + 1 <= count else LEFT
        yield Section(
            f"{name}-in-{i + 1}", name, i + 1, "inner", (dots[i], dots[i + 1], points[i]), hand,
            at_pivot=i in {0, count - 1},
        )  # fmt: skip
    for i in range(count - 1):
        turned = RIGHT if 2 * (i + 1) <= count else LEFT
        yield Section(f"{name}-out-{i + 1}", name, i + 1, "outer", (points[i], points[i + 1], dots[i + 1]), turned)


def corner_lines(before: Zigzag, after: Zigzag, style: CornerStyle) -> tuple[Line, ...]:
    """The stitched lines across the corner where `before` ends and `after` begins, pivot outwards."""
    pivot = before.side.end
    if style == "mitred":
        return ((pivot, before.side.stop_end),)
    if style == "square":
        return tuple((pivot, foot) for foot in _feet(before, after))
    return ()


def _feet(before: Zigzag, after: Zigzag) -> tuple[Point, Point]:
    """Where the lines from the pivot, square to either edge, reach the stop line."""
    pivot, corner = before.side.end, before.side.stop_end
    return (
        meet(pivot, before.side.outward, corner, before.side.ahead),
        meet(pivot, after.side.outward, corner, after.side.ahead),
    )


def corner_sections(before: Zigzag, after: Zigzag, style: CornerStyle, number: int) -> Iterator[Section]:
    """The pieces of the corner where `before` ends and `after` begins; `number` counts the corners.

    One-handed fills of four-sided pieces turn over from corner to corner, so that neighbours mirror each other. Of the
    room for lines at the pivot each piece beside a line gets its share.
    """
    name = before.side.name
    pivot, outer = before.side.end, before.side.stop_end
    last, first = before.points[-1], after.points[0]
    pieces: tuple[tuple[Line, Hand], ...]
    lines: tuple[int, ...]
    if style == "mitred":
        pieces = (((last, outer, pivot), LEFT), ((outer, first, pivot), RIGHT))
        lines = (5, 5)
    elif style == "large":
        pieces = (((pivot, last, outer, first), LEFT if number % 2 else RIGHT),)
        lines = (2,)
    else:
        one, two = _feet(before, after)
        hand = LEFT if number % 2 else RIGHT
        pieces = (((last, one, pivot), LEFT), ((pivot, one, outer, two), hand), ((two, first, pivot), RIGHT))
        lines = (6, 4, 6)
    for i, (corners, side) in enumerate(pieces):
        yield Section(
            f"{name}-corner-{i + 1}", name, i + 1, "corner", corners, side,
            lines_at_tip=lines[i], tip_only=style == "square" and len(corners) > 3,  # noqa: PLR2004
        )  # fmt: skip
