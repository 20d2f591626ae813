"""How evenly the border is quilted: stitched inches per square inch, section by section.

A section is held against its fellows: those with the same fill at the same spacing on the same
kind of base and of about the same size. Unevenly quilted, a border buckles.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.plane import area_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.drawn import DrawnSection

FEWEST = 4
"""Sections of one kind from which on a median says what is usual."""

SAME_SPACING = 0.01
"""Share by which spacings may differ and still be the same."""

SAME_LINES = 0.01
"""Share by which the densities of two corner pieces with the same lines may differ."""

TWINS = 3
"""Corner pieces with the same lines, from which on they are meant to be as they are."""

SAME_SIZE = 0.2
"""Share by which the areas of two sections of one kind may differ."""


class Uneven(NamedTuple):
    """A section quilted more, or less, than its fellows: its number, percent off, stitched inches per square inch."""

    section: int
    percent: float
    own: float
    usual: float


def off_by(own: float, usual: float) -> float:
    """Percent by which one density is more than another; negative where it is less."""
    return 100 * (own / usual - 1)


def uneven(sections: Sequence[DrawnSection], stitched: Sequence[float], most_percent: float) -> list[Uneven]:
    """Sections quilted more than `most_percent` off the median of their fellows, themselves included.

    `stitched` gives each section's inches of line; sections without any are left out.
    """
    import numpy as np

    kinds: dict[tuple[str, str, int], list[int]] = {}
    for number, section in enumerate(sections):
        if stitched[number] > 0:
            kinds.setdefault((section.fill_name, section.base, len(section.corners)), []).append(number)
    found = []
    for numbers in kinds.values():
        area = np.array([area_of(sections[number].corners) for number in numbers])
        spacing = np.array([sections[number].spacing for number in numbers])
        density = np.array([stitched[number] for number in numbers]) / area
        for place, number in enumerate(numbers):
            alike = np.abs(spacing / spacing[place] - 1) <= SAME_SPACING
            alike &= np.abs(area / area[place] - 1) <= SAME_SIZE
            if alike.sum() < FEWEST:
                continue
            usual = float(np.median(density[alike]))
            percent = off_by(float(density[place]), usual)
            # the pieces of corners are stitched by turns in one of two ways, with lines of their own
            twins = np.abs(density[alike] / density[place] - 1) <= SAME_LINES
            if abs(percent) > most_percent and not (sections[number].base == "corner" and twins.sum() >= TWINS):
                found.append(Uneven(number, percent, float(density[place]), usual))
    return found
