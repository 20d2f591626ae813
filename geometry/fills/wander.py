"""The way round a tree as a smooth line.

The way keeps a fixed distance from the twigs; where it comes too near to itself it is pushed
apart. Seen as guides of a cubic B-spline its points give a curve without any kink, which
cannot cross itself, because a tree's outline does not.
"""

from __future__ import annotations

import cmath
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.room import from_piece
from geometry.fills.tree import pairs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.fills.room import Room
    from geometry.fills.tree import Tree

ROUND = 0.4
"""Spacings from a twig to the way round it."""

_STEP = math.radians(100)
"""One guide of the way for each such angle round a spot."""

_OPENING = math.radians(70)
"""No guides within this angle of where the way is opened towards a corner."""

_LEAD = 0.6
"""Share of the way from a corner to its spot at which the line still lies on the corner's fan."""

_FREE, _GIVE, _MOST = 0.9, 0.55, 0.6
"""Spacings a guide should be from other twigs; by which share of what is wanting it steps back, at most so near."""

_BESIDE = 2.0
"""Spacings from a spot to twigs beside which its guides, about 0.6 from it, may still step back."""

_APART, _NEXT, _PUSH, _ROUNDS, _FROM_WALL = 0.75, 0.45, 0.35, 4, 0.4
"""Spacings within which guides push each other apart, and those of one bend; how hard, how often, how near to a wall."""

_AFRESH, _MOVED = 2, 0.1
"""Rounds after which neighbours are looked up afresh, and spacings by which they may meanwhile have come nearer."""

_TIGHT, _EASE = 0.2, 0.12
"""Spacings of radius below which a bend is eased, and by how much in a round."""


class _Guide(NamedTuple):
    """A point of the way: the spot it passes, in which direction from there, and where."""

    spot: int
    angle: float
    place: complex


def way_round(tree: Tree, room: Room, spacing: float, trunk: int) -> list[complex]:
    """Guides of the way round a tree, from the first corner back to it.

    With a trunk (see `grow`): of the way above the trunk, from its last corner to the first.
    """
    guides = list(_all_round(tree, spacing))
    end = max(0, trunk - 1)
    after = _opened(guides, tree, room, end)[1]
    before = _opened(guides, tree, room, 0)[0]
    # where a single spot is both ends of the trunk, the line is but one bow over it
    bow = trunk and not tree.joined[0]
    count = 0 if bow or min(after, before) < 0 else (before - after) % len(guides) + 1
    way = [guides[(after + i) % len(guides)].place for i in range(count)]
    out, home = (0.5, 0.5) if trunk else (1 / 3, 2 / 3)
    return _spread(
        [room.corners[end], _lead(tree, room, end, out), *way, _lead(tree, room, 0, home), room.corners[0]],
        room,
        spacing,
    )


def _lead(tree: Tree, room: Room, number: int, share: float) -> complex:
    """A guide near a corner, `share` of its angle from the wall that begins there."""
    corner = room.corners[number]
    ahead = room.corners[(number + 1) % len(room.corners)] - corner
    far = _LEAD * abs(tree.spots[tree.corners[number]] - corner)
    return corner + cmath.rect(far, cmath.phase(ahead) + share * room.angle(number))


def _opened(guides: Sequence[_Guide], tree: Tree, room: Room, number: int) -> tuple[int, int]:
    """The last guide before and the first after the opening towards a corner; -1 if none is left."""
    spot = tree.corners[number]
    towards = cmath.phase(room.corners[number] - tree.spots[spot])
    count = len(guides)
    here = {i: (guide.angle - towards) % (2 * math.pi) for i, guide in enumerate(guides) if guide.spot == spot}
    cut = {i for i, angle in here.items() if min(angle, 2 * math.pi - angle) < _OPENING}
    if len(cut) == count:
        return -1, -1
    if not cut:
        after = min(here, key=here.__getitem__)
        return (after - 1) % count, after
    first = next(i for i in cut if (i - 1) % count not in cut)
    last = next(i for i in cut if (i + 1) % count not in cut)
    return (first - 1) % count, (last + 1) % count


