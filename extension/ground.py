"""Where a drawn border lies: its layers, its seam as it stands, the frame of the quilt, its outlines."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from extension.document import CW, SVG, side_of, value_of
from extension.layers import child_layer
from extension.page import inches_per_unit
from extension.record import read_fitted, read_recipe
from extension.selection import read_outline
from extension.shapes import Reader, elements_in, transform_of
from geometry.carrying import triangle_map
from geometry.errors import DrawingError, QuiltError
from geometry.graph import MEETING
from geometry.plane import Affine, Point, cross, distance, distance_to_piece, flat
from geometry.quilt import (
    PLACES,
    Border,
    border_around,
    outset,
    rectangle,
    side_in_words,
    side_names,
    widths_between,
)
from geometry.tiers import bands

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.record import Recipe
    from geometry.plane import Line

EVEN = 1e-3
"""Share by which a border may be stretched one way more than the other before it is refused."""


class Ground(NamedTuple):
    """Where a border lies, and what it was drawn with.

    Attributes:
        layer: its layer in the document.
        options: the values it was drawn with, lengths in inches.
        border: its outlines.
        frame: from inches of quilt, from the corner of the box around the edge, to inches on the page.
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
    def bands(self) -> tuple[Border, ...]:
        """Its tiers, the lowest first."""
        return bands(self.border, self.options["tiers"])

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


def read_ground(
    document: Document, layer: etree._Element, *, grown_room: bool = False, as_planned: bool = False
) -> Ground:
    """Find out where a border lies, from its seam as drawn and the edge as it is.

    With `grown_room` the room for the binding has grown with the border, if that was made larger by hand; with `as_planned`
    its outlines are those it was drawn with, in inches of then, wherever the edge may be now, and however it was moved,
    turned, scaled or stretched.

    Raises:
        QuiltError: it no longer is what a border looks like; the sentence says what is missing.
    """
    lie = lie_of(document, layer, stretched=as_planned)
    recipe, stretch = lie.recipe, lie.stretch
    if as_planned and (planned := _on_plan(layer, lie)) is not None:
        return planned
    room = _room(recipe) * (stretch if grown_room else 1.0)
    widths = None if as_planned else _widths(document, layer, lie)
    widths = widths or [width * stretch for width in recipe.widths]
    insets = [width if name in recipe.sides else room for width, name in zip(widths, lie.names, strict=True)]
    edge = outset(lie.seam, insets)
    corner = Point(min(c.x for c in edge), min(c.y for c in edge))
    whole = tuple(point.minus(corner) for point in edge)
    border = border_around(whole, widths, room, recipe.options["kind"], sides=recipe.sides)
    frame = lie.onto_page.after(Affine(1, 0, 0, 1, corner.x, corner.y))
    return Ground(layer, recipe.options, border, frame, lie.to_inches.inverse().after(frame), stretch)


def _on_plan(layer: etree._Element, lie: Lie) -> Ground | None:
    """The border as it was planned, and the map from there to where it lies; None if its seam is no image of that one."""
    if lie.planned is None:
        return None
    seam = lie.planned.seam
    try:
        frame = triangle_map(seam[:3], lie.drawn[:3])
        back = frame.inverse().line(lie.drawn)
    except ZeroDivisionError:
        return None
    if max(map(distance, back, seam)) > MEETING:
        return None
    return Ground(layer, lie.recipe.options, lie.planned, frame, lie.to_inches.inverse().after(frame), 1.0)


def _room(recipe: Recipe) -> float:
    return float(recipe.options["binding"]) if recipe.options["kind"] == "outer" else 0.0


class Lie(NamedTuple):
    """How a border lies.

    Attributes:
        recipe: what it was drawn with.
        names: of all sides of the edge.
        seam: the corners of its seam in inches, turned as it was planned, from the first of them.
        onto_page: from there to inches on the page.
        to_inches: from user units inside the layer to inches on the page.
        inches: of quilt to one user unit of the page.
        stretch: how many times larger it is than planned.
        planned: its outlines as planned; None if they are not remembered.
        drawn: the corners of its seam as drawn, in inches on the page, in the order of the plan.
    """

    recipe: Recipe
    names: tuple[str, ...]
    seam: tuple[Point, ...]
    onto_page: Affine
    to_inches: Affine
    inches: float
    stretch: float
    planned: Border | None
    drawn: tuple[Point, ...]


