"""Sections that are drawn alike: one of each kind is enough for a template."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from geometry.plane import Affine, Point, distance, length_of
from geometry.quilt import side_and_tier, tiers_in_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.pattern import DrawnSection, DrawnSide, Pattern

ALIKE = 0.004
"""Inches within which two nodes lie at the same place of their sections: less than a thread."""

MOST_VARIANTS = 6
"""Free-motion fills differ from section to section; of one shape and fill no more are shown, but for those edited by hand."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Sections drawn alike, or as one another's mirror image.

    Attributes:
        pieces: the representative: one triangle, or all pieces of a corner.
        members: the names of all alike; of a corner, the sides that end in it.
        mirrored: some are the mirror image.
    """

    base: str
    pieces: tuple[DrawnSection, ...]
    members: tuple[str, ...]
    mirrored: bool

    @property
    def edited(self) -> bool:
        """The hand has changed it."""
        return any(piece.edited for piece in self.pieces)


def triangle_kinds(pattern: Pattern) -> tuple[Kind, ...]:
    """The kinds of triangles, those on the seam first, in the order they are met."""
    found: list[Kind] = []
    for base in ("inner", "outer"):
        found += _shown(_kinds(base, [(one.name, (one,)) for one in pattern.sections if one.base == base]))
    return tuple(found)


def corner_kinds(pattern: Pattern) -> tuple[Kind, ...]:
    """The kinds of whole corners, all pieces of each together."""
    groups = [(side.name, pattern.of(side.name, "corner")) for side in pattern.sides]
    return tuple(_shown(_kinds("corner", [(name, pieces) for name, pieces in groups if pieces])))


def _kinds(base: str, candidates: Iterable[tuple[str, tuple[DrawnSection, ...]]]) -> list[Kind]:
    kinds: list[Kind] = []
    pictures: list[_Picture] = []
    for name, pieces in candidates:
        picture = _Picture.of(pieces)
        for i, (kind, other) in enumerate(zip(kinds, pictures, strict=True)):
            way = picture.like(other)
            if way is not None and kind.edited == any(piece.edited for piece in pieces):
                kinds[i] = Kind(base, kind.pieces, (*kind.members, name), kind.mirrored or way)
                break
        else:
            kinds.append(Kind(base, pieces, (name,), mirrored=False))
            pictures.append(picture)
    return kinds


def _shown(kinds: Sequence[Kind]) -> list[Kind]:
    """Of many variants of one shape and fill the commonest; all that the hand has changed."""
    shown = []
    for _, group in itertools.groupby(kinds, key=lambda kind: tuple(piece.fill_name for piece in kind.pieces)):
        variants = list(group)
        free = [kind for kind in variants if not kind.edited]
        if len(free) > MOST_VARIANTS:
            free = sorted(free, key=lambda kind: -len(kind.members))[:MOST_VARIANTS]
        shown += [kind for kind in variants if kind.edited or kind in free]
    return shown


@dataclass(frozen=True, slots=True)
class _Picture:
    """Corners and nodes of some pieces, measured from their own first base."""

    corners: tuple[Point, ...]
    nodes: tuple[Point, ...]
    length: float

    @classmethod
    def of(cls, pieces: Sequence[DrawnSection]) -> _Picture:
        first = pieces[0].corners
        if pieces[0].base == "corner":
            # measured from its pivot towards its outer corner, so that it can be told from its mirror image
            origin = first[2] if len(first) == 3 else first[0]  # noqa: PLR2004
            towards = next((piece.corners[2] for piece in pieces if len(piece.corners) > 3), first[1])  # noqa: PLR2004
        else:
            origin, towards = Point((first[0].x + first[1].x) / 2, (first[0].y + first[1].y) / 2), first[1]
        ahead = towards.minus(origin).times(1 / distance(origin, towards))
        own = Affine(ahead.x, ahead.y, -ahead.y, ahead.x, origin.x, origin.y).inverse()
        return cls(
            tuple(own.at(corner) for piece in pieces for corner in piece.corners),
            tuple(own.at(node) for piece in pieces for line in piece.lines for node in line),
            sum(length_of(line) for piece in pieces for line in piece.lines),
        )

    def like(self, other: _Picture) -> bool | None:
        """False where it is the same, True where it is the mirror image, None where it is neither."""
        if (len(self.corners), len(self.nodes)) != (len(other.corners), len(other.nodes)):
            return None
        if abs(self.length - other.length) > ALIKE * (len(self.nodes) + 1):
            return None
        if _same(self.corners, other.corners) and _same(self.nodes, other.nodes):
            return False
        for turn in (Affine(-1, 0, 0, 1), Affine(1, 0, 0, -1)):
            if _same([turn.at(p) for p in self.corners], other.corners) and _same(
                [turn.at(p) for p in self.nodes], other.nodes
            ):
                return True
        return None


def _same(ones: Sequence[Point], others: Sequence[Point]) -> bool:
    """Whether each place of one list is a place of the other, in whatever order."""
    if all(distance(one, other) <= ALIKE for one, other in zip(ones, others, strict=True)):
        return True
    left = list(others)
    for one in ones:
        nearest = min(left, key=lambda other: distance(one, other))
        if distance(one, nearest) > ALIKE:
            return False
        left.remove(nearest)
    return True


def members_in_words(kind: Kind, sides: Sequence[DrawnSide]) -> str:
    """Which sections a kind stands for: `top 1–5, right 1–3 and 7`; of corners the sides that end there."""
    if kind.base == "corner":
        names = list(dict.fromkeys(side_and_tier(side.name)[0] for side in sides))
        ends = {side.name for side in sides if side.lies.open_end}
        pairs = []
        for member in kind.members:
            name, tier = side_and_tier(member)
            words = f"end of {name}" if member in ends else f"{name}–{names[(names.index(name) + 1) % len(names)]}"
            pairs.append(words if tier == 1 else f"tier {tier} of {words}")
        return "all corners" if len(pairs) == len(sides) > 1 else ", ".join(pairs)
    parts = []
    for side in sides:
        numbers = [int(name.rpartition("-")[2]) for name in kind.members if name.rsplit("-", 2)[0] == side.name]
        if numbers:
            every = len(side.dots if kind.base == "inner" else side.points) - 1
            parts.append((side.name, "all" if len(numbers) == every else _ranges(numbers)))
    if len(parts) == len(sides) and all(which == "all" for _, which in parts):
        return "on every side"
    return ", ".join(f"{tiers_in_words(name)} {which}" for name, which in parts)


def _ranges(numbers: Sequence[int]) -> str:
    """Numbers with runs drawn together.

    >>> _ranges([1, 2, 3, 7, 9, 10])
    '1–3 + 7 + 9–10'
    """
    parts = []
    for _, group in itertools.groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts.append(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}")
    return " + ".join(parts)
