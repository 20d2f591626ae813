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
from geometry.quilt import side_and_tier
from geometry.sections import LEFT, RIGHT, Section

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from collections.abc import Set as AbstractSet

    from geometry.inspection.drawn import Drawn, DrawnSection
    from geometry.inspection.skeleton import Skeleton
    from geometry.needle import Run
    from geometry.plane import Line

ALIKE = 1e-4
"""Inches within which the lines of sections must agree to be worked out once: coarser than a document keeps them."""


class Stretch(NamedTuple):
    """The middle of a stretch of line, and how often it is stitched."""

    at: Point
    times: int


def strips(skeleton: Skeleton, unbroken: AbstractSet[str] = frozenset()) -> tuple[Strip, ...] | None:
    """The sides as they are stitched, clockwise; None if zigzags, corner lines and sections do not go together.

    `unbroken` names the sections with one line that nothing meets but at its ends.
    """
    tiers = max((side_and_tier(track.side)[1] for track in skeleton.tracks), default=1)
    moulds = _Moulds(unbroken, tiers)
    found = []
    for track in skeleton.tracks:
        sections = [section for section in skeleton.sections if section.side == track.side]
        crossings = skeleton.crossings.get(track.side, ())
        opening = tuple(line for side, line in skeleton.openings.items() if side == track.side)
        begins, ends = (not skeleton.bordered[(track.number + step) % len(skeleton.bordered)] for step in (-1, 1))
        bases = Counter(section.base for section in sections)
        # at an inward corner the pivot lies on the stop line, and is a point
        first = int(track.pivots[0] == track.rails[1][0])
        dots, points = track.places[first::2], track.places[1 - first :: 2]
        wanted = {
            "inner": len(dots) - 1,
            "outer": len(points) - 1,
            "corner": len(opening) + len(crossings) + (not ends),
        }
        ends_right = (len(track.places) + first) % 2 == (track.pivots[1] != track.rails[1][1])
        closed_off = len(opening) == begins and (len(crossings) == 1 or not ends)
        if not (ends_right and closed_off) or bases != {base: number for base, number in wanted.items() if number}:
            return None
        filled = tuple(
            moulds.filled(section, section.place - begins, bases["corner"] - begins)
            for section in sorted(sections, key=_in_order)
        )
        _, tier = side_and_tier(track.side)
        found.append(Strip(track.side, dots, points, crossings, filled, bool(first), opening, ends, tier))
    return tuple(found) if len(found) == tiers * sum(skeleton.bordered) else None


def _in_order(section: DrawnSection) -> tuple[int, int]:
    return (("inner", "outer", "corner").index(section.base), section.place)


class _Mould(NamedTuple):
    """A section in standard position: three of its corners, its lines, and all its points in one row."""

    corners: tuple[Point, Point, Point]
    fill: Fill
    points: Sequence[float]


class _Moulds:
    """Sections as the needle takes them; those that are alike share one fill in standard position."""

    def __init__(self, unbroken: AbstractSet[str], tiers: int = 1) -> None:
        """Begin without any; `unbroken` names the sections with one unbroken line."""
        self._unbroken, self._tiers = unbroken, tiers
        self._known: dict[tuple[object, ...], list[_Mould]] = {}

    def filled(self, section: DrawnSection, place: int, in_corner: int) -> FilledSection:
        """A drawn section with its fill.

        `place` is its number, of a corner piece that in its corner (0 where it opens a strip); `in_corner` counts the
        pieces of the corner.
        """
        whole = Section(
            section.name, section.side, section.place, section.base, section.corners,
            LEFT if place == 1 else RIGHT, tip_only=section.four_sided and in_corner > 2,  # noqa: PLR2004
            tier=side_and_tier(section.side)[1], tiers=self._tiers,
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
        points = [*itertools.chain.from_iterable(row)]
        unbroken = section.name in self._unbroken
        alike = self._known.setdefault((tuple(map(len, lines)), len(section.corners), section.base, unbroken), [])
        for mould in alike:
            if all(abs(one - other) <= ALIKE for one, other in zip(points, mould.points, strict=True)):
                return mould
        alike.append(_Mould(standard, Fill(lines, section.spacing, unbroken=unbroken), points))
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


def run_through(drawn: Drawn, skeleton: Skeleton, unbroken: AbstractSet[str] = frozenset()) -> tuple[Run, ...] | None:
    """The runs of the border as drawn; None if zigzags, corner lines and sections do not go together.

    `unbroken` names the sections with one line that nothing meets but at its ends.
    """
    sides = strips(skeleton, unbroken)
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
    # a stretch of line is stitched once, and whatever else is stitching over it
    legs = [leg for run in runs for leg in run.legs if leg.how != "travel"]
    over = Counter((min(pair), max(pair)) for leg in legs if leg.how == "over" for pair in itertools.pairwise(leg.line))
    # a stretch of fill is the same piece of the same graph each time; diagonals and corner lines are cut up
    # differently by the fills on either side
    bones = [bone for track in skeleton.tracks for bone in itertools.pairwise(track.places)]
    bones += [bone for lines in skeleton.crossings.values() for line in lines for bone in itertools.pairwise(line)]
    on_bone = dict(_beside(bones, list(over)))
    found = [Stretch(middle(*pair), 1 + count) for pair, count in over.items() if pair not in on_bone and count >= most]
    bones = [bones[number] for number in sorted(set(on_bone.values()))]
    covered: dict[int, list[tuple[float, float]]] = {}
    for pair, number in _beside(bones, [leg.line for leg in legs]):
        ways = sorted(distance(bones[number][0], place) for place in pair)
        covered.setdefault(number, []).append((ways[0] + MEETING, ways[1] - MEETING))
    for number, spans in covered.items():
        way, count = _most_covered(spans)
        if count > most:
            start, end = bones[number]
            found.append(Stretch(along(start, end, way / distance(start, end)), count))
    return found


def _beside(bones: Sequence[tuple[Point, Point]], lines: Sequence[Line]) -> Iterator[tuple[tuple[Point, Point], int]]:
    """The pieces of lines that lie along a bone, each with that bone's number."""
    import numpy as np
    import shapely

    if not bones or not lines:
        return
    places = [place for line in lines for place in line]
    tree = shapely.STRtree(shapely.linestrings(np.array(bones)))
    rows, bone = tree.query(
        shapely.points(np.fromiter(itertools.chain.from_iterable(places), float).reshape(-1, 2)),
        predicate="dwithin",
        distance=2 * MEETING,
    )
    near: dict[int, set[int]] = {}
    for place, number in zip(rows.tolist(), bone.tolist(), strict=True):
        near.setdefault(place, set()).add(number)
    ends = {*itertools.accumulate(map(len, lines))}
    for place, numbers in near.items():
        both = numbers & near.get(place + 1, set())
        if both and place + 1 not in ends:
            yield (places[place], places[place + 1]), max(both)


def _most_covered(spans: Sequence[tuple[float, float]]) -> tuple[float, int]:
    """The place covered by most spans, in the middle of its stretch, and by how many."""
    stops = sorted({stop for low, high in spans if low < high for stop in (low, high)})
    best = (0.0, 0)
    for low, high in itertools.pairwise(stops):
        count = sum(start <= low and high <= end for start, end in spans)
        if count > best[1]:
            best = ((low + high) / 2, count)
    return best
