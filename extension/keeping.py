"""Hand edits survive: what she changed in a drawn border is found, and carried into the next drawing.

A section whose lines are not as they were drawn keeps hers, carried from the old triangle to
the new one; one whose fill she took out stays empty; one she gave another fill keeps it.
What cannot be carried is kept, visible, on a layer of its own. Nothing is lost.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import CW, INKSCAPE, SVG, set_value, value_of
from extension.gathering import strays
from extension.layers import child_layer
from extension.pen import Pen
from extension.reading import read_border
from extension.record import is_as_drawn
from extension.restitch import in_standard
from extension.shapes import SHAPES, Reader, lines_of, tag, to_ancestor
from geometry.carrying import carried, matched, nearest, relative_places
from geometry.errors import DrawingError, QuiltError
from geometry.fills.catalogue import MOTIF
from geometry.plan import BorderPlan, refilled
from geometry.plane import Affine, distance, flat
from geometry.sections import opening_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from extension.document import Document
    from extension.gathering import StandingSection
    from extension.layers import Ids
    from extension.reading import Standing
    from geometry.fills.shape import FilledSection
    from geometry.plane import Line
    from geometry.sections import Section

KEPT = "kept"
KEPT_LABEL = "Kept from before"

SAME_PLACE = 1e-6
"""Inches: what was drawn and written down is no farther off than this from where it was planned."""

STILL_THERE = 1e-3
"""Inches a zigzag, or a whole border, may be off by the editor's rounding without having been moved."""

LEAVES = SHAPES | {"use", "text", "image", "flowRoot", "foreignObject"}


@dataclass(frozen=True, slots=True)
class HandLine:
    """An element of hers and its lines, in inches of the quilt it is carried to."""

    element: etree._Element
    lines: tuple[Line, ...]
    untouched: bool


@dataclass(frozen=True, slots=True)
class Carried:
    """What goes from the last drawing into the next.

    Attributes:
        plan: the next border, with her lines in it.
        by_hand: her elements of each section of hers, by the new section's name; none where she took the fill out.
        fresh: what would have been drawn there instead, by the same name.
        own: the spacing asked for in sections she gave another fill, by the same name.
        lost: elements that find no place, each with the map to the border's layer.
        places: the relative places where the work on those sections was done, by the new name.
        looks_like: for each new section the old one whose colours it takes over.
        place: from inches of quilt to user units inside the layer, as it was; None where that cannot be told any more.
        elsewhere: elements on other layers that are carried from there.
    """

    plan: BorderPlan
    by_hand: Mapping[str, tuple[HandLine, ...]]
    fresh: Mapping[str, FilledSection]
    own: Mapping[str, float]
    lost: tuple[tuple[etree._Element, Affine], ...]
    places: Mapping[str, float]
    looks_like: Mapping[str, str]
    place: Affine | None
    elsewhere: tuple[etree._Element, ...] = ()


