"""Order: derive the stitching line again from the border as it stands, and show the way."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension import estimate_report
from extension.document import value_of
from extension.entry import add_document, from_editor
from extension.ground import chosen_border
from extension.keeping import is_by_hand
from extension.layers import Ids, child_layer, cleared
from extension.options import ORDER_OPTIONS, add_options, read_options
from extension.pen import Pen
from extension.reading import read_border
from extension.record import ORDER_NAMES, filled_for, read_way, remember
from extension.restitch import plan_of
from extension.tool import DONE, load, write
from extension.way import WAY, Drawn, draw_way
from geometry.estimate import Assumptions, estimate
from geometry.fills.catalogue import MOTIF, NONE
from geometry.leaving import leave_points
from geometry.plan import redrawn

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator, Mapping, Sequence
    from typing import Any

    from extension.document import Document
    from extension.gathering import StandingSection
    from extension.reading import Standing
    from geometry.needle import Run
    from geometry.plan import BorderPlan


SAME_SIZE = 1e-3
"""Share by which a border may be larger or smaller than it was drawn, by rounding."""

WORTH_SAYING = 6.0
"""Weighted inches that drawing the fills again must save; less is hardly one diagonal."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise order`, and of the dialog."""
    add_document(parser, "a border, or anything in it (default: every border of the document)")
    add_options(parser, ORDER_OPTIONS)
    estimate_report.add_arguments(parser, fields=True)


def run(arguments: argparse.Namespace) -> int:
    """Read, derive, draw, write."""
    options = read_options(vars(arguments), ORDER_OPTIONS)
    assumptions = estimate_report.assumptions_from(vars(arguments))
    document = load(arguments.input)
    found = [
        order_border(document, read_border(document, layer), options, assumptions)
        for layer in chosen_border(document, arguments.ids)
    ]
    estimate_report.write_json(found[0].estimate, arguments.estimate, arguments.input, arguments.output)
    write(document.to_bytes(), arguments.output, arguments.input)
    if arguments.output is not None:
        # the editor reads the document there instead
        for remark in (remark for drawn in found for remark in drawn.remarks):
            print(remark)
    return DONE


def order_border(
    document: Document, standing: Standing, options: Mapping[str, Any], assumptions: Assumptions | None = None
) -> Drawn:
    """Derive the runs of one border again in another order, and show numbers, arrows and leave-and-return points.

    Raises:
        QuiltError: the points asked for cannot be had.
    """
    read_way(standing.layer)
    before = filled_for(standing.layer)
    other = {"filled_for": before} if before != options["order"] else {}
    remember(standing.layer, {name: options[name] for name in ORDER_NAMES} | other)
    drawn = derive(document, standing, plan_of(standing), options, assumptions)
    shown = child_layer(standing.layer, "order")
    if shown is not None:
        # whoever asks for the order wants to see it
        shown.attrib.pop("style", None)
    return drawn


def derive(
    document: Document,
    standing: Standing,
    plan: BorderPlan,
    options: Mapping[str, Any] | None = None,
    assumptions: Assumptions | None = None,
) -> Drawn:
    """Derive the runs of a border again and draw them, in the order given or the one its recipe names."""
    options = options or read_way(standing.layer)
    leaves = leave_points(plan.border, plan.zigzags, options["leave"]) if options["leave"] else ()
    runs = plan.runs(options["order"], options["travel"])
    remarks = (*not_stitched(runs, standing.loose), *drawn_otherwise(standing, plan, runs, options))
    drawn = Drawn(plan, runs, estimate(runs, plan.border, assumptions or Assumptions(), leaves=len(leaves)), remarks)
    layers = cleared(standing.layer, WAY, Ids(document))
    draw_way(Pen(standing.place), layers, drawn, scale=standing.options["scale"], remarks=remarks, leaves=leaves)
    return drawn


def drawn_otherwise(
    standing: Standing, plan: BorderPlan, runs: Sequence[Run], options: Mapping[str, Any]
) -> Iterator[str]:
    """A sentence where the fills were drawn for another order and would be better drawn again.

    Only those count that a redraw would change: not what she changed by hand, nor what was given a fill of its own.
    """
    stretch = standing.ground.stretch
    if filled_for(standing.layer) == options["order"]:
        return
    if abs(stretch - 1) > SAME_SIZE:
        return  # scaled by hand: drawn again, the fills would have other lines anyway
    names = {one.section.name for one in standing.sections if _is_ours(one, stretch)}
    again = redrawn(plan, names, options["order"]).runs(options["order"], options["travel"])
    if sum(run.extra for run in runs) - sum(run.extra for run in again) < WORTH_SAYING:
        return
    (over, travel), (less, shorter) = _over_and_travel(runs), _over_and_travel(again)
    yield (
        f"The fills were drawn for another order. Drawn again for this one (Draw Border, order {options['order']}), "
        f"{less:,.0f} in would be stitched over instead of {over:,.0f} in, and {shorter:,.0f} in travelled instead of "
        f"{travel:,.0f} in; what was changed by hand stays."
    )


def _is_ours(one: StandingSection, stretch: float) -> bool:
    """Whether a section is filled as the border was drawn; a motif hangs on a drawing that need not be there any more."""
    own = one.group is None or value_of(one.group, "own") != ""
    return bool(one.lines) and not own and one.fill_name not in {MOTIF, NONE} and not is_by_hand(one, stretch)


def _over_and_travel(runs: Sequence[Run]) -> tuple[float, float]:
    return sum(run.over for run in runs), sum(run.travel for run in runs)


def not_stitched(runs: Sequence[Run], loose: Sequence[object]) -> Iterator[str]:
    """Sentences for the notes about lines that no run can reach, and about those that lie in no section."""
    unreached = sum(len(run.unreached) for run in runs)
    if unreached:
        yield f"{_count(unreached)} not stitched: nothing leads there. Please move an end onto another line or a seam."
    if loose:
        yield (
            f"{_count(len(loose))} not stitched: outside all triangles and corner pieces. Please move into one what is to "
            "be stitched."
        )


def _count(lines: int) -> str:
    return "One line is" if lines == 1 else f"{lines} lines are"


if __name__ == "__main__":
    sys.exit(from_editor("order", add_arguments, run))
