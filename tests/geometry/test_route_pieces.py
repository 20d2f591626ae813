"""Up to eight pieces that hang on roads only: the least extra, by integer programming; and what counts as meeting."""

from __future__ import annotations

import itertools
import random
from typing import TYPE_CHECKING

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from geometry.graph import MEETING, build
from geometry.plane import Point, distance, length_of
from geometry.route import TRAVEL, route
from geometry.trail import measured

if TYPE_CHECKING:
    from geometry.graph import Edge, Kind
    from geometry.plane import Line

    Road = tuple[Kind, Line]

LEFT, RIGHT, TIP = Point(0.0, 0.0), Point(24.0, 0.0), Point(12.0, 12.0)
ROADS: list[Road] = [("seam", (LEFT, RIGHT)), ("stitched", (LEFT, TIP)), ("stitched", (TIP, RIGHT))]
WEIGHTS = {"line": 1.0, "stitched": 1.0, "seam": TRAVEL}


def _pieces(count: int, chance: random.Random) -> list[Line]:
    """So many V's apart from one another, each between two places of one side of the triangle, some of them closed."""
    found: list[Line] = []
    sides = ((LEFT, RIGHT), (LEFT, TIP), (TIP, RIGHT))
    slots = [(side, k) for side in range(3) for k in range(5)]
    for side, k in chance.sample(slots, count):
        one, other = sides[side]
        here, there = (
            Point(one.x + (other.x - one.x) * t, one.y + (other.y - one.y) * t)
            for t in ((k + 0.1 + 0.3 * chance.random()) / 5, (k + 0.6 + 0.3 * chance.random()) / 5)
        )
        # short, and towards the middle
        top = Point(here.x + 0.15 * (12 - here.x), here.y + 0.15 * (4 - here.y))
        found.append((here, top, there, here) if chance.random() < 0.3 and side else (here, top, there))
    return found


def _least(edges: tuple[Edge, ...], start: int, end: int) -> float:
    """Weighted inches to go over again: every node even but for start and end, all of it in one piece.

    Integer programming; wherever a solution falls apart, a cut that forbids it is added.
    """
    weights = np.array([edge.length * WEIGHTS[edge.kind] for edge in edges])
    nodes = sorted({node for edge in edges for node in edge[:2]} | {start, end})
    required = [number for number, edge in enumerate(edges) if edge.required]
    parity = []
    odd = []
    for row, node in enumerate(nodes):
        coefficients = np.zeros(len(edges) + len(nodes))
        for number, edge in enumerate(edges):
            coefficients[number] = (edge.start == node) + (edge.end == node)
        coefficients[len(edges) + row] = -2
        ends = sum((edges[number].start == node) + (edges[number].end == node) for number in required)
        parity.append(coefficients)
        odd.append(ends + (node == start) + (node == end))
    constraints = [LinearConstraint(np.array(parity), -np.array(odd), -np.array(odd))]
    limits = Bounds(
        np.zeros(len(edges) + len(nodes)),
        np.array([*(1.0 if e.required else 2.0 for e in edges), *([50.0] * len(nodes))]),
    )
    while True:
        found = milp(
            np.concatenate([weights, np.zeros(len(nodes))]),
            integrality=np.ones(len(edges) + len(nodes)), bounds=limits, constraints=constraints,
        )  # fmt: skip
        times = np.round(found.x[: len(edges)]).astype(int)
        used = nx.MultiGraph([(start, end)])
        used.add_edges_from(edges[number][:2] for number in required)
        used.add_edges_from(edge[:2] for edge, n in zip(edges, times, strict=True) if n)
        parts = [part for part in nx.connected_components(used) if start not in part]
        if not parts:
            return float(weights @ times)
        for part in parts:
            cut = np.zeros(len(edges) + len(nodes))
            for number, edge in enumerate(edges):
                cut[number] = (edge.start in part) != (edge.end in part)
            constraints.append(LinearConstraint(cut, 2, np.inf))


@pytest.mark.parametrize("count", range(2, 9))
@pytest.mark.parametrize("seed", range(4))
def test_up_to_eight_pieces_cost_the_least_there_is(count: int, seed: int) -> None:
    """And the bound given beside it says that this is proved."""
    chance = random.Random(100 * count + seed)
    lines = _pieces(count, chance)
    entry, leave = chance.choice([LEFT, RIGHT]), chance.choice([LEFT, RIGHT, TIP])
    graph = build(lines, ROADS, [entry, leave])
    start, end = graph.node_at(entry), graph.node_at(leave)
    assert start is not None
    assert end is not None
    pieces = nx.Graph(edge[:2] for edge in graph.edges if edge.required)
    assert nx.number_connected_components(pieces) == count
    found = route(lines, ROADS, entry, leave)
    assert found.extra == pytest.approx(_least(graph.edges, start, end), abs=1e-6)
    assert found.bound == pytest.approx(found.extra, abs=1e-6)
    assert measured(found.legs, "stitch") == pytest.approx(sum(map(length_of, lines)))


def test_the_integer_program_knows_a_ring_apart() -> None:
    """Two closed lines on a road: pairing odd nodes costs nothing, joining them there and back again."""
    ring, other = ((LEFT, Point(1, 1), Point(0, 2), LEFT), (RIGHT, Point(23, 1), Point(24, 2), RIGHT))
    graph = build([ring, other], ROADS[:1], [LEFT])
    start = graph.node_at(LEFT)
    assert start is not None
    assert _least(graph.edges, start, start) == pytest.approx(2 * 24 * TRAVEL)
    assert route([ring, other], ROADS[:1], LEFT, LEFT).extra == pytest.approx(2 * 24 * TRAVEL)


# --- what counts as meeting --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("gap", [0.0, 0.5 * MEETING, 0.95 * MEETING, 1.05 * MEETING, 3 * MEETING])
def test_lines_meet_within_the_named_distance_and_no_farther(gap: float) -> None:
    """An end beside a line, short of it or past it by so much: one run, or a line told as out of reach."""
    closed = (LEFT, Point(4, 0), Point(4, 4), LEFT)
    short = (Point(4 + gap, 2), Point(6, 2), Point(6, 3), Point(4 + gap, 2))
    found = route([closed, short], (), LEFT, LEFT)
    if gap <= MEETING:
        assert found.unreached == ()
        assert measured(found.legs, "stitch") == pytest.approx(length_of(closed) + length_of(short), abs=4 * MEETING)
        assert all(distance(a.line[-1], b.line[0]) < 1e-9 for a, b in itertools.pairwise(found.legs))
    else:
        assert [set(line) for line in found.unreached] == [set(short)]
        assert measured(found.legs, "stitch") == pytest.approx(length_of(closed))
