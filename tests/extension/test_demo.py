"""`cornerwise demo`: the whole job on the sample quilt, without the editor."""

from __future__ import annotations

import re
import struct
import zlib
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]


def _chunks(data: bytes) -> dict[bytes, bytes]:
    """The chunks of a PNG, checksums verified; several of one name joined."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, found = 8, {}
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(name + body)
        found[name] = found.get(name, b"") + body
        at += 12 + length
    return found


def test_the_demo_writes_document_and_picture_and_prints_what_was_fitted(
    tmp_path: Path, cornerwise: Run, read: Callable[..., object], same_place: Callable[..., None]
) -> None:
    """48 x 64 in with a border of 4 in: 5 and 7 triangles of exactly 8."""
    done = cornerwise("demo", "sub/here")
    assert done.stderr == b""
    assert done.returncode == 0
    folder = tmp_path / "sub" / "here"
    assert {"quilt.svg", "quilt.png"} <= {path.name for path in folder.iterdir()}
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]

    drawing = read((folder / "quilt.svg").read_bytes())
    sides = {
        side["side"]: (side["count"], side["repeat_in"], side["difference_pct"]) for side in drawing.recipe["sides"]
    }
    assert sides == {name: (count, pytest.approx(8, abs=1e-9), pytest.approx(0, abs=1e-9)) for name, count in
                     {"top": 5, "right": 7, "bottom": 5, "left": 7}.items()}  # fmt: skip
    corner = drawing.lines(drawing.layer("border-seam"))[0][0]
    same_place(drawing, (48, 64), (4,) * 4, 0.375, (1, 0, 0, 1, corner[0] - 4, corner[1] - 4), near=1e-4)

    said = done.stdout.decode()
    rows = {row.split()[0]: row for row in said.splitlines() if row.split() and row.split()[0] in sides}
    for name, (count, _, _) in sides.items():
        assert re.search(rf"^ *{name} +{8 * count} in +{count} +8 in +8 +\S+° +[+-]0\.0 %$", rows[name]), rows[name]
    assert "quilt.svg" in said
    assert "quilt.png" in said


def test_the_picture_is_a_whole_png_with_something_on_it(tmp_path: Path, cornerwise: Run) -> None:
    """Large enough to look at, of the quilt's proportions, and not of one colour."""
    assert cornerwise("demo", tmp_path / "out").returncode == 0
    chunks = _chunks((tmp_path / "out" / "quilt.png").read_bytes())
    wide, tall = struct.unpack(">II", chunks[b"IHDR"][:8])
    assert wide >= 1200
    assert 48 / 64 - 0.06 < wide / tall < 48 / 64 + 0.06
    assert b"IEND" in chunks
    pixels = zlib.decompress(chunks[b"IDAT"])
    assert len(pixels) >= tall * (wide + 1)
    assert len(set(pixels)) > 50


def test_the_demo_may_be_repeated_and_gives_the_same_files(tmp_path: Path, cornerwise: Run) -> None:
    """Without a folder's name it makes one of its own."""
    first = cornerwise("demo")
    files = {path.name: path.read_bytes() for path in (tmp_path / "cornerwise-demo").iterdir()}
    second = cornerwise("demo")
    assert first.returncode == second.returncode == 0
    assert first.stdout == second.stdout
    assert {path.name: path.read_bytes() for path in (tmp_path / "cornerwise-demo").iterdir()} == files


def test_the_demo_s_document_can_be_drawn_on_again(tmp_path: Path, cornerwise: Run) -> None:
    """It is a document like any other."""
    cornerwise("demo", "out")
    document = tmp_path / "out" / "quilt.svg"
    again = cornerwise("border", document, "--id", "edge", "--size", "repeat", "--repeat", "8")
    assert again.stdout == document.read_bytes()


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]) -> None:
    """A file lies where the folder should be."""
    (tmp_path / "file").write_text("hers")
    assert "file" in sentence(cornerwise("demo", "file"))
    sentence(cornerwise("demo", "file/below"))
    assert (tmp_path / "file").read_text() == "hers"
