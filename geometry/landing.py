"""Where the zigzag lands when it is guided by marks: the best of them, exactly.

Of the marks along a side some are chosen for the dots, so that the repeats between them come
nearest to the asked one: least sum of squared departures, both pivots being dots, the number
of triangles as allowed. That is a lightest way from pivot to pivot through a graph whose
nodes are the marks, found by dynamic programming.

Marks at equal distances leave many ways equally good. Of those one that is its own mirror
image is taken if there is one, and then the one whose departures lie nearest to the pivots,
where the last few triangles are made a little smaller or larger (common practice, no source).
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import MarkError
from geometry.fitting import Ask, Number, SideFit
from geometry.lengths import about, fraction
from geometry.plane import SAME_POINT

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

LONGEST_STRETCH = 1.5
"""Asked repeats that a stretch without a mark may be long: 6 beside 9, half as long again, is noticed
("Scalloped Quilt Border Tutorial", abrightcorner.com)."""

MOST_MARKS = 400
"""On one side; more is a drawing traced, not a guide, and more triangles than can be drawn."""

NEAR_MIDDLE = 0.25
"""Share of a repeat by which a point may stand off the middle to be on a mark; farther, and the triangle topples."""

FINE = 1000
"""Units to one `SAME_POINT`: marks are whole multiples of that, the asked repeat is known a thousand times finer."""

HEAVY = 1 << 130
"""What one unit of departure weighs against one of distance to a pivot: no sum of distances ever comes near it."""


class Rule(NamedTuple):
    """Which numbers of triangles are allowed: walk `after` from state 0, a step a triangle, to the state `goal`."""

    after: tuple[int, ...]
    goal: int


ANY, EVEN, ODD = Rule((0,), 0), Rule((1, 0), 0), Rule((1, 0), 1)
TWO_OR_MORE, ODD_FROM_THREE = Rule((1, 2, 2), 2), Rule((1, 2, 3, 2), 3)
"""Between two points on the stop line there must be a dot, so a step more than there are triangles."""

FEWEST = {ANY: 1, EVEN: 2, ODD: 1, TWO_OR_MORE: 2, ODD_FROM_THREE: 3}
"""Steps that each rule needs."""


def exactly(count: int) -> Rule:
    """The rule that allows one number only."""
    return Rule((*range(1, count + 1), -1), count)


def land(
    ask: Ask, marks: Sequence[float], number: Number = "any", *, count: float = 0, points: Sequence[float] = (),
    side: str = "a side",
) -> SideFit:  # fmt: skip
    """Choose the marks of one side that the dots land on.

    A pivot on the stop line is no dot but the point of half a triangle: it counts as if there were a dot half the asked
    repeat beyond it.

    Args:
        ask: the side and the repeat asked for.
        marks: inches along the seam from its first pivot, in any order; those on a pivot say nothing.
        number: allowed numbers of triangles; says nothing where there is a half one.
        count: the number of triangles if it was typed; 0: as many as come nearest to the asked repeat.
        points: marks for the points on the stop line, inches along the seam; a point without one near the middle of
            its triangle stands midway.
        side: what the sentence calls the side.

    Raises:
        MarkError: too few marks for the number typed.
    """
    inside = _inside(marks, ask.length)
    beyond = sum(ask.turned) / 2
    rule = exactly(round(count + beyond)) if count else _rule(ask, number)
    needed = (round(count + beyond) if count else FEWEST[rule]) - 1
    if needed > len(inside):
        asked = f"{count:g}" if count else "An even number of" if number == "even" else "Any"
        raise MarkError(
            f"{asked} triangles on {side} need at least {needed} "
            f"{'mark' if needed == 1 else 'marks'} between its pivots, and there are {len(inside)}: please give more "
            "marks, or allow another number."
        )
    chosen = _chosen(_reckoned(ask, inside), _asked(ask), rule)
    places = (0.0, *inside, ask.length)
    dots = tuple(places[place] for place in chosen[int(ask.turned[0]) : len(chosen) - int(ask.turned[1])])
    found = len(chosen) - 1 - beyond
    whole = found if ask.half else round(found)
    mean = ask.length / whole
    return SideFit(ask, whole, "marks", mean, 0, mean, dots, _feet(ask, dots, sorted(points)))


def _rule(ask: Ask, number: Number) -> Rule:
    if all(ask.turned):
        return {"any": TWO_OR_MORE, "even": ODD_FROM_THREE, "odd": EVEN}[number]
    return ANY if ask.half else {"any": ANY, "even": EVEN, "odd": ODD}[number]


def _reckoned(ask: Ask, inside: Sequence[float]) -> list[int]:
    """Pivots and marks as whole units from the first of them, a pivot on the stop line half a repeat farther out."""
    out = _asked(ask) // 2
    start, end = (out if turned else 0 for turned in ask.turned)
    return [0, *(_units(place) + start for place in inside), _units(ask.length) + start + end]


def longest_stretch(ask: Ask, marks: Sequence[float]) -> tuple[float, float]:
    """Where the longest stretch without a mark begins and ends, inches along the seam, pivots counting as marks.

    Beside a pivot on the stop line half a triangle has to span it, so there it counts as twice as long.
    """
    places = (0.0, *_inside(marks, ask.length), ask.length)
    return max(itertools.pairwise(places), key=lambda two: round((two[1] - two[0]) * _halves(ask, *two), 6))


def _halves(ask: Ask, start: float, end: float) -> float:
    return 2.0 if (start == 0 and ask.turned[0]) or (end == ask.length and ask.turned[1]) else 1.0


def check_stretch(ask: Ask, marks: Sequence[float], *, side: str, typed: bool = False) -> None:
    """Refuse marks with a stretch between them that no triangle of about the asked size spans.

    `typed`: the size was given as a number of triangles.

    Raises:
        MarkError: says where, how long it is and how long it may be.
    """
    start, end = longest_stretch(ask, marks)
    halves = _halves(ask, start, end)
    most = LONGEST_STRETCH * ask.repeat / halves
    if end - start > most + SAME_POINT:
        larger = math.ceil(8 * (end - start) * halves / LONGEST_STRETCH) / 8
        raise MarkError(
            f"The marks on {side} leave {about(end - start)} without a mark, from {fraction(start)} to {fraction(end)} in "
            f"after its first pivot; triangles of {about(ask.repeat)} span at most {about(most)}"
            f"{' there' if halves > 1 else ''}: please put a mark in "
            f"between, or ask for {'fewer triangles' if typed else f'a repeat of {about(larger)} or more'}."
        )


def _inside(marks: Sequence[float], length: float) -> list[float]:
    """Marks strictly between the pivots, in order, each once."""
    found: list[float] = []
    for mark in sorted(marks):
        if SAME_POINT < mark < length - SAME_POINT and (not found or mark - found[-1] > SAME_POINT):
            found.append(mark)
    return found


def _units(inches: float) -> int:
    return round(inches / SAME_POINT) * FINE


def _asked(ask: Ask) -> int:
    return round(ask.repeat / SAME_POINT * FINE)


def _chosen(places: list[int], asked: int, rule: Rule) -> list[int]:
    """The numbers of the places on the best way, first and last included; whole numbers, so that equal is equal."""
    last = places[-1]
    flipped = [last - place for place in reversed(places)]
    if all(abs(one - other) <= 2 * FINE for one, other in zip(places, flipped, strict=True)):
        return _chosen_alike(places, asked, rule)
    if flipped < places:
        # of a side and its mirror image one is worked out, and the other follows
        top = len(places) - 1
        return [top - number for number in reversed(_lightest(flipped, asked, rule)[1])]
    return _lightest(places, asked, rule)[1]


def _chosen_alike(places: list[int], asked: int, rule: Rule) -> list[int]:
    """The same where the marks are their own mirror image: so is the way, unless that costs departure."""
    top = len(places) - 1
    half, last = [place // 2 * 2 for place in places[: top // 2 + 1]], places[-1] // 2 * 2
    if top % 2 == 0:
        half[-1] = last // 2
    whole = half + [last - place for place in reversed(half[: top - top // 2])]
    best = _lightest(whole, asked, rule)
    room = math.isqrt(best[0] // HEAVY) + 1
    alike = min(_mirrored(whole, asked, rule, room), default=best)
    return alike[1] if alike[0] // HEAVY == best[0] // HEAVY else best[1]


def _mirrored(places: list[int], asked: int, rule: Rule, room: int) -> Iterator[tuple[int, list[int]]]:
    """Ways that are their own mirror image: to a dot in the middle and on, or over the middle in one triangle."""
    top = len(places) - 1
    there = exactly(rule.goal // 2) if rule.after[-1] < 0 else ANY
    ways = _ways(places[: top // 2 + 1], asked, there, room, places[-1])
    for number in range(top // 2 + 1):
        cost, way = ways.to(number, there.goal)
        centre = 2 * number == top
        if way and _keeps(rule, 2 * (len(way) - 1) + (not centre)):
            over = 0 if centre else _cost(places[number], places[top - number], asked, places[-1])
            back = [top - place for place in reversed(way)]
            yield 2 * cost + over, way + (back[1:] if centre else back)


def _keeps(rule: Rule, count: int) -> bool:
    state = 0
    for _ in range(count):
        state = rule.after[state]
        if state < 0:
            return False
    return state == rule.goal


def _lightest(places: list[int], asked: int, rule: Rule) -> tuple[int, list[int]]:
    """The least cost and its way.

    Triangles far from the asked size are left out at first; what that way costs bounds how far off one of the best
    way can be, so a second look settles it.
    """
    room, last = asked // 4, places[-1]
    while True:
        cost, way = _ways(places, asked, rule, room, last).to(len(places) - 1, rule.goal)
        bound = math.isqrt(cost // HEAVY) + 1 if way else 2 * room + 1
        if way and bound <= room:
            return cost, way
        room = bound


def _cost(start: int, end: int, asked: int, last: int) -> int:
    """Squared departure; after it, far below, the same times the distance to the nearer pivot."""
    off = end - start - asked
    middle = (start + end) // 2
    return off * off * (HEAVY + min(middle, last - middle))


class _Ways(NamedTuple):
    """The least cost of getting to each place in each state, and from where; None where there is no way.

    Where from is one number: that of the place times the states, and the state there.
    """

    cost: list[list[int | None]]
    before: list[list[int]]
    rule: Rule

    def to(self, number: int, state: int) -> tuple[int, list[int]]:
        """Cost and way to a place; the way is empty where there is none."""
        cost = self.cost[number][state]
        if cost is None:
            return 0, []
        way = [number]
        while number:
            number, state = divmod(self.before[number][state], len(self.rule.after))
            way.append(number)
        return cost, way[::-1]


def _ways(places: list[int], asked: int, rule: Rule, room: int, last: int) -> _Ways:
    """Walk from the first place to every other, in triangles no more than `room` longer or shorter than asked."""
    states = len(rule.after)
    cost: list[list[int | None]] = [[0] + [None] * (states - 1)]
    before: list[list[int]] = [[0] * states]
    steps = [(state, after) for state, after in enumerate(rule.after) if after >= 0]
    for number, end in enumerate(places[1:], 1):
        best: list[int | None] = [None] * states
        came = [0] * states
        first = bisect_left(places, end - asked - room)
        for start in range(first, min(number, bisect_right(places, end - asked + room))):
            step = _cost(places[start], end, asked, last)
            for state, after in steps:
                so_far = cost[start][state]
                if so_far is not None:
                    total, known = so_far + step, best[after]
                    if known is None or total < known:
                        best[after], came[after] = total, start * states + state
        cost.append(best)
        before.append(came)
    return _Ways(cost, before, rule)


def _feet(ask: Ask, dots: Sequence[float], marks: Sequence[float]) -> tuple[float, ...]:
    """The foot of each point: the mark nearest to the middle between its dots, or midway; none if all are midway.

    A pivot on the stop line is where it is.
    """
    feet, midway = [], []
    for start, end in itertools.pairwise(dots):
        middle, room = (start + end) / 2, NEAR_MIDDLE * (end - start)
        midway.append(middle)
        feet.append(
            min((mark for mark in marks if abs(mark - middle) <= room), key=lambda m: abs(m - middle), default=middle)
        )
    if feet == midway:
        return ()
    return (*([0.0] if ask.turned[0] else []), *feet, *([ask.length] if ask.turned[1] else []))
