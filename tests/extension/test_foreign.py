"""Documents and sizes that nobody on this project made: right, or refused in one sentence."""

from __future__ import annotations

import csv
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from extension.options import BORDER_OPTIONS, read_options
from extension.request import read_job
from geometry.plan import lay_out

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

DATA = Path(os.environ.get("CORNERWISE_TEST_DATA") or Path(__file__).parents[3] / "shared" / "data")
ABSENT = pytest.mark.skipif(
    not DATA.is_dir(), reason="the foreign documents are not here; CORNERWISE_TEST_DATA may name their folder"
)


def _rows(name: str, delimiter: str) -> list[dict[str, str]]:
    if not (DATA / name).is_file():
        return []
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter=delimiter))


FOREIGN = {row["file"]: row["select"] for row in _rows("foreign/MANIFEST.tsv", "\t")}
QUILTS = _rows("quilts.csv", ",")


def _with_id(data: bytes, select: str) -> tuple[bytes, str]:
    """The document and the id of its rectangle; where it has none, one is written into its tag as text."""
    if select.startswith("id:"):
        return data, select[3:]
    number = int(re.fullmatch(r'xpath:\(//\*\[local-name\(\)="rect"\]\)\[(\d+)\]', select)[1])
    tag = list(
        re.finditer(
            rb"<(?:\w+:)?rect\b[^>]*>",
            re.sub(rb"<!--.*?-->", lambda found: b" " * len(found[0]), data, flags=re.DOTALL),
        )
    )[number - 1]
    own = re.search(rb"\sid\s*=\s*[\"']([^\"']*)", tag[0])
    if own:
        return data, own[1].decode()
    at = tag.start() + data[tag.start() :].index(b"rect") + 4
    return data[:at] + b' id="found-edge"' + data[at:], "found-edge"


@ABSENT
def test_the_foreign_documents_are_all_there() -> None:
    """So that an empty folder does not pass for sixty."""
    assert len(FOREIGN) == 60
    assert len(QUILTS) == 40
    assert all((DATA / "foreign" / name).is_file() for name in FOREIGN)


@ABSENT
@pytest.mark.parametrize(
    "options", [(), ("--width", "0.5", "--binding", "0.1", "--spacing", "0.2"), ("--scale", "40")], ids=" ".join
)
@pytest.mark.parametrize("name", FOREIGN)
def test_a_foreign_document_is_drawn_on_or_refused(
    name: str,
    options: tuple[str, ...],
    tmp_path: Path,
    cornerwise: Run,
    sentence: Callable[..., str],
    others: Callable[[bytes], bytes],
) -> None:
    """Never a traceback, never a change to anything else, and again changes nothing."""
    data, edge = _with_id((DATA / "foreign" / name).read_bytes(), FOREIGN[name])
    (tmp_path / "in.svg").write_bytes(data)
    done = cornerwise("border", "in.svg", "--id", edge, *options)
    assert (tmp_path / "in.svg").read_bytes() == data
    if done.returncode:
        assert len(sentence(done)) < 600
        return
    assert done.stderr == b""
    assert others(done.stdout) == others(data)
    if options:
        return
    (tmp_path / "again.svg").write_bytes(done.stdout)
    assert cornerwise("border", "again.svg", "--id", edge, *options).stdout == done.stdout


@ABSENT
@pytest.mark.parametrize(
    "name", [name for name in FOREIGN if "width_height_fixed" not in name and "structure_svg_" not in name] or ["none"]
)
def test_a_sound_page_put_around_it_makes_more_of_them_drawable(
    name: str, tmp_path: Path, cornerwise: Run, sentence: Callable[..., str], others: Callable[[bytes], bytes]
) -> None:
    """Most lack a size only; with one written into the root's tag, the shape itself is looked at."""
    if not (DATA / "foreign" / name).is_file():
        pytest.skip("no foreign documents")
    data, edge = _with_id((DATA / "foreign" / name).read_bytes(), FOREIGN[name])
    root = re.search(rb"<svg\b[^>]*>", data)
    if re.search(rb"\swidth\s*=", root[0]):
        pytest.skip("it has a size of its own")
    box = re.search(rb"viewBox\s*=\s*[\"']\s*(\S+)[\s,]+(\S+)[\s,]+(\S+)[\s,]+([^\"'\s]+)", root[0])
    size = b' width="%sin" height="%sin"' % (box[3], box[4]) if box else b' width="4000" height="4000"'
    sized = data[: root.start() + 4] + size + data[root.start() + 4 :]
    (tmp_path / "in.svg").write_bytes(sized)
    done = cornerwise("border", "in.svg", "--id", edge)
    if done.returncode:
        assert "no width" not in sentence(done)
        return
    assert done.stderr == b""
    assert others(done.stdout) == others(sized)


def _quilt(width: float, height: float) -> str:
    edge = f'<rect id="edge" width="{width}" height="{height}"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}in" height="{height}in" viewBox="0 0 {width} {height}">{edge}</svg>'


@ABSENT
@pytest.mark.parametrize("row", QUILTS, ids=lambda row: row["object"])
def test_every_museum_quilt_takes_a_border_of_any_width(
    row: dict[str, str],
    border: Callable[..., bytes],
    read: Callable[..., object],
    same_place: Callable[..., None],
    refusal: Callable[..., str],
) -> None:
    """From one inch to just under half its short side; at half it is refused."""
    width, height = float(row["width_in"]), float(row["height_in"])
    half = min(width, height) / 2
    for wide in (1, 4, round(half * 0.98, 3)):
        drawing = read(border(_quilt(width, height), "--width", wide))
        same_place(drawing, (width, height), (wide,) * 4, 0.375, (1, 0, 0, 1, 0, 0), near=0.005)
    assert "half" in refusal(_quilt(width, height), "--width", repr(half))


@ABSENT
@pytest.mark.parametrize(
    "options",
    [{"fit": "ease"}, {"number": "odd", "corner": "square"}, {"size": "repeat", "corner": "large", "kind": "inner"}],
    ids=str,
)
def test_every_museum_quilt_can_be_planned_every_way(options: dict[str, str]) -> None:
    """All sizes and six widths, without the detour over files."""
    from extension.document import read_document  # noqa: PLC0415 - beside its only use

    defaults = {option.name: option.default for option in BORDER_OPTIONS}
    for row in QUILTS:
        width, height = float(row["width_in"]), float(row["height_in"])
        document = read_document(_quilt(width, height).encode())
        for wide in ("0.75", "2", "4", "6 1/2", "10", "14"):
            if 2 * float(wide.split()[0]) + 2 > min(width, height):
                continue
            job = read_job(document, ["edge"], read_options({**defaults, **options, "width": wide}, BORDER_OPTIONS))
            plan = lay_out(job.request)
            assert all(z.dots[0] == z.side.start and z.dots[-1] == z.side.end for z in plan.zigzags)
