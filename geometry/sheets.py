"""True-size sheets: papers, what of them can be printed on, and drawings larger than a sheet laid over several.

Lengths are inches of paper; on a sheet, x to the right and y down from its top left corner.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from geometry.lengths import MM_PER_INCH
from geometry.plane import Point, along, flat

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from geometry.plane import Line

MARGIN_LEAST = 0.25
"""Inches at each edge that a printer may leave white ("Q&A", newbetuts.com)."""

MARGIN = 0.4
"""Inches kept free at each edge of a true-size sheet, more than any printer needs."""

OVERLAP = 0.5
"""Inches by which neighbouring sheets show the same."""


class Box(NamedTuple):
    """A part of the plane, upright."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def wide(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def tall(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def middle(self) -> Point:
        """Its centre."""
        return Point((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def meets(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def holds(self, point: Point) -> bool:
        """Whether a point lies inside or on the edge."""
        return self.left <= point.x <= self.right and self.top <= point.y <= self.bottom

    def grown(self, by: float) -> Box:
        """Larger all round."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


def around(points: Iterable[Point]) -> Box:
    """The smallest box that holds some points, at least one."""
    spots = list(points)
    return Box(
        min(p.x for p in spots), min(p.y for p in spots), max(p.x for p in spots), max(p.y for p in spots)
    )  # fmt: skip


class Paper(NamedTuple):
    """A paper, upright."""

    name: str
    words: str
    wide: float
    tall: float


def _metric(name: str, words: str, wide: float, tall: float) -> Paper:
    return Paper(name, words, wide / MM_PER_INCH, tall / MM_PER_INCH)


PAPERS = {
    paper.name: paper
    for paper in (
        Paper("letter", "Letter", 8.5, 11.0),  # ANSI/ASME Y14.1, size A
        Paper("tabloid", "Tabloid", 11.0, 17.0),  # ANSI/ASME Y14.1, size B
        _metric("a4", "A4", 210.0, 297.0),  # ISO 216
        _metric("a3", "A3", 297.0, 420.0),  # ISO 216
        # what Letter and A4 have in common: as narrow as the one, as short as the other
        Paper("both", "Letter or A4", 210.0 / MM_PER_INCH, 11.0),
    )
}


class Tile(NamedTuple):
    """One sheet of a drawing laid over several.

    Attributes:
        row, column: from 0.
        window: the part of the drawing on this sheet.
    """

    row: int
    column: int
    window: Box

    @property
    def label(self) -> str:
        """Row by letter, column by number: `A1`, `C12`, `AB3`."""
        return row_letters(self.row) + str(self.column + 1)


def row_letters(row: int) -> str:
    """A row as letters, as on a map.

    >>> [row_letters(row) for row in (0, 25, 26, 52)]
    ['A', 'Z', 'AA', 'BA']
    """
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


class Join(NamedTuple):
    """Where two neighbouring sheets meet: the line in the middle of what both show, and the marks on it."""

    start: Point
    end: Point
    marks: tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Tiling:
    """A drawing laid over sheets.

    Attributes:
        rows, columns: of the whole grid, unused sheets included.
        tiles: those with something on them, row by row.
        step_x, step_y: inches from one sheet's window to the next one's.
    """

    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    step_x: float
    step_y: float
    overlap: float

    def joins(self, tile: Tile) -> dict[str, Join]:
        """The joins of a sheet with its neighbours, by side: left, top, right, bottom; in inches of the drawing."""
        used = {(other.row, other.column): other for other in self.tiles}
        half = self.overlap / 2
        window = tile.window
        found: dict[str, Join] = {}
        for name, down, across in (("left", 0, -1), ("right", 0, 1), ("top", -1, 0), ("bottom", 1, 0)):
            if (tile.row + down, tile.column + across) not in used:
                continue
            if down == 0:
                x = window.left + half if across < 0 else window.right - half
                ends = (Point(x, window.top), Point(x, window.bottom))
            else:
                y = window.top + half if down < 0 else window.bottom - half
                ends = (Point(window.left, y), Point(window.right, y))
            marks = tuple(Point(ends[0].x + (ends[1].x - ends[0].x) * s, ends[0].y + (ends[1].y - ends[0].y) * s)
                          for s in (0.25, 0.75))  # fmt: skip
            found[name] = Join(*ends, (marks[0], marks[1]))
        return found


def tile(
    area: Box, wide: float, tall: float, overlap: float = OVERLAP, used: Callable[[Box], bool] | None = None
) -> Tiling:
    """Lay a part of the plane over sheets whose body is `wide` by `tall` inches.

    The grid is centred on the area. `used` says whether a window has anything on it; sheets without are left out, and so
    are those that show only what their neighbours show too.
    """
    step_x, step_y = wide - overlap, tall - overlap
    columns = max(1, math.ceil((area.wide - overlap) / step_x - 1e-9))
    rows = max(1, math.ceil((area.tall - overlap) / step_y - 1e-9))
    middle = area.middle
    left = middle.x - (columns * step_x + overlap) / 2
    top = middle.y - (rows * step_y + overlap) / 2
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * step_x, top + row * step_y
            window = Box(x, y, x + wide, y + tall)
            if used is None or used(window):
                tiles.append(Tile(row, column, window))
    if used is not None:
        tiles = _needed(tiles, overlap, used)
    return Tiling(rows, columns, tuple(tiles), step_x, step_y, overlap)


def _needed(tiles: list[Tile], overlap: float, used: Callable[[Box], bool]) -> list[Tile]:
    """The sheets without those that have something only where a neighbour, which stays, laps over them."""
    kept = {(one.row, one.column): one for one in tiles}
    for row, column in list(kept):
        box = kept[row, column].window
        own = Box(
            box.left + overlap * ((row, column - 1) in kept), box.top + overlap * ((row - 1, column) in kept),
            box.right - overlap * ((row, column + 1) in kept), box.bottom - overlap * ((row + 1, column) in kept),
        )  # fmt: skip
        if own != box and not used(own):
            del kept[row, column]
    return list(kept.values())


class Placed(NamedTuple):
    """Where a drawing goes: which sheet, its top left corner there, and whether it lies on its side."""

    sheet: int
    at: Point
    turned: bool


def pack(sizes: Iterable[tuple[float, float]], wide: float, tall: float, gap: float) -> list[Placed | None]:
    """Put drawings on sheets whose body is `wide` by `tall`, in their order, turned where only so they fit.

    Shelf by shelf: a drawing goes beside the last one if there is room, else below, else on the next sheet. None
    stands for a drawing larger than a sheet.
    """
    found: list[Placed | None] = []
    sheet, x, y, shelf = 0, 0.0, 0.0, 0.0
    for size in sizes:
        turned = not _fits(size, wide, tall)
        across, down = size[::-1] if turned else size
        if not _fits((across, down), wide, tall):
            found.append(None)
            continue
        if x > 0 and not _fits((x + across, y + down), wide, tall):
            x, y, shelf = 0.0, y + shelf + gap, 0.0
        if y > 0 and not _fits((across, y + down), wide, tall):
            sheet, x, y, shelf = sheet + 1, 0.0, 0.0, 0.0
        found.append(Placed(sheet, Point(x, y), turned))
        x, shelf = x + across + gap, max(shelf, down)
    return found


def centred(placed: Sequence[Placed | None], sizes: Sequence[tuple[float, float]], wide: float) -> list[Placed | None]:
    """The same drawings, all of one sheet moved together to its middle."""
    reach: dict[int, float] = {}
    for spot, size in zip(placed, sizes, strict=True):
        if spot is not None:
            right = spot.at.x + (size[1] if spot.turned else size[0])
            reach[spot.sheet] = max(reach.get(spot.sheet, 0.0), right)
    return [
        spot and Placed(spot.sheet, spot.at.plus(Point((wide - reach[spot.sheet]) / 2, 0)), spot.turned)
        for spot in placed
    ]


def _fits(size: tuple[float, float], wide: float, tall: float) -> bool:
    return size[0] <= wide + 1e-9 and size[1] <= tall + 1e-9


def crosses(box: Box, start: Point, end: Point) -> bool:
    """Whether a straight piece has any part inside a box (its edge included)."""
    return _share_inside(box, start, end) is not None


def clipped(line: Line, box: Box) -> list[Line]:
    """The parts of a line inside a box; a line wholly inside comes back as it is, a curve cut short as straight pieces."""
    if all(box.holds(point) for point in line):
        return [line]  # a curve lies within the hull of its nodes and controls
    parts: list[list[Point]] = []
    for start, end in itertools.pairwise(flat(line)):
        inside = _share_inside(box, start, end)
        if inside is None or inside[0] == inside[1]:
            continue
        first, last = along(start, end, inside[0]), along(start, end, inside[1])
        if parts and parts[-1][-1] == first:
            parts[-1].append(last)
        else:
            parts.append([first, last])
    return [tuple(part) for part in parts]


def clipped_area(corners: Sequence[Point], box: Box) -> list[Point]:
    """The part of a polygon inside a box, its corners in order; none if there is none.

    Sutherland and Hodgman's algorithm: one side of the box after the other (from memory). A polygon that is bent
    inwards may come back with edges that lie on one another, which fill nothing.
    """
    inside = list(corners)
    for axis, limit, sign in ((0, box.left, 1), (0, box.right, -1), (1, box.top, 1), (1, box.bottom, -1)):
        kept: list[Point] = []
        for i, here in enumerate(inside):
            before = inside[i - 1]
            depth, depth_before = sign * (here[axis] - limit), sign * (before[axis] - limit)
            if (depth >= 0) != (depth_before >= 0):
                kept.append(along(before, here, depth_before / (depth_before - depth)))
            if depth >= 0:
                kept.append(here)
        inside = kept
    return inside


def _share_inside(box: Box, start: Point, end: Point) -> tuple[float, float] | None:
    """From where to where, in shares of its length, a straight piece lies inside a box."""
    low, high = 0.0, 1.0
    for origin, step, least, most in (
        (start.x, end.x - start.x, box.left, box.right),
        (start.y, end.y - start.y, box.top, box.bottom),
    ):
        if step == 0:
            if not least <= origin <= most:
                return None
            continue
        one, other = sorted(((least - origin) / step, (most - origin) / step))
        low, high = max(low, one), min(high, other)
    return (low, high) if low <= high else None
