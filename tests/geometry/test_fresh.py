"""A border just drawn has nothing that a check finds fault with: every fill, corner, fit and order."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.plan import BorderPlan

QUILTS = ((60, 72, 6.0, 1.0), (40, 52, 4.0, 1.0), (50, 65, 4.0, 0.5))
"""Width, height, border and spacing; dense, usual and open."""


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
@pytest.mark.parametrize("quilt", QUILTS, ids=lambda quilt: "x".join(f"{number:g}" for number in quilt))
def test_nothing_is_found(
    fill: str, corner: str, quilt: tuple[float, ...], told: Callable[[BorderPlan], list[str]]
) -> None:
    """Evenly fitted and eased, in all three orders."""
    width, height, border, spacing = quilt
    for fit, order in itertools.product(("even", "ease"), ("sections", "zigzag", "across")):
        request = Request(
            width, height, (border,) * 4, fill=fill, corner=corner, fit=fit, order=order, spacing=spacing  # type: ignore[arg-type]
        )  # fmt: skip
        assert told(lay_out(request)) == [], (fit, order)


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
def test_nothing_is_found_with_other_options(
    fill: str, options: dict[str, object], told: Callable[[BorderPlan], list[str]]
) -> None:
    """Lines that run on, echo lines, an inner border, matched fills."""
    assert told(lay_out(Request(60, 72, (6.0,) * 4, fill=fill, **options))) == []  # type: ignore[arg-type]
