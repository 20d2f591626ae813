"""What may be selected, and where it then lies on the page; what is refused, in one sentence."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

NEAR = 0.005
"""Inches by which a drawn line may lie off: a fifth of a stitch's thickness."""

INCH_PAGE = 'width="60in" height="60in" viewBox="0 0 60 60"'


def _doc(body: str, page: str = INCH_PAGE) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {page}>{body}</svg>'


def _turned(degrees: float, x: float, y: float) -> tuple[float, ...]:
    """The map that turns by degrees, clockwise as seen, and then puts the origin at x, y."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (cos, sin, -sin, cos, x, y)


# Each row: the document, the quilt's width and height in inches, and the map from inches measured along the quilt's own
# sides to inches on the page. 1 in = 96 px = 25.4 mm; matrices as in the SVG specification.
RECT = '<rect id="edge" x="{}" y="{}" width="{}" height="{}"/>'
DRAWN = {
    "inches with a viewBox": (_doc(RECT.format(5, 7, 40, 30)), 40, 30, (1, 0, 0, 1, 5, 7)),
    "millimetres, as in the editor's templates": (
        _doc(RECT.format(127, 177.8, 1016, 762), 'width="1524mm" height="1524mm" viewBox="0 0 1524 1524"'),
        40, 30, (1, 0, 0, 1, 5, 7),
    ),
    "an inch page with units of a millimetre": (
        _doc(RECT.format(127, 177.8, 1016, 762), 'width="60in" height="60in" viewBox="0 0 1524 1524"'),
        40, 30, (1, 0, 0, 1, 5, 7),
    ),
    "pixels, no viewBox": (_doc(RECT.format(480, 672, 3840, 2880), 'width="5760" height="5760"'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "a viewBox that does not begin at nothing": (
        _doc(RECT.format(-15, -13, 40, 30), 'width="60in" height="60in" viewBox="-20 -20 60 60"'), 40, 30, (1, 0, 0, 1, 5, 7),
    ),
    "two inches a unit": (_doc(RECT.format(2.5, 3.5, 20, 15), 'width="60in" height="60in" viewBox="0 0 30 30"'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "lengths with units of their own": (_doc(RECT.format(0, 0, "20.0pc", "1440pt"), 'width="60in" height="60in"'), 20 / 6, 20, (1, 0, 0, 1, 0, 0)),
    "x and y left out": (_doc('<rect id="edge" width="40" height="30"/>'), 40, 30, (1, 0, 0, 1, 0, 0)),
    "a translated group": (_doc(f'<g transform="translate(4,5)">{RECT.format(1, 2, 40, 30)}</g>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "a scaled group": (_doc(f'<g transform="scale(2)">{RECT.format(2.5, 3.5, 20, 15)}</g>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "a group scaled unevenly": (_doc(f'<g transform="scale(4 .5)">{RECT.format(1.25, 14, 10, 60)}</g>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "groups in groups, moved back": (
        _doc(f'<g transform="translate(9 9) scale(2)"><g transform="scale(.5),translate(-9,-9)">{RECT.format(5, 7, 40, 30)}</g></g>'),
        40, 30, (1, 0, 0, 1, 5, 7),
    ),
    "a rotated group": (_doc(f'<g transform="translate(20,3) rotate(20)">{RECT.format(0, 0, 40, 30)}</g>'), 40, 30, _turned(20, 20, 3)),
    "rotated about a place": (
        _doc(RECT.format(10, 15, 40, 30).replace("/>", ' transform="rotate(-30 10 15)"/>')), 40, 30, _turned(-30, 10, 15),
    ),
    "turned to the right": (_doc(f'<g transform="translate(40,5) rotate(90)">{RECT.format(0, 0, 40, 30)}</g>'), 40, 30, _turned(90, 40, 5)),
    "mirrored left and right": (_doc(f'<g transform="translate(50,0) scale(-1,1)">{RECT.format(5, 7, 40, 30)}</g>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "mirrored top and bottom": (_doc(f'<g transform="matrix(1 0 0 -1 0 44)">{RECT.format(5, 7, 40, 30)}</g>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "mirrored and turned": (
        _doc(f'<g transform="translate(20,3) rotate(20) translate(40 0) scale(-1 1)">{RECT.format(0, 0, 40, 30)}</g>'), 40, 30, _turned(20, 20, 3),
    ),
    "inside a link": (_doc(f'<a xlink:href="#edge" transform="translate(4,5)">{RECT.format(1, 2, 40, 30)}</a>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "rounded corners": (_doc(RECT.format(5, 7, 40, 30).replace("/>", ' rx="3" ry="2"/>')), 40, 30, (1, 0, 0, 1, 5, 7)),
    "a thick stroke": (_doc(RECT.format(5, 7, 40, 30).replace("/>", ' style="stroke:#000;stroke-width:6"/>')), 40, 30, (1, 0, 0, 1, 5, 7)),
    "polygon": (_doc('<polygon id="edge" points="5,7 45,7 45,37 5,37"/>'), 40, 30, (1, 0, 0, 1, 5, 7)),
    "polygon, listed twice round": (_doc('<polygon id="edge" points="5 37 5 7 45 7 45 37 5 37"/>'), 40, 30, (1, 0, 0, 1, 5, 7)),
}  # fmt: skip

PATHS = {
    "absolute": "M 5,7 L 45,7 L 45,37 L 5,37 Z",
    "relative": "m 5,7 l 40,0 l 0,30 l -40,0 z",
    "relative, one letter": "m 5,7 40,0 0,30 -40,0 z",
    "level and upright lines": "M5 7H45V37H5Z",
    "level and upright steps": "m5 7h40v30h-40z",
    "closed by its last line": "M 5,7 45,7 45,37 5,37 5,7",
    "closed twice": "M 5,7 45,7 45,37 5,37 5,7 Z",
    "beginning at the second corner": "M 45,7 45,37 5,37 5,7 Z",
    "beginning at the third corner": "M 45,37 5,37 5,7 45,7 Z",
    "beginning at the fourth corner": "M 5,37 5,7 45,7 45,37 Z",
    "the other way round": "M 5,7 5,37 45,37 45,7 Z",
    "the other way round from the third corner": "M 45,37 45,7 5,7 5,37 Z",
    "a node more on a side": "M 5,7 20,7 45,7 45,37 5,37 Z",
    "beginning in the middle of a side": "M 20,7 45,7 45,37 5,37 5,7 Z",
    "a node twice": "M 5,7 45,7 45,7 45,37 5,37 Z",
    "with exponents and no blanks": "M5,7L4.5e1,7,45,3.7E+1,5,37z",
}


def _path(data: str) -> str:
    return _doc(f'<path id="edge" d="{data}"/>')


DRAWN |= {f"path, {name}": (_path(data), 40, 30, (1, 0, 0, 1, 5, 7)) for name, data in PATHS.items()}
DRAWN["path, turned"] = (
    _doc('<path id="edge" transform="translate(20,3) rotate(20)" d="M 40,30 40,0 0,0 0,30 Z"/>'), 40, 30, _turned(20, 20, 3),
)  # fmt: skip


@pytest.mark.parametrize("name", DRAWN)
def test_the_border_lies_where_the_shape_lies(
    name: str, border: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """Border seam, stop line and the ends of every side's zigzag, to five thousandths of an inch."""
    document, width, height, place = DRAWN[name]
    wide = 0.5 if width < 10 else 4
    drawing = read(border(document, "--width", wide, "--binding", "0.25", "--corner", "square"))
    same_place(drawing, (width, height), (wide,) * 4, 0.25, place, near=NEAR)


