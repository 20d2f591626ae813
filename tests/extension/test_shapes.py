"""Drawn elements to lines, held to a reader of transforms that owes nothing to the code under test."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from extension.pathdata import MOST_NODES
from extension.shapes import DEEPEST_CLONE, MOST_CLONES, Reader, elements_in, lines_of, to_ancestor, transform_of
from geometry.errors import DrawingError
from geometry.plane import Affine, Point, flat

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from geometry.plane import Line

    Matrix = tuple[float, ...]

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:cw="urn:cornerwise">'
TICK = '<path id="tick" d="M 1,2 L 3,2"/>'


def _root(body: str) -> etree._Element:
    return etree.fromstring(f"{HEAD}{body}</svg>")


def _by_id(root: etree._Element, name: str) -> etree._Element:
    return next(element for element in root.iter() if element.get("id") == name)


def _lines(body: str, name: str = "x") -> tuple[Line, ...]:
    return lines_of(_by_id(_root(body), name))


def _near(line: Line, spots: Iterable[tuple[float, float]]) -> bool:
    return all(math.dist(one, other) < 1e-6 for one, other in zip(line, spots, strict=True))


def test_basic_shapes_are_lines_too() -> None:
    """Line, polyline, polygon and rectangle; those that close come home."""
    body = (
        '<line id="x" x1="1" y1="2" x2="3" y2="5"/><polyline id="open" points="0,0 2,0 2,3"/>'
        '<polygon id="shut" points="0 0, 2 0 2 3"/><rect id="box" x="1" y="2" width="4" height="3"/>'
    )
    assert _lines(body) == ((Point(1, 2), Point(3, 5)),)
    assert _lines(body, "open") == ((Point(0, 0), Point(2, 0), Point(2, 3)),)
    assert _lines(body, "shut") == ((Point(0, 0), Point(2, 0), Point(2, 3), Point(0, 0)),)
    assert _lines(body, "box") == ((Point(1, 2), Point(5, 2), Point(5, 5), Point(1, 5), Point(1, 2)),)


@pytest.mark.parametrize("shape", ['circle id="x" cx="3" cy="4" r="2"', 'ellipse id="x" cx="3" cy="4" rx="2" ry="1"'])
def test_circles_and_ellipses_are_round_and_closed(shape: str) -> None:
    """Every point is as far from the centre as it should be."""
    (line,) = _lines(f"<{shape}/>")
    low = 1 if "ry" in shape else 2
    spots = flat(line)
    assert math.dist(spots[0], spots[-1]) < 1e-9
    assert len(spots) > 20
    assert all(math.hypot((x - 3) / 2, (y - 4) / low) == pytest.approx(1, abs=0.005) for x, y in spots)


@pytest.mark.parametrize(
    ("corners", "rx", "ry"),
    [('rx="1"', 1, 1), ('ry="0.5"', 0.5, 0.5), ('rx="9" ry="9"', 2, 1.5), ('rx="1" ry="0"', 0, 0), ('rx="auto" ry="1"', 1, 1)],
)  # fmt: skip
def test_rounded_corners_stay_in_their_box(corners: str, rx: float, ry: float) -> None:
    """One radius stands for both, and none is more than half a side (SVG 1.1, 9.2)."""
    (line,) = _lines(f'<rect id="x" x="1" y="2" width="4" height="3" {corners}/>')
    spots = flat(line)
    for values, low, high in (([x for x, _ in spots], 1, 5), ([y for _, y in spots], 2, 5)):
        assert min(values) == pytest.approx(low, abs=1e-6)
        assert max(values) == pytest.approx(high, abs=1e-6)
    nearest = min(math.dist(spot, (1, 2)) for spot in spots)
    assert (nearest > 0.1) == (rx > 0)
    if 0 < rx < 2:
        assert any(math.dist(spot, (1 + rx, 2)) < 1e-6 for spot in spots)
        assert any(math.dist(spot, (1, 2 + ry)) < 1e-6 for spot in spots)


@pytest.mark.parametrize(
    "shape",
    [
        '<rect id="x" width="0" height="3"/>', '<rect id="x"/>', '<circle id="x" r="0"/>', '<circle id="x" r="-1"/>',
        '<polyline id="x" points=""/>', '<polyline id="x"/>', '<path id="x"/>', '<line id="x" x1="1" x2="1"/>', '<text id="x">a</text>',
        '<image id="x"/>', '<g id="x"/>', '<use id="x"/>', '<use id="x" href="#nobody"/>', '<use id="x" href="other.svg#tick"/>',
        '<use id="x" xlink:href="#x"/>', '<g id="g"><use id="x" href="#g"/></g>', '<use id="x" href="#y"/><use id="y" href="#x"/>',
    ],
)  # fmt: skip
def test_what_shows_nothing_is_no_line(shape: str) -> None:
    """Empty shapes, words, clones of nothing and clones of themselves."""
    assert _lines(shape + TICK) == ()


@pytest.mark.parametrize("value", ["50%", "2em", "abc", "1e999", "calc(1px)"])
def test_a_size_that_depends_on_the_window_is_refused(value: str) -> None:
    """Absolute units are read, at 96 to the inch; what is none is told by name."""
    assert _lines('<rect id="x" x="1in" y="0" width="25.4mm" height="72pt"/>')[0][2] == Point(192, 96)
    with pytest.raises(
        DrawingError, match=r"^The width of the rect “x” is “.*”; it must be a plain number: please .*\.$"
    ):
        _lines(f'<rect id="x" width="{value}" height="1"/>')


affines = st.one_of(
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)).map(lambda v: f"translate({v[0]:.3f},{v[1]:.3f})"),
    st.floats(-360, 360).map(lambda v: f"rotate({v:.3f})"),
    st.tuples(st.floats(-180, 180), st.floats(-9, 9)).map(lambda v: f"rotate({v[0]:.3f} {v[1]:.3f} 2)"),
    st.tuples(st.floats(0.2, 3), st.sampled_from([-1, 1])).map(lambda v: f"scale({v[0]:.3f} {v[1] * v[0]:.3f})"),
    st.floats(0.2, 3).map(lambda v: f"scale({v:.3f})"),
    st.tuples(*[st.floats(-2, 2)] * 6).map(lambda v: f"matrix({' '.join(f'{n:.3f}' for n in v)})"),
)


@given(st.lists(affines, max_size=4), st.lists(affines, min_size=1, max_size=2))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_transforms_of_groups_and_of_the_shape_are_all_done(
    maps: tuple[Callable[..., Matrix], ...], groups: list[str], own: list[str]
) -> None:
    """Nested as deep as they are; the shape's own is done by the lines, those around it by the map beside it."""
    matrix, times, at = maps
    body = f'<path id="x" d="M 1,2 L 3,-4" transform="{" ".join(own)}"/>'
    whole = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    for text in groups:
        whole = times(whole, matrix(text))
        body = body.replace("<path", f'<g transform="{text}"><path', 1).replace("/>", "/></g>", 1)
    whole = times(whole, matrix(" ".join(own)))
    root = _root(body)
    ((element, place),) = elements_in(root)
    (line,) = lines_of(element)
    scale = 1 + max(map(abs, whole))
    assert all(
        math.dist(one, other) < 1e-9 * scale**2
        for one, other in zip(place.line(line), [at(whole, (1, 2)), at(whole, (3, -4))], strict=True)
    )
    assert all(abs(a - b) < 1e-9 * scale**2 for a, b in zip(to_ancestor(element, root), whole, strict=True))


