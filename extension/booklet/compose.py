"""The booklet put together: which parts, in which order, and set."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from extension.booklet.back import density_part, fit_part, last_part
from extension.booklet.charts import chart_part, fill_dots_part
from extension.booklet.front import before, cover
from extension.booklet.practice import practice_sheet
from extension.booklet.questions import questions_part
from extension.booklet.scene import ASIDE
from extension.booklet.steps import steps
from extension.booklet.tape import tape_sheets
from extension.booklet.templates import template_sheets
from extension.booklet.tiles import border_sheets, border_tiling, map_picture
from extension.typeset import pdf
from geometry.quilt import tiers_in_words
from geometry.sheets import MARGIN

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from extension.booklet.canvas import Canvas
    from extension.booklet.scene import Step
    from extension.booklet.settings import Settings
    from geometry.pattern import Pattern

Part = dict[str, Any]


def booklet(pattern: Pattern, settings: Settings, said: Callable[[str], None]) -> bytes:
    """The whole booklet as PDF; `said` is told what is being made.

    Raises:
        QuiltError: something of it cannot be made.
    """
    parts = parts_of(pattern, settings, said)
    said("the pages")
    about = {
        "title": settings.title, "short": settings.short, "maker": settings.maker,
        "wide": settings.paper.wide, "tall": settings.paper.tall, "margin": settings.margin, "edge": MARGIN,
        "type": settings.type,
    }  # fmt: skip
    return pdf(parts, about)


def parts_of(pattern: Pattern, settings: Settings, said: Callable[[str], None]) -> list[Part]:
    """What is on the pages, part after part, as plain values and pictures."""
    parts: list[Part] = []
    for name, words, make in MAKERS:
        if name in settings.parts:
            said(words)
            parts += make(pattern, settings, said)
    return parts if pattern.tiers == 1 else [_spoken(part) for part in parts]


def _spoken(value: Any) -> Any:
    """The same with the names of sides within tiers as they are spoken."""
    if isinstance(value, str):
        return tiers_in_words(value)
    if isinstance(value, dict):
        return {key: _spoken(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_spoken(one) for one in value]
    return value


def _first(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    return [cover(pattern, settings), before(pattern, settings)]


def _chart(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    found = [chart_part(pattern, settings)]
    return [*found, fill_dots_part(pattern, settings)] if settings.dots else found


def _strip(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    sheets = tape_sheets(pattern, settings.paper, settings.measure, settings.short)
    return _sheets("Marking strip", [sheet.canvas for sheet in sheets])


def _steps(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    found = steps(pattern, settings.measure, settings.text_wide)
    lead = "What is stitched already is grey, the step at hand dark; the large dot is where the needle starts."
    return [{"kind": "steps", "title": "Step by step", "lead": lead, "aside": ASIDE, "rows": list(_rows(found))}]


def _rows(found: Sequence[Step]) -> Iterator[Part]:
    for number, step in enumerate(found, 1):
        yield {
            "number": number, "title": step.title, "words": step.words, "picture": step.picture,
            "wide": step.wide, "joined": step.joined,
        }  # fmt: skip


def _templates(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    sheets = template_sheets(pattern, settings.paper, settings.measure, settings.short)
    return _sheets("True-size templates", [sheet.canvas for sheet in sheets])


def _tiled(pattern: Pattern, settings: Settings, said: Callable[[str], None]) -> list[Part]:
    tiling = border_tiling(pattern, settings.paper)
    lead = (
        f"The whole border at true size lies on {len(tiling.tiles)} sheets, named by row and column. Trim each along its "
        "dashed lines or lap it over its neighbour, so that the diamonds of both come to lie on one another, and glue."
    )
    picture = map_picture(pattern, tiling, settings.text_wide, settings.paper.tall - 2 * settings.margin - 2.2)
    map_page = {"kind": "tables", "title": "Map of the sheets", "lead": [lead], "tables": [], "columns": 1, "size": 10.0,
                "picture": picture, "after": []}  # fmt: skip
    sheets = border_sheets(pattern, settings.paper, settings.short, said)
    return [map_page, *_sheets("The whole border, true size", [sheet.canvas for sheet in sheets])]


def _practice(pattern: Pattern, settings: Settings, _: Callable[[str], None]) -> list[Part]:
    hands = (False, True) if settings.mirror else (False,)
    pages = [practice_sheet(pattern, settings.paper, settings.short, mirror=hand) for hand in hands]
    return _sheets("Practice page", pages)


def _sheets(title: str, pages: Sequence[Canvas]) -> list[Part]:
    """Full pages; the first carries the heading for the contents, which is its first label."""
    return [
        {"kind": "sheet", "title": title, "heading": number == 0, "picture": canvas}
        for number, canvas in enumerate(pages)
    ]


MAKERS: tuple[tuple[str, str, Callable[[Pattern, Settings, Callable[[str], None]], list[Part]]], ...] = (
    ("first", "the first pages", _first),
    ("chart", "the marking chart", _chart),
    ("strip", "the marking strip", _strip),
    ("steps", "the steps", _steps),
    ("templates", "the templates", _templates),
    ("tiled", "the whole border", _tiled),
    ("fit", "the fit table", lambda pattern, settings, _: [fit_part(pattern, settings)]),
    ("practice", "the practice page", _practice),
    ("questions", "the questions", lambda pattern, settings, _: [questions_part(pattern, settings)]),
    ("density", "the density picture", lambda pattern, settings, _: [density_part(pattern, settings)]),
    ("last", "the last page", lambda pattern, settings, _: [last_part(pattern, settings)]),
)
