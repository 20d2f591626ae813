"""The booklet's parts as plain pages: everything placed by us, for designers who lay out their pattern in the editor.

The typesetter's pages cannot be edited, so here the same parts flow into pages of plain shapes
and words, simply and with room to spare; laying them out well is what the designer wants to do.
"""

from __future__ import annotations

import itertools
import textwrap
from typing import TYPE_CHECKING, Any

from extension.booklet.canvas import INK, POINTS, RUST, Canvas
from extension.booklet.sheet import GREY_TYPE
from geometry.plane import Point

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from extension.booklet.settings import Settings

LETTER = 0.48
"""Heights of the type that a letter is wide, with room to spare: the editor may have to use another font."""

SIZE = 10.0
LEAD = 1.4


class Flow:
    """Pages being filled from top to bottom."""

    def __init__(self, settings: Settings) -> None:
        """Begin before the first page."""
        self._settings = settings
        self.pages: list[Canvas] = []
        self._y = 0.0

    @property
    def _margin(self) -> float:
        return self._settings.margin

    @property
    def _page(self) -> Canvas:
        return self.pages[-1]

    def turn(self, name: str) -> None:
        """Begin a page."""
        paper = self._settings.paper
        self.pages.append(Canvas(paper.wide, paper.tall, name))
        self._y = self._margin

    def keep(self, tall: float) -> None:
        """Begin a page unless so much of this one is left."""
        if self._y + tall > self._settings.paper.tall - self._margin:
            self.turn(self._page.alt)

    def heading(self, words: str, size: float = 20.0) -> None:
        """A title, with the short rule of the booklet over it."""
        self.line_over()
        self.paragraph(words, size)
        self._y += 0.1

    def line_over(self) -> None:
        """The short rule."""
        self.keep(0.6)
        left, right = Point(self._margin, self._y), Point(self._margin + 0.6, self._y + 0.022)
        corners = (left, Point(right.x, left.y), right, Point(left.x, right.y))
        self._page.area(corners, RUST)
        self._y += 0.12

    def paragraph(self, words: str, size: float = SIZE, *, bold: bool = False, indent: float = 0.0, colour: str = INK) -> None:  # fmt: skip
        """Words, wrapped to the page."""
        wide = self._settings.text_wide - indent
        for row in textwrap.wrap(words, max(20, int(wide * POINTS / (LETTER * size)))):
            tall = LEAD * size / POINTS
            self.keep(tall)
            self._y += tall
            self._page.text(Point(self._margin + indent, self._y), row, size, bold=bold, colour=colour)
        self._y += 0.07

    def blank(self) -> None:
        """A line to write on."""
        self.keep(0.35)
        self._y += 0.32
        end = self._margin + self._settings.text_wide
        self._page.lines([(Point(self._margin, self._y), Point(end, self._y))], "thin")

    def picture(self, picture: Canvas) -> None:
        """A picture, at the size it was made for."""
        self.keep(picture.tall + 0.1)
        self._y += 0.08
        self._page.put(picture, Point(self._margin, self._y))
        self._y += picture.tall + 0.12

    def table(
        self, heads: Sequence[str], rows: Iterable[Sequence[str]], size: float = 9.0, columns: int = 1,
        shares: Sequence[float] = (),
    ) -> None:  # fmt: skip
        """A table, each column flush left; long ones in several columns of the page. `shares`: how wide each column is."""
        rows = list(rows)
        each = -(-len(rows) // columns)
        tall = LEAD * size / POINTS
        shares = shares or [1.0] * len(heads)
        wide = self._settings.text_wide / columns / sum(shares)
        lefts = [wide * sum(shares[:cell]) for cell in range(len(heads))]
        for first in range(0, each, MOST_ROWS):
            block = [rows[c * each + first : min(c * each + first + MOST_ROWS, (c + 1) * each)] for c in range(columns)]
            self.keep(tall * (max(map(len, block)) + 1) + 0.1)
            top = self._y
            for column, some in enumerate(block):
                left = self._margin + column * self._settings.text_wide / columns
                for number, row in enumerate([heads, *some]):
                    for cell, words in enumerate(row):
                        self._page.text(
                            Point(left + lefts[cell], top + tall * (number + 1)), words, size if number else 7.0,
                            colour=INK if number else GREY_TYPE,
                        )  # fmt: skip
            self._y = top + tall * (max(map(len, block)) + 1) + 0.12


MOST_ROWS = 36
"""Rows of a table that go on one page."""


def pages_of(parts: Iterable[Mapping[str, Any]], settings: Settings) -> list[Canvas]:
    """The parts of a booklet as pages of plain shapes and words."""
    flow = Flow(settings)
    for part in parts:
        if part["kind"] == "sheet":
            flow.pages.append(part["picture"])
            continue
        flow.turn(part["title"])
        flow.heading(part["title"], 26.0 if part["kind"] == "cover" else 20.0)
        KINDS[part["kind"]](flow, part)
    return flow.pages


def _cover(flow: Flow, part: Mapping[str, Any]) -> None:
    if part["maker"]:
        flow.paragraph(part["maker"], 12, colour=GREY_TYPE)
    flow.picture(part["picture"])
    if part["warning"]:
        flow.paragraph(part["warning"], bold=True)
    for name, words in itertools.chain(*part["facts"]):
        flow.paragraph(f"{name}: {words}")


def _reading(flow: Flow, part: Mapping[str, Any]) -> None:
    for section in part["parts"]:
        flow.paragraph(section["title"], 12, bold=True)
        for words in section["paragraphs"]:
            flow.paragraph(words)
        for words in section.get("points", ()):
            flow.paragraph(f"–  {words}", indent=0.12)
        for _ in range(section.get("blank", 0)):
            flow.blank()


def _steps(flow: Flow, part: Mapping[str, Any]) -> None:
    flow.paragraph(part["lead"])
    for step in part["rows"]:
        flow.keep(step["picture"].tall + 1.0)
        flow.paragraph(f"{step['number']}   {step['title']}", 12, bold=True)
        flow.paragraph(step["words"])
        flow.picture(step["picture"])


def _chart(flow: Flow, part: Mapping[str, Any]) -> None:
    for words in part["lead"]:
        flow.paragraph(words)
    half = ("from", "in", "mm", "to centre", "mm")
    for side in part["sides"]:
        flow.keep(side["picture"].tall + 2.0)
        flow.paragraph(side["title"], 12, bold=True)
        flow.paragraph(side["words"])
        flow.picture(side["picture"])
        flow.table(("dot", *half, "point", *half), side["rows"], shares=(1.5, 0.8, 1.1, 0.8, 1.2, 0.8) * 2)
        flow.paragraph(side["check"])


def _tables(flow: Flow, part: Mapping[str, Any]) -> None:
    for words in part["lead"]:
        flow.paragraph(words)
    for table in part["tables"]:
        if table["title"]:
            flow.paragraph(table["title"], 11, bold=True)
        flow.table(table["heads"], table["rows"], columns=part["columns"])
    if part["picture"] is not None:
        flow.picture(part["picture"])
    for words in part["after"]:
        flow.paragraph(words)


def _last(flow: Flow, part: Mapping[str, Any]) -> None:
    for name, words in part["facts"]:
        flow.paragraph(f"{name}: {words}")
    _reading(flow, part)
    if part["closing"]:
        flow.paragraph(part["closing"], colour=GREY_TYPE)


KINDS: dict[str, Callable[[Flow, Mapping[str, Any]], None]] = {
    "cover": _cover, "reading": _reading, "steps": _steps, "chart": _chart, "tables": _tables, "last": _last,
}  # fmt: skip
