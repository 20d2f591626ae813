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


OUTLINES = {
    "octagon": ("M 25,5 55,5 75,25 75,55 55,75 25,75 5,55 5,25 Z", "", ("Sides 1, 3, 5 and 7", "Sides 2, 4, 6 and 8: ")),
    "L": ("M 5,5 35,5 35,45 75,45 75,75 5,75 Z", "--corner large --fill wedges", ("Side 2", "Sides 5 and 6", "6, pivot", "1, pivot")),
    "strips": ("M 5,7 65,5 69,75 8,73 Z", "--sides left,top,right --fill fans", ("the line that closes the strip", "Left: ")),
    "strips apart": ("M 5,7 65,5 69,75 8,73 Z", "--sides top,bottom --fill chevrons", ("Here the strip ends", "Top: ")),
    "widths by side": ("M 5,5 65,5 65,77 5,77 Z", "--width 6,5,6,4 --order across", ("Right: ", "Left: ")),
}  # fmt: skip


@pytest.mark.parametrize("name", OUTLINES)
def test_a_border_of_another_outline_makes_a_booklet_in_words_that_fit(
    name: str, border: Callable[..., bytes], printed: Callable[..., object], tmp_path: Path
) -> None:
    """Sides are called by their numbers, a strip begins and ends, an inward corner's pivot is a point."""
    data, options, told = OUTLINES[name]
    page = 'width="80in" height="80in" viewBox="0 0 80 80"'
    drawn = tmp_path / "drawn.svg"
    drawn.write_bytes(
        border(f'<svg xmlns="http://www.w3.org/2000/svg" {page}><path id="edge" d="{data}"/></svg>', *options.split())
    )
    booklet = printed(drawn, "--parts", "first,chart,steps")
    text = " ".join(booklet.text.split())
    for words in told:
        assert words in text
    for words in ("from dot 0 straight to dot 0", "From dot 0 straight to dot 0", ", ,", ": ."):
        assert words not in text
