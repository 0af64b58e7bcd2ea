"""An outline's length and width, and what its numbers may be where they are no millimetres."""

from __future__ import annotations

import math

from bodycad.geometry.plane.profile import Profile

UNITS = (
    ("inches", 25.4),
    ("centimetres", 10.0),
    ("metres", 1000.0),
    ("points of a drawing program (72 to the inch)", 25.4 / 72.0),
    ("pixels of a drawing program (96 to the inch)", 25.4 / 96.0),
    ("tenths of a millimetre", 0.1),
    ("millimetres multiplied by 25.4 once more", 1.0 / 25.4),
)
"""What the numbers of an outline may be, and one of them in mm."""
USUAL = (280.0, 620.0), (180.0, 480.0)
"""Between which the longer and the shorter side of a body's outline lie, mm: what a guess at its
units may come to (common practice, no source)."""
MIDDLE = 450.0, 335.0
"""A body of the middle, mm: the nearer of two guesses is named first (common practice, no
source)."""


def measures(shape: Profile) -> tuple[float, float]:
    """Length along the neck and width across it, mm."""
    x0, y0, x1, y1 = shape.box
    return x1 - x0, y1 - y0


def in_millimetres(shape: Profile) -> tuple[str, str]:
    """In words that go on from the outline's size: what it would be in mm in the units that would
    make a body of it; and the cure."""
    found = []
    for unit, factor in UNITS:
        length, width = (factor * side for side in measures(shape))
        long, short = max(length, width), min(length, width)
        (least, most), (narrow, wide) = USUAL
        if least <= long <= most and narrow <= short <= wide:
            off = math.log(long / MIDDLE[0]) ** 2 + math.log(short / MIDDLE[1]) ** 2
            words = f"; read as {unit} it would be {length:.0f} by {width:.0f} mm"
            found.append(
                (off, words, f"give it in millimetres: multiply its points by {factor:.6g}")
            )
    found.sort()
    words = "".join(words for _, words, _ in found[:2])
    return words, found[0][2] if found else "give the outline in millimetres"
