"""The tables of DEVELOPERS.md, measured anew: `uv run pytest tests/benchmarks/test_tables.py -o addopts= -s`."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.plan import BorderPlan

CORNERS = ("mitred", "large", "square")
ORDERS = ("sections", "zigzag", "across")
SPACINGS = (1.0, 0.75, 0.5)
QUILTS = ((60, 72, 6.0), (40, 52, 4.0))


@pytest.mark.parametrize("options", [{}, {"echo": 2}, {"under": True}], ids=str)
def test_economy(options: dict[str, object]) -> None:
    """Stitched over, percent of new stitching / inches travelled for each section, on 60 by 72 in."""
    print(f"\n{options}\n| fill | corner | {' | '.join(ORDERS)} |\n|{'---|' * 5}")
    for fill, corner in itertools.product(CATALOGUE, CORNERS):
        cells = []
        for order in ORDERS:
            plan = lay_out(Request(60, 72, (6.0,) * 4, fill=fill, corner=corner, order=order, **options))  # type: ignore[arg-type]
            over, travelled = _economy(plan)
            cells.append(f"{over:.1f} / {travelled:.1f}")
            assert over <= 20
        print(f"| {fill} | {corner} | {' | '.join(cells)} |", flush=True)


def _economy(plan: BorderPlan) -> tuple[float, float]:
    runs = plan.runs()
    over, travel = sum(run.over for run in runs), sum(run.travel for run in runs)
    return 100 * over / (sum(run.length for run in runs) - over - travel), travel / len(plan.sections)


def test_spacing(spaces: Callable[..., tuple[float, float, bool]]) -> None:
    """Widest open circle / least distance, in spacings as used; triangles and corner pieces apart."""
    print(f"\n| fill | triangles | {' | '.join(CORNERS)} |\n|{'---|' * 5}")
    for fill in CATALOGUE:
        cells = [_worst(fill, "mitred", spaces, corners=False)]
        cells += [_worst(fill, corner, spaces, corners=True) for corner in CORNERS]
        print(f"| {fill} | {' | '.join(cells)} |", flush=True)


def _worst(fill: str, corner: str, spaces: Callable[..., tuple[float, float, bool]], *, corners: bool) -> str:
    seen = set()
    rows = []
    for (width, height, border), spacing, order in itertools.product(QUILTS, SPACINGS, ("sections", "across")):
        plan = lay_out(
            Request(width, height, (border,) * 4, fill=fill, corner=corner, order=order, spacing=spacing)  # type: ignore[arg-type]
        )
        for filled in plan.sections:
            wanted = (filled.section.base == "corner") == corners
            if wanted and filled.fill.lines and filled.standard.lines not in seen:
                seen.add(filled.standard.lines)
                rows.append(spaces(filled))
    least = "one line" if CATALOGUE[fill].free else f"{min(row[1] for row in rows):.2f}"
    return f"{max(row[0] for row in rows):.2f} / {least}"
