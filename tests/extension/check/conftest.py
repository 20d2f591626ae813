"""Shared here: clean borders in several places, harmed in inches of quilt, and the check that tells what it finds."""

from __future__ import annotations

import functools
import json
import math
import re
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from lxml import etree

from extension.border import draw_border
from extension.check import as_json, limits_of
from extension.document import read_document
from extension.ground import borders_in
from extension.looking import look_at
from extension.options import BORDER_OPTIONS, CHECK_OPTIONS, read_options
from geometry.findings import inspect

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
WIDE, HIGH = 36.0, 48.0
"""Inches of the quilt in all places."""

Spot = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]


class Place(NamedTuple):
    """Where a quilt lies: a document, and the map from inches of quilt to the user units of its root."""

    document: str
    matrix: Matrix
    inches: float
    options: dict[str, str]


def _turned(degrees: float, scale: float, x: float, y: float) -> Matrix:
    cos, sin = scale * math.cos(math.radians(degrees)), scale * math.sin(math.radians(degrees))
    return (cos, sin, -sin, cos, x, y)


def _document(page: str, body: str) -> str:
    return f'<svg xmlns="{SVG[1:-1]}" {page}>{body}</svg>'


PLACES = {
    "in inches": Place(
        _document('width="38in" height="50in" viewBox="-1 -1 38 50"', f'<rect id="edge" style="fill:none;stroke:#888888;stroke-width:0.05" width="{WIDE}" height="{HIGH}"/>'),
        (1, 0, 0, 1, 0, 0), 1.0, {},
    ),
    "turned and scaled in a group on a page in millimetres": Place(
        _document(
            'width="1600mm" height="1600mm" viewBox="0 0 1600 1600"',
            f'<g transform="translate(500,100) rotate(20) scale(12.7)"><rect id="edge" width="{2 * WIDE}" height="{2 * HIGH}"/></g>',
        ),
        _turned(20, 25.4, 500, 100), 1 / 25.4, {},
    ),
    "eight times smaller in pixels": Place(
        _document('width="500px" height="700px"', f'<rect id="edge" x="30" y="40" width="{WIDE * 12}" height="{HIGH * 12}"/>'),
        (12, 0, 0, 12, 30, 40), 8 / 96, {"scale": "8"},
    ),
}  # fmt: skip


@functools.cache
def _clean(place: str, options: tuple[tuple[str, str], ...]) -> bytes:
    document = read_document(PLACES[place].document.encode())
    given = {option.name: option.default for option in BORDER_OPTIONS} | PLACES[place].options | dict(options)
    draw_border(document, ["edge"], read_options(given, BORDER_OPTIONS))
    return document.to_bytes()


NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"


class Step(NamedTuple):
    """A command of path data, absolute, and its points in inches of quilt."""

    letter: str
    points: tuple[Spot, ...]


