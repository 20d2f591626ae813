"""What a fill is given and what it gives back.

A fill sees its section laid out in one standard way, so that congruent sections are
worked out once: `left` at the origin, `right` on the x axis, the tip on the side of
growing y (a bent base bends the other way). One-handed fills begin at `right`; a section
whose fill is to begin at its left is seen in a mirror. Lines are written in shares:
`at(u, v)` goes u of the way from the middle of the base towards its right end (negative:
left) and v of the way up to the tip. |u| + v <= 1 is the section; each half is a triangle,
so a straight piece that stays in one half stays in the section.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.graph import MEETING
from geometry.plane import (
    CORNER_MOST_LINES,
    Affine,
    Line,
    Point,
    cross,
    distance,
    distance_to_line,
    distance_to_piece,
    flat,
    halfway_foot,
    length_of,
)
from geometry.sections import LEFT

if TYPE_CHECKING:
    from collections.abc import Iterable

    from geometry.sections import Section

Passage = Literal["home", "across", "tip"]
"""Where a fill leaves the needle: where it came in, at the other base corner, or from a base corner at the tip."""

SPACING_LEAST, SPACING_MOST = 0.7, 1.05
"""Shares of the asked spacing between which the used one may lie, so that lines come out even."""

SET_IN = 0.4
"""Spacings by which a join beside a diagonal keeps away from it."""

_FROM_DIAGONAL, _SHORTEST = 0.35, 0.3
"""Spacings from the diagonals to the ends of lines that stay short of a base corner, at least, and the share of the half
base that they stay short at most."""

FINEST = 1 / 16
"""Inches: no closer spacing is drawn; stitching that dense cuts the quilt (common practice, no source)."""


class Exactly(float):
    """A spacing to be kept to as nearly as lines can come out even, rather than changed so that they come out best."""

    __slots__ = ()


class Fill(NamedTuple):
    """The lines of one section.

    Attributes:
        lines: the design, without overlaps, comfortable to edit; closed ones repeat their first point.
        spacing: inches between neighbouring lines as used.
        note: why there is no fill, in words; empty when there is.
        echo_lines: how many echo lines stand between the diagonals and the fill.
        hidden: inches of the lines that run on under the binding.
        unbroken: a curve that nothing meets but at its own ends: it is stitched from end to end, and nobody need look
            for crossings.
    """

    lines: tuple[Line, ...]
    spacing: float
    note: str = ""
    echo_lines: int = 0
    hidden: float = 0.0
    unbroken: bool = False

    @property
    def length(self) -> float:
        """Inches of all lines."""
        return sum(length_of(line) for line in self.lines)

    def placed(self, place: Affine) -> Fill:
        """The same fill on the quilt."""
        return self._replace(lines=tuple(place.line(line) for line in self.lines))


class Shape(NamedTuple):
    """A section in standard position, and what a fill must know of its surroundings.

    Attributes:
        left, middle, right, tip: see the module's words.
        bent: the base bends at `middle`: a four-sided piece of a corner.
        seam: the base lies on a seam, which may be travelled.
        short: the lines of others meet at the base corners; stay a little away from them.
        room_at_tip: how many more lines may meet at the tip.
        tip_only: of its corners only the tip is a point of the zigzag; the fill must start there.
        passage: from where to where the fill will be stitched.
        beside: another section's base lies on its base, which is no seam: nothing may run along it.
        seed: of free-motion fills: the same seed gives the same lines; 0 for all others.
    """

    left: Point
    middle: Point
    right: Point
    tip: Point
    bent: bool
    seam: bool
    short: bool
    room_at_tip: int
    tip_only: bool = False
    passage: Passage = "home"
    seed: int = 0
    beside: bool = False

    def raised(self, inches: float) -> Shape:
        """The same with its base moved so far towards the tip, at most a quarter of the height."""
        rise = min(0.25, inches / self.height)
        left, middle, right = self.at(rise - 1, rise), self.at(0, rise), self.at(1 - rise, rise)
        return self._replace(left=left, middle=middle, right=right)

    def runs_along_base(self, lines: Iterable[Line]) -> bool:
        """Whether a straight piece of some lines lies on the base."""
        pieces = [piece for line in lines for piece in itertools.pairwise(flat(line)) if distance(*piece) > MEETING]
        return any(
            all(distance_to_piece(point, *base) <= MEETING for point in piece)
            for base in itertools.pairwise(self.base)
            for piece in pieces
        )

    def at(self, across: float, up: float) -> Point:
        """The point of shares (across, up)."""
        middle, tip = self.middle, self.tip
        end = self.right if across > 0 else self.left
        share = abs(across)
        return Point(
            middle.x + (tip.x - middle.x) * up + (end.x - middle.x) * share,
            middle.y + (tip.y - middle.y) * up + (end.y - middle.y) * share,
        )

    def line(self, *shares: tuple[float, float]) -> Line:
        """A line through points given in shares."""
        return tuple(self.at(across, up) for across, up in shares)

    @property
    def bends(self) -> Line:
        """The bend of the base, if it has one."""
        return (self.middle,) if self.bent else ()

    @property
    def base(self) -> Line:
        """The base from left to right, in two pieces where it bends."""
        return (self.left, *self.bends, self.right)

    @property
    def depth(self) -> float:
        """Inches from the middle of the base, square to the farther diagonal.

        A point at (u, v) is (1 - |u| - v) times as far from its diagonal.
        """
        return max(
            distance_to_line(self.middle, self.left, self.tip), distance_to_line(self.middle, self.right, self.tip)
        )

    def depth_beside(self, across: float) -> float:
        """The same to the diagonal on one side: the right one where `across` is above 0."""
        return distance_to_line(self.middle, self.right if across > 0 else self.left, self.tip)

    @property
    def height(self) -> float:
        """Inches from the tip, square to the (farther half of the) base."""
        return max(
            distance_to_line(self.tip, self.left, self.middle), distance_to_line(self.tip, self.right, self.middle)
        )

    @property
    def half_base(self) -> float:
        """Inches of the longer half of the base."""
        return max(distance(self.left, self.middle), distance(self.middle, self.right))

    @property
    def halves(self) -> tuple[Shape, ...]:
        """The two triangles left and right of a bent section's centre line; none of a straight one."""
        if not self.bent:
            return ()
        return tuple(
            self._replace(left=left, middle=halfway_foot(left, right, self.tip), right=right, bent=False)
            for left, right in ((self.left, self.middle), (self.middle, self.right))
        )

    def foot(self, spacing: float) -> float:
        """The share at which lines meant for a base corner end: 1, or a little short of it."""
        if not self.short:
            return 1.0
        sine = min(self.height / distance(end, self.tip) for end in (self.left, self.right))
        return 1 - min(max(0.5, _FROM_DIAGONAL / sine) * spacing / self.half_base, _SHORTEST)