def test_rounded_corners_are_told_in_the_notes(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """They are ignored, and she is told; where there are none, nothing is said."""
    said = "".join(read(border(DRAWN["rounded corners"][0])).layer("notes").itertext())
    assert "rounded corners" in said
    assert "edge" in said
    assert "rounded" not in "".join(read(border(DRAWN["inches with a viewBox"][0])).layer("notes").itertext())


GOOD = RECT.format(5, 7, 40, 30)
REFUSED = {
    "text": (_doc('<text id="edge" x="5" y="9">Quilt</text>'), "text"),
    "a circle": (_doc('<circle id="edge" cx="20" cy="20" r="15"/>'), "circle"),
    "an ellipse": (_doc('<ellipse id="edge" cx="20" cy="20" rx="15" ry="9"/>'), "ellipse"),
    "a picture": (_doc('<image id="edge" width="40" height="30"/>'), "image"),
    "a line": (_doc('<line id="edge" x1="5" x2="45"/>'), "line"),
    "a group": (_doc(f'<g id="edge">{RECT.format(5, 7, 40, 30).replace("edge", "r")}</g>'), ""),
    "the document": (_doc(GOOD.replace("edge", "r")).replace("<svg", '<svg id="edge"'), ""),
    "a clone": (_doc(f'{GOOD.replace("edge", "r")}<use id="edge" xlink:href="#r"/>'), "clone"),
    "curves": (_path("M 5,7 C 10,0 40,0 45,7 L 45,37 5,37 Z"), "straight"),
    "a rounded path": (_path("M 8,7 H 42 A 3 3 0 0 1 45,10 V 37 H 5 V 10 Q 5,7 8,7 Z"), "straight"),
    "an open path": (_path("M 5,7 45,7 45,37 5,37"), "closed"),
    "an open polyline": (_doc('<polyline id="edge" points="5,7 45,7 45,37 5,37"/>'), ""),
    "two outlines in one path": (_path("M 5,7 45,7 45,37 5,37 Z M 9,9 40,9 40,30 9,30 Z"), "closed"),
    "an empty path": (_path(""), ""),
    "a path of one node": (_path("M 5,7 Z"), ""),
    "a path of rubbish": (_path("a quilt"), ""),
    "a path that ends early": (_path("M 5,7 L 45,7 45"), ""),
    "a path with endless numbers": (_path("M 5,7 1e999,7 45,37 5,37 Z"), ""),
    "a bow tie": (_path("M 5,7 45,37 45,7 5,37 Z"), "crosses itself"),
    "a side laid upon another": (_path("M 5,7 45,7 45,37 25,37 25,7 15,7 15,37 5,37 Z"), "crosses itself"),
    "thirteen sides": (_path("M 5,7 45,7 47,12 49,20 48,25 45,37 40,39 30,41 20,41 10,39 5,37 3,30 2,20 Z"), "13 sides"),
    "a corner folded back": (_path("M 5,7 45,7 45,37 44,7.5 5,37 Z"), "degrees"),
    "a polygon with a number missing": (_doc('<polygon id="edge" points="5,7 45,7 45,37 5"/>'), ""),
    "no width": (_doc('<rect id="edge" height="30"/>'), "no size"),
    "zero width": (_doc(RECT.format(5, 7, 0, 30)), "no size"),
    "zero height": (_doc(RECT.format(5, 7, 40, 0)), "no size"),
    "negative width": (_doc(RECT.format(5, 7, -40, 30)), "no size"),
    "width in percent": (_doc(RECT.format(5, 7, "50%", 30)), "50%"),
    "x that is no number": (_doc(RECT.format("nan", 7, 40, 30)), "nan"),
    "endless height": (_doc(RECT.format(5, 7, 40, "inf")), "inf"),
    "huge": (_doc(RECT.format(5, 7, "1e300", "1e300")), ""),
    "a flat path": (_path("M 5,7 45,7 30,7 9,7 Z"), "no size"),
    "a group scaled to nothing": (_doc(f'<g transform="scale(0)">{GOOD}</g>'), "no size"),
    "a matrix with too few numbers": (_doc(f'<g transform="matrix(1 0 0 1)">{GOOD}</g>'), "transform"),
    "an endless transform": (_doc(f'<g transform="scale(1e200)"><g transform="scale(1e200)">{GOOD}</g></g>'), ""),
    "a nested svg": (_doc(f'<svg x="3" width="60" height="60">{GOOD}</svg>'), "svg"),
    "definitions": (_doc(f"<defs>{GOOD}</defs>"), "defs"),
    "a symbol": (_doc(f"<symbol>{GOOD}</symbol>"), "symbol"),
    "a clip": (_doc(f'<clipPath id="c">{GOOD}</clipPath>'), "clipPath"),
    "a mask": (_doc(f'<mask id="c">{GOOD}</mask>'), "mask"),
    "a marker": (_doc(f'<marker id="c">{GOOD}</marker>'), "marker"),
    "a pattern": (_doc(f'<pattern id="c"><g>{GOOD}</g></pattern>'), "pattern"),
    "placed by its style": (_doc(GOOD.replace("/>", ' style="width:20px"/>')), "style"),
    "moved by its style": (_doc(f'<g style="transform:rotate(20deg)">{GOOD}</g>'), "style"),
    "moved by a style sheet": (_doc(f"<style>#edge {{ transform: scale(2) }}</style>{GOOD}"), "style"),
    "the same id twice": (_doc(GOOD + GOOD), "2 shapes"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_quilt_s_edge_is_refused(name: str, refusal: Callable[..., str]) -> None:
    """One sentence that says what was found and what to do."""
    document, told = REFUSED[name]
    said = refusal(document)
    assert told in said
    assert "please" in said


@pytest.mark.parametrize(
    ("ids", "told"),
    [
        ((), "Nothing is selected"),
        (("elsewhere",), "elsewhere"),
        (("edge", "elsewhere"), "elsewhere"),
        (("a", "b", "c"), "no shape"),
        (("edge", "a", "b", "c", "d"), "no shape"),
        (("",), "id"),
        (("two\nlines",), "id"),
        (("x" * 5000,), "xxx"),
    ],
)
def test_the_wrong_number_of_shapes_or_an_unknown_one_is_refused(
    ids: tuple[str, ...], told: str, refusal: Callable[..., str]
) -> None:
    """It must be one or two that are there."""
    said = refusal(_doc(GOOD), ids=ids)
    assert told in said
    assert len(said) < 1000


@pytest.mark.parametrize("attribute", ['width="4&#10;x"', 'width="4" transform="a&#10;b(1)"', 'width="4" x="&#x2028;"'])
def test_line_breaks_in_the_shape_s_attributes_do_not_break_the_sentence(
    attribute: str, refusal: Callable[..., str]
) -> None:
    """What is quoted from the document stays on the one line."""
    refusal(_doc(f'<rect id="edge" height="0" {attribute}/>'))
