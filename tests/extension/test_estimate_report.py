"""The estimate in notes, summary and JSON: every figure with what it rests on."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from extension.estimate_report import as_json, as_lines, assumptions_from
from extension.options import BORDER_OPTIONS, ESTIMATE_OPTIONS
from geometry.errors import OptionError
from geometry.estimate import Assumptions, Estimate, Stitched

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Run = Callable[..., subprocess.CompletedProcess[bytes]]

EDGE = '<rect id="edge" x="5" y="7" width="48" height="64"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="80in" viewBox="0 0 60 80">{EDGE}</svg>'
USUAL = Assumptions()
DEFAULTS = {option.name: option.default for option in ESTIMATE_OPTIONS}


def _estimate(assumptions: Assumptions = USUAL, **sides: tuple[float, float, float]) -> Estimate:
    sides = sides or {"top": (400.4, 0.4, 10), "right": (500, 5, 0), "bottom": (400.4, 0.4, 10), "left": (500, 5, 0)}
    return Estimate(assumptions, tuple(Stitched(name, *inches) for name, inches in sides.items()), 900.0, 1)


def test_every_assumption_stands_beside_its_figure() -> None:
    """Stitches to the inch, thickness, waste; her bobbin and her speed once they are given."""
    said = as_lines(_estimate(Assumptions(9, 0.05, 12, 44, 650)))
    (stitches,) = [line for line in said if "stitches, at" in line]
    (thread,) = [line for line in said if line.startswith("Thread")]
    assert "16,500 stitches, at 9 to the inch" in stitches
    assert "at 650 stitches a minute" in stitches
    # 2 + 2 x 0.05 x 9 = 2.9; 1,831.6 in x 2.9 / 2 x 1.12 / 36 = 82.6 yd
    assert "2 + 2 × 0.05 in thick × 9 stitches = 2.9 in" in thread
    assert "12 % waste" in thread
    assert "83 yd on the needle and as much on bobbins (2 of 44 yd)" in thread
    assert said[0].startswith("Estimate: ")


def test_what_was_not_given_is_not_told() -> None:
    """No bobbins and no time without her own numbers, and no word of them."""
    said = " ".join(as_lines(_estimate()))
    assert "min" not in said
    assert " of 0 yd" not in said
    assert json.loads(as_json(_estimate()))["estimate"]["bobbins"] == {
        "bobbins": None,
        "assumed": {"bobbin_holds_yd": None},
    }
    assert json.loads(as_json(_estimate()))["estimate"]["time"]["minutes"] is None


def test_the_parts_of_the_length_add_up_as_printed() -> None:
    """Whole inches of new lines, stitched over and travelled make the whole inches of all."""
    said = as_lines(_estimate(top=(10.4, 10.4, 10.4)))[0]
    assert "31 in of stitching" in said
    assert "11 in of new lines, 10 in stitched over, 10 in travelled" in said


def test_opposite_sides_read_alike() -> None:
    """And the total is told in starts and stops."""
    said = as_lines(_estimate())
    assert "Top 411 in, right 505 in, bottom 411 in, left 505 in" in said[1]
    assert "1 run (1 start, 1 stop)" in said[0]


@pytest.mark.parametrize(
    ("minutes", "told"), [(0.2, "1 min"), (31.6, "32 min"), (119, "119 min"), (120, "2 h"), (185, "3 h 5 min")]
)
def test_time_is_told_in_minutes_or_hours(minutes: float, told: str) -> None:
    """Hours from two on."""
    speed = _estimate().stitches / minutes
    assert f"; {told} at " in " ".join(as_lines(_estimate(Assumptions(stitches_per_minute=speed))))


@pytest.mark.parametrize(
    ("name", "default"), [("stitches", "10"), ("thickness", "0.025"), ("waste", "15"), ("bobbin", "0"), ("speed", "0")]
)
def test_each_promised_field_has_its_default(name: str, default: str) -> None:
    """0 says that her bobbin or speed is not given; no field has the name of a border's option."""
    assert DEFAULTS[name] == default
    assert name not in {option.name for option in BORDER_OPTIONS}


def test_the_fields_defaults_are_the_estimate_s_own() -> None:
    """A border drawn without the fields is estimated like one with their defaults."""
    assert assumptions_from(DEFAULTS) == Assumptions()


