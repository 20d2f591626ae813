"""What was fitted, in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.alternatives import listed, other_width
from extension.estimate_report import as_lines
from extension.line_notes import line_notes
from geometry.fitting import difference
from geometry.lengths import about, decimal, fraction
from geometry.plane import EASED_MOST
from geometry.quilt import BINDING_TAKES, PLACES
from geometry.together import AS_DRAWN

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.estimate import Estimate
    from geometry.fitting import SideFit
    from geometry.plan import BorderPlan

NOTICED_BY_ALL = 50.0
"""Percent of difference that is noticed: 6 beside 9 ("Scalloped Quilt Border Tutorial", abrightcorner.com)."""


def notes(plan: BorderPlan, estimate: Estimate, remarks: Sequence[str] = ()) -> list[str]:
    """The paragraphs of the notes layer: the border, what was fitted, whatever needs saying, what stitching it takes."""
    request = plan.request
    lines = [_heading(plan)]
    for names, fit in _sides(plan):
        lines += _fitted(names, fit, plan)
    lines += _tiers(plan)
    if any(zigzag.fit.points for zigzag in plan.zigzags):
        lines.append("Points stand on marks of their own where one lies near the middle of the triangle.")
    lines += _left_out(plan)
    lines += line_notes(plan)
    lines += other_width(plan)
    lines += _shrunk(plan)
    if request.kind == "outer" and request.binding < BINDING_TAKES:
        lines.append(
            f"Take care: the room for the binding is {about(request.binding)}; a binding covers {fraction(BINDING_TAKES)} in "
            "and will cut the points off."
        )
    first, *others = as_lines(estimate)
    return [*lines, *remarks, first, *(f"    {line}" for line in others)]


def _heading(plan: BorderPlan) -> str:
    request = plan.request
    told = [about(width) for width in plan.border.widths]
    width = told[0] if len(set(told)) == 1 else " / ".join(told)
    room = (
        f"points {about(request.binding)} from the trimmed edge"
        if request.kind == "outer"
        else "points touch both seams"
    )
    sides, border = "", plan.border
    if request.outline and len(border.edge) != len(PLACES):
        sides = f" with {len(border.edge)} sides"
    only = "" if border.closed else f" on {listed([side.name for side in border.sides])}"
    return (
        f"Quilt {fraction(request.quilt_width)} × {fraction(request.quilt_height)} in{sides}, border{only} {width} wide, {room}, "
        f"{request.corner} corners."
    )


def _sides(plan: BorderPlan) -> Iterable[tuple[str, SideFit]]:
    """Sides that are fitted alike are told together."""
    # the tiers above follow from the lowest
    zigzags = [zigzag for zigzag in plan.zigzags if zigzag.side.tier == 1]
    told: list[tuple[list[str], SideFit]] = []
    for zigzag in zigzags:
        for names, fit in told:
            if _like(fit, zigzag.fit):
                names.append(zigzag.side.name)
                break
        else:
            told.append(([zigzag.side.name], zigzag.fit))
    for names, fit in told:
        words = " and ".join(names) if names[0] in PLACES else listed(names)
        yield words[:1].upper() + words[1:], fit


def _tiers(plan: BorderPlan) -> Iterable[str]:
    """What the tiers above the lowest come to, and how they are joined."""
    tiers = plan.request.tiers
    if tiers == 1:
        return
    heights = dict.fromkeys(about(zigzag.side.height) for zigzag in plan.zigzags)
    numbers = "; ".join(
        f"{tier}: {', '.join(fraction(z.fit.count) for z in plan.zigzags if z.side.tier == tier)}"
        for tier in range(1, tiers + 1)
    )
    yield (
        f"{tiers} tiers, each {' / '.join(heights)} high; the points of one are dots of the next. Triangles on the sides in turn, "
        f"tier {numbers}."
    )
    if not plan.border.closed:
        yield "On a strip each tier is a run of its own."


def _like(one: SideFit, other: SideFit) -> bool:
    return (one.fit, one.count, one.each) == (other.fit, other.count, other.each) and all(
        abs(a - b) <= AS_DRAWN
        for a, b in (
            (one.ask.length, other.ask.length),
            (one.ask.height, other.ask.height),
            (one.ask.repeat, other.ask.repeat),
            (len(one.points), len(other.points)),
            (len(one.repeats()), len(other.repeats())),
            *zip(sorted(one.repeats()), sorted(other.repeats()), strict=False),
        )
    )


def _fitted(names: str, fit: SideFit, plan: BorderPlan) -> Iterable[str]:
    triangles = "1 triangle" if fit.count == 1 else f"{fraction(fit.count)} triangles"
    if fit.each:
        middle = fraction(fit.count - 2 * fit.each)
        yield (
            f"{names}: {triangles} on {about(fit.ask.length)}: {middle} of {about(fit.repeat_in)} "
            f"({decimal(fit.angle_deg, 1)}°) in the middle, the last {fit.each} before each corner {about(fit.eased_in)} "
            f"({percent(fit.eased_pct)})."
        )
        return
    if fit.fit == "marks":
        yield from _on_marks(names, triangles, fit, plan)
        return
    typed = plan.request.size == "count"
    compared = "" if typed else f", {percent(fit.difference_pct)}"
    yield (
        f"{names}: {triangles} of {about(fit.repeat_in)} on {about(fit.ask.length)} "
        f"({decimal(fit.angle_deg, 1)}°{compared})."
    )
    if plan.request.fit == "marks":
        yield f"{names}: without marks, so all triangles are alike."
    if plan.request.fit == "ease" and abs(fit.difference_pct) > 1e-6:  # noqa: PLR2004 - percent
        yield f"{names}: no easing keeps within {EASED_MOST:g} %, so all triangles are alike."
    if abs(fit.difference_pct) > EASED_MOST:
        yield (
            f"{names}: that is more than {EASED_MOST:g} % off what was asked; a repeat of {decimal(fit.repeat_in)} in "
            f"or an angle of {decimal(fit.angle_deg, 1)}° would fit exactly."
        )


def _on_marks(names: str, triangles: str, fit: SideFit, plan: BorderPlan) -> Iterable[str]:
    """A side whose dots lie on marks: how unlike its triangles are."""
    least, most = min(fit.repeats()), max(fit.repeats())
    alike = about(least) == about(most)
    sizes = about(least) if alike else f"{about(least)} to {about(most)}"
    mean = "" if alike else f"{about(fit.repeat_in)} on average, "
    compared = "" if plan.request.size == "count" else f", {percent(fit.difference_pct)}"
    yield (
        f"{names}: {triangles} of {sizes} on {about(fit.ask.length)}, from mark to mark "
        f"({mean}{decimal(fit.angle_deg, 1)}°{compared})."
    )
    off = [difference(repeat, fit.ask.repeat) for repeat in (least, most)]
    if max(map(abs, off)) > NOTICED_BY_ALL:
        yield (
            f"{names}: one triangle is {percent(max(off, key=abs))}; a mark more, or another number of triangles, would "
            "even them out."
        )


def _shrunk(plan: BorderPlan) -> Iterable[str]:
    """The sizes after quilting has drawn the quilt in."""
    request = plan.request
    if not request.shrink:
        return
    rest = 1 - request.shrink / 100
    repeats = [repeat * rest for zigzag in plan.zigzags for repeat in zigzag.fit.repeats()]
    least, most = about(min(repeats)), about(max(repeats))
    widths = dict.fromkeys(about(width * rest) for width in plan.border.widths)
    yield (
        f"Drawn as before quilting; after it, {decimal(request.shrink, 1)} % smaller: quilt about "
        f"{fraction(request.quilt_width * rest)} × {fraction(request.quilt_height * rest)} in, border {' / '.join(widths)} "
        f"wide, triangles {least if least == most else f'{least} to {most}'} long."
    )


def percent(difference: float) -> str:
    """A difference from what was asked, in words."""
    if abs(difference) < 0.05:  # noqa: PLR2004 - rounds to nothing
        return "as asked"
    return f"{decimal(abs(difference), 1)} % {'larger' if difference > 0 else 'smaller'} than asked"


def _left_out(plan: BorderPlan) -> Iterable[str]:
    reasons: dict[str, list[str]] = {}
    for filled in plan.sections:
        if filled.fill.note:
            reasons.setdefault(filled.fill.note.partition(";")[0], []).append(filled.fill.note)
    for found in reasons.values():
        count = "One section is" if len(found) == 1 else f"{len(found)} sections are"
        yield f"{count} left without a fill: {min(found, key=_fits_from)}."


def _fits_from(note: str) -> str:
    return note.rpartition("from ")[2]
