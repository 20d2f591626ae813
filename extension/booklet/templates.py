"""True-size templates: one triangle of each kind and each corner; and the whole border laid over sheets."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from extension.booklet.canvas import INK, POINTS, RUST, Canvas
from extension.booklet.measure import upper
from extension.booklet.sheet import GREY_TYPE, Sheet, blank, body_of
from extension.booklet.stitched import START, Taken, arrows
from extension.booklet.tiles import draw_joins, onto_sheet, something_on
from geometry.kinds import Kind, corner_kinds, members_in_words, triangle_kinds
from geometry.moments import Moment, moments
from geometry.plane import Affine, Curve, Point, distance, flat
from geometry.sheets import Box, Paper, around, centred, pack, tile

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from extension.booklet.measure import Measure
    from geometry.pattern import DrawnSide, Pattern
    from geometry.plane import Line

GAP = 0.1
"""Inches between two templates on a sheet."""

PAD = 0.12
"""Inches of a template's drawing beyond its lines."""

WORDS = 0.4
"""Inches over a template that is laid over several sheets, for what it is."""

TITLE = "True-size templates"

BEYOND = 0.12
"""Inches that a seam goes on beyond the dots at its ends."""

RING = 0.07
"""Inches of the ring round a dot; the dot itself is the cross inside."""


class Template(NamedTuple):
    """What is on one template, in inches with its own top left corner as origin.

    Attributes:
        wide, tall: the drawing with its words.
        place: from inches of quilt to inches of the drawing.
        title, words: what it is.
        lines: by ink, in inches of the drawing.
        dots: the dots and points to mark.
        legs: how its fill is stitched, for the arrows; the start first.
        names: words beside a line, where and how far turned.
    """

    wide: float
    tall: float
    title: str
    words: str
    lines: tuple[tuple[str, Line], ...]
    dots: tuple[Point, ...]
    legs: tuple[Line, ...]
    start: Point | None
    names: tuple[tuple[str, Point, float], ...]


def templates(pattern: Pattern, say: Measure) -> list[Template]:
    """One of each kind: triangles on the seam, on the stop line, corners."""
    told = {moment.name: moment for run in pattern.runs for moment in moments(pattern, run) if moment.what == "fill"}
    found = [_triangle(pattern, kind, told, say) for kind in triangle_kinds(pattern)]
    return found + [_corner(pattern, kind, told, say) for kind in corner_kinds(pattern)]


def _triangle(pattern: Pattern, kind: Kind, told: dict[str, Moment], say: Measure) -> Template:
    piece = kind.pieces[0]
    side = next(side for side in pattern.sides if side.name == piece.side)
    where = pattern.base_line(kind.members, kind.base)
    left, right, tip = piece.corners
    repeat = distance(left, right)
    hand = ", as changed by hand" if kind.edited else ""
    title = f"Triangle on the {where}"
    words = (
        f"{upper(members_in_words(kind, pattern.sides))}: {say.told(repeat)} long, {say.told(side.height)} high, "
        f"{_fill_words(piece.fill_name, piece.spacing, say, drawn=bool(piece.lines))}{hand}"
        f"{'; some are its mirror image' if kind.mirrored else ''}"
    )
    ahead = right.minus(left).times(BEYOND / repeat)
    rows = pattern.rows(side.name)
    below, other = rows if kind.base == "inner" else rows[::-1]
    across = ((tip.minus(ahead.times(5)), tip.plus(ahead.times(5))), other)
    base = ((left.minus(ahead), right.plus(ahead)), below)
    return _laid_out(
        kind, side, title, words, told,
        seams=[base, across], outline=[(left, tip), (tip, right)], dots=(left, tip, right),
    )  # fmt: skip


def _corner(pattern: Pattern, kind: Kind, told: dict[str, Moment], say: Measure) -> Template:
    name = kind.members[0]
    side = next(side for side in pattern.sides if side.name == name)
    _, following = pattern.beside(side)
    pivot, outer = side.zigzag[-1], side.lies.far_end
    last, first = side.zigzag[-2], following.zigzag[1]
    fill = kind.pieces[0]
    words = (
        f"{upper(members_in_words(kind, pattern.sides))}, {pattern.corner}: "
        f"{_fill_words(fill.fill_name, fill.spacing, say, drawn=any(p.lines for p in kind.pieces))}"
        f"{', as changed by hand' if kind.edited else ''}{'; some are its mirror image' if kind.mirrored else ''}"
    )
    reach = min(side.height, following.height) * 0.25
    near, far = pattern.rows(side.name)
    if side.lies.turned_end:
        near, far = far, near
    seams = [
        ((pivot.minus(_unit(side).times(reach)), pivot), near),
        ((pivot, pivot.plus(_unit(following).times(reach))), ""),
        ((last, outer), far),
        ((outer, first), ""),
    ]
    return _laid_out(
        kind, side, "Corner", words, told, seams=seams,
        outline=[(pivot, last), (pivot, first), *side.crossings], dots=(pivot, last, first),
    )  # fmt: skip


