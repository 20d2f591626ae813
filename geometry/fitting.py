"""How many triangles on a side, and how large.

For a side of length L and triangles of height h the size is asked for as a repeat b0
(45 degrees means b0 = 2h). Even fit: n equal repeats L / n, with n nearest to the asked
size by |ln(L / n / b0)|, because half as large is as wrong as twice as large. Eased fit:
the middle triangles keep b0 exactly and the last few before each pivot share what is left.
A fit to marks has repeats of unlike length (`landing` chooses them). Every fit lands on both
pivots exactly. Counts that go together on several sides are in `together`.
"""

from __future__ import annotations

import itertools
import math
from itertools import product
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.errors import CountError
from geometry.lengths import about
from geometry.plane import EASED_MOST

if TYPE_CHECKING:
    from collections.abc import Sequence

Number = Literal["any", "even", "odd"]
Way = Literal["even", "ease", "marks"]

NEAREST = 5
"""Counts of a side that are always listed."""

WITHIN = 0.25
"""Share of the asked repeat by which a pair's repeats may differ from it."""

MOST_TRIANGLES = 500
"""On one side; the editor slows down long before."""


class Candidate(NamedTuple):
    """One count that a side could have: repeat in inches, angle in degrees, difference from the asked repeat."""

    count: float  # type: ignore[assignment]  # nobody counts its values
    repeat_in: float
    angle_deg: float
    difference_pct: float


class Pair(NamedTuple):
    """Counts of two adjoining sides and how far apart their repeats are."""

    counts: tuple[float, float]
    repeats_in: tuple[float, float]
    apart_pct: float


class Ask(NamedTuple):
    """What one side has to fill: its length and height, and the repeat asked for, all in inches.

    `turned` tells of its first and second pivot whether it lies on the stop line, as at an inward corner.
    """

    length: float
    height: float
    repeat: float
    turned: tuple[bool, bool] = (False, False)

    @property
    def half(self) -> float:
        """What its count has beside whole triangles: 1/2 where one pivot lies on the seam and the other on the stop line."""
        return 0.5 if self.turned[0] != self.turned[1] else 0


