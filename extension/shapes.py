"""Drawn elements to lines: paths, basic shapes, groups and clones, whatever transforms they carry."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from extension.document import CW, SVG, XLINK
from extension.page import PX_PER_INCH, absolute_length
from extension.pathdata import BEYOND, MOST_NODES, parse, too_long
from geometry.errors import DrawingError
from geometry.plane import Affine

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml import etree

    from geometry.plane import Line

MOST_CLONES = 5_000
"""Clones of clones multiply; a quilt has hundreds of sections."""

DEEPEST_CLONE = 20
"""A clone of a clone of a clone …"""

GROUPS = frozenset({"g", "a", "svg", "switch"})
SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})


def tag(element: etree._Element) -> str:
    """The element's name in SVG; empty for comments and what belongs to others."""
    name = element.tag
    return name.removeprefix(f"{{{SVG}}}") if isinstance(name, str) and name.startswith(f"{{{SVG}}}") else ""


def called(element: etree._Element) -> str:
    """How a sentence names an element: by its id, or else by its kind."""
    return str(element.get("id") or tag(element))


def transform_of(element: etree._Element) -> Affine:
    """The map of the element's own transform.

    Raises:
        DrawingError: it cannot be read.
    """
    text = element.get("transform")
    if not text:
        return Affine()
    from inkex import Transform  # noqa: PLC0415 - the editor's library takes long to load; most elements are not moved

    try:
        place = Affine(*Transform(text).to_hexad())
    except (ValueError, TypeError, ArithmeticError):
        place = Affine(math.nan)
    if not all(abs(value) < BEYOND for value in place):
        raise DrawingError(
            f"“{called(element)}” is moved by a transform that cannot be read; it must be one the editor "
            "writes: please undo it, or draw the element again."
        )
    return place


def to_ancestor(element: etree._Element, ancestor: etree._Element) -> Affine:
    """The map from coordinates inside an element to those inside one of its ancestors, or inside an element elsewhere."""
    place = Affine()
    for node in (element, *element.iterancestors()):
        if node is ancestor:
            return place
        place = transform_of(node).after(place)
    root = element.getroottree().getroot()
    return place if ancestor is root else to_ancestor(ancestor, root).inverse().after(place)


def elements_in(group: etree._Element, place: Affine | None = None) -> Iterator[tuple[etree._Element, Affine]]:
    """The shapes inside a group, those of groups in it too, each with the map to the group's own coordinates.

    Another border that lies inside is passed over.
    """
    for child in group:
        name = tag(child)
        if name in GROUPS and child.get(f"{{{CW}}}part") != "border":
            yield from elements_in(child, (place or Affine()).after(transform_of(child)))
        elif name in SHAPES or name == "use":
            yield child, place or Affine()


def original(use: etree._Element) -> str:
    """The id that a clone names as its original; empty if that is not in this document."""
    target = (use.get("href") or use.get(f"{{{XLINK}}}href") or "").strip()
    return target[1:] if target.startswith("#") else ""