class FilledSection(NamedTuple):
    """A section, the name of its fill, and the fill in place.

    `standard` is the same fill in standard position and `place` the map from there: congruent
    sections share one.
    """

    section: Section
    fill_name: str
    fill: Fill
    standard: Fill
    place: Affine


def standard(
    section: Section, *, seam: bool, passage: Passage = "home", others_at_tip: int = 0, whole: float = 1e-9
) -> tuple[Shape, Affine]:
    """A section in standard position, and the map that puts it back on the quilt.

    `others_at_tip` counts the lines of neighbouring fills that end at this section's tip.
    Coordinates are rounded to `whole` inches, so that congruent sections give equal shapes.
    """
    left, right, tip = section.left, section.right, section.tip
    if section.hand == LEFT:
        left, right = right, left
    wide = distance(left, right)
    ahead = right.minus(left).times(1 / wide)
    # a four-sided corner may have its tip on the line from left to right; its bend never lies there
    up = left.minus(section.middle) if section.four_sided else tip.minus(left)
    side = 1.0 if cross(ahead, up) > 0 else -1.0
    place = Affine(ahead.x, ahead.y, -ahead.y * side, ahead.x * side, left.x, left.y)
    back = place.inverse()

    def rounded(point: Point) -> Point:
        spot = back.at(point)
        return Point(round(spot.x / whole) * whole, round(spot.y / whole) * whole)

    room = max(0, CORNER_MOST_LINES - section.lines_at_tip - others_at_tip)
    shape = Shape(
        Point(0.0, 0.0), rounded(section.middle), rounded(right), rounded(tip),
        section.four_sided, seam, section.at_pivot and passage == "home", room, section.tip_only, passage,
    )  # fmt: skip
    return shape, place


