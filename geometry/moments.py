"""A run cut into moments: the diagonals, corner lines and fills it is made of, in the order they are stitched.

Figures and captions tell a run moment by moment; it is worked out from the lines alone.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import Point, cross, distance, middle
from geometry.quilt import side_and_tier
from geometry.trail import Leg

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.needle import Run, Visit
    from geometry.pattern import DrawnSection, Pattern
    from geometry.plane import Line
    from geometry.trail import How

What = Literal["diagonal", "corner-line", "fill", "way"]

NEAR = 1e-3
"""Inches within which a drawn point is the one meant: documents round their coordinates."""


class Moment(NamedTuple):
    """A piece of a run that is told in one breath.

    Attributes:
        what: a diagonal, a line across a corner, a fill with the travelling that belongs to it, or nothing but the way
            from one to the next.
        name: the side of a diagonal, the side whose corner is crossed, or the section's name.
        place: which diagonal of its side, from 0 (even numbers lead from the seam to the stop line clockwise).
        legs: the way, in order.
    """

    what: What
    name: str
    place: int
    legs: tuple[Leg, ...]

    @property
    def start(self) -> Point:
        """Where the needle stands before."""
        return self.legs[0].line[0]

    @property
    def end(self) -> Point:
        """Where the needle stands after."""
        return self.legs[-1].line[-1]

    @property
    def tier(self) -> int:
        """The tier it lies in, the lowest 1; 0 of a way."""
        side = self.name.rsplit("-", 2)[0] if self.what == "fill" else self.name
        return side_and_tier(side)[1] if side else 0


def let_in(run: Sequence[Moment]) -> tuple[tuple[Moment, ...], tuple[Moment, ...]]:
    """The moments of the tier in which a run begins, and those between them in which it goes round others."""
    own = next((moment.tier for moment in run if moment.tier), 1)
    others = [number for number, moment in enumerate(run) if moment.tier not in {0, own}]
    if not others:
        return tuple(run), ()
    return (*run[: others[0]], *run[others[-1] + 1 :]), tuple(run[others[0] : others[-1] + 1])


def moments(pattern: Pattern, run: Run) -> tuple[Moment, ...]:
    """Cut a run into its moments."""
    known = _known_lines(pattern)
    found: list[Moment] = []
    for what, name, place, pieces in _grouped(_labelled(pattern, run, known)):
        found.append(Moment(what, name, place, _legs(pieces)))
    return tuple(found)


_Piece = tuple["How", Point, Point]
_Label = tuple[What, str, int]


def _key(point: Point) -> tuple[int, int]:
    return round(point.x / NEAR), round(point.y / NEAR)


def _known_lines(pattern: Pattern) -> dict[tuple[tuple[int, int], tuple[int, int]], _Label]:
    known: dict[tuple[tuple[int, int], tuple[int, int]], _Label] = {}
    for side in pattern.sides:
        labelled = [("diagonal", number, pair) for number, pair in enumerate(itertools.pairwise(side.zigzag))]
        labelled += [("corner-line", number, (line[0], line[-1])) for number, line in enumerate(side.crossings)]
        if side.lies.open_start:
            labelled.append(("corner-line", len(side.crossings), (side.lies.start, side.lies.far_start)))
        for what, number, (one, two) in labelled:
            label: _Label = (what, side.name, number)  # type: ignore[assignment]
            known[_key(one), _key(two)] = known[_key(two), _key(one)] = label
    return known


def _labelled(
    pattern: Pattern, run: Run, known: dict[tuple[tuple[int, int], tuple[int, int]], _Label]
) -> Iterator[tuple[_Label, _Piece]]:
    """Each straight piece of a run, and what it belongs to."""
    waiting = list(run.visits)
    current: DrawnSection | None = None
    last: _Label | None = None
    for leg in run.legs:
        for one, two in itertools.pairwise(leg.line):
            drawn = known.get((_key(one), _key(two)))
            # home over a corner line just stitched is still that line, unless a fill begins so
            home = drawn == last and not (waiting and distance(waiting[0].at, one) < NEAR)
            if drawn is not None and (leg.how == "stitch" or (home and drawn[0] == "corner-line")):
                current, label = None, drawn
            else:
                current = _section_of(pattern, middle(one, two), one, current, waiting)
                label = ("way", "", 0) if current is None else ("fill", current.name, current.place)
            last = label
            yield label, (leg.how, one, two)


def _section_of(
    pattern: Pattern, half: Point, here: Point, current: DrawnSection | None, waiting: list[Visit]
) -> DrawnSection | None:
    """The section a piece of fill lies in: the one at hand, or the next that the run begins."""
    if waiting and distance(waiting[0].at, here) < NEAR:
        offered = pattern.section(waiting[0].section)
        if current is None or (inside(half, offered.corners) and not inside(half, current.corners)):
            waiting.pop(0)
            return offered
    return current


def inside(point: Point, corners: Sequence[Point], within: float = NEAR) -> bool:
    """Whether a point lies in a polygon, its outline included."""
    crossings = 0
    for one, two in zip(corners, (*corners[1:], corners[0]), strict=True):
        step, to_point = two.minus(one), point.minus(one)
        length = distance(one, two)
        ahead = (step.x * to_point.x + step.y * to_point.y) / length
        if abs(cross(step, to_point)) / length <= within and -within <= ahead <= length + within:
            return True
        if (one.y > point.y) != (two.y > point.y):
            crossings += point.x < one.x + (point.y - one.y) / step.y * step.x
    return crossings % 2 == 1


def _grouped(
    labelled: Iterator[tuple[_Label, _Piece]],
) -> Iterator[tuple[What, str, int, list[_Piece]]]:
    """Pieces that follow one another with the same label, together; each diagonal by itself."""
    for label, group in itertools.groupby(labelled, key=lambda item: item[0]):
        yield (*label, [piece for _, piece in group])


def _legs(pieces: Sequence[_Piece]) -> tuple[Leg, ...]:
    legs: list[Leg] = []
    for how, one, two in pieces:
        if legs and legs[-1].how == how:
            legs[-1] = Leg(how, (*legs[-1].line, two))
        else:
            legs.append(Leg(how, (one, two)))
    return tuple(legs)


def way(moment: Moment) -> Line:
    """The whole way of a moment as one line."""
    points: list[Point] = [moment.start]
    for leg in moment.legs:
        points += leg.line[1:]
    return tuple(points)
