"""Crosshatch: two families of lines, each parallel to one diagonal.

They bounce off the base at evenly spaced dots, and off the diagonals, where a short piece is
stitched over from one line to the next. An odd number of dots leads across, an even one
home. Straight on at every crossing. It is dense: one and a half times the spacing of other
fills suits it.
"""

from __future__ import annotations

from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import Line, along, distance_to_line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}


def crosshatch(shape: Shape, asked: float) -> Fill:
    """Draw two families of lines about `asked` inches apart."""
    parts = [_hatched(half, asked) for half in shape.halves or (shape,)]
    drawn = [part for part in parts if part is not None]
    if len(drawn) < len(parts):
        return left_out(asked, min(_width(half) for half in shape.halves or (shape,)), 1.8)
    lines = tuple(line for part in drawn for line in part[0])
    return Fill(lines, sum(part[1] for part in drawn) / len(drawn))


def _width(shape: Shape) -> float:
    return max(
        distance_to_line(shape.left, shape.right, shape.tip), distance_to_line(shape.right, shape.left, shape.tip)
    )


def _hatched(shape: Shape, asked: float) -> tuple[list[Line], float] | None:
    width = _width(shape)
    first = 1 if shape.passage == "across" else 2
    counts = [*counts_up_to(width, asked, first, 2)]
    fitted = even_out(width, asked, counts, (0.8, 1.0, 1.3)) or even_out(width, asked, (1, 2), (0.8, 1.0, 1.3))
    if fitted is None:
        return None
    count, spacing = fitted
    # whatever is left is shared by both ends
    margin = (1 - (count - 1) * spacing / width) / 2
    lines: list[Line] = []
    dots = []
    for number in range(count):
        share = margin + number * spacing / width
        dot = along(shape.left, shape.right, share)
        dots.append(dot)
        lines.append((along(shape.left, shape.tip, share), dot, along(shape.tip, shape.right, share)))
    if not shape.seam:
        # without a seam the corners are reached along the base
        lines += [(shape.left, dots[0]), (dots[-1], shape.right)]
    return lines, spacing
