"""What the pages say, held to the plan; and that it is text, embedded, tagged, large enough, and small to send."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from lxml import etree

from extension.booklet.compose import booklet as compose
from extension.booklet.settings import PARTS, Settings
from geometry.pattern import pattern_of
from geometry.plan import Request, lay_out

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SMALLEST = 7.0
"""Points."""


def _recipe(source: Path) -> dict[str, object]:
    (layer,) = etree.fromstring(source.read_bytes()).findall(".//{*}g[@{urn:cornerwise}part='border']")
    return json.loads(layer.get("{urn:cornerwise}recipe"))


def _value(text: str) -> float:
    return float(sum((Fraction(part) for part in text.split()), Fraction(0)))


def test_every_part_is_there_and_in_the_contents(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """One heading each, as bookmarks and in the list of the first pages."""
    booklet = printed(bordered(), "--dots", "true", "--tiled", "true", "--density", "true", "--title", "Evening")
    wanted = [
        "Before you begin", "Marking chart", "The fill’s own dots", "Marking strip", "Step by step", "True-size templates",
        "Map of the sheets", "The whole border, true size", "Fit table", "Practice page", "Questions",
        "Density and estimate", "About this pattern",
    ]  # fmt: skip
    bookmarks = [item.title for item in booklet.pdf.outline if not isinstance(item, list)]
    assert bookmarks == ["Evening", *wanted]
    for title in wanted:
        assert title in booklet.pages[1].text
    assert all(page.text for page in booklet.pages)


@pytest.mark.parametrize(("name", "title"), [
    ("first", "Before you begin"), ("chart", "Marking chart"), ("strip", "Marking strip"), ("steps", "Step by step"),
    ("templates", "True-size templates"), ("tiled", "Map of the sheets"), ("fit", "Fit table"),
    ("practice", "Practice page"), ("questions", "Questions"), ("density", "Density and estimate"),
    ("last", "About this pattern"),
])  # fmt: skip
def test_each_part_can_be_had_alone_or_left_out(
    name: str, title: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """By its name in --parts, and by its own switch."""
    source = bordered()
    assert title in printed(source, "--parts", name).text
    others = ",".join(part for part in ("first", "chart", "last", "questions") if part != name)
    rest = [item.title for item in printed(source, "--parts", others).pdf.outline if not isinstance(item, list)]
    assert title not in rest
    without = printed(source, "--tiled", "false", "--density", "false", f"--{name}", "false")
    assert title not in [item.title for item in without.pdf.outline if not isinstance(item, list)]


def test_the_chart_has_every_dot_of_the_plan(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """Counts, first and last dot, and each distance within half an eighth, read from the extracted text."""
    source = bordered("--angle", "50", "--together", "false")
    booklet = printed(source, "--parts", "chart")
    text = booklet.text
    for side in _recipe(source)["sides"]:
        count, repeat, length = side["count"], side["repeat_in"], side["length_in"]
        assert f"{count + 1} dots on the border seam, pivots included; {count} points" in text
        rows = re.findall(rf"(?<![\d/])({count}), pivot (left|right|either) 0 0 ([\d /]+?) (\d+)", text)
        assert rows, f"the last dot of {side['side']}"
        assert _value(rows[0][2]) == pytest.approx(length / 2, abs=1 / 16)
        assert "0, pivot left 0 0" in text
        for number in range(1, count):
            place = number * repeat
            nearer, hand = min(place, length - place), "left" if place < length / 2 - 1 / 64 else "right"
            hand = "either" if abs(place - length / 2) <= 1 / 64 else hand
            mm = round(nearer * 25.4)
            found = re.findall(
                rf"(?<![\d/]){number}(?:, (?:quarter|centre))? {hand} ((?:\d+ )?\d+(?:/\d+)?) {mm} ", text
            )
            assert any(abs(_value(told) - nearer) <= 1 / 16 + 1e-9 for told in found), (side["side"], number, found)


def test_first_page_and_steps_say_this_quilt_s_own_numbers(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """48 x 64 in, border 4 in, repeat 8: five and seven triangles."""
    booklet = printed(bordered("--size", "repeat", "--repeat", "8"), "--title", "Evening", "--maker", "A quiet hand")
    first = booklet.pages[0].text
    for words in ("Evening", "A quiet hand", "48 × 64 in (121.9 × 162.6 cm)", "5 triangles of 8 in", "7 triangles of 8 in",
                  "3/8 in", "mitred", "diamonds", "confident beginner"):  # fmt: skip
        assert words in first
    steps = " ".join(
        page.text for page in booklet.pages if "Step by step" in page.text or "Second diagonal" in page.text
    )
    assert "every 8 in from the pivot" in steps
    assert "top and bottom 6 dots on the seam and 5 points" in steps
    assert "right and left 8 dots on the seam and 7 points" in steps
    assert "From point 1 straight to dot 1" in steps
    questions = booklet.of("Questions")[0].text
    assert "Divide the length of your border seam by 8 in" in questions
    assert "3 5/8 in from the border seam" in questions


def test_the_fit_table_is_the_arithmetic_of_fit(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """From 24 to 110 in, each the best count by |ln(repeat / asked)|, worked out anew here."""
    text = printed(bordered("--size", "repeat", "--repeat", "8"), "--parts", "fit").text
    import math  # noqa: PLC0415 - only for the oracle

    for length in range(24, 111):
        count = min(range(1, 60), key=lambda n: (round(abs(math.log(length / n / 8)), 12), n))
        found = re.findall(rf"(?<![\d/.+-]){length} {count} ((?:\d+ )?\d+(?:/\d+)?) (0|[+-][\d.]+)", text)
        assert any(abs(_value(repeat) - length / count) <= 1 / 16 + 1e-9 for repeat, _ in found), length


@pytest.mark.parametrize("unit", ["in", "cm", "mm"])
def test_the_unit_of_the_text_can_be_chosen(
    unit: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """The quilt's size on the first page leads with it; the chart has both in any case."""
    booklet = printed(bordered(), "--unit", unit)
    size = {"in": "48 × 64 in", "cm": "121.9 × 162.6 cm", "mm": "1219 × 1626 mm"}[unit]
    assert f"Finished size {size} (" in booklet.pages[0].text
    assert "mm" in booklet.of("Marking chart")[0].text