def carry(document: Document, layer: etree._Element, plan: BorderPlan, place: Affine) -> Carried:
    """Find what was done by hand in a drawn border, and carry it into the next one.

    `place` maps inches of the next one to user units inside the layer.
    """
    try:
        old = read_border(document, layer, as_fitted=True)
    except QuiltError:
        # it cannot be told any more what lies where: everything of the fills is put aside
        return Carried(plan, {}, {}, {}, tuple(_strangers(layer, set())), {}, {}, None)
    # a drawing of hers that filled a section may be gone; its lines are still there
    edited = [one for one in old.sections if is_by_hand(one, old.ground.stretch) or _own_motif(one)]
    own = {
        one.section.name: spacing
        for one in old.sections
        if (spacing := _own_spacing(one)) is not None and one not in edited
    }
    before, after = [one.section for one in old.sections], [one.section for one in plan.sections]
    stood = relative_places(before)
    places = stood | {one.section.name: spot for one in old.sections if (spot := _first_place(one))}
    precious = [one.section for one in old.sections if one in edited or one.section.name in own]
    became = matched(precious, places, after)
    fills = {one.section.name: one.fill_name for one in old.sections}
    for name in own.keys() & became.keys():
        plan = refilled(plan, {became[name]}, fills[name], own[name])
    fresh = {one.section.name: one for one in plan.sections}
    pen, moved = Pen(place), not _at_the_same_place(plan, old.place, place)
    hand, lost = {}, []
    for one in edited:
        new = became.get(one.section.name)
        if new is None:
            lost += [(element, to_ancestor(element.getparent(), layer)) for element in one.elements]
        else:
            hand[new] = tuple(_carried(one, fresh[new].section, old, pen, moved=moved))
    loose = {element for element, _ in old.loose}
    taken = {element for one in old.sections for element in one.elements} - loose
    lost += _strangers(layer, taken)
    lost += _moved_zigzag(old)
    kinds = {became[one.section.name]: one for one in edited if one.section.name in became}
    sections = tuple(
        _with_hers(one, hand[one.section.name], kinds[one.section.name]) if one.section.name in hand else one
        for one in plan.sections
    )
    return Carried(
        plan._replace(sections=sections), hand, {name: fresh[name] for name in hand},
        {became[name]: spacing for name, spacing in own.items() if name in became}, tuple(lost),
        {new: places[name] for name, new in became.items()}, nearest(after, [one.section for one in old.sections if one.lines], stood), old.place,
        tuple(_elsewhere(layer, taken)),
    )  # fmt: skip


def _elsewhere(layer: etree._Element, taken: set[etree._Element]) -> Iterator[etree._Element]:
    """What goes back into the border from other layers: the lines that were carried, and groups that hold nothing else."""
    for group in strays(layer):
        lines = [element for element in group.iter(f"{{{SVG}}}*") if element in taken]
        if any(tag(e) in LEAVES and e not in taken and not _inside_text(e) for e in group.iter(f"{{{SVG}}}*")):
            sections = [g for g in group.iter(f"{{{SVG}}}g") if value_of(g, "part") == "section"]
            yield from (*lines, *(one for one in sections if all(e in lines for e in one.iter() if tag(e) in LEAVES)))
        else:
            yield group


def is_by_hand(one: StandingSection, stretch: float) -> bool:
    """Whether the lines of a section are not as they were drawn, in a border that is `stretch` times larger now."""
    if one.group is None:
        return True
    drawn = value_of(one.group, "drawn")
    if not drawn:
        return bool(one.lines)
    return not is_as_drawn(one.lines, one.section, drawn, stretch)


def _own_motif(one: StandingSection) -> bool:
    return one.fill_name == MOTIF and _own_spacing(one) is not None


def _first_place(one: StandingSection) -> float:
    """The relative place where the work on a section was done, if it has been carried since; otherwise 0."""
    try:
        place = float(value_of(one.group, "place")) if one.group is not None else 0.0
    except ValueError:
        return 0.0
    return place if 0 < place < 1 else 0.0


def _own_spacing(one: StandingSection) -> float | None:
    """The spacing asked for when a section was given another fill; None if it was not."""
    try:
        spacing = float(value_of(one.group, "own")) if one.group is not None else math.nan
    except ValueError:
        return None
    return spacing if math.isfinite(spacing) and spacing >= 0 else None


def _at_the_same_place(plan: BorderPlan, old: Affine, new: Affine) -> bool:
    near = STILL_THERE * math.sqrt(abs(new.determinant))
    return all(distance(old.at(corner), new.at(corner)) < near for corner in plan.border.edge)


def _carried(one: StandingSection, new: Section, old: Standing, pen: Pen, *, moved: bool) -> Iterator[HandLine]:
    still = (
        not moved
        and len(one.section.corners) == len(new.corners)
        and all(distance(a, b) < SAME_PLACE for a, b in zip(one.section.corners, new.corners, strict=True))
    )
    to_quilt = old.place.inverse()
    mine = {flat(line) for line in one.lines}
    reader = Reader(old.layer.getroottree().getroot())
    for element in one.elements:
        place = to_quilt.after(to_ancestor(element.getparent(), old.layer))
        lines = [place.line(line) for line in reader.lines_of(element)]
        hers = [line for line in lines if flat(line) in mine]
        plain = tag(element) == "path" and to_ancestor(element, old.layer) == Affine() and len(hers) == len(lines)
        # as they will be read back, so that a run through them is the same the next time
        there = tuple(pen.as_written(carried(line, one.section, new)) for line in hers)
        yield HandLine(element, there, still and plain)


