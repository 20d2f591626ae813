"""Echo lines: set in from both diagonals, one step apart, before the fill starts.

Each is parallel to both diagonals, and the innermost is to the fill what the diagonals are
to a section without echo lines: the fill is drawn in the smaller triangle that is left.

How they hang together: on a seam their feet are joined by travelling in the ditch, by turns
left and right. Where there is no seam, each two of them are one closed ribbon (their feet
joined by short pieces along the base), linked by short stems on the centre line, or along
the base where no more lines may meet at the tip; on the way across the first of them is
joined to both corners and the ribbons hang on it; on the way to the tip they are one line
to and fro, and a stem leads from the fill to the tip. An odd last one has no partner: there
the fill itself leads back across.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from geometry.fills.bands import Bent, banded, footed
from geometry.plane import Affine, Point, cross, distance_to_line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from geometry.fills.shape import Fill, Passage, Shape
    from geometry.plane import Line

_LEFT_INSIDE = 0.5
"""Steps that must be left between the innermost echo line and the middle of the base."""

_ROOM_INSIDE = 3
"""Lines of the fill that may meet at the tip of the innermost echo line: its own two and a stem end there too."""


def with_echo_lines(
    shape: Shape, draw: Callable[[Shape], Fill], count: int, step: float, *, leads_across: bool = False
) -> Fill:
    """The fill inside as many echo lines as leave room for it, at most `count`, `step` inches apart.

    Where the fill has no room even without echo lines there are only those, as many as fit.

    Args:
        shape: the section.
        draw: the fill, drawn in whatever shape it is given.
        count: echo lines asked for.
        step: inches from the diagonals to the first, and from each to the next.
        leads_across: the fill leads across bent sections, whatever is asked of it.
    """
    fitting = [number for number in range(count, 0, -1) if (number + _LEFT_INSIDE) * step <= _room(shape)]
    for number in fitting:
        passage = _outer_passage(shape, number, leads_across=leads_across)
        lines = [_echo_line(shape, place * step) for place in range(1, number + 1)]
        fill = _drawn_inside(shape, draw, lines[-1], number, passage)
        if fill.lines:
            return fill._replace(lines=(*_joined(shape, lines, passage, filled=True), *fill.lines), echo_lines=number)
    fill = draw(shape)
    if fill.lines or not fitting:
        return fill
    lines = [_echo_line(shape, place * step) for place in range(1, fitting[0] + 1)]
    drawn = _joined(shape, lines, shape.passage, filled=False)
    return fill._replace(lines=tuple(drawn), echo_lines=fitting[0])


def _room(shape: Shape) -> float:
    """Inches from the middle of the base, square to the nearer diagonal."""
    return min(
        distance_to_line(shape.middle, shape.left, shape.tip), distance_to_line(shape.middle, shape.right, shape.tip)
    )


def _echo_line(shape: Shape, by: float) -> Bent:
    """The line `by` inches inside both diagonals, from base to base."""
    left, right = (distance_to_line(shape.middle, end, shape.tip) for end in (shape.left, shape.right))
    one, two = (_inwards(end, shape.tip, shape.middle) for end in (shape.left, shape.right))
    # as far from either diagonal; also where both diagonals are one straight line, as those of a large corner may be
    towards = one.plus(two).times(by / (1 + one.x * two.x + one.y * two.y))
    return Bent(shape.at(by / left - 1, 0), shape.tip.plus(towards), shape.at(1 - by / right, 0))


def _inwards(start: Point, end: Point, inner: Point) -> Point:
    """The step of one inch square to a line, towards the side of `inner`."""
    ahead = end.minus(start)
    square = Point(-ahead.y, ahead.x).times(1 / math.hypot(*ahead))
    return square if cross(ahead, inner.minus(start)) > 0 else square.times(-1)


def _outer_passage(shape: Shape, number: int, *, leads_across: bool) -> Passage:
    if shape.bent and leads_across:
        # it is led across, and every echo line turns it round
        return "home" if number % 2 else "across"
    return shape.passage


def _drawn_inside(shape: Shape, draw: Callable[[Shape], Fill], innermost: Bent, number: int, passage: Passage) -> Fill:
    """The fill in what is left; each echo line that the needle follows takes it to the other side."""
    turned = number % 2 == 1
    if turned and passage != "tip":
        passage = "across" if passage == "home" else "home"
    inside = shape._replace(
        left=innermost.left, right=innermost.right, tip=innermost.bend, short=False, tip_only=False,
        room_at_tip=_ROOM_INSIDE, passage=passage,
    )  # fmt: skip
    # to the tip a fill begins at the right; where the needle stands at the left, it is drawn in a mirror
    return _mirrored(draw, inside) if turned and passage == "tip" else draw(inside)


def _mirrored(draw: Callable[[Shape], Fill], shape: Shape) -> Fill:
    mirror = Affine(a=-1.0, d=1.0)
    seen = shape._replace(
        left=mirror.at(shape.right), middle=mirror.at(shape.middle), right=mirror.at(shape.left),
        tip=mirror.at(shape.tip),
    )  # fmt: skip
    return draw(seen).placed(mirror)


def _joined(shape: Shape, lines: Sequence[Bent], passage: Passage, *, filled: bool) -> list[Line]:
    """The echo lines with what joins them; `filled` when a fill inside leads back across from an odd last one."""
    if passage == "tip":
        stem = (shape.tip, *(line.bend for line in lines))
        return [stem, *(map(tuple, lines) if shape.seam else [_to_and_fro(shape, lines)])]
    if shape.seam:
        return [tuple(line) for line in lines]
    base = None if filled else shape.bends
    if passage == "across":
        first, *others = lines
        return [(shape.left, *first, shape.right), *banded(first.bend, others, base)]
    return banded(shape.tip, lines, base) if shape.room_at_tip else footed(shape, lines, base)


def _to_and_fro(shape: Shape, lines: Sequence[Bent]) -> Line:
    """From the right corner along every line in turn."""
    way = [shape.right]
    for place, line in enumerate(lines):
        way += line if place % 2 else line[::-1]
    return tuple(way)
