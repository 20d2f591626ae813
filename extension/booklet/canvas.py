"""A picture on paper, true to size: shapes in inches of paper, written once as SVG.

Words are kept apart from the shapes: the typesetter sets them with its own fonts where they
are placed, and a picture by itself writes them as SVG text. So a label is real text in both.
"""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import Affine, Curve, Point, distance
from geometry.quilt import tiers_in_words
from geometry.sheets import Box, around, clipped, clipped_area

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.plane import Line

POINTS = 72.0
"""Points to the inch (ISO 32000)."""

FAMILY = "Libertinus Serif"
"""The one typeface family of the booklet; it comes with the typesetter."""

INK, MID, RUST, GREY, PALE, TINT = "#1d2b45", "#3f6287", "#b4562c", "#8f8a80", "#bdb7aa", "#f6f1e7"
"""The palette of the drawing: dark, middle, accent, and three greys; they keep apart in black and white."""

SMALLEST = 7.0
"""Points; no word in a picture is smaller."""


class Ink(NamedTuple):
    """How a line is drawn: colour, width in points, dashes in points."""

    colour: str
    width: float
    dashes: tuple[float, ...] = ()


INKS = {
    "edge": Ink(INK, 0.8),
    "seam": Ink(GREY, 0.9),
    "stop-line": Ink(GREY, 0.7, (4, 2.4)),
    "before": Ink(PALE, 1.1),
    "now": Ink(INK, 1.7),
    "now-fine": Ink(INK, 1.2),
    "travel": Ink(RUST, 1.6, (0.01, 2.8)),
    "over": Ink(RUST, 1.3, (3.2, 1.8)),
    "seam-true": Ink(INK, 0.8, (9, 3)),
    "stop-line-true": Ink(INK, 0.7, (4, 2.4)),
    "zigzag": Ink(INK, 1.1),
    "fill": Ink(MID, 0.8),
    "small-fill": Ink(MID, 0.4),
    "small-zigzag": Ink(INK, 0.75),
    "trace": Ink(INK, 1.5, (0.01, 4.2)),
    "trace-fine": Ink(MID, 1.2, (0.01, 3.2)),
    "thin": Ink(GREY, 0.5),
    "tick": Ink(INK, 0.7),
    "join": Ink(GREY, 0.6, (2.2, 2.2)),
    "exact": Ink("#000000", 0.5),
}

ARROWS = 'fill-rule="nonzero"'
APART = 'opacity="1"'
MERGED = ('fill="none"', ARROWS)
"""How the style of shapes begins that may be drawn as one path."""

Anchor = Literal["start", "middle", "end"]


class Label(NamedTuple):
    """Words at a place: baseline there, turned clockwise about it by `turn` degrees."""

    at: Point
    words: str
    size: float
    anchor: Anchor
    colour: str
    bold: bool
    italic: bool
    turn: float


