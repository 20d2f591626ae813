"""The marking chart and the marking strip: where every dot lies along a side.

A tape slips and cloth eases, so nothing is measured from one end all along: each dot is told
from its nearer corner and from the side's centre, and each length is rounded by itself, from
the dot's own exact place. Errors then never add up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from geometry.lengths import MM_PER_INCH, fraction
from geometry.plane import Curve, Point, distance

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.pattern import DrawnSection, DrawnSide, Pattern
    from geometry.plane import Line

PARTS = (8, 16)
"""Marks to the inch of the rulers in use (common practice, no source)."""

QUARTERS = (0.25, 0.5, 0.75)

AT_PIVOT = 1e-3
"""Inches within which the first and last dot must be the pivots: documents round their coordinates."""

SAME_MARK = 0.002
"""Inches within which two marks are one; a thread is thicker."""

MIRRORED = 1 / 64
"""Inches within which the two halves of a side count as mirror images."""


class Rounded(NamedTuple):
    """A length as a ruler shows it, and exactly.

    >>> Rounded.of(7.13, 8)
    Rounded(exact=7.13, text='7 1/8', mm=181)
    """

    exact: float
    text: str
    mm: int

    @classmethod
    def of(cls, inches: float, parts: int) -> Rounded:
        """Round to the nearest mark of a ruler, and to whole millimetres."""
        return cls(inches, fraction(inches, parts), round(inches * MM_PER_INCH))


class Mark(NamedTuple):
    """One dot of a side.

    Attributes:
        number: from 0 at the first pivot on the seam, from 1 on the stop line.
        place: inches along the side from the first pivot.
        corner: distance from the nearer pivot.
        centre: distance from the side's centre.
        from_end: the nearer pivot is the second one.
    """

    number: int
    place: float
    corner: Rounded
    centre: Rounded
    from_end: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """Where to mark on one side, or on several that are alike.

    Attributes:
        sides: their names.
        length: inches from pivot to pivot.
        dots, points: on the border seam, and on the stop line measured square across from the seam.
        quarters: the quarter points, to be pinned first.
        first_off, last_off: inches by which the first and last dot lie off the pivots.
    """

    sides: tuple[str, ...]
    length: float
    dots: tuple[Mark, ...]
    points: tuple[Mark, ...]
    quarters: tuple[Mark, ...]
    first_off: float
    last_off: float

    @property
    def closes(self) -> bool:
        """Whether the first and last dot are the pivots."""
        return max(self.first_off, self.last_off) <= AT_PIVOT

    @property
    def mirrored(self) -> bool:
        """Whether the second half of the side is the first one's mirror image, so that half a strip does."""
        return all(
            abs(one.place + other.place - self.length) <= MIRRORED
            for row in (self.dots, self.points)
            for one, other in zip(row, reversed(row), strict=True)
        )


def charts(pattern: Pattern, parts: int = 8) -> tuple[Chart, ...]:
    """The charts of all sides; sides with the same dots share one."""
    found: list[Chart] = []
    for side in pattern.sides:
        one = chart(side, (side.lies.start, side.lies.end), parts)
        for i, other in enumerate(found):
            if _alike(one, other):
                found[i] = Chart(
                    (*other.sides, *one.sides), other.length, other.dots, other.points, other.quarters,
                    max(one.first_off, other.first_off), max(one.last_off, other.last_off),
                )  # fmt: skip
                break
        else:
            found.append(one)
    return tuple(found)


def chart(side: DrawnSide, pivots: tuple[Point, Point], parts: int = 8) -> Chart:
    """The chart of one side between two pivots, rounded to a ruler of `parts` marks to the inch.

    Everything is told along the seam; a pivot on the stop line by its foot.
    """
    start, end = pivots
    turned = side.lies.turned_start != side.lies.turned_end
    step = end.minus(start)
    length = side.lies.length if turned else distance(start, end)
    ahead = side.lies.ahead if turned else step.times(1 / length)

    def mark(number: int, point: Point) -> Mark:
        step = point.minus(start)
        return _mark(number, step.x * ahead.x + step.y * ahead.y, length, parts)

    return Chart(
        (side.name,), length,
        tuple(mark(i, dot) for i, dot in enumerate(side.dots)),
        tuple(mark(i, point) for i, point in enumerate(side.points, 1)),
        tuple(_mark(i, share * length, length, parts) for i, share in enumerate(QUARTERS, 1)),
        distance(side.zigzag[0], start), distance(side.zigzag[-1], end),
    )  # fmt: skip