def lie_of(document: Document, layer: etree._Element, *, stretched: bool = False) -> Lie:
    """Find the seam as drawn, and how it is turned against the one planned.

    With `stretched` its layer may be stretched or skewed; otherwise only if the border, drawn into it, is none the less true.
    """
    recipe = read_recipe(layer)
    names = side_names(len(recipe.edge) or len(PLACES))
    inches = inches_per_unit(document.root) * recipe.options["scale"]
    onto_page = _onto_page(layer)
    to_inches = Affine(inches, 0, 0, inches).after(onto_page)
    reader = Reader(document.root)
    sides: dict[str, list[Point]] = {}
    for element, place, name in parts_of(layer, "zigzag", "side"):
        for line in reader.lines_of(element):
            sides.setdefault(name, []).extend(to_inches.after(place).line(flat(line)))
    for name in recipe.sides:
        if name not in sides:
            _refuse(layer, f"has lost the zigzag of {side_in_words(name)}", "undo that, or draw the border again")
    planned = _planned(layer, recipe)
    drawn = _drawn_seam(
        reader, layer, to_inches, {name: (sides[name][0], sides[name][-1]) for name in recipe.sides}, planned, names
    )
    first = next(i for i, name in enumerate(names) if name in recipe.sides)
    here, there = drawn[first], drawn[(first + 1) % len(drawn)]
    if not all(0 < distance(one, other) < math.inf for one, other in zip(drawn, (*drawn[1:], drawn[0]), strict=True)):
        _refuse(layer, "has a seam without any length", "draw the border again")
    clockwise = sum(cross(one, other) for one, other in zip(drawn, (*drawn[1:], drawn[0]), strict=True)) > 0
    if planned is None:
        # drawn before outlines were remembered: a rectangle along its own top
        wide, high = distance(drawn[0], drawn[1]), distance(drawn[0], drawn[3])
        fitted = read_fitted(layer)
        stretch = wide / fitted["top"].length if "top" in fitted else 1.0
        seam: tuple[Point, ...] = rectangle(wide, high)
    else:
        one, other = planned.seam[first], planned.seam[(first + 1) % len(drawn)]
        stretch = distance(here, there) / distance(one, other)
        seam = tuple(corner.times(stretch) for corner in planned.seam)
    turn = _turn(seam[first], seam[(first + 1) % len(drawn)], here, there, mirrored=not clockwise)
    back = turn.inverse().line(tuple(drawn))
    true = planned is not None and max(map(distance, back, seam)) <= MEETING
    if not (true or stretched or _is_even(onto_page)):
        _refuse(layer, "is stretched or skewed", "undo that, change the edge instead and draw the border again")
    if max(map(distance, back, seam)) > MEETING:
        seam = back  # drawn otherwise than planned
    return Lie(recipe, names, seam, turn, to_inches, inches, stretch, planned, tuple(drawn))


def _planned(layer: etree._Element, recipe: Recipe) -> Border | None:
    """The border as it was planned; None if that is not remembered."""
    if not recipe.edge:
        return None
    try:
        return border_around(recipe.edge, recipe.widths, _room(recipe), recipe.options["kind"], sides=recipe.sides)
    except (QuiltError, ArithmeticError):
        _refuse(layer, "has lost what it was drawn with", "draw it again")


def _turn(one: Point, other: Point, here: Point, there: Point, *, mirrored: bool) -> Affine:
    """The map that turns, and mirrors if it must, so that one step comes to lie along another."""
    side = -1.0 if mirrored else 1.0
    was = other.minus(one).times(1 / distance(one, other))
    now = there.minus(here).times(1 / distance(here, there))
    turned = Affine(now.x, now.y, -now.y * side, now.x * side).after(Affine(was.x, was.y, -was.y, was.x).inverse())
    start = turned.at(one)
    return Affine(1, 0, 0, 1, here.x - start.x, here.y - start.y).after(turned)


def _onto_page(layer: etree._Element) -> Affine:
    """The map from user units inside the layer to those of the page.

    Raises:
        DrawingError: it flattens the border.
    """
    place = Affine()
    for node in (layer, *layer.iterancestors()):
        place = transform_of(node).after(place)
    a, b, c, d = place[:4]
    long, other = math.hypot(a, b), math.hypot(c, d)
    if not all(map(math.isfinite, place)) or min(long, other) <= 0:
        _refuse(layer, "is flattened to nothing", "undo its transform")
    return place


def _is_even(place: Affine) -> bool:
    """Whether a map turns and scales only, and does not stretch or skew."""
    a, b, c, d = place[:4]
    long, other = math.hypot(a, b), math.hypot(c, d)
    return abs(long / other - 1) <= EVEN and abs(a * c + b * d) <= EVEN * long * other


def _refuse(layer: etree._Element, found: str, todo: str) -> NoReturn:
    raise DrawingError(f"The border “{layer.get('id', '')}” {found}; it must be whole and true to size: please {todo}.")


