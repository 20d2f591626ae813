"""What a check costs: `uv run pytest tests/benchmarks/test_check.py -o addopts= -s`."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.mark.parametrize("fill", CATALOGUE)
def test_checking_a_king_size_border(fill: str, king: Path, beside: Callable[..., Any]) -> None:
    """At most twice an effect that does nothing on the same document, and a second; under 200 MB.

    Whole processes as the editor starts them, in turn; medians of five.
    """
    bordered = king.with_name("bordered.svg")
    draw = ["-m", "extension.command", "border", str(king), "--id=edge", "--width=10", "--spacing=0.75"]
    subprocess.run([sys.executable, *draw, f"--fill={fill}", "-o", str(bordered)], check=True)
    check = [sys.executable, "-I", "-m", "extension.check", str(bordered)]
    told = beside(check, bordered, 5)
    over = told.seconds - 2 * told.nothing
    print(f"\n| {fill} | {told.seconds:.2f} | {told.nothing:.2f} | {over:.2f} | {told.memory:.0f} |", end="")
    assert over <= 1
    assert told.memory < 200