def _mark(number: int, place: float, length: float, parts: int) -> Mark:
    from_end = place > length / 2
    nearer = length - place if from_end else place
    return Mark(
        number, place, Rounded.of(nearer, parts), Rounded.of(abs(place - length / 2), parts), from_end
    )  # fmt: skip


def _alike(one: Chart, other: Chart) -> bool:
    if (len(one.dots), len(one.points)) != (len(other.dots), len(other.points)):
        return False
    pairs = zip((*one.dots, *one.points), (*other.dots, *other.points), strict=True)
    return abs(one.length - other.length) <= SAME_MARK and all(abs(a.place - b.place) <= SAME_MARK for a, b in pairs)


class FillDot(NamedTuple):
    """A node of a fill: inches along the base from its left end, and square to it towards the tip."""

    along: float
    up: float


def fill_dots(section: DrawnSection) -> tuple[FillDot, ...]:
    """The nodes of a section's lines, from the base upwards; nodes nearer to one another than a thread are one."""
    left, right = _base(section)
    length = distance(left, right)
    ahead = right.minus(left).times(1 / length)
    tip = section.corners[0] if len(section.corners) > 3 else section.corners[2]  # noqa: PLR2004
    up = Point(ahead.y, -ahead.x)
    if (tip.x - left.x) * up.x + (tip.y - left.y) * up.y < 0:
        up = up.times(-1)
    found: list[FillDot] = []
    for point in _nodes(section.lines):
        step = point.minus(left)
        dot = FillDot(step.x * ahead.x + step.y * ahead.y, step.x * up.x + step.y * up.y)
        if all(abs(dot.along - other.along) + abs(dot.up - other.up) > 2 * SAME_MARK for other in found):
            found.append(dot)
    return tuple(sorted(found, key=lambda dot: (round(dot.up, 2), dot.along)))


def base_ticks(section: DrawnSection) -> tuple[Point, ...]:
    """Where a section's lines touch its base, between its ends."""
    left, right = _base(section)
    length = distance(left, right)
    ahead = right.minus(left).times(1 / length)
    found: dict[int, Point] = {}
    for point in _nodes(section.lines):
        step = point.minus(left)
        place = step.x * ahead.x + step.y * ahead.y
        if abs(step.x * ahead.y - step.y * ahead.x) < SAME_MARK < place < length - SAME_MARK:
            found.setdefault(round(place / SAME_MARK), point)
    return tuple(point for _, point in sorted(found.items()))


def _base(section: DrawnSection) -> tuple[Point, Point]:
    if len(section.corners) > 3:  # noqa: PLR2004
        return section.corners[1], section.corners[3]
    return section.corners[0], section.corners[1]


def _nodes(lines: Iterable[Line]) -> Iterable[Point]:
    for line in lines:
        yield from line[::3] if isinstance(line, Curve) else line


class Piece(NamedTuple):
    """A piece of the marking strip: from here to there, in inches along the side."""

    start: float
    end: float


def pieces(length: float, most: float, join: float) -> tuple[Piece, ...]:
    """Cut a strip into pieces of at most `most` inches that overlap by `join`, all alike in length.

    The first starts at 0, the last ends at `length`; a strip that fits is one piece.
    """
    if length <= most:
        return (Piece(0.0, length),)
    step = most - join
    count = 1
    while count * step + join < length - 1e-9:
        count += 1
    even = (length + (count - 1) * join) / count
    return tuple(Piece(i * (even - join), length if i == count - 1 else i * (even - join) + even) for i in range(count))


def told(chart_: Chart) -> Sequence[tuple[str, Mark]]:
    """Every row of the chart in order along the side: `dot`, `point` or `quarter`, and the mark."""
    rows = [("dot", mark) for mark in chart_.dots] + [("point", mark) for mark in chart_.points]
    rows += [("quarter", mark) for mark in chart_.quarters]
    return sorted(rows, key=lambda row: row[1].place)
