"""Meander: even, rounded, inside, never crossing itself. Shapely, and SciPy's Voronoi diagram, are the oracles."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.spatial import Voronoi, cKDTree
from shapely import contains_xy, segmentize
from shapely.geometry import LineString, Polygon

from geometry.fills.meander import meander
from geometry.fills.shape import Fill, Shape
from geometry.plan import Request, lay_out
from geometry.plane import Curve, Point, distance, flat, halfway_foot, length_of

TOO_CLOSE = 0.3
"""Spacings: stretches of the line stay at least this far apart."""

BEND = 1.25
"""Spacings along the line within which it is one stretch: a round turn from one lane to the next is about as long."""


def _shape(base: float, height: float, passage: str = "home", seed: int = 1) -> Shape:
    left, right, tip = Point(0.0, 0.0), Point(base, 0.0), Point(base / 2, height)
    middle = halfway_foot(left, right, tip)
    return Shape(left, middle, right, tip, bent=False, seam=True, short=False, room_at_tip=4, passage=passage, seed=seed)  # type: ignore[arg-type]  # fmt: skip


def _corners(shape: Shape) -> list[Point]:
    """Round the section."""
    return [shape.left, *([shape.middle] if shape.bent else []), shape.right, shape.tip]


def _angles(corners: list[Point]) -> list[float]:
    around = zip(corners[-1:] + corners[:-1], corners, corners[1:] + corners[:1], strict=True)
    return [
        abs(math.remainder(math.atan2(b.y - c.y, b.x - c.x) - math.atan2(a.y - c.y, a.x - c.x), 2 * math.pi))
        for a, c, b in around
    ]


def largest_open_circle(corners: list[Point], lines: list[tuple[Point, ...]], spacing: float) -> float:
    """Diameter of the largest circle inside the section bounded by its sides and its lines.

    Its centre is a corner of the Voronoi diagram of points set closely along both.
    """
    close = 0.05 * spacing
    sides = segmentize(Polygon(corners).exterior, close)
    places = np.array([*sides.coords, *(spot for line in lines for spot in segmentize(LineString(line), close).coords)])
    # points in line with each other have no diagram: shaken by far less than a stitch
    centres = Voronoi(places + np.random.default_rng(0).normal(0, 1e-9, places.shape)).vertices
    centres = centres[contains_xy(Polygon(corners), centres[:, 0], centres[:, 1])]
    return 2 * float(cKDTree(places).query(centres)[0].max())


def closest(line: tuple[Point, ...], spacing: float, free: np.ndarray, places: np.ndarray) -> int:
    """How many pairs of places on different stretches of a line lie too close together."""
    ways = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    pairs = cKDTree(places).query_pairs(TOO_CLOSE * spacing, output_type="ndarray")
    one, other = pairs.T
    return int((free[one] & free[other] & (np.abs(ways[one] - ways[other]) > BEND * spacing)).sum())


def _hold_to_its_promises(shape: Shape, fill: Fill, ends: tuple[Point, Point]) -> None:
    """Inside, open and close limits, no crossing, no kink, from end to end."""
    corners = _corners(shape)
    (curve,) = fill.lines
    assert isinstance(curve, Curve)
    assert {curve[0], curve[-1]} == set(ends)
    line = LineString(flat(curve))
    section = Polygon(corners)
    assert section.buffer(1e-6).contains(line)
    assert line.is_simple
    for before, node, after in zip(curve[2:-3:3], curve[3:-3:3], curve[4::3], strict=True):
        came, goes = node.minus(before), after.minus(node)
        assert came.x * goes.x + came.y * goes.y > 0.9999 * math.hypot(*came) * math.hypot(*goes)
    angles = _angles(corners)
    limit = 1.5 if min(angles) >= math.radians(40) else 2.0
    assert largest_open_circle(corners, [flat(curve)], fill.spacing) <= limit * fill.spacing
    places = np.array(segmentize(line, 0.05 * fill.spacing).coords)
    free = np.ones(len(places), bool)
    for corner, angle in zip(corners, angles, strict=True):
        if corner in ends or angle < math.radians(40):
            # where the line comes in, and in sharp corners, it must come close
            free &= np.hypot(*(places - np.array(corner)).T) > fill.spacing / angle
    assert not closest(flat(curve), fill.spacing, free, places)
    for corner in corners:
        if corner not in ends:
            assert np.hypot(*(places - np.array(corner)).T).min() > TOO_CLOSE * fill.spacing


passages = st.sampled_from(["home", "across", "tip"])


@given(st.floats(2, 13), st.floats(30, 60), st.floats(0.5, 2), passages, st.integers(0, 10**6))
@settings(max_examples=80, deadline=None, derandomize=True)
@example(9.6, 45.0, 0.75, "home", 1)
@example(2.0, 60.0, 2.0, "across", 3)
@example(13.0, 30.0, 2.0, "tip", 5)
def test_every_triangle_is_filled_evenly(height: float, angle: float, spacing: float, passage: str, seed: int) -> None:
    """From two to thirteen inches high, and for every passage."""
    if height / spacing > 14:  # the promises do not hang on the size; large sections only take long
        spacing = height / 14
    shape = _shape(2 * height / math.tan(math.radians(angle)), height, passage, seed)
    fill = meander(shape, spacing)
    if not fill.lines:
        # only where not even a bow finds room beside the sides
        radius = height * shape.right.x / (shape.right.x + 2 * distance(shape.left, shape.tip))
        assert fill.note
        assert radius < 0.8 * spacing
        return
    assert 0.7 - 1e-9 <= fill.spacing / spacing <= 1.05
    home, far = shape.right, shape.left
    ends = {"home": (home, home), "across": (far, home), "tip": (home, shape.tip)}[passage]
    _hold_to_its_promises(shape, fill, ends)


@pytest.mark.parametrize("order", ["sections", "across"])
@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("angle", [36, 45, 58])
def test_corner_pieces_are_filled_evenly(corner: str, order: str, angle: float) -> None:
    """Bent at the pivot (below 45 degrees), straight and bent the other way; square middles; halves of a mitre."""
    plan = lay_out(Request(40, 32, (5.0,) * 4, fill="meander", corner=corner, order=order, angle=angle, spacing=0.9))  # type: ignore[arg-type]
    pieces = [filled for filled in plan.sections if filled.section.base == "corner"]
    assert pieces
    zigzag = {point for zigzag in plan.zigzags for point in zigzag.line}
    for filled in pieces:
        (curve,) = filled.fill.lines
        section = filled.section
        corners = list(section.corners)
        ends = {min(corners, key=lambda corner: distance(corner, end)) for end in (curve[0], curve[-1])}
        line = LineString(flat(curve))
        assert Polygon(corners).buffer(1e-6).contains(line)
        assert line.is_simple
        assert all(min(distance(corner, end) for corner in ends) < 1e-6 for end in (curve[0], curve[-1]))
        assert largest_open_circle(corners, [flat(curve)], filled.fill.spacing) <= 2 * filled.fill.spacing
        for point in zigzag.intersection(corners) - ends:
            assert line.distance(LineString([point, point])) > TOO_CLOSE * filled.fill.spacing
        if section.tip_only:
            # lines enough end at the pivot: section by section it is crossed from foot to foot of the lines beside it,
            # and comes home to one of them where the triangles are stitched across
            assert ends <= {section.left, section.right}
            assert len(ends) == (2 if order == "sections" else 1)


def test_the_same_seed_gives_the_same_lines_and_another_seed_others() -> None:
    """Through the whole plan."""
    request = Request(48, 64, (4.0,) * 4, fill="meander", spacing=0.7)
    lines = [filled.fill.lines for filled in lay_out(request).sections]
    assert lines == [filled.fill.lines for filled in lay_out(request).sections]
    others = [filled.fill.lines for filled in lay_out(request._replace(seed=2)).sections]
    assert sum(one == other for one, other in zip(lines, others, strict=True)) == 0


def test_the_seed_changes_nothing_but_free_motion() -> None:
    """Ruler fills stay as they are."""
    one, other = (lay_out(Request(48, 64, (4.0,) * 4, fill="echoes", seed=seed)) for seed in (1, 2))
    assert one.sections == other.sections


def test_neighbours_differ() -> None:
    """Equal triangles of one side are drawn unlike up to its middle; there the border turns to its mirror image."""
    plan = lay_out(Request(100, 100, (6.0,) * 4, size="count", across=10, down=10, fill="meander", spacing=0.8))
    for base in ("inner", "outer"):
        drawn = [filled.standard.lines for filled in plan.of_side("top") if filled.section.base == base]
        half = drawn[: len(drawn) // 2]
        assert len(set(half)) == len(half) >= 4


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("kind", ["outer", "inner"])
def test_across_nothing_is_stitched_over_and_nothing_travelled(corner: str, kind: str) -> None:
    """Every diagonal once, every corner line once."""
    plan = lay_out(Request(60, 72, (6.0,) * 4, fill="meander", corner=corner, kind=kind, order="across", spacing=0.9))  # type: ignore[arg-type]
    (run,) = plan.runs()
    assert run.over == run.travel == 0


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
def test_the_run_is_the_curve_itself(order: str) -> None:
    """Its new stitching has the length of everything drawn, and every fill is followed to within 0.003 in."""
    plan = lay_out(Request(40, 50, (5.0,) * 4, fill="meander", spacing=0.8, order=order))  # type: ignore[arg-type]
    runs = plan.runs()
    drawn = sum(length_of(line) for filled in plan.sections for line in filled.fill.lines)
    drawn += sum(length_of(zigzag.line) for zigzag in plan.zigzags)
    drawn += sum(length_of(line) for lines in plan.corner_lines for line in lines)
    assert sum(run.length - run.over - run.travel for run in runs) == pytest.approx(drawn, rel=1e-6)
    for run in runs:
        for one, other in itertools.pairwise(run.legs):
            assert distance(one.line[-1], other.line[0]) < 1e-6
        assert run.length == pytest.approx(sum(length_of(leg.line) for leg in run.legs), rel=1e-6)
    ways = [LineString(run.line) for run in runs]
    for filled in plan.sections:
        for line in filled.fill.lines:
            places = LineString(flat(line)).interpolate(np.linspace(0, 1, 40), normalized=True)
            assert all(min(way.distance(place) for way in ways) <= 0.003 for place in places)


def test_a_fineness_no_one_stitches_is_left_out_with_a_note() -> None:
    """The note says from which spacing it can be drawn."""
    shape = _shape(26.0, 13.0)
    fill = meander(shape, 0.0625)
    assert not fill.lines
    least = float(fill.note.rpartition("from ")[2].split()[0])
    assert 0.0625 < least < 0.2
