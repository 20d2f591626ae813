"""A border just drawn is checked by the command: nothing is found, whatever the fill. All combinations: geometry/test_fresh.py."""

from __future__ import annotations

import itertools
import json
from typing import TYPE_CHECKING

import pytest

from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

QUILT = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}in" height="{1}in" viewBox="0 0 {0} {1}"><rect id="edge" width="{0}" height="{1}"/></svg>'
QUILTS = (("60", "72", "6"), ("40", "52", "4"))
CORNERS = ("mitred", "large", "square")
FITS = ("even", "ease")
ORDERS = ("sections", "zigzag", "across")
MORE = (
    ("--under=true",),
    ("--echo=2", "--step=1/2"),
    ("--kind=inner",),
    ("--match=true", "--outerfill=chevrons", "--cornerfill=crosshatch", "--spacing=1/2"),
)

# every fill with every corner, order and further option; quilt and fit take turns
CASES = [
    (fill, corner, ORDERS[(i + j) % 3], FITS[(i + j) % 2], QUILTS[i % 2], MORE[(i + j) % 4] if j else ())
    for i, fill in enumerate(CATALOGUE)
    for j, corner in enumerate(CORNERS)
]


def _name(case: tuple[object, ...]) -> str:
    return "-".join(" ".join(part) if isinstance(part, tuple) else str(part) for part in case)


@pytest.mark.parametrize("case", CASES, ids=_name)
def test_nothing_is_found_in_a_fresh_border(
    case: tuple[str, str, str, str, tuple[str, str, str], tuple[str, ...]],
    tmp_path: Path,
    border: Callable[..., bytes],
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
) -> None:
    """Exit code 0, no finding, one run or three, and every section looked at."""
    fill, corner, order, fit, (width, height, wide), more = case
    options = itertools.chain.from_iterable(
        (f"--{name}", value)
        for name, value in {"fill": fill, "corner": corner, "order": order, "fit": fit, "width": wide}.items()
    )
    drawn = tmp_path / "drawn.svg"
    drawn.write_bytes(border(QUILT.format(width, height), *options, *more))
    done = cornerwise("check", drawn, "--json")
    told = json.loads(done.stdout)
    assert told["findings"] == []
    assert done.returncode == 0
    assert told["totals"]["runs"] == (3 if order == "zigzag" else 1)
    assert told["totals"]["sections"] == drawn.read_bytes().count(b'cw:part="section"') > 0
