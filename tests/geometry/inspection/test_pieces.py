"""Lines as straight pieces, where they meet, how near they come: against shapely and by hand."""

from __future__ import annotations

import itertools
import math
from random import Random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.graph import MEETING
from geometry.inspection.closeness import too_close
from geometry.inspection.drawn import HAIR, DrawnSection
from geometry.inspection.knots import knots
from geometry.inspection.outside import excursions, region
from geometry.inspection.pieces import meetings, nearest_places, pieces
from geometry.inspection.reach import adrift
from geometry.plane import Curve, Line, Point, distance

FRAME = (Point(0, 0), Point(10, 0), Point(10, 8), Point(0, 8))
SEAM = (*FRAME, FRAME[0])
PLOT = DrawnSection("top-in-1", "top", "inner", FRAME, "chevrons", 1.0)


def _spot(random: Random, beyond: float = 0.0) -> Point:
    return Point(random.uniform(-beyond, 10 + beyond), random.uniform(-beyond, 8 + beyond))


def _scattered(seed: int, count: int, beyond: float = 0.0) -> list[Line]:
    random = Random(seed)
    return [
        Curve(_spot(random, beyond) for _ in range(4))
        if random.random() < 0.4
        else tuple(_spot(random, beyond) for _ in range(random.choice([2, 3, 4])))
        for _ in range(count)
    ]


def _shape(line: Line, within: float = 0.003) -> shapely.LineString:
    return shapely.LineString(line.flat(within) if isinstance(line, Curve) else line)


lines = st.builds(_scattered, st.integers(0, 10**6), st.integers(2, 6))


@given(lines)
def test_lines_meet_where_shapely_says(drawn: list[Line]) -> None:
    """Each pair that crosses is among the meetings; each meeting lies on both of its lines."""
    taken = pieces(drawn)
    met = meetings(taken)
    pairs = {frozenset(pair) for pair in zip(met.line.tolist(), met.other.tolist(), strict=True)}
    for one, other in itertools.combinations(range(len(drawn)), 2):
        gap = _shape(drawn[one]).distance(_shape(drawn[other]))
        assert (frozenset({one, other}) in pairs) == (gap <= MEETING)
    for at, line, other, way, other_way in zip(met.at, met.line, met.other, met.way, met.other_way, strict=True):
        assert _shape(drawn[line]).distance(shapely.Point(at)) < 1e-9
        assert _shape(drawn[other]).distance(shapely.Point(at)) <= MEETING + 1e-9
        for number, along in ((line, way), (other, other_way)):
            place = _shape(drawn[number]).interpolate(along)
            assert place.distance(shapely.Point(at)) <= MEETING + 1e-9


@given(lines)
def test_lines_are_as_long_as_shapely_says(drawn: list[Line]) -> None:
    """And their pieces follow one another."""
    taken = pieces(drawn)
    for number, line in enumerate(drawn):
        assert taken.total[number] == pytest.approx(_shape(line).length)


@given(lines)
@settings(max_examples=40)
def test_the_nearest_places_are_as_near_as_shapely_says(drawn: list[Line]) -> None:
    """To a hundred thousandth of an inch, curves as they are."""
    here, there, gap = nearest_places(drawn[0], drawn[1])
    fine = [_shape(line, 1e-7) for line in drawn[:2]]
    assert gap == pytest.approx(fine[0].distance(fine[1]), abs=4e-5)
    assert distance(here, there) == pytest.approx(gap)
    assert fine[0].distance(shapely.Point(here)) < 2e-5
    assert fine[1].distance(shapely.Point(there)) < 2e-5


@given(st.builds(_scattered, st.integers(0, 10**6), st.just(1), st.just(3.0)))
def test_how_far_a_line_leaves_a_region_is_as_shapely_says(drawn: list[Line]) -> None:
    """The farthest of its excursions is the farthest of its places; nothing within a hair is told."""
    within = region(FRAME)
    outs = excursions(drawn[0], within)
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(_shape(drawn[0], 1e-5), 0.01)))
    farthest = float(shapely.distance(places, shapely.Polygon(FRAME)).max())
    if farthest <= HAIR * 0.99:
        assert outs == []
    elif farthest > HAIR * 1.01:
        worst = max(outs, key=lambda out: out.amount)
        assert worst.amount == pytest.approx(farthest, abs=0.002)
        assert shapely.Polygon(FRAME).distance(shapely.Point(worst.at)) == pytest.approx(worst.amount)


