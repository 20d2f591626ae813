"""Borders in tiers in the document: drawn, drawn again, read back, kept, ordered, filled, checked, printed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from extension.border import draw_border
from extension.document import SVG, read_document, value_of
from extension.ground import borders_in
from extension.keeping import KEPT
from extension.options import BORDER_OPTIONS, read_options
from extension.reading import read_border

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    from lxml import etree

    from extension.document import Document

QUILT = (
    f'<svg xmlns="{SVG}" width="44in" height="54in" viewBox="0 0 44 54">'
    '<rect id="edge" x="2" y="2" width="40" height="50"/></svg>'
)
OPTIONS = ("--id", "edge", "--width", "8", "--tiers", "2")


def drawn(document: Document, **given: str) -> Document:
    """Draw, and read what was written."""
    options = {option.name: option.default for option in BORDER_OPTIONS}
    draw_border(document, ["edge"], read_options({**options, **given}, BORDER_OPTIONS))
    return read_document(document.to_bytes())


def section(document: Document, name: str) -> etree._Element:
    """The group of a section."""
    return next(g for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "section") == name)


def moved(group: etree._Element) -> str:
    """Move the second node of a section's first line; returns the path as it then is."""
    path = group[0]
    data = path.get("d", "")
    spot = list(re.finditer(r"([-\d.]+),([-\d.]+)", data))[1]
    path.set("d", f"{data[: spot.start()]}{float(spot[1]) + 0.2:.7f},{float(spot[2]) + 0.1:.7f}{data[spot.end() :]}")
    return str(path.get("d"))


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("tiers", ["2", "3"])
def test_drawing_twice_changes_nothing(tiers: str, corner: str) -> None:
    """Byte for byte."""
    first = drawn(read_document(QUILT.encode()), width="9", tiers=tiers, corner=corner)
    assert drawn(read_document(first.to_bytes()), width="9", tiers=tiers, corner=corner).to_bytes() == first.to_bytes()


@pytest.mark.parametrize(
    "given",
    [
        {"tiers": "2", "under": "true", "fill": "channels", "order": "across"},
        {"tiers": "3", "echo": "1", "order": "zigzag", "corner": "square"},
        {"tiers": "2", "match": "true", "outerfill": "echoes", "width": "9, 7, 8, 8"},
        {"tiers": "3", "kind": "inner", "fill": "wedges", "fit": "ease"},
        {"tiers": "2", "sides": "top, left", "fit": "marks", "every": "2", "shrink": "3"},
    ],
    ids=str,
)
def test_drawing_twice_changes_nothing_with_other_options(given: dict[str, str]) -> None:
    """Byte for byte."""
    options = {"width": "9", **given}
    first = drawn(read_document(QUILT.encode()), **options)
    assert drawn(read_document(first.to_bytes()), **options).to_bytes() == first.to_bytes()


def test_what_stands_in_the_document() -> None:
    """Sides and sections tell their tier above the lowest; the line between is a guide; the run is one."""
    document = drawn(read_document(QUILT.encode()), width="8", tiers="2")
    parts = [value_of(e, "part") for e in document.root.iter(f"{{{SVG}}}path")]
    assert parts.count("mid-line") == 1
    assert parts.count("run") == 1
    sides = [(value_of(e, "side"), value_of(e, "tier")) for e in document.root.iter() if value_of(e, "part") == "side"]
    places = ("top", "right", "bottom", "left")
    assert sides == [*((place, "") for place in places), *((place, "2") for place in places)]
    group = section(document, "top-tier2-in-3")
    assert (value_of(group, "side"), value_of(group, "tier"), value_of(group, "base")) == ("top", "2", "inner")
    assert value_of(section(document, "top-in-3"), "tier") == ""


def test_one_tier_says_nothing_of_tiers() -> None:
    """As ever."""
    document = drawn(read_document(QUILT.encode()), width="8")
    assert not any(value_of(e, "tier") for e in document.root.iter())
    assert not any(value_of(e, "part") == "mid-line" for e in document.root.iter())


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
def test_it_is_read_back_as_drawn(corner: str) -> None:
    """Zigzags and sections, as they stand and as they were fitted."""
    document = drawn(read_document(QUILT.encode()), width="9", tiers="3", corner=corner)
    layer = borders_in(document)[0]
    for as_fitted in (False, True):
        standing = read_border(document, layer, as_fitted=as_fitted)
        assert not standing.loose
        assert len(standing.zigzags) == 12
        groups = [value_of(g, "section") for g in document.root.iter(f"{{{SVG}}}g") if value_of(g, "section")]
        assert [one.section.name for one in standing.sections] == groups
        assert all(one.lines for one in standing.sections)


def test_an_edit_in_the_second_tier_is_carried() -> None:
    """To its new triangle when the border is made wider, and home again when it is made as it was."""
    first = drawn(read_document(QUILT.encode()), width="8", tiers="2", size="count", across="3", down="4")
    hers = moved(section(first, "right-tier2-out-2"))
    count = {"size": "count", "across": "3", "down": "4", "tiers": "2"}
    wider = drawn(first, width="9", **count)
    assert section(wider, "right-tier2-out-2")[0].get("d") != hers
    assert not any(value_of(e, "part") == KEPT for e in wider.root.iter())
    back = drawn(wider, width="8", **count)
    now, then = (
        [float(number) for number in re.findall(r"-?\d+\.?\d*", data)]
        for data in (section(back, "right-tier2-out-2")[0].get("d", ""), hers)
    )
    assert now == pytest.approx(then, abs=1e-3)