def test_words_are_text_in_embedded_fonts_and_the_document_is_tagged(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Title, language, structure; one family of type; pictures are vectors."""
    booklet = printed(bordered(), "--title", "Evening")
    root = booklet.pdf.trailer["/Root"]
    assert booklet.pdf.metadata.title == "Evening"
    assert root["/Lang"].startswith("en")
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "/StructTreeRoot" in root
    families = set()
    for page in booklet.pdf.pages:
        for reference in page["/Resources"].get("/Font", {}).values():
            font = reference.get_object()
            below = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            descriptor = below["/FontDescriptor"].get_object()
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
            assert "/ToUnicode" in font
            families.add(re.sub(r"^[A-Z]{6}\+|-.*$", "", descriptor["/FontName"].lstrip("/")))
    assert families == {"LibertinusSerif"}
    assert not any(page.images() for page in booklet.pages)


def test_every_picture_is_described_in_words(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """For those who listen to the page."""
    data = printed(bordered()).pdf
    alts = []

    def walk(node: object) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for child in node:
                walk(child)
        elif isinstance(node, dict):
            if node.get("/S") == "/Figure":
                alts.append(str(node.get("/Alt", "")))
            if "/K" in node:
                walk(node["/K"])

    walk(data.trailer["/Root"]["/StructTreeRoot"])
    assert len(alts) > 15
    assert all(len(alt) > 8 for alt in alts)


@pytest.mark.parametrize("fill", ["diamonds", "crosshatch", "none"])
def test_no_type_is_smaller_than_seven_points(
    fill: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """On any page, the smallest marks of the pictures included."""
    booklet = printed(
        bordered("--fill", fill, "--spacing", "0.6"), "--dots", "true", "--density", "true", "--tiled", "true"
    )
    sizes = [(size, words) for page in booklet.pages for size, words in page.sizes()]
    assert len(sizes) > 500
    small = [(size, words) for size, words in sizes if size < SMALLEST - 0.01]
    assert small == []


def test_two_hundred_sections_without_templates_make_less_than_two_megabytes() -> None:
    """With all other parts, the fill's dots and the density picture."""
    plan = lay_out(Request(100, 110, (4,) * 4, size="count", across=25, down=27, spacing=0.7))
    assert len(plan.sections) >= 200
    parts = frozenset(PARTS) - {"templates", "tiled"}
    data = compose(pattern_of(plan), Settings("Large", parts=parts, dots=True, mirror=True), lambda _: None)
    assert len(data) < 2_000_000


def test_a_king_size_booklet_with_every_sheet_takes_less_than_400_megabytes(
    bordered: Callable[..., Path], measured_booklet: Callable[..., tuple[float, bytes]]
) -> None:
    """All parts, the whole border at true size included."""
    source = bordered("--width", "10", "--spacing", "0.75", size=(104, 108))
    peak, data = measured_booklet("booklet", source, "--tiled", "true", "--dots", "true", "--density", "true")
    assert peak < 400
    assert data.startswith(b"%PDF")


def test_the_same_border_gives_the_same_bytes(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """No time of day, no random names."""
    source = bordered()
    assert printed(source, "--date", "then").data == printed(source, "--date", "then").data


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
def test_the_steps_are_told_in_the_border_s_own_order_and_the_other_beside_it(
    order: str, corner: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Mark, diagonals, fill, the last triangles, the corner; numbered without a gap."""
    booklet = printed(bordered("--order", order, "--corner", corner), "--parts", "steps")
    text = booklet.text
    for words in ("Mark the dots", "First diagonal", "Second diagonal", f"The corner, {corner}", "Another order"):
        assert words in text
    assert ("Another order: section by section" in text) == (order == "zigzag")
    if order == "zigzag":
        assert "Run 2: the fills on the border seam" in text
        assert "Run 3: the fills on the stop line" in text
    else:
        assert "The last triangles before the corner" in text


def test_an_inner_border_is_told_by_its_seams(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """It has no stop line, no binding and no trimmed edge; none is spoken of."""
    text = printed(bordered("--kind", "inner", "--fill", "wedges"), "--dots", "true", "--density", "true").text
    for words in ("stop line", "trimmed edge", "inside the edge", "under the binding"):
        assert words not in text
    assert "Then those on the outer seam" in text
    assert "Points on the outer seam" in text
    assert "This border measures 48 × 64 in along its outer seams" in text


def test_a_curved_fill_is_followed_by_its_arrows(bordered: Callable[..., Path], printed: Callable[..., object]) -> None:
    """A meander has hardly a turn to number; a fill of straight lines has."""
    assert "follow the arrows" in printed(bordered("--fill", "meander"), "--parts", "steps").text
    assert "follow the small numbers" in printed(bordered("--fill", "diamonds"), "--parts", "steps").text


def test_what_the_next_side_begins_at_the_pivot_belongs_to_the_corner(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """A leaf of her own that hangs on its left dot only is stitched before the diagonal there."""
    source = bordered("--fill", "chevrons", "--corner", "large")
    root = etree.fromstring(source.read_bytes())
    (group,) = (g for g in root.iter("{*}g") if g.get("{urn:cornerwise}section") == "right-in-1")
    left, right, tip = (tuple(map(float, corner.split(","))) for corner in group.get("{urn:cornerwise}corners").split())
    ends = [tuple(a + share * (b - a) + more * (c - a) for a, b, c in zip(left, right, tip, strict=True))
            for share, more in ((0.5, 0.1), (0.3, 0.4))]  # fmt: skip
    (path,) = group.iterfind("{*}path")
    path.set("d", "M " + " L ".join(f"{x},{y}" for x, y in (left, *ends)) + " Z")
    source.write_bytes(etree.tostring(root))
    text = printed(source, "--parts", "steps").text
    last, corner = text.split("The last triangles before the corner")[1].split("The corner, large")
    assert "of the right side" not in last
    assert "of the right side" in corner


@pytest.mark.parametrize(("unit", "length", "repeat"), [("cm", "154.9", "19.4"), ("mm", "1549", "194")])
def test_the_fit_table_has_lengths_in_the_reader_s_unit_too(
    unit: str, length: str, repeat: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """61 in take 8 triangles of 7.625 in, which is 4.7 % less than 8."""
    text = printed(bordered("--size", "repeat", "--repeat", "8"), "--parts", "fit", "--unit", unit).text
    assert f"61 {length} 8 {repeat} -4.7" in text


@pytest.mark.parametrize("paper", ["letter", "a3"])
def test_columns_of_words_are_about_as_long_as_each_other(
    paper: str, bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """The last answer stands at the top of no page and in the right column, whatever the paper."""
    (page,) = printed(bordered(), "--parts", "questions", "--paper", paper).pages
    places: list[tuple[float, float]] = []

    def see(words: str, cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        if words.strip():
            places.append((cm[0] * tm[4] + cm[2] * tm[5] + cm[4], cm[1] * tm[4] + cm[3] * tm[5] + cm[5]))

    page._page.extract_text(visitor_text=see)
    left = min(y for x, y in places if x < 0.45 * page.wide and y > 0.09 * page.tall)
    right = min(y for x, y in places if x >= 0.5 * page.wide and y > 0.09 * page.tall)
    assert abs(left - right) < 0.2 * page.tall


def test_eased_triangles_are_told_by_their_own_size(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """On the first page and in the step before the corner."""
    source = bordered("--fit", "ease", "--size", "repeat", "--repeat", "5.3")
    side = _recipe(source)["sides"][0]
    eased = Fraction(round(side["eased"]["repeat_in"] * 8), 8)
    words = f"{int(eased)} {eased - int(eased)} in" if eased % 1 else f"{eased} in"
    booklet = printed(source)
    assert f"the last {side['eased']['each']} before each corner" in booklet.pages[0].text
    assert words in booklet.pages[0].text


def test_findings_are_told_on_the_first_page() -> None:
    """The booklet is made all the same."""
    plan = lay_out(Request(48, 64, (4,) * 4))
    findings = ("Top, triangle 2: a line runs 1/2 in beyond the stop line.",)
    settings = Settings("Evening", parts=frozenset({"first"}), findings=findings)
    import io  # noqa: PLC0415 - beside its only use

    import pypdf  # noqa: PLC0415 - as above

    data = compose(pattern_of(plan), settings, lambda _: None)
    first = " ".join(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    assert "One thing found" in first
    assert "1/2 in beyond the stop line" in first


def test_empty_fields_of_the_last_page_leave_room_to_write(
    bordered: Callable[..., Path], printed: Callable[..., object]
) -> None:
    """Tested by is blank; what was typed is printed."""
    source = bordered()
    text = printed(
        source, "--parts", "last", "--terms", "For your own use.", "--version", "2.1", "--date", "1 May"
    ).text
    for words in ("Tested by", "Corrections", "Terms of use", "For your own use.", "Version 2.1", "Date 1 May"):
        assert words in text
