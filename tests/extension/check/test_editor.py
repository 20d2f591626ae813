"""In the real editor, under a virtual screen: edit with its own actions, check with its own dialog, read what it saved."""

from __future__ import annotations

import re
import subprocess
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PATIENCE = 120
"""Seconds; a run takes about two, but a message window would wait for ever."""

DRAW = "org.cornerwise.border.noprefs"
CHECK = "org.cornerwise.check.noprefs"
SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"

pytestmark = pytest.mark.editor


@pytest.fixture
def edited(tmp_path: Path, profile: Callable[[str, dict[str, str]], dict[str, str]]) -> Callable[..., bytes]:
    """Open a document in the editor, do some of its actions, save; the check dialog's fields are as it keeps them."""

    def run(document: bytes, *actions: str, tool: str = "check", **fields: str) -> bytes:
        environment = profile(tool, fields)
        source, out = tmp_path / "in.svg", tmp_path / "out.svg"
        source.write_bytes(document)
        steps = ";".join([*actions, f"export-filename:{out}", "export-do"])
        subprocess.run(
            ["xvfb-run", "-a", "inkscape", "--batch-process", f"--actions={steps}", source],
            check=True, capture_output=True, timeout=PATIENCE, cwd=tmp_path,
            env=environment,
        )  # fmt: skip
        return out.read_bytes()

    return run


def _said(data: bytes) -> str:
    """The words on the layer of findings."""
    (layer,) = [g for g in etree.fromstring(data).iter(f"{SVG}g") if g.get(f"{CW}part") == "findings"]
    return " ".join(" ".join(layer.itertext()).split())


def _id(drawn: Any, name: str) -> str:
    """The id of a section's group, and through it of its fill."""
    return str(drawn.section(name).get("id"))


