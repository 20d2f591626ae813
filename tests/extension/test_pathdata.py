"""Path data as anyone may write it: held to a reader of its own, and to what SVG says."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extension.pathdata import MOST_NODES, parse
from geometry.errors import DrawingError
from geometry.plane import Curve, Point, flat

numbers = st.floats(-1e4, 1e4).map(lambda value: round(value, 4))
spots = st.tuples(numbers, numbers)
lines = st.lists(st.lists(spots, min_size=2, max_size=6), min_size=1, max_size=4)


def _absolute(line: list[tuple[float, float]]) -> str:
    return "M " + " L ".join(f"{x},{y}" for x, y in line)


def _packed(line: list[tuple[float, float]]) -> str:
    """Without a letter or space that could be left out."""
    text = "".join(f"{x:+.4f}{y:+.4f}" for x, y in line)
    return f"M{text}".replace("M+", "M").replace("+0.", "+.").replace("-0.", "-.")


def _relative(line: list[tuple[float, float]]) -> str:
    """As the editor writes it: a small m, then steps."""
    x, y = line[0]
    steps = []
    for u, v in line[1:]:
        steps.append(f"{u - x!r},{v - y!r}")
        x, y = x + (u - x), y + (v - y)
    return f"m {line[0][0]},{line[0][1]} {' '.join(steps)}"


def _level(line: list[tuple[float, float]]) -> str:
    """Every step as one across and one down."""
    (x, y), *others = line
    return f"M{x} {y} " + " ".join(f"H {u} V {v}" for u, v in others)


@given(lines)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_the_same_lines_are_read_however_they_are_written(drawn: list[list[tuple[float, float]]]) -> None:
    """Absolute, packed, relative; a subpath that goes nowhere is none."""
    drawn = [[spot for i, spot in enumerate(line) if i == 0 or spot != line[i - 1]] for line in drawn]
    wanted = [line for line in drawn if len(line) > 1]
    for write in (_absolute, _packed):
        read = parse(" ".join(map(write, drawn)))
        assert [list(map(tuple, line)) for line in read] == wanted
    if len(drawn) == 1 and wanted:
        (read,) = parse(_relative(drawn[0]))
        assert all(math.dist(a, b) < 1e-6 for a, b in zip(read, wanted[0], strict=True))
        (read,) = parse(_level(drawn[0]))
        assert read[0] == wanted[0][0]
        assert {tuple(spot) for spot in read} >= set(wanted[0])


@pytest.mark.parametrize("end", ["Z", "z", " z", "L 1,1 Z"])
def test_a_closed_line_comes_home(end: str) -> None:
    """Once, however it is closed, and a line after it begins anew."""
    one, other = parse(f"M 1,1 L 5,1 5,4 {end} m 2,0 l 1,1")
    assert one == (Point(1, 1), Point(5, 1), Point(5, 4), Point(1, 1))
    assert other == (Point(3, 1), Point(4, 2))


@given(spots, spots, spots, spots)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_curve_keeps_its_controls(
    start: tuple[float, float], one: tuple[float, float], two: tuple[float, float], end: tuple[float, float]
) -> None:
    """And one that is straight is read as two points."""
    (a, b), (c, d), (e, f), (g, h) = start, one, two, end
    if math.dist(start, end) < 1:
        return
    (read,) = parse(f"M {a},{b} C {c},{d} {e},{f} {g},{h}")
    points = [Point(*spot) for spot in (start, one, two, end)]
    assert read == (Curve(points) if isinstance(read, Curve) else (points[0], points[3]))
    (straight,) = parse(f"M {a},{b} C {a},{b} {g},{h} {g},{h}")
    assert straight == (points[0], points[3])


@pytest.mark.parametrize(
    "data",
    [
        "M 0,2 A 2,2 0 0 1 2,0",
        "M 0 2 a 2 2 0 01 2-2",
        "M0,2A2,2,0,0,1,2,0",
        "M0 2a2 2 0 012-2",
        "M 4 2 m-4 0a2 2-45 0 1 2-2",
    ],
)
def test_an_arc_is_round(data: str) -> None:
    """A quarter of a circle of radius 2 about (2, 2)."""
    (read,) = parse(data)
    assert math.dist(read[0], (0, 2)) < 1e-9
    assert math.dist(read[-1], (2, 0)) < 1e-9
    assert all(math.dist(spot, (2, 2)) == pytest.approx(2, abs=0.004) for spot in flat(read))
    assert all(0 <= spot.x <= 2 + 1e-9 and -1e-9 <= spot.y <= 2 for spot in flat(read))


def test_quadratic_and_smooth_curves_go_where_they_say() -> None:
    """Q, T and S, to their ends and through the middle that is known of a parabola."""
    (read,) = parse("M 0,0 Q 2,4 4,0 T 8,0")
    assert read[::3] == (Point(0, 0), Point(4, 0), Point(8, 0))
    assert min(math.dist(spot, (2, 2)) for spot in flat(read)) < 0.1
    assert min(math.dist(spot, (6, -2)) for spot in flat(read)) < 0.1
    (read,) = parse("M 0,0 C 1,2 3,2 4,0 S 7,-2 8,0")
    assert read[4] == Point(5, -2)


@pytest.mark.parametrize(
    "data", ["", "M 1,1", "M 1,1 Z", "M 1,1 L 1,1", "m 0,0 0,0", "L 1,1", "nonsense", "M 1,1 L nan,nan", "M 1,1 A 1 1 0 0 1 1 1"]
)  # fmt: skip
def test_what_goes_nowhere_is_no_line(data: str) -> None:
    """SVG shows nothing of it either."""
    assert parse(data) == ()


@pytest.mark.parametrize(
    "data",
    [
        "M 0,0 L 1e999,1",
        "M -1e400,1 L 2,2",
        "m 0,0 c 1,1 2,2 1e309,3",
        "M 1e150,2 L 3,-1e155",
        "M 0,0 A 1e999 1 0 0 1 2 2",
    ],
)
def test_numbers_beyond_all_measure_are_refused(data: str) -> None:
    """By name, in one sentence."""
    with pytest.raises(DrawingError, match=r"^The path “scrawl” cannot be read; it must be .*: please .*\.$"):
        parse(data, "scrawl")


@pytest.mark.parametrize(
    "data",
    [
        "M 0,0 L " + "1,1 2,2 " * MOST_NODES,
        "m0 0" + "l0 1l0-1" * MOST_NODES,
        "M0 0" + "-.1.1" * (2 * MOST_NODES),
        " " * (61 * MOST_NODES),
    ],
    ids=["plain", "packed", "without a space", "nothing but space"],
)
def test_a_million_nodes_are_refused_before_they_are_read(data: str) -> None:
    """A traced picture; the sentence says what to do about it."""
    with pytest.raises(
        DrawingError, match=r"^“scan” has very many nodes, .* at most 100,000: please simplify it .*\.$"
    ):
        parse(data, "scan")
