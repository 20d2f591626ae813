"""The questions page: what quilters ask, answered from this border's own figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from extension.booklet.front import thread_words, total_length
from extension.booklet.measure import spot_name, upper
from geometry.estimate import INCHES_PER_YARD, thread_yd
from geometry.fitting import Ask, candidates
from geometry.lengths import decimal
from geometry.moments import Moment, moments
from geometry.plane import NOTICED
from geometry.quilt import BINDING_TAKES, side_and_tier

if TYPE_CHECKING:
    from extension.booklet.settings import Settings
    from geometry.pattern import Pattern

BATTINGS = (
    ("cotton, needled", "8 in"), ("cotton, needle-punched on scrim", "10 in"), ("cotton, traditional", "1 1/2 to 2 in"),
    ("wool, high-loft polyester", "3 in"), ("no label", "assume 1 to 2 in"),
)  # fmt: skip
"""Largest distance between lines ("Quilt Batting and Machine Quilting Distances", generations-quilt-patterns.com; the last
from "Does it Really Matter?", bonnysews.com)."""


def questions_part(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """What quilters ask, answered from this border's own figures."""
    asked = Questions(pattern, settings)
    parts = [{"title": title, "paragraphs": [words], "points": [], "facts": []} for title, words in asked.all()]
    return {"kind": "reading", "title": "Questions", "contents": False, "columns": 2, "parts": parts}


