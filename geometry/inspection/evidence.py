"""Each kind of finding, from a drawing made ready to the sentence for the quilter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.fills.catalogue import NONE
from geometry.inspection.closeness import too_close
from geometry.inspection.drawn import turns
from geometry.inspection.evenness import off_by, uneven
from geometry.inspection.knots import knots
from geometry.inspection.openness import largest_circles
from geometry.inspection.outside import excursions, prepared, region
from geometry.inspection.reach import adrift
from geometry.inspection.stitched import often_stitched
from geometry.inspection.telling import Evidence, Finding, against, inches
from geometry.lengths import decimal
from geometry.plane import area_of, flat

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from geometry.inspection.closeness import Tight
    from geometry.inspection.drawn import Turn
    from geometry.inspection.outside import Excursion
    from geometry.inspection.read import Read
    from geometry.inspection.telling import Kind
    from geometry.needle import Run
    from geometry.plane import Line

FARTHEST_NEIGHBOURS = 1.5
"""Spacings within which every line of a fill has another."""

CENTRE = "centre"
"""What the centre of the quilt is called where a section's name stands."""


def misplaced(read: Read) -> Iterator[Evidence]:
    """Zigzags and corner lines that miss their pivots, seams or stop line."""
    stop_line = "stop line" if read.drawn.kind == "outer" else "outer seam"
    for one in read.skeleton.found:
        size = inches(one.amount)
        sentence = {
            "misses-pivot": f"The {one.words} ends {size} from the pivot, where the sides meet: "
            "please move its end onto that corner of the border seam.",
            "off-seam": f"The {one.words} does not come to a corner of its sections, {size} away: "
            "please bring it back there, or draw the border again."
            if one.unreached
            else f"A point of the {one.words} lies {size} off its line: "
            f"please move it onto the border seam or the {stop_line}.",
            "beyond-stop-line": f"The {one.words} goes {size} {_beyond(read)}: please move that point back.",
        }[one.kind]
        yield Evidence(Finding(one.kind, one.side, one.at, one.amount, sentence), read.skeleton.shaken)


def _beyond(read: Read) -> str:
    if read.drawn.kind == "inner":
        return "beyond the outer seam, off the border"
    return "beyond the stop line, where the binding will cover it"


def strayed(read: Read) -> Iterator[Evidence]:
    """Fill lines beyond the stop line, or outside their section: of each section the line farthest out."""
    under = read.drawn.under
    line = read.bones
    for number, section in enumerate(read.sections):
        own = region(section.corners)
        if under and section.base != "inner":
            # under the binding a line may go where it likes
            own = prepared(own.polygon.union(region(read.drawn.edge, -1.0).polygon.difference(read.stop.polygon)))
        beyond: list[tuple[Excursion, int]] = []
        outside: list[tuple[Excursion, int]] = []
        for drawn in section.lines:
            short = read.pieces.short[line]
            beyond += ((out, line) for out in excursions(drawn, read.stop, ends_may_leave=under, short=short))
            outside += ((out, line) for out in excursions(drawn, own, short=short))
            line += 1
        rows: tuple[tuple[Kind, list[tuple[Excursion, int]], str], ...] = (
            ("beyond-stop-line", beyond, f"{_beyond(read)}: please move it back."),
            ("outside-section", outside, "outside it: please bring it back inside."),
        )
        for kind, outs, what in rows:
            if outs:
                (at, amount), _ = max(outs, key=lambda row: row[0].amount)
                sentence = f"A line in {section.words} goes {inches(amount)} {what}"
                finding = Finding(kind, section.name, at, amount, sentence)
                yield Evidence(finding, frozenset({number}), frozenset(line for _, line in outs))


def out_of_reach(read: Read) -> Iterator[Evidence]:
    """Lines that no run can reach without a jump."""
    drawn = read.drawn
    seams = drawn.beside_border(drawn.seam)
    roads = drawn.beside_border(drawn.stop_line) if drawn.kind == "inner" or drawn.under else ()
    for group in adrift(read.pieces, read.met, seams, roads):
        what = "A line" if len(group.lines) == 1 else f"{len(group.lines)} lines"
        sentence = (
            f"{what} in {read.words(group.nearest)} cannot be reached without a jump of {inches(group.gap)}: "
            "please join to a line, or to the seam."
        )
        finding = Finding("broken-line", read.place(group.nearest), group.at, group.gap, sentence)
        yield Evidence(finding, read.within(group.lines), group.lines)


