"""Where a drawn border lies: its layers, its seam as it stands, the frame of the quilt, its outlines."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn

from extension.document import CW, SVG
from extension.layers import child_layer
from extension.page import inches_per_unit
from extension.record import read_fitted, read_recipe
from extension.selection import read_rectangle
from extension.shapes import Reader, elements_in, transform_of
from geometry.errors import DrawingError, QuiltError
from geometry.graph import MEETING
from geometry.plane import Affine, Point, distance, distance_to_piece, flat
from geometry.quilt import PLACES, Border, border_around, rectangle

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from geometry.plane import Line
    from geometry.quilt import Kind

EVEN = 1e-3
"""Share by which a border may be stretched one way more than the other before it is refused."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a border lies, and what it was drawn with.

    Attributes:
        layer: its layer in the document.
        options: the values it was drawn with, lengths in inches.
        border: its outlines.
        frame: from inches of quilt, from the edge's top left corner along its sides, to inches on the page.
        place: from the same to user units inside the layer.
        stretch: how many times larger it is than when it was drawn.
    """

    layer: etree._Element
    options: Mapping[str, Any]
    border: Border
    frame: Affine
    place: Affine
    stretch: float

    @property
    def to_quilt(self) -> Affine:
        """From user units inside the layer to inches of quilt."""
        return self.place.inverse()

    def lines(self, layer: str, part: str) -> Iterator[tuple[str, Line]]:
        """The lines of one kind on one of its layers, in inches of quilt, each with the side it names."""
        reader = Reader(self.layer.getroottree().getroot())
        for element, place, side in parts_of(self.layer, layer, part):
            for line in reader.lines_of(element):
                yield side, self.to_quilt.after(place).line(line)


def borders_in(document: Document) -> list[etree._Element]:
    """The layers of all borders of a document."""
    return [g for g in document.root.iter(f"{{{SVG}}}g") if g.get(f"{{{CW}}}part") == "border"]


def chosen_border(document: Document, ids: Sequence[str]) -> list[etree._Element]:
    """The borders meant by the selection: those that hold a selected element or were drawn for it; all if none is.

    Raises:
        DrawingError: there is no border at all.
    """
    found = borders_in(document)
    if not found:
        raise DrawingError(
            "There is no border in the document; it must hold one drawn by Cornerwise: please draw a border first."
        )
    wanted = set(ids)
    meant = [
        layer
        for layer in found
        if layer.get(f"{{{CW}}}edge") in wanted or any(e.get("id") in wanted for e in layer.iter(f"{{{SVG}}}*"))
    ]
    return meant or found


def drawn_for(document: Document, edge_id: str) -> etree._Element | None:
    """The border drawn for an edge; of copies the one that still lies on it."""
    found = [layer for layer in borders_in(document) if layer.get(f"{{{CW}}}edge") == edge_id]
    if len(found) > 1:
        found = [layer for layer in found if _lies_on_its_edge(document, layer)] or found
    return found[0] if found else None


def _lies_on_its_edge(document: Document, layer: etree._Element) -> bool:
    try:
        options, _ = read_recipe(layer)
        seam, _, inches = _seam(document, layer, options)
    except QuiltError:
        return False
    return _widths(document, layer, options, seam, inches) is not None


def read_ground(document: Document, layer: etree._Element, *, as_fitted: bool = False) -> Ground:
    """Find out where a border lies, from its seam as drawn and the edge as it is.

    With `as_fitted` the room for the binding has grown with the border, if that was made larger by hand.

    Raises:
        QuiltError: it no longer is what a border looks like; the sentence says what is missing.
    """
    options, widths = read_recipe(layer)
    fitted = read_fitted(layer)
    seam, to_inches, inches = _seam(document, layer, options)
    stretch = distance(seam[0], seam[1]) / fitted["top"].length if "top" in fitted else 1.0
    remembered = _widths(document, layer, options, seam, inches) or [width * stretch for width in widths]
    room = options["binding"] * (stretch if as_fitted else 1.0) if options["kind"] == "outer" else 0.0
    frame, border = _outlines(seam, remembered, room, options["kind"])
    return Ground(layer, options, border, frame, to_inches.inverse().after(frame), stretch)


def _seam(document: Document, layer: etree._Element, options: Mapping[str, Any]) -> tuple[list[Point], Affine, float]:
    """The corners of the border seam in inches on the page, the map there from inside the layer, inches to a unit."""
    inches = inches_per_unit(document.root) * options["scale"]
    to_inches = Affine(inches, 0, 0, inches).after(_onto_page(layer))
    reader = Reader(document.root)
    sides: dict[str, list[Point]] = {}
    for element, place, name in parts_of(layer, "zigzag", "side"):
        for line in reader.lines_of(element):
            sides.setdefault(name, []).extend(place.line(flat(line)))
    seam = [to_inches.at(corner) for corner in _read_seam(reader, layer, sides)]
    return seam, to_inches, inches


def _onto_page(layer: etree._Element) -> Affine:
    """The map from user units inside the layer to those of the page.

    Raises:
        DrawingError: it squeezes or skews the border.
    """
    place = Affine()
    for node in (layer, *layer.iterancestors()):
        place = transform_of(node).after(place)
    a, b, c, d = place[:4]
    long, other = math.hypot(a, b), math.hypot(c, d)
    if not all(map(math.isfinite, place)) or min(long, other) <= 0:
        _refuse(layer, "is flattened to nothing", "undo its transform")
    if abs(long / other - 1) > EVEN or abs(a * c + b * d) > EVEN * long * other:
        _refuse(layer, "is stretched or skewed", "undo that, change the edge instead and draw the border again")
    return place


def _refuse(layer: etree._Element, found: str, todo: str) -> NoReturn:
    raise DrawingError(f"The border “{layer.get('id', '')}” {found}; it must be whole and true to size: please {todo}.")


def _read_seam(reader: Reader, layer: etree._Element, sides: Mapping[str, Sequence[Point]]) -> list[Point]:
    """The corners of the border seam as drawn, from the start of the first side on, clockwise.

    Where the guide is gone, or is no outline of four corners, they are where the sides' zigzags begin.
    """
    ends = [(sides[name][0], sides[name][-1]) for name in PLACES if name in sides]
    if len(ends) != len(PLACES):
        missing = next(name for name in PLACES if name not in sides)
        _refuse(layer, f"has lost the zigzag of its {missing} side", "undo that, or draw the border again")
    corners = next(filter(None, _outlines_drawn(reader, layer)), None) or [
        min(two, key=lambda end: min(distance(end, other) for other in one))
        for one, two in zip((ends[-1], *ends[:-1]), ends, strict=True)
    ]
    turned = [order[i:] + order[:i] for order in (corners, corners[::-1]) for i in range(len(corners))]

    def away(order: Sequence[Point]) -> float:
        """How far the corners are from the ends of the zigzags, whichever way those were drawn."""
        pairs = zip(ends, order, [*order[1:], order[0]], strict=True)
        return sum(
            min(distance(one, here) + distance(two, there), distance(one, there) + distance(two, here))
            for (one, two), here, there in pairs
        )

    seam = min(turned, key=away)
    if not all(0 < distance(seam[0], end) < math.inf for end in (seam[1], seam[3])):
        _refuse(layer, "has a seam without any length", "draw the border again")
    return seam


def _outlines_drawn(reader: Reader, layer: etree._Element) -> Iterator[list[Point]]:
    """The four corners of whatever is drawn as border seam; empty where it is no such outline."""
    for element, place, _ in parts_of(layer, "guides", "border-seam"):
        for line in reader.lines_of(element):
            points = place.line(flat(line))
            near = 1e-6 * max(distance(points[0], point) for point in points)
            corners = without_idle(points, near)
            closed = distance(corners[0], corners[-1]) <= near
            yield corners[:-1] if closed and len(corners) == len(PLACES) + 1 else []


def parts_of(layer: etree._Element, inside_of: str, part: str) -> Iterator[tuple[etree._Element, Affine, str]]:
    """The elements of one kind in one of the layers, with the map to the border's layer and the side they name."""
    group = child_layer(layer, inside_of)
    if group is None:
        return
    for element, place in elements_in(group, transform_of(group)):
        if element.get(f"{{{CW}}}part") == part:
            yield element, place, element.get(f"{{{CW}}}side", "")


