"""Spacings at which different fills take the same stitched inches per square inch.

The same spacing is not the same density: crosshatch takes twice the stitching of chevrons. A
border quilted unevenly buckles, so other fills can be asked to follow the first one.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.shape import FINEST, Exactly

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from geometry.sections import Base

MATCHED_PCT = 5.0
"""Percent by which two fills may differ and still count as matched (house rule; a change of that size is not felt)."""

_CLOSE_ENOUGH = 0.01
"""Share by which a density may be off and the search ends."""

_ROUNDS = 8
_WIDEST = 4.0
"""How many times closer or wider than what was asked for a spacing may become."""

_SCAN, _SCAN_STEP = 1.6, 1.015
"""How many times closer or wider the neighbourhood of the best spacing is searched, and by what step."""


class Density(NamedTuple):
    """Stitched inches to the square inch of the sections that are filled.

    `kept` counts those sections and the echo lines in them, so that it falls when something no longer fits.
    """

    inches: float
    kept: int


class Match(NamedTuple):
    """One kind of section whose fill follows the first one's density.

    Attributes:
        base: which sections.
        fill: their fill.
        spacing: inches asked of it, instead of what the designer asked for.
        density: stitched inches to the square inch that it comes to.
        wanted: what the first fill comes to.
    """

    base: Base
    fill: str
    spacing: float
    density: float
    wanted: float

    @property
    def difference_pct(self) -> float:
        """How much denser than the first fill, in percent."""
        return 100 * (self.density / self.wanted - 1)


def matching_spacing(measure: Callable[[float], Density], wanted: float, asked: float) -> tuple[float, float]:
    """The spacing at which a fill comes nearest to a density, and the density it comes to.

    Lines come out even in every section, so density changes by jumps. First the spacing is corrected in the measure in
    which the density is off; then the neighbourhood of the best is searched step by step, the fill keeping exactly to
    each spacing instead of coming out best.

    Args:
        measure: what a spacing comes to; a spacing at which sections lose their fill, or echo lines, is no answer.
        wanted: inches to the square inch, more than 0.
        asked: the spacing to begin with; kept where it matches already.
    """
    begun = measure(asked)
    tried: list[tuple[float, float, float]] = []

    def off(spacing: float, found: Density) -> float:
        """How far off, as the logarithm of the ratio."""
        lost = not found.kept or found.kept < begun.kept
        tried.append((math.inf if lost else abs(math.log(found.inches / wanted)), spacing, found.inches))
        return tried[-1][0]

    if off(asked, begun) <= MATCHED_PCT / 100:
        return asked, begun.inches
    spacing, found = asked, begun
    for _ in range(_ROUNDS):
        if not found.kept:
            break
        spacing = _bounded(spacing * found.inches / wanted, asked)
        found = measure(spacing)
        if off(spacing, found) <= _CLOSE_ENOUGH:
            break
    if min(tried)[0] > _CLOSE_ENOUGH:
        for spacing in _around(min(tried)[1]):
            exact = Exactly(_bounded(spacing, asked))
            if off(exact, measure(exact)) <= _CLOSE_ENOUGH:
                break
    _, spacing, density = min(tried)
    return spacing, density


def _bounded(spacing: float, asked: float) -> float:
    return min(max(spacing, FINEST, asked / _WIDEST), max(asked * _WIDEST, FINEST))


def _around(centre: float) -> Iterator[float]:
    """The centre and spacings ever farther from it, by turns closer and wider."""
    yield centre
    for number in range(1, int(math.log(_SCAN) / math.log(_SCAN_STEP)) + 1):
        yield centre / _SCAN_STEP**number
        yield centre * _SCAN_STEP**number
