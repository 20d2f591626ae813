"""`cornerwise order`: the stitching line derived again from the border as it stands, and the way shown."""

from __future__ import annotations

import itertools
import json
import math
import re
from typing import TYPE_CHECKING, Any

import pytest
from inkex import Path as Data
from inkex.bezier import csplength
from lxml import etree
from shapely import STRtree
from shapely.geometry import LineString, box

from extension.command import main
from extension.document import read_document
from extension.ground import borders_in
from extension.order import derive
from extension.reading import read_border
from extension.restitch import plan_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
EDGE = '<rect id="edge" x="1" y="2" width="28" height="36"/>'
QUILT = f'<svg xmlns="http://www.w3.org/2000/svg" width="30in" height="40in" viewBox="0 0 30 40">{EDGE}</svg>'
MILLIMETRES = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="762mm" height="1016mm" viewBox="0 0 762 1016">'
    '<rect id="edge" x="25.4" y="50.8" width="711.2" height="914.4"/></svg>'
)
CORNERS = ["mitred", "large", "square"]
RUNS = {"sections": 1, "across": 1, "zigzag": 3}
DERIVED = {"stitching", "order", "notes"}


@pytest.fixture
def ordered(tmp_path: Path) -> Callable[..., bytes]:
    """Draw a border with some options, edit it, derive its order with others; returns the output."""

    def run(*options: str, drawn: str = "", edit: Callable[[bytes], bytes] | None = None, quilt: str = QUILT) -> bytes:
        source, border, out = (tmp_path / name for name in ("quilt.svg", "border.svg", "out.svg"))
        source.write_text(quilt)
        assert main(["border", str(source), "--id", "edge", *drawn.split(), "-o", str(border)]) == 0
        border.write_bytes((edit or bytes)(border.read_bytes()))
        assert main(["order", str(border), *options, "-o", str(out)]) == 0
        return out.read_bytes()

    return run


def _inches(element: etree._Element) -> float:
    """Length of a path in its own units, by the editor's library."""
    return float(csplength(Data(element.get("d")).to_superpath())[1])