class WorkingTriangle(NamedTuple):
    """A triangle to be filled by one line that ends at `home`; across, it begins at `far`."""

    corners: tuple[Point, Point, Point]
    across: bool

    @property
    def sides(self) -> tuple[tuple[Point, Point], ...]:
        """Home to far, far to third, third to home."""
        home, far, third = self.corners
        return ((home, far), (far, third), (third, home))

    @property
    def sense(self) -> int:
        """1 when the corners go clockwise as seen, otherwise -1."""
        home, far, third = self.corners
        return 1 if cross(far.minus(home), third.minus(home)) > 0 else -1

    @property
    def height(self) -> float:
        """Inches from the third corner, square to the side from home to far."""
        home, far, third = self.corners
        return distance_to_line(third, home, far)


def working_triangles(shape: Shape) -> list[WorkingTriangle]:
    """The triangles of a fill that is one line: one of most sections, two of a bent one, which are crossed in turn."""
    if shape.bent:
        left, right = shape.halves
        return [
            WorkingTriangle((left.left, left.right, left.tip), across=True),
            WorkingTriangle((right.right, right.left, right.tip), across=True),
        ]
    home, other = shape.right, shape.left
    if shape.passage == "tip":
        return [WorkingTriangle((home, shape.tip, other), across=True)]
    if shape.tip_only:
        return [WorkingTriangle((shape.tip, home, other), across=False)]
    return [WorkingTriangle((home, other, shape.tip), across=shape.passage == "across")]


def even_out(
    total: float,
    asked: float,
    counts: Iterable[int],
    leftover: tuple[float, float, float],
    widest: float = SPACING_MOST,
) -> tuple[int, float] | None:
    """Share `total` inches into n lines at one spacing, so that they come out even.

    total = spacing · (n + c): c spacings are left beside the last line, between the first and last of
    `leftover` (least, best, most), and the spacing lies between 0.7 and 1.05 (or `widest`) of `asked`. It is that with the
    best leftover, or, of what is asked for `Exactly`, the nearest.

    Returns:
        n and the spacing nearest to what was asked; None if no count will do.
    """
    least, best, most = leftover
    exact = isinstance(asked, Exactly)
    found: list[tuple[float, int, float]] = []
    for count in counts:
        spacing = float(asked) if exact else total / (count + best)
        spacing = min(max(spacing, SPACING_LEAST * asked), widest * asked)
        spacing = min(max(spacing, total / (count + most)), total / (count + least))
        if SPACING_LEAST * asked <= spacing * (1 + 1e-12) and spacing <= widest * asked * (1 + 1e-12):
            rest = total / spacing - count
            evenness = abs(rest - best) / (count + 1)
            found.append((abs(spacing / asked - 1) + (0.01 if exact else 1) * evenness, count, spacing))
    if not found:
        return None
    _, count, spacing = min(found)
    return count, spacing


def counts_up_to(total: float, asked: float, first: int, step: int = 1) -> range:
    """Counts worth trying for `even_out`."""
    return range(first, max(first, int(total / (SPACING_LEAST * asked))) + step + 1, step)


def left_out(asked: float, total: float, least: float) -> Fill:
    """No lines, because not even the fewest fit in `total` inches: `least` spacings are needed."""
    fits = total / (least * SPACING_LEAST)
    return Fill((), asked, f"too small for lines {asked:g} in apart; they fit from {fits:.2f} in down")
