"""The marking chart as pages: a small drawing of each side, and where every dot lies."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from extension.booklet.canvas import GREY, POINTS, RUST, TINT, Canvas
from extension.booklet.measure import Measure, counted, listed, sides_named, upper
from extension.booklet.stitched import Taken, word_box
from geometry.kinds import members_in_words, triangle_kinds
from geometry.lengths import MM_PER_INCH, fraction
from geometry.marks import Chart, Mark, charts, fill_dots
from geometry.plane import Affine, Point
from geometry.sheets import Box

if TYPE_CHECKING:
    from extension.booklet.settings import Settings
    from geometry.pattern import DrawnSide, Pattern

EACH = {8: "an eighth", 16: "a sixteenth"}

ON_A_QUARTER = 1 / 64
"""Inches within which a dot is said to be a quarter point."""


def chart_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """The chart of every side; sides that are alike share one."""
    say = settings.measure
    stop = pattern.reached
    lead = [
        (
            "Tape slips and cloth eases: pin the quarter points first, and measure every dot from its nearer corner, never all "
            "of them from one end. Each figure is rounded by itself from the dot’s exact place, "
            f"to {EACH[say.parts]} of an inch and to whole millimetres."
        ),
        (
            f"Both rows are measured along the side from the pivot, the corner of the border seam; for the {stop}, carry the "
            f"pivot square across first. Left and right are as you see the side from the centre of the quilt."
        ),
    ]
    if pattern.tiers > 1:
        lead.append(
            "The points of one tier are the dots of the next, so each row between the tiers is marked once; its line is no seam, "
            "and nothing is stitched along it. The pivot of a higher tier is the corner of that line."
        )
    sides = []
    for chart in charts(pattern, say.parts):
        side = next(side for side in pattern.sides if side.name == chart.sides[0])
        seam, stop = pattern.rows(side.name)
        sides.append({
            "title": f"{upper(sides_named(chart.sides))}: {say.told(chart.length)} from pivot to pivot",
            "words": _quarters(chart, say, (seam, stop), side), "picture": side_picture(pattern, side, chart, settings),
            "seam": seam, "stop": stop, "rows": _rows(chart), "check": _check(chart, stop),
        })  # fmt: skip
    return {"kind": "chart", "title": "Marking chart", "lead": lead, "sides": sides}


def _quarters(chart: Chart, say: Measure, rows: tuple[str, str], side: DrawnSide) -> str:
    seam, stop = rows
    first, half = chart.quarters[0], chart.quarters[1]
    return (
        f"Quarter points at {first.corner.text} in ({first.corner.mm} mm) from either corner, the centre at "
        f"{_text(half.place, say.parts)} in ({round(half.place * MM_PER_INCH)} mm). {counted(len(chart.dots), 'dot')} on the "
        f"{seam}, pivots included; {counted(len(chart.points), 'point')} on the {stop}, {say.told(side.height)} away."
    )


def _text(inches: float, parts: int) -> str:
    return fraction(inches, parts)


def _rows(chart: Chart) -> list[list[str]]:
    """A row for each dot, with the point that follows it beside it: name, from, inches, mm, to the centre inches, mm."""
    rows = []
    last = len(chart.dots) - 1
    # at an inward corner the pivot is a point of the stop line
    pivots = {end for end, point in ((0, chart.points[0]), (last, chart.points[-1])) if not _at_pivot(chart, point)}
    for i, dot in enumerate(chart.dots):
        name = f"{i}, pivot" if i in pivots else f"{i}{_where(chart, dot)}"
        row = [name, *_cells(chart, dot)]
        if i < len(chart.points):
            point = chart.points[i]
            where = ", pivot" if _at_pivot(chart, point) else _where(chart, point)
            row += [f"{point.number}{where}", *_cells(chart, point)]
        else:
            row += [""] * 6
        rows.append(row)
    return rows


def _at_pivot(chart: Chart, mark: Mark) -> bool:
    return min(mark.place, chart.length - mark.place) <= ON_A_QUARTER


def _where(chart: Chart, mark: Mark) -> str:
    for quarter, words in zip(chart.quarters, ("quarter", "centre", "quarter"), strict=True):
        if abs(mark.place - quarter.place) <= ON_A_QUARTER:
            return f", {words}"
    return ""


def _cells(chart: Chart, mark: Mark) -> list[str]:
    hand = "right" if mark.from_end else "left"
    if abs(mark.place - chart.length / 2) <= ON_A_QUARTER:
        hand = "either"
    return [hand, mark.corner.text, str(mark.corner.mm), mark.centre.text, str(mark.centre.mm)]


def _check(chart: Chart, stop: str) -> str:
    last = chart.dots[-1].number
    turned = [mark for mark in (chart.points[0], chart.points[-1]) if _at_pivot(chart, mark)]
    if chart.closes and turned:
        names = listed([f"point {mark.number}" for mark in turned])
        return (
            f"Check: {names} {'are pivots' if len(turned) > 1 else 'is the pivot'} on the {stop}, dot 0 is "
            f"{chart.dots[0].corner.text} in and dot {last} {chart.dots[-1].corner.text} in from their corners; the chart closes."
        )
    if chart.closes:
        return (
            f"Check: dot 0 and dot {last} are the two pivots, {chart.dots[0].corner.text} in and "
            f"{chart.dots[-1].corner.text} in from their corners; the chart closes."
        )
    return (
        f"Take care: dot 0 lies {fraction(chart.first_off, 16)} in and dot {last} {fraction(chart.last_off, 16)} in off "
        "its pivot, as the drawing was changed by hand; mark the pivots themselves."
    )


def side_picture(pattern: Pattern, side: DrawnSide, chart: Chart, settings: Settings) -> Canvas:
    """A whole side, small, with the numbers of its dots and its quarter points."""
    wide = settings.text_wide
    previous, following = pattern.beside(side)
    whole = side.length + previous.width + following.width
    scale = (wide - 0.06) / whole
    above, below = 0.2, 0.36
    tall = side.width * scale + above + below
    canvas = Canvas(wide, tall, f"{upper(sides_named(chart.sides))}: {len(chart.dots)} dots on the seam")
    place = Affine(scale, 0, 0, scale, 0.03 + previous.width * scale, above + side.width * scale).after(side.level)
    seam_y = above + side.width * scale
    canvas.area((Point(0.03 + previous.width * scale, seam_y), Point(wide - 0.03 - following.width * scale, seam_y),
                 Point(wide - 0.03 - following.width * scale, tall), Point(0.03 + previous.width * scale, tall)), TINT)  # fmt: skip
    if pattern.room:
        canvas.lines([(*pattern.stop_line, pattern.stop_line[0])], "stop-line", place)
    canvas.lines([(*pattern.edge, pattern.edge[0])], "edge", place)
    canvas.lines([side.zigzag, *side.crossings], "small-zigzag", place)
    canvas.lines([(*pattern.seam, pattern.seam[0])], "seam", place)
    taken = Taken()
    for mark, words in zip(chart.quarters, ("quarter", "centre", "quarter"), strict=True):
        x = place.at(side.dots[0]).x + mark.place * scale
        canvas.lines([(Point(x, seam_y - 0.05), Point(x, seam_y + 0.24))], "over")
        canvas.text(Point(x, seam_y + 0.34), words, 7, "middle", colour=RUST)
        taken.take(word_box(Point(x, seam_y + 0.31), words, 7))
        taken.take(Box(x, seam_y - 0.05, x, seam_y + 0.24))
    for first, row, off in ((0, side.dots, 0.13), (1, side.points, -0.11)):
        for number, point in enumerate(row, first):
            at = place.at(point)
            canvas.dot(at, 0.022)
            # a pivot's number stands beside the seam of the next side, not on it
            aside = -0.08 if number == len(row) - 1 and not first else 0.08
            spots = [at.plus(Point(x, off)) for x in ((0.0, aside) if 0 < number < len(row) - 1 or first else (aside,))]
            spot = next((one for one in spots if taken.free(word_box(one, str(number), 7.5).grown(0.015))), None)
            if spot is not None:
                canvas.text(spot.plus(Point(0, 0.33 * 7.5 / POINTS)), str(number), 7.5, "middle",
                            colour="#1d2b45" if off > 0 else GREY)  # fmt: skip
                taken.take(word_box(spot, str(number), 7.5))
    return canvas


def fill_dots_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """The fill's own dots of each kind of triangle: along the base, and square to it."""
    tables = []
    parts = max(settings.measure.parts, 16)
    for kind in triangle_kinds(pattern):
        piece = kind.pieces[0]
        dots = fill_dots(piece)
        if not dots:
            continue
        where = pattern.base_line(kind.members, kind.base)
        rows = [
            [str(number), fraction(dot.along, parts), f"{dot.along * MM_PER_INCH:.0f}", fraction(dot.up, parts),
             f"{dot.up * MM_PER_INCH:.0f}"]
            for number, dot in enumerate(dots, 1)
        ]  # fmt: skip
        tables.append({
            "title": f"Triangle on the {where}, {members_in_words(kind, pattern.sides)}: {piece.fill_name}",
            "heads": ["", "along", "mm", "up", "mm"], "rows": rows,
        })  # fmt: skip
    lead = [
        (
            "For each kind of triangle, in inches and millimetres, where the lines of its fill turn or end: along the base from its left dot, and from "
            "there square to it, towards the tip. Some triangles are the mirror image: measure those from their right dot."
        )
    ]
    return {
        "kind": "tables", "title": "The fill’s own dots", "lead": lead, "tables": tables, "columns": 3, "size": 9.5,
        "picture": None, "after": [],
    }  # fmt: skip
