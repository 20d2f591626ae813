"""The dialogs of the tools for a border that is there already, held to their parsers and to the editor's schema."""

from __future__ import annotations

import importlib
import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from extension.options import CHECK_OPTIONS, ESTIMATE_OPTIONS, FILL_OPTIONS, ORDER_OPTIONS, Option
from geometry.lengths import INCHES_PER, LONGEST_IN

INX = Path(__file__).parents[2] / "inx"
SPACE = "{http://www.inkscape.org/namespace/inkscape/extension}"
TOOLS = {"fill": FILL_OPTIONS, "order": (*ORDER_OPTIONS, *ESTIMATE_OPTIONS), "check": CHECK_OPTIONS}
ROOTS = {tool: etree.parse(INX / f"{tool}.inx").getroot() for tool in TOOLS}
FIELDS = {
    tool: {
        param.get("name"): param
        for param in root.iter(f"{SPACE}param")
        if param.get("gui-hidden") != "true" and param.get("type") != "notebook"
    }
    for tool, root in ROOTS.items()
}
EACH = [pytest.param(tool, option, id=f"{tool} {option.name}") for tool in TOOLS for option in TOOLS[tool]]


def _choices(param: etree._Element) -> tuple[str, ...]:
    return tuple(option.get("value") for option in param.iter(f"{SPACE}option"))


@pytest.mark.parametrize("tool", TOOLS)
def test_dialog_and_parser_have_the_same_options(tool: str) -> None:
    """One word for each field, and none twice."""
    assert list(FIELDS[tool]) == [option.name for option in TOOLS[tool]]


@pytest.mark.parametrize(("tool", "option"), EACH)
def test_a_field_has_its_option_s_kind_choices_and_default(tool: str, option: Option) -> None:
    """What the dialog shows at first is what the command uses; a length that may be left out is typed."""
    param = FIELDS[tool][option.name]
    kinds = {"choice": "optiongroup", "yesno": "bool", "whole": "int", "number": "float", "text": "string"}
    kinds["length"] = "float" if option.default else "string"
    assert param.get("type") == kinds[option.kind]
    assert set(_choices(param)) == set(option.choices)
    assert len(_choices(param)) == len(option.choices)
    assert (param.get("appearance") == "combo") == (option.kind == "choice")
    assert (_choices(param)[0] if option.kind == "choice" else param.text or "") == option.default


@pytest.mark.parametrize(("tool", "option"), EACH)
def test_a_number_s_limits_lie_within_the_parser_s(tool: str, option: Option) -> None:
    """The editor clamps to them, so the command must take whatever they let through."""
    param = FIELDS[tool][option.name]
    if param.get("type") not in {"int", "float"}:
        assert param.get("min") is None
        return
    least, most = float(param.get("min")), float(param.get("max"))
    assert option.least <= least <= float(param.text) <= most <= option.most
    if option.kind == "length":
        assert least >= 0
        assert most * max(INCHES_PER.values()) <= LONGEST_IN
    assert (param.get("precision") is not None) == (param.get("type") == "float")


@pytest.mark.parametrize(("tool", "option"), EACH)
def test_a_field_has_words_and_a_tip(tool: str, option: Option) -> None:
    """The tip is a sentence or more."""
    param = FIELDS[tool][option.name]
    assert param.get("gui-text")
    assert re.fullmatch(r"[A-Z].{15,}[.]", param.get("gui-description"))


@pytest.mark.parametrize("tool", TOOLS)
def test_the_dialog_starts_the_launcher_with_its_tool(tool: str) -> None:
    """Under Extensions > Cornerwise; the tool's name rides along in a hidden field."""
    root = ROOTS[tool]
    assert root.find(f"{SPACE}id").text == f"org.cornerwise.{tool}"
    command = root.find(f".//{SPACE}command")
    assert (command.text, command.get("location"), command.get("interpreter")) == ("launch.py", "inx", "python")
    (hidden,) = [param for param in root.iter(f"{SPACE}param") if param.get("gui-hidden") == "true"]
    assert (hidden.get("name"), hidden.text) == ("tool", tool)
    assert root.find(f".//{SPACE}submenu").get("name") == "Cornerwise"
    assert importlib.util.find_spec(f"extension.{tool}") is not None


@pytest.mark.parametrize("tool", TOOLS)
def test_the_dialog_is_valid_by_the_editor_s_own_schema(tool: str, schemas: list[Any]) -> None:
    """The order of elements is strict."""
    for schema in schemas:
        assert schema.validate(ROOTS[tool].getroottree()), schema.error_log
