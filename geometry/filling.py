"""Every section with its fill in place: echo lines round it, the spacing that matches, lines that run on under the binding.

Congruent sections are worked out once.
"""

from __future__ import annotations

from collections import Counter
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from geometry.binding import run_on
from geometry.fills import motif
from geometry.fills.catalogue import MOTIF, NONE, SAME, entry, is_free, leads_across, lines_at_corner
from geometry.fills.echo_lines import with_echo_lines
from geometry.fills.shape import FINEST, Fill, FilledSection, Passage, Shape, standard
from geometry.matching import Density, Match, matching_spacing
from geometry.plane import Affine, Point
from geometry.sections import LEFT, RIGHT

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Sequence

    from geometry.plan import Request
    from geometry.sections import Base, Section


class Unfilled(NamedTuple):
    """A section, the name of the fill it is to have, and how that is to leave the needle."""

    section: Section
    name: str
    passage: Passage


class _Piece(NamedTuple):
    """A section, the name of its fill, its standard shape and the map from there."""

    section: Section
    name: str
    shape: Shape
    place: Affine


_Known = dict[tuple[Shape, str, float, type, bool], Fill]
"""Fills already drawn, by shape, name, spacing (kept to exactly or not) and whether their lines run on."""


def fill_all(request: Request, sections: Sequence[Unfilled]) -> tuple[tuple[FilledSection, ...], tuple[Match, ...]]:
    """The sections with their fills, in the same order, and how those fills were matched, where that was asked for."""
    known: _Known = {}
    seeds, from_tip = _seeds(request, sections), _begun_at_tip(sections)
    on_seam = [
        _piece(request, unfilled, seeds[unfilled.section.name], from_tip, beset=True)
        for unfilled in sections
        if unfilled.section.base == "inner"
    ]
    # with echo lines round it a fill does not reach the dots; there is room for the lines of others
    beset = not all(_drawn(request, piece, request.spacing, known).echo_lines for piece in on_seam)
    pieces = [_piece(request, unfilled, seeds[unfilled.section.name], from_tip, beset=beset) for unfilled in sections]
    if len({piece.shape._replace(seed=0) for piece in pieces}) > UNLIKE:
        pieces = [_nearly(piece) for piece in pieces]
    matches = tuple(_matches(request, pieces, known)) if request.match else ()
    spacings = {match.base: match.spacing for match in matches}
    filled = []
    for piece, unfilled in zip(pieces, sections, strict=True):
        base = piece.section.base
        spacing = spacings.get(base, request.spacing)
        if spacing != request.spacing and piece.section.on_mid_line:
            # how far it keeps off the line between the tiers is told in its own spacings
            own = request._replace(spacing=spacing)
            piece = _piece(own, unfilled, seeds[piece.section.name], from_tip, beset=beset)  # noqa: PLW2901
        hidden = request.under and not piece.section.on_seam and not piece.section.on_mid_line
        fill = _drawn(request, piece, spacing, known, running_on=hidden)
        filled.append(FilledSection(piece.section, piece.name, fill.placed(piece.place), fill, piece.place))
    return tuple(filled), matches


UNLIKE = 40
"""Sections of different shapes that are drawn each by itself; quilts that are planned have far fewer."""

NEARLY = 1 / 32
"""Inches, finer than anything is cut or sewn, to which the sides of more shapes than that are the same."""

_ORIGIN = Point(0.0, 0.0)


def _nearly(piece: _Piece) -> _Piece:
    """A triangle as one of those it is nearly like, its lines to be stretched by a hair to its own corners.

    So a patchwork whose every seam is a little off has few fills to draw, and few ways to find.
    """
    shape = piece.shape
    wide, tip = (round(number / NEARLY) * NEARLY for number in (shape.right.x, shape.tip.x))
    high = round(shape.tip.y / NEARLY) * NEARLY
    if shape.bent or shape.left != _ORIGIN or min(wide, high) < 1:
        return piece  # also where the base was raised off the line between two tiers
    across, up = shape.right.x / wide, shape.tip.y / high
    like = shape._replace(right=Point(wide, 0.0), middle=Point(wide / 2, 0.0), tip=Point(tip, high))
    return piece._replace(
        shape=like, place=piece.place.after(Affine(across, 0.0, (shape.tip.x - across * tip) / high, up, 0.0, 0.0))
    )


def echo_lines_for_all(request: Request, sections: Iterable[Unfilled]) -> int:
    """How many echo lines every triangle has room for beside its fill, so that both sides of a diagonal look alike.

    Corner pieces may be smaller and then have fewer; triangles without room for any do not count.
    """
    known: _Known = {}
    pieces = [
        _piece(request, unfilled, 0, (), beset=False) for unfilled in sections if unfilled.section.base != "corner"
    ]
    room = {_drawn(request, piece, request.spacing, known).echo_lines for piece in pieces}
    return min(room - {0}, default=request.echo)


