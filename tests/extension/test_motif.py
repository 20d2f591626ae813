"""Her own drawing as a fill of the border: named or selected, whatever it is made of, and through redraws."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable

    Border = Callable[..., bytes]

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")

LEAF = '<path id="shape" d="M 30,30 L 32,29 35,24 33,25 31,28 Z M 30,30 L 34,25"/>'
MOTIF = ("--fill", "motif", "--width", "4", "--spacing", "0.8")


def _quilt(*drawn: str, defs: str = "") -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="40in" height="44in" '
        f'viewBox="0 0 40 44">{defs}<rect id="edge" x="1" y="2" width="24" height="30"/>{"".join(drawn)}</svg>'
    )


def _sections(data: bytes) -> dict[str, etree._Element]:
    root = etree.fromstring(data)
    return {g.get(f"{CW}section"): g for g in root.iter(f"{SVG}g") if g.get(f"{CW}part") == "section"}


def _paths(data: bytes) -> dict[str, list[str]]:
    return {name: [path.get("d") for path in group.findall(f"{SVG}path")] for name, group in _sections(data).items()}


def _nodes(data: str) -> list[tuple[float, float]]:
    """Of straight pieces with absolute coordinates."""
    assert not re.search(r"[a-zC]", data)
    numbers = [float(text) for text in NUMBER.findall(data)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def test_named_or_selected_it_fills_every_triangle(border: Border) -> None:
    """The same drawing either way, in every section; the drawing itself stays as it was."""
    quilt = _quilt(LEAF)
    named = border(quilt, *MOTIF, "--motif", "shape")
    assert border(quilt, *MOTIF, "--motif", "shape", ids=("edge", "shape")) == named
    selected = border(quilt, *MOTIF, ids=("edge", "shape"))
    assert selected == named
    assert border(quilt, *MOTIF, ids=("shape", "edge")) == named
    paths = _paths(named)
    assert len(paths) > 20
    assert all(len(found) == 1 for found in paths.values())
    shape = next(path for path in etree.fromstring(named).iter(f"{SVG}path") if path.get("id") == "shape")
    assert shape.get("d") == re.search(r' d="([^"]*)"', LEAF)[1]  # type: ignore[index]
    assert all(group.get(f"{CW}fill") == "motif" for group in _sections(named).values())


def test_a_border_seam_can_be_selected_too(border: Border) -> None:
    """Edge, seam and drawing, in any order."""
    quilt = _quilt(LEAF, '<rect id="seam" x="5" y="6" width="16" height="22"/>')
    assert _paths(border(quilt, *MOTIF, ids=("seam", "shape", "edge"))) == _paths(
        border(_quilt(LEAF), *MOTIF, "--motif", "shape")
    )


def test_a_rectangle_is_a_drawing_where_it_is_named(border: Border) -> None:
    """Selected beside the edge it would be the border seam."""
    quilt = _quilt('<rect id="box" x="30" y="30" width="3" height="2"/>')
    paths = _paths(border(quilt, *MOTIF, "--motif", "box"))
    assert all(len(found) == 1 for found in paths.values())


def test_only_where_it_is_asked_for(border: Border) -> None:
    """On the stop line alone; the others keep their fills."""
    found = _sections(border(_quilt(LEAF), "--width", "4", "--outerfill", "motif", "--motif", "shape"))
    assert {name.split("-")[1] for name, group in found.items() if group.get(f"{CW}fill") == "motif"} == {"out"}


def test_every_node_lies_where_an_affine_map_takes_it(border: Border) -> None:
    """From one section's nodes and corners to another's, by their shares of the corners: not the way of the code."""
    sections = _sections(border(_quilt(LEAF), *MOTIF, "--motif", "shape", "--together", "false"))

    def read(name: str) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
        group = sections[name]
        corners = [(float(x), float(y)) for x, y in (pair.split(",") for pair in group.get(f"{CW}corners").split())]
        return corners, _nodes(group.find(f"{SVG}path").get("d"))

    # five corners of the leaf, two ends of the vein
    corners, nodes = read("top-in-1")
    for name in ("top-in-2", "bottom-in-1", "top-out-1"):
        others, drawn = read(name)
        # in whichever sense it is: mirrored sections have left and right exchanged
        best = math.inf
        for order in ((0, 1, 2), (1, 0, 2)):
            best = min(best, _off([corners[i] for i in order], nodes[:7], others, drawn[:7]))
        assert best < 1e-4


def _off(
    old: list[tuple[float, float]],
    nodes: list[tuple[float, float]],
    new: list[tuple[float, float]],
    drawn: list[tuple[float, float]],
) -> float:
    """The largest distance from where a node belongs."""
    (ax, ay), (bx, by), (cx, cy) = old
    area = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
    gaps = []
    for (x, y), spot in zip(nodes, drawn, strict=True):
        second = ((x - ax) * (cy - ay) - (cx - ax) * (y - ay)) / area
        third = ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) / area
        shares = (1 - second - third, second, third)
        place = [sum(share * corner[i] for share, corner in zip(shares, new, strict=True)) for i in (0, 1)]
        gaps.append(math.dist(place, spot))
    return max(gaps)


CIRCLE = '<circle id="shape" cx="30" cy="30" r="2"/>'


@pytest.mark.parametrize(
    "same",
    [
        '<path id="shape" d="M 32,30 A 2,2 0 0 1 28,30 A 2,2 0 0 1 32,30 Z"/>',
        '<path id="shape" d="m32 30a2 2 0 01-4 0 2 2 0 014 0z"/>',
        '<ellipse id="shape" cx="3" cy="30" rx="0.2" ry="2" transform="scale(10 1)"/>',
        '<g id="shape" transform="translate(20 30)"><circle cx="5" cy="0" r="1" transform="scale(2)"/></g>',
        '<g transform="matrix(0 2 -2 0 60 10)"><circle id="shape" cx="10" cy="15" r="1"/></g>',
        '<circle id="first" cx="0" cy="0" r="2"/><use id="shape" xlink:href="#first" x="30" y="30"/>',
        '<g id="first"><circle r="4"/></g><use id="one" href="#first"/><use id="shape" href="#one" transform="translate(30 30) scale(0.5)"/>',
        '<svg x="0"><a id="shape"><circle cx="30" cy="30" r="2"/></a></svg>',
    ],
    ids=["arcs", "arcs run together", "ellipse", "group", "in a group", "clone", "clone of a clone", "link"],
)
def test_whatever_a_drawing_is_made_of_the_same_lines_are_the_same_fill(same: str, border: Border) -> None:
    """A circle as a shape, by arcs, stretched, in a group, as a clone of a clone."""
    wanted, found = (_paths(border(_quilt(drawn), *MOTIF, "--motif", "shape")) for drawn in (CIRCLE, same))
    assert wanted.keys() == found.keys()
    for name, (path,) in wanted.items():
        here, there = ([float(text) for text in NUMBER.findall(data)] for data in (path, found[name][0]))
        # half a circle may be two Béziers or three; and the smallest triangle round it is hardly smaller than one that is
        # a little wider and lower
        if len(here) == len(there) and max(abs(a - b) for a, b in zip(here, there, strict=True)) < 1e-3:
            continue
        boxes = [
            [edge(numbers[i::2]) for i in (0, 1) for edge in (min, max)]
            for numbers in (_curve_points(path), _curve_points(found[name][0]))
        ]
        assert boxes[0] == pytest.approx(boxes[1], abs=0.05)


def _curve_points(data: str) -> list[float]:
    """Places along a path of absolute M, L, C and Z, x and y by turns."""
    found: list[float] = []
    here = (0.0, 0.0)
    for letter, text in re.findall(r"([MLCZ])([^MLCZ]*)", data):
        numbers = [float(number) for number in NUMBER.findall(text)]
        spots = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "C":
            for i in range(0, len(spots), 3):
                p = [here, *spots[i : i + 3]]
                for step in range(65):
                    t = step / 64
                    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
                    found += [sum(w * q[k] for w, q in zip(weights, p, strict=True)) for k in (0, 1)]
                here = p[3]
        elif spots:
            found += [number for spot in spots for number in spot]
            here = spots[-1]
    return found


@pytest.mark.parametrize(
    ("drawn", "options", "told"),
    [
        ("", ("--motif", "nowhere"), "nowhere"),
        ("", (), "no drawing is given"),
        ('<text id="shape" x="30" y="30">Leaf</text>', ("--motif", "shape"), "is a text"),
        ('<image id="shape" x="30" y="30" width="2" height="2"/>', ("--motif", "shape"), "is an image"),
        ('<path id="shape" d=""/>', ("--motif", "shape"), "has no lines"),
        ('<path id="shape" d="M 30,30"/>', ("--motif", "shape"), "has no lines"),
        ('<path id="shape"/>', ("--motif", "shape"), "has no lines"),
        ('<g id="shape"/>', ("--motif", "shape"), "has no lines"),
        ('<g id="shape"><text x="30" y="30">Leaf</text></g>', ("--motif", "shape"), "holds a text"),
        (f'<g id="both">{LEAF}<image width="2" height="2"/></g>', ("--motif", "both"), "holds an image"),
        ('<image id="shape" x="30" y="30" width="2" height="2"/>', ("--motif", "shape"), "Trace Bitmap"),
        (LEAF.replace("<path", '<path clip-path="url(#c)"'), ("--motif", "shape"), "cut off by a clip"),
        (f'<g id="g"><g style="fill:red; mask : url(#m)">{LEAF}</g></g>', ("--motif", "g"), "cut off by a mask"),
        (LEAF, ("--motif", "edge"), "the quilt's edge must be too"),
        ('<path id="shape" d="M 30,30 H 34"/>', ("--motif", "shape"), "one straight line"),
        ('<path id="shape" d="M 30,30 L 34,nothing"/>', ("--motif", "shape"), "shape"),
        ('<use id="shape" href="#shape"/>', ("--motif", "shape"), "has no lines"),
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_refused_in_one_sentence(
    drawn: str, options: tuple[str, ...], told: str, refusal: Callable[..., str]
) -> None:
    """With exit code 2, and nothing written."""
    assert told in refusal(_quilt(drawn), *MOTIF, *options)


def test_a_part_of_a_border_is_no_drawing_of_its_own(
    border: Border, refusal: Callable[..., str], cornerwise: Callable[..., Any], tmp_path: Any
) -> None:
    """It would be drawn over; but other sections may be filled with it once."""
    first = border(_quilt(LEAF), *MOTIF, "--motif", "shape")
    section = _sections(first)["top-in-2"].get("id")
    for name in (section, "cornerwise-edge"):
        assert "is part of a border and would be drawn over" in refusal(first, *MOTIF, "--motif", name)
    (tmp_path / "first.svg").write_bytes(first)
    done = cornerwise(
        "fill", "first.svg", "--id", "top-in-1", "--fill", "motif", "--motif", section, "--spacing", "0.5"
    )
    assert done.returncode == 0, done.stderr
    assert _paths(done.stdout)["top-in-2"] == _paths(first)["top-in-2"]
    assert _paths(done.stdout)["top-in-1"] != _paths(first)["top-in-1"]


def test_two_borders_can_be_selected_with_it(border: Border) -> None:
    """Each has it in every section."""
    other = '<rect id="other" x="1" y="40" width="20" height="24"/>'
    found = border(_quilt(LEAF, other), *MOTIF, ids=("other", "shape", "edge"))
    edges = [g.get(f"{CW}edge") for g in etree.fromstring(found).iter(f"{SVG}g") if g.get(f"{CW}part") == "border"]
    assert sorted(edges) == ["edge", "other"]
    sections = [g for g in etree.fromstring(found).iter(f"{SVG}g") if g.get(f"{CW}part") == "section"]
    assert len(sections) > 40
    assert all(len(group.findall(f"{SVG}path")) == 1 and group.get(f"{CW}fill") == "motif" for group in sections)


@pytest.mark.parametrize(
    ("around", "own"),
    [("translate(3000000 -200000)", ""), ("scale(20000)", ""), ("scale(0.000001)", ""), ("translate(80 20) rotate(90)", "rotate(-90) translate(-30 -30)")],
    ids=["far away", "huge", "tiny", "turned and back"],
)  # fmt: skip
def test_wherever_it_lies_and_however_large_it_is_it_is_the_same_drawing(around: str, own: str, border: Border) -> None:
    """To a thousandth of an inch in every section; the transforms around it count as its own does."""
    leaf = LEAF.replace(" id=", f' transform="{own}" id=')
    moved = f'<g transform="{around}">{leaf}</g>'
    wanted, found = (_paths(border(_quilt(drawn), *MOTIF, "--motif", "shape")) for drawn in (LEAF, moved))
    assert wanted.keys() == found.keys()
    for name, (path,) in wanted.items():
        gaps = [math.dist(*pair) for pair in zip(_nodes(path), _nodes(found[name][0]), strict=True)]
        assert max(gaps) < 1e-3


def test_a_drawing_in_a_turned_group_is_turned(border: Border) -> None:
    """The group's own transform counts: upright it is another fill."""
    upright, turned = (
        _paths(border(_quilt(f'<g transform="rotate({angle} 30 30)">{LEAF}</g>'), *MOTIF, "--motif", "shape"))
        for angle in (0, 90)
    )
    by_hand = '<path id="shape" d="M 30,30 L 31,32 36,35 35,33 32,31 Z M 30,30 L 35,34"/>'
    assert upright != turned
    for name, (path,) in _paths(border(_quilt(by_hand), *MOTIF, "--motif", "shape")).items():
        gaps = [math.dist(*pair) for pair in zip(_nodes(path), _nodes(turned[name][0]), strict=True)]
        assert max(gaps) < 1e-3


