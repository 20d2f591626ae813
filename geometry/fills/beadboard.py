"""Beadboard: pairs of lines square to the base, one spacing from pair to pair.

Up one line, a short step beside the diagonal, down the other, on to the next pair. Pairs
stand symmetrically about the tip.
"""

from __future__ import annotations

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import SET_IN, Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import distance_to_line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

GAP = 0.3
"""Spacings between the two lines of a pair."""

_SHORTEST = 0.5
"""Spacings: no pair is shorter."""

_BOTH_ENDS = (0.6, 1.0, 1.6)
"""Spacings left at both ends of the base together: least, best, most."""


def beadboard(shape: Shape, asked: float) -> Fill:
    """Draw beadboard, its pairs about `asked` inches apart."""
    # inches from the line that the pairs run along with, middle to tip; a bent or leaning base is longer
    to_left, to_right = (distance_to_line(end, shape.middle, shape.tip) for end in (shape.left, shape.right))
    wide = to_left + to_right
    fitted = None
    if shape.bent:
        fitted = even_out(wide, asked, counts_up_to(wide, asked, 2, 2), _BOTH_ENDS)
    fitted = fitted or even_out(wide, asked, counts_up_to(wide, asked, 1), _BOTH_ENDS)
    if fitted is None:
        return left_out(asked, wide, 1.6)
    pairs, spacing = fitted
    teeth: list[Tooth] = []
    for centre in _centres(to_left, to_right, pairs, spacing, bent=shape.bent):
        right, left = (
            inches / (to_right if inches > 0 else to_left)
            for inches in (centre + GAP / 2 * spacing, centre - GAP / 2 * spacing)
        )
        tops = [1 - abs(share) - SET_IN * spacing / shape.depth_beside(share) for share in (right, left)]
        if min(tops) <= _SHORTEST * spacing / shape.height:
            continue
        tooth = [(right, 0.0), (right, tops[0]), (left, tops[1]), (left, 0.0)]
        if right * left < 0:
            # the pair astride the middle: its step runs level, or it would cross from one half to the other
            tooth[1:3] = [(right, min(tops)), (left, min(tops))]
        teeth.append(Tooth(right, left, shape.line(*tooth)))
    if not teeth:
        return left_out(asked, wide, 1.6)
    return comb(shape, teeth, spacing)


def _centres(to_left: float, to_right: float, pairs: int, spacing: float, *, bent: bool) -> list[float]:
    """Where the pairs stand, from right to left: inches from the middle, to the right.

    Where the base bends no pair stands astride the bend; each side has as many as it has room for.
    """
    if not bent:
        return [(to_right - to_left) / 2 + spacing * ((pairs - 1) / 2 - number) for number in range(pairs)]
    right, left = (int(room / spacing + 0.5 - _BOTH_ENDS[0] / 2 + 1e-9) for room in (to_right, to_left))
    return [spacing * (number - 0.5) for number in range(right, -left, -1)]
