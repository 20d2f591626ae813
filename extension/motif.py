"""The designer's own drawing, read from the document as a motif."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.selection import find_by_id, to_page
from extension.shapes import GROUPS, SHAPES, lines_of, tag
from geometry.errors import OptionError
from geometry.fills.motif import Motif, laid_out

if TYPE_CHECKING:
    from extension.document import Document


def read_motif(document: Document, element_id: str) -> Motif:
    """Read the element of that id: a path, a shape, a clone, or a group of them.

    Raises:
        QuiltError: there is no such element, or no lines to stitch in it.
    """
    element = find_by_id(document.root, element_id)
    kind = tag(element)
    if kind not in SHAPES | GROUPS | {"use"}:
        named = kind or "thing of another kind"
        raise OptionError(
            f"The motif “{element_id[:60]}” is {'an' if named[0] in 'aeiou' else 'a'} {named}; it must be lines or shapes: please "
            "turn it into a path first (Path > Object to Path), or choose another."
        )
    parent = element.getparent()
    place = to_page(parent if parent is not None else element, document.root)
    return laid_out([place.line(line) for line in lines_of(element)])
