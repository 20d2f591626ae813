"""Motif: the designer's own drawing, fitted to every triangle.

The drawing is looked at once: the smallest triangle that stands on its lowest line, its tip
over the middle, is found, and pieces that lie apart are joined by the shortest straight
lines. In each section that triangle goes, by an affine map, to the section set in from its
sides as joins are; straight lines lead in from where the needle stands. The engine finds
the way, so that any drawing can be stitched.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.carrying import triangle_map
from geometry.errors import OptionError
from geometry.fills.shape import SET_IN, Fill, Passage, Shape, left_out
from geometry.graph import MEETING
from geometry.plane import Affine, Line, Point, along, distance, flat, middle

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

LINES_AT_CORNER: dict[Passage, int] = {"home": 2, "across": 1, "tip": 1}

MOST_PIECES = 400
"""Separate lines in a drawing; more are hatching or text turned to outlines, not a line to stitch."""

SMALLEST = 0.25
"""Share of the section's height that must be left for the drawing."""

_UNIT = (Point(-1.0, 0.0), Point(1.0, 0.0), Point(0.0, 1.0))


class Motif(NamedTuple):
    """A drawing laid out in the triangle (-1, 0), (1, 0), (0, 1), all of it hanging together."""

    lines: tuple[Line, ...]


def laid_out(drawing: Sequence[Line]) -> Motif:
    """Lay a drawing out for fitting; its y grows downwards, as on the page.

    Raises:
        OptionError: there is nothing in it, or it is far too much.
    """
    lines = [line for line in drawing if len(line) > 1 and any(point != line[0] for point in line)]
    if not lines:
        raise OptionError("The motif has no lines; it must be a drawing of lines or shapes: please choose another.")
    if len(lines) > MOST_PIECES:
        raise OptionError(
            f"The motif has {len(lines)} separate lines; at most {MOST_PIECES} can be stitched as one: please simplify it."
        )
    points = [point for line in lines for point in flat(line)]
    left, right = min(p.x for p in points), max(p.x for p in points)
    low, high = max(p.y for p in points), min(p.y for p in points)
    wide, tall = right - left, low - high
    if min(wide, tall) <= 1e-9 * max(wide, tall):
        raise OptionError("The motif is one straight line; it must have a width and a height: please choose another.")
    centre = (left + right) / 2
    half, height = _smallest_triangle([Point(p.x - centre, low - p.y) for p in points], wide, tall)
    place = triangle_map((Point(centre - half, low), Point(centre + half, low), Point(centre, low - height)), _UNIT)
    placed = [place.line(line) for line in lines]
    return Motif((*placed, *_joins(placed)))


def _smallest_triangle(points: Sequence[Point], wide: float, tall: float) -> tuple[float, float]:
    """Half the base and the height of the smallest triangle on y = 0, its tip over x = 0, that holds all points.

    With a = 1 / half and c = 1 / height every point asks for a·|x| + c·y <= 1; a·c is to be as large as can be.
    """
    asks = _corners_of([(abs(x) / wide, y / tall) for x, y in points])
    found = []
    for x, y in asks:
        if x > 0 and y > 0:
            found.append((0.5 / x, 0.5 / y))
    for (x1, y1), (x2, y2) in itertools.pairwise(asks):
        area = x1 * y2 - x2 * y1
        if abs(area) > 1e-12:  # noqa: PLR2004 - one direction
            found.append(((y2 - y1) / area, (x1 - x2) / area))
    allowed = [(a, c) for a, c in found if a > 0 and c > 0 and all(a * x + c * y <= 1 + 1e-9 for x, y in asks)]
    # always possible: twice as wide and twice as tall as the drawing
    a, c = max(allowed, key=lambda pair: pair[0] * pair[1], default=(1.0, 0.5))
    return wide / a, tall / c


