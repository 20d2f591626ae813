"""Stitching on paper: what is done already in grey, this step in dark, with arrows and numbered turns."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from extension.booklet.canvas import INK, INKS, POINTS, RUST, TINT
from geometry.moments import way
from geometry.plane import Affine, Point, along, distance, flat
from geometry.sheets import Box, around, crosses

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from extension.booklet.canvas import Canvas
    from geometry.moments import Moment
    from geometry.pattern import DrawnSide, Pattern
    from geometry.plane import Line

CORNER_DEG = 18.0
"""Degrees a line must turn at a node for the node to be numbered; less is a piece of a curve."""

ARROW, SMALL_ARROW = 0.105, 0.08
"""Inches of an arrowhead along its line, and of one where lines lie close."""

MOST_CROSSED = 2
"""Lines that a number may lie over; where it would be more there is none."""

ROOM_FOR_ARROW = 0.26
"""Inches of straight line on paper below which no arrow is drawn."""

FAR = 2.0
"""Inches of line on paper for each arrow; a longer stretch between two turns gets several."""

DOT = 0.032
START = 0.052


class Taken:
    """Where labels and arrows already are, so that nothing is put on top of another."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._boxes: list[Box] = []
        self._pieces: list[tuple[Box, Point, Point]] = []

    def lines(self, lines: Iterable[Line]) -> None:
        """Lines lie there, which words should not cross."""
        for line in lines:
            self._pieces += [(around(pair), *pair) for pair in itertools.pairwise(flat(line))]

    def near(self, at: Point, reach: float) -> list[tuple[Point, Point]]:
        """The straight pieces of those lines within reach of a place."""
        window = Box(at.x, at.y, at.x, at.y).grown(reach)
        return [(one, two) for box, one, two in self._pieces if box.grown(1e-9).meets(window)]

    def free(self, box: Box) -> bool:
        """Whether nothing lies there yet."""
        return not any(box.meets(other) for other in self._boxes)

    def take(self, box: Box) -> None:
        """Something lies there now."""
        self._boxes.append(box)

    def spot(self, at: Point, radius: float) -> None:
        """A dot lies there."""
        self.take(Box(at.x - radius, at.y - radius, at.x + radius, at.y + radius))


def word_box(at: Point, words: str, size: float) -> Box:
    """About the room that words centred on a place take."""
    wide, tall = 0.27 * size * len(words) / POINTS, 0.36 * size / POINTS
    return Box(at.x - wide, at.y - tall, at.x + wide, at.y + tall)


def outlines(canvas: Canvas, pattern: Pattern, place: Affine) -> None:
    """Centre of the quilt tinted, border seam, stop line, trimmed edge."""
    canvas.area(pattern.seam, TINT, place)
    if pattern.room > 0:
        canvas.lines([(*pattern.stop_line, pattern.stop_line[0])], "stop-line", place)
    canvas.lines([(*pattern.seam, pattern.seam[0])], "seam", place)
    canvas.lines([(*pattern.edge, pattern.edge[0])], "edge", place)


def before(canvas: Canvas, done: Iterable[Moment], place: Affine) -> None:
    """What is stitched already, in grey; what was travelled lies in a seam and does not show."""
    lines = [leg.line for moment in done for leg in moment.legs if leg.how == "stitch"]
    canvas.lines(lines, "before", place)


class Now(NamedTuple):
    """How this step is shown: line widths, whether its turns are numbered, whether its start is marked."""

    fine: bool = False
    numbered: bool = False
    start: bool = True
    arrows: bool = True


def now(canvas: Canvas, moments: Sequence[Moment], place: Affine, taken: Taken, how: Now, arrow: float = ARROW) -> None:
    """This step's lines with arrows, the dot where the needle starts, and numbers where it turns."""
    for moment in moments:
        ink = "now-fine" if how.fine or moment.what == "fill" else "now"
        for leg in moment.legs:
            canvas.lines([leg.line], ink if leg.how == "stitch" else leg.how, place)
    if how.start:
        taken.spot(place.at(moments[0].start), START)
    if how.numbered:
        taken.lines(place.line(leg.line) for moment in moments for leg in moment.legs)
        for moment in moments:
            numbers(canvas, place.line(way(moment)), taken)
    if how.arrows:
        for moment in moments:
            for leg in moment.legs:
                arrows(canvas, place.line(leg.line), taken, INK if leg.how == "stitch" else RUST, arrow)


