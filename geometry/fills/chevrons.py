"""Chevrons: V's parallel to both diagonals, evenly apart.

On a seam the feet are joined by travelling in the ditch, by turns left and right; an even
number of V's brings the needle home. Where there is no seam to travel on, each two V's
are one closed ribbon (their feet joined by short pieces along the base), linked by short
stems on the centre line, or along the base where no more lines may meet at the tip.
A section with room for a single V has one.
"""

from __future__ import annotations

from geometry.fills.bands import Bent, banded, footed
from geometry.fills.shape import Fill, Leg, Shape, counts_up_to, even_out, left_out

LINES_AT_CORNER = 0

_LEFT_INSIDE = (0.6, 1.0, 1.25)
"""Spacings from the middle of the base to the last V: least, best, most."""


def chevrons(shape: Shape, asked: float) -> Fill:
    """Draw chevrons about `asked` inches apart."""
    depth = shape.depth
    fitted = even_out(depth, asked, counts_up_to(depth, asked, 2, 2), _LEFT_INSIDE)
    if fitted is None:
        fitted = even_out(depth, asked, (1,), _LEFT_INSIDE)
    if fitted is None:
        return left_out(asked, depth, 1 + _LEFT_INSIDE[0])
    count, spacing = fitted
    sizes = [1 - number * spacing / depth for number in range(1, count + 1)]
    lines = [Bent(shape.at(-size, 0), shape.at(0, size), shape.at(size, 0)) for size in sizes]
    if shape.seam:
        return _on_seam(shape, lines, spacing)
    if shape.room_at_tip:
        return banded(shape, lines, spacing)
    return footed(shape, lines, spacing)


def _on_seam(shape: Shape, lines: list[Bent], spacing: float) -> Fill:
    legs: list[Leg] = []
    here = shape.right
    for number, line in enumerate(lines):
        way = (line.right, line.bend, line.left) if number % 2 == 0 else (line.left, line.bend, line.right)
        legs += [Leg("travel", (here, way[0])), Leg("stitch", way)]
        here = way[-1]
    legs.append(Leg("travel", (here, shape.right)))
    return Fill(tuple(tuple(line) for line in lines), tuple(legs), spacing)
