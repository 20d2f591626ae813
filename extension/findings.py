"""The layer of findings: a small numbered marker at each place, and the list at the quilt's side."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import INKSCAPE, SVG, set_value
from extension.layers import Ids, child_layer
from extension.pen import Pen
from extension.way import SMALLEST_TYPE
from geometry.plane import Point

if TYPE_CHECKING:
    from extension.document import Document
    from extension.ground import Ground
    from geometry.findings import Inspection

FINDINGS = "findings"

MARKER = 0.9
"""Heights of the type from a marker's middle to its rim."""

COLUMN = 46
"""Letters in a line of the list."""


def draw_findings(document: Document, ground: Ground, found: Inspection) -> None:
    """Draw the findings on a layer of their own; those of the check before make room."""
    from extension.check import as_lines  # noqa: PLC0415 - the words are the tool's

    old = child_layer(ground.layer, FINDINGS)
    if old is None:
        old = etree.SubElement(ground.layer, f"{{{SVG}}}g")
        old.set("id", Ids(document).free(f"{ground.layer.get('id', 'cornerwise')}-{FINDINGS}"))
        old.set(f"{{{INKSCAPE}}}groupmode", "layer")
        old.set(f"{{{INKSCAPE}}}label", "Findings")
        set_value(old, "part", FINDINGS)
    for child in list(old):
        old.remove(child)
    pen = Pen(ground.place)
    wide = max(corner.x for corner in ground.border.edge)
    high = max(corner.y for corner in ground.border.edge)
    size = max(SMALLEST_TYPE * ground.options["scale"], min(0.8, max(wide, high) / 110))
    for number, one in enumerate(found.findings, 1):
        if one.at is None:
            continue
        spot = Point(one.at.x, one.at.y)
        marker = pen.rings(old, [spot], MARKER * size, f"Finding {number}")
        set_value(marker, "part", "finding")
        # the number beside the marker, on the side of the centre
        step = 1.9 * size
        beside = Point(spot.x + (step if spot.x < wide / 2 else -step), spot.y)
        set_value(pen.label(old, str(number), beside, size), "part", "finding")
    lines = [part for line in as_lines(found) for part in textwrap.wrap(line, COLUMN, subsequent_indent="    ")]
    set_value(pen.text(old, lines, size, Point(wide + 3 * size, size)), "part", "finding")
