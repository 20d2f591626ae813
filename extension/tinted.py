"""A picture of how densely each section is quilted: tinted sections with a legend."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.inspection.evenness import area_of
from lxml import etree

from extension.document import INKSCAPE, SVG
from extension.pen import INK, Pen
from geometry.plane import Affine, Point, length_of

if TYPE_CHECKING:
    from geometry.inspection.drawn import Drawn

TINTS = ("#f3f1ea", "#d5dbe0", "#aebbc8", "#7f95aa", "#516e8b", "#2c4464")
"""From thin to dense: they keep apart in black and white."""


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
    low, top = min(dense, default=0.0), max(dense, default=0.0)
    step = (top - low) / len(TINTS) or 1.0
    for one, value in zip(drawn.sections, dense, strict=True):
        shape = pen.path(root, [(*one.corners, one.corners[0])], "fill", f"{one.words}: {value:.2f}")
        shape.set(
            "style",
            f"fill:{TINTS[min(len(TINTS) - 1, int((value - low) / step))]};stroke:{INK};stroke-width:{size / 30:.4g}",
        )
    pen.path(root, [(*drawn.edge, drawn.edge[0])], "guide", "Trimmed edge")
    box = min(wide / len(TINTS), 8 * size)
    for number, tint in enumerate(TINTS):
        left, upper = number * box, high + 1.5 * size
        corners = [
            Point(left, upper),
            Point(left + box, upper),
            Point(left + box, upper + size),
            Point(left, upper + size),
        ]
        shape = pen.path(root, [(*corners, corners[0])], "fill", "Legend")
        shape.set("style", f"fill:{tint};stroke:{INK};stroke-width:{size / 30:.4g}")
        words = f"{low + number * step:.2f}–{low + (number + 1) * step:.2f}"
        pen.label(root, words, Point(left + box / 2, upper + 1.9 * size), 0.8 * size)
    pen.label(root, "stitched inches per square inch", Point(len(TINTS) * box / 2, high + 4.4 * size), 0.9 * size)
    data: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data
