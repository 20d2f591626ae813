"""Leave-and-return points: dots on the seam where the run can be left for the centre and taken up again.

On a frame the quilt advances by so many inches, so the points lie at about the same height on both flanks. Flanks are
told by the outline, not by names: a side walked downwards has the centre on its left and is a right flank, one walked
upwards a left flank; a level line through the seam crosses them by turns.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from geometry.errors import OptionError
from geometry.lengths import about

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.plane import Point
    from geometry.quilt import Border
    from geometry.zigzag import Zigzag

CLOSEST_LEAVE = 1.0
"""Inches: nobody leaves a border more often; less is a slip of the pen, or of the unit."""

LEVEL = math.tan(math.radians(15))
"""A side that rises less than this for each inch runs across the quilt, as the top of an uneven one does."""


def leave_points(border: Border, zigzags: Sequence[Zigzag], every: float) -> tuple[Point, ...]:
    """Dots on the seam near every so many inches down from its top, on the flanks of any outline.

    At each height a pair for every stretch of the centre that a level line crosses there: one dot on its left flank, one
    on its right, the two most nearly at that height and level with one another. Where only one flank has a border, the
    dot nearest to the height.

    Raises:
        OptionError: it is hardly any length, or as long as the quilt; or no side with a border runs down the quilt.
    """
    top = min(corner.y for corner in border.seam)
    long = max(corner.y for corner in border.seam) - top
    if not CLOSEST_LEAVE <= every < long:
        raise OptionError(
            f"Leave-and-return points are asked for every {about(every)}; it must be at least {about(CLOSEST_LEAVE)} and "
            f"less than the side, {about(long)}: please give a length such as 18."
        )
    flanks = _flanks(border.seam, _dots(border, zigzags))
    found: dict[Point, None] = {}
    for step in range(1, math.ceil(long / every)):
        height = top + step * every
        for left, right in _stretches(border.seam, flanks, height):
            if left and right:
                found.update(dict.fromkeys(_pair_at(left, right, height)))
            elif left or right:
                found[min(left or right, key=lambda dot: abs(dot.y - height))] = None
    if not found:
        raise OptionError(
            "Leave-and-return points are asked for, and no side with a border runs down the quilt; they must lie on one "
            "that does: please leave them out, or give such a side a border."
        )
    return tuple(found)


def _dots(border: Border, zigzags: Sequence[Zigzag]) -> list[Sequence[Point]]:
    """The dots of each side of the outline; none where it has no border."""
    by_start = {zigzag.side.seam_start: zigzag.dots for zigzag in zigzags}
    return [by_start.get(corner, ()) for corner in border.seam]


def _flanks(seam: Sequence[Point], dots: Sequence[Sequence[Point]]) -> list[Sequence[Point]]:
    """For each side the dots of the flank it belongs to.

    Sides that follow one another and go the same way, up or down, are one flank; those that run across the quilt lend it
    no dots.
    """
    steps = [end.minus(start) for start, end in zip(seam, (*seam[1:], seam[0]), strict=True)]
    across = [abs(step.y) < LEVEL * abs(step.x) for step in steps]
    if all(across):
        across = [step.y == 0 for step in steps]
    ways = [math.copysign(1, step.y) for step in steps]
    # begin where the way changes, so that no flank is cut in two
    uprights = [i for i in range(len(seam)) if not across[i]]
    first = next(
        (i for i, before in zip(uprights, (uprights[-1], *uprights[:-1]), strict=True) if ways[i] != ways[before]), 0
    )
    around = [(first + i) % len(seam) for i in range(len(seam))]
    groups: list[list[int]] = []
    for i in around:
        if across[i]:
            continue
        if not groups or ways[groups[-1][-1]] != ways[i]:
            groups.append([])
        groups[-1].append(i)
    found: list[Sequence[Point]] = [()] * len(seam)
    for group in groups:
        together = tuple(dict.fromkeys(itertools.chain.from_iterable(dots[i] for i in group)))
        for i in group:
            found[i] = together
    for i in around:
        if across[i]:
            # a slightly rising side goes on from the flank before it, a falling one leads to the flank after it
            before, after = (_upright(across, i, step) for step in (-1, 1))
            found[i] = next((found[j] for j in (before, after) if ways[j] == ways[i]), ())
    return found


def _upright(across: Sequence[bool], start: int, step: int) -> int:
    """The nearest side that does not run across, going on by `step`."""
    return next(j for i in range(len(across)) if not across[j := (start + i * step) % len(across)])


def _stretches(
    seam: Sequence[Point], flanks: Sequence[Sequence[Point]], height: float
) -> Iterator[tuple[Sequence[Point], Sequence[Point]]]:
    """The dots of the flanks left and right of each stretch of the centre at a height."""
    crossed = []
    for i, (start, end) in enumerate(zip(seam, (*seam[1:], seam[0]), strict=True)):
        if (start.y <= height) != (end.y <= height):
            crossed.append((start.x + (end.x - start.x) * (height - start.y) / (end.y - start.y), i))
    sides = [i for _, i in sorted(crossed)]
    for left, right in zip(sides[::2], sides[1::2], strict=True):
        yield flanks[left], flanks[right]


def _pair_at(left: Sequence[Point], right: Sequence[Point], height: float) -> tuple[Point, Point]:
    """A dot on either flank, the two most nearly at a height and level with one another."""
    near_left, near_right = (sorted(dots, key=lambda dot: abs(dot.y - height)) for dots in (left, right))
    best, pair = math.inf, (near_left[0], near_right[0])
    for one in near_left:
        for other in near_right:
            apart = abs(one.y - height) + abs(other.y - height)
            if apart >= best:
                break  # all others are farther still
            if apart + 2 * abs(one.y - other.y) < best:
                best, pair = apart + 2 * abs(one.y - other.y), (one, other)
    return pair
