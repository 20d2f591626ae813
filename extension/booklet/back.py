"""The pages behind the steps: fit table, questions, density, and the last page."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING, Any

from extension.booklet.canvas import Canvas
from extension.booklet.front import alike_sides, thread_words
from extension.booklet.measure import sides_named
from geometry.errors import CountError
from geometry.fitting import Ask, candidates
from geometry.lengths import decimal
from geometry.plane import NOTICED, Affine, Point, length_of
from geometry.sheets import around

if TYPE_CHECKING:
    from extension.booklet.settings import Settings
    from geometry.pattern import DrawnSection, Pattern

SHORTEST, LONGEST = 24, 110
"""Inches of the sides in the fit table."""


# -- the fit table -------------------------------------------------------------------------


def fit_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """For sides from 24 to 110 in: how many triangles, and their repeat, at this border's width."""
    say = settings.measure
    side = pattern.sides[0]
    asked = side.fit.ask.repeat
    rows = []
    for length in range(SHORTEST, LONGEST + 1):
        try:
            best = candidates(Ask(float(length), side.height, asked))[0]
        except CountError:
            continue
        noticed = "" if abs(best.difference_pct) <= NOTICED else "*"
        metric = [] if say.unit == "in" else [say.bare(length)]
        rows.append(
            [str(length), *metric, str(best.count), say.bare(best.repeat_in), _signed(best.difference_pct) + noticed]
        )
    lead = [
        (
            f"Your quilt is never the pattern’s size. Find the length of your border seam, pivot to pivot, and read how many "
            f"triangles of about {say.plain(asked)} come out even on it, at this border’s width of {say.told(side.width)} "
            f"({say.told(side.height)} from seam to {pattern.reached})."
        ),
    ]
    after = [
        (
            f"The difference is that from {say.plain(asked)}; up to {NOTICED:g} % is not noticed, more is marked *. Between two "
            "lengths divide yours by the number of triangles of the nearer one."
        ),
    ]
    unit = say.unit
    sides = ["side, in"] if unit == "in" else ["side, in", unit]
    return {
        "kind": "tables", "title": "Fit table", "lead": lead, "columns": 3, "size": 9.5, "picture": None, "after": after,
        "tables": [{"title": "", "heads": [*sides, "how many", f"repeat, {unit}", "differs, %"], "rows": rows}],
    }  # fmt: skip


def _signed(percent: float) -> str:
    return "0" if abs(percent) < 0.05 else f"{percent:+.1f}"  # noqa: PLR2004 - rounds to nothing


# -- density -------------------------------------------------------------------------------

SHADES = (("#f1ede4", 0.75), ("#d6d0c4", 0.9), ("#b3aca0", 1.1), ("#8a857c", 1.25), ("#5d5a55", float("inf")))
"""From open to dense, even in black and white, and up to how many times the usual density each goes."""

LEGEND = 0.5
"""Inches under the picture for what the shades mean."""


def density_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """How dense each section is, as a picture, and what the border takes."""
    say = settings.measure
    tables = [{
        "title": "Stitching",
        "heads": ["run", "new lines", "stitched over", "travelled", "in all"],
        "rows": [
            [run.name, *(say.stitching(inches) for inches in (run.length - run.over - run.travel, run.over, run.travel, run.length))]
            for run in pattern.runs
        ],
    }]  # fmt: skip
    lead = [
        (
            "Inches of line in each square inch, section by section: the darker, the denser. Density should be even over the "
            "whole quilt, centre included."
        )
    ]
    return {
        "kind": "tables", "title": "Density and estimate", "lead": lead, "tables": tables, "columns": 1, "size": 10.0,
        "picture": _density_picture(pattern, settings),
        "after": [f"Thread: {thread_words(pattern, settings)}."],
    }  # fmt: skip


def _rate(section: DrawnSection) -> float:
    return sum(length_of(line) for line in section.lines) / section.area if section.area else 0.0


def _density_picture(pattern: Pattern, settings: Settings) -> Canvas:
    rates = [(section, _rate(section)) for section in pattern.sections]
    # of those that have a fill; those left open are the lightest
    usual = median([rate for _, rate in rates if rate] or [1.0])
    box = around(pattern.edge)
    scale = min(settings.text_wide / box.wide, 0.42 * settings.paper.tall / box.tall)
    wide, tall = box.wide * scale, box.tall * scale
    canvas = Canvas(
        settings.text_wide, tall + LEGEND, "The border, each section the darker the denser it is quilted"
    )  # fmt: skip
    left = (settings.text_wide - wide) / 2
    place = Affine(scale * 0.99, 0, 0, scale * 0.99, left - box.left * scale, 0.01 - box.top * scale)
    for section, rate in rates:
        canvas.area(section.corners, next(shade for shade, most in SHADES if rate <= most * usual), place)
    canvas.lines([side.zigzag for side in pattern.sides], "thin", place)
    canvas.lines([(*pattern.seam, pattern.seam[0]), (*pattern.edge, pattern.edge[0])], "thin", place)
    step, low = settings.text_wide / len(SHADES), 0.0
    for i, (shade, most) in enumerate(SHADES):
        x, y = i * step, tall + 0.24
        canvas.area((Point(x, y), Point(x + 0.22, y), Point(x + 0.22, y + 0.16), Point(x, y + 0.16)), shade)
        top = (
            f"{decimal(low, 2)} to {decimal(most * usual, 2)}"
            if most * usual < float("inf")
            else f"over {decimal(low, 2)}"
        )
        canvas.text(Point(x + 0.3, y + 0.12), top, 8.5)
        low = most * usual
    return canvas


# -- the last page -----------------------------------------------------------------------


def last_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """Version and date, tested by, corrections, terms of use, the maker's line."""
    facts = [("Pattern", settings.title)]
    facts += [(name, value) for name, value in (("Version", settings.version), ("Date", settings.date)) if value]
    facts.append(("Drawn for", " and ".join(
        f"{sides_named(names)} of {settings.measure.told(side.length)}" for names, side in alike_sides(pattern)
    )))  # fmt: skip
    parts = [
        {"title": "Tested by", "paragraphs": [settings.tested] if settings.tested else [], "blank": 0 if settings.tested else 2},
        {
            "title": "Corrections", "blank": 0 if settings.corrections else 3,
            "paragraphs": _lines(settings.corrections),
        },
        {"title": "Terms of use", "paragraphs": _lines(settings.terms), "blank": 0 if settings.terms else 2},
        {"title": "Your own notes", "paragraphs": [], "blank": 6},
    ]  # fmt: skip
    return {"kind": "last", "title": "About this pattern", "facts": facts, "parts": parts, "closing": settings.maker}


def _lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip()]
