"""Which line belongs to which section: what she drew, copied, ungrouped or combined is taken for where it lies."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from extension.document import INKSCAPE, SVG, value_of
from extension.layers import child_layer
from extension.shapes import GROUPS, Reader, called, elements_in, tag, to_ancestor, transform_of
from geometry.errors import DrawingError
from geometry.lengths import LONGEST_IN
from geometry.plane import Curve, along, area_of, distance, flat, inside
from geometry.sections import corner_lines, corner_sections, sections_along
from geometry.tiers import turns

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from collections.abc import Set as AbstractSet

    from lxml import etree

    from geometry.plane import Affine, Line, Point
    from geometry.sections import CornerStyle, Section
    from geometry.zigzag import Zigzag

ASTRAY = 0.05
"""Inches a line may reach out of its own section and still be meant for it."""

SPOTS = 8
"""Places along a line at which it is asked where it lies."""

DENSEST = 64
"""Inches of line to the square inch: twice what the closest spacing gives; more is a scan, or a slip."""

NOTHING = 1e-9
"""Inches of line that are none: a dot, or whatever was flattened."""

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


class Gathered(NamedTuple):
    """Lines, in inches of quilt, and the elements they come from, by the names of sections; and those of no section.

    Each element comes with the names of all sections that it runs through. `groups` are the sections' own groups.
    """

    lines: dict[str, list[Line]]
    elements: dict[str, dict[etree._Element, AbstractSet[str]]]
    groups: dict[str, etree._Element]
    loose: list[tuple[etree._Element, Line]]


def places_of(
    zigzags: Sequence[Zigzag], crossings: Sequence[Sequence[Line]], corner: CornerStyle
) -> dict[str, Section]:
    """The sections between zigzags, by name; the pieces of a corner lie between the lines drawn across it."""
    found = {}
    for (number, one, two), across in zip(turns(zigzags), crossings, strict=True):
        drawn = {one.side.end: one.line[-1]}
        drawn.update((meant[-1], line[-1]) for meant, line in zip(corner_lines(one, two, corner), across, strict=True))
        for section in sections_along(one):
            found[section.name] = section
        for section in corner_sections(one, two, corner, number):
            corners = tuple(drawn.get(point, point) for point in section.corners)
            found[section.name] = section._replace(corners=corners)
    return found


def gather(layer: etree._Element, places: Mapping[str, Line], to_quilt: Affine) -> Gathered:
    """Every line drawn goes to the section whose group holds it, or, lying elsewhere, to where it lies.

    Args:
        layer: the border's.
        places: the corners of each section, by name, in inches of quilt.
        to_quilt: from user units inside the border's layer to inches of quilt.
    """
    reader, map_ = Reader(layer.getroottree().getroot()), _Map(places)
    room = {name: DENSEST * area_of(corners) for name, corners in places.items()}
    left = sum(room.values())
    found = Gathered({name: [] for name in places}, {name: {} for name in places}, groups_in(layer), [])
    for element, place in _lines_drawn(layer):
        group = next((g for g in element.iterancestors() if value_of(g, "part") == "section"), None)
        named = value_of(group, "section") if group is not None else ""
        through: set[str] = set()
        for line in reader.lines_of(element):
            moved = to_quilt.after(place).line(line)
            # of a curve, its controls are no shorter way
            long = math.fsum(map(math.dist, moved, moved[1:]))
            if long < NOTHING:
                continue
            name = ""
            also: AbstractSet[str] = set()
            if max(map(max, moved)) < FARTHEST and min(map(min, moved)) > -FARTHEST:
                left -= long
                if left < 0:
                    _too_dense(called(element), "the border")
                name, also = map_.home(moved, named if named in places else "")
            if not name:
                found.loose.append((element, moved))
                continue
            through |= also
            room[name] -= long
            if room[name] < 0:
                _too_dense(called(element), name)
            found.lines[name].append(moved)
            found.elements[name][element] = through
    return found


def _too_dense(element: str, where: str) -> NoReturn:
    raise DrawingError(
        f"With “{element}” there is more than {DENSEST} in of line to the square inch in {where}; that would cut the quilt: "
        "please take some of it out."
    )


def _lines_drawn(layer: etree._Element) -> Iterator[tuple[etree._Element, Affine]]:
    """Whatever may be the line of a fill: on the fills layer, on the zigzag's by mistake, in sections that went elsewhere."""
    for part in ("fills", "zigzag"):
        group = child_layer(layer, part)
        for element, place in [] if group is None else elements_in(group, transform_of(group)):
            if part == "fills" or value_of(element, "part") not in STITCHED:
                yield element, place
    for group in strays(layer):
        yield from elements_in(group, to_ancestor(group, layer))


