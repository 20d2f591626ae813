"""Which line after which: from zigzag, corner lines and fills to runs.

Three orders. `sections`: along the zigzag, each section finished before the next begins, its
fill entered at whichever of its zigzag points costs least extra. `zigzag`: the whole zigzag
in one run, then all fills on the border seam, then those on the stop line with the corners.
`across`: each fill stitched across and its diagonal back, every diagonal once. Where some
sides have no border, each strip is stitched by itself, from its one end to the other.

Everything is derived from lines, whoever drew them.
"""

from __future__ import annotations

import itertools
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.graph import MEETING
from geometry.needle import Needle, Run, Strip, cheapest
from geometry.plane import distance_to_piece, flat, middle
from geometry.quilt import side_and_tier
from geometry.route import TRAVEL
from geometry.splicing import with_loop
from geometry.turning import WholeCorner, best_opening, best_turn, through_corner, through_opening

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from geometry.fills.shape import FilledSection
    from geometry.plane import Point

Order = Literal["sections", "zigzag", "across"]

ACROSS = "Each fill across and its diagonal back"
"""What a run in that order stitches."""


def stitch(
    strips: Sequence[Strip], order: Order, *, outer_seam: bool = False, travel: float = TRAVEL, under: float = 0.0
) -> tuple[Run, ...]:
    """The runs of a border.

    Args:
        strips: the sides in order, clockwise; each goes on into the next, or ends.
        order: which line after which.
        outer_seam: the stop line is a seam, as on an inner border, and may be travelled.
        travel: weight of an inch of seam against an inch stitched over.
        under: inches beyond the stop line at which the needle may travel, hidden by the binding; 0: it may not.
    """
    needle = Needle(outer_seam=outer_seam, travel=travel, under=under)
    tiers = [tuple(band) for _, band in itertools.groupby(strips, key=lambda strip: strip.tier)]
    if len(tiers) > 1 and not any(strip.opening for strip in strips):
        return _in_one([_Chain(band, closed=True, whole=_whole_corners(band)) for band in tiers], order, needle)
    found: list[Run] = []
    for band in tiers:
        for chain in _chains(band):
            runs = _runs(chain, order, needle, goes_across(order, band[0].tier, len(tiers)))
            words = f"{chain.words}, tier {band[0].tier}".lstrip(", ").capitalize() if len(tiers) > 1 else chain.words
            found += (run.named(f"{words}: {run.name.lower()}") for run in runs) if words else runs
    return tuple(found)


def goes_across(order: Order, tier: int, tiers: int) -> bool:
    """Whether both rows of triangles of a band can be stitched from corner to corner of their bases.

    Each row that is brings two more ends to the points of its base, and on a line between two bands four diagonals meet
    already: one such row is as much as it bears.
    """
    return tiers == 1 or (tier == 2 if tiers == 3 else order == "across" and tier == 1)  # noqa: PLR2004


def _whole_corners(band: Sequence[Strip]) -> dict[str, WholeCorner]:
    pairs = zip(band, (*band[1:], band[0]), strict=True)
    found = {strip.name: WholeCorner.of(strip, following) for strip, following in pairs}
    return {name: whole for name, whole in found.items() if whole is not None}


def _runs(chain: _Chain, order: Order, needle: Needle, across: bool) -> list[Run]:  # noqa: FBT001
    """The runs of one chain by itself."""
    if order == "zigzag":
        return list(_zigzag_first(chain, needle))
    return [_across(chain, needle) if order == "across" and across else _by_sections(chain, needle)]


def _in_one(tiers: Sequence[_Chain], order: Order, needle: Needle) -> tuple[Run, ...]:
    """The runs of a border in bands, all round: each band is let into the run of the one below where they first meet."""
    if order != "zigzag":
        laid = [
            _across(chain, needle)
            if order == "across" and goes_across(order, tier, len(tiers))
            else _by_sections(chain, needle)
            for tier, chain in enumerate(tiers, 1)
        ]
        runs = _let_in(laid)
        return tuple(run.named(ACROSS) for run in runs) if order == "across" else runs
    return _zigzags_first(tiers, needle)


