"""The options of the border, once: the command line is built from this table, and a test holds the dialog to it."""

from __future__ import annotations

import argparse
import math
import unicodedata
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from geometry.errors import OptionError
from geometry.fills.catalogue import CATALOGUE, MOTIF, NONE, SAME
from geometry.lengths import parse_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

FILLS = (*CATALOGUE, MOTIF, NONE)

LONGEST_WORDS = 4000
"""Letters of a title, or of notes; more is a whole book."""

LONGEST_LIST = 20_000
"""Letters of a typed list; twelve sides with a hundred marks each take half of that."""


class Option(NamedTuple):
    """One option: its name, what kind of value it takes, its default and what it is for."""

    name: str
    kind: str  # length, lengths, number, whole, choice, yesno, text
    default: str
    words: str
    choices: tuple[str, ...] = ()
    least: float = -math.inf
    most: float = math.inf


BORDER_OPTIONS: tuple[Option, ...] = (
    Option("unit", "choice", "in", "unit of the lengths below", ("in", "cm", "mm")),
    Option("scale", "number", "1", "how many times smaller than the quilt the drawing is", least=1, most=100),
    Option("width", "lengths", "4", "border width, seam to trimmed edge, or one for each side clockwise from the top: 6, 5, 6, 5; not used when an inner shape is selected too"),
    Option("sides", "text", "", "sides that have a border: top, right, bottom, left, or their numbers; none: all"),
    Option("measured", "text", "", "sides as measured, top, right, bottom, left: 60 1/4, 72, 60, 71 3/4; the edge is then the outline of these lengths"),
    Option("kind", "choice", "outer", "outer: a binding will cover the edge; inner: touch both seams", ("outer", "inner")),
    Option("binding", "length", "0.375", "room for the binding: points keep at least this far from the trimmed edge"),
    Option("tiers", "whole", "1", "bands of zigzags one above the other, sharing their points", least=1, most=3),
    Option("shrink", "number", "0", "percent by which quilting draws the quilt in; the notes give the sizes after it", least=0, most=20),
    Option("size", "choice", "angle", "how the size of the triangles is asked for", ("angle", "repeat", "count")),
    Option("angle", "number", "45", "degrees between a diagonal and the seam", least=1, most=89),
    Option("repeat", "length", "6", "repeat asked for"),
    Option("across", "whole", "6", "triangles on top and bottom", least=1, most=500),
    Option("down", "whole", "8", "triangles on left and right", least=1, most=500),
    Option("together", "yesno", "true", "choose the counts of all sides together"),
    Option("fit", "choice", "even", "even: all of a side alike; ease: the last few before a corner take the difference; marks: on the best of given marks", ("even", "ease", "marks")),
    Option("last", "whole", "3", "how many before each corner take the difference", least=1, most=50),
    Option("number", "choice", "any", "allowed numbers of triangles on the border seam", ("any", "even", "odd")),
    Option("marks", "text", "", "marks to land on, along the seam from a side's first pivot: 2, 4 1/2, 7; for each side by itself with semicolons between"),
    Option("every", "length", "0", "marks at equal distances instead; 0: none"),
    Option("offset", "length", "0", "where the first of those lies"),
    Option("points", "text", "", "the same as marks for the points on the stop line; none: midway between dots"),
    Option("corner", "choice", "mitred", "how the corner is turned", ("mitred", "large", "square")),
    Option("fill", "choice", "diamonds", "fill of the triangles on the border seam", FILLS),
    Option("outerfill", "choice", SAME, "fill of the triangles on the stop line", (SAME, *FILLS)),
    Option("cornerfill", "choice", SAME, "fill of the corners", (SAME, *FILLS)),
    Option("spacing", "length", "1", "distance between lines of a fill"),
    Option("seed", "whole", "1", "free-motion fills: the same seed gives the same lines", least=1, most=9999),
    Option("motif", "text", "", "id of a drawing of your own, for the fill motif"),
    Option("match", "yesno", "false", "other fills take the spacing that gives them the first one's stitched inches per square inch"),
    Option("echo", "whole", "0", "lines set in from the diagonals before the fill starts", least=0, most=6),
    Option("step", "length", "0.25", "how far apart those lines are"),
    Option("under", "yesno", "false", "lines that end open on the stop line run on under the binding, and runs may travel there"),
    Option("keep", "yesno", "true", "keep what was changed by hand in the border drawn before"),
    Option("order", "choice", "sections", "section by section; the whole zigzag first; or each fill across and its diagonal back", ("sections", "zigzag", "across")),
)  # fmt: skip

ESTIMATE_OPTIONS: tuple[Option, ...] = (
    Option("stitches", "number", "10", "stitches to the inch", least=1, most=50),
    Option("thickness", "number", "0.025", "thickness of the quilt under the foot, in inches", least=0, most=2),
    Option("waste", "number", "15", "percent of thread lost as tails and tangles", least=0, most=100),
    Option("bobbin", "number", "0", "yards of thread your bobbin holds; 0: not given", least=0, most=10_000),
    Option("speed", "number", "0", "stitches a minute you stitch; 0: not given", least=0, most=10_000),
)
"""What an estimate rests on; shared by every tool that gives one."""


