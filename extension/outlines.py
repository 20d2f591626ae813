"""The outlines of a drawn border: its seam as drawn, the edge as it is, and the frame that both give the quilt."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NoReturn

from extension.document import CW
from extension.layers import child_layer
from extension.selection import read_rectangle
from extension.shapes import elements_in, transform_of
from geometry.errors import DrawingError, QuiltError
from geometry.graph import MEETING
from geometry.plane import Affine, Point, distance, distance_to_piece, flat
from geometry.quilt import PLACES, Border, border_around, rectangle

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.shapes import Reader

EVEN = 1e-3
"""Share by which a border may be stretched one way more than the other before it is refused."""


def onto_page(layer: etree._Element) -> Affine:
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
        refuse(layer, "is flattened to nothing", "undo its transform")
    if abs(long / other - 1) > EVEN or abs(a * c + b * d) > EVEN * long * other:
        refuse(layer, "is stretched or skewed", "undo that, change the edge instead and draw the border again")
    return place


def refuse(layer: etree._Element, found: str, todo: str) -> NoReturn:
    """Say what is wrong with a border as a whole."""
    raise DrawingError(f"The border “{layer.get('id', '')}” {found}; it must be whole and true to size: please {todo}.")


def parts(layer: etree._Element, inside_of: str, part: str) -> Iterator[tuple[etree._Element, Affine, str]]:
    """The elements of one kind in one of the layers, with the map to the border's layer and the side they name."""
    group = child_layer(layer, inside_of)
    if group is None:
        return
    for element, place in elements_in(group, transform_of(group)):
        if element.get(f"{{{CW}}}part") == part:
            yield element, place, element.get(f"{{{CW}}}side", "")


def read_seam(reader: Reader, layer: etree._Element, sides: Mapping[str, Sequence[Point]]) -> list[Point]:
    """The corners of the border seam as drawn, from the start of the first side on, clockwise.

    Where the guide is gone, or is no outline of four corners, they are where the sides' zigzags begin.
    """
    ends = [(sides[name][0], sides[name][-1]) for name in PLACES if name in sides]
    if len(ends) != len(PLACES):
        missing = next(name for name in PLACES if name not in sides)
        refuse(layer, f"has lost the zigzag of its {missing} side", "undo that, or draw the border again")
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
    if min(distance(seam[0], seam[1]), distance(seam[0], seam[3])) <= 0:
        refuse(layer, "has a seam without any length", "draw the border again")
    return seam


def _outlines_drawn(reader: Reader, layer: etree._Element) -> Iterator[list[Point]]:
    """The four corners of whatever is drawn as border seam; empty where it is no such outline."""
    for element, place, _ in parts(layer, "guides", "border-seam"):
        for line in reader.lines_of(element):
            points = place.line(flat(line))
            near = 1e-6 * max(distance(points[0], point) for point in points)
            corners = without_idle(points, near)
            closed = distance(corners[0], corners[-1]) <= near
            yield corners[:-1] if closed and len(corners) == len(PLACES) + 1 else []


def _axes(seam: Sequence[Point]) -> Affine:
    """From inches along the seam's top and down from it to inches on the page."""
    ahead = seam[1].minus(seam[0]).times(1 / distance(seam[0], seam[1]))
    down = seam[3].minus(seam[0])
    side = 1.0 if ahead.x * down.y - ahead.y * down.x > 0 else -1.0
    return Affine(ahead.x, ahead.y, -ahead.y * side, ahead.x * side, seam[0].x, seam[0].y)


def outlines(seam: Sequence[Point], widths: Sequence[float], options: Mapping[str, Any]) -> tuple[Affine, Border]:
    """The frame of the quilt and the border's outlines, from the seam as drawn and the widths around it."""
    top, right, bottom, left = widths
    frame = _axes(seam).after(Affine(1, 0, 0, 1, -left, -top))
    room = options["binding"] if options["kind"] == "outer" else 0.0
    wide, high = distance(seam[0], seam[1]) + left + right, distance(seam[0], seam[3]) + top + bottom
    return frame, border_around(rectangle(wide, high), widths, room, options["kind"])


def read_widths(
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
