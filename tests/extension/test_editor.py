"""The real editor, under a virtual screen: it finds the tool, runs it, and the border lies where it must."""

from __future__ import annotations

import contextlib
import math
import os
import signal
import subprocess
import time
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

NEAR = 0.005
PATIENCE = 120
"""Seconds; a run takes about two, but a message window would wait for ever."""

pytestmark = pytest.mark.editor


@pytest.fixture
def editor(tmp_path: Path, profile: Callable[[str, dict[str, str]], dict[str, str]]) -> Callable[..., bytes]:
    """Open a document in the editor, select, run the tool and export; returns the exported document.

    The fields of the first tool's dialog are set as the editor keeps them, in the preferences of a profile of its own.
    """

    def run(document: str, ids: str, *actions: str, until: Path | None = None, **fields: str) -> bytes:
        tool = actions[0].split(".")[2]
        environment = profile(tool, fields)
        (tmp_path / "in.svg").write_text(document, encoding="utf-8")
        out = tmp_path / "out.svg"
        steps = [*([f"select-by-id:{ids}"] if ids else []), *actions, f"export-filename:{out}", "export-do"]
        command = ["xvfb-run", "-a", "inkscape", "--batch-process", f"--actions={';'.join(steps)}", "in.svg"]
        _wait(command, tmp_path, environment, until)
        return out.read_bytes() if out.exists() else b""

    return run


def _wait(command: list[str], folder: Path, environment: dict[str, str], until: Path | None) -> None:
    """Run until it ends by itself, or until a file appears and the editor has had time to act on it."""
    with subprocess.Popen(
        command, cwd=folder, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, start_new_session=True,
    ) as process:  # fmt: skip
        last = time.monotonic() + PATIENCE
        while process.poll() is None and time.monotonic() < last and not (until and until.exists()):
            time.sleep(0.1)
        if process.poll() is None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(timeout=3)
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGTERM)


DRAW = "org.cornerwise.border.noprefs"


