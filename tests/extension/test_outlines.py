"""Any straight-sided edge in a document: drawn, read back, drawn again in place; what cannot be is refused in a sentence."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable

CW = "{urn:cornerwise}"
PAGE = 'width="100in" height="100in" viewBox="0 0 100 100"'
ELL = "M 5,5 35,5 35,45 75,45 75,75 5,75 Z"
HEXAGON = "M 25,8.3 65,8.3 85,42.9 65,77.6 25,77.6 5,42.9 Z"
UNEVEN = "M 5,7 65,5 69,75 8,73 Z"


def document(*bodies: str) -> str:
    """A page of inches with some shapes."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {PAGE}>{"".join(bodies)}</svg>'


def path(data: str, name: str = "edge", more: str = "") -> str:
    """One path."""
    return f'<path id="{name}" d="{data}" {more}/>'


@pytest.mark.parametrize(("data", "names"), [(ELL, "123456"), (HEXAGON, "123456"), ("M 5,5 75,5 40,60 Z", "123")])
def test_sides_are_numbered_clockwise_from_the_uppermost(
    data: str, names: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Whichever corner the path begins with; and the recipe holds what was fitted, half triangles as such."""
    recipe = read(border(document(path(data)), "--number", "even")).recipe
    assert [side["side"] for side in recipe["sides"]] == list(names)
    for side in recipe["sides"]:
        each, eased = side["eased"]["each"], side["eased"]["repeat_in"]
        total = (side["count"] - 2 * each) * side["repeat_in"] + 2 * each * eased
        assert total == pytest.approx(side["length_in"], abs=1e-6)
        assert side["count"] % 2 in ({0} if data != ELL or side["side"] not in "23" else {0.5, 1.5})


@pytest.mark.parametrize("data", [ELL, HEXAGON, UNEVEN], ids=["L", "hexagon", "uneven"])
@pytest.mark.parametrize(
    "options",
    [
        "--fill wedges",
        "--corner large --order zigzag",
        "--kind inner --fill channels --order across",
        "--under true --echo 1",
    ],
)
def test_a_border_is_sound_and_drawn_again_the_same(
    data: str, options: str, border: Callable[..., bytes], cornerwise: Callable[..., object], tmp_path: object
) -> None:
    """The check finds nothing out of place, and a second drawing changes nothing."""
    first = border(document(path(data)), *options.split())
    assert border(first, *options.split()) == first
    found = check(first, cornerwise, tmp_path)
    assert not {one["kind"] for one in found} & {
        "beyond-stop-line", "outside-section", "broken-line", "misses-pivot", "off-seam", "no-fill",
    }, found  # fmt: skip


def check(drawn: bytes, cornerwise: Callable[..., object], folder: object) -> list[dict[str, object]]:
    """The findings of a drawing."""
    source = folder / "drawn.svg"  # type: ignore[operator]
    source.write_bytes(drawn)
    done = cornerwise("check", source, "--json")
    assert done.returncode in {0, 1}, done.stderr  # type: ignore[attr-defined]
    findings: list[dict[str, object]] = json.loads(done.stdout)["findings"]  # type: ignore[attr-defined]
    return findings


def test_a_turned_l_is_the_same_l(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """A quarter turn by a transform: the same triangles, each side one further round."""
    there = [s["count"] for s in read(border(document(path(ELL)))).recipe["sides"]]
    turned = read(border(document(path(ELL, more='transform="rotate(90 40 40)"')))).recipe["sides"]
    counts = [side["count"] for side in turned]
    assert any(counts[i:] + counts[:i] == there for i in range(6))


@pytest.mark.parametrize("sides", ["top", "bottom, top", "left top"])
def test_only_the_sides_asked_for_have_a_border(
    sides: str, border: Callable[..., bytes], read: Callable[..., object], cornerwise: Callable[..., object],
    tmp_path: object,
) -> None:  # fmt: skip
    """Their strips run to the edge; the drawing is read back and drawn again the same."""
    options = ("--sides", sides, "--width", "5,4,6,4.5")
    first = border(document(path(UNEVEN)), *options)
    drawn = read(first)
    assert {part.get(f"{CW}side") for part in drawn.parts("side")} == set(sides.replace(",", " ").split())
    assert border(first, *options) == first
    source = tmp_path / "drawn.svg"  # type: ignore[operator]
    source.write_bytes(first)
    told = json.loads(cornerwise("check", source, "--json").stdout)  # type: ignore[attr-defined]
    assert told["findings"] == []
    assert told["totals"]["runs"] == (2 if sides == "bottom, top" else 1)


def test_several_edges_make_several_borders_redrawn_singly(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Each has a layer and a recipe; drawing one again leaves the other as it is."""
    two = document(path("M 5,5 45,5 45,40 5,40 Z", "one"), path("M 50,50 95,50 95,95 50,95 Z", "two"))
    both = border(two, "--width", "4", ids=("one", "two"))
    layers = [part for part in read(both).root.iter() if part.get(f"{CW}part") == "border"]
    assert [layer.get(f"{CW}edge") for layer in layers] == ["one", "two"]
    again = border(both, "--width", "4", ids=("two",))
    assert etree.canonicalize(again.decode()) == etree.canonicalize(both.decode())
    wider = border(both, "--width", "5", ids=("two",))
    recipes = {
        layer.get(f"{CW}edge"): json.loads(layer.get(f"{CW}recipe"))["width"]
        for layer in read(wider).root.iter() if layer.get(f"{CW}part") == "border"
    }  # fmt: skip
    assert recipes == {"one": 4, "two": 5}


def test_three_nested_shapes_make_an_outer_and_an_inner_border(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """The middle one is the border seam of the outer and the edge of the inner, which touches both seams."""
    shapes = [
        path(f"M {a},{a} {95 - a},{a} {95 - a},{90 - a} {a},{90 - a} Z", name)
        for a, name in ((5, "a"), (10, "b"), (14, "c"))
    ]
    drawn = read(border(document(*shapes), ids=("c", "a", "b")))
    kinds = {
        layer.get(f"{CW}edge"): json.loads(layer.get(f"{CW}recipe")) for layer in drawn.root.iter() if layer.get(f"{CW}part") == "border"
    }  # fmt: skip
    assert {name: (recipe["kind"], recipe["seam"]) for name, recipe in kinds.items()} == {
        "a": ("outer", "b"), "b": ("inner", "c"),
    }  # fmt: skip


def test_nested_polygons_of_different_gaps_give_the_widths(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Each side by itself, on an L as on a rectangle."""
    seam = "M 8,9 31,9 31,50 70,50 70,71 8,71 Z"
    recipe = read(border(document(path(ELL), path(seam, "seam")), ids=("seam", "edge"))).recipe
    assert recipe["widths_in"] == pytest.approx([4, 4, 5, 5, 4, 3])


def test_measured_sides_are_the_edge(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """The outline has those lengths, is drawn as a guide, and what cannot be eased in is told."""
    options = ("--measured", "60 1/2, 72, 60, 71 3/4")
    first = border(document('<rect id="edge" x="5" y="5" width="60" height="72"/>'), *options)
    drawn = read(first)
    corners = drawn.recipe["edge_in"]
    lengths = [math.dist(corners[i], corners[(i + 1) % 4]) for i in range(4)]
    assert lengths == pytest.approx([60.5, 72, 60, 71.75], abs=1e-6)
    assert len(drawn.parts("trimmed-edge")) == 1
    assert "Top and bottom differ by 1/2 in" in "".join(drawn.layer("notes").itertext())
    assert border(first, *options) == first


REFUSED = {
    "self-crossing": (path("M 5,5 75,5 20,60 60,60 Z"), (), "crosses itself"),
    "more than twelve sides": (
        path("M 30,5 50,5 60,8 68,15 74,25 76,38 74,50 68,60 58,67 44,70 30,68 18,60 8,45 Z"), (), "13 sides",
    ),
    "curved": (path("M 5,5 75,5 C 80,30 80,50 75,75 L 5,75 Z"), (), "Make selected segments lines"),
    "square at an inward corner": (path(ELL), ("--corner", "square"), "the corner between sides 2 and 3"),
    "wider than an inward corner allows": (path("M 5,5 14,5 14,45 75,45 75,75 5,75 Z"), ("--width", "5"), "must be less than"),
    "a stretch too long": (
        path(UNEVEN), ("--fit", "marks", "--marks", "4, 8, 12, 40"), "without a mark, from 12 to 40",
    ),
    "measured sides that do not close": (path(UNEVEN), ("--measured", "200, 60, 60, 60"), "do not close"),
    "measured with three sides": (path(UNEVEN), ("--measured", "60, 60, 60"), "four are needed"),
    "two widths for four sides": (path(UNEVEN), ("--width", "4, 5"), "2 widths"),
    "widths of a rectangle on an L": (path(ELL), ("--width", "4,5,4,5"), "4 widths"),
    "no such side": (path(UNEVEN), ("--sides", "top, 3"), "“3”"),
    "a place on a hexagon": (path(HEXAGON), ("--sides", "top"), "1, 2, 3, 4, 5, 6"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_in_a_sentence(name: str, refusal: Callable[..., str]) -> None:
    """It says what was found and what to do."""
    body, options, told = REFUSED[name]
    said = refusal(document(body), *options)
    assert told in said
    assert "please" in said


@pytest.mark.parametrize("data", [ELL, HEXAGON, UNEVEN], ids=["L", "hexagon", "uneven"])
def test_points_to_leave_the_border_are_shown_on_any_outline(
    data: str,
    border: Callable[..., bytes],
    cornerwise: Callable[..., object],
    read: Callable[..., object],
    tmp_path: object,
) -> None:
    """Lozenges on the border seam, two at each height, level within a repeat."""
    source, target = tmp_path / "drawn.svg", tmp_path / "ordered.svg"  # type: ignore[operator]
    source.write_bytes(border(document(path(data))))
    done = cornerwise("order", source, "--leave", "18", "-o", target)
    assert done.returncode == 0, done.stderr  # type: ignore[attr-defined]
    (marks,) = read(target.read_bytes()).parts("leave")
    assert marks.get("d").upper().count("M") in {4, 6, 8}


def test_a_corner_that_is_hardly_one_is_refused_with_advice(refusal: Callable[..., str]) -> None:
    """Within five degrees of straight no border turns: the corner is named, and what to do about it."""
    said = refusal(document(path("M 5,5 40,4 75,5 75,75 5,75 Z")))
    assert "the corner between sides" in said
    assert "please" in said


OLD = {
    "rectangle": ("M 5,5 65,5 65,77 5,77 Z", ()), "uneven": (UNEVEN, ()), "L": (ELL, ()), "hexagon": (HEXAGON, ()),
    "strips": (UNEVEN, ("--sides", "top, left")), "triangle": ("M 5,5 75,5 40,60 Z", ()),
}  # fmt: skip


@pytest.mark.parametrize("name", OLD)
@pytest.mark.parametrize("tool", ["check", "order", "booklet", "border"])
def test_a_border_that_does_not_remember_its_edge_works_or_is_refused_in_a_sentence(
    name: str, tool: str, border: Callable[..., bytes], cornerwise: Callable[..., object],
    sentence: Callable[..., str], tmp_path: object,
) -> None:  # fmt: skip
    """Drawings from before outlines were remembered; drawing again from the edge always works."""
    data, options = OLD[name]
    drawn = etree.fromstring(border(document(path(data)), "--fill", "channels", *options))
    (layer,) = [part for part in drawn.iter() if part.get(f"{CW}part") == "border"]
    recipe = json.loads(layer.get(f"{CW}recipe"))
    del recipe["edge_in"]
    layer.set(f"{CW}recipe", json.dumps(recipe))
    source, out = tmp_path / "old.svg", tmp_path / "out"  # type: ignore[operator]
    source.write_bytes(etree.tostring(drawn))
    words = {
        "check": ["--json"],
        "order": ["-o", out],
        "booklet": ["-o", f"{out}.pdf"],
        "border": ["--id", "edge", *options],
    }
    done = cornerwise(tool, source, *words[tool])
    if name in {"rectangle", "uneven"} or tool == "border":
        assert done.returncode == 0, done.stderr  # type: ignore[attr-defined]
    else:
        assert "please draw the border again" in sentence(done)