VARIANTS, VARIANTS_LEAST = 12, 3
"""Free-motion lines for the triangles of one side: as many as half of it has, but so few at least and so many at most.

So far apart no eye finds the repeat; and the triangles on the stop line, which are seen upside down, have the same ones.
"""


def _seeds(request: Request, sections: Sequence[Unfilled]) -> dict[str, int]:
    """What each section's free-motion lines hang on: neighbours differ, mirror images on a rectangle have the same."""
    counts = Counter((one.section.side, one.section.base) for one in sections)
    sides = {side: number for number, side in enumerate(dict.fromkeys(one.section.side for one in sections))}
    found = {}
    for one in sections:
        section, side = one.section, sides[one.section.side]
        count = counts[section.side, section.base]
        variants = min(VARIANTS, max(VARIANTS_LEAST, -(-counts[section.side, "inner"] // 2)))
        # a triangle on the stop line takes that of the next but one on the seam: neither of its neighbours'
        place = (min(section.place, count + 1 - section.place) + 2 * (section.base == "outer")) % variants
        if section.base == "corner":
            middle = 2 * section.place == count + 1
            # a corner's last piece lies beside the next side
            side = 0 if middle else side + (section.place == count)
            place = int(middle)
        found[section.name] = ((2 * request.seed + (section.base == "corner")) * 2 + side % 2) * VARIANTS + place
    return found


def _piece(request: Request, unfilled: Unfilled, seed: int, from_tip: Collection[str], *, beset: bool) -> _Piece:
    """The section as its fill sees it; `beset` when lines of the fills on the seam end at the dots."""
    section, name, passage = unfilled
    seam = section.base != "corner" if request.kind == "inner" else section.on_seam or request.under
    # the tips of triangles on the stop line, and of corner pieces, are base corners of two triangles on the seam; at an
    # inward corner, of two on the stop line
    inner: Passage = "home" if request.order == "sections" else "across"
    beside = request.outerfill if section.on_seam and request.outerfill != SAME else request.fill
    others = 2 * lines_at_corner(beside, inner) if beset else 0
    if section.base == "inner" or (section.base == "corner" and inner == "home"):
        others = 0  # nothing else ends there; or the triangles beside a pivot keep clear of it
    if section.base == "corner" and passage == "tip" and inner == "home":
        # home from the far end of the line across the corner, not from a point of the zigzag
        section = section._replace(hand=RIGHT if section.hand == LEFT else LEFT)
    shape, place = standard(
        _turned(section, passage, from_tip),
        seam=seam and not section.on_mid_line,
        passage=passage,
        others_at_tip=others,
    )
    if section.tiers > 1:
        shape = _in_tier(request, shape, unfilled, from_tip)
    return _Piece(section, name, shape._replace(seed=seed) if is_free(name) else shape, place)


OFF_MID_LINE = 0.5
"""Spacings from the line between two tiers to the fills on either side that would run along it, and to diamonds, whose
corners would all meet on it. They are reached along the diagonals."""


def _turned(section: Section, passage: Passage, from_tip: Collection[str]) -> Section:
    """A triangle of the highest tier that does not begin at its tip begins at the other corner than the one below it."""
    if section.tier == 1 or not section.on_mid_line or passage != "home" or section.base == "corner":
        return section
    if section.tier < section.tiers or section.name in from_tip:
        return section
    return section._replace(hand=RIGHT if section.hand == LEFT else LEFT)


def _in_tier(request: Request, shape: Shape, unfilled: Unfilled, from_tip: Collection[str]) -> Shape:
    """A section as its fill sees it where there are tiers: at the points that two of them share four diagonals meet already.

    A fill that would bring two lines to a corner of its base there keeps clear of the line between the tiers, or begins at
    the tip.
    """
    section, name, passage = unfilled
    home, triangle, spacing = passage == "home", section.base != "corner", request.spacing
    if triangle and section.tip_on_mid_line:
        shape = shape._replace(room_at_tip=0)
    # at its outer corner a corner piece lies on a pivot of the tier above, where six lines meet at once
    crowded = lines_at_corner(name, "home") > 1 if triangle else lines_at_corner(name, passage) > 0
    off = section.on_mid_line and (name == "diamonds" or (crowded and section.name not in from_tip))
    if section.on_mid_line:
        shape = shape._replace(beside=True)
        if off:
            shape = shape.raised(OFF_MID_LINE * spacing)._replace(beside=triangle)
        elif not home and lines_at_corner(name, "across") > lines_at_corner(name, "home"):
            # chevrons, whose feet would come too near those beyond the line
            shape = shape.raised(OFF_MID_LINE / 2 * spacing)
    if not home:
        return shape
    by_itself = section.on_mid_line and section.lines_at_tip < _NEARLY_FULL and request.order != "zigzag"
    if name == "diamonds" and not section.four_sided and (triangle or by_itself):
        # its rings come to both corners; on the border seam they are reached along it
        return shape._replace(short=True, tip_only=not shape.seam, room_at_tip=2)
    if section.name in from_tip:
        return shape._replace(tip_only=True, room_at_tip=max(1, shape.room_at_tip))
    if triangle and section.on_mid_line and section.at_pivot:
        # no seam leads to lines that keep clear of its corners; the diagonals do
        raised = shape if off else shape.raised(OFF_MID_LINE * spacing)
        return raised._replace(short=False, beside=False)
    return shape


_NEARLY_FULL = 6
"""Lines that meet, or have room kept for them, at a pivot where one more is too many."""


def _begun_at_tip(sections: Sequence[Unfilled]) -> set[str]:
    """The triangles on a line between two tiers whose fills begin at the tip, on the border's seam or stop line.

    All of the lowest and the highest tier do, but for those at whose tip two neighbours begin that bring two lines each.
    """
    begun: Counter[Point] = Counter()
    for section, name, passage in sections:
        if section.base != "corner" and not section.on_mid_line and passage == "home":
            begun[section.left if section.hand == LEFT else section.right] += lines_at_corner(name, "home") // 2
    return {
        section.name
        for section, _, passage in sections
        if section.on_mid_line
        and section.base != "corner"
        and passage == "home"
        and section.tier in {1, section.tiers}
        and begun[section.tip] < 2  # noqa: PLR2004
    }


def _drawn(request: Request, piece: _Piece, spacing: float, known: _Known, *, running_on: bool = False) -> Fill:
    """The fill in standard position, its lines within the section unless they are `running_on`."""
    shape = piece.shape
    key = (shape, piece.name, spacing, type(spacing), running_on)
    if key not in known and running_on:
        fill = _drawn(request, piece, spacing, known)
        longer = fill._replace(lines=run_on(fill.lines, shape.base, shape.tip, request.reach))
        known[key] = longer._replace(hidden=longer.length - fill.length)
    elif key not in known:
        known[key] = _fill_or_home(request, shape, piece.name, spacing)
    return known[key]


def _fill_or_home(request: Request, shape: Shape, name: str, spacing: float) -> Fill:
    """The fill of a shape; where none leads as it should, one that brings the needle home, if there is one.

    Neighbours nearly alike may be asked to lead differently, and would be filled here and left open there.
    """
    fill = _fill(request, shape, name, spacing)
    if fill.lines or shape.passage == "home" or shape.bent or shape.tip_only:
        return fill
    home = _fill(request, shape._replace(passage="home"), name, spacing)
    return home if home.lines else fill


def _fill(request: Request, shape: Shape, name: str, spacing: float) -> Fill:
    if name == NONE:
        return Fill((), spacing)
    if spacing < FINEST:
        return Fill((), spacing, f"lines {spacing:g} in apart would cut the quilt; they must be at least 1/16 in apart")
    drawn = request.motif
    draw = entry(name).draw if drawn is None or name != MOTIF else partial(motif.draw, drawn)
    if not request.echo:
        fill = draw(shape, spacing)
        if shape.beside and shape.runs_along_base(fill.lines):
            fill = draw(shape.raised(OFF_MID_LINE * spacing), spacing)
        return fill
    return with_echo_lines(
        shape, lambda inside: draw(inside, spacing), request.echo, request.step, leads_across=leads_across(name)
    )


def _matches(request: Request, pieces: Sequence[_Piece], known: _Known) -> Iterator[Match]:
    """The spacing of each other fill that gives it the density of the first."""
    wanted = _density(request, [piece for piece in pieces if piece.section.base == "inner"], request.spacing, known)
    bases: tuple[Base, ...] = ("outer", "corner")
    for base in bases:
        group = [piece for piece in pieces if piece.section.base == base and piece.name not in {request.fill, NONE}]
        if not group or not wanted.kept:
            continue

        def measure(spacing: float, group: Sequence[_Piece] = group) -> Density:
            return _density(request, group, spacing, known)

        spacing, density = matching_spacing(measure, wanted.inches, request.spacing)
        if density:
            yield Match(base, group[0].name, spacing, density, wanted.inches)


def _density(request: Request, pieces: Iterable[_Piece], spacing: float, known: _Known) -> Density:
    """What the fills of some sections come to, echo lines included; sections left without a fill do not count."""
    alike: dict[Shape, list[_Piece]] = {}
    for piece in pieces:
        alike.setdefault(piece.shape, []).append(piece)
    length = area = 0.0
    kept = 0
    for found in alike.values():
        fill = _drawn(request, found[0], spacing, known)
        if fill.lines and not fill.note:
            length += len(found) * fill.length
            area += sum(piece.section.area for piece in found)
            kept += len(found) * (1 + fill.echo_lines)
    return Density(length / area if area else 0.0, kept)
