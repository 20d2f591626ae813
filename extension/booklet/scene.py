"""One side of a border laid level: windows on it, figures of it, and its stitching in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from extension.booklet.canvas import Canvas
from extension.booklet.measure import section_name, spot_name
from extension.booklet.stitched import (
    ARROW,
    SMALL_ARROW,
    Now,
    Taken,
    before,
    box_of,
    fitted,
    mark_dots,
    now,
    outlines,
    start_dot,
    turns,
)
from geometry.moments import let_in, moments, way
from geometry.plane import length_of
from geometry.sheets import Box

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from extension.booklet.measure import Measure
    from geometry.moments import Moment
    from geometry.pattern import DrawnSide, Pattern
    from geometry.plane import Point

ASIDE = 1.95
"""Inches of the words beside a figure that does not go across the page."""

GUTTER = 0.45
"""Inches for the number of the step, and between words and figure."""

TALL, LARGE, LARGEST = 2.1, 2.7, 3.2
"""Inches of a strip at most, of a single triangle or corner, and of one whose lines lie close."""

CLOSE = 0.2
"""Inches of paper between lines below which a fill goes across the page."""

FEW_TURNS = 4
"""Numbered turns, both ends included, that are no guide through a fill."""

PAD = 0.2
"""Inches of paper round a figure's window, for the numbers of the points."""


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered figure with its words; `joined`: it stays with the one before."""

    title: str
    words: str
    picture: Canvas
    wide: bool
    joined: bool = False


class Scene:
    """The first side of a border, laid level, and the corner at its end."""

    def __init__(self, pattern: Pattern, say: Measure, wide: float) -> None:
        """Cut the runs into moments."""
        self.pattern, self.say, self.wide = pattern, say, wide
        self.side: DrawnSide = pattern.sides[0]
        self.previous, self.following = pattern.beside(self.side)
        whole = [let_in(moments(pattern, run)) for run in pattern.runs]
        self.told = [run for run, _ in whole]
        self.tiers_let_in = [others for _, others in whole]
        self.count = len(self.side.points)

    # -- windows ------------------------------------------------------------------------

    def strip(self, first: float, last: float) -> Box:
        """A window on the side, from so far to so far along it, edge to a little inside the seam."""
        return Box(first, -self.side.width, last, 0.16 * self.side.height)

    def dot(self, number: int) -> float:
        """Inches along the side of a dot of the seam."""
        return self.side.level.at(self.side.dots[max(0, min(number, self.count, len(self.side.dots) - 1))]).x

    def beginning(self, triangles: float) -> Box:
        """The corner where the side begins, and its first triangles; more of them where they are narrow."""
        last = self._along(self._enough(triangles))
        return self.strip(-self.previous.width, last)

    def ending(self, triangles: float) -> Box:
        """The last triangles, more of them where they are narrow, and the corner where the side ends."""
        first = self._along(self.count - self._enough(triangles))
        return self.strip(first, self.side.length + self.following.width)

    def _enough(self, triangles: float) -> float:
        """So many triangles, or as many as make a strip that is worth a picture."""
        repeat = self.side.length / self.count
        return min(self.count, max(triangles, 0.6 * triangles * self.side.height / repeat))

    def _along(self, triangles: float) -> float:
        """Inches along the side after so many triangles."""
        whole = min(int(triangles), self.count)
        return self.dot(whole) + (triangles - whole) * (self.dot(whole + 1) - self.dot(whole))

    # -- figures ------------------------------------------------------------------------

    def figure(
        self, window: Box, done: Iterable[Moment], this: Sequence[Moment], how: Now, alt: str, *, size: tuple[float, float]
    ) -> Canvas:  # fmt: skip
        """A window with what is done in grey and this step in dark."""
        shown = fitted(window, *size, PAD)
        canvas = Canvas(shown.wide, shown.tall, alt)
        place = shown.place.after(self.side.level)
        outlines(canvas, self.pattern, place)
        before(canvas, done, place)
        taken = Taken()
        if how.numbered:
            pattern = self.pattern
            outline = [(*corners, corners[0]) for corners in (pattern.seam, pattern.stop_line, pattern.edge)]
            taken.lines(place.line(line) for line in (*outline, *(side.zigzag for side in pattern.sides)))
        sides = (self.side, self.following, self.previous)
        for side in sides[:2]:
            mark_dots(canvas, side, place, taken, first=side is self.side)
        if this:
            spacings = [section.spacing for section in self.pattern.sections if section.lines]
            apart = min(spacings, default=1.0) * shown.place.a
            now(canvas, this, place, taken, how, ARROW if apart > CLOSE else SMALL_ARROW)
        for side in sides:
            mark_dots(canvas, side, place, Taken(), named=False)
        if this and how.start:
            start_dot(canvas, place.at(this[0].start))
        return canvas

    def step(
        self, title: str, words: str, window: Box, done: Iterable[Moment], this: Sequence[Moment], how: Now | None = None,
        *, tall: float = TALL, wide: bool = True,
    ) -> Step:  # fmt: skip
        """A figure and its words."""
        size = (self.wide if wide else self.wide - ASIDE - GUTTER, tall)
        return Step(title, words, self.figure(window, done, this, how or Now(), f"{title}. {words}", size=size), wide)

    def fill_step(self, title: str, words: str, done: Iterable[Moment], moment: Moment) -> Step:
        """A fill as large as its lines need, with its turns numbered."""
        box = box_of([moment], self.side.level)
        # a single line has a box without width or height
        window = box.grown(0.06 * max(box.wide, box.tall))
        spacing = self.pattern.section(moment.name).spacing
        beside = (self.wide - ASIDE - GUTTER) / window.wide
        wide = spacing * min(beside, LARGE / window.tall) < CLOSE
        how = Now(numbered=True)
        return self.step(title, words, window, done, [moment], how, tall=LARGEST if wide else LARGE, wide=wide)

    # -- words ----------------------------------------------------------------------------

    def named(self, point: Point) -> str:
        """A place's name, in the numbers of this side."""
        return spot_name(self.pattern, point, self.side.name) or "the end of the line"

    def fill_words(self, moment: Moment) -> str:
        """A fill in words: where it begins and ends, how long it is."""
        pattern, say = self.pattern, self.say
        section = pattern.section(moment.name)
        length = sum(length_of(leg.line) for leg in moment.legs)
        start, end = self.named(moment.start), self.named(moment.end)
        # a curve has hardly any turns to number
        guide = "small numbers" if len(turns(way(moment))) > FEW_TURNS else "arrows"
        home = f"and you are back at {end}" if start == end else f"and you arrive at {end}"
        words = (
            f"Fill {section_name(section, self.side.name)}: begin at {start}, follow the {guide}, {home}. "
            f"Lines {say.told(section.spacing)} apart, {say.stitching(length)} of stitching"
        )
        for how, verb in (("over", "stitched over an earlier line"), ("travel", "travelled along the seam")):
            inches = sum(length_of(leg.line) for leg in moment.legs if leg.how == how)
            if inches > 0.05:  # noqa: PLR2004 - a stitch or two
                words += f", of it {say.stitching(inches)} {verb} (dotted)"
        return words + "."

    def way_of(self, these: Sequence[Moment]) -> str:
        """Some moments as one clause after the other."""
        parts = []
        for moment in these:
            end = self.named(moment.end)
            if moment.what == "diagonal":
                parts.append(f"to {end}")
            elif moment.what == "corner-line":
                both = len(moment.legs) > 1
                parts.append(
                    "out along the corner line and home over it" if both else f"along the corner line to {end}"
                )
            elif moment.what == "way":
                parts.append(f"back over what is stitched, or along the seam, to {end}")
            else:
                parts.append(f"fill {section_name(self.pattern.section(moment.name), self.side.name)}")
        return ", ".join(parts)
