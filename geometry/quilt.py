"""The border of a quilt: trimmed edge, border seam, stop line, sides and pivots.

Words, as everywhere in this project:

* trimmed edge: the quilt's edge as it will be trimmed (on an inner border, its outer seam);
* border seam: the seam between the border and the centre; its corners are the pivots;
* stop line: the line the points may reach, the trimmed edge set in by the room for the
  binding (on an inner border, the outer seam itself);
* width: border seam to trimmed edge; height: border seam to stop line;
* inward corner: one at which the edge turns back into the quilt, as on an L. The border bends
  round it, so seam and stop line change roles: the pivot is the corner of the stop line.

Everything is built from the outline's corners, so a rectangle is only one case. A side without
a border has no height: its seam is the stop line, to which its neighbours' strips then run.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.errors import SizeError
from geometry.lengths import about
from geometry.plane import SAME_POINT, SQUARE, Point, along, cross, crossing_pair, distance, meet

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

Kind = Literal["outer", "inner"]

PLACES = ("top", "right", "bottom", "left")
"""The sides of a four-sided outline, clockwise."""

BINDING_TAKES = 0.25
"""Inches of the top that a binding covers
("Are Your Borders Borderline?", longarm newsletter 16; for the rest common practice, no source)."""

FLATTEST = math.radians(5)
"""Two sides that go on within so much of straight, or fold back within so much, make no corner a border can turn."""


ASLANT = 0.25
"""Heights by which the stop line may be shorter than the seam at the end of a strip, before the zigzag lands on it."""


class Side(NamedTuple):
    """One side of a border, walked clockwise from pivot to pivot.

    Attributes:
        name: `top`, `right`, … as the designer says it; `1`, `2`, … where there are not four.
        seam_start, seam_end: the corners of the border seam.
        stop_start, stop_end: the corners of the stop line.
        height: inches from border seam to stop line.
        turned_start, turned_end: there the pivot is the corner of the stop line, as at an inward corner.
        open_start, open_end: there the neighbour has no border; the strip begins or ends.
        tier, tiers: which of how many bands, the lowest first; where there are several, its seam or its stop line, or
            both, are mid-lines.
    """

    name: str
    seam_start: Point
    seam_end: Point
    stop_start: Point
    stop_end: Point
    height: float
    turned_start: bool = False
    turned_end: bool = False
    open_start: bool = False
    open_end: bool = False
    tier: int = 1
    tiers: int = 1

    @property
    def start(self) -> Point:
        """The first pivot."""
        return self.stop_start if self.turned_start else self.seam_start

    @property
    def end(self) -> Point:
        """The second pivot."""
        return self.stop_end if self.turned_end else self.seam_end

    @property
    def far_start(self) -> Point:
        """The corner across from the first pivot: of the stop line, or of the border seam where they change roles."""
        return self.seam_start if self.turned_start else self.stop_start

    @property
    def far_end(self) -> Point:
        """The corner across from the second pivot."""
        return self.seam_end if self.turned_end else self.stop_end

    @property
    def ahead(self) -> Point:
        """The step of one inch along the seam, clockwise."""
        step = self.seam_end.minus(self.seam_start)
        long = math.hypot(step.x, step.y)
        return Point(step.x / long, step.y / long)

    @property
    def outward(self) -> Point:
        """The step of one inch square to the seam, away from the centre."""
        ahead = self.ahead
        return Point(ahead.y, -ahead.x)

    @property
    def length(self) -> float:
        """Inches from pivot to pivot, measured along the seam."""
        step, ahead = self.end.minus(self.start), self.ahead
        return step.x * ahead.x + step.y * ahead.y

    def place(self, point: Point) -> float:
        """Inches along the seam from the first pivot to the foot of a point."""
        step, ahead = point.minus(self.start), self.ahead
        return step.x * ahead.x + step.y * ahead.y

    def on_seam(self, inches: float) -> Point:
        """The point of the border seam `inches` after the first pivot; a pivot on the seam exactly."""
        up = self.outward.times(self.height)
        start = self.start.minus(up) if self.turned_start else self.seam_start
        end = self.end.minus(up) if self.turned_end else self.seam_end
        return along(start, end, inches / self.length)

    def on_stop_line(self, inches: float) -> Point:
        """The point of the stop line square across from `on_seam(inches)`."""
        return self.on_seam(inches).plus(self.outward.times(self.height))


class Border(NamedTuple):
    """A border: its outlines (corners clockwise, none repeated), and the sides that have one.

    Attributes:
        kind: outer (a binding will cover the edge) or inner.
        edge, seam, stop_line: closed outlines with the same number of corners; corner i is where side i begins.
        sides: the sides that have a border, in order.
        widths: border seam to trimmed edge, for each of `sides`.
        room: inches kept free for the binding; 0 on an inner border.
    """

    kind: Kind
    edge: tuple[Point, ...]
    seam: tuple[Point, ...]
    stop_line: tuple[Point, ...]
    sides: tuple[Side, ...]
    widths: tuple[float, ...]
    room: float

    @property
    def closed(self) -> bool:
        """Whether it goes all round."""
        return len(self.sides) == len(self.edge)

    @property
    def area(self) -> float:
        """Square inches between border seam and stop line."""
        return sum(_area(side.seam_start, side.stop_start, side.stop_end, side.seam_end) for side in self.sides)


def side_names(count: int) -> tuple[str, ...]:
    """What the sides of an outline are called, clockwise: by place where there are four, otherwise by number."""
    return PLACES if count == len(PLACES) else tuple(str(number) for number in range(1, count + 1))


_TIER = "-tier"


def tier_name(side: str, tier: int) -> str:
    """What a side is called within a band: in the lowest as ever, `top-tier2` above it."""
    return side if tier == 1 else f"{side}{_TIER}{tier}"


def side_and_tier(name: str) -> tuple[str, int]:
    """The side, and the band, that such a name means."""
    side, _, tier = name.partition(_TIER)
    return side, int(tier) if tier.isdecimal() else 1


def tiers_in_words(text: str) -> str:
    """A text with the names of sides within tiers as they are spoken: `top-tier2` as `tier 2 of top`."""
    return re.sub(rf"(\w+){_TIER}(\d)", r"tier \2 of \1", text)


def side_in_words(name: str) -> str:
    """What a side is called in a sentence: `the top side`, `side 3`, `tier 2 of the top side`."""
    side, tier = side_and_tier(name)
    words = f"the {side} side" if side in PLACES else f"side {side}"
    return words if tier == 1 else f"tier {tier} of {words}"


def corner_in_words(names: Sequence[str], number: int) -> str:
    """What a corner is called: `the corner between top and right`; `number` is that of the side that begins in it."""
    sides = f"{names[number - 1]} and {names[number]}"
    return f"the corner between {sides if names[number] in PLACES else f'sides {sides}'}"


def inward_corners(outline: Sequence[Point]) -> tuple[bool, ...]:
    """Of each corner of a clockwise outline whether the outline turns back into the shape there."""
    following = [*outline[1:], outline[0]]
    return tuple(
        cross(here.minus(outline[i - 1]), after.minus(here)) < 0
        for i, (here, after) in enumerate(zip(outline, following, strict=True))
    )


def border_around(
    edge: Sequence[Point],
    widths: Sequence[float],
    room: float,
    kind: Kind = "outer",
    names: Sequence[str] = (),
    sides: Collection[str] = (),
) -> Border:
    """Lay a border inside an outline.

    Args:
        edge: corners of the trimmed edge, clockwise as seen, none repeated; side i runs
            from corner i to the next.
        widths: border width of each side, inches; of a side without a border it says nothing.
        room: room for the binding, inches; must be 0 on an inner border.
        kind: outer (a binding will cover the edge) or inner (a seam lies there).
        names: what the sides are called, in the same order; none: as usual.
        sides: the names of those that have a border; none: all.

    Raises:
        SizeError: the border leaves no centre, or the binding leaves no border.
    """
    names = names or side_names(len(edge))
    has = [not sides or name in sides for name in names]
    narrow = min(width for width, there in zip(widths, has, strict=True) if there)
    _check_room(narrow, room)
    insets = [width if there else room for width, there in zip(widths, has, strict=True)]
    inward = inward_corners(edge)
    stop_line = _inset(edge, [room] * len(edge)) if room else tuple(edge)
    seam = _inset(edge, insets)
    if _fault(edge, stop_line, seam, inward) is not None:
        _refuse(edge, insets, room, inward, names)
    found = []
    for i, name in enumerate(names):
        j = (i + 1) % len(edge)
        if has[i]:
            side = Side(name, seam[i], seam[j], stop_line[i], stop_line[j], insets[i] - room)
            found.append(_ended(side, (has[i - 1], has[j]), (inward[i], inward[j])))
    return Border(
        kind, tuple(edge), seam, stop_line, tuple(found),
        tuple(width for width, there in zip(insets, has, strict=True) if there), room,
    )  # fmt: skip


def _ended(side: Side, neighbours: tuple[bool, bool], inward: tuple[bool, bool]) -> Side:
    """The side with its ends told: turned at inward corners, and at open ends where the stop line is the shorter one."""
    before, after = neighbours
    ahead = side.ahead
    start, end = side.stop_start.minus(side.seam_start), side.seam_end.minus(side.stop_end)
    short_start = start.x * ahead.x + start.y * ahead.y > ASLANT * side.height
    short_end = end.x * ahead.x + end.y * ahead.y > ASLANT * side.height
    return Side(
        side.name, side.seam_start, side.seam_end, side.stop_start, side.stop_end, side.height,
        inward[0] if before else short_start, inward[1] if after else short_end, not before, not after,
    )  # fmt: skip


def _check_room(narrow: float, room: float) -> None:
    if narrow <= 0:
        raise SizeError(f"The border is {about(narrow)} wide; it must be wider than 0: please give a larger width.")
    if room < 0:
        raise SizeError(
            f"The room for the binding is {about(room)}; it cannot be less than 0: please give 1/4 in or more."
        )
    if room >= narrow:
        raise SizeError(
            f"The room for the binding, {about(room)}, takes up the whole border of {about(narrow)}; "
            "it must be less than the width: please give a wider border or less room."
        )


def _fault(
    edge: Sequence[Point], stop_line: Sequence[Point], seam: Sequence[Point], inward: Sequence[bool]
) -> tuple[int, ...] | None:
    """The sides at which a border does not fit; None where it does.

    Every side of seam and stop line must keep its direction and every strip its length from pivot to pivot; where there
    are inward corners, seam and stop line may not cross themselves or one another either. Then the strips tile what lies
    between them.
    """
    count = len(edge)
    for i in range(count):
        j = (i + 1) % count
        ahead = edge[j].minus(edge[i])
        start = stop_line[i] if inward[i] else seam[i]
        end = stop_line[j] if inward[j] else seam[j]
        for one, other in ((seam[i], seam[j]), (stop_line[i], stop_line[j]), (start, end)):
            step = other.minus(one)
            if step.x * ahead.x + step.y * ahead.y <= SAME_POINT * math.hypot(*ahead):
                return (i,)
    if any(inward):
        for outline in (seam, stop_line):
            if pair := crossing_pair(outline):
                return pair
        if pair := crossing_pair(seam, edge):
            return pair
    return None


def _refuse(
    edge: Sequence[Point], insets: Sequence[float], room: float, inward: Sequence[bool], names: Sequence[str]
) -> None:
    """Say how wide the border may be.

    Raises:
        SizeError: always.
    """

    def fault(share: float) -> tuple[int, ...] | None:
        narrower = [room + (inset - room) * share for inset in insets]
        stop_line = _inset(edge, [room] * len(edge)) if room else tuple(edge)
        return _fault(edge, stop_line, _inset(edge, narrower), inward)

    low, high = 0.0, 1.0
    for _ in range(40):
        half = (low + high) / 2
        low, high = (half, high) if fault(half) is None else (low, half)
    widest, most = max(insets), room + (max(insets) - room) * low
    blame = fault(high) or (0,)
    corners = [corner % len(edge) for side in blame for corner in (side, side + 1) if inward[corner % len(edge)]]
    if corners:
        raise SizeError(
            f"A border of {about(widest)} is wider than the inward corner allows, {corner_in_words(names, corners[0])}; there "
            f"it must be less than {about(most)}: please give a smaller width, or check the scale."
        )
    short = min(distance(edge[i - 1], edge[i]) for i in range(len(edge)))
    raise SizeError(
        f"A border of {about(widest)} leaves no centre in a quilt whose short side is {about(short)}; "
        f"the width must be less than {'half of that, ' if abs(2 * most - short) < SQUARE else ''}{about(most)}: "
        "please give a smaller width, or check the scale and the size of the shape."
    )


def _inset(corners: Sequence[Point], by: Sequence[float]) -> tuple[Point, ...]:
    """Move each side of an outline inwards by its own amount; the new corners, in the same order."""
    count = len(corners)
    starts, steps = [], []
    for i in range(count):
        here, following = corners[i], corners[(i + 1) % count]
        step = following.minus(here).times(1 / distance(here, following))
        starts.append(here.plus(Point(-step.y, step.x).times(by[i])))
        steps.append(step)
    return tuple(meet(starts[i - 1], steps[i - 1], starts[i], steps[i]) for i in range(count))


def outset(seam: Sequence[Point], widths: Sequence[float]) -> tuple[Point, ...]:
    """The trimmed edge around a border seam, its corners clockwise, of a border of these widths."""
    return _inset(seam, [-width for width in widths])


def _area(*corners: Point) -> float:
    following = (*corners[1:], corners[0])
    return sum(cross(one, other) for one, other in zip(corners, following, strict=True)) / 2


def widths_between(edge: Sequence[Point], seam: Sequence[Point]) -> tuple[float, tuple[float, ...]]:
    """The widths of the border between an edge and a seam with as many corners, clockwise both.

    Returns:
        Inches by which a corner of the seam lies off a parallel to its side of the edge, at most; and the widths, in the
        order of the edge's sides, whichever corner the seam begins with.
    """
    count = len(edge)
    ways = []
    for shift in range(count):
        corners = [*seam[shift:], *seam[:shift]]
        off, widths = 0.0, []
        for i, start in enumerate(edge):
            j = (i + 1) % count
            step = edge[j].minus(start)
            ahead = step.times(1 / math.hypot(*step))
            one, other = (cross(ahead, corner.minus(start)) for corner in (corners[i], corners[j]))
            along_edge = corners[j].minus(corners[i])
            backwards = ahead.x * along_edge.x + ahead.y * along_edge.y <= 0
            off = max(off, math.inf if backwards else abs(one - other) / 2)
            widths.append((one + other) / 2)
        ways.append((off, tuple(widths)))
    return min(ways, key=lambda way: (way[0], sum(way[1])))


def rectangle(width: float, height: float) -> tuple[Point, ...]:
    """The corners of a rectangle, clockwise from its top left, which is the origin."""
    return (Point(0.0, 0.0), Point(width, 0.0), Point(width, height), Point(0.0, height))
