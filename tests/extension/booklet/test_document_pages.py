"""Pages in the document itself, single pictures, and the tool as the editor calls it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
SODIPODI = "{http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd}"


def _without_pages(data: bytes) -> bytes:
    root = etree.fromstring(data)
    for element in list(root.iter(f"{SVG}g", f"{INKSCAPE}page", f"{SODIPODI}namedview")):
        if element.get(f"{CW}part") in {"pages", "page"} or (
            element.tag == f"{SODIPODI}namedview" and not element.attrib
        ):
            element.getparent().remove(element)
    return etree.tostring(root, method="c14n")


def test_pages_lie_beside_the_drawing_and_the_first_is_the_drawing(
    bordered: Callable[..., Path], cornerwise: Run
) -> None:
    """Each as large as its paper, none on another, all on one layer of their own."""
    done = cornerwise("booklet", bordered(), "--pages", "--paper", "a4")
    assert (done.returncode, done.stderr) == (0, b"")
    root = etree.fromstring(done.stdout)
    pages = root.findall(f"{SODIPODI}namedview/{INKSCAPE}page")
    boxes = [tuple(float(page.get(name)) for name in ("x", "y", "width", "height")) for page in pages]
    assert boxes[0] == (0, 0, 68, 84)
    assert len(boxes) > 10
    for x, y, wide, tall in boxes[1:]:
        assert (wide, tall) == pytest.approx((210 / 25.4, 297 / 25.4), abs=1e-4)
        assert x >= 68
        assert y >= 0
    for i, (x, y, wide, tall) in enumerate(boxes):
        for other in boxes[i + 1 :]:
            assert x + wide <= other[0] or other[0] + other[2] <= x or y + tall <= other[1] or other[1] + other[3] <= y
    (layer,) = [group for group in root.iter(f"{SVG}g") if group.get(f"{CW}part") == "pages"]
    assert layer.get(f"{INKSCAPE}groupmode") == "layer"
    assert layer.getparent() is root
    assert len(layer) == len(boxes) - 1
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_pages_are_plain_copies_and_hold_the_same_words(
    bordered: Callable[..., Path], printed: Callable[..., object], cornerwise: Run
) -> None:
    """Paths, circles and text; no clones, clips, pictures, markers or styles from elsewhere; nothing outside a page."""
    source = bordered()
    root = etree.fromstring(cornerwise("booklet", source, "--pages").stdout)
    (layer,) = [group for group in root.iter(f"{SVG}g") if group.get(f"{CW}part") == "pages"]
    assert {etree.QName(element).localname for element in layer.iter()} <= {"g", "path", "circle", "text"}
    assert len(list(layer.iter())) < 3000
    words = " ".join(text.text or "" for text in layer.iter(f"{SVG}text"))
    for told in ("Marking chart", "Step by step", "First diagonal", "True-size templates", "Questions", "Fit table"):
        assert told in words
        assert told in printed(source).text


def test_pages_again_replace_and_nothing_else_changes(bordered: Callable[..., Path], cornerwise: Run) -> None:
    """A second time gives the same document; taken out, it is the one from before."""
    source = bordered()
    once = source.with_name("once.svg")
    assert cornerwise("booklet", source, "--pages", "-o", once, "--date", "then").returncode == 0
    twice = cornerwise("booklet", once, "--pages", "--date", "then").stdout
    assert twice == once.read_bytes()
    assert _without_pages(twice) == _without_pages(source.read_bytes())
    fewer = etree.fromstring(cornerwise("booklet", once, "--pages", "--parts", "last").stdout)
    assert len(fewer.findall(f"{SODIPODI}namedview/{INKSCAPE}page")) == 2


def test_pages_of_hers_stay(bordered: Callable[..., Path], cornerwise: Run) -> None:
    """Ours come after them, to the right."""
    source = bordered()
    hers = (
        '<sodipodi:namedview xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" id="v">'
        '<inkscape:page id="p" x="0" y="0" width="68" height="84"/><inkscape:page id="q" x="70" y="0" width="9" height="9"/>'
        "</sodipodi:namedview>"
    )
    text = source.read_text(encoding="utf-8")
    source.write_text(text.replace('<rect id="edge"', f'{hers}<rect id="edge"', 1), encoding="utf-8")
    root = etree.fromstring(cornerwise("booklet", source, "--pages", "--parts", "last").stdout)
    pages = root.findall(f"{SODIPODI}namedview/{INKSCAPE}page")
    assert [page.get("id") for page in pages[:2]] == ["p", "q"]
    assert float(pages[2].get("x")) == pytest.approx(79.5)


def test_step_pictures_are_written_as_png_and_svg(
    bordered: Callable[..., Path], cornerwise: Run, tmp_path: Path
) -> None:
    """One of each for every figure, nothing on standard output, words as text in the SVG."""
    done = cornerwise("booklet", bordered(), "--parts", "steps", "--pictures", "slides/border")
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    names = sorted(path.name for path in (tmp_path / "slides" / "border").iterdir())
    assert len(names) >= 16
    assert {name.rpartition(".")[0] for name in names if name.endswith(".svg")} == {
        name.rpartition(".")[0] for name in names if name.endswith(".png")
    }
    for name in names:
        data = (tmp_path / "slides" / "border" / name).read_bytes()
        if name.endswith(".png"):
            assert data.startswith(b"\x89PNG\r\n\x1a\n")
            assert len(data) > 2000
        else:
            root = etree.fromstring(data)
            assert root.get("width").endswith("in")
            assert root.find(f"{SVG}title").text
            assert root.findall(f".//{SVG}text")


def _as_editor(tmp_path: Path, *arguments: object) -> subprocess.CompletedProcess[bytes]:
    line = [sys.executable, "-I", "-m", "extension.booklet_tool", *map(str, arguments)]
    return subprocess.run(line, capture_output=True, cwd=tmp_path, timeout=60, check=False)


def test_the_editor_gets_its_document_back_and_the_booklet_lies_where_it_was_asked(
    bordered: Callable[..., Path], tmp_path: Path
) -> None:
    """A name without an ending becomes a PDF; the document is unchanged."""
    source = bordered()
    done = _as_editor(tmp_path, f"--output={tmp_path}/pattern", "--id=edge", "--tab=pattern", "--title=Evening", source)
    assert (done.returncode, done.stderr) == (0, b"")
    assert etree.tostring(etree.fromstring(done.stdout), method="c14n") == etree.tostring(
        etree.fromstring(source.read_bytes()), method="c14n"
    )
    assert (tmp_path / "pattern.pdf").read_bytes().startswith(b"%PDF")


def test_in_the_editor_pages_and_booklet_can_be_had_together(bordered: Callable[..., Path], tmp_path: Path) -> None:
    """Or the pages alone."""
    source = bordered()
    both = _as_editor(tmp_path, f"--output={tmp_path}/p.pdf", "--pages=true", "--last=true", source)
    assert b'part="pages"' in both.stdout
    assert (tmp_path / "p.pdf").exists()
    alone = _as_editor(tmp_path, "--pages=true", source)
    assert (alone.returncode, alone.stderr) == (0, b"")
    assert b'part="pages"' in alone.stdout


def test_in_the_editor_a_missing_place_is_told(
    bordered: Callable[..., Path], tmp_path: Path, sentence: Callable[..., str]
) -> None:
    """And so is one that is a drawing."""
    source = bordered()
    assert "No place" in sentence(_as_editor(tmp_path, source))
    assert "named like a drawing" in sentence(_as_editor(tmp_path, f"--output={source}", source))


def test_anything_selected_on_the_border_chooses_it(
    bordered: Callable[..., Path], tmp_path: Path, sentence: Callable[..., str]
) -> None:
    """Its edge, its layer, a piece of it; with one border in the document also something else."""
    source = bordered()
    layer = re.search(r'<g[^>]* id="(cornerwise-[^"]*)"', source.read_text(encoding="utf-8"))[1]
    for name in ("edge", layer, f"{layer}-zigzag"):
        assert _as_editor(tmp_path, f"--output={tmp_path}/p.pdf", f"--id={name}", source).returncode == 0
    assert "chosen" in sentence(_as_editor(tmp_path, f"--output={tmp_path}/p.pdf", "--id=nothing", source))


def test_progress_is_for_terminals_only(bordered: Callable[..., Path], cornerwise: Run) -> None:
    """In a pipe nothing is said; under a terminal the parts are named, on one line."""
    source = bordered()
    assert cornerwise("booklet", source, "-o", "p.pdf").stderr == b""
    if sys.platform == "win32":
        pytest.skip("no such terminals there")
    import pty  # noqa: PLC0415 - not on every system

    main, side = pty.openpty()
    line = [sys.executable, "-m", "extension.command", "booklet", str(source), "-o", str(source.with_name("t.pdf"))]
    with subprocess.Popen(line, stderr=side, stdout=subprocess.DEVNULL) as process:
        process.wait(timeout=60)
    os.close(side)
    said = os.read(main, 100_000).decode()
    os.close(main)
    assert "Making the steps …" in said
    assert "\n" not in said


@pytest.mark.parametrize("scale", ["1", "8"])
def test_a_quilt_planned_small_has_true_size_templates(
    scale: str, tmp_path: Path, cornerwise: Run, printed: Callable[..., object]
) -> None:
    """The same pages, whatever the scale of the drawing."""
    size = 48 / float(scale)
    source, out = tmp_path / f"in{scale}.svg", tmp_path / f"b{scale}.svg"
    source.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="70in" height="70in" viewBox="0 0 70 70">'
        f'<rect id="edge" x="1" y="1" width="{size}" height="{size}"/></svg>'
    )
    assert cornerwise("border", source, "--id", "edge", "--scale", scale, "-o", out).returncode == 0
    booklet = printed(out, "--parts", "first,templates")
    assert "48 × 48 in" in booklet.pages[0].text
    lengths = [
        abs(line[0][0] - line[1][0]) for page in booklet.pages for drawn in page.paths() for line in drawn.lines if len(line) == 2
    ]  # fmt: skip
    assert any(abs(length / 72 - 40 / 6 / 2) < 0.005 for length in lengths)
