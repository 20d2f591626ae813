"""A border as it stands in a drawing: what a check is given.

All in inches of quilt, from the top left corner of the trimmed edge, y downwards. Lines are as
somebody drew or changed them, straight or curved, one for each subpath. Nothing here comes from
a recipe or from stored runs, but for the order in which the lines shall be stitched.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from geometry.plane import Curve, Line, Point, cross, distance
from geometry.quilt import side_and_tier

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.order import Order
    from geometry.quilt import Kind
    from geometry.sections import Base

HAIR = 1 / 64
"""Inches by which a line may overshoot its outline, or a point lie off its line, and still count as on it: a quarter of a
ruler's sixteenth, less than the thickness of a thread."""


MANY = 50
"""Nodes of a line from which on they are looked at together first."""


class DrawnSide(NamedTuple):
    """The zigzag of one side as drawn, from pivot to pivot, either way round."""

    name: str
    line: Line


class CornerLine(NamedTuple):
    """A line across the corner in which a side ends, pivot outwards or the other way round."""

    side: str
    line: Line


def side_in_words(name: str) -> str:
    """What a quilter calls a side: `the top`, or `side 3` of a polygon; `tier 2 of the top`."""
    side, tier = side_and_tier(name)
    words = f"side {side}" if side.isdecimal() else f"the {side}"
    return words if tier == 1 else f"tier {tier} of {words}"


@dataclass(frozen=True, slots=True)
class DrawnSection:
    """A section and the lines that are drawn in it.

    Attributes:
        name: `top-in-3`; the number at the end is its place on the side.
        side: the side it belongs to.
        base: on the border seam (inner), on the stop line (outer) or at a corner.
        corners: as in `geometry.sections.Section`: base from left to right seen from the centre, then the
            tip; a four-sided corner piece: pivot, last point, outer corner, first point.
        fill_name: the fill's name, `none` if it shall stay empty.
        spacing: inches between its lines.
        note: why it was left without lines, if it was.
        lines: its lines, one for each subpath.
    """

    name: str
    side: str
    base: Base
    corners: Line
    fill_name: str
    spacing: float
    note: str = ""
    lines: tuple[Line, ...] = ()

    @property
    def place(self) -> int:
        """Its number on the side; 0 if its name has none."""
        number = self.name.rpartition("-")[2]
        return int(number) if number.isdecimal() else 0

    @property
    def four_sided(self) -> bool:
        """A piece of a corner with four sides."""
        return len(self.corners) > 3  # noqa: PLR2004

    @property
    def words(self) -> str:
        """What a quilter calls it: `triangle 3 of the top`."""
        what = {"inner": "triangle", "outer": "stop-line triangle", "corner": "corner piece"}[self.base]
        number = f" {self.place}" if self.place else ""
        return f"{what}{number} of {side_in_words(self.side)}"


@dataclass(frozen=True, slots=True)
class Drawn:
    """Everything a check reads.

    Attributes:
        kind: outer (a binding will cover the edge) or inner (a seam lies there).
        edge: corners of the trimmed edge, clockwise, none repeated.
        seam: corners of the border seam, the pivots, in the same order.
        stop_line: corners of the stop line, in the same order.
        zigzags: the zigzag of each side, in any order.
        corner_lines: the lines across the corners.
        sections: the sections with their fills.
        others: lines that belong to no border; those of them in the centre tell how densely that is quilted.
        under: lines may run on under the binding, and runs may travel there.
        order: which line after which, for finding out how often one is stitched.
        mid_lines: corners of the lines between tiers, lowest first, as those of the seam.
        turned: of each corner whether its pivot lies on the stop line; none: at inward corners it does. It must be told
            where a side has no border.
    """

    kind: Kind
    edge: Line
    seam: Line
    stop_line: Line
    zigzags: tuple[DrawnSide, ...]
    corner_lines: tuple[CornerLine, ...]
    sections: tuple[DrawnSection, ...]
    others: tuple[Line, ...] = ()
    under: bool = False
    order: Order = "sections"
    room: float | None = None
    turned: tuple[bool, ...] = ()
    mid_lines: tuple[Line, ...] = ()

    @property
    def tiers(self) -> tuple[Drawn, ...]:
        """The border as one, or cut into its bands: each with its own zigzags, corner lines and sections."""
        if not self.mid_lines:
            return (self,)
        rails = (self.seam, *self.mid_lines, self.stop_line)
        return tuple(
            replace(
                self,
                seam=low,
                stop_line=high,
                mid_lines=(),
                zigzags=tuple(one for one in self.zigzags if side_and_tier(one.name)[1] == tier),
                corner_lines=tuple(one for one in self.corner_lines if side_and_tier(one.side)[1] == tier),
                sections=tuple(one for one in self.sections if side_and_tier(one.side)[1] == tier),
            )
            for tier, (low, high) in enumerate(itertools.pairwise(rails), 1)
        )

    @property
    def bordered(self) -> tuple[bool, ...]:
        """Of each side whether it has a border; the seam of one without is its stop line."""
        return tuple(
            max(_off(corner, *stop) for corner in seam) > HAIR
            for seam, stop in zip(_sides(self.seam), _sides(self.stop_line), strict=True)
        )

    def beside_border(self, outline: Line) -> tuple[Line, ...]:
        """Seam or stop line as far as there is a border beside it: one closed line, or one for each strip."""
        has, count = self.bordered, len(outline)
        if all(has):
            return ((*outline, outline[0]),)
        found: list[list[Point]] = []
        for first in (i for i in range(count) if has[i] and not has[i - 1]):
            strip = itertools.takewhile(lambda i: has[i % count], range(first, first + count))
            found.append([outline[first], *(outline[(i + 1) % count] for i in strip)])
        return tuple(map(tuple, found))


