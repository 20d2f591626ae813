"""What cannot be made is refused in one sentence; what was typed never breaks a page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]


def test_a_document_without_a_border_is_refused(tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]) -> None:
    """With what to do first; nothing is written."""
    source, out = tmp_path / "plain.svg", tmp_path / "out.pdf"
    source.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9in" height="9in"><rect id="edge"/></svg>')
    assert "draw the border first" in sentence(cornerwise("booklet", source, "-o", out))
    assert not out.exists()


@pytest.mark.parametrize("size", ["", 'width="100%" height="100%"', 'width="0" height="9in"'])
def test_a_document_without_a_physical_size_is_refused(
    size: str, bordered: Callable[..., Path], cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """Nothing on it has a true size."""
    source = bordered()
    text = source.read_text(encoding="utf-8")
    source.write_text(re.sub(r'width="68in" height="84in"', size, text, count=1), encoding="utf-8")
    assert "true size" in sentence(cornerwise("booklet", source))


@pytest.mark.parametrize("where", ["missing/out.pdf", "folder", "plain.svg", "bordered.svg", "other.svg", "x" * 300])
def test_a_place_that_cannot_be_written_is_refused(
    where: str, bordered: Callable[..., Path], cornerwise: Run, sentence: Callable[..., str], tmp_path: Path
) -> None:
    """A missing folder, a folder for a file, the drawing itself, any drawing."""
    source = bordered()
    (tmp_path / "folder").mkdir()
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    sentence(cornerwise("booklet", source, "-o", where))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()} == before


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--parts", "chart,recipes"), "recipes"),
        (("--parts", ","), "No part"),
        (("--paper", "b5"), "paper"),
        (("--ruler", "10"), "ruler"),
        (("--level", "genius"), "level"),
        (("--title", "x" * 5000), "letters"),
        (("--pages", "-o", "out.pdf"), "PDF"),
        (("--id", "nothing"), "chosen"),
        (("--stitches", "0"), "stitches"),
    ],
)
def test_options_that_cannot_be_followed_are_refused(
    options: tuple[str, ...], told: str, bordered: Callable[..., Path], cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """Each names what it is about."""
    assert told in sentence(cornerwise("booklet", bordered(), *options))


def test_of_several_borders_one_must_be_chosen(
    tmp_path: Path, cornerwise: Run, sentence: Callable[..., str], printed: Callable[..., object]
) -> None:
    """By the id of its edge."""
    shapes = '<rect id="one" width="40" height="50"/><rect id="two" x="60" width="30" height="50"/>'
    source, first, both = (tmp_path / name for name in ("plain.svg", "first.svg", "both.svg"))
    source.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100in" height="60in" viewBox="0 0 100 60">{shapes}</svg>'
    )
    assert cornerwise("border", source, "--id", "one", "-o", first).returncode == 0
    assert cornerwise("border", first, "--id", "two", "-o", both).returncode == 0
    said = sentence(cornerwise("booklet", both))
    assert "“one”" in said
    assert "“two”" in said
    assert "30 × 50 in" in printed(both, "--id", "two", "--parts", "first").text
    assert "40 × 50 in" in printed(both, "--id", "one", "--parts", "first").text


@pytest.mark.parametrize(
    "title",
    [
        "#set page(width: 1in)", "*bold* _slanted_ `code` $x^2$", "<label> @reference \\ back", "// nothing = heading",
        "[brackets] {braces} ] } )", '"quotes" and \\"more\\"', "Größe, Übung, naïve", "Квилт для дома", "Πάπλωμα",
        "日本のキルト", "لحاف", "🧵 and 🪡", "a\u0301 combining", "line\u2028break", "tab\there", "\x00\x1b[31mred", "\ufffe\uffff",
        "\U0010ffff", "7 1/8 of 1/2 in 3/4", "x" * 400, "word " * 200, "https://example.org/a_b?c=d#e", "--- -- ~ ... ’",
        '#eval("1+1")', '#read("/etc/passwd")', "\\u{41}",
    ],
)  # fmt: skip
def test_a_title_may_be_anything(title: str, bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """It is printed letter by letter, never obeyed; the page keeps its size."""
    typed = title.replace("\x00", "")
    booklet = printed(bordered(), f"--title={typed}", f"--notes={typed}", f"--maker={typed}", "--parts", "first,last")
    assert (booklet.pages[0].wide, booklet.pages[0].tall) == (612, 792)
    assert 2 <= len(booklet.pages) <= 5
    plain = "".join(char for char in typed if char.isalnum() and char.isascii())
    shown = "".join(char for char in booklet.text if char.isalnum() and char.isascii())
    assert plain[:60] in shown
    assert "root:" not in booklet.text


@pytest.mark.parametrize("title", ["", "   ", "\t"])
def test_an_empty_title_is_made_from_the_size(
    title: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """So that no page is without one."""
    assert (
        printed(bordered(), f"--title={title}", "--parts", "first").pdf.metadata.title == "A quilted border, 48 × 64 in"
    )


@pytest.mark.parametrize(
    "recipe", ["", "{", "[]", "null", '{"width": "wide"}', '{"spacing": []}', '{"fill": "recipes"}']
)
def test_a_recipe_that_was_damaged_is_refused_in_a_sentence(
    recipe: str, bordered: Callable[..., Path], cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """No traceback, whatever a document brings."""
    source = bordered()
    text = source.read_text(encoding="utf-8")
    quoted = recipe.replace('"', "&quot;")
    source.write_text(re.sub(r'cw:recipe="[^"]*"', f'cw:recipe="{quoted}"', text, count=1), encoding="utf-8")
    sentence(cornerwise("booklet", source))


@pytest.mark.parametrize(
    "data", ["", "M", "M 1,1", "M nan,1 L 2,2", "M 1,1 Q 2,2 3,1 T 9 9", "A", "M 1e400,0 L 1,1", "L 5,5"]
)
def test_lines_that_cannot_be_read_are_no_reason_to_fail(
    data: str, bordered: Callable[..., Path], cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """A booklet or a sentence."""
    source = bordered()
    text = source.read_text(encoding="utf-8")
    source.write_text(
        re.sub(r'(cw:section="top-in-2".*?<path d=")[^"]*', rf"\g<1>{data}", text, count=1, flags=re.DOTALL),
        encoding="utf-8",
    )
    done = cornerwise("booklet", source, "--parts", "steps,templates,chart", "--dots", "true")
    if done.returncode:
        sentence(done)
    else:
        assert done.stdout.startswith(b"%PDF")


def test_a_fill_taken_out_by_hand_stays_out(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """Its template says so."""
    source = bordered("--size", "repeat", "--repeat", "8")
    text = source.read_text(encoding="utf-8")
    source.write_text(re.sub(r'(cw:section="top-in-3"[^>]*>)\s*<path[^>]*/>', r"\1", text, count=1), encoding="utf-8")
    assert re.search(r"Top 3: [^;]*no fill, as changed by hand", printed(source, "--parts", "templates").text)
