"""The runs of a border as drawn, and how often each stretch of line is stitched in them.

Sections that are alike are worked out once, as when a border is first drawn.
"""

from __future__ import annotations

import itertools
from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import DrawingError
from geometry.fills.shape import Fill, FilledSection
from geometry.graph import MEETING
from geometry.needle import Strip
from geometry.order import stitch
from geometry.plane import Affine, Point, along, cross, distance, middle
from geometry.sections import LEFT, RIGHT, Section

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.drawn import Drawn, DrawnSection
    from geometry.inspection.skeleton import Skeleton
    from geometry.needle import Run

ALIKE = 1e-4
"""Inches within which the lines of sections must agree to be worked out once: coarser than a document keeps them."""


class Stretch(NamedTuple):
    """The middle of a stretch of line, and how often it is stitched."""

    at: Point
    times: int


def strips(skeleton: Skeleton) -> tuple[Strip, ...] | None:
    """The sides as they are stitched, clockwise; None if zigzags, corner lines and sections do not go together."""
    moulds = _Moulds()
    found = []
    for track in skeleton.tracks:
        sections = [section for section in skeleton.sections if section.side == track.side]
        crossings = skeleton.crossings.get(track.side, ())
        bases = Counter(section.base for section in sections)
        # at an inward corner the pivot lies on the stop line, and is a point
        first = int(track.pivots[0] == track.rails[1][0])
        dots, points = track.places[first::2], track.places[1 - first :: 2]
        wanted = {"inner": len(dots) - 1, "outer": len(points) - 1, "corner": len(crossings) + 1}
        ends_right = (len(track.places) + first) % 2 == (track.pivots[1] != track.rails[1][1])
        if not ends_right or bases != {base: number for base, number in wanted.items() if number}:
            return None
        filled = tuple(moulds.filled(section, bases["corner"]) for section in sorted(sections, key=_in_order))
        found.append(Strip(track.side, dots, points, crossings, filled, points_first=bool(first)))
    return tuple(found) if len(found) == skeleton.sides else None


def _in_order(section: DrawnSection) -> tuple[int, int]:
    return (("inner", "outer", "corner").index(section.base), section.place)


class _Mould(NamedTuple):
    """A section in standard position: three of its corners, its lines, and all its points in one row."""

    corners: tuple[Point, Point, Point]
    fill: Fill
    points: Sequence[float]


class _Moulds:
    """Sections as the needle takes them; those that are alike share one fill in standard position."""

    def __init__(self) -> None:
        """Begin without any."""
        self._known: dict[tuple[object, ...], list[_Mould]] = {}

    def filled(self, section: DrawnSection, in_corner: int) -> FilledSection:
        """A drawn section with its fill; `in_corner` counts the pieces of its corner."""
        whole = Section(
            section.name, section.side, section.place, section.base, section.corners,
            LEFT if section.place == 1 else RIGHT, tip_only=section.four_sided and in_corner > 2,  # noqa: PLR2004
        )  # fmt: skip
        # a four-sided piece may have its tip on the line from left to right; its bend never lies there
        corners = (whole.left, whole.right, whole.middle if section.four_sided else whole.tip)
        mould = self._mould(section, corners)
        drawn = Fill(section.lines, section.spacing, section.note)
        return FilledSection(whole, section.fill_name, drawn, mould.fill, _onto(mould.corners, corners))

    def _mould(self, section: DrawnSection, corners: tuple[Point, Point, Point]) -> _Mould:
        standard = _standard(corners)
        back = _onto(standard, corners).inverse()
        lines = tuple(back.line(line) for line in section.lines)
        row = (*standard, *(back.at(corner) for corner in section.corners), *itertools.chain.from_iterable(lines))
        points = [number for point in row for number in point]
        alike = self._known.setdefault((tuple(map(len, lines)), len(section.corners), section.base), [])
        for mould in alike:
            if all(abs(one - other) <= ALIKE for one, other in zip(points, mould.points, strict=True)):
                return mould
        alike.append(_Mould(standard, Fill(lines, section.spacing), points))
        return alike[-1]


