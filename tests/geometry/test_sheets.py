"""True-size sheets: papers by their standards, tiles that cover, joins that coincide, cutting held to shapely."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LineString, MultiLineString, Polygon, box, union_all

from geometry.plane import Curve, Point
from geometry.sheets import PAPERS, Box, centred, clipped, clipped_area, crosses, pack, tile

places = st.floats(-20, 20)
points = st.builds(Point, places, places)
boxes = st.builds(lambda p, w, h: Box(p.x, p.y, p.x + w, p.y + h), points, st.floats(0.5, 15), st.floats(0.5, 15))


@pytest.mark.parametrize(
    ("name", "wide", "tall"),
    [
        pytest.param("letter", 215.9, 279.4, id="ANSI/ASME Y14.1, size A"),
        pytest.param("tabloid", 279.4, 431.8, id="ANSI/ASME Y14.1, size B"),
        pytest.param("a4", 210, 297, id="ISO 216, A4"),
        pytest.param("a3", 297, 420, id="ISO 216, A3"),
        pytest.param("both", 210, 279.4, id="what Letter and A4 have in common"),
    ],
)
def test_papers_have_the_sizes_of_their_standards(name: str, wide: float, tall: float) -> None:
    """In millimetres, to a thousandth."""
    assert (PAPERS[name].wide * 25.4, PAPERS[name].tall * 25.4) == pytest.approx((wide, tall), abs=1e-3)


@given(boxes, st.floats(2, 9), st.floats(2, 9), st.floats(0, 1))
def test_tiles_cover_the_drawing_and_none_is_to_spare(area: Box, wide: float, tall: float, overlap: float) -> None:
    """Every corner of the area lies on a sheet; one column or row fewer would not reach."""
    tiling = tile(area, wide, tall, overlap)
    windows = [one.window for one in tiling.tiles]
    assert min(w.left for w in windows) <= area.left + 1e-9
    assert max(w.right for w in windows) >= area.right - 1e-9
    assert min(w.top for w in windows) <= area.top + 1e-9
    assert max(w.bottom for w in windows) >= area.bottom - 1e-9
    assert (tiling.columns - 1) * tiling.step_x + overlap < area.wide + 1e-6 or tiling.columns == 1
    assert len({one.label for one in tiling.tiles}) == tiling.rows * tiling.columns


@given(boxes, st.floats(2, 9), st.floats(2, 9), st.floats(0.2, 1))
def test_neighbours_have_the_same_joining_marks(area: Box, wide: float, tall: float, overlap: float) -> None:
    """In inches of the drawing they are the same places, on both sheets."""
    tiling = tile(area, wide, tall, overlap)
    by_place = {(one.row, one.column): one for one in tiling.tiles}
    for one in tiling.tiles:
        joins = tiling.joins(one)
        for name, back, step in (("right", "left", (0, 1)), ("bottom", "top", (1, 0))):
            other = by_place.get((one.row + step[0], one.column + step[1]))
            assert (name in joins) == (other is not None)
            if other is not None:
                for mine, theirs in zip(joins[name].marks, tiling.joins(other)[back].marks, strict=True):
                    assert mine == pytest.approx(theirs, abs=1e-9)
                    assert one.window.holds(mine)
                    assert other.window.grown(1e-9).holds(mine)


def test_sheets_without_anything_are_left_out() -> None:
    """A frame leaves the middle of the grid out, and joins do not lead there."""
    outline = [Point(0, 0), Point(30, 0), Point(30, 30), Point(0, 30), Point(0, 0)]

    def used(window: Box) -> bool:
        return any(crosses(window, one, two) for one, two in itertools.pairwise(outline))

    tiling = tile(Box(0, 0, 30, 30), 8, 8, 0.5, used)
    assert (tiling.rows, tiling.columns) == (4, 4)
    assert len(tiling.tiles) == 12
    assert {one.label for one in tiling.tiles}.isdisjoint({"B2", "B3", "C2", "C3"})
    corner = next(one for one in tiling.tiles if one.label == "B1")
    assert set(tiling.joins(corner)) == {"top", "bottom"}


@given(boxes, st.floats(4, 12), st.floats(4, 12), st.lists(st.tuples(points, points), min_size=1, max_size=4))
def test_every_line_is_on_some_sheet_and_no_sheet_is_to_spare(
    area: Box, wide: float, tall: float, pairs: list[tuple[Point, Point]]
) -> None:
    """Sheets that show only what their neighbours show are left out; none of what remains can go too."""
    drawn = MultiLineString(
        [LineString(pair) for pair in pairs if pair[0] != pair[1]] or [LineString([(0, 0), (1, 1)])]
    ).intersection(box(*area))
    assume(drawn.length > 0.01)

    def used(window: Box) -> bool:
        return bool(drawn.intersection(box(*window)).length > 1e-9)

    tiles = tile(area, wide, tall, 0.5, used).tiles
    assert (
        drawn.difference(union_all([box(*one.window) for one in tiles]).buffer(1e-6)).length < 1e-9
    )  # a bare point is no line
    by_place = {(one.row, one.column): one for one in tiles}
    for one in tiles:
        beside = [
            by_place.get((one.row + down, one.column + across)) for down, across in ((0, 1), (0, -1), (1, 0), (-1, 0))
        ]
        own = box(*one.window).difference(union_all([box(*other.window) for other in beside if other is not None]))
        assert drawn.intersection(own.buffer(1e-6)).length > 0


@given(boxes, points, points)
def test_a_piece_crosses_a_box_where_shapely_says_so(window: Box, start: Point, end: Point) -> None:
    """And what is cut out of it has the length that lies inside."""
    assume(start != end)
    line, area = LineString([start, end]), box(*window)
    inside = line.intersection(area).length
    assert crosses(window, start, end) or inside < 1e-9
    parts = clipped((start, end), window)
    assert sum(LineString(part).length for part in parts) == pytest.approx(inside, abs=1e-6)
    assert all(window.grown(1e-6).holds(point) for part in parts for point in part)


@given(boxes, st.lists(points, min_size=3, max_size=3, unique=True))
def test_a_cut_triangle_has_the_area_that_lies_inside(window: Box, corners: list[Point]) -> None:
    """By shapely."""
    triangle = Polygon(corners)
    assume(triangle.area > 1e-6)
    found = clipped_area(corners, window)
    area = Polygon(found).area if len(found) > 2 else 0.0
    assert area == pytest.approx(triangle.intersection(box(*window)).area, abs=1e-6)


def test_a_line_wholly_inside_stays_what_it_is() -> None:
    """A curve stays a curve; one that is cut becomes straight pieces."""
    curve = Curve([Point(1, 1), Point(2, 3), Point(4, 3), Point(5, 1)])
    assert clipped(curve, Box(0, 0, 9, 9)) == [curve]
    assert isinstance(clipped(curve, Box(0, 0, 9, 9))[0], Curve)
    cut = clipped(curve, Box(0, 0, 3, 9))
    assert len(cut) == 1
    assert len(cut[0]) > 4


@given(st.lists(st.tuples(st.floats(0.5, 12), st.floats(0.5, 12)), max_size=12))
def test_packed_drawings_lie_on_their_sheet_and_not_on_one_another(sizes: list[tuple[float, float]]) -> None:
    """Turned where only so they fit; those larger than a sheet are told apart."""
    placed = centred(pack(sizes, 7, 9, 0.2), sizes, 7)
    taken: dict[int, list[Box]] = {}
    for spot, (wide, tall) in zip(placed, sizes, strict=True):
        fits = (wide <= 7 and tall <= 9) or (tall <= 7 and wide <= 9)
        assert (spot is not None) == fits
        if spot is None:
            continue
        across, down = (tall, wide) if spot.turned else (wide, tall)
        here = Box(spot.at.x, spot.at.y, spot.at.x + across, spot.at.y + down)
        assert Box(0, 0, 7, 9).grown(1e-6).holds(Point(here.left, here.top))
        assert Box(0, 0, 7, 9).grown(1e-6).holds(Point(here.right, here.bottom))
        assert not any(here.grown(-1e-6).meets(other) for other in taken.get(spot.sheet, []))
        taken.setdefault(spot.sheet, []).append(here)
