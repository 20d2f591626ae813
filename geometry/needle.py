"""Runs, and the needle that lays them leg by leg."""

from __future__ import annotations

import itertools
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from geometry import binding
from geometry.errors import DrawingError
from geometry.graph import MEETING
from geometry.lengths import about
from geometry.plane import SAME_POINT, THINNED, Curve, Point, distance, flat, length_of, thinned
from geometry.route import Least, Route, Web, web
from geometry.trail import Leg, measured
from geometry.zigzag import woven

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from geometry.fills.shape import Fill, FilledSection
    from geometry.graph import Kind
    from geometry.plane import Affine, Line
    from geometry.trail import How

JUMP = 2 * MEETING
"""Inches between the end of one leg and the beginning of the next that are more than lines meeting."""

SAME_COST = 1e-6
"""Inches of extra within which two ways cost the same; the more usual one is taken."""


class Strip(NamedTuple):
    """The zigzag of one side: dots on the seam, points on the stop line, and what follows it.

    Attributes:
        crossings: the lines across the corner at its end, pivot outwards; where the strip ends, the line that closes it.
        sections: the filled sections of the side, in order: on the seam, on the stop line, corner pieces.
        points_first: it begins on the stop line, at an inward corner.
        opening: the line across its beginning, pivot outwards, where no other side leads to it.
        ends: no other side goes on from it.
        tier: the band it lies in, the lowest first.
    """

    name: str
    dots: Line
    points: Line
    crossings: tuple[Line, ...]
    sections: tuple[FilledSection, ...]
    points_first: bool = False
    opening: tuple[Line, ...] = ()
    ends: bool = False
    tier: int = 1

    @property
    def line(self) -> Line:
        """The zigzag from pivot to pivot."""
        return woven(self.dots, self.points, points_first=self.points_first)

    @property
    def triangles(self) -> list[FilledSection]:
        """Its triangles in the order in which the zigzag goes round them."""
        first, second = ("outer", "inner") if self.points_first else ("inner", "outer")
        pairs = itertools.zip_longest(self.of(first), self.of(second))
        return [filled for pair in pairs for filled in pair if filled is not None]

    @property
    def beginning(self) -> FilledSection | None:
        """The piece before its first diagonal, where no other side leads to it."""
        return self.of("corner")[0] if self.opening else None

    @property
    def turn(self) -> list[FilledSection]:
        """The pieces of the corner in which it ends, or the one that closes it."""
        return self.of("corner")[len(self.opening) :]

    def of(self, base: str) -> list[FilledSection]:
        """Its sections on the seam (`inner`), on the stop line (`outer`) or at the corner."""
        return [filled for filled in self.sections if filled.section.base == base]


class Visit(NamedTuple):
    """Where the run begins a section."""

    section: str
    at: Point


class Cut(NamedTuple):
    """A place of a run where a diagonal ends, and how many legs, stretches and visits lie before it.

    There another run can be let in.
    """

    at: Point
    legs: int
    stretches: int
    visits: int


class Stretch(NamedTuple):
    """Legs of a run as they were found, and the map to where they are stitched."""

    legs: tuple[Leg, ...]
    place: Affine | None = None

    @property
    def placed(self) -> Iterator[Leg]:
        """The legs where they are stitched."""
        place = self.place
        return iter(self.legs if place is None else [Leg(how, place.line(line)) for how, line in self.legs])


