"""How a tool is started: the arguments all share, and the way the editor calls it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from extension.options import PlainParser
from extension.tool import guarded

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable


def add_document(
    parser: argparse.ArgumentParser,
    ids: str,
    *,
    id_name: str = "ID",
    output: str = "where to write (default: standard output)",
    output_name: str = "OUT.svg",
) -> None:
    """The document, what is meant in it, and where the result goes; `ids` and `output` are the words of the help."""
    parser.add_argument("input", metavar="IN.svg", help="the document")
    parser.add_argument("--id", action="append", default=[], dest="ids", metavar=id_name, help=ids)
    parser.add_argument("-o", "--output", metavar=output_name, help=output)


def from_editor(
    tool: str, add_arguments: Callable[[argparse.ArgumentParser], None], work: Callable[[argparse.Namespace], int]
) -> int:
    """Run a tool as the editor calls it; returns the exit code.

    The document is a temporary file, and the result goes to standard output.
    """

    def do() -> int:
        parser = PlainParser(prog=f"cornerwise {tool}", allow_abbrev=False)
        add_arguments(parser)
        parser.add_argument("--tab")  # which tab is open is the dialog's own affair
        parser.add_argument("--selected-nodes", action="append")
        return work(parser.parse_args(sys.argv[1:]))

    return guarded(do)
