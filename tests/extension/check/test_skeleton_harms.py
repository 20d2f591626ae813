"""One harm to zigzag, corner lines, or the evenness of the whole: one finding at its place, and nothing else.

As in the harms of sections the place is right to 0.02 in and the amount to 2 %.
"""

from __future__ import annotations

import itertools
import math
import statistics
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable

Spot = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
AT, OFF = 0.02, 0.02

INCHES = "in inches"
TURNED = "turned and scaled in a group on a page in millimetres"
SMALL = "eight times smaller in pixels"

BORDERS = (
    (INCHES, {"fill": "diamonds"}),
    (TURNED, {"fill": "channels", "corner": "square"}),
    (SMALL, {"fill": "crosshatch", "corner": "large"}),
    (INCHES, {"fill": "fans", "kind": "inner", "order": "across"}),
    (TURNED, {"fill": "echoes", "corner": "large", "order": "zigzag"}),
    (SMALL, {"fill": "beadboard", "corner": "square", "kind": "inner"}),
)

OUTWARDS = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}
SIZES = (0.05, 0.3, 0.9)


def _turn(step: Spot, degrees: float) -> Spot:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (cos * step[0] - sin * step[1], sin * step[0] + cos * step[1])


def _plus(one: Spot, step: Spot, times: float = 1.0) -> Spot:
    return (one[0] + times * step[0], one[1] + times * step[1])


def _expect(sheet: Any, kind: str, section: str, at: Spot | None, amount: float, **limits: str) -> None:
    found = sheet.found(**limits)
    assert [(one["kind"], one["section"]) for one in found] == [(kind, section)], found
    if at is None:
        assert found[0]["at_in"] is None
    else:
        assert math.dist(found[0]["at_in"], sheet.as_told(at)) < AT, found
    assert found[0]["amount_pct" if kind == "uneven" else "amount_in"] == pytest.approx(amount, rel=OFF)


borders = pytest.mark.parametrize("border", range(len(BORDERS)))
sizes = pytest.mark.parametrize("size", SIZES)


@borders
@sizes
@pytest.mark.parametrize("which", [0, -1], ids=["first", "last"])
def test_a_zigzag_that_misses_its_pivot(which: int, size: float, border: int, sheet: Callable[..., Any]) -> None:
    """Moved along the seam, outwards, inwards, aslant."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    side = tuple(OUTWARDS)[(border + which) % 4]
    pivot = drawn.read(drawn.side(side))[which].points[0]
    new = _plus(pivot, _turn(OUTWARDS[side], 90 * border + 37 * (size > 0.1)), size)
    drawn.move(drawn.side(side), pivot, new)
    _expect(drawn, "misses-pivot", side, pivot, size)


@borders
@sizes
def test_a_dot_off_its_seam(size: float, border: int, sheet: Callable[..., Any]) -> None:
    """Into the border or into the centre, and some way along: the amount is square to the seam."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    side = tuple(OUTWARDS)[border % 4]
    steps = drawn.read(drawn.side(side))
    old = steps[2 * (1 + border % 2)].points[0]
    outwards = OUTWARDS[side]
    new = _plus(_plus(old, outwards, size * (-1) ** border), _turn(outwards, 90), 0.6 * size)
    drawn.move(drawn.side(side), old, new)
    _expect(drawn, "off-seam", side, new, size)


@borders
@sizes
@pytest.mark.parametrize("beyond", [True, False], ids=["beyond", "short of"])
def test_a_point_off_the_stop_line(beyond: bool, size: float, border: int, sheet: Callable[..., Any]) -> None:
    """Beyond it the binding will cut it; short of it it is off its line."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    side = tuple(OUTWARDS)[(border + 2) % 4]
    old = drawn.read(drawn.side(side))[3].points[0]
    new = _plus(old, OUTWARDS[side], size if beyond else -size)
    drawn.move(drawn.side(side), old, new)
    _expect(drawn, "beyond-stop-line" if beyond else "off-seam", side, new, size)


@borders
@sizes
@pytest.mark.parametrize("harm", ["inner end", "beyond", "short of"])
def test_a_corner_line_out_of_place(harm: str, size: float, border: int, sheet: Callable[..., Any]) -> None:
    """Its inner end off the pivot, its outer one beyond the stop line or short of it."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    lines = drawn.parts("corner-line")
    if not lines:
        assert options["corner"] == "large"
        return
    path = lines[0]
    (pivot,), (outer,) = (step.points for step in drawn.read(path))
    ahead = _plus(outer, pivot, -1)
    ahead = (ahead[0] / math.hypot(*ahead), ahead[1] / math.hypot(*ahead))
    slant = max(map(abs, ahead))
    if harm == "inner end":
        drawn.move(path, pivot, _plus(pivot, _turn(ahead, 60), size))
        _expect(drawn, "misses-pivot", "top", pivot, size)
    else:
        # square to the stop line; past a corner the way to it is the line's own
        at_corner = min(map(abs, ahead)) > 0.1
        step = size if harm == "beyond" and at_corner else size / slant
        new = _plus(outer, ahead, step if harm == "beyond" else -step)
        drawn.move(path, outer, new)
        _expect(drawn, "beyond-stop-line" if harm == "beyond" else "off-seam", "top", new, size)


