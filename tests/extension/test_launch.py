"""The launcher: run by the editor's own Python, it starts ours, cleanly, and passes everything through."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import extension.launch
from extension.launch import clean_environment, command_line

if TYPE_CHECKING:
    from collections.abc import Callable

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
DOC = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="60in" viewBox="0 0 60 60"><!-- é 雪 -->{EDGE}</svg>'
)


@pytest.fixture
def folder(tmp_path: Path, cornerwise: Run) -> Path:
    """An extensions folder with the tools in it, and a document beside it."""
    assert cornerwise("install", "--to", tmp_path / "my extensions").returncode == 0
    (tmp_path / "in.svg").write_text(DOC, encoding="utf-8")
    return tmp_path / "my extensions"


def _launch(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    line = [sys.executable, "-E", str(folder / "launch.py"), *words, str(folder.parent / "in.svg")]
    return subprocess.run(
        line, capture_output=True, timeout=60, check=False, cwd=folder, env={**os.environ, **environment}
    )


def test_what_the_editor_sets_for_its_own_python_is_dropped() -> None:
    """The rest of the environment stays."""
    dropped = ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH", "LD_PRELOAD", "DYLD_LIBRARY_PATH", "DYLD_FRAMEWORK_PATH",
               "GI_TYPELIB_PATH", "GTK_PATH", "GTK_EXE_PREFIX")  # fmt: skip
    kept = {"PATH": "/bin", "HOME": "/home", "LANG": "de_DE.UTF-8", "INKSCAPE_PROFILE_DIR": "p", "APPDATA": "a"}
    assert clean_environment({**dict.fromkeys(dropped, "x"), **kept}) == kept


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        (["--tool=border", "--width=4", "in.svg"], ["-m", "extension.border", "--width=4", "in.svg"]),
        (["--id=a", "--tool=border", "--id=b", "in.svg"], ["-m", "extension.border", "--id=a", "--id=b", "in.svg"]),
        (["in.svg"], ["-m", "extension.border", "in.svg"]),
        (["--tool=../../evil", "in.svg"], ["-m", "extension.border", "in.svg"]),
        (["--tool=os.system", "in.svg"], ["-m", "extension.border", "in.svg"]),
        (["--tool=", "in.svg"], ["-m", "extension.border", "in.svg"]),
    ],
)
def test_the_tool_is_named_by_the_dialog_and_all_else_passed_on(given: list[str], wanted: list[str]) -> None:
    """In isolated mode, so that no folder of the editor's gets in the way."""
    assert command_line("python", given) == ["python", "-I", *wanted]


def test_the_launcher_runs_on_the_editor_s_older_python() -> None:
    """Nothing newer than 3.7, and the standard library only."""
    tree = ast.parse(Path(extension.launch.__file__).read_text(encoding="utf-8"), feature_version=(3, 7))
    imported = {name.name for node in ast.walk(tree) if isinstance(node, ast.Import) for name in node.names}
    imported |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert imported <= set(sys.stdlib_module_names)
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.NamedExpr | ast.Match)]


def test_through_the_launcher_the_same_bytes_come_out(folder: Path, border: Callable[..., bytes]) -> None:
    """Even where the editor's environment would lead our Python astray."""
    wanted = border(DOC, "--width", "5.5", "--fill", "chevrons")
    nonsense = str(folder / "nonsense")
    (folder / "nonsense").mkdir()
    for name in ("inkex", "lxml", "extension", "geometry", "argparse"):
        (folder / "nonsense" / f"{name}.py").write_text("raise SystemExit('led astray')\n")
    done = _launch(
        folder, "--tool=border", "--tab=fills", "--id=edge", "--width=5.5", "--fill=chevrons",
        PYTHONPATH=nonsense, PYTHONHOME=nonsense, LD_LIBRARY_PATH=nonsense, GI_TYPELIB_PATH=nonsense, PYTHONIOENCODING="ascii",
    )  # fmt: skip
    assert done.stderr == b""
    assert done.returncode == 0
    assert done.stdout == wanted


def test_a_refusal_comes_through_as_it_was_said(folder: Path, sentence: Callable[..., str]) -> None:
    """The sentence, its typeset quotes included, and the exit code."""
    said = sentence(_launch(folder, "--tool=border", "--id=elsewhere"))
    assert "“elsewhere”" in said


@pytest.mark.parametrize("note", [None, "", "gone\n", "folder\n", "\n\n", "\xff\xfe"])
def test_a_missing_interpreter_is_told_with_the_command_that_repairs_it(
    note: str | None, folder: Path, sentence: Callable[..., str]
) -> None:
    """The plugin's folder was moved or deleted, or the note is damaged."""
    place = folder / "interpreter.txt"
    place.unlink()
    if note is not None:
        place.write_bytes(note.replace("gone", str(folder / "gone")).replace("folder", str(folder)).encode("latin-1"))
    assert "cornerwise install" in sentence(_launch(folder, "--tool=border", "--id=edge"))


def test_an_interpreter_without_our_libraries_is_told_too(folder: Path, sentence: Callable[..., str]) -> None:
    """The environment was emptied: the Python is there, the plugin is not."""
    bare = folder / "bare"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(bare)], check=True, timeout=60)
    python = next(path for path in (bare / "bin" / "python", bare / "Scripts" / "python.exe") if path.exists())
    (folder / "interpreter.txt").write_text(f"{python}\n")
    assert "cornerwise install" in sentence(_launch(folder, "--tool=border", "--id=edge"))
