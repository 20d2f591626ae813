"""`cornerwise fill`: chosen sections get another fill, and nothing else of the drawing changes."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any

import pytest
from inkex import Path as Data
from inkex.bezier import csplength
from lxml import etree
from shapely.geometry import LineString, Polygon

from extension.command import main
from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
EDGE = '<rect id="edge" x="1" y="2" width="28" height="36"/>'
QUILT = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="30in" height="40in" viewBox="0 0 30 40">'
    f'{EDGE}<!-- hers --><g id="hers"><path id="shape" d="M 1,1 L 2,3 L 0,2 Z"/></g></svg>'
)
SMALL = QUILT.replace('width="30in" height="40in"', 'width="95.25mm" height="127mm"')
"""The same quilt planned on a page, an eighth of its size, in another unit."""
DERIVED = {"stitching", "order", "notes"}


@pytest.fixture
def drawn(border: Callable[..., bytes], tmp_path: Path) -> Path:
    """A document with a border on the sample quilt."""
    path = tmp_path / "drawn.svg"
    path.write_bytes(border(QUILT))
    return path


@pytest.fixture
def fill(tmp_path: Path) -> Callable[..., bytes]:
    """Fill anew what is named; returns the output."""

    def run(source: Path, ids: str, *options: str) -> bytes:
        out = tmp_path / "filled.svg"
        named = [part for name in ids.split() for part in ("--id", name)]
        assert main(["fill", str(source), *named, *options, "-o", str(out)]) == 0
        return out.read_bytes()

    return run


def _sections(data: bytes) -> dict[str, etree._Element]:
    return {g.get(f"{CW}section"): g for g in etree.fromstring(data).iter(f"{SVG}g") if g.get(f"{CW}section")}


def _changed(before: bytes, after: bytes) -> set[str]:
    """The names of the sections that are not the same text any more."""
    old, new = _sections(before), _sections(after)
    assert list(old) == list(new)
    return {name for name in old if etree.tostring(old[name]) != etree.tostring(new[name])}


def _rest(data: bytes, names: set[str]) -> bytes:
    """The document without the derived layers' content and without what the named sections hold and say of their fill."""
    root = etree.fromstring(data)
    for group in root.iter(f"{SVG}g"):
        ours = group.get(f"{CW}section") in names
        if ours or group.get(f"{CW}part") in DERIVED:
            for child in list(group):
                group.remove(child)
            group.text = None
        if ours:
            for name in ("fill", "spacing-in", "drawn", "note", "own", "place"):
                group.attrib.pop(f"{CW}{name}", None)
            group.attrib.pop(f"{INKSCAPE}label")
    return etree.tostring(root)


def _inches(element: etree._Element) -> float:
    return float(csplength(Data(element.get("d")).to_superpath())[1])


@pytest.mark.parametrize("name", [*CATALOGUE, "none"])
def test_only_the_chosen_sections_change(name: str, drawn: Path, fill: Callable[..., bytes]) -> None:
    """Byte by byte: two triangles and a corner piece, every other element of the document as it was."""
    chosen = {"top-in-2", "left-out-1", "right-corner-1"}
    before, after = drawn.read_bytes(), fill(drawn, " ".join(chosen), "--fill", name, "--spacing", "0.9")
    assert _changed(before, after) == chosen
    assert _rest(after, chosen) == _rest(before, chosen)
    for section in chosen:
        group = _sections(after)[section]
        assert group.get(f"{CW}fill") == name
        assert len(group.findall(f"{SVG}path")) == (name != "none")
        if name != "none":
            assert 0.6 < float(group.get(f"{CW}spacing-in")) <= 0.95


@pytest.mark.parametrize("name", CATALOGUE)
def test_the_new_lines_lie_in_their_section_and_are_stitched(
    name: str, drawn: Path, fill: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """The run is still one line, and as long as the lines that are drawn now."""
    data = fill(drawn, "top-in-2 bottom-out-2 left-corner-2", "--fill", name)
    drawing = read(data)
    (run,) = drawing.parts("run")
    length, over, travel = (float(run.get(f"{CW}{part}-in")) for part in ("length", "over", "travel"))
    assert run.get("d").count("M") == 1
    lines = sum(_inches(path) for part in ("side", "corner-line", "fill") for path in drawing.parts(part))
    assert length - over - travel == pytest.approx(lines, rel=2e-3)
    for section in ("top-in-2", "bottom-out-2", "left-corner-2"):
        group = next(g for g in drawing.parts("section") if g.get(f"{CW}section") == section)
        place = Polygon([tuple(map(float, pair.split(","))) for pair in group.get(f"{CW}corners").split()])
        for (path,) in [group.findall(f"{SVG}path")]:
            assert path.get(f"{CW}part") == "fill"
            for sub in Data(path.get("d")).to_superpath():
                ends = [tuple(node[1]) for node in sub]
                assert all(place.buffer(1e-5).covers(LineString([end, end])) for end in ends)


@pytest.mark.parametrize("way", ["its id", "its name", "a line in it", "the group of its side"])
def test_a_section_is_chosen_by_whatever_belongs_to_it(way: str, drawn: Path, fill: Callable[..., bytes]) -> None:
    """As one clicks in the editor, which gives an id to everything."""
    root = etree.fromstring(drawn.read_bytes())
    group = next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == "top-in-2")
    side = group.getparent()
    group[0].set("id", "path123")
    side.set("id", "g123")
    drawn.write_bytes(before := etree.tostring(root))
    chosen = {
        "its id": group.get("id"),
        "its name": "top-in-2",
        "a line in it": "path123",
        "the group of its side": "g123",
    }
    names = {"top-in-2"} if way != "the group of its side" else {one.get(f"{CW}section") for one in side}
    assert len(names) in {1, 7}
    after = fill(drawn, chosen[way], "--fill", "chevrons")
    assert _changed(before, after) == names
    assert _rest(after, names) == _rest(before, names)