def empty(read: Read) -> Iterator[Evidence]:
    """Sections without lines that should have some; the place is the middle of the largest open circle."""
    wanting = [
        number
        for number, section in enumerate(read.sections)
        if not section.lines and section.fill_name != NONE and not section.note
    ]
    circles = largest_circles([read.sections[number].corners for number in wanting], read.pieces)
    for number, circle in zip(wanting, circles, strict=True):
        section = read.sections[number]
        sentence = (
            f"There are no lines in {section.words}, whose fill is {section.fill_name}: "
            "please fill it again, or choose none for it."
        )
        at, across = circle or (section.corners[0], 0.0)
        yield Evidence(Finding("no-fill", section.name, at, across, sentence), frozenset({number}))


def knotted(read: Read) -> Iterator[Evidence]:
    """Points where too many lines meet."""
    for knot in knots(read.pieces, read.met, read.limits.point):
        sections = read.within(knot.lines)
        # the section that has most to do with it: the one with most lines there
        line = max(knot.lines, key=lambda line: (read.owner[line] >= 0, _share(read, knot.lines, line), -line))
        sentence = (
            f"{knot.leading_away} lines meet at one point in {read.words(line)}, a knot of thread; "
            f"{read.limits.point} are the most: please let some of them end before it."
        )
        finding = Finding("too-many-at-a-point", read.place(line), knot.at, knot.leading_away, sentence)
        yield Evidence(finding, sections, knot.lines)


def _share(read: Read, lines: frozenset[int], line: int) -> int:
    return sum(read.owner[other] == read.owner[line] for other in lines)


def stitched_often(read: Read, runs: Sequence[Run]) -> Iterator[Evidence]:
    """Lines that the runs go over too often; told as too many lines at a point, for that is what they are."""
    import shapely

    stretches = often_stitched(runs, read.skeleton, read.limits.over)
    if not stretches:
        return
    tree = read.pieces.tree
    nearest = tree.query_nearest(shapely.points([stretch.at for stretch in stretches]), all_matches=False)[1]
    for stretch, piece in zip(stretches, nearest.tolist(), strict=True):
        line = int(read.pieces.line[piece])
        sentence = (
            f"A line in {read.words(line)} would be stitched {stretch.times} times; {read.limits.over} are the most: "
            "please join the lines beside it, so that the needle finds another way."
        )
        finding = Finding("too-many-at-a-point", read.place(line), stretch.at, stretch.times, sentence)
        yield Evidence(finding, read.within([line]), frozenset({line}))


def crowded(read: Read) -> Iterator[Evidence]:
    """Lines too close together and turns too sharp, the worst of each in a section.

    The sides of a sharp turn are close by nature, so only the turn is told; a node moved next to another line makes
    sharp turns at itself and beside it, so only the closeness is told.
    """
    turned = [(line, turn) for line, drawn in enumerate(read.pieces.lines) for turn in turns(drawn, read.limits.sharp)]
    ways = [(line, read.pieces.way_to(line, turn.at)) for line, turn in turned]
    least = [read.limits.nearest(section) for section in read.sections]
    # no lines are nearer than neighbours, and those are about a spacing apart
    looked = [min(most, FARTHEST_NEIGHBOURS * one.spacing) for most, one in zip(least, read.sections, strict=True)]
    tight = [
        one
        for one in too_close(read.pieces, read.met, read.sections, read.owner, looked, read.limits.sharp)
        if not (one.line == one.other and any(line == one.line and _between(read, one, way) for line, way in ways))
    ]
    nodes = {one.at for one in tight}
    yield from _sharp(read, [(line, turn) for line, turn in turned if not nodes & set(turn)])
    yield from _close(read, tight, least)


def _between(read: Read, tight: Tight, way: float) -> bool:
    """Whether a place lies on the shorter way between the two of a tight place on one line."""
    low, high = sorted((tight.way, tight.other_way))
    total = float(read.pieces.total[tight.line])
    inside = low < way < high
    return not inside if read.pieces.closed[tight.line] and high - low > total / 2 else inside


