"""Every fill by name. A further fill is one new module and one line here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import OptionError
from geometry.fills import (
    arrowheads,
    beadboard,
    channels,
    chevrons,
    crosshatch,
    diamonds,
    echoes,
    fans,
    meander,
    motif,
    wedges,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from geometry.fills.shape import Fill, Passage, Shape


class Entry(NamedTuple):
    """A fill.

    Attributes:
        draw: draws it.
        lines_at_corner: how many of its lines end at each base corner.
        leads_across: it leads across bent sections, whatever the passage.
        to_tip: it has a way of its own from a base corner to the tip.
        free: its lines are free motion: they hang on the seed.
    """

    draw: Callable[[Shape, float], Fill]
    lines_at_corner: Mapping[Passage, int]
    leads_across: bool = False
    to_tip: bool = False
    free: bool = False


SAME = "same"
"""Instead of the name of a fill: the one on the border seam."""

NONE = "none"

MOTIF = "motif"
"""The designer's own drawing: a fill for which the drawing must be given."""

CATALOGUE: dict[str, Entry] = {
    "diamonds": Entry(diamonds.diamonds, diamonds.LINES_AT_CORNER, to_tip=True),
    "arrowheads": Entry(arrowheads.arrowheads, arrowheads.LINES_AT_CORNER),
    "chevrons": Entry(chevrons.chevrons, chevrons.LINES_AT_CORNER),
    "channels": Entry(channels.channels, channels.LINES_AT_CORNER),
    "wedges": Entry(wedges.wedges, wedges.LINES_AT_CORNER),
    "crosshatch": Entry(crosshatch.crosshatch, crosshatch.LINES_AT_CORNER),
    "echoes": Entry(echoes.echoes, echoes.LINES_AT_CORNER, leads_across=True, to_tip=True),
    "fans": Entry(fans.fans, fans.LINES_AT_CORNER),
    "beadboard": Entry(beadboard.beadboard, beadboard.LINES_AT_CORNER),
    "meander": Entry(meander.meander, meander.LINES_AT_CORNER, to_tip=True, free=True),
}


def entry(name: str) -> Entry:
    """The fill of that name.

    Raises:
        OptionError: no such fill; the sentence lists those there are.
    """
    if name not in CATALOGUE:
        names = ", ".join([*CATALOGUE, MOTIF, NONE])
        raise OptionError(f"There is no fill called “{name}”; the fills are {names}: please choose one of them.")
    return CATALOGUE[name]


def lines_at_corner(name: str, passage: Passage) -> int:
    """Lines of a fill that end at each base corner of its section; 0 for none."""
    if name == MOTIF:
        return motif.LINES_AT_CORNER[passage]
    return 0 if name == NONE else entry(name).lines_at_corner[passage]


def leads_across(name: str) -> bool:
    """Whether a fill always leads across bent sections."""
    return name not in {NONE, MOTIF} and entry(name).leads_across


def leads_to_tip(name: str) -> bool:
    """Whether a fill has a way of its own from a base corner to the tip."""
    return name == MOTIF or (name != NONE and entry(name).to_tip)


def is_free(name: str) -> bool:
    """Whether a fill's lines are free motion."""
    return name not in {NONE, MOTIF} and entry(name).free
