"""Landing on marks: against every subset, and against a shortest path found by scipy."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import lil_matrix
from scipy.sparse.csgraph import dijkstra

from geometry.errors import MarkError
from geometry.fitting import Ask
from geometry.landing import check_stretch, land

TURNED = [(False, False), (False, True), (True, False), (True, True)]


def cost(ask: Ask, dots: tuple[float, ...]) -> float:
    """Squared departures, a half triangle's from half the asked repeat."""
    steps = [after - before - ask.repeat for before, after in itertools.pairwise(dots)]
    halves = [dots[0] - ask.repeat / 2] if ask.turned[0] else []
    halves += [ask.length - dots[-1] - ask.repeat / 2] if ask.turned[1] else []
    return sum(step * step for step in (*steps, *halves))


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(1, 599), min_size=1, max_size=14, unique=True), st.floats(3, 20),
    st.sampled_from(["any", "even", "odd"]), st.sampled_from(TURNED),
)  # fmt: skip
def test_no_subset_of_the_marks_is_better(
    tenths: list[int], repeat: float, number: str, turned: tuple[bool, bool]
) -> None:
    """All subsets are tried, up to 14 marks."""
    ask = Ask(60.0, 4.0, repeat, turned)
    marks = sorted(tenth / 10 for tenth in tenths)
    if all(turned) and number == "even" and len(marks) == 1:
        with pytest.raises(MarkError, match="at least 2 marks"):
            land(ask, marks, "even")
        return
    fit = land(ask, marks, number)  # type: ignore[arg-type]
    ends = ([] if turned[0] else [0.0]), ([] if turned[1] else [60.0])
    best = float("inf")
    for size in range(len(marks) + 1):
        for chosen in itertools.combinations(marks, size):
            dots = (*ends[0], *chosen, *ends[1])
            count = len(dots) - 1 + sum(turned) / 2
            whole = count % 1 == 0
            if dots and count > 0 and (number == "any" or not whole or (count % 2 == 0) == (number == "even")):
                best = min(best, cost(ask, dots))
    assert cost(ask, fit.dots) == pytest.approx(best, rel=1e-6, abs=1e-5)
    assert set(fit.dots) <= {0.0, *marks, 60.0}
    assert fit.count == len(fit.dots) - 1 + sum(turned) / 2
    assert len(fit.feet()) + len(fit.dots) == 2 * fit.count + 1


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(1, 11_999), min_size=30, max_size=120, unique=True), st.floats(3, 12),
    st.sampled_from(["even", "odd"]),
)  # fmt: skip
def test_a_shortest_path_is_no_shorter(hundredths: list[int], repeat: float, number: str) -> None:
    """The same as a graph, each mark once for each parity, given to scipy."""
    ask = Ask(120.0, 4.0, repeat)
    places = [0.0, *sorted(hundredth / 100 for hundredth in hundredths), 120.0]
    size = len(places)
    graph = lil_matrix((2 * size, 2 * size))
    for i, j in itertools.combinations(range(size), 2):
        # scipy takes 0 for no edge at all
        weight = (places[j] - places[i] - repeat) ** 2 + 1e-12
        for parity in (0, 1):
            graph[2 * i + parity, 2 * j + 1 - parity] = weight
    found = dijkstra(graph.tocsr(), indices=0)[2 * size - 2 + (number == "odd")]
    fit = land(ask, places[1:-1], number)  # type: ignore[arg-type]
    assert cost(ask, fit.dots) == pytest.approx(found, rel=1e-6, abs=1e-4)
    assert (fit.count % 2 == 1) == (number == "odd")


def test_marks_every_two_as_on_a_line_stencil_give_the_published_sides() -> None:
    """75 and 39 with a repeat of 3 take 25 and 13 ("Machine Quilting Motifs in Borders, Part 2", kathykwylie.com)."""
    for length, count in ((75, 25), (39, 13)):
        fit = land(Ask(float(length), 4.0, 3.0), [float(mark) for mark in range(1, length)])
        assert fit.count == count
        assert set(fit.repeats()) == {3.0}


@pytest.mark.parametrize(
    ("turned", "marks", "told"),
    [
        ((False, False), [5.0, 10.0], "20 in without a mark, from 10 to 30"),
        ((False, True), [6.0, 12.0, 18.0, 24.0], "6 in without a mark, from 24 to 30"),
    ],
)
def test_a_stretch_no_triangle_spans_is_named(turned: tuple[bool, bool], marks: list[float], told: str) -> None:
    """Where it lies, how long it is, and how long it may be; before a pivot on the stop line half as long."""
    with pytest.raises(MarkError, match=told):
        check_stretch(Ask(30.0, 4.0, 6.0, turned), marks, side="the top side")