@pytest.mark.parametrize("text", ["rotate(nan)", "scale(1e400)", "matrix(1 0 0 1 inf 0)", "scale(1e200) scale(1e200)"])
def test_a_transform_without_numbers_is_refused(text: str) -> None:
    """By the name of what it moves."""
    root = _root(f'<g id="x" transform="{text}">{TICK}</g>')
    with pytest.raises(
        DrawingError, match=r"^“x” is moved by a transform that cannot be read; it must be .*: please .*\.$"
    ):
        transform_of(_by_id(root, "x"))


def test_a_clone_shows_its_original_where_it_is_put() -> None:
    """Its x and y first, then its own transform; of a path, of a group, of a symbol; either way of naming it."""
    group = '<g id="g" transform="scale(2)"><path d="M 1,0 L 2,0"/><g transform="translate(0 1)"><path d="M 0,0 L 0,1"/></g></g>'
    symbol = '<defs><symbol id="s"><path d="M 5,5 L 6,5"/></symbol></defs>'
    assert _near(_lines(f'{TICK}<use id="x" href="#tick" x="10" transform="rotate(90)"/>')[0], [(-2, 11), (-2, 13)])
    one, other = _lines(f'{group}<use id="x" xlink:href="#g" y="1"/>')
    assert _near(one, [(2, 1), (4, 1)])
    assert _near(other, [(0, 3), (0, 5)])
    assert _near(_lines(f'{symbol}<use id="x" href=" #s " transform="translate(1)"/>')[0], [(6, 5), (7, 5)])


