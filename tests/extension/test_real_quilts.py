"""What the notes and `fit` tell of real quilts: measured sides, other numbers and widths, sizes after quilting; and the picture."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PAGE = 'width="120in" height="120in" viewBox="0 0 120 120"'
CW = "{urn:cornerwise}"


def document(data: str = "M 5,5 65,5 65,77 5,77 Z") -> str:
    """A page of inches with one edge."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {PAGE}><path id="edge" d="{data}"/></svg>'


@pytest.fixture
def notes(border: Callable[..., bytes], read: Callable[..., object]) -> Callable[..., str]:
    """Draw, and read the notes as one text."""

    def told(page: str, *options: object) -> str:
        return " ".join("".join(read(border(page, *options)).layer("notes").itertext()).split())  # type: ignore[attr-defined]

    return told


@pytest.mark.parametrize(
    ("measured", "told"),
    [
        ("60, 72, 60, 72", None),
        ("60 1/4, 72, 60, 72", None),
        ("60, 72 1/4, 60, 72", None),
        ("60 3/8, 72, 60, 72", "Top and bottom differ by 3/8 in"),
        ("60, 71 1/2, 60, 72", "Left and right differ by 1/2 in"),
        ("30 1/4, 36, 30, 36", "Top and bottom differ by 1/4 in"),
    ],
)
def test_opposite_sides_that_differ_by_more_than_a_quarter_inch_on_sixty_are_told(
    measured: str, told: str | None, notes: Callable[..., str]
) -> None:
    """About 1/4 in on 60 in can be eased in ("Border for on-point quilts", patchworktimes.com)."""
    found = notes(document(), "--measured", measured, "--fill", "none")
    assert ("can be eased in" in found) == (told is not None)
    assert told is None or told in found


OUTLINES = {
    "rectangle": ("M 5,5 65,5 65,77 5,77 Z", ("Top and bottom", "Right and left")),
    "hexagon": ("M 25,8.3 65,8.3 85,42.941 65,77.582 25,77.582 5,42.941 Z", ("All sides",)),
    "L": ("M 5,5 35,5 35,45 75,45 75,77 5,77 Z", ("Side 1", "Side 6")),
}