ORDER_OPTIONS: tuple[Option, ...] = (
    BORDER_OPTIONS[0],
    BORDER_OPTIONS[-1],
    Option("leave", "length", "0", "a leave-and-return point every so many inches down the sides; 0: none"),
    Option("travel", "number", "0.5", "weight of an inch travelled along a seam against an inch stitched over", least=0.05, most=1),
)  # fmt: skip


FILL_OPTIONS: tuple[Option, ...] = (
    BORDER_OPTIONS[0],
    Option("fill", "choice", "diamonds", "the fill to give them", FILLS),
    Option("spacing", "length", "", "distance between lines; left out: as the border was drawn"),
    Option("seed", "whole", "1", "free-motion fills: the same seed gives the same lines", least=1, most=9999),
    Option("motif", "text", "", "id of a drawing of your own, for the fill motif"),
)


BATTINGS = ("none", "needled", "scrim", "traditional", "loft", "unscrimmed", "unbonded", "unlabelled")

CHECK_OPTIONS: tuple[Option, ...] = (
    BORDER_OPTIONS[0],
    Option("binding", "length", "0", "room for the binding; 0: as the border was drawn"),
    Option("batting", "choice", "none", "kind of batting, for the largest open area; its own label wins", BATTINGS),
    Option("open", "length", "0", "largest open area, across; 0: as the batting allows, or two spacings"),
    Option("close", "length", "0", "least distance between lines; 0: a fifth of the spacing, or of an inch where that is less"),
    Option("over", "whole", "3", "most times one line may be stitched", least=1, most=20),
    Option("point", "whole", "6", "most lines that may meet at one point", least=2, most=50),
    Option("sharp", "number", "7", "sharpest turn in degrees", least=0, most=90),
)  # fmt: skip


class PlainParser(argparse.ArgumentParser):
    """A parser whose complaints are one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing the usage.

        Raises:
            OptionError: always.
        """
        message = message.replace("unrecognized arguments", "there is no option").replace(
            "the following arguments are required", "something is missing"
        )
        raise OptionError(f"{message[:1].upper()}{message[1:]}; please see “{self.prog} --help”.")


def add_options(parser: argparse.ArgumentParser, options: Iterable[Option]) -> None:
    """Add a table of options to a parser; values stay text until `read_options`."""
    for option in options:
        hint = "{" + ",".join(option.choices) + "}" if option.choices else option.kind.upper()
        if option.kind == "yesno":
            hint = "{true,false}"
        parser.add_argument(
            f"--{option.name}", default=option.default, metavar=hint,
            help=f"{option.words} (default {option.default or 'none'})",
        )  # fmt: skip


def read_options(given: Mapping[str, Any], options: Sequence[Option]) -> dict[str, Any]:
    """Turn the texts into values; lengths become inches.

    Raises:
        OptionError, LengthError: one sentence about the first that cannot be used.
    """
    unit = str(given.get("unit") or "in")
    return {option.name: _value(option, str(given[option.name]), unit) for option in options}


def _value(option: Option, text: str, unit: str) -> object:
    if option.kind == "choice":
        return _choice(option, text)
    if option.kind == "text":
        return _words(option, text)
    if option.kind == "yesno":
        words = {"true": True, "false": False, "yes": True, "no": False, "1": True, "0": False}
        if text.lower() not in words:
            _refuse(option, text, "true or false")
        return words[text.lower()]
    if option.kind == "lengths":
        return tuple(parse_length(part, unit, name=option.name) for part in text[:LONGEST_WORDS].split(","))
    if option.kind == "length":
        left_away = not text and not option.default
        return None if left_away else parse_length(text, unit, name=option.name)
    return _number(option, text)


def _words(option: Option, text: str) -> str:
    """What was typed, without control letters; lines stay lines, also those of the dialog, which writes their ends out."""
    most = LONGEST_LIST if option.name in {"marks", "points"} else LONGEST_WORDS
    if len(text) > most:
        raise OptionError(
            f"The {option.name} has {len(text):,} letters; it must be at most {most:,}: please shorten it."
        )
    lines = text.replace("\\n", "\n").splitlines()
    return "\n".join("".join(filter(_is_letter, line)).strip() for line in lines).strip()


def _is_letter(char: str) -> bool:
    """Whether a letter may stand in a text: no control letter, no half of one, nothing that Unicode never assigns."""
    return unicodedata.category(char) not in {"Cc", "Cs"} and ord(char) & 0xFFFE != 0xFFFE  # noqa: PLR2004


def _choice(option: Option, text: str) -> str:
    if text not in option.choices:
        _refuse(option, text, f"one of {', '.join(option.choices)}")
    return text


def _number(option: Option, text: str) -> float | int:
    whole = option.kind == "whole"
    limits = f"from {option.least:g} to {option.most:g}"
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not option.least <= value <= option.most or (whole and value != int(value)):
        _refuse(option, text, f"a {'whole ' if whole else ''}number {limits}")
    return int(value) if whole else value


def _refuse(option: Option, text: str, needed: str) -> NoReturn:
    raise OptionError(f"The {option.name} is given as “{text[:40]}”; it must be {needed}: please choose another value.")
