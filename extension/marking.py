"""The marks that guide the zigzag: typed, or read from the drawing."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from extension.document import SODIPODI, value_of
from extension.page import INCHES, absolute_length
from extension.selection import find_by_id, read_outline
from extension.shapes import GROUPS, SHAPES, elements_in, lines_of, tag, to_ancestor, transform_of
from geometry.errors import MarkError, SelectionError
from geometry.lengths import INCHES_PER, LONGEST_IN, about, decimal, parse_length
from geometry.patchwork import Patchwork, marks_on
from geometry.plane import Affine, Point, inside

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.selection import Outline
    from geometry.patchwork import Lists
    from geometry.plane import Line
    from geometry.quilt import Side

GUIDE = f"{{{SODIPODI}}}guide"

FAR = 10 * LONGEST_IN
"""Inches that a guide, which has no end, is drawn to either side."""


class Marked(NamedTuple):
    """What guides the zigzag, and a sentence for the notes that says where it comes from."""

    guide: Patchwork
    remark: str


def parse_marks(text: str, unit: str, *, name: str = "mark") -> Lists:
    """Read lists of marks: `2, 4 1/2, 7`, or for each side by itself `2, 4; 3; 2, 4; 3`; inches come back.

    Raises:
        LengthError: something in it is no length.
    """
    if not text.strip():
        return ()
    return tuple(
        tuple(parse_length(part, unit, name=name) for part in one.split(",")) if one.strip() else ()
        for one in text.split(";")
    )


def written(lists: Lists, unit: str) -> str:
    """Lists of marks as text, as they can be typed."""
    return "; ".join(", ".join(decimal(mark / INCHES_PER[unit], 9) for mark in marks) for marks in lists)


def used(guide: Patchwork, sides: Sequence[Side], unit: str) -> dict[str, str]:
    """Marks read from a drawing as options, so that they can be given again when the drawing is gone."""
    if not guide.drawn:
        return {}
    found = marks_on(guide, sides)
    points = tuple(marks.points for marks in found)
    return {
        "marks": written(tuple(marks.dots for marks in found), unit),
        "points": written(points, unit) if any(points) else "",
    }


def parted(document: Document, ids: Sequence[str], inches: float) -> tuple[list[Outline], list[str]]:
    """The selection when it may hold marks: edge, border seam if there is one, and the ids of what else is selected.

    The edge is the largest shape of straight sides, the border seam the next with as many that lies around its middle.

    Raises:
        SelectionError: there is no such shape at all.
    """
    shapes = [shape for element_id in ids if (shape := _outline(document.root, element_id, inches)) is not None]
    if not shapes:
        _no_edge(document.root, ids, inches)
    shapes.sort(key=lambda shape: -shape.area)
    edge, *others = shapes
    middle = Point(
        sum(corner.x for corner in edge.corners) / len(edge.corners),
        sum(corner.y for corner in edge.corners) / len(edge.corners),
    )
    alike = [shape for shape in others if len(shape.corners) == len(edge.corners)]
    seam = next((shape for shape in alike if inside(middle, shape.corners)), None)
    outlines = [edge] if seam is None else [edge, seam]
    taken = {shape.element_id for shape in outlines}
    return outlines, [name for name in ids if name not in taken and not _is_ours(document.root, name)]


def _no_edge(root: etree._Element, ids: Sequence[str], inches: float) -> NoReturn:
    for element_id in ids:
        if _guide_or_shape(root, element_id).tag != GUIDE:
            read_outline(root, element_id, inches)  # says what it is instead
    raise SelectionError(
        "Only guides are selected; the shape that is the quilt's edge must be too: please select both, or the edge "
        "alone, and all guides are used."
    )


def _is_ours(root: etree._Element, element_id: str) -> bool:
    """Whether an element is a drawn border, or lies in one: its own zigzag is no mark."""
    element = _guide_or_shape(root, element_id)
    return any(value_of(above, "part") == "border" for above in (element, *element.iterancestors()))


def _outline(root: etree._Element, element_id: str, inches: float) -> Outline | None:
    """A selected shape of straight sides; None if it is another one, or a guide."""
    _guide_or_shape(root, element_id)
    try:
        return read_outline(root, element_id, inches)
    except SelectionError:
        return None


def _guide_or_shape(root: etree._Element, element_id: str) -> etree._Element:
    """The element of a selected mark.

    Raises:
        SelectionError: there is none, or it has no lines.
    """
    guide = next((guide for guide in root.iter(GUIDE) if guide.get("id") == element_id), None)
    if guide is not None:
        return guide
    element = find_by_id(root, element_id)
    if tag(element) not in SHAPES | GROUPS | {"use"}:
        raise SelectionError(
            f"“{element_id[:60]}” is a {tag(element)}; a mark must be a line, a path or another shape: please draw one, or "
            "turn it into a path (Path > Object to Path)."
        )
    return element


def read_guide(
    document: Document, ids: Sequence[str], options: Mapping[str, Any], edge: Outline, inches: float
) -> Marked:
    """What guides the zigzag: selected shapes, else typed marks, else equal distances, else all guides of the drawing.

    Raises:
        QuiltError: a mark that cannot be read.
    """
    points = parse_marks(options["points"], options["unit"], name="mark for a point")
    typed = parse_marks(options["marks"], options["unit"])
    every, offset = options["every"], options["offset"]
    if every < 0 or offset < 0:
        raise MarkError(
            f"Marks are asked for every {about(every)}, the first at {about(offset)}; neither can be less than 0: please "
            "give lengths such as 2 and 0."
        )
    to_quilt = edge.frame.inverse()
    if ids:
        drawn = tuple(_in_quilt(_lines(document.root, element_id, inches), to_quilt) for element_id in ids)
        unused = " What was typed is not used." if typed or every else ""
        return Marked(Patchwork((), points, drawn=drawn), f"Marks: {_count(drawn, 'selected shape')}.{unused}")
    if typed:
        return Marked(Patchwork(typed, points), "Marks: as typed.")
    if every:
        start = f", the first {about(offset)} after a pivot" if offset else ""
        return Marked(Patchwork((), points, every, offset), f"Marks: every {about(every)}{start}.")
    drawn = tuple(_in_quilt([line], to_quilt) for line in guide_lines(document.root, inches))
    return Marked(Patchwork((), points, drawn=drawn), f"Marks: {_count(drawn, 'guide')} of the drawing.")


def _count(found: Sequence[object], what: str) -> str:
    return f"1 {what}" if len(found) == 1 else f"{len(found)} {what}s"


def _in_quilt(lines: Sequence[Line], to_quilt: Affine) -> tuple[Line, ...]:
    return tuple(to_quilt.line(line) for line in lines)


def _lines(root: etree._Element, element_id: str, inches: float) -> list[Line]:
    """The lines of a selected mark in inches on the page."""
    element = _guide_or_shape(root, element_id)
    if element.tag == GUIDE:
        return list(_guide_line(element, root, inches))
    place = Affine(inches, 0, 0, inches).after(to_ancestor(element.getparent(), root))
    if tag(element) in GROUPS:
        inside = place.after(transform_of(element))
        return [inside.after(there).line(line) for shape, there in elements_in(element) for line in lines_of(shape)]
    return [place.line(line) for line in lines_of(element)]


def guide_lines(root: etree._Element, inches: float) -> Iterator[Line]:
    """The editor's guides as long lines, in inches on the page."""
    for guide in root.iter(GUIDE):
        yield from _guide_line(guide, root, inches)


