"""From the selected shapes to outlines on the page, in inches of quilt."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from extension.document import SVG
from extension.page import INCHES, absolute_length
from geometry.errors import SelectionError
from geometry.plane import SQUARE, Affine, Point, area_of, cross, crossing_pair, distance, inside
from geometry.quilt import FLATTEST, corner_in_words, rectangle, side_names

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml import etree

MOST_NODES = 5000
"""An outline needs twelve at most; a longer path is not looked at."""

MOST_SIDES = 12
"""More is a circle drawn in straight pieces, and its corners are no corners."""

_CURVED = re.compile(r"[csqtaCSQTA]")

_GEOMETRY_IN_STYLE = re.compile(r"(?<![-\w])(?:x|y|width|height|d|transform|translate|rotate|scale)\s*:")


class Outline(NamedTuple):
    """A selected shape of straight sides.

    Attributes:
        element_id: its id in the document.
        corners: on the page in inches of quilt, clockwise as seen; the first is where the top, or side 1, begins: the
            side that sets out most nearly level to the right, of those alike the uppermost. Of a rectangle it is the
            corner that is its top left when unrotated.
        rounded: it had rounded corners, which are ignored.
    """

    element_id: str
    corners: tuple[Point, ...]
    rounded: bool = False

    @property
    def rectangular(self) -> bool:
        """Whether it is a rectangle, to 1/64 in."""
        if len(self.corners) != 4:  # noqa: PLR2004
            return False
        lean, gap = _off_square(self.corners)
        return max(lean, gap) <= SQUARE

    @property
    def frame(self) -> Affine:
        """From inches of quilt to inches on the page.

        Those of a rectangle are measured along its own sides from its top left corner, those of another shape along the
        page from the corner of the box around it.
        """
        start = self.corners[0]
        if self.rectangular:
            ahead = self.corners[1].minus(start).times(1 / distance(start, self.corners[1]))
            return Affine(ahead.x, ahead.y, -ahead.y, ahead.x, start.x, start.y)
        return Affine(1, 0, 0, 1, min(c.x for c in self.corners), min(c.y for c in self.corners))

    @property
    def own(self) -> tuple[Point, ...]:
        """The corners in inches of quilt."""
        if self.rectangular:
            one, two, _, four = self.corners
            return rectangle(distance(one, two), distance(one, four))
        return self.frame.inverse().line(self.corners)

    @property
    def width(self) -> float:
        """Inches from left to right, of a rectangle along its top."""
        return max(corner.x for corner in self.own)

    @property
    def height(self) -> float:
        """Inches from top to bottom, of a rectangle along its left side."""
        return max(corner.y for corner in self.own)

    @property
    def area(self) -> float:
        """Square inches."""
        return area_of(self.corners)

    def holds(self, point: Point) -> bool:
        """Whether a point of the page lies inside, or hardly outside."""
        return inside(point, self.corners, SQUARE)


def find_by_id(root: etree._Element, element_id: str) -> etree._Element:
    """The one element of that id.

    Raises:
        SelectionError: there is none, or more than one.
    """
    found = [element for element in root.iter(f"{{{SVG}}}*") if element.get("id") == element_id]
    if len(found) != 1:
        what = "is no shape" if not found else f"are {len(found)} shapes"
        raise SelectionError(
            f"There {what} with the id “{element_id[:60]}” in the document; there must be exactly one: "
            "please look the id up in Object Properties."
        )
    return found[0]


def read_outline(root: etree._Element, element_id: str, inches: float) -> Outline:
    """Read a selected shape of straight sides, `inches` of quilt to one user unit of the page.

    Raises:
        SelectionError: it has curved sides, crosses itself, or is not drawn on the page itself.
    """
    element = find_by_id(root, element_id)
    place = to_page(element, root)
    corners, rounded = _own_corners(element)
    if place.determinant == 0:
        _no_size(element)
    on_page = [place.at(corner).times(inches) for corner in corners]
    if not all(math.isfinite(value) for corner in on_page for value in corner):
        _no_size(element)
    if place.determinant < 0:
        # clockwise again, from the corner that now comes first
        on_page = turned_upright(on_page)
    _check_shape(on_page, element)
    return Outline(element_id, tuple(on_page), rounded)


def _tag(element: etree._Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _no_size(element: etree._Element) -> NoReturn:
    raise SelectionError(
        f"The selected {_tag(element)} has no size; a quilt's edge needs a width and a height: "
        "please select the shape that is the edge."
    )


def _refuse(found: str) -> NoReturn:
    raise SelectionError(
        f"{found}; the quilt's edge must be a plain rectangle, or another closed shape of straight sides, drawn on the page "
        "itself: please draw one and select it."
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
    """The corners in the element's own coordinates, clockwise, and whether they were rounded."""
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
        if kind == "path" and _CURVED.search(element.get("d", "")):
            raise SelectionError(
                "The selected path has a curved side; the sides of a quilt's edge must be straight: please select its nodes "
                "with the node tool and choose “Make selected segments lines”."
            )
        _refuse(f"The selected {kind} is not a closed outline of straight lines")
    corners = _without_idle_points(points)
    if len(corners) < 3:  # noqa: PLR2004
        _no_size(element)
    if len(corners) > MOST_SIDES:
        raise SelectionError(
            f"The selected {kind} has {len(corners)} sides; a quilt's edge may have from 3 to {MOST_SIDES}: please take out "
            "corners, or draw a simpler one."
        )
    return turned_upright(corners), False


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


