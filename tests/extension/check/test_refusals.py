"""What cannot be looked at is refused in one sentence; what is far too much is looked at all the same, in bounded time."""

from __future__ import annotations

import json
import math
import random
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"


@pytest.fixture
def refused(tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]) -> Callable[..., str]:
    """Check what must be refused; returns the sentence, having seen that nothing was written."""

    def run(data: bytes, *options: str) -> str:
        source, out = tmp_path / "in.svg", tmp_path / "out.svg"
        source.write_bytes(data)
        said = sentence(cornerwise("check", source, "-o", out, *options))
        assert not out.exists()
        assert source.read_bytes() == data
        return said

    return run


def _drawn(sheet: Callable[..., Any], **options: str) -> Any:
    return sheet("in inches", fill="echoes", **options)


@pytest.mark.parametrize(
    "data",
    [b"", b"not xml", b"<html/>", b'<svg xmlns="http://www.w3.org/2000/svg"/>', b"\x00\x01\x02"],
    ids=["empty", "words", "another kind", "nothing drawn", "bytes"],
)
def test_a_document_that_holds_no_border(data: bytes, refused: Callable[..., str]) -> None:
    """Or is none."""
    refused(data)


def test_a_border_that_has_lost_what_holds_it_together(sheet: Callable[..., Any], refused: Callable[..., str]) -> None:
    """Its recipe, its zigzag, one side's zigzag, its size; each named."""
    drawn = _drawn(sheet)
    del drawn.parts("border")[0].attrib[f"{CW}recipe"]
    assert "recipe" in refused(etree.tostring(drawn.root))
    drawn = _drawn(sheet)
    drawn.side("left").getparent().remove(drawn.side("left"))
    assert "zigzag of the left side" in refused(etree.tostring(drawn.root))
    drawn = _drawn(sheet)
    drawn.parts("zigzag")[0].getparent().remove(drawn.parts("zigzag")[0])
    assert "zigzag" in refused(etree.tostring(drawn.root))
    drawn = _drawn(sheet)
    drawn.parts("border")[0].set("transform", "scale(1,0)")
    assert "flattened" in refused(etree.tostring(drawn.root))
    drawn.parts("border")[0].set("transform", "scale(1,2)")
    assert "stretched" in refused(etree.tostring(drawn.root))


@pytest.mark.parametrize("corners", ["nan,1 2,3 4,5", "1,1 1,1 1,1", "hello", "1,1 2,2", "1e300,1 1,1e300 2,2"])
def test_corners_that_say_nothing_are_found_in_the_zigzag(corners: str, sheet: Callable[..., Any]) -> None:
    """Of all sections; harmed, the same is told."""
    drawn = _drawn(sheet)
    drawn.clear("top-in-2")
    told = drawn.found()
    for group in drawn.parts("section"):
        group.set(f"{CW}corners", corners)
    assert drawn.found() == told


def test_fills_flattened_to_a_point_are_no_fills(sheet: Callable[..., Any]) -> None:
    """Nothing is left of them to be stitched."""
    drawn = _drawn(sheet)
    filled = [group.get(f"{CW}section") for group in drawn.parts("section") if len(group)]
    drawn.parts("fills")[0].set("transform", "scale(0)")
    found = drawn.found()
    assert {one["kind"] for one in found} == {"no-fill"}
    assert sorted(one["section"] for one in found) == sorted(filled)


def test_a_path_that_goes_beyond_all_numbers(sheet: Callable[..., Any], refused: Callable[..., str]) -> None:
    """Named, with what to do."""
    drawn = _drawn(sheet)
    drawn.section("top-in-2")[0].set("d", "M 1,1 L 1e999,3")
    drawn.section("top-in-2")[0].set("id", "broken")
    assert "“broken”" in refused(etree.tostring(drawn.root))


@pytest.mark.parametrize("data", ["", "hello", "M 1,1 Q", "M 13,3"])
def test_a_path_that_shows_nothing_is_no_fill(data: str, sheet: Callable[..., Any]) -> None:
    """As the editor shows it."""
    drawn = _drawn(sheet)
    drawn.section("top-in-2")[0].set("d", data)
    assert [(one["kind"], one["section"]) for one in drawn.found()] == [("no-fill", "top-in-2")]


@pytest.mark.parametrize("limit", ["--binding=-1", "--open=-2", "--close=-1", "--point=1", "--over=0", "--sharp=91", "--batting=silk"])  # fmt: skip
def test_a_limit_that_makes_no_sense(limit: str, sheet: Callable[..., Any], refused: Callable[..., str]) -> None:
    """Says which."""
    assert limit[2:].split("=", maxsplit=1)[0] in refused(etree.tostring(_drawn(sheet).root), limit)


