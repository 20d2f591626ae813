"""Every fill by name. A further fill is one new module and one line here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import OptionError
from geometry.fills import arrowheads, channels, chevrons, diamonds

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from geometry.fills.shape import Fill, Passage, Shape


class Entry(NamedTuple):
    """How a fill is drawn, and how many of its lines end at each base corner."""

    draw: Callable[[Shape, float], Fill]
    lines_at_corner: Mapping[Passage, int]


NONE = "none"

CATALOGUE: dict[str, Entry] = {
    "diamonds": Entry(diamonds.diamonds, diamonds.LINES_AT_CORNER),
    "arrowheads": Entry(arrowheads.arrowheads, arrowheads.LINES_AT_CORNER),
    "chevrons": Entry(chevrons.chevrons, chevrons.LINES_AT_CORNER),
    "channels": Entry(channels.channels, channels.LINES_AT_CORNER),
}


def entry(name: str) -> Entry:
    """The fill of that name.

    Raises:
        OptionError: no such fill; the sentence lists those there are.
    """
    if name not in CATALOGUE:
        names = ", ".join([*CATALOGUE, NONE])
        raise OptionError(f"There is no fill called “{name}”; the fills are {names}: please choose one of them.")
    return CATALOGUE[name]


def lines_at_corner(name: str, passage: Passage) -> int:
    """Lines of a fill that end at each base corner of its section; 0 for none."""
    return 0 if name == NONE else entry(name).lines_at_corner[passage]