def test_a_section_takes_the_border_s_spacing_unless_told(
    border: Callable[..., bytes], tmp_path: Path, fill: Callable[..., bytes]
) -> None:
    """Left out, or left empty in the dialog, which then passes nothing."""
    source = tmp_path / "wide.svg"
    source.write_bytes(border(QUILT, "--spacing", "0.6"))
    plain, same, other = (
        float(_sections(fill(source, "top-in-2", "--fill", "chevrons", *more))["top-in-2"].get(f"{CW}spacing-in"))
        for more in ([], ["--spacing", "3/5"], ["--spacing", "30", "--unit", "mm"])
    )
    assert plain == same
    assert 0.42 <= plain <= 0.63
    assert 0.82 <= other <= 1.24


def test_lengths_are_inches_of_quilt_on_a_plan_of_a_page(
    border: Callable[..., bytes], tmp_path: Path, fill: Callable[..., bytes]
) -> None:
    """A plan an eighth of the size holds the same lines, in its own units."""
    found = []
    for quilt, scale in ((QUILT, "1"), (SMALL, "8")):
        source = tmp_path / "plan.svg"
        source.write_bytes(border(quilt, "--scale", scale))
        group = _sections(fill(source, "top-in-2", "--fill", "fans", "--spacing", "0.7"))["top-in-2"]
        found.append((group.get(f"{CW}spacing-in"), _inches(group[0])))
    assert found[0][0] == found[1][0]
    assert found[0][1] == pytest.approx(found[1][1], rel=1e-5)


def test_a_seed_gives_the_same_lines_and_another_one_others(drawn: Path, fill: Callable[..., bytes]) -> None:
    """The fill's own option, for free-motion lines."""
    one, again, other = (fill(drawn, "top-in-2", "--fill", "meander", "--seed", seed) for seed in ("3", "3", "4"))
    assert one == again
    assert _changed(one, other) == {"top-in-2"}


def test_lines_changed_by_hand_elsewhere_stay_and_are_stitched(
    drawn: Path, fill: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """A node of another section was dragged; its text stays and the run goes there."""
    root = etree.fromstring(drawn.read_bytes())
    group = next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == "left-in-2")
    spots = re.findall(r"[-\d.]+,[-\d.]+", group[0].get("d"))
    spot = spots[1]
    x, y = (float(part) for part in spot.split(","))
    group[0].set("d", group[0].get("d").replace(spot, f"{x + 0.11},{y + 0.13}"))
    before = etree.tostring(root)
    drawn.write_bytes(before)
    after = fill(drawn, "top-in-2", "--fill", "fans")
    assert _changed(before, after) == {"top-in-2"}
    numbers = list(map(float, re.findall(r"[-\d.]+", read(after).layer("run").get("d"))))
    assert min(math.dist(point, (x + 0.11, y + 0.13)) for point in zip(numbers[::2], numbers[1::2], strict=True)) < 1e-4


def test_a_spacing_wider_than_the_section_leaves_it_empty_with_a_note(drawn: Path, fill: Callable[..., bytes]) -> None:
    """Nothing is drawn, the section says why, and so do the notes."""
    after = fill(drawn, "top-in-2", "--fill", "fans", "--spacing", "40")
    group = _sections(after)["top-in-2"]
    assert group.findall(f"{SVG}path") == []
    assert "too small for lines 40 in apart" in group.get(f"{CW}note")
    notes = next(g for g in etree.fromstring(after).iter(f"{SVG}g") if g.get(f"{CW}part") == "notes")
    assert "left without a fill" in " ".join(" ".join(notes.itertext()).split())


