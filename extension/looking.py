"""A border as it stands, for inspection: what is drawn is what is given, nothing straightened, nothing made up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.document import CW, SVG, side_of, value_of
from extension.gathering import FARTHEST, gather, groups_in, said, strays
from extension.ground import read_ground
from extension.reading import read_places
from extension.shapes import elements_in, lines_of, to_ancestor, transform_of
from extension.styles import properties
from geometry.errors import DrawingError
from geometry.inspection.drawn import CornerLine, Drawn, DrawnSection, DrawnSide
from geometry.plane import Affine, Point, area_of, distance, distance_to_piece, flat, inside
from geometry.quilt import side_in_words
from geometry.tiers import mid_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.gathering import Gathered
    from extension.ground import Ground
    from geometry.plane import Line
    from geometry.quilt import Border

SAME = 4
"""Decimals of an inch to which two lines must agree to be copies of one another."""

SHRUNK = 1e-4
"""Share by which a border may be smaller than it was drawn and still be as large."""

FLATTENED = 1e-4
"""Square inches below which corners hold no section."""

BASES = frozenset({"inner", "outer", "corner"})


def look_at(document: Document, layer: etree._Element) -> tuple[Drawn, Ground]:
    """Everything a check reads of one border, and where it lies.

    Raises:
        QuiltError: it no longer is what a border looks like.
    """
    # scaled by hand as a whole, its stop line and the spacing of its lines have gone with it
    ground = read_ground(document, layer, grown_room=True)
    border, options = ground.border, ground.options
    places = _places(ground)
    outlines = {name: corners for name, (_, _, corners) in places.items()}
    gathered = gather(layer, outlines, ground.to_quilt)
    astray = _astray(gathered, outlines, border)
    sections = []
    for name, (side, base, corners) in places.items():
        fill_name, spacing, note = said(gathered.groups.get(name))
        sections.append(
            DrawnSection(
                name, side, base, corners, fill_name,  # type: ignore[arg-type]
                ground.stretch * (spacing if spacing > 0 else options["spacing"]), note,
                _once([*gathered.lines[name], *astray.get(name, ())]),
            )
        )  # fmt: skip
    return Drawn(
        border.kind, border.edge, border.seam, border.stop_line, tuple(_sides(ground)), tuple(_corner_lines(ground)),
        tuple(sections), (*_beside(document, ground), *astray.get("", ())), bool(options.get("under", False)), options["order"],
        # made smaller, its points are nearer to the edge than the binding allows
        options["binding"] if border.kind == "outer" and ground.stretch < 1 - SHRUNK else None,
        _turned(border),
        mid_lines(border, options["tiers"]),
    ), ground  # fmt: skip


def _once(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Lines without copies that lie exactly on top of one another: they are stitched once."""
    if len(lines) < 2:  # noqa: PLR2004 - one line is no copy
        return tuple(lines)
    found: dict[tuple[Point, ...], Line] = {}
    for line in lines:
        places = tuple(Point(round(point.x, SAME), round(point.y, SAME)) for point in line)
        found.setdefault(min(places, places[::-1]), line)
    return tuple(found.values())


def _astray(gathered: Gathered, outlines: Mapping[str, Line], border: Border) -> dict[str, list[Line]]:
    """Lines of fills that lie in no section, by the section they have strayed from; those of the centre without a name.

    A line that is in no section's group has strayed from the nearest.
    """
    found: dict[str, list[Line]] = {}
    for element, line in gathered.loose:
        group = next((g for g in element.iterancestors() if value_of(g, "part") == "section"), None)
        name = value_of(group, "section") if group is not None else ""
        if name not in outlines:
            in_centre = all(inside(point, border.seam) for point in flat(line))
            name = "" if in_centre else min(outlines, key=lambda name: _apart(outlines[name], line), default="")
        found.setdefault(name, []).append(line)
    return found


def _apart(outline: Line, line: Line) -> float:
    """Inches between the nearest nodes of a line and the sides of an outline."""
    sides = [*zip(outline, (*outline[1:], outline[0]), strict=True)]
    return min(distance_to_piece(point, *side) for point in flat(line) for side in sides)