def groups_in(layer: etree._Element) -> dict[str, etree._Element]:
    """The groups of sections, the first of each name."""
    groups: dict[str, etree._Element] = {}
    for place in (child_layer(layer, "fills"), *strays(layer)):
        for group in [] if place is None else place.iter(f"{{{SVG}}}g"):
            if value_of(group, "part") == "section":
                groups.setdefault(value_of(group, "section"), group)
    return groups


def strays(layer: etree._Element) -> list[etree._Element]:
    """Groups on other layers that hold a section of this border: it was grouped with a line drawn there, or moved there.

    They are known by the ids that the sections of this border have, and only where the border has lost that section.
    """
    fills = child_layer(layer, "fills")
    if fills is None:
        return []
    before = str(fills.get("id")).removesuffix("-fills")
    here = {value_of(group, "section") for group in fills.iter(f"{{{SVG}}}g")}
    found: dict[etree._Element, None] = {}
    for group in layer.getroottree().getroot().iter(f"{{{SVG}}}g"):
        name = value_of(group, "section")
        if name and name not in here and group.get("id") == f"{before}-{name}":
            around = [group]
            for parent in group.iterancestors():
                if tag(parent) != "g" or parent.get(f"{{{INKSCAPE}}}groupmode") == "layer":
                    break
                around.append(parent)
            on_page = all(tag(parent) in GROUPS for parent in group.iterancestors())
            if on_page and not any(value_of(parent, "part") == "border" for parent in group.iterancestors()):
                found[around[-1]] = None
    return list(found)


def standing_sections(gathered: Gathered, places: Mapping[str, Section]) -> tuple[StandingSection, ...]:
    """The sections with what was gathered for them."""
    return tuple(
        StandingSection(
            section, gathered.groups.get(name), *said(gathered.groups.get(name)), tuple(gathered.lines[name]),
            gathered.elements[name],
        )
        for name, section in places.items()
    )  # fmt: skip


class _Map:
    """Where the sections lie, to look up which of them a line belongs to."""

    def __init__(self, places: Mapping[str, Line]) -> None:
        """Note the sections in a grid about as fine as they are."""
        self._places = places
        wide = (max(c.x for c in corners) - min(c.x for c in corners) for corners in places.values())
        self._cell = max(wide, default=1.0) or 1.0
        self._cells: dict[tuple[int, int], list[str]] = {}
        for name, corners in places.items():
            columns, rows = ({self._number(v) for v in values} for values in zip(*corners, strict=True))
            for cell in itertools.product(range(min(columns), max(columns) + 1), range(min(rows), max(rows) + 1)):
                self._cells.setdefault(cell, []).append(name)

    def _number(self, value: float) -> int:
        return math.floor(value / self._cell)

    def home(self, line: Line, named: str) -> tuple[str, AbstractSet[str]]:
        """The section a line belongs to: its group's if half of it lies there, else the one that holds most of it.

        Returns:
            Its name, empty if the line lies in no section; and the names of all sections that hold a good part of it.
        """
        corners = self._places.get(named, ())
        if len(corners) == 3 and len(line) <= SPOTS and all(inside(p, corners, ASTRAY) for p in line):  # noqa: PLR2004
            return named, {named}  # bent sections may be hollow, so more places are looked at
        curved = isinstance(line, Curve)
        # of a long chain the nodes alone tell the way
        spots = _spots(line[::3] if curved and len(line) > 3 * SPOTS * SPOTS else flat(line))
        astray = [spot for spot in spots if not named or not inside(spot, corners, ASTRAY)]
        found = Counter(
            name
            for spot in astray
            for name in self._cells.get((self._number(spot.x), self._number(spot.y)), ())
            if inside(spot, self._places[name])
        )
        if named:
            found[named] += len(spots) - len(astray)
            if 2 * found[named] >= len(spots) or len(found) == 1:
                found[named] += len(spots)
        if not found:
            return "", set()
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


def said(group: etree._Element | None) -> tuple[str, float, str]:
    """What a section's group says of its fill: name, spacing, note."""
    if group is None:
        return "", math.nan, ""
    try:
        spacing = float(value_of(group, "spacing-in") or "nan")
    except ValueError:
        spacing = math.nan
    return value_of(group, "fill"), spacing, value_of(group, "note")
