"""Lengths in a figure: a thin line between two places, a tick at either end, the length beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.booklet.canvas import POINTS
from geometry.plane import Point

if TYPE_CHECKING:
    from extension.booklet.canvas import Canvas

TICK = Point(0, 0.05)
SIZE = 8.5


def across(canvas: Canvas, left: Point, right: Point, words: str) -> None:
    """A length from left to right, its words in a gap in the middle of the line."""
    middle = (left.x + right.x) / 2
    half = 0.25 * SIZE * len(words) / POINTS + 0.06
    y = left.y
    if right.x - left.x > 2 * half + 0.2:
        canvas.lines([(left, Point(middle - half, y)), (Point(middle + half, y), right)], "tick")
    canvas.lines([(end.minus(TICK), end.plus(TICK)) for end in (left, right)], "tick")
    canvas.text(Point(middle, y + 0.32 * SIZE / POINTS), words, SIZE, "middle")


def upright(canvas: Canvas, foot: Point, head: Point, words: str) -> None:
    """A length from below to above, its words to the right of the line."""
    side = Point(TICK.y, 0)
    canvas.lines([(foot, head)], "tick")
    canvas.lines([(end.minus(side), end.plus(side)) for end in (foot, head)], "tick")
    canvas.text(Point(foot.x + 0.08, (foot.y + head.y) / 2 + 0.32 * SIZE / POINTS), words, SIZE)
