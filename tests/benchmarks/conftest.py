"""Shared by the measurements: a quilt of king size, an effect that does nothing, and the cost of a whole process."""

from __future__ import annotations

import statistics
import subprocess
import sys
from typing import TYPE_CHECKING, NamedTuple

import pytest

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
print(time.perf_counter() - began, usage.ru_maxrss / 1024, os.waitstatus_to_exitcode(status))
"""
"""A process is measured from a small one: a child's peak never reads less than its parent's size."""


class Beside(NamedTuple):
    """A command beside an effect that does nothing, in one run: median seconds, and the largest peaks in MB."""

    seconds: float
    nothing: float
    memory: float
    memory_of_nothing: float

    @property
    def ratio(self) -> float:
        """How many times as long it takes."""
        return self.seconds / self.nothing


@pytest.fixture
def king(tmp_path: Path) -> Path:
    """A document with the edge of a king-size quilt."""
    document = tmp_path / "king.svg"
    document.write_text(KING, encoding="utf-8")
    return document


@pytest.fixture
def beside(tmp_path: Path) -> Callable[..., Beside]:
    """Measures whole processes in turn: a command, and an effect that does nothing on the same document."""
    nothing = tmp_path / "nothing.py"
    nothing.write_text(NO_OP, encoding="utf-8")

    def compare(command: list[str], document: Path, times: int) -> Beside:
        floor = [sys.executable, "-I", str(nothing), str(document)]
        runs = [(_cost(command), _cost(floor)) for _ in range(times)]
        ours, theirs = zip(*runs, strict=True)
        return Beside(
            statistics.median(took for took, _ in ours), statistics.median(took for took, _ in theirs),
            max(peak for _, peak in ours), max(peak for _, peak in theirs),
        )  # fmt: skip

    return compare


def _cost(command: list[str]) -> tuple[float, float]:
    """Seconds and peak MB of one process, its output thrown away; 1 is a check's way to say that something was found."""
    told = subprocess.run(
        [sys.executable, "-I", "-S", "-c", WATCH, *command], check=True, capture_output=True, text=True
    )
    took, peak, code = told.stdout.split()
    assert code == "0" or (code == "1" and "extension.check" in command), told.stderr
    return float(took), float(peak)
