"""A drawn border read back from the document as it now stands, in inches of quilt.

What she moved, added or took out is what is read: zigzag, corner lines and fills come from
the paths, not from what was remembered. The recipe gives only what a drawing cannot show:
which kind of border it is, what was asked for, where the corners are of which kind.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn

from extension.gathering import StandingSection, gather, places_of, standing_sections
from extension.ground import Ground, read_ground, without_idle
from extension.record import Fitted, read_fitted
from geometry.errors import DrawingError
from geometry.fitting import Ask, SideFit
from geometry.graph import MEETING
from geometry.plane import Affine, Point, cross, distance, flat
from geometry.quilt import side_in_words
from geometry.sections import corner_lines
from geometry.tiers import stacked, turns
from geometry.zigzag import Zigzag, zigzag_along

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from geometry.plane import Line
    from geometry.quilt import Border, Side
    from geometry.sections import CornerStyle, Section


@dataclass(frozen=True, slots=True)
class Standing:
    """A border as it stands.

    Attributes:
        ground: where it lies, and what it was drawn with.
        zigzags: the zigzag of each side, as drawn.
        crossings: for each side the lines across the corner at its end, pivot outwards, as drawn.
        sections: all sections, side by side.
        loose: lines on the fills layer that lie in no section, and the elements they come from.
    """

    ground: Ground
    zigzags: tuple[Zigzag, ...]
    crossings: tuple[tuple[Line, ...], ...]
    sections: tuple[StandingSection, ...]
    loose: tuple[tuple[etree._Element, Line], ...]

    @property
    def layer(self) -> etree._Element:
        """Its layer in the document."""
        return self.ground.layer

    @property
    def options(self) -> Mapping[str, Any]:
        """The values it was drawn with, lengths in inches."""
        return self.ground.options

    @property
    def border(self) -> Border:
        """Its outlines."""
        return self.ground.border

    @property
    def place(self) -> Affine:
        """From inches of quilt to user units inside the layer."""
        return self.ground.place


def read_border(document: Document, layer: etree._Element, *, as_fitted: bool = False) -> Standing:
    """Read one border.

    With `as_fitted` the zigzag is the one that was fitted, whatever became of it by hand; so is what its sections are.

    Raises:
        QuiltError: it no longer is what a border looks like; the sentence says what is missing.
    """
    ground = read_ground(document, layer, grown_room=as_fitted, as_planned=as_fitted)
    zigzags, crossings, places = read_places(ground, as_fitted=as_fitted)
    gathered = gather(layer, {name: section.corners for name, section in places.items()}, ground.to_quilt)
    return Standing(ground, zigzags, crossings, standing_sections(gathered, places), tuple(gathered.loose))


def read_places(
    ground: Ground, *, as_fitted: bool = False
) -> tuple[tuple[Zigzag, ...], tuple[tuple[Line, ...], ...], dict[str, Section]]:
    """The zigzag of each side, the lines across the corner at its end, and the sections between them, by name.

    Raises:
        DrawingError: they no longer go together.
    """
    fitted, corner, border = read_fitted(ground.layer), ground.options["corner"], ground.border
    if as_fitted and all(side.name in fitted for side in border.sides):
        lowest = [zigzag_along(side, _fit(side, fitted[side.name])) for side in ground.bands[0].sides]
        zigzags = stacked(lowest, ground.bands)
        crossings = tuple(corner_lines(one, two, corner) for _, one, two in turns(zigzags))
    else:
        zigzags = _zigzags(ground, fitted)
        crossings = tuple(_crossings(ground, zigzags, corner))
    return zigzags, crossings, places_of(zigzags, crossings, corner)


def _zigzags(ground: Ground, fitted: Mapping[str, Fitted]) -> tuple[Zigzag, ...]:
    drawn: dict[str, list[Point]] = {}
    for name, line in ground.lines("zigzag", "side"):
        drawn.setdefault(name, []).extend(flat(line))
    found: list[Zigzag] = []
    for band in ground.bands:
        read = _joined([_zigzag(side, drawn.get(side.name, []), fitted.get(side.name)) for side in band.sides])
        found += read if not found else _on_points(read, found[-len(read) :])
    return tuple(found)


def _on_points(zigzags: Sequence[Zigzag], below: Sequence[Zigzag]) -> Iterator[Zigzag]:
    """The zigzags of a tier, its dots on the points of the tier below that they are meant to be at."""
    for one, under in zip(zigzags, below, strict=True):
        yield one._replace(dots=tuple(_snapped(dot, under.points) for dot in one.dots))


def _zigzag(side: Side, drawn: Sequence[Point], known: Fitted | None) -> Zigzag:
    """The zigzag of a side, from pivot to pivot whichever way it was drawn."""
    nodes = without_idle(drawn, min(MEETING, side.height / 10))
    if distance(nodes[0], side.start) > distance(nodes[-1], side.start):
        nodes = nodes[::-1]
    turned = (side.turned_start, side.turned_end)
    fewest, odd = (2, 0) if turned[0] != turned[1] else (3, 1)
    if len(nodes) < fewest or len(nodes) % 2 != odd:
        _no_zigzag(side, f"has {len(nodes)} points")
    heights = [-cross(side.ahead, node.minus(side.seam_start)) for node in nodes]
    half = sorted(heights)[-(len(nodes) // 2 + 1) // 2] / 2
    for number, height in enumerate(heights):
        if (height > half) != bool((number + side.turned_start) % 2):
            _no_zigzag(side, f"is across the middle of the border at its point number {number + 1}")
    nodes = [_snapped(nodes[0], (side.start,)), *nodes[1:-1], _snapped(nodes[-1], (side.end,))]
    count = (len(nodes) - 1) / 2 if turned[0] != turned[1] else len(nodes) // 2
    even = side.length / count
    alike = SideFit(Ask(side.length, side.height, even, turned), count, "even", even, 0, even)
    fit = _fit(side, known) if known is not None and known.triangles == count else alike
    first = int(side.turned_start)
    return Zigzag(side, fit, tuple(nodes[first::2]), tuple(nodes[1 - first :: 2]))


def _no_zigzag(side: Side, found: str) -> NoReturn:
    raise DrawingError(
        f"The zigzag of {side_in_words(side.name)} {found}; it must go from pivot to pivot, seam to stop line and back: "
        "please undo the change, or draw the border again."
    )


def _joined(zigzags: Sequence[Zigzag]) -> tuple[Zigzag, ...]:
    """Where one side ends and the next begins nearly there, they meet in one point."""
    joined = []
    for before, one in zip((zigzags[-1], *zigzags[:-1]), zigzags, strict=True):
        if one.side.open_start:
            joined.append(one)
            continue
        turned = one.side.turned_start
        start = _snapped(one.line[0], (before.line[-1],))
        dots = one.dots if turned else (start, *one.dots[1:])
        joined.append(one._replace(dots=dots, points=(start, *one.points[1:]) if turned else one.points))
    return tuple(joined)


def _fit(side: Side, known: Fitted) -> SideFit:
    """What was fitted on a side, as much larger or smaller as the side is now."""
    share = side.length / known.length
    dots = tuple(place * share for place in known.dots)
    if dots and not side.turned_end:
        dots = (*dots[:-1], side.length)
    return SideFit(
        Ask(side.length, side.height, known.asked * share, (side.turned_start, side.turned_end)), known.triangles,
        "marks" if dots else "ease" if known.each else "even",
        known.repeat * share, known.each, known.eased * share, dots, tuple(place * share for place in known.points),
    )  # fmt: skip


def _snapped(point: Point, places: Iterable[Point]) -> Point:
    """A point, or the place it is meant to be at."""
    nearest = min(places, key=lambda place: distance(place, point), default=point)
    return nearest if distance(nearest, point) <= MEETING else point


def _crossings(ground: Ground, zigzags: Sequence[Zigzag], corner: CornerStyle) -> Iterator[tuple[Line, ...]]:
    """The lines across each corner; each belongs to the pivot nearest to its beginning."""
    found: dict[int, list[Line]] = {}
    pivots = [zigzag.line[-1] for zigzag in zigzags]
    # a line that opens a strip follows from its pivot
    pivots += [zigzag.line[0] for zigzag in zigzags if zigzag.side.open_start]
    # where there are tiers, it may end at the pivot of the one above
    across = [zigzag.side.far_end for zigzag in zigzags]
    across += [zigzag.side.far_start for zigzag in zigzags if zigzag.side.open_start]
    tiers = ground.options["tiers"]

    def off(line: Line, number: int) -> float:
        return distance(line[0], pivots[number]) + (distance(line[-1], across[number]) if tiers > 1 else 0.0)

    for _, line in ground.lines("zigzag", "corner-line"):
        points = flat(line)
        ways = ((way, i) for i in range(len(pivots)) for way in (points, points[::-1]))
        points, number = min(ways, key=lambda way: off(*way))
        found.setdefault(number, []).append(points)
    for number, (_, one, two) in enumerate(turns(zigzags)):
        ends = [line[-1] for line in corner_lines(one, two, corner)]
        drawn = found.get(number, [])
        if len(drawn) != len(ends):
            raise DrawingError(
                f"The corner after {side_in_words(one.side.name)} has {len(drawn)} lines across it; a {corner} corner has "
                f"{len(ends)}: please undo the change, or draw the border again."
            )
        # in the order the corner's pieces lie
        lines = min(
            itertools.permutations(drawn),
            key=lambda lines: sum(distance(line[-1], end) for line, end in zip(lines, ends, strict=True)),
        )
        yield tuple((_snapped(line[0], (one.line[-1],)), *line[1:-1], _snapped(line[-1], ends)) for line in lines)