def test_an_edit_in_a_tier_that_goes_is_put_aside() -> None:
    """Nothing is lost."""
    first = drawn(read_document(QUILT.encode()), width="8", tiers="2")
    hers = moved(section(first, "right-tier2-out-2"))
    one = drawn(first, width="8")
    kept = next(g for g in one.root.iter(f"{{{SVG}}}g") if value_of(g, "part") == KEPT)
    assert [path.get("d") for path in kept] == [hers]


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
def test_it_is_ordered_and_filled_anew(
    order: str, tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> None:
    """By the commands; as many runs as on a plain border."""
    source, other, filled = tmp_path / "a.svg", tmp_path / "b.svg", tmp_path / "c.svg"
    source.write_text(QUILT, "utf-8")
    for arguments in (
        ("border", source, *OPTIONS, "-o", other),
        ("order", other, "--order", order, "-o", filled),
    ):
        assert cornerwise(*arguments).returncode == 0
    document = read_document(filled.read_bytes())
    runs = [e for e in document.root.iter() if value_of(e, "part") == "run"]
    assert len(runs) == (3 if order == "zigzag" else 1)
    name = str(section(document, "left-tier2-in-2").get("id"))
    made = cornerwise("fill", filled, "--id", name, "--fill", "channels", "-o", other)
    assert made.returncode == 0, made.stderr
    group = section(read_document(other.read_bytes()), "left-tier2-in-2")
    assert value_of(group, "fill") == "channels"
    assert len(group) == 1


def test_it_is_checked_and_printed(
    tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> None:
    """A border just drawn has no faults; the booklet is made; a point moved off its line is found in its tier."""
    source, other, pages = tmp_path / "a.svg", tmp_path / "b.svg", tmp_path / "c.pdf"
    source.write_text(QUILT, "utf-8")
    assert cornerwise("border", source, *OPTIONS, "-o", other).returncode == 0
    found = cornerwise("check", other)
    assert found.returncode == 0, found.stdout
    assert cornerwise("booklet", other, "-o", pages).returncode == 0
    assert pages.read_bytes().startswith(b"%PDF")
    document = read_document(other.read_bytes())
    side = next(e for e in document.root.iter() if value_of(e, "part") == "side" and value_of(e, "tier") == "2")
    moved([side])  # type: ignore[arg-type]
    other.write_bytes(document.to_bytes())
    found = cornerwise("check", other)
    assert found.returncode == 1
    assert b"tier 2 of the top" in found.stdout


@pytest.mark.parametrize(
    ("tiers", "width", "words"),
    [
        ("0", "8", "The tiers is given as “0”; it must be a whole number from 1 to 3"),
        ("4", "8", "The tiers is given as “4”; it must be a whole number from 1 to 3"),
        ("1.5", "8", "must be a whole number from 1 to 3"),
        ("3", "1.5", "each must be at least 1/2 in: please ask for 2 tiers"),
        ("2", "1.2", "please ask for one tier"),
    ],
)
def test_bad_input_is_one_sentence(
    tiers: str, width: str, words: str, tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> None:
    """Too few, too many, too low."""
    source = tmp_path / "a.svg"
    source.write_text(QUILT, "utf-8")
    made = cornerwise("border", source, "--id", "edge", "--width", width, "--tiers", tiers)
    assert made.returncode == 2
    assert not made.stdout
    assert words in made.stderr.decode()
    assert made.stderr.decode().count("\n") == 1


@pytest.mark.parametrize(
    ("shape", "options"),
    [
        ('<path id="edge" d="M2,2 L22,2 L22,22 L42,22 L42,52 L2,52 Z"/>', ()),
        (
            '<rect id="edge" x="2" y="2" width="40" height="50"/>',
            ("--sides", "right, bottom, left", "--order", "zigzag"),
        ),
        ('<rect id="edge" x="2" y="2" width="40" height="50"/>', ("--sides", "top, left", "--tiers", "3")),
    ],
)
def test_a_booklet_of_tiers_that_end_or_turn_inwards(
    shape: str,
    options: tuple[str, ...],
    tmp_path: Path,
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
) -> None:
    """Sides that have numbers; tiers of a strip, each with a zigzag of its own."""
    source, other, pages = tmp_path / "a.svg", tmp_path / "b.svg", tmp_path / "c.pdf"
    source.write_text(f'<svg xmlns="{SVG}" width="44in" height="54in" viewBox="0 0 44 54">{shape}</svg>', "utf-8")
    assert cornerwise("border", source, *OPTIONS, *options, "-o", other).returncode == 0
    made = cornerwise("booklet", other, "-o", pages)
    assert made.returncode == 0, made.stderr
    assert pages.read_bytes().startswith(b"%PDF")
