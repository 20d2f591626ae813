"""The designer's own drawing, read from the document as a motif."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from extension.document import SVG
from extension.selection import find_by_id, to_page
from extension.shapes import GROUPS, SHAPES, called, lines_of, tag
from geometry.errors import OptionError
from geometry.fills.motif import Motif, laid_out

if TYPE_CHECKING:
    from lxml import etree

    from extension.document import Document

ADVICE = {
    "text": "turn it into a path first (Path > Object to Path)",
    "flowRoot": "turn it into a path first (Path > Object to Path)",
    "image": "trace it to a path first (Path > Trace Bitmap)",
}
"""What is no lines, and what makes lines of it."""

_CUT = {"clip-path": "Object > Clip > Release", "mask": "Object > Mask > Release"}


def read_motif(document: Document, element_id: str) -> Motif:
    """Read the element of that id: a path, a shape, a clone, or a group of them.

    Raises:
        QuiltError: there is no such element, or no lines to stitch in it, or more than lines.
    """
    element = find_by_id(document.root, element_id)
    kind = tag(element)
    if kind not in SHAPES | GROUPS | {"use"}:
        advice = f"{ADVICE[kind]}, or choose another" if kind in ADVICE else "choose another"
        raise OptionError(
            f"The motif “{element_id[:60]}” is {_a(kind or 'thing of another kind')}; it must be lines or shapes: please {advice}."
        )
    for inner in element.iter(f"{{{SVG}}}*"):
        _check_lines(element, inner)
    parent = element.getparent()
    place = to_page(parent if parent is not None else element, document.root)
    return laid_out([place.line(line) for line in lines_of(element)])


def _check_lines(motif: etree._Element, inner: etree._Element) -> None:
    """See to it that a part of the motif is what it looks like: lines, all of which show.

    Raises:
        OptionError: it is words or a picture, or cut off by a clip or a mask.
    """
    if tag(inner) in ADVICE:
        raise OptionError(
            f"The motif “{called(motif)[:60]}” holds {_a(tag(inner))}; it must be lines and shapes alone: please "
            f"{ADVICE[tag(inner)]}, or take it out of the group."
        )
    for name, release in _CUT.items():
        given = inner.get(name) or next(iter(re.findall(rf"(?:^|;)\s*{name}\s*:([^;]*)", inner.get("style", ""))), "")
        if given.strip() not in {"", "none"}:
            raise OptionError(
                f"Of the motif “{called(motif)[:60]}” only a part shows, cut off by a {name.partition('-')[0]}; all its lines "
                f"would be stitched: please release that ({release}) and cut the lines themselves."
            )


def _a(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
