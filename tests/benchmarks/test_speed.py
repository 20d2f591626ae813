"""Speed and memory, reported as ratios within one run: `uv run pytest tests/benchmarks --benchmark-sort=name -s`."""

from __future__ import annotations

import math
import statistics
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

NO_OP = "import inkex\nclass Nothing(inkex.EffectExtension):\n    def effect(self):\n        pass\nNothing().run()\n"

KING = '<svg xmlns="http://www.w3.org/2000/svg" width="110in" height="112in" viewBox="0 0 110 112"><rect id="edge" x="3" y="2" width="104" height="108"/></svg>'


WATCH = """
import os, subprocess, sys, time
began = time.perf_counter()
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, usage = os.wait4(process.pid, 0)
print(time.perf_counter() - began, usage.ru_maxrss, os.waitstatus_to_exitcode(status))
"""
"""A process is measured from a small one: a child's peak never reads less than its parent's size."""


def _measure(command: list[str]) -> tuple[float, int]:
    """Seconds and peak kilobytes of one whole process, its output thrown away."""
    told = subprocess.run(
        [sys.executable, "-I", "-S", "-c", WATCH, *command], check=True, capture_output=True, text=True
    )
    took, peak, code = told.stdout.split()
    assert code == "0", told.stderr
    return float(took), int(peak)


def test_a_king_size_border_costs_little_more_than_an_effect_that_does_nothing(tmp_path: Path) -> None:
    """Whole processes on the same document, taken in turn; medians of nine."""
    document = tmp_path / "king.svg"
    document.write_text(KING, encoding="utf-8")
    nothing = tmp_path / "nothing.py"
    nothing.write_text(NO_OP, encoding="utf-8")
    floor = [sys.executable, str(nothing), str(document)]
    rows = []
    for fill in CATALOGUE:
        border = [
            sys.executable, "-I", "-m", "extension.border", str(document), "--id=edge", "--width=10", f"--fill={fill}",
            "--spacing=0.75",
        ]  # fmt: skip
        runs = [(_measure(border), _measure(floor)) for _ in range(9)]
        ours, theirs = (statistics.median(run[i][0] for run in runs) for i in (0, 1))
        memory = max(run[0][1] for run in runs) / max(run[1][1] for run in runs)
        rows.append((fill, ours / theirs, memory))
        print(
            f"\n{fill}: {ours:.3f} s, an effect that does nothing {theirs:.3f} s; ratio {ours / theirs:.2f}, memory {memory:.2f}",
            end="",
        )
    assert all(ratio <= 1.4 for fill, ratio, _ in rows if fill == "diamonds")
    assert all(memory <= 1.5 for *_, memory in rows)


@pytest.mark.parametrize("count", [10, 100])
def test_cost_by_number_of_triangles(benchmark: Callable[..., object], count: int) -> None:
    """The plan of `count` triangles a side: compare the two rows."""
    request = Request(130, 130, (3.0,) * 4, size="count", across=count, down=count, number="any", spacing=0.3)
    plan = benchmark(lay_out, request)
    assert len(plan.sections) == 4 * (2 * count - 1) + 8  # type: ignore[attr-defined]


@pytest.mark.parametrize(("tiled", "most"), [("false", 10.0), ("true", 15.0)])
def test_a_king_size_booklet_costs_a_few_effects_that_do_nothing(tiled: str, most: float, tmp_path: Path) -> None:
    """Whole processes in turn, medians of five: at most 2 and 3 s beside an effect of 0.2 s."""
    document, bordered, nothing = tmp_path / "king.svg", tmp_path / "bordered.svg", tmp_path / "nothing.py"
    document.write_text(KING, encoding="utf-8")
    nothing.write_text(NO_OP, encoding="utf-8")
    draw = ["-m", "extension.command", "border", str(document), "--id=edge", "--width=10", "--spacing=0.75"]
    subprocess.run([sys.executable, *draw, "-o", str(bordered)], check=True)
    booklet = [sys.executable, "-m", "extension.command", "booklet", str(bordered), f"--tiled={tiled}"]
    floor = [sys.executable, str(nothing), str(document)]
    runs = [(_measure(booklet), _measure(floor)) for _ in range(5)]
    ours, theirs = (statistics.median(run[i][0] for run in runs) for i in (0, 1))
    memory = max(run[0][1] for run in runs) / 1024
    print(
        f"\nbooklet, tiled {tiled}: {ours:.2f} s, an effect that does nothing {theirs:.2f} s; ratio {ours / theirs:.1f}, {memory:.0f} MB",
        end="",
    )
    assert ours / theirs <= most


@pytest.mark.parametrize(
    ("unlike", "most"), [(0.0, 1.5), (0.02, 3.0)], ids=["patchwork of one unit", "every mark a little off"]
)
def test_twelve_sides_with_a_hundred_marks_each_cost_little_more_than_an_effect_that_does_nothing(
    unlike: float, most: float, tmp_path: Path
) -> None:
    """Whole processes on the same document, taken in turn; medians of nine.

    Where every mark is a little off no two triangles are congruent, and each one's fill is routed by itself.
    """
    corners = [
        (85 + 80 * math.cos(math.radians(30 * i - 105)), 85 + 80 * math.sin(math.radians(30 * i - 105)))
        for i in range(12)
    ]
    outline = " ".join(f"{x:.6f},{y:.6f}" for x, y in corners)
    document, nothing = tmp_path / "twelve.svg", tmp_path / "nothing.py"
    document.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="170in" height="170in" viewBox="0 0 170 170">'
        f'<path id="edge" d="M {outline} Z"/></svg>', encoding="utf-8",
    )  # fmt: skip
    nothing.write_text(NO_OP, encoding="utf-8")
    marks = "; ".join(
        ", ".join(f"{0.385 * i + unlike * math.sin(i * side):.3f}" for i in range(1, 101)) for side in range(1, 13)
    )
    border = [
        sys.executable, "-I", "-m", "extension.border", str(document), "--id=edge", "--width=4", "--fit=marks",
        f"--marks={marks}",
    ]  # fmt: skip
    floor = [sys.executable, str(nothing), str(document)]
    runs = [(_measure(border), _measure(floor)) for _ in range(9)]
    ours, theirs = (statistics.median(run[i][0] for run in runs) for i in (0, 1))
    print(f"\n{ours:.3f} s, an effect that does nothing {theirs:.3f} s; ratio {ours / theirs:.2f}", end="")
    assert ours / theirs <= most