def _turned(border: Border) -> tuple[bool, ...]:
    """Of each corner whether its pivot lies on the stop line; of one between two sides without a border it says nothing."""
    pivots = {corner for side in border.sides for corner in (side.start, side.end)}
    return tuple(
        stop in pivots and corner not in pivots for stop, corner in zip(border.stop_line, border.seam, strict=True)
    )


def _sides(ground: Ground) -> Iterator[DrawnSide]:
    """The zigzag of each side; pieces of one that was cut are put end to end.

    Raises:
        DrawingError: one is missing.
    """
    found: dict[str, list[Line]] = {}
    for name, line in ground.lines("zigzag", "side"):
        found.setdefault(name, []).append(line)
    for side in (side for band in ground.bands for side in band.sides):
        lines = _once(found.get(side.name, ()))
        if not lines:
            raise DrawingError(
                f"The zigzag of {side_in_words(side.name)} is missing; it must be there to be looked at: please undo, or draw the "
                "border again."
            )
        whole = lines[0] if len(lines) == 1 else tuple(point for line in lines for point in flat(line))
        yield DrawnSide(side.name, whole)


def _corner_lines(ground: Ground) -> Iterator[CornerLine]:
    sides = [side for band in ground.bands for side in band.sides]
    tiers = len(ground.bands) > 1
    for _, line in ground.lines("zigzag", "corner-line"):
        points = flat(line)
        ways = [(side.end, side.far_end, side.name) for side in sides]
        ways += [(side.start, side.far_start, side.name) for side in sides if side.open_start]
        _, name = min((_off(points, one, other, tiers=tiers), name) for one, other, name in ways)
        yield CornerLine(name, line)


def _off(line: Line, pivot: Point, across: Point, *, tiers: bool) -> float:
    """How far a line is from a pivot, and where there are tiers also from the corner across, whichever way it was drawn."""
    ways = ((line[0], line[-1]), (line[-1], line[0]))
    return min(distance(one, pivot) + (distance(other, across) if tiers else 0.0) for one, other in ways)


def _places(ground: Ground) -> dict[str, tuple[str, str, Line]]:
    """Side, base and corners of each section, as its group says; of those without a group, as the zigzag says."""
    found = {}
    for name, group in groups_in(ground.layer).items():
        corners = _written(group, ground)
        side, base = side_of(group), value_of(group, "base")
        if len(corners) in {3, 4} and base in BASES:
            found[name] = (side, base, corners)
    try:
        _, _, standing = read_places(ground)
    except DrawingError:
        return found
    for name, section in standing.items():
        found.setdefault(name, (section.side, section.base, section.corners))
    return found


def _written(group: etree._Element, ground: Ground) -> Line:
    """The corners a section's group has written down, in inches of quilt; none if they cannot be read."""
    place = ground.to_quilt.after(to_ancestor(group, ground.layer))
    try:
        numbers = [[float(part) for part in pair.split(",")] for pair in value_of(group, "corners")[:1000].split()]
        points = tuple(place.at(Point(x, y)) for x, y in numbers)
    except ValueError:
        return ()
    whole = all(abs(value) < FARTHEST for point in points for value in point) and area_of(points) > FLATTENED
    return points if whole else ()


def _beside(document: Document, ground: Ground) -> Iterator[Line]:
    """Lines drawn outside of every border: strokes without a fill, as quilting lines are drawn."""
    onto = ground.to_quilt.after(to_ancestor(ground.layer, document.root).inverse())
    inside_of = set(strays(ground.layer))
    for child in document.root:
        if child.tag != f"{{{SVG}}}g" and child.get(f"{{{CW}}}part") is None:
            shapes = (
                [(child, Affine())] if child.tag in {f"{{{SVG}}}path", f"{{{SVG}}}polyline", f"{{{SVG}}}line"} else []
            )
        elif any(value_of(group, "part") == "border" for group in child.iter(f"{{{SVG}}}g")):
            continue
        else:
            shapes = list(elements_in(child, transform_of(child)))
        for element, place in shapes:
            if _is_stitched(element) and not any(above in inside_of for above in element.iterancestors()):
                for line in lines_of(element):
                    yield onto.after(place).line(line)


def _is_stitched(element: etree._Element) -> bool:
    style: Mapping[str, str] = {
        **{name: element.get(name, "") for name in ("fill", "stroke")},
        **properties(element.get("style", "")),
    }
    return style.get("fill") == "none" and style.get("stroke", "none") not in {"", "none"}