def _let_in(laid: Sequence[Run]) -> tuple[Run, ...]:
    """Closed runs, the lowest first, as one; those that meet none below stay by themselves."""
    runs = [laid[-1]]
    for below in reversed(laid[:-1]):
        one = with_loop(below, runs[0])
        runs = [below, *runs] if one is None else [one, *runs[1:]]
    return tuple(runs)


def _zigzags_first(tiers: Sequence[_Chain], needle: Needle) -> tuple[Run, ...]:
    """All zigzags; then the fills of the lowest band, from the seam; then those of the highest, from the stop line.

    Of a band between two the row on its seam goes with the lowest and the other with the highest. Rows that share no
    point are joined by a diagonal stitched over, there and back.
    """
    walked = [
        {
            base
            for base, end in (("inner", tiers[0]), ("outer", tiers[-1]))
            if chain is end or chain not in (tiers[0], tiers[-1])
        }
        if any(filled.fill.lines for strip in chain.strips for filled in strip.sections)
        else set()
        for chain in tiers
    ]
    zigzags = _let_in(
        [
            _zigzag_alone(
                chain, needle, [_Row(base, chain) for base in {"inner", "outer"} - rows], chain.whole if rows else ()
            )
            for chain, rows in zip(tiers, walked, strict=True)
        ]
    )
    diagonals = [pair for chain in tiers for strip in chain.strips for pair in itertools.pairwise(strip.line)]
    found: list[Run] = []
    words = {
        "inner": "Fills on the border seam",
        "outer": f"Fills on the {'outer seam' if needle.outer_seam else 'stop line'}",
    }
    for base, order in (("inner", 1), ("outer", -1)):
        end, *between = tiers[::order][: len(tiers) - 1]
        laid = [_along_end_row(end, base, needle)] if walked[tiers.index(end)] else []
        for chain in between:
            if walked[tiers.index(chain)]:
                _along_row(chain, _Row(base, chain), needle)
                laid.append(needle.done(""))
        if laid:
            run, *others = laid
            name = f"{words[base]}{' and corners' if base == 'outer' else ''}"
            for other in others:
                joined = _bridged(run, other, diagonals)
                if joined is None:
                    found.append(other.named("Fills between the tiers"))
                else:
                    run = joined
            found.append(run.named(name))
    return (*zigzags, *found)


def _bridged(run: Run, loop: Run, diagonals: Sequence[tuple[Point, Point]]) -> Run | None:
    """A run with a closed one let in, over a diagonal that neither goes over where there is one."""
    over = [
        middle(*piece)
        for one in (run, loop)
        for stretch in one.stretches
        for leg in stretch.placed
        if leg.how == "over"
        for piece in itertools.pairwise(flat(leg.line))
    ]
    for diagonal in diagonals:
        if all(distance_to_piece(half, *diagonal) > MEETING for half in over):
            joined = with_loop(run, loop, [diagonal])
            if joined is not None:
                return joined
    return with_loop(run, loop, diagonals)


def _along_end_row(chain: _Chain, base: str, needle: Needle) -> Run:
    """The fills of the lowest band along the seam, or of the highest along the stop line.

    Those on its other row, and the corner pieces there, are stitched from their tips on the way.
    """
    row = _Row(base, chain)
    waiting: dict[Point, list[FilledSection]] = {}
    for strip in chain.strips:
        for filled in strip.sections:
            if filled.section.base not in {base, "corner"} and filled.fill.lines:
                waiting.setdefault(filled.section.tip, []).append(filled)
    for strip, following in chain.turns:
        mine = strip.of(base)
        if mine:
            _fill_here(waiting, mine[0].section.left, needle)
        for filled in mine:
            needle.fill(filled, filled.section.left, filled.section.right)
            needle.cut()
            _fill_here(waiting, filled.section.right, needle)
        whole = chain.whole.get(strip.name)
        if row.turns(strip):
            chain.through(strip, following, needle)
            needle.cut()
        elif whole is not None:
            whole.stitch(needle, strip.line[-1], strip.line[-1])
            needle.cut()
        else:
            for action in best_turn(strip, needle, from_tip=True).at_pivot:
                action.stitch(needle)
    return needle.done("")


