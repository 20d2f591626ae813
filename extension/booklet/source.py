"""From a document to a pattern: one border as it stands, hand edits included."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from extension.document import value_of
from extension.ground import borders_in
from extension.keeping import is_by_hand
from extension.reading import read_border
from extension.restitch import plan_of
from geometry.errors import SelectionError
from geometry.pattern import Pattern, pattern_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml import etree

    from extension.document import Document
    from extension.reading import Standing


class Source(NamedTuple):
    """What a booklet is made from: the border as it stands, as a pattern and in the document."""

    pattern: Pattern
    standing: Standing


def read_source(document: Document, ids: Sequence[str] = ()) -> Source:
    """Read the border of a document, or the one that the ids belong to.

    Raises:
        QuiltError: there is none, or more than one to choose from, or it no longer is what a border looks like.
    """
    standing = read_border(document, _border_layer(document, ids))
    pattern = pattern_of(plan_of(standing))
    edited = {one.section.name for one in standing.sections if is_by_hand(one, standing.ground.stretch)}
    marked = tuple(replace(one, edited=one.name in edited) for one in pattern.sections)
    return Source(replace(pattern, sections=marked), standing)


def _border_layer(document: Document, ids: Sequence[str]) -> etree._Element:
    borders = borders_in(document)
    if not borders:
        raise SelectionError(
            "There is no border in the document; a booklet is made from one that Cornerwise has drawn: "
            "please draw the border first."
        )
    wanted = set(ids)
    chosen = [border for border in borders if wanted & _names(border)] if wanted else borders
    if not chosen and len(borders) == 1 and wanted <= {element.get("id") for element in document.root.iter()}:
        chosen = borders
    if len(chosen) != 1:
        names = ", ".join(f"“{value_of(border, 'edge')}”" for border in borders[:6])
        raise SelectionError(
            f"There are {len(borders)} borders in the document, round {names}, and {len(chosen) if wanted else 'none'} of "
            "them is chosen; a booklet is made from one: please select its edge, or give its id."
        )
    return chosen[0]


def _names(border: etree._Element) -> set[str]:
    """The ids by which a border can be chosen: its edge, its layer, anything on it."""
    inside = {element.get("id") for element in border.iter() if element.get("id")}
    return {value_of(border, "edge"), *inside} - {""}