def start_dot(canvas: Canvas, at: Point) -> None:
    """Where the needle starts; drawn last, over the dots to mark."""
    canvas.dot(at, START, RUST, "#ffffff")


def turns(line: Line) -> list[int]:
    """Which nodes of a line are its ends or real corners."""
    found = [0]
    for i in range(1, len(line) - 1):
        one, two = line[i].minus(line[i - 1]), line[i + 1].minus(line[i])
        gap = abs(math.atan2(one.x * two.y - one.y * two.x, one.x * two.x + one.y * two.y))
        if math.degrees(gap) > CORNER_DEG:
            found.append(i)
    return [*found, len(line) - 1]


def arrows(canvas: Canvas, line: Line, taken: Taken, colour: str, size: float = ARROW) -> None:
    """An arrowhead on each stretch between two turns that has room for one, several on a long one."""
    for first, last in itertools.pairwise(turns(line)):
        stretch = line[first : last + 1]
        length = sum(distance(a, b) for a, b in itertools.pairwise(stretch))
        parts = max(1, int(length / FAR)) if length >= ROOM_FOR_ARROW else 0
        for part in range(parts):
            _arrow(canvas, stretch, (part * length / parts, length / parts), taken, colour, size)


def _arrow(
    canvas: Canvas, stretch: Line, part: tuple[float, float], taken: Taken, colour: str, size: float
) -> None:  # fmt: skip
    """An arrowhead on a part of a line, given by where it begins and its length: past its middle, or where there is room."""
    for share in (0.56, 0.42, 0.7, 0.3):
        tip, ahead = _on(stretch, part[0] + share * part[1] + size / 2)
        centre = tip.minus(ahead.times(size / 2))
        box = Box(centre.x, centre.y, centre.x, centre.y).grown(size * 0.55)
        if _within(centre, canvas.box, 0.06) and taken.free(box):
            canvas.arrow(tip, ahead, size, colour)
            taken.take(box.grown(-size * 0.2))
            return


def _within(point: Point, window: Box, margin: float) -> bool:
    inner = window.grown(-margin)
    return inner.left <= point.x <= inner.right and inner.top <= point.y <= inner.bottom


def _on(stretch: Line, inches: float) -> tuple[Point, Point]:
    """The place so far along a line, and the step of one inch in its direction there."""
    for one, two in itertools.pairwise(stretch):
        length = distance(one, two)
        if length and inches <= length:
            return along(one, two, inches / length), two.minus(one).times(1 / length)
        inches -= length
    one, two = stretch[-2:]
    return two, two.minus(one).times(1 / (distance(one, two) or 1.0))


def numbers(canvas: Canvas, line: Line, taken: Taken, size: float = 7.0, first: int = 1) -> int:
    """Number the turns of a line, several visits of one place together, where there is room; returns the next number."""
    where = turns(line)
    visits: list[tuple[Point, list[int], list[Point]]] = []
    for count, i in enumerate(where, first):
        around_it = [line[j] for j in (i - 1, i + 1) if 0 <= j < len(line)]
        for spot, told, beside in visits:
            if distance(spot, line[i]) < 0.02:  # noqa: PLR2004 - on paper: one place
                told.append(count)
                beside.extend(around_it)
                break
        else:
            visits.append((line[i], [count], around_it))
    for spot, told, beside in visits:
        words = ", ".join(map(str, told))
        found = _place_beside(canvas, spot, _open_directions(spot, beside), words, size, taken)
        if found is None:
            continue
        at, crossed = found
        box = word_box(at, words, size)
        if crossed:
            canvas.plate(box.grown(-0.01))
        canvas.text(at.plus(Point(0, 0.33 * size / POINTS)), words, size, "middle", colour=RUST, bold=True)
        taken.take(box)
    return first + len(where)