class SideFit(NamedTuple):
    """What was fitted on one side.

    `count` is a whole number, or one and a half where one pivot lies on the stop line. `repeat_in` is the middle triangles' (all of them when `fit` is even, their mean when it is marks), `each` how many
    before either pivot are eased and `eased_in` their repeat, so that
    (count - 2·each)·repeat_in + 2·each·eased_in is the length.

    Attributes:
        dots: where repeats are of unlike length, the inches along the seam of each dot, pivots on the seam included;
            none where the places follow from the repeats.
        points: where points do not stand midway, the inches along the seam of the foot of each; none where they do.
    """

    ask: Ask
    count: float  # type: ignore[assignment]  # nobody counts its values
    fit: Way
    repeat_in: float
    each: int
    eased_in: float
    dots: tuple[float, ...] = ()
    points: tuple[float, ...] = ()

    @property
    def angle_deg(self) -> float:
        """Angle between a diagonal and the seam, of the middle triangles."""
        return angle_of(self.repeat_in, self.ask.height)

    @property
    def difference_pct(self) -> float:
        """Percent by which the middle triangles differ from the asked repeat."""
        return difference(self.repeat_in, self.ask.repeat)

    @property
    def eased_pct(self) -> float:
        """Percent by which the eased triangles differ from the asked repeat."""
        return difference(self.eased_in, self.ask.repeat)

    def places(self) -> tuple[float, ...]:
        """Inches along the seam of each dot, in order; a pivot lies at 0 or at the length exactly."""
        return self.dots or self._turns()[int(self.ask.turned[0]) :: 2]

    def feet(self) -> tuple[float, ...]:
        """Inches along the seam of the foot of each point, in order: midway between dots, or on marks of its own."""
        if self.points:
            return self.points
        if not self.dots:
            return self._turns()[1 - int(self.ask.turned[0]) :: 2]
        between = ((before + after) / 2 for before, after in itertools.pairwise(self.dots))
        start, end = self.ask.turned
        return (*([0.0] if start else []), *between, *([self.ask.length] if end else []))

    def _turns(self) -> tuple[float, ...]:
        """Inches along the seam of dots and points by turns, from pivot to pivot, half a repeat apart."""
        steps, eased, length = round(2 * self.count), 2 * self.each, self.ask.length
        left = [
            (i * self.eased_in if i <= eased else eased * self.eased_in + (i - eased) * self.repeat_in) / 2
            for i in range(steps // 2 + 1)
        ]
        right = [length - place for place in left]
        if steps % 2:
            return (*left, *reversed(right))
        return (*left[:-1], length / 2, *reversed(right[:-1]))

    def repeats(self) -> tuple[float, ...]:
        """The length of each triangle on the seam, in order; of a side too short for one, that of the whole it is part of."""
        return tuple(after - before for before, after in itertools.pairwise(self.places())) or (self.repeat_in,)


def angle_of(repeat: float, height: float) -> float:
    """Degrees between a diagonal and the seam for a triangle of that repeat and height."""
    return math.degrees(math.atan2(2 * height, repeat))


def repeat_of(angle_deg: float, height: float) -> float:
    """The repeat whose diagonals stand at that angle to the seam; 45 degrees gives twice the height.

    Raises:
        CountError: the angle is not between 0 and 90 degrees.
    """
    if not 0 < angle_deg < 90:  # noqa: PLR2004
        raise CountError(
            f"The angle is {angle_deg:g} degrees; it must be more than 0 and less than 90: please give one such as 45."
        )
    return 2 * height / math.tan(math.radians(angle_deg))


def difference(repeat: float, asked: float) -> float:
    """Percent by which a repeat differs from the asked one."""
    return 100 * (repeat / asked - 1)


def off(length: float, count: float, asked: float) -> float:
    """How wrong a count is: |ln(repeat / asked)|, 0 when it is what was asked."""
    return abs(math.log(length / count / asked))


def allowed(count: float, number: Number) -> bool:
    """Whether a count is of the asked kind; one with a half is neither even nor odd, and always allowed."""
    return number == "any" or count % 1 != 0 or (count % 2 == 0) == (number == "even")


def candidates(ask: Ask, number: Number = "any") -> tuple[Candidate, ...]:
    """At least the five nearest allowed counts of a side, best first; ties go to the smaller count.

    Raises:
        CountError: the triangles would be too many to draw.
    """
    ideal = ask.length / ask.repeat
    if ideal > MOST_TRIANGLES:
        raise CountError(
            f"Triangles of {about(ask.repeat)} would be about {ideal:.0f} on a side of {about(ask.length)}; "
            f"at most {MOST_TRIANGLES} can be drawn: please ask for larger ones."
        )
    # beside the five nearest, everything a pair may use; twice five because every other count may be ruled out
    low = min(math.floor(ideal) - 2 * NEAREST, math.floor(ideal * (1 - WITHIN)))
    high = max(math.ceil(ideal) + 2 * NEAREST, math.ceil(ideal / (1 - WITHIN)))
    half = ask.half
    counts = [n + half for n in range(max(0 if half else 1, low), high + 1) if allowed(n + half, number)]
    counts.sort(key=lambda n: (round(off(ask.length, n, ask.repeat), 12), n))
    # a repeat a quarter smaller is farther off than one a quarter larger: keep up to the last that is near enough
    keep = max([NEAREST, *(place for place, n in enumerate(counts, 1) if near(ask, n))])
    return tuple(_candidate(ask, n) for n in counts[:keep])


def near(ask: Ask, count: float) -> bool:
    """Whether a count's repeat is within 25 % of the asked one."""
    return abs(ask.length / count / ask.repeat - 1) <= WITHIN + 1e-12


def _candidate(ask: Ask, count: float) -> Candidate:
    repeat = ask.length / count
    return Candidate(count, repeat, angle_of(repeat, ask.height), difference(repeat, ask.repeat))


def pairs(first: Ask, second: Ask, number: Number = "any") -> tuple[Pair, ...]:
    """Counts of two sides whose repeats are within 25 % of the asked one, those least apart first."""
    found = []
    for one, other in product(candidates(first, number), candidates(second, number)):
        if near(first, one.count) and near(second, other.count):
            worst = max(abs(one.difference_pct), abs(other.difference_pct))
            repeats = (one.repeat_in, other.repeat_in)
            found.append((apart(repeats), worst, Pair((one.count, other.count), repeats, apart(repeats))))
    found.sort(key=lambda row: (round(row[0], 9), round(row[1], 9), row[2].counts))
    return tuple(pair for _, _, pair in found)


def apart(repeats: Sequence[float]) -> float:
    """Percent by which the largest of some repeats exceeds the smallest."""
    return 100 * (max(repeats) / min(repeats) - 1)


def check_typed(count: float, number: Number, *, side: str) -> None:
    """Refuse a typed count that cannot be drawn or breaks the allowed numbers.

    Raises:
        CountError: says which and what to do.
    """
    if not 1 <= count <= MOST_TRIANGLES:
        raise CountError(
            f"The number of triangles asked for on {side} is {count}; it must be from 1 to {MOST_TRIANGLES}: "
            "please give another."
        )
    if not allowed(count, number):
        raise CountError(
            f"The number of triangles asked for on {side} is {count}, but only {number} numbers are allowed: "
            f"please give an {number} number, or allow any."
        )


def fit_side(ask: Ask, count: float, way: Way = "even", last: int = 3) -> SideFit:
    """Fit `count` triangles on a side.

    With `ease`, `last` triangles before each pivot take the difference; if that is
    impossible, the nearest number for which none is more than 15 % off, more first, then
    fewer; if there is none, all alike.
    """
    even = ask.length / count
    if way == "ease":
        most = int((count - 1) // 2)
        for each in [*range(max(1, last), most + 1), *range(min(last - 1, most), 0, -1)]:
            eased = (ask.length - (count - 2 * each) * ask.repeat) / (2 * each)
            if abs(difference(eased, ask.repeat)) <= EASED_MOST + 1e-9:
                return SideFit(ask, count, "ease", ask.repeat, each, eased)
    return SideFit(ask, count, "even", even, 0, even)
