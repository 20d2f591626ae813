"""A border as it stands, as a plan: its stitching line is then derived from its lines, whoever drew them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.request import SAME_NAMES
from geometry.fills.shape import Fill, FilledSection, standard
from geometry.plan import BorderPlan, Request
from geometry.plane import SQUARE, Curve, Point, distance
from geometry.quilt import PLACES, rectangle, side_names

if TYPE_CHECKING:
    from collections.abc import Sequence

    from extension.gathering import StandingSection
    from extension.reading import Standing
    from geometry.plane import Line
    from geometry.sections import Section

ALIKE = 4
"""Decimals of an inch to which the lines of two sections must agree to be stitched alike."""


def plan_of(standing: Standing) -> BorderPlan:
    """The border as it stands; congruent sections with the same lines share one fill in standard position."""
    border, edge = standing.border, standing.border.edge
    known: dict[tuple[object, ...], Fill] = {}
    wide, high = (max(corner[axis] for corner in edge) for axis in (0, 1))
    known_widths = {side.name: width for side, width in zip(border.sides, border.widths, strict=True)}
    widths = tuple(known_widths.get(name, border.room) for name in side_names(len(edge)))
    plain = len(edge) == len(PLACES) and max(map(distance, edge, rectangle(wide, high))) < SQUARE
    return BorderPlan(
        Request(
            wide, high, widths, outline=() if plain else edge, sides=tuple(side.name for side in border.sides),
            **{name: standing.options[name] for name in SAME_NAMES},
        ),
        border, standing.zigzags, standing.crossings, tuple(_filled(section, known) for section in standing.sections),
    )  # fmt: skip


def _filled(one: StandingSection, known: dict[tuple[object, ...], Fill]) -> FilledSection:
    return in_standard(one.section, one.fill_name, one.lines, one.spacing, one.note, known)


def in_standard(
    section: Section, fill_name: str, lines: Sequence[Line], spacing: float, note: str,
    known: dict[tuple[object, ...], Fill],
) -> FilledSection:  # fmt: skip
    """A section with given lines; those known already from a congruent section are shared with it."""
    shape, place = standard(section, seam=section.base == "inner", whole=10**-ALIKE)
    back = place.inverse()
    there = tuple(back.line(line) for line in lines)
    key = (shape, tuple(_rounded(line) for line in there))
    fill = known.setdefault(key, Fill(there, spacing, note))
    return FilledSection(section, fill_name, Fill(tuple(lines), spacing, note), fill, place)


def _rounded(line: Line) -> tuple[bool, tuple[Point, ...]]:
    return isinstance(line, Curve), tuple(Point(round(point.x, ALIKE), round(point.y, ALIKE)) for point in line)
