"""The page: how many real inches one user unit is, or why it has no true size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from lxml import etree

from extension.page import absolute_length, inches_per_unit
from geometry.errors import DocumentError

if TYPE_CHECKING:
    from collections.abc import Callable

EDGE = '<rect id="edge" width="40" height="40"/>'


def _page(attributes: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{EDGE}</svg>'


@pytest.mark.parametrize(
    ("text", "inches"),
    # CSS Values and Units (W3C): 1 in = 2.54 cm = 25.4 mm = 101.6 Q = 72 pt = 6 pc = 96 px
    [
        ("1in", 1), ("2.54cm", 1), ("25.4mm", 1), ("101.6Q", 1), ("72pt", 1), ("6pc", 1), ("96px", 1), ("96", 1),
        (" 12.5in ", 12.5), ("+.5in", 0.5), ("-2in", -2), ("1e2mm", 100 / 25.4), ("5.in", 5),
    ],
)  # fmt: skip
def test_absolute_lengths_are_read_in_inches(text: str, inches: float) -> None:
    """Every absolute unit of SVG, at 96 px to the inch."""
    assert absolute_length(text) == pytest.approx(inches, abs=1e-12)


@pytest.mark.parametrize(
    "text", ["", "100%", "3em", "2ex", "auto", "1vw", "nan", "inf", "1e999in", "1 2", "0x10", "1,5in", "in"]
)
def test_what_is_no_absolute_length_is_none(text: str) -> None:
    """Relative, endless or no numbers."""
    assert absolute_length(text) is None


@pytest.mark.parametrize(
    ("attributes", "inches"),
    [
        ('width="48in" height="64in" viewBox="0 0 48 64"', 1),
        ('width="1219.2mm" height="1625.6mm" viewBox="0 0 1219.2 1625.6"', 1 / 25.4),
        ('width="8.5in" height="11in" viewBox="0 0 215.9 279.4"', 1 / 25.4),
        ('width="4608" height="6144"', 1 / 96),
        ('width="4608px" height="6144px"', 1 / 96),
        ('width="48in" height="64in"', 1 / 96),
        ('width="48in" height="64in" viewBox="-7 12 96 128"', 0.5),
        ('width="48in" height="64in" viewBox="-7,12,96,128"', 0.5),
        ('width="100cm" height="50cm" viewBox="0 0 1000 500"', 1 / 25.4),
        ('width="800" height="600" viewBox="0 0 400 300"', 2 / 96),
    ],
)
def test_a_page_with_a_size_gives_inches_per_unit(attributes: str, inches: float) -> None:
    """Size over viewBox, whatever the units."""
    assert inches_per_unit(etree.fromstring(_page(attributes))) == pytest.approx(inches, rel=1e-12)


@pytest.mark.parametrize(("off", "accepted"), [(0.00002, True), (0.001, False)])
def test_scales_that_differ_by_rounding_are_one_scale(off: float, *, accepted: bool) -> None:
    """Editors write sizes with a few decimals only; a thousandth is no rounding on a quilt of 100 in."""
    root = etree.fromstring(_page(f'width="{100 * (1 + off)}in" height="100in" viewBox="0 0 100 100"'))
    if accepted:
        assert inches_per_unit(root) == pytest.approx(1, abs=1e-4)
    else:
        with pytest.raises(DocumentError, match="differently across and down"):
            inches_per_unit(root)


@pytest.mark.parametrize(
    ("attributes", "told"),
    [
        ('height="64in" viewBox="0 0 48 64"', "no width"),
        ('width="48in" viewBox="0 0 48 64"', "no height"),
        ('viewBox="0 0 48 64"', "no width"),
        ("", "no width"),
        ('width="100%" height="100%" viewBox="0 0 48 64"', "100%"),
        ('width="48em" height="64em" viewBox="0 0 48 64"', "48em"),
        ('width="auto" height="64in" viewBox="0 0 48 64"', "auto"),
        ('width="-48in" height="64in" viewBox="0 0 48 64"', "-48in"),
        ('width="48in" height="0" viewBox="0 0 48 64"', "“0”"),
        ('width="nan" height="64in" viewBox="0 0 48 64"', "nan"),
        ('width="inf" height="64in" viewBox="0 0 48 64"', "inf"),
        ('width="1e999in" height="64in" viewBox="0 0 48 64"', "1e999in"),
        ('width="48in" height="64in" viewBox="0 0 48 48"', "differently"),
        ('width="48in" height="64in" viewBox="0 0 100 100" preserveAspectRatio="none"', "differently"),
        ('width="48in" height="64in" viewBox="0 0 0 64"', "viewBox"),
        ('width="48in" height="64in" viewBox="0 0 -48 64"', "viewBox"),
        ('width="48in" height="64in" viewBox="0 0 48"', "viewBox"),
        ('width="48in" height="64in" viewBox="0 0 48 nan"', "viewBox"),
        ('width="48in" height="64in" viewBox=""', "viewBox"),
        ('width="48in" height="64in" viewBox="none"', "viewBox"),
        ('width="1e-300in" height="1e-300in" viewBox="0 0 1e300 1e300"', "scale"),
        ('width="1e300in" height="1e300in" viewBox="0 0 1 1"', "scale"),
    ],
)
def test_a_page_without_a_true_size_is_refused(attributes: str, told: str, refusal: Callable[..., str]) -> None:
    """One sentence that names what was found and says where to put it right."""
    said = refusal(_page(attributes))
    assert told in said
    assert "Document Properties" in said


@pytest.mark.parametrize(
    "attributes",
    [
        'width="10%&#10;of it" height="64in"',
        'width="48in" height="a&#10;b"',
        'width="48in" height="64in" viewBox="0 0&#13;&#10; 48"',
        'width="48in" height="64in" viewBox="0 0&#x2028; 48"',
        'width="48in" height="64in" viewBox="a&#x85;b"',
    ],
)
def test_line_breaks_inside_a_stranger_s_attributes_do_not_break_the_sentence(
    attributes: str, refusal: Callable[..., str]
) -> None:
    """What is quoted from the document stays on the one line."""
    refusal(_page(attributes))


def test_a_very_long_attribute_is_not_quoted_whole(refusal: Callable[..., str]) -> None:
    """A sentence stays one that can be read."""
    assert len(refusal(_page(f'width="{"x" * 50_000}" height="64in"'))) < 1000
