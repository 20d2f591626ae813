"""Speed and memory, reported as ratios within one run: `uv run pytest tests/benchmarks --benchmark-sort=name -s`."""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
import time
from typing import TYPE_CHECKING, Any

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out
from geometry.plane import Point
from geometry.route import web

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from geometry.graph import Kind
    from geometry.plane import Line


def test_a_king_size_border_costs_little_more_than_an_effect_that_does_nothing(
    king: Path, beside: Callable[..., Any]
) -> None:
    """Whole processes on the same document, taken in turn; medians of nine."""
    rows = []
    for fill in CATALOGUE:
        border = [
            sys.executable, "-I", "-m", "extension.border", str(king), "--id=edge", "--width=10", f"--fill={fill}",
            "--spacing=0.75",
        ]  # fmt: skip
        told = beside(border, king, 9)
        memory = told.memory / told.memory_of_nothing
        rows.append((fill, told.ratio, memory))
        print(
            f"\n{fill}: {told.seconds:.3f} s, an effect that does nothing {told.nothing:.3f} s; ratio {told.ratio:.2f}, "
            f"memory {memory:.2f}", end="",
        )  # fmt: skip
    assert all(ratio <= 1.4 for fill, ratio, _ in rows if fill == "diamonds")
    assert all(memory <= 1.5 for *_, memory in rows)


@pytest.mark.parametrize("count", [10, 100])
def test_cost_by_number_of_triangles(benchmark: Callable[..., object], count: int) -> None:
    """The plan of `count` triangles a side: compare the two rows."""
    request = Request(130, 130, (3.0,) * 4, size="count", across=count, down=count, number="any", spacing=0.3)
    plan = benchmark(lay_out, request)
    assert len(plan.sections) == 4 * (2 * count - 1) + 8  # type: ignore[attr-defined]


@pytest.mark.parametrize("fill", ["crosshatch", "fans", "meander", "diamonds"])
def test_ten_times_the_sections_cost_about_ten_times_the_work(fill: str) -> None:
    """Plan and runs of triangles alike in size, ten and a hundred a side; medians of five, taken in turn."""
    requests = [
        Request(
            10 + 6 * count,
            10 + 6 * count,
            (3.0,) * 4,
            size="count",
            across=count,
            down=count,
            number="any",
            spacing=0.5,
            fill=fill,
        )
        for count in (10, 100)
    ]
    took: list[list[float]] = [[], []]
    for seed in range(1, 6):
        for request, found in zip(requests, took, strict=True):
            # lines of free motion are remembered; those of another seed are not yet
            began = time.perf_counter()
            lay_out(request._replace(seed=seed)).runs()
            found.append(time.perf_counter() - began)
    few, many = map(statistics.median, took)
    print(f"\n{fill}: {few:.3f} s and {many:.3f} s for ten times the sections; {many / few:.1f} times the work", end="")


def test_a_tangle_drawn_by_hand(tangle: list[Line]) -> None:
    """A section of 2,000 crossings and more, from its lines to its run: the least of three."""
    left, right, tip = Point(0.0, 0.0), Point(24.0, 0.0), Point(12.0, 12.0)
    roads: list[tuple[Kind, Line]] = [("stitched", (left, tip)), ("stitched", (tip, right)), ("seam", (left, right))]
    took = []
    for _ in range(3):
        began = time.perf_counter()
        woven = web(tangle, roads, (left, tip, right))
        found = woven.route(right, right)
        took.append(time.perf_counter() - began)
    crossings = sum(len(edges) >= 4 for edges in woven.graph.around)
    apart = 100 * (found.extra / found.bound - 1) if found.bound else 0.0
    print(f"\n{crossings} crossings routed in {min(took):.2f} s, {apart:.2f} % above the bound", end="")
    assert crossings >= 2000


WHEEL = [
    (50 + 30 * math.cos(2 * t) - 10 * math.cos(9 * t), 50 + 20 * math.sin(2 * t) - 10 * math.sin(9 * t))
    for t in (2 * math.pi * i / 10_000 for i in range(10_000))
]


def test_a_king_size_border_of_a_motif_of_ten_thousand_nodes(king: Path, beside: Callable[..., Any]) -> None:
    """Whole process, median of three: 10 in wide, and 4 in wide with more than twice as many triangles."""
    data = " ".join(f"{x:.4f},{y:.4f}" for x, y in WHEEL)
    drawn = king.read_text(encoding="utf-8").replace("</svg>", f'<path id="wheel" d="M {data} Z"/></svg>')
    king.write_text(drawn, encoding="utf-8")
    for width in ("10", "4"):
        border = [
            sys.executable, "-I", "-m", "extension.border", str(king), "--id=edge", "--fill=motif", "--motif=wheel",
            f"--width={width}",
        ]  # fmt: skip
        told = beside(border, king, 3)
        print(f"\n{width} in wide: {told.seconds:.2f} s, {told.memory:.0f} MB", end="")


@pytest.mark.parametrize(("tiled", "most"), [("false", 10.0), ("true", 15.0)])
def test_a_king_size_booklet_costs_a_few_effects_that_do_nothing(
    tiled: str, most: float, king: Path, beside: Callable[..., Any]
) -> None:
    """Whole processes in turn, medians of five: at most 2 and 3 s beside an effect of 0.2 s."""
    bordered = king.with_name("bordered.svg")
    draw = ["-m", "extension.command", "border", str(king), "--id=edge", "--width=10", "--spacing=0.75"]
    subprocess.run([sys.executable, *draw, "-o", str(bordered)], check=True)
    booklet = [sys.executable, "-m", "extension.command", "booklet", str(bordered), f"--tiled={tiled}"]
    told = beside(booklet, king, 5)
    print(
        f"\nbooklet, tiled {tiled}: {told.seconds:.2f} s, an effect that does nothing {told.nothing:.2f} s; "
        f"ratio {told.ratio:.1f}, {told.memory:.0f} MB", end="",
    )  # fmt: skip
    assert told.ratio <= most


@pytest.mark.parametrize(
    ("unlike", "most"), [(0.0, 1.5), (0.02, 3.0)], ids=["patchwork of one unit", "every mark a little off"]
)
def test_twelve_sides_with_a_hundred_marks_each_cost_little_more_than_an_effect_that_does_nothing(
    unlike: float, most: float, tmp_path: Path, beside: Callable[..., Any]
) -> None:
    """Whole processes on the same document, taken in turn; medians of nine.

    Where every mark is a little off no two triangles are congruent, and each one's fill is routed by itself.
    """
    corners = [
        (85 + 80 * math.cos(math.radians(30 * i - 105)), 85 + 80 * math.sin(math.radians(30 * i - 105)))
        for i in range(12)
    ]
    outline = " ".join(f"{x:.6f},{y:.6f}" for x, y in corners)
    document = tmp_path / "twelve.svg"
    document.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="170in" height="170in" viewBox="0 0 170 170">'
        f'<path id="edge" d="M {outline} Z"/></svg>', encoding="utf-8",
    )  # fmt: skip
    marks = "; ".join(
        ", ".join(f"{0.385 * i + unlike * math.sin(i * side):.3f}" for i in range(1, 101)) for side in range(1, 13)
    )
    border = [
        sys.executable, "-I", "-m", "extension.border", str(document), "--id=edge", "--width=4", "--fit=marks",
        f"--marks={marks}",
    ]  # fmt: skip
    told = beside(border, document, 9)
    print(f"\n{told.seconds:.3f} s, an effect that does nothing {told.nothing:.3f} s; ratio {told.ratio:.2f}", end="")
    assert told.ratio <= most
