"""From the sections of one drawing to those of the next: which becomes which, and where their lines go.

Lines are carried by the affine map between old and new triangle. A large corner is carried
by two such maps that share the line from pivot to outer corner, lines that cross it getting
a node there; the middle of a square corner by three of its corners.
"""

from __future__ import annotations

import itertools
from collections import Counter
from typing import TYPE_CHECKING

from geometry.plane import Affine, Curve, Point, along, cross

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from geometry.plane import Line
    from geometry.sections import Section

LOST = 1e3
"""What it costs to leave a section without a place, against one whole side between its old place and the new one."""

LOOKS = 12
"""Pieces into which a Bézier is cut to see where it crosses a line."""


def triangle_map(old: Sequence[Point], new: Sequence[Point]) -> Affine:
    """The affine map that takes three corners to three others.

    Raises:
        ZeroDivisionError: the old corners lie on one line.
    """
    return _from_unit(new).after(_from_unit(old).inverse())


def _from_unit(corners: Sequence[Point]) -> Affine:
    one, two, three = corners
    return Affine(two.x - one.x, two.y - one.y, three.x - one.x, three.y - one.y, one.x, one.y)


def carried(line: Line, old: Section, new: Section) -> Line:
    """A line of the old section, in the new one; both have the same number of corners."""
    if not old.four_sided:
        return triangle_map(old.corners, new.corners).line(line)
    if old.tip_only:
        pick = (0, 1, 3)
        return triangle_map([old.corners[i] for i in pick], [new.corners[i] for i in pick]).line(line)
    pivot, outer = old.corners[0], old.corners[2]
    maps = {
        side: triangle_map([old.corners[i] for i in pick], [new.corners[i] for i in pick])
        for side, pick in ((True, (0, 1, 2)), (False, (0, 2, 3)))
    }
    sense = _side(old.corners[1], pivot, outer)

    def first_half(point: Point) -> bool:
        return _side(point, pivot, outer) * sense >= 0

    parted = _parted_curve(line, pivot, outer) if isinstance(line, Curve) else _parted(line, pivot, outer)
    if not isinstance(line, Curve):
        return tuple(maps[first_half(point)].at(point) for point in parted)
    found = [maps[first_half(parted[0])].at(parted[0])]
    for i in range(0, len(parted) - 1, 3):
        piece = parted[i : i + 4]
        place = maps[first_half(_on(piece, 0.5))]
        found += [place.at(point) for point in piece[1:]]
    return Curve(found)


def _side(point: Point, start: Point, end: Point) -> float:
    return cross(end.minus(start), point.minus(start))


def _parted(line: Line, start: Point, end: Point) -> list[Point]:
    """A line of straight pieces with a node wherever it crosses another line."""
    found = [line[0]]
    for point in line[1:]:
        before, after = _side(found[-1], start, end), _side(point, start, end)
        if before * after < 0:
            found.append(along(found[-1], point, before / (before - after)))
        found.append(point)
    return found


def _parted_curve(line: Curve, start: Point, end: Point) -> list[Point]:
    """A chain of Béziers with a node wherever it crosses a line."""
    found = [line[0]]
    for i in range(0, len(line) - 1, 3):
        rest: Sequence[Point] = line[i : i + 4]
        gone = 0.0
        for share in _crossings(line[i : i + 4], start, end):
            first, rest = _split(rest, (share - gone) / (1 - gone))
            gone = share
            found += first[1:]
        found += rest[1:]
    return found


def _crossings(bezier: Sequence[Point], start: Point, end: Point) -> list[float]:
    """Shares of a Bézier at which it crosses a line, its ends left out."""
    sides = [_side(_on(bezier, step / LOOKS), start, end) for step in range(LOOKS + 1)]
    found = []
    for step, (before, after) in enumerate(itertools.pairwise(sides)):
        if before * after < 0:
            low, high = step / LOOKS, (step + 1) / LOOKS
            for _ in range(50):
                half = (low + high) / 2
                low, high = (half, high) if _side(_on(bezier, half), start, end) * before > 0 else (low, half)
            found.append((low + high) / 2)
    return found


def _on(bezier: Sequence[Point], share: float) -> Point:
    return _split(bezier, share)[0][-1]


def _split(bezier: Sequence[Point], share: float) -> tuple[list[Point], list[Point]]:
    """A Bézier cut in two (de Casteljau's way)."""
    first, second = [bezier[0]], [bezier[-1]]
    points = list(bezier)
    while len(points) > 1:
        points = [along(one, two, share) for one, two in itertools.pairwise(points)]
        first.append(points[0])
        second.insert(0, points[-1])
    return first, second


def relative_places(sections: Sequence[Section]) -> dict[str, float]:
    """How far along its side, from 0 to 1, the middle of each section lies among its like."""
    counts = Counter((section.side, section.base) for section in sections)
    return {section.name: (section.place - 0.5) / counts[section.side, section.base] for section in sections}


def matched(old: Sequence[Section], places: Mapping[str, float], new: Sequence[Section]) -> dict[str, str]:
    """Which new section each old one becomes: by side, base and relative place, in order, as many as can.

    Args:
        old: the sections that are to be found a place.
        places: their relative places, by name.
        new: all sections of the next drawing.
    """
    found: dict[str, str] = {}
    there = relative_places(new)
    for side, base in dict.fromkeys((section.side, section.base) for section in old):
        before = [section for section in old if (section.side, section.base) == (side, base)]
        before.sort(key=lambda section: places[section.name])
        after = [section for section in new if (section.side, section.base) == (side, base)]
        found.update(_paired(before, places, after, there))
    return found


def _paired(
    old: Sequence[Section], places: Mapping[str, float], new: Sequence[Section], there: Mapping[str, float]
) -> Iterable[tuple[str, str]]:
    """Pairs in order along the side, as many as can, with the least difference of relative place."""
    # best[j]: cost and pairs for the old ones so far and the first j new ones
    best: list[tuple[float, tuple[tuple[str, str], ...]]] = [(0.0, ())] * (len(new) + 1)
    for section in old:
        row = [(best[0][0] + LOST, best[0][1])]
        for j, other in enumerate(new):
            ways = [(best[j + 1][0] + LOST, best[j + 1][1]), row[j]]
            if len(section.corners) == len(other.corners):
                apart = abs(places[section.name] - there[other.name])
                ways.append((best[j][0] + apart, (*best[j][1], (section.name, other.name))))
            row.append(min(ways, key=lambda way: way[0]))
        best = row
    return best[-1][1]


def nearest(new: Sequence[Section], old: Sequence[Section], places: Mapping[str, float]) -> dict[str, str]:
    """For each new section the old one of its side and base that lay nearest to its relative place.

    Args:
        new: all sections of the next drawing.
        old: the sections to choose from.
        places: their relative places, by name.
    """
    there = relative_places(new)
    found = {}
    for section in new:
        like = [one for one in old if (one.side, one.base) == (section.side, section.base)]
        if like:
            found[section.name] = min(like, key=lambda one: abs(places[one.name] - there[section.name])).name
    return found
