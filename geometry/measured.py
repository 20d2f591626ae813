"""A top drawn from the four lengths measured along its edges.

Four lengths do not settle a shape: it can still lean. Of all four-sided outlines with these
sides the one is taken whose corners are nearest to square, because that is how the top was
cut and how it will be laid on the table.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from geometry.errors import SizeError
from geometry.lengths import NOTHING, about
from geometry.plane import Point
from geometry.quilt import PLACES

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

EASE = 0.25 / 60
"""Inches in an inch that a border can be eased in; opposite sides further apart ripple
("Border for on-point quilts", patchworktimes.com: about 1/4 in on 60 in)."""

STEPS = 400
"""Diagonals tried before the best is narrowed down: the four angles turn so slowly that none is missed between."""

ROUNDS = 80
"""Times the best stretch of diagonals is narrowed; each leaves two thirds of it."""

LEAST_ANGLE = 45.0
"""Degrees: an outline with a sharper corner, or one as blunt as its counterpart, is no quilt but a slip of the tape."""


def outline_of(lengths: Sequence[float]) -> tuple[Point, ...]:
    """The outline with these sides whose corners are nearest to square (least sum of squared departures).

    Args:
        lengths: inches of the top, right, bottom and left side.

    Returns:
        Its corners, clockwise from the top left, laid so that the sides together lean least, and
        so that the box around them has its top left corner at the origin.

    Raises:
        SizeError: not four lengths above 0, or no such outline closes.

    >>> [(round(p.x, 6), round(p.y, 6)) for p in outline_of([60, 72, 60, 72])]
    [(0.0, 0.0), (60.0, 0.0), (60.0, 72.0), (0.0, 72.0)]
    """
    _check(lengths)
    top, right, bottom, left = lengths
    least, most = max(abs(top - right), abs(bottom - left)), min(top + right, bottom + left)
    if least >= most:
        raise _cannot_close(lengths)
    diagonal = _lightest(lambda d: _departure(_angles(lengths, d)), least, most)
    angles = _angles(lengths, diagonal)
    if not all(LEAST_ANGLE <= math.degrees(a) <= 180 - LEAST_ANGLE for a in angles):
        raise _cannot_close(lengths)
    return _laid(lengths, angles)


def unlike(lengths: Sequence[float]) -> list[tuple[str, str, float]]:
    """Opposite sides that differ by more than can be eased in: their names and the inches between them."""
    top, right, bottom, left = lengths
    pairs = ((PLACES[0], PLACES[2], top, bottom), (PLACES[3], PLACES[1], left, right))
    return [(a, b, abs(x - y)) for a, b, x, y in pairs if abs(x - y) > EASE * max(x, y) + NOTHING]


def _check(lengths: Sequence[float]) -> None:
    if len(lengths) != len(PLACES):
        raise SizeError(
            f"{len(lengths)} measured sides were given; four are needed, top, right, bottom and left: "
            "please type four lengths with commas between them."
        )
    for name, length in zip(PLACES, lengths, strict=True):
        if not length > NOTHING:
            raise SizeError(
                f"The measured {name} side is {about(length)}; it must be longer than 0: please type its length again."
            )


def _cannot_close(lengths: Sequence[float]) -> SizeError:
    told = ", ".join(f"{name} {about(length)}" for name, length in zip(PLACES, lengths, strict=True))
    return SizeError(
        f"Sides of these lengths ({told}) do not close into a quilt with corners near square; opposite sides must be "
        "nearly alike: please measure again, in the order top, right, bottom, left."
    )


def _angles(lengths: Sequence[float], diagonal: float) -> tuple[float, float, float, float]:
    """The angles (radians) at top left, top right, bottom right and bottom left; the diagonal joins the first and third."""
    top, right, bottom, left = lengths
    return (
        _between(top, diagonal, right) + _between(left, diagonal, bottom),
        _between(top, right, diagonal),
        _between(right, diagonal, top) + _between(bottom, diagonal, left),
        _between(bottom, left, diagonal),
    )


def _between(one: float, other: float, across: float) -> float:
    """The angle between two sides of a triangle, from its three lengths."""
    cosine = (one * one + other * other - across * across) / (2 * one * other)
    return math.acos(max(-1.0, min(1.0, cosine)))


def _departure(angles: Sequence[float]) -> float:
    return sum((angle - math.pi / 2) ** 2 for angle in angles)


def _lightest(weight: Callable[[float], float], least: float, most: float) -> float:
    """Where between two values a smooth weight is least: the best of many, then narrowed by thirds."""
    step = (most - least) / STEPS
    best = min((least + step * (i + 0.5) for i in range(STEPS)), key=weight)
    low, high = max(best - step, least + NOTHING), min(best + step, most - NOTHING)
    for _ in range(ROUNDS):
        third = (high - low) / 3
        if weight(low + third) <= weight(high - third):
            high -= third
        else:
            low += third
    return (low + high) / 2


def _laid(lengths: Sequence[float], angles: Sequence[float]) -> tuple[Point, ...]:
    """The corners, turned so that the four sides together lean least from upright and level."""
    headings = [0.0]
    for angle in (angles[1], angles[2], angles[3]):
        headings.append(headings[-1] + math.pi - angle)
    lean = sum(heading - i * math.pi / 2 for i, heading in enumerate(headings)) / len(headings)
    x = y = 0.0
    corners = []
    for length, heading in zip(lengths, headings, strict=True):
        corners.append(Point(x, y))
        x, y = x + length * math.cos(heading - lean), y + length * math.sin(heading - lean)
    first = Point(min(p.x for p in corners), min(p.y for p in corners))
    return tuple(p.minus(first) for p in corners)