def test_a_spacing_that_leaves_no_room_leaves_sections_empty_with_a_note(border: Border) -> None:
    """The note says from which spacing there is."""
    sections = _sections(border(_quilt(LEAF), *MOTIF[:4], "--spacing", "9", "--motif", "shape"))
    assert all(group.find(f"{SVG}path") is None for group in sections.values())
    assert all("too small" in group.get(f"{CW}note") for group in sections.values())


def test_a_motif_of_ten_thousand_nodes_works(border: Border) -> None:
    """Each triangle has all of them; the run says what it is as long as."""
    turns = [2 * math.pi * i / 10_000 for i in range(10_000)]
    spots = [(30 + 3 * math.cos(2 * t) - math.cos(9 * t), 30 + 2 * math.sin(2 * t) - math.sin(9 * t)) for t in turns]
    data = " ".join(f"{x:.5f},{y:.5f}" for x, y in spots)
    found = border(_quilt(f'<path id="shape" d="M {data} Z"/>'), *MOTIF, "--motif", "shape")
    # those of two that lie so near that they are written alike are one
    assert all(len(_nodes(path)) > 9_900 for (path,) in _paths(found).values())
    (run,) = (path for path in etree.fromstring(found).iter(f"{SVG}path") if path.get(f"{CW}part") == "run")
    nodes = _nodes(run.get("d"))
    assert sum(map(math.dist, nodes, nodes[1:])) == pytest.approx(float(run.get(f"{CW}length-in")), rel=1e-5)
    assert len(nodes) < 10_000 * len(_paths(found)) / 2


