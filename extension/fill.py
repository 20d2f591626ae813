"""Change fill: give chosen sections another fill; everything else stays as it is."""

from __future__ import annotations

import math
import sys
from typing import TYPE_CHECKING, Any

from extension.document import CW, SVG, value_of
from extension.drawing import draw_section
from extension.entry import add_document, from_editor
from extension.ground import chosen_border
from extension.layers import Ids, child_layer, cleared, take_out
from extension.motif import read_motif
from extension.options import FILL_OPTIONS, add_options, read_options
from extension.order import derive
from extension.pen import Pen
from extension.reading import read_border
from extension.restitch import plan_of
from extension.shapes import original, tag, to_ancestor
from extension.tool import DONE, load, write
from geometry.errors import DrawingError, QuiltError, SelectionError
from geometry.fills.catalogue import MOTIF
from geometry.plan import refilled
from geometry.plane import Affine

if TYPE_CHECKING:
    import argparse
    from collections.abc import Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from lxml import etree

    from extension.document import Document
    from extension.gathering import StandingSection
    from extension.reading import Standing
    from geometry.fills.motif import Motif
    from geometry.fills.shape import FilledSection


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise fill`, and of the dialog."""
    add_document(
        parser,
        "a section by its id or name (top-in-3), anything in it, or a group of sections; may be given many times",
        id_name="SECTION",
    )
    add_options(parser, FILL_OPTIONS)


def run(arguments: argparse.Namespace) -> int:
    """Read, fill, derive the stitching line again, write."""
    options = read_options(vars(arguments), FILL_OPTIONS)
    document = load(arguments.input)
    if not arguments.ids:
        raise SelectionError(
            "Nothing is selected; one or more sections of a border must be: please select some and try again."
        )
    borders = _borders(document, arguments.ids)
    drawing = _motif_id(borders, arguments.ids, options)
    ids = [name for name in arguments.ids if name != drawing]
    motif = read_motif(document, drawing) if drawing else None
    left = set(ids)
    for standing in borders:
        left -= fill_sections(document, standing, ids, options, motif)
    if left:
        raise SelectionError(
            f"“{min(left)[:60]}” is no section of a border, nor part of one; it must be: please select triangles or "
            "corner pieces of a border that was drawn here."
        )
    write(document.to_bytes(), arguments.output, arguments.input)
    return DONE


def _borders(document: Document, ids: Sequence[str]) -> list[Standing]:
    """All borders that can be read.

    Raises:
        QuiltError: one of them cannot, and holds what is selected, or there is no other.
    """
    found, wanted = [], set(ids)
    layers = chosen_border(document, ())
    for layer in layers:
        try:
            found.append(read_border(document, layer))
        except QuiltError:  # noqa: PERF203 - there are few borders
            if len(layers) == 1 or any(element.get("id") in wanted for element in layer.iter(f"{{{SVG}}}*")):
                raise
    return found


def _motif_id(borders: Sequence[Standing], ids: Sequence[str], options: Mapping[str, Any]) -> str:
    """The id of the drawing to fill with: the one named, or the one selected thing that lies in no border."""
    if options["fill"] != MOTIF or options["motif"]:
        return str(options["motif"]) if options["fill"] == MOTIF else ""
    outside = [name for name in ids if not any(_sections_of(standing, name) for standing in borders)]
    return outside[0] if len(outside) == 1 else ""


def fill_sections(
    document: Document,
    standing: Standing,
    ids: Sequence[str],
    options: Mapping[str, Any],
    motif: Motif | None = None,
) -> set[str]:
    """Fill the selected sections of one border anew; returns which of the ids belong to it.

    Raises:
        QuiltError: a fill that cannot be drawn, or lines that cannot be told apart.
    """
    found = {element_id: names for element_id in ids if (names := _sections_of(standing, element_id))}
    names = set().union(*found.values())
    if not names:
        return set()
    spacing = standing.options["spacing"] if options["spacing"] is None else options["spacing"]
    plan = refilled(plan_of(standing), names, options["fill"], spacing, motif, options["seed"])
    filled = {one.section.name: one for one in plan.sections}
    _check_apart(document, standing, names)
    for one in standing.sections:
        if one.section.name in names:
            _redraw(document, standing, one, filled[one.section.name], spacing)
    derive(document, standing, plan)
    return set(found)


def _sections_of(standing: Standing, element_id: str) -> set[str]:
    """The names of the sections that an element is, holds or lies in."""
    named = {one.section.name for one in standing.sections}
    if element_id in named:
        return {element_id}
    element = next((e for e in standing.layer.iter(f"{{{SVG}}}*") if e.get("id") == element_id), None)
    if element is None:
        return set()
    inside = {value_of(group, "section") for group in element.iter(f"{{{SVG}}}g")}
    around = {value_of(group, "section") for group in element.iterancestors()}
    lying = {one.section.name for one in standing.sections if element in one.elements}
    return (inside | lying or around) & named or around & named


def _check_apart(document: Document, standing: Standing, names: AbstractSet[str]) -> None:
    """See to it that what is taken out belongs to the chosen sections alone.

    Raises:
        DrawingError: a path runs on into other sections, or is shown again elsewhere by a clone.
    """
    chosen = [one for one in standing.sections if one.section.name in names]
    gone = {element for one in chosen for element in one.elements}
    for one in chosen:
        for element, through in one.elements.items():
            if through - names:
                raise DrawingError(
                    f"The {tag(element)} “{element.get('id', '')}” runs through {', '.join(sorted(through)[:5])}; what is "
                    "filled anew must not reach into other sections: please break it apart first (Path > Break Apart)."
                )
    others = {element for one in standing.sections for element in one.elements} - gone
    taken = {element.get("id") for element in gone}
    around = {group.get("id") for element in gone for group in element.iterancestors()}
    for use in document.root.iter(f"{{{SVG}}}use"):
        name = original(use)
        if use not in gone and name and (name in taken or (use in others and name in around)):
            raise DrawingError(
                f"“{name}” is shown elsewhere too, by the clone “{use.get('id', '')}”; what is filled anew must not "
                "change other sections: please unlink the clone first (Edit > Clone > Unlink Clone)."
            )


def _redraw(document: Document, standing: Standing, old: StandingSection, new: FilledSection, spacing: float) -> None:
    group = old.group if old.group is not None else _new_group(document, standing, new)
    for element in old.elements:
        parent = element.getparent()
        if parent is not None:
            take_out(parent, element)
    if len(group) == 0:
        # moved, or scaled, together with the lines that are gone
        group.attrib.pop("transform", None)
    draw_section(Pen(_inside(standing, group)), group, new, spacing)


def _inside(standing: Standing, group: etree._Element) -> Affine:
    """The map from inches of quilt to user units inside a group of the border.

    Raises:
        DrawingError: what the group lies in is flattened, or scaled out of sight.
    """
    try:
        back = to_ancestor(group, standing.layer).inverse()
    except ZeroDivisionError:
        back = Affine(math.nan)
    if not all(abs(value) < 1e12 for value in back):  # noqa: PLR2004 - nothing is scaled so
        raise DrawingError(
            f"The group that holds “{value_of(group, 'section') or group.get('id', '')}” is flattened or scaled out of "
            "sight; it must have a size: please undo its transform."
        )
    return back.after(standing.place)


def _new_group(document: Document, standing: Standing, filled: FilledSection) -> etree._Element:
    """A group for a section that has lost its own, beside the others of its side."""
    fills = child_layer(standing.layer, "fills")
    if fills is None:
        ids = Ids(document)
        fills = cleared(standing.layer, {"fills"}, ids)["fills"]
    side = next((g for g in fills if g.get(f"{{{CW}}}side") == filled.section.side), fills)
    group = side.makeelement(f"{{{SVG}}}g")
    side.append(group)
    group.set("id", Ids(document).free(f"{standing.layer.get('id')}-{filled.section.name}"))
    return group


if __name__ == "__main__":
    sys.exit(from_editor("fill", add_arguments, run))
