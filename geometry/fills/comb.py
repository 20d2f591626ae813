"""Teeth on the base, as wedges and beadboard have them: how they hang together.

On a seam the needle travels from tooth to tooth in the ditch. Where there is no seam, the
base between the teeth is stitched: across, all of it but the feet of the teeth; home, all
from the right corner to the last foot, so that each tooth is a closed shape
and only the pieces between teeth are stitched twice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.shape import Fill, Shape
from geometry.plane import Curve

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plane import Line, Point


class Tooth(NamedTuple):
    """A line from its right foot on the base to its left one, and where the feet stand: shares of the half base."""

    right: float
    left: float
    line: Line


def comb(shape: Shape, teeth: Sequence[Tooth], spacing: float) -> Fill:
    """Lines for teeth given from right to left, none of them crossing another."""
    lines = [tooth.line for tooth in teeth]
    if shape.seam:
        return Fill(tuple(lines), spacing)
    if shape.passage == "across":
        # from corner to corner along the base, but for the feet of the teeth
        stops = [1.0, *(foot for tooth in teeth for foot in (tooth.right, tooth.left)), -1.0]
        gaps = [_base(shape, stops[i : i + 2]) for i in range(0, len(stops), 2)]
        if not any(isinstance(line, Curve) for line in lines):
            woven = [gaps[0], *(part for pair in zip(lines, gaps[1:], strict=True) for part in pair)]
            return Fill((tuple(dict.fromkeys(point for part in woven for point in part)),), spacing)
        return Fill((*lines, *(gap for gap in gaps if len(gap) > 1)), spacing)
    feet = [foot for tooth in teeth for foot in (tooth.right, tooth.left)]
    return Fill((*lines, _base(shape, [1.0, *feet])), spacing)


def _base(shape: Shape, stops: Sequence[float]) -> Line:
    """Along the base from stop to stop, and through its middle, where a corner piece's base bends."""
    points: list[Point] = []
    before = stops[0]
    for stop in stops:
        if before * stop < 0:
            points.append(shape.middle)
        points.append(shape.at(stop, 0))
        before = stop
    return tuple(dict.fromkeys(points))
