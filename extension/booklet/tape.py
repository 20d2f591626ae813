"""The marking strip: a paper tape of a side at true size, with ticks for both rows of dots and for the fill's own."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from extension.booklet.canvas import INK, POINTS, RUST, TINT
from extension.booklet.measure import sides_named, upper
from extension.booklet.sheet import GREY_TYPE, Sheet, blank, body_of
from extension.booklet.stitched import Taken, word_box
from extension.booklet.tiles import DIAMOND
from geometry.marks import Chart, Piece, base_ticks, charts, pieces
from geometry.plane import Point, distance
from geometry.sheets import Box

if TYPE_CHECKING:
    from extension.booklet.canvas import Canvas
    from extension.booklet.measure import Measure
    from geometry.pattern import Pattern
    from geometry.sheets import Paper

TITLE = "Marking strip"

TALL = 1.1
"""Inches of the tape from the seam's edge to the stop line's."""

APART = 0.42
"""Inches between two pieces on a sheet."""

TAB = 0.5
"""Inches by which two pieces overlap when they are glued."""

LEAD = 0.36
"""Inches over the first piece of a sheet, for the words about all of them."""

TICK, SMALL_TICK = 0.24, 0.08

SIZE = 8.5
"""Points of the numbers and lengths."""


class Tape(NamedTuple):
    """The ticks of one strip.

    Attributes:
        chart: the side's marks.
        length: inches of strip: half the side where its halves mirror each other.
        seam_ticks, stop_ticks: where fills touch the base, inches along the side.
    """

    chart: Chart
    length: float
    half: bool
    seam_ticks: tuple[float, ...]
    stop_ticks: tuple[float, ...]


def tapes(pattern: Pattern) -> list[Tape]:
    """One strip for each kind of side; half of it, to the centre fold, where both halves are alike."""
    found = []
    for chart in charts(pattern):
        side = next(side for side in pattern.sides if side.name == chart.sides[0])
        pivot = side.lies.start
        half = chart.mirrored
        length = chart.length / 2 if half else chart.length
        ahead = side.lies.ahead
        rows = []
        for base in ("inner", "outer"):
            spots = [point for section in pattern.of(side.name, base) for point in base_ticks(section)]
            places = [(p.x - pivot.x) * ahead.x + (p.y - pivot.y) * ahead.y for p in spots]
            rows.append(tuple(place for place in places if place <= length + 1e-6))
        found.append(Tape(chart, length, half, rows[0], rows[1]))
    return found


def tape_sheets(pattern: Pattern, paper: Paper, say: Measure, short: str) -> list[Sheet]:
    """The strips in pieces, several on a sheet."""
    body = body_of(paper)
    per_sheet = max(1, int((body.tall - LEAD + APART) / (TALL + APART)))
    rows = []
    for tape in tapes(pattern):
        cut = pieces(tape.length, body.wide - 0.2, TAB)
        rows += [(tape, cut, i) for i in range(len(cut))]
    sheets: list[Sheet] = []
    for number, (tape, cut, i) in enumerate(rows):
        if number % per_sheet == 0:
            seam, stop = (
                ("line of the dots", "line of the points") if pattern.tiers > 1 else ("border seam", pattern.reached)
            )
            alt = f"{TITLE}: pieces with ticks for every dot of the {seam} and of the {stop}"
            sheets.append(blank(paper, TITLE, f"Cut out, glue on the diamonds, lay along the {seam}", short, alt))
        if number % per_sheet == 0:
            unit = "inches" if say.unit == "in" else "millimetres"
            words = f"Lower edge: {seam}; upper edge: {stop}. At each tick: number of the dot, {unit} from the nearer corner. "
            words += "Short ticks: the fill."
            sheets[-1].canvas.text(Point(body.left, body.top + 0.06), words, 8.5)
        top = body.top + LEAD + (number % per_sheet) * (TALL + APART)
        lines = pattern.rows(tape.chart.sides[0]) if pattern.tiers > 1 else ()
        _piece(sheets[-1].canvas, tape, cut, i, Point(body.left, top), say, lines)
    return sheets


def _piece(canvas: Canvas, tape: Tape, cut: tuple[Piece, ...], which: int, corner: Point, say: Measure,
           lines: tuple[str, ...]) -> None:  # fmt: skip
    piece = cut[which]
    left, top, bottom = corner.x, corner.y, corner.y + TALL
    right = left + piece.end - piece.start
    if which > 0:
        _area(canvas, Box(left, top, left + TAB, bottom))
    outline = (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom), Point(left, top))
    canvas.lines([outline], "tick")
    taken = Taken()

    def spot(place: float) -> float | None:
        inside = piece.start - 1e-6 <= place <= piece.end + 1e-6
        return left + place - piece.start if inside else None

    _ends(canvas, tape, cut, which, Box(left, top, right, bottom), taken)
    for row, edge, inward in ((tape.chart.dots, bottom, -1), (tape.chart.points, top, 1)):
        ticks = []
        for mark in row:
            x = spot(mark.place) if mark.place <= tape.length + 1e-6 else None
            if x is None:
                continue
            ticks.append((Point(x, edge), Point(x, edge + inward * TICK)))
            pivot = inward < 0 and mark.number in {0, len(row) - 1}
            exact = mark.corner.text if say.unit == "in" else str(mark.corner.mm)
            _beside_tick(canvas, Point(x, edge + inward * 0.16), str(mark.number), "pivot" if pivot else exact, taken,
                         (left, right))  # fmt: skip
        canvas.lines(ticks, "zigzag")
    for places, edge, inward in ((tape.seam_ticks, bottom, -1), (tape.stop_ticks, top, 1)):
        small = [(Point(x, edge), Point(x, edge + inward * SMALL_TICK)) for x in map(spot, places) if x is not None]
        canvas.lines(small, "tick")
    for mark, words in zip(tape.chart.quarters, ("1/4", "1/2", "3/4"), strict=True):
        x = spot(mark.place)
        if x is not None and mark.place <= tape.length + 1e-6:
            middle = (top + bottom) / 2
            if min(x - left, right - x) > TAB or which == len(cut) - 1:
                canvas.lines([(Point(x, middle - 0.11), Point(x, middle + 0.11))], "over")
            side = 1 if x < right - 0.5 else -1
            _label(canvas, Point(x + side * 0.17, middle), words, taken, colour=RUST)
    words = f"{upper(sides_named(tape.chart.sides))}, piece {which + 1} of {len(cut)}"
    words += f": the half from the pivot to the centre, {say.told(tape.length)}" if tape.half else ""
    words += f"; from the {lines[0]} to the {lines[1]}" if lines else ""
    canvas.text(Point(left, top - 0.06), words, 8.5, colour=GREY_TYPE)


def _ends(canvas: Canvas, tape: Tape, cut: tuple[Piece, ...], which: int, box: Box, taken: Taken) -> None:
    """Glue tabs with their diamonds; the fold at the end of half a strip."""
    middle = (box.top + box.bottom) / 2
    joins = []
    if which > 0:
        joins.append((box.left + TAB / 2, chr(ord("A") + (which - 1) % 26)))
    if which < len(cut) - 1:
        joins.append((box.right - TAB / 2, chr(ord("A") + which % 26)))
    for x, letter in joins:
        for y in (middle - 0.18, middle + 0.18):
            at, across, down = Point(x, y), Point(DIAMOND * 0.8, 0), Point(0, DIAMOND * 0.8)
            canvas.lines([(at.minus(down), at.plus(across), at.plus(down), at.minus(across), at.minus(down))], "tick")
            canvas.lines([(at.minus(down), at.plus(down))], "tick")
        _label(canvas, Point(x, middle), letter, taken, bold=True)
        taken.take(Box(x - 0.1, middle - 0.3, x + 0.1, middle + 0.3))
    if which == len(cut) - 1 and tape.half:
        canvas.lines([(Point(box.right, box.top), Point(box.right, box.bottom))], "join")
        canvas.text(Point(box.right + 0.12, middle), "fold", 8, "middle", colour=GREY_TYPE, italic=True, turn=-90)


def _area(canvas: Canvas, box: Box) -> None:
    canvas.area((Point(box.left, box.top), Point(box.right, box.top), Point(box.right, box.bottom),
                 Point(box.left, box.bottom)), TINT)  # fmt: skip


def _beside_tick(
    canvas: Canvas, at: Point, number: str, length: str, taken: Taken, within: tuple[float, float]
) -> None:
    """A dot's number to the left of its tick, its distance to the right; both on one side at the end of a piece."""
    wide = [0.54 * SIZE * len(words) / POINTS for words in (number, length)]
    if at.x - wide[0] - 0.1 < within[0]:
        starts = [at.x + 0.06, at.x + 0.06 + wide[0] + 0.07]
    elif at.x + wide[1] + 0.1 > within[1]:
        starts = [at.x - 0.06 - wide[1] - 0.07 - wide[0], at.x - 0.06 - wide[1]]
    else:
        starts = [at.x - 0.06 - wide[0], at.x + 0.06]
    for words, start, width, bold in zip((number, length), starts, wide, (True, False), strict=True):
        box = Box(start, at.y - 0.05, start + width, at.y + 0.05)
        if taken.free(box):
            canvas.text(Point(start, at.y + 0.33 * SIZE / POINTS), words, SIZE, bold=bold)
            taken.take(box)


def _label(canvas: Canvas, at: Point, words: str, taken: Taken, *, bold: bool = False, colour: str = INK) -> None:
    """Words centred on a place."""
    canvas.text(at.plus(Point(0, 0.33 * SIZE / POINTS)), words, SIZE, "middle", bold=bold, colour=colour)
    taken.take(word_box(at, words, SIZE))


def reach(pattern: Pattern) -> float:
    """Inches of the longest strip, for the list of what is needed."""
    return max(tape.length for tape in tapes(pattern)) if pattern.sides else distance(Point(0, 0), Point(0, 0))
