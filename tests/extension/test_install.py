"""Putting the tools into the editor's folder, and taking out exactly that again."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from lxml import etree

from extension.install import extensions_folder
from geometry.errors import OutputError

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable

    Run = Callable[..., subprocess.CompletedProcess[bytes]]


def _tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_install_writes_what_the_editor_needs_and_says_so(tmp_path: Path, cornerwise: Run) -> None:
    """Dialog, launcher, pictures, and which interpreter to use."""
    target = tmp_path / "some where" / "ext"
    done = cornerwise("install", "--to", target)
    assert (done.returncode, done.stderr) == (0, b"")
    assert str(target) in done.stdout.decode()
    there = _tree(target)
    assert {"border.inx", "launch.py", "interpreter.txt"} <= set(there)
    assert there["interpreter.txt"].decode().strip() == sys.executable
    dialog = etree.fromstring(there["border.inx"])
    space = "{http://www.inkscape.org/namespace/inkscape/extension}"
    assert dialog.find(f".//{space}command").text in there
    for image in dialog.iter(f"{space}image"):
        assert image.text in there
        assert there[image.text].startswith(b"\x89PNG") or image.text.endswith(".svg")


def test_install_may_be_repeated_and_uninstall_takes_out_exactly_that(tmp_path: Path, cornerwise: Run) -> None:
    """A stranger's file in the same folder stays, whatever its name."""
    target = tmp_path / "ext"
    (target / "pictures").mkdir(parents=True)
    strangers = {"mine.inx": b"<a/>", "pictures/hers.svg": b"<svg/>", "border.inx.bak": b"x"}
    for name, data in strangers.items():
        (target / name).write_bytes(data)
    assert cornerwise("install", "--to", target).returncode == 0
    once = _tree(target)
    assert cornerwise("install", "--to", target).returncode == 0
    assert _tree(target) == once
    done = cornerwise("uninstall", "--to", target)
    assert (done.returncode, done.stderr) == (0, b"")
    assert str(len(once) - len(strangers)) in done.stdout.decode()
    assert _tree(target) == strangers


def test_uninstall_leaves_no_empty_folder(tmp_path: Path, cornerwise: Run) -> None:
    """The folder it made is gone, the one it lies in is not."""
    assert cornerwise("install", "--to", tmp_path / "ext").returncode == 0
    assert cornerwise("uninstall", "--to", tmp_path / "ext").returncode == 0
    assert list(tmp_path.iterdir()) == []


def test_what_an_older_version_installed_goes_away_on_the_next_install(tmp_path: Path, cornerwise: Run) -> None:
    """A file on the old list that no longer comes is removed."""
    target = tmp_path / "ext"
    cornerwise("install", "--to", target)
    (target / "old.inx").write_text("<a/>")
    with (target / "installed.txt").open("a") as file:
        file.write("old.inx\n")
    cornerwise("install", "--to", target)
    assert not (target / "old.inx").exists()
    assert (target / "border.inx").exists()


def test_a_forged_list_removes_nothing_outside_the_folder(tmp_path: Path, cornerwise: Run) -> None:
    """Names that lead out of the folder are passed over."""
    target = tmp_path / "ext"
    cornerwise("install", "--to", target)
    (tmp_path / "precious.txt").write_text("hers")
    with (target / "installed.txt").open("a") as file:
        file.write(f"../precious.txt\n{tmp_path / 'precious.txt'}\n")
    done = cornerwise("uninstall", "--to", target)
    assert b"Traceback" not in done.stderr
    assert (tmp_path / "precious.txt").read_text() == "hers"


def test_uninstall_where_nothing_is_installed_is_refused(
    tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """Twice, or in a folder of hers: nothing is touched."""
    (tmp_path / "mine.inx").write_text("<a/>")
    assert "Nothing is installed" in sentence(cornerwise("uninstall", "--to", tmp_path))
    sentence(cornerwise("uninstall", "--to", tmp_path / "missing"))
    assert [path.name for path in tmp_path.iterdir()] == ["mine.inx"]


def test_a_folder_that_cannot_be_written_is_refused(
    tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """A file lies where the folder should be."""
    (tmp_path / "file").write_text("hers")
    sentence(cornerwise("install", "--to", tmp_path / "file"))
    sentence(cornerwise("install", "--to", tmp_path / "file" / "below"))
    assert (tmp_path / "file").read_text() == "hers"


def test_without_a_folder_the_editor_s_own_is_used(tmp_path: Path, cornerwise: Run) -> None:
    """Here the one of a profile of its own; no editor on the path is asked."""
    env = {
        **os.environ,
        "INKSCAPE_PROFILE_DIR": str(tmp_path / "profile"),
        "PATH": str(tmp_path),
        "HOME": str(tmp_path),
    }
    assert cornerwise("install", env=env).returncode == 0
    assert (tmp_path / "profile" / "extensions" / "cornerwise" / "border.inx").is_file()
    assert cornerwise("uninstall", env=env).returncode == 0
    assert (tmp_path / "profile" / "extensions").is_dir()
    assert not (tmp_path / "profile" / "extensions" / "cornerwise").exists()


@pytest.mark.parametrize(
    ("platform", "environment", "told", "wanted"),
    [
        ("linux", {}, "", ".config/inkscape/extensions"),
        ("linux", {"XDG_CONFIG_HOME": "HOME/conf"}, "", "conf/inkscape/extensions"),
        ("win32", {"APPDATA": "HOME/Roaming"}, "", "Roaming/inkscape/extensions"),
        ("win32", {}, "", "AppData/Roaming/inkscape/extensions"),
        ("darwin", {}, "", "Library/Application Support/org.inkscape.Inkscape/config/inkscape/extensions"),
        ("linux", {}, "HOME/told", "told/extensions"),
        ("linux", {"INKSCAPE_PROFILE_DIR": "HOME/profile"}, "", "profile/extensions"),
    ],
)
def test_the_editor_s_folder_on_each_system(
    platform: str, environment: dict[str, str], told: str, wanted: str, tmp_path: Path
) -> None:
    """What the editor says itself comes first, then its profile, then the usual place."""
    at_home = {name: value.replace("HOME", str(tmp_path)) for name, value in environment.items()}
    found = extensions_folder(platform, at_home, tmp_path, told.replace("HOME", str(tmp_path)))
    assert found == tmp_path / Path(wanted)


def test_a_sandboxed_editor_alone_is_told(tmp_path: Path) -> None:
    """It cannot start another Python; beside an ordinary one it does not matter."""
    (tmp_path / ".var" / "app" / "org.inkscape.Inkscape").mkdir(parents=True)
    with pytest.raises(OutputError, match="sandbox"):
        extensions_folder("linux", {}, tmp_path)
    (tmp_path / ".config" / "inkscape").mkdir(parents=True)
    assert extensions_folder("linux", {}, tmp_path) == tmp_path / ".config" / "inkscape" / "extensions"
