"""Shared here: documents with borders, and a reader of the booklet's pages that owes nothing to the code under test."""

from __future__ import annotations

import io
import itertools
import math
import re
import subprocess
import sys
from typing import TYPE_CHECKING, NamedTuple

import pypdf
import pytest
from pypdf.generic import ContentStream

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

Matrix = tuple[float, float, float, float, float, float]
Spot = tuple[float, float]


class Drawn(NamedTuple):
    """A path as painted on a page: its subpaths in points from the page's top left corner, y downwards."""

    lines: tuple[tuple[Spot, ...], ...]
    stroked: bool
    colour: tuple[float, ...]
    width: float
    dashed: bool


def _times(one: Matrix, other: Matrix) -> Matrix:
    """The map that does `other` first (ISO 32000: x' = a·x + c·y + e)."""
    a, b, c, d, e, f = other
    p, q, r, s, t, u = one
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _at(place: Matrix, x: float, y: float) -> Spot:
    return (place[0] * x + place[2] * y + place[4], place[1] * x + place[3] * y + place[5])


class Page:
    """One page: size, words, paths."""

    def __init__(self, page: pypdf.PageObject) -> None:
        """Keep the page."""
        self._page = page
        box = page.mediabox
        self.wide, self.tall = float(box.width), float(box.height)

    @property
    def text(self) -> str:
        """Its words, white space made one."""
        return " ".join(self._page.extract_text().split())

    def sizes(self) -> list[tuple[float, str]]:
        """Each piece of text that shows, with its size in points as it stands on the page."""
        found: list[tuple[float, str]] = []

        def see(words: str, cm: list[float], tm: list[float], _: object, size: float) -> None:
            if words.strip():
                scale = math.sqrt(abs(cm[0] * cm[3] - cm[1] * cm[2]) * abs(tm[0] * tm[3] - tm[1] * tm[2]))
                found.append((float(size) * scale, words))

        self._page.extract_text(visitor_text=see)
        return found

    def paths(self) -> list[Drawn]:
        """Everything painted with a path operator."""
        return list(_Painter(self.tall).run(self._page))

    def images(self) -> int:
        """Pictures made of pixels."""
        return len(self._page.images)


class _Ink(NamedTuple):
    """The part of the graphics state that matters here."""

    place: Matrix = (1, 0, 0, 1, 0, 0)
    width: float = 1.0
    stroke: tuple[float, ...] = (0.0,)
    fill: tuple[float, ...] = (0.0,)
    dashed: bool = False


PAINTS = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"}
STROKES = {"S", "s", "B", "B*", "b", "b*"}


class _Painter:
    """Walks through a content stream (operators of ISO 32000, section 8.5)."""

    def __init__(self, tall: float) -> None:
        self._tall = tall
        self._ink = _Ink()
        self._stack: list[_Ink] = []
        self._lines: list[list[Spot]] = []

    def run(self, page: pypdf.PageObject) -> Iterator[Drawn]:
        """Yield the painted paths."""
        for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
            name = operator.decode()
            assert name != "Do", "everything is painted on the page itself"
            if name in PAINTS:
                if name != "n":
                    yield self._drawn(stroked=name in STROKES)
                self._lines = []
            elif name == "d":
                self._ink = self._ink._replace(dashed=len(operands[0]) > 0)
            else:
                numbers = [float(part) for part in operands if isinstance(part, int | float)]
                self._set(name, numbers)
                self._draw(name, numbers)

    def _drawn(self, *, stroked: bool) -> Drawn:
        place = self._ink.place
        scale = math.sqrt(abs(place[0] * place[3] - place[1] * place[2]))
        colour = self._ink.stroke if stroked else self._ink.fill
        return Drawn(tuple(map(tuple, self._lines)), stroked, colour, self._ink.width * scale, self._ink.dashed)

    def _set(self, name: str, numbers: list[float]) -> None:
        if name == "q":
            self._stack.append(self._ink)
        elif name == "Q":
            self._ink = self._stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = numbers
            self._ink = self._ink._replace(place=_times(self._ink.place, (a, b, c, d, e, f)))
        elif name == "w":
            self._ink = self._ink._replace(width=numbers[0])
        elif name in {"SCN", "RG", "G"}:
            self._ink = self._ink._replace(stroke=tuple(numbers))
        elif name in {"scn", "rg", "g"}:
            self._ink = self._ink._replace(fill=tuple(numbers))

    def _draw(self, name: str, numbers: list[float]) -> None:
        if name in {"m", "l", "c", "v", "y"}:
            if name == "m":
                self._lines.append([])
            self._lines[-1].append(self._spot(numbers[-2], numbers[-1]))
        elif name == "h":
            self._lines[-1].append(self._lines[-1][0])
        elif name == "re":
            x, y, w, h = numbers
            corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
            self._lines.append([self._spot(*corner) for corner in corners])

    def _spot(self, x: float, y: float) -> Spot:
        spot = _at(self._ink.place, x, y)
        return (spot[0], self._tall - spot[1])


