"""How evenly the border is quilted: stitched inches per square inch, section by section.

A section is held against its fellows: those with the same fill at the same spacing on the same
kind of base, of about the same size and shape. Unevenly quilted, a border buckles.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.plane import area_of, cross, distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.drawn import DrawnSection
    from geometry.plane import Line

FEWEST = 4
"""Sections of one kind from which on a median says what is usual."""

FEWEST_BY_TURNS = 6
"""The same for pieces of corners that are stitched in one of two ways by turns: a piece alone in its way is not odd."""

SAME_SPACING = 0.01
"""Share by which spacings may differ and still be the same."""

SAME_LINES = 0.01
"""Share by which the densities of two corner pieces with the same lines may differ."""

TWINS = 3
"""Corner pieces with the same lines, from which on they are meant to be as they are."""

SAME_SIZE = 0.2
"""Share by which the areas of two sections of one kind, and the lengths of their sides, may differ."""


SAME_CORNER = 0.05
"""The same for corner pieces: in one of another shape the lines come out otherwise."""


class Uneven(NamedTuple):
    """A section quilted more, or less, than its fellows: its number, percent off, stitched inches per square inch."""

    section: int
    percent: float
    own: float
    usual: float


def off_by(own: float, usual: float) -> float:
    """Percent by which one density is more than another; negative where it is less."""
    return 100 * (own / usual - 1)


def uneven(
    sections: Sequence[DrawnSection], stitched: Sequence[float], most_percent: float, *, by_turns: bool = False
) -> list[Uneven]:
    """Sections quilted more than `most_percent` off the median of their fellows, themselves included.

    `stitched` gives each section's inches of line; sections without any are left out. With `by_turns` the two pieces of a
    mitred corner are stitched in different ways.
    """
    import numpy as np

    kinds: dict[tuple[str, str, int, bool], list[int]] = {}
    for number, section in enumerate(sections):
        if stitched[number] > 0:
            # a piece of an inward corner stands on the seam, its corners the other way round
            kind = (section.fill_name, section.base, len(section.corners), _anticlockwise(section.corners))
            kinds.setdefault(kind, []).append(number)
    found = []
    for (_, base, corners, _), numbers in kinds.items():
        share = SAME_CORNER if base == "corner" else SAME_SIZE
        fewest = FEWEST_BY_TURNS if base == "corner" and by_turns and corners == 3 else FEWEST  # noqa: PLR2004 - a triangle
        area = np.array([area_of(sections[number].corners) for number in numbers])
        sides = np.array([_side_lengths(sections[number].corners) for number in numbers])
        spacing = np.array([sections[number].spacing for number in numbers])
        density = np.array([stitched[number] for number in numbers]) / area
        for place, number in enumerate(numbers):
            like = np.abs(area / area[place] - 1) <= share
            like &= (np.abs(sides / sides[place] - 1) <= share).all(axis=1)
            alike = like & (np.abs(spacing / spacing[place] - 1) <= SAME_SPACING)
            if alike.sum() < fewest:
                continue
            usual = float(np.median(density[alike]))
            percent = off_by(float(density[place]), usual)
            # the pieces of corners are stitched by turns in one of two ways, with lines of their own
            twins = np.abs(density[like] / density[place] - 1) <= SAME_LINES
            if abs(percent) > most_percent and not (sections[number].base == "corner" and twins.sum() >= TWINS):
                found.append(Uneven(number, percent, float(density[place]), usual))
    return found


def _anticlockwise(corners: Line) -> bool:
    return sum(cross(one, other) for one, other in zip(corners, (*corners[1:], corners[0]), strict=True)) < 0


def _side_lengths(corners: Line) -> list[float]:
    """The lengths of a section's sides, the shortest first, so that its mirror image has the same."""
    return sorted(distance(one, other) for one, other in zip(corners, (*corners[1:], corners[0]), strict=True))
