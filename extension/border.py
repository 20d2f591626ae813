"""Draw border: the selected edge becomes a quilted border; several edges, several borders."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension import estimate_report
from extension.belonging import drawn_for
from extension.drawing import draw
from extension.entry import add_document, from_editor
from extension.layers import onto
from extension.options import BORDER_OPTIONS, add_options, read_options
from extension.request import read_jobs
from extension.tool import DONE, load, write
from extension.way import Drawn
from geometry.errors import OptionError
from geometry.estimate import Assumptions, estimate
from geometry.plan import lay_out

if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

    from extension.document import Document
    from extension.request import Job
    from geometry.plan import BorderPlan


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise border`, and of the dialog."""
    add_document(parser, "the edge; give it again for the border seam, or for the edges of other borders")
    add_options(parser, BORDER_OPTIONS)
    estimate_report.add_arguments(parser, fields=False)


def run(arguments: argparse.Namespace) -> int:
    """Read, plan, draw, write."""
    options = read_options(vars(arguments), BORDER_OPTIONS)
    document = load(arguments.input)
    drawn = draw_borders(document, arguments.ids, options)
    if arguments.estimate is not None and len(drawn) > 1:
        raise OptionError(
            f"An estimate is to be written, and {len(drawn)} borders are drawn at once; it must be one: please select one edge."
        )
    estimate_report.write_json(drawn[0].estimate, arguments.estimate, arguments.input, arguments.output)
    write(document.to_bytes(), arguments.output, arguments.input)
    return DONE


def draw_border(
    document: Document, ids: Sequence[str], options: dict[str, object], assumptions: Assumptions | None = None
) -> Drawn:
    """Draw the border of one edge into the document; `assumptions` of the estimate, or the usual ones.

    Raises:
        QuiltError: it cannot be drawn; the document may then not be used.
    """
    return draw_borders(document, ids, options, assumptions)[0]


def draw_borders(
    document: Document, ids: Sequence[str], options: dict[str, object], assumptions: Assumptions | None = None
) -> tuple[Drawn, ...]:
    """Draw a border for each edge that is selected; those of other edges are left alone.

    Raises:
        QuiltError: one cannot be drawn; the document may then not be used.
    """
    planned = [(job, lay_out(job.request)) for job in read_jobs(document, ids, options)]
    return tuple(_draw(document, job, plan, assumptions or Assumptions()) for job, plan in planned)


def _draw(document: Document, job: Job, plan: BorderPlan, assumptions: Assumptions) -> Drawn:
    before = drawn_for(document, job.edge_id)
    carried = None
    if before is not None and job.options["keep"]:
        from extension.keeping import carry  # noqa: PLC0415 - a first border has nothing to keep

        carried = carry(document, before, plan, onto(before, document).after(job.place))
    plan = plan if carried is None else carried.plan
    runs = plan.runs()
    drawn = Drawn(plan, runs, estimate(runs, plan.border, assumptions))
    draw(document, job, drawn, before, carried)
    return drawn


if __name__ == "__main__":
    sys.exit(from_editor("border", add_arguments, run))
