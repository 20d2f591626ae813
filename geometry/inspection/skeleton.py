"""The zigzag and the lines across the corners as drawn: off their pivots, their seams, their stop line.

The sections follow: a section's corner is where the zigzag's dot or point now is, so that a dot
moved along its seam moves the sections on either side with it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from geometry.inspection.drawn import HAIR, CornerLine, Drawn, DrawnSection, DrawnSide, side_in_words, turns
from geometry.inspection.outside import Region, excursions
from geometry.plane import Curve, Line, Point, cross, distance, distance_to_piece, flat

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from geometry.inspection.telling import Kind

SAME_CORNER = 0.02
"""Inches within which a section's corner as written down and a dot or point as first drawn are one."""

STRAIGHT_DEG = 179.0
"""A node at which the zigzag turns less than a degree was put in on the way, it is no dot and no point."""


class Misplaced(NamedTuple):
    """A pivot missed, a point off its line or beyond the stop line.

    Attributes:
        kind: `misses-pivot`, `off-seam` or `beyond-stop-line`.
        side: the side whose line it is.
        words: what a quilter calls the line.
        at: the place; of a pivot missed the pivot, of a corner of sections that no line reaches any more that corner.
        amount: inches off, beyond, or to what was to reach it.
        unreached: it is a corner that no line reaches.
    """

    kind: Kind
    side: str
    words: str
    at: Point
    amount: float
    unreached: bool = False


