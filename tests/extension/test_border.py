"""Drawing a border into a real document: all else stays, again replaces in place, the editor's way is the same way."""

from __future__ import annotations

import itertools
import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

CW = "{urn:cornerwise}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"

RICH = """<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<?xml-stylesheet type="text/css" href="quilt.css"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<!-- drawn on a snowy day: &amp; <so> -->
<svg width="1524mm" height="1524mm" viewBox="0 0 1524 1524" version="1.1" id="svg5" xml:lang="en"
   xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"
   xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
   xmlns:xlink="http://www.w3.org/1999/xlink" xmlns="http://www.w3.org/2000/svg" xmlns:unused="urn:unused" xmlns:q="urn:quilt">
  <sodipodi:namedview id="nv7" inkscape:document-units="in" showgrid="false"><inkscape:page x="0" y="0" width="1524" height="1524" id="p1"/></sodipodi:namedview>
  <defs id="defs2"><linearGradient id="lg"><stop offset="0" style="stop-color:#abc"/></linearGradient>
    <style id="style9"><![CDATA[ text > tspan { fill: #333 } ]]></style></defs>
  <?quilt keep="me"?>
  <metadata><q:quilt q:name="Snow &lt;1&gt;"><q:block n="1">é ü ß 雪</q:block></q:quilt></metadata>
  <g inkscape:label="Layer 1" inkscape:groupmode="layer" id="layer1" transform="translate(10,20)">
    <rect style="fill:url(#lg);stroke:#000" id="edge" width="1016" height="762" x="127" y="177.8" q:note="a&#10;b&#9;c"/>
    <text xml:space="preserve" id="t1" x="1" y="2">  two   blanks  <tspan>and </tspan> more</text>
    <use xlink:href="#edge" id="u1" x="3" /><!-- a comment --><path d="M 0,0&#10; L 1,1" id="empty"></path>
  </g>
  <g id="top" inkscape:groupmode="layer" inkscape:label="On top"/>
</svg>
<!-- the end -->
"""


def test_everything_else_stays_as_it_was(border: Callable[..., bytes], others: Callable[[bytes], bytes]) -> None:
    """Comments, CDATA, instructions, foreign elements, unused prefixes and blanks: equal after canonicalisation."""
    drawn = border(RICH)
    assert others(drawn) == others(RICH.encode())
    for part in (
        "<![CDATA[ text > tspan { fill: #333 } ]]>",
        "<!DOCTYPE svg PUBLIC",
        'xmlns:unused="urn:unused"',
        "<?quilt keep",
    ):
        assert part in drawn.decode()


@pytest.mark.parametrize(
    "change",
    [
        ("<!-- a comment -->", ""), ("  two   blanks", "  two  blanks"), ('id="u1" x="3"', 'id="u1" x="4"'), ("<?quilt keep", "<?quilt Keep"),
        (' xmlns:unused="urn:unused"', ""), ("雪", "雨"), ("<!-- the end -->", ""), ("a&#10;b", "a b"), ('<g id="top"', '<g id="tip"'),
    ],
)  # fmt: skip
def test_the_comparison_notices_a_small_change(change: tuple[str, str], others: Callable[[bytes], bytes]) -> None:
    """So that the test before this one can fail."""
    assert change[0] in RICH
    assert others(RICH.replace(*change).encode()) != others(RICH.encode())


FILLS = ["diamonds", "arrowheads", "chevrons", "channels", "none"]
AGAIN = [
    ("--width", "6"),
    ("--fill", "none", "--corner", "large"),
    ("--kind", "inner", "--corner", "square", "--fill", "chevrons"),
    ("--size", "count", "--across", "3", "--down", "2"),
]


