"""A closed run let into another one where the two meet, so that they are one unbroken line."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from geometry.graph import MEETING
from geometry.needle import Cut, Run, Stretch
from geometry.plane import distance
from geometry.trail import Leg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plane import Point


def with_loop(run: Run, loop: Run, bridges: Sequence[tuple[Point, Point]] = ()) -> Run | None:
    """A run that goes round a closed one on its way, at the first place where both can be broken off.

    Args:
        run: the run.
        loop: a run that ends where it begins.
        bridges: stitched lines; where the two meet nowhere, the first that leads from one to the other is stitched over,
            there and back.

    Returns:
        The one run; None where they meet nowhere and no bridge leads across.
    """
    if distance(loop.start, loop.stop) > MEETING:
        return None
    for here, there in itertools.product(run.cuts, loop.cuts):
        if distance(here.at, there.at) <= MEETING:
            return _spliced(run, here, _begun_at(loop, there))
    ways = [*bridges, *((end, start) for start, end in bridges)]
    for here in run.cuts:
        for start, end in ways:
            if distance(start, here.at) <= MEETING:
                for there in loop.cuts:
                    if distance(end, there.at) <= MEETING:
                        return _spliced(run, here, _bridged(_begun_at(loop, there), start, end))
    return None


def _begun_at(loop: Run, cut: Cut) -> Run:
    """A closed run begun, and ended, at another place."""
    whole = (len(loop.course), len(loop.stretches), len(loop.visits))

    def moved(one: Cut) -> Cut:
        more = whole if one.legs < cut.legs else (0, 0, 0)
        return Cut(one.at, *(mine - first + wrap for mine, first, wrap in zip(one[1:], cut[1:], more, strict=True)))

    return Run(
        name=loop.name,
        extra=loop.extra,
        bound=loop.bound,
        unreached=loop.unreached,
        course=(*loop.course[cut.legs :], *loop.course[: cut.legs]),
        stretches=(*loop.stretches[cut.stretches :], *loop.stretches[: cut.stretches]),
        visits=(*loop.visits[cut.visits :], *loop.visits[: cut.visits]),
        cuts=tuple(moved(one) for one in loop.cuts if one != cut),
    )


def _bridged(loop: Run, start: Point, end: Point) -> Run:
    """A closed run with a way to its beginning, and home, along a line stitched already."""
    there, back = Leg("over", (start, end)), Leg("over", (end, start))
    more = 2 * distance(start, end)
    return Run(
        name=loop.name,
        visits=loop.visits,
        unreached=loop.unreached,
        course=(there, *loop.course, back),
        stretches=(Stretch((there,)), *loop.stretches, Stretch((back,))),
        cuts=tuple(Cut(one.at, one.legs + 1, one.stretches + 1, one.visits) for one in loop.cuts),
        extra=loop.extra + more,
        bound=loop.bound + more,
    )


def _spliced(run: Run, cut: Cut, loop: Run) -> Run:
    later = (len(loop.course), len(loop.stretches), len(loop.visits))
    first = [one for one in run.cuts if one.legs <= cut.legs]
    inside = [Cut(one.at, *(mine + before for mine, before in zip(one[1:], cut[1:], strict=True))) for one in loop.cuts]
    last = [
        Cut(one.at, *(mine + more for mine, more in zip(one[1:], later, strict=True)))
        for one in run.cuts
        if one.legs > cut.legs
    ]
    return Run(
        name=run.name,
        course=(*run.course[: cut.legs], *loop.course, *run.course[cut.legs :]),
        stretches=(*run.stretches[: cut.stretches], *loop.stretches, *run.stretches[cut.stretches :]),
        visits=(*run.visits[: cut.visits], *loop.visits, *run.visits[cut.visits :]),
        extra=run.extra + loop.extra,
        bound=run.bound + loop.bound,
        unreached=(*run.unreached, *loop.unreached),
        cuts=(*first, *inside, *last),
    )