def _sides(outline: Line) -> Iterator[tuple[Point, Point]]:
    return zip(outline, (*outline[1:], outline[0]), strict=True)


def _off(point: Point, start: Point, end: Point) -> float:
    """Inches from a point to the straight line through two others."""
    step = end.minus(start)
    return abs(cross(step, point.minus(start))) / max(math.hypot(*step), math.ulp(1.0))


class Turn(NamedTuple):
    """A node of a line, and the places before and after it from which the line comes and to which it goes."""

    at: Point
    before: Point
    after: Point

    @property
    def degrees(self) -> float:
        """The angle between the two: 180 straight on, 0 back the same way."""
        one, other = self.before.minus(self.at), self.after.minus(self.at)
        return math.degrees(abs(math.atan2(cross(one, other), one.x * other.x + one.y * other.y)))


def turns(line: Line, sharper: float = 181.0) -> list[Turn]:
    """The nodes between the ends of a line, and where a closed line ends, at which it turns by a sharper angle.

    Directions are taken to the nearest node, or control of a curve, that is more than a hair away, so that the hook
    at the end of a line drawn by hand does not count.
    """
    points = list(line)
    step = 3 if isinstance(line, Curve) else 1
    closed = len(points) > 3 and distance(points[0], points[-1]) <= HAIR  # noqa: PLR2004
    last = len(points) - 1
    around = [*points, *points[1:]] if closed else points
    found: list[Turn] = []
    before_it: Point | None = None
    nodes = range(step, last + step if closed else last, step)
    for i in nodes if sharper > 180 or len(nodes) < MANY else _perhaps_sharp(around, nodes, sharper):  # noqa: PLR2004
        here = around[i]
        before = _first_apart(here, (around[j] for j in range(i - 1, max(0, i - last) - 1, -1)))
        after = _first_apart(here, (around[j] for j in range(i + 1, min(i + 1 + last, len(around)))))
        if before is None or after is None or (before_it is not None and distance(before_it, here) <= HAIR):
            continue
        before_it = here
        turn = Turn(here, before, after)
        if turn.degrees < sharper:
            found.append(turn)
    return found


def _perhaps_sharp(points: Sequence[Point], nodes: range, sharper: float) -> list[int]:
    """The nodes that may turn by a sharper angle: quickly those, of many, that are not seen at once not to."""
    import numpy as np

    places = np.fromiter(itertools.chain.from_iterable(points), float).reshape(-1, 2)
    here = places[nodes.start : nodes.stop : nodes.step]
    before = places[nodes.start - 1 : nodes.stop - 1 : nodes.step] - here
    after = places[nodes.start + 1 : nodes.stop + 1 : nodes.step] - here
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    short = np.minimum(np.hypot(*before.T), np.hypot(*after.T)) <= HAIR
    return [nodes[i] for i in np.flatnonzero(short | (np.abs(turn) < math.radians(sharper))).tolist()]


def _first_apart(here: Point, points: Iterable[Point]) -> Point | None:
    return next((point for point in points if distance(point, here) > HAIR), None)
