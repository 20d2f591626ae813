"""Patchwork as a guide: where the marks along each side come from.

Marks are typed, or lie at equal distances as on a line stencil, or are where drawn shapes meet
the border seam. A shape that meets the stop line and not the seam marks places for the points.
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import MarkError
from geometry.fitting import candidates, fit_side
from geometry.landing import MOST_MARKS, check_stretch, land
from geometry.lengths import RULER, about, decimal
from geometry.plane import SAME_POINT, Point, cross, flat
from geometry.quilt import side_in_words
from geometry.together import choose_counts

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.fitting import Ask, Number, SideFit
    from geometry.plane import Line
    from geometry.quilt import Side

REACHES = 1 / RULER
"""Inches from the seam within which a drawn line meets it, and within which two marks are one: a ruler's finest mark."""

LEVEL = 1e-3
"""Inches by which one end of a line along the seam may lie nearer to it than the other, as drawings are rounded."""

Lists = tuple[tuple[float, ...], ...]


class Patchwork(NamedTuple):
    """What guides the zigzag.

    Attributes:
        dots: inches along the seam from a side's first pivot, clockwise: a list for each side, or one for all of them.
        points: the same for the points on the stop line; none: midway.
        every, offset: marks at equal distances, the first one `offset` after the pivot; 0: none.
        drawn: the lines of each drawn shape, in inches of quilt.
    """

    dots: Lists = ()
    points: Lists = ()
    every: float = 0.0
    offset: float = 0.0
    drawn: tuple[tuple[Line, ...], ...] = ()


NO_MARKS = Patchwork()
"""Nothing guides the zigzag."""


class SideMarks(NamedTuple):
    """The marks of one side, in inches along its seam: for the dots, and for the points."""

    dots: tuple[float, ...]
    points: tuple[float, ...]


def marks_on(guide: Patchwork, sides: Sequence[Side]) -> tuple[SideMarks, ...]:
    """The marks of each side. Drawn ones come first, then typed ones, then equal distances.

    Raises:
        MarkError: a list too few or too many, a mark beyond its side, too many marks, none at all.
    """
    dots = _listed(guide.dots, sides, "marks")
    points = _listed(guide.points, sides, "marks for the points")
    if guide.drawn:
        found = tuple(
            SideMarks(marks.dots, marks.points or typed)
            for marks, typed in zip(_drawn(guide.drawn, sides), points, strict=True)
        )
    elif guide.dots:
        found = tuple(map(SideMarks, dots, points))
    else:
        found = tuple(SideMarks(_equal(guide, side), typed) for side, typed in zip(sides, points, strict=True))
    for side, marks in zip(sides, found, strict=True):
        _check_number(side, max(len(marks.dots), len(marks.points)))
    if guide.drawn and not any(marks.dots for marks in found):
        raise MarkError(
            f"Of {len(guide.drawn)} drawn marks none meets the border seam; they must cross it or touch it: please move "
            "them, or type the marks."
        )
    if not any(marks.dots for marks in found):
        raise MarkError(
            "The zigzag is to land on marks, and there are none on the border seam; it must have some: please type them, "
            "give equal sections, or draw guides or short lines across the seam."
        )
    return found


def fits_on_marks(
    sides: Sequence[Side], asks: Sequence[Ask], guide: Patchwork, number: Number, *, typed: Sequence[float] = (),
    together: bool = True,
) -> tuple[SideFit, ...]:  # fmt: skip
    """Fit each side to its marks; a side without any is fitted evenly.

    `typed` are the numbers of triangles if those were asked for.

    Raises:
        MarkError: marks that cannot be used, or that leave a stretch too long.
    """
    marks = marks_on(guide, sides)
    bare = [i for i, found in enumerate(marks) if not found.dots]
    counts = (
        dict(zip(bare, choose_counts([asks[i] for i in bare], number, together=together), strict=True)) if bare else {}
    )
    fits = []
    for i, (side, ask, found) in enumerate(zip(sides, asks, marks, strict=True)):
        if i in counts:
            fits.append(fit_side(ask, typed[i] if typed else counts[i]))
            continue
        candidates(ask, number)  # refuses what is too small to be drawn
        name = side_in_words(side.name)
        check_stretch(ask, found.dots, side=name, typed=bool(typed))
        fits.append(land(ask, found.dots, number, count=typed[i] if typed else 0, points=found.points, side=name))
    return tuple(fits)