def _drawn_seam(
    reader: Reader, layer: etree._Element, to_inches: Affine, ends: Mapping[str, tuple[Point, Point]],
    planned: Border | None, names: Sequence[str],
) -> list[Point]:  # fmt: skip
    """The corners of the border seam as drawn, from the start of the first side on, clockwise.

    Where the guide is gone, or is no such outline, they are where the sides' zigzags begin and end; corners that no zigzag
    comes to lie as they were planned, seen from the others.
    """
    outline = next((corners for corners in _outlines_drawn(reader, layer) if len(corners) == len(names)), None)
    if outline is not None and len(ends) == len(names):
        corners = [to_inches.at(corner) for corner in outline]
        turned = [order[i:] + order[:i] for order in (corners, corners[::-1]) for i in range(len(corners))]
        return min(turned, key=lambda order: _away([ends[name] for name in names], order))
    if planned is None:
        rows = [ends[name] for name in names]
        return [
            min(two, key=lambda end: min(distance(end, other) for other in one))
            for one, two in zip((rows[-1], *rows[:-1]), rows, strict=True)
        ]
    return _placed(ends, planned, names)


def _placed(ends: Mapping[str, tuple[Point, Point]], planned: Border, names: Sequence[str]) -> list[Point]:
    """The planned seam, turned and stretched onto the ends of the zigzags."""
    sides = {side.name: side for side in planned.sides}
    meant = [pivot for name in ends for pivot in (sides[name].start, sides[name].end)]
    ways = []
    for mirrored, backwards in itertools.product((False, True), repeat=2):
        drawn = [end for name in ends for end in (ends[name][::-1] if backwards else ends[name])]
        two = max(
            itertools.combinations(range(len(meant)), 2), key=lambda pair: distance(meant[pair[0]], meant[pair[1]])
        )
        one, other = (drawn[i] for i in two)
        if distance(one, other) == 0:
            continue
        stretch = distance(one, other) / distance(meant[two[0]], meant[two[1]])
        grown = [point.times(stretch) for point in meant]
        turn = _turn(grown[two[0]], grown[two[1]], one, other, mirrored=mirrored)
        off = round(
            sum(map(distance, turn.line(tuple(grown)), drawn)), 3
        )  # of one strip all ways fit; then the plain one
        ways.append((off, [turn.at(corner.times(stretch)) for corner in planned.seam]))
    return min(ways, key=lambda way: way[0])[1] if ways else [Point(0.0, 0.0)] * len(names)


def _away(ends: Sequence[tuple[Point, Point]], order: Sequence[Point]) -> float:
    """How far corners are from the ends of the zigzags, whichever way those were drawn."""
    pairs = zip(ends, order, [*order[1:], order[0]], strict=True)
    return sum(
        min(distance(one, here) + distance(two, there), distance(one, there) + distance(two, here))
        for (one, two), here, there in pairs
    )


def _outlines_drawn(reader: Reader, layer: etree._Element) -> Iterator[list[Point]]:
    """The corners of whatever is drawn as border seam; empty where it is no closed outline."""
    for element, place, _ in parts_of(layer, "guides", "border-seam"):
        for line in reader.lines_of(element):
            points = place.line(flat(line))
            near = 1e-6 * max(distance(points[0], point) for point in points)
            corners = without_idle(points, near)
            closed = distance(corners[0], corners[-1]) <= near
            yield corners[:-1] if closed else []


def parts_of(layer: etree._Element, inside_of: str, part: str) -> Iterator[tuple[etree._Element, Affine, str]]:
    """The elements of one kind in one of the layers, with the map to the border's layer and the side they name."""
    group = child_layer(layer, inside_of)
    if group is None:
        return
    for element, place in elements_in(group, transform_of(group)):
        if element.get(f"{{{CW}}}part") == part:
            yield element, place, side_of(element)


def _widths(document: Document, layer: etree._Element, lie: Lie) -> list[float] | None:
    """The border's widths between the seam as drawn and the edge as it is; None if the edge is gone or elsewhere.

    An edge that was measured is the remembered one, whatever shape stands for it.
    """
    return None if lie.recipe.options["measured"] else widths_on(document, value_of(layer, "edge"), lie)


def widths_on(document: Document, edge_id: str, lie: Lie) -> list[float] | None:
    """The widths between the seam as drawn and a shape; None if that is no edge of it."""
    try:
        edge = read_outline(document.root, edge_id, lie.inches)
    except QuiltError:
        return None
    if len(edge.corners) != len(lie.seam):
        return None
    corners = lie.onto_page.inverse().line(edge.corners)
    if sum(cross(one, other) for one, other in zip(corners, (*corners[1:], corners[0]), strict=True)) < 0:
        corners = corners[::-1]
    # seen from the seam, its sides are asked how far off the edge's are
    off, widths = widths_between(lie.seam, corners)
    found = [-width for width in widths]
    there = [width for width, name in zip(found, lie.names, strict=True) if name in lie.recipe.sides]
    return found if off <= MEETING and min(there) > _room(lie.recipe) else None


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
