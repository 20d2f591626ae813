"""A drawing made ready for the checks, and what is allowed."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from geometry.graph import MEETING
from geometry.inspection.drawn import Drawn, DrawnSection, side_in_words
from geometry.inspection.outside import Region, region
from geometry.inspection.pieces import Meetings, Pieces, meetings, pieces
from geometry.inspection.skeleton import Skeleton, read_skeleton
from geometry.plane import FLATNESS, Curve, Point, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from geometry.plane import Line

OPEN_SPACINGS = 2.0
"""Spacings across: the largest open circle that is always allowed."""

CLOSE_SPACINGS, CLOSE_INCHES = 0.2, 0.2
"""Spacings apart: the least distance between lines where none is given; and inches that are far enough whatever the spacing,
as the quarter of an inch between echo lines is."""


TANGLE = 500
"""Lines and their meetings in one section; the densest crosshatch has fewer. The search for a run grows faster than they do."""


FEW = 50
FREEHAND = 0.06
"""A line of more than a few nodes, on average less than so many inches apart, was drawn by hand: a node at every twitch."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What is allowed.

    Attributes:
        binding: room for the binding, inches from the trimmed edge; None: the stop line as drawn. Outer borders only.
        open: inches across of the largest open area the batting allows; a circle of two spacings is allowed always.
        close: least distance between lines, inches; None: 0.2 of the section's spacing, 0.2 in at most.
        over: times a line may be stitched.
        point: lines that may meet at one point.
        sharp: degrees of the sharpest turn.
        uneven: percent by which a section may be quilted more or less than its fellows.
    """

    binding: float | None = None
    open: float | None = None
    close: float | None = None
    over: int = 3
    point: int = 6
    sharp: float = 7.0
    uneven: float = 25.0

    def widest(self, section: DrawnSection) -> float:
        """Inches across of the largest open circle allowed in a section."""
        return max(OPEN_SPACINGS * section.spacing, self.open or 0.0)

    def nearest(self, section: DrawnSection) -> float:
        """The least distance between lines in a section."""
        return min(CLOSE_SPACINGS * section.spacing, CLOSE_INCHES) if self.close is None else self.close


@dataclass(frozen=True, slots=True)
class Read:
    """A drawing made ready.

    Attributes:
        drawn, limits: as given.
        stop: the region within the stop line, or within the room for the binding where that is given.
        skeleton: zigzag and corner lines, and the sections as these have them.
        owner: for each line the number of its section; -1 for zigzags, which come first, and corner lines.
        pieces: the lines taken apart.
        met: where they meet.
    """

    drawn: Drawn
    limits: Limits
    stop: Region
    skeleton: Skeleton
    owner: tuple[int, ...]
    pieces: Pieces
    met: Meetings

    @property
    def sections(self) -> tuple[DrawnSection, ...]:
        """The sections as the zigzag has them."""
        return self.skeleton.sections

    @property
    def bones(self) -> int:
        """How many zigzags and corner lines there are; the number of the first fill line."""
        return len(self.drawn.zigzags) + len(self.drawn.corner_lines)

    def place(self, line: int) -> str:
        """The name of the section a line is in, or of the side whose zigzag or corner line it is."""
        if self.owner[line] >= 0:
            return self.sections[self.owner[line]].name
        count = len(self.drawn.zigzags)
        return self.drawn.zigzags[line].name if line < count else self.drawn.corner_lines[line - count].side

    def words(self, line: int) -> str:
        """The same in words."""
        if self.owner[line] >= 0:
            return self.sections[self.owner[line]].words
        what = "zigzag" if line < len(self.drawn.zigzags) else "corner line"
        return f"the {what} of {side_in_words(self.place(line))}"

    def within(self, lines: Iterable[int]) -> frozenset[int]:
        """The numbers of the sections some lines are in."""
        return frozenset(self.owner[line] for line in lines if self.owner[line] >= 0)

    @property
    def tangled(self) -> bool:
        """Whether the lines of some section are, or meet, so many that finding a way through them takes too long."""
        crossings = Counter(self.owner[line] for line in self.met.line.tolist() if self.owner[line] >= 0)
        crossings.update(number for number in self.owner if number >= 0)
        return max(crossings.values(), default=0) > TANGLE

    @property
    def shortened(self) -> Skeleton:
        """The skeleton, the lines of its sections with curves cut short, so that this is done once."""
        line, sections = self.bones, []
        for section in self.sections:
            after = line + len(section.lines)
            lines = tuple(
                tuple(itertools.starmap(Point, self.pieces.short[number].tolist())) for number in range(line, after)
            )
            sections.append(replace(section, lines=lines))
            line = after
        return replace(self.skeleton, sections=tuple(sections))

    @property
    def unbroken(self) -> frozenset[str]:
        """The sections with one line that nothing meets but at its ends, not even itself."""
        import numpy as np

        met, total = self.met, self.pieces.total
        ours, theirs = np.concatenate([met.line, met.other]), np.concatenate([met.other, met.line])
        way = np.concatenate([met.way, met.other_way])
        on_the_way = (way > MEETING) & (way < total[ours] - MEETING)
        broken = {*ours[on_the_way | (ours == theirs)].tolist()}
        count = Counter(self.owner)
        return frozenset(
            self.sections[number].name
            for line, number in enumerate(self.owner)
            if number >= 0 and count[number] == 1 and line not in broken
        )

    def stitched_in(self) -> list[float]:
        """For each section the inches of its lines."""
        found = [0.0] * len(self.sections)
        for section, inches in zip(self.owner, self.pieces.total.tolist(), strict=True):
            if section >= 0:
                found[section] += inches
        return found


def read(drawn: Drawn, limits: Limits) -> Read:
    """Make a drawing ready."""
    drawn, freehand = _smoothed(drawn)
    room = drawn.room if limits.binding is None else limits.binding
    stop = region(drawn.stop_line) if room is None or drawn.kind != "outer" else region(drawn.edge, room)
    skeleton = read_skeleton(drawn, stop)
    fills = [(line, number) for number, section in enumerate(drawn.sections) for line in section.lines]
    bones = [*(side.line for side in drawn.zigzags), *(crossing.line for crossing in drawn.corner_lines)]
    taken = pieces([*bones, *(line for line, _ in fills)], [len(bones) + number for number in freehand])
    owner = (*(-1 for _ in bones), *(number for _, number in fills))
    return Read(drawn, limits, stop, skeleton, owner, taken, meetings(taken))


def _smoothed(drawn: Drawn) -> tuple[Drawn, list[int]]:
    """The drawing with lines drawn by hand cut short as curves are; their numbers among all lines of fills."""
    sections, freehand = [], []
    count = 0
    for section in drawn.sections:
        lines = []
        for line in section.lines:
            by_hand = _by_hand(line)
            freehand += [count] if by_hand else []
            lines.append(_thinned(line) if by_hand else line)
            count += 1
        sections.append(replace(section, lines=tuple(lines)))
    return (replace(drawn, sections=tuple(sections)), freehand) if freehand else (drawn, [])


def _by_hand(line: Line) -> bool:
    return len(line) > FEW and not isinstance(line, Curve) and length_of(line) < FREEHAND * len(line)


def _thinned(line: Line) -> Line:
    import shapely

    kept = shapely.get_coordinates(shapely.simplify(shapely.LineString(line), FLATNESS))
    return tuple(Point(float(x), float(y)) for x, y in kept)
