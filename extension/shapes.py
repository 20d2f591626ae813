"""Drawn elements to lines: paths, basic shapes, groups and clones, whatever transforms they carry."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING, Any

from extension.document import SVG, XLINK
from geometry.errors import DrawingError
from geometry.plane import Affine, Curve, Point, distance, distance_to_line

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml import etree

    from geometry.plane import Line

MOST_NODES = 200_000
"""In one element; more is a scan or a photograph traced, not a line to stitch."""

MOST_CLONES = 2_000
"""Clones of clones multiply; a quilt has hundreds of sections."""

STRAIGHT = 1e-9
"""Share of a piece's length by which its controls may leave the chord and it still be straight."""

GROUPS = frozenset({"g", "a", "svg", "switch"})
SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})


def tag(element: etree._Element) -> str:
    """The element's name in SVG; empty for comments and what belongs to others."""
    name = element.tag
    return name.removeprefix(f"{{{SVG}}}") if isinstance(name, str) and name.startswith(f"{{{SVG}}}") else ""


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
        return Affine(*Transform(text).to_hexad())
    except (ValueError, TypeError, ArithmeticError):
        raise DrawingError(
            f"“{element.get('id', tag(element))}” is moved by a transform that cannot be read; it must be one the editor "
            "writes: please undo it, or draw the element again."
        ) from None


def to_ancestor(element: etree._Element, ancestor: etree._Element) -> Affine:
    """The map from coordinates inside an element to those inside one of its ancestors."""
    place = Affine()
    for node in (element, *element.iterancestors()):
        if node is ancestor:
            break
        place = transform_of(node).after(place)
    return place


def elements_in(group: etree._Element, place: Affine | None = None) -> Iterator[tuple[etree._Element, Affine]]:
    """The shapes inside a group, those of groups in it too, each with the map to the group's own coordinates."""
    for child in group:
        name = tag(child)
        if name in GROUPS:
            yield from elements_in(child, (place or Affine()).after(transform_of(child)))
        elif name in SHAPES or name == "use":
            yield child, place or Affine()


def lines_of(element: etree._Element) -> tuple[Line, ...]:
    """A shape's lines in the coordinates around it, its own transform done; a clone gives those of its original.

    Raises:
        DrawingError: it cannot be read, or is far too long.
    """
    if tag(element) == "use":
        return tuple(_cloned(element, [MOST_CLONES]))
    return _moved(element)


def drawing_in(element: etree._Element) -> tuple[Line, ...]:
    """All lines of a shape, a clone or a group, in the coordinates around it.

    Raises:
        DrawingError: one cannot be read, or is far too long.
    """
    return tuple(_any(element, [MOST_CLONES]))


def _moved(element: etree._Element) -> tuple[Line, ...]:
    data = _data(element)
    if not data:
        return ()
    place = transform_of(element)
    return tuple(place.line(line) for line in parse(data, element.get("id", tag(element))))


def _cloned(use: etree._Element, left: list[int]) -> Iterator[Line]:
    """The lines of a clone; `left` counts down the clones that may still be followed."""
    left[0] -= 1
    if left[0] < 0:
        raise DrawingError(
            f"The clone “{use.get('id', '')}” is made of very many others; it must be simpler: please unlink the clone."
        )
    target = (use.get("href") or use.get(f"{{{XLINK}}}href") or "").strip()
    found = [
        element for element in use.getroottree().getroot().iter(f"{{{SVG}}}*") if f"#{element.get('id')}" == target
    ]
    if not found or any(element is found[0] for element in (use, *use.iterancestors())):
        return
    place = transform_of(use).after(Affine(e=_number(use, "x"), f=_number(use, "y")))
    for line in _any(found[0], left):
        yield place.line(line)


def _any(element: etree._Element, left: list[int]) -> Iterator[Line]:
    name = tag(element)
    if name == "use":
        yield from _cloned(element, left)
    elif name in SHAPES:
        yield from _moved(element)
    elif name in GROUPS or name == "symbol":
        place = transform_of(element)
        for child in element:
            for line in _any(child, left):
                yield place.line(line)


