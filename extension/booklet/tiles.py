"""Drawings larger than a sheet: joins, the whole border over sheets, and the map of its sheets."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from extension.booklet.canvas import INK, POINTS, TINT, Canvas
from extension.booklet.sheet import GREY_TYPE, Sheet, blank, body_of
from geometry.plane import Affine, Point, flat
from geometry.sheets import Box, Paper, Tile, Tiling, around, crosses, tile

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from geometry.pattern import Pattern
    from geometry.plane import Line

DIAMOND = 0.09
"""Inches from the centre of a joining mark to its points."""

TITLE = "The whole border, true size"


def onto_sheet(one: Tile, sheet: Sheet, lower: float = 0.0) -> Affine:
    """The map that puts a tile's window on its sheet's body, `lower` inches under its top."""
    return Affine(1, 0, 0, 1, sheet.body.left - one.window.left, sheet.body.top + lower - one.window.top)


def something_on(lines: Sequence[Line]) -> Callable[[Box], bool]:
    """Whether a window has any of some lines on it, more than such as only touch its edge."""
    pieces = [pair for line in lines for pair in itertools.pairwise(flat(line))]

    def used(window: Box) -> bool:
        inner = window.grown(-1e-6)
        return any(crosses(inner, one, two) for one, two in pieces)

    return used


def draw_joins(canvas: Canvas, one: Tile, tiling: Tiling, onto: Affine) -> None:
    """The lines on which neighbouring sheets meet, the marks that must come to lie on one another, and the neighbours' names."""
    labels = {(other.row, other.column): other.label for other in tiling.tiles}
    steps = {"left": (0, -1), "right": (0, 1), "top": (-1, 0), "bottom": (1, 0)}
    for name, join in tiling.joins(one).items():
        start, end = onto.at(join.start), onto.at(join.end)
        canvas.lines([(start, end)], "join")
        for spot in join.marks:
            at = onto.at(spot)
            across, down = Point(DIAMOND, 0), Point(0, DIAMOND)
            corners = (at.minus(down), at.plus(across), at.plus(down), at.minus(across))
            canvas.lines([(*corners, corners[0])], "tick", fill="#ffffff")
            canvas.lines([(at.minus(down), at.plus(down)), (at.minus(across), at.plus(across))], "tick")
        row, column = steps[name]
        label = labels[one.row + row, one.column + column]
        half = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
        off = {"left": Point(0.12, 0), "right": Point(-0.05, 0), "top": Point(0, 0.14), "bottom": Point(0, -0.06)}[name]
        canvas.text(half.plus(off), f"joins {label}", 8, "middle", colour=GREY_TYPE, italic=True,
                    turn=-90 if name in {"left", "right"} else 0)  # fmt: skip


def border_tiling(pattern: Pattern, paper: Paper) -> Tiling:
    """The whole border over sheets, those without any of it left out."""
    body = body_of(paper)
    outlines: list[Line] = [(*corners, corners[0]) for corners in (pattern.edge, pattern.seam)]
    lines = [*outlines, *(side.zigzag for side in pattern.sides)]
    return tile(around(pattern.edge).grown(0.15), body.wide, body.tall, used=something_on(lines))


def border_sheets(pattern: Pattern, paper: Paper, short: str, said: Callable[[str], None]) -> list[Sheet]:
    """The whole border at true size, sheet by sheet."""
    tiling = border_tiling(pattern, paper)
    drawing = _drawing(pattern)
    sheets = []
    for number, one in enumerate(tiling.tiles, 1):
        said(f"sheet {number} of {len(tiling.tiles)}")
        what = f"Sheet {one.label}"
        sheet = blank(paper, TITLE, what, short, f"{TITLE}. {what}, row {one.label.rstrip('0123456789')}, "
                      f"column {one.column + 1}")  # fmt: skip
        onto = onto_sheet(one, sheet)
        sheet.canvas.clip = sheet.body
        near = one.window.grown(0.01)
        for ink, placed in drawing:
            sheet.canvas.lines([line for line, box in placed if box.meets(near)], ink, onto)
        _numbers(sheet.canvas, pattern, onto)
        draw_joins(sheet.canvas, one, tiling, onto)
        sheets.append(sheet)
    return sheets


def _drawing(pattern: Pattern) -> list[tuple[str, list[tuple[Line, Box]]]]:
    """Everything to draw, by ink, with the box each line lies in."""
    stop = [pattern.stop_line] if pattern.room > 0 else []
    groups: list[tuple[str, list[Line]]] = [
        ("edge", [(*pattern.edge, pattern.edge[0])]),
        ("seam-true", [(*pattern.seam, pattern.seam[0])]),
        ("stop-line-true", [(*corners, corners[0]) for corners in stop]),
        ("fill", [line for section in pattern.sections for line in section.lines]),
        ("zigzag", [line for side in pattern.sides for line in (*itertools.pairwise(side.zigzag), *side.crossings)]),
    ]
    return [(ink, [(line, around(line).grown(1e-6)) for line in lines]) for ink, lines in groups]


def _numbers(canvas: Canvas, pattern: Pattern, onto: Affine) -> None:
    """The dots and points, each with its side and number."""
    from extension.booklet.templates import cross  # noqa: PLC0415 - templates that are large need this module

    for side in pattern.sides:
        out = side.level.inverse()
        outward = out.at(Point(0, -1)).minus(out.at(Point(0, 0)))
        for word, first, row, way in (("dot", 0, side.dots[:-1], -1), ("point", 1, side.points, 1)):
            for number, point in enumerate(row, first):
                at = onto.at(point)
                if canvas.clip.holds(at):
                    cross(canvas, at)
                    words = at.plus(outward.times(0.2 * way)).plus(Point(0, 0.04))
                    canvas.text(words, f"{side.name}, {word} {number}", 8, "middle")


def map_picture(pattern: Pattern, tiling: Tiling, most_wide: float, most_tall: float) -> Canvas:
    """The map: the border small, the sheets over it with their names."""
    grid = around(corner for one in tiling.tiles for corner in (Point(one.window.left, one.window.top),
                                                                Point(one.window.right, one.window.bottom)))  # fmt: skip
    scale = min(most_wide / grid.wide, most_tall / grid.tall)
    names = ", ".join(one.label for one in tiling.tiles)
    canvas = Canvas(grid.wide * scale + 0.06, grid.tall * scale + 0.06, f"Map of the sheets: {names}")
    place = Affine(scale, 0, 0, scale, 0.03 - grid.left * scale, 0.03 - grid.top * scale)
    canvas.area(pattern.edge, TINT, place)
    canvas.area(pattern.seam, "#ffffff", place)
    canvas.lines([side.zigzag for side in pattern.sides], "before", place)
    canvas.lines([(*pattern.edge, pattern.edge[0]), (*pattern.seam, pattern.seam[0])], "thin", place)
    size = max(7.0, min(11.0, 0.3 * scale * min(tiling.step_x, tiling.step_y) * POINTS))
    for one in tiling.tiles:
        half = tiling.overlap / 2
        box = one.window.grown(-half)
        corners = (Point(box.left, box.top), Point(box.right, box.top), Point(box.right, box.bottom),
                   Point(box.left, box.bottom), Point(box.left, box.top))  # fmt: skip
        canvas.lines([corners], "tick", place)
        at = place.at(box.middle)
        canvas.text(at.plus(Point(0, 0.33 * size / POINTS)), one.label, size, "middle", bold=True, colour=INK)
    return canvas
