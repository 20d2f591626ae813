"""A border just drawn has nothing that a check finds fault with: every fill, corner, fit and order."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.findings import inspect
from geometry.inspection.drawn import CornerLine, Drawn, DrawnSection, DrawnSide
from geometry.plan import Request, lay_out
from geometry.tiers import mid_lines

if TYPE_CHECKING:
    from geometry.plan import BorderPlan

QUILTS = ((60, 72, 6.0, 1.0), (40, 52, 4.0, 1.0), (50, 65, 4.0, 0.5))
"""Width, height, border and spacing; dense, usual and open."""


def as_drawn(plan: BorderPlan) -> Drawn:
    """What a reader of the document would find, the border just drawn."""
    border = plan.border
    crossings = zip(plan.zigzags, plan.corner_lines, strict=True)
    return Drawn(
        border.kind, border.edge, border.seam, border.stop_line,
        tuple(DrawnSide(zigzag.side.name, zigzag.line) for zigzag in plan.zigzags),
        tuple(CornerLine(zigzag.side.name, line) for zigzag, lines in crossings for line in lines),
        tuple(
            DrawnSection(
                one.section.name, one.section.side, one.section.base, one.section.corners, one.fill_name, one.fill.spacing,
                one.fill.note, one.fill.lines,
            )
            for one in plan.sections
        ),
        (), plan.request.under, plan.request.order, mid_lines=mid_lines(border, plan.request.tiers),
    )  # fmt: skip


def found_in(request: Request) -> list[str]:
    """The sentences of a check."""
    return [f"{one.section}: {one.message}" for one in inspect(as_drawn(lay_out(request))).findings]


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
@pytest.mark.parametrize("quilt", QUILTS, ids=lambda quilt: "x".join(f"{number:g}" for number in quilt))
def test_nothing_is_found(fill: str, corner: str, quilt: tuple[float, ...]) -> None:
    """Evenly fitted and eased, in all three orders."""
    width, height, border, spacing = quilt
    for fit, order in itertools.product(("even", "ease"), ("sections", "zigzag", "across")):
        request = Request(
            width, height, (border,) * 4, fill=fill, corner=corner, fit=fit, order=order, spacing=spacing  # type: ignore[arg-type]
        )  # fmt: skip
        assert found_in(request) == [], (fit, order)


@pytest.mark.parametrize(
    "options",
    [
        {"under": True},
        {"echo": 2},
        {"echo": 1, "step": 0.5},
        {"kind": "inner"},
        {"match": True, "outerfill": "channels"},
    ],
    ids=str,
)
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_nothing_is_found_with_other_options(fill: str, options: dict[str, object]) -> None:
    """Lines that run on, echo lines, an inner border, matched fills."""
    assert found_in(Request(60, 72, (6.0,) * 4, fill=fill, **options)) == []  # type: ignore[arg-type]