def test_a_clone_of_a_clone_moves_with_both() -> None:
    """The inner one's place first."""
    body = f'{TICK}<use id="y" href="#tick" transform="translate(0 5)"/><use id="x" href="#y" transform="scale(2)"/>'
    assert _near(_lines(body)[0], [(2, 14), (6, 14)])


def _chain(links: int) -> str:
    return TICK.replace("tick", "u0") + "".join(f'<use id="u{n}" href="#u{n - 1}"/>' for n in range(1, links + 1))


def _doubling(times: int) -> str:
    pairs = (f'<g id="u{n}"><use href="#u{n - 1}"/><use href="#u{n - 1}"/></g>' for n in range(1, times + 1))
    return TICK.replace("tick", "u0") + "".join(pairs)


@pytest.mark.parametrize("body", [_chain(3000), _chain(DEEPEST_CLONE + 2), _doubling(13), _doubling(40)], ids=["long chain", "chain", "doubling", "doubling for ever"])  # fmt: skip
def test_clones_that_multiply_are_refused(body: str) -> None:
    """Whether deep or many; the one on the border is named."""
    last = max(int(part.split('"')[0]) for part in body.split('id="u')[1:])
    with pytest.raises(DrawingError, match=r"^There are very many clones, .* \(“x”\); .*: please unlink some .*\.$"):
        _lines(f'<defs>{body}</defs><use id="x" href="#u{last}"/>')


def test_clones_are_counted_over_all_shapes_read() -> None:
    """Not each for itself, or many small ones would take for ever."""
    root = _root(TICK + '<use href="#tick"/>' * (MOST_CLONES + 1))
    reader = Reader(root)
    uses = [element for element, _ in elements_in(root)][1:]
    assert all(reader.lines_of(use) for use in uses[:-1])
    with pytest.raises(DrawingError, match="very many clones"):
        reader.lines_of(uses[-1])


def test_nodes_are_counted_over_all_shapes_read() -> None:
    """So that a border of many long lines is no longer than one of them may be."""
    points = MOST_NODES // 10
    path = f'<path d="M 0,0 L {"1,1 2,2 " * (points // 2)}"/>'
    reader = Reader(root := _root(path * 11))
    shapes = [element for element, _ in elements_in(root)]
    assert all(reader.lines_of(shape) for shape in shapes[:9])
    with pytest.raises(DrawingError, match=r"^“path” has very many nodes, alone or with the other lines;"):
        [reader.lines_of(shape) for shape in shapes[9:]]


def test_shapes_are_found_in_groups_but_not_in_another_border() -> None:
    """Comments, words, foreign things and definitions are passed over."""
    inner = f'<g cw:part="border"><g cw:part="fills">{TICK}</g></g>'
    body = (
        f'<!--c--><?x y?><a><g><path id="in" d="M 0,0 L 1,1"/></g></a><text>{TICK}</text><defs>{TICK}</defs>'
        f'<o:path xmlns:o="urn:else" d="M 0,0 L 1,1"/>{inner}<use id="c" href="#in"/>'
    )
    assert [element.get("id") for element, _ in elements_in(_root(body))] == ["in", "c"]


def test_a_shape_that_is_not_moved_stays_exactly_where_it_is() -> None:
    """Not even by rounding."""
    ((element, place),) = elements_in(_root(f"<g>{TICK}</g>"))
    assert place == Affine()
    assert lines_of(element) == ((Point(1, 2), Point(3, 2)),)
