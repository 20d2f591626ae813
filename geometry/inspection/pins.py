"""Where the numbers of findings stand: beside the places they speak of, never on top of each other."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from geometry.plane import Point, distance

if TYPE_CHECKING:
    from collections.abc import Sequence

BESIDE = 1.6
"""Widths of a disc from a place to the middle of its number's disc, at the least."""

FARTHER = 0.5
"""Widths of a disc by which the next places tried lie farther away."""

AROUND = 16
"""Places tried at each distance."""

APART = 1.15
"""Widths of a disc between the middles of two, at the least."""

CLEAR = 0.75
"""Widths of a disc between the middle of one and any place spoken of, at the least."""


def pins(places: Sequence[Point], wide: float, centre: Point) -> list[Point]:
    """For each place the middle of the disc with its number.

    Discs keep clear of one another and of all places; each stands as near to its place as that allows, on the side of
    the quilt's centre if it can.

    Args:
        places: what is spoken of, inches of quilt; several may be one point.
        wide: inches across a disc.
        centre: of the quilt.
    """
    found: list[Point] = []
    for place in places:
        inwards = math.atan2(centre.y - place.y, centre.x - place.x)
        # the first ring with a free place; there is always one, for rings grow and discs are few
        ring = BESIDE * wide
        while True:
            spots = [_at(place, inwards + _fan(number), ring) for number in range(AROUND)]
            free = next((spot for spot in spots if _is_free(spot, found, places, wide)), None)
            if free is not None:
                found.append(free)
                break
            ring += FARTHER * wide
    return found


def _fan(number: int) -> float:
    """Turns away from straight inwards: none, then ever farther to either side."""
    return (1 if number % 2 else -1) * ((number + 1) // 2) * math.tau / AROUND


def _at(place: Point, angle: float, away: float) -> Point:
    return Point(place.x + away * math.cos(angle), place.y + away * math.sin(angle))


def _is_free(spot: Point, discs: Sequence[Point], places: Sequence[Point], wide: float) -> bool:
    return all(distance(spot, disc) >= APART * wide for disc in discs) and all(
        distance(spot, place) >= CLEAR * wide for place in places
    )
