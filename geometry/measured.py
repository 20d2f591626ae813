"""The outline of a quilt whose four sides were measured.

Four lengths leave one freedom, as a frame of four slats can lean. Of all outlines the one is
taken whose corners are nearest to square: least sum of squared differences from 90 degrees.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from geometry.errors import SizeError
from geometry.lengths import LONGEST_IN, about, parse_length
from geometry.plane import Point, cross, distance
from geometry.quilt import PLACES

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

EASED_IN = 0.25 / 60
"""Share by which opposite sides may differ and still be eased in: about 1/4 in on 60
("Border for on-point quilts", patchworktimes.com)."""

STEPS = 400
"""Leans that are looked at before the best is sought out closely."""


def parse_measured(text: str, unit: str) -> tuple[float, ...]:
    """Read `60 1/4, 72, 60, 71 3/4`: top, right, bottom and left; nothing typed: none.

    Raises:
        LengthError, SizeError: not four lengths of sides.
    """
    if not text.strip():
        return ()
    lengths = tuple(parse_length(part, unit, name="measured side") for part in text.split(","))
    if len(lengths) != len(PLACES):
        raise SizeError(
            f"{len(lengths)} measured sides are given; it must be four, top, right, bottom and left: please separate them by "
            "commas."
        )
    if min(lengths) <= 0 or max(lengths) > LONGEST_IN:
        raise SizeError(
            f"A measured side is {about(min(lengths))} long and another {about(max(lengths))}; each must be more than 0 and at "
            f"most {LONGEST_IN:g} in: please measure again."
        )
    longest = max(lengths)
    rest = sum(lengths) - longest
    if longest >= rest:
        raise SizeError(
            f"Measured sides of {', '.join(map(about, lengths))} cannot close: the longest must be shorter than the other "
            f"three together, {about(rest)}: please measure again."
        )
    return lengths


def quadrilateral(lengths: Sequence[float]) -> tuple[Point, ...]:
    """The outline with sides of these lengths, corners clockwise from the top left, that is nearest to square.

    Its sides together lean as little as may be, and the box around it begins at the origin.

    Raises:
        SizeError: every such outline would be folded.
    """
    top, right, bottom, left = lengths
    # every outline hangs on the line from the top right corner to the bottom left one
    low, high = max(abs(top - left), abs(right - bottom)), min(top + left, right + bottom)
    places = [low + (high - low) * (step + 0.5) / STEPS for step in range(STEPS)]
    best = min(places, key=lambda across: _off_square(_corners(lengths, across)))
    step = (high - low) / STEPS
    one, two = max(low, best - step), min(high, best + step)
    golden = (math.sqrt(5) - 1) / 2
    while two - one > 1e-12 * high:
        first, second = two - golden * (two - one), one + golden * (two - one)
        if _off_square(_corners(lengths, first)) <= _off_square(_corners(lengths, second)):
            two = second
        else:
            one = first
    corners = _corners(lengths, (one + two) / 2)
    if not math.isfinite(_off_square(corners)):
        raise SizeError(
            f"Measured sides of {', '.join(map(about, lengths))} make no quilt; opposite sides must be more nearly alike: "
            "please measure again."
        )
    # turned so that its sides together lean least from level and upright
    leans = []
    for place, (start, end) in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
        leans.append(math.remainder(math.atan2(end.y - start.y, end.x - start.x) - place * math.pi / 2, 2 * math.pi))
    turn = -sum(leans) / len(leans)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = [Point(p.x * cos - p.y * sin, p.x * sin + p.y * cos) for p in corners]
    least_x, least_y = min(p.x for p in turned), min(p.y for p in turned)
    return tuple(Point(p.x - least_x, p.y - least_y) for p in turned)


def unlike(lengths: Sequence[float]) -> Iterator[str]:
    """Sentences about opposite sides that differ by more than can be eased in."""
    for one, other in ((0, 2), (1, 3)):
        apart = abs(lengths[one] - lengths[other])
        most = EASED_IN * max(lengths[one], lengths[other])
        if apart > most + 1e-9:
            yield (
                f"{PLACES[one].capitalize()} and {PLACES[other]} differ by {about(apart)}, more than {about(most)} that could be "
                "eased in: measure again through the centre, or trim the quilt."
            )


def _corners(lengths: Sequence[float], across: float) -> tuple[Point, ...]:
    """The outline whose top right and bottom left corners are so far apart; top left at the origin, the top level."""
    top, right, bottom, left = lengths
    start, corner = Point(0.0, 0.0), Point(top, 0.0)
    angle = math.acos(_held((top * top + left * left - across * across) / (2 * top * left)))
    foot = Point(left * math.cos(angle), left * math.sin(angle))
    # the bottom right corner lies beyond that line, seen from the top left one
    share = _held((across * across + right * right - bottom * bottom) / (2 * across * right))
    step = foot.minus(corner).times(1 / across)
    turn = -math.acos(share)
    far = Point(
        corner.x + right * (step.x * math.cos(turn) - step.y * math.sin(turn)),
        corner.y + right * (step.x * math.sin(turn) + step.y * math.cos(turn)),
    )
    return (start, corner, far, foot)


def _held(cosine: float) -> float:
    return max(-1.0, min(1.0, cosine))


def _off_square(corners: Sequence[Point]) -> float:
    """The sum of squared differences of the corners from square, in degrees; endless where one folds back."""
    total = 0.0
    for i, here in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % len(corners)]
        if distance(here, before) == 0 or distance(here, after) == 0:
            return math.inf
        one, other = before.minus(here), after.minus(here)
        angle = math.degrees(math.atan2(cross(other, one), one.x * other.x + one.y * other.y))
        if angle <= 0:
            return math.inf
        total += (angle - 90) ** 2
    return total
