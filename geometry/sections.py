"""The closed regions to fill: triangles on the seam, triangles on the stop line, corners."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import Line, Point, area_of, cross, halfway_foot, meet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from geometry.zigzag import Zigzag

Base = Literal["inner", "outer", "corner"]
CornerStyle = Literal["mitred", "large", "square"]
Hand = Literal["left", "right"]

LEFT: Hand = "left"
RIGHT: Hand = "right"

INNER: Base = "inner"
OUTER: Base = "outer"


class Section(NamedTuple):
    """One region to fill.

    Attributes:
        name: `top-in-3`, `top-out-2`, `top-corner-1`: unique in the border.
        side: the side it belongs to; a corner belongs to the side that ends in it.
        place: its number on that side, from 1.
        base: on the border seam (inner), on the stop line (outer), or at a corner.
        corners: the base from left to right as seen from the centre, then the tip; a four-sided
            piece of a corner: pivot, last point, outer corner, first point (at an inward corner:
            pivot, last dot, the corner of the border seam, first dot).
        hand: the base corner at which one-handed fills begin and end.
        at_pivot: a triangle with a pivot at an end of its base; its fill keeps clear of the
            base corners, because the lines of both sides and of the corner meet there.
        lines_at_tip: lines that meet at its tip, or for which room is kept there.
        tip_only: of its corners only the tip is a point of the zigzag, or one at which its fill may end.
        tier, tiers: which of how many bands it lies in, the lowest first.
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
    tier: int = 1
    tiers: int = 1

    @property
    def on_mid_line(self) -> bool:
        """Whether its base lies on the line between two bands, which is no seam."""
        if self.tiers == 1:
            return False
        return self.tier > 1 if self.on_seam else self.tier < self.tiers

    @property
    def tip_on_mid_line(self) -> bool:
        """Whether its tip lies on the line between two bands."""
        if self.tiers == 1:
            return False
        return self.tier < self.tiers if self.on_seam else self.tier > 1

    @property
    def four_sided(self) -> bool:
        """A piece of a corner with four sides, bent at the outer corner."""
        return len(self.corners) > 3  # noqa: PLR2004

    @property
    def on_seam(self) -> bool:
        """Whether its base lies on the border seam, as that of a corner piece does at an inward corner."""
        if self.base != "corner":
            return self.base == INNER
        # seen from the centre, what stands on the seam points away and what stands on the stop line points here
        following = (*self.corners[1:], self.corners[0])
        return sum(cross(one, other) for one, other in zip(self.corners, following, strict=True)) < 0

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

    Each lies between three places of the zigzag that follow one another. One-handed fills turn over at the middle of the
    side, so that opposite halves mirror each other.
    """
    name, line = zigzag.side.name, zigzag.line
    last = len(line) - 3
    on_seam = int(zigzag.side.turned_start)
    for base, first in ((INNER, on_seam), (OUTER, 1 - on_seam)):
        word = "in" if base == INNER else "out"
        for place, i in enumerate(range(first, last + 1, 2), 1):
            hand = RIGHT if 2 * (i + 1) <= last + 2 else LEFT
            yield Section(
                f"{name}-{word}-{place}", name, place, base, (line[i], line[i + 2], line[i + 1]), hand,
                at_pivot=i in {0, last}, tier=zigzag.side.tier, tiers=zigzag.side.tiers,
            )  # fmt: skip


def corner_lines(before: Zigzag, after: Zigzag, style: CornerStyle) -> tuple[Line, ...]:
    """The stitched lines across the corner where `before` ends and `after` begins, pivot outwards.

    Where the strip ends, the line that closes it.
    """
    side = before.side
    if style == "mitred" or side.open_end:
        return ((side.end, side.far_end),)
    if style == "square":
        return tuple((side.end, foot) for foot in _feet(before, after))
    return ()


def opening_lines(zigzag: Zigzag) -> tuple[Line, ...]:
    """The stitched line where a strip begins, pivot outwards; none where a side goes on from another."""
    side = zigzag.side
    return ((side.start, side.far_start),) if side.open_start else ()


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
    room for lines at the pivot each piece beside a line gets its share. A strip has one piece at each of its ends, that
    at its beginning counted first.
    """
    side = before.side
    name, pivot, outer = side.name, side.end, side.far_end
    last, first = before.line[-2], after.line[1]
    pieces: tuple[tuple[Line, Hand], ...]
    lines: tuple[int, ...]
    if side.open_end:
        pieces, lines = (((last, outer, pivot), LEFT),), (4,)
    elif style == "mitred":
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
    if side.open_start:
        pieces = (((side.far_start, before.line[1], side.start), RIGHT), *pieces)
        lines = (4, *lines)
    for i, (corners, way) in enumerate(pieces):
        yield Section(
            f"{name}-corner-{i + 1}", name, i + 1, "corner", corners, way,
            lines_at_tip=lines[i], tip_only=style == "square" and len(corners) > 3,  # noqa: PLR2004
            tier=side.tier, tiers=side.tiers,
        )  # fmt: skip
