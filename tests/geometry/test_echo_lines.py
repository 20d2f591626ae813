"""Echo lines: where they run and how the needle follows them."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import length, union_all
from shapely.geometry import LineString, Polygon

from geometry.fills.chevrons import chevrons
from geometry.fills.echo_lines import with_echo_lines
from geometry.fills.shape import Fill, Passage, Shape, standard
from geometry.plan import Request, lay_out
from geometry.plane import Line, Point, distance_to_line, flat
from geometry.sections import LEFT, RIGHT, Base, Hand, Section

LEFT_FOOT, RIGHT_FOOT, TIP = Point(0.0, 0.0), Point(12.0, 0.0), Point(6.0, -6.0)


def _shape(
    corners: Line = (LEFT_FOOT, RIGHT_FOOT, TIP),
    base: Base = "inner",
    hand: Hand = RIGHT,
    passage: Passage = "home",
    *,
    seam: bool = True,
) -> Shape:
    return standard(Section("top-in-1", "top", 1, base, corners, hand), seam=seam, passage=passage)[0]


class _Seen:
    """A fill that remembers what it was given and draws one short line."""

    def __init__(self, least_depth: float = 0.0) -> None:
        self.shapes: list[Shape] = []
        self._least_depth = least_depth

    def __call__(self, shape: Shape) -> Fill:
        self.shapes.append(shape)
        if shape.depth < self._least_depth:
            return Fill((), 1.0, "too small")
        return Fill((shape.line((-0.1, 0), (0, 0.1)),), 1.0)


def test_the_sketch_triangle_with_two_lines_half_an_inch_apart() -> None:
    """Base 12, height 6, 45 degrees: a line one step in stands 1/sin 45° steps farther along the base."""
    fill = with_echo_lines(_shape(), chevrons_at(1.0), 2, 0.5)
    for number, line in enumerate(fill.lines[:2], 1):
        along = 0.5 * math.sqrt(2) * number
        for point, place in zip(line, [(along, 0), (6, 6 - along), (12 - along, 0)], strict=True):
            assert point == pytest.approx(place)
    assert fill.echo_lines == 2


def chevrons_at(spacing: float) -> object:
    """Chevrons at one spacing."""
    return lambda shape: chevrons(shape, spacing)


def test_the_default_step_is_one_in_use() -> None:
    """Echo lines usually 1/8-1/2 in apart ("Echo Quilting Background Fill", kathykwylie.com)."""
    assert 1 / 8 <= Request(48, 64, (4.0,) * 4).step <= 1 / 2


triangles = st.builds(
    lambda base, share, height: (LEFT_FOOT, Point(base, 0.0), Point(base * share, -height)),
    st.floats(3, 20), st.floats(0.3, 0.7), st.floats(2, 12),
)  # fmt: skip


@given(triangles, st.integers(1, 6), st.floats(0.05, 1.0), st.booleans(), st.sampled_from(["home", "across", "tip"]))
def test_each_line_is_a_step_inside_the_last_and_the_fill_a_smaller_similar_triangle(
    corners: Line, count: int, step: float, seam: bool, passage: Passage
) -> None:
    """Parallel to both diagonals; the fill keeps the angles of its section."""
    shape, seen = _shape(corners, seam=seam, passage=passage), _Seen()
    fill = with_echo_lines(shape, seen, count, step)
    assert fill.echo_lines <= count
    if fill.echo_lines < count:
        assert (fill.echo_lines + 1.5) * step > shape.depth
    inside = seen.shapes[-1]
    ends = [(inside.left, inside.tip), (inside.right, inside.tip)]
    mirrored = passage == "tip" and fill.echo_lines % 2
    for here, diagonal in zip(
        ends, [(shape.left, shape.tip), (shape.right, shape.tip)][:: -1 if mirrored else 1], strict=True
    ):
        for point in here:
            spot = Point(-point.x, point.y) if mirrored else point
            assert distance_to_line(spot, *diagonal) == pytest.approx(fill.echo_lines * step, abs=1e-9)
    outer, inner = Polygon([*shape_corners(shape)]), Polygon([*shape_corners(inside)])
    scale = (inside.right.x - inside.left.x) / (shape.right.x - shape.left.x)
    assert inner.area == pytest.approx(outer.area * scale**2)


def shape_corners(shape: Shape) -> tuple[Point, ...]:
    """Its outline."""
    return (shape.left, shape.middle, shape.right, shape.tip) if shape.bent else (shape.left, shape.right, shape.tip)


@pytest.mark.parametrize("angle", [30, 45, 60])
def test_lines_of_a_large_corner_are_a_step_apart_whatever_its_shape(angle: float) -> None:
    """Bent at the pivot, straight through it, or pointed there; border widths that differ from side to side too."""
    plan = lay_out(
        Request(
            48,
            61,
            (4.0, 5.0, 4.5, 6.0),
            angle=angle,
            corner="large",
            echo=3,
            step=0.3,
            fill="none",
            cornerfill="wedges",
        )
    )
    for filled in plan.sections:
        if filled.section.base != "corner":
            continue
        assert filled.fill.echo_lines == 3
        section = filled.section
        outline = Polygon(section.corners).buffer(-1e-6)
        drawn = union_all([LineString(flat(line)).buffer(1e-6) for line in filled.fill.lines])
        for end, number in itertools.product((section.left, section.right), (1, 2, 3)):
            diagonal = LineString([end, section.tip])
            # of the two lines beside the diagonal one lies inside; beyond the tip that of the other diagonal takes over
            inside = max(
                (diagonal.offset_curve(side * 0.3 * number).intersection(outline) for side in (1, -1)), key=length
            )
            assert inside.length > 2
            assert drawn.intersection(inside).length > 0.7 * inside.length


@pytest.mark.parametrize(
    ("passage", "count", "inside"),
    [
        ("home", 1, "across"), ("home", 2, "home"), ("home", 3, "across"),
        ("across", 1, "home"), ("across", 2, "across"),
        ("tip", 1, "tip"), ("tip", 2, "tip"),
    ],
)  # fmt: skip
def test_an_odd_number_of_lines_turns_the_fill_round(passage: Passage, count: int, inside: Passage) -> None:
    """An even number of lines ends near where it began, an odd number on the far side
    ("Machine Quilting Part Five, Odds or Evens?", lookoutmountainquilter.com; the odd case is implied).
    """
    seen = _Seen()
    with_echo_lines(_shape(passage=passage), seen, count, 0.25)
    assert [shape.passage for shape in seen.shapes] == [inside]


def test_the_fill_decides_how_many_lines_there_is_room_for() -> None:
    """Depth 4.24: a fill that needs 3 in leaves room for two lines half an inch apart."""
    seen = _Seen(least_depth=3.0)
    assert with_echo_lines(_shape(), seen, 4, 0.5).echo_lines == 2


def test_where_not_even_the_fill_fits_the_lines_are_drawn_alone() -> None:
    """As many as fit; and the note of the fill is kept."""
    fill = with_echo_lines(_shape(seam=False), _Seen(least_depth=100), 3, 0.5)
    assert (fill.echo_lines, fill.note) == (3, "too small")
    assert fill.lines


def test_a_step_wider_than_the_section_leaves_the_fill_alone() -> None:
    """No echo line fits, the fill does."""
    fill = with_echo_lines(_shape(), chevrons_at(1.0), 2, 5.0)
    assert fill.echo_lines == 0
    assert fill == chevrons(_shape(), 1.0)


@pytest.mark.parametrize("hand", [LEFT, RIGHT])
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_on_the_way_to_the_tip_the_lines_are_one_line_to_and_fro(hand: Hand, count: int) -> None:
    """From the base corner on, and a stem down the middle from the tip to the innermost."""
    shape = _shape(base="corner", hand=hand, passage="tip", seam=False)
    stem, way = with_echo_lines(shape, _Seen(), count, 0.25).lines[:2]
    assert (stem[0], way[0]) == (shape.tip, shape.right)
    assert len(stem) == count + 1
    assert len(way) == 3 * count + 1
