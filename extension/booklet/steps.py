"""The steps: from the dots to the corner, figure by figure, told from this border's own run."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from extension.booklet.canvas import GREY, Canvas
from extension.booklet.dimensions import across, upright
from extension.booklet.front import alike_sides
from extension.booklet.measure import counted, sides_named, upper
from extension.booklet.scene import LARGE, TALL, Scene, Step
from extension.booklet.stitched import Now, Taken, box_of, fitted, mark_dots, outlines
from geometry.moments import NEAR, Moment
from geometry.plane import Point, distance
from geometry.sheets import Box
from geometry.trail import Leg

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from extension.booklet.measure import Measure
    from geometry.pattern import Pattern
    from geometry.plane import Affine


def steps(pattern: Pattern, say: Measure, wide: float) -> list[Step]:
    """The steps in the order this border is stitched, then the other order; `wide` inches of page."""
    scene = Story(pattern, say, wide)
    found = [scene.marking()]
    if pattern.order == "zigzag":
        found += scene.zigzag_first()
        found.append(scene.other_by_sections())
    else:
        found += scene.one_run()
        found += scene.other_zigzag_first()
        found[-1] = replace(found[-1], joined=True)
    return found


class Story(Scene):
    """The chapters of a side: marking, stitching in the order of the border, and the other order."""

    # -- the marking --------------------------------------------------------------------

    def marking(self) -> Step:
        """The dots on both rows, with the lengths that matter."""
        pattern, say, side = self.pattern, self.say, self.side
        window = self.beginning(2.6)
        shown = fitted(window, self.wide, TALL + 0.4, 0.34)
        fit = side.fit
        outer = pattern.kind == "outer"
        above = f"the line {say.told(side.height)} above it, between the tiers"
        stop = (
            above
            if pattern.tiers > 1
            else f"the stop line, {say.told(pattern.room)} inside the trimmed edge"
            if outer
            else "the outer seam"
        )
        counts = (
            f"{sides_named(names)}{':' * (pattern.tiers > 1 or names[0].isdecimal())} {counted(len(one.dots), 'dot')} on the {pattern.rows(one.name)[0].replace('border ', '')} and {counted(len(one.points), 'point')} across from them"
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
        self._lengths(canvas, place, taken)
        mark_dots(canvas, side, place, taken)
        mark_dots(canvas, self.previous, place, taken, named=False)
        return Step("Mark the dots", words, canvas, wide=True)

    def _lengths(self, canvas: Canvas, place: Affine, taken: Taken) -> None:
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
        if pattern.room or pattern.tiers > 1:
            rows.insert(1, (pattern.rows(side.name)[1], -side.height))
        for name, y in rows:
            line = place.at(back.at(Point(0, y))).y
            base = line + 0.13 if y == -side.height else line - 0.05
            canvas.text(Point(right, base), name, 8, "end", colour=GREY, italic=True)
            taken.take(Box(right - max(0.75, 0.058 * len(name)), base - 0.12, right, base + 0.02))

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
                self.beginning(2.5), run[: split.first], this, Now(fine=True),
            ))  # fmt: skip
        if split.last < split.corner:
            found.append(self._last(run, split.last, split.corner))
        if split.corner < split.end:
            found.append(self._corner(run, split.corner, split.end))
        return [*found, *self._tiers_let_in(run, self.tiers_let_in[0])]

    def _tiers_let_in(self, run: Sequence[Moment], others: Sequence[Moment]) -> Iterator[Step]:
        """Where the run goes round the other tiers on its way."""
        if not others:
            return
        start = self.named(others[0].start)
        one = self.pattern.tiers == 2  # noqa: PLR2004
        yield self.step(
            "The tier above" if one else "The tiers above",
            f"The run goes round {'tier 2' if one else 'the others'} on its way: at {start}, where two tiers share a point, go on "
            f"into the tier above, stitch it all round in the same way, and back at {start} go on where you left.",
            self.beginning(2.6), run, others[:6], Now(fine=True),
        )  # fmt: skip

    def _single(self, run: Sequence[Moment], number: int) -> Step:
        moment = run[number]
        if moment.what == "fill":
            section = self.pattern.section(moment.name)
            words = self.fill_words(moment)
            title = "The corner piece" if section.base == "corner" else f"Fill: {section.fill_name}"
            return self.fill_step(title, words, run[:number], moment)
        if moment.what == "corner-line":
            home = " and home over it" if distance(moment.start, moment.end) < NEAR else ""
            words = f"Begin at {self.named(moment.start)}: out along the line that closes the strip{home}."
            return self.step("The end of the border", words, self.beginning(1.5), run[:number], [moment], wide=False)
        diagonals = sum(1 for one in run[: number + 1] if one.what == "diagonal")
        title = {1: "First diagonal", 2: "Second diagonal"}.get(diagonals, "Next diagonal")
        if diagonals == 1 and number == 0:
            words = (
                f"Begin at {self.named(moment.start)}, the pivot at the corner of the border seam, and stitch straight "
                f"to {self.named(moment.end)}."
            )
        else:
            words = f"From {self.named(moment.start)} straight to {self.named(moment.end)}."
        return self.step(title, words, self.beginning(1.5), run[:number], [moment], wide=False)

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
            "The last triangles before the corner", words, self.ending(2.5), run[:first], run[first:last],
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
        ends = self.side.lies.open_end
        told = "Here the strip ends." if ends else "The needle has not stopped, and the next side begins."
        title = "The end of the border" if ends else f"The corner, {self.pattern.corner}"
        return self.step(title, f"{upper(self.way_of(this))}. {told}", window, run[:first], this, Now(fine=True),
                         tall=LARGE, wide=False)  # fmt: skip

    def _split(self, run: Sequence[Moment]) -> Split:
        return split_run(self.pattern, run)

    # -- zigzag first ---------------------------------------------------------------------

    def zigzag_first(self) -> list[Step]:
        """The zigzag, then the fills on the seam, then those on the stop line and in the corners."""
        zigzag, *fills = self.told
        found = [self._single(zigzag, 0), self._single(zigzag, 1)]
        along_side = [moment for moment in zigzag if moment.name == self.side.name]
        shown = max(0, 2 * self.count - 6)
        found.append(self.step(
            "The whole zigzag", f"On to dot {self.count}, the next pivot, and round the quilt: "
            f"{sum(len(one.points) for one in self.pattern.sides)} triangles, one line.",
            self.ending(2.6), along_side[:shown], along_side[shown:],
        ))  # fmt: skip
        found += self._tiers_let_in(along_side, self.tiers_let_in[0])
        # a strip, or a tier of one, that is stitched by itself begins with a zigzag of its own
        fills = list(itertools.takewhile(lambda run: any(moment.what == "fill" for moment in run), fills))
        for number, run in enumerate(fills, 2):
            begun = next(i for i, moment in enumerate(run) if moment.what == "fill")
            first = run[begun]
            section = self.pattern.section(first.name)
            where = {
                "inner": "on the border seam",
                "outer": f"on the {self.pattern.reached}",
                "corner": "of the corners",
            }[section.base]
            found.append(self.fill_step(
                f"Run {number}: the fills {where}", self.fill_words(first), zigzag, first,
            ))  # fmt: skip
            done = [*zigzag, *(fills[0] if number > 2 else ())]  # noqa: PLR2004
            corner = [m for m in run if m.name == self.side.name or m.name.startswith(f"{self.side.name}-corner")]
            if corner:
                at = run.index(corner[0])
                found.append(self._corner([*done, *run], len(done) + at, len(done) + at + len(corner)))
            elif these := [m for m in run[begun + 1 : begun + 3] if m.name.rsplit("-", 2)[0] == self.side.name]:
                found.append(self.step(
                    "The next triangles", f"Each fill ends where the next begins: {self.way_of(these)}.",
                    self.beginning(3.5), [*done, *run[: begun + 1]], these, Now(fine=True),
                ))  # fmt: skip
        return found

    # -- the other order ----------------------------------------------------------------

    def other_zigzag_first(self) -> list[Step]:
        """The zigzag first, then one row's fills, then the other's."""
        side, pattern = self.side, self.pattern
        window = self.ending(3.2)
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
                f"Then those on the {pattern.reached}",
                f"A third run: the triangles on the {pattern.reached}, and the corners with them.",
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
            f"the {pattern.reached}, and so on round the quilt.",
            self.beginning(2.6), (), [*this, *fills], Now(fine=True, start=True),
        )  # fmt: skip


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
    # the first piece of a strip lies at its beginning, and the line that closes it there comes before all diagonals
    corner_names = {section.name for section in pattern.of(side.name, "corner")[int(side.lies.open_start) :]}
    own = [i for i, moment in enumerate(run) if _of_side(moment, side.name)]
    diagonals = [i for i in own if run[i].what == "diagonal"]
    at_corner = [
        i for i, moment in enumerate(run)
        if moment.name in corner_names
        or (moment.what == "corner-line" and moment.name == side.name and (i > diagonals[0] or not side.lies.open_start))
    ]  # fmt: skip
    stop = next((i for i, m in enumerate(run) if m.what == "diagonal" and m.name != side.name), len(run) - 1)
    corner = min([*at_corner, stop])
    first = _after(run, f"{side.name}-in-1", diagonals[min(1, len(diagonals) - 1)]) + 1
    second = _after(run, f"{side.name}-in-2", diagonals[min(3, len(diagonals) - 1)]) + 1
    # what is begun at the last pivot may lie on the next side
    corner = min([corner, *(i for i in range(second, len(run)) if run[i].what == "fill" and i not in own)])
    first, second = min(first, corner), min(second, corner)
    each = min(max(2, side.fit.each), 3)
    start = [i for i in diagonals if run[i].place >= 2 * (len(side.points) - each)]
    last = max(second, min([*start, corner]))
    return Split(first, second, last, corner, max([*at_corner, stop]) + 1)


def _of_side(moment: Moment, side: str) -> bool:
    return moment.name == side if moment.what != "fill" else moment.name.rsplit("-", 2)[0] == side


def _after(run: Sequence[Moment], section: str, otherwise: int) -> int:
    return max(otherwise, next((i for i, moment in enumerate(run) if moment.name == section), otherwise))
