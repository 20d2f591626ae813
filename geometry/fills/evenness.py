"""How even a line is in its room: the largest circle it leaves open, its sharp bends, where it comes too near."""

from __future__ import annotations

import itertools
import math
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

_SAMPLES, _LEAST = 0.25, 2
"""Spacings from one place that is looked at to the next; how many of a Bézier at the least."""

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


def evenness(curve: Sequence[complex], room: Room, spacing: float, trunk: int, most: float = math.inf) -> Evenness:
    """Measure a curve by circles that touch it on either side, by its bends, and by what comes near it.

    With more than `most` faults it will not do, and no circles are looked for: the largest open one is told as endless.
    """
    places, ahead, bends = _sampled(curve, _SAMPLES * spacing)
    faults = sum(bend < _SHARP * spacing for bend in bends) + _close(places, room, spacing, trunk)
    return Evenness(_open(places, ahead, room, spacing) / spacing if faults <= most else math.inf, faults)


def _open(places: Sequence[complex], ahead: Sequence[complex], room: Room, spacing: float) -> float:
    """Diameter of the largest circle that touches one of the places and holds none."""
    most, slack, finer = _WIDEST * spacing, _SLACK * spacing, _FINE * spacing
    crowd = _Crowd(places, most)
    radius = 0.5 * spacing
    for turn in (1j, -1j):
        last = complex(math.inf)
        for place, step in zip(places, ahead, strict=True):
            while radius < most:
                centre = place + turn * step * radius
                # what lies in one circle mostly lies in the next
                if abs(last - centre) >= radius - slack:
                    last = crowd.within(centre, radius - slack)
                if abs(last - centre) < radius - slack or room.from_walls(centre) < radius:
                    break
                radius += finer
    return 2 * radius


class _Crowd:
    """Places sorted into cells, so that one in a circle is soon found."""

    def __init__(self, places: Sequence[complex], cell: float) -> None:
        """Take the places; circles may have a radius of one cell at most."""
        self._cell = cell
        self._cells: dict[tuple[int, int], list[complex]] = {}
        self._near: dict[tuple[int, int], list[complex]] = {}
        for place in places:
            self._cells.setdefault((int(place.real // cell), int(place.imag // cell)), []).append(place)

    def within(self, centre: complex, radius: float) -> complex:
        """A place that lies in a circle; one that is nowhere near if none does."""
        column, row = int(centre.real // self._cell), int(centre.imag // self._cell)
        near = self._near.get((column, row))
        if near is None:
            around = itertools.product((column, column - 1, column + 1), (row, row - 1, row + 1))
            near = self._near[column, row] = [place for key in around for place in self._cells.get(key, ())]
        for place in near:
            if abs(place - centre) < radius:
                return place
        return complex(math.inf)


def _close(places: Sequence[complex], room: Room, spacing: float, trunk: int) -> int:
    """How many places are too close to a wall, and how many pairs to each other."""
    # near its ends the line must come close to the walls, and home to itself
    ends = [(room.corners[i], spacing / room.angle(i)) for i in {0, max(0, trunk - 1)}]
    free = [True] * len(places)
    for end, reach in ends:
        free = [clear and abs(place - end) > reach for clear, place in zip(free, places, strict=True)]
    found = sum(
        far < (_WALL * spacing if clear else 0.0)
        for clear, far in zip(free[1:-1], room.all_from_walls(places[1:-1]), strict=True)
    )
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


def _sampled(curve: Sequence[complex], apart: float) -> tuple[list[complex], list[complex], list[float]]:
    """Places along the curve, at most about so many inches apart, the direction of the line there, and its radius."""
    places: list[complex] = []
    steps: list[complex] = []
    bends: list[float] = []
    for start, one, two, end in zip(curve[::3], curve[1::3], curve[2::3], curve[3::3], strict=False):
        first, bend, twist = one - start, start - 2 * one + two, end - start + 3 * (one - two)
        count = max(_LEAST, round(abs(end - start) / apart))
        for number in range(count):
            share = number / count
            # a third of the first and a sixth of the second derivative
            step, turn = first + share * (2 * bend + share * twist), bend + share * twist
            places.append(start + share * (3 * first + share * (3 * bend + share * twist)))
            steps.append(step)
            across = abs((step.conjugate() * turn).imag)
            bends.append(1.5 * abs(step) ** 3 / across if across else math.inf)
    places.append(curve[-1])
    steps.append(curve[-1] - curve[-2])
    return places, [step / (abs(step) or 1.0) for step in steps], bends