def _listed(lists: Lists, sides: Sequence[Side], what: str) -> Lists:
    """A list for each side; of one list for all a side takes what lies on it."""
    if not lists:
        return ((),) * len(sides)
    if len(lists) not in {1, len(sides)}:
        raise MarkError(
            f"{len(lists)} lists of {what} are given; it must be one for all sides, or {len(sides)}, one for each, "
            f"beginning with {side_in_words(sides[0].name)}: please separate them by semicolons."
        )
    for i, marks in enumerate(lists):
        longest = max(side.length for side in sides) if len(lists) == 1 else sides[i].length
        name = "a side" if len(lists) == 1 else side_in_words(sides[i].name)
        for mark in marks:
            if not -SAME_POINT <= mark <= longest + SAME_POINT:
                raise MarkError(
                    f"A mark is given at {decimal(mark, 4)} in, and {name} is {about(longest)} long; marks must lie "
                    "between its pivots: please check the list and the unit."
                )
    whole = lists if len(lists) > 1 else lists * len(sides)
    return tuple(
        tuple(mark for mark in marks if mark <= side.length + SAME_POINT)
        for marks, side in zip(whole, sides, strict=True)
    )


def _equal(guide: Patchwork, side: Side) -> tuple[float, ...]:
    """Marks at equal distances along a side."""
    if guide.every <= 0:
        return ()
    count = max(0, int((side.length - guide.offset) / guide.every + 1e-9) + 1)
    _check_number(side, count)
    return tuple(guide.offset + number * guide.every for number in range(count))


def _check_number(side: Side, count: int) -> None:
    if count > MOST_MARKS:
        raise MarkError(
            f"There are {count} marks on {side_in_words(side.name)}; it must be {MOST_MARKS} at most: please give fewer, "
            "farther apart."
        )


def _drawn(shapes: Sequence[Sequence[Line]], sides: Sequence[Side]) -> Iterator[SideMarks]:
    """Where shapes meet the seam; those that meet it nowhere, where they meet the stop line."""
    seams = [(side.start, side.end) for side in sides]
    above = [(side.on_stop_line(0.0), side.on_stop_line(side.length)) for side in sides]
    dots = [_met(lines, seams) for lines in shapes]
    points = [_met(lines, above) for lines, met in zip(shapes, dots, strict=True) if not any(met)]
    for number in range(len(sides)):
        yield SideMarks(*(_merged([mark for met in found for mark in met[number]]) for found in (dots, points)))


def _met(lines: Sequence[Line], pieces: Sequence[tuple[Point, Point]]) -> list[list[float]]:
    return [[mark for line in lines for mark in meetings(line, *piece)] for piece in pieces]


def _merged(marks: Sequence[float]) -> tuple[float, ...]:
    """In order, to a drawing's own accuracy; of marks that a ruler cannot tell apart the first."""
    found: list[float] = []
    for mark in sorted(marks):
        if not found or mark - found[-1] > REACHES:
            found.append(round(mark, 6))
    return tuple(found)


def meetings(line: Line, start: Point, end: Point) -> list[float]:
    """Where a line meets the straight piece from `start` to `end`, in inches from `start`, in order.

    It meets where it crosses, where an end or a bend comes within 1/16 in, and, running along the piece, where it
    begins and stops to.
    """
    length = end.minus(start)
    inches = (length.x**2 + length.y**2) ** 0.5
    ahead = length.times(1 / inches)
    spots = [point.minus(start) for point in flat(line)]
    along = [spot.x * ahead.x + spot.y * ahead.y for spot in spots]
    off = [cross(ahead, spot) for spot in spots]
    crossed = list(_crossed(along, off))
    found = [place for place, _ in crossed]
    beside = {number for _, number in crossed} | {number + 1 for _, number in crossed}
    for number, place in enumerate(along):
        near = [abs(off[i]) for i in (number - 1, number + 1) if 0 <= i < len(off)]
        least = all(abs(off[number]) <= other + LEVEL for other in near)
        if number not in beside and least and abs(off[number]) <= REACHES:
            found.append(place)
    return sorted(place for place in found if -SAME_POINT <= place <= inches + SAME_POINT)


def _crossed(along: Sequence[float], off: Sequence[float]) -> Iterator[tuple[float, int]]:
    """Places where consecutive points lie on either side, with the number of the first; not where the line runs along."""
    for number, (one, other) in enumerate(itertools.pairwise(off)):
        level = max(abs(one), abs(other)) <= LEVEL
        if one * other < 0 and not level:
            share = one / (one - other)
            yield along[number] + share * (along[number + 1] - along[number]), number
