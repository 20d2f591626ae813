"""Which line belongs to which section: what she drew, copied, ungrouped or combined is taken for where it lies."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from extension.document import SVG, value_of
from extension.layers import child_layer
from extension.shapes import elements_in, transform_of
from geometry.lengths import LONGEST_IN
from geometry.plane import along, distance, flat, inside
from geometry.sections import corner_lines, corner_sections, sections_along

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from lxml import etree

    from extension.shapes import Reader
    from geometry.plane import Affine, Line, Point
    from geometry.sections import CornerStyle, Section
    from geometry.zigzag import Zigzag

ASTRAY = 0.05
"""Inches a line may reach out of its own section and still be meant for it."""

SPOTS = 8
"""Places along a line at which it is asked where it lies."""

FARTHEST = 10 * LONGEST_IN
"""Inches from the quilt's corner beyond which nothing is looked at."""

STITCHED = frozenset({"side", "corner-line"})
"""What the tool draws on the zigzag layer; anything else there is hers."""


@dataclass(frozen=True, slots=True)
class StandingSection:
    """One section as it stands.

    Attributes:
        section: where it is, from the zigzag as drawn.
        group: its group; None if that is gone.
        fill_name, spacing, note: what it says of itself.
        lines: whatever lies in it to be stitched.
        elements: the elements those lines come from, each with the names of all sections that it runs through.
    """

    section: Section
    group: etree._Element | None
    fill_name: str
    spacing: float
    note: str
    lines: tuple[Line, ...]
    elements: Mapping[etree._Element, AbstractSet[str]]


def _places(zigzags: Sequence[Zigzag], crossings: Sequence[Sequence[Line]], corner: CornerStyle) -> Iterator[Section]:
    """The sections between the lines as drawn; the pieces of a corner lie between the lines drawn across it."""
    for number, (one, two) in enumerate(zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)):
        yield from sections_along(one)
        drawn = {one.side.end: one.dots[-1]}
        drawn.update(
            (meant[-1], line[-1]) for meant, line in zip(corner_lines(one, two, corner), crossings[number], strict=True)
        )
        for section in corner_sections(one, two, corner, number):
            yield replace(section, corners=tuple(drawn.get(point, point) for point in section.corners))


def gather(
    reader: Reader,
    layer: etree._Element,
    zigzags: Sequence[Zigzag],
    crossings: Sequence[Sequence[Line]],
    corner: CornerStyle,
    to_quilt: Affine,
) -> tuple[tuple[StandingSection, ...], tuple[Line, ...]]:
    """Every line drawn goes to the section whose group holds it, or, lying elsewhere, to where it lies.

    Args:
        reader: reads the elements.
        layer: the border's.
        zigzags: the zigzag of each side, as drawn.
        crossings: for each side the lines across the corner at its end, as drawn.
        corner: how the corners are turned.
        to_quilt: from user units of the border's layer to inches of quilt.

    Returns:
        The sections, and the lines that lie in none.
    """
    places = {section.name: section for section in _places(zigzags, crossings, corner)}
    map_ = _Map(tuple(places.values()))
    lines: dict[str, list[Line]] = {name: [] for name in places}
    elements: dict[str, dict[etree._Element, set[str]]] = {name: {} for name in places}
    loose: list[Line] = []
    for element, place in _lines_drawn(layer):
        group = next((g for g in element.iterancestors() if value_of(g, "part") == "section"), None)
        named = places.get(value_of(group, "section")) if group is not None else None
        through: set[str] = set()
        for line in reader.lines_of(element):
            moved = to_quilt.after(place).line(line)
            name, also = map_.home(moved, named)
            if name is None:
                loose.append(moved)
                continue
            through |= also
            lines[name].append(moved)
            elements[name][element] = through
    groups = _groups(layer)
    return tuple(
        StandingSection(section, groups.get(name), *_said(groups.get(name)), tuple(lines[name]), elements[name])
        for name, section in places.items()
    ), tuple(loose)


def _lines_drawn(layer: etree._Element) -> Iterator[tuple[etree._Element, Affine]]:
    """Whatever may be the line of a fill: the shapes on the fills layer, and those she drew on the zigzag's by mistake."""
    for part in ("fills", "zigzag"):
        group = child_layer(layer, part)
        for element, place in [] if group is None else elements_in(group, transform_of(group)):
            if part == "fills" or value_of(element, "part") not in STITCHED:
                yield element, place


def _groups(layer: etree._Element) -> dict[str, etree._Element]:
    """The group of each section by its name; of several the first."""
    found: dict[str, etree._Element] = {}
    fills = child_layer(layer, "fills")
    for group in () if fills is None else fills.iter(f"{{{SVG}}}g"):
        if value_of(group, "part") == "section":
            found.setdefault(value_of(group, "section"), group)
    return found


class _Map:
    """Where the sections lie, to look up which of them a line belongs to."""

    def __init__(self, sections: Sequence[Section]) -> None:
        """Note the sections in a grid about as fine as they are."""
        self._cell = (
            max((max(c.x for c in s.corners) - min(c.x for c in s.corners) for s in sections), default=1.0) or 1.0
        )
        self._cells: dict[tuple[int, int], list[Section]] = {}
        for section in sections:
            columns, rows = ({self._number(v) for v in values} for values in zip(*section.corners, strict=True))
            for cell in itertools.product(range(min(columns), max(columns) + 1), range(min(rows), max(rows) + 1)):
                self._cells.setdefault(cell, []).append(section)

    def _number(self, value: float) -> int:
        return math.floor(value / self._cell)

    def home(self, line: Line, named: Section | None) -> tuple[str | None, AbstractSet[str]]:
        """The section a line belongs to: its group's if half of it lies there, else the one that holds most of it.

        Returns:
            Its name, None if the line lies in no section; and the names of all sections that hold a good part of it.
        """
        if not all(abs(value) < FARTHEST for point in line for value in point):
            return None, set()
        spots = _spots(flat(line))
        astray = [spot for spot in spots if named is None or not inside(spot, named.corners, ASTRAY)]
        found = Counter(
            section.name
            for spot in astray
            for section in self._cells.get((self._number(spot.x), self._number(spot.y)), ())
            if inside(spot, section.corners)
        )
        if named is not None:
            found[named.name] += len(spots) - len(astray)
            if 2 * found[named.name] >= len(spots) or len(found) == 1:
                found[named.name] += len(spots)
        if not found:
            return None, set()
        name = found.most_common(1)[0][0]
        return name, {name, *(other for other, count in found.items() if 4 * count > len(spots))}


def _spots(line: Line) -> list[Point]:
    """Some places along a line of straight pieces, evenly spread, its ends not among them."""
    steps = [distance(one, other) for one, other in itertools.pairwise(line)]
    long, gone, number = sum(steps), 0.0, 0
    spots: list[Point] = []
    for (one, other), step in zip(itertools.pairwise(line), steps, strict=True):
        while number < SPOTS and (number + 0.5) * long <= SPOTS * (gone + step):
            share = ((number + 0.5) * long / SPOTS - gone) / step if step else 0.0
            spots.append(along(one, other, share))
            number += 1
        gone += step
    return spots or [line[0]]


def _said(group: etree._Element | None) -> tuple[str, float, str]:
    """What a section's group says of its fill: name, spacing, note."""
    if group is None:
        return "", math.nan, ""
    try:
        spacing = float(value_of(group, "spacing-in") or "nan")
    except ValueError:
        spacing = math.nan
    return value_of(group, "fill"), spacing, value_of(group, "note")
