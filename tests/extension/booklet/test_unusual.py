"""Unusual borders make a booklet too: one triangle a side, rows left open, a fill of one line, a start with a way."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

BORDERS = {
    "fewer than half of the sections have a fill": (
        (24, 24), "--width 1 --corner large --order across --fill none --outerfill wedges --cornerfill fans --angle 60", "density",
    ),
    "nothing but the corners has a fill": (
        (12, 40), "--width 2 --kind inner --corner square --order zigzag --fill none --outerfill none --cornerfill beadboard", "steps,density",
    ),
    "a run travels before its first fill": (
        (9, 9), ("--width 1 --corner large --order zigzag --fill wedges --outerfill none --cornerfill diamonds --spacing 0.25 "
        "--angle 30 --echo 2 --number odd --under true"), "steps",
    ),
    "a fill is one upright line": (
        (24, 24), ("--width 1 --corner square --order across --fill wedges --cornerfill meander --spacing 2 --size count "
        "--across 1 --down 2"), "steps",
    ),
    "one triangle on every side": (
        (20, 20), "--width 4 --size count --across 1 --down 1 --order zigzag", "steps,templates,practice,chart,strip",
    ),
    "no fill at all": ((20, 30), "--width 3 --fill none", "first,steps,templates,practice,questions,density"),
}  # fmt: skip


@pytest.mark.parametrize("name", BORDERS)
def test_an_unusual_border_makes_a_booklet(
    name: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Quietly, with every part that was asked for."""
    size, options, parts = BORDERS[name]
    booklet = printed(bordered(*options.split(), size=size), "--parts", parts)
    titles = {
        "steps": "Step by step", "templates": "True-size templates", "practice": "Practice page", "chart": "Marking chart",
        "strip": "Marking strip", "density": "Density and estimate", "questions": "Questions", "first": "Before you begin",
    }  # fmt: skip
    for part in parts.split(","):
        assert titles[part] in booklet.text
    for words in (": .", " 1 points", " 1 dots", " 1 triangles"):
        assert words not in booklet.text
    assert ", ," not in booklet.text