class Questions:
    """The answers, each from the plan."""

    def __init__(self, pattern: Pattern, settings: Settings) -> None:
        """Take what all answers need."""
        self.pattern, self.settings, self.say, self.parts = pattern, settings, settings.measure, settings.parts
        self.side = pattern.sides[0]
        self.told: list[list[Moment]] = [list(moments(pattern, run)) for run in pattern.runs]
        self.outer = pattern.kind == "outer"

    def all(self) -> list[tuple[str, str]]:
        """Question and answer, in the order of the work."""
        return [
            ("What are my numbers if my border or quilt differs?", self._other_sizes()),
            ("Where does the needle start, and which way?", self._start()),
            ("I ended in the wrong corner. How do I get out?", self._wrong_corner()),
            ("It will not land at the pivot. By how much do I change each triangle?", self._off_pivot()),
            ("How do I turn without cutting the thread?", self._turning()),
            ("How far from the raw edge, before or after trimming?", self._raw_edge()),
            ("Which marks last, and still come out?", self._marks()),
            ("Can I stop and come back?", self._stopping()),
            ("How dense for my batting?", self._batting()),
            ("How much thread, and what if the bobbin runs out?", self._thread()),
        ]

    def _other_sizes(self) -> str:
        say, side = self.say, self.side
        asked, length = side.fit.ask.repeat, side.length + 5
        best = candidates(Ask(length, side.height, asked))[0]
        wider = side.height + 1
        other = "The fit table has it done. " if "fit" in self.parts else ""
        return (
            f"Divide the length of your border seam by {say.told(asked)}, take the nearest whole number, and divide the "
            f"length by that number: it is your repeat. A side of {say.plain(length)} takes {best.count} triangles of "
            f"{say.told(best.repeat_in)}. {other}If your border is {say.plain(1)} wider, keep the angle of "
            f"{decimal(side.fit.angle_deg, 0)}° and ask for {say.told(side.fit.repeat_in * wider / side.height)} instead."
        )

    def _start(self) -> str:
        first = self.told[0][0]
        start, end = (spot_name(self.pattern, spot, self.side.name) for spot in (first.start, first.end))
        count = len(self.pattern.runs)
        runs = (
            "one unbroken line: one start, one stop"
            if count == 1
            else f"{count} unbroken lines, so {count} starts and stops"
        )
        return (
            f"At {start} of the {self.side.name}, the pivot at its left end as seen from the centre, towards {end}, and then "
            f"clockwise round the quilt. The border is {runs}; in all {self.say.thread(total_length(self.pattern))} of "
            "stitching."
        )

    def _wrong_corner(self) -> str:
        say, side = self.say, self.side
        inner = "the seam" if self.outer else "either seam"
        base = side.fit.repeat_in
        return (
            "Inside a triangle an even number of lines ends near where it began, an odd number on the far side. If you stand "
            f"at the far dot of a triangle on {inner}, travel back in the ditch, at most {say.told(base)}. "
            + (
                "On the stop line there is no seam to travel in: go back over the diagonal you came by, at most "
                f"{say.told((side.height**2 + (base / 2) ** 2) ** 0.5)}, or stitch one line of the fill twice."
                if self.outer
                else "Or go back over the diagonal you came by."
            )
        )

    def _off_pivot(self) -> str:
        say, side = self.say, self.side
        count = len(side.points)
        share = min(5, count)
        most = side.fit.repeat_in * NOTICED / 100
        gap, each = (
            ("1/2 in", f"{decimal(0.5 / share, 2)} in")
            if say.unit == "in"
            else ("10 mm", f"{decimal(10 / share, 1)} mm")
        )
        return (
            "Measure what is left over and share it among the triangles still to come. "
            f"{gap} over the last {share} is {each} for each. A change of up to {NOTICED:g} % is not noticed: here {say.told(most)} for "
            f"each triangle, {say.told(most * count)} on a side of {count}. More than that: look for a dot that was missed."
        )

    def _turning(self) -> str:
        corner = {
            "mitred": "Go out along the corner line to the outer corner and come home, over it or through the fill beside it.",
            "large": "The corner is one section: fill it from the last point, and go on from the pivot.",
            "square": "Two lines run from the pivot square to the edges; each is stitched out and home, or left through the "
            "fill beside it.",
        }[self.pattern.corner]
        over = sum(run.over for run in self.pattern.runs)
        doubled = (
            f"In the whole border {self.say.stitching(over)} are stitched over an earlier line."
            if over > 0.5  # noqa: PLR2004
            else "Nothing in this border is stitched over."
        )
        return f"{corner} Stop with the needle down, turn the quilt or set the ruler anew, and go on. {doubled}"

    def _raw_edge(self) -> str:
        say, side = self.say, self.side
        if not self.outer:
            return (
                f"Measure from the seams: this border lies between two, {say.told(side.height)} apart, and its points touch "
                "both. The raw edge does not come into it."
            )
        return (
            f"After trimming, the points stay {say.told(self.pattern.room)} inside the edge; a binding covers the outer "
            f"{say.plain(BINDING_TAKES)}. Before trimming do not measure from the raw edge at all: mark the stop line "
            f"{say.told(side.height)} from the border seam, quilt, and trim {say.told(side.width)} from the same seam."
        )

    def _marks(self) -> str:
        dots = sum(len(side.dots) - 1 + len(side.points) for side in self.pattern.sides)
        return (
            f"Only dots are needed, {dots} of them, and only for the side at hand; the diagonals follow the ruler. Test every "
            "marker on a scrap of the same fabrics, through the iron and the wash: some inks fade near 140 °F and come back "
            "in the cold, some must be soaked out. Marks that vanish by themselves are for one sitting."
        )

    def _stopping(self) -> str:
        inner = sum(len(side.dots) - 1 for side in self.pattern.sides if side_and_tier(side.name)[1] == 1)
        return (
            f"Yes, at any of the {inner} dots on the border seam, where a knot hides in the ditch: bring the bobbin thread up, "
            "stitch in place or tie off and bury the tails. Begin again in the same hole, in the direction in which you left."
        )

    def _batting(self) -> str:
        drawn = [section for section in self.pattern.sections if section.lines]
        if not drawn:
            return "This border has no fill; the open triangles are as large as they are, so look at the label first."
        most = max(section.spacing for section in drawn)
        kinds = "; ".join(f"{name} {inches}" for name, inches in BATTINGS)
        return (
            f"The label of your batting wins; read it as the largest open area between lines. The lines of this border lie "
            f"at most {self.say.told(most)} apart. Usual figures: {kinds}. If the centre is quilted closer or wider, choose "
            "the spacing like it: density should be even over the whole quilt."
        )

    def _thread(self) -> str:
        say = self.say
        longest = max(
            (side for side in self.pattern.sides if side_and_tier(side.name)[1] == 1), key=lambda side: side.length
        )
        share = (
            thread_yd(total_length(self.pattern), self.settings.assumptions)
            / 2
            * INCHES_PER_YARD
            / len(self.pattern.sides)
        )
        return (
            f"{upper(thread_words(self.pattern, self.settings))}. Wind several bobbins before you begin, about {say.thread(share)} of "
            f"thread for each side, and change at a dot of the border seam before the {longest.name} side begins. If one runs out "
            "inside a fill: pull both threads to the back, go back three stitches on the same line, and begin there, in the "
            "same holes."
        )
