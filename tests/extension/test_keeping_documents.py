"""What the editor does to documents, and hand edits among it: each works, or ends in one plain sentence; nothing is lost."""

from __future__ import annotations

import copy
import itertools
import math
import re
from typing import TYPE_CHECKING

import pytest
from inkex import Path as PathData
from inkex import Transform
from lxml import etree

from extension.border import draw_border
from extension.check import limits_of
from extension.document import CW, INKSCAPE, SVG, read_document, value_of
from extension.ground import borders_in, read_ground
from extension.looking import look_at
from extension.options import BORDER_OPTIONS, CHECK_OPTIONS, read_options
from geometry.errors import QuiltError
from geometry.findings import inspect
from geometry.plane import Point

if TYPE_CHECKING:
    from collections.abc import Callable

    from extension.document import Document

Spot = tuple[float, float]

QUILT = (
    f'<svg xmlns="{SVG}" width="40in" height="40in" viewBox="-10 -10 40 40">'
    '<rect id="edge" x="1" y="1" width="18" height="22"/></svg>'
).encode()
EMPTY = f'<svg xmlns="{SVG}" width="40in" height="40in" viewBox="-10 -10 40 40"/>'.encode()
COUNT = {"size": "count", "across": "2", "down": "3"}
HERS = "#c00001"


def _drawn(document: Document, **given: str) -> Document:
    options = {option.name: option.default for option in BORDER_OPTIONS}
    draw_border(document, ["edge"], read_options({**options, **COUNT, **given}, BORDER_OPTIONS))
    return read_document(document.to_bytes())


def _section(document: Document, name: str) -> etree._Element:
    return next(g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "section") == name)


def _sections(document: Document) -> list[etree._Element]:
    return [g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "section"]


def _hers(document: Document) -> list[etree._Element]:
    return [e for e in document.root.iter(f"{{{SVG}}}path") if HERS in e.get("style", "")]


def _corners(group: etree._Element) -> list[Spot]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in value_of(group, "corners").split())]


def _curl(document: Document, name: str) -> etree._Element:
    """A line of hers in a section, across its middle."""
    group = _section(document, name)
    (ax, ay), (bx, by), (cx, cy) = _corners(group)[:3]
    path = etree.SubElement(group, f"{{{SVG}}}path", style=f"fill:none;stroke:{HERS};stroke-width:0.07")
    path.set("d", f"M {(2 * ax + cx) / 3:.7f},{(2 * ay + cy) / 3:.7f} L {(bx + cx) / 2:.7f},{(by + cy) / 2:.7f}")
    return path


def _nodes(path: etree._Element) -> list[Spot]:
    return [(float(x), float(y)) for x, y in re.findall(r"([-\d.]+),([-\d.]+)", path.get("d"))]


def _shares(spot: Spot, corners: list[Spot]) -> tuple[float, float]:
    """Where a point lies in a triangle, as shares of two of its corners."""
    (ax, ay), (bx, by), (cx, cy) = corners[:3]
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    return (
        ((spot[0] - ax) * (cy - ay) - (cx - ax) * (spot[1] - ay)) / area,
        ((bx - ax) * (spot[1] - ay) - (spot[0] - ax) * (by - ay)) / area,
    )


def _kept_in(document: Document, name: str) -> None:
    """Her curl is in that section, where it was among its corners, and nothing was put aside."""
    (path,) = _hers(document)
    group = path.getparent()
    assert value_of(group, "section") == name
    corners = _corners(group)
    scale = max(math.dist(a, b) for a, b in itertools.pairwise(corners))
    for (u, v), (x, y) in zip(
        (_shares(node, corners) for node in _nodes(path)), ((0, 1 / 3), (1 / 2, 1 / 2)), strict=True
    ):
        assert math.hypot(u - x, v - y) * scale < 0.005
    assert not [g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "kept"]


TRANSFORMS = [
    "translate(3,2)", "rotate(30)", "scale(1.5)", "matrix(-1,0,0,1,20,0)", "rotate(-90) translate(-12,1)",
    "scale(1.4,1)", "translate(0,9) rotate(20) scale(0.8,1.1)",
]  # fmt: skip