def test_a_clean_border_is_told_to_be_one(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """Saved and read again; the list says what was held against what, with the fields as they come."""
    data = edited(etree.tostring(sheet("in inches", fill="fans").root), CHECK)
    assert re.search(r"Nothing found\. Looked at: \d+ sections", _said(data))
    assert "points at least 3/8 in from the trimmed edge" in _said(data)
    assert look(data) == []


def test_a_fill_moved_by_the_editor_is_told_by_its_dialog(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """As far as it was moved; the numbered sentence on the layer is that of the command line."""
    drawn = sheet("in inches", fill="echoes")
    high = min(y for _, y in drawn.nodes("top-out-2"))
    data = edited(
        etree.tostring(drawn.root),
        f"select-by-id:{_id(drawn, 'top-out-2')}",
        "transform-translate:0,-48",
        "select-clear",
        CHECK,
    )
    (found,) = look(data)
    assert (found["kind"], found["section"]) == ("beyond-stop-line", "top-out-2")
    assert found["amount_in"] == pytest.approx(0.375 - (high - 0.5), rel=0.02)
    assert f"1. {found['message']}" in _said(data)


def test_a_fill_deleted_in_the_editor_is_told(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """The whole group; then mended by undo."""
    drawn = sheet("in inches", fill="diamonds")
    steps = (f"select-by-id:{_id(drawn, 'left-in-2')}", "delete-selection")
    data = edited(etree.tostring(drawn.root), *steps, CHECK)
    assert [(one["kind"], one["section"]) for one in look(data)] == [("no-fill", "left-in-2")]
    assert "There are no lines in triangle 2 of the left" in _said(data)
    assert look(edited(etree.tostring(drawn.root), *steps, "undo")) == []


BARE = (
    f'<svg xmlns="{SVG[1:-1]}" width="38in" height="50in" viewBox="-1 -1 38 50"><rect id="edge" fill="none" '
    'stroke="#888888" stroke-width="0.05" width="36" height="48"/></svg>'
).encode()


def _node_moved(sheet: Callable[..., Any], name: str, by: float) -> tuple[tuple[float, float], tuple[str, ...]]:
    """The highest node of a section's fill moved by so many inches upwards: where to, and the steps of the editor."""
    drawn = sheet("in inches", fill="echoes")
    path = drawn.section(name)[0]
    old = min(drawn.nodes(name), key=lambda spot: spot[1])
    new = (old[0], old[1] - by)
    drawn.move(path, old, new)
    # the action parts its two values at a comma
    data = path.get("d").replace(",", " ")
    return new, (f"select-by-selector:#{_id(drawn, name)} > path", f"object-set-attribute:d,{data}", "select-clear")


def test_drawn_and_a_node_moved_in_the_editor(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """Draw, move a node, save, check: one finding, at the node, as far as it is beyond; its dialog says the same."""
    spot, steps = _node_moved(sheet, "top-out-2", 0.5)
    data = edited(BARE, "select-by-id:edge", DRAW, "select-clear", *steps, CHECK, tool="border", fill="echoes")
    (found,) = look(data)
    assert (found["kind"], found["section"]) == ("beyond-stop-line", "top-out-2")
    assert found["at_in"] == pytest.approx(spot, abs=0.02)
    assert found["amount_in"] == pytest.approx(0.375 - spot[1], rel=0.02)
    assert f"1. {found['message']}" in _said(data)


def test_a_node_moved_in_the_editor_survives_the_next_drawing(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """Drawn, saved; another day opened, another width, another fill: the line is where it was in its triangle, all else is new."""
    _, steps = _node_moved(sheet, "top-out-2", 0.5)
    first = edited(BARE, "select-by-id:edge", DRAW, "select-clear", *steps, tool="border", fill="echoes")
    again = ("select-by-id:edge", DRAW, "select-clear")
    second = edited(first, *again, tool="border", fill="channels", width="3.5")
    roots = [etree.fromstring(data) for data in (first, second)]
    groups = [{g.get(f"{CW}section"): g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section")} for root in roots]
    assert {name for name, g in groups[1].items() if g.get(f"{CW}fill") != "channels"} == {"top-out-2"}
    heights = []
    for one in groups:
        group = one["top-out-2"]
        (_, base), _, (_, tip) = ([float(n) for n in pair.split(",")] for pair in group.get(f"{CW}corners").split())
        nodes = [float(y) for path in group for y in re.findall(r"[-\d.]+[ ,]([-\d.]+)", path.get("d"))]
        heights.append((base - min(nodes)) / (tip - base))
    assert heights[1] == pytest.approx(heights[0], abs=0.001)
    (found,) = look(second)
    assert (found["kind"], found["section"]) == ("beyond-stop-line", "top-out-2")


@pytest.mark.parametrize(
    "steps",
    [
        ("select-by-id:{group}", "selection-ungroup", "path-break-apart"),
        ("select-by-id:{group},{other}", "selection-ungroup", "path-combine"),
        ("select-by-id:{layer}", "transform-rotate:90"),
        ("select-by-id:{layer},edge", "transform-rotate:90"),
        ("select-by-id:{layer},edge", "transform-scale:2"),
        ("select-by-id:{group}", "duplicate"),
        ("select-by-id:{layer},edge", "object-flip-horizontal"),
    ],
    ids=["ungrouped and broken apart", "combined", "layer turned", "all turned", "scaled", "duplicated", "mirrored"],
)
def test_what_the_editor_does_to_paths_and_groups_is_no_finding(
    steps: tuple[str, ...], sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """Every line lies where it lay, or all of them have gone together."""
    drawn = sheet("in inches", fill="fans")
    ids = {
        "group": _id(drawn, "top-in-2"), "other": _id(drawn, "top-in-3"), "layer": drawn.parts("border")[0].get("id"),
    }  # fmt: skip
    data = edited(etree.tostring(drawn.root), *(step.format(**ids) for step in steps), "select-clear", CHECK)
    assert data != etree.tostring(drawn.root)
    assert look(data) == []
    assert "Nothing found" in _said(data)


def test_the_dialogs_fields_are_the_limits(sheet: Callable[..., Any], edited: Callable[..., bytes]) -> None:
    """More room for the binding, in centimetres; few lines at a point."""
    data = edited(etree.tostring(sheet("in inches", fill="echoes").root), CHECK, unit="cm", binding="2", batting="loft")
    said = _said(data)
    assert "beyond the stop line" in said
    assert "points at least about 13/16 in from the trimmed edge" in said
    assert "two spacings across, or 3 in where that is more" in said


def test_the_dialog_again_replaces_its_findings(sheet: Callable[..., Any], edited: Callable[..., bytes]) -> None:
    """Twice is once; after the harm is undone the list says so."""
    drawn = sheet("in inches", fill="echoes")
    steps = (f"select-by-id:{_id(drawn, 'left-in-2')}", "delete-selection", CHECK)
    assert "One finding" in _said(edited(etree.tostring(drawn.root), *steps, CHECK))
    assert "Nothing found" in _said(edited(etree.tostring(drawn.root), *steps, "undo", "undo", CHECK))


def test_a_line_drawn_over_a_section_and_grouped_with_it_in_the_editor(
    sheet: Callable[..., Any], edited: Callable[..., bytes], look: Callable[..., Any]
) -> None:
    """Drawn on a layer of hers, which is above; it counts as the section's fill, for the check and for the next drawing."""
    drawn = sheet("in inches", fill="echoes")
    layer = etree.SubElement(drawn.root, f"{SVG}g", id="hers")
    layer.set("{http://www.inkscape.org/namespaces/inkscape}groupmode", "layer")
    one, two, tip = drawn.corners("top-in-2")
    spots = [
        tuple((4 * a + b + c) / 6 for a, b, c in zip(*turn, strict=True)) for turn in ((two, one, tip), (tip, one, two))
    ]
    path = etree.SubElement(layer, f"{SVG}path", id="curl", style="fill:none;stroke:#c00001;stroke-width:0.05")
    path.set("d", "M {:.6f},{:.6f} L {:.6f},{:.6f}".format(*drawn.out(spots[0]), *drawn.out(spots[1])))
    steps = (f"select-by-id:{_id(drawn, 'top-in-2')},curl", "selection-group", "select-clear")
    grouped = edited(etree.tostring(drawn.root), *steps)
    assert b"curl" in grouped
    assert {one["section"] for one in look(grouped)} <= {"top-in-2"}
    again = edited(grouped, "select-by-id:edge", DRAW, "select-clear", tool="border", fill="channels", width="3.5")
    root = etree.fromstring(again)
    (group,) = [g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == "top-in-2"]
    assert [p for p in group if "#c00001" in p.get("style")]
    assert len(group) == 2
    assert "#c00001" not in etree.tostring(next(g for g in root.iter(f"{SVG}g") if g.get("id") == "hers")).decode()