class Booklet:
    """A booklet as PDF, read back."""

    def __init__(self, data: bytes) -> None:
        """Parse it."""
        self.data = data
        self.pdf = pypdf.PdfReader(io.BytesIO(data))
        self.pages = [Page(page) for page in self.pdf.pages]

    @property
    def text(self) -> str:
        """All words."""
        return " ".join(page.text for page in self.pages)

    def of(self, title: str) -> list[Page]:
        """The pages that begin with a title."""
        return [page for page in self.pages if page.text.startswith(title)]


@pytest.fixture
def reader() -> type[Booklet]:
    """The reader of booklets."""
    return Booklet


def document(wide: float = 48, tall: float = 64) -> str:
    """A document with an edge, seven and five inches from the page's corner."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide + 20}in" height="{tall + 20}in" '
        f'viewBox="0 0 {wide + 20} {tall + 20}"><rect id="edge" x="7" y="5" width="{wide}" height="{tall}"/></svg>'
    )


@pytest.fixture
def bordered(tmp_path: Path, cornerwise: Run) -> Callable[..., Path]:
    """Draw a border and keep the document; returns where it lies."""

    def draw(*options: object, size: Spot = (48, 64), name: str = "bordered.svg") -> Path:
        source, out = tmp_path / "plain.svg", tmp_path / name
        source.write_text(document(*size), encoding="utf-8")
        done = cornerwise("border", source, "--id", "edge", *options, "-o", out)
        assert done.returncode == 0, done.stderr.decode()
        return out

    return draw


@pytest.fixture
def printed(cornerwise: Run) -> Callable[..., Booklet]:
    """Make a booklet of a document; returns it, having checked that all was quiet."""

    def make(source: Path, *options: object) -> Booklet:
        done = cornerwise("booklet", source, *options)
        assert done.stderr == b"", done.stderr.decode()[-2000:]
        assert done.returncode == 0
        return Booklet(done.stdout)

    return make


@pytest.fixture
def moved() -> Callable[..., Spot]:
    """Move a node of a section's fill by hand; returns where it is now, in inches from the edge's top left corner."""

    def move(path: Path, section: str, node: int, by: Spot) -> Spot:
        text = path.read_text(encoding="utf-8")
        found = re.search(rf'cw:section="{section}".*?<path d="([^"]*)"', text, re.DOTALL)
        assert found is not None
        pairs = list(re.finditer(r"(-?[\d.]+),(-?[\d.]+)", found[1]))
        x, y = (float(part) for part in pairs[node].groups())
        spot = (x + by[0], y + by[1])
        data = found[1][: pairs[node].start()] + f"{spot[0]},{spot[1]}" + found[1][pairs[node].end() :]
        path.write_text(text[: found.start(1)] + data + text[found.end(1) :], encoding="utf-8")
        return (spot[0] - 7, spot[1] - 5)

    return move


@pytest.fixture
def nodes() -> Callable[..., list[list[Spot]]]:
    """The lines of a section's fill as the document has them, in inches from the edge's top left corner."""

    def read(path: Path, section: str) -> list[list[Spot]]:
        text = path.read_text(encoding="utf-8")
        found = re.search(rf'cw:section="{section}".*?<path d="([^"]*)"', text, re.DOTALL)
        assert found is not None
        return [
            [(float(x) - 7, float(y) - 5) for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", part)]
            for part in found[1].split("M")
            if part.strip()
        ]

    return read


@pytest.fixture
def squares() -> Callable[[Page], list[float]]:
    """The sides of the closed squares drawn on a page, in points."""

    def find(page: Page) -> list[float]:
        found = []
        for drawn in page.paths():
            for line in drawn.lines:
                steps = [math.dist(*pair) for pair in itertools.pairwise(line)]
                upright = all(a[0] == pytest.approx(b[0], abs=1e-3) or a[1] == pytest.approx(b[1], abs=1e-3)
                              for a, b in itertools.pairwise(line))  # fmt: skip
                if len(line) == 5 and line[0] == line[-1] and upright and max(steps) - min(steps) < 0.01:
                    found.append(steps[0])
        return found

    return find


@pytest.fixture
def measured_booklet(tmp_path: Path) -> Callable[..., tuple[float, bytes]]:
    """Run the command and tell the most memory it held, in MB, and what it wrote."""

    def run(*arguments: object) -> tuple[float, bytes]:
        code = (
            "import resource, subprocess, sys\n"
            "subprocess.run(sys.argv[1:], check=True)\n"
            "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
        )
        out = tmp_path / "measured.pdf"
        line = [
            sys.executable,
            "-c",
            code,
            sys.executable,
            "-m",
            "extension.command",
            *map(str, arguments),
            "-o",
            str(out),
        ]
        done = subprocess.run(line, capture_output=True, timeout=120, check=True)
        return int(done.stdout) / (1024 if sys.platform != "darwin" else 1048576), out.read_bytes()

    return run
