"""The layers of a border in the document: found, made, emptied; everything else that lies there is left alone."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import CW, INKSCAPE, SODIPODI, SVG, set_value, value_of
from extension.selection import to_page
from geometry.errors import DocumentError
from geometry.lengths import fraction
from geometry.plane import Affine

if TYPE_CHECKING:
    from collections.abc import Collection

    from extension.document import Document
    from extension.request import Job

LAYERS = (
    ("guides", "Guides"),
    ("zigzag", "Zigzag"),
    ("fills", "Fills"),
    ("marks", "Marks"),
    ("stitching", "Stitching line"),
    ("order", "Order"),
    ("notes", "Notes"),
)
"""The layers of a border, lowest first: part and label."""

HIDDEN = frozenset({"stitching", "order"})


class Ids:
    """The ids of a document, gathered once, and free ones like them."""

    def __init__(self, document: Document) -> None:
        """Look at every element."""
        self._root = document.root
        self.look_again()

    def look_again(self) -> None:
        """Gather the ids anew, after elements were taken out."""
        self._taken = {element.get("id") for element in self._root.iter()}

    def free(self, wanted: str) -> str:
        """The wanted id, or with a number behind it if that is taken; it is taken from now on."""
        names = itertools.chain([wanted], (f"{wanted}-{number}" for number in itertools.count(2)))
        found = next(name for name in names if name not in self._taken)
        self._taken.add(found)
        return found


def border_layer(document: Document, job: Job, before: etree._Element | None, ids: Ids) -> etree._Element:
    """The layer of this edge's border: the one already there, or a new one on top."""
    if before is not None:
        if before.get("id") is None:
            before.set("id", ids.free(f"cornerwise-{job.edge_id}"))
        return before
    # only the cw prefix goes on the root; the editor's own ones are declared here if the document has none
    names = {"inkscape": INKSCAPE, "sodipodi": SODIPODI}
    known = document.root.nsmap
    missing = {prefix: uri for prefix, uri in names.items() if prefix not in known and uri not in known.values()}
    layer = etree.SubElement(document.root, f"{{{SVG}}}g", nsmap=missing or None)
    layer.set("id", ids.free(f"cornerwise-{job.edge_id}"))
    layer.set(f"{{{INKSCAPE}}}groupmode", "layer")
    request = job.request
    size = f"{fraction(request.quilt_width)} × {fraction(request.quilt_height)} in"
    layer.set(f"{{{INKSCAPE}}}label", f"Border {size}")
    return layer


def onto(layer: etree._Element, document: Document) -> Affine:
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


def emptied(layer: etree._Element, ids: Ids) -> dict[str, etree._Element]:
    """The layers inside, each once, empty, in order; what she showed or hid stays so, and what else she put there."""
    # findings speak of the border that goes
    ours = {part for part, _ in LAYERS} | {"findings"}
    kept = {}
    for child in list(layer):
        part = child.get(f"{{{CW}}}part")
        if part in ours:
            kept[part] = child
            take_out(layer, child)
    ids.look_again()
    parts = {}
    for part, label in LAYERS:
        old = kept.get(part)
        new = etree.SubElement(layer, f"{{{SVG}}}g")
        new.set("id", ids.free(f"{layer.get('id')}-{part}"))
        _name_layer(new, part, label)
        style = old.get("style") if old is not None else "display:none" if part in HIDDEN else None
        if style:
            new.set("style", style)
        parts[part] = new
    return parts


def _name_layer(layer: etree._Element, part: str, label: str) -> None:
    layer.set(f"{{{INKSCAPE}}}groupmode", "layer")
    layer.set(f"{{{INKSCAPE}}}label", label)
    set_value(layer, "part", part)


def child_layer(border: etree._Element, part: str) -> etree._Element | None:
    """The layer inside a border that holds one kind of thing; None if it is gone."""
    return next((child for child in border.iterchildren(f"{{{SVG}}}g") if value_of(child, "part") == part), None)


def cleared(border: etree._Element, names: Collection[str], ids: Ids) -> dict[str, etree._Element]:
    """Some of the layers inside a border, in their places, rid of what was drawn here; those that are missing are put in.

    What she put there herself stays.
    """
    found = {}
    for number, (part, label) in enumerate(LAYERS):
        if part in names:
            old = child_layer(border, part)
            if old is None:
                before = {name for name, _ in LAYERS[:number]}
                old = etree.Element(f"{{{SVG}}}g")
                border.insert(sum(1 for child in border if child.get(f"{{{CW}}}part") in before), old)
                old.set("id", ids.free(f"{border.get('id')}-{part}"))
                _name_layer(old, part, label)
            for child in list(old):
                if value_of(child, "part"):
                    if not (child.tail or "").strip():
                        child.tail = None
                    take_out(old, child)
            found[part] = old
    return found


def take_out(layer: etree._Element, child: etree._Element) -> None:
    """Remove a child but not the text after it."""
    if child.tail:
        before = child.getprevious()
        if before is not None:
            before.tail = (before.tail or "") + child.tail
        else:
            layer.text = (layer.text or "") + child.tail
    layer.remove(child)
