"""The whole job in one function: what was asked for in, the border as values out.

request -> outlines -> counts -> zigzags -> sections -> fills. Nothing is drawn here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from geometry.errors import OptionError, SizeError
from geometry.fills.catalogue import NONE, entry, lines_at_corner
from geometry.fills.shape import FINEST, Fill, Shape, standard
from geometry.fitting import (
    Ask,
    Number,
    SideFit,
    Way,
    check_typed,
    choose_counts,
    fit_side,
    repeat_of,
)
from geometry.lengths import about
from geometry.plane import length_of
from geometry.quilt import Border, Kind, border_around, rectangle
from geometry.sections import CornerStyle, Section, corner_lines, corner_sections, sections_along
from geometry.zigzag import Zigzag, zigzag_along

if TYPE_CHECKING:
    from geometry.plane import Line, Point

Size = Literal["angle", "repeat", "count"]

SAME = "same"

MOST_SECTIONS = 4000
"""The editor slows down with thousands of objects."""


@dataclass(frozen=True, slots=True)
class Request:
    """What the designer asked for, in inches of quilt.

    Attributes:
        quilt_width, quilt_height: the trimmed edge.
        widths: border width of top, right, bottom and left.
        across, down: typed counts, used when `size` is count.
        outerfill, cornerfill: a fill's name, `same` or `none`.
    """

    quilt_width: float
    quilt_height: float
    widths: tuple[float, float, float, float]
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


@dataclass(frozen=True, slots=True)
class FilledSection:
    """A section, the name of its fill, and the fill in place."""

    section: Section
    fill_name: str
    fill: Fill


@dataclass(frozen=True, slots=True)
class BorderPlan:
    """The border laid out: everything a drawing, a table or a check needs, in inches."""

    request: Request
    border: Border
    zigzags: tuple[Zigzag, ...]
    corner_lines: tuple[tuple[Line, ...], ...]
    sections: tuple[FilledSection, ...]

    def of_side(self, name: str) -> tuple[FilledSection, ...]:
        """The sections of one side, its corner last."""
        return tuple(filled for filled in self.sections if filled.section.side == name)

    @property
    def zigzag_run(self) -> tuple[Line, float]:
        """The whole zigzag and the corner lines as one unbroken line, and the inches of it stitched over.

        It starts and stops at the first pivot; each corner line is stitched out and back before the next side.
        """
        way: list[Point] = [self.zigzags[0].dots[0]]
        over = 0.0
        for zigzag, lines in zip(self.zigzags, self.corner_lines, strict=True):
            way += zigzag.line[1:]
            for line in lines:
                way += [*line[1:], *line[-2::-1]]
                over += length_of(line)
        return tuple(way), over


def lay_out(request: Request) -> BorderPlan:
    """Plan the whole border.

    Raises:
        QuiltError: what was asked for cannot be drawn; the sentence says why and what to do.
    """
    _check(request)
    room = request.binding if request.kind == "outer" else 0.0
    border = border_around(rectangle(request.quilt_width, request.quilt_height), request.widths, room, request.kind)
    zigzags = tuple(zigzag_along(side, fit) for side, fit in zip(border.sides, _fits(request, border), strict=True))
    following = (*zigzags[1:], zigzags[0])
    crossings = tuple(corner_lines(one, two, request.corner) for one, two in zip(zigzags, following, strict=True))
    fills: dict[tuple[Shape, str], Fill] = {}
    sections = []
    for one, two in zip(zigzags, following, strict=True):
        for section in (*sections_along(one), *corner_sections(one, two, request.corner)):
            name = _fill_name(request, section)
            sections.append(FilledSection(section, name, _fill(request, section, name, fills)))
    return BorderPlan(request, border, zigzags, crossings, tuple(sections))


def _check(request: Request) -> None:
    short = min(request.quilt_width, request.quilt_height)
    if short <= 0:
        raise SizeError(
            f"The selected shape is {about(request.quilt_width)} by {about(request.quilt_height)}; "
            "a quilt's edge needs a width and a height: please select the rectangle that is the edge."
        )
    if request.size == "count" and request.fit == "ease":
        raise OptionError(
            "The size is given as a number of triangles, and easing needs a size to keep in the middle: "
            "please ask for an angle or a repeat, or choose an even fit."
        )
    if request.size == "repeat" and request.repeat <= 0:
        raise OptionError(
            f"The repeat is {about(request.repeat)}; it must be more than 0: please give a length such as 6."
        )
    if request.spacing < 0:
        raise OptionError(
            f"The spacing is {about(request.spacing)}; it must be more than 0: please give a length such as 1."
        )
    for name in (request.fill, request.outerfill, request.cornerfill):
        if name not in {NONE, SAME}:
            entry(name)
    if request.fill == SAME:
        entry(SAME)


def _fits(request: Request, border: Border) -> tuple[SideFit, ...]:
    """What is fitted on each side."""
    if request.size == "count":
        fits = []
        for side in border.sides:
            crosswise = side.name in {"top", "bottom"}
            count = request.across if crosswise else request.down
            check_typed(count, request.number, side="top and bottom" if crosswise else "left and right")
            fits.append(fit_side(Ask(side.length, side.height, side.length / count), count))
        return tuple(fits)
    asks = [
        Ask(
            side.length,
            side.height,
            repeat_of(request.angle, side.height) if request.size == "angle" else request.repeat,
        )
        for side in border.sides
    ]
    counts = choose_counts(asks, request.number, together=request.together)
    return tuple(fit_side(ask, count, request.fit, request.last) for ask, count in zip(asks, counts, strict=True))


def _fill_name(request: Request, section: Section) -> str:
    name = {"inner": request.fill, "outer": request.outerfill, "corner": request.cornerfill}[section.base]
    return request.fill if name == SAME else name


def _fill(request: Request, section: Section, name: str, known: dict[tuple[Shape, str], Fill]) -> Fill:
    """The fill in place; congruent sections are worked out once."""
    if name == NONE:
        return Fill((), (), request.spacing)
    if request.spacing < FINEST:
        return Fill((), (), request.spacing, "lines as close as that would cut the quilt; 1/16 in is the least")
    inner = section.base == "inner"
    seam = inner or (section.base == "outer" and request.kind == "inner")
    others = 2 * lines_at_corner(request.fill) if section.base == "outer" else 0
    shape, place = standard(section, seam=seam, others_at_tip=others)
    key = (shape, name)
    if key not in known:
        known[key] = entry(name).draw(shape, request.spacing)
    return known[key].placed(place)
