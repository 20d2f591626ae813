"""The small pictures of the dialog, drawn by the same code as the border.

`python -m extension.swatches FOLDER` writes them anew; they are part of the project, and a
test holds them to the fills.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out
from geometry.plane import flat

if TYPE_CHECKING:
    from geometry.plane import Line

WIDE, TALL = 94, 40
"""Pixels: five of them side by side are as wide as the dialog's fields."""

_REPEAT, _HEIGHT, _SPACING = 8.0, 4.0, 0.7
_PIXELS = 8.5
_SHOWN = ("top-in-2", "top-in-3", "top-in-4", "top-out-2", "top-out-3")


def swatch(fill: str) -> str:
    """A strip of border, as SVG: two triangles on the seam and those between them."""
    plan = lay_out(
        Request(
            6 * _REPEAT + 2 * _HEIGHT, 4 * _REPEAT + 2 * _HEIGHT, (_HEIGHT,) * 4, kind="inner",
            size="repeat", repeat=_REPEAT, fill=fill, spacing=_SPACING,
        )
    )  # fmt: skip
    top = plan.zigzags[0]
    left = top.points[1].x
    shown = [filled for filled in plan.of_side("top") if filled.section.name in _SHOWN]
    lines = [_path(flat(line), "#3f6287", 1.1) for filled in shown for line in filled.fill.lines]
    lines.append(_path(top.line, "#1d2b45", 1.8))
    view = f"{left:.3f} -0.400 {WIDE / _PIXELS:.3f} {TALL / _PIXELS:.3f}"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}" height="{TALL}" viewBox="{view}">',
            f'<rect x="{left:.3f}" y="-0.4" width="{WIDE / _PIXELS:.3f}" height="{TALL / _PIXELS:.3f}" fill="#ffffff"/>',
            *lines,
            "</svg>",
            "",
        ]
    )


def _path(line: Line, colour: str, pixels: float) -> str:
    data = " ".join(f"{point.x:.3f},{point.y:.3f}" for point in line)
    return (
        f'<path d="M {data}" fill="none" stroke="{colour}" stroke-width="{pixels / _PIXELS:.3f}" '
        'stroke-linejoin="round" stroke-linecap="round"/>'
    )


def main(folder: Path) -> None:
    """Write every fill's picture into a folder."""
    for name in CATALOGUE:
        (folder / f"{name}.svg").write_text(swatch(name), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
