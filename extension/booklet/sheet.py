"""The blank true-size sheet: title, the words about printing, test squares and bars, and the body in between."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from extension.booklet.canvas import GREY, Canvas
from geometry.lengths import MM_PER_INCH
from geometry.plane import Point
from geometry.sheets import MARGIN, Box, Paper

if TYPE_CHECKING:
    from geometry.plane import Line

HEAD, FOOT = 0.38, 1.12
"""Inches of a sheet above and below its body, inside the margins."""

SQUARE_IN = 1.0
SQUARE_CM = 20 / MM_PER_INCH
BAR_IN = 4.0
BAR_CM = 100 / MM_PER_INCH

_GAP = 0.18


class Sheet(NamedTuple):
    """A true-size sheet being drawn: its picture, and the body where the drawing goes."""

    canvas: Canvas
    body: Box


def body_of(paper: Paper) -> Box:
    """What of a sheet is free for the drawing."""
    return Box(MARGIN, MARGIN + HEAD, paper.wide - MARGIN, paper.tall - MARGIN - FOOT)


def blank(paper: Paper, title: str, what: str, short: str, alt: str) -> Sheet:
    """A sheet with everything but its drawing.

    Args:
        paper: its size.
        title: the part of the booklet.
        what: what is on this sheet.
        short: the booklet's title.
        alt: the sheet in words.
    """
    canvas = Canvas(paper.wide, paper.tall, alt)
    right = paper.wide - MARGIN
    canvas.text(Point(MARGIN, MARGIN + 0.17), title, 13)
    canvas.text(Point(right, MARGIN + 0.17), what, 9, "end", colour=GREY_TYPE, italic=True)
    canvas.lines([(Point(MARGIN, MARGIN + 0.27), Point(right, MARGIN + 0.27))], "thin")
    _test_marks(canvas, paper, short)
    return Sheet(canvas, body_of(paper))


GREY_TYPE = "#6f6a61"


def square(left: float, bottom: float, size: float) -> Line:
    """A closed square standing on a line."""
    top, right = bottom - size, left + size
    return (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom), Point(left, top))


def _test_marks(canvas: Canvas, paper: Paper, short: str) -> None:
    bottom = paper.tall - MARGIN
    left = MARGIN
    canvas.lines([square(left, bottom, SQUARE_IN)], "exact", apart=True)
    canvas.text(Point(left + SQUARE_IN / 2, bottom - SQUARE_IN / 2 + 0.04), "1 in", 8, "middle")
    left += SQUARE_IN + _GAP
    canvas.lines([square(left, bottom, SQUARE_CM)], "exact", apart=True)
    canvas.text(Point(left + SQUARE_CM / 2, bottom - SQUARE_CM / 2 + 0.04), "2 cm", 8, "middle")
    left += SQUARE_CM + _GAP
    room = paper.wide - MARGIN - left
    for words, size, y in (("4 in", BAR_IN, bottom - 0.62), ("10 cm", BAR_CM, bottom - 0.3)):
        if size <= room:
            _bar(canvas, Point(left, y), size, words)
    canvas.text(
        Point(left, bottom - 0.86), "Print at 100 %, not fitted to the page. Measure both bars before you cut.", 8.5
    )
    canvas.text(Point(left, bottom), short, 8, colour=GREY_TYPE, italic=True)


def _bar(canvas: Canvas, start: Point, size: float, words: str) -> None:
    end = start.plus(Point(size, 0))
    half = Point(0, 0.07)
    canvas.lines([(start, end)], "exact", apart=True)
    canvas.lines([(p.minus(half), p.plus(half)) for p in (start, end)], "exact")
    canvas.text(Point(start.x + size / 2, start.y - 0.05), words, 8, "middle", colour=GREY)
