"""The marking chart and strip: nothing adds up, both pivots are met, every dot is there."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.marks import Rounded, base_ticks, charts, fill_dots, pieces
from geometry.pattern import pattern_of
from geometry.plan import Request, lay_out

MM = 25.4
"""Millimetres to the inch, exact since 1959 (addendum to National Bureau of Standards circular 572)."""

sizes = st.floats(20, 120)
widths = st.floats(2, 8)


def _value(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


@given(sizes, sizes, widths, st.sampled_from([8, 16]), st.sampled_from(["even", "ease"]))
@settings(max_examples=60, deadline=None)
def test_no_dot_is_told_further_than_half_a_graduation_from_its_place(
    wide: float, tall: float, width: float, parts: int, fit: str
) -> None:
    """Each by itself, from the corner and from the centre, in inches and in millimetres: errors cannot add up."""
    pattern = pattern_of(lay_out(Request(wide + 20, tall + 20, (width,) * 4, fit=fit, fill="none")))
    for chart in charts(pattern, parts):
        for mark in (*chart.dots, *chart.points, *chart.quarters):
            exact_corner = min(mark.place, chart.length - mark.place)
            exact_centre = abs(mark.place - chart.length / 2)
            for told, exact in ((mark.corner, exact_corner), (mark.centre, exact_centre)):
                assert abs(float(_value(told.text)) - exact) <= 0.5 / parts + 1e-9
                assert abs(told.mm - exact * MM) <= 0.5 + 1e-9


@given(sizes, sizes, widths)
@settings(max_examples=40, deadline=None)
def test_the_first_and_last_dot_are_the_pivots(wide: float, tall: float, width: float) -> None:
    """At nothing from their corners, half the side from the centre, and the chart says that it closes."""
    for chart in charts(pattern_of(lay_out(Request(wide + 20, tall + 20, (width,) * 4, fill="none")))):
        assert chart.closes
        assert (chart.dots[0].corner.text, chart.dots[-1].corner.text) == ("0", "0")
        assert chart.dots[0].centre.exact == pytest.approx(chart.length / 2)
        assert [mark.number for mark in chart.dots] == list(range(len(chart.dots)))
        assert [mark.number for mark in chart.points] == list(range(1, len(chart.dots)))


def test_every_side_is_charted_and_sides_alike_share_one() -> None:
    """48 x 64 in, border 4 in, repeat 8: six dots on top and bottom, eight on the long sides."""
    found = charts(pattern_of(lay_out(Request(48, 64, (4,) * 4, size="repeat", repeat=8))))
    assert [chart.sides for chart in found] == [("top", "bottom"), ("right", "left")]
    assert [mark.corner.text for mark in found[0].dots] == ["0", "8", "16", "16", "8", "0"]
    assert [mark.corner.text for mark in found[0].points] == ["4", "12", "20", "12", "4"]
    assert [mark.from_end for mark in found[0].dots] == [False] * 3 + [True] * 3
    assert [mark.corner.text for mark in found[1].quarters] == ["14", "28", "14"]
    assert all(chart.mirrored for chart in found)


def test_a_moved_end_is_noticed() -> None:
    """The chart of a border whose first dot was moved by hand does not close."""
    pattern = pattern_of(lay_out(Request(48, 64, (4,) * 4)))
    side = pattern.sides[0]
    moved = replace(side, dots=(side.dots[0].plus(side.dots[1].minus(side.dots[0]).times(0.1)), *side.dots[1:]))
    chart = charts(replace(pattern, sides=(moved, *pattern.sides[1:])))[0]
    assert not chart.closes
    assert not chart.mirrored


@given(st.floats(0.5, 200), st.floats(3, 12), st.floats(0.1, 1))
def test_the_strip_s_pieces_cover_the_side_and_overlap_alike(length: float, most: float, join: float) -> None:
    """None longer than the sheet, each beginning so much before the last one's end."""
    found = pieces(length, most, join)
    assert found[0].start == 0
    assert found[-1].end == length
    for one, other in itertools.pairwise(found):
        assert one.end - other.start == pytest.approx(join)
    assert all(0 < piece.end - piece.start <= most + 1e-9 for piece in found)
    assert len(found) == max(1, math.ceil((length - join) / (most - join) - 1e-9))


@pytest.mark.parametrize("fill", ["diamonds", "fans", "wedges", "channels"])
def test_the_fill_s_own_dots_are_its_nodes(fill: str) -> None:
    """Measured from the left dot along the base and square to it, they lead back to the nodes drawn."""
    pattern = pattern_of(lay_out(Request(60, 72, (6,) * 4, fill=fill)))
    for section in (*pattern.of("right", "inner"), *pattern.of("left", "outer")):
        left, right, tip = section.corners
        ahead = right.minus(left).times(1 / math.dist(left, right))
        up = tip.minus(left).minus(ahead.times((tip.x - left.x) * ahead.x + (tip.y - left.y) * ahead.y))
        up = up.times(1 / math.hypot(*up))
        nodes = [node for line in section.lines for node in (line[::3] if fill == "fans" and len(line) > 3 else line)]
        for dot in fill_dots(section):
            spot = left.plus(ahead.times(dot.along)).plus(up.times(dot.up))
            assert min(math.dist(spot, node) for node in nodes) < 1e-6


def test_ticks_of_a_base_are_where_its_fill_touches_it() -> None:
    """Diamonds stand on the middle of their base; on the triangle next to a pivot the feet keep clear of the dots."""
    pattern = pattern_of(lay_out(Request(60, 72, (6,) * 4)))
    middle = base_ticks(pattern.section("top-in-2"))
    assert [round(spot.x, 6) for spot in middle] == [24]
    assert len(base_ticks(pattern.section("top-in-1"))) == 3


def test_rounding_is_written_as_a_ruler_shows_it() -> None:
    """7 1/8, 8, 3/16."""
    assert [Rounded.of(value, 16).text for value in (7.125, 8.0, 0.19)] == ["7 1/8", "8", "3/16"]
    assert Rounded.of(4.875, 8).mm == 124