class Run:
    """One unbroken line of stitching: one start, one stop.

    Attributes:
        name: what it stitches, in words.
        course: the way in order as it is drawn, curves as curves, without points where it goes straight on.
        stretches: the same point by point, wherever lines meet.
        visits: the sections in the order they are begun.
        extra, bound: weighted inches of stitching over and travel, and the sum of what each part cannot undercut.
        unreached: lines of the sections it should stitch that no line or seam leads to.
        cuts: where another run can be let in.
    """

    def __init__(
        self,
        name: str,
        course: tuple[Leg, ...],
        stretches: tuple[Stretch, ...],
        visits: tuple[Visit, ...],
        extra: float,
        bound: float,
        unreached: tuple[Line, ...] = (),
        cuts: tuple[Cut, ...] = (),
    ) -> None:
        """A run; it is not changed any more."""
        self.name, self.course, self.stretches, self.visits = name, course, stretches, visits
        self.extra, self.bound, self.unreached, self.cuts = extra, bound, unreached, cuts

    def named(self, name: str) -> Run:
        """The same run under another name."""
        return Run(name, self.course, self.stretches, self.visits, self.extra, self.bound, self.unreached, self.cuts)

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.course[0].line[0]

    @property
    def stop(self) -> Point:
        """Where it ends."""
        return self.course[-1].line[-1]

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The way in straight pieces, as long as it is stitched in one manner; each leg begins where the last ended."""
        laid: list[tuple[How, list[Point]]] = []
        for stretch in self.stretches:
            for how, line in stretch.placed:
                points = flat(line)
                if laid and laid[-1][0] == how:
                    laid[-1][1].extend(points[1:])
                else:
                    laid.append((how, [*points]))
        return tuple(Leg(how, tuple(points)) for how, points in laid)

    @property
    def line(self) -> Line:
        """The whole way as one line of straight pieces."""
        points: list[Point] = list(self.legs[0].line)
        for leg in self.legs[1:]:
            points += leg.line[1:]
        return tuple(points)

    @property
    def length(self) -> float:
        """Inches from start to stop."""
        return sum(length_of(leg.line) for leg in self.course)

    @property
    def over(self) -> float:
        """Inches stitched over an earlier line."""
        return measured(self.course, "over")

    @property
    def travel(self) -> float:
        """Inches travelled along seams, or under the binding."""
        return measured(self.course, "travel")


NOTHING = Least(0, 0, (), 0.0, 0.0, 0.0, ())
"""What it costs to stitch a line from end to end."""


class _Found(NamedTuple):
    """A route in standard position, and its course without points where it goes straight on."""

    route: Route
    course: tuple[Leg, ...]


class _Key(NamedTuple):
    """A standard fill, and from where to where it is stitched in standard position."""

    standard: int
    four_sided: bool
    entry: Point
    leave: Point


class Needle:
    """Gathers a run while it is being laid; congruent sections are routed once.

    `under` is how many inches beyond the stop line the needle may travel, hidden by the binding; 0: it may not.
    """

    def __init__(self, travel: float, under: float = 0.0, *, outer_seam: bool) -> None:
        """A needle that has stitched nothing yet."""
        self.outer_seam, self.travel, self.under = outer_seam, travel, under
        self.visits: list[Visit] = []
        self.unreached: list[Line] = []
        self.extra = self.bound = 0.0
        self._cuts: list[Cut] = []
        self._course: list[Leg] = []
        self._stretches: list[Stretch] = []
        self._webs: dict[tuple[int, bool], Web] = {}
        self._known: dict[_Key, Least] = {}
        self._routes: dict[_Key, _Found] = {}

    def go(self, legs: Iterable[Leg], extra: float = 0.0, bound: float = 0.0) -> None:
        """Go on along some legs.

        Raises:
            DrawingError: the first does not begin where the needle is.
        """
        legs = tuple(legs)
        self._go(legs, Stretch(legs), extra, bound)

    def _go(self, course: Iterable[Leg], stretch: Stretch, extra: float, bound: float) -> None:
        for leg in course:
            if self._course:
                _check_gap(self._course[-1].line[-1], leg.line[0])
            self._course.append(leg)
        self._stretches.append(stretch)
        self.extra += extra
        self.bound += bound

    def line(self, *points: Point) -> None:
        """Stitch a new straight line on."""
        self.go([Leg("stitch", points)])

    def diagonal(self, start: Point, end: Point) -> None:
        """Stitch a diagonal; at its end another run can be let in."""
        self.line(start, end)
        self.cut()

    def cut(self) -> None:
        """Let another run in here, if one is to be."""
        if self._course:
            self._cuts.append(Cut(self._course[-1].line[-1], len(self._course), len(self._stretches), len(self.visits)))

    @property
    def latest(self) -> Iterator[Leg]:
        """The way of what was stitched last."""
        return self._stretches[-1].placed

    def out_and_back(self, line: Line) -> None:
        """Stitch a line out and home again over itself."""
        self.go([Leg("stitch", line), Leg("over", line[::-1])], length_of(line), length_of(line))

    def fill(self, filled: FilledSection, entry: Point, leave: Point) -> None:
        """Stitch a section's fill."""
        if filled.fill.lines:
            self.visits.append(Visit(filled.section.name, entry))
        whole = _through(filled, entry, leave)
        if whole is not None:
            self.go([Leg("stitch", whole)])
            return
        key = _key(filled, entry, leave)
        if key not in self._routes:
            route = self._web(filled).route(key.entry, key.leave)
            self._routes[key] = _Found(route, tuple(Leg(how, thinned(line, SAME_POINT)) for how, line in route.legs))
        found, place = self._routes[key], filled.place
        route = found.route
        extra, bound = route.extra, route.bound
        course = tuple(Stretch(found.course, place).placed)
        if not place.rigid:
            # drawn for a section hardly unlike: its own inches are told, and what no way can undercut there
            weights = {"stitch": 0.0, "over": 1.0, "travel": self.travel}
            extra, bound = sum(weights[leg.how] * length_of(leg.line) for leg in course), bound * place.narrowest
        self._go(course, Stretch(route.legs, place), extra, bound)
        self.unreached += [place.line(line) for line in route.unreached]

    def cost(self, filled: FilledSection, entry: Point, leave: Point) -> float:
        """The extra of stitching a section's fill; lines that cannot be reached count far more than any detour."""
        least = self.least(filled, entry, leave)
        return least.extra + 1e6 * len(least.unreached)

    def least(self, filled: FilledSection, entry: Point, leave: Point) -> Least:
        """What stitching a section's fill costs and goes over, in standard position."""
        key = _key(filled, entry, leave)
        if key not in self._known:
            through = _through(filled, entry, leave) is not None
            self._known[key] = NOTHING if through else self._web(filled).least(key.entry, key.leave)
        return self._known[key]

    def _web(self, filled: FilledSection) -> Web:
        key = (id(filled.standard), filled.section.four_sided)
        if key not in self._webs:
            back, section = filled.place.inverse(), filled.section
            roads = [(kind, tuple(back.at(point) for point in line)) for kind, line in self._roads(filled)]
            gates = [back.at(corner) for corner in (section.left, section.tip, section.right)]
            fill = filled.standard
            lines = [line.straight if isinstance(line, Curve) else thinned(line, THINNED) for line in fill.lines]
            lines, whole = ([], lines) if _is_one_line(fill) else (lines, [])
            self._webs[key] = web(lines, roads, gates, self.travel, whole)
        return self._webs[key]

    def _roads(self, filled: FilledSection) -> Iterator[tuple[Kind, Line]]:
        """What may be travelled or stitched over beside the fill.

        Its diagonals; its base where that is a seam; under the binding, where lines run on, beyond the stop line.
        """
        section = filled.section
        yield "stitched", (section.left, section.tip)
        yield "stitched", (section.tip, section.right)
        # of a corner piece the mitre, or a line square to the edge, is the third side
        if section.on_mid_line:
            return
        if self.outer_seam or section.on_seam:
            yield "seam", section.base_line
        if self.under and not section.on_seam:
            for road in binding.roads(filled.fill.lines, section.base_line, section.tip, self.under):
                yield "seam", road

    def done(self, name: str) -> Run:
        """The run as laid; the needle is free for the next."""
        course, stretches = tuple(self._course), tuple(self._stretches)
        run = Run(
            name, course, stretches, tuple(self.visits), self.extra, self.bound, tuple(self.unreached),
            tuple(self._cuts),
        )  # fmt: skip
        self._course, self._stretches, self.visits, self.unreached, self._cuts = [], [], [], [], []
        self.extra = self.bound = 0.0
        return run


