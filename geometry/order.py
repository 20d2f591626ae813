"""Which line after which: from zigzag, corner lines and fills to runs.

Three orders. `sections`: along the zigzag, each section finished before the next begins, its
fill entered at whichever of its zigzag points costs least extra. `zigzag`: the whole zigzag
in one run, then all fills on the border seam, then those on the stop line with the corners.
`across`: each fill stitched across and its diagonal back, every diagonal once.

Everything is derived from lines, whoever drew them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from geometry.needle import Needle, Run, Strip, cheapest
from geometry.route import TRAVEL
from geometry.turning import best_turn, through_corner

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.fills.shape import FilledSection
    from geometry.plane import Point

Order = Literal["sections", "zigzag", "across"]


def stitch(
    strips: Sequence[Strip], order: Order, *, outer_seam: bool = False, travel: float = TRAVEL, under: float = 0.0
) -> tuple[Run, ...]:
    """The runs of a closed border.

    Args:
        strips: the sides in order, clockwise; each ends in a corner.
        order: which line after which.
        outer_seam: the stop line is a seam, as on an inner border, and may be travelled.
        travel: weight of an inch of seam against an inch stitched over.
        under: inches beyond the stop line at which the needle may travel, hidden by the binding; 0: it may not.
    """
    needle = Needle(outer_seam=outer_seam, travel=travel, under=under)
    if order == "across":
        return (_across(strips, needle),)
    if order == "zigzag":
        return tuple(_zigzag_first(strips, needle))
    return (_by_sections(strips, needle),)


def _by_sections(strips: Sequence[Strip], needle: Needle) -> Run:
    """Along the zigzag; at each dot and point, whatever is best begun there."""
    corners = [best_turn(strip, needle) for strip in strips]
    waiting: dict[Point, list[FilledSection]] = {}
    for strip, corner in zip(strips, corners, strict=True):
        for filled, place in (*_triangles(strip, needle), *corner.closed):
            waiting.setdefault(place, []).append(filled)
    first = strips[0]
    _fill_here(waiting, first.dots[0], needle, only=first.name)
    for strip, corner in zip(strips, corners, strict=True):
        for i, point in enumerate(strip.points):
            for start, end in ((strip.dots[i], point), (point, strip.dots[i + 1])):
                needle.line(start, end)
                _fill_here(waiting, end, needle)
        for action in corner.at_pivot:
            action.stitch(needle)
    return needle.done("Section by section")


def _fill_here(
    waiting: dict[Point, list[FilledSection]], place: Point, needle: Needle, only: str | None = None
) -> None:
    here = waiting.pop(place, [])
    for filled in here:
        if only is None or filled.section.side == only:
            needle.fill(filled, place, place)
    left = [filled for filled in here if only is not None and filled.section.side != only]
    if left:
        waiting[place] = left


def _triangles(strip: Strip, needle: Needle) -> Iterator[tuple[FilledSection, Point]]:
    """Each filled triangle of a strip, in the order the zigzag finishes them, and where entering it costs least."""
    triangles = [filled for filled in (*strip.of("inner"), *strip.of("outer")) if filled.fill.lines]
    triangles.sort(key=lambda filled: (filled.section.place, filled.section.base != "inner"))
    for filled in triangles:
        section = filled.section
        # the most usual first: after both its diagonals, after one, before both
        yield filled, cheapest(filled, (section.right, section.tip, section.left), needle)[1]


def _zigzag_first(strips: Sequence[Strip], needle: Needle) -> Iterator[Run]:
    """Three runs: the zigzag; the fills on the seam; those on the stop line and in the corners."""
    outside = [filled for strip in strips for filled in (*strip.of("outer"), *strip.of("corner"))]
    last = any(filled.fill.lines for filled in outside)
    yield _zigzag_alone(strips, needle, crossings=not last)
    inside = [filled for strip in strips for filled in strip.of("inner")]
    if any(filled.fill.lines for filled in inside):
        for filled in inside:
            needle.fill(filled, filled.section.left, filled.section.right)
        yield needle.done("Fills on the border seam")
    if last:
        for strip, following in zip(strips, [*strips[1:], strips[0]], strict=True):
            for filled in strip.of("outer"):
                needle.fill(filled, filled.section.left, filled.section.right)
            through_corner(strip, following, needle)
        yield needle.done(f"Fills on the {'outer seam' if needle.outer_seam else 'stop line'} and corners")


def _zigzag_alone(strips: Sequence[Strip], needle: Needle, *, crossings: bool) -> Run:
    for strip in strips:
        for i, point in enumerate(strip.points):
            needle.line(strip.dots[i], point, strip.dots[i + 1])
        for line in strip.crossings if crossings else ():
            needle.out_and_back(line)
    return needle.done("Whole zigzag")


def _across(strips: Sequence[Strip], needle: Needle) -> Run:
    """Fill across, the diagonal back: every diagonal once."""
    for strip, following in zip(strips, [*strips[1:], strips[0]], strict=True):
        inner, outer = strip.of("inner"), strip.of("outer")
        for i, filled in enumerate(inner):
            needle.fill(filled, strip.dots[i], strip.dots[i + 1])
            needle.line(strip.dots[i + 1], strip.points[i])
            if i < len(outer):
                needle.fill(outer[i], strip.points[i], strip.points[i + 1])
                needle.line(strip.points[i + 1], strip.dots[i + 1])
        through_corner(strip, following, needle)
        needle.line(following.points[0], following.dots[0])
    return needle.done("Each fill across and its diagonal back")
