"""The layer of findings: a small numbered marker at each place, and the list at the quilt's side."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import INKSCAPE, SVG, set_value
from extension.layers import Ids, child_layer
from extension.pen import Pen
from extension.way import SMALLEST_TYPE
from geometry.inspection.pins import pins
from geometry.plane import Point, along, distance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from extension.document import Document
    from extension.ground import Ground
    from geometry.findings import Inspection

FINDINGS = "findings"

SIGNAL = "#b3261e"
"""The colour of what points at a finding: no line of a border has it."""

PAPER = "#ffffff"

DISC, DOT = 1.9, 0.22
"""Heights of the type across the disc with a number, and from the middle of the dot at its place to the dot's rim."""

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
    placed = [(number, one.at) for number, one in enumerate(found.findings, 1) if one.at is not None]
    discs = pins([at for _, at in placed], DISC * size, Point(wide / 2, high / 2))
    for (number, at), disc in zip(placed, discs, strict=True):
        for element in _pin(pen, old, number, at, disc, size):
            set_value(element, "part", "finding")
    lines = [part for line in as_lines(found, ground) for part in _wrapped(line)]
    set_value(pen.text(old, lines, size, Point(wide + 3 * size, size)), "part", "finding")


def _pin(pen: Pen, layer: etree._Element, number: int, at: Point, disc: Point, size: float) -> Iterator[etree._Element]:
    """A dot at the place, a line from it to a disc, the number in the disc."""
    away = distance(at, disc)
    rim = along(disc, at, min(DISC * size / 2 / away, 1.0))
    line = pen.path(layer, [(at, rim)], "run", f"Finding {number}, line")
    dot = pen.dots(layer, [at], DOT * size, f"Finding {number}, place")
    ring = pen.dots(layer, [disc], DISC * size / 2, f"Finding {number}")
    dot.set("style", f"fill:{SIGNAL};stroke:{PAPER};stroke-width:{pen.length(0.08 * size)}")
    line.set("style", f"fill:none;stroke:{SIGNAL};stroke-width:{pen.length(0.12 * size)}")
    ring.set("style", f"fill:{PAPER};stroke:{SIGNAL};stroke-width:{pen.length(0.12 * size)}")
    # three figures are as wide as the disc
    label = pen.label(layer, str(number), disc, size * min(1.0, 2.4 / (1 + len(str(number)))))
    return iter((line, dot, ring, label))


def _wrapped(line: str) -> list[str]:
    return textwrap.wrap(line, COLUMN, subsequent_indent="    ") or [""]
