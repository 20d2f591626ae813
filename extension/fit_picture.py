"""The best few ways to fill some sides, drawn to look at: strips one above the other, to one scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

from extension.document import INKSCAPE, SVG
from extension.notes import percent
from extension.pen import INK, Pen
from geometry.fitting import angle_of, apart, difference, fit_side
from geometry.lengths import fraction
from geometry.plane import Affine, Point
from geometry.quilt import Side
from geometry.zigzag import zigzag_along

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from geometry.fitting import Ask

SHOWN = 5
"""Strips in a picture: more is to read, not to look at."""

GROUND, PATCH = "#f3f1ea", "#d0d7dd"
"""Behind the triangles on the stop line, and in those on the seam: they keep apart in black and white."""

TYPE = 1 / 64
"""Height of the type, in widths of the picture."""

LETTER = 0.6
"""Width of a letter in heights of the type, with room to spare."""

GAP = 1 / 50
"""Room between two sides, in lengths of all of them, at least."""

FEW = 3
"""Sides whose repeats are told one by one."""


class Strip(NamedTuple):
    """One way to fill some sides: a number of triangles for each."""

    asks: Sequence[Ask]
    counts: Sequence[float]

    @property
    def repeats(self) -> list[float]:
        """The length of a triangle on each side."""
        return [ask.length / count for ask, count in zip(self.asks, self.counts, strict=True)]

    def caption(self, number: int) -> list[str]:
        """What it comes to, in words, for a row of a table."""
        repeats = self.repeats
        angles = [angle_of(repeat, ask.height) for repeat, ask in zip(repeats, self.asks, strict=True)]
        off = max((difference(r, ask.repeat) for r, ask in zip(repeats, self.asks, strict=True)), key=abs)
        counts = _told(list(map(str, self.counts)))
        return [
            f"{number}.",
            f"{counts} {'triangle' if counts == '1' else 'triangles'}",
            f"{_told(_span(repeats, fraction))} in",
            _told(_span(angles, "{:.0f}°".format)),
            *([f"{apart(repeats):.1f} % apart"] if len(repeats) > 1 else []),
            percent(off),
        ]


def _span(values: Sequence[float], written: Callable[[float], str]) -> list[str]:
    """Few values one by one, more from the least to the most."""
    if len(values) <= FEW or written(min(values)) == written(max(values)):
        return [written(value) for value in values]
    return [f"{written(min(values))} to {written(max(values))}"]


def _told(words: Sequence[str]) -> str:
    if len(set(words)) == 1:
        return words[0]
    return " and ".join(words) if len(words) < FEW else ", ".join(words)


def strip_picture(strips: Sequence[Strip], words: Sequence[str] = ()) -> bytes:
    """A document of its own: strips of sides, the border seam below and the points up, and some lines of words under them."""
    asks = strips[0].asks
    high, long = max(ask.height for ask in asks), sum(ask.length for ask in asks)
    gap = max(high / 2, long * GAP)
    page = max(long + gap * (len(asks) - 1), 3 * high)
    size = page * TYPE
    margin, step = 2 * size, high + 3.6 * size
    total = 2 * margin + (2 + 1.4 * len(words)) * size + step * len(strips)
    root = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG, "inkscape": INKSCAPE})
    root.set("width", f"{page + 2 * margin:g}in")
    root.set("height", f"{total:g}in")
    root.set("viewBox", f"{-margin:g} {-margin:g} {page + 2 * margin:g} {total:g}")
    pen = Pen(Affine())
    pen.text(root, [_title(asks)], 1.2 * size, Point(0.0, size))
    captions = [strip.caption(number) for number, strip in enumerate(strips, 1)]
    columns = [LETTER * max(map(len, column)) + 2 for column in zip(*captions, strict=True)]
    for number, strip in enumerate(strips, 1):
        top = 2 * size + (number - 1) * step
        for place, cell in enumerate(captions[number - 1]):
            pen.text(root, [cell], size, Point(size * sum(columns[:place]), top + 1.4 * size))
        left, seam = 0.0, top + 2 * size + high
        for ask, count in zip(asks, strip.counts, strict=True):
            _draw(pen, root, ask, count, Point(left, seam), size)
            left += ask.length + gap
    if words:
        pen.text(root, words, size, Point(0.0, 2 * size + len(strips) * step + size))
    data: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data


def _title(asks: Sequence[Ask]) -> str:
    lengths = _told([f"{fraction(ask.length)} in" for ask in asks])
    asked = _told(_span([ask.repeat for ask in asks], fraction))
    return f"{'Sides' if len(asks) > 1 else 'A side'} of {lengths}, triangles of {asked} in asked for"


def _draw(pen: Pen, root: etree._Element, ask: Ask, count: float, start: Point, size: float) -> None:
    end, up = start.plus(Point(ask.length, 0.0)), Point(0.0, -ask.height)
    side = Side("side", start, end, start.plus(up), end.plus(up), ask.height)
    zigzag = zigzag_along(side, fit_side(ask, count))
    ground = (start, side.stop_start, side.stop_end, end, start)
    shapes = [
        (dot, point, after, dot) for dot, point, after in zip(zigzag.dots, zigzag.points, zigzag.dots[1:], strict=False)
    ]
    for lines, label, style in (
        ([ground], "Border", f"fill:{GROUND};stroke:none"),
        (shapes, "Triangles", f"fill:{PATCH};stroke:none"),
        ([zigzag.line], "Zigzag", f"fill:none;stroke:{INK};stroke-width:{size / 6:.4g};stroke-linejoin:round"),
        ([(start, end)], "Border seam", f"fill:none;stroke:{INK};stroke-width:{size / 12:.4g}"),
    ):
        pen.path(root, lines, "zigzag", label).set("style", style)
    pen.dots(root, zigzag.dots, size / 4, "Dots")
