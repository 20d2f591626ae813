"""Values to elements: one place writes coordinates, colours and widths into the document."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from lxml import etree

from extension.document import INKSCAPE, SODIPODI, SVG
from geometry.plane import Curve, Point

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plane import Affine, Line

FINENESS = 1e-7
"""Inches of quilt to which coordinates are written: copies of one triangle stay copies."""

STROKES = {
    "guide": ("#8f8a80", 0.03, "0.25 0.15"),
    "zigzag": ("#1d2b45", 0.085, ""),
    "fill": ("#3f6287", 0.05, ""),
    "run": ("#b4562c", 0.06, ""),
}
"""Colour, width in inches of quilt, dashes: dark, middle and light keep apart in black and white."""

INK = "#1d2b45"


class Pen:
    """Writes shapes given in inches of quilt into a document.

    `place` maps inches of quilt to user units where the elements go.
    """

    def __init__(self, place: Affine) -> None:
        """Take the map from inches of quilt to user units."""
        self._place = place
        self._units = math.sqrt(abs(place.determinant))
        self._digits = max(0, math.ceil(-math.log10(FINENESS * self._units)))
        self._written: dict[Line, list[str]] = {}

    def number(self, value: float) -> str:
        """A coordinate, without idle zeros."""
        return self._bare(f"{value:.{self._digits}f}")

    @staticmethod
    def _bare(text: str) -> str:
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text == "-0" else text

    def pair(self, point: Point) -> str:
        """A point as `x,y` in user units."""
        return self.pairs((point,))[0]

    def pairs(self, line: Line) -> list[str]:
        """The points of a line as `x,y` in user units; a run goes along lines already written, so they are kept."""
        if line not in self._written:
            a, b, c, d, e, f = self._place
            spots = [value for x, y in line for value in (a * x + c * y + e, b * x + d * y + f)]
            texts = (f"%.{self._digits}f " * len(spots) % tuple(spots)).split()
            # few numbers end in idle zeros
            texts = [text if text[-1] != "0" else self._bare(text) for text in texts]
            self._written[line] = [f"{x},{y}" for x, y in zip(texts[::2], texts[1::2], strict=True)]
        return self._written[line]

    def as_written(self, line: Line) -> Line:
        """A line as it will be read back, its coordinates rounded."""
        rounded = tuple(Point(round(x, self._digits), round(y, self._digits)) for x, y in self._place.line(line))
        return self._place.inverse().line(Curve(rounded) if isinstance(line, Curve) else rounded)

    def length(self, inches: float) -> str:
        """Inches of quilt in user units."""
        return f"{inches * self._units:.5g}"

    def path(
        self, parent: etree._Element, lines: Sequence[Line], stroke: str, label: str, *, close: bool = True
    ) -> etree._Element:
        """One path element, a subpath for each line; a line that ends where it began is closed unless told not to."""
        return self._add(parent, "path", label, d=self.data(lines, close=close), style=self.style(stroke))

    def way(self, parent: etree._Element, lines: Sequence[Line], stroke: str, label: str) -> etree._Element:
        """One path element of one subpath: lines each of which begins where the last ended."""
        data = [f"M {self.pairs(lines[0])[0]}"]
        for curved, group in itertools.groupby(lines, lambda line: isinstance(line, Curve)):
            data.append("C" if curved else "L")
            data += [pair for line in group for pair in self.pairs(line)[1:]]
        return self._add(parent, "path", label, d=" ".join(data), style=self.style(stroke))

    def data(self, lines: Sequence[Line], *, close: bool = True) -> str:
        """Path data, a subpath for each line."""
        return " ".join(self._subpath(line, close=close) for line in lines)

    def style(self, stroke: str) -> str:
        """The style of a kind of line."""
        colour, width, dashes = STROKES[stroke]
        style = (
            f"fill:none;stroke:{colour};stroke-width:{self.length(width)};stroke-linecap:round;stroke-linejoin:round"
        )
        if dashes:
            style += f";stroke-dasharray:{','.join(self.length(float(dash)) for dash in dashes.split())}"
        return style

    def _subpath(self, line: Line, *, close: bool) -> str:
        if isinstance(line, Curve):
            first, *others = self.pairs(line)
            return f"M {first} C {' '.join(others)}"
        closed = close and len(line) > 2 and line[0] == line[-1]  # noqa: PLR2004 - out and back is no outline
        points = self.pairs(line[:-1] if closed else line)
        return f"M {points[0]} L {' '.join(points[1:])}{' Z' if closed else ''}"

    def dots(self, parent: etree._Element, points: Sequence[Point], radius: float, label: str) -> etree._Element:
        """One path of small filled circles."""
        r = self.length(radius)
        data = []
        for point in points:
            spot = self._place.at(point)
            left, right = spot.x - radius * self._units, spot.x + radius * self._units
            y = self.number(spot.y)
            data.append(
                f"M {self.number(left)},{y} A {r} {r} 0 1 1 {self.number(right)},{y} "
                f"A {r} {r} 0 1 1 {self.number(left)},{y} Z"
            )
        return self._add(parent, "path", label, d=" ".join(data), style=f"fill:{INK};stroke:none")

    def rings(self, parent: etree._Element, points: Sequence[Point], radius: float, label: str) -> etree._Element:
        """One path of small open circles."""
        path = self.dots(parent, points, radius, label)
        path.set("style", f"fill:none;stroke:{INK};stroke-width:{self.length(0.4 * radius)}")
        return path

    def filled(self, parent: etree._Element, outlines: Sequence[Line], stroke: str, label: str) -> etree._Element:
        """One path of filled shapes, in the colour of that kind of line."""
        path = self.path(parent, outlines, stroke, label)
        path.set("style", f"fill:{STROKES[stroke][0]};stroke:none")
        return path

    def group(self, parent: etree._Element, label: str) -> etree._Element:
        """A group with a label to read."""
        return self._add(parent, "g", label)

    def text(self, parent: etree._Element, lines: Sequence[str], size: float, at: Point) -> etree._Element:
        """Lines of text, `size` inches high, the first beginning at a point, turned with the quilt."""
        turn = self._turned(at)
        style = f"font-family:sans-serif;font-size:{self.length(size)}px;line-height:1.4;fill:{INK};stroke:none"
        # the editor sets its lines from the element's own x and y, other programs from those of each line
        element = self._add(parent, "text", "Words", transform=turn, style=style, x="0", y="0")
        for number, line in enumerate(lines):
            span = etree.SubElement(element, f"{{{SVG}}}tspan")
            span.set(f"{{{SODIPODI}}}role", "line")
            span.set("x", "0")
            span.set("y", self.length(1.4 * size * number))
            # indents are for the eye only; white space would be folded
            span.text = line.replace("    ", "\u2003\u2003")
        return element

    def label(self, parent: etree._Element, text: str, at: Point, size: float) -> etree._Element:
        """A short word, `size` inches high, its middle at a point, turned with the quilt."""
        style = (
            f"font-family:sans-serif;font-weight:bold;font-size:{self.length(size)}px;text-anchor:middle;"
            f"text-align:center;fill:{INK};stroke:none"
        )
        # figures are about 0.72 of the type's height
        at = Point(at.x, at.y + 0.36 * size)
        element = self._add(parent, "text", f"Number {text}", transform=self._turned(at), style=style, x="0", y="0")
        element.text = text
        return element

    def _turned(self, at: Point) -> str:
        """A transform that sets words along the quilt's top, beginning at a point."""
        a, b, c, d = (value / self._units for value in self._place[:4])
        spot = self._place.at(at)
        return f"matrix({a:.9g} {b:.9g} {c:.9g} {d:.9g} {spot.x:.9g} {spot.y:.9g})"

    def _add(self, parent: etree._Element, tag: str, label: str, **attributes: str) -> etree._Element:
        element = etree.SubElement(parent, f"{{{SVG}}}{tag}")
        for name, value in attributes.items():
            element.set(name, value)
        element.set(f"{{{INKSCAPE}}}label", label)
        return element
