"""The design in one function: what was asked for in, the border as values out.

request -> outlines -> counts -> zigzags -> sections -> fills. How it is stitched is worked
out from the plan by `order`; nothing is drawn here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.filling import Unfilled, echo_lines_for_all, fill_all
from geometry.fills.catalogue import MOTIF, NONE, SAME, is_free, leads_across, leads_to_tip, lines_at_corner
from geometry.fitting import (
    Ask,
    Number,
    SideFit,
    Way,
    check_typed,
    fit_side,
    repeat_of,
)
from geometry.needle import Run, Strip
from geometry.order import Order, goes_across, stitch
from geometry.patchwork import NO_MARKS, Patchwork, fits_on_marks
from geometry.quilt import (
    PLACES,
    Border,
    Kind,
    border_around,
    rectangle,
)
from geometry.refusals import check_asked, check_corners, check_ends
from geometry.route import TRAVEL
from geometry.sections import CornerStyle, Section, corner_lines, corner_sections, opening_lines, sections_along
from geometry.tiers import bands, stacked, turns
from geometry.together import choose_counts
from geometry.zigzag import zigzag_along

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from geometry.fills.motif import Motif
    from geometry.fills.shape import FilledSection, Passage
    from geometry.matching import Match
    from geometry.plane import Line, Point
    from geometry.quilt import Side
    from geometry.zigzag import Zigzag

Size = Literal["angle", "repeat", "count"]

MOST_SECTIONS = 4000
"""The editor slows down with thousands of objects."""


class Request(NamedTuple):
    """What the designer asked for, in inches of quilt.

    Attributes:
        quilt_width, quilt_height: the size of the trimmed edge, or of the box around it.
        widths: border width of each side, clockwise from the top, or from side 1.
        outline: corners of the trimmed edge, clockwise from where its top, or side 1, begins; none: a rectangle.
        sides: names of the sides that have a border; none: all.
        across, down: typed counts, used when `size` is count; `across` counts for every side where there are not four.
        outerfill, cornerfill: a fill's name, `same` or `none`.
        guide: the marks to land on, used when `fit` is marks.
        tiers: bands of zigzags one above the other.
        shrink: percent by which quilting draws the quilt in; the drawing is as before quilting.
    """

    quilt_width: float
    quilt_height: float
    widths: tuple[float, ...]
    kind: Kind = "outer"
    binding: float = 0.375
    size: Size = "angle"
    angle: float = 45.0
    repeat: float = 6.0
    across: int = 6
    down: int = 8
    together: bool = True
    fit: Way = "even"
    last: int = 3
    number: Number = "any"
    corner: CornerStyle = "mitred"
    fill: str = "diamonds"
    outerfill: str = SAME
    cornerfill: str = SAME
    spacing: float = 1.0
    match: bool = False
    echo: int = 0
    step: float = 0.25
    under: bool = False
    order: Order = "sections"
    guide: Patchwork = NO_MARKS
    shrink: float = 0.0
    motif: Motif | None = None
    seed: int = 1
    outline: tuple[Point, ...] = ()
    sides: tuple[str, ...] = ()
    tiers: int = 1

    @property
    def edge(self) -> tuple[Point, ...]:
        """The corners of the trimmed edge, clockwise."""
        return self.outline or rectangle(self.quilt_width, self.quilt_height)

    @property
    def room(self) -> float:
        """Inches kept free for the binding; an inner border has none."""
        return self.binding if self.kind == "outer" else 0.0

    @property
    def reach(self) -> float:
        """Inches beyond the stop line at which runs may travel, halfway in the room for the binding; 0: they may not."""
        return self.binding / 2 if self.under else 0.0


class BorderPlan(NamedTuple):
    """The border laid out: everything a drawing, a table or a check needs, in inches.

    Zigzags go band by band, the lowest first, and with them the lines across the corners in which they end and the
    sections. `matches` tells the spacings of fills that follow the first one's density, where that was asked for.
    """

    request: Request
    border: Border
    zigzags: tuple[Zigzag, ...]
    corner_lines: tuple[tuple[Line, ...], ...]
    sections: tuple[FilledSection, ...]
    matches: tuple[Match, ...] = ()

    def of_side(self, name: str) -> tuple[FilledSection, ...]:
        """The sections of one side, its corner last."""
        return tuple(filled for filled in self.sections if filled.section.side == name)

    def strips(self) -> tuple[Strip, ...]:
        """The sides as they are stitched."""
        return tuple(
            Strip(
                zigzag.side.name, zigzag.dots, zigzag.points, lines, self.of_side(zigzag.side.name),
                zigzag.side.turned_start, opening_lines(zigzag), zigzag.side.open_end, zigzag.side.tier,
            )
            for zigzag, lines in zip(self.zigzags, self.corner_lines, strict=True)
        )  # fmt: skip

    def runs(self, order: Order | None = None, travel: float = TRAVEL) -> tuple[Run, ...]:
        """The border as it is stitched, in the order given or the one asked for; `travel` weighs an inch of seam."""
        request = self.request
        return stitch(
            self.strips(),
            order or request.order,
            outer_seam=request.kind == "inner",
            travel=travel,
            under=request.reach,
        )


def lay_out(request: Request) -> BorderPlan:
    """Plan the whole border.

    Raises:
        QuiltError: what was asked for cannot be drawn; the sentence says why and what to do.
    """
    check_asked(request)
    border = border_around(request.edge, request.widths, request.room, request.kind, sides=request.sides)
    check_corners(request, border)
    parts = bands(border, request.tiers)
    lowest = parts[0].sides
    zigzags = stacked(
        [zigzag_along(side, fit) for side, fit in zip(lowest, _fits(request, lowest), strict=True)], parts
    )
    check_ends(zigzags)
    crossings = tuple(corner_lines(one, two, request.corner) for _, one, two in turns(zigzags))
    settled = (
        request._replace(echo=echo_lines_for_all(request, _sections(request, zigzags))) if request.echo else request
    )
    sections, matches = fill_all(settled, _sections(settled, zigzags))
    return BorderPlan(request, border, zigzags, crossings, sections, matches)


def refilled(
    plan: BorderPlan, names: Collection[str], fill: str, spacing: float, motif: Motif | None = None, seed: int = 0
) -> BorderPlan:
    """The same border, some sections, given by name, filled with another fill at another spacing.

    Raises:
        QuiltError: there is no such fill, or the spacing is below 0.
    """
    request = plan.request._replace(
        spacing=spacing, match=False, motif=motif or plan.request.motif, seed=seed or plan.request.seed
    )
    check_asked(request._replace(fill=fill))
    return _filled_anew(plan, names, request, fill)


def redrawn(plan: BorderPlan, names: Collection[str], order: Order) -> BorderPlan:
    """The same border, some sections, given by name, filled anew as its request asks, for another order.

    Where the fill is a motif that is not given, they are left empty.
    """
    return _filled_anew(plan, names, plan.request._replace(order=order))


def _filled_anew(plan: BorderPlan, names: Collection[str], request: Request, fill: str = SAME) -> BorderPlan:
    """The sections of those names filled with another fill, or (`same`) each with the one the request asks for."""
    corners = {one.side.name: number for number, one, _ in turns(plan.zigzags)}
    unfilled = []
    for one in plan.sections:
        name = fill if fill != SAME and one.section.name in names else _fill_name(request, one.section)
        if name == MOTIF and request.motif is None:
            name = NONE  # as it stands it stays
        unfilled.append(Unfilled(one.section, name, _passage(request, name, one.section, corners[one.section.side])))
    settled = request._replace(echo=echo_lines_for_all(request, unfilled)) if request.echo else request
    filled, _ = fill_all(settled, unfilled)
    return plan._replace(
        sections=tuple(
            new if old.section.name in names else old for old, new in zip(plan.sections, filled, strict=True)
        ),
    )


def _sections(request: Request, zigzags: tuple[Zigzag, ...]) -> list[Unfilled]:
    """All sections, side by side, with the names of their fills and how those are to leave the needle."""
    found: list[Unfilled] = []
    for number, one, two in turns(zigzags):
        for section in (*sections_along(one), *corner_sections(one, two, request.corner, number)):
            name = _fill_name(request, section)
            found.append(Unfilled(section, name, _passage(request, name, section, number)))
    return found


def _passage(request: Request, name: str, section: Section, corner: int) -> Passage:
    """How the fill of a section leaves the needle; `corner` numbers the corner that its side ends in.

    Where fills are stitched across, so is the corner, from its last point to its first. Of a mitred one's two triangles
    one is stitched across and the other by way of the tip, so that the mitre between them is stitched once; by turns
    from corner to corner, so that opposite corners mirror each other.
    """
    if not _led_across(request, section):
        return _passage_home(request, name, section, corner)
    if section.base != "corner":
        return "across"
    if request.corner == "square" and leads_across(name) and request.echo % 2 == 0 and not _crowded(request):
        # its middle is stitched from the foot of one line to that of the other, so both lines are stitched there and back
        return "across" if section.tip_only else "tip"
    if section.tip_only:
        return "home"
    if request.corner == "mitred" and section.place % 2 == corner % 2:
        return "tip"
    return "across"


def _led_across(request: Request, section: Section) -> bool:
    """Whether the fill of a section may lead from one corner of its base to the other.

    In the zigzag's own order also that of a triangle on the seam, or on the stop line, of a band whose other row may not.
    """
    if request.order == "sections":
        return False
    return goes_across(request.order, section.tier, section.tiers) or (
        request.order == "zigzag" and not section.on_mid_line
    )


def _passage_home(request: Request, name: str, section: Section, corner: int) -> Passage:
    """The same where the needle comes home from every section.

    It goes out along the mitre and home through one of the triangles beside it, if the fill has a way to the tip; out along
    one line of a square corner, through its middle and home along the other.
    """
    mitred = request.order == "sections" and request.corner == "mitred" and section.base == "corner"
    if mitred and section.place % 2 == corner % 2 and leads_to_tip(name):
        return "tip"
    return "across" if section.tip_only and is_free(name) else "home"


def _crowded(request: Request) -> bool:
    """Whether the fills on the seam end at the pivots, so that those of a square corner may not."""
    return not request.echo and lines_at_corner(request.fill, "across") > 0


def _fits(request: Request, sides: Sequence[Side]) -> tuple[SideFit, ...]:
    """What is fitted on each side."""
    typed = tuple(_typed(request, side) for side in sides) if request.size == "count" else ()
    asks = asks_of(request, sides)
    if request.fit == "marks":
        return fits_on_marks(sides, asks, request.guide, request.number, typed=typed, together=request.together)
    counts = typed or choose_counts(asks, request.number, together=request.together)
    return tuple(fit_side(ask, count, request.fit, request.last) for ask, count in zip(asks, counts, strict=True))


def asks_of(request: Request, sides: Sequence[Side]) -> tuple[Ask, ...]:
    """What each side has to fill, and the repeat asked for on it.

    Raises:
        CountError: a number of triangles was typed that cannot be had.
    """
    return tuple(
        Ask(side.length, side.height, _asked(request, side), (side.turned_start, side.turned_end)) for side in sides
    )


def _asked(request: Request, side: Side) -> float:
    if request.size == "count":
        return side.length / _typed(request, side)
    return repeat_of(request.angle, side.height) if request.size == "angle" else request.repeat


def _typed(request: Request, side: Side) -> float:
    """The number of triangles typed; with half a one more where one pivot lies on the stop line, whatever is allowed."""
    upright = side.name in {"left", "right"}
    count = request.down if upright else request.across
    if side.turned_start != side.turned_end:
        return count + 0.5
    words = "left and right" if upright else "top and bottom" if side.name in PLACES else "each side"
    check_typed(count, request.number, side=words)
    return count


def _fill_name(request: Request, section: Section) -> str:
    name = {"inner": request.fill, "outer": request.outerfill, "corner": request.cornerfill}[section.base]
    return request.fill if name == SAME else name
