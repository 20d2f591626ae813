"""How many triangles: published examples, and brute force as the oracle."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import CountError
from geometry.fitting import Ask, apart, candidates, check_typed, fit_side, pairs, repeat_of
from geometry.together import choose_counts

lengths = st.floats(5, 130)
heights = st.floats(0.5, 13)
numbers = st.sampled_from(["any", "even", "odd"])


def _repeats(length: float, repeat: float, height: float = 3.6) -> list[float]:
    return [found.repeat_in for found in candidates(Ask(length, height, repeat))]


@pytest.mark.parametrize(
    ("length", "repeat", "count", "used"),
    [
        # "Machine Quilting Motifs in Borders, Part 2" (kathykwylie.com): sides 75 and 39, repeat 3
        pytest.param(75, 3, 25, 3, id="75 by 3"),
        pytest.param(39, 3, 13, 3, id="39 by 3"),
        # "Creating Border Templates" (fifegeek.mttlg.com): 80 to divide by 8 or 10; second side 60 by 10
        pytest.param(80, 10, 8, 10, id="80 by 10"),
        pytest.param(80, 8, 10, 8, id="80 by 8"),
        pytest.param(60, 10, 6, 10, id="60 by 10"),
        # "Scalloped Quilt Border Tutorial" (abrightcorner.com): 64 by 8, and 73 in 9 of about 8
        pytest.param(64, 8, 8, 8, id="64 by 8"),
        pytest.param(73, 8, 9, 73 / 9, id="73 by 8"),
        # "Measuring for a Pieced Border" (quiltyfolk.blogspot.com): 40 / 2.5 = 16
        pytest.param(40, 2.5, 16, 2.5, id="40 by 2.5"),
        # "Easy Piecing Dogtooth Borders" (quilterbydesign.com): 66, unit 3 -> 22 triangles
        pytest.param(66, 3, 22, 3, id="66 by 3"),
        # "Border Size Problems and Solutions" (catbirdquilts.wordpress.com): 40 / 4 -> 10, 36 / 6 -> 6
        pytest.param(40, 4, 10, 4, id="40 by 4"),
        pytest.param(36, 6, 6, 6, id="36 by 6"),
        # "Half size measurements" (old.quiltube.com): finished 38 x 28, units of 2 -> 19 and 14
        pytest.param(38, 2, 19, 2, id="38 by 2"),
        pytest.param(28, 2, 14, 2, id="28 by 2"),
    ],
)
def test_published_examples_come_out_first(length: float, repeat: float, count: int, used: float) -> None:
    """The published count is the best candidate, with the published repeat."""
    best = candidates(Ask(length, 3.6, repeat))[0]
    assert best.count == count
    assert best.repeat_in == pytest.approx(used)


def test_the_example_that_rounds_down_is_among_the_first_two() -> None:
    """75 and 39 at 6: 6.25 and 6.5 ("Machine Quilting Motifs in Borders, Part 2", kathykwylie.com)."""
    assert 6.25 in _repeats(75, 6)[:2]
    assert 6.5 in _repeats(39, 6)[:2]


def test_working_repeats_of_forty() -> None:
    """2, 2.5, 4, 5, 8 and 10 each divide 40 ("Measuring for a Pieced Border", quiltyfolk.blogspot.com)."""
    for repeat in (2, 2.5, 4, 5, 8, 10):
        assert candidates(Ask(40, 3, repeat))[0].difference_pct == pytest.approx(0)


def test_ruler_lines_at_45_degrees_give_triangles_twice_as_long_as_high() -> None:
    """Elementary geometry; the usual diagonals are common practice, no source."""
    assert repeat_of(45, 3.625) == pytest.approx(7.25)
    # equilateral, base 3: height 2.598 ("Easy Piecing Dogtooth Borders", quilterbydesign.com, and geometry)
    assert repeat_of(60, 2.598) == pytest.approx(3, abs=1e-3)


@given(lengths, heights, st.floats(20, 75), numbers)
@settings(max_examples=200, deadline=None, derandomize=True)
def test_candidates_are_the_nearest_of_all_counts(length: float, height: float, angle: float, number: str) -> None:
    """Every count from 1 to 600 as the oracle: nearest by |ln(repeat / asked)|, ties to the smaller."""
    ask = Ask(length, height, repeat_of(angle, height))
    if length / ask.repeat > 400:
        return
    allowed = [n for n in range(1, 600) if number == "any" or (n % 2 == 0) == (number == "even")]
    allowed.sort(key=lambda n: (round(abs(math.log(length / n / ask.repeat)), 12), n))
    found = [c.count for c in candidates(ask, number)]  # type: ignore[arg-type]
    assert len(found) >= 5
    assert found == allowed[: len(found)]


@given(lengths, lengths, heights, st.floats(25, 70))
@settings(max_examples=120, deadline=None, derandomize=True)
def test_counts_chosen_together_are_the_best_of_all(one: float, other: float, height: float, angle: float) -> None:
    """Brute force over all counts: within 25 %, at most 6.7 % apart and nearest; otherwise least apart."""
    repeat = repeat_of(angle, height)
    if max(one, other) / repeat > 60:
        return
    near = [[n for n in range(1, 200) if abs(side / n / repeat - 1) <= 0.25] for side in (one, other)]
    counts = choose_counts([Ask(one, height, repeat), Ask(other, height, repeat)], "any", together=True)
    if not all(near):
        return
    best_gap = min(apart((one / a, other / b)) for a, b in itertools.product(*near))
    gap = apart((one / counts[0], other / counts[1]))
    if abs(one - other) < 1e-6:
        return
    if best_gap > 6.7:
        assert gap == pytest.approx(best_gap, abs=1e-6)
        return

    def worst(pair: tuple[int, ...]) -> float:
        return max(abs(math.log(one / pair[0] / repeat)), abs(math.log(other / pair[1] / repeat)))

    fine = [pair for pair in itertools.product(*near) if apart((one / pair[0], other / pair[1])) <= 6.7]
    assert gap <= 6.7 + 1e-6
    assert worst(counts) == pytest.approx(min(map(worst, fine)), abs=1e-9)


def test_pairs_are_listed_least_apart_first() -> None:
    """All pairs within 25 % of the asked repeat, and no others."""
    found = pairs(Ask(75, 3.6, 6), Ask(39, 3.6, 6))
    assert [p.apart_pct for p in found] == sorted(p.apart_pct for p in found)
    expected = {
        (a, b)
        for a in range(1, 40)
        for b in range(1, 40)
        if abs(75 / a / 6 - 1) <= 0.25 and abs(39 / b / 6 - 1) <= 0.25
    }
    assert {p.counts for p in found} == expected


@given(lengths, heights, st.floats(25, 70), st.integers(1, 6))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_eased_sides_keep_the_asked_size_in_the_middle(length: float, height: float, angle: float, last: int) -> None:
    """No eased triangle is more than 15 % off, and the side is filled exactly."""
    ask = Ask(length, height, repeat_of(angle, height))
    if length / ask.repeat > 300:
        return
    count = candidates(ask)[0].count
    fit = fit_side(ask, count, "ease", last)
    total = (count - 2 * fit.each) * fit.repeat_in + 2 * fit.each * fit.eased_in
    assert total == pytest.approx(length, abs=1e-6)
    assert fit.places()[0] == 0
    assert fit.places()[-1] == length
    possible = [
        each
        for each in range(1, (count - 1) // 2 + 1)
        if abs((length - (count - 2 * each) * ask.repeat) / (2 * each) / ask.repeat - 1) <= 0.15
    ]
    if fit.fit == "ease":
        assert fit.repeat_in == ask.repeat
        assert fit.each in possible
        more = [each for each in possible if each >= last]
        assert fit.each == (min(more) if more else max(possible))
    else:
        assert not possible


@pytest.mark.parametrize(("count", "number"), [(5, "even"), (6, "odd"), (0, "any"), (501, "any")])
def test_a_typed_count_that_cannot_be_had_is_refused(count: int, number: str) -> None:
    """The sentence names the count."""
    with pytest.raises(CountError, match=str(count)):
        check_typed(count, number, side="top and bottom")  # type: ignore[arg-type]
