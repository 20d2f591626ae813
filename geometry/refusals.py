"""What cannot be drawn, told before it is tried or as soon as it shows: one sentence each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.binding import LEAST_ROOM
from geometry.errors import OptionError, SizeError
from geometry.fills.catalogue import MOTIF, NONE, SAME, entry
from geometry.fills.shape import FINEST
from geometry.lengths import LONGEST_IN, RULER, about
from geometry.plane import SAME_POINT
from geometry.quilt import corner_in_words, inward_corners, side_in_words, side_names

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.plan import Request
    from geometry.quilt import Border
    from geometry.zigzag import Zigzag


def check_asked(request: Request) -> None:
    """Sizes, numbers and names that make no sense.

    Raises:
        QuiltError: the sentence says which, and what to do.
    """
    short = min(request.quilt_width, request.quilt_height)
    if short <= 0:
        raise SizeError(
            f"The selected shape is {about(request.quilt_width)} by {about(request.quilt_height)}; "
            "a quilt's edge needs a width and a height: please select the rectangle that is the edge."
        )
    if max(request.quilt_width, request.quilt_height) > LONGEST_IN:
        raise SizeError(
            f"The selected shape is longer than any quilt; a side may be at most {LONGEST_IN:g} in: "
            "please select a smaller one, or correct the scale."
        )
    if request.size == "count" and request.fit == "ease":
        raise OptionError(
            "The size is given as a number of triangles, and easing needs a size to keep in the middle: "
            "please ask for an angle or a repeat, or choose an even fit."
        )
    if request.size == "repeat" and request.repeat <= 0:
        raise OptionError(
            f"The repeat is {about(request.repeat)}; it must be more than 0: please give a length such as 6."
        )
    if request.spacing < 0:
        raise OptionError(
            f"The spacing is {about(request.spacing)}; it must be more than 0: please give a length such as 1."
        )
    _check_lines(request)
    for name in (request.fill, request.outerfill, request.cornerfill):
        if name not in {NONE, SAME, MOTIF}:
            entry(name)
        if name == MOTIF and request.motif is None:
            raise OptionError(
                "The fill is motif, and no drawing is given; there must be one of your own: please draw it, and select it "
                "too or give its id."
            )
    if request.fill == SAME:
        entry(SAME)


def check_corners(request: Request, border: Border) -> None:
    """A square corner has its lines square to both edges, and at some corners they would leave the border.

    Raises:
        OptionError: at one of its corners they would.
    """
    if request.corner != "square":
        return
    names = side_names(len(border.edge))
    inward = dict(zip(names, inward_corners(border.edge), strict=True))
    for before, after in zip(border.sides, (*border.sides[1:], border.sides[0]), strict=True):
        if before.open_end:
            continue
        corner = corner_in_words(names, names.index(after.name))
        if inward[after.name]:
            raise OptionError(
                f"Square corners are asked for, and {corner} is an inward one; such a corner must be mitred or large: please "
                "choose one of these."
            )
        # the pivot's feet on either side: where widths are unlike and the corner is blunt, one lies beyond it
        room = min(before.place(before.stop_end) - before.length, -after.place(after.stop_start))
        if room < 1 / RULER:
            raise OptionError(
                f"Square corners are asked for, and at {corner} a line square to the narrower border would miss it; such a "
                "corner must be mitred or large, or its widths more alike: please choose one of these."
            )


def check_ends(zigzags: Sequence[Zigzag]) -> None:
    """Where neighbours are very unlike in width, or an end is cut very aslant, a triangle may reach beyond its corner.

    Raises:
        SizeError: one does.
    """
    for zigzag in zigzags:
        side, line = zigzag.side, zigzag.line
        first, last = side.place(line[1]), side.place(line[-2])
        if first <= side.place(side.far_start) + SAME_POINT or last >= side.place(side.far_end) - SAME_POINT:
            raise SizeError(
                f"The triangles of {side_in_words(side.name)} would reach beyond its corner; the widths of neighbouring sides must be more "
                "alike, or the triangles longer: please change one of them."
            )


def _check_lines(request: Request) -> None:
    if request.echo and request.step < FINEST:
        raise OptionError(
            f"The step between echo lines is {about(request.step)}; it must be at least 1/16 in, for stitching closer "
            "than that cuts the quilt: please give a length such as 1/4."
        )
    if request.under and request.kind == "inner":
        raise OptionError(
            "Lines are to run on under the binding, and an inner border has none: please choose an outer border, or "
            "let the lines end on the seam."
        )
    if request.under and request.binding < LEAST_ROOM:
        raise OptionError(
            f"Lines are to run on under the binding, and the room for it is {about(request.binding)}; it must be at least "
            "1/16 in: please give the binding more room, or let the lines end on the stop line."
        )
