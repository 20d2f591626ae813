"""Booklet: the border of a document as a printed pattern."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extension.booklet.settings import PARTS, Settings
from extension.entry import add_document, from_editor
from extension.estimate_report import assumptions_from
from extension.options import ESTIMATE_OPTIONS, Option, add_options, read_options
from extension.tool import DONE, load, write
from geometry.errors import OptionError, OutputError
from geometry.sheets import PAPERS

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Mapping, Sequence

    from extension.document import Document
    from geometry.pattern import Pattern

LEVELS = ("confident beginner", "beginner", "intermediate", "advanced")

BOOKLET_OPTIONS: tuple[Option, ...] = (
    Option("title", "text", "", "title of the pattern (default: from the quilt's size)"),
    Option("maker", "text", "", "your name or line, under the title and on the last page"),
    Option("level", "choice", "confident beginner", "skill level", LEVELS),
    Option("notes", "text", "", "notes for the reader, on the first pages"),
    Option("paper", "choice", "letter", "paper; both: what prints on letter and a4 alike", tuple(PAPERS)),
    Option("unit", "choice", "in", "unit of the lengths in the text", ("in", "cm", "mm")),
    Option("ruler", "choice", "8", "marks to the inch of the reader's ruler", ("8", "16")),
    Option("first", "yesno", "true", "the first pages: quilt, sizes, what is needed, cautions"),
    Option("chart", "yesno", "true", "the marking chart"),
    Option("dots", "yesno", "false", "the fill's own dots in the chart too"),
    Option("strip", "yesno", "true", "the marking strip, a paper tape at true size"),
    Option("steps", "yesno", "true", "the steps, figure by figure"),
    Option("templates", "yesno", "true", "true-size templates of one triangle of each kind and each corner"),
    Option("tiled", "yesno", "false", "the whole border at true size over many sheets, with a map"),
    Option("fit", "yesno", "true", "the fit table for other lengths"),
    Option("practice", "yesno", "true", "the practice page"),
    Option("mirror", "yesno", "false", "a left-handed practice page too"),
    Option("questions", "yesno", "true", "the questions page"),
    Option("density", "yesno", "false", "the density picture and the estimate"),
    Option("last", "yesno", "true", "the last page"),
    Option("version", "text", "", "version, for the last page"),
    Option("date", "text", "", "date, for the last page (default: today)"),
    Option("tested", "text", "", "who tested the pattern (default: lines to write on)"),
    Option("corrections", "text", "", "where corrections are told (default: lines to write on)"),
    Option("terms", "text", "", "terms of use (default: lines to write on)"),
    Option("pages", "yesno", "false", "draw the pages into the document instead, to be laid out by hand"),
)  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise booklet`, and of the dialog."""
    add_document(parser, "the edge of the border, where the document has several", output_name="OUT.pdf")
    parser.add_argument("--parts", metavar="NAMES", help=f"only these parts, of {','.join(PARTS)}")
    parser.add_argument("--pictures", metavar="DIR", help="write the figures of the steps there, as PNG and SVG")
    add_options(parser, [option for option in BOOKLET_OPTIONS if option.name != "pages"])
    parser.add_argument(
        "--pages", nargs="?", const="true", default="false", metavar="{true,false}",
        help="draw the pages into the document instead, to be laid out by hand (default false)",
    )  # fmt: skip
    add_options(parser, ESTIMATE_OPTIONS)


def run(arguments: argparse.Namespace) -> int:
    """Read, compose, write."""
    options = read_options(vars(arguments), BOOKLET_OPTIONS)
    _check_name(arguments.output, pages=options["pages"])
    document = load(arguments.input)
    pattern, findings = _read(document, arguments.ids)
    settings = settings_from(options, vars(arguments), pattern, findings)
    said = _progress() if arguments.output is not None else _silent
    if arguments.pictures is not None:
        write_pictures(pattern, settings, Path(arguments.pictures))
        if arguments.output is None:
            return DONE
    write(_made(document, pattern, settings, said, pages=options["pages"]), arguments.output, arguments.input)
    said("")
    return DONE


def _read(document: Document, ids: Sequence[str]) -> tuple[Pattern, list[str]]:
    """The border of the document, and what an inspection finds in it, in sentences."""
    from extension.booklet.source import read_source  # noqa: PLC0415 - the other tools must not wait for it
    from extension.looking import look_at  # noqa: PLC0415 - as above
    from geometry.findings import inspect  # noqa: PLC0415 - as above

    source = read_source(document, ids)
    drawn, _ = look_at(document, source.standing.layer)
    return source.pattern, [found.message for found in inspect(drawn).findings]