def _sharp(read: Read, turned: Sequence[tuple[int, Turn]]) -> Iterator[Evidence]:
    worst: dict[int, tuple[int, Turn]] = {}
    for line, turn in turned:
        key = read.owner[line] if read.owner[line] >= 0 else -1 - line
        if key not in worst or turn.degrees < worst[key][1].degrees:
            worst[key] = (line, turn)
    for line, turn in worst.values():
        sentence = (
            f"A line in {read.words(line)} turns back at an angle of {decimal(turn.degrees, 1)}°, a spike of doubled thread; "
            f"{decimal(read.limits.sharp, 1)}° is the least: please open the turn or blunt it."
        )
        finding = Finding("too-sharp", read.place(line), turn.at, turn.degrees, sentence)
        yield Evidence(finding, read.within([line]), frozenset({line}))


def _close(read: Read, tights: Sequence[Tight], least: Sequence[float]) -> Iterator[Evidence]:
    worst: dict[int, Tight] = {}
    for tight in tights:
        number = read.owner[tight.line] if read.owner[tight.line] >= 0 else read.owner[tight.other]
        if number not in worst or tight.gap < worst[number].gap:
            worst[number] = tight
    for number, tight in worst.items():
        section = read.sections[number]
        gap, most = against(tight.gap, least[number])
        sentence = (
            f"Lines in {section.words} come within {gap} of each other; {most} is the least: please move them apart."
        )
        lines = frozenset({tight.line, tight.other})
        finding = Finding("too-close", section.name, tight.at, tight.gap, sentence)
        yield Evidence(finding, read.within(lines), lines)


def open_areas(read: Read) -> Iterator[Evidence]:
    """Sections whose largest unquilted circle is wider than allowed."""
    quilted = [number for number, section in enumerate(read.sections) if section.lines]
    allowed = [read.limits.widest(read.sections[number]) for number in quilted]
    circles = largest_circles([read.sections[number].corners for number in quilted], read.pieces, allowed)
    for number, most, circle in zip(quilted, allowed, circles, strict=True):
        if circle is None:
            continue
        section = read.sections[number]
        across, widest = against(circle.across, most)
        sentence = (
            f"The largest unquilted circle in {section.words} is {across} across; {widest} is the most: "
            "please draw a line through it."
        )
        finding = Finding("too-open", section.name, circle.at, circle.across, sentence)
        yield Evidence(finding, frozenset({number}))


def unevenly_quilted(read: Read) -> Iterator[Evidence]:
    """Sections quilted more or less than their fellows, and the border against the centre if lines lie there."""
    by_turns = read.drawn.order != "sections"
    for one in uneven(read.sections, read.stitched_in(), read.limits.uneven, by_turns=by_turns):
        section = read.sections[one.section]
        sentence = (
            f"There is {_more(one.percent)} stitching in {section.words} than in others like it, "
            f"{decimal(one.own, 2)} inches in a square inch against {decimal(one.usual, 2)}: "
            "please take lines out, or add some, until they agree."
        )
        yield Evidence(Finding("uneven", section.name, None, one.percent, sentence), frozenset({one.section}))
    centre = _inches_inside(read.drawn.seam, read.drawn.others) / area_of(read.drawn.seam)
    border = float(read.pieces.total.sum()) / (area_of(read.drawn.stop_line) - area_of(read.drawn.seam))
    percent = off_by(border, centre) if centre > 0 else 0.0
    if abs(percent) > read.limits.uneven:
        sentence = (
            f"There is {_more(percent)} stitching in the border than in the centre, {decimal(border, 2)} inches in a square "
            f"inch against {decimal(centre, 2)}: please choose another spacing for one of them, or the quilt will not lie flat."
        )
        yield Evidence(Finding("uneven", CENTRE, None, percent, sentence))


def _inches_inside(outline: Line, lines: Sequence[Line]) -> float:
    """Inches of lines within an outline."""
    import shapely

    within = region(outline).polygon
    shapes = [shapely.LineString(flat(line)) for line in lines]
    return float(shapely.length(shapely.intersection(shapes, within)).sum()) if shapes else 0.0


def _more(percent: float) -> str:
    return f"{decimal(abs(percent), 0)} % {'more' if percent > 0 else 'less'}"
