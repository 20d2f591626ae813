"""A picture of how densely each section is quilted: tinted sections with a legend."""

from __future__ import annotations

import statistics
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import INKSCAPE, SVG
from extension.pen import INK, Pen
from geometry.plane import Affine, Point, area_of, length_of

if TYPE_CHECKING:
    from geometry.inspection.drawn import Drawn

TINTS = (("#f3f1ea", 0.5), ("#d0d7dd", 0.75), ("#9fb0c0", 1.25), ("#64809b", 1.5), ("#2c4464", None))
"""From thin to dense, each up to a share of what is usual (the median): they keep apart in black and white."""


def density_picture(drawn: Drawn) -> bytes:
    """The border's sections tinted by stitched inches per square inch, as a document of its own."""
    wide, high = max(c.x for c in drawn.edge), max(c.y for c in drawn.edge)
    size = max(wide, high) / 60
    margin, legend = 2 * size, 4 * size
    root = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG, "inkscape": INKSCAPE})
    root.set("width", f"{wide + 2 * margin:g}in")
    root.set("height", f"{high + 2 * margin + legend:g}in")
    root.set("viewBox", f"{-margin:g} {-margin:g} {wide + 2 * margin:g} {high + 2 * margin + legend:g}")
    pen = Pen(Affine())
    dense = [sum(map(length_of, one.lines)) / area_of(one.corners) for one in drawn.sections]
    usual = statistics.median(value for value in dense if value) if any(dense) else 1.0
    for one, value in zip(drawn.sections, dense, strict=True):
        shape = pen.path(root, [(*one.corners, one.corners[0])], "fill", f"{one.words}: {value:.2f}")
        tint = next(tint for tint, share in TINTS if share is None or value <= share * usual)
        shape.set("style", f"fill:{tint};stroke:#ffffff;stroke-width:{size / 10:.4g}")
    pen.path(root, [(*drawn.edge, drawn.edge[0])], "guide", "Trimmed edge")
    _legend(pen, root, usual, Point(0.0, high + 1.5 * size), min(wide / len(TINTS), 8 * size), size)
    data: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data


def _legend(pen: Pen, root: etree._Element, usual: float, at: Point, box: float, size: float) -> None:
    low = 0.0
    for number, (tint, share) in enumerate(TINTS):
        left = at.x + number * box
        corners = (Point(left, at.y), Point(left + box, at.y), Point(left + box, at.y + size), Point(left, at.y + size))
        shape = pen.path(root, [(*corners, corners[0])], "fill", "Legend")
        shape.set("style", f"fill:{tint};stroke:{INK};stroke-width:{size / 30:.4g}")
        words = f"over {low:.2f}" if share is None else f"{low:.2f}–{share * usual:.2f}"
        pen.label(root, words, Point(left + box / 2, at.y + 1.9 * size), 0.8 * size)
        low = (share or 0.0) * usual
    words = f"stitched inches per square inch; usual in this border {usual:.2f}"
    pen.label(root, words, Point(at.x + len(TINTS) * box / 2, at.y + 3.3 * size), 0.8 * size)
