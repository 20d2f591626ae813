"""Which line belongs to which section: what she drew, copied, ungrouped or combined is taken for where it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from extension.document import CW, SVG
from extension.shapes import elements_in, lines_of, transform_of
from geometry.plane import Affine, Point, flat, inside
from geometry.sections import Section, corner_sections, sections_along

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

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


def _places(zigzags: Sequence[Zigzag], corner: str) -> Iterator[Section]:
    for number, (one, two) in enumerate(zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)):
        yield from sections_along(one)
        yield from corner_sections(one, two, corner, number)  # type: ignore[arg-type]


def gather(
    fills: etree._Element | None, zigzags: Sequence[Zigzag], corner: str, to_quilt: Affine
) -> tuple[tuple[StandingSection, ...], tuple[tuple[etree._Element, Line], ...]]:
    """Every line of the fills layer goes to the section whose group holds it, or, lying elsewhere, to where it lies."""
    places = {section.name: section for section in _places(zigzags, corner)}
    groups: dict[str, etree._Element] = {}
    lines: dict[str, list[Line]] = {name: [] for name in places}
    elements: dict[str, list[etree._Element]] = {name: [] for name in places}
    loose: list[tuple[etree._Element, Line]] = []
    for element, place in [] if fills is None else elements_in(fills, transform_of(fills)):
        group = next((g for g in element.iterancestors() if g.get(f"{{{CW}}}part") == "section"), None)
        named = group.get(f"{{{CW}}}section", "") if group is not None else ""
        for drawn in lines_of(element):
            line = to_quilt.after(place).line(drawn)
            name = _home(line, places, named)
            if name is None:
                loose.append((element, line))
                continue
            lines[name].append(line)
            if element not in elements[name]:
                elements[name].append(element)
    for group in [] if fills is None else fills.iter(f"{{{SVG}}}g"):
        name = group.get(f"{{{CW}}}section", "")
        if group.get(f"{{{CW}}}part") == "section" and name in places:
            groups.setdefault(name, group)
    return tuple(
        StandingSection(section, groups.get(name), *_said(groups.get(name)), tuple(lines[name]), tuple(elements[name]))
        for name, section in places.items()
    ), tuple(loose)


def _home(line: Line, places: Mapping[str, Section], named: str) -> str | None:
    """The section a line belongs to: its group's if it lies there, else the one it lies in, else its group's."""
    points = flat(line)
    middle = points[len(points) // 2] if len(points) > 2 else Point(  # noqa: PLR2004
        (points[0].x + points[-1].x) / 2, (points[0].y + points[-1].y) / 2
    )  # fmt: skip
    if named in places and inside(middle, places[named].corners, ASTRAY):
        return named
    found = next((name for name, section in places.items() if inside(middle, section.corners, 0.0)), None)
    return found or (named if named in places else None)


def _said(group: etree._Element | None) -> tuple[str, float, str]:
    """What a section's group says of its fill: name, spacing, note."""
    if group is None:
        return "", math.nan, ""
    try:
        spacing = float(group.get(f"{{{CW}}}spacing-in", "nan"))
    except ValueError:
        spacing = math.nan
    return group.get(f"{{{CW}}}fill", ""), spacing, group.get(f"{{{CW}}}note", "")
