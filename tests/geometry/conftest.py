"""Shared here: a border just laid out, as a reader of its drawing would find it, and the check of that."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from geometry.findings import inspect
from geometry.inspection.drawn import CornerLine, Drawn, DrawnSection, DrawnSide
from geometry.sections import opening_lines
from geometry.tiers import mid_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.findings import Inspection
    from geometry.plan import BorderPlan


def as_drawn(plan: BorderPlan) -> Drawn:
    """What a reader of the document would find, the border just drawn."""
    border = plan.border
    crossings = [
        CornerLine(zigzag.side.name, line)
        for zigzag, lines in zip(plan.zigzags, plan.corner_lines, strict=True)
        for line in (*opening_lines(zigzag), *lines)
    ]
    pivots = {corner for side in border.sides for corner in (side.start, side.end)}
    return Drawn(
        border.kind, border.edge, border.seam, border.stop_line,
        tuple(DrawnSide(zigzag.side.name, zigzag.line) for zigzag in plan.zigzags), tuple(crossings),
        tuple(
            DrawnSection(
                one.section.name, one.section.side, one.section.base, one.section.corners, one.fill_name, one.fill.spacing,
                one.fill.note, one.fill.lines,
            )
            for one in plan.sections
        ),
        (), plan.request.under, plan.request.order, None,
        tuple(stop in pivots and seam not in pivots for stop, seam in zip(border.stop_line, border.seam, strict=True)),
        mid_lines(border, plan.request.tiers),
    )  # fmt: skip


@pytest.fixture(scope="session")
def drawn_from() -> Callable[[BorderPlan], Drawn]:
    """A plan as a drawing of it is read."""
    return as_drawn


@pytest.fixture(scope="session")
def looked_at() -> Callable[[BorderPlan], Inspection]:
    """The check of a border just laid out."""
    return lambda plan: inspect(as_drawn(plan))


@pytest.fixture(scope="session")
def told(looked_at: Callable[[BorderPlan], Inspection]) -> Callable[[BorderPlan], list[str]]:
    """The sentences of that check."""
    return lambda plan: [f"{one.section}: {one.message}" for one in looked_at(plan).findings]
