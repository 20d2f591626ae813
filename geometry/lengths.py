"""Lengths as quilters write them, and numbers as a ruler shows them.

Inside the project every length is a float in inches of quilt. This module is the
only place where another unit, or a fraction, is turned into inches or back.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Literal

from geometry.errors import LengthError

Unit = Literal["in", "cm", "mm"]

MM_PER_INCH = 25.4
"""Exact since 1 July 1959 (addendum to National Bureau of Standards circular 572)."""

INCHES_PER: dict[str, float] = {"in": 1.0, "cm": 10 / MM_PER_INCH, "mm": 1 / MM_PER_INCH}

RULER = 16
"""Finest mark of a quilter's ruler in common use: sixteenths of an inch (common practice, no source)."""

NOTHING = 1e-9
"""Inches below which a length is zero."""

LONGEST_TEXT = 60
"""Letters; no length takes more to write."""

LONGEST_IN = 1000.0
"""No quilt, and no part of one, is longer than this; a typing slip is."""

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_PATTERN = re.compile(
    rf"""^\s*(?P<sign>[+-])?\s*
    (?:(?P<whole>\d+)[\s-]+(?P<top>\d+)/(?P<bottom>\d+)
      |(?P<only_top>\d+)/(?P<only_bottom>\d+)
      |(?P<number>{_NUMBER}))
    \s*(?P<unit>in|inch|inches|"|cm|mm)?\.?\s*$""",
    re.VERBOSE,
)
_UNIT_WORDS = {"inch": "in", "inches": "in", '"': "in"}


def parse_length(text: str, unit: str = "in", *, name: str = "length") -> float:
    """Read a length as a quilter writes it and return inches.

    `6`, `6.5`, `5 3/8`, `5-3/8`, `5⅜`, `5 3/8in`, `140mm` and `14cm` are all read; a
    bare number is in `unit` (in, cm or mm). `name` is what the sentence calls it.

    Raises:
        LengthError: not a length, not finite, or longer than any quilt.

    >>> parse_length("5-3/8")
    5.375
    >>> parse_length("254", "mm")
    10.0
    """
    plain = _plain_fractions(text) if len(text) <= LONGEST_TEXT else ""
    found = _PATTERN.match(plain)
    if found is None or unit not in INCHES_PER:
        raise LengthError(
            f"The {name} “{text[:LONGEST_TEXT]}” is not a length; it must be a number such as 4, 5.5, 5 3/8 or 140mm: "
            "please type it again."
        )
    value = _value(found, text, name)
    word = found["unit"] or unit
    inches = value * INCHES_PER[_UNIT_WORDS.get(word, word)]
    if not math.isfinite(inches) or abs(inches) > LONGEST_IN:
        raise LengthError(
            f"The {name} “{text}” is longer than any quilt; it must be at most {LONGEST_IN:g} in: "
            "please check the number and its unit."
        )
    # the editor's number fields hand over values such as -9.7e-17 for zero
    return 0.0 if abs(inches) < NOTHING else inches


def _plain_fractions(text: str) -> str:
    """Write one-character fractions out: `5⅜` and `5 ⅜` become `5 3/8`."""
    spread = "".join(f" {char}" if unicodedata.numeric(char, 0) % 1 else char for char in text)
    return unicodedata.normalize("NFKC", spread).replace("\u2044", "/").replace("\u2033", '"').strip()


def _value(found: re.Match[str], text: str, name: str) -> float:
    sign = -1.0 if found["sign"] == "-" else 1.0
    if found["number"] is not None:
        return sign * float(found["number"])
    top, bottom = (found["top"], found["bottom"]) if found["whole"] else (found["only_top"], found["only_bottom"])
    if int(bottom) == 0:
        raise LengthError(
            f"The {name} “{text}” divides by nothing; it must be a fraction such as 3/8: please type it again."
        )
    # a Fraction first: whole numbers of hundreds of digits would overflow a float
    from fractions import Fraction  # noqa: PLC0415 - few lengths are written so

    exact = int(found["whole"] or 0) + Fraction(int(top), int(bottom))
    return sign * float(min(exact, Fraction(10) ** 9))


def fraction(inches: float, parts: int = RULER) -> str:
    """Write inches to the nearest ruler mark, as a quilter would: `7 1/8`.

    >>> fraction(7.125), fraction(8.0), fraction(0.37), fraction(-0.25)
    ('7 1/8', '8', '3/8', '-1/4')
    """
    ticks = round(abs(inches) * parts)
    whole, rest = divmod(ticks, parts)
    sign = "-" if inches < 0 and ticks else ""
    if not rest:
        return f"{sign}{whole}"
    least = math.gcd(rest, parts)
    part = f"{rest // least}/{parts // least}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def about(inches: float) -> str:
    """Write inches as a fraction, with `about` before it where the ruler has no such mark.

    >>> about(7.125), about(6.9)
    ('7 1/8 in', 'about 6 7/8 in')
    """
    exact = abs(round(inches * RULER) / RULER - inches) < 1e-4  # noqa: PLR2004 - far finer than any ruler
    return f"{'' if exact else 'about '}{fraction(inches)} in"


def decimal(number: float, places: int = 3) -> str:
    """Write a number with at most `places` decimals and no idle zeros.

    >>> decimal(8.0), decimal(7.1254), decimal(-0.0001)
    ('8', '7.125', '0')
    """
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in {"-0", ""} else text
