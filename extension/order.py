"""Order: derive the stitching line again from the border as it stands, and show the way."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension import estimate_report
from extension.ground import child_of, chosen_border
from extension.layers import Ids, cleared
from extension.options import ORDER_OPTIONS, PlainParser, add_options, read_options
from extension.pen import Pen
from extension.reading import read_border
from extension.record import ORDER_NAMES, read_way, remember
from extension.restitch import plan_of
from extension.tool import DONE, guarded, load, write
from extension.way import WAY, Drawn, draw_way
from geometry.estimate import Assumptions, estimate
from geometry.waymarks import leave_points

if TYPE_CHECKING:
    import argparse
    from collections.abc import Mapping, Sequence
    from typing import Any

    from extension.document import Document
    from extension.reading import Standing
    from geometry.needle import Run
    from geometry.plan import BorderPlan


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise order`, and of the dialog."""
    parser.add_argument("input", metavar="IN.svg", help="the document")
    parser.add_argument(
        "--id", action="append", default=[], dest="ids", metavar="ID",
        help="a border, or anything in it (default: every border of the document)",
    )  # fmt: skip
    parser.add_argument("-o", "--output", metavar="OUT.svg", help="where to write (default: standard output)")
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
    shown = child_of(standing.layer, "order")
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
    draw_way(
        Pen(standing.place), layers, drawn, scale=standing.options["scale"], remarks=unreached(runs), leaves=leaves
    )
    return drawn


def unreached(runs: Sequence[Run]) -> list[str]:
    """A sentence for the notes about lines that no run can reach."""
    count = sum(len(run.unreached) for run in runs)
    if not count:
        return []
    lines = "One line is" if count == 1 else f"{count} lines are"
    return [f"{lines} not stitched: nothing leads there. Please move an end onto another line or a seam."]


def from_editor(arguments: Sequence[str]) -> int:
    """Run as the editor calls it: the document is a temporary file, the result goes to standard output."""

    def work() -> int:
        parser = PlainParser(prog="cornerwise order", allow_abbrev=False)
        add_arguments(parser)
        parser.add_argument("--tab")
        parser.add_argument("--selected-nodes", action="append")
        return run(parser.parse_args(arguments))

    return guarded(work)


if __name__ == "__main__":
    sys.exit(from_editor(sys.argv[1:]))
