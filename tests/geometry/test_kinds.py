"""Kinds of sections: alike is alike, a hand's change is a kind of its own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.fills.catalogue import CATALOGUE
from geometry.kinds import corner_kinds, members_in_words, triangle_kinds
from geometry.pattern import Pattern, pattern_of
from geometry.plan import Request, lay_out
from geometry.plane import Point


def _pattern(**options: object) -> Pattern:
    return pattern_of(lay_out(Request(60, 72, (6,) * 4, **options)))


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", CATALOGUE)
def test_every_section_belongs_to_one_kind(fill: str, corner: str) -> None:
    """Triangles by their names, corners by the sides that end in them."""
    pattern = _pattern(fill=fill, corner=corner)
    triangles = [name for kind in triangle_kinds(pattern) for name in kind.members]
    assert sorted(triangles) == sorted(one.name for one in pattern.sections if one.base != "corner")
    corners = [name for kind in corner_kinds(pattern) for name in kind.members]
    assert sorted(corners) == sorted(side.name for side in pattern.sides)


@pytest.mark.parametrize("fill", [name for name, entry in CATALOGUE.items() if not entry.free])
def test_an_even_square_border_has_few_kinds(fill: str) -> None:
    """One on the seam and one beside the pivots, one on the stop line, one corner: opposite halves are mirror images."""
    pattern = pattern_of(lay_out(Request(60, 60, (6,) * 4, fill=fill)))
    assert len(triangle_kinds(pattern)) <= 3
    assert len(corner_kinds(pattern)) == 1


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("kind", ["inner", "outer"])
def test_a_corner_of_exactly_45_degrees_is_one_kind(kind: str, corner: str) -> None:
    """There the last point, the pivot and the first point of the next side lie on one line."""
    width = 4.0 if kind == "inner" else 4.375
    pattern = pattern_of(
        lay_out(
            Request(40 + 2 * width, 56 + 2 * width, (width,) * 4, kind=kind, corner=corner, size="repeat", repeat=8)
        )
    )
    (found,) = corner_kinds(pattern)
    assert found.members == ("top", "right", "bottom", "left")


def test_a_node_moved_by_hand_makes_a_kind_of_its_own() -> None:
    """By a hundredth of an inch already, and the words say which triangle it is."""
    pattern = _pattern(fill="diamonds")
    before = len(triangle_kinds(pattern))
    section = pattern.section("right-in-3")
    line = section.lines[0]
    moved = replace(
        section, lines=((line[0], line[1].plus(Point(0.01, 0)), *line[2:]), *section.lines[1:]), edited=True
    )
    changed = replace(pattern, sections=tuple(moved if one.name == moved.name else one for one in pattern.sections))
    kinds = triangle_kinds(changed)
    assert len(kinds) == before + 1
    (own,) = [kind for kind in kinds if kind.edited]
    assert members_in_words(own, changed.sides) == "right 3"


def test_members_are_told_in_ranges() -> None:
    """Side by side."""
    pattern = _pattern(fill="diamonds")
    words = [members_in_words(kind, pattern.sides) for kind in triangle_kinds(pattern)]
    assert words[0] == "top 1 + 4, right 1 + 5, bottom 1 + 4, left 1 + 5"
    assert words[1] == "top 2–3, right 2–4, bottom 2–3, left 2–4"
    assert words[2] == "on every side"
    assert members_in_words(corner_kinds(pattern)[0], pattern.sides) == "all corners"
