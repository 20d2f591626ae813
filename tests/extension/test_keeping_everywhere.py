"""Hand edits of all kinds, in all fills and corners: where counts stay, every one is carried by the map of its section."""

from __future__ import annotations

import math
import random
import re
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

from extension.border import draw_border
from extension.document import SVG, read_document, value_of
from extension.options import BORDER_OPTIONS, read_options
from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    from extension.document import Document

PARTS = 10
"""Seeds, each with as many cycles as follow."""

CYCLES = 12

QUILT = (
    f'<svg xmlns="{SVG}" width="30in" height="30in" viewBox="-2 -3 30 30">'
    '<rect id="edge" x="1" y="1" width="18" height="22"/></svg>'
).encode()

Spot = tuple[float, float]
Subpath = tuple[str, list[Spot]]


def _drawn(document: Document, given: dict[str, str]) -> Document:
    options = {option.name: option.default for option in BORDER_OPTIONS}
    draw_border(document, ["edge"], read_options({**options, **given}, BORDER_OPTIONS))
    return read_document(document.to_bytes())


def _sections(document: Document) -> dict[str, etree._Element]:
    return {value_of(g, "section"): g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "section"}


def _kept(document: Document) -> list[etree._Element]:
    return [child for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == "kept" for child in g]


def _corners(group: etree._Element) -> list[Spot]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in value_of(group, "corners").split())]


