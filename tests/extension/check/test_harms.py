"""Ground truth by construction: a clean border, one harm of known size at a known place, one finding.

The place is right to 0.02 in, the amount to 2 %, and nothing else is told; the same with fingerprints, stitching layer
and fitted figures taken out of the document.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

Spot = tuple[float, float]
AT, OFF = 0.02, 0.02
"""Inches by which a place, and share by which an amount, may be off."""

INCHES = "in inches"
TURNED = "turned and scaled in a group on a page in millimetres"
SMALL = "eight times smaller in pixels"

BORDERS = (
    (INCHES, {"fill": "diamonds"}, 2, 0.2),
    (TURNED, {"fill": "channels", "corner": "square"}, 3, 0.07),
    (SMALL, {"fill": "crosshatch", "corner": "large"}, 1, 0.31),
    (INCHES, {"fill": "fans", "corner": "square", "order": "zigzag"}, 2, 0.11),
    (TURNED, {"fill": "meander", "corner": "large", "kind": "inner"}, 3, 0.45),
    (SMALL, {"fill": "echoes", "kind": "inner", "order": "across"}, 2, 0.16),
    (INCHES, {"fill": "beadboard", "echo": "1", "number": "even"}, 1, 0.26),
)
"""Place, options, the number of the section to harm, and the size of the harm in inches."""

OFTEN = {"over": "20"}
"""A line that hangs on the middle of a diagonal is come to by stitching over it, which is another matter."""

LOOSE = {"open": "30", **OFTEN}
"""For sections that are drawn by hand with little in them."""


class Told(NamedTuple):
    """What must be told: kind, section, place in inches of quilt, amount."""

    kind: str
    section: str
    at: Spot | None
    amount: float


def _minus(one: Spot, other: Spot) -> Spot:
    return (one[0] - other[0], one[1] - other[1])


def _plus(one: Spot, step: Spot, times: float = 1.0) -> Spot:
    return (one[0] + times * step[0], one[1] + times * step[1])


def _dot(one: Spot, other: Spot) -> float:
    return one[0] * other[0] + one[1] * other[1]


def _unit(step: Spot) -> Spot:
    size = math.hypot(*step)
    return (step[0] / size, step[1] / size)


def _between(one: Spot, other: Spot, share: float) -> Spot:
    return _plus(one, _minus(other, one), share)


def _foot(spot: Spot, start: Spot, end: Spot) -> Spot:
    ahead = _unit(_minus(end, start))
    return _plus(start, ahead, _dot(_minus(spot, start), ahead))


def _out(start: Spot, end: Spot, across: Spot) -> Spot:
    """A step of one inch square to a side of a triangle, away from the third corner."""
    return _unit(_minus(_foot(across, start, end), across))


def _incircle(one: Spot, two: Spot, three: Spot) -> tuple[Spot, float]:
    """Centre and radius: the corners weighted by the sides across, twice the area over the way round."""
    sides = (math.dist(two, three), math.dist(one, three), math.dist(one, two))
    x, y = (
        sum(side * corner[i] for side, corner in zip(sides, (one, two, three), strict=True)) / sum(sides)
        for i in (0, 1)
    )
    area = abs((two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])) / 2
    return (x, y), 2 * area / sum(sides)


def _expect(sheet: Any, told: Told, **limits: str) -> None:
    found = sheet.found(**limits)
    assert [(one["kind"], one["section"]) for one in found] == [told[:2]], found
    if told.at is None:
        assert found[0]["at_in"] is None
    else:
        assert math.dist(found[0]["at_in"], sheet.as_told(told.at)) < AT, found
    name = {"uneven": "amount_pct", "too-sharp": "amount_deg", "too-many-at-a-point": "amount"}.get(
        told.kind, "amount_in"
    )
    assert found[0][name] == pytest.approx(told.amount, rel=OFF)


# harms of a section: sheet, name, size -> what must be told


def a_node_dragged_over_the_base(sheet: Any, name: str, size: float) -> Told:
    """The node nearest to the middle of the base."""
    one, two, tip = sheet.corners(name)
    out, middle = _out(one, two, tip), _between(one, two, 0.5)
    old = min(
        sheet.nodes(name), key=lambda spot: (round(abs(_dot(_minus(spot, one), out)), 3), math.dist(spot, middle))
    )
    new = _plus(_foot(old, one, two), out, size)
    sheet.drag(name, old, new)
    return Told("outside-section" if "-in-" in name else "beyond-stop-line", name, new, size)


def a_node_dragged_over_a_diagonal(sheet: Any, name: str, size: float) -> Told:
    """The node nearest to the middle of the diagonal."""
    _, two, tip = corners = sheet.corners(name)
    out, middle = _out(two, tip, corners[0]), _between(two, tip, 0.5)
    old = min(
        sheet.nodes(name), key=lambda spot: (round(abs(_dot(_minus(spot, two), out)), 1), math.dist(spot, middle))
    )
    new = _plus(_foot(old, two, tip), out, size)
    sheet.drag(name, old, new)
    return Told("outside-section", name, new, size)


def a_loop_drawn_over_the_base(sheet: Any, name: str, size: float) -> Told:
    """A teardrop on the node nearest to the base: a Bézier whose controls are h away goes 3/4 h."""
    one, two, tip = sheet.corners(name)
    out, ahead, middle = _out(one, two, tip), _unit(_minus(two, one)), _between(one, two, 0.5)
    start = min(sheet.nodes(name), key=lambda spot: math.dist(spot, middle))
    high = size - _dot(_minus(start, one), out)
    peak = _plus(start, out, high / 0.75)
    sheet.draw(name, [start, _plus(peak, ahead, -high), _plus(peak, ahead, high), start], curved=True)
    return Told("outside-section" if "-in-" in name else "beyond-stop-line", name, _plus(start, out, high), size)


def a_fill_taken_out(sheet: Any, name: str, _size: float) -> Told:
    """What is left open is the circle in the triangle."""
    sheet.clear(name)
    centre, radius = _incircle(*sheet.corners(name))
    return Told("no-fill", name, centre, 2 * radius)


def one_straight_line_for_a_fill(sheet: Any, name: str, size: float) -> Told:
    """From beside the tip to the base: the larger part's circle, between line, base and diagonal, stays open."""
    one, two, tip = sheet.corners(name)
    start, foot = _between(tip, one, 0.12), _between(one, two, 0.33 - size / 4)
    sheet.clear(name)
    sheet.draw(name, [start, foot])
    centre, radius = _incircle(foot, two, _where(foot, start, two, tip))
    return Told("too-open", name, centre, 2 * radius)


