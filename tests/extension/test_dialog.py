"""The dialog, held to the parser, to the editor's schema and to the fills."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

from extension.options import BORDER_OPTIONS
from extension.swatches import swatch
from geometry.fills.catalogue import CATALOGUE
from geometry.lengths import INCHES_PER, LONGEST_IN

if TYPE_CHECKING:
    from collections.abc import Callable

INX = Path(__file__).parents[2] / "inx"
SPACE = "{http://www.inkscape.org/namespace/inkscape/extension}"
ROOT = etree.parse(INX / "border.inx").getroot()
PARAMS = {param.get("name"): param for param in ROOT.iter(f"{SPACE}param")}
FIELDS = {
    name: param
    for name, param in PARAMS.items()
    if param.get("gui-hidden") != "true" and param.get("type") != "notebook"
}
OPTIONS = {option.name: option for option in BORDER_OPTIONS}


def _choices(param: etree._Element) -> list[str]:
    return [option.get("value") for option in param.iter(f"{SPACE}option")]


def _default(param: etree._Element) -> str:
    return _choices(param)[0] if param.get("type") == "optiongroup" else param.text or ""


def test_dialog_and_parser_have_the_same_options() -> None:
    """One word for each field, and none twice."""
    assert set(FIELDS) == set(OPTIONS)
    assert len(list(ROOT.iter(f"{SPACE}param"))) == len(PARAMS) == len(FIELDS) + 2


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_has_its_option_s_default(name: str) -> None:
    """What the dialog shows at first is what the command uses."""
    assert _default(FIELDS[name]) == OPTIONS[name].default


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_has_its_option_s_kind_and_choices(name: str) -> None:
    """A combo offers each choice once, in the parser's order; nothing is a row of radio buttons."""
    param, option = FIELDS[name], OPTIONS[name]
    kinds = {
        "choice": "optiongroup",
        "yesno": "bool",
        "whole": "int",
        "number": "float",
        "length": "float",
        "lengths": "string",
        "text": "string",
    }
    assert param.get("type") == kinds[option.kind]
    assert tuple(_choices(param)) == option.choices
    assert (param.get("appearance") == "combo") == (option.kind == "choice")
    assert all(item.text for item in param.iter(f"{SPACE}option"))


@pytest.mark.parametrize("name", [name for name, param in FIELDS.items() if param.get("type") in {"int", "float"}])
def test_a_number_s_limits_lie_within_the_parser_s(name: str) -> None:
    """The editor clamps to them, so both must be there, and the command must take whatever they let through."""
    param, option = FIELDS[name], OPTIONS[name]
    least, most = float(param.get("min")), float(param.get("max"))
    assert least <= float(param.text) <= most
    assert least >= option.least
    assert most <= option.most
    if option.kind == "length":
        assert least >= 0
        assert most * max(INCHES_PER.values()) <= LONGEST_IN
        assert most >= 25.4 * float(param.text), "the unit may be millimetres"
    else:
        assert (least, most) == (option.least, option.most)
    if param.get("type") == "float":
        assert int(param.get("precision")) >= 2
    else:
        assert param.get("precision") is None


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_has_words_and_a_tip(name: str) -> None:
    """The tip is a sentence."""
    assert FIELDS[name].get("gui-text")
    assert re.fullmatch(r"[A-Z].{15,}[.]", FIELDS[name].get("gui-description"))


def test_names_and_ids_are_of_the_letters_the_editor_takes() -> None:
    """Letters, digits and dots in the id; shortcuts and preferences hold on to it."""
    ident = ROOT.find(f"{SPACE}id").text
    assert ident == "org.cornerwise.border"
    assert re.fullmatch(r"[A-Za-z0-9.]+", ident)
    for name in PARAMS:
        assert re.fullmatch(r"[a-z]+", name)


