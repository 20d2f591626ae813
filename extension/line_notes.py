"""What the notes say about the lines: echo lines left out, fills matched, what the binding hides."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from geometry.fills.catalogue import NONE
from geometry.lengths import about, decimal, fraction
from geometry.matching import MATCHED_PCT
from geometry.quilt import BINDING_TAKES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from geometry.plan import BorderPlan

_WHERE = {"outer": "on the stop line", "corner": "in the corners"}


def line_notes(plan: BorderPlan) -> Iterator[str]:
    """The sentences, in the order of the dialog; none where nothing was asked for."""
    yield from _matched(plan)
    yield from _fewer_echo_lines(plan)
    yield from _under_the_binding(plan)


def _matched(plan: BorderPlan) -> Iterator[str]:
    request = plan.request
    if request.match and not plan.matches and _has_other_fills(plan):
        yield "Nothing is matched: there is no fill on the border seam to match the others to."
    for match in plan.matches:
        off = match.difference_pct
        how = "" if abs(off) <= MATCHED_PCT else f"; {_share(off)}, but no spacing that comes out even is nearer"
        yield (
            f"{match.fill.capitalize()} {_WHERE[match.base]}: spacing {about(match.spacing)}, {decimal(match.density, 2)} in "
            f"of stitching to the square inch, beside {decimal(match.wanted, 2)} in on the border seam{how}."
        )


def _has_other_fills(plan: BorderPlan) -> bool:
    return any(filled.fill_name not in {plan.request.fill, NONE} for filled in plan.sections)


def _share(percent: float) -> str:
    return f"{decimal(abs(percent), 0)} % {'more' if percent > 0 else 'less'}"


def _fewer_echo_lines(plan: BorderPlan) -> Iterator[str]:
    asked = plan.request.echo
    drawn = Counter(filled.fill.echo_lines for filled in plan.sections if filled.fill_name != NONE)
    for number in sorted(drawn, reverse=True):
        if number < asked:
            sections = "One section has" if drawn[number] == 1 else f"{drawn[number]} sections have"
            lines = "no echo lines" if not number else "1 echo line" if number == 1 else f"{number} echo lines"
            yield f"{sections} {lines} instead of {asked}: there is no room for more {about(plan.request.step)} apart."


def _under_the_binding(plan: BorderPlan) -> Iterator[str]:
    request = plan.request
    if not request.under:
        return
    longer = [filled.fill.hidden for filled in plan.sections if filled.fill.hidden]
    road = request.binding - request.reach
    sections = "1 section" if len(longer) == 1 else f"{len(longer)} sections"
    yield (
        f"Hidden under the binding: the lines of {sections} run on beyond the stop line, {about(sum(longer))} in all, and "
        f"the needle travels there, {about(road)} from the trimmed edge."
    )
    if road > BINDING_TAKES:
        yield (
            f"Take care: a binding covers {fraction(BINDING_TAKES)} in, so stitching {about(road)} from the trimmed edge "
            "will show; it is hidden if the room for the binding is 1/2 in or less."
        )
