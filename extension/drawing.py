"""The plan as layers, groups and paths of the document."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.document import INKSCAPE, set_value
from extension.layers import Ids, border_layer, emptied, onto
from extension.pen import Pen
from extension.record import VERSION, fingerprint, recipe
from extension.way import draw_way

if TYPE_CHECKING:
    from lxml import etree

    from extension.document import Document
    from extension.request import Job
    from geometry.fills.shape import FilledSection
    from geometry.plan import BorderPlan

DOT = 0.08
"""Inches from the centre of a dot to its rim."""


def draw(document: Document, job: Job, plan: BorderPlan) -> None:
    """Draw the border into the document: on a new layer on top, or in place of the one drawn for the same edge."""
    ids = Ids(document)
    layer = border_layer(document, job, ids)
    set_value(layer, "part", "border")
    set_value(layer, "edge", job.edge_id)
    set_value(layer, "version", VERSION)
    set_value(layer, "recipe", recipe(job, plan))
    parts = emptied(layer, ids)
    pen = Pen(onto(layer, document).after(job.place))
    _guides(pen, parts["guides"], plan)
    _zigzag(pen, parts["zigzag"], plan)
    _fills(pen, parts["fills"], plan, ids)
    _marks(pen, parts["marks"], plan)
    draw_way(pen, parts, plan, plan.runs(), scale=job.options["scale"], remarks=job.remarks)


def _guides(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    border = plan.border
    for part, label, corners in (
        ("border-seam", "Border seam", border.seam),
        ("stop-line", "Stop line", border.stop_line),
    ):
        path = pen.path(layer, [(*corners, corners[0])], "guide", label)
        set_value(path, "part", part)


def _zigzag(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag, lines in zip(plan.zigzags, plan.corner_lines, strict=True):
        name = zigzag.side.name
        path = pen.path(layer, [zigzag.line], "zigzag", f"{name.capitalize()}, zigzag")
        set_value(path, "part", "side")
        set_value(path, "side", name)
        for line in lines:
            set_value(pen.path(layer, [line], "zigzag", f"{name.capitalize()}, corner line"), "part", "corner-line")


def _fills(pen: Pen, layer: etree._Element, plan: BorderPlan, ids: Ids) -> None:
    before = str(layer.get("id")).removesuffix("-fills")
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        group = pen.group(layer, side.capitalize())
        set_value(group, "part", "side-fills")
        set_value(group, "side", side)
        for filled in plan.of_side(side):
            section = pen.group(group, "")
            section.set("id", ids.free(f"{before}-{filled.section.name}"))
            draw_section(pen, section, filled)


def section_label(filled: FilledSection) -> str:
    """What a person reads in the layers panel: Top, triangle 3, diamonds."""
    section = filled.section
    what = {"inner": "triangle", "outer": "triangle on the stop line", "corner": "corner piece"}[section.base]
    return f"{section.side.capitalize()}, {what} {section.place}, {filled.fill_name}"


def draw_section(pen: Pen, group: etree._Element, filled: FilledSection) -> None:
    """Draw a section's fill into its group, and write down what it is."""
    section, fill = filled.section, filled.fill
    group.set(f"{{{INKSCAPE}}}label", section_label(filled))
    for name, value in (
        ("part", "section"),
        ("section", section.name),
        ("side", section.side),
        ("base", section.base),
        ("corners", " ".join(pen.pair(corner) for corner in section.corners)),
        ("fill", filled.fill_name),
        ("spacing-in", f"{fill.spacing:.4f}"),
        ("note", fill.note),
        ("drawn", fingerprint(fill.lines, section)),
    ):
        set_value(group, name, value)
    if fill.lines:
        path = pen.path(group, fill.lines, "fill", filled.fill_name.capitalize())
        set_value(path, "part", "fill")


def _marks(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        path = pen.dots(layer, [*zigzag.dots[:-1], *zigzag.points], DOT, f"{side.capitalize()}, dots")
        set_value(path, "part", "dots")
        set_value(path, "side", side)