class Sheet:
    """A drawn border to be harmed: everything goes in and comes out in inches of quilt from the edge's corner."""

    def __init__(self, place: str, options: dict[str, str]) -> None:
        """Draw a clean border."""
        self.place = PLACES[place]
        self.options = options
        self.root = etree.fromstring(_clean(place, tuple(options.items())))

    # places

    def out(self, spot: Spot) -> Spot:
        """From inches of quilt to user units."""
        a, b, c, d, e, f = self.place.matrix
        return (a * spot[0] + c * spot[1] + e, b * spot[0] + d * spot[1] + f)

    def back(self, spot: Spot) -> Spot:
        """From user units to inches of quilt."""
        a, b, c, d, e, f = self.place.matrix
        x, y, area = spot[0] - e, spot[1] - f, a * d - b * c
        return ((d * x - c * y) / area, (a * y - b * x) / area)

    def as_told(self, spot: Spot) -> Spot:
        """From inches of quilt to inches from the top left corner of the edge's bounding box."""
        corners = [self.out(corner) for corner in ((0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH))]
        x, y = self.out(spot)
        return (
            (x - min(corner[0] for corner in corners)) * self.place.inches,
            (y - min(corner[1] for corner in corners)) * self.place.inches,
        )

    # what is there

    def parts(self, part: str) -> list[etree._Element]:
        """Elements by `cw:part`, in document order."""
        return [element for element in self.root.iter(f"{SVG}*") if element.get(f"{CW}part") == part]

    def section(self, name: str) -> etree._Element:
        """The group of a section."""
        return next(group for group in self.parts("section") if group.get(f"{CW}section") == name)

    def names(self) -> list[str]:
        """All sections."""
        return [group.get(f"{CW}section") for group in self.parts("section")]

    def corners(self, name: str) -> list[Spot]:
        """A section's corners."""
        pairs = (pair.split(",") for pair in self.section(name).get(f"{CW}corners").split())
        return [self.back((float(x), float(y))) for x, y in pairs]

    def side(self, name: str) -> etree._Element:
        """The zigzag of a side."""
        return next(path for path in self.parts("side") if path.get(f"{CW}side") == name)

    def read(self, path: etree._Element) -> list[Step]:
        """The path data: M, L, C and Z only, as the tool writes it."""
        steps = []
        for letter, text in re.findall(r"([A-Za-z])([^A-DF-Za-df-z]*)", path.get("d")):
            assert letter in "MLCZ", path.get("d")
            numbers = [float(number) for number in re.findall(NUMBER, text)]
            spots = [self.back(spot) for spot in zip(numbers[::2], numbers[1::2], strict=True)]
            size = {"M": 1, "L": 1, "C": 3, "Z": 1}[letter]
            if letter == "Z":
                steps.append(Step("Z", ()))
            steps += [Step(letter, tuple(spots[i : i + size])) for i in range(0, len(spots), size)]
        return steps

    def nodes(self, name: str) -> list[Spot]:
        """The nodes of a section's lines, controls of curves left out."""
        return [step.points[-1] for path in self.section(name) for step in self.read(path) if step.points]

    # harms

    def write(self, path: etree._Element, steps: Iterable[Step]) -> None:
        """Put path data."""
        words = []
        for letter, points in steps:
            words.append(letter)
            words += ["{:.9f},{:.9f}".format(*self.out(point)) for point in points]
        path.set("d", " ".join(words))

    def move(self, path: etree._Element, old: Spot, new: Spot) -> None:
        """Drag a node, wherever the path has it; the handles of curves stay."""
        steps = self.read(path)
        moved = [
            Step(step.letter, (*step.points[:-1], new)) if step.points and math.dist(step.points[-1], old) < 1e-5 else step
            for step in steps
        ]  # fmt: skip
        assert moved != steps
        self.write(path, moved)

    def drag(self, name: str, old: Spot, new: Spot) -> None:
        """Drag a node of the first line of a section that has it."""
        path = next(
            p for p in self.section(name) if any(math.dist(s.points[-1], old) < 1e-5 for s in self.read(p) if s.points)
        )
        self.move(path, old, new)

    def clear(self, name: str) -> None:
        """Take out a section's lines."""
        for path in list(self.section(name)):
            self.section(name).remove(path)

    def draw(self, name: str, *subpaths: Sequence[Spot], curved: bool = False) -> etree._Element:
        """Draw lines into a section: nodes, or with `curved` chains of node, control, control, node."""
        path = etree.SubElement(self.section(name), f"{SVG}path", style="fill:none;stroke:#804000;stroke-width:0.05")
        steps = []
        for spots in subpaths:
            size = 3 if curved else 1
            steps.append(Step("M", (spots[0],)))
            steps += [Step("C" if curved else "L", tuple(spots[i : i + size])) for i in range(1, len(spots), size)]
        self.write(path, steps)
        return path

    # the check

    def found(self, **limits: str) -> list[dict[str, Any]]:
        """What the check tells; the same with everything that is remembered taken out."""
        found = told(etree.tostring(self.root), **limits)
        assert told(_forgetful(self.root), **limits) == found
        return found


def told(data: bytes, **limits: str) -> list[dict[str, Any]]:
    """What the check tells of a document with one border."""
    document = read_document(data)
    (layer,) = borders_in(document)
    drawn, ground = look_at(document, layer)
    options = read_options({option.name: option.default for option in CHECK_OPTIONS} | limits, CHECK_OPTIONS)
    findings: list[dict[str, Any]] = as_json([(inspect(drawn, limits_of(options)), ground)])["findings"]
    return findings


def _forgetful(root: etree._Element) -> bytes:
    """The document without fingerprints, without the stitching layer, without what was fitted."""
    root = etree.fromstring(etree.tostring(root))
    for element in list(root.iter(f"{SVG}g")):
        element.attrib.pop(f"{CW}drawn", None)
        if element.get(f"{CW}part") == "stitching":
            element.getparent().remove(element)
        if element.get(f"{CW}part") == "border":
            recipe = json.loads(element.get(f"{CW}recipe"))
            del recipe["sides"]
            element.set(f"{CW}recipe", json.dumps(recipe))
    return etree.tostring(root)


@pytest.fixture
def sheet() -> Callable[..., Sheet]:
    """A clean border: the name of a place, and options of the border."""

    def draw(place: str = "in inches", **options: str) -> Sheet:
        return Sheet(place, options)

    return draw


@pytest.fixture
def look() -> Callable[..., list[dict[str, Any]]]:
    """The check in this process: findings as in the JSON, of a document with one border."""
    return told
