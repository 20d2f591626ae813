"""Wedges: spikes on the base, all pointing to the tip.

They stop short of it by turns, the farther up the fewer, so that no ten lines meet there
and the spaces between them stay even. The spacing is that of the lines where they stand on
the base.
"""

from __future__ import annotations

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import distance, distance_to_line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_NARROWEST = 0.85
"""Spacings (along the base) below which the gap between two spikes does not shrink: one of them stops."""

_CLEAR = 0.35
"""Spacings that a spike's point keeps away from the diagonal."""

_HIGHEST = 0.85
"""Share of the height that the longest spike reaches."""


def wedges(shape: Shape, asked: float) -> Fill:
    """Draw wedges about `asked` inches apart."""
    base = distance(shape.left, shape.middle) + distance(shape.middle, shape.right)
    # an odd number of divisions: a spike stands on every second one, none on the outermost two
    fitted = even_out(base, asked, counts_up_to(base, asked, 3, 2), (-0.3, 0.0, 0.8))
    if fitted is None:
        return left_out(asked, base, 2.7)
    divisions, spacing = fitted
    width = 2 * spacing / base
    outermost = width * (divisions - 2) / 2
    spikes = (divisions - 1) // 2
    teeth: list[Tooth] = []
    for number in range(spikes):
        right = outermost - 2 * width * number
        centre = right - width / 2
        # how far this spike stands from the middle one (or the middle gap), in spikes
        height = min(_height(abs(2 * number - (spikes - 1)) // 2, spikes), _clear(shape, centre, spacing))
        line = shape.line((right, 0), (centre * (1 - height), height), (right - width, 0))
        teeth.append(Tooth(right, right - width, line))
    return comb(shape, teeth, spacing)


def _clear(shape: Shape, centre: float, spacing: float) -> float:
    """Share of the height up to which a spike keeps clear of the diagonal on its side."""
    end = shape.right if centre > 0 else shape.left
    return 1 - _CLEAR * spacing / ((1 - abs(centre)) * distance_to_line(shape.middle, end, shape.tip))


def _height(place: int, spikes: int) -> float:
    """Share of the height a spike reaches: one that stands at an odd place stops first, and so on by halves."""
    level = 0
    while place and place % 2 == 0 and level < spikes:
        place //= 2
        level += 1
    if place == 0:
        return _HIGHEST - 0.04
    # neighbours of this level stand 2^level spikes apart at the base, and come together towards the tip
    return min(_HIGHEST, max(0.3, 1 - _NARROWEST * 0.425 / (1 << level)))
