"""Options and selected shapes together: widths from the drawing, the drawing's scale, and what cannot be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

NEAR = 0.005
HERE = (1, 0, 0, 1, 5, 7)


def _doc(body: str) -> str:
    page = 'width="60in" height="60in" viewBox="0 0 60 60"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {page}>{body}</svg>'


EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
SEAM = '<rect id="seam" x="9" y="12" width="30" height="18"/>'
"""4 in from the left, 5 in from the top, 6 in from the right, 7 in from the bottom."""


@pytest.mark.parametrize("ids", [("edge", "seam"), ("seam", "edge")])
@pytest.mark.parametrize("body", [EDGE + SEAM, SEAM + EDGE])
def test_two_nested_rectangles_give_the_widths(
    ids: tuple[str, str],
    body: str,
    border: Callable[..., bytes],
    read: Callable[..., object],
    same_place: Callable[..., None],
) -> None:
    """Whichever is named first and whichever lies on top, the outer is the edge and the inner is the border seam."""
    drawing = read(border(_doc(body), "--width", "3", ids=ids))
    same_place(drawing, (40, 30), (5, 6, 7, 4), 0.375, HERE, near=NEAR)
    assert drawing.recipe["seam"] == "seam"
    assert drawing.recipe["widths_in"] == pytest.approx([5, 6, 7, 4], abs=1e-6)


def test_two_nested_shapes_in_different_groups_are_compared_on_the_page(
    border: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """A turned edge and a seam drawn as a path in another turned group."""
    turn = "translate(20,3) rotate(20)"
    body = (
        f'<g transform="{turn}"><rect id="edge" width="40" height="30"/></g>'
        f'<g transform="{turn} translate(38 5) scale(-2 1)"><path id="seam" d="M 0,0 V 20 H 17 V 0 z"/></g>'
    )
    cos, sin = math.cos(math.radians(20)), math.sin(math.radians(20))
    drawing = read(border(_doc(body), ids=("seam", "edge")))
    same_place(drawing, (40, 30), (5, 2, 5, 4), 0.375, (cos, sin, -sin, cos, 20, 3), near=NEAR)


def test_the_same_shape_named_twice_is_one_shape(border: Callable[..., bytes]) -> None:
    """Naming the edge again changes nothing."""
    assert border(_doc(EDGE), ids=("edge", "edge")) == border(_doc(EDGE))


@pytest.mark.parametrize(
    ("seam", "told"),
    [
        ('<rect id="seam" x="5" y="7" width="40" height="30"/>', "inside"),
        ('<rect id="seam" x="5" y="12" width="30" height="18"/>', "inside"),
        ('<rect id="seam" x="30" y="12" width="30" height="18"/>', "inside"),
        ('<rect id="seam" x="12" y="12" width="20" height="10" transform="rotate(3 22 17)"/>', "turned"),
        ('<circle id="seam" cx="20" cy="20" r="5"/>', "circle"),
        ('<rect id="seam" x="5.2" y="12" width="30" height="18"/>', "binding"),
    ],
    ids=["the same", "touching", "overlapping", "turned", "a circle", "closer than the binding"],
)
def test_two_shapes_that_are_not_edge_and_seam_are_refused(seam: str, told: str, refusal: Callable[..., str]) -> None:
    """One sentence that says how they lie."""
    assert told in refusal(_doc(EDGE + seam), ids=("edge", "seam"))


def test_a_quilt_planned_small_on_a_page_is_read_at_its_scale(
    border: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """With --scale 8, a rectangle of 5 by 3 3/4 in is a quilt of 40 by 30 in, drawn an eighth as large."""
    drawing = read(border(_doc('<rect id="edge" x="2" y="3" width="5" height="3.75"/>'), "--scale", "8"))
    same_place(drawing, (40, 30), (4,) * 4, 0.375, (1 / 8, 0, 0, 1 / 8, 2, 3), near=NEAR / 8)
    full = read(border(_doc(EDGE)))
    assert drawing.recipe["scale"] == 8
    assert drawing.recipe["sides"] == full.recipe["sides"]
    lengths = [[float(run.get("{urn:cornerwise}length-in")) for run in d.parts("run")] for d in (drawing, full)]
    assert lengths[0] == pytest.approx(lengths[1], abs=1e-3)


def test_an_inner_border_touches_both_seams(
    border: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """Its points lie on the outer seam, whatever the room for the binding says."""
    drawing = read(border(_doc(EDGE), "--kind", "inner", "--binding", "1"))
    same_place(drawing, (40, 30), (4,) * 4, 0, HERE, near=NEAR)
    tops = [y for _, y in drawing.sides()["top"]]
    assert min(tops) == pytest.approx(7, abs=1e-6)
    assert max(tops) == pytest.approx(11, abs=1e-6)


def test_the_points_of_an_outer_border_keep_clear_of_the_edge(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """They lie on the stop line, the room for the binding from the trimmed edge."""
    tops = [y for _, y in read(border(_doc(EDGE), "--binding", "1/2")).sides()["top"]]
    assert min(tops) == pytest.approx(7.5, abs=1e-6)


WRONG = [
    (("--width", "15"), "half"), (("--width", "15.5"), "half"), (("--width", "500"), "half"),
    (("--width", "0"), "wide"), (("--width", "-4"), "wide"), (("--width=-4",), "wide"),
    (("--width", "0.375"), "binding"), (("--width", "0.3"), "binding"), (("--width", "4", "--binding", "4"), "binding"),
    (("--binding", "-0.1"), "binding"),
    (("--size", "count", "--fit", "ease"), "eas"),
    (("--size", "count", "--across", "5", "--number", "even"), "even"),
    (("--size", "count", "--down", "8", "--number", "odd"), "odd"),
    (("--size", "repeat", "--repeat", "0"), "repeat"), (("--size", "repeat", "--repeat", "-6"), "repeat"),
    (("--size", "repeat", "--repeat", "0.001"), "500"), (("--spacing", "-1"), "spacing"),
]  # fmt: skip


@pytest.mark.parametrize(("options", "told"), WRONG)
def test_what_does_not_go_together_is_refused(options: tuple[str, ...], told: str, refusal: Callable[..., str]) -> None:
    """Widths, binding, sizes and counts that cannot be drawn, each in one sentence."""
    assert told in refusal(_doc(EDGE), *options)


@pytest.mark.parametrize("width", ["14.9", "14.99"])
def test_a_border_just_under_half_the_short_side_is_drawn(
    width: str, border: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """The limit is half, not less."""
    drawing = read(border(_doc(EDGE), "--width", width, "--fill", "none"))
    same_place(drawing, (40, 30), (float(width),) * 4, 0.375, HERE, near=NEAR)


@pytest.mark.parametrize("unit", ["cm", "mm"])
def test_lengths_in_another_unit_draw_the_same_border(
    unit: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """10.16 cm are 4 in; the recipe keeps the number in the unit it was typed in."""
    factor = 2.54 if unit == "cm" else 25.4
    typed = {"width": 4, "binding": 0.375, "spacing": 1, "repeat": 6}
    options = [part for name, value in typed.items() for part in (f"--{name}", f"{value * factor:.6f}")]
    metric, plain = read(border(_doc(EDGE), "--unit", unit, *options)), read(border(_doc(EDGE)))
    for name, line in metric.sides().items():
        assert [math.dist(*pair) for pair in zip(line, plain.sides()[name], strict=True)] == pytest.approx(
            [0] * len(line), abs=1e-5
        )
    assert metric.recipe["unit"] == unit
    assert metric.recipe["width"] == pytest.approx(4 * factor, abs=1e-6)


@pytest.mark.parametrize(
    "text", ["5 3/8", "5-3/8", "5⅜", "5.375", "5 3/8in", "5.375in", "136.525mm", "13.6525cm", '5 3/8"']
)
def test_a_width_may_be_written_as_quilters_write_it(text: str, border: Callable[..., bytes]) -> None:
    """All are the same five and three eighths."""
    assert border(_doc(EDGE), "--width", text) == border(_doc(EDGE), "--width", "5.375")
