"""However lines are written, they are read as they lie: curves, transforms, relative commands, clones, several subpaths."""

from __future__ import annotations

import copy
import math
import re
from typing import TYPE_CHECKING, Any

import pytest
from inkex import Path as PathData
from inkex import Transform
from lxml import etree

from extension.findings import FINDINGS
from geometry.inspection.drawn import HAIR

if TYPE_CHECKING:
    from collections.abc import Callable

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
XLINK = "{http://www.w3.org/1999/xlink}"
FILLS = ("diamonds", "fans", "beadboard", "meander")


def _fills(sheet: Any) -> list[etree._Element]:
    return sheet.parts("fill")


def _relative(sheet: Any) -> None:
    """All commands relative, three digits fewer."""
    for path in [*_fills(sheet), *sheet.parts("side"), *sheet.parts("corner-line")]:
        path.set("d", re.sub(r"(\.\d{5})\d+", r"\1", str(PathData(path.get("d")).to_relative())))


def _as_curves(sheet: Any) -> None:
    """Every straight piece a Bézier, as after a simplification."""
    for path in [*_fills(sheet), *sheet.parts("side"), *sheet.parts("corner-line")]:
        path.set("d", str(PathData(path.get("d")).to_superpath().to_path(curves_only=True)))


def _moved_and_back(sheet: Any) -> None:
    """Each path turned and scaled, its nodes written so that it lies where it lay; groups moved too."""
    for number, path in enumerate(_fills(sheet)):
        place = Transform(f"translate({number},3) rotate({10 * number}) scale(1.5,{0.5 + number % 2})")
        path.set("d", str(PathData(path.get("d")).transform(-place)))
        path.set("transform", str(place))
    for group in sheet.parts("side-fills"):
        group.set("transform", "translate(2,1)")
        for inner in group:
            inner.set("transform", "translate(-2,-1)")


def _short_commands(sheet: Any) -> None:
    """Horizontal and vertical commands, line commands left out, no needless space."""
    for path in [*_fills(sheet), *sheet.parts("side")]:
        words, x, y = [], None, None
        for letter, points in sheet.read(path):
            spots = [sheet.out(point) for point in points]
            if letter == "L" and abs(spots[0][0] - x) < 1e-9:
                words.append(f"V{spots[0][1]:.9f}")
            elif letter == "L" and abs(spots[0][1] - y) < 1e-9:
                words.append(f"H{spots[0][0]:.9f}")
            elif letter == "L" and words[-1][0] in "ML":
                words.append("L" * (words[-1][0] == "L") + f"{spots[0][0]:.9f}  {spots[0][1]:+.9f}")
            else:
                words.append(letter + ",".join(f"{a:.9f} {b:.9f}" for a, b in spots))
            x, y = spots[-1] if spots else (x, y)
            if letter == "M":
                start = (x, y)
            if letter == "Z":
                x, y = start
        path.set("d", "".join(" " * (word[0] in "+-0123456789") + word for word in words))


def _one_path_for_each_side(sheet: Any) -> None:
    """All fills of a side combined into one path, their groups empty or gone."""
    for side in sheet.parts("side-fills"):
        paths = [path for path in side.iter(f"{SVG}path") if path.get(f"{CW}part") == "fill"]
        whole = etree.SubElement(side, f"{SVG}path", d=" ".join(path.get("d") for path in paths))
        whole.set("style", paths[0].get("style"))
        for path in paths:
            path.getparent().remove(path)


def _broken_apart(sheet: Any) -> None:
    """A path for each subpath."""
    for path in _fills(sheet):
        for part in PathData(path.get("d")).break_apart():
            one = etree.SubElement(path.getparent(), f"{SVG}path", d=str(part), style=path.get("style"))
            one.tail = None
        path.getparent().remove(path)


def _ungrouped(sheet: Any) -> None:
    """Sections without groups, hence without anything that is written down of them but their fills' sides."""
    for group in sheet.parts("section"):
        if group.get(f"{CW}section").startswith("top-in"):
            for child in list(group):
                group.getparent().append(child)
            group.getparent().remove(group)


def _cloned(sheet: Any) -> None:
    """The lines lie elsewhere, unseen; each section holds a clone, moved by x and y and by a transform."""
    store = etree.SubElement(sheet.root, f"{SVG}defs")
    for number, path in enumerate(_fills(sheet)):
        clone = etree.SubElement(path.getparent(), f"{SVG}use", x="3", y="-4", transform="translate(-2,5)")
        clone.set(f"{XLINK}href", f"#line{number}")
        path.set("id", f"line{number}")
        path.set("transform", "translate(-1,-1)")
        store.append(path)