def _unit(side: DrawnSide) -> Point:
    return side.lies.ahead


def _fill_words(name: str, spacing: float, say: Measure, *, drawn: bool) -> str:
    return f"{name}, lines {say.told(spacing)} apart" if drawn else "no fill"


def _laid_out(
    kind: Kind, side: DrawnSide, title: str, words: str, told: dict[str, Moment], *,
    seams: Sequence[tuple[Line, str]], outline: Sequence[Line], dots: Sequence[Point],
) -> Template:  # fmt: skip
    """Turn a kind level and measure the room it takes."""
    level = side.level
    fills = [line for piece in kind.pieces for line in piece.lines]
    everything = [*(line for line, _ in seams), *outline, *fills]
    box = around(level.at(point) for line in everything for point in flat(line)).grown(PAD)
    place = Affine(1, 0, 0, 1, -box.left, -box.top).after(level)
    wide = max(box.wide, 2.6)
    lines = [
        ("seam-true" if label.endswith("seam") else "stop-line-true", place.line(line)) for line, label in _inked(seams)
    ]
    lines += [("zigzag", place.line(line)) for line in outline]
    lines += [("fill", place.line(line)) for line in fills]
    moments_ = [told[piece.name] for piece in kind.pieces if piece.name in told]
    legs = tuple(place.line(leg.line) for moment in moments_ for leg in moment.legs if leg.how == "stitch")
    start = place.at(moments_[0].start) if moments_ else None
    names = tuple(
        (label, *_beside(place.line(line), place.at(_middle(dots)))) for line, label in seams if label
    )  # fmt: skip
    rows = len(_wrapped(words, wide))
    return Template(
        wide, box.tall + 0.24 + 0.16 * rows, title, words, tuple(lines), tuple(place.at(dot) for dot in dots), legs,
        start, names,
    )  # fmt: skip


def _inked(seams: Sequence[tuple[Line, str]]) -> Iterator[tuple[Line, str]]:
    """Every seam with the name whose ink it takes: one without a name takes the last one's."""
    last = ""
    for line, label in seams:
        last = label or last
        yield line, last


def _middle(points: Sequence[Point]) -> Point:
    return Point(sum(p.x for p in points) / len(points), sum(p.y for p in points) / len(points))


def _beside(line: Line, inside: Point) -> tuple[Point, float]:
    """Where the name of a line goes: along it near its start, on the far side from the template's middle."""
    one, two = line[0], line[-1]
    if (two.x, two.y) < (one.x, one.y):
        one, two = two, one
    step = two.minus(one)
    length = math.hypot(*step)
    ahead = step.times(1 / length)
    normal = Point(-ahead.y, ahead.x)
    out = -1 if (inside.x - one.x) * normal.x + (inside.y - one.y) * normal.y > 0 else 1
    off = 0.13 if out > 0 else 0.05
    return one.plus(ahead.times(min(0.5, 0.1 * length))).plus(normal.times(out * off)), math.degrees(
        math.atan2(ahead.y, ahead.x)
    )


def _wrapped(words: str, wide: float, size: float = 8.5) -> list[str]:
    import textwrap  # noqa: PLC0415 - only when something is printed

    return textwrap.wrap(words, max(24, int(wide * POINTS / (0.47 * size))))


def draw_template(canvas: Canvas, template: Template, place: Affine) -> None:
    """Draw a template into a sheet; `place` moves and turns, it never scales."""
    for ink in ("seam-true", "stop-line-true", "fill", "zigzag"):
        canvas.lines([line for name, line in template.lines if name == ink], ink, place)
    taken = Taken()
    for dot in template.dots:
        at = place.at(dot)
        cross(canvas, at)
        taken.spot(at, RING)
    if template.start is not None:
        canvas.dot(place.at(template.start), START, RUST, "#ffffff")
    for leg in template.legs:
        arrows(canvas, place.line(leg), taken, INK)
    turn = math.degrees(math.atan2(place.b, place.a))
    for words, at, tilt in template.names:
        canvas.text(place.at(at), words, 8, colour=GREY_TYPE, italic=True, turn=turn + tilt)