class Reader:
    """Reads the shapes of one document, and counts what it reads, so that no drawing takes for ever."""

    def __init__(self, root: etree._Element) -> None:
        """Take the document's root, where the originals of clones are looked up."""
        self._root = root
        self._by_id: dict[str, etree._Element] = {}
        self._nodes_left = MOST_NODES
        self._clones_left = MOST_CLONES

    def lines_of(self, element: etree._Element) -> tuple[Line, ...]:
        """A shape's lines in the coordinates around it, its own transform done; a clone gives those of its original.

        Raises:
            DrawingError: it cannot be read, or there is far too much of it.
        """
        return tuple(self._lines(element, ()))

    def _lines(self, element: etree._Element, clones: tuple[etree._Element, ...]) -> Iterator[Line]:
        name = tag(element)
        if name == "use":
            yield from self._cloned(element, clones)
        elif name in SHAPES:
            place = transform_of(element)
            for line in parse(_data(element), called(element)):
                self._nodes_left -= len(line)
                if self._nodes_left < 0:
                    too_long(called(element))
                yield place.line(line)
        elif name in GROUPS or name == "symbol":
            place = transform_of(element)
            for child in element:
                for line in self._lines(child, clones):
                    yield place.line(line)

    def _cloned(self, use: etree._Element, clones: tuple[etree._Element, ...]) -> Iterator[Line]:
        """The lines of a clone; `clones` are those by way of which it was come to."""
        self._clones_left -= 1
        if self._clones_left < 0 or len(clones) > DEEPEST_CLONE:
            raise DrawingError(
                f"There are very many clones, or clones of clones (“{called((*clones, use)[0])}”); a border may have "
                f"{MOST_CLONES:,}: please unlink some (Edit > Clone > Unlink Clone)."
            )
        target = self._original(use)
        if target is None or any(target in (clone, *clone.iterancestors()) for clone in (use, *clones)):
            return  # a clone of nothing, or of itself, shows nothing
        place = transform_of(use).after(Affine(e=_number(use, "x"), f=_number(use, "y")))
        for line in self._lines(target, (*clones, use)):
            yield place.line(line)

    def _original(self, use: etree._Element) -> etree._Element | None:
        if not self._by_id:
            for element in self._root.iter(f"{{{SVG}}}*"):
                self._by_id.setdefault(element.get("id", ""), element)
        name = original(use)
        return self._by_id.get(name) if name else None


def lines_of(element: etree._Element) -> tuple[Line, ...]:
    """The lines of one shape, clone or group, in the coordinates around it.

    Raises:
        DrawingError: it cannot be read, or there is far too much of it.
    """
    return Reader(element.getroottree().getroot()).lines_of(element)


def _number(element: etree._Element, name: str) -> float:
    """A length of a shape in user units.

    Raises:
        DrawingError: it is none that can be told without the window's size.
    """
    text = element.get(name, "").strip()
    if text in {"", "auto"}:
        return 0.0
    inches = absolute_length(text)
    if inches is None:
        raise DrawingError(
            f"The {name} of the {tag(element)} “{element.get('id', '')}” is “{text[:40]}”; it must be a plain number: "
            "please make it a path (Path > Object to Path)."
        )
    return inches * PX_PER_INCH


def _data(element: etree._Element) -> str:
    """The element as path data."""
    name = tag(element)
    if name == "path":
        return str(element.get("d", ""))
    if name in {"polyline", "polygon"}:
        points = element.get("points", "").strip()
        return f"M {points}{' Z' if name == 'polygon' else ''}" if points else ""
    if name == "line":
        x1, y1, x2, y2 = (_number(element, n) for n in ("x1", "y1", "x2", "y2"))
        return f"M {x1},{y1} L {x2},{y2}"
    if name == "rect":
        return _rectangle(element)
    rx, ry = (_number(element, n) for n in (("r", "r") if name == "circle" else ("rx", "ry")))
    x, y = _number(element, "cx"), _number(element, "cy")
    if rx <= 0 or ry <= 0:
        return ""
    return f"M {x + rx},{y} A {rx},{ry} 0 0 1 {x - rx},{y} A {rx},{ry} 0 0 1 {x + rx},{y} Z"


def _rectangle(element: etree._Element) -> str:
    x, y, wide, high = (_number(element, n) for n in ("x", "y", "width", "height"))
    if wide <= 0 or high <= 0:
        return ""
    given = [_number(element, n) if element.get(n, "auto").strip() not in {"", "auto"} else None for n in ("rx", "ry")]
    rx, ry = (next((radius for radius in radii if radius is not None), 0.0) for radii in (given, given[::-1]))
    rx, ry = min(rx, wide / 2), min(ry, high / 2)
    if rx <= 0 or ry <= 0:
        return f"M {x},{y} H {x + wide} V {y + high} H {x} Z"
    return (
        f"M {x + rx},{y} H {x + wide - rx} A {rx},{ry} 0 0 1 {x + wide},{y + ry} V {y + high - ry} "
        f"A {rx},{ry} 0 0 1 {x + wide - rx},{y + high} H {x + rx} A {rx},{ry} 0 0 1 {x},{y + high - ry} "
        f"V {y + ry} A {rx},{ry} 0 0 1 {x + rx},{y} Z"
    )