def _pieces_and_shapes(sheet: Any) -> None:
    """Straight subpaths as lines and polylines."""
    for path in _fills(sheet):
        for steps in _subpaths(sheet.read(path)):
            if any(step.letter == "C" for step in steps):
                return
            spots = [sheet.out(step.points[0]) for step in steps if step.points]
            tag = "polygon" if steps[-1].letter == "Z" else "polyline"
            shape = etree.SubElement(path.getparent(), f"{SVG}{tag}", style=path.get("style"))
            shape.set("points", " ".join(f"{x:.9f} {y:.9f}" for x, y in spots))
        path.getparent().remove(path)


def _subpaths(steps: list[Any]) -> list[list[Any]]:
    found: list[list[Any]] = []
    for step in steps:
        if step.letter == "M":
            found.append([])
        found[-1].append(step)
    return found


WAYS = (
    _relative, _as_curves, _moved_and_back, _short_commands, _one_path_for_each_side, _broken_apart, _ungrouped, _cloned,
    _pieces_and_shapes,
)  # fmt: skip


def _harm(sheet: Any) -> None:
    """A fill taken out and another dragged over the stop line."""
    sheet.clear("bottom-in-2")
    node = min(sheet.nodes("top-out-2"), key=lambda spot: spot[1])
    sheet.drag("top-out-2", node, (node[0], 0.375 - 0.3))


@pytest.mark.parametrize("way", WAYS, ids=[way.__name__.strip("_") for way in WAYS])
@pytest.mark.parametrize("fill", FILLS)
def test_the_same_lines_written_otherwise_give_the_same_findings(
    fill: str, way: Callable[[Any], None], sheet: Callable[..., Any]
) -> None:
    """None where there were none; the same, at the same places, where there were some."""
    clean, harmed, other = (sheet("in inches", fill=fill) for _ in range(3))
    way(clean)
    assert clean.found() == []
    _harm(harmed)
    _harm(other)
    way(other)
    one, two = harmed.found(), other.found()
    assert len(one) == 2
    assert [found["kind"] for found in one] == [found["kind"] for found in two]
    for before, after in zip(one, two, strict=True):
        # a line in no group belongs to the section that most of it lies in
        assert after["section"] == before["section"] or way is _one_path_for_each_side
        assert after["at_in"] == pytest.approx(before["at_in"], abs=0.005)
        assert after["amount_in"] == pytest.approx(before["amount_in"], abs=0.005)


@pytest.mark.parametrize("over", [0.9, 1.1])
@pytest.mark.parametrize(("name", "step"), [("top-out-2", (0, -1)), ("left-in-2", (1, 0))])
def test_a_line_may_overshoot_by_a_hair(
    name: str, step: tuple[int, int], over: float, sheet: Callable[..., Any]
) -> None:
    """Nine tenths of it are let off, eleven are told: beyond the stop line, and over the seam."""
    drawn = sheet("in inches", fill="chevrons")
    node = max(drawn.nodes(name), key=lambda spot: spot[0] * step[0] + spot[1] * step[1])
    drawn.drag(name, node, (node[0] + over * HAIR * step[0], node[1] + over * HAIR * step[1]))
    assert len(drawn.found()) == (0 if over < 1 else 1)


@pytest.mark.parametrize("over", [0.9, 1.1])
def test_a_dot_may_lie_off_its_seam_by_a_hair(over: float, sheet: Callable[..., Any]) -> None:
    """The same of the zigzag."""
    drawn = sheet("in inches", fill="echoes")
    dot = drawn.read(drawn.side("top"))[2].points[0]
    drawn.move(drawn.side("top"), dot, (dot[0], dot[1] + over * HAIR))
    assert [found["kind"] for found in drawn.found()] == ([] if over < 1 else ["off-seam"])


def test_lines_on_top_of_one_another_are_one(sheet: Callable[..., Any]) -> None:
    """A fill duplicated in place, and a zigzag, are no knots and no more stitching."""
    drawn = sheet("in inches", fill="crosshatch")
    for element in (*drawn.section("top-in-2"), drawn.side("left"), *drawn.section("right-out-2")):
        element.getparent().append(copy.deepcopy(element))
    assert drawn.found() == []


def test_a_zigzag_that_was_cut_or_turned_round_is_whole(sheet: Callable[..., Any]) -> None:
    """Cut at a node into two paths, into two subpaths, or drawn from its end."""
    drawn = sheet("in inches", fill="fans")
    for side, way in (("top", "paths"), ("right", "subpaths"), ("bottom", "turned")):
        path = drawn.side(side)
        spots = [step.points[0] for step in drawn.read(path)]
        step = type(drawn.read(path)[0])
        if way == "turned":
            drawn.write(path, [step("ML"[i > 0], (spot,)) for i, spot in enumerate(spots[::-1])])
            continue
        first, second = ([step("ML"[i > 0], (spot,)) for i, spot in enumerate(part)] for part in (spots[:5], spots[4:]))
        if way == "paths":
            other = copy.deepcopy(path)
            path.getparent().append(other)
            drawn.write(path, first)
            drawn.write(other, second)
        else:
            drawn.write(path, first + second)
    assert drawn.found() == []


