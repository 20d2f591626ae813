"""Crosshatch: two families of lines, each parallel to one diagonal.

They bounce off the base at evenly spaced dots, and off the diagonals, where a short piece is
stitched over from one line to the next. An odd number of dots leads across, an even one
home. Straight on at every crossing. It is dense: one and a half times the spacing of other
fills suits it.
"""

from __future__ import annotations

from typing import NamedTuple

from geometry.fills.shape import (
    Fill,
    Passage,
    Shape,
    counts_up_to,
    even_out,
    left_out,
)
from geometry.plane import Line, along, distance_to_line

_BOTH_ENDS = (0.8, 1.0, 1.3)
"""Spacings left at both ends of the base together: least, best, most."""

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}


def crosshatch(shape: Shape, asked: float) -> Fill:
    """Draw two families of lines about `asked` inches apart."""
    halves = shape.halves or (shape,)
    widths = [_width(half) for half in halves]
    first = 1 if shape.passage == "across" else 2
    # both halves of a bent section take the same number, so that their lines meet on the centre line
    mean = sum(widths) / len(widths)
    dots = _fitted(mean, asked, first)
    if dots is None:
        return left_out(asked, mean, 1 + _BOTH_ENDS[0])
    return Fill(tuple(line for half in halves for line in _hatched(half, dots)), dots.step * mean)


class _Dots(NamedTuple):
    """How many dots stand on the base, and the share of it from one to the next."""

    number: int
    step: float


def _fitted(width: float, asked: float, first: int) -> _Dots | None:
    fitted = even_out(width, asked, counts_up_to(width, asked, first, 2), _BOTH_ENDS)
    fitted = fitted or even_out(width, asked, (1, 2), _BOTH_ENDS)
    return fitted and _Dots(fitted[0], fitted[1] / width)


def _width(shape: Shape) -> float:
    return max(
        distance_to_line(shape.left, shape.right, shape.tip), distance_to_line(shape.right, shape.left, shape.tip)
    )


def _hatched(shape: Shape, part: _Dots) -> list[Line]:
    """Lines from evenly spaced dots, whatever is left shared by both ends."""
    count, step = part
    margin = (1 - (count - 1) * step) / 2
    lines: list[Line] = []
    dots = []
    for number in range(count):
        share = margin + number * step
        dot = along(shape.left, shape.right, share)
        dots.append(dot)
        lines.append((along(shape.left, shape.tip, share), dot, along(shape.tip, shape.right, share)))
    if not shape.seam:
        # without a seam the corners are reached along the base
        lines += [(shape.left, dots[0]), (dots[-1], shape.right)]
    return lines
