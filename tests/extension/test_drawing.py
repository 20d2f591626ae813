"""What a drawn border looks like in the document: layers, groups, paths and their attributes."""

from __future__ import annotations

import itertools
import math
import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    from lxml import etree

CW = "{urn:cornerwise}"
SVG = "{http://www.w3.org/2000/svg}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="60in" viewBox="0 0 60 60">{EDGE}</svg>'
TURNED = DOC.replace("<rect", '<g transform="translate(60 3) rotate(35) scale(-.9 .9)"><rect').replace(
    "/></svg", "/></g></svg"
)

LAYERS = ["guides", "zigzag", "fills", "marks", "stitching", "order", "notes", "findings"]
"""The layers inside a border, lowest first; some come with later tools."""

CORNERS = {"mitred": 2, "large": 1, "square": 3}
NAMES = ["top", "right", "bottom", "left"]

OPTIONS = [
    (),
    ("--corner", "large", "--fill", "arrowheads"),
    ("--corner", "square", "--fill", "chevrons", "--cornerfill", "diamonds"),
    ("--fill", "channels", "--outerfill", "none", "--kind", "inner"),
    ("--fill", "none", "--cornerfill", "channels", "--scale", "2"),
    ("--size", "repeat", "--repeat", "5", "--fit", "ease", "--last", "2"),
    ("--size", "count", "--across", "1", "--down", "2", "--corner", "square"),
    ("--echo", "3", "--step", "3/16", "--outerfill", "wedges"),
]


DRAWN: dict[tuple[str, tuple[str, ...]], bytes] = {}
"""Each border is drawn once for all tests."""


@pytest.fixture(params=OPTIONS, ids=lambda given: " ".join(given) or "as it comes")
def options(request: pytest.FixtureRequest) -> tuple[str, ...]:
    """One border of each kind."""
    return request.param


@pytest.fixture(params=[DOC, TURNED], ids=["upright", "turned and mirrored"])
def drawing(
    request: pytest.FixtureRequest, options: tuple[str, ...], border: Callable[..., bytes], read: Callable[..., object]
) -> object:
    """The border, read back."""
    key = (request.param, options)
    if key not in DRAWN:
        DRAWN[key] = border(request.param, *options)
    return read(DRAWN[key])


def test_the_border_is_one_layer_on_top_with_its_layers_inside(drawing: object) -> None:
    """Each is a layer with a label, each part comes once and in order, and only the stitching line is hidden."""
    layer = drawing.border
    assert layer is drawing.root[-1]
    assert layer.get(f"{CW}edge") == "edge"
    assert layer.get(f"{CW}version") == "1"
    inside = [child.get(f"{CW}part") for child in layer]
    assert inside == [part for part in LAYERS if part in inside]
    assert {"guides", "zigzag", "fills", "marks", "stitching", "notes"} <= set(inside)
    for group in (layer, *layer):
        assert group.tag == f"{SVG}g"
        assert group.get(f"{INKSCAPE}groupmode") == "layer"
        assert group.get(f"{INKSCAPE}label")
        hidden = "display:none" in group.get("style", "").replace(" ", "")
        assert hidden == (group.get(f"{CW}part") in {"stitching", "order"})


def test_the_namespace_is_declared_on_the_root_and_data_lives_in_attributes_only(drawing: object) -> None:
    """The editor copies foreign elements with their ids; attributes survive."""
    assert drawing.root.nsmap["cw"] == "urn:cornerwise"
    for element in drawing.border.iter():
        assert element.tag.startswith(SVG)
        assert "cw" not in element.nsmap or element.nsmap["cw"] == "urn:cornerwise"
    assert not [path for path in drawing.border.iter(f"{SVG}path") if len(path)]


def test_guides_zigzag_and_corner_lines_are_there_once(drawing: object) -> None:
    """One path each for seam and stop line, one for each side, one for each line across a corner, pivot outwards."""
    guides, zigzag = drawing.layer("guides"), drawing.layer("zigzag")
    assert [path.get(f"{CW}part") for path in guides] == ["border-seam", "stop-line"]
    parts = [path.get(f"{CW}part") for path in zigzag]
    corner = drawing.recipe["corner"]
    assert parts.count("side") == 4
    assert parts.count("corner-line") == 4 * {"mitred": 1, "large": 0, "square": 2}[corner]
    assert [path.get(f"{CW}side") for path in drawing.parts("side")] == NAMES
    pivots = {name: line[-1] for name, line in drawing.sides().items()}
    for path in drawing.parts("corner-line"):
        ((start, *_),) = drawing.lines(path)
        assert min(math.dist(start, pivot) for pivot in pivots.values()) < 1e-6


