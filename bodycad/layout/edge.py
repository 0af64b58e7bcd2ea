"""Places on the body's edge, and a blank that holds an outline."""

from __future__ import annotations

import math

import numpy as np

from bodycad.errors import number
from bodycad.geometry.plane.profile import Profile
from bodycad.layout.body import Blank, Pin
from bodycad.layout.void import Place
from bodycad.wood import Species


def on_edge(outline: Profile, x: float, y: float) -> Place:
    """The place on the outline nearest to (x, y), its u pointing straight into the wood."""
    s = outline.segments
    _, foot, index = s.nearest(np.array([[number("x", x), number("y", y)]]))
    one = s.take(index)
    if one.arc[0]:
        out = foot[0] - one.centre[0]
        t = (
            ((math.atan2(out[1], out[0]) - one.start[0]) * np.sign(one.bulge[0]))
            % (2 * math.pi)
            / abs(one.sweep[0])
        )
        t = min(t, 1.0)
    else:
        t = float(np.hypot(*(foot[0] - one.a[0])) / one.chord[0])
    tangent = one.tangent(np.array([t]))[0]
    # The outline runs counter-clockwise: the wood lies to the left.
    return Place(
        float(foot[0, 0]), float(foot[0, 1]), math.degrees(math.atan2(tangent[0], -tangent[1]))
    )


def blank_round(
    outline: Profile,
    species: Species,
    margin: float = 10.0,
    joints: tuple[float, ...] = (),
    pin: float = 6.0,
    moisture: float = 8.0,
) -> Blank:
    """A blank `margin` mm larger than the outline on every side, with two datum pin holes on the
    centreline in the waste at both ends (the blank is `4 pin` longer there)."""
    x0, y0, x1, y1 = outline.box
    number("the blank's margin", margin, low=0.0)
    end = margin + 4.0 * pin
    pins = (Pin(x0 - 2.0 * pin, 0.0, pin), Pin(x1 + 2.0 * pin, 0.0, pin))
    return Blank(x0 - end, y0 - margin, x1 + end, y1 + margin, species, joints, pins, moisture)