@pytest.mark.parametrize("name", ["top-in-1", "right-out-2", "left-in-3"])
@pytest.mark.parametrize("transform", TRANSFORMS)
def test_a_border_moved_with_its_edge_takes_hand_edits_along(transform: str, name: str) -> None:
    """Whatever becomes of it as a whole, and drawn with another width then."""
    old = _drawn(read_document(QUILT))
    _curl(old, name)
    for child in old.root:
        child.set("transform", transform)
    _kept_in(_drawn(old, width="3.5"), name)


def _moved(data: str, place: Transform) -> str:
    """Path data of absolute straight pieces, curves and arcs with a transform baked in, to the editor's eight digits."""
    if "A" in data:
        return str(PathData(data).transform(place))
    return re.sub(
        r"([-\d.]+),([-\d.]+)", lambda spot: "{:.8g},{:.8g}".format(*place.apply_to_point((float(spot[1]), float(spot[2])))), data
    )  # fmt: skip


@pytest.mark.parametrize("transform", TRANSFORMS)
def test_a_border_moved_object_by_object_takes_hand_edits_along(transform: str) -> None:
    """As when everything on all layers is selected: paths are written anew, groups and edge get a transform; no edit is seen in it."""
    old = _drawn(read_document(QUILT))
    _curl(old, "left-out-1")
    (layer,) = borders_in(old)
    for child in (child for inner in layer for child in inner):
        if child.tag == f"{{{SVG}}}path":
            child.set("d", _moved(child.get("d"), Transform(transform)))
        else:
            child.set("transform", transform)
    next(e for e in old.root if e.get("id") == "edge").set("transform", transform)
    new = _drawn(read_document(old.to_bytes()), fill="channels", width="3.5")
    _kept_in(new, "left-out-1")
    assert {value_of(g, "fill") for g in _sections(new) if value_of(g, "section") != "left-out-1"} == {"channels"}


@pytest.mark.parametrize("transform", [*TRANSFORMS, "skewX(15)"])
def test_a_border_moved_without_its_edge_comes_back_to_it(transform: str) -> None:
    """It is drawn for its edge; the curl stays where it was in its triangle, and everything else is drawn anew."""
    old = _drawn(read_document(QUILT))
    _curl(old, "right-in-2")
    borders_in(old)[0].set("transform", transform)
    new = _drawn(read_document(old.to_bytes()), fill="channels")
    _kept_in(new, "right-in-2")
    assert {value_of(g, "fill") for g in _sections(new) if value_of(g, "section") != "right-in-2"} == {"channels"}
    looked = read_ground(new, borders_in(new)[0])
    assert math.dist(looked.frame.at(Point(0.0, 0.0)), (1, 1)) < 0.001


@pytest.mark.parametrize("name", ["top-in-2", "bottom-out-1"])
@pytest.mark.parametrize("box", [(3, -2, 18, 22), (1, 1, 21, 22), (0, 0, 18, 17)], ids=["moved", "wider", "lower"])
def test_a_changed_edge_takes_hand_edits_along(box: tuple[float, ...], name: str) -> None:
    """The edge alone was moved or made another size; the border follows it."""
    old = _drawn(read_document(QUILT))
    _curl(old, name)
    edge = next(e for e in old.root if e.get("id") == "edge")
    for key, value in zip(("x", "y", "width", "height"), box, strict=True):
        edge.set(key, str(value))
    _kept_in(_drawn(old), name)


def test_of_a_duplicated_border_the_copy_is_left_alone() -> None:
    """It was moved aside with its copied edge, or without; the one on the edge is drawn again."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    (layer,) = borders_in(old)
    twin = copy.deepcopy(layer)
    for number, element in enumerate(twin.iter()):
        element.set("id", f"copy{number}")
    twin.set("transform", "translate(60,0)")
    old.root.append(twin)
    new = _drawn(read_document(old.to_bytes()), width="3.5")
    here, there = borders_in(new)
    assert etree.tostring(there, method="c14n") == etree.tostring(borders_in(old)[1], method="c14n")
    assert len(_hers(new)) == 2
    assert value_of(next(p for p in here.iter() if HERS in p.get("style", "")).getparent(), "section") == "top-in-1"


def _with_other_ids(document: Document) -> list[etree._Element]:
    """Copies of edge and border, as duplicated or pasted: all ids are new, and the border names the old one's edge."""
    edge, layer = next(e for e in document.root if e.get("id") == "edge"), borders_in(document)[0]
    copies = [copy.deepcopy(edge), copy.deepcopy(layer)]
    for number, element in enumerate(itertools.chain.from_iterable(one.iter() for one in copies)):
        element.set("id", f"copy{number}")
    return copies