def test_each_zigzag_runs_clockwise_from_pivot_to_pivot(drawing: object) -> None:
    """It alternates between the seam and the stop line, two diagonals for each triangle."""
    sides = drawing.sides()
    counts = {side["side"]: side["count"] for side in drawing.recipe["sides"]}
    for before, after in zip(NAMES, [*NAMES[1:], NAMES[0]], strict=True):
        assert math.dist(sides[before][-1], sides[after][0]) < 1e-6
    assert {name: len(line) for name, line in sides.items()} == {name: 2 * counts[name] + 1 for name in NAMES}
    assert _area([line[0] for line in sides.values()]) > 0


def _area(corners: list[tuple[float, float]]) -> float:
    """Twice the area; more than 0 when the corners run clockwise as seen."""
    return sum(a * d - b * c for (a, b), (c, d) in itertools.pairwise([*corners, corners[0]]))


def test_a_side_of_n_triangles_has_the_promised_sections(drawing: object) -> None:
    """As many as counted on the seam, one fewer on the stop line, and the pieces of the corner that ends it, each with its name."""
    corner = CORNERS[drawing.recipe["corner"]]
    wanted = []
    for side in drawing.recipe["sides"]:
        for base, count in (("in", side["count"]), ("out", side["count"] - 1), ("corner", corner)):
            wanted += [f"{side['side']}-{base}-{i + 1}" for i in range(count)]
    sections = drawing.parts("section")
    assert [section.get(f"{CW}section") for section in sections] == wanted
    for section in sections:
        side, base, _ = section.get(f"{CW}section").split("-")
        assert section.get(f"{CW}side") == side
        assert section.get(f"{CW}base") == {"in": "inner", "out": "outer", "corner": "corner"}[base]
    groups = drawing.layer("fills")
    assert [{s.get(f"{CW}side") for s in group} for group in groups] == [{name} for name in NAMES]


def _distance(spot: tuple[float, float], line: list[tuple[float, float]]) -> float:
    """Inches from an endless line through the first and last of some spots."""
    (a, b), (c, d) = line[0], line[-1]
    return abs((c - a) * (spot[1] - b) - (d - b) * (spot[0] - a)) / math.dist((a, b), (c, d))


def test_the_corners_of_a_section_begin_with_its_base(drawing: object) -> None:
    """From left to right seen from the centre; four for one piece of a large or square corner, else three."""
    scale = drawing.recipe["scale"]
    ((*seam, _),) = drawing.lines(drawing.layer("border-seam"))
    ((*stop, _),) = drawing.lines(drawing.layer("stop-line"))
    four = 0
    for section in drawing.parts("section"):
        corners, name = drawing.corners(section), section.get(f"{CW}section")
        side = NAMES.index(section.get(f"{CW}side"))
        on_seam = [seam[side], seam[(side + 1) % 4]]
        on_stop = [stop[side], stop[(side + 1) % 4]]
        assert len({(round(x, 6), round(y, 6)) for x, y in corners}) == len(corners)
        base = section.get(f"{CW}base")
        if base == "inner":
            lines = [on_seam, on_seam, on_stop]
            assert _area(corners) < 0, "left to right, and the tip beyond: seen from above that is anticlockwise"
        elif base == "outer":
            lines = [on_stop, on_stop, on_seam]
            assert _area(corners) > 0
        else:
            assert _area(corners) > 0
            pivot, outer = seam[(side + 1) % 4], stop[(side + 1) % 4]
            if len(corners) == 4:
                four += 1
                assert math.dist(corners[0], pivot) < 1e-6
                assert math.dist(corners[2], outer) < 1e-6
            else:
                assert math.dist(corners[2], pivot) < 1e-6
            continue
        assert [_distance(*pair) * scale for pair in zip(corners, lines, strict=True)] == pytest.approx(
            [0] * 3, abs=1e-5
        ), name
    assert four == (0 if drawing.recipe["corner"] == "mitred" else 4)


