"""Everything that can be wrong with what was asked for.

One root, one child for each situation. A child carries the numbers its sentence
needs; the sentence says what was found, what is needed and what to do.
"""

from __future__ import annotations


class QuiltError(ValueError):
    """What was asked for cannot be drawn; `str()` is the sentence for the designer."""


class LengthError(QuiltError):
    """A length that cannot be read, or lies outside what makes sense."""


class OptionError(QuiltError):
    """An option, or two options together, that cannot be followed."""


class SizeError(QuiltError):
    """The quilt, the border and the room for the binding do not go together."""


class CountError(QuiltError):
    """A number of triangles that cannot be had."""


class MarkError(QuiltError):
    """Marks that the zigzag cannot land on."""


class SelectionError(QuiltError):
    """What is selected is not the outline of a quilt."""


class DocumentError(QuiltError):
    """The document cannot be read safely, or its size on the table is not known."""


class DrawingError(QuiltError):
    """A drawn border, or a line in it, that cannot be read any more."""


class OutputError(QuiltError):
    """The result cannot be written where it was asked to go."""
