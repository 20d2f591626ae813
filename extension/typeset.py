"""Sets the booklet: parts as plain values in, a tagged PDF with real text and embedded fonts out.

The typesetter brings its own fonts and fetches nothing. What the designer typed reaches it as
strings of a JSON file, never as markup, so no letter of it can be mistaken for a command.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extension.booklet.canvas import FAMILY, Canvas

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

TEMPLATE = Path(__file__).parent / "booklet" / "booklet.typ"

LAST_COVERED = 0x24F
"""The last letter of which the typesetter's own fonts surely have every one before it."""

ALSO_COVERED = frozenset("–—‘’“”…×°·′″−→←⅛¼⅜½⅝¾⅞")


def pdf(parts: Sequence[Mapping[str, Any]], about: Mapping[str, Any]) -> bytes:
    """Set a booklet.

    Args:
        parts: what follows what, each with its `kind` as booklet.typ knows it; pictures as they are.
        about: title, short title, maker, and the page: wide, tall and margin in inches.
    """
    import typst  # noqa: PLC0415 - only where pages are set

    data = json.dumps({**about, "fonts": [FAMILY], "parts": parts}, ensure_ascii=False, default=picture_of)
    own = not needs_more_fonts(data)
    try:
        # the standard for accessible documents: it refuses pictures without words and letters without a glyph
        return typst.compile(
            TEMPLATE.read_bytes(), sys_inputs={"booklet": data}, format="pdf", ignore_system_fonts=own,
            pdf_standards=["ua-1"],
        )  # fmt: skip
    except typst.TypstError:
        # a letter that no font of this computer has: the page shows a box for it, the text stays right
        return typst.compile(
            TEMPLATE.read_bytes(), sys_inputs={"booklet": data}, format="pdf", ignore_system_fonts=own
        )  # fmt: skip


def needs_more_fonts(text: str) -> bool:
    """Whether a text has letters beyond the typesetter's own fonts; then those of the computer are looked through too."""
    return any(ord(char) > LAST_COVERED and char not in ALSO_COVERED for char in set(text))


def picture_of(canvas: Canvas) -> dict[str, Any]:
    """A picture as the template takes it."""
    return {
        "svg": canvas.svg(),
        "wide": canvas.wide,
        "tall": canvas.tall,
        "alt": canvas.alt or "Drawing",
        "labels": [
            {
                "x": label.at.x, "y": label.at.y, "words": label.words, "size": label.size, "anchor": label.anchor,
                "colour": label.colour, "bold": label.bold, "italic": label.italic, "turn": label.turn,
            }
            for label in canvas.labels
        ],
    }  # fmt: skip


def picture_png(canvas: Canvas, dots_per_inch: float) -> bytes:
    """A picture by itself, with its words in the booklet's own font."""
    import typst  # noqa: PLC0415 - see above

    page = {"kind": "sheet", "title": "", "heading": False, "picture": canvas}
    about = {"title": "", "short": "", "maker": "", "wide": canvas.wide, "tall": canvas.tall, "margin": 0, "edge": 0,
             "type": 10.5}  # fmt: skip
    data = json.dumps({**about, "fonts": [FAMILY], "parts": [page]}, ensure_ascii=False, default=picture_of)
    return typst.compile(
        TEMPLATE.read_bytes(), sys_inputs={"booklet": data}, format="png", ppi=dots_per_inch, ignore_system_fonts=True
    )  # fmt: skip
