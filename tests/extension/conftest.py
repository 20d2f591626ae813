"""Shared here: the command as a designer runs it, and a reader of drawings that owes nothing to the code under test."""

from __future__ import annotations

import base64
import importlib
import json
import math
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest
from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Callable

SVG = "{http://www.w3.org/2000/svg}"
CW = "{urn:cornerwise}"
INCHES = {"in": 1, "mm": 1 / 25.4, "cm": 1 / 2.54, "px": 1 / 96, "": 1 / 96, "pt": 1 / 72, "pc": 1 / 6}
PATIENCE = 60
"""Seconds after which a run counts as hung."""

MEASURE = """
import base64, json, resource, subprocess, sys
done = subprocess.run(json.loads(sys.argv[1]), capture_output=True, check=False)
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
out, err = (base64.b64encode(text).decode() for text in (done.stdout, done.stderr))
print(json.dumps([done.returncode, out, err, peak / (1024 if sys.platform != "darwin" else 1048576)]))
"""

Matrix = tuple[float, float, float, float, float, float]
Spot = tuple[float, float]


class Measured(NamedTuple):
    """A run and the most memory it held, in MB."""

    returncode: int
    stdout: bytes
    stderr: bytes
    peak: float


def command(*arguments: object) -> list[str]:
    """The command line of `cornerwise` with the interpreter that runs the tests."""
    return [sys.executable, "-m", "extension.command", *map(str, arguments)]


