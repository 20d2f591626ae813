"""What the designer asked the booklet to be."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from extension.booklet.measure import Measure
from geometry.estimate import Assumptions
from geometry.sheets import PAPERS

if TYPE_CHECKING:
    from geometry.sheets import Paper

PARTS = (
    "first", "chart", "strip", "steps", "templates", "tiled", "fit", "practice", "questions", "density", "last",
)  # fmt: skip
"""The parts, in the order in which they are printed."""

TEXT_MARGIN = {"letter": 0.75, "a4": 0.75, "both": 0.75, "tabloid": 1.2, "a3": 1.2}
"""Inches round the text of a page; large papers keep their lines short enough to read."""


TYPE = {"tabloid": 12.5, "a3": 12.5}
"""Points of the text of large papers, whose lines are longer; elsewhere 10.5."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the booklet is made.

    Attributes:
        title, maker, level, notes: as typed, on the first pages.
        version, date, tested, corrections, terms: as typed, on the last page.
        parts: which parts, any of `PARTS`.
        dots: the fill's own dots in the chart too.
        mirror: a left-handed practice page too.
        assumptions: what the thread is reckoned with.
        findings: what an inspection found, in sentences.
    """

    title: str
    maker: str = ""
    level: str = "confident beginner"
    notes: str = ""
    paper: Paper = PAPERS["letter"]
    measure: Measure = field(default_factory=Measure)
    parts: frozenset[str] = frozenset(PARTS) - {"tiled", "density"}
    dots: bool = False
    mirror: bool = False
    version: str = ""
    date: str = ""
    tested: str = ""
    corrections: str = ""
    terms: str = ""
    assumptions: Assumptions = field(default_factory=Assumptions)
    findings: tuple[str, ...] = ()

    @property
    def margin(self) -> float:
        """Inches round the text."""
        return TEXT_MARGIN[self.paper.name]

    @property
    def type(self) -> float:
        """Points of the text."""
        return TYPE.get(self.paper.name, 10.5)

    @property
    def text_wide(self) -> float:
        """Inches of a line of text."""
        return self.paper.wide - 2 * self.margin

    @property
    def short(self) -> str:
        """The title, short enough for the foot of a page."""
        return self.title if len(self.title) <= 60 else self.title[:59].rstrip() + "…"  # noqa: PLR2004
