"""Everything that must be true to size, measured in the PDF's own content."""

from __future__ import annotations

import itertools
import json
import math
import re
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

POINT = 72.0
"""Points to the inch (ISO 32000)."""

NEAR = 0.005
"""Inches within which a drawing must be true."""

OVERLAP = 0.5
HALF_DIAMOND = 0.09
TRUE_SIZE = ("True-size templates", "Marking strip", "The whole border, true size")


@pytest.mark.parametrize(
    ("paper", "wide", "tall"),
    [
        pytest.param("letter", 612, 792, id="ANSI/ASME Y14.1 A, 8.5 x 11 in"),
        pytest.param("tabloid", 792, 1224, id="ANSI/ASME Y14.1 B, 11 x 17 in"),
        pytest.param("a4", 595.276, 841.890, id="ISO 216 A4, 210 x 297 mm"),
        pytest.param("a3", 841.890, 1190.551, id="ISO 216 A3, 297 x 420 mm"),
        pytest.param("both", 595.276, 792, id="A4 wide, Letter tall"),
    ],
)
def test_every_page_has_the_size_of_its_paper(
    paper: str, wide: float, tall: float, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """To a thousandth of a point, and nothing of it is cropped or turned."""
    booklet = printed(bordered(), "--paper", paper)
    assert len(booklet.pages) > 8
    for page in booklet.pages:
        assert (page.wide, page.tall) == pytest.approx((wide, tall), abs=2e-3)
    for page in booklet.pdf.pages:
        assert page.mediabox == page.cropbox
        assert page.get("/Rotate", 0) == 0


@pytest.mark.parametrize("paper", ["letter", "a4", "both"])
def test_the_test_squares_and_bars_measure_what_they_say(
    paper: str, bordered: Callable[..., Path], printed: Callable[..., object], squares: Callable[..., list[float]]
) -> None:
    """1 in is 72.000 points and 2 cm 56.693, on every true-size page; the bars are 4 in and 10 cm."""
    booklet = printed(bordered(), "--paper", paper, "--parts", "templates,strip,tiled")
    pages = [page for page in booklet.pages if page.text.startswith(TRUE_SIZE)]
    assert len(pages) > 20
    for page in pages:
        found = squares(page)
        assert any(side == pytest.approx(72.0, abs=0.02) for side in found)
        assert any(side == pytest.approx(56.693, abs=0.02) for side in found)
        lengths = [math.dist(*line) for drawn in page.paths() for line in drawn.lines if len(line) == 2]
        for bar in (288.0, 283.465):
            assert any(length == pytest.approx(bar, abs=0.02) for length in lengths)
        assert "Print at 100 %" in page.text


def test_nothing_lies_within_a_quarter_inch_of_the_edge(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Where a printer may leave white; a page's own ground is not drawn."""
    booklet = printed(bordered(), "--tiled", "true", "--dots", "true", "--density", "true")
    for page in booklet.pages:
        for drawn in page.paths():
            for x, y in itertools.chain(*drawn.lines):
                assert 18 <= x <= page.wide - 18
                assert 18 <= y <= page.tall - 18


def _triangles(page: object) -> list[tuple[float, float]]:
    """Base and height, in inches, of the triangles on a page: two straight lines of one path that meet in a tip."""
    found = []
    for drawn in page.paths():
        pairs = [line for line in drawn.lines if len(line) == 2]
        for (one, tip), (other_tip, two) in itertools.permutations(pairs, 2):
            if math.dist(tip, other_tip) < 1e-3 and math.dist(one, tip) == pytest.approx(math.dist(tip, two), abs=0.1):
                base = math.dist(one, two)
                middle = ((one[0] + two[0]) / 2, (one[1] + two[1]) / 2)
                found.append((base / POINT, math.dist(tip, middle) / POINT))
    return found


@pytest.mark.parametrize(
    ("options", "paper"),
    [
        (("--size", "repeat", "--repeat", "6"), "letter"),
        (("--fit", "ease", "--size", "repeat", "--repeat", "5.3"), "a4"),
        (("--kind", "inner", "--width", "3", "--fill", "fans"), "both"),
    ],
)
def test_templates_have_the_plan_s_repeats_and_height(
    options: tuple[str, ...], paper: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Read from the page, held to the recipe in the document; every repeat that was fitted has its template."""
    source = bordered(*options)
    root = etree.fromstring(source.read_bytes())
    (layer,) = root.findall(".//{*}g[@{urn:cornerwise}part='border']")
    recipe = json.loads(layer.get("{urn:cornerwise}recipe"))
    repeats = {side["repeat_in"] for side in recipe["sides"]}
    repeats |= {side["eased"]["repeat_in"] for side in recipe["sides"] if side["eased"]["each"]}
    height = recipe["width"] - (recipe["binding"] if recipe["kind"] == "outer" else 0)
    booklet = printed(source, "--parts", "templates", "--paper", paper)
    found = [triangle for page in booklet.pages for triangle in _triangles(page)]
    for repeat in repeats:
        assert any(abs(base - repeat) < NEAR and abs(tall - height) < NEAR for base, tall in found), (repeat, found)


def _fits(points: list[tuple[float, float]], wanted: list[tuple[float, float]], scale: float | None) -> float:
    """How far, in inches of quilt, the wanted places are from the points once their boxes are laid on one another."""

    def box(spots: list[tuple[float, float]]) -> tuple[float, float, float]:
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        return min(xs), min(ys), max(xs) - min(xs)

    (left, top, wide), (x0, y0, span) = box(points), box(wanted)
    scale = scale or wide / span
    moved = [((x - left) / scale + x0, (y - top) / scale + y0) for x, y in points]
    return max(min(math.dist(spot, other) for other in moved) for spot in wanted)


def test_a_node_moved_by_hand_shows_in_steps_and_templates(
    bordered: Callable[..., Path], printed: Callable[..., object], moved: Callable[..., object],
    nodes: Callable[..., list[list[tuple[float, float]]]],
) -> None:  # fmt: skip
    """Half an inch on the first triangle of the top, found again to five thousandths of an inch."""
    source = bordered("--fill", "diamonds", "--size", "repeat", "--repeat", "6")
    before = nodes(source, "top-in-1")
    spot = moved(source, "top-in-1", 2, (0.3, 0.4))
    wanted = [node for line in nodes(source, "top-in-1") for node in line]
    assert math.dist(spot, [node for line in before for node in line][2]) == pytest.approx(0.5)
    booklet = printed(source, "--parts", "steps,templates")
    closest = {"steps": math.inf, "templates": math.inf}
    for page in booklet.pages:
        for drawn in page.paths():
            points = [point for line in drawn.lines for point in line]
            if len(points) < len(wanted) or not drawn.stroked:
                continue
            closest["steps"] = min(closest["steps"], _fits(points, wanted, None))
            closest["templates"] = min(closest["templates"], _fits(points, wanted, POINT))
    assert closest["steps"] < NEAR
    assert closest["templates"] < NEAR
    assert "as changed by hand" in booklet.text


def test_joining_marks_coincide_when_the_sheets_are_laid_by_the_map(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Each mark lies on exactly two sheets, and the trimmed edge comes out as large as the quilt."""
    booklet = printed(bordered(), "--parts", "tiled")
    (map_page,) = booklet.of("Map of the sheets")
    named = set(re.findall(r"\b([A-Z]+\d+)\b", map_page.text))
    pages = booklet.of("The whole border, true size")
    step = (8.5 - 0.8 - OVERLAP, 11 - 0.8 - 0.38 - 1.12 - OVERLAP)
    marks: list[tuple[float, float]] = []
    edge: list[tuple[float, float]] = []
    labels = set()
    for page in pages:
        letters, column = re.search(r"Sheet ([A-Z]+)(\d+)", page.text).groups()
        labels.add(letters + column)
        row = ord(letters) - ord("A")
        shift = ((int(column) - 1) * step[0], row * step[1])
        for drawn in page.paths():
            for line in drawn.lines:
                placed = [(x / POINT + shift[0], y / POINT + shift[1]) for x, y in line]
                if (
                    len(line) == 5
                    and line[0] == line[-1]
                    and math.dist(line[0], line[2]) == pytest.approx(2 * HALF_DIAMOND * POINT, abs=0.01)
                    and abs(line[0][0] - line[2][0]) < 1e-3
                ):
                    marks.append(((placed[0][0] + placed[2][0]) / 2, (placed[0][1] + placed[2][1]) / 2))
                if drawn.width == pytest.approx(0.8, abs=1e-3) and not drawn.dashed:
                    edge += placed
    assert labels == named
    assert len(marks) > 2 * len(pages)
    for mark in marks:
        assert sum(math.dist(mark, other) < 1e-3 for other in marks) == 2
    xs, ys = [x for x, _ in edge], [y for _, y in edge]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((48, 64), abs=NEAR)


def test_a_template_larger_than_the_paper_is_laid_over_sheets(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """A border of 10 in on Letter: each sheet named, joins named, the template's words on each."""
    source = bordered("--width", "10", size=(90, 100))
    booklet = printed(source, "--parts", "templates")
    assert len(booklet.pages) > 8
    for page in booklet.pages:
        assert re.search(r"sheet [A-Z]\d of \d+", page.text)
        assert "joins" in page.text
        assert "10 in" in page.text or "9 5/8 in" in page.text or "mitred" in page.text


def test_the_strip_s_ticks_lie_where_the_chart_says(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Ticks of the seam's dots, piece after piece, are a repeat apart; the pivot is at the piece's own end."""
    booklet = printed(bordered("--size", "repeat", "--repeat", "5"), "--parts", "strip", "--paper", "tabloid")
    page = booklet.pages[0]
    outline = next(
        line for drawn in page.paths() for line in drawn.lines if len(line) == 5 and line[2][0] - line[0][0] > 300
    )
    left, bottom = min(x for x, _ in outline), max(y for _, y in outline)
    ticks = sorted(
        line[0][0] - left
        for drawn in page.paths()
        for line in drawn.lines
        if len(line) == 2 and line[0][0] == line[1][0] and abs(max(p[1] for p in line) - bottom) < 0.01
        and abs(line[0][1] - line[1][1]) == pytest.approx(0.24 * POINT, abs=0.01)
    )  # fmt: skip
    assert [tick / POINT for tick in ticks] == pytest.approx([5 * i for i in range(len(ticks))], abs=NEAR)
    assert len(ticks) == 2
