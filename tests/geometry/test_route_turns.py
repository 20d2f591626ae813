"""How the needle steers: straight on wherever it can, and where it cannot, by the least turn."""

from __future__ import annotations

import itertools
import math
import random
from collections import defaultdict
from typing import TYPE_CHECKING

import networkx as nx
import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out
from geometry.plane import Point, flat
from geometry.route import Route, route

if TYPE_CHECKING:
    from geometry.plane import Line


def _frames(count: int, chance: random.Random) -> list[Line]:
    """So many upright rectangles that hang together by crossing, no two of their sides on one line."""
    while True:
        xs, ys = (chance.sample(range(1, 60), 2 * count) for _ in range(2))
        boxes = [
            (*sorted(xs[2 * i : 2 * i + 2]), *sorted(ys[2 * i : 2 * i + 2])) for i in range(count)
        ]  # left, right, top, bottom
        frames = [
            tuple(Point(float(x), float(y)) for x, y in ((a, c), (b, c), (b, d), (a, d), (a, c)))
            for a, b, c, d in boxes
        ]
        touching = nx.Graph()
        touching.add_nodes_from(range(count))
        touching.add_edges_from(
            (i, k) for i, k in itertools.combinations(range(count), 2) if _crossings([frames[i], frames[k]])
        )
        if nx.is_connected(touching):
            return frames


def _crossings(frames: list[Line]) -> set[Point]:
    found = set()
    for one, other in itertools.permutations(frames, 2):
        for (a, b), (c, d) in itertools.product(itertools.pairwise(one), itertools.pairwise(other)):
            if (
                a.y == b.y
                and c.x == d.x
                and min(a.x, b.x) < c.x < max(a.x, b.x)
                and min(c.y, d.y) < a.y < max(c.y, d.y)
            ):
                found.add(Point(c.x, a.y))
    return found


def _turned_at(found: Route, places: set[Point]) -> set[Point]:
    """The crossings that the way does not go straight over."""
    points = _way(found)
    turned = set()
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        if here in places and not math.isclose(_heading(before, here), _heading(here, after), abs_tol=1e-9):
            turned.add(here)
    return turned


def _way(found: Route) -> list[Point]:
    """Its points, rounded, so that a crossing come to twice is one place."""
    points = [p for i, leg in enumerate(found.legs) for p in leg.line[min(i, 1) :]]
    return [Point(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in points]


def _heading(one: Point, other: Point) -> float:
    return math.atan2(other.y - one.y, other.x - one.x)


@pytest.mark.parametrize("count", range(1, 9))
@pytest.mark.parametrize("seed", range(5))
def test_crossings_not_gone_straight_over_are_one_fewer_than_closed_strands(count: int, seed: int) -> None:
    """Each exchange of partners joins two strands; fewer leave some apart."""
    frames = _frames(count, random.Random(10 * count + seed))
    start = frames[0][0]
    found = route(frames, (), start, start)
    assert found.extra == 0
    assert len(_turned_at(found, _crossings(frames))) == count - 1


@pytest.mark.parametrize("seed", range(20))
def test_where_lines_end_the_way_turns_the_least_that_keeps_it_one(seed: int) -> None:
    """Spokes that come in two and two to a hub: of all pairings of their ends that make one trail, none turns less."""
    chance = random.Random(seed)
    hub = Point(0.0, 0.0)
    angles = [chance.uniform(0, 2 * math.pi) for _ in range(6)]
    spots = [Point(5 * math.cos(a), 5 * math.sin(a)) for a in angles]
    # three loops, each out along one spoke and home along another, far round outside
    loops = []
    for i in range(3):
        (one, a), (two, b) = ((spots[2 * i + k], angles[2 * i + k]) for k in range(2))
        far = 20.0 + 10 * i
        round_ = [Point(far * math.cos(a), far * math.sin(a)), Point(far * math.cos(b), far * math.sin(b))]
        loops.append((hub, one, *round_, two, hub))
    start = loops[0][2]
    found = route(loops, (), start, start)
    assert found.extra == 0
    points = _way(found)
    passes = [(a, c) for a, b, c in zip(points, points[1:], points[2:], strict=False) if b == hub]
    assert len(passes) == 3
    mine = sum(_turn(a, hub, c) for a, c in passes)
    ends = [loop[k] for loop in loops for k in (1, -2)]
    best = math.inf
    for order in itertools.permutations(ends):
        pairs = list(zip(order[::2], order[1::2], strict=True))
        trail = nx.MultiGraph([(ends[i], ends[i + 1]) for i in (0, 2, 4)])
        trail.add_edges_from(pairs)
        if nx.is_connected(trail):
            best = min(best, sum(_turn(a, hub, c) for a, c in pairs))
    # less where loops cross elsewhere and are joined there instead
    assert mine <= best * (1 + 1e-5)


def _turn(before: Point, here: Point, after: Point) -> float:
    """Squared, so that one sharp turn is worse than two mild ones."""
    turn = abs(_heading(before, here) - _heading(here, after))
    return min(turn, 2 * math.pi - turn) ** 2


@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_at_the_crossings_of_a_fill_as_few_turns_as_strands_ask_for(fill: str) -> None:
    """Across a section nothing of which is gone over again: strands are counted by walking straight on."""
    plan = lay_out(Request(40, 52, (5.0,) * 4, fill=fill, order="across"))
    filled = next(one for one in plan.sections if one.section.name == "top-in-2")
    section = filled.section
    found = route([flat(line) for line in filled.fill.lines], (), section.left, section.right)
    if found.extra or found.unreached:
        # only what needs nothing twice has strands to count
        assert fill not in {"diamonds", "echoes", "meander"}
        return
    points = _way(found)
    passes: dict[Point, list[tuple[Point, Point]]] = defaultdict(list)
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        passes[here].append((before, after))
    four = {here: two for here, two in passes.items() if len(two) == 2 and _is_crossing(here, two)}
    turned = [here for here, two in four.items() if any(_turn(a, here, b) > 0.01 for a, b in two)]
    assert len(turned) <= _strands_by_walking(points, four) - 1


def _is_crossing(here: Point, two: list[tuple[Point, Point]]) -> bool:
    """Whether its four ends lie two and two on straight lines."""
    ends = [end for pair in two for end in pair]
    first = min(ends[1:], key=lambda end: _turn(ends[0], here, end))
    rest = [end for end in ends[1:] if end is not first]
    return _turn(ends[0], here, first) < 0.01 and _turn(rest[0], here, rest[1]) < 0.01


def _strands_by_walking(points: list[Point], four: dict[Point, list[tuple[Point, Point]]]) -> int:
    """Pieces left when at each crossing those ends are joined that lie straight across; the trail closed to a ring."""
    pieces = nx.Graph()
    at: dict[Point, list[int]] = defaultdict(list)
    for number, point in enumerate(points):
        at[point].append(number)
    pieces.add_edges_from(((number, "out"), (number + 1, "in")) for number in range(len(points) - 1))
    for number, point in enumerate(points):
        if point not in four:
            pieces.add_edge((number, "in"), (number, "out"))
    for point, two in four.items():
        ends = [
            ((number, way), spot)
            for number, pair in zip(at[point], two, strict=True)
            for way, spot in zip(("in", "out"), pair, strict=True)
        ]
        first = min(ends[1:], key=lambda end: _turn(ends[0][1], point, end[1]))
        rest = [end for end in ends[1:] if end is not first]
        pieces.add_edge(ends[0][0], first[0])
        pieces.add_edge(rest[0][0], rest[1][0])
    pieces.add_edge((0, "in"), (len(points) - 1, "out"))
    return nx.number_connected_components(pieces)