def test_a_section_carries_its_fill_its_spacing_and_a_fingerprint(drawing: object) -> None:
    """One path for the fill, which lies inside the section's corners; none where there is no fill."""
    recipe = drawing.recipe
    used = {"inner": recipe["fill"], "outer": recipe["outerfill"], "corner": recipe["cornerfill"]}
    for section in drawing.parts("section"):
        wanted = used[section.get(f"{CW}base")]
        fill = recipe["fill"] if wanted == "same" else wanted
        assert section.get(f"{CW}fill") == fill
        assert section.get(f"{CW}drawn")
        assert 0 < float(section.get(f"{CW}spacing-in")) <= 1.05 * recipe["spacing"] + 1e-4
        paths = section.findall(f"{SVG}path")
        assert len(paths) == len(section) <= 1
        assert bool(paths) == (fill != "none" and section.get(f"{CW}note") is None)
        for path in paths:
            assert path.get(f"{CW}part") == "fill"
            corners = drawing.corners(section)
            turn = math.copysign(1, _area(corners))
            edges = list(itertools.pairwise([*corners, corners[0]]))
            for spot in itertools.chain.from_iterable(drawing.lines(path)):
                assert all(
                    turn * ((c - a) * (spot[1] - b) - (d - b) * (spot[0] - a)) > -1e-5 for (a, b), (c, d) in edges
                ), section.get(f"{CW}section")


def test_labels_can_be_read_by_a_person(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """As the layers panel shows them."""
    drawing = read(border(DOC))
    labels = {element.get(f"{CW}section"): element.get(f"{INKSCAPE}label") for element in drawing.parts("section")}
    assert labels["top-in-3"] == "Top, triangle 3, diamonds"
    assert len(set(labels.values())) == len(labels)
    for element in drawing.border.iter():
        if element.get(f"{CW}part"):
            assert re.match(r"[A-Z]", element.get(f"{INKSCAPE}label") or "")


def _length(line: list[tuple[float, float]]) -> float:
    return sum(math.dist(*pair) for pair in itertools.pairwise(line))


def test_the_run_is_one_unbroken_line_of_the_length_it_says(drawing: object) -> None:
    """Section by section there is one run, over all lines drawn; lengths in inches of quilt."""
    (run,) = drawing.parts("run")
    assert run.get(f"{CW}run") == "1"
    assert run.getparent() is drawing.layer("stitching")
    scale = drawing.recipe["scale"]
    assert re.findall(r"[A-Za-z]", run.get("d")) == ["M", "L"]
    (line,) = drawing.lines(run)
    length, over, travel = (float(run.get(f"{CW}{name}-in")) for name in ("length", "over", "travel"))
    assert _length(line) * scale == pytest.approx(length, rel=1e-5)
    assert min(over, travel) >= 0
    assert math.dist(line[0], line[-1]) < 1e-6
    design = sum(map(_length, drawing.sides().values()))
    design += sum(_length(drawing.lines(path)[0]) for path in drawing.parts("corner-line"))
    design += sum(
        _length(one) for section in drawing.parts("section") if len(section) for one in drawing.lines(section[0])
    )
    assert design * scale + over + travel == pytest.approx(length, rel=1e-4)


def test_every_corner_of_the_zigzag_is_marked_once(drawing: object) -> None:
    """A dot on each dot of the seam and on each point of the stop line; a pivot belongs to the side it begins."""
    spots = sorted({(round(x, 4), round(y, 4)) for line in drawing.sides().values() for x, y in line})
    dots: list[tuple[float, float]] = []
    for path in drawing.parts("dots"):
        place = drawing.place(path)
        for x, y, r in re.findall(r"M (\S+),(\S+) A (\S+)", path.get("d")):
            across = float(x) + float(r), float(y)
            dots.append(tuple(place[i] * across[0] + place[i + 2] * across[1] + place[i + 4] for i in (0, 1)))
    assert len(dots) == len(spots)
    for dot in dots:
        assert min(math.dist(dot, spot) for spot in spots) < 1e-3


def test_strokes_have_real_widths(drawing: object) -> None:
    """In user units, no hairlines: what is printed is as wide as drawn."""
    paths: list[etree._Element] = [
        path for path in drawing.border.iter(f"{SVG}path") if "stroke:none" not in path.get("style")
    ]
    for path in paths:
        width = float(re.search(r"stroke-width:([\d.e-]+)", path.get("style"))[1])
        place = drawing.place(path)
        inches = width * math.sqrt(abs(place[0] * place[3] - place[1] * place[2])) * drawing.recipe["scale"]
        assert 0.01 < inches < 0.2


def test_ids_are_our_own_and_never_taken_twice(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """Where the document has elements of those ids already, others are taken."""
    taken = "".join(
        f'<{tag} id="{name}"/>'
        for tag, name in (
            ("g", "cornerwise-edge"),
            ("g", "cornerwise-edge-2-fills"),
            ("metadata", "cornerwise-edge-notes"),
        )
    )
    foreign = '<n:view xmlns:n="urn:notes" id="cornerwise-edge-2"/>'
    drawing = read(border(DOC.replace("</svg>", f"{taken}{foreign}</svg>")))
    ids = [element.get("id") for element in drawing.root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert len(drawing.border.findall("*[@id]")) >= 6