def _with_hers(fresh: FilledSection, hand: Sequence[HandLine], old: StandingSection) -> FilledSection:
    lines = tuple(line for one in hand for line in one.lines)
    spacing = old.spacing if math.isfinite(old.spacing) else fresh.fill.spacing
    return in_standard(fresh.section, old.fill_name or fresh.fill_name, lines, spacing, "", {})


def _strangers(layer: etree._Element, taken: set[etree._Element]) -> Iterator[tuple[etree._Element, Affine]]:
    """Elements on our layers that are not ours, and whatever of the fills lies in no section."""
    for inner in layer:
        if not value_of(inner, "part") or value_of(inner, "part") == KEPT:
            continue
        fills = value_of(inner, "part") == "fills"
        for element in inner.iter(f"{{{SVG}}}*"):
            if tag(element) not in LEAVES or element in taken or _inside_text(element):
                continue
            if fills or not value_of(element, "part"):
                yield element, to_ancestor(element.getparent(), layer)


def _inside_text(element: etree._Element) -> bool:
    return any(tag(above) in {"text", "flowRoot", "foreignObject", "defs"} for above in element.iterancestors())


def _moved_zigzag(old: Standing) -> Iterator[tuple[etree._Element, Affine]]:
    """Zigzag and corner lines that she moved: they are drawn anew, and hers are put aside."""
    planned = [zigzag.line for zigzag in old.zigzags]
    planned += [line for lines in old.crossings for line in lines]
    planned += [line for zigzag in old.zigzags for line in opening_lines(zigzag)]
    layer = child_layer(old.layer, "zigzag")
    for element in [] if layer is None else layer.iter(f"{{{SVG}}}path"):
        if value_of(element, "part") not in {"side", "corner-line"}:
            continue
        place = old.place.inverse().after(to_ancestor(element.getparent(), old.layer))
        try:
            drawn = [flat(place.line(line)) for line in lines_of(element)]
        except DrawingError:
            drawn = []
        if not drawn or not all(any(_same(line, other) for other in planned) for line in drawn):
            yield element, to_ancestor(element.getparent(), old.layer)


def _same(one: Line, other: Line) -> bool:
    return len(one) == len(other) and any(
        all(distance(a, b) < STILL_THERE for a, b in zip(one, way, strict=True)) for way in (other, other[::-1])
    )


def put_aside(layer: etree._Element, lost: Sequence[tuple[etree._Element, Affine]], ids: Ids) -> int:
    """Put what could not be carried on its own layer, visible, where it was; returns how many things lie there now."""
    kept = next((child for child in layer if value_of(child, "part") == KEPT), None)
    if kept is None and not lost:
        return 0
    if kept is None:
        kept = etree.SubElement(layer, f"{{{SVG}}}g")
        kept.set("id", ids.free(f"{layer.get('id')}-{KEPT}"))
        kept.set(f"{{{INKSCAPE}}}groupmode", "layer")
        kept.set(f"{{{INKSCAPE}}}label", KEPT_LABEL)
        set_value(kept, "part", KEPT)
    layer.append(kept)
    for element, place in lost:
        moved = without_ours(element)
        if place != Affine():
            own = moved.get("transform", "")
            moved.set("transform", f"matrix({' '.join(f'{value:.12g}' for value in place)}) {own}".strip())
        kept.append(moved)
    return len(kept)


def without_ours(element: etree._Element) -> etree._Element:
    """A copy of an element without this project's attributes."""
    moved = copy.deepcopy(element)
    moved.tail = None
    for name in [name for name in moved.attrib if str(name).startswith(f"{{{CW}}}")]:
        del moved.attrib[name]
    return moved
