"""From the selected shapes to rectangles on the page, in inches of quilt."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, NoReturn

from extension.document import SVG
from extension.page import INCHES, absolute_length
from geometry.errors import SelectionError
from geometry.lengths import about
from geometry.plane import SQUARE, Affine, Point, cross, distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml import etree

MOST_NODES = 5000
"""A four-sided outline needs four; a longer path is not looked at."""

_GEOMETRY_IN_STYLE = re.compile(r"(?<![-\w])(?:x|y|width|height|d|transform|translate|rotate|scale)\s*:")


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A selected rectangle.

    Attributes:
        element_id: its id in the document.
        corners: on the page in inches of quilt, clockwise as seen, from the corner that is its top left when unrotated.
        rounded: it had rounded corners, which are ignored.
    """

    element_id: str
    corners: tuple[Point, Point, Point, Point]
    rounded: bool = False

    @property
    def width(self) -> float:
        """Inches along its top."""
        return distance(self.corners[0], self.corners[1])

    @property
    def height(self) -> float:
        """Inches along its left side."""
        return distance(self.corners[0], self.corners[3])

    @property
    def frame(self) -> Affine:
        """From inches measured along its own sides, from its top left corner, to inches on the page."""
        start = self.corners[0]
        ahead = self.corners[1].minus(start).times(1 / self.width)
        return Affine(ahead.x, ahead.y, -ahead.y, ahead.x, start.x, start.y)


def find_by_id(root: etree._Element, element_id: str) -> etree._Element:
    """The one element of that id.

    Raises:
        SelectionError: there is none, or more than one.
    """
    found = [element for element in root.iter(f"{{{SVG}}}*") if element.get("id") == element_id]
    if len(found) != 1:
        what = "no shape" if not found else f"{len(found)} shapes"
        raise SelectionError(
            f"There is {what} with the id “{element_id[:60]}” in the document; there must be exactly one: "
            "please look the id up in Object Properties."
        )
    return found[0]


def read_rectangle(root: etree._Element, element_id: str, inches: float) -> Rectangle:
    """Read a selected shape as a rectangle, `inches` of quilt to one user unit of the page.

    Raises:
        SelectionError: it is no rectangle, or not drawn on the page itself.
    """
    element = find_by_id(root, element_id)
    place = to_page(element, root)
    corners, rounded = _own_corners(element)
    if place.determinant == 0:
        _no_size(element)
    on_page = [place.at(corner).times(inches) for corner in corners]
    if not all(math.isfinite(value) for corner in on_page for value in corner):
        _no_size(element)
    return Rectangle(element_id, _upright(on_page, mirrored=place.determinant < 0, element=element), rounded)


