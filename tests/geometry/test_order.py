"""Which line after which: runs, where they start and stop, and the mitre."""

from __future__ import annotations

import itertools
from collections import Counter
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE, leads_to_tip
from geometry.fills.motif import laid_out
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Line, Point, distance, length_of

if TYPE_CHECKING:
    from geometry.needle import Run

CORNERS = ["mitred", "large", "square"]
ORDERS = ["sections", "zigzag", "across"]
FILLS = sorted(CATALOGUE)
LEAF = tuple(Point(float(x), float(y)) for x, y in ((0, 0), (2, -1), (5, -6), (3, -5), (1, -2), (0, 0)))


def _plan(fill: str, corner: str, order: str, **options: object) -> BorderPlan:
    return lay_out(
        Request(40, 52, (5.0,) * 4, fill=fill, corner=corner, order=order, motif=laid_out([LEAF]), **options)  # type: ignore[arg-type]
    )


def _times(run_or_runs: tuple[Run, ...], lines: list[Line]) -> list[int]:
    """How often each straight line is stitched from end to end."""
    gone: Counter[frozenset[Point]] = Counter()
    for run in run_or_runs:
        for leg in run.legs:
            if leg.how != "travel":
                gone.update(frozenset((_near(a), _near(b))) for a, b in itertools.pairwise(leg.line))
    return [gone[frozenset((_near(line[0]), _near(line[-1])))] for line in lines]


def _near(point: Point) -> Point:
    return Point(round(point.x, 6) + 0.0, round(point.y, 6) + 0.0)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("fill", [*(fill for fill in FILLS if leads_to_tip(fill)), "motif"])
def test_a_mitre_is_stitched_once_where_a_fill_can_end_at_its_tip(fill: str, order: str) -> None:
    """Out along the mitre, home through one of its two triangles: no line across a corner is stitched over."""
    plan = _plan(fill, "mitred", order)
    mitres = [line for lines in plan.corner_lines for line in lines]
    assert len(mitres) == 4
    assert _times(plan.runs(), mitres) == [1, 1, 1, 1]


def test_there_are_fills_that_can_end_at_the_tip() -> None:
    """Or the test above would be none."""
    assert {"diamonds", "echoes", "meander"} <= {fill for fill in FILLS if leads_to_tip(fill)}


@pytest.mark.parametrize("fill", FILLS)
def test_across_a_mitre_is_stitched_once_by_whatever_fill_goes_across(fill: str) -> None:
    """But for arrowheads, whose V's on the stop line come home by themselves."""
    plan = _plan(fill, "mitred", "across")
    times = _times(plan.runs(), [line for lines in plan.corner_lines for line in lines])
    assert max(times) <= (2 if fill == "arrowheads" else 1)


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", ["diamonds", "echoes", "meander"])
def test_across_every_diagonal_is_stitched_once(fill: str, corner: str) -> None:
    """Fill across, the diagonal back."""
    plan = _plan(fill, corner, "across")
    diagonals = [pair for zigzag in plan.zigzags for pair in itertools.pairwise(zigzag.line)]
    assert set(_times(plan.runs(), diagonals)) == {1}


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", ["diamonds", "fans", "wedges", "crosshatch"])
def test_whole_zigzag_first_then_the_fills_on_the_seam_then_the_others(fill: str, corner: str) -> None:
    """Each run comes home, and the next starts there, or one diagonal farther where its own row begins."""
    plan = _plan(fill, corner, "zigzag")
    zigzag, seam, stop = plan.runs()
    first = plan.zigzags[0]
    assert zigzag.line == tuple(
        point for place, one in enumerate(plan.zigzags) for point in (one.line if place == 0 else one.line[1:])
    )
    assert zigzag.over == zigzag.travel == 0
    assert all(distance(run.start, run.stop) < 1e-6 for run in (zigzag, seam, stop))
    assert distance(seam.start, zigzag.stop) < 1e-6
    assert distance(stop.start, first.line[1]) < 1e-6
    assert distance(stop.start, seam.stop) <= length_of(first.line[:2]) + 1e-6
    bases = {filled.section.name: filled.section.base for filled in plan.sections}
    begun = [[bases[visit.section] for visit in run.visits] for run in (zigzag, seam, stop)]
    assert begun[0] == []
    assert set(begun[1]) == {"inner"}
    assert set(begun[2]) == {"outer", "corner"}
    assert sum(map(len, begun)) == len(plan.sections)


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", FILLS)
def test_section_by_section_each_is_finished_before_the_next_begins(fill: str, corner: str) -> None:
    """Between two sections begun there is nothing but zigzag and corner lines; and each is begun at its own corner."""
    plan = _plan(fill, corner, "sections")
    (run,) = plan.runs()
    sections = {filled.section.name: filled.section for filled in plan.sections}
    assert Counter(visit.section for visit in run.visits) == Counter(
        filled.section.name for filled in plan.sections if filled.fill.lines
    )
    for visit in run.visits:
        assert min(distance(visit.at, spot) for spot in sections[visit.section].corners) < 1e-6
    # round the quilt: each triangle is begun while the zigzag is at one of its own places
    order = [visit.section for visit in run.visits if sections[visit.section].base != "corner"]
    around: list[str] = []
    for zigzag in plan.zigzags:
        pairs = itertools.zip_longest(
            *(
                [f.section.name for f in plan.of_side(zigzag.side.name) if f.section.base == base]
                for base in ("inner", "outer")
            )
        )
        around += [name for pair in pairs for name in pair if name]
    filled = {visit.section for visit in run.visits}
    ranks = [[name for name in around if name in filled].index(name) for name in order]
    assert all(abs(rank - place) <= 2 for place, rank in enumerate(ranks))


@pytest.mark.parametrize("kind", ["outer", "inner"])
@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("order", ORDERS)
def test_every_run_is_within_a_twentieth_of_the_least_there_can_be(order: str, corner: str, kind: str) -> None:
    """For every fill, her own drawing, echo lines and lines under the binding among them."""
    for fill in (*FILLS, "motif"):
        for options in ({}, {"echo": 2}, {"under": True}) if kind == "outer" else ({},):
            for run in _plan(fill, corner, order, kind=kind, **options).runs():
                assert not run.unreached, (fill, options)
                assert run.bound - 1e-6 <= run.extra <= 1.05 * run.bound + 1e-6, (fill, options)
