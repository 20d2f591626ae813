"""A drawn border read back from the document as it now stands, in inches of quilt.

What she moved, added or took out is what is read: zigzag, corner lines and fills come from
the paths, not from what was remembered. The recipe gives only what a drawing cannot show:
which kind of border it is, what was asked for, where the corners are of which kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from extension.gathering import StandingSection, gather, places_of, standing_sections
from extension.ground import Ground, child_of, read_ground
from extension.record import Fitted, read_fitted
from geometry.errors import DrawingError
from geometry.fitting import Ask, SideFit
from geometry.graph import MEETING
from geometry.plane import Affine, Point, distance, flat
from geometry.sections import corner_lines
from geometry.zigzag import Zigzag, zigzag_along

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from geometry.plane import Line
    from geometry.quilt import Border, Side


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
    ground = read_ground(document, layer, as_fitted=as_fitted)
    fitted, corner, border = read_fitted(layer), ground.options["corner"], ground.border
    if as_fitted and all(side.name in fitted for side in border.sides):
        zigzags = tuple(zigzag_along(side, _fit(side, fitted[side.name])) for side in border.sides)
        following = (*zigzags[1:], zigzags[0])
        crossings = tuple(corner_lines(a, b, corner) for a, b in zip(zigzags, following, strict=True))
    else:
        zigzags = tuple(_zigzags(ground, fitted))
        crossings = tuple(_crossings(ground, zigzags, corner))
    places = {name: section.corners for name, section in places_of(zigzags, corner).items()}
    gathered = gather(child_of(layer, "fills"), places, ground.to_quilt)
    sections = standing_sections(gathered, zigzags, corner)
    return Standing(ground, zigzags, crossings, sections, tuple(gathered.loose))


def _zigzags(ground: Ground, fitted: Mapping[str, Fitted]) -> Iterator[Zigzag]:
    drawn: dict[str, list[Point]] = {}
    for name, line in ground.lines("zigzag", "side"):
        drawn.setdefault(name, []).extend(flat(line))
    for side in ground.border.sides:
        nodes = _without_idle(drawn.get(side.name, []))
        if len(nodes) < 3 or len(nodes) % 2 == 0:  # noqa: PLR2004
            raise DrawingError(
                f"The zigzag of the {side.name} side has {len(nodes)} points; it must go from pivot to pivot, seam to edge "
                "and back: please undo the change, or draw the border again."
            )
        nodes = [_snapped(nodes[0], (side.start,)), *nodes[1:-1], _snapped(nodes[-1], (side.end,))]
        count, known = len(nodes) // 2, fitted.get(side.name)
        even = SideFit(
            Ask(side.length, side.height, side.length / count),
            count,
            "even",
            side.length / count,
            0,
            side.length / count,
        )
        fit = _fit(side, known) if known is not None and known.triangles == count else even
        yield Zigzag(side, fit, tuple(nodes[::2]), tuple(nodes[1::2]))


def _fit(side: Side, known: Fitted) -> SideFit:
    """What was fitted on a side, as much larger or smaller as the side is now."""
    share = side.length / known.length
    dots = (*(place * share for place in known.dots[:-1]), side.length) if known.dots else ()
    return SideFit(
        Ask(side.length, side.height, known.asked * share), known.triangles,
        "marks" if dots else "ease" if known.each else "even",
        known.repeat * share, known.each, known.eased * share, dots, tuple(place * share for place in known.points),
    )  # fmt: skip


def _without_idle(nodes: Sequence[Point]) -> list[Point]:
    """The turns of a line: points on a straight way between their neighbours left out."""
    kept: list[Point] = []
    for i, node in enumerate(nodes):
        if kept and distance(kept[-1], node) < 1e-9:  # noqa: PLR2004 - inches
            continue
        if kept and i + 1 < len(nodes):
            before, after = node.minus(kept[-1]), nodes[i + 1].minus(node)
            turn = abs(before.x * after.y - before.y * after.x)
            forth = before.x * after.x + before.y * after.y
            if forth > 0 and turn < 1e-6 * math.hypot(*before) * math.hypot(*after):
                continue
        kept.append(node)
    return kept


def _snapped(point: Point, places: Iterable[Point]) -> Point:
    """A point, or the place it is meant to be at."""
    nearest = min(places, key=lambda place: distance(place, point), default=point)
    return nearest if distance(nearest, point) <= MEETING else point


def _crossings(ground: Ground, zigzags: Sequence[Zigzag], corner: str) -> Iterator[tuple[Line, ...]]:
    """The lines across each corner; each belongs to the pivot nearest to its beginning."""
    found: dict[int, list[Line]] = {}
    pivots = [zigzag.side.end for zigzag in zigzags]
    for _, line in ground.lines("zigzag", "corner-line"):
        points = flat(line)
        number = min(range(len(pivots)), key=lambda i: min(distance(pivots[i], p) for p in (points[0], points[-1])))
        if distance(points[-1], pivots[number]) < distance(points[0], pivots[number]):
            points = points[::-1]
        found.setdefault(number, []).append(points)
    for number, (one, two) in enumerate(zip(zigzags, (*zigzags[1:], zigzags[0]), strict=True)):
        meant = corner_lines(one, two, corner)  # type: ignore[arg-type]
        drawn = found.get(number, [])
        if len(drawn) != len(meant):
            raise DrawingError(
                f"The corner after the {one.side.name} side has {len(drawn)} lines across it; a {corner} corner has "
                f"{len(meant)}: please undo the change, or draw the border again."
            )
        # in the order the corner's pieces lie
        drawn.sort(key=lambda line: min(range(len(meant)), key=lambda i: distance(line[-1], meant[i][-1])))
        ends = [line[-1] for line in meant]
        yield tuple((_snapped(line[0], (one.side.end,)), *line[1:-1], _snapped(line[-1], ends)) for line in drawn)