@pytest.mark.parametrize("options", AGAIN, ids=" ".join)
def test_again_with_other_options_replaces_in_place(
    options: tuple[str, ...],
    border: Callable[..., bytes],
    others: Callable[[bytes], bytes],
    read: Callable[..., object],
) -> None:
    """One border, in the same place of the stack, as if the first had never been; all else as it was."""
    first = border(RICH)
    # she has drawn on top of the border since, and moved it into a layer of hers
    tree = etree.fromstring(first).getroottree()
    layer = read(first).border.get("id")
    moved = tree.getroot().find(f".//*[@id='{layer}']")
    group = tree.getroot().find(".//*[@id='top']")
    group.set("transform", "rotate(10) scale(2)")
    group.append(moved)
    moved.tail = "\n  "
    etree.SubElement(group, "{http://www.w3.org/2000/svg}circle", r="9")
    edited = etree.tostring(tree, encoding="UTF-8")
    again = border(edited, *options)
    assert others(again) == others(edited)
    drawing = read(again)
    assert drawing.border.get("id") == layer
    assert drawing.border.getparent().get("id") == "top"
    assert drawing.border.getnext().tag.endswith("circle")
    fresh = read(border(RICH, *options))
    for name, line in drawing.sides().items():
        for one, other in zip(line, fresh.sides()[name], strict=True):
            assert one == pytest.approx(other, abs=1e-4)
    assert drawing.recipe == fresh.recipe
    assert [s.get(f"{CW}drawn") for s in drawing.parts("section")] == [
        s.get(f"{CW}drawn") for s in fresh.parts("section")
    ]


@pytest.mark.parametrize("options", [(), *AGAIN], ids=" ".join)
def test_again_with_the_same_options_changes_no_byte(options: tuple[str, ...], border: Callable[..., bytes]) -> None:
    """The same border twice is the same file."""
    first = border(RICH, *options)
    assert border(first, *options) == first


def test_back_to_the_first_options_is_back_to_the_first_file(border: Callable[..., bytes]) -> None:
    """Nothing of the border in between stays behind."""
    first = border(RICH)
    assert border(border(first, "--corner", "square", "--fill", "channels", "--width", "6"), "--width", "4") == first


def test_what_she_showed_or_hid_stays_so(border: Callable[..., bytes], read: Callable[..., object]) -> None:
    """The visibility of each layer is hers."""
    first = border(RICH).decode()
    changed = re.sub(r'style="display:none"', 'style="display:inline"', first, count=1)
    changed = re.sub(r'(<g id="[^"]*-fills")', r'\1 style="display:none"', changed, count=1)
    assert changed.count("display:none") == 2
    drawing = read(border(changed, "--width", "5"))
    assert drawing.layer("stitching").get("style") == "display:inline"
    assert drawing.layer("fills").get("style") == "display:none"


def test_two_edges_have_two_borders(
    border: Callable[..., bytes], read: Callable[..., object], others: Callable[[bytes], bytes]
) -> None:
    """Drawing one leaves the other alone."""
    other = '<rect id="other" x="200" y="300" width="700" height="400"/>'
    document = RICH.replace('<g id="top"', f'{other}<g id="top"')
    both = border(border(document), "--width", "3", ids=("other",))
    assert others(both) == others(document.encode())
    again = border(both, "--width", "6", ids=("edge",))
    assert etree.tostring(read(again, "other").border) == etree.tostring(read(both, "other").border)
    assert read(again).recipe["width"] == 6


def test_an_edge_that_lies_inside_its_own_border_layer_is_not_lost(
    border: Callable[..., bytes], others: Callable[[bytes], bytes]
) -> None:
    """She may have moved her rectangle there; it, and whatever else is hers, must survive the next run."""
    layer = border(RICH).decode()
    edge = re.search(r'<rect[^>]*id="edge"[^>]*/>', layer)[0]
    moved = layer.replace(edge, "")
    at = moved.index(">", moved.index('id="cornerwise-edge"')) + 1
    moved = moved[:at] + edge + '<circle id="hers" r="3"/>' + moved[at:]
    again = border(moved, "--width", "5")
    ids = {element.get("id") for element in etree.fromstring(again).iter()}
    assert {"edge", "hers"} <= ids


@pytest.mark.parametrize(
    "transform", ["scale(0)", "scale(1 0)", "matrix(0 0 0 0 0 0)", "scale(1e200) scale(1e200)", "rotate(x)"]
)
def test_a_border_layer_that_cannot_be_drawn_on_is_refused(transform: str, refusal: Callable[..., str]) -> None:
    """A layer flattened to nothing, or blown up without end, is told in one sentence."""
    layer = f'<g xmlns:cw="urn:cornerwise" cw:part="border" cw:edge="edge" transform="{transform}"/>'
    refusal(RICH.replace('<g id="top"', f'{layer}<g id="top"'))


