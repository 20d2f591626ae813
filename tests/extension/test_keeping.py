"""Hand edits survive every redraw: carried to their new triangle, or kept where she can see them."""

from __future__ import annotations

import math
import random
import re
from typing import TYPE_CHECKING, Any

import pytest
from inkex import Path as PathData
from lxml import etree

from extension.border import draw_border
from extension.document import CW, INKSCAPE, SVG, read_document, value_of
from extension.ground import borders_in
from extension.options import BORDER_OPTIONS, read_options
from extension.reading import read_border

if TYPE_CHECKING:
    from collections.abc import Callable

    from extension.document import Document

CYCLES = 1000
"""Of edits and redraws in all."""

PARTS = 8
"""Into which they are divided, so that they run side by side."""

QUILT = (
    f'<svg xmlns="{SVG}" width="20in" height="24in" viewBox="0 0 20 24">'
    '<rect id="edge" x="1" y="1" width="18" height="22"/></svg>'
).encode()

NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
COUNT = {"size": "count", "across": "2", "down": "3"}

Spot = tuple[float, float]


def _drawn(document: Document, **given: str) -> Document:
    """Draw, and read what was written."""
    options = {option.name: option.default for option in BORDER_OPTIONS}
    draw_border(document, ["edge"], read_options({**options, **given}, BORDER_OPTIONS))
    return read_document(document.to_bytes())


def _section(document: Document, name: str) -> etree._Element:
    return next(g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "section") == name)


def _sections(document: Document) -> list[etree._Element]:
    return [g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "section"]


def _layer(document: Document, part: str) -> etree._Element | None:
    return next((g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == part), None)


def _colour(path: etree._Element, colour: str) -> None:
    path.set("style", f"fill:none;stroke:{colour};stroke-width:0.07")


def _of_colour(document: Document, colour: str) -> list[etree._Element]:
    return [path for path in document.root.iter(f"{{{SVG}}}path") if f"stroke:{colour};" in path.get("style", "") + ";"]


def _corners(group: etree._Element) -> list[Spot]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in value_of(group, "corners").split())]