def _standard(corners: tuple[Point, Point, Point]) -> tuple[Point, Point, Point]:
    """A triangle of the same sides with its left corner at the origin, its right one on the x axis, its third above."""
    left, right, third = corners
    wide = distance(left, right)
    ahead, step = right.minus(left).times(1 / wide), third.minus(left)
    return (
        Point(0.0, 0.0), Point(wide, 0.0), Point(step.x * ahead.x + step.y * ahead.y, abs(cross(ahead, step)))
    )  # fmt: skip


def _onto(standard: tuple[Point, Point, Point], corners: tuple[Point, Point, Point]) -> Affine:
    """The map that takes a triangle in standard position to three corners."""
    (_, right, third), (here, there, over) = standard, corners
    along_base = there.minus(here).times(1 / right.x)
    up = over.minus(here).minus(along_base.times(third.x)).times(1 / third.y)
    return Affine(along_base.x, along_base.y, up.x, up.y, here.x, here.y)


def run_through(drawn: Drawn, skeleton: Skeleton) -> tuple[Run, ...] | None:
    """The runs of the border as drawn; None if zigzags, corner lines and sections do not go together."""
    sides = strips(skeleton)
    if sides is None:
        return None
    try:
        return stitch(sides, drawn.order, outer_seam=drawn.kind == "inner" or drawn.under)
    except DrawingError:
        return None  # the zigzag has a gap, which is a finding of its own


def often_stitched(runs: Sequence[Run], skeleton: Skeleton, most: int) -> list[Stretch]:
    """Where a line is stitched more than `most` times, all runs together.

    Of each diagonal and corner line the stretch stitched most often; of the fills every such piece.
    """
    import numpy as np
    import shapely

    # a stretch of fill is the same piece of the same graph each time; diagonals and corner lines are cut up
    # differently by the fills on either side
    times: Counter[tuple[Point, Point]] = Counter()
    for run in runs:
        for leg in run.legs:
            if leg.how != "travel":
                times.update((min(a, b), max(a, b)) for a, b in itertools.pairwise(leg.line))
    stretches = np.array(list(times)).reshape(-1, 2, 2)
    bones = [bone for track in skeleton.tracks for bone in itertools.pairwise(track.places)]
    bones += [bone for lines in skeleton.crossings.values() for line in lines for bone in itertools.pairwise(line)]
    tree = shapely.STRtree(shapely.linestrings(np.array(bones)))
    beside = [
        {
            *zip(
                *tree.query(shapely.points(stretches[:, end]), predicate="dwithin", distance=2 * MEETING).tolist(),
                strict=True,
            )
        }
        for end in (0, 1)
    ]
    on_bone = dict(sorted(beside[0] & beside[1]))
    counts = list(times.items())
    covered: dict[int, list[tuple[float, float, int]]] = {}
    found = []
    for number, ((start, end), count) in enumerate(counts):
        if number in on_bone:
            bone = bones[on_bone[number]]
            ways = sorted(distance(bone[0], place) for place in (start, end))
            covered.setdefault(on_bone[number], []).append((ways[0] + MEETING, ways[1] - MEETING, count))
        elif count > most:
            found.append(Stretch(middle(start, end), count))
    for number, spans in covered.items():
        way, count = _most_covered(spans)
        if count > most:
            start, end = bones[number]
            found.append(Stretch(along(start, end, way / distance(start, end)), count))
    return found


def _most_covered(spans: Sequence[tuple[float, float, int]]) -> tuple[float, int]:
    """The place covered most often by weighted spans, in the middle of its stretch, and how often that is."""
    stops = sorted({stop for low, high, _ in spans if low < high for stop in (low, high)})
    best = (0.0, 0)
    for low, high in itertools.pairwise(stops):
        count = sum(weight for start, end, weight in spans if start <= low and high <= end)
        if count > best[1]:
            best = ((low + high) / 2, count)
    return best