@pytest.mark.parametrize(
    "layer",
    [
        '<g id="b" cw:part="border" cw:edge="edge"><?x y?><!--c--><g cw:part="fills" style="display:none"/><g cw:part="fills"/></g>',
        '<g cw:part="border" cw:edge="edge" cw:recipe="{{nonsense"/>',
        '<g id="b" cw:part="border" cw:edge="edge" cw:version="99"><title>odd</title></g>',
    ],
)
def test_a_border_layer_of_a_stranger_is_drawn_anew(
    layer: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Whatever it held, the border is whole afterwards, and again changes nothing."""
    document = RICH.replace('<g id="top"', f'<g xmlns:cw="urn:cornerwise">{layer}</g><g id="top"')
    drawn = border(document)
    assert len(read(drawn).sides()) == 4
    layers = [child for child in read(drawn).border if child.get("{urn:cornerwise}part")]
    ids = [layer.get("id") for layer in layers]
    assert len(ids) == len(set(ids)) == 7
    assert None not in ids
    assert not any(name.startswith("None") for name in ids)
    assert border(drawn) == drawn


@pytest.mark.parametrize("prefix", ["cw", "inkscape", "sodipodi"])
def test_a_prefix_that_means_something_else_is_left_alone(
    prefix: str, border: Callable[..., bytes], others: Callable[[bytes], bytes], read: Callable[..., object]
) -> None:
    """Its own elements keep their meaning, and the border its attributes."""
    body = f'<rect id="edge" width="40" height="30"/><{prefix}:a {prefix}:b="1"/>'
    document = f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:{prefix}="urn:else" width="60in" height="60in" viewBox="0 0 60 60">{body}</svg>'
    drawn = border(document)
    assert others(drawn) == others(document.encode())
    assert read(drawn).border.get(f"{INKSCAPE}groupmode") == "layer"


def test_the_editor_s_way_gives_the_same_bytes(tmp_path: Path, border: Callable[..., bytes]) -> None:
    """The dialog's own fields ride along; the selection and a selected node are passed as the editor passes them."""
    printed = border(RICH, "--width", "5.5")
    line = [sys.executable, "-I", "-m", "extension.border", "--tab=fills", "--width=5.5", "--together=true", "--across=6",
            "--selected-nodes=edge:0:1", "--id=edge", str(tmp_path / "in.svg")]  # fmt: skip
    done = subprocess.run(line, capture_output=True, timeout=60, check=False, cwd=tmp_path)
    assert done.stderr == b""
    assert done.returncode == 0
    assert done.stdout == printed


def test_the_editor_s_way_refuses_in_one_sentence(tmp_path: Path, sentence: Callable[..., str]) -> None:
    """Nothing selected, which is what designers forget."""
    (tmp_path / "in.svg").write_text(RICH)
    line = [sys.executable, "-I", "-m", "extension.border", "--tab=border", str(tmp_path / "in.svg")]
    said = sentence(subprocess.run(line, capture_output=True, timeout=60, check=False))
    assert said.startswith("Nothing is selected")


@pytest.mark.parametrize(
    ("fill", "outer", "corner"),
    list(itertools.product(FILLS, ["same", "none"], ["mitred", "large", "square"])),
)
def test_every_fill_draws_with_every_corner(
    fill: str,
    outer: str,
    corner: str,
    border: Callable[..., bytes],
    read: Callable[..., object],
    others: Callable[[bytes], bytes],
) -> None:
    """On the same document, with nothing said and nothing else changed."""
    drawn = border(RICH, "--fill", fill, "--outerfill", outer, "--corner", corner)
    assert others(drawn) == others(RICH.encode())
    used = {(s.get(f"{CW}base"), s.get(f"{CW}fill")) for s in read(drawn).parts("section")}
    assert used == {("inner", fill), ("outer", fill if outer == "same" else outer), ("corner", fill)}
