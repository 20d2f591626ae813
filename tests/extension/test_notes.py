"""The notes layer: what was fitted, in plain words, and whatever needs saying."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable


def _doc(width: float = 48, height: float = 64) -> str:
    edge = f'<rect id="edge" width="{width}" height="{height}"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="90in" height="90in" viewBox="0 0 90 90">{edge}</svg>'


@pytest.fixture
def notes(border: Callable[..., bytes], read: Callable[..., object]) -> Callable[..., str]:
    """Draw, and read the notes as one text."""

    def draw(*options: str, document: str = _doc()) -> str:
        layer = read(border(document, *options)).layer("notes")
        return " ".join(" ".join(span.itertext()) for span in layer.iter("{*}tspan"))

    return draw


def test_the_notes_tell_the_quilt_and_what_was_fitted(notes: Callable[..., str]) -> None:
    """Sizes as fractions, counts and repeats for each pair of sides, with words she knows."""
    said = notes("--size", "repeat", "--repeat", "8")
    assert "Quilt 48 × 64 in, border 4 in wide" in said
    assert "3/8 in from the trimmed edge" in said
    assert "Top and bottom: 5 triangles of 8 in on 40 in" in said
    assert "Right and left: 7 triangles of 8 in on 56 in" in said
    assert "as asked" in said
    assert "mitred" in said


def test_an_eased_side_is_told_with_its_middle_and_its_ends(notes: Callable[..., str]) -> None:
    """How many of which size, and by how much the last ones differ."""
    said = notes("--size", "repeat", "--repeat", "7", "--fit", "ease", "--last", "2")
    assert "in the middle" in said
    assert "before each corner" in said


def test_a_side_that_cannot_be_eased_is_told(notes: Callable[..., str]) -> None:
    """So that nobody wonders why the middle is not as asked."""
    said = notes("--size", "repeat", "--repeat", "7", "--fit", "ease", document=_doc(18.5, 18.5))
    assert "no easing" in said


def test_a_difference_above_fifteen_percent_is_told_with_what_would_fit(notes: Callable[..., str]) -> None:
    """10 in on each side at a repeat of 7 is 1 triangle of 10 or 2 of 5: both far off."""
    said = notes("--size", "repeat", "--repeat", "7", document=_doc(18, 18))
    assert "more than 15 %" in said
    assert "would fit exactly" in said
    assert ("a repeat of 5 in" in said) or ("a repeat of 10 in" in said)
    assert "more than 15 %" not in notes("--size", "repeat", "--repeat", "8")


@pytest.mark.parametrize(("binding", "told"), [("0.2", True), ("0.24", True), ("0.25", False), ("0.375", False)])
def test_too_little_room_for_the_binding_is_warned_of(binding: str, notes: Callable[..., str], *, told: bool) -> None:
    """A binding covers a quarter of an inch; less room is drawn, with a warning."""
    assert ("Take care" in notes("--binding", binding)) == told


def test_no_binding_is_warned_of_on_an_inner_border(notes: Callable[..., str]) -> None:
    """There is none."""
    assert "binding" not in notes("--kind", "inner", "--binding", "0")


def test_sections_left_without_a_fill_are_told(
    notes: Callable[..., str], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """With the reason, and the section says so itself."""
    options = ("--width", "1", "--spacing", "4")
    drawing = read(border(_doc(), *options))
    empty = [s for s in drawing.parts("section") if not len(s)]
    assert empty
    assert all(s.get("{urn:cornerwise}note") for s in empty)
    said = notes(*options)
    assert "without a fill" in said
    assert str(len(empty)) in said
    assert "without a fill" not in notes()


def test_different_widths_are_told_side_by_side(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """In the order top, right, bottom, left."""
    seam = '<rect id="seam" x="4" y="5" width="38" height="52"/>'
    drawing = read(border(_doc().replace("</svg>", f"{seam}</svg>"), ids=("edge", "seam")))
    assert "border 5 in / 6 in / 7 in / 4 in wide" in "".join(drawing.layer("notes").itertext())


def test_the_notes_are_text_of_a_size_to_read_beside_the_quilt(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Below the trimmed edge, in no more lines than fit, without a child of another namespace."""
    text = read(border(_doc())).layer("note")
    assert text.tag.endswith("text")
    below = [float(number) for number in re.findall(r"[-\d.]+", text.get("transform"))][5]
    assert below > 64
    assert 3 <= len(text) <= 12
    assert all(span.tag == "{http://www.w3.org/2000/svg}tspan" for span in text)
