"""Chevrons: V's parallel to both diagonals, evenly apart.

On a seam the feet are joined by travelling in the ditch, by turns left and right: an even
number of V's brings the needle home, an odd one across. Where there is no seam to travel
on, each two V's are one closed ribbon (their feet joined by short pieces along the base),
linked by short stems on the centre line, or along the base where no more lines may meet at
the tip; on the way across the first V is joined to both corners and the ribbons hang on
it. A section with room for a single V has one.
"""

from __future__ import annotations

from geometry.fills.bands import Bent, banded, footed
from geometry.fills.circles import largest_in
from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out

LINES_AT_CORNER: dict[Passage, int] = {"home": 0, "across": 1, "tip": 0}

_LEFT_INSIDE = (0.6, 1.0, 1.25)
"""Spacings from the middle of the base to the last V: least, best, most."""


_OPEN = 1.45
"""Spacings across the open circle inside the last V, at most."""


def chevrons(shape: Shape, asked: float) -> Fill:
    """Draw chevrons about `asked` inches apart."""
    depth = shape.depth
    first = 1 if shape.passage == "across" else 2
    # the last V encloses the section's own shape, made smaller
    most = _LEFT_INSIDE[2] if shape.bent else _OPEN * depth / largest_in((shape.left, shape.right, shape.tip))
    leftover = (*_LEFT_INSIDE[:2], min(_LEFT_INSIDE[2], most))
    fitted = even_out(depth, asked, counts_up_to(depth, asked, first, 2), leftover)
    if fitted is None:
        fitted = even_out(depth, asked, (1, 2), leftover)
    if fitted is None:
        return left_out(asked, depth, 1 + _LEFT_INSIDE[0])
    count, spacing = fitted
    sizes = [1 - number * spacing / depth for number in range(1, count + 1)]
    lines = [Bent(shape.at(-size, 0), shape.at(0, size), shape.at(size, 0)) for size in sizes]
    if shape.seam:
        return Fill(tuple(tuple(line) for line in lines), spacing)
    if shape.passage == "across":
        first_line, *others = lines
        return Fill(((shape.left, *first_line, shape.right), *banded(first_line.bend, others, shape.bends)), spacing)
    drawn = banded(shape.tip, lines, shape.bends) if shape.room_at_tip else footed(shape, lines, shape.bends)
    return Fill(tuple(drawn), spacing)
