"""Beadboard: pairs of lines square to the base, one spacing from pair to pair.

Up one line, a short step beside the diagonal, down the other, on to the next pair. Pairs
stand symmetrically about the tip.
"""

from __future__ import annotations

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import SET_IN, Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import distance

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

GAP = 0.3
"""Spacings between the two lines of a pair."""


def beadboard(shape: Shape, asked: float) -> Fill:
    """Draw beadboard, its pairs about `asked` inches apart."""
    base = distance(shape.left, shape.middle) + distance(shape.middle, shape.right)
    fitted = even_out(base, asked, counts_up_to(base, asked, 1), (0.6, 1.0, 1.6))
    if fitted is None:
        return left_out(asked, base, 1.6)
    pairs, spacing = fitted
    step, half = 2 * spacing / base, GAP * spacing / base
    set_in = SET_IN * spacing / shape.depth
    teeth: list[Tooth] = []
    for number in range(pairs):
        centre = step * ((pairs - 1) / 2 - number)
        right, left = centre + half, centre - half
        tops = [1 - abs(right) - set_in, 1 - abs(left) - set_in]
        if min(tops) <= set_in:
            continue
        tooth = [(right, 0.0), (right, tops[0]), (left, tops[1]), (left, 0.0)]
        if right * left < 0:
            # the pair astride the middle: its step runs level, or it would cross from one half to the other
            tooth[1:3] = [(right, min(tops)), (left, min(tops))]
        teeth.append(Tooth(right, left, shape.line(*tooth)))
    if not teeth:
        return left_out(asked, base, 1.6)
    return comb(shape, teeth, spacing)