def a_round_for_a_fill(sheet: Any, name: str, size: float) -> Told:
    """A circle of four Béziers that touches a diagonal, smaller than would fit: its inside stays open."""
    one, two, tip = sheet.corners(name)
    (x, y), room = _incircle(one, two, tip)
    smaller = 0.23 + size / 8
    radius = room - smaller
    x, y = _plus((x, y), _out(two, tip, one), smaller)
    sheet.clear(name)
    handle = 0.5522847498 * radius
    rim = []
    for ax, ay in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        node = (x + radius * ax, y + radius * ay)
        rim += [_plus(node, (ay, -ax), handle), node, _plus(node, (-ay, ax), handle)]
    sheet.draw(name, [rim[1], *rim[2:], *rim[:2]], curved=True)
    return Told("too-open", name, (x, y), 2 * radius)


def a_bent_line_that_hangs_on_nothing(sheet: Any, name: str, size: float) -> Told:
    """An angle pointing at the middle of a diagonal."""
    one, two, tip = sheet.corners(name)
    out = _out(two, tip, one)
    point = _plus(_between(two, tip, 0.5), out, -size)
    sheet.clear(name)
    ahead = _unit(_minus(tip, two))
    arms = [_plus(_plus(point, out, -0.5), ahead, side) for side in (0.6, -0.6)]
    sheet.draw(name, [arms[0], point, arms[1]])
    return Told("broken-line", name, point, size)


def a_curve_that_hangs_on_nothing(sheet: Any, name: str, size: float) -> Told:
    """A lopsided arc whose belly is nearest to a diagonal: the controls' middle third lies between its ends' heights."""
    one, two, tip = sheet.corners(name)
    out, ahead = _out(two, tip, one), _unit(_minus(tip, two))
    origin = _plus(_between(two, tip, 0.5), out, -size)
    # heights 0.75, 0, 0, 0.75 along the inward step would peak at 3/4 of the way: the belly lies at the half, h = 3/16
    shares, heights = (-0.9, 0.3, 0.5, 0.7), (0.75, -0.25, -0.25, 0.75)
    spots = [_plus(_plus(origin, ahead, share), out, -height) for share, height in zip(shares, heights, strict=True)]
    sheet.clear(name)
    sheet.draw(name, spots, curved=True)
    return Told(
        "broken-line", name, _plus(origin, ahead, (shares[0] + 3 * shares[1] + 3 * shares[2] + shares[3]) / 8), size
    )


