"""The command: what it says, and output that is written whole or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="60in" viewBox="0 0 60 60">{EDGE}</svg>'


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """A document with an edge."""
    path = tmp_path / "in.svg"
    path.write_text(DOC)
    return path


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_file_and_standard_output_are_the_same_bytes(source: Path, cornerwise: Run) -> None:
    """-o writes what would be printed, says nothing, and leaves nothing else behind."""
    printed = cornerwise("border", source, "--id", "edge")
    written = cornerwise("border", source, "--id", "edge", "-o", "out.svg")
    assert (printed.returncode, written.returncode) == (0, 0)
    assert (printed.stderr, written.stderr, written.stdout) == (b"", b"", b"")
    assert printed.stdout.startswith(b"<svg")
    assert (source.parent / "out.svg").read_bytes() == printed.stdout
    assert _names(source.parent) == ["in.svg", "out.svg"]
    assert source.read_text() == DOC


def test_an_older_output_is_replaced_whole(source: Path, cornerwise: Run) -> None:
    """A longer file before it leaves no tail."""
    out = source.parent / "out.svg"
    out.write_bytes(b"x" * 5_000_000)
    assert cornerwise("border", source, "--id", "edge", "-o", out).returncode == 0
    assert out.read_bytes() == cornerwise("border", source, "--id", "edge").stdout
    assert _names(source.parent) == ["in.svg", "out.svg"]


def test_an_older_output_survives_a_refusal(source: Path, cornerwise: Run, sentence: Callable[..., str]) -> None:
    """What was there stays when nothing can be drawn."""
    out = source.parent / "out.svg"
    out.write_text("before")
    sentence(cornerwise("border", source, "--id", "edge", "--width", "20", "-o", out))
    assert out.read_text() == "before"
    assert _names(source.parent) == ["in.svg", "out.svg"]


@pytest.mark.parametrize("way", ["itself", "a dot in the path", "a symbolic link", "a hard link", "a link in a folder"])
def test_the_input_is_never_overwritten(way: str, source: Path, cornerwise: Run, sentence: Callable[..., str]) -> None:
    """By whatever name the input is given as the output."""
    other = source.parent / "other.svg"
    if way == "itself":
        other = source
    elif way == "a dot in the path":
        other = source.parent / "sub" / ".." / "in.svg"
        (source.parent / "sub").mkdir()
    elif way == "a symbolic link":
        other.symlink_to(source)
    elif way == "a hard link":
        os.link(source, other)
    else:
        (source.parent / "sub").symlink_to(source.parent, target_is_directory=True)
        other = source.parent / "sub" / "in.svg"
    before = _names(source.parent)
    assert "input" in sentence(cornerwise("border", source, "--id", "edge", "-o", other))
    assert source.read_text() == DOC
    assert _names(source.parent) == before


@pytest.mark.parametrize("out", ["missing/out.svg", "in.svg/out.svg", ".", "", "folder", "x" * 300])
def test_an_output_that_cannot_be_written_is_refused(
    out: str, source: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """A missing folder, a file for a folder, a folder for a file: nothing is left behind."""
    (source.parent / "folder").mkdir()
    sentence(cornerwise("border", source, "--id", "edge", "-o", out))
    assert _names(source.parent) == ["folder", "in.svg"]
    assert _names(source.parent / "folder") == []
    assert source.read_text() == DOC


def test_an_output_through_a_link_writes_what_the_link_names(source: Path, cornerwise: Run) -> None:
    """The link stays a link."""
    out, real = source.parent / "out.svg", source.parent / "real.svg"
    out.symlink_to(real)
    assert cornerwise("border", source, "--id", "edge", "-o", out).returncode == 0
    assert out.is_symlink()
    assert real.read_bytes() == cornerwise("border", source, "--id", "edge").stdout


@pytest.mark.skipif(sys.platform == "win32", reason="no such modes there")
def test_the_output_has_the_usual_rights(source: Path, cornerwise: Run) -> None:
    """As any new file would have; those of an older output are kept."""
    usual, out = source.parent / "usual", source.parent / "out.svg"
    usual.write_text("")
    cornerwise("border", source, "--id", "edge", "-o", out)
    assert out.stat().st_mode == usual.stat().st_mode
    out.chmod(0o640)
    cornerwise("border", source, "--id", "edge", "--width", "5", "-o", out)
    assert out.stat().st_mode & 0o777 == 0o640


def test_the_same_input_gives_the_same_bytes_every_time(source: Path, cornerwise: Run) -> None:
    """Whatever the order in which this Python keeps its sets."""
    runs = {
        cornerwise("border", source, "--id", "edge", env={**os.environ, "PYTHONHASHSEED": seed}).stdout
        for seed in ("1", "2", "3")
    }
    assert len(runs) == 1


@pytest.mark.parametrize(
    "words",
    [
        (), ("quilt",), ("border",), ("border", "--id", "edge"), ("bord", "in.svg", "--id", "edge"), ("fit",),
        ("border", "in.svg", "in.svg", "--id", "edge"), ("border", "in.svg", "--id"), ("demo", "a", "b"), ("--version-of-what",),
        ("install", "--from", "x"), ("\n",),
    ],
)  # fmt: skip
def test_bad_usage_is_refused_in_one_sentence(
    words: tuple[str, ...], source: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """No usage text of many lines, no traceback."""
    assert "--help" in sentence(cornerwise(*words))


@pytest.mark.parametrize("tool", ["border", "fit", "demo", "install", "uninstall"])
def test_each_tool_explains_itself(tool: str, cornerwise: Run) -> None:
    """--help lists the tool's options; the command's own lists the tools."""
    done = cornerwise(tool, "--help")
    assert done.returncode == 0
    assert done.stderr == b""
    assert tool in done.stdout.decode()
    assert tool in cornerwise("--help").stdout.decode()


def test_the_help_of_border_names_every_option_and_default(cornerwise: Run) -> None:
    """One word for each field of the dialog."""
    text = cornerwise("border", "--help").stdout.decode()
    for name in ("width", "binding", "corner", "outerfill", "spacing", "together"):
        assert f"--{name} " in text
    assert "default 0.375" in " ".join(text.split())


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
@pytest.mark.parametrize(
    "words", [("fit", "--sides", "75,39"), ("border", "in.svg", "--id", "none"), ("demo",), ("border", "--help")]
)
def test_a_terminal_with_few_letters_is_no_reason_to_fail(
    encoding: str, words: tuple[str, ...], source: Path, cornerwise: Run
) -> None:
    """Degrees, quotes and dashes come out somehow, and no traceback."""
    done = cornerwise(*words, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert b"Traceback" not in done.stderr
    assert done.returncode == (2 if "none" in words else 0)


def test_a_reader_that_stops_reading_is_no_reason_for_a_traceback(source: Path) -> None:
    """As when the output is piped into `head`."""
    line = [
        sys.executable,
        "-m",
        "extension.command",
        "border",
        str(source),
        "--id",
        "edge",
        "--width",
        "3",
        "--spacing",
        "0.1",
    ]
    with subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        process.stdout.read(10)
        process.stdout.close()
        said = process.stderr.read()
        process.wait(timeout=60)
    assert b"Traceback" not in said