def _numbers(text: str) -> list[float]:
    return [float(part) for part in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?", text)]


def _points(element: etree._Element) -> list[tuple[float, float]]:
    numbers = _numbers(element.get("d"))
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize("order", RUNS)
@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", ["diamonds", "wedges", "fans"])
def test_a_closed_border_has_as_many_runs_as_promised_each_one_line(
    fill: str, corner: str, order: str, ordered: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """One, one or three, in every corner; one M, no jump; the lengths are those of the lines, measured elsewhere."""
    drawing = read(ordered("--order", order, drawn=f"--corner {corner} --fill {fill}"))
    runs = drawing.parts("run")
    assert [run.get(f"{CW}run") for run in runs] == [str(n) for n in range(1, RUNS[order] + 1)]
    stitched = 0.0
    for run in runs:
        assert re.fullmatch(r"M [-\d.]+,[-\d.]+ L [-\d.e, ]+", run.get("d"))
        length, over, travel = (float(run.get(f"{CW}{name}-in")) for name in ("length", "over", "travel"))
        assert length == pytest.approx(_inches(run), abs=1e-3)
        assert min(over, travel) >= 0
        stitched += length - over - travel
        ends = [_points(run)[0], _points(run)[-1]]
        corners = [point for side in drawing.parts("side") for point in _points(side)]
        assert all(min(math.dist(end, corner) for corner in corners) < 1e-6 for end in ends)
    drawn = sum(_inches(path) for part in ("side", "corner-line", "fill") for path in drawing.parts(part))
    assert stitched == pytest.approx(drawn, rel=2e-3)
    assert drawing.recipe["order"] == order


def test_without_fills_only_the_zigzag_is_stitched(ordered: Callable[..., bytes], read: Callable[..., Any]) -> None:
    """No empty runs."""
    for order in RUNS:
        (run,) = read(ordered("--order", order, drawn="--fill none")).parts("run")
        assert "M" in run.get("d")


@pytest.mark.parametrize("order", RUNS)
@pytest.mark.parametrize("fill", ["diamonds", "arrowheads", "crosshatch", "channels"])
def test_congruent_sections_are_entered_and_stitched_alike(
    fill: str, order: str, ordered: Callable[..., bytes]
) -> None:
    """Triangles of equal repeats: one choice of corner for all that hold the same lines, and one for their mirror images."""
    document = read_document(ordered("--order", order, drawn=f"--fill {fill} --size repeat --repeat 4"))
    standing = read_border(document, borders_in(document)[0])
    drawn = derive(document, standing, plan_of(standing))
    filled = {one.section.name: one for one in drawn.plan.sections if one.section.base != "corner"}
    entered: dict[tuple[int, bool], set[tuple[float, float]]] = {}
    alike = 0
    for visit in (visit for run in drawn.runs for visit in run.visits if visit.section in filled):
        one = filled[visit.section]
        start, key = one.place.inverse().at(visit.at), (id(one.standard), one.place.determinant > 0)
        alike += key in entered
        entered.setdefault(key, set()).add((round(start.x, 6) + 0.0, round(start.y, 6) + 0.0))
    assert alike >= 10
    assert all(len(starts) == 1 for starts in entered.values())


def _labels(drawing: Any) -> list[tuple[str, float, float, float]]:
    """Number, height of the type and the place of its foot, inches of the page."""
    found = []
    for text in drawing.parts("number"):
        a, _, _, _, x, y = drawing.place(text)
        (size,) = re.findall(r"font-size:([\d.]+)px", text.get("style"))
        found.append((text.text, float(size) * a, x, y))
    return found


def _crossed(labels: list[tuple[str, float, float, float]], pieces: list[tuple[Any, Any]]) -> int:
    """How many numbers lie on a line: figures are 0.72 of the type high and each 0.6 wide."""
    tree = STRtree([LineString(piece) for piece in pieces])
    return sum(
        len(tree.query(box(x - 0.3 * size * len(text), y - 0.72 * size, x + 0.3 * size * len(text), y), "intersects"))
        > 0
        for text, size, x, y in labels
    )


@pytest.mark.parametrize("scale", [1, 8])
@pytest.mark.parametrize("fill", ["diamonds", "fans", "channels"])
def test_numbers_can_be_read_and_lie_on_no_line_where_there_is_room(
    fill: str, scale: int, ordered: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """1, 2, 3, … one for each section, seven points on the page or more; at an inch and a half apart none is crossed."""
    page = QUILT.replace('width="30in" height="40in"', f'width="{30 / scale}in" height="{40 / scale}in"')
    drawing = read(ordered(drawn=f"--fill {fill} --spacing 1.5 --scale {scale}", quilt=page))
    labels = _labels(drawing)
    filled = [g for g in drawing.parts("section") if g.find(f"{SVG}path") is not None]
    assert [text for text, *_ in labels] == [str(n) for n in range(1, len(filled) + 1)]
    assert min(size for _, size, _, _ in labels) >= 7 / 72 - 1e-6
    if scale == 1:
        lines = [
            line for part in ("side", "corner-line") for path in drawing.parts(part) for line in drawing.lines(path)
        ]
        for path in drawing.parts("fill"):
            place = drawing.place(path)
            lines += [
                [(place[0] * x + place[4], place[3] * y + place[5]) for _, (x, y), _ in sub]
                for sub in Data(path.get("d")).to_superpath()
            ]
        # chords of the curved fills' nodes lie inside them; what is straight is exact
        crossed = _crossed(labels, [pair for line in lines for pair in itertools.pairwise(line)])
        assert crossed == 0


def test_arrowheads_are_paths_and_start_and_stop_have_their_marks(
    ordered: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """Markers may not print."""
    data = ordered("--order", "zigzag")
    drawing = read(data)
    assert b"marker" not in data
    arrows = drawing.parts("arrows")
    assert len(arrows) == 3
    for path, run in zip(arrows, drawing.parts("run"), strict=True):
        assert path.tag == f"{SVG}path"
        heads = path.get("d").split("M ")[1:]
        assert len(heads) >= 10
        assert all(len(_numbers(head)) == 8 and head.strip().endswith("Z") for head in heads)
        assert "fill:none" not in path.get("style")
        assert _inches(run) / len(heads) > 3
    starts, stops = drawing.layer("start"), drawing.layer("stop")
    assert starts.get("d").count("M") == stops.get("d").count("M") == 3
    assert "fill:none" in stops.get("style")


def test_whoever_asks_for_the_order_sees_it(ordered: Callable[..., bytes], read: Callable[..., Any]) -> None:
    """Hidden when the border is drawn; shown by this command; the stitching line stays hidden."""
    drawing = read(ordered())
    assert drawing.layer("order").get("style") is None
    assert drawing.layer("stitching").get("style") == "display:none"


@pytest.mark.parametrize("quilt", [QUILT, MILLIMETRES], ids=["inches", "millimetres"])
def test_leave_and_return_points_lie_level_on_left_and_right(
    quilt: str, ordered: Callable[..., bytes], read: Callable[..., Any], tmp_path: Path
) -> None:
    """Near every ten inches down a seam of 28, on dots of the border seam, and each is one more start and stop."""
    told = tmp_path / "estimate.json"
    leave = ["--leave", "10"] if quilt is QUILT else ["--leave", "254", "--unit", "mm"]
    drawing = read(ordered(*leave, "--estimate", str(told), drawn="--size repeat --repeat 7", quilt=quilt))
    place = drawing.place(drawing.layer("leave"))
    spots = [
        (place[0] * sum(x[:-1]) / 4 + place[4], place[3] * sum(y[:-1]) / 4 + place[5])
        for x, y in (
            ([*numbers[::2], numbers[0]], [*numbers[1::2], numbers[1]])
            for numbers in map(_numbers, drawing.layer("leave").get("d").split("M ")[1:])
        )
    ]
    # the seam runs from 6 to 34 down the page, its dots 7 apart: nearest to 16 and 26 are those at 13 or 20, and at 27
    assert sorted(round(y, 5) for _, y in spots) in ([13, 13, 27, 27], [20, 20, 27, 27])
    assert sorted({round(x, 5) for x, _ in spots}) == [5, 25]
    dots = [spot for side in drawing.sides().values() for spot in side[::2]]
    assert all(min(math.dist(spot, dot) for dot in dots) < 1e-5 for spot in spots)
    starts = json.loads(told.read_text())["estimate"]["starts"]
    assert starts == {"starts": 5, "stops": 5, "runs": 1, "leaves": 4}
    assert "5 starts" in " ".join(drawing.layer("notes").itertext())


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ("--leave 28", "less than the side, 28 in"), ("--leave 100", "less than the side"), ("--leave 0.5", "at least 1 in"),
        ("--leave -3", "at least 1 in"), ("--leave far", "leave"), ("--leave 18cmm", "leave"), ("--order backwards", "sections, zigzag, across"),
        ("--travel 0", "travel"), ("--travel 1.5", "travel"), ("--travel nan", "travel"), ("--stitches 0", "stitches"), ("--frame 3", "--frame"),
    ],
)  # fmt: skip
def test_what_cannot_be_had_is_refused_in_one_sentence(
    options: str, told: str, tmp_path: Path, border: Callable[..., bytes], cornerwise: Callable[..., Any],
    sentence: Callable[..., str],
) -> None:  # fmt: skip
    """And nothing is written."""
    (tmp_path / "a.svg").write_bytes(border(QUILT))
    assert told in sentence(cornerwise("order", "a.svg", *options.split(), "-o", "b.svg"))
    assert not (tmp_path / "b.svg").exists()


def test_a_document_without_a_border_and_the_input_as_output_are_refused(
    tmp_path: Path, cornerwise: Callable[..., Any], sentence: Callable[..., str], border: Callable[..., bytes]
) -> None:
    """The input stays as it is."""
    (tmp_path / "none.svg").write_text(QUILT)
    assert "no border" in sentence(cornerwise("order", "none.svg"))
    data = border(QUILT)
    (tmp_path / "a.svg").write_bytes(data)
    assert "input" in sentence(cornerwise("order", "a.svg", "-o", "a.svg"))
    assert (tmp_path / "a.svg").read_bytes() == data


def _without(data: bytes, parts: set[str]) -> bytes:
    """The document without what lies on some layers of the border, and without its recipe."""
    root = etree.fromstring(data)
    for layer in list(root.iter(f"{SVG}g")):
        if layer.get(f"{CW}part") == "border":
            del layer.attrib[f"{CW}recipe"]
        if layer.get(f"{CW}part") in parts:
            layer.attrib.pop("style", None)
            for child in list(layer):
                layer.remove(child)
    return etree.tostring(root)


def test_nothing_else_of_the_document_changes(tmp_path: Path, border: Callable[..., bytes]) -> None:
    """Byte by byte, but for the three derived layers and the recipe; what she put on those stays."""
    drawn = border(QUILT.replace("</svg>", '<!-- hers --><g id="x"><path d="M 1 1L2 2"/></g></svg>'))
    source, out = tmp_path / "a.svg", tmp_path / "b.svg"
    hers = b'<text id="hers" x="3" y="4">look here</text>'
    at = drawn.index(b">", drawn.index(b'cw:part="order"')) + 1
    source.write_bytes(drawn[:at] + hers + drawn[at:])
    assert main(["order", str(source), "--order", "across", "-o", str(out)]) == 0
    assert b"look here" in out.read_bytes()
    assert _without(out.read_bytes(), DERIVED) == _without(drawn, DERIVED)
    again = tmp_path / "c.svg"
    assert main(["order", str(out), "--order", "across", "-o", str(again)]) == 0
    assert again.read_bytes() == out.read_bytes()


def _section(root: etree._Element, name: str) -> etree._Element:
    return next(g for g in root.iter(f"{SVG}g") if g.get(f"{CW}section") == name)


def _with_line(data: str) -> Callable[[bytes], bytes]:
    """An edit: one more line in the second triangle of the top."""

    def edit(document: bytes) -> bytes:
        root = etree.fromstring(document)
        group = _section(root, "top-in-2")
        group.append(group.makeelement(f"{SVG}path", {"d": data, "style": "fill:none;stroke:red"}))
        return etree.tostring(root)

    return edit


def _notes(drawing: Any) -> str:
    return " ".join(" ".join(drawing.layer("notes").itertext()).split())


def test_a_line_drawn_by_hand_is_stitched_where_lines_lead_to_it(
    ordered: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """From a dot of the seam into a triangle and back: the run gets longer by that, and stays one."""
    plain = read(ordered(drawn="--size repeat --repeat 6.66666667 --fill none"))
    corner = plain.corners(_section(plain.root, "top-in-2"))[0]
    data = f"M {corner[0]},{corner[1]} l 1,-0.5 l 1,0.3 l -2,0.2"
    drawing = read(ordered(drawn="--size repeat --repeat 6.66666667 --fill none", edit=_with_line(data)))
    (run,) = drawing.parts("run")
    more = math.hypot(1, 0.5) + math.hypot(1, 0.3) + math.hypot(2, 0.2)
    assert _inches(run) == pytest.approx(_inches(plain.layer("run")) + more, abs=1e-3)
    assert run.get("d").count("M") == 1
    assert "not stitched" not in _notes(drawing)


def test_a_line_that_nothing_leads_to_is_told_and_never_joined(
    ordered: Callable[..., bytes], read: Callable[..., Any]
) -> None:
    """A short line in the middle of a triangle without a fill."""
    plain = read(ordered(drawn="--fill none"))
    middle = [sum(axis) / 3 for axis in zip(*plain.corners(_section(plain.root, "top-in-2")), strict=True)]
    data = f"M {middle[0]},{middle[1]} h 0.5"
    drawing = read(ordered(drawn="--fill none", edit=_with_line(data)))
    assert "One line is not stitched: nothing leads there" in _notes(drawing)
    assert drawing.layer("run").get("d") == plain.layer("run").get("d")


def _spent(data: bytes, read: Callable[..., Any]) -> tuple[float, float]:
    """Inches stitched over and travelled by all runs."""
    runs = read(data).parts("run")
    over, travel = (sum(float(run.get(f"{CW}{name}-in")) for run in runs) for name in ("over", "travel"))
    return over, travel


@pytest.mark.parametrize(("fill", "corner"), [("diamonds", "mitred"), ("echoes", "large"), ("fans", "square")])
@pytest.mark.parametrize(("first", "then"), [("sections", "across"), ("across", "sections"), ("sections", "zigzag")])
def test_fills_drawn_for_another_order_are_told_with_what_drawing_them_again_saves(
    first: str, then: str, fill: str, corner: str, ordered: Callable[..., bytes], read: Callable[..., Any],
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """In the notes and on screen, to the inch: the figures are those of a border drawn for that order from the start."""
    drawn = f"--fill {fill} --corner {corner} --spacing 0.8"
    data = ordered("--order", then, drawn=f"{drawn} --order {first}")
    said = capsys.readouterr().out
    (over, travel), (less, shorter) = (
        _spent(found, read) for found in (data, ordered("--order", then, drawn=f"{drawn} --order {then}"))
    )
    assert over + travel / 2 > less + shorter / 2 + 6
    told = (
        f"Drawn again for this one (Draw Border, order {then}), {less:,.0f} in would be stitched over instead of "
        f"{over:,.0f} in, and {shorter:,.0f} in travelled instead of {travel:,.0f} in"
    )
    assert told in said
    assert told in _notes(read(data))
    assert capsys.readouterr().out == ""


def test_what_drawing_again_would_not_change_is_not_told(
    ordered: Callable[..., bytes], read: Callable[..., Any], capsys: pytest.CaptureFixture[str]
) -> None:
    """Sections whose lines she changed count as they are; where all are hers, there is nothing to say."""

    def edit(document: bytes) -> bytes:
        root = etree.fromstring(document)
        for path in root.iter(f"{SVG}path"):
            if path.get(f"{CW}part") == "fill":
                x, y = _numbers(path.get("d"))[:2]
                path.set("d", f"{path.get('d')} M {x},{y} l 0.1,0.1")
        return etree.tostring(root)

    assert "another order" not in _notes(read(ordered("--order", "across", edit=edit)))
    assert "another order" not in capsys.readouterr().out


def test_fills_drawn_for_the_order_asked_are_not_drawn_again(
    ordered: Callable[..., bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Neither at once, nor when another order came in between; for the other one they are."""
    asked: list[str] = []

    def redrawn(plan: Any, names: Any, order: str) -> Any:
        asked.append(order)
        return plan

    monkeypatch.setattr("extension.order.redrawn", redrawn)
    source, out = tmp_path / "first.svg", tmp_path / "next.svg"
    source.write_bytes(ordered("--order", "sections"))
    assert asked == []
    for order, expected in (("across", ["across"]), ("across", ["across"] * 2), ("sections", ["across"] * 2)):
        assert main(["order", str(source), "--order", order, "-o", str(out)]) == 0
        assert asked == expected
        source.write_bytes(out.read_bytes())


def test_the_hint_stays_when_a_section_gets_another_fill(
    ordered: Callable[..., bytes], read: Callable[..., Any], tmp_path: Path
) -> None:
    """The notes are written anew, and it is as true as before; drawn again it is gone, and her fill is still there."""
    (tmp_path / "across.svg").write_bytes(ordered("--order", "across"))
    filled, redrawn = str(tmp_path / "filled.svg"), str(tmp_path / "redrawn.svg")
    fill = ["fill", str(tmp_path / "across.svg"), "--id", "top-in-2", "--fill", "channels", "-o", filled]
    assert main(fill) == 0
    assert "drawn for another order" in _notes(read((tmp_path / "filled.svg").read_bytes()))
    assert main(["border", filled, "--id", "edge", "--order", "across", "-o", redrawn]) == 0
    drawing = read((tmp_path / "redrawn.svg").read_bytes())
    assert "another order" not in _notes(drawing)
    assert _section(drawing.root, "top-in-2").get(f"{CW}fill") == "channels"


def test_of_two_borders_the_selected_one_is_ordered(tmp_path: Path, read: Callable[..., Any]) -> None:
    """Anything in it selects it; nothing selected means all."""
    two = QUILT.replace(EDGE, EDGE + '<rect id="other" x="32" y="2" width="20" height="20"/>').replace(
        'width="30in" height="40in" viewBox="0 0 30 40"', 'width="60in" height="40in" viewBox="0 0 60 40"'
    )
    source, both, out = (tmp_path / name for name in ("q.svg", "both.svg", "out.svg"))
    source.write_text(two)
    assert main(["border", str(source), "--id", "edge", "-o", str(both)]) == 0
    source.write_bytes(both.read_bytes())
    assert main(["border", str(source), "--id", "other", "-o", str(both) + "2"]) == 0
    both = tmp_path / "both.svg2"
    (one,) = [
        g.get("id") for g in etree.fromstring(both.read_bytes()).iter(f"{SVG}g")
        if g.get(f"{CW}section") == "top-in-1" and any(p.get(f"{CW}edge") == "other" for p in g.iterancestors())
    ]  # fmt: skip
    assert main(["order", str(both), "--id", one, "--order", "zigzag", "-o", str(out)]) == 0
    data = out.read_bytes()
    assert [len(read(data, edge).parts("run")) for edge in ("edge", "other")] == [1, 3]
    assert main(["order", str(both), "--order", "zigzag", "-o", str(out)]) == 0
    data = out.read_bytes()
    assert [len(read(data, edge).parts("run")) for edge in ("edge", "other")] == [3, 3]


def test_a_heavier_weight_of_travel_never_travels_more(ordered: Callable[..., bytes], read: Callable[..., Any]) -> None:
    """Wedges hang on the seam: the weighted extra is the least for its weight."""

    def extra(weight: float) -> tuple[float, float]:
        (run,) = read(ordered("--travel", str(weight), drawn="--fill wedges")).parts("run")
        return float(run.get(f"{CW}over-in")), float(run.get(f"{CW}travel-in"))

    light, heavy = extra(0.05), extra(1)
    assert heavy[1] <= light[1] + 1e-3
    assert light[0] + 0.05 * light[1] <= heavy[0] + 0.05 * heavy[1] + 1e-2
    assert sum(heavy) <= sum(light) + 1e-2


def _fields() -> Iterator[tuple[str, str]]:
    yield from (("stitches", "12"), ("thickness", "0.05"), ("waste", "10"), ("bobbin", "60"), ("speed", "700"))


def test_the_estimate_is_that_of_the_order_derived(
    ordered: Callable[..., bytes], read: Callable[..., Any], tmp_path: Path
) -> None:
    """Lengths are the runs'; thread by C = 2 + 2TS; every assumption is in the file and in the notes."""
    told = tmp_path / "estimate.json"
    given = [part for name, value in _fields() for part in (f"--{name}", value)]
    drawing = read(ordered("--order", "zigzag", "--estimate", str(told), *given))
    found = json.loads(told.read_text())["estimate"]
    runs = drawing.parts("run")
    length = sum(float(run.get(f"{CW}length-in")) for run in runs)
    assert found["length"]["length_in"] == pytest.approx(length, abs=1e-2)
    assert found["starts"] == {"starts": 3, "stops": 3, "runs": 3, "leaves": 0}
    assert found["stitches"]["stitches"] == pytest.approx(12 * length, rel=1e-5)
    thread = (2 + 2 * 0.05 * 12) * length / 2 / 36 * 1.1
    assert found["thread"]["needle_yd"] == found["thread"]["bobbin_yd"] == pytest.approx(thread, rel=1e-5)
    assert found["bobbins"]["bobbins"] == math.ceil(thread / 60)
    assert found["time"]["minutes"] == pytest.approx(12 * length / 700, rel=1e-5)
    notes = _notes(drawing)
    for words in (
        "Estimate",
        "at 12 to the inch",
        "0.05 in thick",
        "10 % waste",
        "of 60 yd",
        "at 700 stitches a minute",
    ):
        assert words in notes
