"""Options and selected shapes in, a request in inches and the way back to the page out: the one place for both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from extension.marking import parted, read_guide
from extension.motif import read_motif
from extension.page import inches_per_unit
from extension.selection import read_rectangle
from geometry.errors import SelectionError
from geometry.fills.catalogue import MOTIF
from geometry.lengths import about
from geometry.patchwork import NO_MARKS
from geometry.plan import Request
from geometry.plane import SQUARE, Affine, Point

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from extension.document import Document
    from extension.selection import Rectangle

SAME_NAMES = (
    "kind", "binding", "size", "angle", "repeat", "across", "down", "together", "fit", "last", "number",
    "corner", "fill", "outerfill", "cornerfill", "spacing", "match", "echo", "step", "under", "order", "shrink",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Job:
    """One border to draw.

    Attributes:
        request: what to plan, in inches of quilt.
        place: from inches of quilt, measured from the edge's top left corner along its sides, to user units of the page.
        edge_id, seam_id: the selected shapes; `seam_id` is None when the width was typed.
        options: the values used, lengths in inches.
        remarks: what should be said in the notes about the selection.
    """

    request: Request
    place: Affine
    edge_id: str
    seam_id: str | None
    options: Mapping[str, Any]
    remarks: tuple[str, ...]


def read_job(document: Document, ids: Sequence[str], options: Mapping[str, Any]) -> Job:
    """Read the selection.

    Raises:
        QuiltError: nothing usable is selected, or the page has no true size.
    """
    chosen = list(dict.fromkeys(ids))
    if not chosen:
        raise SelectionError(
            "Nothing is selected; the rectangle that is the quilt's edge must be: please select it and try again."
        )
    inches = inches_per_unit(document.root) * options["scale"]
    chosen, drawing = _without_motif(document, chosen, options, inches)
    shapes, marks = _shapes(document, chosen, options, inches)
    edge = shapes[0]
    widths = (options["width"],) * 4 if len(shapes) == 1 else _widths(edge, shapes[1])
    remarks = [f"The rounded corners of “{shape.element_id}” are ignored." for shape in shapes if shape.rounded]
    motif = read_motif(document, drawing) if drawing else None
    guide = NO_MARKS
    if options["fit"] == "marks":
        guide, remark = read_guide(document, marks, options, edge, inches)
        remarks.append(remark)
    request = Request(
        edge.width, edge.height, widths, **{name: options[name] for name in SAME_NAMES}, motif=motif, guide=guide
    )
    options = {**options, "motif": drawing}
    units = 1 / inches
    place = Affine(units, 0, 0, units, 0, 0).after(edge.frame)
    seam_id = shapes[1].element_id if len(shapes) > 1 else None
    return Job(request, place, edge.element_id, seam_id, options, tuple(remarks))


def _shapes(
    document: Document, ids: Sequence[str], options: Mapping[str, Any], inches: float
) -> tuple[list[Rectangle], list[str]]:
    """Edge and, if it is selected too, border seam; and the ids of selected marks."""
    if options["fit"] == "marks":
        return parted(document, ids, inches)
    if len(ids) > 2:  # noqa: PLR2004
        raise SelectionError(
            f"{len(ids)} shapes are selected; it must be one rectangle, the quilt's edge, or two, the edge and the "
            "border seam inside it: please select only those, or fit the triangles to marks."
        )
    shapes = [read_rectangle(document.root, element_id, inches) for element_id in ids]
    return sorted(shapes, key=lambda shape: -shape.width * shape.height), []


def _without_motif(
    document: Document, chosen: Sequence[str], options: Mapping[str, Any], inches: float
) -> tuple[list[str], str]:
    """The selected shapes that are not the motif, and the motif's id: the one named, or the one that is no rectangle."""
    if MOTIF not in {options[name] for name in ("fill", "outerfill", "cornerfill")}:
        return list(chosen), ""
    if options["motif"]:
        return [name for name in chosen if name != options["motif"]], options["motif"]
    others = [name for name in chosen if not _is_rectangle(document, name, inches)]
    if len(others) != 1 or len(others) == len(chosen):
        return list(chosen), ""
    return [name for name in chosen if name not in others], others[0]


def _is_rectangle(document: Document, name: str, inches: float) -> bool:
    try:
        read_rectangle(document.root, name, inches)
    except SelectionError:
        return False
    return True


def _widths(edge: Rectangle, seam: Rectangle) -> tuple[float, float, float, float]:
    """The border's widths, read from the drawing: top, right, bottom, left."""
    back = edge.frame.inverse()
    corners = [back.at(corner) for corner in seam.corners]
    left, right = min(c.x for c in corners), max(c.x for c in corners)
    top, bottom = min(c.y for c in corners), max(c.y for c in corners)
    straight = (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom))
    off = max(min(max(abs(c.x - s.x), abs(c.y - s.y)) for s in straight) for c in corners)
    if off > SQUARE:
        raise SelectionError(
            f"The two selected rectangles are turned against each other, by {about(off)} at a corner; their sides must "
            "be parallel: please turn them alike."
        )
    widths = (top, edge.width - right, edge.height - bottom, left)
    if min(widths) <= 0:
        raise SelectionError(
            f"The smaller rectangle “{seam.element_id}” reaches {about(-min(widths))} beyond the larger one, or lies on "
            "its side; it must be inside, the border all round it: please move it or make it smaller."
        )
    return widths
