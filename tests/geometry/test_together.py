"""Counts that go together, against every combination; and the width at which an angle fits, against a fine search."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from geometry.fitting import Ask
from geometry.together import choose_counts, kind_of, kinds_of
from geometry.true_width import Widening, true_width

NOTICED = 1.067
"""7.5 beside 8 is not noticed ("Scalloped Quilt Border Tutorial", abrightcorner.com)."""


@st.composite
def sides(draw: st.DrawFn) -> list[Ask]:
    """Two to four sides of an outline, some ending in one inward corner."""
    repeat = draw(st.floats(4, 9))
    count = draw(st.integers(2, 4))
    return [
        Ask(draw(st.floats(12, 70)), 3.6, repeat, (False, draw(st.booleans()))) for _ in range(count)
    ]  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(sides(), st.sampled_from(["any", "even", "odd"]))
def test_no_combination_of_counts_is_better(asks: list[Ask], number: str) -> None:
    """Within 25 %: not noticeably apart and nearest to the asked size; or, if there is none, least apart."""
    kinds = kinds_of(asks)
    options = []
    for ask in kinds:
        counts = [n + ask.half for n in range(200) if n + ask.half > 0]
        near = [n for n in counts if abs(ask.length / n / ask.repeat - 1) <= 0.25 + 1e-12]
        options.append([n for n in near if number == "any" or ask.half or (n % 2 == 0) == (number == "even")])

    def rank(counts: tuple[float, ...]) -> tuple[bool, float]:
        shares = [ask.length / count / ask.repeat for ask, count in zip(kinds, counts, strict=True)]
        apart = max(shares) / min(shares)
        worst = max(abs(math.log(share)) for share in shares)
        return (False, worst) if apart <= NOTICED + 1e-9 else (True, apart)

    found = choose_counts(asks, number, together=True)  # type: ignore[arg-type]
    if len(kinds) > 1 and all(options):
        best = min(map(rank, itertools.product(*options)))
        by_kind = dict(zip(kinds_of(asks), range(len(kinds)), strict=True))
        drawn = [0.0] * len(kinds)
        for ask, count in zip(asks, found, strict=True):
            drawn[by_kind[kind_of(ask, kinds)]] = count
        assert rank(tuple(drawn)) == pytest.approx(best, abs=1e-7)
    for ask, count in zip(asks, found, strict=True):
        assert count % 1 == ask.half


@settings(max_examples=60, deadline=None)
@given(st.floats(30, 80), st.floats(30, 80), st.sampled_from([40.0, 45.0, 50.0]), st.booleans())
@example(50.0, 58.25, 50.0, True)  # noqa: FBT003 - a value tried
def test_no_nearer_width_fits_the_angle(one: float, other: float, angle: float, half: bool) -> None:
    """A search in steps of 1/500 in finds none nearer at which one side fits exactly and the others to 1/8 in."""
    sides_ = [Widening(one, 3.625), Widening(other, 3.625, -1.0 if half else -2.0, 0.5 if half else 0)]
    found = true_width(sides_, angle, 4.0)
    per_height = 2 / math.tan(math.radians(angle))

    def missed(more: float) -> list[float]:
        rests = []
        for side in sides_:
            length, repeat = side.length + side.rate * more, per_height * (side.height + more)
            count = max(round(length / repeat - side.half) + side.half, 0.5 if side.half else 1)
            rests.append(abs(length - count * repeat))
        return rests

    if found is not None:
        assert abs(found.told_in) <= 0.5 + 1 / 16
        assert min(missed(found.more_in)) < 1e-9
        assert max(missed(found.more_in)) <= 1 / 8 + 1e-9
        limit = abs(found.more_in) - 0.01
    else:
        limit = -1.0  # the width as it is may fit already, or the nearest may round to it
    for step in range(500):
        for more in (step / 500, -step / 500):
            if abs(more) < limit and abs(more) > 1 / 16:
                rests = missed(more)
                assert not (min(rests) < 1e-4 and max(rests) <= 1 / 8 - 0.01)
