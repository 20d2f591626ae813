"""A tree without loops that fills a room evenly.

Its spots stand along the walls, one in each corner, and loosely between; they push each other
apart until they lie evenly. Then the tree grows, twig by twig, to every spot, each time where
there is most room: away from the other twigs, so that no crotch is narrow, and rather bending
than straight on.
"""

from __future__ import annotations

import cmath
import heapq
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.room import Room

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random


TWIGS = 1.5
"""Spacings between neighbouring spots: between 1.5 and 1.7, as sketched."""

_ROW = math.sqrt(3) / 2
"""Rows of a triangular lattice are this share of its step apart."""

_SHARED = 0.5
"""Steps between two corners of a narrow room up to which one spot does for both."""

_LOOSE = 0.25
"""Spacings by which spots along a wall may stand farther in, so that the line beside it is not straight."""

_PUSH, _REACH, _ROUNDS, _AFRESH = 0.2, 1.3, 10, 5
"""How hard spots push each other in a round, within how many steps, how often; neighbours are looked up afresh now and then."""

_LONGEST = 1.5
"""Steps: a longer twig would leave gaps beside it."""

_TWIGS_ALREADY = (1.0, 1.0, 0.45, 0.02, 0.001)
"""How welcome one more twig is at a spot that has none, one, two, … already."""

_ABOVE = 0.6
"""Steps from a trunk to the nearest other spots."""

_ROOT, _LEAN = 0.5, 0.6
"""How welcome a twig is that rises from the trunk, and the cosine of the angle up to which it may lean."""


class Tree(NamedTuple):
    """A tree.

    Attributes:
        spots: where its twigs begin and end.
        joined: for each spot those to which a twig leads.
        near: for each spot those within two steps.
        corners: for each corner of the room the spot that stands in it.
    """

    spots: list[complex]
    joined: list[list[int]]
    near: list[list[int]]
    corners: list[int]


def grow(room: Room, spacing: float, trunk: int, chance: Random) -> Tree:
    """Grow a tree.

    Args:
        room: where.
        spacing: inches between neighbouring lines.
        trunk: along the walls between so many of the first corners runs a trunk from which the tree rises; 0: none.
        chance: what decides.
    """
    step = TWIGS * spacing
    # what is no part of the trunk keeps clear of it
    clear = [far + _ABOVE * step if number < trunk - 1 else far for number, far in enumerate(room.clear)]
    upper = Room.of(room.corners, clear)
    spots, walls, corners = _along_walls(room, upper, step, trunk, chance)
    if upper is not None:
        spots += _between(upper, room.cleared, step, len(spots), chance)
    walls += [-1] * (len(spots) - len(walls))
    fixed = set(corners)
    _push_apart(upper or room, spots, walls, fixed, step)
    for number, wall in enumerate(walls):
        if wall >= max(0, trunk - 1) and number not in fixed:
            spots[number] += 1j * room.levels[wall][0].conjugate() * (chance.random() * _LOOSE * spacing)
    near: list[list[int]] = [[] for _ in spots]
    for one, other in pairs(spots, 2 * step):
        near[one].append(other)
        near[other].append(one)
    growth = _Growth(spots, near, fixed, corners[trunk - 1] + 1 if trunk else 1, step, chance)
    return Tree(spots, growth.joined, near, corners)


def pairs(places: Sequence[complex], reach: float) -> list[tuple[int, int]]:
    """Pairs of places less than `reach` apart, each once."""
    order = sorted(range(len(places)), key=[place.real for place in places].__getitem__)
    row = [places[number] for number in order]
    found: list[tuple[int, int]] = []
    end = 0
    for first, (number, here) in enumerate(zip(order, row, strict=True), 1):
        limit = here.real + reach
        while end < len(row) and row[end].real < limit:
            end += 1
        found += [(number, order[other]) for other in range(first, end) if abs(row[other] - here) < reach]
    return found


def _along_walls(
    room: Room, upper: Room | None, step: float, trunk: int, chance: Random
) -> tuple[list[complex], list[int], list[int]]:
    """Spots in the corners and along the walls, the wall each may slide along, and the corners' own spots.

    Along walls that rise from a trunk they stand in the `upper` room only.
    """
    spots: list[complex] = []
    walls: list[int] = []
    corners: list[int] = []
    count = len(room.cleared)
    for number, corner in enumerate(room.cleared):
        shared = next((i for i, spot in enumerate(spots) if abs(spot - corner) < _SHARED * step), -1)
        corners.append(shared if shared >= 0 else len(spots))
        if shared < 0:
            spots.append(corner)
            walls.append(number)
        # the wall's own spots; its ends are corners', but where it rises from the trunk
        rises, falls = trunk and number == trunk - 1, trunk and number == count - 1
        if upper is None and number >= trunk - 1:
            continue
        start = upper.cleared[number] if upper and rises else corner
        end = upper.cleared[0] if upper and falls else room.cleared[(number + 1) % count]
        pieces = max(1, round(abs(end - start) / step))
        for piece in range(0 if rises else 1, pieces + 1 if falls else pieces):
            loose = 0.2 * chance.random() - 0.1 if 0 < piece < pieces else 0.0
            spots.append(start + (end - start) * ((piece + loose) / pieces))
            walls.append(number)
    return spots, walls, corners


