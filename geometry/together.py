"""Counts of triangles that go together on several sides.

Sides of unlike length can seldom all have the asked repeat. Of the counts whose repeats are
within 25 % of it, those go together whose repeats are at most 6.7 % apart, a difference that
is not noticed; nearest to the asked size first. If there are none, those least apart.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from geometry.fitting import Ask, Number, apart, candidates, difference, near
from geometry.plane import NOTICED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

FEW = 5000
"""Ways to combine counts up to which all are looked at; beyond, only those that can be best."""

ROUNDING = 1e-12

AS_DRAWN = 1 / 64
"""Inches by which sides meant to be equal may differ: a quarter of a ruler's finest mark."""


class Choice(NamedTuple):
    """One way to choose: the counts, in the order of the sides, and the repeats they give in inches.

    `apart_pct` is how much the largest repeat exceeds the smallest, `difference_pct` the largest difference from the
    asked one, with its sign. Sides of unlike height that were asked for by angle are compared by their share of the
    asked repeat, which is the same for one height.
    """

    counts: tuple[float, ...]
    repeats_in: tuple[float, ...]
    apart_pct: float
    difference_pct: float


def kinds_of(asks: Sequence[Ask]) -> tuple[Ask, ...]:
    """The different sides, in order; those that differ by less than drawing is accurate to are one kind, the first's."""
    kinds: list[Ask] = []
    for ask in asks:
        if not any(_alike(ask, kind) for kind in kinds):
            kinds.append(_rounded(ask))
    return tuple(kinds)


def kind_of(ask: Ask, kinds: Sequence[Ask]) -> Ask:
    """The kind that a side is of, of those of all sides."""
    return next(kind for kind in kinds if _alike(ask, kind))


def _alike(one: Ask, other: Ask) -> bool:
    """Which of its ends is the turned one makes no difference."""
    pairs = ((one.length, other.length), (one.height, other.height), (one.repeat, other.repeat))
    return bool(one.half) == bool(other.half) and all(abs(a - b) <= AS_DRAWN for a, b in pairs)


def _rounded(ask: Ask) -> Ask:
    """What a side asks, to a billionth of an inch."""
    return Ask(round(ask.length, 9), round(ask.height, 9), round(ask.repeat, 9), (bool(ask.half), False))


def choose_counts(asks: Sequence[Ask], number: Number, *, together: bool) -> tuple[float, ...]:
    """The count of each side: the best choice together, or each side by itself if one is too short for that."""
    kinds = kinds_of(asks)
    if together and len(kinds) > 1 and (found := choices(kinds, number)):
        by_kind = dict(zip(kinds, found[0].counts, strict=True))
        return tuple(by_kind[kind_of(ask, kinds)] for ask in asks)
    return tuple(candidates(ask, number)[0].count for ask in asks)


def choices(kinds: Sequence[Ask], number: Number) -> tuple[Choice, ...]:
    """Ways to choose the counts of different sides, best first; none if one is too short for any.

    The first is the best of all. Of very many ways not all are listed.
    """
    options = [[c.count for c in candidates(kind, number) if near(kind, c.count)] for kind in kinds]
    if not all(options):
        return ()
    if math.prod(map(len, options)) <= FEW:
        found: set[tuple[float, ...]] = set(product(*options))
    else:
        found = set(_promising(kinds, options))
    return tuple(choice_of(kinds, counts) for counts in sorted(found, key=lambda counts: _rank(kinds, counts)))


def best_choices(kinds: Sequence[Ask], number: Number) -> tuple[Choice, ...]:
    """The same, and for one kind of side its nearest counts."""
    if len(kinds) == 1:
        return tuple(choice_of(kinds, (c.count,)) for c in candidates(kinds[0], number))
    return choices(kinds, number)


def choice_of(kinds: Sequence[Ask], counts: tuple[float, ...]) -> Choice:
    """What given counts of different sides come to."""
    repeats = tuple(kind.length / count for kind, count in zip(kinds, counts, strict=True))
    off = [difference(repeat, kind.repeat) for kind, repeat in zip(kinds, repeats, strict=True)]
    return Choice(counts, repeats, apart(_shares(kinds, counts)), max(off, key=abs))


def _shares(kinds: Sequence[Ask], counts: Sequence[float]) -> list[float]:
    return [kind.length / count / kind.repeat for kind, count in zip(kinds, counts, strict=True)]


def _rank(kinds: Sequence[Ask], counts: Sequence[float]) -> tuple[bool, float, float, tuple[float, ...]]:
    shares = _shares(kinds, counts)
    gap = round(apart(shares), 9)
    worst = round(max(abs(math.log(share)) for share in shares), 12)
    if gap <= NOTICED:
        return (False, worst, gap, tuple(counts))
    return (True, gap, worst, tuple(counts))


def _promising(kinds: Sequence[Ask], options: Sequence[Sequence[float]]) -> Iterator[tuple[float, ...]]:
    """Among these is the best of all.

    Take the smallest share of the best choice as known: then each side can choose by itself, the smallest share
    above it (least apart) or, of those not noticeably larger, the one nearest to the asked size.
    """
    shares = [
        sorted((kind.length / count / kind.repeat, count) for count in counts)
        for kind, counts in zip(kinds, options, strict=True)
    ]
    lows = sorted({share for row in shares for share, _ in row})
    nearest: list[tuple[float, ...]] = []
    for low in lows:
        yield from _each(_smallest(row, low) for row in shares)
        high = low * (1 + NOTICED / 100) + ROUNDING
        nearest += _each(_nearest(row, low, high) for row in shares)
    yield from nearest
    if nearest:
        # of those that are as near, the least apart
        worst = _rank(kinds, min(nearest, key=lambda counts: _rank(kinds, counts)))[1] + ROUNDING
        close = [[one for one in row if abs(math.log(one[0])) <= worst] for row in shares]
        for low in lows:
            yield from _each(_smallest(row, low) for row in close)


def _each(found: Iterator[float | None]) -> Iterator[tuple[float, ...]]:
    counts = tuple(found)
    known = tuple(count for count in counts if count is not None)
    if len(known) == len(counts):
        yield known


def _smallest(row: Sequence[tuple[float, float]], low: float) -> float | None:
    place = bisect_left(row, (low - ROUNDING, 0))
    return row[place][1] if place < len(row) else None


def _nearest(row: Sequence[tuple[float, float]], low: float, high: float) -> float | None:
    first, end = bisect_left(row, (low - ROUNDING, 0)), bisect_right(row, (high, math.inf))
    return min(row[first:end], key=lambda one: abs(math.log(one[0])), default=(0.0, None))[1]
