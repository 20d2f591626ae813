"""Spacing, measured: no open area much wider than the spacing, no two lines much closer, in any fill and corner."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, NamedTuple

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.fills.shape import Fill, FilledSection
from geometry.inspection.openness import largest_circles
from geometry.inspection.pieces import pieces
from geometry.plan import Request, lay_out
from geometry.plane import Affine, Point
from geometry.sections import RIGHT, Section

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

FIGURE = 0.01
"""Inches to which a diameter is measured."""

WIDEST, WIDEST_NARROW = 1.5, 2.0
"""Spacings across the largest circle: where every corner has 40 degrees at least, and otherwise."""

NEAREST = 0.3
"""Spacings between lines that do not meet."""

ALWAYS_WIDER = {"meander", "echoes"}
"""Fills of one line, whose two ways into a corner part in it."""


class Quilt(NamedTuple):
    """A border to be measured."""

    width: float
    height: float
    border: float
    spacing: float
    angle: float = 45.0
    kind: str = "outer"

    def __str__(self) -> str:
        """For the tests' names."""
        return "-".join(str(value) for value in self)


QUILTS = [
    *(Quilt(60, 72, 6, spacing) for spacing in (1, 0.75, 0.5)),
    *(Quilt(40, 52, 4, spacing) for spacing in (1, 0.75, 0.5)),
    Quilt(48, 64, 5, 0.75, angle=63),
    Quilt(48, 64, 5, 0.75, angle=35),
    Quilt(48, 64, 5, 0.75, kind="inner"),
]


def _sections(fill: str, quilt: Quilt) -> Iterator[FilledSection]:
    """Each different section of a border once, whatever its corners and order."""
    seen = set()
    for corner, order in itertools.product(("mitred", "large", "square"), ("sections", "across")):
        plan = lay_out(
            Request(
                quilt.width, quilt.height, (quilt.border,) * 4, quilt.kind, fill=fill, corner=corner, order=order,  # type: ignore[arg-type]
                spacing=quilt.spacing, angle=quilt.angle,
            )
        )  # fmt: skip
        for filled in plan.sections:
            assert filled.fill.lines or (filled.section.base == "corner" and filled.fill.note)
            if filled.fill.lines and filled.standard.lines not in seen:
                seen.add(filled.standard.lines)
                yield filled


@pytest.mark.parametrize("quilt", QUILTS, ids=str)
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_no_open_circle_is_too_wide_and_no_lines_are_too_near(
    fill: str, quilt: Quilt, spaces: Callable[..., tuple[float, float, bool]]
) -> None:
    """Circles lie within the section, between diagonals, base and lines; lines that meet, or lead to a corner under 40
    degrees, are let off. A wandering line is one line; how near it comes to itself its own tests tell.
    """
    for filled in _sections(fill, quilt):
        across, apart, narrow = spaces(filled)
        widest = WIDEST_NARROW if narrow or fill in ALWAYS_WIDER else WIDEST
        assert across <= widest + FIGURE / filled.fill.spacing, filled.section.name
        assert CATALOGUE[fill].free or apart >= NEAREST - 1e-6, filled.section.name


def test_two_measurements_of_open_circles_agree(spaces: Callable[..., tuple[float, float, bool]]) -> None:
    """Voronoi's diagram, and the search by which a drawn border is checked."""
    for fill in ("diamonds", "fans", "echoes"):
        for filled in _sections(fill, QUILTS[4]):
            (circle,) = largest_circles([filled.section.corners], pieces(filled.fill.lines))
            assert circle is not None
            assert spaces(filled)[0] * filled.fill.spacing == pytest.approx(circle.across, abs=FIGURE)


def _triangle(*lines: tuple[Point, ...]) -> FilledSection:
    corners = (Point(0, 0), Point(12, 0), Point(6, 6))
    fill = Fill(lines, 1.0)
    return FilledSection(Section("top-in-1", "top", 1, "inner", corners, RIGHT), "channels", fill, fill, Affine())


def test_the_measurement_knows_a_hole_and_a_near_miss(spaces: Callable[..., tuple[float, float, bool]]) -> None:
    """The circle in a triangle of 6 by 6 and sides of root 72 is 2 · 36 / (12 + 2 · root 72) in radius; a line .2 above
    another shows, and not where they cross; one that meets a diagonal is none beside it.
    """
    low = (Point(1, 1), Point(11, 1))
    across, _, narrow = spaces(_triangle())
    assert across == pytest.approx(2 * 72 / (12 + 2 * 72**0.5), abs=FIGURE)
    assert not narrow
    assert spaces(_triangle(low))[1] == 1
    assert spaces(_triangle(low, (Point(3, 1.2), Point(9, 1.2))))[1] == pytest.approx(0.2)
    assert spaces(_triangle(low, (Point(3, 0.8), Point(9, 1.2))))[1] > 0.5
    assert spaces(_triangle((Point(2, 1.8), Point(10, 1.8))))[1] == pytest.approx(0.2 / 2**0.5)
