"""The booklet as pages of the document itself: plain copies on a layer of their own, beside the drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lxml import etree

from extension.booklet.compose import parts_of
from extension.booklet.flow import pages_of
from extension.document import CW, INKSCAPE, SODIPODI, SVG
from extension.page import PX_PER_INCH, absolute_length, inches_per_unit
from geometry.lengths import decimal

if TYPE_CHECKING:
    from collections.abc import Callable

    from extension.booklet.canvas import Canvas
    from extension.booklet.settings import Settings
    from extension.document import Document
    from geometry.pattern import Pattern

APART = 0.5
"""Inches between two pages, and between the drawing and the first of them."""

IN_A_ROW = 6
"""Pages side by side."""


def draw_pages(document: Document, pattern: Pattern, settings: Settings, said: Callable[[str], None]) -> None:
    """Draw the pages into the document, in place of those drawn before; the first page stays the drawing.

    Raises:
        DocumentError: the document has no true size.
    """
    root = document.root
    units = 1 / inches_per_unit(root)
    left, top, wide, tall = _view(root, units)
    _take_out(root)
    view = _named_view(document)
    if not any(child.tag == f"{{{INKSCAPE}}}page" for child in view):
        _page(view, left, top, wide, tall, "Drawing", 0)
    pages = pages_of(parts_of(pattern, settings, said), settings)
    layer = etree.SubElement(root, f"{{{SVG}}}g", nsmap=_missing(root))
    layer.set("id", _free_id(root, "cornerwise-pages"))
    layer.set(f"{{{INKSCAPE}}}groupmode", "layer")
    layer.set(f"{{{INKSCAPE}}}label", "Pattern pages")
    layer.set(f"{{{CW}}}part", "pages")
    start = max([left + wide, *_right_edges(view)]) + APART * units
    for number, canvas in enumerate(pages):
        row, column = divmod(number, IN_A_ROW)
        x = start + column * (canvas.wide + APART) * units
        y = top + row * (canvas.tall + APART) * units
        _page(view, x, y, canvas.wide * units, canvas.tall * units, canvas.alt.partition(".")[0], number + 1)
        copy = _copy(canvas, x, y, units, number + 1)
        copy.set("id", _free_id(root, f"cornerwise-sheet-{number + 1}"))
        layer.append(copy)


def _free_id(root: etree._Element, wanted: str) -> str:
    taken = set(root.xpath("//@id"))
    return next(name for name in (wanted, *(f"{wanted}-{n}" for n in range(2, len(taken) + 3))) if name not in taken)


def _view(root: etree._Element, units: float) -> tuple[float, float, float, float]:
    """The page of the drawing in user units."""
    view = root.get("viewBox")
    if view is not None:
        left, top, wide, tall = (float(part) for part in view.replace(",", " ").split())
        return left, top, wide, tall
    wide, tall = (absolute_length(root.get(name, "")) or 0.0 for name in ("width", "height"))
    return 0.0, 0.0, wide * units, tall * units


def _take_out(root: etree._Element) -> None:
    """Remove the pages drawn before, and only those."""
    for element in list(root.iter(f"{{{SVG}}}g", f"{{{INKSCAPE}}}page")):
        if element.get(f"{{{CW}}}part") in {"pages", "page"}:
            parent = element.getparent()
            if element.tail and element.tail.strip():
                continue  # somebody's words stand behind it; nothing is lost
            parent.remove(element)


def _named_view(document: Document) -> etree._Element:
    found = document.root.find(f"{{{SODIPODI}}}namedview")
    if found is None:
        found = etree.Element(f"{{{SODIPODI}}}namedview", nsmap=_missing(document.root))
        document.root.insert(0, found)
    return found


def _missing(root: etree._Element) -> dict[str, str] | None:
    """The editor's own prefixes that the document does not declare yet."""
    names = {"inkscape": INKSCAPE, "sodipodi": SODIPODI}
    known = root.nsmap
    return {p: uri for p, uri in names.items() if p not in known and uri not in known.values()} or None


def _page(view: etree._Element, x: float, y: float, wide: float, tall: float, label: str, number: int) -> None:
    page = etree.SubElement(view, f"{{{INKSCAPE}}}page")
    for name, value in (("x", x), ("y", y), ("width", wide), ("height", tall)):
        page.set(name, decimal(value, 6))
    page.set("id", _free_id(view.getroottree().getroot(), f"cornerwise-page-{number}"))
    page.set(f"{{{INKSCAPE}}}label", label)
    page.set(f"{{{CW}}}part", "page")


def _right_edges(view: etree._Element) -> list[float]:
    """The right edges of the pages that are there already."""
    pages = list(view.iter(f"{{{INKSCAPE}}}page"))
    spans = [[absolute_length(page.get(name, "")) for name in ("x", "width")] for page in pages]
    # plain numbers are user units, whatever they measure
    return [(x + wide) * PX_PER_INCH for x, wide in spans if x is not None and wide is not None]


def _copy(canvas: Canvas, x: float, y: float, units: float, number: int) -> etree._Element:
    """A page's shapes and words as a group, in inches under one transform."""
    picture = etree.fromstring(canvas.svg(words=True).encode())
    group = etree.Element(f"{{{SVG}}}g")
    group.set("transform", f"matrix({units:.9g} 0 0 {units:.9g} {decimal(x, 6)} {decimal(y, 6)})")
    group.set(f"{{{INKSCAPE}}}label", f"Page {number}: {canvas.alt.partition('.')[0]}")
    for child in picture:
        if child.tag != f"{{{SVG}}}title":
            child.tail = None
            group.append(child)
    return group