def _length(steps: Any) -> float:
    """Inches of a path, its curves cut into 400."""
    found, here, start = 0.0, (0.0, 0.0), (0.0, 0.0)
    for letter, spots in steps:
        if letter == "M":
            start = spots[0]
        if letter == "L":
            found += math.dist(here, spots[0])
        elif letter == "Z":
            found += math.dist(here, start)
        elif letter == "C":
            along = []
            for step in range(401):
                t, rest = step / 400, 1 - step / 400
                weights = (rest**3, 3 * rest * rest * t, 3 * rest * t * t, t**3)
                along.append(tuple(sum(w * p[i] for w, p in zip(weights, (here, *spots), strict=True)) for i in (0, 1)))
            found += sum(math.dist(a, b) for a, b in itertools.pairwise(along))
        here = spots[-1] if spots else here
    return found


def _area(corners: list[Spot]) -> float:
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in pairs)) / 2


def _density(sheet: Any, name: str) -> float:
    inches = sum(_length(sheet.read(path)) for path in sheet.section(name))
    return inches / _area(sheet.corners(name))


LENIENT = {"open": "30", "close": "0.0001", "point": "50", "over": "20", "sharp": "0"}
"""Nothing but unevenness can be told of extra lines, or of too few."""


@borders
@pytest.mark.parametrize("more", [True, False], ids=["more", "less"])
@pytest.mark.parametrize("base", ["in", "out"])
def test_a_section_quilted_more_or_less_than_its_fellows(
    base: str, more: bool, border: int, sheet: Callable[..., Any]
) -> None:
    """Against the median of those with the same fill on the same base: lines added, or one line for a whole fill."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    side = tuple(OUTWARDS)[border % 4]
    name = f"{side}-{base}-2"
    one, two, tip = drawn.corners(name)
    if more:
        for share in (0.2, 0.45, 0.7):
            ends = [tuple(a + share * (b - a) for a, b in zip(corner, tip, strict=True)) for corner in (one, two)]
            drawn.draw(name, ends)
    else:
        drawn.clear(name)
        drawn.draw(name, [tip, tuple((a + b) / 2 for a, b in zip(one, two, strict=True))])
    mine = drawn.section(name)
    alike = [
        other.get(f"{CW}section")
        for other in drawn.parts("section")
        if all(other.get(f"{CW}{key}") == mine.get(f"{CW}{key}") for key in ("base", "fill"))
        and float(other.get(f"{CW}spacing-in")) == pytest.approx(float(mine.get(f"{CW}spacing-in")), rel=0.01)
    ]
    assert len(alike) >= 4
    usual = statistics.median(_density(drawn, other) for other in alike)
    _expect(drawn, "uneven", name, None, 100 * (_density(drawn, name) / usual - 1), **LENIENT)


@borders
def test_a_centre_quilted_more_than_the_border(border: int, sheet: Callable[..., Any]) -> None:
    """Lines drawn in the centre, as many inches to the square inch as one likes."""
    place, options = BORDERS[border]
    drawn = sheet(place, **options)
    width, room = 4.0, 0.0 if options.get("kind") == "inner" else 0.375
    wide, high = 36 - 2 * width, 48 - 2 * width
    layer = etree.SubElement(drawn.root, f"{SVG}g")
    strokes = 100
    for number in range(strokes):
        x = width + wide * (number + 0.5) / strokes
        path = etree.SubElement(layer, f"{SVG}path", style="fill:none;stroke:#333333")
        path.set("d", "M {:.9f},{:.9f} L {:.9f},{:.9f}".format(*drawn.out((x, width)), *drawn.out((x, width + high))))
    lines = [*drawn.parts("side"), *drawn.parts("corner-line"), *drawn.parts("fill")]
    area = (36 - 2 * room) * (48 - 2 * room) - wide * high
    own = sum(_length(drawn.read(path)) for path in lines) / area
    _expect(drawn, "uneven", "centre", None, 100 * (own / (strokes * high / (wide * high)) - 1))
