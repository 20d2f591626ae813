"""How even a line is in its room: the largest circle it leaves open, its sharp bends, where it comes too near."""

from __future__ import annotations

import cmath
import itertools
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.room import from_piece
from geometry.fills.tree import pairs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.fills.room import Room

_CLOSE, _WALL, _LOOK = 0.31, 0.3, 0.45
"""Spacings that two stretches of the line, and line and wall, should be apart; and how near places are looked at for it."""

_BEND = 1.1
"""Spacings along the line within which it is one stretch."""

_SHARP = 0.08
"""Spacings: a bend of a smaller radius is a kink."""

_SAMPLES, _TURN = 0.25, 0.3
"""Spacings, and radians of a bend, from one place that is looked at to the next."""

_WIDEST, _FINE, _SLACK = 0.85, 0.02, 0.03
"""Spacings of radius: the largest circle looked for, how finely it is measured, how far it may reach between points."""


class Evenness(NamedTuple):
    """How even a line is.

    Attributes:
        open: diameter of the largest circle left open, in spacings.
        faults: how many places, of those looked at, are bent sharply or too close to another stretch or a wall.
    """

    open: float
    faults: int


def evenness(curve: Sequence[complex], room: Room, spacing: float, trunk: int) -> Evenness:
    """Measure a curve by circles that touch it on either side, by its bends, and by what comes near it."""
    places, ahead = _sampled(curve, _SAMPLES * spacing)
    faults = _sharp(places, ahead, spacing) + _close(places, room, spacing, trunk)
    return Evenness(_open(places, ahead, room, spacing) / spacing, faults)


def _open(places: Sequence[complex], ahead: Sequence[complex], room: Room, spacing: float) -> float:
    """Diameter of the largest circle that touches one of the places and holds none."""
    cell = _WIDEST * spacing
    grid: dict[tuple[int, int], list[complex]] = {}
    for place in places:
        grid.setdefault((int(place.real // cell), int(place.imag // cell)), []).append(place)
    blocks: dict[tuple[int, int], list[complex]] = {}

    def empty(centre: complex, radius: float) -> bool:
        column, row = int(centre.real // cell), int(centre.imag // cell)
        near = blocks.get((column, row))
        if near is None:
            around = itertools.product((column, column - 1, column + 1), (row, row - 1, row + 1))
            near = blocks[column, row] = [place for key in around for place in grid.get(key, ())]
        for place in near:
            if abs(place - centre) < radius:
                return False
        return room.from_walls(centre) >= radius

    radius = 0.5 * spacing
    for place, step in zip(places, ahead, strict=True):
        for side in (1j * step, -1j * step):
            while radius < cell and empty(place + side * radius, radius - _SLACK * spacing):
                radius += _FINE * spacing
    return 2 * radius


def _sharp(places: Sequence[complex], ahead: Sequence[complex], spacing: float) -> int:
    """How often the line turns sharply from one place to the next."""
    return sum(
        abs(after - before) < _SHARP * spacing * abs(cmath.phase(turned / step))
        for before, after, step, turned in zip(places, places[1:], ahead, ahead[1:], strict=False)
    )


def _close(places: Sequence[complex], room: Room, spacing: float, trunk: int) -> int:
    """How many places are too close to a wall, and how many pairs to each other."""
    # near its ends the line must come close to the walls, and home to itself
    ends = [(room.corners[i], spacing / room.angle(i)) for i in {0, max(0, trunk - 1)}]
    free = [all(abs(place - end) > reach for end, reach in ends) for place in places]
    found = 0
    for clear, place in zip(free[1:-1], places[1:-1], strict=True):
        found += room.from_walls(place) < (_WALL * spacing if clear else 0.0)
    ways = [0.0, *itertools.accumulate(abs(after - before) for before, after in itertools.pairwise(places))]
    last = len(places) - 1
    for one, other in pairs(places, _LOOK * spacing):
        if free[one] and free[other] and abs(ways[one] - ways[other]) > _BEND * spacing:
            apart = min(
                from_piece(places[i], places[j - 1 if back else j], places[j if back else j + 1])
                for i, j in ((one, other), (other, one))
                for back in (True, False)
                if (j if back else last - j)
            )
            found += apart < _CLOSE * spacing
    return found


def _sampled(curve: Sequence[complex], apart: float) -> tuple[list[complex], list[complex]]:
    """Places along the curve, at most about so many inches apart and closer in bends, and the direction of the line."""
    places: list[complex] = []
    steps: list[complex] = []
    for i in range(0, len(curve) - 1, 3):
        start, one, two, end = curve[i : i + 4]
        first, bend, twist = one - start, start - 2 * one + two, end - start + 3 * (one - two)
        turn = abs(cmath.phase((end - two) * first.conjugate()))
        count = max(2, round(abs(end - start) / apart), round(turn / _TURN))
        for number in range(count):
            share = number / count
            places.append(start + share * (3 * first + share * (3 * bend + share * twist)))
            steps.append(first + share * (2 * bend + share * twist))
    places.append(curve[-1])
    steps.append(curve[-1] - curve[-2])
    return places, [step / (abs(step) or 1.0) for step in steps]