def test_a_fill_moved_far_out_of_its_section_is_told(sheet: Callable[..., Any]) -> None:
    """Into the centre, off the quilt, and as a line in the strip that the binding will cover."""
    drawn = sheet("in inches", fill="echoes")
    drawn.section("top-in-2")[0].set("transform", "translate(0,12)")
    assert [(one["kind"], one["section"]) for one in drawn.found()] == [("outside-section", "top-in-2")]
    drawn.section("top-in-2")[0].set("transform", "translate(0,-30)")
    assert [(one["kind"], one["section"]) for one in drawn.found()] == [("beyond-stop-line", "top-in-2")]
    drawn = sheet("in inches", fill="echoes")
    strip = drawn.draw("top-out-2", [(17, 0.15), (19, 0.15)])
    drawn.parts("fills")[0].append(strip)
    (found,) = drawn.found()
    assert (found["kind"], found["section"]) == ("beyond-stop-line", "top-out-2")
    assert found["amount_in"] == pytest.approx(0.225, abs=0.001)


def test_a_dot_on_the_wrong_line_and_lines_taken_out_of_the_zigzag_are_told(sheet: Callable[..., Any]) -> None:
    """A dot dragged to the stop line, a triangle's two nodes deleted, a corner line deleted."""
    drawn = sheet("in inches", fill="echoes")
    path = drawn.side("top")
    dot = drawn.read(path)[4].points[0]
    drawn.move(path, dot, (dot[0], 0.375))
    (found,) = drawn.found()
    assert (found["kind"], found["section"], found["at_in"]) == ("off-seam", "top", pytest.approx(list(dot)))
    assert found["amount_in"] == pytest.approx(3.625)

    drawn = sheet("in inches", fill="echoes")
    steps = drawn.read(drawn.side("top"))
    drawn.write(drawn.side("top"), steps[:3] + steps[5:])
    found = drawn.found()
    assert [one["kind"] for one in found] == ["off-seam"] * 2
    assert [one["at_in"] for one in found] == [pytest.approx(list(step.points[0])) for step in (steps[3], steps[4])]

    drawn = sheet("in inches", fill="echoes")
    line = drawn.parts("corner-line")[1]
    outer = drawn.read(line)[1].points[0]
    line.getparent().remove(line)
    (found,) = drawn.found()
    assert (found["kind"], found["section"], found["at_in"]) == ("off-seam", "right", pytest.approx(list(outer)))


def test_findings_of_a_check_before_are_not_read_as_lines(sheet: Callable[..., Any]) -> None:
    """Whatever lies on their layer."""
    drawn = sheet("in inches", fill="echoes")
    layer = etree.SubElement(drawn.parts("border")[0], f"{SVG}g")
    layer.set(f"{CW}part", FINDINGS)
    etree.SubElement(layer, f"{SVG}path", d="M 10,2 L 12,40", style="fill:none;stroke:#ff0000")
    assert drawn.found() == []


def test_arcs_are_read(sheet: Callable[..., Any]) -> None:
    """A round of two arcs for a fill: the circle in it is open."""
    drawn = sheet("in inches", fill="echoes")
    drawn.clear("top-in-2")
    path = etree.SubElement(drawn.section("top-in-2"), f"{SVG}path", style="fill:none;stroke:#123456")
    # on the border seam, with the flags written without space
    path.set("d", "M14.5,4a1.2,1.2 0 010-2.4 1.2,1.2 0 010,2.4z")
    (found,) = drawn.found()
    assert (found["kind"], found["at_in"]) == ("too-open", pytest.approx([14.5, 2.8], abs=0.02))
    assert found["amount_in"] == pytest.approx(2.4, rel=0.02)


@pytest.mark.parametrize(("scale", "kinds"), [(1.0, set()), (2.0, set()), (0.5, {"beyond-stop-line"})])
def test_a_border_scaled_by_hand_keeps_its_stop_line_but_not_its_room(
    scale: float, kinds: set[str], sheet: Callable[..., Any]
) -> None:
    """Larger, its points are farther from the edge than they must be; smaller, the binding comes over them."""
    drawn = sheet("in inches", fill="echoes")
    for element in (drawn.parts("border")[0], next(iter(drawn.root.iter(f"{SVG}rect")))):
        element.set("transform", f"scale({scale})")
    found = drawn.found()
    assert {one["kind"] for one in found} == kinds
    # of corner lines the way to the corner of the room
    short = (1 - scale) * 0.375
    assert all(min(abs(one["amount_in"] - short * far) for far in (1, math.sqrt(2))) < 0.004 for one in found)
