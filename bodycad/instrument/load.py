"""What the strings pull with, and what a bolt-on joint makes of it, in newtons and millimetres."""

from __future__ import annotations

from bodycad.errors import InputError, number
from bodycad.instrument.lines import Instrument
from bodycad.instrument.stack import string_height
from bodycad.instrument.strings import tension


def string_tensions(instrument: Instrument) -> tuple[float, ...]:
    """Pull in N of every open string at pitch, treble first, each on its own scale."""
    return tuple(
        tension(string, line.scale) for string, line in zip(instrument.strings, instrument.lines)
    )


def total_tension(instrument: Instrument) -> float:
    """Pull in N of all strings together."""
    return sum(string_tensions(instrument))


def joint_lever(
    instrument: Instrument, pocket_depth: float, x: float, z: float, angle_deg: float = 0.0
) -> float:
    """mm from a point (x, z) of the pocket floor up to the strings, square to the body's top: the
    lever of their pull about that point. The strings' own slope (under 1 degree) is left out: 0.02
    %."""
    return string_height(instrument, pocket_depth, x, angle_deg) - number("the pivot's height", z)


def screw_pulls(moment: float, levers: tuple[float, ...]) -> tuple[float, ...]:
    """Pull in N on each screw of a rigid heel that a moment (N mm) turns about an edge.

    levers: mm from that edge to each screw. A rigid heel lifts in proportion to the lever, so F_i =
    M u_i / sum(u^2); a screw at or beyond the edge carries none. InputError when none carries."""
    number("the moment on the joint", moment, low=0.0)
    arms = [max(number("a screw's lever", lever), 0.0) for lever in levers]
    square = sum(arm * arm for arm in arms)
    if square == 0.0:
        raise InputError("the levers of the neck screws", levers, "at least one of more than 0 mm")
    return tuple(moment * arm / square for arm in arms)