class _Chain(NamedTuple):
    """Sides that go on into one another.

    Attributes:
        strips: the sides.
        closed: the last goes on into the first.
        words: what to call it beside others; empty if it is the only one.
        whole: the corners that are stitched as a whole where the order leads through them, by the side that ends there.
    """

    strips: tuple[Strip, ...]
    closed: bool
    words: str = ""
    whole: Mapping[str, WholeCorner] = MappingProxyType({})

    def through(self, strip: Strip, following: Strip | None, needle: Needle) -> None:
        """From the place before a side's last pivot through its corner to the one after it."""
        whole = self.whole.get(strip.name)
        if whole is not None and following is not None:
            whole.stitch(needle, strip.line[-2], following.line[1])
        else:
            through_corner(strip, following, needle)

    @property
    def turns(self) -> Iterator[tuple[Strip, Strip | None]]:
        """Each side with the one it goes on into."""
        after = (*self.strips[1:], self.strips[0] if self.closed else None)
        return zip(self.strips, after, strict=True)


def _chains(strips: Sequence[Strip]) -> list[_Chain]:
    """The strips that are stitched by themselves; a border all round is one."""
    first = next((i for i, strip in enumerate(strips) if strip.opening), None)
    if first is None:
        return [_Chain(tuple(strips), closed=True)]
    found: list[list[Strip]] = []
    for strip in (*strips[first:], *strips[:first]):
        if strip.opening:
            found.append([])
        found[-1].append(strip)
    if len(found) == 1:
        return [_Chain(tuple(found[0]), closed=False)]
    return [
        _Chain(
            tuple(chain), closed=False, words=" and ".join(side_and_tier(strip.name)[0] for strip in chain).capitalize()
        )
        for chain in found
    ]


def _by_sections(chain: _Chain, needle: Needle) -> Run:
    """Along the zigzag; at each dot and point, whatever is best begun there."""
    corners = [best_turn(strip, needle) for strip in chain.strips]
    waiting: dict[Point, list[FilledSection]] = {}
    for strip, corner in zip(chain.strips, corners, strict=True):
        for filled, place in (*_triangles(strip, needle), *corner.closed):
            waiting.setdefault(place, []).append(filled)
    first = chain.strips[0]
    if first.opening:
        opening = best_opening(first, needle)
        for filled, place in opening.closed:
            waiting.setdefault(place, []).insert(0, filled)
        for action in opening.at_pivot:
            action.stitch(needle)
    _fill_here(waiting, first.line[0], needle, only=first.name)
    for strip, corner in zip(chain.strips, corners, strict=True):
        for start, end in itertools.pairwise(strip.line):
            needle.diagonal(start, end)
            _fill_here(waiting, end, needle)
        for action in corner.at_pivot:
            action.stitch(needle)
    return needle.done("Section by section")


def _fill_here(
    waiting: dict[Point, list[FilledSection]], place: Point, needle: Needle, only: str | None = None
) -> None:
    here = waiting.pop(place, [])
    for filled in here:
        if only is None or filled.section.side == only:
            needle.fill(filled, place, place)
    left = [filled for filled in here if only is not None and filled.section.side != only]
    if left:
        waiting[place] = left