_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TOKEN = re.compile(rf"[MLHVZ]|{_NUMBER}", re.IGNORECASE)


def _path_points(data: str) -> list[Point] | None:
    """The nodes of a closed path of straight lines; None if it is anything else.

    Read here: the editor's library takes longer to load than everything else together.
    """
    if len(data) > 40 * MOST_NODES or _TOKEN.sub("", data).strip(" \t\r\n\f,"):
        return None
    points: list[Point] = []
    here, command, closed = Point(0.0, 0.0), "", False
    tokens = _TOKEN.findall(data)[::-1]
    while tokens:
        if tokens[-1].isalpha():
            command = tokens.pop()
            if command in "zZ":
                closed = True
                continue
        elif command in "zZ":  # or none at all
            return None
        needed = 1 if command in "hHvV" else 2
        values = [float(tokens.pop()) for _ in range(needed) if tokens and not tokens[-1].isalpha()]
        if len(values) < needed or closed or (command in "mM") != (not points):
            return None
        start = here if command.islower() else Point(0.0, 0.0)
        if command in "hH":
            here = Point(start.x + values[0], here.y)
        elif command in "vV":
            here = Point(here.x, start.y + values[0])
        else:
            here = Point(start.x + values[0], start.y + values[1])
        points.append(here)
        # pairs that follow a move are lines
        command = {"m": "l", "M": "L"}.get(command, command)
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


def turned_upright(corners: Sequence[Point]) -> list[Point]:
    """Corners put clockwise, beginning where the top, or side 1, sets out."""
    count = len(corners)
    turn = sum(cross(corners[i - 1], corners[i]) for i in range(count))
    ordered = list(corners) if turn > 0 else list(corners[::-1])
    near = 1e-9 * max(1.0, *(abs(value) for corner in corners for value in corner))

    def lean(i: int) -> tuple[float, float, int]:
        following = ordered[(i + 1) % count]
        step = following.minus(ordered[i])
        high = round((ordered[i].y + following.y) / near) * near
        return round(abs(math.atan2(step.y, step.x)), 9), high, i

    first = min(range(count), key=lean)
    return ordered[first:] + ordered[:first]


def _off_square(corners: Sequence[Point]) -> tuple[float, float]:
    """Inches by which four corners miss a rectangle: how far its sides lean, and the last corner's gap."""
    one, two, three, four = corners
    wide, tall = distance(one, two), distance(one, four)
    ahead, down = two.minus(one), four.minus(one)
    lean = abs(ahead.x * down.x + ahead.y * down.y) / max(wide, tall, math.ulp(1.0))
    return lean, distance(three, two.plus(down))


def _check_shape(corners: Sequence[Point], element: etree._Element) -> None:
    """Refuse what encloses nothing, crosses itself, or has a corner that no border can turn."""
    count = len(corners)
    for i, here in enumerate(corners):
        before, after = here.minus(corners[i - 1]), corners[(i + 1) % count].minus(here)
        if math.hypot(*before) == 0 or math.hypot(*after) == 0:
            _no_size(element)
        turn = abs(math.atan2(cross(before, after), before.x * after.x + before.y * after.y))
        if not FLATTEST <= turn <= math.pi - FLATTEST:
            raise SelectionError(
                f"The selected {_tag(element)} has a corner of {180 - math.degrees(turn):.1f} degrees, "
                f"{corner_in_words(side_names(count), i)}; a border turns at corners from {math.degrees(FLATTEST):.0f} to "
                f"{180 - math.degrees(FLATTEST):.0f} degrees, outward or inward: please delete that node with the node tool, or move it."
            )
    if pair := crossing_pair(corners):
        raise SelectionError(
            f"The selected {_tag(element)} crosses itself, where its sides {pair[0] + 1} and {pair[1] + 1} meet; a quilt's "
            "edge must go round once: please move a corner."
        )
