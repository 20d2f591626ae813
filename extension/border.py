"""Draw border: the selected rectangle becomes a quilted border."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension import estimate_report
from extension.drawing import draw
from extension.entry import add_document, from_editor
from extension.ground import drawn_for
from extension.options import BORDER_OPTIONS, add_options, read_options
from extension.request import read_job
from extension.tool import DONE, load, write
from extension.way import Drawn
from geometry.estimate import Assumptions, estimate
from geometry.plan import lay_out

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

    from extension.document import Document


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise border`, and of the dialog."""
    add_document(parser, "the edge; give it twice for edge and border seam")
    add_options(parser, BORDER_OPTIONS)
    estimate_report.add_arguments(parser, fields=False)


def run(arguments: argparse.Namespace) -> int:
    """Read, plan, draw, write."""
    options = read_options(vars(arguments), BORDER_OPTIONS)
    document = load(arguments.input)
    drawn = draw_border(document, arguments.ids, options)
    estimate_report.write_json(drawn.estimate, arguments.estimate, arguments.input, arguments.output)
    write(document.to_bytes(), arguments.output, arguments.input)
    return DONE


def draw_border(
    document: Document, ids: Sequence[str], options: dict[str, object], assumptions: Assumptions | None = None
) -> Drawn:
    """Draw the border of the selected shapes into the document; `assumptions` of the estimate, or the usual ones.

    Raises:
        QuiltError: it cannot be drawn; the document may then not be used.
    """
    job = read_job(document, ids, options)
    plan = lay_out(job.request)
    before = drawn_for(document, job.edge_id)
    carried = None
    if before is not None and options["keep"]:
        from extension.keeping import carry  # noqa: PLC0415 - a first border has nothing to keep

        carried = carry(document, before, plan)
    plan = plan if carried is None else carried.plan
    runs = plan.runs()
    drawn = Drawn(plan, runs, estimate(runs, plan.border, assumptions or Assumptions()))
    draw(document, job, drawn, before, carried)
    return drawn


if __name__ == "__main__":
    sys.exit(from_editor("border", add_arguments, run))
