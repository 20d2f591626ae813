"""The route engine held to outside references.

Shapely nodes the lines, networkx pairs odd nodes and checks Euler's conditions, small cases are tried out in full, and
scipy integrates the lengths of curves.
"""

from __future__ import annotations

import itertools
import math
import random
from typing import TYPE_CHECKING

import networkx as nx
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry import LineString, MultiLineString

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Curve, Point, distance, flat, length_of
from geometry.route import TRAVEL, Route, route, web
from geometry.trail import measured

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from geometry.fills.shape import FilledSection
    from geometry.graph import Kind
    from geometry.plane import Line

    Road = tuple[Kind, Line]
    Spot = tuple[float, float]

FILLS = sorted(CATALOGUE)
CORNERS = ["mitred", "large", "square"]
WEIGHTS = {"line": 1.0, "stitched": 1.0, "seam": TRAVEL}

GRID = 1e-5
"""Inches to which shapely rounds: far above its own noise, far below the engine's meeting distance."""

NEAR = 0.02
"""Inches by which sums may differ: the engine moves ends that nearly meet together, shapely does not."""


def _line(*places: tuple[float, float]) -> Line:
    return tuple(Point(float(x), float(y)) for x, y in places)


# --- the oracle ---------------------------------------------------------------------------------------------------------


