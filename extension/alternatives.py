"""What else could have been: other numbers of triangles, and another width, for the notes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.errors import SizeError
from geometry.lengths import about, decimal, fraction
from geometry.plan import asks_of
from geometry.quilt import PLACES, border_around
from geometry.tiers import bands
from geometry.together import Choice, best_choices, choice_of, kind_of, kinds_of
from geometry.true_width import Widening, true_width

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.fitting import Ask
    from geometry.plan import BorderPlan

SHOWN = 5
"""Rows of the table, the one that is drawn among them."""

MOST_COLUMNS = 4
"""Kinds of sides that get a column each."""

TABLE_HEAD = "Numbers of triangles that come near, best first:"

Row = tuple[str, ...]


def other_numbers(plan: BorderPlan) -> list[Row]:
    """A small table, its head first: the best choices of numbers, the one that is drawn named; empty if none was made."""
    request = plan.request
    if request.size == "count" or request.fit == "marks":
        return []
    sides = bands(plan.border, request.tiers)[0].sides
    asks = asks_of(request, sides)
    kinds = kinds_of(asks)
    counts = {kind_of(ask, kinds): zigzag.fit.count for ask, zigzag in zip(asks, plan.zigzags, strict=False)}
    drawn = choice_of(kinds, tuple(counts[kind] for kind in kinds))
    listed = list(best_choices(kinds, request.number)[:SHOWN])
    if drawn not in listed:
        listed = [drawn, *listed[: SHOWN - 1]]
    many = len(kinds) > MOST_COLUMNS
    names = [
        _all_names(plan, asks, kinds) if many else _names(plan, asks, kinds, kind)
        for kind in kinds[: 1 if many else None]
    ]
    apart = ["apart"] if len(kinds) > 1 else []
    rows = [("", *names, *apart, "from the asked size")]
    for number, choice in enumerate(listed, 1):
        off = f"{choice.difference_pct:+.1f} %".replace("-", "\u2212")
        rows.append(
            (
                "drawn" if choice == drawn else f"{number}.", *_sizes(choice, many=many),
                *([f"{choice.apart_pct:.1f} %"] if apart else []), off,
            )
        )  # fmt: skip
    return rows


def _sizes(choice: Choice, *, many: bool) -> Iterator[str]:
    if many:
        yield ", ".join(map(fraction, choice.counts))
    else:
        for count, repeat in zip(choice.counts, choice.repeats_in, strict=True):
            yield f"{fraction(count)} of {fraction(repeat)} in"


def _all_names(plan: BorderPlan, asks: Sequence[Ask], kinds: Sequence[Ask]) -> str:
    """The sides in the order of their kinds; those of one kind joined by a plus sign."""
    sides = [
        "+".join(side.name for side, ask in zip(plan.border.sides, asks, strict=True) if kind_of(ask, kinds) == kind)
        for kind in kinds
    ]
    return f"Sides {', '.join(sides)}"


def _names(plan: BorderPlan, asks: Sequence[Ask], kinds: Sequence[Ask], kind: Ask) -> str:
    names = [side.name for side, ask in zip(plan.border.sides, asks, strict=True) if kind_of(ask, kinds) == kind]
    if len(names) == len(asks):
        return "All sides"
    words = listed(names)
    return words[:1].upper() + words[1:]


def listed(names: Sequence[str]) -> str:
    """Names of sides in words: `top and left`, `sides 1, 2 and 5`."""
    words = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    if names[0] in PLACES:
        return words
    return f"side {words}" if len(names) == 1 else f"sides {words}"


def other_width(plan: BorderPlan) -> Iterable[str]:
    """A sentence about the width at which the asked angle fits exactly, if one lies near."""
    request, border = plan.request, plan.border
    if request.size != "angle" or request.fit == "marks" or request.tiers > 1:
        return
    step = 1 / 8
    try:
        wider = border_around(
            border.edge, [width + step for width in request.widths], border.room, border.kind, sides=request.sides
        )
    except SizeError:
        return  # hardly any centre is left
    kinds = dict.fromkeys(
        Widening(
            round(side.length, 9), round(side.height, 9), round((other.length - side.length) / step, 9),
            0.5 if side.turned_start != side.turned_end else 0,
        )
        for side, other in zip(border.sides, wider.sides, strict=True)
    )  # fmt: skip
    found = true_width(list(kinds), request.angle, border.widths[0], request.number)
    if found is None:
        return
    exact = abs(found.more_in - found.told_in) < 1e-6  # noqa: PLR2004 - inches
    if len({round(width, 6) for width in border.widths}) == 1:
        width = f"A border {fraction(border.widths[0] + found.told_in)} in wide"
        precise = "" if exact else f" (exactly {decimal(border.widths[0] + found.more_in)} in)"
    else:
        width = f"A border {about(abs(found.told_in))} {'wider' if found.told_in > 0 else 'narrower'} all round"
        precise = "" if exact else f" (exactly {decimal(abs(found.more_in))} in)"
    counts = " and ".join(map(fraction, dict.fromkeys(found.counts)))
    yield f"{width}{precise} would fit {decimal(request.angle, 1)}° exactly on all sides, with {counts} triangles."
