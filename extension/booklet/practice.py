"""The practice page: one triangle and one corner, as large as the page, dotted, to trace with finger and pencil first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.booklet.canvas import INK, RUST, Canvas
from extension.booklet.sheet import GREY_TYPE
from extension.booklet.stitched import START, Taken, arrows, numbers
from geometry.moments import moments, way
from geometry.plane import Affine, Point, flat
from geometry.sheets import MARGIN, Box, Paper, around

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.moments import Moment
    from geometry.pattern import Pattern

TITLE = "Practice page"
GAP = 0.6
HEAD = 0.75


def practice_sheet(pattern: Pattern, paper: Paper, short: str, *, mirror: bool) -> Canvas:
    """A page to trace; `mirror` for a hand that works from right to left."""
    title = f"{TITLE}, left-handed" if mirror else TITLE
    canvas = Canvas(
        paper.wide, paper.tall, f"{title}: a triangle and a corner of the border, dotted, with start and arrows"
    )
    canvas.text(Point(MARGIN, MARGIN + 0.17), title, 13)
    canvas.text(Point(paper.wide - MARGIN, MARGIN + 0.17), "drawn to fill the page, not true to size", 9, "end",
                colour=GREY_TYPE, italic=True)  # fmt: skip
    canvas.lines([(Point(MARGIN, MARGIN + 0.27), Point(paper.wide - MARGIN, MARGIN + 0.27))], "thin")
    canvas.text(Point(MARGIN, MARGIN + 0.5), "Begin at the large dot and follow the arrows, first with a finger, then with a "
                "pencil, until the hand knows the way.", 9.5)  # fmt: skip
    canvas.text(Point(MARGIN, paper.tall - MARGIN), short, 8, colour=GREY_TYPE, italic=True)
    body = Box(MARGIN, MARGIN + HEAD, paper.wide - MARGIN, paper.tall - MARGIN - 0.35)
    groups = _groups(pattern)
    level = pattern.sides[0].level
    boxes = [around(level.at(p) for moment in group for p in way(moment)) for group in groups]
    # both parts at one scale each, their heights sharing the page
    shares = [min(body.wide / box.wide, 0.62 * body.tall / box.tall) for box in boxes]
    total = sum(share * box.tall for share, box in zip(shares, boxes, strict=True)) + GAP * (len(boxes) - 1)
    shrink = min(1.0, (body.tall - GAP * (len(boxes) - 1)) / (total - GAP * (len(boxes) - 1)))
    top = body.top
    for group, box, share in zip(groups, boxes, shares, strict=True):
        scale = share * shrink * 0.97
        left = body.left + (body.wide - scale * box.wide) / 2
        flip = -1.0 if mirror else 1.0
        x = left - box.left * scale if not mirror else left + box.right * scale
        place = Affine(flip * scale, 0, 0, scale, x, top - box.top * scale + 0.1)
        _around(canvas, pattern, group, place.after(level))
        _draw(canvas, group, place.after(level))
        top += scale * box.tall + GAP
    return canvas


def _groups(pattern: Pattern) -> list[list[Moment]]:
    """The moments of the first triangle, and those of the first side's corner."""
    side = pattern.sides[0]
    told = [moment for run in pattern.runs for moment in moments(pattern, run)]
    number = min(2, len(side.points)) - 1
    triangle = [
        m for m in told if m.what == "diagonal" and m.name == side.name and m.place in {2 * number, 2 * number + 1}
    ]
    triangle += [m for m in told if m.name == f"{side.name}-in-{number + 1}"]
    names = {section.name for section in pattern.of(side.name, "corner")}
    corner = [m for m in told if m.name in names or (m.what == "corner-line" and m.name == side.name)]
    return [group for group in (triangle, corner) if group]


def _around(canvas: Canvas, pattern: Pattern, group: Sequence[Moment], place: Affine) -> None:
    """Seam, stop line and diagonals beside what is traced, thin."""
    box = around(place.at(p) for moment in group for p in way(moment))
    canvas.clip = box.grown(0.12)
    canvas.lines([(*corners, corners[0]) for corners in (pattern.seam, pattern.stop_line)], "thin", place)
    # the next triangles' diagonals would only leave stubs
    canvas.clip = box
    canvas.lines([side.zigzag for side in (pattern.sides[0], pattern.sides[1 % len(pattern.sides)])], "thin", place)
    canvas.clip = canvas.box


def _draw(canvas: Canvas, group: Sequence[Moment], place: Affine) -> None:
    taken = Taken()
    for moment in group:
        ink = "trace-fine" if moment.what == "fill" else "trace"
        canvas.lines([leg.line for leg in moment.legs if leg.how != "over"], ink, place)
    fills = [moment for moment in group if moment.what == "fill"] or list(group)
    for moment in fills:
        start = place.at(moment.start)
        canvas.dot(start, START * 1.4, RUST, "#ffffff")
        taken.spot(start, START * 1.4)
    taken.lines(place.line(leg.line) for moment in group for leg in moment.legs)
    following = 1
    for moment in fills:
        following = numbers(canvas, flat(place.line(way(moment))), taken, 8, following)
    for moment in group:
        for leg in moment.legs:
            arrows(canvas, place.line(leg.line), taken, INK, 0.13)
