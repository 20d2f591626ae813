"""Bands: nested bent lines joined in pairs into closed ribbons, linked by short pieces.

For sections without a seam to travel on: each pair of lines is a closed ring, and a short
link leads from the section's anchor to the first ring and from each ring to the next. Only
the links are stitched twice, out and home. An odd last line closes along its own base.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.shape import Fill, Leg, Shape

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plane import Line, Point


class Bent(NamedTuple):
    """One line across the section: its left end, its bend on the centre line, its right end."""

    left: Point
    bend: Point
    right: Point


def banded(shape: Shape, lines: Sequence[Bent], spacing: float) -> Fill:
    """Ribbons hung on the tip: `lines` from the tip outwards, linked on the centre line."""
    rings = []
    for near, far in _pairs(lines):
        if far is None:
            rings.append(_Ring((near.bend, near.left, near.right, near.bend), (near.bend,), near.bend))
        else:
            there = (near.bend, near.left, far.left, far.bend)
            rings.append(_Ring(there, (far.bend, far.right, near.right, near.bend), far.bend))
    return _linked(shape.tip, rings, spacing)


def footed(shape: Shape, lines: Sequence[Bent], spacing: float) -> Fill:
    """Ribbons of lines that end on the base, linked along it from the corner on the fill's hand."""
    turned = shape.hand == "left"
    rings = []
    for pair in _pairs(lines):
        near, far = (Bent(*line[::-1]) if line and turned else line for line in pair)
        if near is None:
            continue
        there = (near.right, near.bend, near.left)
        if far is None:
            rings.append(_Ring((*there, near.right), (near.right,), near.right))
        else:
            rings.append(_Ring((*there, far.left, far.bend, far.right), (far.right, near.right), far.right))
    return _linked(shape.left if turned else shape.right, rings, spacing)


class _Ring(NamedTuple):
    """A closed ribbon: the way from where its link arrives to where the next leaves, the way home, that next place."""

    there: Line
    back: Line
    hook: Point


def _pairs(lines: Sequence[Bent]) -> list[tuple[Bent, Bent | None]]:
    return [(lines[i], lines[i + 1] if i + 1 < len(lines) else None) for i in range(0, len(lines), 2)]


def _linked(anchor: Point, rings: Sequence[_Ring], spacing: float) -> Fill:
    outlines: list[Line] = []
    links: list[Line] = []
    out: list[Leg] = []
    home: list[Leg] = []
    hook = anchor
    for ring in rings:
        link: Line = (hook, ring.there[0])
        links.append(link)
        outlines.append((*ring.there, *ring.back[1:]))
        out.append(Leg("stitch", (*link, *ring.there[1:])))
        home = [Leg("stitch", ring.back), Leg("over", link[::-1]), *home]
        hook = ring.hook
    return Fill((*outlines, *links), (*out, *(leg for leg in home if len(leg.line) > 1)), spacing)
