"""Channels: straight lines parallel to the base.

Lines alone would climb to the tip and leave the needle there, so a lane beside one diagonal
is kept for the way up; then the lines come down in one go, turning a little short of the
other diagonal and of the lane. An odd number of lines ends beside the lane's foot, an even
one on the far side, for the way across. Where there is no seam, short pieces of base join
the ends to the corners.

The four-sided pieces of a corner are kept symmetrical: bent lines parallel to the stop
line, in closed ribbons.
"""

from __future__ import annotations

from geometry.fills.bands import Bent, banded
from geometry.fills.rings import CLEAR
from geometry.fills.shape import SET_IN, Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import Point, distance, distance_to_line, meet

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_LANE, _TURN = 1.0, 1.5
"""Spacings from the diagonal to the lane, and to the turns beside the lane."""


def channels(shape: Shape, asked: float) -> Fill:
    """Draw channels about `asked` inches apart."""
    return _bent(shape, asked) if shape.bent else _laned(shape, asked)


def _bent(shape: Shape, asked: float) -> Fill:
    height = shape.height
    fitted = even_out(height, asked, counts_up_to(height, asked, 2, 2), (0.8, 1.2, 1.9))
    if fitted is None:
        return left_out(asked, height, 2.8)
    count, spacing = fitted
    narrow = min(distance_to_line(end, shape.middle, shape.tip) for end in (shape.left, shape.right))
    lines = []
    for number in range(count, 0, -1):
        up = number * spacing / height
        right, left = (1 - up - SET_IN * spacing / shape.depth_beside(side) for side in (1, -1))
        # beside the link that leads to it from a pointed tip a line needs room on either side
        if min(right, left) * narrow >= CLEAR * spacing:
            lines.append(Bent(shape.at(-left, up), shape.at(0, up), shape.at(right, up)))
    # ribbons have two lines each
    lines = lines[len(lines) % 2 :]
    if not lines:
        return left_out(asked, narrow, 2)
    return Fill(tuple(banded(shape.tip, lines)), spacing)


def _laned(shape: Shape, asked: float) -> Fill:
    height = shape.height
    home, far = shape.right, shape.left
    home_length, far_length = distance(home, shape.tip), distance(far, shape.tip)
    base = distance(home, far)
    # spacings of base that lane, turns and the far set-in use up; the highest line needs a little more
    used = (_TURN * home_length + SET_IN * far_length) / base
    least = max(1.6, used + 0.35)
    fitted = even_out(
        height,
        asked,
        counts_up_to(height, asked, 2 if shape.passage == "across" else 1, 2),
        (least, least + 0.4, least + 0.8),
    )
    if fitted is None:
        return left_out(asked, height, 1 + least)
    count, spacing = fitted
    along = far.minus(home).times(1 / base)
    lane_foot = home.plus(along.times(_LANE * spacing * home_length / height))
    turn_foot = home.plus(along.times(_TURN * spacing * home_length / height))
    far_foot = far.plus(along.times(-SET_IN * spacing * far_length / height))
    rise, far_rise = shape.tip.minus(home), shape.tip.minus(far)

    def across(number: int, foot: Point, step: Point) -> Point:
        return foot.plus(step.times(number * spacing / height))

    way: list[Point] = [lane_foot, meet(lane_foot, rise, far_foot, far_rise)]
    for number in range(count, 0, -1):
        ends = [across(number, far_foot, far_rise), across(number, turn_foot, rise)]
        way += ends if (count - number) % 2 == 0 else ends[::-1]
    if shape.passage == "across":
        way.append(far_foot)
        return Fill((tuple(way) if shape.seam else (home, *way, far),), spacing)
    way.append(turn_foot)
    return Fill((tuple(way) if shape.seam else (home, *way, lane_foot),), spacing)
