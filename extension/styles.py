"""Colours and widths that she changed stay hers when the border is drawn again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from extension.document import SVG, side_of, value_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from lxml import etree

    from extension.pen import Pen

KINDS = {
    "border-seam": "guide", "stop-line": "guide", "side": "zigzag", "corner-line": "zigzag", "fill": "fill", "run": "run",
}  # fmt: skip
"""Which stroke each part is drawn with."""

Key = tuple[str, str, int]


def changed_styles(layer: etree._Element, pen: Pen) -> dict[Key, dict[str, str]]:
    """What differs, of each line of a border, from how the pen would have drawn it."""
    found = {}
    for key, element in _lines(layer, {}):
        plain = properties(pen.style(KINDS[key[0]]))
        hers = {
            name: value
            for name, value in properties(element.get("style", "")).items()
            if not _alike(plain.get(name), value)
        }
        if hers:
            found[key] = hers
    return found


def dress(layer: etree._Element, styles: Mapping[Key, Mapping[str, str]], looks_like: Mapping[str, str]) -> None:
    """Give the lines of a border, drawn anew, what she changed; `looks_like` names the old section of each new one."""
    for key, element in _lines(layer, looks_like):
        if key in styles:
            style = {**properties(element.get("style", "")), **styles[key]}
            element.set("style", ";".join(f"{name}:{value}" for name, value in style.items()))


def properties(style: str) -> dict[str, str]:
    """The declarations of a style attribute."""
    pairs = (part.partition(":") for part in style.split(";") if ":" in part)
    return {name.strip(): value.strip() for name, _, value in pairs}


def _lines(layer: etree._Element, names: Mapping[str, str]) -> Iterator[tuple[Key, etree._Element]]:
    """The stroked lines of a border with what tells them apart: part, side or section, and which of several."""
    seen: dict[tuple[str, str], int] = {}
    for element in layer.iter(f"{{{SVG}}}path"):
        part = value_of(element, "part")
        if part not in KINDS:
            continue
        section = next(
            (value_of(above, "section") for above in element.iterancestors() if value_of(above, "section")), ""
        )
        of = names.get(section, section) if part == "fill" else side_of(element) or value_of(element, "run")
        if of or part != "fill":
            here = (part, section or of)
            seen[here] = seen.get(here, -1) + 1
            yield (part, of, seen[here]), element


def _alike(one: str | None, other: str) -> bool:
    if one is None:
        return False
    try:
        return abs(float(one) - float(other)) <= 1e-3 * abs(float(one))
    except ValueError:
        return one.lower().replace(" ", "") == other.lower().replace(" ", "")
