"""What a check costs: `uv run pytest tests/benchmarks/test_check.py -o addopts= -s`."""

from __future__ import annotations

import statistics
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    from pathlib import Path

NO_OP = "import inkex\nclass Nothing(inkex.EffectExtension):\n    def effect(self):\n        pass\nNothing().run()\n"

KING = '<svg xmlns="http://www.w3.org/2000/svg" width="110in" height="112in" viewBox="0 0 110 112"><rect id="edge" x="3" y="2" width="104" height="108"/></svg>'

WATCH = """
import os, subprocess, sys
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, usage = os.wait4(process.pid, 0)
print(usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, os.waitstatus_to_exitcode(status))
"""
"""A process is measured from a small one: a child's peak never reads less than its parent's size.

Seconds are the processor's, so that other work on the computer does not count.
"""


def _measure(command: list[str]) -> tuple[float, float]:
    """Seconds and peak MB of one whole process; exit code 1 says that something was found."""
    told = subprocess.run(
        [sys.executable, "-I", "-S", "-c", WATCH, *command], check=True, capture_output=True, text=True
    )
    took, peak, code = told.stdout.split()
    assert code in {"0", "1"}, told.stderr
    return float(took), float(peak)


@pytest.mark.parametrize("fill", CATALOGUE)
def test_checking_a_king_size_border(fill: str, tmp_path: Path) -> None:
    """At most twice an effect that does nothing on the same document, and a second; under 200 MB.

    Whole processes as the editor starts them, in turn; medians of five.
    """
    document, bordered, nothing = tmp_path / "king.svg", tmp_path / "bordered.svg", tmp_path / "nothing.py"
    document.write_text(KING, encoding="utf-8")
    nothing.write_text(NO_OP, encoding="utf-8")
    draw = ["-m", "extension.command", "border", str(document), "--id=edge", "--width=10", "--spacing=0.75"]
    subprocess.run([sys.executable, *draw, f"--fill={fill}", "-o", str(bordered)], check=True)
    check = [sys.executable, "-I", "-m", "extension.check", str(bordered)]
    floor = [sys.executable, str(nothing), str(bordered)]
    runs = [(_measure(check), _measure(floor)) for _ in range(5)]
    ours, theirs = (statistics.median(run[i][0] for run in runs) for i in (0, 1))
    memory = max(run[0][1] for run in runs)
    print(f"\n| {fill} | {ours:.2f} | {theirs:.2f} | {ours - 2 * theirs:.2f} | {memory:.0f} |", end="")
    assert ours <= 2 * theirs + 1
    assert memory < 200
