"""A patchwork whose every seam is a little off: no two triangles are congruent, and nearly like ones share their fills."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING

import pytest
from shapely.geometry import LineString, Polygon

from geometry.fills.catalogue import CATALOGUE
from geometry.patchwork import Patchwork
from geometry.plan import Request, lay_out
from geometry.plane import distance, flat

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.plan import BorderPlan

ORDERS = ["sections", "zigzag", "across"]


def _plan(fill: str, order: str = "sections", high: float = 100, **options: object) -> BorderPlan:
    marks = tuple(tuple(2.0 * i + 0.05 * math.sin(i * side) for i in range(1, 44)) for side in range(1, 5))
    return lay_out(
        Request(96, high, (4.0,) * 4, fit="marks", guide=Patchwork(dots=marks), fill=fill, order=order, **options)  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_fills_are_shared_and_lie_in_their_own_sections(fill: str) -> None:
    """Few are drawn; each is in its section, and lines that begin at a corner begin at that corner exactly."""
    plan = _plan(fill)
    shapes = {tuple(round(distance(*pair), 6) for pair in zip(one.section.corners, one.section.corners[1:], strict=False))
              for one in plan.sections}  # fmt: skip
    drawn = Counter(id(one.standard) for one in plan.sections)
    assert len(shapes) > 60
    # neighbouring meanders differ on purpose
    assert len(drawn) < (0.75 if fill == "meander" else 0.6) * len(plan.sections)
    for one in plan.sections:
        region = Polygon(one.section.corners).buffer(1e-6)
        assert one.fill.lines
        for line in one.fill.lines:
            assert region.covers(LineString(flat(line)))
            for end in (line[0], line[-1]):
                near = min(distance(end, corner) for corner in one.section.corners)
                assert near < 1e-9 or near > 1e-3


@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_in_tiers_too_lines_lie_in_their_own_sections(fill: str) -> None:
    """Also where a fill keeps off the line between them."""
    for one in _plan(fill, high=96, tiers=2).sections:
        region = Polygon(one.section.corners).buffer(1e-6)
        assert all(region.covers(LineString(flat(line))) for line in one.fill.lines)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_runs_add_up_and_are_all_but_the_least(fill: str, order: str) -> None:
    """Extra is measured where the needle goes; no way has less than the bound, which is a hundredth off at most (tangles: a twentieth)."""
    for run in _plan(fill, order).runs():
        assert run.extra == pytest.approx(run.over + run.travel / 2, abs=1e-6)
        assert run.bound - 1e-9 <= run.extra <= (1.05 if fill == "crosshatch" else 1.01) * run.bound + 1e-6
        assert run.unreached == ()


@pytest.mark.parametrize("options", [{}, {"under": True}, {"echo": 1}, {"kind": "inner"}], ids=str)
def test_a_check_finds_nothing(options: dict[str, object], told: Callable[[BorderPlan], list[str]]) -> None:
    """In every fill."""
    for fill in sorted(CATALOGUE):
        assert told(_plan(fill, **options)) == [], fill
