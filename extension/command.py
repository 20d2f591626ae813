"""The `cornerwise` command: every tool of the menu as a subcommand."""

from __future__ import annotations

import io
import sys
from typing import TYPE_CHECKING

from extension import booklet_tool, border, check, demo, fill, fit, install, order
from extension.options import PlainParser
from extension.tool import guarded

if TYPE_CHECKING:
    from collections.abc import Sequence

TOOLS = (
    ("demo", demo, "the whole job on a sample quilt, no editor needed"),
    ("border", border, "draw the border of a selected rectangle"),
    ("fill", fill, "give chosen sections another fill"),
    ("order", order, "derive the stitching line again, and show the way"),
    ("check", check, "look at a border as it stands, and tell what will go wrong at the machine"),
    ("booklet", booklet_tool, "a printable pattern of the border in a document"),
    ("fit", fit, "how many triangles fit sides of given lengths"),
    ("install", install, "put the tools in the editor's extensions folder"),
    ("uninstall", install.removal, "take them out again"),
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a subcommand; returns the exit code: 0 done, 1 a check found something, 2 refused."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without ° or × shows something else

    def work() -> int:
        parser = PlainParser(
            prog="cornerwise", description="Quilted borders: triangles, corners, fills, one stitching line.",
            allow_abbrev=False,
        )  # fmt: skip
        tools = parser.add_subparsers(required=True, metavar="TOOL", dest="tool", parser_class=PlainParser)
        for name, module, words in TOOLS:
            tool = tools.add_parser(
                name, help=words, description=f"{words[:1].upper()}{words[1:]}.", allow_abbrev=False
            )
            module.add_arguments(tool)
            tool.set_defaults(run=module.run)
        given = parser.parse_args(arguments)
        code: int = given.run(given)
        return code

    return guarded(work)


if __name__ == "__main__":
    sys.exit(main())