def _place_beside(
    canvas: Canvas, spot: Point, directions: Sequence[Point], words: str, size: float, taken: Taken
) -> tuple[Point, int] | None:
    """Where words about a place go, over as few lines as can be, and over how many; None where it would be too many."""
    wide = 0.27 * size * len(words) / POINTS
    lines = taken.near(spot, 0.16 + 2 * wide)
    best: tuple[Point, int] | None = None
    for direction in directions:
        for reach in (0.085, 0.12, 0.16):
            at = spot.plus(Point(direction.x * (reach + wide - 0.03), direction.y * reach))
            box = word_box(at, words, size)
            if not (_within(at, canvas.box, 0.03) and taken.free(box)):
                continue
            crossed = sum(crosses(box, *piece) for piece in lines)
            if crossed == 0:
                return at, 0
            if crossed <= MOST_CROSSED and (best is None or crossed < best[1]):
                best = (at, crossed)
    return best


def _open_directions(spot: Point, beside: Sequence[Point]) -> list[Point]:
    """Directions away from the lines that meet at a place, the widest opening first."""
    angles = sorted(math.atan2(p.y - spot.y, p.x - spot.x) for p in beside if distance(p, spot) > 0)
    if not angles:
        return [Point(0, -1)]
    gaps = [
        (following - angle, angle + (following - angle) / 2)
        for angle, following in zip(angles, [*angles[1:], angles[0] + 2 * math.pi], strict=True)
    ]
    gaps.sort(reverse=True)
    found = []
    for gap, middle in gaps:
        if gap > 0.4:  # noqa: PLR2004 - radians; no word goes into a narrower opening
            shares = (0.0, -0.3, 0.3, -0.42, 0.42) if gap > math.pi / 2 else (0.0,)
            found += [Point(math.cos(middle + share * gap), math.sin(middle + share * gap)) for share in shares]
    return found


def mark_dots(
    canvas: Canvas, side: DrawnSide, place: Affine, taken: Taken, *, named: bool = True, first: bool = True
) -> None:
    """The dots of a side on both rows, with their numbers: those on the seam inside, those on the stop line off the edge.

    `first` False leaves out the number of the first pivot, which is also the last dot of the side before.
    """
    shown = canvas.box.grown(0.02)
    ahead, inward = (_step(side, place, way) for way in (Point(1, 0), Point(0, 1)))
    scale = math.sqrt(abs(place.determinant))
    last = len(side.dots) - 1
    edge = (side.width - side.height) * scale
    for start, row, off in ((0, side.dots, 0.13), (1, side.points, -edge - 0.11)):
        for count, point in enumerate(row, start):
            at = place.at(point)
            if not shown.holds(at):
                continue
            canvas.dot(at, DOT, INK, "#ffffff")
            taken.spot(at, DOT)
            if not named or (count == start == 0 and not first):
                continue
            # a pivot's number goes beside the seam of the next side, not on it
            aside = 0.0 if start else 0.1 if count == 0 else -0.1 if count == last else 0.0
            spot = at.plus(inward.times(off)).plus(ahead.times(aside))
            box = word_box(spot, str(count), 8)
            if taken.free(box) and _within(spot, canvas.box, 0.04):
                canvas.text(spot.plus(Point(0, 0.33 * 8 / POINTS)), str(count), 8, "middle")
                taken.take(box)


def _step(side: DrawnSide, place: Affine, way: Point) -> Point:
    """A step of one inch on paper, along the side or into the quilt."""
    back = side.level.inverse()
    step = place.at(back.at(way)).minus(place.at(back.at(Point(0, 0))))
    return step.times(1 / math.hypot(*step))


class Fitted(NamedTuple):
    """How a window of the plane is shown: the map, and the picture's size."""

    place: Affine
    wide: float
    tall: float


def fitted(window: Box, most_wide: float, most_tall: float, pad: float = 0.0) -> Fitted:
    """Show a window as large as fits, with `pad` inches of paper round it."""
    scale = min((most_wide - 2 * pad) / window.wide, (most_tall - 2 * pad) / window.tall)
    place = Affine(scale, 0, 0, scale, pad - window.left * scale, pad - window.top * scale)
    return Fitted(place, window.wide * scale + 2 * pad, window.tall * scale + 2 * pad)


def box_of(moments: Iterable[Moment], level: Affine) -> Box:
    """The box of some moments' lines."""
    return around(level.at(point) for moment in moments for leg in moment.legs for point in leg.line)


STROKE_ROOM = max(ink.width for ink in INKS.values()) / POINTS
"""Inches that a picture needs beyond its lines, so that none is cut along its edge."""