@pytest.mark.parametrize(
    ("name", "text"),
    [("stitches", "0"), ("stitches", "nan"), ("thickness", "-1"), ("thickness", "thick"), ("waste", "101"), ("bobbin", "-1"), ("speed", "inf")],
)  # fmt: skip
def test_a_field_that_cannot_be_used_is_refused(name: str, text: str) -> None:
    """One sentence that names it."""
    with pytest.raises(OptionError, match=name):
        assumptions_from({**DEFAULTS, name: text})


def test_a_border_s_notes_and_json_tell_the_same_estimate(
    tmp_path: Path, cornerwise: Run, read: Callable[..., object]
) -> None:
    """The length is that of the runs in the document."""
    source = tmp_path / "in.svg"
    source.write_text(DOC)
    done = cornerwise("border", source, "--id", "edge", "-o", "out.svg", "--estimate", "estimate.json")
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
    found = json.loads((tmp_path / "estimate.json").read_text())["estimate"]
    drawing = read((tmp_path / "out.svg").read_bytes())
    runs = drawing.parts("run")
    for key, name in (("length_in", "length-in"), ("over_in", "over-in"), ("travel_in", "travel-in")):
        inches = sum(float(run.get(f"{{urn:cornerwise}}{name}")) for run in runs)
        assert found["length"][key] == pytest.approx(inches, abs=1e-3 * len(runs))
        assert sum(side[key] for side in found["length"]["sides"].values()) == pytest.approx(found["length"][key])
    assert set(found["length"]["sides"]) == {"top", "right", "bottom", "left"}
    assert all("assumed" in found[name] for name in ("stitches", "thread", "bobbins", "time"))
    notes = " ".join(" ".join(span.itertext()) for span in drawing.layer("notes").iter("{*}tspan"))
    assert f"Estimate: {found['length']['length_in']:,.0f} in of stitching" in notes
    assert "at 10 to the inch" in notes


def test_asking_for_the_estimate_changes_nothing_in_the_document(tmp_path: Path, cornerwise: Run) -> None:
    """Nor does the estimate need an output file beside it."""
    source = tmp_path / "in.svg"
    source.write_text(DOC)
    plain = cornerwise("border", source, "--id", "edge")
    asked = cornerwise("border", source, "--id", "edge", "--estimate", "estimate.json")
    assert asked.stdout == plain.stdout
    assert (tmp_path / "estimate.json").exists()


@pytest.mark.parametrize("place", ["in.svg", "out.svg", "./sub/../out.svg", "no/such/folder.json"])
def test_an_estimate_that_would_be_lost_or_lose_something_is_refused(
    place: str, tmp_path: Path, cornerwise: Run, sentence: Callable[..., str]
) -> None:
    """Not over the document, not over the output, not where nothing can be written; nothing is written then."""
    source = tmp_path / "in.svg"
    source.write_text(DOC)
    (tmp_path / "sub").mkdir()
    sentence(cornerwise("border", source, "--id", "edge", "-o", "out.svg", "--estimate", place))
    assert source.read_text() == DOC
    assert not (tmp_path / "out.svg").exists()


def test_the_demo_takes_the_fields_and_tells_the_estimate(
    tmp_path: Path, cornerwise: Run, read: Callable[..., object], sentence: Callable[..., str]
) -> None:
    """In its summary, in its document's notes and as JSON."""
    fields = ("--stitches", "12", "--thickness", "0.1", "--bobbin", "50", "--speed", "800", "--waste", "20")
    done = cornerwise("demo", "out", "--estimate", "out/estimate.json", *fields)
    assert done.returncode == 0, done.stderr
    said = done.stdout.decode()
    found = json.loads((tmp_path / "out" / "estimate.json").read_text())["estimate"]
    notes = [
        "".join(span.itertext()).strip()
        for span in read((tmp_path / "out" / "quilt.svg").read_bytes()).layer("notes").iter("{*}tspan")
    ]
    for part in (
        f"{found['length']['length_in']:,.0f} in of stitching",
        "at 12 to the inch",
        "at 800 stitches a minute",
    ):
        assert part in said
        assert part in " ".join(notes)
    assert f"{found['bobbins']['bobbins']} of 50 yd" in said
    assert found["thread"]["assumed"]["C_thread_in_per_inch"] == pytest.approx(2 + 2 * 0.1 * 12)
    assert found["stitches"]["stitches"] == pytest.approx(12 * found["length"]["length_in"])
    sentence(cornerwise("demo", "out", "--stitches", "none"))
    sentence(cornerwise("demo", "out", "--estimate", "out/quilt.svg"))