@pytest.mark.parametrize("place", ["", "translate(19,0)"], ids=["in place", "moved"])
def test_a_border_duplicated_with_its_edge_is_that_edges_border(place: str) -> None:
    """Drawn again for the copied edge it is the copy that changes, hand edits and all; the first stays as it is."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    edge, layer = _with_other_ids(old)
    for element in (edge, layer) if place else ():
        element.set("transform", place)
    old.root.extend((edge, layer))
    old = read_document(old.to_bytes())
    before = etree.tostring(borders_in(old)[0], method="c14n")
    options = {option.name: option.default for option in BORDER_OPTIONS} | COUNT | {"width": "3.5"}
    draw_border(old, [str(edge.get("id"))], read_options(options, BORDER_OPTIONS))
    if place:
        here, there = borders_in(old)
        assert etree.tostring(here, method="c14n") == before
        assert value_of(there, "edge") == edge.get("id")
        (hers,) = [p for p in there.iter(f"{{{SVG}}}path") if HERS in p.get("style", "")]
        assert value_of(hers.getparent(), "section") == "top-in-1"
    else:
        # both copies lie on both edges: neither is taken away from the first
        assert [value_of(one, "edge") for one in borders_in(old)] == ["edge", "edge", edge.get("id")]
    assert len(_hers(old)) == 2


def test_a_pasted_border_is_not_lost_to_a_shape_that_has_its_edges_name() -> None:
    """The edge got a new id on the way; the stranger that bears the old one gets a border of its own."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    other = read_document(EMPTY)
    etree.SubElement(other.root, f"{{{SVG}}}rect", id="edge", x="2", y="2", width="15", height="13")
    other.root.extend(_with_other_ids(old))
    before = etree.tostring(borders_in(other)[0], method="c14n")
    new = _drawn(other, width="2")
    one, two = borders_in(new)
    assert etree.tostring(one, method="c14n") == before
    assert value_of(two, "edge") == "edge"
    assert not [p for p in two.iter(f"{{{SVG}}}path") if HERS in p.get("style", "")]
    options = {option.name: option.default for option in BORDER_OPTIONS} | COUNT | {"width": "3.5"}
    draw_border(new, ["copy0"], read_options(options, BORDER_OPTIONS))
    assert [value_of(layer, "edge") for layer in borders_in(new)] == ["copy0", "edge"]


def test_a_border_pasted_beside_another_edge_is_not_taken_for_its_border() -> None:
    """Copied into another document it stays as it is; that document's own edge gets a border of its own."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    other = read_document(EMPTY)
    other.root.append(copy.deepcopy(borders_in(old)[0]))
    (pasted,) = borders_in(other)
    before = etree.tostring(pasted, method="c14n")
    with pytest.raises(QuiltError, match="edge"):
        _drawn(other)
    edge = etree.SubElement(other.root, f"{{{SVG}}}rect", id="mine", x="30", y="1", width="18", height="22")
    options = {option.name: option.default for option in BORDER_OPTIONS} | COUNT
    draw_border(other, ["mine"], read_options(options, BORDER_OPTIONS))
    one, two = borders_in(other)
    assert edge.get("id") == value_of(two, "edge")
    assert etree.tostring(one, method="c14n") == before
    assert len({element.get("id") for element in other.root.iter() if element.get("id")}) == sum(
        1 for element in other.root.iter() if element.get("id")
    )


def _group_gone(document: Document) -> None:
    """Ungrouped: its attributes are lost, its lines lie in the side's group."""
    group = _section(document, "top-in-1")
    for child in list(group):
        group.getparent().append(child)
    group.getparent().remove(group)


def _all_groups_gone(document: Document) -> None:
    """Every section and side ungrouped."""
    layer = next(g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "fills")
    paths = list(layer.iter(f"{{{SVG}}}path"))
    for child in list(layer):
        layer.remove(child)
    layer.extend(paths)


