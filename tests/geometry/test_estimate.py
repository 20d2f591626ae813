"""The estimate: published thread figures, and lengths that agree with the runs."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, MultiLineString, Polygon

from geometry.estimate import Assumptions, estimate, thread_yd
from geometry.fills.catalogue import CATALOGUE
from geometry.plan import Request, lay_out
from geometry.plane import flat

NO_WASTE = Assumptions(waste_pct=0)
CM_PER_YARD = 91.44


@pytest.mark.parametrize(
    ("thickness", "stitches", "thread"),
    [
        (
            0.025,
            10,
            2.5,
        ),  # "Consumption Formula for Single Needle Lock Stitch Machine", textilecalculation.blogspot.com
        (0.01, 10, 2.2),  # the same formula, textilecalculations.com
        (0.0, 10, 2.0),  # no thickness: one inch on either face (elementary geometry)
    ],
)
def test_thread_to_an_inch_of_seam_is_as_published(thickness: float, stitches: float, thread: float) -> None:
    """C = 2 + 2·T·S."""
    assert Assumptions(stitches, thickness).thread_per_inch == pytest.approx(thread, abs=1e-12)


def test_half_the_thread_is_on_the_needle_and_half_on_the_bobbin() -> None:
    """A seam of 220 cm takes 550 cm, 275 and 275 (melgeecrafts.com, the result; its printed factors are wrong)."""
    assert thread_yd(220 / 2.54, NO_WASTE) * CM_PER_YARD == pytest.approx(550, abs=1e-9)
    plan = lay_out(Request(48, 64, (4,) * 4))
    found = estimate(plan.runs(), plan.border, NO_WASTE)
    assert found.needle_yd == found.bobbin_yd
    assert found.needle_yd * 36 == pytest.approx(1.25 * found.total.length)


def test_speed_is_yards_a_minute_as_published() -> None:
    """5,000 stitches a minute at 14 to the inch are 9.9 yd a minute (katieskitchenblog.com)."""
    fast = Assumptions(stitches_per_inch=14, stitches_per_minute=5000)
    assert fast.yards_per_minute == pytest.approx(9.92, abs=0.005)
    plan = lay_out(Request(48, 64, (4,) * 4))
    found = estimate(plan.runs(), plan.border, fast)
    assert found.minutes == pytest.approx(found.total.length / 36 / (5000 / 14 / 36))


@pytest.mark.parametrize("waste", [10, 15, 20])
def test_waste_is_added_to_both_threads(waste: float) -> None:
    """10 to 15 % (apparelscience.com), 15 to 20 % (technical bulletin 18)."""
    assert thread_yd(3600, Assumptions(waste_pct=waste)) == pytest.approx(250 * (1 + waste / 100))


@pytest.mark.parametrize(
    ("holds", "bobbins"), [(100.0, 3), (125.0, 2), (125.0001, 2), (249.9, 2), (250.0, 1), (1000.0, 1)]
)
def test_bobbins_are_wound_full_and_counted_whole(holds: float, bobbins: int) -> None:
    """250 yd on bobbins of so many yards; one that is exactly emptied needs no other."""
    plan = lay_out(Request(48, 64, (4,) * 4))
    found = estimate(plan.runs(), plan.border, Assumptions())
    share = found.bobbin_yd / 250
    assert found._replace(assumptions=Assumptions(bobbin_yd=holds * share)).bobbins == bobbins


def test_what_is_not_given_is_not_told() -> None:
    """Neither what her bobbin holds nor her speed has a default."""
    plan = lay_out(Request(48, 64, (4,) * 4))
    found = estimate(plan.runs(), plan.border, Assumptions())
    assert found.bobbins is None
    assert found.minutes is None
    assert found.assumptions.yards_per_minute is None


@pytest.mark.parametrize("kind", ["outer", "inner"])
@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_the_sides_add_up_to_the_runs(fill: str, order: str, kind: str) -> None:
    """New lines, stitched over and travelled, each; widths differ from side to side."""
    plan = lay_out(Request(40, 52, (4, 5, 6, 3.5), kind=kind, fill=fill, order=order))  # type: ignore[arg-type]
    runs = plan.runs()
    found = estimate(runs, plan.border, Assumptions())
    total = found.total
    assert total.length == pytest.approx(sum(run.length for run in runs))
    assert total.over == pytest.approx(sum(run.over for run in runs), abs=1e-6)
    assert total.travel == pytest.approx(sum(run.travel for run in runs), abs=1e-6)
    assert found.runs == found.starts == len(runs)
    assert found.stitches == pytest.approx(10 * total.length)


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_each_side_has_the_new_lines_that_lie_on_it(fill: str, corner: str) -> None:
    """Shapely cuts the design along the lines from pivots to outer corners; what lies on those may count for either side."""
    plan = lay_out(Request(40, 52, (4, 5, 6, 3.5), fill=fill, corner=corner, order="across"))  # type: ignore[arg-type]
    found = estimate(plan.runs(), plan.border, Assumptions())
    lines = [z.line for z in plan.zigzags] + [line for f in plan.sections for line in f.fill.lines]
    lines += [line for lines in plan.corner_lines for line in lines]
    design = MultiLineString([LineString(flat(line)) for line in lines])
    for side, stitched in zip(plan.border.sides, found.sides, strict=True):
        strip = Polygon([side.start, side.stop_start, side.stop_end, side.end])
        cuts = MultiLineString([(side.start, side.stop_start), (side.stop_end, side.end)]).buffer(1e-6)
        within = design.intersection(strip.buffer(1e-7))
        assert stitched.name == side.name
        # a step across the middle of either corner is not cut: half of it may fall to the other side; it is a spacing
        # long between wedges, 0.3 of one between beads and twigs
        astride = {"wedges": 0.52, "beadboard": 0.32, "meander": 0.32}.get(fill, 1e-3)
        assert within.difference(cuts).length - astride <= stitched.new <= within.length + astride


def test_a_square_quilt_stitches_alike_on_all_sides() -> None:
    """So does a rectangle on opposite ones; a mitred square too, for of the pieces beside a mitre one is stitched to its tip."""
    plan = lay_out(Request(48, 64, (4,) * 4, size="repeat", repeat=8))
    top, right, bottom, left = estimate(plan.runs(), plan.border, Assumptions()).sides
    assert top.length == pytest.approx(bottom.length)
    assert right.length == pytest.approx(left.length)
    for corner in ("mitred", "large", "square"):
        plan = lay_out(Request(48, 48, (4,) * 4, size="repeat", repeat=8, corner=corner))
        lengths = [side.length for side in estimate(plan.runs(), plan.border, Assumptions()).sides]
        alike = lengths[:2] * 2 if corner == "mitred" else lengths[:1] * 4
        assert lengths == pytest.approx(alike)


def test_density_is_lines_by_the_area_that_shapely_measures() -> None:
    """Inches of line, each counted once, in a square inch between border seam and stop line."""
    plan = lay_out(Request(40, 52, (4, 5, 6, 3.5)))
    found = estimate(plan.runs(), plan.border, Assumptions())
    area = Polygon(plan.border.stop_line).difference(Polygon(plan.border.seam)).area
    assert found.area == pytest.approx(area)
    assert found.density == pytest.approx(found.total.new / area)


def test_a_point_of_leave_and_return_is_one_more_start_and_stop() -> None:
    """The run is broken off there and taken up again."""
    plan = lay_out(Request(48, 64, (4,) * 4))
    assert estimate(plan.runs(), plan.border, Assumptions(), leaves=3).starts == 4
