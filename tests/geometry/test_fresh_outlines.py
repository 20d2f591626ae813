"""Whatever the outline, a border just drawn has nothing that a check finds fault with, and its runs reach every line."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out
from geometry.plane import Point

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.findings import Inspection
    from geometry.plan import BorderPlan

CORNERS = ("mitred", "large", "square")
ORDERS = ("sections", "across", "zigzag")


def outline(*corners: tuple[float, float]) -> tuple[Point, ...]:
    """Corners as points."""
    return tuple(Point(float(x), float(y)) for x, y in corners)


def regular(count: int, radius: float) -> tuple[Point, ...]:
    """A regular polygon, clockwise, its first side level and on top."""
    first = -math.pi / 2 - math.pi / count
    angles = [first + 2 * math.pi * i / count for i in range(count)]
    return tuple(Point(radius + radius * math.cos(angle), radius + radius * math.sin(angle)) for angle in angles)


ELL = outline((0, 0), (28, 0), (28, 40), (70, 40), (70, 70), (0, 70))
UNEVEN = outline((0, 2), (60, 0), (64, 70), (3, 68))

BORDERS: dict[str, tuple[tuple[Point, ...], tuple[float, ...], dict[str, object]]] = {
    "hexagon": (regular(6, 38), (4.0,) * 6, {}),
    "octagon": (regular(8, 40), (4.0,) * 8, {}),
    "triangle": (outline((0, 0), (80, 0), (40, 69.3)), (4.0,) * 3, {}),
    "L at 30 degrees": (ELL, (4.0,) * 6, {"angle": 30.0}),
    "L at 45 degrees": (ELL, (4.0,) * 6, {}),
    "L at 60 degrees": (ELL, (4.0,) * 6, {"angle": 60.0, "spacing": 0.75}),
    "L of six widths": (ELL, (3.0, 4.0, 5.0, 3.5, 4.5, 6.0), {}),
    "T": (outline((0, 0), (80, 0), (80, 28), (55, 28), (55, 75), (25, 75), (25, 28), (0, 28)), (4.0,) * 8, {}),
    "arrow": (outline((0, 20), (40, 20), (40, 5), (80, 35), (40, 65), (40, 50), (0, 50)), (4.0,) * 7, {}),
    "slim arrow": (outline((0, 20.8), (38.9, 20.8), (38.9, 0), (64.7, 35.7), (38.9, 67.9), (38.9, 50.7), (0, 50.7)),
                   (4.07,) * 7, {"spacing": 0.5}),
    "trapezium": (outline((15, 0), (65, 2), (80, 60), (0, 57)), (4.0,) * 4, {}),
    "uneven": (UNEVEN, (6.0, 5.0, 6.0, 4.0), {}),
    "widths by side": (outline((0, 0), (60, 0), (60, 72), (0, 72)), (6.0, 5.0, 6.0, 5.0), {}),
    "inner, uneven": (UNEVEN, (4.0,) * 4, {"kind": "inner"}),
    "inner hexagon": (regular(6, 38), (3.5,) * 6, {"kind": "inner"}),
    "inner L": (ELL, (3.5,) * 6, {"kind": "inner"}),
    "one strip": (UNEVEN, (6.0, 5.0, 6.0, 4.0), {"sides": ("top",)}),
    "two strips in one": (UNEVEN, (6.0, 5.0, 6.0, 4.0), {"sides": ("top", "left")}),
    "two strips apart": (UNEVEN, (6.0, 5.0, 6.0, 4.0), {"sides": ("top", "bottom")}),
    "three sides": (UNEVEN, (6.0, 5.0, 6.0, 4.0), {"sides": ("top", "right", "left")}),
    "round an inward corner": (ELL, (4.0,) * 6, {"sides": ("2", "3")}),
    "strips of a hexagon": (regular(6, 38), (4.0,) * 6, {"sides": ("1", "2", "4")}),
}  # fmt: skip

INWARD = {"L", "T", "arrow", "slim", "inner L", "round"}


@pytest.mark.parametrize("fill", sorted(CATALOGUE))
@pytest.mark.parametrize("name", BORDERS)
def test_nothing_is_found_whatever_the_outline(
    name: str, fill: str, looked_at: Callable[[BorderPlan], Inspection]
) -> None:
    """Corner and order take turns from fill to fill; the check derives as many runs as the plan has."""
    corners, widths, options = BORDERS[name]
    wide, high = (max(corner[axis] for corner in corners) for axis in (0, 1))
    turn = sorted(CATALOGUE).index(fill) + [*BORDERS].index(name)
    inward = any(name.startswith(word) for word in INWARD)
    corner, order = CORNERS[turn % (2 if inward else 3)], ORDERS[(turn // 2) % 3]
    plan = lay_out(
        Request(wide, high, widths, outline=corners, fill=fill, corner=corner, order=order, **options)  # type: ignore[arg-type]
    )
    found = looked_at(plan)
    assert [f"{one.section}: {one.message}" for one in found.findings] == [], (corner, order)
    runs = plan.runs()
    # in a very dense crosshatch the check looks for no run
    assert found.totals.runs == len(runs) or (fill == "crosshatch" and "spacing" in options)
    assert not any(run.unreached for run in runs)
