"""Patchwork as a guide: guides, lines across the seam, equal sections and typed lists, each by the command."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    Spot = tuple[float, float]

PAGE = 'width="100in" height="100in" viewBox="0 0 100 100"'
NAMES = 'xmlns="http://www.w3.org/2000/svg" xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
WIDE, HIGH, LEFT, TOP = 52.0, 64.0, 9.0, 9.0
"""The border seam of the edge below at a width of 4 in: its size and its corner on the page, inches."""
MARKS = (6.0, 14.5, 21.0, 30.0, 37.5, 44.0)
"""Inches along the top from its first pivot."""


def document(*bodies: str, guides: Sequence[tuple[str, str, str]] = ()) -> str:
    """A page of inches with an edge of 60 by 72 in, some shapes and some of the editor's guides."""
    named = "".join(
        f'<sodipodi:guide id="{name}" position="{position}" orientation="{orientation}"/>'
        for name, position, orientation in guides
    )
    edge = '<rect id="edge" x="5" y="5" width="60" height="72"/>'
    return (
        f'<svg {NAMES} {PAGE}><sodipodi:namedview id="view">{named}</sodipodi:namedview>{edge}{"".join(bodies)}</svg>'
    )


def upright(marks: Sequence[float]) -> list[tuple[str, str, str]]:
    """Upright guides through marks of the top; the editor counts their heights from the page's bottom."""
    return [(f"g{i}", f"{LEFT + mark},12", "1,0") for i, mark in enumerate(marks)]


def dots(drawing: object, side: str) -> list[float]:
    """Inches from the side's first pivot to each dot on the seam."""
    line: list[Spot] = drawing.sides()[side]  # type: ignore[attr-defined]
    return [math.dist(line[0], spot) for spot in line[::2]]


def best(marks: Sequence[float], length: float, repeat: float, number: str) -> list[float]:
    """Of all choices of marks the one whose repeats depart least from the asked one, in squares; every one is tried."""
    choices = [
        (0.0, *chosen, length)
        for count in range(len(marks) + 1)
        for chosen in itertools.combinations(marks, count)
        if number == "any" or (count + 1) % 2 == (number == "odd")
    ]
    return list(min(choices, key=lambda places: sum((b - a - repeat) ** 2 for a, b in itertools.pairwise(places))))


