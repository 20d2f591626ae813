"""What a drawn border remembers: the recipe, and a fingerprint of each section's lines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest

from extension.options import BORDER_OPTIONS
from extension.record import fingerprint
from geometry.plane import Affine, Point
from geometry.sections import Section

if TYPE_CHECKING:
    from collections.abc import Callable

EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
SEAM = '<rect id="seam" x="9" y="12" width="30" height="18"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="60in" viewBox="0 0 60 60">{EDGE}{SEAM}</svg>'
SIDE = ["side", "length_in", "count", "repeat_in", "angle_deg", "difference_pct", "fit", "eased"]
ASKED = [
    (),
    ("--width", "5 3/8", "--number", "odd", "--together", "false"),
    ("--size", "repeat", "--repeat", "5", "--fit", "ease", "--last", "1"),
    ("--angle", "50", "--fit", "ease"),
    ("--size", "count", "--across", "7", "--down", "3", "--corner", "square"),
    ("--unit", "mm", "--width", "101.6", "--binding", "10", "--spacing", "25.4", "--repeat", "6in"),
    ("--echo", "2", "--step", "3/16", "--under", "true", "--fill", "wedges", "--spacing", "0.8"),
]


@pytest.mark.parametrize("options", ASKED, ids=" ".join)
def test_the_recipe_holds_the_values_used_and_what_was_fitted(
    options: tuple[str, ...], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Every option, and for each side the promised keys, which add up to its length."""
    recipe = read(border(DOC, *options)).recipe
    assert set(recipe) == {*(option.name for option in BORDER_OPTIONS), "edge_in"}
    assert [side["side"] for side in recipe["sides"]] == ["top", "right", "bottom", "left"]
    inch = {"in": 1, "mm": 25.4}[recipe["unit"]]
    height = (recipe["width"] - recipe["binding"]) / inch
    for side, edge in zip(recipe["sides"], (40, 30, 40, 30), strict=True):
        assert list(side) == SIDE
        assert list(side["eased"]) == ["each", "repeat_in", "difference_pct"]
        assert side["length_in"] == pytest.approx(edge - 2 * recipe["width"] / inch, abs=1e-6)
        each, eased = side["eased"]["each"], side["eased"]["repeat_in"]
        assert (side["count"] - 2 * each) * side["repeat_in"] + 2 * each * eased == pytest.approx(
            side["length_in"], abs=1e-6
        )
        assert (each > 0) == (side["fit"] == "ease")
        assert side["angle_deg"] == pytest.approx(math.degrees(math.atan(2 * height / side["repeat_in"])), abs=1e-6)
        asked = {
            "angle": 2 * height / math.tan(math.radians(recipe["angle"])),
            "repeat": recipe["repeat"] / inch,
            "count": side["length_in"] / recipe["across" if side["side"] in {"top", "bottom"} else "down"],
        }[recipe["size"]]
        assert side["difference_pct"] == pytest.approx(100 * (side["repeat_in"] / asked - 1), abs=1e-6)
        assert side["eased"]["difference_pct"] == pytest.approx(100 * (eased / asked - 1), abs=1e-6)
        if side["fit"] == "ease":
            assert side["difference_pct"] == pytest.approx(0, abs=1e-9)
            assert abs(side["eased"]["difference_pct"]) <= 15 + 1e-9
        else:
            assert side["repeat_in"] == pytest.approx(side["length_in"] / side["count"], abs=1e-9)


def test_the_recipe_holds_the_spacings_of_matched_fills(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Which sections, the spacing asked of their fill instead, and how far off they still are."""
    drawn = read(border(DOC, "--fill", "chevrons", "--outerfill", "crosshatch", "--spacing", "0.4", "--match", "true"))
    (match,) = drawn.recipe["matched"]
    assert match["base"] == "outer"
    assert abs(match["difference_pct"]) <= 5
    used = {
        float(part.get("{urn:cornerwise}spacing-in"))
        for part in drawn.parts("section")
        if part.get("{urn:cornerwise}base") == "outer"
    }
    assert all(0.7 <= spacing / match["spacing_in"] <= 1.05 for spacing in used)
    assert match["spacing_in"] > 1.5 * 0.4


@pytest.mark.parametrize("ids", [("edge",), ("edge", "seam")])
@pytest.mark.parametrize("options", ASKED, ids=" ".join)
def test_the_recipe_is_enough_to_draw_the_same_border_again(
    options: tuple[str, ...], ids: tuple[str, ...], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Its values, given as options, give the same file."""
    first = border(DOC, *options, ids=ids)
    recipe = read(first).recipe
    words = {True: "true", False: "false"}
    given = [
        f"--{o.name}={words.get(recipe[o.name], recipe[o.name]) if o.kind == 'yesno' else recipe[o.name]}"
        for o in BORDER_OPTIONS
        if o.name != "sides"  # what was fitted stands there
    ]
    assert border(DOC, *given, ids=ids) == first


TRIANGLE = Section("top-in-1", "top", 1, "inner", (Point(0, 4), Point(8, 4), Point(4, 0)), "left")
LINES = ((Point(1, 4), Point(4, 1), Point(7, 4)), (Point(3, 4), Point(4, 3), Point(5, 4)))


def _moved(place: Affine) -> str:
    section = Section("top-in-1", "top", 1, "inner", place.line(TRIANGLE.corners), "left")
    return fingerprint([place.line(line) for line in LINES], section)


def _near(one: str, other: str) -> bool:
    """Whoever compares allows for rounding of a thousandth."""
    return all(abs(float(a) - float(b)) < 0.002 for a, b in zip(one.split(), other.split(), strict=True))


@pytest.mark.parametrize("degrees", [0, 33, 90, 180, 271])
def test_moving_or_turning_the_whole_border_leaves_the_fingerprint(degrees: float) -> None:
    """It is measured from the section's own base."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    assert _near(_moved(Affine(cos, sin, -sin, cos, 17, -3)), fingerprint(LINES, TRIANGLE))


@pytest.mark.parametrize(
    "lines",
    [
        LINES[:1],
        (*LINES, (Point(4, 2), Point(4, 1))),
        ((Point(1, 4), Point(4, 1.01), Point(7, 4)), LINES[1]),
        ((Point(1.01, 4), Point(4, 1), Point(7, 4)), LINES[1]),
        ((LINES[0][0], Point(2.5, 2.5), *LINES[0][1:]), LINES[1]),
        ((), LINES[1]),
        (),
    ],
    ids=[
        "a line gone",
        "a line more",
        "a node lifted",
        "a node pushed",
        "a node more",
        "a line emptied",
        "nothing left",
    ],
)
def test_a_change_by_hand_changes_the_fingerprint(lines: tuple[tuple[Point, ...], ...]) -> None:
    """A hundredth of an inch, a node or a line."""
    assert fingerprint(lines, TRIANGLE) != fingerprint(LINES, TRIANGLE)
