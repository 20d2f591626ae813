"""The plan as layers, groups and paths of the document."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

from extension.document import INKSCAPE, set_side, set_value
from extension.layers import Ids, border_layer, emptied, onto, take_out
from extension.pen import Pen
from extension.record import VERSION, fingerprint, recipe
from extension.styles import changed_styles, dress
from extension.way import Drawn, draw_way
from geometry.quilt import PLACES, side_and_tier
from geometry.sections import opening_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.keeping import Carried, HandLine
    from extension.request import Job
    from extension.styles import Key
    from geometry.fills.shape import FilledSection
    from geometry.plan import BorderPlan
    from geometry.plane import Line, Point
    from geometry.quilt import Side

DOT = 0.08
"""Inches from the centre of a dot to its rim."""

TAKEN_OUT = "taken out"
"""Stands for the fingerprint of a fill that she took out; no lines have it."""


def draw(
    document: Document, job: Job, drawn: Drawn, before: etree._Element | None, carried: Carried | None = None
) -> None:
    """Draw the border into the document: on a new layer on top, or in place of the one drawn for the same edge.

    `carried` is what goes over from that one: lines, styles, and what finds no place any more.
    """
    plan, ids = drawn.plan, Ids(document)
    layer = border_layer(document, job, before, ids)
    styles: dict[Key, dict[str, str]] = {}
    if carried is not None and carried.place is not None:
        styles = changed_styles(layer, Pen(carried.place))
    set_value(layer, "part", "border")
    set_value(layer, "edge", job.edge_id)
    set_value(layer, "version", VERSION)
    set_value(layer, "recipe", recipe(job, plan))
    for element in carried.elsewhere if carried is not None else ():
        if element.getparent() is not None:
            take_out(element.getparent(), element)
    parts = emptied(layer, ids)
    pen = Pen(onto(layer, document).after(job.place))
    _guides(pen, parts["guides"], plan, measured=bool(job.options["measured"]))
    _zigzag(pen, parts["zigzag"], plan)
    _fills(pen, parts["fills"], plan, ids, carried)
    _marks(pen, parts["marks"], plan)
    remarks = [*job.remarks, *_put_aside(layer, carried, ids)]
    draw_way(pen, parts, drawn, scale=job.options["scale"], remarks=remarks)
    if carried is not None:
        # what is hers altogether keeps its own looks
        dress(layer, styles, {**carried.looks_like, **dict.fromkeys(carried.by_hand, "")})


def _put_aside(layer: etree._Element, carried: Carried | None, ids: Ids) -> Iterator[str]:
    """Put what found no place on its own layer; say so."""
    if carried is None:
        return
    from extension.keeping import KEPT_LABEL, put_aside  # noqa: PLC0415 - a first border has nothing to keep

    count = put_aside(layer, carried.lost, ids)
    if count:
        lines = "One thing" if count == 1 else f"{count} things"
        yield f"{lines} of yours found no place in this border any more: see the layer “{KEPT_LABEL}”."


def _guides(pen: Pen, layer: etree._Element, plan: BorderPlan, *, measured: bool) -> None:
    border = plan.border
    for part, label, corners in (
        ("border-seam", "Border seam", border.seam),
        ("stop-line", "Stop line", border.stop_line),
    ):
        lines = [(*corners, corners[0])] if border.closed else _along(border.sides, part)
        set_value(pen.path(layer, lines, "guide", label), "part", part)
    for tier in range(1, plan.request.tiers):
        lines = _all_along(plan, tier)
        label = "Line between tiers" if plan.request.tiers == 2 else f"Line above tier {tier}"  # noqa: PLR2004
        set_value(pen.path(layer, lines, "guide", label), "part", "mid-line")
    if measured:
        edge = pen.path(layer, [(*border.edge, border.edge[0])], "guide", "Trimmed edge, as measured")
        set_value(edge, "part", "trimmed-edge")


def _all_along(plan: BorderPlan, tier: int) -> list[Line]:
    """The line above a tier, all round or along those sides that have a border."""
    sides = [zigzag.side for zigzag in plan.zigzags if zigzag.side.tier == tier]
    if not plan.border.closed:
        return _along(sides, "mid-line")
    corners = tuple(side.stop_start for side in sides)
    return [(*corners, corners[0])]


def _along(sides: Sequence[Side], part: str) -> list[Line]:
    """The border seam, or the line above, of those sides that have a border."""
    found: list[Line] = []
    for side in sides:
        piece = (side.seam_start, side.seam_end) if part == "border-seam" else (side.stop_start, side.stop_end)
        if side.open_start or not found:
            found.append(piece)
        else:
            found[-1] = (*found[-1], piece[1])
    if len(found) > 1 and not sides[0].open_start:
        # the last strip goes on into the first side
        found[0] = (*found.pop(), *found[0][1:])
    return found


def _zigzag(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    for zigzag, lines in zip(plan.zigzags, plan.corner_lines, strict=True):
        name = zigzag.side.name
        path = pen.path(layer, [zigzag.line], "zigzag", f"{side_label(name)}, zigzag")
        set_value(path, "part", "side")
        set_side(path, name)
        for line in (*opening_lines(zigzag), *lines):
            across = pen.path(layer, [line], "zigzag", f"{side_label(name)}, corner line")
            set_value(across, "part", "corner-line")
            set_value(across, "tier", str(zigzag.side.tier) if zigzag.side.tier > 1 else "")


def side_label(name: str) -> str:
    """What a side is called in the layers panel: Top, Side 3; above the lowest tier also which: Top, tier 2."""
    side, tier = side_and_tier(name)
    words = side.capitalize() if side in PLACES else f"Side {side}"
    return words if tier == 1 else f"{words}, tier {tier}"


def _fills(pen: Pen, layer: etree._Element, plan: BorderPlan, ids: Ids, carried: Carried | None) -> None:
    before = str(layer.get("id")).removesuffix("-fills")
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        group = pen.group(layer, side_label(side))
        set_value(group, "part", "side-fills")
        set_side(group, side)
        for filled in plan.of_side(side):
            section = pen.group(group, "")
            name = filled.section.name
            section.set("id", ids.free(f"{before}-{name}"))
            if carried is not None and name in carried.by_hand:
                _describe(pen, section, filled, carried.fresh[name])
                if not carried.by_hand[name] and not carried.fresh[name].fill.lines:
                    # where nothing would be drawn now, it must still be told that she took a fill out
                    set_value(section, "drawn", TAKEN_OUT)
                for hand in carried.by_hand[name]:
                    _draw_by_hand(pen, section, hand, ids)
            else:
                draw_section(pen, section, filled, carried.own.get(name) if carried is not None else None)
            if carried is not None and name in carried.places:
                set_value(section, "place", f"{carried.places[name]:.9g}")


def section_label(filled: FilledSection) -> str:
    """What a person reads in the layers panel: Top, triangle 3, diamonds."""
    section = filled.section
    above = "line above" if section.on_mid_line else "stop line"
    what = {"inner": "triangle", "outer": f"triangle on the {above}", "corner": "corner piece"}[section.base]
    return f"{side_label(section.side)}, {what} {section.place}, {filled.fill_name}"


def draw_section(pen: Pen, group: etree._Element, filled: FilledSection, own: float | None = None) -> None:
    """Draw a section's fill into its group, and write down what it is.

    `own` is the spacing asked for where she gave the section a fill of its own.
    """
    _describe(pen, group, filled, filled)
    set_value(group, "own", "" if own is None else f"{own:.9g}")
    if filled.fill.lines:
        path = pen.path(group, filled.fill.lines, "fill", filled.fill_name.capitalize())
        set_value(path, "part", "fill")


def _describe(pen: Pen, group: etree._Element, filled: FilledSection, drawn: FilledSection) -> None:
    """Write down what a section is; the fingerprint is that of the lines as they would be without her hand."""
    section, fill = filled.section, filled.fill
    side, tier = side_and_tier(section.side)
    group.set(f"{{{INKSCAPE}}}label", section_label(filled))
    for name, value in (
        ("part", "section"),
        ("section", section.name),
        ("side", side),
        ("tier", str(tier) if tier > 1 else ""),
        ("base", section.base),
        ("corners", " ".join(pen.pair(corner) for corner in section.corners)),
        ("fill", filled.fill_name),
        ("spacing-in", f"{fill.spacing:.4f}"),
        ("note", fill.note),
        ("drawn", fingerprint(drawn.fill.lines, section)),
    ):
        set_value(group, name, value)


def _draw_by_hand(pen: Pen, group: etree._Element, hand: HandLine, ids: Ids) -> None:
    """An element of hers in its new place, looking as she made it look."""
    if hand.untouched:
        moved = copy.deepcopy(hand.element)
        moved.tail = None
        group.append(moved)
        return
    style, label = hand.element.get("style"), hand.element.get(f"{{{INKSCAPE}}}label", "By hand")
    path = pen.path(group, hand.lines, "fill", label)
    set_value(path, "part", "fill")
    if style:
        path.set("style", style)
    if hand.element.get("id"):
        path.set("id", ids.free(str(hand.element.get("id"))))


def _marks(pen: Pen, layer: etree._Element, plan: BorderPlan) -> None:
    marked: set[Point] = set()
    for zigzag in plan.zigzags:
        side = zigzag.side.name
        # the last pivot is marked as the next side's first
        spots = zigzag.line if zigzag.side.open_end else zigzag.line[:-1]
        first = int(zigzag.side.turned_start)
        row = [spot for spot in (*spots[first::2], *spots[1 - first :: 2]) if spot not in marked]
        marked.update(row)
        path = pen.dots(layer, row, DOT, f"{side_label(side)}, dots")
        set_value(path, "part", "dots")
        set_side(path, side)