def _tag(element: etree._Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _no_size(element: etree._Element) -> NoReturn:
    raise SelectionError(
        f"The selected {_tag(element)} has no size; a quilt's edge needs a width and a height: "
        "please select the rectangle that is the edge."
    )


def _refuse(found: str) -> NoReturn:
    raise SelectionError(
        f"{found}; the quilt's edge must be a plain rectangle drawn on the page itself: please draw one and select it."
    )


def to_page(element: etree._Element, root: etree._Element) -> Affine:
    """The map from the element's own coordinates to user units of the page."""
    place = Affine()
    for node in (element, *element.iterancestors()):
        if node is not element and node is not root and _tag(node) not in {"g", "a"}:
            _refuse(f"The selected {_tag(element)} lies inside a {_tag(node)}")
        if _GEOMETRY_IN_STYLE.search(node.get("style", "")):
            _refuse(f"The selected {_tag(element)} is placed by its style")
        text = node.get("transform")
        if text is None:
            continue
        try:
            place = _transform(text).after(place)
        except (ValueError, TypeError, ArithmeticError):
            _refuse(f"The selected {_tag(element)} is moved by a transform that cannot be read")
    for sheet in root.iter(f"{{{SVG}}}style"):
        if _GEOMETRY_IN_STYLE.search("".join(sheet.itertext())):
            _refuse("Shapes of this document are placed by a style sheet")
    return place


def _transform(text: str) -> Affine:
    from inkex import Transform  # noqa: PLC0415 - the editor's library takes long to load; most edges are not moved

    return Affine(*Transform(text).to_hexad())


def _own_corners(element: etree._Element) -> tuple[list[Point], bool]:
    """The four corners in the element's own coordinates, clockwise from the top left, and whether they were rounded."""
    kind = _tag(element)
    if kind == "rect":
        return _rect_corners(element)
    if kind == "path":
        points = _path_points(element.get("d", ""))
    elif kind == "polygon":
        points = _listed_points(element.get("points", ""))
    elif kind == "use":
        _refuse("A clone is selected")
    else:
        _refuse(f"A {kind} is selected")
    if points is None:
        _refuse(f"The selected {kind} is not a closed outline of straight lines")
    corners = _without_idle_points(points)
    if len(corners) != 4:  # noqa: PLR2004
        if len(corners) < 3:  # noqa: PLR2004
            _no_size(element)
        _refuse(f"The selected {kind} has {len(corners)} corners, not four")
    return _turned_upright(corners), False


def _rect_corners(element: etree._Element) -> tuple[list[Point], bool]:
    values = {}
    for name in ("x", "y", "width", "height", "rx", "ry"):
        text = element.get(name, "0")
        length = absolute_length(text)
        if length is None:
            if name in {"rx", "ry"}:
                length = 1.0  # rounded somehow, which is all that is asked
            else:
                _refuse(f"The selected rectangle's {name} is “{text[:40]}”")
        values[name] = length / INCHES["px"]
    x, y, width, height = values["x"], values["y"], values["width"], values["height"]
    if width <= 0 or height <= 0:
        _no_size(element)
    corners = [Point(x, y), Point(x + width, y), Point(x + width, y + height), Point(x, y + height)]
    return corners, values["rx"] > 0 or values["ry"] > 0


def _path_points(data: str) -> list[Point] | None:
    """The nodes of a closed path of straight lines; None if it is anything else."""
    from inkex.paths import Line, Move, Path, ZoneClose  # noqa: PLC0415 - see above

    if len(data) > 40 * MOST_NODES:
        return None
    try:
        commands = list(Path(data).to_absolute())  # type: ignore[no-untyped-call]
    except (ValueError, TypeError, IndexError, AttributeError, ArithmeticError):
        return None
    points: list[Point] = []
    closed = False
    for command in commands:
        if isinstance(command, ZoneClose) and points:
            closed = True
        elif closed or (isinstance(command, Move) and points):
            return None
        elif isinstance(command, Move | Line):
            points.append(Point(float(command.x), float(command.y)))
        elif command.letter in "HV" and points:
            x, y = points[-1]
            points.append(Point(command.x, y) if command.letter == "H" else Point(x, command.y))
        else:
            return None
    return points if points and (closed or points[0] == points[-1]) else None


def _listed_points(text: str) -> list[Point] | None:
    numbers = [absolute_length(part) for part in re.split(r"[\s,]+", text.strip())][: 2 * MOST_NODES + 2]
    if None in numbers or len(numbers) % 2 or len(numbers) > 2 * MOST_NODES:
        return None
    values = [number / INCHES["px"] for number in numbers if number is not None]
    return [Point(x, y) for x, y in zip(values[::2], values[1::2], strict=True)]


def _without_idle_points(points: Sequence[Point]) -> list[Point]:
    """The corners: repeated points and points on a straight line left out."""
    size = max((distance(points[0], point) for point in points), default=0.0)
    near = 1e-9 * size
    kept = [point for i, point in enumerate(points) if distance(point, points[i - 1]) > near]
    corners = []
    for i, point in enumerate(kept):
        before, after = point.minus(kept[i - 1]), kept[(i + 1) % len(kept)].minus(point)
        if abs(cross(before, after)) > 1e-7 * math.hypot(*before) * math.hypot(*after):
            corners.append(point)
    return corners


def _turned_upright(corners: list[Point]) -> list[Point]:
    """Four corners put clockwise, beginning where the side that is most nearly level sets out to the right."""
    turn = sum(cross(corners[i - 1], corners[i]) for i in range(4))
    ordered = corners if turn > 0 else corners[::-1]

    def lean(i: int) -> float:
        step = ordered[(i + 1) % 4].minus(ordered[i])
        return round(abs(math.atan2(step.y, step.x)), 9)

    first = min(range(4), key=lambda i: (lean(i), i))
    return ordered[first:] + ordered[:first]


def _upright(corners: list[Point], *, mirrored: bool, element: etree._Element) -> tuple[Point, Point, Point, Point]:
    """Check that the corners make a rectangle; put a mirrored one clockwise again."""
    one, two, three, four = corners
    if mirrored:
        sideways, upside_down = (two, one, four, three), (four, three, two, one)
        one, two, three, four = min(
            sideways, upside_down, key=lambda c: round(abs(math.atan2(c[1].y - c[0].y, c[1].x - c[0].x)), 9)
        )
    wide, tall = distance(one, two), distance(one, four)
    if wide <= 0 or tall <= 0:
        _no_size(element)
    ahead, down = two.minus(one), four.minus(one)
    lean = abs(ahead.x * down.x + ahead.y * down.y) / max(wide, tall)
    gap = distance(three, two.plus(down))
    if lean > SQUARE or gap > SQUARE:
        angle = math.degrees(math.acos(max(-1.0, min(1.0, (ahead.x * down.x + ahead.y * down.y) / (wide * tall)))))
        raise SelectionError(
            f"The selected {_tag(element)} is not a true rectangle: one corner measures {angle:.1f} degrees and the "
            f"sides are off by up to {about(max(lean, gap))}; the corners must be square: "
            "please take out the skew, or draw the edge as a rectangle."
        )
    return one, two, three, four
