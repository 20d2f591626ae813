"""A wide border in bands, one above the other: each is a border of its own, and neighbours share their points.

The lines between the bands, the mid-lines, are parallel to seam and stop line and cut the
border into equal heights. They are no seams: nothing is stitched along them. The points of one
band are dots of the next, so only the lowest is fitted; between its last point and the corner
of the mid-line the next one has as many triangles as come nearest to its own size.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from geometry.errors import OptionError
from geometry.fitting import Ask, SideFit
from geometry.lengths import about
from geometry.plane import SAME_POINT, along
from geometry.quilt import Border, Side, tier_name
from geometry.zigzag import Zigzag

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.plane import Line, Point

LOWEST = 0.5
"""Inches: a band lower than this holds no fill, and its points run together (common practice, no source)."""

NEAR_PIVOT = 0.25
"""Repeats from a pivot on the stop line, at an inward corner, within which a point of the band below is no dot of this one:
the half triangle there would be a sliver."""


def bands(border: Border, tiers: int) -> tuple[Border, ...]:
    """A border cut into bands of equal height, the lowest first; of one band, the border itself.

    A band's trimmed edge is that of the border in the highest, and its own stop line in all others.

    Raises:
        OptionError: the bands would be too low.
    """
    if tiers == 1:
        return (border,)
    lowest = min(side.height for side in border.sides) / tiers
    if lowest < LOWEST:
        most = int(tiers * lowest / LOWEST)
        raise OptionError(
            f"{tiers} tiers make bands {about(lowest)} high; each must be at least {about(LOWEST)}: please ask for "
            f"{'one tier' if most < 2 else f'{most} tiers'}, or make the border wider."  # noqa: PLR2004
        )
    return tuple(_band(border, tier, tiers) for tier in range(1, tiers + 1))


def _band(border: Border, tier: int, tiers: int) -> Border:
    seam, stop_line = (_between(border, share / tiers) for share in (tier - 1, tier))
    highest = tier == tiers
    return Border(
        border.kind if highest else "inner", border.edge if highest else stop_line, seam, stop_line,
        tuple(_part(side, tier, tiers) for side in border.sides),
        border.widths, border.room if highest else 0.0,
    )  # fmt: skip


def mid_lines(border: Border, tiers: int) -> tuple[Line, ...]:
    """The corners of the lines between the bands, lowest first."""
    return tuple(_between(border, tier / tiers) for tier in range(1, tiers))


def _between(border: Border, share: float) -> Line:
    return tuple(_at(seam, stop, share) for seam, stop in zip(border.seam, border.stop_line, strict=True))


def _at(seam: Point, stop: Point, share: float) -> Point:
    return seam if share == 0 else stop if share == 1 else along(seam, stop, share)


def _part(side: Side, tier: int, tiers: int) -> Side:
    low, high = (tier - 1) / tiers, tier / tiers
    return side._replace(
        name=tier_name(side.name, tier), height=side.height / tiers, tier=tier, tiers=tiers,
        seam_start=_at(side.seam_start, side.stop_start, low), seam_end=_at(side.seam_end, side.stop_end, low),
        stop_start=_at(side.seam_start, side.stop_start, high), stop_end=_at(side.seam_end, side.stop_end, high),
    )  # fmt: skip


def stacked(lowest: Sequence[Zigzag], bands_: Sequence[Border]) -> tuple[Zigzag, ...]:
    """The zigzags of all bands, band by band from the lowest, whose own are given."""
    found = [tuple(lowest)]
    for band in bands_[1:]:
        found.append(tuple(_above(below, side) for below, side in zip(found[-1], band.sides, strict=True)))
    return tuple(itertools.chain.from_iterable(found))


def _above(below: Zigzag, side: Side) -> Zigzag:
    """The zigzag whose dots are the points below, with more where those stay away from the corners of the mid-line."""
    repeat = below.fit.repeat_in
    ends = (side.turned_start, side.turned_end)
    shared = [(place, point) for point in below.points if _can_be_dot(place := side.place(point), side, repeat)]
    places = [place for place, _ in shared]
    first, last = (places[0], places[-1]) if places else (side.length, 0.0)
    known = dict(shared)
    dots = [
        *_filled_in(0.0, first, repeat, turned=(ends[0], ends[1] and not places)),
        *places,
        *([] if not places else _filled_in(last, side.length, repeat, turned=(False, ends[1]))),
    ]
    dots = [*([] if ends[0] else [0.0]), *dots, *([] if ends[1] else [side.length])]
    count = len(dots) - 1 + sum(ends) / 2
    count = count if count % 1 else int(count)
    mean = side.length / count
    # the place of a pivot is known exactly, that of a shared point is the point
    known |= {0.0: side.start, side.length: side.end}
    fit = SideFit(Ask(side.length, side.height, repeat, ends), count, "marks", mean, 0, mean, tuple(dots))
    return Zigzag(
        side, fit, tuple(known.get(dot) or side.on_seam(dot) for dot in dots),
        tuple(_point(side, foot) for foot in fit.feet()),
    )  # fmt: skip


def _point(side: Side, foot: float) -> Point:
    if side.turned_start and foot == 0:
        return side.start
    return side.end if side.turned_end and foot == side.length else side.on_stop_line(foot)


def _can_be_dot(place: float, side: Side, repeat: float) -> bool:
    """Whether a point of the band below can be a dot of this one: not beside, nor beyond, a pivot on the stop line."""
    start, end = (NEAR_PIVOT * repeat if turned else SAME_POINT for turned in (side.turned_start, side.turned_end))
    return start < place < side.length - end


def _filled_in(start: float, end: float, repeat: float, turned: tuple[bool, bool]) -> Iterator[float]:
    """Places between two that lie about a repeat apart, and half a repeat from a pivot on the stop line."""
    length, half = end - start, sum(turned) / 2
    whole = max(1 - int(half > 0), round(length / repeat - half))
    # as in every fit, half as large is as wrong as twice as large
    counts = [count + half for count in (whole - 1, whole, whole + 1) if count + half > 0]
    count = min(counts, key=lambda count: abs(math.log(length / count / repeat)))
    step = length / count
    for number in range(int(count + 0.5 * turned[0] + 0.5 * turned[1]) + 2):
        place = start + (number + (0.5 if turned[0] else 0)) * step
        if start + SAME_POINT < place < end - SAME_POINT:
            yield place


def turns(zigzags: Sequence[Zigzag]) -> Iterator[tuple[int, Zigzag, Zigzag]]:
    """Each zigzag with the one that follows it in its band, and its number there."""
    for _, group in itertools.groupby(zigzags, key=lambda zigzag: zigzag.side.tier):
        band = list(group)
        yield from ((number, *two) for number, two in enumerate(zip(band, (*band[1:], band[0]), strict=True)))
