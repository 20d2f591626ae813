"""The options of a border: their names and defaults, and what each refuses."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from extension.command import main
from extension.options import BORDER_OPTIONS, read_options
from geometry.fills.catalogue import CATALOGUE

if TYPE_CHECKING:
    from collections.abc import Callable

FILLS = {"diamonds", "arrowheads", "chevrons", "channels", "none"}
PROMISED: dict[str, tuple[str, set[str]]] = {
    "unit": ("in", {"in", "cm", "mm"}),
    "scale": ("1", set()),
    "width": ("4", set()),
    "kind": ("outer", {"outer", "inner"}),
    "binding": ("0.375", set()),
    "size": ("angle", {"angle", "repeat", "count"}),
    "angle": ("45", set()),
    "repeat": ("6", set()),
    "across": ("6", set()),
    "down": ("8", set()),
    "together": ("true", set()),
    "fit": ("even", {"even", "ease"}),
    "last": ("3", set()),
    "number": ("any", {"any", "even", "odd"}),
    "corner": ("mitred", {"mitred", "large", "square"}),
    "fill": ("diamonds", FILLS),
    "outerfill": ("same", {"same", *FILLS}),
    "cornerfill": ("same", {"same", *FILLS}),
    "spacing": ("1", set()),
}
"""What scripts may rely on: name, default, and at least these choices."""

EDGE = '<rect id="edge" x="5" y="7" width="40" height="30"/>'
DOC = f'<svg xmlns="http://www.w3.org/2000/svg" width="60in" height="60in" viewBox="0 0 60 60">{EDGE}</svg>'


@pytest.mark.parametrize("name", PROMISED)
def test_each_promised_option_is_there_with_its_default_and_choices(name: str) -> None:
    """Shortcuts, preferences and scripts hold on to these names."""
    default, choices = PROMISED[name]
    (option,) = [option for option in BORDER_OPTIONS if option.name == name]
    assert option.default == default
    assert choices <= set(option.choices)
    assert bool(choices) == bool(option.choices)


def test_a_fill_of_the_catalogue_can_be_asked_for_everywhere() -> None:
    """The three fill options offer every fill, a drawing of one's own, and none."""
    choices = {option.name: option.choices for option in BORDER_OPTIONS}
    assert set(choices["fill"]) == {*CATALOGUE, "motif", "none"}
    assert set(choices["outerfill"]) == set(choices["cornerfill"]) == {*CATALOGUE, "motif", "none", "same"}


def test_leaving_an_option_out_is_giving_its_default(border: Callable[..., bytes]) -> None:
    """A border drawn with every default spelled out is the same border, byte for byte."""
    spelled = [part for name, (default, _) in PROMISED.items() for part in (f"--{name}", default)]
    assert border(DOC, *spelled) == border(DOC)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("scale", "0"), ("scale", "0.99"), ("scale", "101"), ("scale", "-8"), ("scale", "nan"), ("scale", "inf"), ("scale", "big"), ("scale", ""),
        ("width", "nan"), ("width", "inf"), ("width", "-inf"), ("width", "1e999"), ("width", "wide"), ("width", ""), ("width", "4 4"),
        ("width", "4ft"), ("width", "3/0"), ("width", "1001"), ("width", "4,5"), ("width", "0x4"), ("width", "--4"),
        ("binding", "nan"), ("repeat", "inf"), ("spacing", "nan"), ("spacing", "none"),
        ("angle", "0"), ("angle", "90"), ("angle", "-45"), ("angle", "nan"), ("angle", "inf"), ("angle", "45°"),
        ("across", "0"), ("across", "-1"), ("across", "2.5"), ("across", "501"), ("across", "nan"), ("across", "inf"), ("across", "many"),
        ("down", "0"), ("down", "1e9"), ("last", "0"), ("last", "x"), ("last", "1e300"),
        ("unit", "furlong"), ("unit", "IN"), ("kind", "middle"), ("size", ""), ("fit", "tight"), ("number", "7"), ("corner", "round"),
        ("fill", "same"), ("fill", "feathers"), ("fill", ""), ("outerfill", "Diamonds"), ("cornerfill", "?"), ("together", "maybe"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_used_is_refused(name: str, text: str, refusal: Callable[..., str]) -> None:
    """One sentence that names the option and what it may be."""
    assert name in refusal(DOC, f"--{name}={text}")


@pytest.mark.parametrize("name", ["unit", "scale", "width", "across", "together", "fill"])
@pytest.mark.parametrize(
    "text",
    ["4\n5", "4\r5", "x" * 50_000, "9" * 5000 + " 3/8", "3/" + "9" * 5000, "4\u20285"],
    ids=["a line break", "a return", "letters", "digits", "a fraction of digits", "a line separator"],
)
def test_monstrous_values_are_refused_in_a_sentence_that_can_be_read(
    name: str, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Line breaks and thousands of letters or digits do not end up in the sentence."""
    assert main(["border", "in.svg", "--id", "edge", f"--{name}={text}"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert len(said.err) < 1000


@pytest.mark.parametrize(
    "words",
    [
        ("--colour", "red"),
        ("--wid", "4"),
        ("--width",),
        ("--width", "4", "5"),
        ("-x",),
        ("--ang\nle", "4"),
    ],
)
def test_an_unknown_option_is_refused(words: tuple[str, ...], refusal: Callable[..., str]) -> None:
    """No abbreviations, nothing ignored."""
    assert "--help" in refusal(DOC, *words)


@pytest.mark.parametrize(("text", "value"), [("true", True), ("false", False), ("True", True), ("FALSE", False)])
def test_a_switch_may_be_written_as_the_editor_or_a_person_writes_it(text: str, *, value: bool) -> None:
    """The editor passes lower case."""
    given = {option.name: option.default for option in BORDER_OPTIONS} | {"together": text}
    assert read_options(given, BORDER_OPTIONS)["together"] is value


def test_the_editor_s_unrounded_nothing_is_nothing() -> None:
    """Its number fields hand over values such as -9.7e-17 for 0."""
    given = {option.name: option.default for option in BORDER_OPTIONS} | {"binding": "-9.7e-17", "across": "6.0"}
    read = read_options(given, BORDER_OPTIONS)
    assert read["binding"] == 0
    assert read["across"] == 6