@pytest.mark.parametrize("limit", ["--binding=40", "--open=500", "--close=50", "--sharp=90", "--sharp=0", "--point=50"])
def test_a_limit_at_the_end_of_its_range_is_followed(
    limit: str, sheet: Callable[..., Any], tmp_path: Path, cornerwise: Run
) -> None:
    """With findings or without."""
    (tmp_path / "in.svg").write_bytes(etree.tostring(_drawn(sheet).root))
    done = cornerwise("check", tmp_path / "in.svg", limit)
    assert (done.returncode, done.stderr) in {(0, b""), (1, b"")}


def test_of_two_borders_both_are_looked_at_or_the_one_that_is_chosen(
    sheet: Callable[..., Any], tmp_path: Path, cornerwise: Run
) -> None:
    """By its edge, or by anything in it."""
    drawn = _drawn(sheet)
    drawn.clear("top-in-2")
    (tmp_path / "one.svg").write_bytes(etree.tostring(drawn.root).replace(b"<rect ", b'<rect id="other" x="60" width="30" height="30" fill="none"/><rect ', 1))  # fmt: skip
    assert cornerwise("border", tmp_path / "one.svg", "--id", "other", "-o", tmp_path / "two.svg").returncode == 0
    both, one, two = (
        json.loads(cornerwise("check", tmp_path / "two.svg", "--json", *ids).stdout)
        for ids in ((), ("--id", "edge"), ("--id", "other"))
    )
    assert [found["section"] for found in both["findings"]] == ["top-in-2"] == [f["section"] for f in one["findings"]]
    assert two["findings"] == []
    assert both["totals"]["sections"] == one["totals"]["sections"] + two["totals"]["sections"]
    said = cornerwise("check", tmp_path / "two.svg").stdout.decode()
    assert said.index("Border 36 × 48 in") < said.index("One finding") < said.index("Border 30 × 30 in")
    assert said.index("Border 30 × 30 in") < said.index("Nothing found")


def _scribble(drawn: Any) -> None:
    """One line of 300 nodes to and fro in a triangle."""
    spots, (one, two, tip) = random.Random(1), drawn.corners("top-in-2")
    line = []
    for _ in range(300):
        u, v = sorted((spots.random(), spots.random()))
        line.append(tuple(one[i] * u + two[i] * (v - u) + tip[i] * (1 - v) for i in (0, 1)))
    drawn.draw("top-in-2", line)


def _freehand(drawn: Any) -> None:
    """A spiral with 40,000 nodes."""
    turns = (i * math.tau * 6 / 40_000 for i in range(40_000))
    drawn.draw("top-in-2", [(14.5 + (0.3 + t / 40) * math.cos(t), 2.7 + (0.3 + t / 40) * math.sin(t)) for t in turns])


def _strewn(drawn: Any) -> None:
    """6,000 short strokes."""
    spots, names = random.Random(2), [name for name in drawn.names() if "corner" not in name]
    for number in range(6_000):
        x, y = drawn.corners(names[number % len(names)])[2]
        x, y = x + spots.uniform(-1, 1), y + spots.uniform(-1, 1)
        drawn.draw(names[number % len(names)], [(x, y), (x + 0.1, y + spots.uniform(-0.1, 0.1))])


@pytest.mark.parametrize("much", [_scribble, _freehand, _strewn])
def test_thousands_of_nodes_are_looked_at(
    much: Callable[[Any], None], sheet: Callable[..., Any], tmp_path: Path, measured: Callable[..., Any]
) -> None:
    """Before a run counts as hung, in less memory than a picture takes."""
    drawn = _drawn(sheet)
    much(drawn)
    (tmp_path / "in.svg").write_bytes(etree.tostring(drawn.root))
    done = measured("check", tmp_path / "in.svg", "--json")
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.peak < 300
    assert any(one["section"].startswith("top-in-2") for one in json.loads(done.stdout)["findings"]) or much is _strewn


def test_more_line_than_any_cloth_holds_is_refused(sheet: Callable[..., Any], refused: Callable[..., str]) -> None:
    """In inches to the square inch, with the section named."""
    drawn = _drawn(sheet)
    drawn.draw("top-in-2", [(12 + 5 * (i % 2), 3.9 - i / 100_000) for i in range(400)])
    said = refused(etree.tostring(drawn.root))
    assert "top-in-2" in said
    assert "square inch" in said
