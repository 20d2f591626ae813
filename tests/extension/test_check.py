"""The check reads the drawing as it stands: one harm of known size gives one finding at its place."""

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

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
QUILT = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="50in" height="66in" viewBox="-1 -1 50 66">'
    '<rect id="edge" width="48" height="64"/></svg>'
)
AT, OFF = 0.02, 0.02
"""Inches by which a place, and share by which an amount, may be off."""


@pytest.fixture
def look(tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]) -> Callable[..., Any]:
    """Check a document; returns the exit code and the findings."""

    def run(document: bytes, *options: object) -> tuple[int, list[dict[str, Any]]]:
        source = tmp_path / "drawn.svg"
        source.write_bytes(document)
        done = cornerwise("check", source, "--json", *options)
        assert done.stderr == b"", done.stderr.decode()[-1000:]
        return done.returncode, json.loads(done.stdout)["findings"]

    return run


def _section(root: etree._Element, name: str) -> etree._Element:
    return next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == name)


def _nodes(path: etree._Element) -> list[re.Match[str]]:
    return list(re.finditer(r"([-\d.]+),([-\d.]+)", path.get("d")))


def _put(path: etree._Element, node: re.Match[str], x: float, y: float) -> None:
    path.set("d", f"{path.get('d')[: node.start()]}{x:.6f},{y:.6f}{path.get('d')[node.end() :]}")


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("fill", ["diamonds", "channels", "crosshatch", "echoes"])
def test_a_fresh_border_has_no_findings(
    fill: str, order: str, border: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """With mitred corners, in every order."""
    assert look(border(QUILT, "--fill", fill, "--order", order)) == (0, [])


def test_a_node_dragged_beyond_the_stop_line_is_told_with_place_and_amount(
    border: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """0.2 in beyond; the same with the fingerprints, the stitching layer and the fitted figures taken out."""
    root = etree.fromstring(border(QUILT))
    path = _section(root, "top-out-2")[0]
    node = min(_nodes(path), key=lambda found: (abs(float(found[2]) - 0.375), abs(float(found[1]) - 24)))
    x = float(node[1])
    _put(path, node, x, 0.175)
    code, (found,) = look(etree.tostring(root))
    assert code == 1
    assert (found["kind"], found["section"]) == ("beyond-stop-line", "top-out-2")
    assert math.dist(found["at_in"], (x, 0.175)) < AT
    assert found["amount_in"] == pytest.approx(0.2, rel=OFF)
    for group in root.iter(f"{SVG}g"):
        group.attrib.pop(f"{CW}drawn", None)
    stitching = next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}part") == "stitching")
    layer = stitching.getparent()
    layer.remove(stitching)
    recipe = json.loads(layer.get(f"{CW}recipe"))
    del recipe["sides"]
    layer.set(f"{CW}recipe", json.dumps(recipe))
    assert look(etree.tostring(root)) == (1, [found])


def test_a_fill_taken_out_is_told(border: Callable[..., bytes], look: Callable[..., Any]) -> None:
    """One finding, in its section."""
    root = etree.fromstring(border(QUILT))
    group = _section(root, "left-in-3")
    group.remove(group[0])
    code, (found,) = look(etree.tostring(root))
    assert (code, found["kind"], found["section"]) == (1, "no-fill", "left-in-3")
    assert re.fullmatch(r"[A-Z].*: please .*\.", found["message"])


def test_a_pivot_missed_is_told_at_the_pivot(border: Callable[..., bytes], look: Callable[..., Any]) -> None:
    """The zigzag of the top begins 0.3 in to the right of its pivot."""
    root = etree.fromstring(border(QUILT))
    side = next(p for p in root.iter(f"{SVG}path") if p.get(f"{CW}part") == "side" and p.get(f"{CW}side") == "top")
    _put(side, _nodes(side)[0], 4.3, 4)
    found = [one for one in look(etree.tostring(root))[1] if one["kind"] == "misses-pivot"]
    assert len(found) == 1
    assert math.dist(found[0]["at_in"], (4, 4)) < AT
    assert found[0]["amount_in"] == pytest.approx(0.3, rel=OFF)


def test_findings_are_drawn_on_a_layer_of_their_own_and_replaced_by_the_next_check(
    tmp_path: Path, border: Callable[..., bytes], cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> None:
    """A marker with its number, the list at the side; "nothing found" is said too."""
    root = etree.fromstring(border(QUILT))
    group = _section(root, "left-in-3")
    kept = group[0]
    group.remove(kept)
    (tmp_path / "a.svg").write_bytes(etree.tostring(root))
    assert cornerwise("check", tmp_path / "a.svg", "-o", tmp_path / "b.svg").returncode == 1
    drawn = etree.parse(tmp_path / "b.svg").getroot()
    (layer,) = [g for g in drawn.iter(f"{SVG}g") if g.get(f"{CW}part") == "findings"]
    assert "no lines in triangle 3 of the left" in " ".join(" ".join(layer.itertext()).split())
    assert any(element.tag == f"{SVG}path" for element in layer)
    _section(drawn, "left-in-3").append(kept)
    (tmp_path / "c.svg").write_bytes(etree.tostring(drawn))
    assert cornerwise("check", tmp_path / "c.svg", "-o", tmp_path / "d.svg").returncode == 0
    (layer,) = [g for g in etree.parse(tmp_path / "d.svg").iter(f"{SVG}g") if g.get(f"{CW}part") == "findings"]
    assert "Nothing found" in " ".join(layer.itertext())


def test_a_document_without_a_border_is_refused(
    tmp_path: Path,
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
    sentence: Callable[..., str],
) -> None:
    """In one sentence."""
    (tmp_path / "a.svg").write_text(QUILT)
    assert "no border" in sentence(cornerwise("check", tmp_path / "a.svg"))


def test_the_density_picture_has_every_section(
    tmp_path: Path, border: Callable[..., bytes], cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> None:
    """Tinted, with a legend in numbers."""
    drawn = border(QUILT)
    (tmp_path / "a.svg").write_bytes(drawn)
    assert cornerwise("check", tmp_path / "a.svg", "--picture", tmp_path / "p.svg").returncode == 0
    picture = etree.parse(tmp_path / "p.svg").getroot()
    sections = sum(1 for g in etree.fromstring(drawn).iter(f"{SVG}g") if g.get(f"{CW}part") == "section")
    tinted = [p for p in picture.iter(f"{SVG}path") if "stroke:#ffffff" in p.get("style", "")]
    assert len(tinted) == sections
    assert "stitched inches per square inch" in "".join(picture.itertext())
