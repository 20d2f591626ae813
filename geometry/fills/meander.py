"""Meander: a free-motion line that wanders evenly, never crosses itself and comes home.

A tree without loops is grown in the section and walked round. Home, the walk is opened at the
corner where the needle stands; across, the tree rises from a trunk along the base, and the
line keeps above it; to the tip, the trunk lies along a diagonal. Of several trees the one with
the smallest open circle is kept. The same seed gives the same line.
"""

from __future__ import annotations

import functools
import itertools
import math
from random import Random
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.evenness import evenness
from geometry.fills.room import Room
from geometry.fills.shape import SPACING_LEAST, Fill, Passage, Shape, left_out, working_triangles
from geometry.fills.tree import TWIGS, grow
from geometry.fills.wander import smooth, way_round
from geometry.plane import Curve, Point

if TYPE_CHECKING:
    from collections.abc import Iterator

    from geometry.fills.evenness import Evenness

LINES_AT_CORNER: dict[Passage, int] = {"home": 2, "across": 1, "tip": 1}

_CLEAR = (0.92, 0.82, 0.72)
"""Spacings from a wall to the tree: the first that leaves room is taken."""

_TRUNK = 0.08
"""Spacings from the base to a trunk along it."""

_SPACINGS = (1.0, 0.94, 0.88, 0.82, 0.76, SPACING_LEAST)
"""Shares of the asked spacing that are tried, where a small section does not come out even."""

_OPEN_MOST = 1.46
"""Diameter of the largest open circle, in spacings, that will do."""

_SPOTS, _TREES, _SPOTS_MOST = 60, (3, 12), 1200
"""Trees are grown to choose from until they have so many spots together. If none will do, more are: between 3 and 12,
as many as have `_SPOTS_MOST` spots together."""

_MOST_SPOTS = 3000
"""Spots of one section; more would be stippling as fine as no one stitches, and take long to draw."""


def meander(shape: Shape, asked: float) -> Fill:
    """Draw a wandering line whose neighbouring stretches are about `asked` inches apart."""
    corners, trunk = _outline(shape)
    home, second = complex(*corners[0]), complex(*corners[1])
    turn = (second - home) / abs(second - home)
    laid = [(complex(*corner) - home) / turn for corner in corners]
    area = sum((one.conjugate() * other).imag for one, other in zip(laid, (*laid[1:], laid[0]), strict=True)) / 2
    finest = (abs(area) / _MOST_SPOTS) ** 0.5 / TWIGS
    if asked < finest:
        return Fill((), asked, f"too large for a line that wanders {asked:g} in apart; it can from {finest:.2f} in up")
    # mirrored sections share one drawing
    standard = tuple(_rounded(corner if area > 0 else corner.conjugate()) for corner in laid)
    drawn = _drawn(standard, trunk, asked, shape.seed)
    if drawn is None:
        most = _largest_spacing(standard, trunk)
        return left_out(asked, most, 1.0)
    places = [home + turn * (place if area > 0 else place.conjugate()) for place in drawn.curve]
    inner = [Point(place.real, place.imag) for place in places[1:-1]]
    return Fill((Curve((corners[max(0, trunk - 1)], *inner, corners[0])),), drawn.spacing, unbroken=True)


def _outline(shape: Shape) -> tuple[tuple[Point, ...], int]:
    """The section's corners from the one where the line ends, and how many of them lie along the trunk."""
    if shape.bent:
        ends = (shape.right, shape.left)
        if shape.tip_only and shape.passage == "home" and shape.room_at_tip >= LINES_AT_CORNER["home"]:
            return (shape.tip, ends[0], shape.middle, ends[1]), 0
        return (ends[0], shape.middle, ends[1], shape.tip), 0 if shape.passage == "home" else 3
    (triangle,) = working_triangles(shape)
    return triangle.corners, 2 if triangle.across else 0


def _rounded(corner: complex) -> complex:
    return complex(round(corner.real, 7), round(corner.imag, 7))


class _Drawn(NamedTuple):
    """A line as the Béziers of `smooth`, and the spacing it is drawn at."""

    curve: list[complex]
    spacing: float


@functools.lru_cache(maxsize=512)
def _drawn(corners: tuple[complex, ...], trunk: int, asked: float, seed: int) -> _Drawn | None:
    """The best line of several; None if the section is too small for any."""
    chance = Random(seed)  # noqa: S311 - a pattern, no secret
    best: tuple[tuple[int, float], _Drawn] | None = None
    for share in _SPACINGS:
        spacing = share * asked
        for even, curve in _trials(corners, trunk, spacing, chance):
            score = (even.faults, even.open)
            if best is None or score < best[0]:
                best = (score, _Drawn(curve, spacing))
        if best is not None and best[0] <= (0, _OPEN_MOST):
            break
    return best[1] if best else None


def _trials(
    corners: tuple[complex, ...], trunk: int, spacing: float, chance: Random
) -> Iterator[tuple[Evenness, list[complex]]]:
    """Lines round several trees, until one is even enough."""
    room = _room(corners, trunk, spacing)
    if room is None:
        return
    will_do = False
    least: float = math.inf
    for number in itertools.count(1):
        tree = grow(room, spacing, trunk, chance)
        curve = smooth(way_round(tree, room, spacing, trunk))
        even = evenness(curve, room, spacing, trunk, least)
        least = min(least, even.faults)
        yield even, curve
        will_do = will_do or (not even.faults and even.open <= _OPEN_MOST)
        most = min(_TREES[1], max(_TREES[0], _SPOTS_MOST // len(tree.spots)))
        if number >= most or (will_do and number * len(tree.spots) >= _SPOTS):
            return


def _room(corners: tuple[complex, ...], trunk: int, spacing: float) -> Room | None:
    """The section with what must be kept clear of its sides; None if nothing is left."""
    for wall in _CLEAR:
        clear = [spacing * (_TRUNK if number < trunk - 1 else wall) for number in range(len(corners))]
        room = Room.of(corners, clear)
        if room is not None:
            return room
    return None


def _largest_spacing(corners: tuple[complex, ...], trunk: int) -> float:
    """The largest spacing at which a line finds room."""
    low, high = 0.0, abs(corners[1])
    for _ in range(20):
        half = (low + high) / 2
        low, high = (half, high) if _room(corners, trunk, half) else (low, half)
    return low
