"""What the coordinates in files and reports mean, said once for all of them.

Every (x, y) or (x, y, z) that a file or a report gives is a place in the wood as it is cut and
drawn. A script is written as for a right-handed body, so a left-handed one has every y (and a
part's v) with the other sign.
"""

from __future__ import annotations

from bodycad.layout.layout import Layout


def bass_or_treble(layout: Layout, y: float = 1.0) -> str:
    """The strings on the side of a positive y, or of a negative one."""
    return "treble" if layout.left_handed == (y > 0.0) else "bass"


def wood(layout: Layout) -> str:
    """Where (x, y, z) of the body count from, in one sentence without a stop."""
    side = bass_or_treble(layout)
    return (
        f"x from the scale line toward the nut, y from the centreline toward the {side} side, "
        "z from the plain front outward, mm"
    )


def script(layout: Layout) -> str:
    """How the script's own numbers differ; "" where they do not."""
    if not layout.left_handed:
        return ""
    return "the script counts y and v toward the bass side: they have the other sign there"


def convention(layout: Layout) -> str:
    """All of it, for the head of a table or a drawing."""
    more = script(layout)
    return f"Places in the wood: {wood(layout)}{f'; {more}' if more else ''}."


HEEL = (
    "u along the neck toward the nut and v toward the bass, from the middle of the heel's "
    "bridge-side end, as the script gives them"
)
"""What u and v of a neck screw are."""
