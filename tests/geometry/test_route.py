"""One line through any lines: known graphs, brute force, and Euler's conditions."""

from __future__ import annotations

import itertools
import random
from typing import TYPE_CHECKING

import pytest

from geometry.graph import build
from geometry.plane import Point, distance, length_of
from geometry.route import route
from geometry.trail import measured

if TYPE_CHECKING:
    from geometry.plane import Line


def _line(*places: tuple[float, float]) -> Line:
    return tuple(Point(float(x), float(y)) for x, y in places)


HOUSE = _line((0, 4), (0, 0), (4, 0), (4, 4), (0, 4), (2, 6), (4, 4))


def test_the_house_of_saint_nicholas_needs_nothing_twice() -> None:
    """The children's puzzle: eight strokes in one line, from one lower corner to the other (known graph, from memory)."""
    lines = [HOUSE, _line((0, 0), (4, 4)), _line((4, 0), (0, 4))]
    found = route(lines, (), Point(0, 0), Point(4, 0))
    assert found.extra == 0
    assert measured(found.legs, "stitch") == pytest.approx(sum(map(length_of, lines)))


def test_the_seven_bridges_need_a_bridge_twice() -> None:
    """Koenigsberg (Euler 1736) has no trail over each bridge once: in a closed one two bridges are crossed again."""
    west, island, east, south = (0, 10), (5, 5), (15, 5), (0, 0)
    bridges = [
        _line(west, (0, 7), island), _line(west, (5, 9), island), _line(south, (0, 3), island), _line(south, (5, 1), island),
        _line(island, east), _line(west, (12, 12), east), _line(south, (12, -2), east),
    ]  # fmt: skip
    found = route(bridges, (), Point(*island), Point(*island))
    assert found.extra > 0
    assert found.extra == pytest.approx(found.bound)


def test_nested_vs_on_a_seam_are_joined_not_left_apart() -> None:
    """Pairing feet alone would leave rings apart; the bound of pairing is below what is needed."""
    vees = [_line((-k, 0), (0, k), (k, 0)) for k in (1, 2, 3, 4, 5)]
    seam = _line((-6, 0), (6, 0))
    found = route(vees, [("seam", seam)], Point(6, 0), Point(6, 0), travel=1.0)
    legs = found.legs
    assert all(distance(a.line[-1], b.line[0]) < 1e-9 for a, b in itertools.pairwise(legs))
    assert measured(legs, "stitch") == pytest.approx(sum(map(length_of, vees)))
    assert found.extra == pytest.approx(_brute_force(vees, seam), abs=1e-9)


def _brute_force(vees: list[Line], seam: Line) -> float:
    """Least travel along a seam, trying 0, 1 or 2 goings-over of each stretch between feet."""
    graph = build(vees, [("seam", seam)], [seam[-1]])
    stretches = [edge for edge in graph.edges if not edge.required]
    lines = [edge for edge in graph.edges if edge.required]
    start = graph.node_at(seam[-1])
    best = float("inf")
    for times in itertools.product((0, 1, 2), repeat=len(stretches)):
        cost = sum(edge.length * count for edge, count in zip(stretches, times, strict=True))
        if cost >= best:
            continue
        used = [*lines, *(edge for edge, count in zip(stretches, times, strict=True) for _ in range(count))]
        ends = [node for edge in used for node in edge[:2]]
        if any(ends.count(node) % 2 for node in set(ends)):
            continue
        reached, grown = {start}, True
        while grown:
            more = {node for edge in used if set(edge[:2]) & reached for node in edge[:2]}
            grown = not more <= reached
            reached |= more
        if set(ends) <= reached:
            best = cost
    return best


@pytest.mark.parametrize("seed", range(12))
def test_random_pieces_on_a_seam_cost_what_brute_force_finds(seed: int) -> None:
    """Up to five V's with random feet, some nested, some apart."""
    chance = random.Random(seed)
    feet = chance.sample(range(1, 20), 2 * chance.randint(2, 4))
    vees = []
    for left, right in zip(sorted(feet)[::2], sorted(feet)[1::2], strict=True):
        vees.append(_line((left, 0), ((left + right) / 2, chance.randint(1, 9)), (right, 0)))
    seam = _line((0, 0), (21, 0))
    found = route(vees, [("seam", seam)], Point(21, 0), Point(21, 0), travel=1.0)
    assert found.extra == pytest.approx(_brute_force(vees, seam), abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_random_tangles_are_covered_once_plus_what_is_counted(seed: int) -> None:
    """Length is lines plus stitched over plus travel; the way is unbroken."""
    chance = random.Random(seed)
    spots = [(chance.uniform(0, 20), chance.uniform(0, 20)) for _ in range(14)]
    lines = [_line(a, b) for a, b in itertools.pairwise(spots)]
    found = route(lines, (), lines[0][0], lines[0][0])
    assert not found.unreached
    assert measured(found.legs, "stitch") == pytest.approx(sum(map(length_of, lines)), rel=1e-3)
    assert all(distance(a.line[-1], b.line[0]) < 0.02 for a, b in itertools.pairwise(found.legs))


def test_straight_on_at_a_crossing() -> None:
    """Two closed lines that cross in two places make one trail: straight on at all crossings but one."""
    one = _line((0, 0), (6, 0), (6, 4), (0, 4), (0, 0))
    two = _line((3, -2), (5, -2), (5, 2), (3, 2), (3, -2))
    found = route([one, two], (), Point(0, 0), Point(0, 0))
    assert found.extra == 0
    way = [point for leg in found.legs for point in leg.line]
    turned = 0
    for before, here, after in zip(way, way[1:], way[2:], strict=False):
        if here in {Point(3, 0), Point(5, 0)}:
            turned += (here.x - before.x == 0) != (after.x - here.x == 0)
    assert turned == 2  # one crossing, passed twice


def test_what_cannot_be_reached_is_reported() -> None:
    """A line apart from everything is named, never silently joined."""
    apart = _line((10, 10), (12, 10))
    found = route([_line((0, 0), (2, 0), (1, 1), (0, 0)), apart], (), Point(0, 0), Point(0, 0))
    assert found.unreached == (apart,)


def test_two_rings_that_hang_on_roads_only_are_both_stitched() -> None:
    """A closed line at the start is a piece of its own; the way to the other ring is gone there and back."""
    ring = _line((0, 0), (2, 0), (1, 1), (0, 0))
    other = _line((5, 0), (6, 0), (6, 1), (5, 0))
    road = _line((0, 0), (5, 0))
    found = route([ring, other], [("stitched", road)], Point(0, 0), Point(0, 0))
    assert found.unreached == ()
    assert found.extra == pytest.approx(6.0)
    assert measured(found.legs, "stitch") == pytest.approx(length_of(ring) + length_of(other))
