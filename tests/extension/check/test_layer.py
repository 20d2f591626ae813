"""The layer of findings: pins at their places, the list at the side; replaced by the next check."""

from __future__ import annotations

import json
import math
import re
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
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def _layers(data: bytes) -> list[etree._Element]:
    return [g for g in etree.fromstring(data).iter(f"{SVG}g") if g.get(f"{CW}part") == "findings"]


def _words(layer: etree._Element) -> str:
    return " ".join(" ".join(text.split()) for text in layer.itertext())


@pytest.fixture
def checked(tmp_path: Path, cornerwise: Run) -> Callable[..., tuple[int, bytes, str]]:
    """Check a document; returns the exit code, the document with its findings and what was said."""

    def run(data: bytes, *options: str) -> tuple[int, bytes, str]:
        (tmp_path / "drawn.svg").write_bytes(data)
        done = cornerwise("check", tmp_path / "drawn.svg", "-o", tmp_path / "told.svg", *options)
        assert done.stderr == b""
        return done.returncode, (tmp_path / "told.svg").read_bytes(), done.stdout.decode()

    return run


def _harmed(sheet: Callable[..., Any], place: str) -> Any:
    """Two fills taken out, a pivot missed, and a section quilted more than the others."""
    drawn = sheet(place, fill="echoes")
    drawn.clear("top-in-2")
    drawn.clear("left-out-1")
    pivot = drawn.read(drawn.side("right"))[0].points[0]
    drawn.move(drawn.side("right"), pivot, (pivot[0] + 0.3, pivot[1]))
    return drawn


@pytest.mark.parametrize(
    "place", ["in inches", "turned and scaled in a group on a page in millimetres", "eight times smaller in pixels"]
)
def test_every_finding_has_a_dot_at_its_place_and_its_number_in_the_list(
    place: str, sheet: Callable[..., Any], checked: Callable[..., tuple[int, bytes, str]]
) -> None:
    """Wherever the quilt lies."""
    drawn = _harmed(sheet, place)
    found = drawn.found()
    code, data, said = checked(etree.tostring(drawn.root))
    assert code == 1
    assert len(found) == 3
    (layer,) = _layers(data)
    for number, one in enumerate(found, 1):
        (dot,) = [e for e in layer if e.get(LABEL) == f"Finding {number}, place"]
        numbers = [float(text) for text in re.findall(r"[-+]?\d+\.?\d*(?:e[-+]?\d+)?", dot.get("d"))]
        # from the left end of a circle, an arc over to its right end
        (left, top), right = numbers[:2], numbers[7]
        spot = drawn.as_told(drawn.back(((left + right) / 2, top)))
        assert math.dist(spot, one["at_in"]) < 0.02
        assert f"{number}. {one['message']}" in _words(layer)
        assert f"{number}. {one['message']}" in said
    assert all(element.get(f"{CW}part") == "finding" for element in layer)


def test_the_next_check_replaces_the_layer_and_changes_nothing_else(
    sheet: Callable[..., Any], checked: Callable[..., tuple[int, bytes, str]]
) -> None:
    """Twice is once; mended, it says that nothing was found, what was looked at and what it was held against."""
    drawn = _harmed(sheet, "in inches")
    before = etree.tostring(drawn.root)
    _, once, _ = checked(before)
    _, twice, _ = checked(once)
    assert once == twice
    root = etree.fromstring(once)
    (layer,) = _layers(once)
    taken = next(g for g in root.iter(f"{SVG}g") if g.get("id") == layer.get("id"))
    taken.getparent().remove(taken)
    assert etree.tostring(root, method="c14n") == etree.tostring(etree.fromstring(before), method="c14n")
    mended = etree.fromstring(etree.tostring(sheet("in inches", fill="echoes").root))
    border = next(g for g in mended.iter(f"{SVG}g") if g.get(f"{CW}part") == "border")
    border.append(layer)
    code, data, said = checked(etree.tostring(mended))
    assert code == 0
    (layer,) = _layers(data)
    assert said.startswith("Nothing found.")
    assert not [e for e in layer if str(e.get(LABEL)).startswith("Finding")]
    assert "Nothing found. Looked at: 44 sections" in _words(layer)


def test_the_limits_and_the_tolerance_are_shown(
    sheet: Callable[..., Any], checked: Callable[..., tuple[int, bytes, str]]
) -> None:
    """The usual ones, and those asked for."""
    data = etree.tostring(sheet("in inches", fill="echoes").root)
    _, _, said = checked(data)
    for words in (
        "points at least 3/8 in from the trimmed edge", "open areas at most two spacings across;",
        "lines at least a fifth of the spacing (of an inch where that is less) apart", "at most 6 lines at a point, each stitched at most 3 times",
        "turns of at least 7°", "within 25 %", "by no more than a hair, 1/64 in",
    ):  # fmt: skip
        assert words in said
    limits = ("--binding=1/4", "--batting=loft", "--close=1/8", "--point=8", "--over=5", "--sharp=10")
    _, data, said = checked(data, *limits)
    for words in (
        "points at least 1/4 in from the trimmed edge", "two spacings across, or 3 in where that is more",
        "lines at least 1/8 in apart", "at most 8 lines at a point, each stitched at most 5 times", "turns of at least 10°",
    ):  # fmt: skip
        assert words in said
        assert words in _words(_layers(data)[0])


def test_no_output_no_document(sheet: Callable[..., Any], tmp_path: Path, cornerwise: Run) -> None:
    """Without -o only the words are written; JSON holds findings and totals."""
    source = tmp_path / "drawn.svg"
    source.write_bytes(etree.tostring(_harmed(sheet, "in inches").root))
    before = sorted(tmp_path.iterdir()), source.read_bytes()
    done = cornerwise("check", source, "--json")
    told = json.loads(done.stdout)
    assert done.returncode == 1
    assert {one["kind"] for one in told["findings"]} == {"no-fill", "misses-pivot"}
    assert told["totals"]["sections"] == 44
    assert (sorted(tmp_path.iterdir()), source.read_bytes()) == before