class Track(NamedTuple):
    """A zigzag turned the right way.

    Attributes:
        side: its side.
        number: the number of the seam it runs along.
        line: the line as drawn, clockwise.
        places: its ends and turning nodes; an end within a hair of its pivot is the pivot.
        pivots: where it should begin and end.
        rails: the seam and the stop line beside it.
    """

    side: str
    number: int
    line: Line
    places: Line
    pivots: tuple[Point, Point]
    rails: tuple[tuple[Point, Point], tuple[Point, Point]]


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Zigzag, corner lines and sections as they are now.

    Attributes:
        found: what is misplaced.
        sections: the sections, their corners where the drawing has them.
        shaken: the numbers of the sections with a misplaced corner; these keep the corners written down.
        tracks: the zigzags, clockwise.
        crossings: for each side the lines across the corner in which it ends, pivot outwards, clockwise.
        openings: for each side that no other leads to the line with which it begins, pivot outwards.
        bordered: of each side of the edge whether it has a border.
    """

    found: tuple[Misplaced, ...]
    sections: tuple[DrawnSection, ...]
    shaken: frozenset[int]
    tracks: tuple[Track, ...]
    crossings: Mapping[str, tuple[Line, ...]]
    openings: Mapping[str, Line]
    bordered: tuple[bool, ...]


class _Joint(NamedTuple):
    """A corner of sections as written down, where the drawing has it now, and whether that is a wrong place."""

    written: Point
    now: Point
    wrong: bool


def read_skeleton(drawn: Drawn, stop: Region) -> Skeleton:
    """Check zigzags and corner lines, and let the sections follow them.

    Args:
        drawn: the drawing.
        stop: the region within the stop line, from `outside.region`.
    """
    tiers = drawn.tiers
    if len(tiers) == 1:
        return _read_tier(drawn, stop)
    read = [_read_tier(tier, stop) for tier in tiers]
    numbers = {section.name: number for number, section in enumerate(drawn.sections)}
    now = {section.name: section for one in read for section in one.sections}
    shaken = {numbers[one.sections[number].name] for one in read for number in one.shaken}
    return Skeleton(
        tuple(found for one in read for found in one.found),
        tuple(now.get(section.name, section) for section in drawn.sections),
        frozenset(shaken),
        tuple(track for one in read for track in one.tracks),
        {side: lines for one in read for side, lines in one.crossings.items()},
        {side: line for one in read for side, line in one.openings.items()},
        drawn.bordered,
    )


def _read_tier(drawn: Drawn, stop: Region) -> Skeleton:
    """The same of one tier, or of a border without any."""
    found: list[Misplaced] = []
    joints: list[_Joint] = []
    drawn_sides = (side for side in drawn.zigzags if len(set(side.line)) > 1)
    tracks = sorted((_track(drawn, side) for side in drawn_sides), key=lambda track: track.number)
    for track in tracks:
        wrong = dict(_misplaced(track, stop))
        new = _joints(track, _written(drawn, track.side), set(wrong))
        found += wrong.values() if wrong else _left_behind(track, new)
        joints += new
    crossings: dict[str, tuple[Line, ...]] = {}
    openings: dict[str, Line] = {}
    begins = {track.side: track.pivots[0] for track in tracks if not drawn.bordered[track.number - 1]}
    for corner_line in drawn.corner_lines:
        crossing, wrong_ends = _corner_line(drawn, corner_line, stop)
        found += wrong_ends
        joints += _reached(drawn, corner_line.side, crossing, joints, wrong=bool(wrong_ends))
        if crossing[0] == begins.get(corner_line.side):
            openings[corner_line.side] = crossing
        else:
            crossings[corner_line.side] = (*crossings.get(corner_line.side, ()), crossing)
    ends = {track.side: track.places[-2] for track in tracks}
    for side, lines in crossings.items():
        if side in ends:
            crossings[side] = tuple(sorted(lines, key=lambda line: distance(line[-1], ends[side])))
    sections, shaken = _follow(drawn.sections, joints)
    if not found:
        found += _uncrossed(sections, tracks, [*itertools.chain(*crossings.values()), *openings.values()])
        lost = [one.at for one in found]
        shaken |= {number for number, section in enumerate(sections) if not set(lost).isdisjoint(section.corners)}
    return Skeleton(tuple(found), sections, shaken, tuple(tracks), crossings, openings, drawn.bordered)


def _pivot(drawn: Drawn, number: int) -> Point:
    """The corner at which sides meet: on the border seam, or at an inward corner on the stop line."""
    edge = drawn.edge
    here = edge[number]
    if drawn.turned:
        return (drawn.stop_line if drawn.turned[number] else drawn.seam)[number]
    inwards = cross(here.minus(edge[number - 1]), edge[(number + 1) % len(edge)].minus(here)) < 0
    return (drawn.stop_line if inwards else drawn.seam)[number]


def _track(drawn: Drawn, side: DrawnSide) -> Track:
    """Find the seam a zigzag runs along: the one whose pivots its ends are nearest to, either way round."""
    count = len(drawn.seam)
    bordered = [number for number, there in enumerate(drawn.bordered) if there]
    pivots = [_pivot(drawn, number) for number in range(count)]
    backwards = tuple(side.line[::-1])
    ways = (side.line, Curve(backwards) if isinstance(side.line, Curve) else backwards)
    line, number = min(
        ((way, number) for way in ways for number in bordered),
        key=lambda pair: distance(pair[0][0], pivots[pair[1]]) + distance(pair[0][-1], pivots[(pair[1] + 1) % count]),
    )
    following = (number + 1) % count
    bent = [turn.at for turn in turns(line) if turn.degrees < STRAIGHT_DEG]
    start, end = (
        pivot if distance(place, pivot) <= HAIR else place
        for place, pivot in ((line[0], pivots[number]), (line[-1], pivots[following]))
    )
    return Track(
        side.name, number, line, (start, *bent, end), (pivots[number], pivots[following]),
        ((drawn.seam[number], drawn.seam[following]), (drawn.stop_line[number], drawn.stop_line[following])),
    )  # fmt: skip


def _misplaced(track: Track, stop: Region) -> Iterator[tuple[Point, Misplaced]]:
    """What is wrong with a zigzag: each misplaced end, dot or point, and what is told of it."""
    words = f"zigzag of {side_in_words(track.side)}"
    ends = (track.places[0], track.places[-1])
    for end, pivot in zip(ends, track.pivots, strict=True):
        if distance(end, pivot) > HAIR:
            yield end, Misplaced("misses-pivot", track.side, words, pivot, distance(end, pivot))
    beyond = [out for out in excursions(track.line, stop) if min(distance(out.at, end) for end in ends) > HAIR]
    for out in beyond:
        place = min(track.places, key=lambda place: distance(place, out.at))
        yield place, Misplaced("beyond-stop-line", track.side, words, *out)
    for before, here, after in zip(track.places, track.places[1:], track.places[2:], strict=False):
        off = min(distance_to_piece(here, *rail) for rail in (*track.rails, (before, after)))
        if off > HAIR and not any(distance(here, out.at) <= SAME_CORNER for out in beyond):
            yield here, Misplaced("off-seam", track.side, words, here, off)


def _written(drawn: Drawn, side: str) -> list[Point]:
    """The dots and points of a side as its triangles have them written down, in order."""
    mine = [section for section in drawn.sections if section.side == side and section.base != "corner"]
    if not mine:
        return []
    rows = {base: sorted((s for s in mine if s.base == base), key=lambda s: s.place) for base in ("inner", "outer")}
    # each triangle lies between three places that follow one another; the first is the one whose tip is no base's end
    inner, outer = rows["inner"], rows["outer"]
    seam_first = bool(inner) and (not outer or distance(inner[0].corners[2], outer[0].corners[0]) <= SAME_CORNER)
    first, second = (inner, outer) if seam_first else (outer, inner)
    row = [one for pair in itertools.zip_longest(first, second) for one in pair if one is not None]
    return [row[0].corners[0], row[0].corners[2], *(section.corners[1] for section in row)]


def _joints(track: Track, written: Sequence[Point], wrong: set[Point]) -> list[_Joint]:
    if len(written) == len(track.places):
        return [_Joint(old, now, now in wrong) for old, now in zip(written, track.places, strict=True)]
    # dots or points were added or taken out: sections keep their corners, and those that have lost one are shaken
    nearest = [min(track.places, key=lambda place: distance(place, old)) for old in written]
    return [_Joint(old, old, distance(old, now) > SAME_CORNER) for old, now in zip(written, nearest, strict=True)]


def _left_behind(track: Track, joints: Sequence[_Joint]) -> Iterator[Misplaced]:
    """Dots and points that the sections have, and the zigzag no longer comes to."""
    words = f"zigzag of {side_in_words(track.side)}"
    for joint in joints:
        if joint.wrong:
            off = _distance_to(joint.written, track.line)
            if off > SAME_CORNER:
                yield Misplaced("off-seam", track.side, words, joint.written, off, unreached=True)


def _uncrossed(
    sections: Sequence[DrawnSection], tracks: Sequence[Track], crossings: Sequence[Line]
) -> Iterator[Misplaced]:
    """Corners of corner pieces that neither zigzag nor corner line comes to: a line across the corner is missing."""
    seen: list[Point] = []
    bones = [*(track.line for track in tracks), *crossings]
    for section in sections:
        if section.base != "corner" or section.four_sided:
            continue
        for corner in section.corners:
            off = min((_distance_to(corner, bone) for bone in bones), default=0.0)
            if off > SAME_CORNER and all(distance(corner, other) > SAME_CORNER for other in seen):
                seen.append(corner)
                words = f"corner line of {side_in_words(section.side)}"
                yield Misplaced("off-seam", section.side, words, corner, off, unreached=True)


def _distance_to(point: Point, line: Line) -> float:
    return min(distance_to_piece(point, *piece) for piece in itertools.pairwise(flat(line)))


def _corner_line(drawn: Drawn, corner_line: CornerLine, stop: Region) -> tuple[Line, list[Misplaced]]:
    """A line across a corner from its pivot outwards, and what is wrong with it."""
    side, line = corner_line
    words = f"corner line of {side_in_words(side)}"
    pivots = [_pivot(drawn, number) for number in range(len(drawn.seam))]
    pivot = min(pivots, key=lambda pivot: min(distance(pivot, line[0]), distance(pivot, line[-1])))
    inner, outer = sorted((line[0], line[-1]), key=lambda end: distance(end, pivot))
    found = []
    if distance(inner, pivot) > HAIR:
        found.append(Misplaced("misses-pivot", side, words, pivot, distance(inner, pivot)))
    beyond = excursions(line, stop, ends_may_leave=drawn.under)
    found += (Misplaced("beyond-stop-line", side, words, *out) for out in beyond)
    # from a pivot on the stop line, at an inward corner, it goes to the border seam
    reached = drawn.seam if pivot in drawn.stop_line else drawn.stop_line
    rim = zip(reached, [*reached[1:], reached[0]], strict=True)
    off = min(distance_to_piece(outer, *rail) for rail in rim)
    if off > HAIR and not beyond and not drawn.under:
        found.append(Misplaced("off-seam", side, words, outer, off))
    return (pivot, outer), found


def _reached(drawn: Drawn, side: str, crossing: Line, joints: Sequence[_Joint], *, wrong: bool) -> list[_Joint]:
    """The corner of the pieces beside a corner line that its outer end is."""
    corners = [
        corner
        for section in drawn.sections
        if section.side == side and section.base == "corner" and not section.four_sided
        for corner in section.corners
        if all(distance(corner, joint.written) > SAME_CORNER for joint in joints)
    ]
    if not corners:
        return []
    reached = min(corners, key=lambda corner: distance(corner, crossing[-1]))
    return [_Joint(reached, crossing[-1], wrong)]


def _follow(
    sections: Sequence[DrawnSection], joints: Sequence[_Joint]
) -> tuple[tuple[DrawnSection, ...], frozenset[int]]:
    """The sections with their corners where the joints now are; one with a misplaced corner stays as it was written."""
    if not sections or not joints:
        return tuple(sections), frozenset()
    import shapely

    tree = shapely.STRtree(shapely.points([joint.written for joint in joints]))
    corners = [corner for section in sections for corner in section.corners]
    near: dict[int, list[_Joint]] = {}
    for corner, joint in zip(*tree.query(shapely.points(corners), "dwithin", SAME_CORNER).tolist(), strict=True):
        near.setdefault(corner, []).append(joints[joint])
    followed, shaken = [], set()
    first = 0
    for number, section in enumerate(sections):
        places = range(first, first + len(section.corners))
        first = places.stop
        if any(joint.wrong for place in places for joint in near.get(place, ())):
            shaken.add(number)
            followed.append(section)
            continue
        now = tuple(near[place][0].now if place in near else corners[place] for place in places)
        followed.append(replace(section, corners=now))
    return tuple(followed), frozenset(shaken)