# --- drawn again ----------------------------------------------------------------------------------------------------------


def _again(data: bytes, old: str, new: str) -> bytes:
    """The document with one thing replaced."""
    text = data.decode()
    assert text.count(old) == 1
    return text.replace(old, new).encode()


@pytest.mark.parametrize("keep", ["true", "false"])
def test_drawn_again_nothing_changes(keep: str, border: Border) -> None:
    """The same drawing, the same border."""
    first = border(_quilt(LEAF), *MOTIF, "--motif", "shape")
    again = border(first, *MOTIF, "--motif", "shape", "--keep", keep)
    assert _again(again, f"keep&quot;: {keep}", "keep&quot;: true") == first


@pytest.mark.parametrize("keep", ["true", "false"])
def test_a_drawing_changed_is_drawn_anew(keep: str, border: Border) -> None:
    """What the tool drew follows her drawing, whether hand work is kept or not: it was not changed by hand."""
    other = '<path id="shape" d="M 30,30 L 34,29 35,24 31,26 Z"/>'
    first = border(_quilt(LEAF), *MOTIF, "--motif", "shape")
    changed = border(_again(first, LEAF, other), *MOTIF, "--motif", "shape", "--keep", keep)
    assert _paths(changed) == _paths(border(_quilt(other), *MOTIF, "--motif", "shape"))