def _all_round(tree: Tree, spacing: float) -> Iterator[_Guide]:
    """Guides all the way round, each twig passed on both sides."""
    spots = tree.spots
    if not tree.joined[0]:
        for number in range(4):
            angle = cmath.phase(spots[0]) + (number + 0.5) * math.pi / 2
            yield _Guide(0, angle, spots[0] + cmath.rect(ROUND * spacing * math.sqrt(2), angle))
        return
    around = [
        sorted((cmath.phase(spots[other] - here), other) for other in others)
        for here, others in zip(spots, tree.joined, strict=True)
    ]
    turning = {
        (other, here): (angle, *ring[(i + 1) % len(ring)])
        for here, ring in enumerate(around)
        for i, (angle, other) in enumerate(ring)
    }
    beside = [_beside(tree, here, spacing) for here in range(len(spots))]
    start = before, here = 0, around[0][0][1]
    while True:
        angle, next_angle, after = turning[before, here]
        sweep = (next_angle - angle) % (2 * math.pi) or 2 * math.pi
        yield from _past(spots[here], here, angle, sweep, beside[here], spacing)
        before, here = here, after
        if (before, here) == start:
            return


def _past(
    spot: complex, here: int, start: float, sweep: float, beside: Sequence[tuple[complex, complex]], spacing: float
) -> Iterator[_Guide]:
    """Guides in the angle between two neighbouring twigs of a spot, or all round the end of one; `beside`: other twigs."""
    count = max(1, round(sweep / _STEP))
    half = sweep / (2 * count)
    out = ROUND * spacing / math.sin(half)
    if count == 1:
        out *= 1 + 0.3 * min(1.0, max(0.0, 2 - sweep / (math.pi / 3)))  # a narrow crotch is rounded out
    elif count > 3:  # noqa: PLR2004
        out *= 1.1  # a twig's end is a little fuller than the twig
    for number in range(count):
        angle = start + (2 * number + 1) * half
        ray = cmath.rect(1.0, angle)
        place = spot + ray * out
        free = min([from_piece(place, *twig) for twig in beside], default=math.inf)
        wanting = max(0.0, _FREE * spacing - free)
        yield _Guide(here, angle, spot + ray * max(_MOST * out, out - _GIVE * wanting))


def _beside(tree: Tree, here: int, spacing: float) -> list[tuple[complex, complex]]:
    """The twigs of other spots that guides of this one may come too near to."""
    spot, spots = tree.spots[here], tree.spots
    twigs = [(spots[one], spots[other]) for one in tree.near[here] for other in tree.joined[one] if one < other != here]
    return [twig for twig in twigs if from_piece(spot, *twig) < _BESIDE * spacing]


def _spread(guides: list[complex], room: Room, spacing: float) -> list[complex]:
    """Push guides of different stretches apart, but none too near to a wall; the first two and last two stay."""
    last = len(guides) - 2
    near: list[tuple[int, int, float]] = []
    for count in range(_ROUNDS):
        if count % _AFRESH == 0:
            # guides that follow each other belong to one bend; closer together they would make it sharp
            near = [
                (one, other, (_APART if abs(one - other) > 2 else _NEXT) * spacing)  # noqa: PLR2004
                for one, other in pairs(guides, (_APART + _MOVED) * spacing)
            ]
        pushed = [0j] * len(guides)
        for one, other, reach in near:
            gap = guides[one] - guides[other]
            if abs(gap) < reach:
                push = gap * (_PUSH * (reach / (abs(gap) or reach) - 1))
                pushed[one] += push
                pushed[other] -= push
        for number in range(2, last):
            here = guides[number]
            chord, bend = guides[number + 1] - guides[number - 1], guides[number + 1] + guides[number - 1] - 2 * here
            # the curve's radius there is the cube of half the chord by its bend across
            across = abs((chord.conjugate() * bend).imag)
            if abs(chord) ** 3 < 4 * _TIGHT * spacing * across:
                pushed[number] += _EASE * bend
            moved = here + pushed[number]
            if pushed[number] and room.from_walls(moved) > _FROM_WALL * spacing:
                guides[number] = moved
    return guides


def smooth(guides: Sequence[complex]) -> list[complex]:
    """A curve from the first guide to the last, led by those between: a uniform cubic B-spline.

    Returns:
        its Béziers: a node, two controls, a node, …; neighbours agree in direction and in bend.
    """
    padded = [*guides, 2 * guides[-1] - guides[-2]]
    curve = [guides[0]]
    for one, two, three in zip(padded, padded[1:], padded[2:], strict=False):
        curve += [(2 * one + two) / 3, (one + 2 * two) / 3, (one + 4 * two + three) / 6]
    return curve