def _key(filled: FilledSection, entry: Point, leave: Point) -> _Key:
    back = filled.place.inverse()
    return _Key(id(filled.standard), filled.section.four_sided, _rounded(back.at(entry)), _rounded(back.at(leave)))


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


def _is_one_line(fill: Fill) -> bool:
    """Whether a fill is one unbroken line; with echo lines round it, it is not."""
    return fill.unbroken and len(fill.lines) == 1


def _through(filled: FilledSection, entry: Point, leave: Point) -> Line | None:
    """The way along a fill that is one unbroken line from entry to exit; None if it is not."""
    fill = filled.fill
    if not _is_one_line(fill):
        return None
    (line,) = fill.lines
    if distance(line[0], entry) <= MEETING and distance(line[-1], leave) <= MEETING:
        return line
    if distance(line[-1], entry) <= MEETING and distance(line[0], leave) <= MEETING:
        return line.backwards() if isinstance(line, Curve) else line[::-1]
    return None


def cheapest(filled: FilledSection, places: Iterable[Point], needle: Needle) -> tuple[float, Point]:
    """The least extra of stitching a fill and coming back, and where to begin."""
    costs: list[tuple[float, Point]] = []
    places = tuple(places)
    whole = next((place for place in places if _through(filled, place, place)), None)
    if whole is not None:
        return 0.0, whole
    for place in places:
        costs.append((needle.cost(filled, place, place), place))
        if costs[-1][0] <= needle.least(filled, place, place).anywhere + SAME_COST:
            break  # no other place can cost less
    least = min(cost for cost, _ in costs)
    return next((cost, place) for cost, place in costs if cost <= least + SAME_COST)
