"""Round a corner: the lines across it and its pieces, with the least extra."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.shape import FilledSection
from geometry.graph import MEETING
from geometry.needle import SAME_COST, Needle, Strip, Visit, cheapest
from geometry.plane import Affine, Point, distance_to_piece, flat, length_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.plane import Line
    from geometry.sections import Section


class Action(NamedTuple):
    """One thing done at a corner: a fill from here to there, or a line (new, or out and back when `filled` is None)."""

    filled: FilledSection | None
    line: Line
    twice: bool = False

    def stitch(self, needle: Needle) -> None:
        """Do it."""
        if self.filled is not None:
            needle.fill(self.filled, self.line[0], self.line[-1])
        elif self.twice:
            needle.out_and_back(self.line)
        else:
            needle.line(*self.line)

    def cost(self, needle: Needle) -> float:
        """Its extra."""
        if self.filled is not None:
            return needle.cost(self.filled, self.line[0], self.line[-1])
        return length_of(self.line) if self.twice else 0.0


class Corner(NamedTuple):
    """How a corner is turned in order `sections`: what is done at the pivot, and what is entered elsewhere."""

    at_pivot: tuple[Action, ...]
    closed: tuple[tuple[FilledSection, Point], ...]


def best_turn(strip: Strip, needle: Needle, *, from_tip: bool = False) -> Corner:
    """The corner with the least extra: each line across it out and back, or out and home through a piece beside it.

    With `from_tip` its lines are stitched already and its pieces can be entered from the pivot only.
    """
    if from_tip:
        pieces = [filled for filled in strip.turn if filled.fill.lines]
        return Corner(tuple(Action(filled, (filled.section.tip, filled.section.tip)) for filled in pieces), ())
    return _least(strip.crossings, strip.turn, needle)


def best_opening(strip: Strip, needle: Needle) -> Corner:
    """The same where a strip begins."""
    return _least(strip.opening, [piece for piece in (strip.beginning,) if piece is not None], needle)


def _least(crossings: Sequence[Line], pieces: Sequence[FilledSection], needle: Needle) -> Corner:
    pieces = [filled for filled in pieces if filled.fill.lines]
    closed = {id(filled): cheapest(filled, _gates(filled.section), needle) for filled in pieces}
    best: tuple[float, tuple[Action, ...], set[int]] | None = None
    for actions, used in _ways_round(crossings, pieces):
        cost = sum(action.cost(needle) for action in actions)
        cost += sum(closed[id(filled)][0] for filled in pieces if id(filled) not in used)
        if best is None or cost < best[0] - SAME_COST:
            best = (cost, actions, used)
    actions, used = (best[1], best[2]) if best else ((), set())
    return Corner(actions, tuple((filled, closed[id(filled)][1]) for filled in pieces if id(filled) not in used))


def _gates(section: Section) -> tuple[Point, ...]:
    """The zigzag points at which a corner piece can be entered, the most usual first."""
    if section.tip_only:
        return (section.tip,)
    if section.four_sided:
        return (section.left, section.right, section.tip)
    return (section.left if section.hand == "left" else section.right, section.tip)


def _ways_round(
    crossings: Sequence[Line], pieces: Sequence[FilledSection]
) -> Iterator[tuple[tuple[Action, ...], set[int]]]:
    """Ways to stitch the lines across a corner, pivot to pivot, and the pieces stitched on the way."""
    choices: list[list[tuple[tuple[Action, ...], int | None]]] = []
    for line in crossings:
        ways: list[tuple[tuple[Action, ...], int | None]] = [((Action(None, line, twice=True),), None)]
        for filled in pieces:
            if line[-1] in filled.section.corners:
                through = (Action(None, line), Action(filled, (line[-1], line[0])))
                ways.append((through, id(filled)))
        choices.append(ways)
    for picked in itertools.product(*choices):
        used = [piece for _, piece in picked if piece is not None]
        if len(used) == len(set(used)):
            yield tuple(action for actions, _ in picked for action in actions), set(used)
    for filled in pieces:
        if filled.section.tip_only:
            one, two = crossings
            yield (Action(None, one), Action(filled, (one[-1], two[-1])), Action(None, two[::-1])), {id(filled)}


def through_opening(strip: Strip, needle: Needle) -> None:
    """From the pivot where a strip begins, by way of its piece there, to the place after the pivot."""
    (line,), piece = strip.opening, strip.beginning
    Action(None, line).stitch(needle)
    Action(piece, (line[-1], strip.line[1])).stitch(needle)


def through_corner(strip: Strip, following: Strip | None, needle: Needle) -> None:
    """From the place before a side's last pivot through its corner to the one after it, all pieces and lines stitched.

    Where the strip ends (`following` is None), to that pivot.
    """
    pivot, last = strip.line[-1], strip.line[-2]
    pieces = strip.turn
    if following is None:
        (line,), (piece,) = strip.crossings, pieces
        Action(piece, (last, line[-1])).stitch(needle)
        Action(None, line[::-1]).stitch(needle)
        return
    first = following.line[1]
    if not strip.crossings:
        ways = [[Action(pieces[0], (last, first))]]
    elif len(strip.crossings) == 1:
        (line,) = strip.crossings
        outer = line[-1]
        one, two = pieces
        ways = [
            [Action(one, (last, outer)), Action(None, line[::-1]), Action(two, (pivot, first))],
            [Action(one, (last, pivot)), Action(None, line), Action(two, (outer, first))],
            [Action(one, (last, pivot)), Action(None, line, twice=True), Action(two, (pivot, first))],
        ]
    else:
        ways = list(_through_square(strip, last, first))
    costs = [sum(action.cost(needle) for action in way) for way in ways]
    least = min(costs)
    for action in next(way for way, cost in zip(ways, costs, strict=True) if cost <= least + SAME_COST):
        action.stitch(needle)


def _through_square(strip: Strip, last: Point, first: Point) -> Iterator[list[Action]]:
    """Ways through a square corner.

    Its middle is stitched from the pivot, from the foot of either line, or from one to the other.
    """
    pivot = strip.line[-1]
    near, far = strip.crossings
    foot, other = near[-1], far[-1]
    one, middle, two = strip.turn
    inwards, outwards = Action(None, near[::-1]), Action(None, far)
    there, back = Action(one, (last, foot)), Action(two, (other, first))
    yield [there, inwards, Action(middle, (pivot, pivot)), outwards, back]
    yield [there, Action(middle, (foot, foot)), inwards, outwards, back]
    yield [there, inwards, outwards, Action(middle, (other, other)), back]
    there, back = Action(one, (last, pivot)), Action(two, (pivot, first))
    outwards, inwards = Action(None, near), Action(None, far[::-1])
    yield [there, outwards, Action(middle, (foot, other)), inwards, back]
    twice = (Action(None, near, twice=True), Action(None, far, twice=True))
    yield [there, *twice, Action(middle, (pivot, pivot)), back]


class WholeCorner(NamedTuple):
    """The lines across a corner and the fills of all its pieces, to be stitched as one section.

    On the line between two tiers fills keep off the corners of their bases, and each by itself would be reached over the
    same short piece of a line: so their way is found together, and nothing is gone over more than once.

    Attributes:
        filled: a section as large as the corner, with all lines for its fill.
        pieces: those that have lines.
    """

    filled: FilledSection
    pieces: tuple[FilledSection, ...]

    @classmethod
    def of(cls, strip: Strip, following: Strip) -> WholeCorner | None:
        """That of the corner in which a side ends; None where it has no fill, no line across, or a seam to travel along."""
        pieces = tuple(piece for piece in strip.turn if piece.fill.lines)
        if not pieces or not strip.crossings or not pieces[0].section.on_mid_line:
            return None
        middle = next(
            (piece.section.middle for piece in strip.turn if piece.section.four_sided), strip.crossings[0][-1]
        )
        section = pieces[0].section._replace(corners=(strip.line[-1], strip.line[-2], middle, following.line[1]))
        lines = (*strip.crossings, *(line for piece in pieces for line in piece.fill.lines))
        fill = pieces[0].fill._replace(lines=lines, unbroken=False)
        return cls(FilledSection(section, pieces[0].fill_name, fill, fill, Affine()), pieces)

    def stitch(self, needle: Needle, entry: Point, leave: Point) -> None:
        """From a point of the zigzag to another, or the same."""
        needle.fill(self.filled, entry, leave)
        needle.visits.pop()
        way = [point for leg in needle.latest for point in flat(leg.line)]
        begun = [(_first_on(way, piece), piece.section.name) for piece in self.pieces]
        needle.visits += [Visit(name, way[number]) for number, name in sorted(begun)]


def _first_on(way: Sequence[Point], piece: FilledSection) -> int:
    """Which point of a way is the first that lies on the lines of a piece."""
    parts = [part for line in piece.fill.lines for part in itertools.pairwise(flat(line))]
    return next(
        (i for i, point in enumerate(way) if any(distance_to_piece(point, *part) <= MEETING for part in parts)), 0
    )