def a_spur_that_ends_beside_a_line(sheet: Any, name: str, size: float) -> Told:
    """One line from beside the tip to the base, and one square to it from a diagonal, that ends just before it."""
    one, two, tip = sheet.corners(name)
    start, foot = _between(tip, two, 0.12), _between(one, two, 0.5)
    towards = _unit(_minus(_foot(one, start, foot), one))
    gap, place = size / 3, _between(start, foot, 0.55)
    end = _plus(place, towards, -gap)
    sheet.clear(name)
    sheet.draw(name, [start, foot], [_where(place, end, one, tip), end])
    return Told("too-close", name, end, gap)


def an_arch_whose_belly_is_beside_a_line(sheet: Any, name: str, size: float) -> Told:
    """One line from tip to base, and a lopsided Bézier from diagonal to base that comes near it."""
    one, two, tip = sheet.corners(name)
    start, foot = _between(tip, two, 0.12), _between(one, two, 0.5)
    towards = _unit(_minus(_foot(one, start, foot), one))
    down = _unit(_minus(foot, start))
    gap, place = size / 3, _between(start, foot, 0.65)
    origin = _plus(place, towards, -gap)
    shares, heights = (-0.6, 0.2, 0.35, 0.45), (0.75, -0.25, -0.25, 0.75)
    spots = [_plus(_plus(origin, down, share), towards, -height) for share, height in zip(shares, heights, strict=True)]
    sheet.clear(name)
    sheet.draw(name, [start, foot])
    sheet.draw(name, spots, curved=True)
    sheet.draw(name, [spots[0], _where(origin, spots[0], one, tip)])
    at = _plus(origin, down, (shares[0] + 3 * shares[1] + 3 * shares[2] + shares[3]) / 8)
    return Told("too-close", name, at, gap)


def _where(start: Spot, towards: Spot, one: Spot, two: Spot) -> Spot:
    """Where the line from `start` towards a spot meets the line through two others."""
    step, other = _minus(towards, start), _minus(two, one)
    area = step[0] * other[1] - step[1] * other[0]
    across = _minus(one, start)
    return _plus(start, step, (across[0] * other[1] - across[1] * other[0]) / area)


def strokes_through_one_point(sheet: Any, name: str, size: float) -> Told:
    """A star of straight strokes, one of them long enough to hang on a diagonal."""
    one, two, tip = sheet.corners(name)
    (x, y), _ = _incircle(one, two, tip)
    sheet.clear(name)
    sheet.draw(name, [_foot((x, y), two, tip), (x, y)])
    count = 6 + round(10 * size)
    for number in range(count):
        turn = math.tau * (number + 0.5) / count + math.atan2(*_out(two, tip, one)[::-1])
        sheet.draw(name, [(x, y), (x + 0.6 * math.cos(turn), y + 0.6 * math.sin(turn))])
    return Told("too-many-at-a-point", name, (x, y), count + 1)


def curves_through_one_point(sheet: Any, name: str, size: float) -> Told:
    """The same of curves, each of which leads away twice."""
    one, two, tip = sheet.corners(name)
    (x, y), _ = _incircle(one, two, tip)
    sheet.clear(name)
    sheet.draw(name, [_foot((x, y), two, tip), (x, y)])
    count = 4 + round(5 * size)
    for number in range(count):
        turn = math.pi * (number + 0.5) / count + math.atan2(*_out(two, tip, one)[::-1])
        ahead, side = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
        start, end = _plus((x, y), ahead, -0.6), _plus((x, y), ahead, 0.6)
        # an S through the point
        one_, two_ = _plus(_plus((x, y), ahead, -0.2), side, 0.1), _plus(_plus((x, y), ahead, 0.2), side, -0.1)
        sheet.draw(name, [start, one_, two_, end], curved=True)
    return Told("too-many-at-a-point", name, (x, y), 2 * count + 1)


def _roomiest(sheet: Any, name: str, deep: float) -> tuple[Spot, Spot, Spot]:
    """A place on a diagonal from where a spike of some depth keeps farthest from the section's lines; inwards, along."""
    one, two, tip = sheet.corners(name)
    nodes = [spot for path in sheet.section(name) for spot in _dense(sheet.read(path))]
    best = None
    for start, end, other in ((two, tip, one), (one, tip, two)):
        inwards, ahead = _plus((0, 0), _out(start, end, other), -1), _unit(_minus(end, start))
        for share in range(10, 91):
            foot = _between(start, end, share / 100)
            room = min(math.dist(_plus(foot, inwards, deep * part / 4), node) for node in nodes for part in range(5))
            if best is None or room > best[0]:
                best = (room, foot, inwards, ahead)
    return best[1:]


