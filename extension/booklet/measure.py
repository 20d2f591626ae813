"""Lengths in the reader's unit, and the names of places on the border."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

from geometry.lengths import MM_PER_INCH, decimal, fraction
from geometry.moments import NEAR
from geometry.plane import distance
from geometry.quilt import side_and_tier, side_in_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.pattern import DrawnSection, Pattern
    from geometry.plane import Point

EXACT = 1e-4
"""Inches; far finer than any ruler."""


class Measure(NamedTuple):
    """Writes lengths in the unit asked for.

    Attributes:
        unit: in, cm or mm.
        parts: marks to the inch of the ruler, 8 or 16.
    """

    unit: str = "in"
    parts: int = 8

    def plain(self, inches: float) -> str:
        """To the nearest mark: `7 1/8 in`, `18.1 cm`, `181 mm`."""
        return f"{self.bare(inches)} {self.unit}"

    def bare(self, inches: float) -> str:
        """As `plain`, without the unit."""
        if self.unit == "in":
            # a length that the ruler cannot show is not nothing
            finer = next((parts for parts in (self.parts, 16, 32) if round(abs(inches) * parts)), self.parts)
            return fraction(inches, finer)
        if self.unit == "cm":
            return f"{inches * MM_PER_INCH / 10:.1f}"
        return f"{inches * MM_PER_INCH:.0f}"

    def told(self, inches: float) -> str:
        """As `plain`, with `about` before it where the ruler has no such mark."""
        shown = {
            "in": round(inches * self.parts) / self.parts,
            "cm": round(inches * MM_PER_INCH) / MM_PER_INCH,
            "mm": round(inches * MM_PER_INCH) / MM_PER_INCH,
        }[self.unit]
        return self.plain(inches) if abs(shown - inches) < EXACT else f"about {self.plain(inches)}"

    def size(self, wide: float, tall: float) -> str:
        """Two lengths: `60 × 72 in`."""
        return f"{self.bare(wide)} × {self.bare(tall)} {self.unit}"

    def both(self, wide: float, tall: float) -> str:
        """Two lengths in inches and in centimetres, the reader's unit first."""
        inch, metric = Measure("in", self.parts), Measure("cm")
        first, second = (inch, metric) if self.unit == "in" else (self, inch)
        return f"{first.size(wide, tall)} ({second.size(wide, tall)})"

    def thread(self, inches: float) -> str:
        """A length of thread or stitching: yards, or metres."""
        if self.unit == "in":
            return f"{_round_up(inches / 36)} yards"
        return f"{_round_up(inches * MM_PER_INCH / 1000)} metres"

    def stitching(self, inches: float) -> str:
        """A stretch of stitching, whole inches or centimetres."""
        if self.unit == "in":
            return f"{inches:.0f} in" if inches >= 1 else f"{fraction(inches, self.parts)} in"
        return f"{inches * MM_PER_INCH / 10:.0f} cm"


def _round_up(amount: float) -> int:
    """Whole; large amounts to fives, so that they do not look more exact than they are."""
    step = 1 if amount < 50 else 5  # noqa: PLR2004
    return int(-(-amount // step) * step)


def percent(difference: float) -> str:
    """A difference in words: `3.2 % larger`."""
    return f"{decimal(abs(difference), 1)} % {'larger' if difference > 0 else 'smaller'}"


def spot_name(pattern: Pattern, point: Point, side: str | None = None) -> str:
    """What a place is called on the pages: `dot 3`, `point 2`, `the pivot`; empty if it has no name.

    A pivot ends one side and begins the next; `side` says in whose numbers to speak.
    """
    ordered = sorted(pattern.sides, key=lambda one: one.name != side)
    for one in ordered:
        for number, dot in enumerate(one.dots):
            if distance(dot, point) < NEAR:
                return f"dot {number}"
        for number, spot in enumerate(one.points, 1):
            if distance(spot, point) < NEAR:
                return f"point {number}"
    for one in ordered:
        if distance(one.stop_end, point) < NEAR:
            return "the outer corner"
        if any(distance(line[-1], point) < NEAR for line in one.crossings):
            return "the foot of the corner line"
    return ""


def section_name(section: DrawnSection, side: str) -> str:
    """What a section is called in a sentence about a side; one of another side is told so."""
    of = "" if section.side == side else f" of {side_in_words(section.side)}"
    if section.base == "inner":
        return f"the triangle between dots {section.place - 1} and {section.place}{of}"
    if section.base == "outer":
        return f"the triangle between points {section.place} and {section.place + 1}{of}"
    return "the corner" if len(section.corners) > 3 else "the corner piece"  # noqa: PLR2004


def counted(count: int, word: str) -> str:
    """`1 point`, `2 points`."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def listed(words: list[str]) -> str:
    """Words as a list: `top, right and left`."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 2 else words)  # noqa: PLR2004


def sides_named(names: Sequence[str]) -> str:
    """Sides in words: `top and bottom`, `side 3`, `sides 1, 2 and 5`, `sides 1 to 8`, `tier 2 of top and bottom`."""
    split = [side_and_tier(name) for name in names]
    if any(tier > 1 for _, tier in split):
        groups = itertools.groupby(split, key=lambda one: one[1])
        return listed([
            f"tier {tier} of {sides_named([side for side, _ in group])}" if tier > 1 else sides_named([side for side, _ in group])
            for tier, group in groups
        ])  # fmt: skip
    if not names[0].isdecimal():
        return listed(list(names))
    numbers = [int(name) for name in names]
    if len(names) > 2 and numbers == [*range(numbers[0], numbers[0] + len(names))]:  # noqa: PLR2004
        return f"sides {names[0]} to {names[-1]}"
    return f"{'side' if len(names) == 1 else 'sides'} {listed(list(names))}"


def upper(words: str) -> str:
    """Words with a capital at the beginning."""
    return words[:1].upper() + words[1:]