@pytest.fixture
def cornerwise(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Run the command in a process of its own, in an empty folder."""

    def run(*arguments: object, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            command(*arguments), capture_output=True, cwd=tmp_path, timeout=PATIENCE, check=False, env=env
        )

    return run


@pytest.fixture
def profile(
    tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]
) -> Callable[[str, dict[str, str]], dict[str, str]]:
    """A profile of the real editor with the tools installed: sets a dialog's fields as the editor keeps them.

    Returns the environment to start the editor with. Where it is missing the test is skipped, or fails if it is required.
    """
    missing = [program for program in ("inkscape", "xvfb-run") if shutil.which(program) is None]
    if missing and os.environ.get("CORNERWISE_EDITOR_REQUIRED"):
        pytest.fail(f"{' and '.join(missing)} must be installed here")
    if missing:
        pytest.skip(f"{' and '.join(missing)} cannot be found")
    folder = tmp_path / "profile"
    done = cornerwise("install", "--to", folder / "extensions" / "cornerwise")
    assert done.returncode == 0, done.stderr.decode()

    def ready(tool: str, fields: dict[str, str]) -> dict[str, str]:
        settings = " ".join(f'org.cornerwise.{tool}.{name}="{value}"' for name, value in fields.items())
        (folder / "preferences.xml").write_text(
            f'<?xml version="1.0"?><inkscape version="1"><group id="extensions" {settings}/></inkscape>'
        )
        return {**os.environ, "INKSCAPE_PROFILE_DIR": str(folder), "HOME": str(tmp_path)}

    return ready


@pytest.fixture
def measured(tmp_path: Path) -> Callable[..., Measured]:
    """Run the command and tell the most memory it held."""

    def run(*arguments: object) -> Measured:
        line = [sys.executable, "-c", MEASURE, json.dumps(command(*arguments))]
        done = subprocess.run(line, capture_output=True, cwd=tmp_path, timeout=PATIENCE, check=True)
        code, out, err, peak = json.loads(done.stdout)
        return Measured(code, base64.b64decode(out), base64.b64decode(err), peak)

    return run


@pytest.fixture
def sentence() -> Callable[..., str]:
    """Check that a run was refused as promised, and hand back what it said."""

    def check(done: subprocess.CompletedProcess[bytes] | Measured) -> str:
        said = done.stderr.decode()
        assert "Traceback" not in said, said[-2000:]
        assert done.returncode == 2, said
        assert done.stdout == b""
        assert said.endswith("\n")
        assert said.strip()
        assert len(said.splitlines()) == 1, said
        return said.strip()

    return check


@pytest.fixture
def border(tmp_path: Path, cornerwise: Callable[..., subprocess.CompletedProcess[bytes]]) -> Callable[..., bytes]:
    """Draw a border into a document given as text or bytes; returns the output, having checked that all was quiet."""

    def draw(document: str | bytes, *options: object, ids: tuple[str, ...] = ("edge",)) -> bytes:
        source = tmp_path / "in.svg"
        source.write_bytes(document if isinstance(document, bytes) else document.encode())
        done = cornerwise("border", source, *(part for name in ids for part in ("--id", name)), *options)
        assert done.stderr == b"", done.stderr.decode()[-2000:]
        assert done.returncode == 0
        return done.stdout

    return draw


@pytest.fixture
def refusal(
    tmp_path: Path,
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
    sentence: Callable[..., str],
) -> Callable[..., str]:
    """Ask for a border that must be refused; returns the sentence."""

    def ask(document: str | bytes, *options: object, ids: tuple[str, ...] = ("edge",)) -> str:
        source, out = tmp_path / "in.svg", tmp_path / "out.svg"
        source.write_bytes(data := document if isinstance(document, bytes) else document.encode())
        named = [part for name in ids for part in ("--id", name)]
        said = sentence(cornerwise("border", source, *named, *options, "-o", out))
        assert not out.exists()
        assert source.read_bytes() == data
        assert sentence(cornerwise("border", source, *named, *options)) == said
        return said

    return ask


def times(one: Matrix, other: Matrix) -> Matrix:
    """The map that does `other` first."""
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return (a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f)


def matrix(text: str) -> Matrix:
    """An SVG transform as one matrix."""
    whole: Matrix = (1, 0, 0, 1, 0, 0)
    for name, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", text):
        n = [float(part) for part in re.split(r"[\s,]+", inside.strip())]
        if name == "matrix":
            step: Matrix = (n[0], n[1], n[2], n[3], n[4], n[5])
        elif name == "translate":
            step = (1, 0, 0, 1, n[0], n[1] if len(n) > 1 else 0)
        elif name == "scale":
            step = (n[0], 0, 0, n[-1], 0, 0)
        elif name == "rotate":
            cos, sin = math.cos(math.radians(n[0])), math.sin(math.radians(n[0]))
            x, y = n[1:] or (0.0, 0.0)
            step = times(times((1, 0, 0, 1, x, y), (cos, sin, -sin, cos, 0, 0)), (1, 0, 0, 1, -x, -y))
        else:
            pytest.fail(f"the reader does not know {name}")
        whole = times(whole, step)
    return whole


@pytest.fixture(scope="session")
def maps() -> tuple[Callable[..., object], ...]:
    """The reader's own transforms: from text, one after another, of a spot."""
    return matrix, times, at


def subpaths(data: str) -> list[list[Spot]]:
    """The lines of a path of straight pieces; a closed one ends where it began."""
    lines: list[list[Spot]] = []
    x = y = 0.0
    for letter, text in re.findall(r"([A-Za-z])([^A-Za-z]*(?:[eE][-+]?\d+[^A-Za-z]*)*)", data):
        numbers = iter([float(part) for part in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", text)])
        step = letter.islower()
        if letter in "Zz":
            lines[-1].append(lines[-1][0])
            x, y = lines[-1][0]
            continue
        assert letter in "MmLlHhVv", data
        if letter in "Mm":
            lines.append([])
        for number in numbers:
            x = x if letter in "Vv" else number + x * step
            y = y if letter in "Hh" else (number if letter in "Vv" else next(numbers)) + y * step
            lines[-1].append((x, y))
    return lines


class Drawing:
    """A document with a border, read back in inches of the page, from its top left corner."""

    def __init__(self, data: bytes, edge: str = "edge") -> None:
        """Parse the document and find the border of that edge."""
        self.root = etree.fromstring(data)
        self.borders = self.root.findall(f".//{SVG}g[@{CW}part='border'][@{CW}edge='{edge}']")
        sizes = (re.fullmatch(r"([\d.]+)([a-z]*)", self.root.get(name)).groups() for name in ("width", "height"))
        wide, tall = (float(number) * INCHES[unit] for number, unit in sizes)
        left, top, across, down = map(float, self.root.get("viewBox", f"0 0 {wide * 96} {tall * 96}").split())
        self._page = times((wide / across, 0, 0, tall / down, 0, 0), (1, 0, 0, 1, -left, -top))

    @property
    def border(self) -> etree._Element:
        """The border's layer, of which there is one."""
        assert len(self.borders) == 1
        return self.borders[0]

    @property
    def recipe(self) -> dict[str, object]:
        """The recipe."""
        return json.loads(self.border.get(f"{CW}recipe"))

    def parts(self, name: str) -> list[etree._Element]:
        """Elements of the border with that part, in order."""
        return self.border.findall(f".//*[@{CW}part='{name}']")

    def layer(self, name: str) -> etree._Element:
        """The one element of that part."""
        (found,) = self.parts(name)
        return found

    def place(self, element: etree._Element) -> Matrix:
        """From the element's own user units to inches of the page."""
        whole = matrix(element.get("transform", ""))
        for parent in element.iterancestors():
            whole = times(matrix(parent.get("transform", "")), whole)
        return times(self._page, whole)

    def lines(self, element: etree._Element) -> list[list[Spot]]:
        """A path's subpaths in inches of the page."""
        place = self.place(element)
        return [[at(place, spot) for spot in line] for line in subpaths(element.get("d"))]

    def corners(self, section: etree._Element) -> list[Spot]:
        """A section's corners in inches of the page."""
        pairs = (pair.split(",") for pair in section.get(f"{CW}corners").split())
        return [at(self.place(section), (float(x), float(y))) for x, y in pairs]

    def sides(self) -> dict[str, list[Spot]]:
        """The zigzag of each side, by its name."""
        return {path.get(f"{CW}side"): self.lines(path)[0] for path in self.parts("side")}


def at(place: Matrix, spot: Spot) -> Spot:
    """Where a map takes a spot."""
    return (place[0] * spot[0] + place[2] * spot[1] + place[4], place[1] * spot[0] + place[3] * spot[1] + place[5])


@pytest.fixture
def read() -> type[Drawing]:
    """The reader of drawings."""
    return Drawing


@pytest.fixture
def others() -> Callable[[bytes], bytes]:
    """Everything of a document but its borders and the root's own declaration for them, canonicalised."""

    def rest(data: bytes) -> bytes:
        tree = etree.fromstring(data).getroottree()
        for layer in list(tree.getroot().iter(f"{SVG}g")):
            if layer.get(f"{CW}part") == "border":
                before, parent = layer.getprevious(), layer.getparent()
                if before is not None:
                    before.tail = (before.tail or "") + (layer.tail or "")
                else:
                    parent.text = (parent.text or "") + (layer.tail or "")
                parent.remove(layer)
        canonical: bytes = etree.tostring(tree, method="c14n", with_comments=True)
        return canonical.replace(b' xmlns:cw="urn:cornerwise"', b"", 1)

    return rest


@pytest.fixture
def same_place() -> Callable[..., None]:
    """Hold a drawing to where seam, stop line and pivots must lie."""

    def check(
        drawing: Drawing, size: Spot, widths: tuple[float, ...], room: float, place: Matrix, *, near: float
    ) -> None:
        def inset(top: float, right: float, bottom: float, left: float) -> list[Spot]:
            x, y = size[0] - right, size[1] - bottom
            return [at(place, spot) for spot in ((left, top), (x, top), (x, y), (left, y))]

        pivots = inset(*widths)
        for part, corners in (("border-seam", pivots), ("stop-line", inset(*(room,) * 4))):
            (line,) = drawing.lines(drawing.layer(part))
            assert len(line) == 5
            assert [math.dist(*pair) for pair in zip(line, [*corners, corners[0]], strict=True)] == pytest.approx(
                [0] * 5, abs=near
            )
        sides = drawing.sides()
        assert list(sides) == ["top", "right", "bottom", "left"]
        for i, line in enumerate(sides.values()):
            assert math.dist(line[0], pivots[i]) < near
            assert math.dist(line[-1], pivots[(i + 1) % 4]) < near

    return check


@pytest.fixture(scope="session")
def schemas() -> list[Any]:
    """What the editor's own library holds dialogs to: the order of elements is strict."""
    tester = Path(importlib.import_module("inkex").__file__ or "").parent / "tester"
    found = [
        kind(etree.parse(path))
        for path in sorted(tester.glob("inkscape.extension.*"))
        for suffix, kind in ((".rng", etree.RelaxNG), (".schema", etree.Schematron))
        if path.suffix == suffix
    ]
    if not found:
        pytest.skip("this inkex ships no schema")
    return found
