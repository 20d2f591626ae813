"""The layers that are derived from the lines: the stitching line, the order it goes in, the notes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from extension.alternatives import TABLE_HEAD, other_numbers
from extension.document import set_value
from extension.notes import notes
from geometry.plane import Point
from geometry.waymarks import waymarks

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from lxml import etree

    from extension.pen import Pen
    from geometry.estimate import Estimate
    from geometry.needle import Run
    from geometry.plan import BorderPlan

LEADING = 1.4
"""Heights of the type from one line of the notes to the next."""

WAY = frozenset({"stitching", "order", "notes"})
"""The layers drawn here."""

SMALLEST_TYPE = 7 / 72
"""Inches on paper: seven points."""

DOT = 0.22
"""Heights of the type from the middle of a start dot to its rim."""


class Drawn(NamedTuple):
    """A border: its plan, its stitching, what that takes, and what is to be said of it."""

    plan: BorderPlan
    runs: tuple[Run, ...]
    estimate: Estimate
    remarks: tuple[str, ...] = ()


def draw_way(
    pen: Pen,
    layers: Mapping[str, etree._Element],
    drawn: Drawn,
    *,
    scale: float,
    remarks: Sequence[str] = (),
    leaves: Sequence[Point] = (),
) -> None:
    """Fill the layers `stitching`, `order` and `notes`, which are empty."""
    _runs(pen, layers["stitching"], drawn.runs)
    _order(pen, layers["order"], drawn.plan, drawn.runs, SMALLEST_TYPE * scale, leaves)
    _notes(pen, layers["notes"], drawn, scale, remarks)


def _runs(pen: Pen, layer: etree._Element, runs: Sequence[Run]) -> None:
    for number, run in enumerate(runs, 1):
        path = pen.way(layer, [leg.line for leg in run.course], "run", f"Run {number}: {run.name}")
        set_value(path, "part", "run")
        set_value(path, "run", str(number))
        for name, inches in (("length-in", run.length), ("over-in", run.over), ("travel-in", run.travel)):
            set_value(path, name, f"{inches:.4f}")


def _order(
    pen: Pen, layer: etree._Element, plan: BorderPlan, runs: Sequence[Run], least: float, leaves: Sequence[Point]
) -> None:
    height = min(side.height for side in plan.border.sides)
    marks = waymarks(runs, plan.sections, height, least, leaves)
    for count, arrows in enumerate(marks.arrows, 1):
        if arrows:
            set_value(pen.filled(layer, arrows, "run", f"Run {count}, arrows"), "part", "arrows")
    radius = DOT * marks.size
    set_value(pen.dots(layer, marks.starts, radius, "Starts"), "part", "start")
    set_value(pen.rings(layer, marks.stops, 1.6 * radius, "Stops"), "part", "stop")
    if marks.leaves:
        set_value(
            pen.filled(layer, [_lozenge(p, 2 * radius) for p in marks.leaves], "run", "Leave and return"),
            "part",
            "leave",
        )
    for number in marks.numbers:
        set_value(pen.label(layer, number.text, number.at, marks.size), "part", "number")


def _lozenge(middle: Point, reach: float) -> tuple[Point, ...]:
    corners = [middle._replace(x=middle.x + reach), middle._replace(y=middle.y + reach),
               middle._replace(x=middle.x - reach), middle._replace(y=middle.y - reach)]  # fmt: skip
    return (*corners, corners[0])


def _notes(pen: Pen, layer: etree._Element, drawn: Drawn, scale: float, remarks: Sequence[str]) -> None:
    wide, high = drawn.plan.request.quilt_width, drawn.plan.request.quilt_height
    size = max(SMALLEST_TYPE * scale, min(1.0, wide / 80))
    lines = [part for line in notes(drawn.plan, drawn.estimate, remarks) for part in _wrapped(line, wide / size)]
    top = high + 2 * size
    set_value(pen.text(layer, lines, size, Point(0.0, top)), "part", "note")
    rows = other_numbers(drawn.plan)
    if rows:
        _table(pen, layer, rows, size, Point(0.0, top + LEADING * size * (len(lines) + 0.5)))


def _table(pen: Pen, layer: etree._Element, rows: Sequence[Sequence[str]], size: float, at: Point) -> None:
    """A table below the notes, each column a text of its own, so that columns stand straight in any typeface."""
    set_value(pen.text(layer, [TABLE_HEAD], size, at), "part", "alternatives")
    left, below = at.x, at.y + LEADING * size
    for column in zip(*rows, strict=True):
        set_value(pen.text(layer, column, size, Point(left, below)), "part", "alternatives")
        left += size * (0.6 * max(map(len, column)) + 2)


def _wrapped(line: str, width: float) -> list[str]:
    """Lines no wider than the quilt; `width` in heights of the type, a letter being about half as wide as high."""
    import textwrap  # noqa: PLC0415 - only when there is something to write

    return textwrap.wrap(line, max(40, math.floor(width / 0.5)), subsequent_indent="    ")