@pytest.mark.parametrize("name", OUTLINES)
def test_other_numbers_of_triangles_are_a_small_table_in_the_notes(
    name: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """At most five rows, best first, the one that is drawn named, with the numbers that were fitted."""
    data, heads = OUTLINES[name]
    drawing = read(border(document(data), "--fill", "none"))
    columns = [
        ["".join(line.itertext()) for line in text] or ["".join(text.itertext())]
        for text in drawing.parts("alternatives")  # type: ignore[attr-defined]
    ]
    words = " ".join(cell for column in columns for cell in column)
    assert "Numbers of triangles that come near" in words
    assert words.count("drawn") == 1
    first = next(column for column in columns if "drawn" in column)
    assert 2 <= len(first) <= 6
    row = first.index("drawn")
    if name != "L":
        for head in heads:
            assert head in words
    counts = {side["side"]: side["count"] for side in drawing.recipe["sides"]}  # type: ignore[attr-defined]
    if name == "rectangle":
        shown = {column[0]: column[row] for column in columns if column[0] in heads}
        assert shown["Top and bottom"].startswith(f"{counts['top']} of ")
        assert shown["Right and left"].startswith(f"{counts['left']} of ")


@pytest.mark.parametrize(
    ("wide", "high", "width"), [(60, 72, 4.0), (51, 63, 4.0), (80, 96, 5.5), (44, 44, 3.0), (63.5, 63.5, 4.0)]
)
def test_the_width_at_which_the_angle_fits_is_told_to_an_eighth_within_half_an_inch(
    wide: float, high: float, width: float, notes: Callable[..., str]
) -> None:
    """At 45 degrees triangles are twice as long as high: tried here at every eighth, and exactly in fine steps."""
    page = document(f"M 5,5 {5 + wide},5 {5 + wide},{5 + high} 5,{5 + high} Z")
    found = notes(page, "--width", width, "--fill", "none", "--together", "false")

    def missed(at: float) -> float:
        return max(
            abs((side - 2 * at) - round((side - 2 * at) / (2 * (at - 0.375))) * 2 * (at - 0.375))
            for side in (wide, high)
        )

    told = re.search(r"A border ([\d /]+) in wide(?: \(exactly ([\d.]+) in\))? would fit 45° exactly", found)
    near = [width + step / 1000 for step in range(-500, 501) if missed(width + step / 1000) <= 1 / 8 - 1e-3]
    if told is None:
        # the width as it is fits already, or the nearest that fits is this eighth, or there is none
        assert missed(width) <= 1 / 8 or not near or min(abs(at - width) for at in near) < 1 / 16
        return
    whole, _, rest = told[1].partition(" ")
    named = float(whole) + (float(rest.split("/")[0]) / float(rest.split("/")[1]) if rest else 0)
    assert named * 8 == round(named * 8)
    assert abs(named - width) <= 0.5
    exactly = float(told[2]) if told[2] else named
    assert abs(exactly - named) <= 1 / 16 + 1e-3
    assert missed(exactly) <= 1 / 8 + 5e-3


def test_shrinkage_is_told_and_not_drawn(
    border: Callable[..., bytes], read: Callable[..., object], notes: Callable[..., str]
) -> None:
    """5 %: 60 x 72 in become 57 x 68.4, a border of 4 in 3.8; the drawing is the same as without."""
    found = notes(document(), "--shrink", "5", "--size", "repeat", "--repeat", "8")
    assert "after it, 5 % smaller" in found
    assert re.search(r"quilt about 57 × 68 (3/8|7/16|1/2) in", found)
    assert "border about 3 13/16 in wide" in found
    with_it, without = (read(border(document(), *options)) for options in (("--shrink", "5"), ()))
    assert with_it.sides() == without.sides()  # type: ignore[attr-defined]
    assert "smaller: quilt" not in notes(document())


@pytest.mark.parametrize("shrink", ["-1", "100", "abc"])
def test_shrinkage_that_cannot_be_is_refused(shrink: str, refusal: Callable[..., str]) -> None:
    """One sentence."""
    assert "please" in refusal(document(), "--shrink", shrink)


@pytest.mark.parametrize("sides", ["52,64", "40,40,40", "75,39,60,71.5", "30"])
def test_the_picture_shows_the_best_five_to_one_scale(
    sides: str, tmp_path: Path, cornerwise: Callable[..., object]
) -> None:
    """At most five strips, one above the other, each with its caption; nothing outside the page."""
    picture = tmp_path / "best.svg"
    done = cornerwise("fit", "--sides", sides, "--height", "3.625", "--picture", picture)
    assert done.returncode == 0, done.stderr  # type: ignore[attr-defined]
    root = etree.parse(picture).getroot()
    words = ["".join(text.itertext()).strip() for text in root.iter("{http://www.w3.org/2000/svg}text")]
    numbered = [word for word in words if re.fullmatch(r"[1-9]\.", word)]
    assert 1 <= len(numbered) <= 5
    assert any("triangles" in word for word in words)
    left, top, wide, high = map(float, root.get("viewBox").split())
    for shape in root.iter("{http://www.w3.org/2000/svg}path"):
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", shape.get("d"))]
        assert all(math.isfinite(number) for number in numbers)
    assert wide > 0
    assert high > 0
    assert left <= 0
    assert top <= 0


def test_no_width_is_taken_for_none(refusal: Callable[..., str]) -> None:
    """An empty list of widths is no width."""
    assert "please" in refusal(document(), "--width", "")


@pytest.mark.parametrize("sides", ["none", "5", "top,top,middle"])
def test_sides_that_are_not_there_are_refused(sides: str, refusal: Callable[..., str]) -> None:
    """The sentence lists what the sides are called."""
    said = refusal(document(), "--sides", sides)
    assert "top, right, bottom, left" in said
    assert "please" in said
