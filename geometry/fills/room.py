"""The room that a free-motion line has: corners, walls and how far to keep from them.

Places are complex numbers here, x + y·i, because there are many sums to do and a turn is one
product. A room's first corner lies at 0, the second to the right of it, the inside above.
"""

from __future__ import annotations

import cmath
import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

_STRAIGHT = 1e-9
"""Sines below this are rounding: the two walls lie on one line."""


class Room(NamedTuple):
    """A room; at most one of its corners points inwards.

    Attributes:
        corners: in order, the inside on the left of each wall; wall i leads from corner i to the next.
        levels: for each wall the turn that lays it level, and its height then.
        clear: inches to be kept from each wall.
        cleared: for each corner, where the lines that keep clear of its two walls meet.
        notch: the number of the corner that points inwards, -1 if none does.
    """

    corners: tuple[complex, ...]
    levels: tuple[tuple[complex, float], ...]
    clear: tuple[float, ...]
    cleared: tuple[complex, ...]
    notch: int

    @classmethod
    def of(cls, corners: Sequence[complex], clear: Sequence[float]) -> Room | None:
        """The room with these corners; None if nothing is left where the walls are kept clear of."""
        count = len(corners)
        steps = [corners[(i + 1) % count] - corners[i] for i in range(count)]
        ahead = [step / abs(step) for step in steps]
        turns = [(ahead[i - 1].conjugate() * ahead[i]).imag for i in range(count)]
        cleared = []
        for i in range(count):
            square = corners[i] + 1j * ahead[i] * clear[i]
            short = clear[i - 1] - ((square - corners[i]) * ahead[i - 1].conjugate()).imag
            cleared.append(square + ahead[i] * (short / turns[i] if abs(turns[i]) > _STRAIGHT else 0.0))
        left = [((cleared[(i + 1) % count] - cleared[i]) * ahead[i].conjugate()).real for i in range(count)]
        if min(left) < 0:
            return None
        levels = tuple(
            (step.conjugate(), (corner * step.conjugate()).imag) for corner, step in zip(corners, ahead, strict=True)
        )
        notch = next((i for i in range(count) if turns[i] < -_STRAIGHT), -1)
        return cls(tuple(corners), levels, tuple(clear), tuple(cleared), notch)

    def angle(self, number: int) -> float:
        """The angle inside a corner, in radians."""
        corner = self.corners[number]
        ahead = self.corners[(number + 1) % len(self.corners)] - corner
        return cmath.phase((self.corners[number - 1] - corner) / ahead) % (2 * math.pi)

    def from_walls(self, place: complex) -> float:
        """Inches from a place to the nearest wall; negative outside."""
        return self._least([(place * turn).imag - height for turn, height in self.levels])

    def all_from_walls(self, places: Sequence[complex]) -> list[float]:
        """The same for many places."""
        rows = [[(place * turn).imag - height for place in places] for turn, height in self.levels]
        if self.notch >= 0:
            rows[self.notch] = rows[self.notch - 1] = list(map(max, rows[self.notch], rows[self.notch - 1]))
        return list(map(min, *rows))

    def depth(self, place: complex) -> float:
        """Inches that a place lies farther in than it must; negative where it is too near to a wall."""
        return self._least(
            [(place * turn).imag - height - far for (turn, height), far in zip(self.levels, self.clear, strict=True)]
        )

    def _least(self, depths: list[float]) -> float:
        if self.notch >= 0:
            # beside a corner that points inwards it is enough to be inside of one of its walls
            depths[self.notch] = depths[self.notch - 1] = max(depths[self.notch], depths[self.notch - 1])
        return min(depths)

    def kept_in(self, place: complex) -> complex:
        """The place itself, or moved square to each wall it is too near to."""
        if self.depth(place) >= 0:
            return place
        for number in range(len(self.levels)):
            below = self._below(number, place)
            if self.notch >= 0 and number in {self.notch, (self.notch - 1) % len(self.levels)}:
                other = self.notch - 1 if number == self.notch else self.notch
                below = 0.0 if self._below(other, place) < below else below
            if below > 0:
                place += 1j * below * self.levels[number][0].conjugate()
        return place

    def height(self, number: int, place: complex) -> float:
        """Inches from a wall's endless line to a place; negative on its outer side."""
        turn, height = self.levels[number]
        return (place * turn).imag - height

    def _below(self, number: int, place: complex) -> float:
        return self.clear[number] - self.height(number, place)


def from_piece(place: complex, start: complex, end: complex) -> float:
    """Inches from a place to the straight piece between two others."""
    step = end - start
    share = ((place - start) * step.conjugate()).real / (step.real**2 + step.imag**2 or 1.0)
    return abs(start + step * min(1.0, max(0.0, share)) - place)