@pytest.mark.parametrize("spacing", ["0", "0in", "0.05"])
@pytest.mark.parametrize("name", ["fans", "meander", "motif"])
def test_a_spacing_of_nothing_leaves_the_section_empty_with_a_note(
    name: str, spacing: str, drawn: Path, fill: Callable[..., bytes]
) -> None:
    """And it stays so when the border is drawn again: that is what she gave it."""
    after = fill(
        drawn, "top-in-2", "--fill", name, "--spacing", spacing, *(["--motif", "shape"] if name == "motif" else [])
    )
    assert _changed(drawn.read_bytes(), after) == {"top-in-2"}
    group = _sections(after)["top-in-2"]
    assert group.findall(f"{SVG}path") == []
    told = f"lines {spacing.removesuffix('in')} in apart would cut the quilt; they must be at least 1/16 in apart"
    assert group.get(f"{CW}note") == told
    notes = next(g for g in etree.fromstring(after).iter(f"{SVG}g") if g.get(f"{CW}part") == "notes")
    assert f"One section is left without a fill: {told}." in " ".join(" ".join(notes.itertext()).split())
    again = drawn.parent / "again.svg"
    (drawn.parent / "empty.svg").write_bytes(after)
    assert main(["border", str(drawn.parent / "empty.svg"), "--id", "edge", "-o", str(again)]) == 0
    assert _sections(again.read_bytes())["top-in-2"].findall(f"{SVG}path") == []


@pytest.mark.parametrize(
    "options",
    [("--echo", "3", "--step", "0.3"), ("--order", "across", "--fill", "fans"), ("--corner", "square", "--fill", "meander", "--seed", "7"), ("--under", "true", "--fill", "wedges")],
    ids=" ".join,
)  # fmt: skip
def test_a_section_given_the_fill_it_has_stays_as_it_is(
    options: tuple[str, ...], border: Callable[..., bytes], tmp_path: Path, fill: Callable[..., bytes]
) -> None:
    """Echo lines, order, seed and binding are the border's; only that the fill is its own now is written down."""
    source = tmp_path / "own.svg"
    source.write_bytes(border(QUILT, "--spacing", "0.8", *options))
    before = _sections(source.read_bytes())
    given = dict(zip(options[::2], options[1::2], strict=True))
    more = ["--seed", given["--seed"]] if "--seed" in given else []
    chosen = "top-in-2 left-out-1 right-corner-1"
    after = _sections(fill(source, chosen, "--fill", given.get("--fill", "diamonds"), *more))
    for name in chosen.split():
        ends = [_numbers(found[name][0].get("d")) for found in (before, after)]
        assert ends[0] == pytest.approx(ends[1], abs=2e-4)


def _numbers(data: str) -> list[float]:
    return list(map(float, re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", data)))


def test_her_own_drawing_fills_sections(drawn: Path, fill: Callable[..., bytes]) -> None:
    """Selected together with them, or named; the drawing itself stays where it was."""
    together = fill(drawn, "top-in-2 top-in-3 shape", "--fill", "motif")
    named = fill(drawn, "top-in-2 top-in-3", "--fill", "motif", "--motif", "shape")
    assert together == named
    assert _changed(drawn.read_bytes(), together) == {"top-in-2", "top-in-3"}
    assert all(_sections(together)[name].findall(f"{SVG}path") for name in ("top-in-2", "top-in-3"))


@pytest.mark.parametrize(
    ("ids", "options", "told"),
    [
        ("top-in-2", "--fill feathers", "diamonds, arrowheads, chevrons, channels, wedges, crosshatch, echoes, fans"),
        ("top-in-2", "--spacing -1", "must be more than 0"), ("top-in-2", "--spacing wide", "spacing"), ("top-in-2", "--seed 0", "seed"),
        ("top-in-2", "--seed x", "seed"), ("", "", "Nothing is selected"), ("edge", "", "“edge” is no section"),
        ("top-in-2 shape", "", "“shape” is no section"), ("nowhere", "", "“nowhere” is no section"), ("top-in-2", "--fill motif", "motif"),
        ("top-in-2", "--fill motif --motif nowhere", "nowhere"),
    ],
)  # fmt: skip
def test_what_cannot_be_filled_is_refused_in_one_sentence(
    ids: str, options: str, told: str, drawn: Path, cornerwise: Callable[..., Any], sentence: Callable[..., str], tmp_path: Path
) -> None:  # fmt: skip
    """And nothing is written."""
    named = [part for name in ids.split() for part in ("--id", name)]
    assert told in sentence(cornerwise("fill", drawn, *named, *options.split(), "-o", "out.svg"))
    assert not (tmp_path / "out.svg").exists()


def test_a_path_that_reaches_into_other_sections_is_left_whole(
    drawn: Path, cornerwise: Callable[..., Any], sentence: Callable[..., str]
) -> None:
    """Two sections' lines combined into one path: taking it out would empty the other."""
    root = etree.fromstring(drawn.read_bytes())
    one, two = (
        next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == name) for name in ("top-in-2", "top-in-3")
    )
    one[0].set("d", f"{one[0].get('d')} {two[0].get('d')}")
    two.remove(two[0])
    drawn.write_bytes(etree.tostring(root))
    assert "break it apart" in sentence(cornerwise("fill", drawn, "--id", "top-in-2", "--fill", "fans"))