def test_the_dialog_starts_the_launcher_with_its_tool_and_a_live_preview() -> None:
    """Under Extensions > Cornerwise; the tool's name rides along in a hidden field."""
    command = ROOT.find(f".//{SPACE}command")
    assert (command.text, command.get("location"), command.get("interpreter")) == ("launch.py", "inx", "python")
    tool = PARAMS["tool"]
    assert (tool.get("gui-hidden"), tool.text) == ("true", "border")
    effect = ROOT.find(f"{SPACE}effect")
    assert effect.get("needs-live-preview") == "true"
    assert effect.find(f".//{SPACE}submenu").get("name") == "Cornerwise"
    assert effect.find(f"{SPACE}object-type").text == "all"


def test_the_fields_stand_on_tabs_low_enough_for_a_small_screen() -> None:
    """A dialog is as tall as its tallest tab: eight rows of about 45 px fit in 480."""
    pages = list(ROOT.iter(f"{SPACE}page"))
    assert len(pages) >= 3
    for page in pages:
        assert page.get("gui-text")
        assert len(page) <= 8


def test_the_dialog_is_valid_by_the_editor_s_own_schema(schemas: list[Any]) -> None:
    """The order of elements is strict."""
    for schema in schemas:
        assert schema.validate(ROOT.getroottree()), schema.error_log


def test_the_schema_notices_a_wrong_order(schemas: list[Any]) -> None:
    """So that the test before this one can fail."""
    wrong = etree.fromstring(etree.tostring(ROOT))
    wrong.append(wrong[0])
    assert not all(schema.validate(wrong.getroottree()) for schema in schemas)


@pytest.mark.parametrize("fill", CATALOGUE)
def test_every_fill_is_offered_and_shown(fill: str) -> None:
    """In the three combos, and as a picture that the fill's own code drew."""
    for name in ("fill", "outerfill", "cornerfill"):
        assert fill in _choices(FIELDS[name])
    picture = INX / "pictures" / f"{fill}.svg"
    assert picture.read_text(encoding="utf-8") == swatch(fill)
    shown = {Path(image.text).stem for image in ROOT.iter(f"{SPACE}image")}
    assert fill in shown


def test_no_picture_is_left_over_or_missing() -> None:
    """Each picture of the dialog has a drawing here, and each fill's drawing is of a fill that exists."""
    drawn = {path.stem for path in (INX / "pictures").glob("*.svg")}
    shown = {Path(image.text).stem for image in ROOT.iter(f"{SPACE}image")}
    assert shown <= drawn
    assert set(CATALOGUE) <= shown


def test_swatches_can_be_written_anew(tmp_path: Path) -> None:
    """One command draws them all."""
    line = [sys.executable, "-m", "extension.swatches", str(tmp_path)]
    assert subprocess.run(line, timeout=60, check=True, capture_output=True).stderr == b""
    assert {path.name for path in tmp_path.iterdir()} == {f"{name}.svg" for name in CATALOGUE}


@pytest.mark.parametrize("which", ["least", "most"])
@pytest.mark.parametrize("name", [name for name, param in FIELDS.items() if param.get("type") in {"int", "float"}])
def test_whatever_the_dialog_lets_through_is_drawn_or_refused(
    name: str,
    which: str,
    tmp_path: Path,
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
    sentence: Callable[..., str],
) -> None:
    """A field dragged to its end gives a border or one sentence."""
    edge = '<rect id="edge" width="48" height="64"/>'
    source = tmp_path / "in.svg"
    source.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="48in" height="64in" viewBox="0 0 48 64">{edge}</svg>'
    )
    value = FIELDS[name].get("min" if which == "least" else "max")
    size = {
        "repeat": ["--size=repeat"],
        "across": ["--size=count"],
        "down": ["--size=count"],
        "last": ["--fit=ease"],
        "every": ["--fit=marks"],
        "offset": ["--fit=marks", "--every=2"],
    }.get(name, [])
    done = cornerwise("border", source, "--id", "edge", f"--{name}={value}", *size)
    if done.returncode:
        sentence(done)
    else:
        assert done.stderr == b""