@pytest.mark.parametrize("number", ["any", "even", "odd"])
@pytest.mark.parametrize("way", ["all guides", "guides selected", "lines", "group", "path touching", "typed"])
def test_the_dots_land_on_the_best_marks_however_they_are_given(
    way: str, number: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Guides, short lines across the seam, a group of them, a shape that only touches it, or a list."""
    ids: tuple[str, ...] = ("edge",)
    options: list[str] = ["--fit", "marks", "--number", number, "--width", "4"]
    lines = "".join(
        f'<path id="m{i}" d="M {LEFT + mark - 0.4},8 L {LEFT + mark + 0.4},10" stroke="#000"/>'
        for i, mark in enumerate(MARKS)
    )
    names = tuple(f"m{i}" for i in range(len(MARKS)))
    if way == "all guides":
        page = document(guides=upright(MARKS))
    elif way == "guides selected":
        page = document(guides=[*upright(MARKS), ("other", f"{LEFT + 33},0", "1,0")])
        ids = ("edge", *(f"g{i}" for i in range(len(MARKS))))
    elif way == "lines":
        page, ids = document(lines), ("edge", *names)
    elif way == "group":
        page, ids = document(f'<g id="patches">{lines}</g>'), ("edge", "patches")
    elif way == "path touching":
        tips = " ".join(f"M {LEFT + mark - 2},20 L {LEFT + mark},{TOP} {LEFT + mark + 2},20 Z" for mark in MARKS)
        page, ids = document(f'<path id="stars" d="{tips}"/>'), ("edge", "stars")
    else:
        page = document()
        options += ["--marks", f"{', '.join(map(str, MARKS))};;;"]
    drawing = read(border(page, *options, ids=ids))
    wanted = best(MARKS, WIDE, 2 * 3.625, number)
    assert dots(drawing, "top") == pytest.approx(wanted, abs=1e-3)
    notes = "".join(drawing.layer("notes").itertext())  # type: ignore[attr-defined]
    assert "Marks: " in notes
    # a side without marks is fitted evenly, and that is said
    assert len({round(b - a, 3) for a, b in itertools.pairwise(dots(drawing, "right"))}) <= 2
    assert "without marks" in notes


def test_a_horizontal_guide_marks_left_and_right(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """Its height counts from the page's bottom; both sides get a dot at it, one up and one down."""
    guides = [
        (f"g{i}", f"3,{100 - TOP - mark}", "0,1")
        for i, mark in enumerate((7.0, 14.0, 22.0, 30.0, 37.0, 44.0, 51.0, 58.0))
    ]
    drawing = read(border(document(guides=guides), "--fit", "marks", "--width", "4"))
    right = dots(drawing, "right")
    assert right == pytest.approx(best((7, 14, 22, 30, 37, 44, 51, 58), HIGH, 7.25, "any"), abs=1e-3)
    assert sorted(HIGH - mark for mark in dots(drawing, "left")) == pytest.approx(right, abs=1e-3)


@pytest.mark.parametrize(("every", "offset"), [(2, 0), (2, 1), (2.5, 0.5), (13, 0)])
def test_equal_sections_as_on_a_line_stencil(
    every: float, offset: float, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Every dot but the pivots lies a whole number of sections after the start."""
    repeat = 6.0 if every < 10 else 12.0
    drawing = read(
        border(
            document(), "--fit", "marks", "--every", every, "--offset", offset, "--size", "repeat", "--repeat", repeat,
            "--width", "4",
        )
    )  # fmt: skip
    for side, length in (("top", WIDE), ("right", HIGH)):
        found = dots(drawing, side)
        assert found[0] == 0
        assert found[-1] == pytest.approx(length, abs=1e-3)
        for place in found[1:-1]:
            assert (place - offset) / every == pytest.approx(round((place - offset) / every), abs=1e-3)
        marks = [offset + i * every for i in range(100) if 0 < offset + i * every < length - 1e-9]
        wanted = sum((b - a - repeat) ** 2 for a, b in itertools.pairwise(found))
        # the dots may not be shifted by one mark anywhere for the better
        for i in range(1, len(found) - 1):
            for other in (found[i] - every, found[i] + every):
                moved = [*found[:i], other, *found[i + 1 :]]
                if any(abs(other - mark) < 1e-6 for mark in marks) and moved == sorted(moved):
                    assert sum((b - a - repeat) ** 2 for a, b in itertools.pairwise(moved)) >= wanted - 1e-6


def test_points_stand_on_marks_of_their_own_or_midway(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """A mark for a point within a quarter of a repeat of the middle is taken; the others stand midway."""
    marks = "8, 16, 24, 32, 40, 46"
    drawing = read(
        border(document(), "--fit", "marks", "--marks", f"{marks};;;", "--points", "5, 13.5, 20;;;", "--width", "4",
               "--size", "repeat", "--repeat", "8")
    )  # fmt: skip
    line: list[Spot] = drawing.sides()["top"]  # type: ignore[attr-defined]
    on_seam = [x - LEFT for x, _ in line[::2]]
    assert on_seam == pytest.approx([0, 8, 16, 24, 32, 40, 52], abs=1e-3) or 46 in [round(x) for x in on_seam]
    points = [x - LEFT for x, _ in line[1::2]]
    for number, point in enumerate(points):
        middle = (on_seam[number] + on_seam[number + 1]) / 2
        marked = next(
            (
                mark
                for mark in (5, 13.5, 20)
                if abs(mark - middle) <= 0.25 * 8 and on_seam[number] < mark < on_seam[number + 1]
            ),
            None,
        )
        assert point == pytest.approx(middle if marked is None else marked, abs=1e-3)


def test_marks_drawn_are_remembered_when_they_are_gone(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Drawn again with what the recipe holds, the border is the same."""
    first = read(border(document(guides=upright(MARKS)), "--fit", "marks", "--width", "4"))
    recipe = first.recipe  # type: ignore[attr-defined]
    again = read(border(document(), "--fit", "marks", "--width", "4", "--marks", recipe["marks"]))
    for side in ("top", "right", "bottom", "left"):
        assert dots(again, side) == pytest.approx(dots(first, side), abs=1e-3)


REFUSED = {
    "a stretch too long": ((), ("--marks", "5, 10, 30, 40, 46"), "without a mark, from 10 to 30"),
    "no marks": ((), (), "there are none on the border seam"),
    "guides that miss the seam": (((("g", "2,50", "1,0"),)), (), "none meets the border seam"),
    "a mark beyond the side": ((), ("--marks", "5, 80"), "between its pivots"),
    "not a length": ((), ("--marks", "5, five"), "five"),
    "too many lists": ((), ("--marks", "5; 6"), "2 lists of marks"),
    "too many marks": ((), ("--every", "0.1"), "it must be 400 at most"),
    "a spacing below nothing": ((), ("--every", "-2"), "less than 0"),
    "too few for the number typed": (
        (), ("--marks", "9, 18, 26, 35, 44;;;", "--size", "count", "--across", "8", "--down", "8"),
        "8 triangles on the top side need at least 7 marks",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_marks_that_cannot_be_used_are_refused_in_a_sentence(name: str, refusal: Callable[..., str]) -> None:
    """It names the side or the mark, and says what to do."""
    guides, options, told = REFUSED[name]
    said = refusal(document(guides=guides), "--fit", "marks", "--width", "4", *options)
    assert told in said
    assert "please" in said
