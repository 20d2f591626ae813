"""A document as a picture, without the editor."""

from __future__ import annotations


def png(svg: bytes, width: int | None = None) -> bytes:
    """Render an SVG document on white, `width` pixels wide or in its own size."""
    import resvg_py  # noqa: PLC0415 - only where a picture is wanted

    # in this library 0 dots per inch is the default, and pages measured in inches then have no size
    return bytes(resvg_py.svg_to_bytes(svg_string=svg.decode("utf-8"), width=width, background="#ffffff", dpi=96))
