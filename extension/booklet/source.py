"""From a document to a pattern: the border planned again from its recipe, with the lines of its fills as they stand."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from extension.document import CW, SVG
from extension.options import BORDER_OPTIONS, read_options
from extension.request import read_job
from extension.selection import to_page
from geometry.errors import SelectionError
from geometry.fills.shape import Fill, FilledSection
from geometry.pattern import Pattern, pattern_of
from geometry.plan import lay_out
from geometry.plane import Affine, Curve, Line, Point, distance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from lxml import etree

    from extension.document import Document
    from extension.request import Job

SAME_NODE = 0.002
"""Inches within which a node was not moved: coordinates are written far finer, a hand moves further."""

ON_NODE = 1e-9
"""Units within which a control lies on its node."""

_PLAIN = re.compile(r"[MLCZ\d\s,.eE+-]*")
_COMMAND = re.compile(r"([MLCZ])([^MLCZ]*)")


class Source(NamedTuple):
    """What a booklet is made from.

    Attributes:
        pattern: the border as it stands.
        layer: its layer in the document.
        job: how it was asked for.
    """

    pattern: Pattern
    layer: etree._Element
    job: Job


def read_source(document: Document, ids: Sequence[str] = ()) -> Source:
    """Read the border of a document, or the one that the ids belong to.

    Raises:
        QuiltError: there is none, or more than one to choose from, or it cannot be planned again.
    """
    layer = _border_layer(document, ids)
    recipe = _recipe(layer)
    values = {option.name: _text(recipe.get(option.name, option.default)) for option in BORDER_OPTIONS}
    edges = [layer.get(f"{{{CW}}}edge", ""), *([str(recipe["seam"])] if recipe.get("seam") else [])]
    job = read_job(document, edges, read_options(values, BORDER_OPTIONS))
    plan = lay_out(job.request)
    drawn = _drawn(document, layer, job.place.inverse())
    edited = {filled.section.name for filled in plan.sections if _changed(filled, drawn.get(filled.section.name))}
    sections = tuple(
        _as_drawn(filled, drawn.get(filled.section.name)) if filled.section.name in edited else filled
        for filled in plan.sections
    )
    pattern = pattern_of(replace(plan, sections=sections) if edited else plan)
    marked = tuple(replace(one, edited=one.name in edited) for one in pattern.sections)
    return Source(replace(pattern, sections=marked), layer, job)


def _border_layer(document: Document, ids: Sequence[str]) -> etree._Element:
    borders = [
        group for group in document.root.iter(f"{{{SVG}}}g") if group.get(f"{{{CW}}}part") == "border"
    ]  # fmt: skip
    if not borders:
        raise SelectionError(
            "There is no border in the document; a booklet is made from one that Cornerwise has drawn: "
            "please draw the border first."
        )
    wanted = set(ids)
    chosen = [border for border in borders if wanted & _names(border)] if wanted else borders
    if not chosen and len(borders) == 1 and all(document_has(document, name) for name in wanted):
        chosen = borders
    if len(chosen) != 1:
        names = ", ".join(f"“{border.get(f'{{{CW}}}edge')}”" for border in borders[:6])
        raise SelectionError(
            f"There are {len(borders)} borders in the document, round {names}, and {len(chosen) if wanted else 'none'} of "
            "them is chosen; a booklet is made from one: please select its edge, or give its id."
        )
    return chosen[0]


def document_has(document: Document, name: str) -> bool:
    """Whether anything in the document has that id."""
    return any(element.get("id") == name for element in document.root.iter())


def _names(border: etree._Element) -> set[str]:
    """The ids by which a border can be chosen: its edge, its layer, anything on it."""
    inside = {element.get("id") for element in border.iter() if element.get("id")}
    return {border.get(f"{{{CW}}}edge", ""), *inside} - {""}


def _recipe(layer: etree._Element) -> Mapping[str, Any]:
    try:
        found = json.loads(layer.get(f"{{{CW}}}recipe", ""))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise SelectionError(
            "The border's layer has lost its recipe, so its sizes are not known; it must be as Cornerwise drew it: "
            "please draw the border again."
        )
    return found


def _text(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


class _Lines(NamedTuple):
    lines: tuple[Line, ...]
    fill_name: str
    spacing: float | None


def _drawn(document: Document, layer: etree._Element, to_quilt: Affine) -> dict[str, _Lines]:
    """The lines of every section as they stand, in inches of quilt."""
    found: dict[str, _Lines] = {}
    for group in layer.iter(f"{{{SVG}}}g"):
        name = group.get(f"{{{CW}}}section")
        if name is None:
            continue
        lines: list[Line] = []
        for path in group.iter(f"{{{SVG}}}path"):
            place = to_quilt.after(to_page(path, document.root))
            lines += [place.line(line) for line in read_path(path.get("d", ""))]
        try:
            spacing = float(group.get(f"{{{CW}}}spacing-in", ""))
        except ValueError:
            spacing = None
        found[name] = _Lines(tuple(lines), group.get(f"{{{CW}}}fill", ""), spacing)
    return found


def read_path(data: str) -> list[Line]:
    """The subpaths of a path; straight ones as lines, any with a curve as chains of Béziers."""
    if _PLAIN.fullmatch(data):
        return _read_plain(data)
    from inkex.paths import Path  # noqa: PLC0415 - takes long to load, and only paths changed by hand need it

    found: list[Line] = []
    try:
        subpaths = Path(data).to_superpath()  # type: ignore[no-untyped-call]
    except (ValueError, TypeError, IndexError, ArithmeticError):
        return []
    for nodes in subpaths:
        chain = [Point(float(x), float(y)) for node in nodes for x, y in node][1:-1]
        found.append(_simplest(chain))
    return [line for line in found if len(line) > 1]


def _simplest(chain: Sequence[Point]) -> Line:
    """A chain of Béziers whose controls lie on their nodes is a line of straight pieces."""
    pieces = [chain[i : i + 4] for i in range(0, len(chain) - 1, 3)]
    straight = all(distance(one, two) < ON_NODE and distance(three, four) < ON_NODE for one, two, three, four in pieces)
    return tuple(chain[::3]) if straight else Curve(chain)


def _read_plain(data: str) -> list[Line]:
    """Absolute straight pieces and Béziers, as we write them."""
    chains: list[list[Point]] = []
    for letter, text in _COMMAND.findall(data):
        numbers = [float(part) for part in re.split(r"[\s,]+", text.strip()) if part]
        points = [Point(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
        if letter == "M":
            chains.append(points[:1])
            points = points[1:]
        elif not chains:
            return []
        chain = chains[-1]
        if letter == "Z" and chain[0] != chain[-1]:
            points = [chain[0]]
        if letter == "C":
            chain += points
        else:
            for point in points:
                chain += [chain[-1], point, point]
    return [_simplest(chain) for chain in chains if len(chain) > 1]


def _changed(filled: FilledSection, drawn: _Lines | None) -> bool:
    planned, now = filled.fill.lines, drawn.lines if drawn is not None else ()
    if len(planned) != len(now):
        return True
    return any(
        len(one) != len(other) or any(distance(a, b) > SAME_NODE for a, b in zip(one, other, strict=True))
        for one, other in zip(planned, now, strict=True)
    )


def _as_drawn(filled: FilledSection, drawn: _Lines | None) -> FilledSection:
    if drawn is None:
        return replace(filled, fill=Fill((), filled.fill.spacing), standard=Fill((), filled.fill.spacing))
    fill = Fill(drawn.lines, drawn.spacing or filled.fill.spacing)
    return replace(
        filled, fill_name=drawn.fill_name or filled.fill_name, fill=fill,
        standard=fill.placed(filled.place.inverse()),
    )  # fmt: skip
