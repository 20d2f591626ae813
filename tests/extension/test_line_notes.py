"""What the notes say about echo lines, matched fills and the binding; and how those lines lie in the document."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from shapely.geometry import LineString, Polygon, box

from extension.line_notes import line_notes
from geometry.plan import Request, lay_out

if TYPE_CHECKING:
    from collections.abc import Callable

EDGE = '<rect id="edge" x="5" y="7" width="48" height="64"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="80in" viewBox="0 0 60 80">{EDGE}</svg>'
CW = "{urn:cornerwise}"


def _said(**options: object) -> list[str]:
    return list(line_notes(lay_out(Request(48, 64, (4.0,) * 4, **options))))  # type: ignore[arg-type]


def test_nothing_is_said_where_nothing_was_asked_for() -> None:
    """Nor where all went as asked."""
    assert _said() == []
    assert _said(echo=1) == []
    assert _said(match=True) == []


def test_fewer_echo_lines_are_told() -> None:
    """How many sections, how many lines, and the step at which no more fit."""
    (said,) = _said(echo=6, step=0.5, fill="wedges")
    assert said.endswith("sections have 2 echo lines instead of 6: there is no room for more 1/2 in apart.")
    (said,) = _said(echo=1, step=9.0)
    assert "sections have no echo lines instead of 1" in said


def test_matched_fills_are_told_with_their_spacing_and_density() -> None:
    """Both figures; and how far off where no spacing comes nearer."""
    (said,) = _said(fill="diamonds", outerfill="channels", spacing=0.75, match=True)
    assert said.startswith("Channels on the stop line: spacing about 3/8 in, ")
    assert "no spacing" not in said
    said = next(line for line in _said(fill="channels", outerfill="diamonds", match=True) if "stop line" in line)
    assert said.endswith("% more, but no spacing that comes out even is nearer.")
    assert _said(fill="none", outerfill="wedges", match=True) == [
        "Nothing is matched: there is no fill on the border seam to match the others to."
    ]


def test_what_the_binding_hides_is_told() -> None:
    """How many sections, how many inches, and where the needle may travel; a road it will not hide comes with a warning."""
    plan = lay_out(Request(48, 64, (4.0,) * 4, fill="beadboard", under=True))
    hidden = [filled.fill.hidden for filled in plan.sections if filled.fill.hidden]
    (said,) = line_notes(plan)
    assert f"the lines of {len(hidden)} sections" in said
    assert "3/16 in from the trimmed edge" in said
    _, warned = _said(fill="beadboard", under=True, binding=0.75)
    assert warned.startswith("Take care: a binding covers 1/4 in, so stitching 3/8 in from the trimmed edge will show")


def test_lines_in_the_document_end_halfway_in_the_room_for_the_binding(
    border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """Inside the trimmed edge, and the run with them; nothing else lies beyond the stop line."""
    drawn = read(border(DOC, "--fill", "wedges", "--under", "true", "--echo", "1"))
    edge, stop = box(5, 7, 53, 71), box(5.375, 7.375, 52.625, 70.625)
    road = stop.buffer(0.1875, join_style="mitre")
    beyond = 0
    for part in [*drawn.parts("fill"), *drawn.parts("run"), *drawn.parts("side")]:
        for line in drawn.lines(part):
            way = LineString(line)
            assert edge.contains(way)
            assert road.buffer(1e-3).contains(way)
            beyond += not stop.buffer(1e-3).contains(way)
    assert beyond > 50
    sections = {part.get(f"{CW}section"): part for part in drawn.parts("section")}
    for part in sections.values():
        if part.get(f"{CW}base") == "inner":
            outline = Polygon(drawn.corners(part)).buffer(1e-3)
            assert all(outline.contains(LineString(line)) for fill in part for line in drawn.lines(fill))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--under", "true", "--kind", "inner"), "an inner border has none"),
        (("--under", "true", "--binding", "0"), "the room for it is 0 in"),
        (("--echo", "7"), "from 0 to 6"),
        (("--echo", "2", "--step", "1mm"), "at least 1/16 in"),
    ],
    ids=lambda given: " ".join(given) if isinstance(given, tuple) else "",
)
def test_what_cannot_be_drawn_is_refused(options: tuple[str, ...], words: str, refusal: Callable[..., str]) -> None:
    """One sentence, and no document."""
    assert words in refusal(DOC, *options)