def _steps(path: etree._Element) -> list[tuple[str, list[Spot]]]:
    """Commands and their points, absolute: M, L, C, Z."""
    found = []
    for letter, text in re.findall(r"([A-Za-z])([^A-DF-Za-df-z]*)", path.get("d")):
        assert letter in "MLCZ"
        numbers = [float(n) for n in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", text)]
        spots = list(zip(numbers[::2], numbers[1::2], strict=True))
        size = 3 if letter == "C" else 1
        found += [(letter, spots[i : i + size]) for i in range(0, len(spots), size)] or [(letter, [])]
    return found


def _write(path: etree._Element, steps: list[tuple[str, list[Spot]]]) -> None:
    path.set("d", " ".join(" ".join([letter, *(f"{x:.8f},{y:.8f}" for x, y in spots)]) for letter, spots in steps))


def _shares(spot: Spot, old: list[Spot], new: list[Spot]) -> Spot:
    """By barycentric shares of three corners."""
    (ax, ay), (bx, by), (cx, cy) = old
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    two = ((spot[0] - ax) * (cy - ay) - (cx - ax) * (spot[1] - ay)) / area
    three = ((bx - ax) * (spot[1] - ay) - (spot[0] - ax) * (by - ay)) / area
    return tuple((1 - two - three) * new[0][i] + two * new[1][i] + three * new[2][i] for i in (0, 1))  # type: ignore[return-value]


def _taken_along(spot: Spot, old: list[Spot], new: list[Spot], corner: str) -> Spot:
    """Where a node goes: with its triangle; in a large corner with the one of two it lies in; else with three corners."""
    pick = (0, 1, 2)
    if len(old) == 4 and corner == "square":
        pick = (0, 1, 3)
    elif len(old) == 4:
        (px, py), (lx, ly), (ox, oy), _ = old
        side = [(ox - px) * (y - py) - (oy - py) * (x - px) for x, y in (spot, (lx, ly))]
        pick = (0, 1, 2) if side[0] * side[1] >= 0 else (0, 2, 3)
    return _shares(spot, [old[i] for i in pick], [new[i] for i in pick])


# edits, as the editor makes them: of a group; each returns the element of hers


def _drag_a_node(group: etree._Element, hand: random.Random) -> etree._Element:
    path = group[0]
    steps = _steps(path)
    which = hand.choice([i for i, (_, spots) in enumerate(steps) if spots])
    x, y = steps[which][1][-1]
    steps[which][1][-1] = (x + hand.choice([-1, 1]) * hand.uniform(0.02, 0.2), y + hand.uniform(-0.2, 0.2))
    _write(path, steps)
    return path


def _drag_a_handle(group: etree._Element, hand: random.Random) -> etree._Element:
    path = group[0]
    steps = _steps(path)
    curves = [i for i, (letter, _) in enumerate(steps) if letter == "C"]
    if not curves:
        return _drag_a_node(group, hand)
    which = hand.choice(curves)
    x, y = steps[which][1][0]
    steps[which][1][0] = (x + hand.uniform(0.05, 0.2), y - hand.uniform(0.05, 0.2))
    _write(path, steps)
    return path


def _spot_in(corners: list[Spot], hand: random.Random) -> Spot:
    weights = [hand.uniform(0.1, 1) for _ in corners]
    return tuple(sum(w * c[i] for w, c in zip(weights, corners, strict=True)) / sum(weights) for i in (0, 1))  # type: ignore[return-value]


def _add_a_curl(group: etree._Element, hand: random.Random) -> etree._Element:
    corners = _corners(group)
    path = etree.SubElement(group, f"{{{SVG}}}path")
    _write(path, [("M", [_spot_in(corners, hand)]), ("C", [_spot_in(corners, hand) for _ in range(3)])])
    return path


def _redraw(group: etree._Element, hand: random.Random) -> etree._Element:
    for child in list(group):
        group.remove(child)
    corners = _corners(group)
    path = etree.SubElement(group, f"{{{SVG}}}path")
    _write(path, [("ML"[i > 0], [_spot_in(corners, hand)]) for i in range(4)])
    return path


def _grouped(group: etree._Element, hand: random.Random) -> etree._Element:
    """A line drawn on the layer, grouped with the section."""
    corners = _corners(group)
    around = etree.Element(f"{{{SVG}}}g")
    group.getparent().replace(group, around)
    around.append(group)
    path = etree.SubElement(around, f"{{{SVG}}}path")
    _write(path, [("ML"[i > 0], [_spot_in(corners, hand)]) for i in range(3)])
    return path


EDITS = (_drag_a_node, _drag_a_handle, _add_a_curl, _redraw, _grouped)


def _edited(document: Document, names: list[str], hand: random.Random) -> dict[str, Any]:
    """Edit sections; returns what was done, by colour: name, steps and corners of each."""
    groups = _sections(document)
    found = {}
    for number, name in enumerate(names):
        path = hand.choice(EDITS if len(groups[name]) else EDITS[2:])(groups[name], hand)
        colour = f"#a1b{number:03x}"
        path.set("style", f"fill:none;stroke:{colour};stroke-width:0.07")
        found[colour] = (name, _steps(path), _corners(groups[name]))
    return found


def _of_colour(group: etree._Element, colour: str) -> list[etree._Element]:
    return [path for path in group if f"stroke:{colour};" in path.get("style", "")]


def _check_carried(document: Document, edits: dict[str, Any], corner: str, near: float) -> None:
    """Every edited line is in its section, its nodes where the map of that section takes them."""
    groups = _sections(document)
    for colour, (name, steps, before) in edits.items():
        (path,) = _of_colour(groups[name], colour)
        after = _corners(groups[name])
        now = [spot for _, spots in _steps(path) for spot in spots]
        for letter, spots in steps:
            # where a curve is parted its handles are others; its nodes stay
            whole = letter != "C" or len(before) == 3 or corner == "square"
            for spot in spots if whole else spots[-1:]:
                there = _taken_along(spot, before, after, corner)
                assert min(math.dist(there, other) for other in now) < near, (name, letter)


@pytest.mark.parametrize("part", range(PARTS))
def test_every_edit_is_carried_where_counts_and_kind_are_unchanged(part: int) -> None:
    """All of them, in place, within 0.005 in; what was taken out stays out; drawn twice nothing changes."""
    hand = random.Random(100 + part)
    names = sorted(CATALOGUE)
    for cycle in range(CYCLES):
        corner = ("mitred", "large", "square")[(part + cycle) % 3]
        same = {"size": "count", "across": "2", "down": "3", "corner": corner, "kind": hand.choice(["outer", "inner"])}
        first = {**same, "fill": names[(part + cycle) % len(names)], "width": hand.choice(["3", "3.5", "4"])}
        document = _drawn(read_document(QUILT), first)
        chosen = hand.sample(list(_sections(document)), 10)
        for name in chosen[:2]:
            for child in list(_sections(document)[name]):
                _sections(document)[name].remove(child)
        edits = _edited(document, chosen[2:], hand)
        second = {
            **same, "fill": hand.choice(names), "width": hand.choice(["2.75", "3.25", "4.5"]),
            "binding": hand.choice(["0.25", "0.375", "0.5"]), "spacing": hand.choice(["0.75", "1", "1.25"]),
            "order": hand.choice(["sections", "zigzag", "across"]), "echo": hand.choice(["0", "0", "1"]),
        }  # fmt: skip
        document = _drawn(read_document(document.to_bytes()), second)
        assert not _kept(document)
        _check_carried(document, edits, corner, 0.005)
        assert not any(len(_sections(document)[name]) for name in chosen[:2])
        once = document.to_bytes()
        assert _drawn(document, second).to_bytes() == once


@pytest.mark.parametrize("part", range(PARTS))
def test_there_and_back_again_brings_everything_back(part: int) -> None:
    """Another width, fill, spacing, room and one triangle more on a side or two; then as at first: within 0.001 in."""
    hand = random.Random(200 + part)
    names = sorted(CATALOGUE)
    for cycle in range(CYCLES // 2):
        corner = ("mitred", "large", "square")[(part + cycle) % 3]
        first = {
            "size": "count",
            "across": "2",
            "down": "3",
            "corner": corner,
            "fill": names[(part + cycle) % len(names)],
        }
        document = _drawn(read_document(QUILT), first)
        edits = _edited(document, hand.sample(list(_sections(document)), 12), hand)
        there = {
            **first, "fill": hand.choice(names), "width": hand.choice(["3", "3.75", "4.5"]), "across": hand.choice(["2", "3"]),
            "down": hand.choice(["3", "4"]), "kind": hand.choice(["outer", "inner"]), "echo": hand.choice(["0", "1"]),
        }  # fmt: skip
        document = _drawn(_drawn(read_document(document.to_bytes()), there), first)
        assert not _kept(document)
        for colour, (name, steps, _) in edits.items():
            (path,) = _of_colour(_sections(document)[name], colour)
            now = [spot for _, spots in _steps(path) for spot in spots]
            for letter, spots in steps:
                whole = letter != "C" or corner != "large" or "corner" not in name
                for spot in spots if whole else spots[-1:]:
                    assert min(math.dist(spot, other) for other in now) < 0.001, (name, letter)


def test_a_fill_taken_out_stays_out_where_none_would_fit_in_between() -> None:
    """A spacing too large for any line, and back: what she took out is remembered."""
    usual = {"size": "count", "across": "2", "down": "3"}
    document = _drawn(read_document(QUILT), usual)
    group = _sections(document)["top-in-1"]
    group.remove(group[0])
    wide = {**usual, "spacing": "12"}
    between = _drawn(_drawn(document, wide), wide)
    assert not any(len(group) for group in _sections(between).values())
    after = _sections(_drawn(between, usual))
    assert [name for name, group in after.items() if not len(group) and not value_of(group, "note")] == ["top-in-1"]
