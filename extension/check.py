"""Check: look at a border as it stands, and tell what will go wrong at the machine."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

from extension.document import INKSCAPE
from extension.entry import add_document, from_editor
from extension.findings import draw_findings
from extension.ground import chosen_border
from extension.looking import look_at
from extension.options import CHECK_OPTIONS, add_options, read_options
from extension.tool import DONE, FOUND, load, write
from geometry.errors import OptionError
from geometry.findings import inspect
from geometry.inspection.drawn import HAIR
from geometry.inspection.read import Limits
from geometry.inspection.telling import AMOUNTS, inches
from geometry.lengths import decimal, fraction

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator, Mapping, Sequence

    from extension.ground import Ground
    from geometry.findings import Inspection

LARGEST_OPEN = {
    "needled": 8.0, "scrim": 10.0, "traditional": 2.0, "loft": 3.0, "unscrimmed": 4.0, "unbonded": 0.5, "unlabelled": 2.0,
}  # fmt: skip
"""Largest distance between lines, inches, by kind of batting; the batting's own label wins.

Quilt Batting and Machine Quilting Distances, generations-quilt-patterns.com (the first four); Batting,
everythingfabric.com.au (without scrim, 3–4 in); The Filling Between the Sandwich, inastitchquilting.com (unbonded, 1/4–1/2 in);
Does it Really Matter?, bonnysews.com (no label, 1–2 in).
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise check`, and of the dialog."""
    add_document(
        parser,
        "a border, or anything in it (default: every border of the document)",
        output="write the document with a layer of findings",
    )
    parser.add_argument("--json", action="store_true", help="tell the findings as JSON")
    parser.add_argument("--picture", metavar="OUT.svg", help="write a picture of how densely each section is quilted")
    add_options(parser, CHECK_OPTIONS)


def run(arguments: argparse.Namespace) -> int:
    """Look, tell, and write what was asked for; exit code 1 when something was found."""
    inspections, data = _inspected(arguments)
    if arguments.output is not None:
        write(data, arguments.output, arguments.input)
    if arguments.json:
        print(json.dumps(as_json(inspections), ensure_ascii=False, indent=1))
    else:
        for found, ground in inspections:
            if len(inspections) > 1:
                print(f"{ground.layer.get(f'{{{INKSCAPE}}}label') or ground.layer.get('id')}:")
            print("\n".join(as_lines(found, ground)))
    return FOUND if any(found.findings for found, _ in inspections) else DONE


def _inspected(arguments: argparse.Namespace) -> tuple[list[tuple[Inspection, Ground]], bytes]:
    options = read_options(vars(arguments), CHECK_OPTIONS)
    limits = limits_of(options)
    document = load(arguments.input)
    layers = chosen_border(document, arguments.ids)
    if arguments.picture is not None and len(layers) > 1:
        raise OptionError(
            f"A picture is asked for of {len(layers)} borders; it must be of one: please choose that with --id."
        )
    looked = [look_at(document, layer) for layer in layers]
    found = [(inspect(drawn, limits), ground) for drawn, ground in looked]
    for inspection, ground in found:
        draw_findings(document, ground, inspection)
    data = document.to_bytes()
    if arguments.picture is not None:
        from extension.tinted import density_picture  # noqa: PLC0415 - only on request

        write(density_picture(looked[0][0]), arguments.picture, arguments.input)
    return found, data


def limits_of(options: Mapping[str, Any]) -> Limits:
    """The limits asked for; 0 stands for the usual one.

    Raises:
        OptionError: a limit below 0.
    """
    for name in ("binding", "open", "close"):
        if options[name] < 0:
            raise OptionError(f"The {name} is less than 0; it must be 0, for the usual, or more: please give another.")
    widest = options["open"] or LARGEST_OPEN.get(options["batting"], 0.0)
    return Limits(
        options["binding"] or None,
        widest or None,
        options["close"] or None,
        options["over"],
        options["point"],
        options["sharp"],
    )


def as_json(inspections: Sequence[tuple[Inspection, Ground]]) -> dict[str, Any]:
    """Findings and totals; places in inches from the top left corner of the edge's bounding box."""
    findings = []
    totals: dict[str, Any] = {}
    for found, ground in inspections:
        corners = [ground.frame.at(corner) for corner in ground.border.edge]
        left, top = min(c.x for c in corners), min(c.y for c in corners)
        for one in found.findings:
            spot = None if one.at is None else ground.frame.at(one.at)
            findings.append(
                {
                    "kind": one.kind, "section": one.section,
                    "at_in": None if spot is None else [round(spot.x - left, 4), round(spot.y - top, 4)],
                    AMOUNTS.get(one.kind, "amount_in"): round(one.amount, 4), "message": one.message,
                }
            )  # fmt: skip
        for name, value in found.totals._asdict().items():
            totals[name] = value if totals.get(name) is None or value is None else totals[name] + value
    return {"findings": findings, "totals": totals}


def as_lines(found: Inspection, ground: Ground) -> list[str]:
    """The findings in words, or that there are none; what was looked at, and what it was held against."""
    totals, count = found.totals, len(found.findings)
    return [
        "Nothing found." if not count else "One finding:" if count == 1 else f"{count} findings:",
        *(f"{i}. {one.message}" for i, one in enumerate(found.findings, 1)),
        f"Looked at: {totals.sections} sections, {totals.drawn:.0f} in of lines on {totals.area:.0f} square inches.",
        f"Held against: {'; '.join(_held_against(found.limits, ground))}.",
        f"Let off: a line that overshoots, or a point off its line, by no more than a hair, {fraction(HAIR, 64)} in.",
    ]


def _held_against(limits: Limits, ground: Ground) -> Iterator[str]:
    """The limits, in words."""
    if ground.border.kind == "outer":
        room = ground.options["binding"] if limits.binding is None else limits.binding
        yield f"points at least {inches(room)} from the trimmed edge"
    else:
        yield "points on both seams"
    batting = "" if limits.open is None else f", or {inches(limits.open)} where that is more"
    yield f"open areas at most two spacings across{batting}"
    apart = "a fifth of the spacing (of an inch where that is less)" if limits.close is None else inches(limits.close)
    yield f"lines at least {apart} apart"
    yield f"at most {limits.point} lines at a point, each stitched at most {limits.over} times"
    yield f"turns of at least {decimal(limits.sharp, 1)}°"
    yield f"sections quilted within {decimal(limits.uneven, 0)} % of others like them"


def _for_editor(arguments: argparse.Namespace) -> int:
    """Hand back the document with its layer of findings; the window tells nothing."""
    _, data = _inspected(arguments)
    write(data, None)
    return DONE


if __name__ == "__main__":
    sys.exit(from_editor("check", add_arguments, _for_editor))
