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

ONE_OF_A_SECTION: frozenset[Kind] = frozenset({"too-many-at-a-point", "broken-line"})
"""Kinds of which one section may have many."""

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
    """The findings that are told: without those that follow from another, causes first.

    Of knots, and of lines out of reach, the worst of each section: mending it often mends the others.
    """
    rows = list(evidence)
    order = get_args(Kind)
    sections: dict[str, set[int]] = {}
    lines: dict[str, set[int]] = {}
    for row in rows:
        sections.setdefault(row.finding.kind, set()).update(row.sections)
        lines.setdefault(row.finding.kind, set()).update(row.lines)
    found: list[Finding] = []
    worst: set[tuple[str, str]] = set()
    for row in sorted(rows, key=lambda row: (order.index(row.finding.kind), -_badness(row.finding))):
        kind, place = row.finding.kind, row.finding.section
        if (kind, place) in worst or any(_hides(cause, row, sections[cause], lines[cause]) for cause in sections):
            continue
        if kind in ONE_OF_A_SECTION:
            worst.add((kind, place))
        found.append(row.finding)
    return tuple(found)


def _badness(finding: Finding) -> float:
    return finding.amount if finding.kind in ONE_OF_A_SECTION else 0.0


def _hides(cause: str, row: Evidence, sections: set[int], lines: set[int]) -> bool:
    """Whether faults of one kind, in these sections and lines, hide a row."""
    how = HIDES.get(cause, {}).get(row.finding.kind)
    in_section = how in {"section", "either"} and not sections.isdisjoint(row.sections)
    return in_section or (how in {"line", "either"} and not lines.isdisjoint(row.lines))


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
