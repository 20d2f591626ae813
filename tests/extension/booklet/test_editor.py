"""The real editor, under a virtual screen: it finds the tool, the booklet lies where it was asked, the pages are pages."""

from __future__ import annotations

import re
import subprocess
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PATIENCE = 120

pytestmark = pytest.mark.editor


@pytest.fixture
def editor(tmp_path: Path, profile: Callable[[str, dict[str, str]], dict[str, str]]) -> Callable[..., None]:
    """Open a document in the editor, run the tool with the fields as the editor keeps them, and export."""

    def run(source: Path, out: Path, *actions: str, **fields: str) -> None:
        environment = profile("booklet", fields)
        steps = [*actions, f"export-filename:{out}", "export-do"]
        line = ["xvfb-run", "-a", "inkscape", "--batch-process", f"--actions={';'.join(steps)}", str(source)]
        subprocess.run(
            line, env=environment, stdin=subprocess.DEVNULL, capture_output=True, timeout=PATIENCE, check=False
        )

    return run


def test_the_editor_makes_a_booklet_and_draws_the_pages(
    editor: Callable[..., None], bordered: Callable[..., Path], reader: type, tmp_path: Path
) -> None:
    """From its own dialog's fields, in one run; what it exports has the pages, the first of them the drawing."""
    out, pdf = tmp_path / "out.svg", tmp_path / "pattern.pdf"
    editor(
        bordered(), out, "org.cornerwise.booklet.noprefs", output=str(pdf), title="Evening", paper="a4", pages="1", tiled="0",
    )  # fmt: skip
    booklet = reader(pdf.read_bytes())
    assert booklet.pdf.metadata.title == "Evening"
    assert (booklet.pages[0].wide, booklet.pages[0].tall) == pytest.approx((595.276, 841.890), abs=2e-3)
    pages = re.findall(r"<inkscape:page\b[^>]*>", out.read_text(encoding="utf-8"))
    assert len(pages) > 10
    assert 'width="68"' in pages[0]


def test_the_editor_prints_the_pages_true_to_size(
    editor: Callable[..., None], bordered: Callable[..., Path], cornerwise: Callable[..., object], reader: type,
    squares: Callable[..., list[float]], tmp_path: Path,
) -> None:  # fmt: skip
    """Exported as PDF by the editor itself, the pages have their paper's size and the test squares theirs."""
    paged, pdf = tmp_path / "paged.svg", tmp_path / "pages.pdf"
    assert cornerwise("booklet", bordered(), "--pages", "--parts", "templates", "-o", paged).returncode == 0
    editor(paged, pdf)
    booklet = reader(pdf.read_bytes())
    assert len(booklet.pages) > 2
    for page in booklet.pages[1:]:
        assert (page.wide, page.tall) == pytest.approx((612, 792), abs=1)
        found = squares(page)
        assert any(side == pytest.approx(72.0, abs=0.05) for side in found)
        assert any(side == pytest.approx(56.693, abs=0.05) for side in found)
