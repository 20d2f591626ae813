"""A drawn border read back from the document as it now stands, in inches of quilt.

What she moved, added or took out is what is read: zigzag, corner lines and fills come from
the paths, not from what was remembered. The recipe gives only what a drawing cannot show:
which kind of border it is, what was asked for, where the corners are of which kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from extension.document import CW, SVG
from extension.gathering import StandingSection, gather
from extension.page import inches_per_unit
from extension.record import Fitted, read_fitted, read_recipe
from extension.selection import read_rectangle
from extension.shapes import elements_in, lines_of, transform_of
from geometry.errors import DrawingError, QuiltError
from geometry.fitting import Ask, SideFit
from geometry.graph import MEETING
from geometry.plane import Affine, Point, distance, flat
from geometry.quilt import Border, border_around, rectangle
from geometry.sections import corner_lines
from geometry.zigzag import Zigzag, zigzag_along

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from geometry.plane import Line
    from geometry.quilt import Kind, Side

EVEN = 1e-3
"""Share by which a border may be stretched one way more than the other before it is refused."""


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
        loose: lines on the fills layer that lie in no section, and the elements they come from.
        stretch: how many times larger than when it was drawn.
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
    loose: tuple[tuple[etree._Element, Line], ...]
    stretch: float = 1.0

    def layer_of(self, part: str) -> etree._Element | None:
        """The layer inside that holds one kind of thing."""
        return _child(self.layer, part)


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


def read_border(document: Document, layer: etree._Element, *, as_fitted: bool = False) -> Standing:
    """Read one border.

    With `as_fitted` the zigzag is the one that was fitted, whatever became of it by hand; so is what its sections are.

    Raises:
        QuiltError: it no longer is what a border looks like; the sentence says what is missing.
    """
    options, widths = read_recipe(layer)
    fitted = read_fitted(layer)
    seam, to_inches, inches = _seam(document, layer, options)
    # all of it may have been made larger or smaller by hand
    stretch = distance(seam[0], seam[1]) / fitted["top"].length if "top" in fitted else 1.0
    remembered = _widths(document, layer, options, seam, inches) or [width * stretch for width in widths]
    room = options["binding"] * (stretch if as_fitted else 1.0) if options["kind"] == "outer" else 0.0
    frame, border = _outlines(seam, remembered, room, options["kind"])
    place = to_inches.inverse().after(frame)
    to_quilt = frame.inverse().after(to_inches)
    if as_fitted and all(side.name in fitted for side in border.sides):
        zigzags = tuple(zigzag_along(side, _fit(side, fitted[side.name])) for side in border.sides)
        following = (*zigzags[1:], zigzags[0])
        crossings = tuple(corner_lines(a, b, options["corner"]) for a, b in zip(zigzags, following, strict=True))
    else:
        zigzags = tuple(_zigzags(layer, border, fitted, to_quilt))
        crossings = tuple(_crossings(layer, zigzags, options["corner"], to_quilt))
    sections, loose = gather(_child(layer, "fills"), zigzags, options["corner"], to_quilt)
    edge_id = layer.get(f"{{{CW}}}edge", "")
    return Standing(layer, edge_id, frame, place, options, border, zigzags, crossings, sections, loose, stretch)


def _seam(document: Document, layer: etree._Element, options: Mapping[str, Any]) -> tuple[list[Point], Affine, float]:
    """The corners of the border seam in inches on the page, the map there from inside the layer, inches to a unit."""
    inches = inches_per_unit(document.root) * options["scale"]
    to_inches = Affine(inches, 0, 0, inches).after(_onto_page(layer, document.root))
    seam = [to_inches.at(corner) for corner in _guide(layer)]
    if len(seam) != 4 or min(distance(seam[0], seam[1]), distance(seam[0], seam[3])) <= 0:  # noqa: PLR2004
        _refuse(layer, f"has a seam of {len(seam)} corners", "draw the border again")
    return seam, to_inches, inches


def _child(layer: etree._Element, part: str) -> etree._Element | None:
    return next((child for child in layer if child.get(f"{{{CW}}}part") == part), None)


def _onto_page(layer: etree._Element, root: etree._Element) -> Affine:
    """The map from user units inside the layer to those of the page.

    Raises:
        DrawingError: it squeezes or skews the border.
    """
    place = Affine()
    for node in (layer, *layer.iterancestors()):
        if node is not root:
            place = transform_of(node).after(place)
    a, b, c, d = place[:4]
    long, other = math.hypot(a, b), math.hypot(c, d)
    if not all(map(math.isfinite, place)) or min(long, other) <= 0:
        _refuse(layer, "is flattened to nothing", "undo its transform")
    if abs(long / other - 1) > EVEN or abs(a * c + b * d) > EVEN * long * other:
        _refuse(layer, "is stretched or skewed", "undo that, change the edge instead and draw the border again")
    return place


def _refuse(layer: etree._Element, found: str, todo: str) -> None:
    raise DrawingError(f"The border “{layer.get('id', '')}” {found}; it must be whole and true to size: please {todo}.")


def _guide(layer: etree._Element) -> list[Point]:
    """The corners of the border seam as drawn; where the guide is gone, the first point of each side's zigzag."""
    for element, place, _ in _parts(layer, "guides", "border-seam"):
        for line in lines_of(element):
            corners = [place.at(point) for point in flat(line)]
            if corners and distance(corners[0], corners[-1]) < 1e-9 + 1e-6 * distance(
                corners[0], corners[len(corners) // 2]
            ):
                corners = corners[:-1]
            if len(corners) >= 3:  # noqa: PLR2004 - anything less is no outline
                return corners
    starts = [
        place.at(flat(line)[0])
        for element, place, _ in _parts(layer, "zigzag", "side")
        for line in lines_of(element)[:1]
    ]
    if len(starts) < 3:  # noqa: PLR2004
        _refuse(layer, "has lost its border seam and zigzag", "draw the border again")
    return starts


def _parts(layer: etree._Element, inside_of: str, part: str) -> Iterator[tuple[etree._Element, Affine, str]]:
    """The elements of one kind in one of the layers, with the map to the border's layer and the side they name."""
    group = _child(layer, inside_of)
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


def _zigzags(layer: etree._Element, border: Border, fitted: Mapping[str, Fitted], to_quilt: Affine) -> Iterator[Zigzag]:
    drawn: dict[str, list[Point]] = {}
    for element, place, name in _parts(layer, "zigzag", "side"):
        for line in lines_of(element):
            drawn.setdefault(name, []).extend(to_quilt.after(place).line(flat(line)))
    for side in border.sides:
        nodes = _without_idle(drawn.get(side.name, []))
        if len(nodes) < 3 or len(nodes) % 2 == 0:  # noqa: PLR2004
            raise DrawingError(
                f"The zigzag of the {side.name} side has {len(nodes)} points; it must go from pivot to pivot, seam to edge "
                "and back: please undo the change, or draw the border again."
            )
        nodes = [_snapped(nodes[0], (side.start,)), *nodes[1:-1], _snapped(nodes[-1], (side.end,))]
        count, known = len(nodes) // 2, fitted.get(side.name)
        even = SideFit(
            Ask(side.length, side.height, side.length / count),
            count,
            "even",
            side.length / count,
            0,
            side.length / count,
        )
        fit = _fit(side, known) if known is not None and known.triangles == count else even
        yield Zigzag(side, fit, tuple(nodes[::2]), tuple(nodes[1::2]))


def _fit(side: Side, known: Fitted) -> SideFit:
    """What was fitted on a side, as much larger or smaller as the side is now."""
    share = side.length / known.length
    return SideFit(
        Ask(side.length, side.height, known.asked * share), known.triangles, "ease" if known.each else "even",
        known.repeat * share, known.each, known.eased * share,
    )  # fmt: skip


def _without_idle(nodes: Sequence[Point]) -> list[Point]:
    """The turns of a line: points on a straight way between their neighbours left out."""
    kept: list[Point] = []
    for i, node in enumerate(nodes):
        if kept and distance(kept[-1], node) < 1e-9:  # noqa: PLR2004 - inches
            continue
        if kept and i + 1 < len(nodes):
            before, after = node.minus(kept[-1]), nodes[i + 1].minus(node)
            turn = abs(before.x * after.y - before.y * after.x)
            forth = before.x * after.x + before.y * after.y
            if forth > 0 and turn < 1e-6 * math.hypot(*before) * math.hypot(*after):
                continue
        kept.append(node)
    return kept


def _snapped(point: Point, places: Iterable[Point]) -> Point:
    """A point, or the place it is meant to be at."""
    nearest = min(places, key=lambda place: distance(place, point), default=point)
    return nearest if distance(nearest, point) <= MEETING else point


def _crossings(
    layer: etree._Element, zigzags: Sequence[Zigzag], corner: str, to_quilt: Affine
) -> Iterator[tuple[Line, ...]]:
    """The lines across each corner; each belongs to the pivot nearest to its beginning."""
    found: dict[int, list[Line]] = {}
    pivots = [zigzag.side.end for zigzag in zigzags]
    for element, place, _ in _parts(layer, "zigzag", "corner-line"):
        for line in lines_of(element):
            points = to_quilt.after(place).line(flat(line))
            number = min(range(len(pivots)), key=lambda i: min(distance(pivots[i], p) for p in (points[0], points[-1])))
            if distance(points[-1], pivots[number]) < distance(points[0], pivots[number]):
                points = points[::-1]
            found.setdefault(number, []).append(points)
    for number, (one, two) in enumerate(zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)):
        meant = corner_lines(one, two, corner)  # type: ignore[arg-type]
        drawn = found.get(number, [])
        if len(drawn) != len(meant):
            raise DrawingError(
                f"The corner after the {one.side.name} side has {len(drawn)} lines across it; a {corner} corner has "
                f"{len(meant)}: please undo the change, or draw the border again."
            )
        # in the order the corner's pieces lie
        drawn.sort(key=lambda line: min(range(len(meant)), key=lambda i: distance(line[-1], meant[i][-1])))
        ends = [line[-1] for line in meant]
        yield tuple((_snapped(line[0], (one.side.end,)), *line[1:-1], _snapped(line[-1], ends)) for line in drawn)
