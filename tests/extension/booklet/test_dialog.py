"""The booklet's dialog, held to the parser and to the editor's schema."""

from __future__ import annotations

import importlib
import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from extension.booklet.settings import PARTS
from extension.booklet_tool import BOOKLET_OPTIONS
from extension.launch import command_line
from extension.options import ESTIMATE_OPTIONS

INX = Path(__file__).parents[3] / "inx"
SPACE = "{http://www.inkscape.org/namespace/inkscape/extension}"
ROOT = etree.parse(INX / "booklet.inx").getroot()
PARAMS = {param.get("name"): param for param in ROOT.iter(f"{SPACE}param")}
FIELDS = {
    name: param
    for name, param in PARAMS.items()
    if param.get("gui-hidden") != "true" and param.get("type") != "notebook"
}
OPTIONS = {option.name: option for option in (*BOOKLET_OPTIONS, *ESTIMATE_OPTIONS)}
NAMED = {name: param for name, param in FIELDS.items() if name != "output"}


def _choices(param: etree._Element) -> list[str]:
    return [option.get("value") for option in param.iter(f"{SPACE}option")]


def test_dialog_and_parser_have_the_same_options() -> None:
    """And the place of the booklet, which the command takes as -o or --output."""
    assert set(FIELDS) == {*OPTIONS, "output"}
    assert len(list(ROOT.iter(f"{SPACE}param"))) == len(PARAMS) == len(FIELDS) + 2
    assert set(PARTS) <= set(FIELDS)
    assert (FIELDS["output"].get("type"), FIELDS["output"].get("mode")) == ("path", "file_new")


@pytest.mark.parametrize("name", NAMED)
def test_a_field_has_its_option_s_kind_choices_and_default(name: str) -> None:
    """What the dialog shows at first is what the command uses."""
    param, option = NAMED[name], OPTIONS[name]
    kinds = {"choice": "optiongroup", "yesno": "bool", "number": "float", "text": "string"}
    assert param.get("type") == kinds[option.kind]
    assert tuple(_choices(param)) == option.choices
    assert (param.get("appearance") == "combo") == (option.kind == "choice")
    shown = _choices(param)[0] if option.kind == "choice" else (param.text or "")
    assert shown == option.default
    if option.kind == "number":
        assert (float(param.get("min")), float(param.get("max"))) == (option.least, option.most)
        assert param.get("precision") is not None


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_has_words_and_a_tip(name: str) -> None:
    """The tip is a sentence."""
    assert FIELDS[name].get("gui-text")
    assert re.fullmatch(r"[A-Z].{15,}[.]", FIELDS[name].get("gui-description"))


def test_the_dialog_starts_the_launcher_with_its_tool_and_no_preview() -> None:
    """A file is written, so it must not run at every change."""
    assert ROOT.find(f"{SPACE}id").text == "org.cornerwise.booklet"
    command = ROOT.find(f".//{SPACE}command")
    assert (command.text, command.get("location"), command.get("interpreter")) == ("launch.py", "inx", "python")
    assert (PARAMS["tool"].get("gui-hidden"), PARAMS["tool"].text) == ("true", "booklet")
    effect = ROOT.find(f"{SPACE}effect")
    assert effect.get("needs-live-preview") == "false"
    assert effect.find(f".//{SPACE}submenu").get("name") == "Cornerwise"


def test_the_launcher_finds_the_tool_though_its_name_is_taken() -> None:
    """`booklet` is the package of the parts."""
    line = command_line("python", ["--tool=booklet", "--title=x", "in.svg"])
    assert line == ["python", "-I", "-m", "extension.booklet_tool", "--title=x", "in.svg"]
    assert importlib.util.find_spec("extension.booklet_tool") is not None


def test_the_fields_stand_on_tabs_low_enough_for_a_small_screen() -> None:
    """A dialog is as tall as its tallest tab: eight rows of about 45 px fit in 480."""
    for page in ROOT.iter(f"{SPACE}page"):
        assert page.get("gui-text")
        assert len(page) <= 8


def test_the_dialog_is_valid_by_the_editor_s_own_schema(schemas: list[Any]) -> None:
    """The order of elements is strict."""
    for schema in schemas:
        assert schema.validate(ROOT.getroottree()), schema.error_log
