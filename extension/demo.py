"""The whole job on a sample quilt: document, picture and a summary on screen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lxml import etree

from extension import estimate_report
from extension.border import draw_border
from extension.document import CW, SVG, Document, read_document
from extension.fit import columns
from extension.options import BORDER_OPTIONS, read_options
from extension.picture import png
from extension.tool import DONE, write
from geometry.errors import OutputError
from geometry.lengths import decimal, fraction

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator

    from extension.way import Drawn
    from geometry.estimate import Assumptions

WIDE, TALL, WIDTH, BLOCK = 48, 64, 4, 8
"""The sample, a lap quilt of our own: five by seven blocks of 8 in, inside a border of 4 in."""

MARGIN = 2
TINTS = ("#f6f1e7", "#e9e0cd", "#dcd3c0")
PICTURE_WIDTH = 1600

FILES = ("quilt.svg", "quilt.png", "booklet.pdf")
"""The drawing, a picture of it, and its printed pattern."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise demo`."""
    parser.add_argument("folder", nargs="?", default="cornerwise-demo", metavar="DIR", help="where to put the results")
    estimate_report.add_arguments(parser, fields=True)


def run(arguments: argparse.Namespace) -> int:
    """Draw the sample, write the files, print the summary."""
    assumptions = estimate_report.assumptions_from(vars(arguments))
    folder = Path(arguments.folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"The folder “{folder}” cannot be made ({(error.strerror or str(error)).lower()}); it must be a place of "
            "yours: please choose another."
        ) from None
    given = {option.name: option.default for option in BORDER_OPTIONS}
    options = read_options({**given, "size": "repeat", "repeat": str(BLOCK), "width": str(WIDTH)}, BORDER_OPTIONS)
    document = read_document(sample())
    drawn = draw_border(document, ["edge"], options, assumptions)
    drawing, picture, pattern = (str(folder / name) for name in FILES)
    estimate_report.write_json(drawn.estimate, arguments.estimate, drawing, picture, pattern)
    write(document.to_bytes(), drawing)
    write(png(_without_words(document).to_bytes(), PICTURE_WIDTH), picture)
    write(_booklet(drawn, assumptions), pattern)
    print("\n".join(summary(drawn)))
    print(f"\nWritten to {folder}: {', '.join(FILES)}")
    return DONE


def _booklet(drawn: Drawn, assumptions: Assumptions) -> bytes:
    """The sample's printed pattern."""
    from extension.booklet.compose import booklet  # noqa: PLC0415 - the other tools must not wait for it
    from extension.booklet.settings import Settings  # noqa: PLC0415 - as above
    from geometry.pattern import pattern_of  # noqa: PLC0415 - as above

    settings = Settings(
        "Sample quilt", "Drawn by Cornerwise", "beginner", mirror=True, version="1", assumptions=assumptions,
        notes="Everything in this sample is invented; draw your own quilt’s edge and make your own pattern.",
    )  # fmt: skip
    return booklet(pattern_of(drawn.plan), settings, lambda _: None)


def sample() -> bytes:
    """The sample quilt before its border is drawn: page, edge and blocks, one user unit to the inch."""
    page_wide, page_tall = WIDE + 2 * MARGIN, TALL + 5 * MARGIN
    return "\n".join(
        [
            f'<svg xmlns="{SVG}" width="{page_wide}in" height="{page_tall}in"',
            f'     viewBox="{-MARGIN} {-MARGIN} {page_wide} {page_tall}">',
            f'  <rect id="edge" x="0" y="0" width="{WIDE}" height="{TALL}" fill="{TINTS[0]}"/>',
            '  <g id="blocks">',
            *(f"    {block}" for block in _blocks()),
            "  </g>",
            "</svg>",
            "",
        ]
    ).encode()


def _blocks() -> Iterator[str]:
    """Each block is a square with a smaller one on its point inside, the tints changing places from block to block."""
    half = BLOCK / 2
    for row in range((TALL - 2 * WIDTH) // BLOCK):
        for column in range((WIDE - 2 * WIDTH) // BLOCK):
            x, y = WIDTH + column * BLOCK, WIDTH + row * BLOCK
            ground, square = TINTS[1:] if (row + column) % 2 else TINTS[:0:-1]
            corners = ((x + half, y), (x + BLOCK, y + half), (x + half, y + BLOCK), (x, y + half))
            points = " ".join(f"{a:g},{b:g}" for a, b in corners)
            yield f'<rect x="{x}" y="{y}" width="{BLOCK}" height="{BLOCK}" fill="{ground}"/>'
            yield f'<polygon points="{points}" fill="{square}"/>'


def _without_words(document: Document) -> Document:
    """A copy for the picture; words would need the fonts of this computer."""
    copy = read_document(document.to_bytes())
    for layer in list(copy.root.iter(f"{{{SVG}}}g")):
        if layer.get(f"{{{CW}}}part") == "notes":
            etree.strip_elements(layer, f"{{{SVG}}}text", with_tail=False)
    view = [float(part) for part in copy.root.get("viewBox", "").split()]
    copy.root.set("viewBox", f"{view[0]} {view[1]} {view[2]} {TALL + 2 * MARGIN}")
    copy.root.set("height", f"{TALL + 2 * MARGIN}in")
    return copy


def summary(drawn: Drawn) -> list[str]:
    """What was fitted, side by side, in fractions and decimals, and what stitching it takes."""
    plan = drawn.plan
    request = plan.request
    rows = []
    for zigzag in plan.zigzags:
        fit = zigzag.fit
        rows.append(
            (
                zigzag.side.name, f"{fraction(fit.ask.length)} in", str(fit.count), f"{fraction(fit.repeat_in)} in",
                decimal(fit.repeat_in), f"{fit.angle_deg:.1f}°", f"{fit.difference_pct:+.1f} %",
            )
        )  # fmt: skip
    size = f"{fraction(request.quilt_width)} x {fraction(request.quilt_height)}"
    return [
        f"Quilt {size} in, border {fraction(request.widths[0])} in, {request.corner} corners, {request.fill}",
        "",
        *columns(("side", "length", "triangles", "repeat", "decimal", "angle", "difference"), rows),
        "",
        *estimate_report.as_lines(drawn.estimate),
    ]
