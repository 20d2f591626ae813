"""The border width at which the asked angle comes out exactly on all sides.

A wider border makes the sides of its seam shorter and its triangles larger, so that near most
widths there is another that fits. For one side and n triangles it is where
length + rate·more = n·(2/tan(angle))·(height + more).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fitting import MOST_TRIANGLES, Number, allowed, repeat_of
from geometry.lengths import NOTHING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

MOST = 0.5
"""Inches by which a width may differ and still be the border that was meant."""

STEP = 1 / 8
"""Inches to which widths are told."""

EXACT = 1 / 8
"""Inches by which triangles as asked may miss a whole side: less than cutting and sewing do."""


class Widening(NamedTuple):
    """One side: its length and height, and the inches its length gains for each inch of border width (a loss).

    `half` is what its count has beside whole triangles: 1/2 where it ends in one inward corner.
    """

    length: float
    height: float
    rate: float = -2.0
    half: float = 0

    def length_at(self, more: float) -> float:
        """Its length when the border is so much wider."""
        return self.length + self.rate * more


class TrueWidth(NamedTuple):
    """A change of width that makes the angle fit.

    Attributes:
        more_in: inches by which the border is wider, exactly.
        told_in: the same, such that the width is a whole number of eighths.
        counts: the numbers of triangles it then has, side by side.
    """

    more_in: float
    told_in: float
    counts: tuple[float, ...]


def true_width(sides: Sequence[Widening], angle: float, width: float, number: Number = "any") -> TrueWidth | None:
    """The nearest width, within 1/2 in, at which triangles of the asked angle fill every side to 1/8 in, and one exactly.

    None where there is none, or where the border as it is comes that near already.

    Args:
        sides: the different sides of the border.
        angle: degrees between a diagonal and the seam.
        width: border width as it is, inches.
        number: allowed numbers of triangles.
    """
    per_height = repeat_of(angle, 1.0)
    if _counts(sides, per_height, 0.0, number):
        return None
    for more in sorted(_fitting_one(sides, per_height), key=abs):
        counts = _counts(sides, per_height, more, number)
        told = round((width + more) / STEP) * STEP - width
        if counts and abs(told) > NOTHING:
            return TrueWidth(more, told, counts)
    return None


def _fitting_one(sides: Sequence[Widening], per_height: float) -> Iterator[float]:
    """The changes at which at least one side fits exactly."""
    for side in sides:
        fewest, most = (side.length_at(more) / (per_height * max(STEP, side.height + more)) for more in (MOST, -MOST))
        least = 0 if side.half else 1
        for whole in range(
            max(least, math.ceil(fewest - side.half)), min(math.floor(most - side.half), MOST_TRIANGLES) + 1
        ):
            count = whole + side.half
            yield (side.length - count * per_height * side.height) / (count * per_height - side.rate)


def _counts(sides: Sequence[Widening], per_height: float, more: float, number: Number) -> tuple[float, ...]:
    """The numbers of triangles that fit all sides at a width; none if on one side none does."""
    counts = []
    for side in sides:
        length, repeat = side.length_at(more), per_height * (side.height + more)
        count = round(length / repeat - side.half) + side.half if repeat > 0 else 0
        if count <= 0 or not allowed(count, number) or abs(length - count * repeat) > EXACT:
            return ()
        counts.append(count)
    return tuple(counts)
