"""The size of the page: how many real inches one user unit is."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, NoReturn

from geometry.errors import DocumentError
from geometry.lengths import MM_PER_INCH

if TYPE_CHECKING:
    from lxml import etree

PX_PER_INCH = 96.0
"""CSS Values and Units (W3C): 1 in = 96 px = 2.54 cm."""

INCHES = {
    "": 1 / PX_PER_INCH, "px": 1 / PX_PER_INCH, "in": 1.0, "mm": 1 / MM_PER_INCH, "cm": 10 / MM_PER_INCH,
    "pt": 1 / 72, "pc": 1 / 6, "Q": 0.25 / MM_PER_INCH,
}  # fmt: skip

_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(px|in|mm|cm|pt|pc|Q)?\s*")

_EVEN = 1e-4
"""Share by which the page's two scales may differ: 0.01 in over the longest quilt."""


def absolute_length(text: str) -> float | None:
    """An SVG length in inches at 96 px to the inch; None if it is missing, relative or not a number."""
    found = _LENGTH.fullmatch(text)
    if found is None:
        return None
    inches = float(found[1]) * INCHES[found[2] or ""]
    return inches if math.isfinite(inches) else None


def inches_per_unit(root: etree._Element) -> float:
    """Real inches that one user unit of the page measures.

    Raises:
        DocumentError: the page has no real size, or is not scaled evenly.
    """
    sizes = []
    for name in ("width", "height"):
        text = root.get(name, "")
        size = absolute_length(text)
        if size is None:
            _refuse(
                f"The document's {name} is “{text}”" if text else f"The document has no {name}", "a size such as 8.5in"
            )
        if size <= 0:
            _refuse(f"The document's {name} is “{text}”", "more than 0")
        sizes.append(size)
    view = root.get("viewBox")
    if view is None:
        return INCHES["px"]
    parts = [absolute_length(part) for part in re.split(r"[\s,]+", view.strip())]
    if len(parts) != 4 or None in parts or not all(part and part > 0 for part in parts[2:]):  # noqa: PLR2004
        _refuse(f"The document's viewBox is “{view[:60]}”", "four numbers, the last two more than 0")
    units = [part / INCHES["px"] for part in parts[2:] if part]
    across, down = sizes[0] / units[0], sizes[1] / units[1]
    if not all(1e-9 < scale < 1e9 for scale in (across, down)):  # noqa: PLR2004
        _refuse("The document's scale is beyond any page", "one user unit to a real length")
    if abs(across / down - 1) > _EVEN:
        _refuse("The document's page is scaled differently across and down (its viewBox)", "scaled evenly")
    return (across + down) / 2


def _refuse(found: str, needed: str) -> NoReturn:
    raise DocumentError(
        f"{found}, so nothing on it has a true size; it must be {needed}: "
        "please set the page's size and scale in Document Properties."
    )
