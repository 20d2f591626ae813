"""Path data as the editor, or anyone else, writes it, to lines."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING, NoReturn

from geometry.errors import DrawingError
from geometry.plane import Curve, Point, distance, distance_to_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plane import Line

BEYOND = 1e12
"""User units that no page has; numbers larger than this are none that can be reckoned with."""

MOST_NODES = 100_000
"""In all the lines of a border; more is a scan or a photograph traced, not a line to stitch."""

MOST_LETTERS = 60 * MOST_NODES

STRAIGHT = 1e-9
"""Share of a piece's length by which its controls may leave the chord and it still be straight."""


def parse(data: str, name: str = "") -> tuple[Line, ...]:
    """Path data to lines, one a subpath: straight ones as points, others as chains of Béziers; closed ones come home.

    Places without any length are left out.

    Raises:
        DrawingError: it cannot be read, or is far too long.
    """
    if len(data) > MOST_LETTERS or (len(data) > MOST_NODES and _numbers(data) > 2 * MOST_NODES):
        too_long(name)
    plain = _plain(data)
    if plain is None:
        from inkex.paths import Path  # noqa: PLC0415 - the editor's library takes long to load; most paths are plain

        try:
            pieces = Path(_ARCS.sub(_spread, data)).to_superpath()  # type: ignore[no-untyped-call]
            plain = tuple(_subpath(piece) for piece in pieces if len(piece) > 1)
        except (ValueError, TypeError, IndexError, AttributeError, ArithmeticError):
            _unreadable(name)
    if not all(abs(number) < BEYOND for line in plain for point in line for number in point):
        _unreadable(name)
    return tuple(line for line in plain if any(point != line[0] for point in line))


def too_long(name: str) -> NoReturn:
    """Refuse a path that no one could stitch."""
    raise DrawingError(
        f"“{name}” has very many nodes, alone or with the other lines; a border has at most {MOST_NODES:,}: please "
        "simplify it (Path > Simplify), or draw it again."
    )


def _unreadable(name: str) -> NoReturn:
    raise DrawingError(
        f"The path “{name}” cannot be read; it must be one the editor writes: please delete it and draw it again."
    ) from None


def _numbers(data: str) -> int:
    return sum(1 for _ in re.finditer(r"\d+\.?\d*|\.\d+", data))


_ARCS = re.compile(r"[Aa][^AaCcHhLlMmQqSsTtVvZz]*")
_NUMBER = re.compile(r"[\s,]*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")
_FLAG = re.compile(r"[\s,]*([01])")
_FLAG_PLACES = frozenset({3, 4})
"""Of the seven values of an arc."""


def _spread(arc: re.Match[str]) -> str:
    """An arc with its values set apart: SVG lets flags stand without space, the editor's library does not read that."""
    text, at = arc[0], 1
    found: list[str] = []
    while value := (_FLAG if len(found) % 7 in _FLAG_PLACES else _NUMBER).match(text, at):
        found.append(value[1])
        at = value.end()
    return f"{text[0]} {' '.join(found)} {text[at:]}"


_PLAIN = re.compile(r"[MLC0-9eE+\-., Z]*")
_PAIR = re.compile(r"([^\s,]+),([^\s,]+)")


def _plain(data: str) -> tuple[Line, ...] | None:
    """What this project writes, read at once; None if it is anything else."""
    if not data.startswith("M ") or not _PLAIN.fullmatch(data):
        return None
    lines = []
    for part in data[2:].split("M "):
        text, closed, rest = part.partition("Z")
        curved = "C" in text
        first, _, others = text.partition(" C " if curved else " L ")
        pairs = _PAIR.findall(first) + _PAIR.findall(others)
        if rest.strip() or "L" in others or "C" in others or len(pairs) != 1 + len(others.split()) or len(pairs) == 1:
            return None
        if curved and (closed or len(pairs) % 3 != 1 or "L" in first):
            return None
        try:
            points = [Point(float(x), float(y)) for x, y in pairs]
        except ValueError:
            return None
        if curved:
            lines.append(_chain([(*points[i : i + 4],) for i in range(0, len(points) - 1, 3)]))  # type: ignore[misc]
            continue
        lines.append((*points, points[0]) if closed and points[0] != points[-1] else tuple(points))
    return tuple(lines)


def _subpath(nodes: list[list[list[float]]]) -> Line:
    points = [[Point(float(x), float(y)) for x, y in node] for node in nodes]
    return _chain([(one[1], one[2], two[0], two[1]) for one, two in itertools.pairwise(points)])


def _chain(ahead: Sequence[tuple[Point, Point, Point, Point]]) -> Line:
    """Béziers one after another as a curve, or, all of them being straight, as points."""
    if all(_straight(*piece) for piece in ahead):
        line = [ahead[0][0], *(piece[3] for piece in ahead)]
        return tuple(point for i, point in enumerate(line) if i == 0 or point != line[i - 1])
    curve = [ahead[0][0]]
    for piece in ahead:
        curve += piece[1:]
    return Curve(curve)


def _straight(start: Point, one: Point, two: Point, end: Point) -> bool:
    if start in (one, end) and two in (start, end):
        return True
    long = distance(start, end)
    if long == 0:
        return start == one == two
    off = max(distance_to_line(one, start, end), distance_to_line(two, start, end))
    beyond = any(distance(start, p) > long or distance(p, end) > long for p in (one, two))
    return off <= STRAIGHT * long and not beyond
