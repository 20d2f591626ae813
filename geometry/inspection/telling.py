"""Findings, their sentences, and which of them are only what follows from another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple, get_args

from geometry.lengths import RULER, about, decimal

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from geometry.plane import Point

Kind = Literal[
    "misses-pivot", "beyond-stop-line", "off-seam", "outside-section", "broken-line", "no-fill",
    "too-many-at-a-point", "too-sharp", "too-close", "too-open", "uneven",
]  # fmt: skip
"""What can be wrong, causes before what may follow from them."""

KNOT: Kind = "too-many-at-a-point"

AMOUNTS: Mapping[Kind, str] = {"uneven": "amount_pct", "too-sharp": "amount_deg", "too-many-at-a-point": "amount"}
"""What the amount of a finding is called where it is not `amount_in`, inches."""

_MISPLACED = {
    "outside-section": "section", "broken-line": "section", "too-many-at-a-point": "section", "too-close": "section",
    "too-open": "section", "uneven": "section",
}  # fmt: skip
_STRAYED = {
    "broken-line": "section", "too-many-at-a-point": "either", "too-sharp": "section", "too-close": "either",
    "too-open": "section", "uneven": "section",
}  # fmt: skip

HIDES: Mapping[str, Mapping[str, str]] = {
    # a pivot, dot or point out of place: the sections that have it as a corner fit their lines no longer
    "misses-pivot": _MISPLACED,
    "off-seam": _MISPLACED,
    # a line that has strayed leaves a hole, misses what it met, and crowds where it has gone, in other sections too
    "beyond-stop-line": {**_STRAYED, "outside-section": "section"},
    "outside-section": _STRAYED,
    # lines out of reach: how near they lie to others does not matter before they are joined to them
    "broken-line": {"too-close": "line", "uneven": "section"},
    "no-fill": {"uneven": "section"},
    # at a knot lines are close, and the section has more of them
    "too-many-at-a-point": {"too-sharp": "line", "too-close": "line", "uneven": "section"},
    # a line moved towards another leaves an opening behind it
    "too-close": {"too-open": "section", "uneven": "section"},
    "too-open": {"uneven": "section"},
}
"""For each cause what it hides: findings in the same `section`, those of the same `line`, or `either`."""


class Finding(NamedTuple):
    """One fault.

    Attributes:
        kind: which of the faults there are.
        section: the section's name, or the side's for zigzag and corner lines.
        at: the worst point, inches from the edge's top left corner; None for `uneven`.
        amount: inches beyond, off, across or apart; see `AMOUNTS` for the kinds measured otherwise.
        message: one sentence for the quilter.
    """

    kind: Kind
    section: str
    at: Point | None
    amount: float
    message: str


class Evidence(NamedTuple):
    """A finding, the numbers of the sections it concerns and of the lines that make it."""

    finding: Finding
    sections: frozenset[int] = frozenset()
    lines: frozenset[int] = frozenset()


def told(evidence: Iterable[Evidence]) -> tuple[Finding, ...]:
    """The findings that are told: without those that follow from another, causes first."""
    rows = list(evidence)
    order = get_args(Kind)
    knots: set[str] = set()
    found = []
    for row in sorted(rows, key=lambda row: (order.index(row.finding.kind), -_lines_at_a_point(row.finding))):
        if any(_hides(cause, row) for cause in rows):
            continue
        # of the knots in one place the thickest: thinning it thins the others
        if row.finding.kind == KNOT:
            if row.finding.section in knots:
                continue
            knots.add(row.finding.section)
        found.append(row.finding)
    return tuple(found)


def _lines_at_a_point(finding: Finding) -> float:
    return finding.amount if finding.kind == KNOT else 0.0


def _hides(cause: Evidence, row: Evidence) -> bool:
    how = HIDES.get(cause.finding.kind, {}).get(row.finding.kind)
    in_section = bool(cause.sections & row.sections) and how in {"section", "either"}
    return in_section or (bool(cause.lines & row.lines) and how in {"line", "either"})


def inches(amount: float) -> str:
    """An amount as a ruler shows it, or with decimals where it is less than the ruler's finest mark.

    >>> inches(0.25), inches(0.02)
    ('1/4 in', '0.02 in')
    """
    return about(amount) if amount >= 1 / RULER else f"{decimal(amount, 2)} in"


def against(amount: float, limit: float) -> tuple[str, str]:
    """An amount and the limit it is held against, with decimals where a ruler would show both alike.

    >>> against(0.82, 0.8), against(1.25, 1)
    (('0.82 in', '0.8 in'), ('1 1/4 in', '1 in'))
    """
    one, other = inches(amount), inches(limit)
    return (one, other) if one != other else (f"{decimal(amount)} in", f"{decimal(limit)} in")