def _made(
    document: Document, pattern: Pattern, settings: Settings, said: Callable[[str], None], *, pages: bool
) -> bytes:
    """The booklet, or the document with its pages."""
    if pages:
        from extension.booklet.pages import draw_pages  # noqa: PLC0415 - only where it is asked for

        draw_pages(document, pattern, settings, said)
        return document.to_bytes()
    from extension.booklet.compose import booklet  # noqa: PLC0415 - as above

    return booklet(pattern, settings, said)


def settings_from(
    options: Mapping[str, Any], given: Mapping[str, Any], pattern: Pattern, findings: Sequence[str] = ()
) -> Settings:
    """The booklet that was asked for; `findings` of an inspection are told on its first page.

    Raises:
        OptionError: no such part, or none at all.
    """
    from extension.booklet.measure import Measure  # noqa: PLC0415 - beside its only use

    parts = frozenset(name for name in PARTS if options[name])
    if given.get("parts"):
        parts = _named_parts(str(given["parts"]))
    if not parts:
        raise OptionError("No part of the booklet is chosen; there must be at least one: please choose some.")
    measure = Measure(options["unit"], int(options["ruler"]))
    title, maker = (" ".join(options[name].split()) for name in ("title", "maker"))
    title = title or f"A quilted border, {measure.size(pattern.wide, pattern.tall)}"
    return Settings(
        title, maker, options["level"], options["notes"], PAPERS[options["paper"]], measure, parts,
        dots=options["dots"], mirror=options["mirror"], version=options["version"],
        date=options["date"] or _today(), tested=options["tested"], corrections=options["corrections"],
        terms=options["terms"], assumptions=assumptions_from(given), findings=tuple(findings),
    )  # fmt: skip


def _named_parts(text: str) -> frozenset[str]:
    names = [name.strip() for name in text.split(",") if name.strip()]
    for name in names:
        if name not in PARTS:
            raise OptionError(
                f"There is no part “{name[:40]}” of the booklet; the parts are {', '.join(PARTS)}: please choose some of them."
            )
    return frozenset(names)


def _today() -> str:
    today = date.today()  # noqa: DTZ011 - the day on the designer's own calendar
    return f"{today.day} {today:%B %Y}"


def _check_name(output: str | None, *, pages: bool) -> None:
    """Refuse a name that says it is something else: a drawing must not be replaced by a booklet."""
    suffix = Path(output).suffix.lower() if output else ""
    if not pages and suffix in {".svg", ".svgz", ".inx"}:
        raise OutputError(
            f"The output “{output}” is named like a drawing, and a booklet is a PDF; its name must end in .pdf: "
            "please give another name."
        )
    if pages and suffix == ".pdf":
        raise OutputError(
            f"The output “{output}” is named like a PDF, and the pages go into the document; its name must end in .svg: "
            "please give another name."
        )


def write_pictures(pattern: Pattern, settings: Settings, folder: Path) -> None:
    """Write each figure of the steps as PNG and SVG.

    Raises:
        OutputError: the folder cannot be made, or a file not written.
    """
    from extension.booklet.steps import steps  # noqa: PLC0415 - only where it is asked for
    from extension.typeset import picture_png  # noqa: PLC0415 - as above

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"The folder “{folder}” cannot be made ({(error.strerror or str(error)).lower()}); it must be a place of "
            "yours: please choose another."
        ) from None
    for number, step in enumerate(steps(pattern, settings.measure, settings.text_wide), 1):
        name = folder / f"step-{number:02}"
        write(step.picture.svg(words=True).encode(), f"{name}.svg")
        write(picture_png(step.picture, PICTURE_DPI), f"{name}.png")


PICTURE_DPI = 240
"""Dots per inch of the single pictures: sharp on a slide."""


def _progress() -> Callable[[str], None]:
    """Tell a person at a terminal what is being made, on one line that goes away again."""
    if not sys.stderr.isatty():
        return _silent

    def say(words: str) -> None:
        sys.stderr.write(f"\r\x1b[K{words and f'Making {words} …'}")
        sys.stderr.flush()

    return say


def _silent(_: str) -> None:
    """Say nothing."""


def _for_editor(given: argparse.Namespace) -> int:
    """The booklet goes to the file named in the dialog, the document to standard output."""
    options = read_options(vars(given), BOOKLET_OPTIONS)
    place = (given.output or "").strip()
    if not place and not options["pages"]:
        raise OptionError(
            "No place for the booklet is given; it must be a file such as pattern.pdf: please choose one in the window."
        )
    document = load(given.input)
    pattern, findings = _read(document, given.ids)
    settings = settings_from(options, vars(given), pattern, findings)
    if place:
        name = place if Path(place).suffix else f"{place}.pdf"
        _check_name(name, pages=False)
        write(_made(document, pattern, settings, _silent, pages=False), name, given.input)
    if options["pages"]:
        _made(document, pattern, settings, _silent, pages=True)
    write(document.to_bytes(), None)
    return DONE


if __name__ == "__main__":
    sys.exit(from_editor("booklet", add_arguments, _for_editor))
