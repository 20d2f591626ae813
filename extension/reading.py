"""A drawn border read back from the document as it now stands, in inches of quilt.

What she moved, added or took out is what is read: zigzag, corner lines and fills come from
the paths, not from what was remembered. The recipe gives only what a drawing cannot show:
which kind of border it is, what was asked for, where the corners are of which kind.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn

from extension.document import CW, SVG
from extension.gathering import StandingSection, gather
from extension.layers import child_layer
from extension.outlines import onto_page, outlines, parts, read_seam, read_widths, without_idle
from extension.page import inches_per_unit
from extension.record import Fitted, read_fitted, read_recipe
from extension.shapes import Reader
from geometry.errors import DrawingError
from geometry.fitting import Ask, SideFit
from geometry.graph import MEETING
from geometry.plane import Affine, Point, cross, distance, flat
from geometry.sections import corner_lines
from geometry.zigzag import Zigzag

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from geometry.plane import Line
    from geometry.quilt import Border, Side
    from geometry.sections import CornerStyle


@dataclass(frozen=True, slots=True)
class Standing:
    """A border as it stands.

    Attributes:
        layer: its layer in the document.
        edge_id: the shape it was drawn for.
        frame: from inches of quilt, from the edge's top left corner along its sides, to inches on the page.
        place: from the same to user units inside the layer.
        options: the values it was drawn with, lengths in inches.
        border: its outlines.
        zigzags: the zigzag of each side, as drawn.
        crossings: for each side the lines across the corner at its end, pivot outwards, as drawn.
        sections: all sections, side by side.
        loose: lines of fills that lie in no section.
    """

    layer: etree._Element
    edge_id: str
    frame: Affine
    place: Affine
    options: Mapping[str, Any]
    border: Border
    zigzags: tuple[Zigzag, ...]
    crossings: tuple[tuple[Line, ...], ...]
    sections: tuple[StandingSection, ...]
    loose: tuple[Line, ...]

    def layer_of(self, part: str) -> etree._Element | None:
        """The layer inside that holds one kind of thing."""
        return child_layer(self.layer, part)


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


def read_border(document: Document, layer: etree._Element) -> Standing:
    """Read one border.

    Raises:
        QuiltError: it no longer is what a border looks like; the sentence says what is missing.
    """
    options, widths = read_recipe(layer)
    fitted = read_fitted(layer)
    reader = Reader(document.root)
    inches = inches_per_unit(document.root) * options["scale"]
    to_inches = Affine(inches, 0, 0, inches).after(onto_page(layer))
    sides = _sides(reader, layer)
    seam = [to_inches.at(corner) for corner in read_seam(reader, layer, sides)]
    remembered = read_widths(document, layer, options, seam, inches) or [
        # all of it may have been made larger or smaller by hand
        width * (distance(seam[0], seam[1]) / fitted["top"].length if "top" in fitted else 1.0)
        for width in widths
    ]
    frame, border = outlines(seam, remembered, options)
    place = to_inches.inverse().after(frame)
    to_quilt = frame.inverse().after(to_inches)
    zigzags = _joined([_zigzag(side, sides, fitted, to_quilt) for side in border.sides])
    crossings = tuple(_crossings(reader, layer, zigzags, options["corner"], to_quilt))
    sections, loose = gather(reader, layer, zigzags, crossings, options["corner"], to_quilt)
    edge_id = layer.get(f"{{{CW}}}edge", "")
    return Standing(layer, edge_id, frame, place, options, border, zigzags, crossings, sections, loose)


def _sides(reader: Reader, layer: etree._Element) -> dict[str, list[Point]]:
    """The zigzag of each side as drawn, in user units inside the layer."""
    found: dict[str, list[Point]] = {}
    for element, place, name in parts(layer, "zigzag", "side"):
        for line in reader.lines_of(element):
            found.setdefault(name, []).extend(place.line(flat(line)))
    return found


def _zigzag(side: Side, drawn: Mapping[str, Sequence[Point]], fitted: Mapping[str, Fitted], to_quilt: Affine) -> Zigzag:
    """The zigzag of a side, from pivot to pivot whichever way it was drawn."""
    nodes = without_idle(to_quilt.line(tuple(drawn[side.name])), min(MEETING, side.height / 10))
    if distance(nodes[0], side.start) > distance(nodes[-1], side.start):
        nodes = nodes[::-1]
    if len(nodes) < 3 or len(nodes) % 2 == 0:  # noqa: PLR2004
        _no_zigzag(side, f"has {len(nodes)} points")
    heights = [-cross(side.ahead, node.minus(side.start)) for node in nodes]
    half = sorted(heights)[-(len(nodes) // 2 + 1) // 2] / 2
    for number, height in enumerate(heights):
        if (height > half) != bool(number % 2):
            _no_zigzag(side, f"is across the middle of the border at its point number {number + 1}")
    nodes = [_snapped(nodes[0], (side.start,)), *nodes[1:-1], _snapped(nodes[-1], (side.end,))]
    return Zigzag(side, _fit(side, len(nodes) // 2, fitted.get(side.name)), tuple(nodes[::2]), tuple(nodes[1::2]))


def _no_zigzag(side: Side, found: str) -> NoReturn:
    raise DrawingError(
        f"The zigzag of the {side.name} side {found}; it must go from pivot to pivot, seam to stop line and back: "
        "please undo the change, or draw the border again."
    )


def _joined(zigzags: Sequence[Zigzag]) -> tuple[Zigzag, ...]:
    """Where one side ends and the next begins nearly there, they meet in one point."""
    return tuple(
        replace(one, dots=(_snapped(one.dots[0], (before.dots[-1],)), *one.dots[1:]))
        for before, one in zip((zigzags[-1], *zigzags[:-1]), zigzags, strict=True)
    )


def _fit(side: Side, count: int, known: Fitted | None) -> SideFit:
    """What was fitted on a side, if that is what is still there; otherwise its triangles taken as all alike."""
    even = side.length / count
    if known is None or known.triangles != count:
        return SideFit(Ask(side.length, side.height, even), count, "even", even, 0, even)
    way = "ease" if known.each else "even"
    return SideFit(Ask(side.length, side.height, known.asked), count, way, known.repeat, known.each, known.eased)  # type: ignore[arg-type]


def _snapped(point: Point, places: Iterable[Point]) -> Point:
    """A point, or the place it is meant to be at."""
    nearest = min(places, key=lambda place: distance(place, point), default=point)
    return nearest if distance(nearest, point) <= MEETING else point


def _crossings(
    reader: Reader, layer: etree._Element, zigzags: Sequence[Zigzag], corner: CornerStyle, to_quilt: Affine
) -> Iterator[tuple[Line, ...]]:
    """The lines across each corner; each belongs to the pivot nearest to its beginning."""
    found: dict[int, list[Line]] = {}
    pivots = [zigzag.dots[-1] for zigzag in zigzags]
    for element, place, _ in parts(layer, "zigzag", "corner-line"):
        for line in reader.lines_of(element):
            points = to_quilt.after(place).line(flat(line))
            number = min(range(len(pivots)), key=lambda i: min(distance(pivots[i], p) for p in (points[0], points[-1])))
            if distance(points[-1], pivots[number]) < distance(points[0], pivots[number]):
                points = points[::-1]
            found.setdefault(number, []).append(points)
    for number, (one, two) in enumerate(zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)):
        ends = [line[-1] for line in corner_lines(one, two, corner)]
        drawn = found.get(number, [])
        if len(drawn) != len(ends):
            raise DrawingError(
                f"The corner after the {one.side.name} side has {len(drawn)} lines across it; a {corner} corner has "
                f"{len(ends)}: please undo the change, or draw the border again."
            )
        # in the order the corner's pieces lie
        lines = min(
            itertools.permutations(drawn),
            key=lambda lines: sum(distance(line[-1], end) for line, end in zip(lines, ends, strict=True)),
        )
        yield tuple((_snapped(line[0], (one.dots[-1],)), *line[1:-1], _snapped(line[-1], ends)) for line in lines)