def noded(lines: Iterable[Line], roads: Iterable[Road] = ()) -> nx.MultiGraph:
    """Lines and roads as a graph, cut wherever they meet; edges know their `kind`, `length` and `weight`."""
    shapes = [("line", LineString(flat(line))) for line in lines]
    shapes += [(kind, LineString(line)) for kind, line in roads]
    tree = shapely.STRtree([shape for _, shape in shapes])
    graph = nx.MultiGraph()
    for part in shapely.get_parts(shapely.union_all([shape for _, shape in shapes], grid_size=GRID)):
        for start, end in itertools.pairwise(part.coords):
            middle = shapely.Point((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            near = tree.query(middle, predicate="dwithin", distance=5 * GRID)
            kind = min((shapes[i][0] for i in near), key=["line", "seam", "stitched"].index)
            length = math.dist(start, end)
            graph.add_edge(start, end, kind=kind, length=length, weight=length * WEIGHTS[kind])
    return graph


def spot_at(graph: nx.MultiGraph, point: Point) -> Spot:
    """The node at a place."""
    spot = min(graph, key=lambda node: math.dist(node, point))
    assert math.dist(spot, point) < 1e-3
    return spot


def paired(graph: nx.MultiGraph, entry: Spot, leave: Spot) -> float:
    """Weighted inches of the lightest pairing of the odd nodes: no trail over all required edges has less extra."""
    odd: set[Spot] = {entry} ^ {leave}
    for start, end, kind in graph.edges(data="kind"):
        if kind == "line":
            odd ^= {start} ^ {end}
    apart = nx.Graph()
    for node in odd:
        lengths = nx.single_source_dijkstra_path_length(graph, node, weight="weight")
        apart.add_weighted_edges_from((node, other, lengths[other]) for other in odd if other != node)
    pairs = nx.min_weight_matching(apart)
    assert 2 * len(pairs) == len(odd)
    return sum(apart.edges[pair]["weight"] for pair in pairs)


def in_one_piece(graph: nx.MultiGraph, entry: Spot, leave: Spot) -> bool:
    """Whether the lines hang together, and the needle comes in and leaves on them."""
    lines = graph.edge_subgraph(edge for edge in graph.edges if graph.edges[edge]["kind"] == "line")
    return entry in lines and leave in lines and nx.is_connected(lines)


def tried_out(graph: nx.MultiGraph, entry: Spot, leave: Spot) -> float:
    """The least extra of all, each road gone over 0, 1 or 2 times and each line once more or not."""
    lines = [edge for edge, kind in nx.get_edge_attributes(graph, "kind").items() if kind == "line"]
    roads = [edge for edge in graph.edges if edge not in lines]
    best = math.inf
    for times in itertools.product(*([range(2)] * len(lines) + [range(3)] * len(roads))):
        cost = sum(graph.edges[edge]["weight"] * count for edge, count in zip([*lines, *roads], times, strict=True))
        if cost >= best:
            continue
        used = nx.MultiGraph()
        used.add_edges_from(edge[:2] for edge in lines)
        used.add_edges_from(edge[:2] for edge, n in zip([*lines, *roads], times, strict=True) for _ in range(n))
        used.add_edge(leave, entry)  # home again, so that the trail is a round trip
        if nx.is_connected(used) and nx.is_eulerian(used):
            best = cost
    return best


# --- known graphs -------------------------------------------------------------------------------------------------------

HOUSE = (
    _line((0, 4), (0, 0), (4, 0), (4, 4), (0, 4), (2, 6), (4, 4)),
    _line((0, 0), (2, 2)), _line((2, 2), (4, 4)), _line((4, 0), (2, 2)), _line((2, 2), (0, 4)),
)  # fmt: skip
"""The house of Saint Nicholas (children's puzzle, from memory): a square with both diagonals, and a roof."""


@pytest.mark.parametrize("entry", [(0, 0), (4, 0), (0, 4), (4, 4), (2, 6)])
@pytest.mark.parametrize("leave", [(0, 0), (4, 0), (0, 4), (4, 4), (2, 6)])
def test_the_house_is_drawn_in_one_line_between_its_lower_corners_only(
    entry: tuple[float, float], leave: tuple[float, float]
) -> None:
    """From and to anywhere else something is gone over again, and exactly as much as networkx pairs."""
    graph = noded(HOUSE)
    start, end = spot_at(graph, Point(*entry)), spot_at(graph, Point(*leave))
    found = route(HOUSE, (), Point(*entry), Point(*leave))
    assert found.extra == pytest.approx(paired(graph, start, end), abs=1e-9)
    assert (found.extra == 0) == ({entry, leave} == {(0, 0), (4, 0)})


NORTH, ISLAND, EAST, SOUTH = (10, 10), (5, 5), (15, 5), (10, 0)
BRIDGES = (
    _line(NORTH, (4, 9), ISLAND), _line(NORTH, (7, 7), ISLAND), _line(SOUTH, (4, 1), ISLAND), _line(SOUTH, (7, 3), ISLAND),
    _line(ISLAND, EAST), _line(NORTH, (13, 8), EAST), _line(SOUTH, (13, 2), EAST),
)  # fmt: skip
"""The seven bridges of Koenigsberg (Euler, Solutio problematis ad geometriam situs pertinentis, 1736)."""


def _crossed_again(entry: tuple[float, float], leave: tuple[float, float]) -> float:
    """By trial: the shortest bridges to cross again so that a walk over all seven goes from here to there."""
    ends = [(line[0], line[-1]) for line in BRIDGES]
    found = []
    for again in itertools.product((0, 1), repeat=7):
        walk = nx.MultiGraph([*ends, *(pair for pair, twice in zip(ends, again, strict=True) if twice)])
        if entry != leave:
            walk.add_edge(Point(*leave), Point(*entry))
        if nx.is_eulerian(walk):
            found.append(sum(length_of(line) for line, twice in zip(BRIDGES, again, strict=True) if twice))
    return min(found)


@pytest.mark.parametrize("entry", [NORTH, ISLAND, EAST, SOUTH])
@pytest.mark.parametrize("leave", [NORTH, ISLAND, EAST, SOUTH])
def test_the_seven_bridges_cannot_be_walked_without_one_crossed_twice(
    entry: tuple[float, float], leave: tuple[float, float]
) -> None:
    """All four places are odd, so every walk repeats a bridge: one if it may end elsewhere, at least two if it comes home."""
    graph = noded(BRIDGES)
    assert not nx.has_eulerian_path(graph)
    found = route(BRIDGES, (), Point(*entry), Point(*leave))
    assert found.extra == pytest.approx(_crossed_again(entry, leave), abs=1e-9)
    shortest = sorted(length_of(line) for line in BRIDGES)
    assert found.extra >= (sum(shortest[:2]) if entry == leave else shortest[0]) - 1e-9
    assert measured(found.legs, "over") == pytest.approx(found.extra)


@pytest.mark.parametrize("count", range(1, 9))
def test_an_even_number_of_lines_ends_where_it_began_an_odd_one_on_the_far_side(count: int) -> None:
    """Lines across a triangle, stepped from along its diagonals ("Machine Quilting Part Five, Odds or Evens?",
    lookoutmountainquilter.com; the odd case is implied).
    """
    right, left, tip = Point(12, 0), Point(0, 0), Point(6, 12)
    levels = [12 * number / (count + 1) for number in range(1, count + 1)]
    lines = [_line((12 - y / 2, y), (y / 2, y)) for y in levels]
    roads: list[Road] = [("stitched", (left, tip)), ("stitched", (tip, right))]
    top_right, top_left = lines[-1]
    home, far = (route(lines, roads, right, end).extra for end in (top_right, top_left))
    least, most = (home, far) if count % 2 == 0 else (far, home)
    step = math.hypot(6, 12) / (count + 1)
    assert least == pytest.approx(count * step), "one step to the first line and one from each to the next"
    assert most > least + step / 2


# --- sections -----------------------------------------------------------------------------------------------------------


def _roads(filled: FilledSection) -> list[Road]:
    """Both diagonals may be stitched over; the base of a triangle on the border seam may be travelled."""
    section = filled.section
    roads: list[Road] = [("stitched", (section.left, section.tip)), ("stitched", (section.tip, section.right))]
    if section.base == "inner":
        roads.append(("seam", (section.left, section.right)))
    return roads


def _routed(filled: FilledSection, entry: Point, leave: Point) -> Route:
    return route((flat(line) for line in filled.fill.lines), _roads(filled), entry, leave)


def _unlike(plan: BorderPlan) -> Iterator[FilledSection]:
    """One section of each sort."""
    seen = set()
    for filled in plan.sections:
        key = (id(filled.standard), filled.section.base)
        if filled.fill.lines and key not in seen:
            seen.add(key)
            yield filled


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("order", ["sections", "across"])
@pytest.mark.parametrize("fill", FILLS)
def test_a_section_s_extra_is_networkx_s_pairing_where_its_lines_are_in_one_piece(
    fill: str, order: str, corner: str
) -> None:
    """And never less where they are not; home, across and to the tip."""
    plan = lay_out(Request(32, 40, (4,) * 4, fill=fill, order=order, corner=corner))  # type: ignore[arg-type]
    proven = 0
    for filled in _unlike(plan):
        section = filled.section
        graph = noded(filled.fill.lines, _roads(filled))
        left, right, tip = section.left, section.right, section.tip
        for entry, leave in ((right, right), (tip, tip), (left, right), (left, tip)):
            start, end = spot_at(graph, entry), spot_at(graph, leave)
            found, least = _routed(filled, entry, leave), paired(graph, start, end)
            assert not found.unreached
            assert found.extra >= least - NEAR
            if in_one_piece(graph, start, end):
                assert found.extra == pytest.approx(least, abs=NEAR)
                assert found.bound == pytest.approx(found.extra)
                proven += 1
    assert proven


@pytest.mark.parametrize("fill", FILLS)
def test_on_the_stop_line_every_fill_is_in_one_piece(fill: str) -> None:
    """So that the check above is the whole proof there: no seam leads from piece to piece."""
    plan = lay_out(Request(32, 40, (4,) * 4, fill=fill))
    outer = [filled for filled in _unlike(plan) if filled.section.base == "outer"]
    assert outer
    for filled in outer:
        graph = noded(filled.fill.lines)
        assert nx.is_connected(graph)


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("order", ["sections", "across"])
@pytest.mark.parametrize("fill", FILLS)
def test_what_a_run_goes_over_meets_euler_s_conditions(fill: str, order: str, corner: str) -> None:
    """Networkx: connected, every node even but entry and leave, and each required edge among it."""
    plan = lay_out(Request(32, 40, (4,) * 4, fill=fill, order=order, corner=corner))  # type: ignore[arg-type]
    for filled in _unlike(plan):
        section = filled.section
        gates = (section.left, section.tip, section.right)
        tangle = web((flat(line) for line in filled.fill.lines), _roads(filled), gates)
        edges = tangle.graph.edges
        for entry, leave in itertools.product(gates, repeat=2):
            least = tangle.least(entry, leave)
            used = nx.MultiGraph(edges[number][:2] for number in least.used)
            assert nx.has_eulerian_path(used, least.start) if entry != leave else nx.is_eulerian(used)
            assert {number for number, edge in enumerate(edges) if edge.required} <= set(least.used)
            assert max(least.used.count(number) for number in set(least.used)) <= 2


# --- the whole run ------------------------------------------------------------------------------------------------------


def _least_at_corner(plan: BorderPlan, place: int) -> float:
    """By trial: each line across the corner out and back, or out and home through a piece that ends where it does."""
    lines = plan.corner_lines[place]
    name = plan.zigzags[place].side.name
    pieces = [f for f in plan.of_side(name) if f.section.base == "corner" and f.fill.lines]

    def closed(filled: FilledSection) -> float:
        section = filled.section
        if section.tip_only:
            gates = (section.tip,)
        elif section.four_sided:
            gates = (section.left, section.right, section.tip)
        else:
            # the far base corner is no point of the zigzag: the needle never passes there
            gates = (section.left if section.hand == "left" else section.right, section.tip)
        return min(_routed(filled, gate, gate).extra for gate in gates)

    ways = []
    for through in itertools.product([None, *pieces], repeat=len(lines)):
        used = [filled.section.name for filled in through if filled]
        if len(used) > len(set(used)) or any(
            f and line[1] not in f.section.corners for f, line in zip(through, lines, strict=True)
        ):
            continue
        cost = sum(
            _routed(filled, line[1], line[0]).extra if filled else length_of(line)
            for filled, line in zip(through, lines, strict=True)
        )
        ways.append(cost + sum(closed(filled) for filled in pieces if filled.section.name not in used))
    for middle in (filled for filled in pieces if filled.section.tip_only):
        cost = _routed(middle, lines[0][1], lines[1][1]).extra
        ways.append(cost + sum(closed(filled) for filled in pieces if filled is not middle))
    return min(ways, default=0.0)


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", FILLS)
def test_the_whole_run_costs_what_its_sections_cost(fill: str, corner: str) -> None:
    """Order `sections`: the sum of the cheapest gates; no less than pairing the odd nodes of the whole border allows."""
    plan = lay_out(Request(24, 28, (4,) * 4, fill=fill, corner=corner))  # type: ignore[arg-type]
    (run,) = plan.runs()
    total = sum(_least_at_corner(plan, place) for place in range(4))
    for filled in plan.sections:
        if filled.section.base != "corner" and filled.fill.lines:
            gates = (filled.section.left, filled.section.tip, filled.section.right)
            total += min(_routed(filled, gate, gate).extra for gate in gates)
    assert run.extra == pytest.approx(total, abs=1e-6)
    assert run.over + TRAVEL * run.travel == pytest.approx(run.extra, abs=NEAR)
    lines = [line for filled in plan.sections for line in filled.fill.lines]
    lines += [z.line for z in plan.zigzags] + [line for crossing in plan.corner_lines for line in crossing]
    seam = plan.border.seam
    graph = noded(lines, [("seam", (*seam, seam[0]))])
    start = spot_at(graph, seam[0])
    bound = paired(graph, start, start)
    print(f"\n{fill}, {corner}: extra {run.extra:.1f} in; whatever the order, at least {bound:.1f} in", end="")
    assert bound <= run.extra + NEAR


# --- several pieces -----------------------------------------------------------------------------------------------------


def _pieces_between_seam_and_diagonals(chance: random.Random) -> tuple[list[Line], list[Road]]:
    """Two or three short lines, each between two places on the outline of a triangle; diagonals and seam are roads."""
    left, right, tip = Point(0, 0), Point(12, 0), Point(6, 6)
    sides = ((left, right), (left, tip), (tip, right))
    places = [(side, number / 10) for side in range(3) for number in range(1, 10)]
    picked = chance.sample(places, 2 * chance.randint(2, 3))
    spots = [Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t) for s, t in picked for a, b in [sides[s]]]
    lines = [
        (one, Point(*chance.choice([(5.0, 1.3), (6.5, 2.1), (7.0, 0.7)])), other)
        for one, other in zip(spots[::2], spots[1::2], strict=True)
    ]
    return lines, [("seam", sides[0]), ("stitched", sides[1]), ("stitched", sides[2])]


@pytest.mark.parametrize("seed", range(24))
def test_a_few_pieces_among_roads_cost_what_trying_everything_finds(seed: int) -> None:
    """Seam and diagonals of different weights, entered and left at different corners."""
    chance = random.Random(seed)
    while True:
        lines, roads = _pieces_between_seam_and_diagonals(chance)
        graph = noded(lines, roads)
        graph = _without_idle_nodes(graph)
        if sum(2 if kind == "line" else 3 for *_, kind in graph.edges(data="kind")) <= 33:
            break
    entry, leave = chance.choice([(0, 0), (12, 0)]), chance.choice([(0, 0), (12, 0), (6, 6)])
    found = route(lines, roads, Point(*map(float, entry)), Point(*map(float, leave)))
    least = tried_out(graph, spot_at(graph, Point(*entry)), spot_at(graph, Point(*leave)))
    assert found.extra == pytest.approx(least, abs=NEAR)
    assert found.bound <= found.extra + 1e-9


def _without_idle_nodes(graph: nx.MultiGraph) -> nx.MultiGraph:
    """Chains of edges of one kind as one edge; the triangle's corners stay."""
    graph = graph.copy()
    for node in list(graph):
        near = list(graph.edges(node, keys=True, data=True))
        corner = min(math.dist(node, gate) for gate in ((0, 0), (12, 0), (6, 6))) < 1e-3
        if len(near) == 2 and near[0][3]["kind"] == near[1][3]["kind"] and not corner:
            data = {name: near[0][3][name] + near[1][3][name] for name in ("length", "weight")}
            graph.remove_node(node)
            graph.add_edge(near[0][1], near[1][1], kind=near[0][3]["kind"], **data)
    return graph


# --- curves -------------------------------------------------------------------------------------------------------------


def _integrated(curve: Curve) -> float:
    """Inches along a chain of Béziers: the speed of each, integrated."""

    def speed(share: float, bezier: Line) -> float:
        a, b, c, d = bezier
        weights = (3 * (1 - share) ** 2, 6 * (1 - share) * share, 3 * share**2)
        steps = (b.minus(a), c.minus(b), d.minus(c))
        return math.hypot(
            sum(w * s.x for w, s in zip(weights, steps, strict=True)),
            sum(w * s.y for w, s in zip(weights, steps, strict=True)),
        )

    return sum(quad(speed, 0, 1, args=(curve[i : i + 4],))[0] for i in range(0, len(curve) - 1, 3))


CURVED = [
    fill
    for fill in FILLS
    if any(
        isinstance(line, Curve) for f in lay_out(Request(32, 40, (4,) * 4, fill=fill)).sections for line in f.fill.lines
    )
]


def test_there_are_curved_fills() -> None:
    """Or the next test would be none."""
    assert "fans" in CURVED


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("fill", CURVED)
def test_the_stitched_length_of_curves_is_the_integral_s(fill: str, order: str) -> None:
    """Straight pieces within 0.003 in of a curve are shorter by less than 0.2 %."""
    plan = lay_out(Request(32, 40, (4,) * 4, fill=fill, order=order))  # type: ignore[arg-type]
    runs = plan.runs()
    exact = sum(length_of(z.line) for z in plan.zigzags) + sum(length_of(x) for c in plan.corner_lines for x in c)
    lines = [line for filled in plan.sections for line in filled.fill.lines]
    curves = sum(_integrated(line) for line in lines if isinstance(line, Curve))
    exact += curves + sum(length_of(line) for line in lines if not isinstance(line, Curve))
    stitched = sum(run.length - run.over - run.travel for run in runs)
    assert curves > exact / 4
    assert 0.998 * exact <= stitched <= exact + 1e-6


# --- any lines ----------------------------------------------------------------------------------------------------------

places = st.tuples(st.integers(0, 8), st.integers(0, 8))
polylines = st.lists(places, min_size=2, max_size=5).map(
    lambda spots: _line(*(spot for spot, _ in itertools.groupby(spots)))
).filter(lambda line: len(line) > 1)  # fmt: skip


@given(
    st.lists(polylines, min_size=1, max_size=5),
    st.lists(polylines, max_size=2),
    st.lists(polylines, max_size=2),
    st.data(),
)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_any_lines_on_any_roads_are_covered_once_and_the_rest_is_counted(
    lines: list[Line], seams: list[Line], stitched: list[Line], data: st.DataObject
) -> None:
    """Crossing, touching, overlapping: new stitching is all the lines and nothing else, the rest lies on lines and roads."""
    entry, leave = (
        data.draw(st.sampled_from([p for line in (*lines, *seams, *stitched) for p in line])) for _ in range(2)
    )
    roads: list[Road] = [*(("stitched", line) for line in stitched), *(("seam", line) for line in seams)]
    found = route(lines, roads, entry, leave)
    wanted, seam, hard = (
        shapely.union_all([MultiLineString([line]) for line in some]) for some in (lines, seams, stitched)
    )
    left = shapely.union_all([LineString(line) for line in found.unreached])
    new = shapely.union_all([LineString(leg.line) for leg in found.legs if leg.how == "stitch"])
    # covered once: as long as the union of the lines, and never away from it
    assert measured(found.legs, "stitch") == pytest.approx(
        wanted.length - left.length, abs=NEAR * len(found.legs) + NEAR
    )
    assert new.difference(wanted.buffer(NEAR)).length == pytest.approx(0, abs=1e-9)
    assert wanted.difference(new.union(left).buffer(NEAR)).length == pytest.approx(0, abs=1e-9)
    for leg in found.legs:
        allowed = {"stitch": wanted, "over": wanted.union(hard), "travel": seam}[leg.how]
        assert LineString(leg.line).difference(allowed.buffer(NEAR)).length == pytest.approx(0, abs=1e-9)
    assert all(one.line[-1] == other.line[0] for one, other in itertools.pairwise(found.legs))
    if found.legs:
        assert distance(found.legs[0].line[0], entry) < NEAR
        assert distance(found.legs[-1].line[-1], leave) < NEAR
    over, travel = measured(found.legs, "over"), measured(found.legs, "travel")
    assert found.extra == pytest.approx(over + TRAVEL * travel, abs=1e-6)
    assert found.bound <= found.extra + 1e-9