def _guide_line(guide: etree._Element, root: etree._Element, inches: float) -> Iterator[Line]:
    """One guide; nothing if it cannot be read.

    Guides are written the way of the editor's early days: a point and the direction square to the guide, in user units
    from the page's bottom left corner, y upwards, whichever way y goes in the window and wherever the viewBox begins
    (tried with the editor's own "convert to guides").
    """
    words = {"vertical": "1,0", "horizontal": "0,1"}
    orientation = guide.get("orientation", "1,0")
    position, square = _pair(guide.get("position", "")), _pair(words.get(orientation, orientation))
    size = math.hypot(*square) if square else 0.0
    if position is None or square is None or size == 0:
        return
    corner = _bottom_left(root)
    spot = Point(corner.x + position.x, corner.y - position.y).times(inches)
    reach = Point(square.y, square.x).times(FAR / size)
    yield (spot.minus(reach), spot.plus(reach))


def _pair(text: str) -> Point | None:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        return None
    return Point(x, y) if math.isfinite(x) and math.isfinite(y) else None


def _bottom_left(root: etree._Element) -> Point:
    """The page's bottom left corner in user units."""
    view = [float(part) for part in re.split(r"[\s,]+", root.get("viewBox", "").strip()) if part]
    if view:
        return Point(view[0], view[1] + view[3])
    return Point(0.0, (absolute_length(root.get("height", "")) or 0.0) / INCHES["px"])
