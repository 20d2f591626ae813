"""The picture of density: every section tinted by its stitched inches per square inch, with a legend in numbers."""

from __future__ import annotations

import itertools
import math
import re
import statistics
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def _density(sheet: Any, name: str) -> float:
    """Of straight lines: inches by the steps of its paths over the area of its corners."""
    inches = 0.0
    for path in sheet.section(name):
        here = start = (0.0, 0.0)
        for letter, spots in sheet.read(path):
            if letter == "M":
                here = start = spots[0]
                continue
            there = start if letter == "Z" else spots[0]
            inches += math.dist(here, there)
            here = there
    corners = sheet.corners(name)
    area = abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in itertools.pairwise([*corners, corners[0]]))) / 2
    return inches / area


@pytest.fixture
def picture(tmp_path: Path, cornerwise: Run) -> Callable[[bytes], etree._Element]:
    """The picture of a document with one border."""

    def draw(data: bytes) -> etree._Element:
        (tmp_path / "in.svg").write_bytes(data)
        done = cornerwise("check", tmp_path / "in.svg", "--picture", tmp_path / "picture.svg")
        assert done.stderr == b""
        return etree.parse(tmp_path / "picture.svg").getroot()

    return draw


def test_every_section_has_the_tint_of_its_density(
    sheet: Callable[..., Any], picture: Callable[[bytes], etree._Element]
) -> None:
    """Between fills of their own, one taken out, one with twice the lines."""
    drawn = sheet("in inches", fill="diamonds", outerfill="echoes", cornerfill="crosshatch")
    drawn.clear("left-in-3")
    one, two, tip = drawn.corners("top-in-2")
    for share in (0.2, 0.35, 0.5, 0.65, 0.8):
        drawn.draw("top-in-2", [tip, tuple(a + share * (b - a) for a, b in zip(one, two, strict=True))])
    root = picture(etree.tostring(drawn.root))
    shapes = [p for p in root.iter(f"{SVG}path") if "stroke:#ffffff" in p.get("style")]
    found = [_density(drawn, name) for name in drawn.names()]
    assert len(shapes) == len(found)
    usual = statistics.median(value for value in found if value)
    legend = [p for p in root.iter(f"{SVG}path") if p.get(LABEL) == "Legend"]
    tints = [re.search("fill:(#[0-9a-f]{6})", box.get("style"))[1] for box in legend]
    assert len(set(tints)) == len(tints) == 5
    words = [text for text in root.itertext() if "–" in text or text.startswith("over ")]
    tops = [float(text.split("–")[1]) for text in words[:-1]]
    for name, shape, value in zip(drawn.names(), shapes, found, strict=True):
        told = float(shape.get(LABEL).rpartition(" ")[2])
        assert told == pytest.approx(value, abs=0.006), name
        tint = tints[next((i for i, top in enumerate(tops) if value <= top + 0.005), 4)]
        near = any(abs(value - top) < 0.01 for top in tops)
        assert f"fill:{tint};" in shape.get("style") or near
        corners = {tuple(map(float, pair)) for pair in re.findall(r"([-\d.]+),([-\d.]+)", shape.get("d"))}
        assert all(min(math.dist(corner, other) for other in corners) < 1e-4 for corner in drawn.corners(name))
    assert f"usual in this border {usual:.2f}" in "".join(root.itertext())


def test_a_picture_is_of_one_border(
    sheet: Callable[..., Any], tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """Of two, one must be chosen; the picture is no place for the document itself."""
    drawn = sheet("in inches", fill="echoes")
    etree.SubElement(drawn.root, f"{SVG}rect", id="other", x="60", width="30", height="30")
    (tmp_path / "one.svg").write_bytes(etree.tostring(drawn.root))
    assert cornerwise("border", tmp_path / "one.svg", "--id", "other", "-o", tmp_path / "two.svg").returncode == 0
    look = ("check", tmp_path / "two.svg", "--picture")
    assert "2 borders" in sentence(cornerwise(*look, tmp_path / "picture.svg"))
    assert not (tmp_path / "picture.svg").exists()
    assert cornerwise(*look, tmp_path / "picture.svg", "--id", "other").returncode == 0
    assert "input file" in sentence(cornerwise(*look, tmp_path / "two.svg", "--id", "other"))