def _between(room: Room, corners: Sequence[complex], step: float, walled: int, chance: Random) -> list[complex]:
    """As many spots as there is room for between the walled ones, on a lattice thrown in at random."""
    area = (
        sum((one.conjugate() * other).imag for one, other in zip(corners, (*corners[1:], corners[0]), strict=True)) / 2
    )
    # each spot takes up one cell of the lattice, each along the walls half of one
    wanted = round(area / (_ROW * step * step) - walled / 2 + 1.15)
    if wanted <= 0:
        return []
    centre = sum(corners) / len(corners)
    around = max(abs(corner - centre) for corner in corners)
    turn = cmath.rect(step, chance.random() * math.pi / 3)
    across, up = chance.random(), chance.random()
    most = int(around / (_ROW * step)) + 2
    found = []
    for row in range(-most, most + 1):
        for column in range(-most, most + 1):
            spot = turn * complex(column + across + row % 2 / 2, (row + up) * _ROW)
            if abs(spot) < around and (depth := room.depth(spot + centre)) > 0:
                found.append((-depth, column, row, spot + centre))
    return [spot for *_, spot in sorted(found, key=lambda row: row[:3])[:wanted]]


def _push_apart(room: Room, spots: list[complex], walls: Sequence[int], fixed: set[int], step: float) -> None:
    """Let the spots push each other apart; those along a wall slide along it, the `fixed` ones stay."""
    reach = _REACH * step
    free = [number for number in range(len(spots)) if number not in fixed]
    touching: list[tuple[int, int]] = []
    for number in range(_ROUNDS if free else 0):
        if number % _AFRESH == 0:
            touching = [pair for pair in pairs(spots, 1.7 * step) if not fixed.issuperset(pair)]
        pushed = [0j] * len(spots)
        for one, other in touching:
            gap = spots[one] - spots[other]
            far = abs(gap)
            if 0 < far < reach:
                push = gap * (_PUSH * (reach / far - 1))
                pushed[one] += push
                pushed[other] -= push
        for i in free:
            if walls[i] < 0:
                spots[i] = room.kept_in(spots[i] + pushed[i])
            else:
                turn = room.levels[walls[i]][0]
                spots[i] += (pushed[i] * turn).real * turn.conjugate()


class _Growth:
    """The tree while it grows: the twigs it has, and those it may get, the most welcome first."""

    def __init__(
        self, spots: Sequence[complex], near: Sequence[Sequence[int]], corners: set[int], rooted: int, step: float,
        chance: Random,
    ) -> None:  # fmt: skip
        """Let it grow from its first `rooted` spots, which are joined in a row."""
        self.joined: list[list[int]] = [[] for _ in spots]
        self._spots, self._near, self._corners, self._step, self._chance = spots, near, corners, step, chance
        self._trunk = rooted if rooted > 1 else 0
        self._waiting = set(range(rooted, len(spots)))
        self._offers: list[tuple[float, int, int, int, float]] = []
        for number in range(1, rooted):
            self._join(number - 1, number)
        for number in range(rooted):
            self._offers_from(number)
        while self._offers:
            _, spot, to, twigs, luck = heapq.heappop(self._offers)
            if to not in self._waiting:
                continue
            if len(self.joined[spot]) > twigs:
                self._offer(spot, to, luck)
                continue
            self._waiting.remove(to)
            self._join(spot, to)
            self._offers_from(to)

    def _join(self, one: int, other: int) -> None:
        self.joined[one].append(other)
        self.joined[other].append(one)

    def _offers_from(self, spot: int) -> None:
        for to in self._near[spot]:
            if to in self._waiting and self._free_between(spot, to):
                self._offer(spot, to, 0.15 + self._chance.random())

    def _offer(self, spot: int, to: int, luck: float) -> None:
        here, others = self._spots[spot], self.joined[spot]
        twig = self._spots[to] - here
        if spot < self._trunk:
            # the trunk's own pieces do not count, but what rises from it should not lean
            rising = [other for other in others if other >= self._trunk]
            lean = abs((twig.conjugate() * (self._spots[others[0]] - here)).real) / (abs(twig) * self._step)
            luck *= _ROOT if lean < _LEAN else 1e-4
        else:
            rising = others
        welcome = _welcome(twig, [self._spots[other] - here for other in rising], self._step)
        if spot in self._corners and others:
            welcome *= 1e-6  # a corner is for a twig's end
        heapq.heappush(self._offers, (-welcome * luck, spot, to, len(others), luck))

    def _free_between(self, one: int, other: int) -> bool:
        half = (self._spots[other] - self._spots[one]) / 2
        if 2 * abs(half) > _LONGEST * self._step:
            return False
        # where no third spot stands in the circle over a twig, twigs never cross (K. R. Gabriel's and R. R. Sokal's graph)
        centre = self._spots[one] + half
        return all(abs(self._spots[third] - centre) > abs(half) for third in self._near[one] if third != other)


def _welcome(twig: complex, others: Sequence[complex], step: float) -> float:
    """How welcome a twig is beside the others of its spot."""
    size = abs(twig)
    welcome = _TWIGS_ALREADY[min(len(others), len(_TWIGS_ALREADY) - 1)] * math.exp(-6 * max(0.0, size / step - 1.05))
    for other in others:
        cosine = (twig.conjugate() * other).real / (size * abs(other))
        if cosine > 0.2:  # noqa: PLR2004 - sharper than 78 degrees: only if there is no other way
            welcome *= 1e-5 * (1.05 - cosine)
        elif cosine > -0.05:  # noqa: PLR2004 - about square
            welcome *= 0.1
        elif cosine < -0.92:  # noqa: PLR2004 - nearly straight on
            welcome *= 0.3
    return welcome
