"""Which border belongs to which edge: copies, and borders pasted from elsewhere, may name another than the one they lie on."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from extension.document import value_of
from extension.ground import borders_in, lie_of, widths_on
from extension.shapes import SHAPES, elements_in, tag
from geometry.errors import QuiltError
from geometry.graph import MEETING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from lxml import etree

    from extension.document import Document

MOST_SHAPES = 200
"""Shapes of a page that are asked whether a border lies on them."""


def drawn_for(document: Document, edge_id: str) -> etree._Element | None:
    """The border drawn for an edge.

    One that names the edge and lies on it comes first. Next is a copy that lies on it and whose named edge is elsewhere: it
    was copied with its edge, which has a new id since. Last is one that names it and lies on nothing: its edge was changed.
    One that lies on another shape is that shape's, whatever it names.
    """
    layers = borders_in(document)
    named = [layer for layer in layers if value_of(layer, "edge") == edge_id]
    for layer in named:
        if _lies_on(document, layer, [edge_id]):
            return layer
    for layer in layers:
        astray = layer not in named and not _lies_on(document, layer, [value_of(layer, "edge")])
        if astray and _lies_on(document, layer, [edge_id]):
            return layer
    return next((layer for layer in named if not _lies_on(document, layer, _shapes(document))), None)


def _shapes(document: Document) -> list[str]:
    """The ids of the shapes on the page, up to a number of them."""
    shapes = (element for element, _ in elements_in(document.root) if tag(element) in SHAPES and element.get("id"))
    return [str(element.get("id")) for element in itertools.islice(shapes, MOST_SHAPES)]


def _lies_on(document: Document, layer: etree._Element, edge_ids: Iterable[str]) -> bool:
    """Whether a border lies on one of several shapes as it was drawn on its edge."""
    try:
        lie = lie_of(document, layer)
    except QuiltError:
        return False
    meant = {name: width * lie.stretch for name, width in zip(lie.names, lie.recipe.widths, strict=True)}
    for edge_id in edge_ids:
        found = dict(zip(lie.names, widths_on(document, edge_id, lie) or (), strict=False))
        if found and all(abs(found[name] - meant[name]) <= MEETING for name in lie.recipe.sides):
            return True
    return False
