"""The plan as layers, groups and paths of the document."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import CW, INKSCAPE, SODIPODI, SVG
from extension.notes import notes
from extension.pen import Pen
from extension.record import VERSION, fingerprint, recipe
from extension.selection import to_page
from geometry.errors import DocumentError
from geometry.lengths import fraction
from geometry.plane import Affine

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from extension.document import Document
    from extension.request import Job
    from geometry.estimate import Estimate
    from geometry.fills.shape import FilledSection
    from geometry.needle import Run
    from geometry.plan import BorderPlan

LAYERS = (
    ("guides", "Guides"),
    ("zigzag", "Zigzag"),
    ("fills", "Fills"),
    ("marks", "Marks"),
    ("stitching", "Stitching line"),
    ("notes", "Notes"),
)
"""The layers of a border, lowest first: part and label."""

HIDDEN = frozenset({"stitching"})

DOT = 0.08
"""Inches from the centre of a dot to its rim."""

SMALLEST_TYPE = 7 / 72
"""Inches on paper: seven points."""


def draw(document: Document, job: Job, plan: BorderPlan, runs: Sequence[Run], estimate: Estimate) -> None:
    """Draw the border into the document: on a new layer on top, or in place of the one drawn for the same edge."""
    layer = _border_layer(document, job)
    _set(layer, "part", "border")
    _set(layer, "edge", job.edge_id)
    _set(layer, "version", VERSION)
    _set(layer, "recipe", recipe(job, plan))
    parts = _emptied(document, layer)
    pen = Pen(_onto(layer, document).after(job.place))
    _guides(pen, parts["guides"], plan)
    _zigzag(pen, parts["zigzag"], plan)
    _fills(pen, parts["fills"], plan)
    _marks(pen, parts["marks"], plan)
    _runs(pen, parts["stitching"], runs)
    _notes(pen, parts["notes"], plan, job, estimate)


def _set(element: etree._Element, name: str, value: str) -> None:
    element.set(f"{{{CW}}}{name}", value)


def _border_layer(document: Document, job: Job) -> etree._Element:
    """The layer of this edge's border: the one already there, or a new one on top."""
    for group in document.root.iter(f"{{{SVG}}}g"):
        if group.get(f"{{{CW}}}part") == "border" and group.get(f"{{{CW}}}edge") == job.edge_id:
            if group.get("id") is None:
                group.set("id", _free_id(document, f"cornerwise-{job.edge_id}"))
            return group
    # only the cw prefix goes on the root; the editor's own ones are declared here if the document has none
    names = {"inkscape": INKSCAPE, "sodipodi": SODIPODI}
    known = document.root.nsmap
    missing = {prefix: uri for prefix, uri in names.items() if prefix not in known and uri not in known.values()}
    layer = etree.SubElement(document.root, f"{{{SVG}}}g", nsmap=missing or None)
    layer.set("id", _free_id(document, f"cornerwise-{job.edge_id}"))
    layer.set(f"{{{INKSCAPE}}}groupmode", "layer")
    request = job.request
    size = f"{fraction(request.quilt_width)} × {fraction(request.quilt_height)} in"
    layer.set(f"{{{INKSCAPE}}}label", f"Border {size}")
    return layer


def _free_id(document: Document, wanted: str) -> str:
    taken = {element.get("id") for element in document.root.iter()}
    return next(name for name in _numbered(wanted) if name not in taken)


def _numbered(wanted: str) -> Iterator[str]:
    yield wanted
    number = 2
    while True:
        yield f"{wanted}-{number}"
        number += 1


def _onto(layer: etree._Element, document: Document) -> Affine:
    """The map from user units of the page to those inside a layer.

    Raises:
        DocumentError: the layer is flattened, or scaled beyond any page.
    """
    try:
        back = to_page(layer, document.root).inverse()
    except ZeroDivisionError:
        back = Affine(math.nan)
    if not all(math.isfinite(value) and abs(value) < 1e12 for value in back):  # noqa: PLR2004 - no page is scaled so
        raise DocumentError(
            f"The layer “{layer.get('id')}” that holds the border is flattened or scaled out of sight; it must have a "
            "size: please undo its transform, or delete the layer."
        )
    return back


