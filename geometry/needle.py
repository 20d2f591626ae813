"""Runs, and the needle that lays them leg by leg."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import DrawingError
from geometry.graph import MEETING
from geometry.lengths import about
from geometry.plane import Point, distance, flat, length_of
from geometry.route import Route, Web, web
from geometry.trail import Leg, measured

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from geometry.fills.shape import FilledSection
    from geometry.graph import Kind
    from geometry.plane import Line
    from geometry.sections import Section

JUMP = 2 * MEETING
"""Inches between the end of one leg and the beginning of the next that are more than lines meeting."""

SAME_COST = 1e-6
"""Inches of extra within which two ways cost the same; the more usual one is taken."""


class Strip(NamedTuple):
    """The zigzag of one side: dots on the seam from pivot to pivot, points on the stop line, and what follows it.

    Attributes:
        crossings: the lines across the corner at its end, pivot outwards.
        sections: the filled sections of the side, in order: on the seam, on the stop line, corner pieces.
    """

    name: str
    dots: Line
    points: Line
    crossings: tuple[Line, ...]
    sections: tuple[FilledSection, ...]

    def of(self, base: str) -> list[FilledSection]:
        """Its sections on the seam (`inner`), on the stop line (`outer`) or at the corner."""
        return [filled for filled in self.sections if filled.section.base == base]


class Visit(NamedTuple):
    """Where the run begins a section."""

    section: str
    at: Point


@dataclass(frozen=True, slots=True)
class Run:
    """One unbroken line of stitching: one start, one stop.

    Attributes:
        name: what it stitches, in words.
        legs: the way in order; each begins where the last ended.
        visits: the sections in the order they are begun.
        extra, bound: weighted inches of stitching over and travel, and the sum of what each part cannot undercut.
        unreached: lines of the sections it should stitch that no line or seam leads to.
    """

    name: str
    legs: tuple[Leg, ...]
    visits: tuple[Visit, ...]
    extra: float
    bound: float
    unreached: tuple[Line, ...] = ()

    @property
    def line(self) -> Line:
        """The whole way as one line."""
        points: list[Point] = list(self.legs[0].line)
        for leg in self.legs[1:]:
            points += leg.line[1:]
        return tuple(points)

    @property
    def length(self) -> float:
        """Inches from start to stop."""
        return sum(length_of(leg.line) for leg in self.legs)

    @property
    def over(self) -> float:
        """Inches stitched over an earlier line."""
        return measured(self.legs, "over")

    @property
    def travel(self) -> float:
        """Inches travelled along seams."""
        return measured(self.legs, "travel")


@dataclass
class Needle:
    """Gathers a run while it is being laid; congruent sections are routed once."""

    outer_seam: bool
    travel: float
    legs: list[Leg] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)
    unreached: list[Line] = field(default_factory=list)
    extra: float = 0.0
    bound: float = 0.0
    _webs: dict[tuple[int, bool], Web] = field(default_factory=dict)
    _routes: dict[tuple[int, Point, Point, bool], Route] = field(default_factory=dict)

    def go(self, legs: Iterable[Leg], extra: float = 0.0, bound: float = 0.0) -> None:
        """Go on along some legs.

        Raises:
            DrawingError: the first does not begin where the needle is.
        """
        for leg in legs:
            if self.legs:
                _check_gap(self.legs[-1].line[-1], leg.line[0])
            if self.legs and self.legs[-1].how == leg.how:
                self.legs[-1] = Leg(leg.how, (*self.legs[-1].line, *leg.line[1:]))
            else:
                self.legs.append(leg)
        self.extra += extra
        self.bound += bound

    def line(self, *points: Point) -> None:
        """Stitch a new straight line on."""
        self.go([Leg("stitch", points)])

    def out_and_back(self, line: Line) -> None:
        """Stitch a line out and home again over itself."""
        self.go([Leg("stitch", line), Leg("over", line[::-1])], length_of(line), length_of(line))

    def fill(self, filled: FilledSection, entry: Point, leave: Point) -> None:
        """Stitch a section's fill."""
        back = filled.place.inverse()
        found = self._route(filled, back.at(entry), back.at(leave))
        if filled.fill.lines:
            self.visits.append(Visit(filled.section.name, entry))
        place = filled.place
        self.go((Leg(leg.how, place.line(leg.line)) for leg in found.legs), found.extra, found.bound)
        self.unreached += [place.line(line) for line in found.unreached]

    def cost(self, filled: FilledSection, entry: Point, leave: Point) -> float:
        """The extra of stitching a section's fill; lines that cannot be reached count far more than any detour."""
        back = filled.place.inverse()
        least = self._web(filled).least(back.at(entry), back.at(leave))
        return least.extra + 1e6 * len(least.unreached)

    def _route(self, filled: FilledSection, entry: Point, leave: Point) -> Route:
        """The route of a section's fill, in standard position."""
        key = (id(filled.standard), _rounded(entry), _rounded(leave), filled.section.four_sided)
        if key not in self._routes:
            self._routes[key] = self._web(filled).route(entry, leave)
        return self._routes[key]

    def _web(self, filled: FilledSection) -> Web:
        key = (id(filled.standard), filled.section.four_sided)
        if key not in self._webs:
            back, section = filled.place.inverse(), filled.section
            roads = [(kind, tuple(back.at(point) for point in line)) for kind, line in self._roads(section)]
            gates = [back.at(corner) for corner in (section.left, section.tip, section.right)]
            self._webs[key] = web((flat(line) for line in filled.standard.lines), roads, gates, self.travel)
        return self._webs[key]

    def _roads(self, section: Section) -> Iterator[tuple[Kind, Line]]:
        """What may be travelled or stitched over beside the fill: its diagonals, and its base where that is a seam."""
        yield "stitched", (section.left, section.tip)
        yield "stitched", (section.tip, section.right)
        if section.base == "corner":
            # the mitre, or a line square to the edge, is the third side
            if self.outer_seam:
                yield "seam", (section.left, section.middle, section.right)
        elif section.base == "inner" or self.outer_seam:
            yield "seam", (section.left, section.right)

    def done(self, name: str) -> Run:
        """The run as laid; the needle is free for the next."""
        run = Run(name, tuple(self.legs), tuple(self.visits), self.extra, self.bound, tuple(self.unreached))
        self.legs, self.visits, self.unreached, self.extra, self.bound = [], [], [], 0.0, 0.0
        return run


def _check_gap(here: Point, there: Point) -> None:
    gap = distance(here, there)
    if gap > JUMP:
        raise DrawingError(
            f"The stitching line would have to jump {about(gap)}, at {about(here.x)} from the left and {about(here.y)} from "
            "the top of the quilt; zigzag and corner lines must meet in the pivots and points: please move their ends "
            "together there."
        )


def _rounded(point: Point) -> Point:
    return Point(round(point.x, 9), round(point.y, 9))


def cheapest(filled: FilledSection, places: Iterable[Point], needle: Needle) -> tuple[float, Point]:
    """The least extra of stitching a fill and coming back, and where to begin."""
    costs = [(needle.cost(filled, place, place), place) for place in places]
    least = min(cost for cost, _ in costs)
    return next((cost, place) for cost, place in costs if cost <= least + SAME_COST)