def _axes(seam: Sequence[Point]) -> Affine:
    """From inches along the seam's top and down from it to inches on the page."""
    ahead = seam[1].minus(seam[0]).times(1 / distance(seam[0], seam[1]))
    down = seam[3].minus(seam[0])
    side = 1.0 if ahead.x * down.y - ahead.y * down.x > 0 else -1.0
    return Affine(ahead.x, ahead.y, -ahead.y * side, ahead.x * side, seam[0].x, seam[0].y)


def _outlines(seam: Sequence[Point], widths: Sequence[float], room: float, kind: Kind) -> tuple[Affine, Border]:
    """The frame of the quilt and the border's outlines, from the seam as drawn and the widths around it."""
    top, right, bottom, left = widths
    frame = _axes(seam).after(Affine(1, 0, 0, 1, -left, -top))
    wide, high = distance(seam[0], seam[1]) + left + right, distance(seam[0], seam[3]) + top + bottom
    return frame, border_around(rectangle(wide, high), widths, room, kind)


def _widths(
    document: Document, layer: etree._Element, options: Mapping[str, Any], seam: Sequence[Point], inches: float
) -> list[float] | None:
    """The border's widths between the seam as drawn and the edge as it is; None if the edge is gone or elsewhere."""
    try:
        edge = read_rectangle(document.root, layer.get(f"{{{CW}}}edge", ""), inches)
    except QuiltError:
        return None
    back = _axes(seam).inverse()
    corners = [back.at(corner) for corner in edge.corners]
    low_x, high_x = min(c.x for c in corners), max(c.x for c in corners)
    low_y, high_y = min(c.y for c in corners), max(c.y for c in corners)
    straight = all(min(abs(c.x - low_x), abs(c.x - high_x)) < MEETING for c in corners)
    widths = [-low_y, high_x - distance(seam[0], seam[1]), high_y - distance(seam[0], seam[3]), -low_x]
    room = options["binding"] if options["kind"] == "outer" else 0.0
    return widths if straight and min(widths) > room else None


def without_idle(nodes: Sequence[Point], near: float) -> list[Point]:
    """The turns of a line: nodes that lie on another, or on the straight way between their neighbours, left out."""
    kept: list[Point] = []
    for i, node in enumerate(nodes):
        if kept and distance(kept[-1], node) <= near:
            continue
        if kept and i + 1 < len(nodes) and distance_to_piece(node, kept[-1], nodes[i + 1]) <= near:
            continue
        kept.append(node)
    return kept