def _number(element: etree._Element, name: str) -> float:
    text = element.get(name, "0")
    try:
        return float(re.sub(r"px$", "", text.strip()))
    except ValueError:
        return 0.0


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
    given = [_number(element, n) for n in ("rx", "ry")]
    rx = min(given[0] or given[1], wide / 2)
    ry = min(given[1] or given[0], high / 2)
    if rx <= 0 or ry <= 0:
        return f"M {x},{y} H {x + wide} V {y + high} H {x} Z"
    return (
        f"M {x + rx},{y} H {x + wide - rx} A {rx},{ry} 0 0 1 {x + wide},{y + ry} V {y + high - ry} "
        f"A {rx},{ry} 0 0 1 {x + wide - rx},{y + high} H {x + rx} A {rx},{ry} 0 0 1 {x},{y + high - ry} "
        f"V {y + ry} A {rx},{ry} 0 0 1 {x + rx},{y} Z"
    )


def parse(data: str, name: str = "") -> tuple[Line, ...]:
    """Path data to lines, one a subpath: straight ones as points, others as chains of Béziers; closed ones come home.

    Raises:
        DrawingError: it cannot be read, or is far too long.
    """
    if len(data) > 60 * MOST_NODES:
        raise DrawingError(f"“{name}” has very many nodes; it must be a line to stitch: please simplify it.")
    plain = _plain(data)
    if plain is not None:
        return plain
    from inkex.paths import Path  # noqa: PLC0415 - see above

    try:
        pieces = Path(data).to_superpath()  # type: ignore[no-untyped-call]
        found = tuple(_subpath(piece) for piece in pieces if len(piece) > 1)
    except (ValueError, TypeError, IndexError, AttributeError, ArithmeticError):
        raise DrawingError(
            f"The path “{name}” cannot be read; it must be one the editor writes: please delete it and draw it again."
        ) from None
    return found


_PLAIN = re.compile(r"[ML0-9eE+\-., Z]*")
_PAIR = re.compile(r"([^\s,]+),([^\s,]+)")


def _plain(data: str) -> tuple[Line, ...] | None:
    """What this project writes for straight lines, read at once; None if it is anything else."""
    if not data.startswith("M ") or not _PLAIN.fullmatch(data):
        return None
    lines = []
    for part in data[2:].split("M "):
        text, closed, rest = part.partition("Z")
        first, _, others = text.partition(" L ")
        pairs = _PAIR.findall(first) + _PAIR.findall(others)
        if rest.strip() or "L" in others or len(pairs) != 1 + len(others.split()) or len(pairs) == 1:
            return None
        try:
            points = [Point(float(x), float(y)) for x, y in pairs]
        except ValueError:
            return None
        lines.append((*points, points[0]) if closed and points[0] != points[-1] else tuple(points))
    return tuple(lines)


def _subpath(nodes: list[list[list[float]]]) -> Line:
    points = [[Point(float(x), float(y)) for x, y in node] for node in nodes]
    ahead: list[tuple[Point, Point, Point, Point]] = [
        (one[1], one[2], two[0], two[1]) for one, two in itertools.pairwise(points)
    ]
    if all(_straight(*piece) for piece in ahead):
        line = [ahead[0][0], *(piece[3] for piece in ahead)]
        return tuple(point for i, point in enumerate(line) if i == 0 or point != line[i - 1])
    curve = [ahead[0][0]]
    for piece in ahead:
        curve += piece[1:]
    return Curve(curve)


def _straight(start: Point, one: Point, two: Point, end: Point) -> bool:
    if start in (one, end) and two in (start, end):
        return True
    long = distance(start, end)
    if long == 0:
        return start == one == two
    off: Any = max(distance_to_line(one, start, end), distance_to_line(two, start, end))
    beyond = any(distance(start, p) > long or distance(p, end) > long for p in (one, two))
    return bool(off <= STRAIGHT * long and not beyond)
