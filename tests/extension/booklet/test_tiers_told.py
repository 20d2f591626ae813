"""What the booklet says of tiers: which line a row lies on, what a side is called, where the run goes up."""

from __future__ import annotations

import json
from typing import Any

from extension.booklet.measure import Measure, section_name, sides_named
from extension.booklet.steps import steps
from extension.booklet.templates import templates
from geometry.kinds import corner_kinds, members_in_words
from geometry.moments import let_in, moments
from geometry.pattern import Pattern, pattern_of
from geometry.plan import Request, lay_out

SAY = Measure("in", 8)


def pattern(tiers: int, **options: Any) -> Pattern:
    """A border in tiers."""
    return pattern_of(lay_out(Request(40, 50, (4.0 * tiers,) * 4, tiers=tiers, **options)))


def test_rows_are_called_by_the_line_they_lie_on() -> None:
    """A line between tiers is no border seam and no stop line."""
    assert pattern(1).rows("top") == ("border seam", "stop line")
    assert pattern(2).rows("top") == ("border seam", "line between the tiers")
    assert pattern(2, kind="inner").rows("top-tier2") == ("line between the tiers", "outer seam")
    assert pattern(3).rows("left-tier2") == ("line between tiers 1 and 2", "line between tiers 2 and 3")


def test_sides_and_sections_are_spoken() -> None:
    """As a quilter would say it."""
    assert sides_named(["top-tier2", "bottom-tier2"]) == "tier 2 of top and bottom"
    assert sides_named(["1-tier3", "2-tier3", "3-tier3"]) == "tier 3 of sides 1 to 3"
    assert sides_named(["top", "top-tier2"]) == "top and tier 2 of top"
    two = pattern(2)
    assert (
        section_name(two.section("top-tier2-in-2"), "top")
        == "the triangle between dots 1 and 2 of tier 2 of the top side"
    )


def test_corners_are_those_of_their_tier() -> None:
    """The last side of a tier goes on into the first of the same, not into that of the next."""
    two = pattern(2)
    assert [one.name for one in two.beside(two.sides[3])] == ["bottom", "top"]
    assert [one.name for one in two.beside(two.sides[4])] == ["left-tier2", "right-tier2"]
    words = " ".join(members_in_words(kind, two.sides) for kind in corner_kinds(two))
    assert "left–top" in words
    assert "tier 2 of left–top" in words


def test_the_tier_above_is_told_apart() -> None:
    """The steps of the first side are those of its own tier; one step tells where the run goes up."""
    two = pattern(2)
    (run,) = two.runs
    own, others = let_in(moments(two, run))
    assert {moment.tier for moment in own} <= {0, 1}
    assert {moment.tier for moment in others} == {2, 0} or {moment.tier for moment in others} == {2}
    told = steps(two, SAY, 7.5)
    assert "The tier above" in [step.title for step in told]
    assert all("-tier" not in step.words for step in told)
    plain = steps(pattern(1), SAY, 7.5)
    assert not [step for step in plain if "tier" in json.dumps([step.title, step.words])]


def test_templates_name_the_lines_beside_them() -> None:
    """No template of two tiers has a border seam on one side and the stop line on the other."""
    for template in templates(pattern(2), SAY):
        assert {"border seam", "stop line"} - {label for label, *_ in template.names}
