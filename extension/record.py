"""What the document remembers: the recipe of a border and a fingerprint of each section's lines."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

from geometry.lengths import INCHES_PER
from geometry.plane import Affine, Line, distance, length_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from extension.request import Job
    from geometry.plan import BorderPlan
    from geometry.sections import Section

VERSION = "1"


def recipe(job: Job, plan: BorderPlan) -> str:
    """The values actually used, lengths in the designer's unit, and what was fitted on each side, as JSON."""
    values: dict[str, Any] = dict(job.options)
    unit = values["unit"]
    for name in ("width", "binding", "repeat", "spacing", "step"):
        values[name] = _in_unit(values[name], unit)
    if job.seam_id:
        values["seam"] = job.seam_id
        values["widths_in"] = [round(width, 9) for width in plan.request.widths]
    if plan.matches:
        values["matched"] = [
            {
                "base": match.base,
                "spacing_in": round(match.spacing, 9),
                "difference_pct": round(match.difference_pct, 3),
            }
            for match in plan.matches
        ]
    values["sides"] = [
        {
            "side": zigzag.side.name,
            "length_in": zigzag.fit.ask.length,
            "count": zigzag.fit.count,
            "repeat_in": zigzag.fit.repeat_in,
            "angle_deg": zigzag.fit.angle_deg,
            "difference_pct": zigzag.fit.difference_pct,
            "fit": zigzag.fit.fit,
            "eased": {
                "each": zigzag.fit.each,
                "repeat_in": zigzag.fit.eased_in,
                "difference_pct": zigzag.fit.eased_pct,
            },
        }
        for zigzag in plan.zigzags
    ]
    return json.dumps(values, ensure_ascii=False)


def _in_unit(inches: float, unit: str) -> float:
    return round(inches / INCHES_PER[unit], 9)


def fingerprint(lines: Sequence[Line], section: Section) -> str:
    """A short text that changes when a line of the section is changed by hand.

    Nodes are measured in inches from the section's own corner and base, so that moving, turning or scaling
    the whole border is no change. It holds the numbers of lines and nodes, the length, and two sums of the
    nodes with weights of their own, to a thousandth of an inch; whoever compares allows for rounding.
    """
    left, right = section.left, section.right
    ahead = right.minus(left).times(1 / distance(left, right))
    own = Affine(ahead.x, ahead.y, -ahead.y, ahead.x, left.x, left.y).inverse()
    nodes = [own.at(point) for line in lines for point in line]
    weights = [0.5 + math.modf((number + 1) * 0.6180339887498949)[0] for number in range(len(nodes))]
    sums = (
        sum(weight * node.x for weight, node in zip(weights, nodes, strict=True)),
        sum(weight * node.y for weight, node in zip(weights, nodes, strict=True)),
    )
    length = sum(length_of(line) for line in lines)
    return " ".join([str(len(lines)), str(len(nodes)), *(f"{value:.3f}" for value in (length, *sums))])