@given(lines)
def test_what_hangs_together_with_the_seam_is_not_adrift(drawn: list[Line]) -> None:
    """Lines hang together as shapely's distances say; each group out of reach is told once, with its true gap."""
    taken = pieces(drawn)
    found = adrift(taken, meetings(taken), [SEAM])
    shapes = [_shape(line) for line in drawn]
    seam = shapely.LineString(SEAM)
    reached = {i for i, shape in enumerate(shapes) if shape.distance(seam) <= MEETING}
    while more := {
        i
        for i in range(len(shapes))
        if i not in reached and any(shapes[i].distance(shapes[j]) <= MEETING for j in reached)
    }:
        reached |= more
    assert sorted(line for group in found for line in group.lines) == sorted(set(range(len(drawn))) - reached)
    onto = shapely.union_all([seam, *(_shape(drawn[i], 1e-6) for i in reached)])
    for group in found:
        fine = [_shape(drawn[i], 1e-6) for i in group.lines]
        assert group.gap == pytest.approx(min(one.distance(onto) for one in fine), abs=0.007)
        assert group.nearest in group.lines


@given(lines)
def test_lines_told_as_too_close_are_so(drawn: list[Line]) -> None:
    """The gap told is that of two places on those lines, below the least allowed; the closest come first."""
    taken = pieces(drawn)
    found = too_close(taken, meetings(taken), [PLOT], [0] * len(drawn), [0.4], 7.0)
    for one in found:
        assert MEETING < one.gap < 0.4
        assert _shape(drawn[one.line], 1e-6).distance(shapely.Point(one.at)) < 0.004
        assert _shape(drawn[one.other], 1e-6).distance(shapely.Point(one.at)) <= one.gap + 0.004


@pytest.mark.parametrize("gap", [0.05, 0.15, 0.25])
@pytest.mark.parametrize("turned", [0, 25, 90])
def test_two_lines_that_do_not_meet_are_told_with_their_distance(gap: float, turned: int) -> None:
    """An end square to another line, at any angle on the page; not where it is far enough."""
    cos, sin = math.cos(math.radians(turned)), math.sin(math.radians(turned))

    def at(x: float, y: float) -> Point:
        return Point(5 + cos * x - sin * y, 4 + sin * x + cos * y)

    drawn: list[Line] = [(at(-2, 0), at(2, 0)), (at(0.3, -2), at(0.3, -gap))]
    taken = pieces(drawn)
    found = too_close(taken, meetings(taken), [PLOT], [0, 0], [0.2], 7.0)
    assert [(one.gap, distance(one.at, at(0.3, -gap))) for one in found] == (
        [(pytest.approx(gap), pytest.approx(0, abs=1e-9))] if gap < 0.2 else []
    )


@pytest.mark.parametrize("count", [3, 4, 7, 11])
def test_a_star_leads_away_as_often_as_it_has_points(count: int) -> None:
    """Strokes through a point lead away twice; copies of them, and the far half of one laid over another, not again."""
    middle = Point(5, 4)
    ends = [Point(5 + 2 * math.cos(math.pi * i / count), 4 + 2 * math.sin(math.pi * i / count)) for i in range(count)]
    strokes: list[Line] = [(end, middle.plus(middle.minus(end))) for end in ends]
    drawn = [*strokes, strokes[0][::-1], (middle, strokes[1][1])]
    taken = pieces(drawn)
    (knot,) = knots(taken, meetings(taken), 2 * count - 1)
    assert knot.leading_away == 2 * count
    assert distance(knot.at, middle) < 0.001
    assert knots(taken, meetings(taken), 2 * count) == []


def test_a_closed_line_leads_away_from_its_seam_twice() -> None:
    """Where a round begins and ends two lines lead away, as anywhere on it."""
    start = Point(5, 4)
    rounds: list[Line] = [
        (start, Point(5 + x, 4 + y), Point(5 + y, 4 - x), start) for x, y in ((1, 2), (-1, 1.5), (2, -1.5))
    ]
    taken = pieces(rounds)
    (knot,) = knots(taken, meetings(taken), 5)
    assert knot.leading_away == 6