@pytest.mark.parametrize("keep", ["true", "false"])
def test_one_section_changed_by_hand_is_kept_or_not(keep: str, border: Border) -> None:
    """A node pulled in one triangle; the border drawn again with another spacing."""
    first = border(_quilt(LEAF), *MOTIF, "--motif", "shape")
    (path,) = _paths(first)["top-in-2"]
    x = _nodes(path)[2][0]
    hers = path.replace(f"{x:.9g}", f"{x + 0.25:.9g}", 1)
    assert hers != path
    again = (*MOTIF[:4], "--spacing", "0.6", "--motif", "shape", "--keep", keep)
    found = _paths(border(_again(first, path, hers), *again))
    fresh = _paths(border(_quilt(LEAF), *again))
    assert {name for name in fresh if found[name] != fresh[name]} == ({"top-in-2"} if keep == "true" else set())
    if keep == "true":
        nodes, pulled = _nodes(found["top-in-2"][0]), _nodes(hers)
        assert [math.dist(*pair) for pair in zip(nodes, pulled, strict=True)] == pytest.approx(
            [0] * len(pulled), abs=1e-4
        )


def test_a_section_given_the_motif_keeps_it_when_the_drawing_is_gone(
    border: Border, cornerwise: Callable[..., Any], tmp_path: Any
) -> None:
    """Its lines are carried like hand work when the border is drawn again wider apart."""
    first = border(_quilt(LEAF), "--width", "4")
    (tmp_path / "first.svg").write_bytes(first)
    section = _sections(first)["top-in-2"].get("id")
    done = cornerwise("fill", tmp_path / "first.svg", "--id", section, "--fill", "motif", "--motif", "shape")
    assert done.returncode == 0, done.stderr
    with_motif = _paths(done.stdout)["top-in-2"]
    assert with_motif != _paths(first)["top-in-2"]
    redrawn = border(_again(done.stdout, LEAF, ""), "--width", "4", "--spacing", "0.7")
    (kept,), (drawn,) = _paths(redrawn)["top-in-2"], with_motif
    assert [math.dist(*pair) for pair in zip(_nodes(kept), _nodes(drawn), strict=True)] == pytest.approx(
        [0] * len(_nodes(drawn)), abs=1e-4
    )