def _dense(steps: Any) -> list[Spot]:
    """Places along a path, a twentieth of each piece apart."""
    found: list[Spot] = []
    for letter, spots in steps:
        if letter == "M":
            found.append(spots[0])
        elif letter == "L":
            found += [_between(found[-1], spots[0], share / 20) for share in range(1, 21)]
        elif letter == "C":
            start = found[-1]
            for share in range(1, 21):
                t, rest = share / 20, 1 - share / 20
                weights = (rest**3, 3 * rest * rest * t, 3 * rest * t * t, t**3)
                found.append(
                    tuple(sum(w * p[i] for w, p in zip(weights, (start, *spots), strict=True)) for i in (0, 1))
                )
    return found


def a_spike(sheet: Any, name: str, size: float) -> Told:
    """From a diagonal and back to it."""
    degrees, deep = 2 + 8 * size, 0.4
    foot, inwards, ahead = _roomiest(sheet, name, deep)
    half = deep * math.tan(math.radians(degrees / 2))
    apex = _plus(foot, inwards, deep)
    sheet.draw(name, [_plus(foot, ahead, -half), apex, _plus(foot, ahead, half)])
    return Told("too-sharp", name, apex, degrees)


def a_thorn_of_two_curves(sheet: Any, name: str, size: float) -> Told:
    """Two Béziers that meet in a cusp: the angle is that of their handles."""
    degrees, deep = 2 + 8 * size, 0.4
    foot, inwards, ahead = _roomiest(sheet, name, deep)
    apex = _plus(foot, inwards, deep)
    wide = [deep * part * math.tan(math.radians(degrees / 2)) for part in (0.3, 1.0)]
    left, right = (
        (
            _plus(_plus(apex, inwards, -0.3 * deep), ahead, side * wide[0]),
            _plus(_plus(foot, inwards, 0.1), ahead, side * 0.08),
            _plus(foot, ahead, side * 0.12),
        )
        for side in (-1, 1)
    )
    sheet.draw(name, [left[2], left[1], left[0], apex, right[0], right[1], right[2]], curved=True)
    return Told("too-sharp", name, apex, degrees)


SECTION_HARMS = (
    (a_node_dragged_over_the_base, {}),
    (a_node_dragged_over_a_diagonal, {}),
    (a_loop_drawn_over_the_base, {}),
    (a_fill_taken_out, {}),
    (one_straight_line_for_a_fill, OFTEN),
    (a_round_for_a_fill, OFTEN),
    (a_bent_line_that_hangs_on_nothing, LOOSE),
    (a_curve_that_hangs_on_nothing, LOOSE),
    (a_spur_that_ends_beside_a_line, LOOSE),
    (an_arch_whose_belly_is_beside_a_line, LOOSE),
    (strokes_through_one_point, LOOSE),
    (curves_through_one_point, LOOSE),
    (a_spike, {}),
    (a_thorn_of_two_curves, {}),
)


@pytest.mark.parametrize("border", range(len(BORDERS)))
@pytest.mark.parametrize("harm", range(len(SECTION_HARMS)), ids=[harm.__name__ for harm, _ in SECTION_HARMS])
@pytest.mark.parametrize("base", ["in", "out"])
def test_a_harm_in_a_section_is_told_where_it_is_and_nothing_else(
    base: str, harm: int, border: int, sheet: Callable[..., object]
) -> None:
    """On both seams and in all places."""
    place, options, number, size = BORDERS[border]
    harm_it, limits = SECTION_HARMS[harm]
    side = ("top", "right", "bottom", "left")[(harm + border) % 4]
    drawn = sheet(place, **options)
    told = harm_it(drawn, f"{side}-{base}-{number}", size)
    _expect(drawn, told, **limits)


@pytest.mark.parametrize("border", [0, 5, 6])
@pytest.mark.parametrize("harm", range(len(SECTION_HARMS)), ids=[harm.__name__ for harm, _ in SECTION_HARMS])
def test_a_harm_in_a_corner_piece_is_told_where_it_is_and_nothing_else(
    harm: int, border: int, sheet: Callable[..., Any]
) -> None:
    """In the two triangles of a mitred corner; those of a square one are too narrow for some."""
    place, options, _, size = BORDERS[border]
    harm_it, limits = SECTION_HARMS[harm]
    drawn = sheet(place, **options)
    side = ("top", "right", "bottom", "left")[(harm + border) % 4]
    pieces = [name for name in drawn.names() if name.startswith(f"{side}-corner-") and len(drawn.corners(name)) == 3]
    _expect(drawn, harm_it(drawn, pieces[harm % 2], size), **limits)