class Canvas:
    """Gathers the shapes of one picture, `wide` by `tall` inches of paper, y downwards.

    Lines and areas are cut off at the box `clip`, at first the whole picture, so that nothing sticks out where no
    viewer cuts it off; dots, arrows and words outside it are left out.
    """

    def __init__(self, wide: float, tall: float, alt: str = "") -> None:
        """Begin an empty picture; `alt` says in words what it shows."""
        self.wide, self.tall, self.alt = wide, tall, alt
        self.clip = Box(0, 0, wide, tall)
        self.labels: list[Label] = []
        self._shapes: list[tuple[str, str]] = []

    @property
    def box(self) -> Box:
        """The whole picture."""
        return Box(0, 0, self.wide, self.tall)

    def lines(
        self, lines: Iterable[Line], ink: str, place: Affine | None = None, *, fill: str = "none", apart: bool = False
    ) -> None:
        """Draw lines, each a subpath; one that ends where it began is closed. Those outside the picture are left out.

        `apart` keeps them a path of their own.
        """
        data = []
        for line in lines:
            placed = place.line(line) if place is not None else line
            if len(placed) > 1 and around(placed).grown(1e-9).meets(self.clip):
                data += [subpath(part) for part in clipped(placed, self.clip)]
        if data:
            style = f'fill="{fill}"{_stroked(INKS[ink])}'
            self._path(" ".join(data), f"{APART} {style}" if apart else style)

    def area(self, corners: Sequence[Point], fill: str, place: Affine | None = None) -> None:
        """Fill a polygon without an outline."""
        placed = place.line(tuple(corners)) if place is not None else tuple(corners)
        inside = clipped_area(placed, self.clip)
        if inside:
            self._path(subpath((*inside, inside[0])), f'fill="{fill}"')

    def _path(self, data: str, style: str) -> None:
        """Add path data; what is drawn alike one after the other is one path, because editors count elements."""
        if self._shapes and self._shapes[-1][0] == style and style.startswith(MERGED):
            data = f"{self._shapes.pop()[1]} {data}"
        self._shapes.append((style, data))

    def put(self, other: Canvas, at: Point) -> None:
        """Put another picture here, its top left corner at `at`."""
        inside = "".join(other.shapes())
        self._shapes.append(("", f'<g transform="translate({number(at.x)} {number(at.y)})">{inside}</g>'))
        self.labels += [label._replace(at=label.at.plus(at)) for label in other.labels]

    def shapes(self) -> list[str]:
        """The shapes as SVG elements, lowest first."""
        return [f'<path d="{data}" {style}/>' if style else data for style, data in self._shapes]

    def plate(self, box: Box) -> None:
        """A white patch, so that words on it can be read."""
        corners = (Point(box.left, box.top), Point(box.right, box.top), Point(box.right, box.bottom),
                   Point(box.left, box.bottom))  # fmt: skip
        self.area(corners, "#ffffff")

    def dot(self, at: Point, radius: float, fill: str = INK, ring: str | None = None) -> None:
        """A round dot; with `ring`, outlined in that colour."""
        if self._hidden(at):
            return
        outline = f' stroke="{ring}" stroke-width="{1.1 / POINTS:.5f}"' if ring else ""
        self._shapes.append(
            ("", f'<circle cx="{number(at.x)}" cy="{number(at.y)}" r="{number(radius)}" fill="{fill}"{outline}/>')
        )

    def arrow(self, tip: Point, direction: Point, size: float, colour: str = INK) -> None:
        """An arrowhead, `size` inches long, whose tip points along `direction`."""
        length = math.hypot(*direction)
        if length == 0 or self._hidden(tip):
            return
        ahead = direction.times(size / length)
        side = Point(-ahead.y, ahead.x).times(0.38)
        back = tip.minus(ahead)
        notch = tip.minus(ahead.times(0.72))
        corners = (tip, back.plus(side), notch, back.minus(side), tip)
        self._path(subpath(corners), f'{ARROWS} fill="{colour}"')

    def text(
        self, at: Point, words: str, size: float = 8.0, anchor: Anchor = "start", *, colour: str = INK,
        bold: bool = False, italic: bool = False, turn: float = 0.0,
    ) -> None:  # fmt: skip
        """Put words at a place; `size` in points, never under seven."""
        if not self._hidden(at):
            self.labels.append(
                Label(at, tiers_in_words(words), max(size, SMALLEST), anchor, colour, bold, italic, turn)
            )

    def _hidden(self, at: Point) -> bool:
        return not self.clip.grown(1e-6).holds(at)

    def svg(self, *, words: bool = False) -> str:
        """The picture as SVG, one unit to the inch; with its words as text, or without."""
        texts = [_text(label) for label in self.labels] if words else []
        return "\n".join(
            [
                (
                    f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(self.wide)}in" height="{number(self.tall)}in"'
                    f' viewBox="0 0 {number(self.wide)} {number(self.tall)}">'
                ),
                *([f"<title>{escape(self.alt)}</title>"] if words and self.alt else []),
                *self.shapes(),
                *texts,
                "</svg>",
                "",
            ]
        )


def number(value: float) -> str:
    """A coordinate to a hundred-thousandth of an inch, without idle zeros."""
    text = f"{value:.5f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def subpath(line: Line) -> str:
    """A line as path data."""
    points = [f"{number(point.x)},{number(point.y)}" for point in line]
    if isinstance(line, Curve):
        return f"M{points[0]}C{' '.join(points[1:])}"
    closed = len(line) > 2 and distance(line[0], line[-1]) < 1e-9  # noqa: PLR2004 - out and back is no outline
    return f"M{points[0]}L{' '.join(points[1:-1] if closed else points[1:])}{'Z' if closed else ''}"


def _stroked(ink: Ink) -> str:
    text = (
        f' stroke="{ink.colour}" stroke-width="{number(ink.width / POINTS)}" stroke-linecap="round" '
        'stroke-linejoin="round"'
    )
    if ink.dashes:
        text += f' stroke-dasharray="{" ".join(number(dash / POINTS) for dash in ink.dashes)}"'
    return text


def _text(label: Label) -> str:
    x, y = number(label.at.x), number(label.at.y)
    style = ' font-weight="bold"' if label.bold else ""
    style += ' font-style="italic"' if label.italic else ""
    style += f' transform="rotate({label.turn:g} {x} {y})"' if label.turn else ""
    return (
        f'<text x="{x}" y="{y}" font-family="{FAMILY}, Georgia, serif" font-size="{number(label.size / POINTS)}" '
        f'text-anchor="{label.anchor}" fill="{label.colour}"{style}>{escape(label.words)}</text>'
    )
