"""What the document remembers: the recipe of a border and a fingerprint of each section's lines."""

from __future__ import annotations

import itertools
import json
import math
from operator import mul
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from extension.document import set_value, value_of
from extension.marking import used
from extension.options import BORDER_OPTIONS, ORDER_OPTIONS, read_options
from extension.selection import MOST_SIDES
from geometry.errors import DrawingError
from geometry.lengths import INCHES_PER, LONGEST_IN
from geometry.plane import Affine, Line, Point, distance, length_of
from geometry.quilt import PLACES, side_names

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from lxml import etree

    from extension.request import Job
    from geometry.fitting import SideFit
    from geometry.plan import BorderPlan
    from geometry.sections import Section

VERSION = "1"

ORDER_NAMES = ("order", "leave", "travel")
"""Options of the order that a border remembers."""

ROUNDED, ROUNDED_EACH = 0.0012, 2e-6
"""Inches by which a fingerprint's sums may differ without a change by hand: its own rounding, and that of each number."""

LISTS = {option.name for option in BORDER_OPTIONS if option.kind == "lengths"}
"""Options that are one length, or several."""

LENGTHS = {option.name for option in (*BORDER_OPTIONS, *ORDER_OPTIONS) if option.kind == "length"}
"""Options that are kept in the designer's own unit."""


def recipe(job: Job, plan: BorderPlan) -> str:
    """The values actually used, lengths in the designer's unit, and what was fitted on each side, as JSON."""
    values: dict[str, Any] = dict(job.options)
    unit = values["unit"]
    for name in LENGTHS & values.keys():
        values[name] = _in_unit(values[name], unit)
    for name in LISTS & values.keys():
        values[name] = _written(values[name], unit)
    values["edge_in"] = [[round(value, 9) for value in corner] for corner in plan.border.edge]
    if job.seam_id:
        values["seam"] = job.seam_id
    if job.seam_id or len(set(plan.request.widths)) > 1:
        values["widths_in"] = [round(width, 9) for width in plan.request.widths]
    if plan.matches:
        values["matched"] = [
            {
                "base": match.base,
                "spacing_in": round(match.spacing, 9),
                "difference_pct": round(match.difference_pct, 3),
            }
            for match in plan.matches
        ]
    values.update(used(plan.request.guide, plan.border.sides, unit))
    values["sides"] = [_side(zigzag.side.name, zigzag.fit) for zigzag in plan.zigzags if zigzag.side.tier == 1]
    return json.dumps(values, ensure_ascii=False)


def _written(lengths: Sequence[float], unit: str) -> float | str:
    """One length as a number, several as they can be typed."""
    numbers = [_in_unit(length, unit) for length in lengths]
    return numbers[0] if len(numbers) == 1 else ", ".join(f"{number:.10g}" for number in numbers)


def _side(name: str, fit: SideFit) -> dict[str, Any]:
    """What was fitted on a side; where its triangles are of unlike length, also where dots and points lie along it."""
    found: dict[str, Any] = {
        "side": name,
        "length_in": fit.ask.length,
        "count": fit.count,
        "repeat_in": fit.repeat_in,
        "angle_deg": fit.angle_deg,
        "difference_pct": fit.difference_pct,
        "fit": fit.fit,
        "eased": {"each": fit.each, "repeat_in": fit.eased_in, "difference_pct": fit.eased_pct},
    }
    for key, places in (("dots_in", fit.dots), ("points_in", fit.points)):
        if places:
            found[key] = list(places)
    return found


def remember(layer: etree._Element, values: Mapping[str, Any]) -> None:
    """Put values, lengths in inches, into the recipe of a border that has one."""
    found = json.loads(value_of(layer, "recipe"))
    unit = str(found.get("unit", "in"))
    lengths = {name: _in_unit(value, unit) for name, value in values.items() if name in LENGTHS}
    set_value(layer, "recipe", json.dumps({**found, **values, **lengths}, ensure_ascii=False))


def _in_unit(inches: float, unit: str) -> float:
    return round(inches / INCHES_PER[unit], 9)


def fingerprint(lines: Sequence[Line], section: Section, stretch: float = 1.0) -> str:
    """A short text that changes when a line of the section is changed by hand.

    Nodes are measured in inches from the section's own corner and base, so that moving, turning or scaling
    the whole border, which is then `stretch` times larger, is no change. It holds the numbers of lines and nodes, the length, and two sums of the
    nodes with weights of their own, to a thousandth of an inch; whoever compares allows for rounding.
    """
    left, right = section.left, section.right
    ahead = right.minus(left).times(stretch / distance(left, right))
    own = Affine(ahead.x, ahead.y, -ahead.y, ahead.x, left.x, left.y).inverse()
    nodes = [point for line in lines for point in line]
    weights = [0.5 + number * 0.6180339887498949 % 1 for number in range(1, len(nodes) + 1)]
    # the sum of weighted nodes is mapped as the nodes are
    across, down = (sum(map(mul, weights, values)) for values in ([x for x, _ in nodes], [y for _, y in nodes]))
    all_ = sum(weights)
    sums = (own.a * across + own.c * down + own.e * all_, own.b * across + own.d * down + own.f * all_)
    length = sum(length_of(line) for line in lines) / stretch
    return " ".join([str(len(lines)), str(len(nodes)), *(f"{value:.3f}" for value in (length, *sums))])


