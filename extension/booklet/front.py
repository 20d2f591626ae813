"""The first pages: the quilt with its border and its figures; and what to read, have and take care of before beginning."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Any

from extension.booklet.canvas import TINT, Canvas
from extension.booklet.measure import Measure, listed, sides_named, upper
from extension.booklet.tape import reach
from geometry.estimate import INCHES_PER_YARD, thread_yd
from geometry.lengths import decimal
from geometry.plane import Affine, distance
from geometry.sheets import around

if TYPE_CHECKING:
    from extension.booklet.settings import Settings
    from geometry.pattern import DrawnSide, Pattern

ORDERS = {
    "sections": "section by section, each fill as the zigzag passes it",
    "zigzag": "the whole zigzag first, then the fills",
    "across": "each fill across and its diagonal back",
}

CORNERS = {
    "mitred": "mitred, a line from the pivot to the outer corner",
    "large": "large, one section round the corner",
    "square": "square, two lines square to the edges",
}


def cover(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """The first page."""
    say = settings.measure
    picture = quilt_picture(pattern, settings.text_wide, 0.46 * settings.paper.tall)
    found = settings.findings
    warning = ""
    if found:
        many = "One thing" if len(found) == 1 else f"{len(found)} things"
        warning = f"{many} found when this drawing was checked: {'; '.join(one.rstrip('.') for one in found[:3])}"
        warning += "; and more." if len(found) > 3 else "."  # noqa: PLR2004
    return {
        "kind": "cover", "title": settings.title, "maker": settings.maker, "picture": picture,
        "warning": warning, "facts": [_border_facts(pattern, say), _design_facts(pattern, settings)],
    }  # fmt: skip


def quilt_picture(pattern: Pattern, most_wide: float, most_tall: float) -> Canvas:
    """The quilt with its border, small."""
    box = around(pattern.edge)
    room = 0.03
    scale = min((most_wide - 2 * room) / box.wide, (most_tall - 2 * room) / box.tall)
    size = Measure().size(pattern.wide, pattern.tall)
    canvas = Canvas(
        box.wide * scale + 2 * room, box.tall * scale + 2 * room, f"The quilt, {size}, with its quilted border"
    )
    place = Affine(scale, 0, 0, scale, room - box.left * scale, room - box.top * scale)
    canvas.area(pattern.seam, TINT, place)
    canvas.lines([line for section in pattern.sections for line in section.lines], "small-fill", place)
    canvas.lines([side.zigzag for side in pattern.sides], "small-zigzag", place)
    canvas.lines([line for side in pattern.sides for line in side.crossings], "small-zigzag", place)
    canvas.lines([(*pattern.seam, pattern.seam[0])], "seam", place)
    canvas.lines([(*pattern.edge, pattern.edge[0])], "edge", place)
    return canvas


def _border_facts(pattern: Pattern, say: Measure) -> list[tuple[str, str]]:
    widths = list(dict.fromkeys(say.told(side.width) for side in pattern.sides))
    facts = [
        ("Finished size" if pattern.kind == "outer" else "Outer seams", say.both(pattern.wide, pattern.tall)),
        ("Border width", " / ".join(widths)),
    ]
    if pattern.kind == "outer":
        facts.append(("Room for the binding", say.told(pattern.room)))
    else:
        facts.append(("Between two seams", "the points touch both"))
    facts.append(("Corners", CORNERS[pattern.corner]))
    return facts


def _design_facts(pattern: Pattern, settings: Settings) -> list[tuple[str, str]]:
    say = settings.measure
    fills = list(dict.fromkeys(section.fill_name for section in pattern.sections if section.lines))
    spacings = [section.spacing for section in pattern.sections if section.lines]
    facts = [(upper(sides_named(names)), triangles(side, say)) for names, side in alike_sides(pattern)]
    if spacings:
        low, high = min(spacings), max(spacings)
        apart = say.told(low) if say.told(low) == say.told(high) else f"{say.bare(low)} to {say.plain(high)}"
        facts.append(("Fill", f"{listed(fills)}, lines {apart} apart"))
    if pattern.tiers > 1:
        facts.append(("Tiers", f"{pattern.tiers}, each {say.told(pattern.sides[0].height)} high"))
    facts.append(("Order of stitching", ORDERS[pattern.order]))
    if settings.level:
        facts.append(("Skill level", settings.level))
    return facts


def alike_sides(pattern: Pattern) -> list[tuple[list[str], DrawnSide]]:
    """Sides with equal fits, their names together."""
    found: list[tuple[list[str], DrawnSide]] = []
    for side in pattern.sides:
        for names, other in found:
            same = abs(side.length - other.length) < 1e-3 and abs(side.fit.repeat_in - other.fit.repeat_in) < 1e-3  # noqa: PLR2004
            if same and (len(side.points), side.fit.each) == (len(other.points), other.fit.each):
                names.append(side.name)
                break
        else:
            found.append(([side.name], side))
    return found


def triangles(side: DrawnSide, say: Measure) -> str:
    """`5 triangles of 8 in`, eased ones told apart."""
    count, fit = len(side.points), side.fit
    if fit.each:
        middle = count - 2 * fit.each
        return (
            f"{count} triangles: {middle} of {say.told(fit.repeat_in)}, the last {fit.each} before each corner "
            f"{say.told(fit.eased_in)}"
        )
    return f"{count} triangle{'s' if count != 1 else ''} of {say.told(fit.repeat_in)}"


def total_length(pattern: Pattern) -> float:
    """Inches of stitching of all runs."""
    return sum(run.length for run in pattern.runs)


def thread_words(pattern: Pattern, settings: Settings) -> str:
    """The thread a border takes, with what the figure rests on."""
    say, assumed = settings.measure, settings.assumptions
    inches = thread_yd(total_length(pattern), assumed) * INCHES_PER_YARD
    words = (
        f"about {say.thread(inches / 2)} on the needle and as much on the bobbin, for {say.thread(total_length(pattern))} of "
        f"stitching. This assumes {decimal(assumed.stitches_per_inch)} stitches to the inch, {assumed.thickness_in:g} in of "
        f"quilt under the foot and {decimal(assumed.waste_pct)} % waste; a thick batting takes more"
    )
    if assumed.bobbin_yd:
        count = math.ceil(inches / 2 / INCHES_PER_YARD / assumed.bobbin_yd)
        words += f". With {assumed.bobbin_yd:g} yards on a bobbin that is {count} of them"
    return words


def longest_diagonal(pattern: Pattern) -> float:
    """Inches of the longest straight line of the zigzag."""
    return max(distance(*pair) for side in pattern.sides for pair in itertools.pairwise(side.zigzag))


def before(pattern: Pattern, settings: Settings) -> dict[str, Any]:
    """What the pattern assumes, what is needed, how to print, what to take care of."""
    say = settings.measure
    parts = [_part("What this pattern assumes", points=_assumed(pattern, say)),
             _part("You need", points=_needed(pattern, settings))]  # fmt: skip
    if settings.parts & {"templates", "tiled", "strip"}:
        parts.append(_part("Before you print", points=[
            ("Print the true-size pages at 100 %, with “fit to page” switched off, on "
            f"{settings.paper.words} paper."),
            ("Print one such page first and measure its two bars: 4 in and 10 cm. A square of 1 in alone is too small to "
            "show a scale that is a little off."),
        ]))  # fmt: skip
    parts.append(_part("Care at the machine", points=list(CARE)))
    if settings.notes.strip():
        parts.append(_part("Notes", paragraphs=[line for line in settings.notes.splitlines() if line.strip()]))
    return {"kind": "reading", "title": "Before you begin", "contents": True, "columns": 2, "parts": parts}


CARE = (
    (
        "Ruler work: use a ruler foot and a ruler about 1/4 in thick made for it, never a cutting ruler against a standard "
        "foot. Keep the ruler supported flat and held still."
    ),
    "Hands stay clear of the needle. Stop the needle before you move the ruler or your hands, and go slowly.",
    "Take breaks; have good light and a chair of the right height.",
    (
        "Test every marker on a scrap of the same fabrics: some inks fade with heat and come back in the cold, some must be "
        "soaked out."
    ),
    "The manual of your machine’s maker, and a local teacher or dealer, come before anything said here.",
)


def _part(title: str, *, paragraphs: list[str] | None = None, points: list[str] | None = None) -> dict[str, Any]:
    return {"title": title, "paragraphs": paragraphs or [], "points": points or [], "facts": []}


def _assumed(pattern: Pattern, say: Measure) -> list[str]:
    lengths = [f"{sides_named(names)} {say.told(side.length)}" for names, side in alike_sides(pattern)]
    outer = pattern.kind == "outer"
    return [
        (
            f"{'The finished quilt' if outer else 'This border'} measures {say.size(pattern.wide, pattern.tall)} "
            f"{'at its trimmed edge' if outer else 'along its outer seams'}, and its border seams, pivot to pivot, "
            f"{'; '.join(lengths)}. Measure yours through the centre, or take the average of three readings."
        ),
        "The border is sewn on, the quilt layered, basted and square; its centre is quilted or well held.",
        "Sizes are those before quilting; heavy quilting draws a quilt in by 1 to 3 in.",
        "You can stitch a straight line along a ruler or a mark, and turn with the needle down.",
        f"A binding will cover the outer 1/4 in; the points stay {say.told(pattern.room)} inside the trimmed edge."
        if outer
        else "The border lies between two seams; the points touch both.",
    ]


def _needed(pattern: Pattern, settings: Settings) -> list[str]:
    say = settings.measure
    longest = max(side.length for side in pattern.sides)
    found = [
        "A marking tool that shows on your fabric and comes out of it again, tested on a scrap.",
        (
            f"A straight ruler for the diagonals, {say.plain(math.ceil(longest_diagonal(pattern)))} long or more, with the foot "
            "made for it; or a walking foot and marked lines."
        ),
        f"A tape measure of at least {say.plain(math.ceil(longest / 2))}, half of your longest border seam.",
        f"Pins: {5 * len(pattern.sides)} for the pivots and quarter points.",
    ]
    if "strip" in settings.parts:
        found.append(
            f"Scissors and glue for the marking strip, {say.plain(math.ceil(reach(pattern)))} when it is glued together."
        )
    spacings = [section.spacing for section in pattern.sections if section.lines]
    if spacings:
        found.append(f"Batting whose label allows lines {say.told(max(spacings))} apart.")
    found.append(f"Thread: {thread_words(pattern, settings)}.")
    return found
