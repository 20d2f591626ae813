"""The estimate in words and as JSON, every assumption beside the figure that rests on it."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

from extension.options import ESTIMATE_OPTIONS, add_options, read_options
from extension.tool import write
from geometry.errors import OutputError
from geometry.estimate import Assumptions
from geometry.lengths import decimal

if TYPE_CHECKING:
    import argparse
    from collections.abc import Mapping, Sequence

    from geometry.estimate import Estimate, Stitched

KNOWN_DIGITS = 3
"""Figures of a number that is estimated; more would claim too much."""

HOURS_FROM = 120
"""Minutes from which hours are told."""


def add_arguments(parser: argparse.ArgumentParser, *, fields: bool) -> None:
    """The arguments of a tool that estimates; `fields`: with the assumptions as options."""
    parser.add_argument(
        "--estimate", metavar="FILE.json", help="write the estimate of stitching, thread and time there"
    )
    if fields:
        add_options(parser, ESTIMATE_OPTIONS)


def assumptions_from(given: Mapping[str, Any]) -> Assumptions:
    """The assumptions of the command line or dialog; 0 says that her bobbin or her speed is not given.

    Raises:
        OptionError: one cannot be used.
    """
    options = read_options(given, ESTIMATE_OPTIONS)
    return Assumptions(
        stitches_per_inch=options["stitches"],
        thickness_in=options["thickness"],
        waste_pct=options["waste"],
        bobbin_yd=options["bobbin"] or None,
        stitches_per_minute=options["speed"] or None,
    )


def as_lines(estimate: Estimate) -> list[str]:
    """The estimate in four sentences, whole inches and yards; what was not given is not told."""
    return [_lengths(estimate), _places(estimate), _stitches(estimate), _thread(estimate)]


def _lengths(estimate: Estimate) -> str:
    total, runs = estimate.total, estimate.runs
    new, over, travel = _whole((total.new, total.over, total.travel))
    ends = "1 start, 1 stop" if estimate.starts == 1 else f"{estimate.starts} starts, {estimate.starts} stops"
    return (
        f"Estimate: {new + over + travel:,} in of stitching in {runs} {'run' if runs == 1 else 'runs'} ({ends}): "
        f"{new:,} in of new lines, {over:,} in stitched over, {travel:,} in travelled along seams."
    )


def _places(estimate: Estimate) -> str:
    # not made to add up: opposite sides that are alike should read alike
    places = ", ".join(f"{side.name} {side.length:,.0f} in" for side in estimate.sides)
    density = f"{decimal(estimate.density, 2)} in of line to the square inch, border seam to stop line."
    return f"{places[:1].upper()}{places[1:]}; {density}"


def _stitches(estimate: Estimate) -> str:
    given = estimate.assumptions
    count = f"About {_rounded(estimate.stitches)} stitches, at {given.stitches_per_inch:g} to the inch"
    if estimate.minutes is None:
        return f"{count}."
    return f"{count}; {_time(estimate.minutes)} at {given.stitches_per_minute:g} stitches a minute, pauses not counted."


def _thread(estimate: Estimate) -> str:
    given = estimate.assumptions
    yards = f"{_rounded(estimate.needle_yd)} yd on the needle and as much on bobbins"
    if estimate.bobbins is not None:
        yards += f" ({estimate.bobbins:,} of {given.bobbin_yd:g} yd)"
    return (
        f"Thread: about {yards}, at 2 + 2 × {given.thickness_in:g} in thick × {given.stitches_per_inch:g} stitches = "
        f"{decimal(given.thread_per_inch, 2)} in to an inch of seam and {given.waste_pct:g} % waste."
    )


def _whole(parts: Sequence[float]) -> list[int]:
    """Each part in whole inches, so that they add up to the whole inches of their sum."""
    floors = [math.floor(part) for part in parts]
    short = round(sum(parts)) - sum(floors)
    nearest_up = sorted(range(len(parts)), key=lambda i: floors[i] - parts[i])
    return [floor + (i in nearest_up[:short]) for i, floor in enumerate(floors)]


def _rounded(number: float) -> str:
    """A number to three figures, never with decimals."""
    if number <= 0:
        return "0"
    places = KNOWN_DIGITS - 1 - math.floor(math.log10(number))
    return f"{round(number, min(0, places)):,.0f}"


def _time(minutes: float) -> str:
    whole = max(1, round(minutes))
    if whole < HOURS_FROM:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours:,} h {rest} min" if rest else f"{hours:,} h"


def as_json(estimate: Estimate) -> str:
    """The estimate unrounded; what was not given by the user, and what needs it, is null."""
    given = estimate.assumptions
    values = {
        "estimate": {
            "length": {**_inches(estimate.total), "sides": {side.name: _inches(side) for side in estimate.sides}},
            "density": {"inches_per_square_inch": estimate.density, "area_sq_in": estimate.area},
            "starts": {"starts": estimate.starts, "stops": estimate.starts, "runs": estimate.runs, "leaves": estimate.leaves},
            "stitches": {"stitches": estimate.stitches, "assumed": {"stitches_per_inch": given.stitches_per_inch}},
            "thread": {
                "needle_yd": estimate.needle_yd,
                "bobbin_yd": estimate.bobbin_yd,
                "assumed": {
                    "formula": "C = 2 + 2*T*S",
                    "C_thread_in_per_inch": given.thread_per_inch,
                    "T_thickness_in": given.thickness_in,
                    "S_stitches_per_inch": given.stitches_per_inch,
                    "waste_pct": given.waste_pct,
                },
            },
            "bobbins": {"bobbins": estimate.bobbins, "assumed": {"bobbin_holds_yd": given.bobbin_yd}},
            "time": {"minutes": estimate.minutes, "assumed": {"stitches_per_minute": given.stitches_per_minute}},
        }
    }  # fmt: skip
    return json.dumps(values, indent=2, ensure_ascii=False) + "\n"


def write_json(estimate: Estimate, path: str | None, *others: str | None) -> None:
    """Write the JSON whole to a file, unless `path` is None; `others` are files the same run reads or writes.

    Raises:
        OutputError: it is one of the others, or cannot be written.
    """
    if path is None:
        return
    if any(other is not None and _same_file(path, other) for other in others):
        raise OutputError(
            f"The estimate is to be written to “{path}”, which is a document of this job; it must be a file of its own: "
            "please give a different name."
        )
    write(as_json(estimate).encode(), path)


def _same_file(one: str, other: str) -> bool:
    from pathlib import Path  # noqa: PLC0415 - few write it to a file

    try:
        return Path(one).resolve() == Path(other).resolve() or Path(one).samefile(other)
    except (OSError, ValueError):
        return False


def _inches(stitched: Stitched) -> dict[str, float]:
    return {
        "length_in": stitched.length,
        "new_in": stitched.new,
        "over_in": stitched.over,
        "travel_in": stitched.travel,
    }