def _attributes_gone(document: Document) -> None:
    """The groups are there, what they said is not."""
    for group in [*_sections(document), *(g for g in document.root.iter() if value_of(g, "part") == "side-fills")]:
        for name in [name for name in group.attrib if str(name).startswith(f"{{{CW}}}")]:
            del group.attrib[name]


def _combined(document: Document) -> None:
    """All lines of a side in one path, hers among them, in her colour."""
    side = _section(document, "top-in-1").getparent()
    paths = list(side.iter(f"{{{SVG}}}path"))
    whole = etree.SubElement(side, f"{{{SVG}}}path", style=_hers(document)[0].get("style"))
    whole.set("d", " ".join(path.get("d") for path in paths))
    for path in paths:
        path.getparent().remove(path)


def _in_a_group_of_her_own(document: Document) -> None:
    """Grouped and moved, the group moved back."""
    path = _hers(document)[0]
    group = etree.SubElement(path.getparent(), f"{{{SVG}}}g", transform="translate(5,-3)")
    path.set("transform", "translate(-5,3)")
    group.append(path)


def _elsewhere(document: Document) -> None:
    """On the fills layer, outside of all groups."""
    path = _hers(document)[0]
    path.getparent().getparent().getparent().append(path)


@pytest.mark.parametrize(
    "change",
    [_group_gone, _all_groups_gone, _attributes_gone, _combined, _in_a_group_of_her_own, _elsewhere],
)
def test_a_line_of_hers_finds_home_by_where_it_lies(change: Callable[[Document], None]) -> None:
    """Whatever has become of groups and attributes: after a change of width it is where it was in its triangle."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    change(old)
    new = _drawn(read_document(old.to_bytes()), width="3.5")
    found = [path for path in _hers(new) if value_of(path.getparent(), "section") == "top-in-1"]
    assert found
    corners = _corners(_section(new, "top-in-1"))
    want = [(0, 1 / 3), (1 / 2, 1 / 2)]
    shares = [_shares(node, corners) for path in found for node in _nodes(path)]
    assert all(min(math.dist(one, other) for other in shares) < 0.001 for one in want)
    assert len(_sections(new)) == len(_sections(_drawn(read_document(QUILT), width="3.5")))


@pytest.mark.parametrize("more", [False, True], ids=["alone", "with a word"])
@pytest.mark.parametrize("place", ["", "translate(3,1) rotate(10) scale(2)"], ids=["as it is", "moved layer"])
def test_a_section_grouped_with_a_line_of_another_layer_comes_home(place: str, more: bool) -> None:
    """The editor puts the group where the uppermost of its things lay, here on a layer of hers above the border."""
    old = _drawn(read_document(QUILT))
    path, section = _curl(old, "top-in-2"), _section(old, "top-in-2")
    layer = etree.SubElement(old.root, f"{{{SVG}}}g", id="hers", transform=place)
    layer.set(f"{{{INKSCAPE}}}groupmode", "layer")
    etree.SubElement(layer, f"{{{SVG}}}path", d="M 1,1 L 2,2", style="stroke:#c0ffee")
    group = etree.SubElement(layer, f"{{{SVG}}}g", transform=str(-Transform(place)))
    if more:
        etree.SubElement(group, f"{{{SVG}}}text").text = "curl here"
    section.remove(path)
    group.extend((section, path))
    old = read_document(old.to_bytes())
    drawn, _ = look_at(old, borders_in(old)[0])
    limits = limits_of(read_options({option.name: option.default for option in CHECK_OPTIONS}, CHECK_OPTIONS))
    assert {one.section for one in inspect(drawn, limits).findings} <= {"top-in-2"}
    assert next(len(one.lines) for one in drawn.sections if one.name == "top-in-2") > 1
    new = _drawn(old, width="3.5")
    groups = [g for g in _sections(new) if value_of(g, "section") == "top-in-2"]
    assert len(groups) == 1
    assert _hers(new)[0].getparent() is groups[0]
    assert len(groups[0]) == 2
    left = next(e for e in new.root if e.get("id") == "hers")
    assert [e.get("style", e.text) for e in left.iter(f"{{{SVG}}}path", f"{{{SVG}}}text")] == [
        "stroke:#c0ffee",
        "curl here",
    ][: 1 + more]
    assert not [g for g in new.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "kept"]


def test_a_fill_redrawn_takes_the_place_of_the_old_one() -> None:
    """Deleted and drawn otherwise: only hers is there after the next drawing, and the one after that."""
    old = _drawn(read_document(QUILT))
    group = _section(old, "top-in-1")
    for child in list(group):
        group.remove(child)
    _curl(old, "top-in-1")
    for width in ("3.5", "5", "4"):
        old = _drawn(old, width=width)
        assert len(_section(old, "top-in-1")) == 1
        _kept_in(old, "top-in-1")


def test_a_border_without_its_edge_is_refused_and_stays_as_it_is() -> None:
    """The edge was deleted: one sentence, the document unchanged."""
    old = _drawn(read_document(QUILT))
    _curl(old, "top-in-1")
    old.root.remove(next(e for e in old.root if e.get("id") == "edge"))
    before = old.to_bytes()
    with pytest.raises(QuiltError):
        _drawn(old, width="3")
    assert old.to_bytes() == before


@pytest.mark.parametrize("count", [4, 6, 9])
@pytest.mark.parametrize("change", [1, -1])
def test_at_most_one_in_n_of_a_sides_sections_is_put_aside(change: int, count: int) -> None:
    """All sections of all sides edited, all counts changed by one; where there is room for all, none is."""
    old = _drawn(read_document(QUILT), across=str(count - 1), down=str(count), width="1.5")
    filled = [group for group in _sections(old) if len(group)]
    for number, group in enumerate(filled):
        group[0].set("style", f"fill:none;stroke:#{0xD10000 + number:06x}")
        spot = re.search(r"([-\d.]+),([-\d.]+)", group[0].get("d"))
        moved = f"{float(spot[1]) + 0.03:.7f},{float(spot[2]) + 0.02:.7f}"
        group[0].set("d", group[0].get("d")[: spot.start()] + moved + group[0].get("d")[spot.end() :])
    homes = {group[0].get("style"): (value_of(group, "side"), value_of(group, "base")) for group in filled}
    size = {"across": str(count - 1 + change), "down": str(count + change), "width": "1.5"}
    new = _drawn(read_document(old.to_bytes()), **size)
    aside: dict[tuple[str, str], int] = {}
    for style, home in homes.items():
        colour = style.split(":")[-1]
        found = [e for e in new.root.iter(f"{{{SVG}}}path") if f"stroke:{colour}" in e.get("style", "")]
        places = {value_of(e.getparent(), "part") for e in found}
        assert places <= {"section", "kept"}
        assert found
        if places == {"kept"}:
            aside[home] = aside.get(home, 0) + 1
        else:
            assert home in {(value_of(e.getparent(), "side"), value_of(e.getparent(), "base")) for e in found}
    assert all(number <= 1 for number in aside.values()), aside
    assert change < 0 or not aside


PLACES = {
    "millimetres": (
        'width="1000mm" height="1000mm" viewBox="0 0 1000 1000"',
        '<rect id="edge" x="100" y="120" width="457.2" height="558.8"/>',
    ),
    "a turned group": (
        'width="40in" height="40in" viewBox="0 0 3840 3840"',
        '<g transform="translate(700,60) rotate(33) scale(1.3)"><rect id="edge" x="7" y="3" width="1300" height="1700"/></g>',
    ),
}


@pytest.mark.parametrize("place", PLACES)
def test_drawing_twice_changes_nothing_wherever_the_quilt_lies(place: str) -> None:
    """Edits and all; a third time no more."""
    page, body = PLACES[place]
    old = _drawn(read_document(f'<svg xmlns="{SVG}" {page}>{body}</svg>'.encode()))
    _curl(old, "top-in-1")
    _section(old, "left-out-1").clear(keep_tail=True)
    second = _drawn(read_document(old.to_bytes()))
    assert _hers(second)[0].get("d") == _hers(old)[0].get("d")
    assert _drawn(read_document(second.to_bytes())).to_bytes() == second.to_bytes()