def is_as_drawn(lines: Sequence[Line], section: Section, drawn: str, stretch: float = 1.0) -> bool:
    """Whether lines are what a fingerprint says was drawn: numbers rounded by an editor are no change."""
    try:
        now, then = ([float(part) for part in text.split()] for text in (fingerprint(lines, section, stretch), drawn))
    except ValueError:
        return False
    slack = ROUNDED + ROUNDED_EACH * sum(len(line) for line in lines)
    return (
        len(now) == len(then)
        and now[:2] == then[:2]
        and all(abs(a - b) <= slack for a, b in zip(now[2:], then[2:], strict=True))
    )


def read_way(layer: etree._Element) -> dict[str, Any]:
    """How the border was last stitched: order, weight of travel, leave-and-return points; lengths in inches.

    Raises:
        DrawingError: the recipe is gone.
    """
    try:
        found = json.loads(value_of(layer, "recipe"))
        return read_options(
            {option.name: str(found.get(option.name, option.default)) for option in ORDER_OPTIONS}, ORDER_OPTIONS
        )
    except (ValueError, TypeError, ArithmeticError, AttributeError, RecursionError):
        _no_recipe(layer)


def filled_for(layer: etree._Element) -> str:
    """The order that the fills of a border were drawn for, whatever order it was given since; of one with a recipe."""
    found = json.loads(value_of(layer, "recipe"))
    return str(found.get("filled_for", found.get("order", "sections")))


def _no_recipe(layer: etree._Element) -> NoReturn:
    raise DrawingError(
        f"The border “{layer.get('id', '')}” has lost its recipe; it must carry what it was drawn with: "
        "please draw the border again."
    )


class Fitted(NamedTuple):
    """What the recipe remembers of one side."""

    length: float
    triangles: float
    repeat: float
    each: int
    eased: float
    asked: float
    dots: tuple[float, ...] = ()
    points: tuple[float, ...] = ()


class Recipe(NamedTuple):
    """What a border was drawn with.

    Attributes:
        options: the values used, lengths in inches; `sides` as typed.
        widths: inches, of each side.
        edge: the corners of the trimmed edge as planned, in inches of quilt; none in old drawings of rectangles.
        sides: the names of those that have a border, in order.
    """

    options: dict[str, Any]
    widths: tuple[float, ...]
    edge: tuple[Point, ...]
    sides: tuple[str, ...]


def read_recipe(layer: etree._Element) -> Recipe:
    """What a border was drawn with.

    Raises:
        DrawingError: the recipe is gone.
    """
    recipe_ = None
    try:
        found = json.loads(value_of(layer, "recipe"))
        edge = tuple(Point(float(x), float(y)) for x, y in found.get("edge_in", ()))
        names = side_names(len(edge) or len(PLACES))
        fitted = found.get("sides", ())
        # what was typed as sides is told by what was fitted
        told = [str(side["side"]) for side in fitted] if isinstance(fitted, list) else []
        sides = tuple(name for name in names if not told or name in told)
        given = {option.name: str(found.get(option.name, option.default)) for option in BORDER_OPTIONS}
        given["sides"] = "" if len(sides) == len(names) else ", ".join(sides)
        options = read_options(given, BORDER_OPTIONS)
        widths = tuple(float(width) for width in found.get("widths_in", options["width"]))
        widths = widths * len(names) if len(widths) == 1 else widths
        sound = (
            len(widths) == len(names)
            and sides != ()
            # from before outlines were remembered there are borders all round only
            and (edge or len(sides) == len(names))
            and all(0 < width < LONGEST_IN for width in widths)
            and len(edge) in {0, *range(3, MOST_SIDES + 1)}
            and all(abs(value) < 10 * LONGEST_IN for corner in edge for value in corner)
        )
        recipe_ = Recipe(options, widths, edge, sides) if sound else None
    except (ValueError, TypeError, ArithmeticError, AttributeError, KeyError, RecursionError):
        pass
    if recipe_ is None:
        _no_recipe(layer)
    return recipe_


def read_fitted(layer: etree._Element) -> dict[str, Fitted]:
    """What was fitted on each side, as far as the recipe still tells."""
    found = {}
    try:
        for side in json.loads(value_of(layer, "recipe"))["sides"]:
            numbers = [float(side["length_in"]), float(side["repeat_in"]), float(side["eased"]["repeat_in"])]
            share = 1 + float(side["difference_pct"]) / 100
            count, each = round(2 * float(side["count"])) / 2, int(side["eased"]["each"])
            count = int(count) if count == int(count) else count
            if all(math.isfinite(n) and n > 0 for n in (*numbers, share)) and 0 <= 2 * each < count:
                length, repeat, eased = numbers
                found[str(side["side"])] = Fitted(
                    length, count, repeat, each, eased, repeat / share,
                    _places(side.get("dots_in", ()), count, length), _places(side.get("points_in", ()), count, length),
                )  # fmt: skip
    except (ValueError, TypeError, ArithmeticError, KeyError, AttributeError, RecursionError):
        pass  # the drawing itself tells what is there
    return found


def _places(written: Sequence[Any], count: float, length: float) -> tuple[float, ...]:
    """Places along a side, if it has some.

    Raises:
        ValueError: they are not as many as they may be, in order, on the side.
    """
    places = tuple(float(place) for place in written)
    rising = all(one < other for one, other in itertools.pairwise(places))
    # dots and points together are one more than twice the triangles; where a pivot lies on the stop line, there are fewer dots
    if places and not (count - 0.5 <= len(places) <= count + 1 and rising and places[0] >= 0 and places[-1] <= length):
        raise ValueError(places)
    return places