def _corners_of(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The outermost points, from the highest to the widest: those between them ask for less."""
    kept: list[tuple[float, float]] = []
    for x, y in sorted(set(points)):
        while kept and kept[-1][1] <= y:
            kept.pop()
        while len(kept) > 1 and _turn(kept[-2], kept[-1], (x, y)) >= 0:
            kept.pop()
        kept.append((x, y))
    return kept


def _turn(one: tuple[float, float], two: tuple[float, float], three: tuple[float, float]) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def _joins(lines: Sequence[Line]) -> Iterator[Line]:
    """The shortest straight lines that make pieces hang together, the nearest first."""
    import shapely  # noqa: PLC0415 - only where there is a motif

    shapes = [shapely.LineString(flat(line)) for line in lines]
    apart = sorted(
        (float(shapely.distance(one, other)), i, j)
        for (i, one), (j, other) in itertools.combinations(enumerate(shapes), 2)
    )
    group = list(range(len(lines)))
    for gap, i, j in apart:
        if group[i] == group[j]:
            continue
        old, new = group[j], group[i]
        group = [new if one == old else one for one in group]
        if gap > 0:
            ends = shapely.shortest_line(shapes[i], shapes[j]).coords
            yield tuple(Point(float(x), float(y)) for x, y in ends)


def draw(motif: Motif, shape: Shape, asked: float) -> Fill:
    """Fit the motif into a section, set in from its sides by its share of `asked` inches."""
    parts = shape.halves or (shape,)
    places = [_place(part, SET_IN * asked) for part in parts]
    if any(place is None for place in places):
        return left_out(asked, shape.height, 2 * SET_IN / (1 - SMALLEST))
    lines: list[Line] = []
    placed = [[place.line(line) for line in motif.lines] for place in places if place is not None]
    for drawn in placed:
        lines += drawn
    if shape.bent:
        # the halves meet halfway up the line between them
        heart = middle(shape.middle, shape.tip)
        lines += [line for drawn in placed for line in _lead(heart, drawn)]
    for gate in _gates(shape):
        nearest = min(placed, key=lambda drawn: distance(gate, _nearest(gate, drawn)))
        lines += _lead(gate, nearest)
    return Fill(tuple(lines), float(asked))


def _gates(shape: Shape) -> tuple[Point, ...]:
    """Where the needle comes in and goes out."""
    if shape.tip_only:
        return (shape.tip,)
    if shape.passage == "across":
        return (shape.left, shape.right)
    return (shape.right, shape.tip) if shape.passage == "tip" else (shape.right,)


def _place(part: Shape, inset: float) -> Affine | None:
    """The map from the motif's triangle into a section's, set in from all its sides; None where nothing would be left."""
    corners = (part.left, part.right, part.tip)
    sides = [distance(corners[i - 2], corners[i - 1]) for i in range(3)]
    around = sum(sides)
    heart = Point(
        sum(side * corner.x for side, corner in zip(sides, corners, strict=True)) / around,
        sum(side * corner.y for side, corner in zip(sides, corners, strict=True)) / around,
    )
    area = abs((corners[1].x - corners[0].x) * (corners[2].y - corners[0].y)
               - (corners[2].x - corners[0].x) * (corners[1].y - corners[0].y)) / 2  # fmt: skip
    share = 1 - inset * around / (2 * area)
    if share < SMALLEST:
        return None
    return triangle_map(_UNIT, [along(heart, corner, share) for corner in corners])


def _lead(gate: Point, lines: Sequence[Line]) -> Iterator[Line]:
    """A straight line from a gate to the nearest point of some lines, unless one is there already."""
    end = _nearest(gate, lines)
    if distance(gate, end) > MEETING:
        yield (gate, end)


def _nearest(place: Point, lines: Sequence[Line]) -> Point:
    best, least = place, math.inf
    for line in lines:
        for start, end in itertools.pairwise(flat(line)):
            step = end.minus(start)
            long = step.x * step.x + step.y * step.y
            share = ((place.x - start.x) * step.x + (place.y - start.y) * step.y) / long if long else 0.0
            point = along(start, end, min(max(share, 0.0), 1.0))
            gap = distance(place, point)
            if gap < least:
                best, least = point, gap
    return best