def _nodes(path: etree._Element) -> list[Spot]:
    """Coordinates as written, for paths of absolute M, L, C and Z only."""
    assert not re.search(r"[a-zABD-KN-Y]", path.get("d", "").replace("Z", "")), path.get("d")
    numbers = [float(text) for text in NUMBER.findall(path.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _by_shares(spot: Spot, old: list[Spot], new: list[Spot]) -> Spot:
    """Where a point goes when a triangle becomes another, by its barycentric shares: not the way of the code under test."""
    (ax, ay), (bx, by), (cx, cy) = old
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    two = ((spot[0] - ax) * (cy - ay) - (cx - ax) * (spot[1] - ay)) / area
    three = ((bx - ax) * (spot[1] - ay) - (spot[0] - ax) * (by - ay)) / area
    shares = (1 - two - three, two, three)
    return (
        sum(share * corner[0] for share, corner in zip(shares, new, strict=True)),
        sum(share * corner[1] for share, corner in zip(shares, new, strict=True)),
    )


def _move_a_node(path: etree._Element, by: Spot, which: int = 1) -> None:
    spots = list(re.finditer(r"([-\d.]+),([-\d.]+)", path.get("d", "")))
    spot = spots[which % len(spots)]
    moved = f"{float(spot[1]) + by[0]:.7f},{float(spot[2]) + by[1]:.7f}"
    path.set("d", path.get("d", "")[: spot.start()] + moved + path.get("d", "")[spot.end() :])


def _add(group: etree._Element, colour: str, share: float = 0.3) -> etree._Element:
    """A curl drawn inside a section."""
    corners = _corners(group)
    middle = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
    one, two, three = (
        (middle[0] + share * (x - middle[0]), middle[1] + share * (y - middle[1])) for x, y in corners[:3]
    )
    path = etree.SubElement(group, f"{{{SVG}}}path")
    path.set("d", f"M {one[0]:.7f},{one[1]:.7f} C {two[0]:.7f},{two[1]:.7f} {three[0]:.7f},{three[1]:.7f} {middle[0]:.7f},{middle[1]:.7f}")  # fmt: skip
    _colour(path, colour)
    return path


def test_drawing_twice_changes_nothing_whatever_was_edited() -> None:
    """With the same options the second drawing is the first, edits and all."""
    first = _drawn(read_document(QUILT), **COUNT)
    _move_a_node(_section(first, "top-in-1")[0], (0.2, 0.1))
    _section(first, "left-in-2").clear(keep_tail=True)
    _add(_section(first, "right-out-1"), "#aa0001")
    second = _drawn(first, **COUNT)
    assert _drawn(read_document(second.to_bytes()), **COUNT).to_bytes() == second.to_bytes()


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", ["diamonds", "fans", "channels"])
def test_edited_lines_go_where_their_triangle_goes(fill: str, corner: str) -> None:
    """Counts and kind unchanged: every edited line is carried in place, its nodes by the map of the triangle."""
    old = _drawn(read_document(QUILT), **COUNT, fill=fill, corner=corner, width="4")
    edited = [g for g in _sections(old) if len(g)]
    for number, group in enumerate(edited):
        _move_a_node(group[0], (0.11, -0.07), which=2)
        _colour(group[0], f"#00{number:04x}")
    before = read_document(old.to_bytes())
    new = _drawn(old, **COUNT, fill=fill, corner=corner, width="3", binding="0.5")
    for number, group in enumerate(edited):
        (path,) = _of_colour(new, f"#00{number:04x}")
        (was,) = _of_colour(before, f"#00{number:04x}")
        section = path.getparent()
        assert value_of(section, "section") == value_of(group, "section")
        here, there = _corners(was.getparent()), _corners(section)
        if len(here) == 3:
            for a, b in zip(_nodes(was), _nodes(path), strict=True):
                assert math.dist(_by_shares(a, here, there), b) < 0.005
    assert _layer(new, "kept") is None


def test_a_large_corner_is_carried_by_two_maps_that_share_the_line_to_the_outer_corner() -> None:
    """Nodes on either side go by their own triangle's map; a line that crosses is parted there."""
    old = _drawn(read_document(QUILT), **COUNT, corner="large", width="4")
    group = _section(old, "top-corner-1")
    pivot, last, outer, first = _corners(group)
    start = tuple((p + 2 * q) / 3 for p, q in zip(pivot, last, strict=True))
    end = tuple((p + 2 * q) / 3 for p, q in zip(pivot, first, strict=True))
    path = etree.SubElement(group, f"{{{SVG}}}path")
    path.set("d", f"M {start[0]},{start[1]} L {end[0]},{end[1]}")
    _colour(path, "#bb0001")
    new = _drawn(old, **COUNT, corner="large", width="3")
    (carried,) = _of_colour(new, "#bb0001")
    there = _corners(carried.getparent())
    nodes = _nodes(carried)
    assert len(nodes) == 3
    assert math.dist(_by_shares(start, [pivot, last, outer], there[:3]), nodes[0]) < 0.005
    assert math.dist(_by_shares(end, [pivot, outer, first], [there[0], there[2], there[3]]), nodes[2]) < 0.005
    (px, py), (ox, oy) = there[0], there[2]
    assert abs((nodes[1][0] - px) * (oy - py) - (nodes[1][1] - py) * (ox - px)) < 1e-4


def test_a_fill_she_took_out_stays_out() -> None:
    """The path alone, or the whole group."""
    old = _drawn(read_document(QUILT), **COUNT)
    _section(old, "top-in-1").remove(_section(old, "top-in-1")[0])
    group = _section(old, "left-out-1")
    group.getparent().remove(group)
    for width in ("3", "5", "4"):
        old = _drawn(old, **COUNT, width=width)
        assert len(_section(old, "top-in-1")) == 0
        assert len(_section(old, "left-out-1")) == 0
        assert len(_section(old, "top-in-2")) == 1


@pytest.mark.parametrize(
    "middle", [{"width": "5"}, {"width": "3.25", "corner": "square"}, {"across": "3", "down": "4"}]
)
def test_there_and_back_again_brings_every_node_back(middle: dict[str, str]) -> None:
    """A to B to A: within a thousandth of an inch."""
    old = _drawn(read_document(QUILT), **COUNT)
    for number, name in enumerate(("top-in-1", "right-in-2", "bottom-out-1", "left-in-3")):
        _move_a_node(_section(old, name)[0], (0.2, 0.15))
        _colour(_section(old, name)[0], f"#cc{number:04x}")
    there = _drawn(read_document(old.to_bytes()), **{**COUNT, **middle})
    back = _drawn(there, **COUNT)
    for number in range(4):
        (was,), (now,) = _of_colour(old, f"#cc{number:04x}"), _of_colour(back, f"#cc{number:04x}")
        assert value_of(was.getparent(), "section") == value_of(now.getparent(), "section")
        for a, b in zip(_nodes(was), _nodes(now), strict=True):
            assert math.dist(a, b) < 0.001


@pytest.mark.parametrize("change", [1, -1])
def test_when_a_side_has_one_triangle_more_or_less_only_what_has_no_match_is_put_aside(change: int) -> None:
    """All sections edited: at most one in n of a side goes to the layer of its own, visible and named in the notes."""
    options = {**COUNT, "across": "3", "down": "5"}
    old = _drawn(read_document(QUILT), **options)
    for number, group in enumerate(_sections(old)):
        if len(group):
            _move_a_node(group[0], (0.05, 0.05))
            _colour(group[0], f"#dd{number:04x}")
    edited = [number for number, group in enumerate(_sections(old)) if len(group)]
    new = _drawn(old, **{**options, "down": str(5 + change)})
    found = [_of_colour(new, f"#dd{number:04x}") for number in edited]
    # new sections take their colours from the nearest old one
    assert all(found)
    aside = [paths[0] for paths in found if value_of(paths[0].getparent(), "part") == "kept"]
    # left and right lose one triangle on the seam and one on the stop line each, or none
    assert len(aside) == (0 if change > 0 else 4)
    if aside:
        kept = _layer(new, "kept")
        assert kept.get(f"{{{INKSCAPE}}}label") == "Kept from before"
        assert "display:none" not in kept.get("style", "")
        assert "Kept from before" in "".join(_layer(new, "notes").itertext())


@pytest.mark.parametrize(
    "edit",
    [
        lambda d: d.replace("M ", "M  ").replace(",", " , "),
        lambda d: re.sub(r"(\d+\.\d{5})\d+", r"\1", d),
        lambda d: NUMBER.sub(lambda number: f"{float(number[0]):.8g}", d),
        lambda d: d.replace(" L ", " "),
        lambda d: str(PathData(d).to_relative()),
        lambda d: NUMBER.sub(lambda number: f"{float(number[0]):.8e}", d),
    ],
    ids=["spaces", "five decimals", "eight digits", "line commands left out", "relative", "powers of ten"],
)
def test_another_way_of_writing_the_same_lines_is_no_edit(edit: Callable[[str], str]) -> None:
    """After the editor has written all numbers its own way a change of fill still changes every section."""
    old = _drawn(read_document(QUILT), **COUNT)
    for path in old.root.iter(f"{{{SVG}}}path"):
        if value_of(path, "part") == "fill":
            path.set("d", edit(path.get("d")))
    new = _drawn(old, **COUNT, fill="channels")
    assert {value_of(group, "fill") for group in _sections(new)} == {"channels"}
    assert new.to_bytes() == _drawn(read_document(QUILT), **COUNT, fill="channels").to_bytes()


def test_a_transform_baked_in_or_taken_out_is_no_edit() -> None:
    """A group moved and its lines moved back is where it was."""
    old = _drawn(read_document(QUILT), **COUNT)
    group = _section(old, "top-in-2")
    group.set("transform", "translate(2,3)")
    group[0].set("transform", "translate(-2,-3)")
    new = _drawn(old, **COUNT, fill="channels")
    assert value_of(_section(new, "top-in-2"), "fill") == "channels"


def test_colours_and_widths_that_she_changed_stay() -> None:
    """Of fills and zigzag; also when the fill under them changes."""
    old = _drawn(read_document(QUILT), **COUNT, fill="channels")
    for path in old.root.iter(f"{{{SVG}}}path"):
        if value_of(path, "part") in {"fill", "side"}:
            _colour(path, "#ee0001")
    filled = {(value_of(group, "side"), value_of(group, "base")) for group in _sections(old) if len(group)}
    new = _drawn(old, **{**COUNT, "across": "3"}, width="5", fill="chevrons")
    coloured = _of_colour(new, "#ee0001")
    assert all("stroke-width:0.07" in path.get("style", "") for path in coloured)
    # colours are no edit: the fill is the one now asked for
    assert {value_of(group, "fill") for group in _sections(new)} == {"chevrons"}
    assert [value_of(path, "part") for path in coloured].count("side") == 4
    for group in _sections(new):
        if len(group) and (value_of(group, "side"), value_of(group, "base")) in filled:
            assert group[0] in coloured


def test_keep_false_draws_everything_anew() -> None:
    """As if nothing had been there."""
    old = _drawn(read_document(QUILT), **COUNT)
    _move_a_node(_section(old, "top-in-1")[0], (0.2, 0.1))
    _section(old, "left-in-2").clear(keep_tail=True)
    new = _drawn(old, **COUNT, keep="false")
    assert new.to_bytes() == _drawn(read_document(QUILT), **COUNT, keep="false").to_bytes()


@pytest.mark.parametrize("transform", ["translate(3,2)", "rotate(30)", "scale(1.5)", "matrix(-1,0,0,1,40,0)"])
def test_a_border_moved_with_its_edge_is_no_edit(transform: str) -> None:
    """Moved, turned, scaled or mirrored by hand, edge and all: every section is drawn for the new size, none kept."""
    old = _drawn(read_document(QUILT), **COUNT)
    for child in old.root:
        child.set("transform", transform)
    new = _drawn(old, **COUNT, fill="channels")
    assert {value_of(group, "fill") for group in _sections(new)} == {"channels"}
    assert _layer(new, "kept") is None


def test_what_cannot_be_told_any_more_is_put_aside_whole() -> None:
    """A border without its recipe: every fill line is kept, visible, and the new border is whole."""
    old = _drawn(read_document(QUILT), **COUNT)
    layer = borders_in(old)[0]
    del layer.attrib[f"{{{CW}}}recipe"]
    filled = sum(1 for group in _sections(old) if len(group))
    new = _drawn(old, **COUNT)
    assert len(_layer(new, "kept")) == filled
    assert sum(1 for group in _sections(new) if len(group)) == filled


def test_what_she_put_on_a_layer_of_ours_is_not_lost() -> None:
    """A word on the fills layer, a line on the zigzag's, and a zigzag she moved."""
    old = _drawn(read_document(QUILT), **COUNT)
    word = etree.SubElement(_section(old, "top-in-1"), f"{{{SVG}}}text")
    word.text = "start here"
    _add(_section(old, "top-in-1"), "#ab0001")
    line = etree.SubElement(_layer(old, "zigzag"), f"{{{SVG}}}path")
    line.set("d", "M 0,0 L 1,1")
    _colour(line, "#ab0002")
    side = next(path for path in _layer(old, "zigzag") if value_of(path, "side") == "top")
    _move_a_node(side, (0.4, 0.0), which=2)
    _colour(side, "#ab0003")
    new = _drawn(old, **COUNT, width="5")
    kept = _layer(new, "kept")
    assert [child.text for child in kept if child.tag == f"{{{SVG}}}text"] == ["start here"]
    assert all(_of_colour(new, colour) for colour in ("#ab0001", "#ab0002", "#ab0003"))


def _drawn_in(group: etree._Element) -> etree._Element:
    """A curl drawn into the section."""
    return _add(group, "#000001", 0.4)


def _dragged(group: etree._Element) -> etree._Element:
    """A node dragged."""
    _move_a_node(group[0], (0.13, 0.07), 3)
    return group[0]


def _ungrouped(group: etree._Element) -> etree._Element:
    """The group's own attributes are gone, its lines, one of them dragged, lie in the side's group."""
    path, parent = group[0], group.getparent()
    _move_a_node(path, (0.05, 0.05))
    for child in list(group):
        parent.append(child)
    parent.remove(group)
    return path


def _shifted(group: etree._Element) -> etree._Element:
    """The path moved by a transform of its own."""
    group[0].set("transform", "translate(0.07,-0.04)")
    return group[0]


def _shifted_whole(group: etree._Element) -> etree._Element:
    """The whole section moved."""
    group.set("transform", "translate(0.06,0.03)")
    return group[0]


def _broken_apart(group: etree._Element) -> etree._Element:
    """One path for each subpath, without this project's attributes, one node dragged."""
    path = group[0]
    parts = [f"M {part.strip()}" for part in path.get("d", "").split("M ") if part.strip()]
    for part in parts[1:]:
        etree.SubElement(group, f"{{{SVG}}}path", d=part, style="fill:none;stroke:#123456")
    path.set("d", parts[0])
    _move_a_node(path, (0.05, 0.05))
    for name in [name for name in path.attrib if str(name).startswith(f"{{{CW}}}")]:
        del path.attrib[name]
    return path


def _circled(group: etree._Element) -> etree._Element:
    """A plain shape drawn at a corner."""
    x, y = _corners(group)[0]
    return etree.SubElement(group, f"{{{SVG}}}circle", cx=f"{x + 0.1:.6f}", cy=f"{y + 0.1:.6f}", r="0.2")


EDITS = (_drawn_in, _dragged, _ungrouped, _shifted, _shifted_whole, _broken_apart, _circled)
"""As the editor makes them; each returns the element that was changed."""


@pytest.mark.parametrize("part", range(PARTS))
def test_a_thousand_cycles_of_edits_and_redraws_lose_no_line(part: int) -> None:
    """Draw, edit at random, change options, draw again: every edited line is still there, in its section or put aside."""
    random_ = random.Random(20 + part)
    document = read_document(QUILT)
    marked: list[str] = []
    for cycle in range(CYCLES // PARTS):
        if cycle % 10 == 0:
            document, marked = _drawn(read_document(QUILT), **COUNT, fill="channels"), []
        colour = f"#{0xF00000 + cycle:06x}"
        # lines that carry a mark already keep it
        plain = [g for g in _sections(document) if len(g) and "stroke:#f0" not in g[0].get("style", "")]
        _colour(random_.choice(EDITS)(random_.choice(plain)), colour)
        marked.append(colour)
        options: dict[str, Any] = {
            "width": random_.choice(["3", "3.5", "4"]),
            "fill": random_.choice(["channels", "echoes", "chevrons"]),
            "corner": random_.choice(["mitred", "mitred", "large", "square"]),
            "across": random_.choice(["1", "2", "2"]),
            "down": random_.choice(["2", "3", "3"]),
        }
        document = _drawn(document, size="count", **options)
        missing = [
            mark for mark in marked if not any(mark in e.get("style", "") for e in document.root.iter(f"{{{SVG}}}*"))
        ]
        assert not missing, (cycle, missing)
    standing = read_border(document, borders_in(document)[0])
    assert len(standing.sections) == len(_sections(document))
