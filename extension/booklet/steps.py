"""The steps: from the dots to the corner, figure by figure, told from this border's own run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from extension.booklet.canvas import GREY, Canvas
from extension.booklet.dimensions import across, upright
from extension.booklet.front import alike_sides
from extension.booklet.measure import Measure, listed, section_name, spot_name, upper
from extension.booklet.stitched import (
    Now,
    Taken,
    before,
    box_of,
    fitted,
    mark_dots,
    now,
    outlines,
    start_dot,
)
from geometry.moments import Moment, moments
from geometry.plane import Point, length_of
from geometry.sheets import Box
from geometry.trail import Leg

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.pattern import DrawnSide, Pattern
    from geometry.plane import Affine

ASIDE = 1.95
"""Inches of the words beside a figure that does not go across the page."""

TALL, LARGE = 2.1, 2.7
"""Inches of a strip at most, and of a single triangle or corner."""

PAD = 0.2
"""Inches of paper round a figure's window, for the numbers of the points."""


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered figure with its words."""

    title: str
    words: str
    picture: Canvas
    wide: bool


def steps(pattern: Pattern, say: Measure, wide: float) -> list[Step]:
    """The steps in the order this border is stitched, then the other order; `wide` inches of page."""
    scene = Scene(pattern, say, wide)
    found = [scene.marking()]
    if pattern.order == "zigzag":
        found += scene.zigzag_first()
        found.append(scene.other_by_sections())
    else:
        found += scene.one_run()
        found += scene.other_zigzag_first()
    return found


class Scene:
    """The first side of a border, laid level, and the corner at its end."""

    def __init__(self, pattern: Pattern, say: Measure, wide: float) -> None:
        """Cut the runs into moments."""
        self.pattern, self.say, self.wide = pattern, say, wide
        self.side: DrawnSide = pattern.sides[0]
        self.following = pattern.sides[1 % len(pattern.sides)]
        self.told = [moments(pattern, run) for run in pattern.runs]
        self.count = len(self.side.points)

    # -- windows ------------------------------------------------------------------------

    def strip(self, first: float, last: float) -> Box:
        """A window on the side, from so far to so far along it, edge to a little inside the seam."""
        return Box(first, -self.side.width, last, 0.16 * self.side.height)

    def dot(self, number: int) -> float:
        """Inches along the side of a dot of the seam."""
        return self.side.level.at(self.side.dots[max(0, min(number, self.count))]).x

    def beginning(self, triangles: float) -> Box:
        """The corner where the side begins, and its first triangles."""
        whole = min(int(triangles), self.count)
        more = (triangles - whole) * (self.dot(whole + 1) - self.dot(whole)) if whole < self.count else 0.0
        return self.strip(-self.pattern.sides[-1].width, self.dot(whole) + more)

    def ending(self, triangles: float) -> Box:
        """The last triangles and the corner where the side ends."""
        whole = min(int(triangles), self.count)
        more = (triangles - whole) * (self.dot(self.count - whole) - self.dot(self.count - whole - 1))
        start = self.dot(self.count - whole) - (more if whole < self.count else 0.0)
        return self.strip(start, self.side.length + self.following.width)

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
        sides = (self.side, self.following, self.pattern.sides[-1])
        for side in sides[:2]:
            mark_dots(canvas, side, place, taken, first=side is self.side)
        if this:
            now(canvas, this, place, taken, how)
        for side in sides:
            mark_dots(canvas, side, place, Taken(), named=False)
        if this and how.start:
            start_dot(canvas, place.at(this[0].start))
        return canvas

    def step(
        self, title: str, words: str, window: Box, done: Iterable[Moment], this: Sequence[Moment], how: Now | None = None,
        *, large: bool = False, wide: bool = True,
    ) -> Step:  # fmt: skip
        """A figure and its words."""
        size = (self.wide if wide else self.wide - ASIDE - 0.45, LARGE if large else TALL)
        return Step(title, words, self.figure(window, done, this, how or Now(), f"{title}. {words}", size=size), wide)

    # -- the marking --------------------------------------------------------------------

    def marking(self) -> Step:
        """The dots on both rows, with the lengths that matter."""
        pattern, say, side = self.pattern, self.say, self.side
        window = self.beginning(min(2.6, self.count))
        shown = fitted(window, self.wide, TALL + 0.4, 0.34)
        fit = side.fit
        outer = pattern.kind == "outer"
        stop = f"the stop line, {say.told(pattern.room)} inside the trimmed edge" if outer else "the outer seam"
        counts = (
            f"{listed(names)} {len(one.dots)} dots on the seam and {len(one.points)} points across from them"
            for names, one in alike_sides(pattern)
        )
        words = (
            "Pin the quarter points of each side first. Then mark the border seam every "
            f"{say.told(fit.repeat_in)} from the pivot, and {stop}, halfway between: {'; '.join(counts)}. "
            "Chart and strip have every place; always measure from the nearer corner."
        )
        canvas = Canvas(shown.wide, shown.tall, f"Marking. {words}")
        place = shown.place.after(side.level)
        outlines(canvas, pattern, place)
        taken = Taken()
        mark_dots(canvas, side, place, taken)
        mark_dots(canvas, pattern.sides[-1], place, taken, named=False)
        self._lengths(canvas, place)
        return Step("Mark the dots", words, canvas, wide=True)

    def _lengths(self, canvas: Canvas, place: Affine) -> None:
        """The repeat along the seam, the height across the border, the names of the lines."""
        say, side, pattern = self.say, self.side, self.pattern
        level = side.level
        dots = [place.at(dot) for dot in side.dots[:3]]
        if len(dots) > 1:
            below = Point(0, 0.27)
            length = side.dots[1].minus(side.dots[0])
            across(canvas, dots[0].plus(below), dots[1].plus(below), say.plain((length.x**2 + length.y**2) ** 0.5))
        flat_x = (level.at(side.dots[0]).x + level.at(side.points[0]).x) / 2
        back = level.inverse()
        foot, head = place.at(back.at(Point(flat_x, 0))), place.at(back.at(Point(flat_x, -side.height)))
        upright(canvas, foot, head, say.plain(side.height))
        right = canvas.wide - 0.06
        rows = [("border seam", 0.0), ("trimmed edge" if pattern.kind == "outer" else "outer seam", -side.width)]
        if pattern.room:
            rows.insert(1, ("stop line", -side.height))
        for name, y in rows:
            at = place.at(back.at(Point(0, y))).y
            lower = name == "stop line" or (name != "trimmed edge" and name == "outer seam")
            canvas.text(Point(right, at + 0.13 if lower else at - 0.05), name, 8, "end", colour=GREY, italic=True)

    # -- one run, section by section or across -------------------------------------------

    def one_run(self) -> list[Step]:
        """First diagonals and fill one by one; the next triangle; the last before the corner; the corner."""
        run = self.told[0]
        split = self._split(run)
        found = [self._single(run, number) for number in range(split.first)]
        if split.first < split.second:
            this = run[split.first : split.second]
            found.append(self.step(
                "The next triangle", f"Go on in the same way: {self.way_of(this)}.",
                self.beginning(min(2.5, self.count)), run[: split.first], this, Now(fine=True),
            ))  # fmt: skip
        if split.last < split.corner:
            found.append(self._last(run, split.last, split.corner))
        if split.corner < split.end:
            found.append(self._corner(run, split.corner, split.end))
        return found

    def _single(self, run: Sequence[Moment], number: int) -> Step:
        moment = run[number]
        if moment.what == "fill":
            section = self.pattern.section(moment.name)
            box = box_of([moment], self.side.level)
            window = box.grown(0.06 * box.wide)
            words = self.fill_words(moment)
            title = "The corner piece" if section.base == "corner" else f"Fill: {section.fill_name}"
            return self.step(title, words, window, run[:number], [moment], Now(numbered=True), large=True, wide=False)
        diagonals = sum(1 for one in run[: number + 1] if one.what == "diagonal")
        title = {1: "First diagonal", 2: "Second diagonal"}.get(diagonals, "Next diagonal")
        if diagonals == 1 and number == 0:
            words = (
                f"Begin at {self.named(moment.start)}, the pivot at the corner of the border seam, and stitch straight "
                f"to {self.named(moment.end)}."
            )
        else:
            words = f"From {self.named(moment.start)} straight to {self.named(moment.end)}."
        return self.step(title, words, self.beginning(min(1.5, self.count)), run[:number], [moment], wide=False)

    def _last(self, run: Sequence[Moment], first: int, last: int) -> Step:
        fit, say = self.side.fit, self.say
        each = min(max(1, fit.each), self.count)
        if fit.each:
            sizes = (
                f"The last {each} triangles before each corner are {say.told(fit.eased_in)} long instead of "
                f"{say.told(fit.repeat_in)}; your dots already say so."
            )
        else:
            sizes = f"All {self.count} triangles of this side are alike, {say.told(fit.repeat_in)} each, to the last."
        words = f"{sizes} The last dot, number {self.count}, is the pivot: {self.way_of(run[first:last])}."
        return self.step(
            "The last triangles before the corner", words, self.ending(min(2.5, self.count)), run[:first], run[first:last],
            Now(fine=True),
        )  # fmt: skip

    def _corner(self, run: Sequence[Moment], first: int, last: int) -> Step:
        this = run[first:last]
        side = self.side
        box = box_of(this, side.level)
        length = side.length
        window = Box(
            min(box.left, length) - 0.05 * side.width, -side.width,
            length + self.following.width, max(box.bottom, 0.16 * side.height) + 0.05 * side.width,
        )  # fmt: skip
        words = f"{upper(self.way_of(this))}. The needle has not stopped, and the next side begins."
        return self.step(f"The corner, {self.pattern.corner}", words, window, run[:first], this, Now(fine=True),
                         large=True, wide=False)  # fmt: skip

    def _split(self, run: Sequence[Moment]) -> Split:
        return split_run(self.pattern, run)

    # -- zigzag first ---------------------------------------------------------------------

    def zigzag_first(self) -> list[Step]:
        """The zigzag, then the fills on the seam, then those on the stop line and in the corners."""
        zigzag, *fills = self.told
        found = [self._single(zigzag, 0), self._single(zigzag, 1)]
        along_side = [moment for moment in zigzag if moment.name == self.side.name]
        found.append(self.step(
            "The whole zigzag", f"On to dot {self.count}, the next pivot, and round the quilt: "
            f"{sum(len(one.points) for one in self.pattern.sides)} triangles, one line.",
            self.ending(min(2.6, self.count)), along_side[: 2 * self.count - 6], along_side[max(0, 2 * self.count - 6):],
        ))  # fmt: skip
        for number, run in enumerate(fills, 2):
            first = run[0]
            box = box_of([first], self.side.level)
            section = self.pattern.section(first.name)
            where = "border seam" if section.base == "inner" else "stop line"
            found.append(self.step(
                f"Run {number}: the fills on the {where}", self.fill_words(first), box.grown(0.06 * box.wide), zigzag,
                [first], Now(numbered=True), large=True, wide=False,
            ))  # fmt: skip
            done = [*zigzag, *(fills[0] if number > 2 else ())]  # noqa: PLR2004
            corner = [m for m in run if m.name == self.side.name or m.name.startswith(f"{self.side.name}-corner")]
            if corner:
                at = run.index(corner[0])
                found.append(self._corner([*done, *run], len(done) + at, len(done) + at + len(corner)))
            else:
                found.append(self.step(
                    "The next triangles", f"Each fill ends where the next begins: {self.way_of(run[1:3])}.",
                    self.beginning(min(3.5, self.count)), [*done, first], run[1:3], Now(fine=True),
                ))  # fmt: skip
        return found

    # -- the other order ----------------------------------------------------------------

    def other_zigzag_first(self) -> list[Step]:
        """The zigzag first, then one row's fills, then the other's."""
        side, pattern = self.side, self.pattern
        window = self.ending(min(3.2, self.count))
        zigzag = [Moment("diagonal", side.name, 0, (Leg("stitch", side.zigzag),))]
        rows = []
        for base in ("inner", "outer"):
            sections = [*pattern.of(side.name, base), *(pattern.of(side.name, "corner") if base == "outer" else ())]
            rows.append([
                Moment("fill", one.name, one.place, tuple(Leg("stitch", line) for line in one.lines))
                for one in sections if one.lines
            ])  # fmt: skip
        if pattern.corner != "large" and rows[1]:
            rows[1].append(Moment("corner-line", side.name, 0, tuple(Leg("stitch", line) for line in side.crossings)))
        inner, outer = rows
        found = [self.step(
            "Another order: the zigzag first",
            "If you would rather mark little: stitch the whole zigzag round the quilt first, pivot to pivot, in one run.",
            window, (), zigzag, Now(start=False),
        )]  # fmt: skip
        if inner:
            found.append(self.step(
                "Then the fills on the border seam", "A second run: triangle after triangle along the border seam, "
                "each fill begun at its left dot and left at its right one.",
                window, zigzag, inner, Now(fine=True, start=False, arrows=False),
            ))  # fmt: skip
        if outer:
            found.append(self.step(
                "Then those on the stop line", "A third run: the triangles on the stop line, and the corners with them.",
                window, [*zigzag, *inner], outer, Now(fine=True, start=False, arrows=False),
            ))  # fmt: skip
        return found

    def other_by_sections(self) -> Step:
        """Section by section: each fill as the zigzag passes it."""
        side, pattern = self.side, self.pattern
        zigzag = side.zigzag[:5]
        this = [Moment("diagonal", side.name, 0, (Leg("stitch", zigzag),))]
        fills = [
            Moment("fill", one.name, one.place, tuple(Leg("stitch", line) for line in one.lines))
            for one in (*pattern.of(side.name, "inner")[:1], *pattern.of(side.name, "outer")[:1])
            if one.lines
        ]
        return self.step(
            "Another order: section by section",
            "With all dots marked it can be one run: two diagonals, the fill between them, the next diagonal, the fill on "
            "the stop line, and so on round the quilt.",
            self.beginning(min(2.6, self.count)), (), [*this, *fills], Now(fine=True, start=True),
        )  # fmt: skip

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
        home = f"and you are back at {end}" if start == end else f"and you arrive at {end}"
        words = (
            f"Fill {section_name(section)}: begin at {start}, follow the small numbers, {home}. "
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
            else:
                parts.append(f"fill {section_name(self.pattern.section(moment.name))}")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Split:
    """Where in a run the chapters of its first side begin: see `split_run`."""

    first: int
    second: int
    last: int
    corner: int
    end: int


def split_run(pattern: Pattern, run: Sequence[Moment]) -> Split:
    """Cut the first side's part of a run into chapters.

    Up to `first` two diagonals and the first triangle; up to `second` the next triangle; from `last` to `corner` the
    last triangles; from there to `end` the corner and the first diagonal of the next side.
    """
    side = pattern.sides[0]
    corner_names = {section.name for section in pattern.of(side.name, "corner")}
    own = [i for i, moment in enumerate(run) if _of_side(moment, side.name)]
    at_corner = [
        i for i, moment in enumerate(run)
        if moment.name in corner_names or (moment.what == "corner-line" and moment.name == side.name)
    ]  # fmt: skip
    diagonals = [i for i in own if run[i].what == "diagonal"]
    stop = next((i for i, m in enumerate(run) if m.what == "diagonal" and m.name != side.name), len(run) - 1)
    corner = min([*at_corner, stop])
    first = _after(run, f"{side.name}-in-1", diagonals[min(1, len(diagonals) - 1)]) + 1
    second = _after(run, f"{side.name}-in-2", diagonals[min(3, len(diagonals) - 1)]) + 1
    first, second = min(first, corner), min(second, corner)
    each = min(max(2, side.fit.each), 3)
    start = [i for i in diagonals if run[i].place >= 2 * (len(side.points) - each)]
    last = max(second, min([*start, corner]))
    return Split(first, second, last, corner, max([*at_corner, stop]) + 1)


def _of_side(moment: Moment, side: str) -> bool:
    return moment.name == side if moment.what != "fill" else moment.name.startswith(f"{side}-")


def _after(run: Sequence[Moment], section: str, otherwise: int) -> int:
    return max(otherwise, next((i for i, moment in enumerate(run) if moment.name == section), otherwise))
