"""Putting the tools into the editor's own extensions folder, and taking out exactly that again."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from extension.picture import png
from extension.tool import DONE
from geometry.errors import OutputError

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator, Mapping

FOLDER = "cornerwise"
PICTURES = "pictures"
LIST = "installed.txt"
INTERPRETER = "interpreter.txt"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of `cornerwise install` and `uninstall`."""
    parser.add_argument("--to", metavar="DIR", help="the folder to use (default: the editor's own)")


def run(arguments: argparse.Namespace) -> int:
    """Install, and say what was done."""
    target = _target(arguments.to)
    written = install(target)
    print(f"Installed {len(written)} files in {target}")
    print("Start the editor anew; the tools are under Extensions > Cornerwise.")
    return DONE


def install(target: Path) -> list[str]:
    """Write dialogs, pictures, launcher and the interpreter's path; returns their names inside the folder.

    Raises:
        OutputError: the folder cannot be written.
    """
    try:
        if (target / LIST).exists():
            uninstall(target)
        target.mkdir(parents=True, exist_ok=True)
        written = []
        for source, name in _files():
            place = target / name
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, place)
            written.append(name)
            if source.parent.name == PICTURES:
                # not every editor can show SVG inside a dialog
                picture = place.with_suffix(".png")
                picture.write_bytes(png(source.read_bytes()))
                written.append(picture.relative_to(target).as_posix())
        # not resolved: in a virtual environment the link is what knows the libraries
        (target / INTERPRETER).write_text(sys.executable + "\n", encoding="utf-8")
        written += [INTERPRETER, LIST]
        (target / LIST).write_text("\n".join(written) + "\n", encoding="utf-8")
    except OSError as error:
        _cannot(target, error)
    return written


def uninstall(target: Path) -> list[str]:
    """Remove what `install` wrote, and the folder if nothing else is in it; returns the names removed.

    Raises:
        OutputError: nothing is installed there, or it cannot be removed.
    """
    try:
        names = (target / LIST).read_text(encoding="utf-8").split("\n")
    except OSError:
        raise OutputError(
            f"Nothing is installed in {target}; it must be the folder that “cornerwise install” named: "
            "please give it with --to."
        ) from None
    removed = []
    try:
        for name in filter(None, names):
            place = target / name
            if not place.resolve().is_relative_to(target.resolve()):
                continue
            if place.is_file():
                place.unlink()
                removed.append(name)
        folders = {parent for name in removed for parent in (target / name).parents if parent.is_relative_to(target)}
        for folder in sorted(folders, key=lambda path: -len(path.parts)):
            if not any(folder.iterdir()):
                folder.rmdir()
    except OSError as error:
        _cannot(target, error)
    return removed


class removal:  # noqa: N801 - stands beside the modules in the table of tools
    """`cornerwise uninstall`."""

    add_arguments = staticmethod(add_arguments)

    @staticmethod
    def run(arguments: argparse.Namespace) -> int:
        """Uninstall, and say what was done."""
        target = _target(arguments.to)
        print(f"Removed {len(uninstall(target))} files from {target}")
        return DONE


def _cannot(target: Path, error: OSError) -> NoReturn:
    raise OutputError(
        f"{target} cannot be changed ({(error.strerror or str(error)).lower()}); it must be a folder of yours: "
        "please choose another with --to."
    ) from None


def _files() -> Iterator[tuple[Path, str]]:
    """What is installed: source and name inside the folder."""
    here = Path(__file__).parent
    dialogs = next((folder for folder in (here / "inx", here.parent / "inx") if folder.is_dir()), None)
    if dialogs is None:
        raise OutputError(
            "The dialogs are missing from this installation; they must lie beside the code: please install it again."
        )
    for source in sorted(dialogs.rglob("*")):
        if source.suffix in {".inx", ".svg"}:
            yield source, source.relative_to(dialogs).as_posix()
    yield here / "launch.py", "launch.py"


def _target(given: str | None) -> Path:
    if given is not None:
        return Path(given).expanduser().absolute()
    return extensions_folder(sys.platform, os.environ, Path.home(), _asked_editor()) / FOLDER


def _asked_editor() -> str:
    """The user folder that the editor itself names; empty if it is not on the path."""
    program = shutil.which("inkscape")
    if program is None:
        return ""
    try:
        told = subprocess.run(
            [program, "--user-data-directory"], capture_output=True, text=True, timeout=60, check=False
        )  # fmt: skip
    except (OSError, subprocess.SubprocessError):
        return ""
    lines = told.stdout.strip().splitlines()
    return lines[-1] if told.returncode == 0 and lines else ""


def extensions_folder(platform: str, environment: Mapping[str, str], home: Path, told: str = "") -> Path:
    """Where the editor looks for a user's extensions.

    Args:
        platform: as `sys.platform`.
        environment: the environment's variables.
        home: the user's home folder.
        told: the user folder that the editor named, if it could be asked.

    Raises:
        OutputError: only a sandboxed editor is there, which cannot start another Python.
    """
    if told:
        return Path(told) / "extensions"
    if environment.get("INKSCAPE_PROFILE_DIR"):
        return Path(environment["INKSCAPE_PROFILE_DIR"]) / "extensions"
    if platform == "win32":
        return Path(environment.get("APPDATA") or home / "AppData" / "Roaming") / "inkscape" / "extensions"
    if platform == "darwin":
        support = home / "Library" / "Application Support"
        return support / "org.inkscape.Inkscape" / "config" / "inkscape" / "extensions"
    usual = Path(environment.get("XDG_CONFIG_HOME") or home / ".config") / "inkscape"
    if not usual.is_dir() and (home / ".var" / "app" / "org.inkscape.Inkscape").is_dir():
        raise OutputError(
            "Only an editor in a Flatpak sandbox is found, which cannot start the Python that does the work; it must "
            "be installed from your distribution's packages: please install it so, or name a folder with --to."
        )
    return usual / "extensions"