def draw_words(canvas: Canvas, template: Template, place: Affine) -> None:
    """What a template is, under it."""
    turn = math.degrees(math.atan2(place.b, place.a))
    rows = _wrapped(template.words, template.wide)
    below = template.tall - 0.16 * len(rows)
    canvas.text(place.at(Point(PAD, below - 0.08)), template.title, 10.5, bold=True, turn=turn)
    for number, row in enumerate(rows):
        canvas.text(place.at(Point(PAD, below + 0.07 + 0.16 * number)), row, 8.5, turn=turn)


def cross(canvas: Canvas, at: Point) -> None:
    """A dot to mark: a ring with a cross in it, whose middle is the place."""
    ring = RING
    canvas.lines([(at.minus(Point(ring, 0)), at.plus(Point(ring, 0))), (at.minus(Point(0, ring)), at.plus(Point(0, ring)))],
                 "tick")  # fmt: skip
    canvas.lines([circle(at, ring * 0.72)], "tick")


def circle(at: Point, radius: float) -> Line:
    """A circle as four Béziers."""
    k = 0.5522847498 * radius
    x, y, r = at.x, at.y, radius
    return Curve(
        Point(*pair) for pair in (
            (x + r, y), (x + r, y + k), (x + k, y + r), (x, y + r), (x - k, y + r), (x - r, y + k), (x - r, y),
            (x - r, y - k), (x - k, y - r), (x, y - r), (x + k, y - r), (x + r, y - k), (x + r, y),
        )
    )  # fmt: skip


# -- on sheets -----------------------------------------------------------------------------


def template_sheets(pattern: Pattern, paper: Paper, say: Measure, short: str) -> list[Sheet]:
    """The templates on sheets of a paper; one larger than a sheet is laid over several."""
    body = body_of(paper)
    found = templates(pattern, say)
    sizes = [(one.wide, one.tall) for one in found]
    placed = centred(pack(sizes, body.wide, body.tall, GAP), sizes, body.wide)
    sheets: dict[int, Sheet] = {}
    large: list[Sheet] = []
    for template, spot in zip(found, placed, strict=True):
        if spot is None:
            large += over_sheets(template, paper, short)
            continue
        if spot.sheet not in sheets:
            sheets[spot.sheet] = blank(paper, TITLE, "", short, TITLE)
        corner = Point(body.left + spot.at.x, body.top + spot.at.y)
        place = turned(template.wide, corner) if spot.turned else Affine(1, 0, 0, 1, corner.x, corner.y)
        sheet = sheets[spot.sheet]
        sheet.canvas.alt += f". {template.title}, {template.words}"
        draw_template(sheet.canvas, template, place)
        draw_words(sheet.canvas, template, place)
    return [*sheets.values(), *large]


def turned(wide: float, corner: Point) -> Affine:
    """A quarter turn against the clock of a drawing so wide, its top left corner then at `corner`."""
    return Affine(0, -1, 1, 0, corner.x, corner.y + wide)


def over_sheets(template: Template, paper: Paper, short: str) -> list[Sheet]:
    """A template larger than a sheet; upright or on its side, whichever takes fewer sheets."""
    body = body_of(paper)
    ways = []
    for place in (Affine(), turned(template.wide, Point(0, 0))):
        lines = [place.line(line) for _, line in template.lines]
        area = around(point for line in lines for point in flat(line)).grown(PAD)
        ways.append((place, tile(area, body.wide, body.tall - WORDS, used=something_on(lines))))
    place, tiling = min(ways, key=lambda way: len(way[1].tiles))
    sheets = []
    for one in tiling.tiles:
        what = f"{template.title}, sheet {one.label} of {len(tiling.tiles)}"
        sheet = blank(paper, TITLE, what, short, f"{TITLE}. {what}: {template.words}")
        onto = onto_sheet(one, sheet, WORDS)
        for number, row in enumerate(_wrapped(template.words, body.wide)[:2]):
            sheet.canvas.text(Point(body.left, body.top + 0.05 + 0.16 * number), row, 8.5)
        sheet.canvas.clip = Box(body.left, body.top + WORDS, body.right, body.bottom)
        draw_template(sheet.canvas, template, onto.after(place))
        draw_joins(sheet.canvas, one, tiling, onto)
        sheets.append(sheet)
    return sheets