def _triangles(strip: Strip, needle: Needle) -> Iterator[tuple[FilledSection, Point]]:
    """Each filled triangle of a strip, in the order the zigzag finishes them, and where entering it costs least."""
    for filled in strip.triangles:
        if filled.fill.lines:
            section = filled.section
            # the most usual first: after both its diagonals, after one, before both
            places = [section.right, section.tip, section.left]
            if section.on_mid_line:
                # the corner piece is begun at the pivot, over the same short piece of the diagonal
                places.sort(key=lambda place: place == strip.line[-1])
            yield filled, cheapest(filled, places, needle)[1]


def _zigzag_first(chain: _Chain, needle: Needle) -> Iterator[Run]:
    """Three runs: the zigzag; the fills on the seam; those on the stop line.

    A corner goes with the row whose triangles lead to it: that on the stop line, at an inward corner that on the seam.
    """
    rows = {base: _Row(base, chain) for base in ("inner", "outer")}
    yield _zigzag_alone(chain, needle, [row for row in rows.values() if not row.stitched])
    words = {
        "inner": "Fills on the border seam",
        "outer": f"Fills on the {'outer seam' if needle.outer_seam else 'stop line'}",
    }
    for base, row in rows.items():
        if row.stitched:
            _along_row(chain, row, needle)
            yield needle.done(words[base] + (" and corners" if row.has_corners else ""))


class _Row:
    """The triangles on the seam, or those on the stop line, and the corners that go with them."""

    def __init__(self, base: str, chain: _Chain) -> None:
        """Look which corners those are."""
        self.base = base
        self._chain = chain
        filled = [one for strip in chain.strips for one in strip.of(base)]
        pieces = [
            piece
            for strip in chain.strips
            for piece in (
                *(strip.turn if self.turns(strip) else ()),
                *((strip.beginning,) if strip.beginning and self.opens(strip) else ()),
            )
        ]
        self.has_corners = bool(pieces)
        self.stitched = any(one.fill.lines for one in (*filled, *pieces))

    def turns(self, strip: Strip) -> bool:
        """Whether the corner in which a side ends goes with this row."""
        return any(piece.section.on_seam == (self.base == "inner") for piece in strip.turn[:1])

    def opens(self, strip: Strip) -> bool:
        """Whether the piece with which a strip begins goes with this row."""
        return strip.beginning is not None and strip.beginning.section.on_seam == (self.base == "inner")


def _along_row(chain: _Chain, row: _Row, needle: Needle) -> None:
    """Fill after fill, each from left to right."""
    first = chain.strips[0]
    if row.opens(first):
        through_opening(first, needle)
    for strip, following in chain.turns:
        for filled in strip.of(row.base):
            needle.fill(filled, filled.section.left, filled.section.right)
            needle.cut()
        if row.turns(strip):
            chain.through(strip, following, needle)
            needle.cut()


def _zigzag_alone(chain: _Chain, needle: Needle, rows: Sequence[_Row], left: Collection[str] = ()) -> Run:
    """The zigzag, and the lines across those corners that no row comes to, but for those `left` to the fills."""
    for strip in chain.strips:
        if any(row.opens(strip) for row in rows):
            for line in strip.opening:
                needle.out_and_back(line)
        for start, end in itertools.pairwise(strip.line):
            needle.diagonal(start, end)
        if any(row.turns(strip) for row in rows) and strip.name not in left:
            for line in strip.crossings:
                needle.out_and_back(line)
    return needle.done("Whole zigzag")


def _across(chain: _Chain, needle: Needle) -> Run:
    """Fill across, the diagonal back: every diagonal once."""
    first = chain.strips[0]
    if first.opening:
        through_opening(first, needle)
        needle.line(first.line[1], first.line[0])
    for strip, following in chain.turns:
        line = strip.line
        for i, filled in enumerate(strip.triangles):
            needle.fill(filled, line[i], line[i + 2])
            needle.diagonal(line[i + 2], line[i + 1])
        chain.through(strip, following, needle)
        if following is not None:
            needle.diagonal(following.line[1], following.line[0])
    return needle.done(ACROSS)