def _emptied(document: Document, layer: etree._Element) -> dict[str, etree._Element]:
    """The layers inside, each once, empty, in order; what she showed or hid stays so, and what else she put there."""
    ours = {part for part, _ in LAYERS}
    kept = {}
    for child in list(layer):
        part = child.get(f"{{{CW}}}part")
        if part in ours:
            kept[part] = child
            _take_out(layer, child)
    parts = {}
    for part, label in LAYERS:
        old = kept.get(part)
        new = etree.SubElement(layer, f"{{{SVG}}}g")
        new.set("id", _free_id(document, f"{layer.get('id')}-{part}"))
        new.set(f"{{{INKSCAPE}}}groupmode", "layer")
        new.set(f"{{{INKSCAPE}}}label", label)
        _set(new, "part", part)
        style = old.get("style") if old is not None else "display:none" if part in HIDDEN else None
        if style:
            new.set("style", style)
        parts[part] = new
    return parts


def _take_out(layer: etree._Element, child: etree._Element) -> None:
    """Remove a child but not the text after it."""
    if child.tail:
        before = child.getprevious()
        if before is not None:
            before.tail = (before.tail or "") + child.tail
        else:
            layer.text = (layer.text or "") + child.tail
    layer.remove(child)


def _guides(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    border = plan.border
    for part, label, corners in (
        ("border-seam", "Border seam", border.seam),
        ("stop-line", "Stop line", border.stop_line),
    ):
        path = pen.path(layer, [(*corners, corners[0])], "guide", label)
        _set(path, "part", part)


def _zigzag(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag, lines in zip(plan.zigzags, plan.corner_lines, strict=True):
        name = zigzag.side.name
        path = pen.path(layer, [zigzag.line], "zigzag", f"{name.capitalize()}, zigzag")
        _set(path, "part", "side")
        _set(path, "side", name)
        for line in lines:
            _set(pen.path(layer, [line], "zigzag", f"{name.capitalize()}, corner line"), "part", "corner-line")


def _fills(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        group = pen.group(layer, side.capitalize())
        _set(group, "part", "side-fills")
        _set(group, "side", side)
        for filled in plan.of_side(side):
            _section(pen, group, filled)


def section_label(filled: FilledSection) -> str:
    """What a person reads in the layers panel: Top, triangle 3, diamonds."""
    section = filled.section
    what = {"inner": "triangle", "outer": "triangle on the stop line", "corner": "corner piece"}[section.base]
    return f"{section.side.capitalize()}, {what} {section.place}, {filled.fill_name}"


def _section(pen: Pen, parent: etree._Element, filled: FilledSection) -> None:
    section, fill = filled.section, filled.fill
    group = pen.group(parent, section_label(filled))
    for name, value in (
        ("part", "section"),
        ("section", section.name),
        ("side", section.side),
        ("base", section.base),
        ("corners", " ".join(pen.pair(corner) for corner in section.corners)),
        ("fill", filled.fill_name),
        ("spacing-in", f"{fill.spacing:.4f}"),
        ("drawn", fingerprint(fill.lines, section)),
    ):
        _set(group, name, value)
    if fill.note:
        _set(group, "note", fill.note)
    if fill.lines:
        path = pen.path(group, fill.lines, "fill", filled.fill_name.capitalize())
        _set(path, "part", "fill")


def _marks(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        path = pen.dots(layer, [*zigzag.dots[:-1], *zigzag.points], DOT, f"{side.capitalize()}, dots")
        _set(path, "part", "dots")
        _set(path, "side", side)


def _runs(pen: Pen, layer: etree._Element, runs: Sequence[Run]) -> None:
    for number, run in enumerate(runs, 1):
        path = pen.path(layer, [run.line], "run", f"Run {number}: {run.name}", close=False)
        _set(path, "part", "run")
        _set(path, "run", str(number))
        for name, inches in (("length-in", run.length), ("over-in", run.over), ("travel-in", run.travel)):
            _set(path, name, f"{inches:.4f}")


def _notes(pen: Pen, layer: etree._Element, plan: BorderPlan, job: Job, estimate: Estimate) -> None:
    size = max(SMALLEST_TYPE * job.options["scale"], min(1.0, plan.request.quilt_width / 80))
    lines = [
        part for line in notes(plan, estimate, job.remarks) for part in _wrapped(line, plan.request.quilt_width / size)
    ]
    element = pen.text(layer, lines, size, below=plan.request.quilt_height + 2 * size)
    _set(element, "part", "note")


def _wrapped(line: str, width: float) -> list[str]:
    """Lines no wider than the quilt; `width` in heights of the type, a letter being about half as wide as high."""
    import textwrap  # noqa: PLC0415 - only when there is something to write

    return textwrap.wrap(line, max(40, math.floor(width / 0.5)), subsequent_indent="    ")
