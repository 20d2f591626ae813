"""Order: derive the stitching line again from the border as it stands, and show the way."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension import estimate_report
from extension.entry import add_document, from_editor
from extension.ground import chosen_border
from extension.layers import Ids, child_layer, cleared
from extension.options import ORDER_OPTIONS, add_options, read_options
from extension.pen import Pen
from extension.reading import read_border
from extension.record import ORDER_NAMES, read_way, remember
from extension.restitch import plan_of
from extension.tool import DONE, load, write
from extension.way import WAY, Drawn, draw_way
from geometry.estimate import Assumptions, estimate
from geometry.leaving import leave_points

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator, Mapping, Sequence
    from typing import Any

    from extension.document import Document
    from extension.reading import Standing
    from geometry.needle import Run
    from geometry.plan import BorderPlan


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
    return DONE


def order_border(
    document: Document, standing: Standing, options: Mapping[str, Any], assumptions: Assumptions | None = None
) -> Drawn:
    """Derive the runs of one border again in another order, and show numbers, arrows and leave-and-return points.

    Raises:
        QuiltError: the points asked for cannot be had.
    """
    remember(standing.layer, {name: options[name] for name in ORDER_NAMES})
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
    drawn = Drawn(plan, runs, estimate(runs, plan.border, assumptions or Assumptions(), leaves=len(leaves)))
    layers = cleared(standing.layer, WAY, Ids(document))
    remarks = list(not_stitched(runs, standing.loose))
    draw_way(Pen(standing.place), layers, drawn, scale=standing.options["scale"], remarks=remarks, leaves=leaves)
    return drawn


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
