"""Options and selected shapes in, a request in inches and the way back to the page out: the one place for both."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, NamedTuple

from extension.document import value_of
from extension.marking import parted, read_guide
from extension.motif import read_motif
from extension.page import inches_per_unit
from extension.selection import find_by_id, read_outline
from geometry.errors import OptionError, SelectionError
from geometry.fills.catalogue import MOTIF
from geometry.lengths import about, parse_length
from geometry.measured import EASE, outline_of, unlike
from geometry.patchwork import NO_MARKS
from geometry.plan import Request
from geometry.plane import SQUARE, Affine
from geometry.quilt import side_in_words, side_names, widths_between

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from extension.document import Document
    from extension.selection import Outline
    from geometry.fills.motif import Motif
    from geometry.patchwork import Patchwork

SAME_NAMES = (
    "kind", "binding", "size", "angle", "repeat", "across", "down", "together", "fit", "last", "number",
    "corner", "fill", "outerfill", "cornerfill", "spacing", "match", "echo", "step", "under", "order", "seed", "shrink", "tiers",
)  # fmt: skip


class Job(NamedTuple):
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
    """Read a selection that is one border.

    Raises:
        QuiltError: nothing usable is selected, or the page has no true size.
    """
    return read_jobs(document, ids, options)[0]


def read_jobs(document: Document, ids: Sequence[str], options: Mapping[str, Any]) -> tuple[Job, ...]:
    """Read the selection: each edge selected is a border, and a shape within another is that one's border seam.

    Raises:
        QuiltError: nothing usable is selected, or the page has no true size.
    """
    chosen = list(dict.fromkeys(ids))
    if not chosen:
        raise SelectionError(
            "Nothing is selected; the shape that is the quilt's edge must be: please select it and try again."
        )
    inches = inches_per_unit(document.root) * options["scale"]
    chosen, drawing = _without_motif(document, chosen, options, inches)
    motif = _own_drawing(document, drawing, chosen) if drawing else None
    if options["fit"] == "marks":
        shapes, marks = parted(document, chosen, inches)
        pairs = [(shapes[0], shapes[1] if len(shapes) > 1 else None)]
    else:
        marks = []
        pairs = paired([read_outline(document.root, element_id, inches) for element_id in chosen])
    if options["measured"] and (len(pairs) > 1 or pairs[0][1] is not None):
        raise SelectionError(
            "Measured sides are given, and more than one shape is selected; they are those of one quilt: please select its "
            "edge alone."
        )
    jobs = []
    inner = {edge.element_id for edge, seam in pairs if any(edge is other for _, other in pairs)}
    for edge, seam in pairs:
        remarks = [
            f"The rounded corners of “{shape.element_id}” are ignored."
            for shape in (edge, seam)
            if shape and shape.rounded
        ]
        guide = NO_MARKS
        if options["fit"] == "marks":
            guide, remark = read_guide(document, marks, options, edge, inches)
            remarks.append(remark)
        used = {**options, "motif": drawing}
        if edge.element_id in inner and options["kind"] == "outer":
            used |= {"kind": "inner", "under": False}
            remarks.append("It lies between two selected shapes, so it is drawn as an inner border.")
        request, said = _request(edge, seam, used, guide, motif)
        units = 1 / inches
        place = Affine(units, 0, 0, units, 0, 0).after(edge.frame)
        jobs.append(
            Job(request, place, edge.element_id, None if seam is None else seam.element_id, used, (*remarks, *said))
        )
    return tuple(jobs)


def _request(
    edge: Outline, seam: Outline | None, options: Mapping[str, Any], guide: Patchwork, motif: Motif | None
) -> tuple[Request, list[str]]:
    """What to plan for one edge, and what is to be said of it."""
    said: list[str] = []
    outline = edge.own
    text = options["measured"].strip()
    measured = [parse_length(part, options["unit"], name="measured side") for part in text.split(",")] if text else []
    if measured:
        outline = outline_of(measured)
        most = EASE * max(measured)
        said = [
            f"{one.capitalize()} and {other} differ by {about(apart)}, more than the {about(most)} that can be eased in: measure "
            "again through the centre, or trim the quilt."
            for one, other, apart in unlike(measured)
        ]
    names = side_names(len(outline))
    widths = _typed_widths(options["width"], names) if seam is None else _widths(edge, seam)
    wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
    plain = edge.rectangular and not measured
    return (
        Request(
            wide, high, widths, **{name: options[name] for name in SAME_NAMES}, motif=motif, guide=guide,
            outline=() if plain else outline, sides=_sides(options["sides"], names),
        ),
        said,
    )  # fmt: skip


def paired(shapes: Sequence[Outline]) -> list[tuple[Outline, Outline | None]]:
    """Edges, each with its border seam where one is selected too: the largest shape that lies within it.

    Two shapes of which one lies over the other are meant as edge and seam, however they lie.
    """
    if len(shapes) == 2:  # noqa: PLR2004
        one, two = sorted(shapes, key=lambda shape: -shape.area)
        if any(map(one.holds, two.corners)) or any(map(two.holds, one.corners)):
            return [(one, two)]
    around = {
        shape.element_id: [
            other
            for other in shapes
            if other is not shape and other.area > shape.area and all(map(other.holds, shape.corners))
        ]
        for shape in shapes
    }
    parents = {name: min(others, key=lambda shape: shape.area) for name, others in around.items() if others}
    found: list[tuple[Outline, Outline | None]] = []
    for shape in shapes:
        inside = [other for other in shapes if parents.get(other.element_id) is shape]
        if len(inside) > 1:
            raise SelectionError(
                f"Inside “{shape.element_id}” {len(inside)} shapes are selected; it must be one, its border seam, or none: "
                "please select fewer at once."
            )
        if inside or shape.element_id not in parents:
            found.append((shape, inside[0] if inside else None))
    return found


def _typed_widths(widths: Sequence[float], names: Sequence[str]) -> tuple[float, ...]:
    if len(widths) not in {1, len(names)}:
        raise OptionError(
            f"{len(widths)} widths are given; it must be one for all sides, or {len(names)}, one for each, beginning with "
            f"{side_in_words(names[0])}: please separate them by commas."
        )
    return tuple(widths) if len(widths) > 1 else tuple(widths) * len(names)


def _sides(text: str, names: Sequence[str]) -> tuple[str, ...]:
    """The sides that are to have a border, in order; none: all."""
    words = [word for word in re.split(r"[\s,;]+", text.lower()) if word]
    if words in ([], ["all"]):
        return ()
    for word in words:
        if word not in names:
            raise OptionError(
                f"A border is asked for on a side “{word[:40]}”; the sides of this edge are {', '.join(names)}: please name "
                "some of these, or none for a border all round."
            )
    found = tuple(name for name in names if name in words)
    return () if len(found) == len(names) else found


def _without_motif(
    document: Document, chosen: Sequence[str], options: Mapping[str, Any], inches: float
) -> tuple[list[str], str]:
    """The selected shapes that are not the motif, and the motif's id: the one named, or the one that is no edge.

    That is the one that has no straight sides; if all have, the one that is no rectangle.
    """
    if MOTIF not in {options[name] for name in ("fill", "outerfill", "cornerfill")}:
        return list(chosen), ""
    if options["motif"]:
        return [name for name in chosen if name != options["motif"]], options["motif"]
    outlines = {name: _outline(document, name, inches) for name in chosen}
    curved = [name for name, outline in outlines.items() if outline is None]
    others = curved or [name for name, outline in outlines.items() if outline is not None and not outline.rectangular]
    if len(others) != 1 or len(others) == len(chosen):
        return list(chosen), ""
    return [name for name in chosen if name not in others], others[0]


def _own_drawing(document: Document, drawing: str, edges: Sequence[str]) -> Motif:
    """The motif of a border; it must stay as it is when the border is drawn.

    Raises:
        QuiltError: it is the edge itself, or part of a border, or no drawing of lines.
    """
    if not edges:
        raise SelectionError(
            f"Only the motif “{drawing[:60]}” is selected; the quilt's edge must be too, another shape: please select both."
        )
    element = find_by_id(document.root, drawing)
    if any(value_of(above, "part") == "border" for above in (element, *element.iterancestors())):
        raise OptionError(
            f"The motif “{drawing[:60]}” is part of a border and would be drawn over; it must be a drawing of its own: "
            "please copy it and paste the copy outside the border's layer."
        )
    return read_motif(document, drawing)


def _outline(document: Document, name: str, inches: float) -> Outline | None:
    try:
        return read_outline(document.root, name, inches)
    except SelectionError:
        return None


def _widths(edge: Outline, seam: Outline) -> tuple[float, ...]:
    """The border's widths, read from the drawing, side by side."""
    if len(edge.corners) != len(seam.corners):
        raise SelectionError(
            f"The two selected shapes have {len(edge.corners)} and {len(seam.corners)} sides; edge and border seam must have "
            "as many, each parallel to one of the other: please draw them alike."
        )
    off, widths = widths_between(edge.own, edge.frame.inverse().line(seam.corners))
    if off > SQUARE:
        raise SelectionError(
            f"The two selected shapes are turned against each other, by {about(off)} at a corner; their sides must "
            "be parallel: please turn them alike."
        )
    if min(widths) <= 0:
        raise SelectionError(
            f"The smaller shape “{seam.element_id}” reaches {about(-min(widths))} beyond the larger one, or lies on "
            "its side; it must be inside, the border all round it: please move it or make it smaller."
        )
    return widths
