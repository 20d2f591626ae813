"""Bands: nested bent lines joined in pairs into closed ribbons, linked by short pieces.

For sections without a seam to travel on: each pair of lines is a closed ring, and a short
link leads from the section's anchor to the first ring and from each ring to the next. Only
the links are stitched twice, out and home. An odd last line closes along the base, or is
left open for a fill that closes it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.fills.shape import Shape
    from geometry.plane import Line, Point


class Bent(NamedTuple):
    """One line across the section: its left end, its bend on the centre line, its right end."""

    left: Point
    bend: Point
    right: Point


def banded(hook: Point, lines: Sequence[Bent], base: Line | None = ()) -> list[Line]:
    """Ribbons hung on a point of the centre line: `lines` from there towards the base.

    `base` tells the bends between the ends of an odd last line, along which it closes; None leaves it open.
    """
    drawn: list[Line] = []
    for near, far in _pairs(lines):
        drawn.append((hook, near.bend))
        if far is not None:
            drawn.append((near.bend, near.left, far.left, far.bend, far.right, near.right, near.bend))
            hook = far.bend
        else:
            drawn.append(tuple(near) if base is None else (near.bend, near.left, *base, near.right, near.bend))
    return drawn


def footed(shape: Shape, lines: Sequence[Bent], base: Line | None = ()) -> list[Line]:
    """The same ribbons for lines that end on the base, linked along it from the right corner."""
    corner = shape.right
    drawn: list[Line] = []
    for near, far in _pairs(lines):
        drawn.append((corner, near.right))
        if far is not None:
            drawn.append((near.right, near.bend, near.left, far.left, far.bend, far.right, near.right))
            corner = far.right
        else:
            drawn.append(tuple(near) if base is None else (near.right, near.bend, near.left, *base, near.right))
    return drawn


def _pairs(lines: Sequence[Bent]) -> list[tuple[Bent, Bent | None]]:
    return [(lines[i], lines[i + 1] if i + 1 < len(lines) else None) for i in range(0, len(lines), 2)]
