"""The arithmetic alone: which counts come near, and which go together."""

from __future__ import annotations

import itertools
import json
from typing import TYPE_CHECKING, Any

from extension.options import Option, read_options
from extension.tool import DONE, write
from geometry.errors import CountError, LengthError, OptionError
from geometry.fitting import Ask, Candidate, Number, Pair, apart, candidates, check_typed, pairs, repeat_of
from geometry.lengths import decimal, fraction, parse_length
from geometry.together import best_choices, kind_of, kinds_of
from geometry.true_width import TrueWidth, Widening, true_width

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable, Sequence

FIT_OPTIONS: tuple[Option, ...] = (
    Option("unit", "choice", "in", "unit of the lengths", ("in", "cm", "mm")),
    Option("height", "length", "3.625", "border seam to stop line"),
    Option("number", "choice", "any", "allowed numbers of triangles", ("any", "even", "odd")),
)

PAIRS_SHOWN = 8
MOST_SIDES = 12


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise fit`."""
    parser.add_argument("--sides", required=True, metavar="LENGTHS", help="sides to fit, such as 75,39")
    size = parser.add_mutually_exclusive_group()
    size.add_argument("--repeat", metavar="LENGTH", help="repeat asked for")
    size.add_argument("--angle", metavar="DEGREES", help="angle between a diagonal and the seam (default 45)")
    size.add_argument("--count", metavar="WHOLE", help="the same number of triangles on each side")
    parser.add_argument("--json", action="store_true", help="print JSON instead of tables")
    parser.add_argument("--picture", metavar="OUT.svg", help="write a picture of the best five, to look at")
    for option in FIT_OPTIONS:
        parser.add_argument(
            f"--{option.name}", default=option.default, help=f"{option.words} (default {option.default})"
        )


def run(arguments: argparse.Namespace) -> int:
    """Print the candidates of each side and the pairs of sides."""
    options = read_options(vars(arguments), FIT_OPTIONS)
    lengths = _sides(arguments.sides, options["unit"])
    if options["height"] <= 0:
        raise LengthError(
            f"The height is {decimal(options['height'])} in; it must be more than 0: please give the border's width "
            "less the room for the binding."
        )
    asks = [Ask(length, options["height"], _asked(arguments, options, length)) for length in lengths]
    if arguments.count is not None:
        count = _whole(arguments.count)
        check_typed(count, options["number"], side="each side")
        found = [tuple(c for c in candidates(ask) if c.count == count) for ask in asks]
    else:
        found = [candidates(ask, options["number"]) for ask in asks]
    both = _pairs(asks, found, options["number"], typed=arguments.count is not None)
    together = _together(asks, found, both, options["number"])
    width = _width(arguments, asks, options["number"])
    if arguments.picture is not None:
        from extension.fit_picture import SHOWN, Strip, strip_picture  # noqa: PLC0415 - only on request

        strips = [Strip(asks, counts) for counts in together[:SHOWN]]
        if not strips:
            raise CountError(
                "No numbers of triangles come within 25 % of the asked size on all sides, so there is nothing to draw; one "
                "must: please ask for another size."
            )
        write(strip_picture(strips, [] if width is None else [_width_words(width, asks)]), arguments.picture)
    print(_json(asks, found, both, width) if arguments.json else _table(asks, found, both, together, width))
    return DONE


def _sides(text: str, unit: str) -> list[float]:
    lengths = [parse_length(part, unit, name="side") for part in text.split(",")]
    if len(lengths) > MOST_SIDES:
        raise OptionError(f"{len(lengths)} sides are given; it must be at most {MOST_SIDES}: please give fewer.")
    for length in lengths:
        if length <= 0:
            raise LengthError(f"A side is {decimal(length)} in long; it must be more than 0: please check --sides.")
    return lengths


def _asked(arguments: argparse.Namespace, options: dict[str, Any], length: float) -> float:
    if arguments.count is not None:
        return length / max(1, _whole(arguments.count))
    if arguments.repeat is not None:
        repeat = parse_length(arguments.repeat, options["unit"], name="repeat")
        if repeat <= 0:
            raise LengthError(f"The repeat is {decimal(repeat)} in; it must be more than 0: please give one such as 6.")
        return repeat
    angle = arguments.angle if arguments.angle is not None else "45"
    try:
        return repeat_of(float(angle), options["height"])
    except ValueError as error:
        if isinstance(error, OptionError) or not str(error).startswith("could not"):
            raise
        raise OptionError(
            f"The angle is given as “{angle[:40]}”; it must be a number such as 45: please choose another."
        ) from None


def _whole(text: str) -> int:
    if not text.strip().isdecimal() or len(text) > 9:  # noqa: PLR2004 - longer is no count of triangles
        raise OptionError(
            f"The count is given as “{text[:40]}”; it must be a whole number such as 12: please choose another."
        )
    return int(text)


def _pairs(
    asks: Sequence[Ask], found: Sequence[Sequence[Candidate]], number: Number, *, typed: bool
) -> list[tuple[Ask, Ask, Sequence[Pair]]]:
    """For two sides both together; for more, each two different ones that adjoin."""
    both: list[tuple[Ask, Ask, Sequence[Pair]]] = []
    for i, (one, other) in enumerate(itertools.pairwise(asks)):
        if len(asks) > 2 and (one.length == other.length or any(one in p and other in p for p in both)):  # noqa: PLR2004
            continue
        if typed:
            repeats = (found[i][0].repeat_in, found[i + 1][0].repeat_in)
            listed: Sequence[Pair] = (Pair((found[i][0].count, found[i + 1][0].count), repeats, apart(repeats)),)
        else:
            listed = pairs(one, other, number)
        both.append((one, other, listed))
    return both


def _together(
    asks: Sequence[Ask],
    found: Sequence[Sequence[Candidate]],
    both: Sequence[tuple[Ask, Ask, Sequence[Pair]]],
    number: Number,
) -> list[tuple[float, ...]]:
    """Counts of all sides, best first: candidates of one side, pairs of two, choices together of more."""
    if len(asks) == 1:
        return [(c.count,) for c in found[0]]
    if len(asks) == 2:  # noqa: PLR2004
        return [pair.counts for pair in both[0][2]]
    if all(len(counts) == 1 for counts in found):
        return [tuple(counts[0].count for counts in found)]
    kinds = kinds_of(asks)
    return [
        tuple(choice.counts[kinds.index(kind_of(ask, kinds))] for ask in asks) for choice in best_choices(kinds, number)
    ]


def _width(arguments: argparse.Namespace, asks: Sequence[Ask], number: Number) -> TrueWidth | None:
    """The change of width that makes the asked angle fit; each side loses at both ends what the border gains."""
    if arguments.repeat is not None or arguments.count is not None:
        return None
    kinds = [Widening(ask.length, ask.height) for ask in asks]
    return true_width(kinds, float(arguments.angle or 45), asks[0].height, number)


def _width_words(width: TrueWidth, asks: Sequence[Ask]) -> str:
    exact = asks[0].height + width.more_in
    told = asks[0].height + width.told_in
    precise = "" if abs(exact - told) < 1e-6 else f" (exactly {decimal(exact)})"  # noqa: PLR2004 - inches
    more = f"{fraction(abs(width.told_in))} in {'wider' if width.told_in > 0 else 'narrower'}"
    counts = ", ".join(map(str, dict.fromkeys(width.counts)))
    return f"With the border {more}, so {fraction(told)} in high{precise}, the angle fits exactly: {counts} triangles."


def _json(
    asks: Sequence[Ask],
    found: Sequence[Sequence[Candidate]],
    both: Sequence[tuple[Ask, Ask, Sequence[Pair]]],
    width: TrueWidth | None,
) -> str:
    many = len(asks) > 2  # noqa: PLR2004
    return json.dumps(
        {
            "sides": [
                {
                    "length_in": ask.length,
                    "candidates": [
                        {
                            "count": c.count,
                            "repeat_in": c.repeat_in,
                            "angle_deg": c.angle_deg,
                            "difference_pct": c.difference_pct,
                        }
                        for c in counts
                    ],
                }
                for ask, counts in zip(asks, found, strict=True)
            ],
            "pairs": [
                {
                    "counts": list(pair.counts),
                    "repeats_in": list(pair.repeats_in),
                    "apart_pct": pair.apart_pct,
                    **({"lengths_in": [one.length, other.length]} if many else {}),
                }
                for one, other, listed in both
                for pair in listed
            ],
            **(
                {}
                if width is None
                else {
                    "width": {
                        "wider_in": round(width.told_in, 9),
                        "height_in": asks[0].height + width.told_in,
                        "exact_height_in": asks[0].height + width.more_in,
                        "counts": list(width.counts),
                    }
                }
            ),
        },
        indent=2,
    )


def _table(
    asks: Sequence[Ask],
    found: Sequence[Sequence[Candidate]],
    both: Sequence[tuple[Ask, Ask, Sequence[Pair]]],
    together: Sequence[tuple[float, ...]],
    width: TrueWidth | None,
) -> str:
    lines: list[str] = []
    for ask, counts in zip(asks, found, strict=True):
        lines += [f"Side of {_both(ask.length)}, asked repeat {_both(ask.repeat)}", ""]
        rows = [
            (
                str(c.count),
                fraction(c.repeat_in),
                f"{c.repeat_in:.3f}",
                f"{c.angle_deg:.1f}°",
                f"{c.difference_pct:+.1f} %",
            )
            for c in counts
        ]
        lines += [*columns(("count", "repeat", "in", "angle", "difference"), rows), ""]
    for one, other, listed in both:
        lines += [f"{fraction(one.length)} in and {fraction(other.length)} in together", ""]
        rows = [
            (
                str(p.counts[0]),
                str(p.counts[1]),
                fraction(p.repeats_in[0]),
                fraction(p.repeats_in[1]),
                f"{p.apart_pct:.1f} %",
            )
            for p in listed[:PAIRS_SHOWN]
        ]
        if rows:
            lines += [*columns(("count", "count", "repeat", "repeat", "apart"), rows), ""]
        else:
            lines += ["  no counts within 25 % of the asked repeat", ""]
    if len(asks) > 2:  # noqa: PLR2004
        lines += ["All sides together", ""]
        heads = (*[fraction(ask.length) for ask in asks], "apart")
        choices = [(*map(str, counts), f"{_apart(asks, counts):.1f} %") for counts in together[:PAIRS_SHOWN]]
        lines += [*columns(heads, choices), ""]
    if width is not None:
        lines.append(_width_words(width, asks))
    return "\n".join(lines).rstrip()


def _apart(asks: Sequence[Ask], counts: Sequence[float]) -> float:
    return apart([ask.length / count for ask, count in zip(asks, counts, strict=True)])


def _both(inches: float) -> str:
    return f"{fraction(inches)} in ({decimal(inches)})"


def columns(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A plain table, every column set to the right."""
    table = [tuple(heads), *(tuple(row) for row in rows)]
    widths = [max(len(cell) for cell in column) for column in zip(*table, strict=True)]
    return ["  " + "   ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in table]
