"""Which line belongs to which section: what she drew, copied, ungrouped or combined is taken for where it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from extension.document import CW, SVG, value_of
from extension.shapes import elements_in, lines_of, transform_of
from geometry.plane import Affine, Point, flat, inside
from geometry.sections import Section, corner_sections, sections_along

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from lxml import etree

    from geometry.plane import Line
    from geometry.zigzag import Zigzag

ASTRAY = 0.05
"""Inches a line may reach out of its own section and still be meant for it."""


@dataclass(frozen=True, slots=True)
class StandingSection:
    """One section as it stands.

    Attributes:
        section: where it is, from the zigzag as drawn.
        group: its group; None if that is gone.
        fill_name, spacing, note: what it says of itself.
        lines: whatever lies in it to be stitched.
        elements: the elements those lines come from, lines of other sections among them if she combined paths.
    """

    section: Section
    group: etree._Element | None
    fill_name: str
    spacing: float
    note: str
    lines: tuple[Line, ...]
    elements: tuple[etree._Element, ...]


class Gathered(NamedTuple):
    """Lines, in inches of quilt, and the elements they come from, by the names of sections; and those of no section.

    `groups` are the sections' own groups.
    """

    lines: dict[str, list[Line]]
    elements: dict[str, list[etree._Element]]
    groups: dict[str, etree._Element]
    loose: list[tuple[etree._Element, Line]]


def places_of(zigzags: Sequence[Zigzag], corner: str) -> dict[str, Section]:
    """The sections between zigzags, by name."""
    pairs = zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)
    return {
        section.name: section
        for number, (one, two) in enumerate(pairs)
        for section in (*sections_along(one), *corner_sections(one, two, corner, number))  # type: ignore[arg-type]
    }


def gather(fills: etree._Element | None, places: Mapping[str, Line], to_quilt: Affine) -> Gathered:
    """Every line of the fills layer goes to the section whose group holds it, or, lying elsewhere, to where it lies.

    Args:
        fills: the layer; None if it is gone.
        places: the corners of each section, by name, in inches of quilt.
        to_quilt: from user units inside the border's layer to inches of quilt.
    """
    found = Gathered({name: [] for name in places}, {name: [] for name in places}, groups_in(fills), [])
    for element, place in [] if fills is None else elements_in(fills, transform_of(fills)):
        group = next((g for g in element.iterancestors() if value_of(g, "part") == "section"), None)
        named = value_of(group, "section") if group is not None else ""
        for drawn in lines_of(element):
            line = to_quilt.after(place).line(drawn)
            name = _home(line, places, named)
            if name is None:
                found.loose.append((element, line))
                continue
            found.lines[name].append(line)
            if element not in found.elements[name]:
                found.elements[name].append(element)
    return found


def groups_in(fills: etree._Element | None) -> dict[str, etree._Element]:
    """The groups of sections, the first of each name."""
    groups: dict[str, etree._Element] = {}
    for group in [] if fills is None else fills.iter(f"{{{SVG}}}g"):
        if value_of(group, "part") == "section":
            groups.setdefault(value_of(group, "section"), group)
    return groups


def standing_sections(gathered: Gathered, zigzags: Sequence[Zigzag], corner: str) -> tuple[StandingSection, ...]:
    """The sections of zigzags with what was gathered for them."""
    return tuple(
        StandingSection(
            section, gathered.groups.get(name), *said(gathered.groups.get(name)),
            tuple(gathered.lines.get(name, ())), tuple(gathered.elements.get(name, ())),
        )
        for name, section in places_of(zigzags, corner).items()
    )  # fmt: skip


def _home(line: Line, places: Mapping[str, Line], named: str) -> str | None:
    """The section a line belongs to: its group's if it lies there, else the one it lies in, else its group's."""
    points = flat(line)
    middle = points[len(points) // 2] if len(points) > 2 else Point(  # noqa: PLR2004
        (points[0].x + points[-1].x) / 2, (points[0].y + points[-1].y) / 2
    )  # fmt: skip
    if named in places and inside(middle, places[named], ASTRAY):
        return named
    found = next((name for name, corners in places.items() if inside(middle, corners)), None)
    return found or (named if named in places else None)


def said(group: etree._Element | None) -> tuple[str, float, str]:
    """What a section's group says of its fill: name, spacing, note."""
    if group is None:
        return "", math.nan, ""
    try:
        spacing = float(group.get(f"{{{CW}}}spacing-in", "nan"))
    except ValueError:
        spacing = math.nan
    return group.get(f"{{{CW}}}fill", ""), spacing, group.get(f"{{{CW}}}note", "")
