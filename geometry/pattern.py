"""A border as it stands, whoever drew it: what a printed pattern is made from.

A `Pattern` holds what lies on the quilt, in inches, the hand's changes included, and says
nothing of how it came there. It is filled from a plan here, or from a drawn document.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from geometry.plane import Affine, cross, distance
from geometry.quilt import side_and_tier
from geometry.zigzag import woven

if TYPE_CHECKING:
    from collections.abc import Iterable

    from geometry.fitting import SideFit
    from geometry.needle import Run
    from geometry.order import Order
    from geometry.plan import BorderPlan
    from geometry.plane import Line, Point
    from geometry.quilt import Kind, Side
    from geometry.sections import Base, CornerStyle


@dataclass(frozen=True, slots=True)
class DrawnSection:
    """One section with its lines as drawn.

    Attributes:
        corners: as in `Section.corners`: the base from left to right seen from the centre, then the tip; or four.
        lines: the fill, straight or curved; none when it was left out or taken out by hand.
        edited: the hand has changed the lines since they were drawn.
    """

    name: str
    side: str
    place: int
    base: Base
    corners: Line
    fill_name: str
    spacing: float
    lines: tuple[Line, ...]
    edited: bool = False

    @property
    def area(self) -> float:
        """Square inches inside the corners."""
        total = sum(
            cross(one, two) for one, two in zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True)
        )
        return abs(total) / 2


@dataclass(frozen=True, slots=True)
class DrawnSide:
    """One side as drawn, clockwise.

    Attributes:
        dots, points: on the border seam from pivot to pivot, and on the stop line.
        stop_start, stop_end: the outer corners of the stop line on either hand.
        crossings: the lines across the corner at its end, pivot outwards.
        width, height: border seam to trimmed edge, and to the stop line.
        fit: what was fitted when it was drawn.
        lies: where its seam and stop line lie, and how it ends.
    """

    name: str
    dots: Line
    points: Line
    stop_start: Point
    stop_end: Point
    crossings: tuple[Line, ...]
    width: float
    height: float
    fit: SideFit
    lies: Side

    @property
    def level(self) -> Affine:
        """The turn that lays the side level: its first pivot's foot at the origin, the seam to the right, the edge upwards."""
        if self._turned:
            start, ahead = self.lies.on_seam(0.0), self.lies.ahead
        else:
            start = self.dots[0]
            ahead = self.dots[-1].minus(start).times(1 / self.length)
        return Affine(ahead.x, ahead.y, -ahead.y, ahead.x, start.x, start.y).inverse()

    @property
    def length(self) -> float:
        """Inches from pivot to pivot, along the seam."""
        return self.lies.length if self._turned else distance(self.dots[0], self.dots[-1])

    @property
    def _turned(self) -> bool:
        return self.lies.turned_start or self.lies.turned_end

    @property
    def zigzag(self) -> Line:
        """Dot, point, dot, … from pivot to pivot."""
        return woven(self.dots, self.points, points_first=self.lies.turned_start)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A whole border as drawn, in inches of quilt from the top left corner of its edge.

    Attributes:
        edge, seam, stop_line: corners clockwise, none repeated; corner i of `seam` is where side i begins.
        room: inches kept free for the binding; 0 on an inner border.
        runs: how it is stitched, in this order.
    """

    kind: Kind
    edge: Line
    seam: Line
    stop_line: Line
    room: float
    corner: CornerStyle
    order: Order
    sides: tuple[DrawnSide, ...]
    sections: tuple[DrawnSection, ...]
    runs: tuple[Run, ...]
    _by_name: dict[str, DrawnSection] = field(default_factory=dict, repr=False, compare=False)

    def section(self, name: str) -> DrawnSection:
        """The section of that name."""
        if not self._by_name:
            self._by_name.update({section.name: section for section in self.sections})
        return self._by_name[name]

    def of(self, side: str, base: str) -> tuple[DrawnSection, ...]:
        """The sections of a side on the seam (`inner`), on the stop line (`outer`) or at its corner, in order."""
        return tuple(section for section in self.sections if section.side == side and section.base == base)

    @property
    def reached(self) -> str:
        """What the points reach, in words: an inner border has no room for a binding, and so no stop line of its own."""
        return "stop line" if self.kind == "outer" else "outer seam"

    def rows(self, side: str) -> tuple[str, str]:
        """The lines on which the dots and the points of a side lie, in words; between two tiers that is no seam."""
        tier, highest = side_and_tier(side)[1], self.tiers
        names = [f"line between tiers {one} and {one + 1}" for one in range(1, highest)]
        between = names if len(names) > 1 else ["line between the tiers"] * len(names)
        lines = ("border seam", *between, self.reached)
        return lines[tier - 1], lines[tier]

    def base_line(self, sections: Iterable[str], base: str) -> str:
        """The line on which the bases of some triangles, of whatever sides, lie, in words."""
        found = dict.fromkeys(self.rows(self.section(name).side)[base == "outer"] for name in sections)
        return " or ".join(found)

    def beside(self, side: DrawnSide) -> tuple[DrawnSide, DrawnSide]:
        """The sides before and after one, in its tier."""
        tier = side_and_tier(side.name)[1]
        band = [one for one in self.sides if side_and_tier(one.name)[1] == tier]
        number = band.index(side)
        return band[number - 1], band[(number + 1) % len(band)]

    @property
    def tiers(self) -> int:
        """Bands of zigzags one above the other."""
        return max(side_and_tier(side.name)[1] for side in self.sides)

    @property
    def wide(self) -> float:
        """Inches of the quilt from left to right."""
        return max(corner.x for corner in self.edge) - min(corner.x for corner in self.edge)

    @property
    def tall(self) -> float:
        """Inches of the quilt from top to bottom."""
        return max(corner.y for corner in self.edge) - min(corner.y for corner in self.edge)


def pattern_of(plan: BorderPlan) -> Pattern:
    """The pattern of a border just planned, nothing of it changed by hand."""
    request, border = plan.request, plan.border
    sides = tuple(
        DrawnSide(
            zigzag.side.name, zigzag.dots, zigzag.points, zigzag.side.stop_start, zigzag.side.stop_end, lines, width,
            zigzag.side.height, zigzag.fit, zigzag.side,
        )
        for zigzag, lines, width in zip(plan.zigzags, plan.corner_lines, border.widths * request.tiers, strict=True)
    )  # fmt: skip
    # strips are told from where the first begins, as they are stitched
    first = next((i for i, side in enumerate(border.sides) if side.open_start), 0)
    count = len(border.sides)
    bands = (sides[start : start + count] for start in range(0, len(sides), count))
    sides = tuple(side for band in bands for side in (*band[first:], *band[:first]))
    sections = tuple(
        DrawnSection(
            filled.section.name, filled.section.side, filled.section.place, filled.section.base,
            filled.section.corners, filled.fill_name, filled.fill.spacing, filled.fill.lines,
        )
        for filled in plan.sections
    )  # fmt: skip
    return Pattern(
        border.kind, border.edge, border.seam, border.stop_line, border.room, request.corner, request.order, sides,
        sections, plan.runs(),
    )  # fmt: skip