def _doc(page: str, body: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {page}>{body}</svg>'


def _turned(degrees: float, x: float, y: float) -> tuple[float, ...]:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (cos, sin, -sin, cos, x, y)


DOCUMENTS = {
    "millimetres, as in the editor's templates": (
        _doc('width="1524mm" height="1524mm" viewBox="0 0 1524 1524"', '<rect id="edge" x="127" y="177.8" width="1016" height="762"/>'),
        (1, 0, 0, 1, 5, 7),
    ),
    "inches with a viewBox": (
        _doc('width="60in" height="60in" viewBox="-20 -20 60 60"', '<rect id="edge" x="-15" y="-13" width="40" height="30"/>'),
        (1, 0, 0, 1, 5, 7),
    ),
    "a rotated group": (
        _doc(
            'width="60in" height="60in" viewBox="0 0 120 120"',
            '<g id="g" transform="translate(40,6) rotate(20) scale(2)"><rect id="edge" width="40" height="30"/></g>',
        ),
        _turned(20, 20, 3),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_editor_draws_the_border_where_it_must_lie(
    name: str, editor: Callable[..., bytes], read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """To five thousandths of an inch, with the width that the dialog remembers."""
    document, place = DOCUMENTS[name]
    drawing = read(editor(document, "edge", DRAW, width="5.5", corner="square"))
    same_place(drawing, (40, 30), (5.5,) * 4, 0.375, place, near=NEAR)
    assert drawing.recipe["width"] == 5.5
    assert drawing.recipe["corner"] == "square"
    assert len(drawing.parts("corner-line")) == 8


def test_what_the_editor_draws_is_what_the_command_draws(
    editor: Callable[..., bytes], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Every side's zigzag and every section, with the fields as they come."""
    document, _ = DOCUMENTS["inches with a viewBox"]
    drawn, printed = read(editor(document, "edge", DRAW)), read(border(document))
    assert drawn.recipe == printed.recipe
    for part in ("side", "section", "run", "fill"):
        assert len(drawn.parts(part)) == len(printed.parts(part)) > 0
    for name, line in printed.sides().items():
        for one, other in zip(drawn.sides()[name], line, strict=True):
            assert math.dist(one, other) < NEAR


def test_the_editor_draws_a_border_in_tiers(editor: Callable[..., bytes], read: Callable[..., object]) -> None:
    """Drawn twice it is still one, with a zigzag for each side of each tier and one run."""
    document, _ = DOCUMENTS["inches with a viewBox"]
    drawing = read(editor(document, "edge", DRAW, DRAW, width="8", tiers="2"))
    assert len(drawing.borders) == 1
    assert len(drawing.parts("side")) == 8
    assert len(drawing.parts("mid-line")) == len(drawing.parts("run")) == 1


def test_again_in_the_editor_replaces_and_undo_takes_it_back(
    editor: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Twice is one border; undone, there is none."""
    document, _ = DOCUMENTS["inches with a viewBox"]
    assert len(read(editor(document, "edge", DRAW, DRAW)).borders) == 1
    undone = read(editor(document, "edge", DRAW, "undo"))
    assert undone.borders == []
    assert len(undone.root.findall(".//*[@id='edge']")) == 1


@pytest.mark.parametrize(
    ("ids", "fields", "told"),
    [("edge", {"width": "15"}, "half"), ("note", {}, "text"), ("", {}, "Nothing is selected")],
    ids=["too wide", "a text", "nothing"],
)
def test_a_refusal_leaves_the_document_alone(
    ids: str, fields: dict[str, str], told: str, editor: Callable[..., bytes], tmp_path: Path
) -> None:
    """The editor gets one sentence to show and no document to put in place of hers.

    A window with the sentence then waits for her; here nobody comes, so the run is ended once the tool has spoken.
    """
    note = tmp_path / "profile" / "extensions" / "cornerwise" / "interpreter.txt"
    spy, code = tmp_path / "spy.sh", tmp_path / "spoken.code"
    spy.write_text(
        "#!/bin/sh\n"
        f'"{note.read_text().strip()}" "$@" >"{tmp_path}/spoken.out" 2>"{tmp_path}/spoken.err"\n'
        f'echo $? >"{code}.new"\nmv "{code}.new" "{code}"\ncat "{tmp_path}/spoken.err" >&2\nexit 2\n'
    )
    spy.chmod(0o755)
    note.write_text(f"{spy}\n")
    document = DOCUMENTS["inches with a viewBox"][0].replace("</svg>", '<text id="note" x="1" y="2">hers</text></svg>')
    out = editor(document, ids, DRAW, until=code, **fields)
    assert code.read_text().strip() == "2"
    assert (tmp_path / "spoken.out").read_bytes() == b""
    said = (tmp_path / "spoken.err").read_text(encoding="utf-8")
    assert told in said
    assert len(said.splitlines()) == 1
    assert b"cornerwise" not in out
    assert (tmp_path / "in.svg").read_text(encoding="utf-8") == document


def test_the_editor_derives_another_order(
    editor: Callable[..., bytes], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Three runs in place of one, with leave-and-return points, shown; the fills stay as they were."""
    before = border(DOCUMENTS["inches with a viewBox"][0])
    drawing = read(editor(before.decode(), "", "org.cornerwise.order.noprefs", order="zigzag", leave="8"))
    assert [run.get("{urn:cornerwise}run") for run in drawing.parts("run")] == ["1", "2", "3"]
    assert len(drawing.parts("leave")) == 1
    assert "none" not in (drawing.layer("order").get("style") or "")
    assert drawing.recipe["order"] == "zigzag"
    drawn = [path.get("d") for path in read(before).parts("fill")]
    assert [path.get("d") for path in drawing.parts("fill")] == drawn


def test_the_editor_changes_the_fill_of_what_is_selected(
    editor: Callable[..., bytes], border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """A section's group, and a line in another; every other section keeps its lines."""
    before = border(DOCUMENTS["inches with a viewBox"][0]).decode()
    second = before.index("<path", before.index('cw:section="top-in-2"'))
    before = f'{before[:second]}<path id="clicked"{before[second + 5 :]}'
    ids = "cornerwise-edge-left-in-1,clicked"
    drawing = read(editor(before, ids, "org.cornerwise.fill.noprefs", fill="fans", spacing="3/4"))
    filled = {g.get("{urn:cornerwise}section"): g for g in drawing.parts("section")}
    fans = {name for name, group in filled.items() if group.get("{urn:cornerwise}fill") == "fans"}
    assert fans == {"left-in-1", "top-in-2"}
    assert all(0.5 < float(filled[name].get("{urn:cornerwise}spacing-in")) < 0.8 for name in fans)
    was = {g.get("{urn:cornerwise}section"): g[0].get("d") for g in read(before.encode()).parts("section")}
    assert {name for name, group in filled.items() if group[0].get("d") != was[name]} == fans
    assert len(drawing.parts("run")) == 1
