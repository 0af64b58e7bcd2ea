"""What the strings pull with, and how high over a point of the neck joint, in N and mm."""

from __future__ import annotations

from bodycad.errors import number
from bodycad.instrument.lines import Instrument
from bodycad.instrument.seat import Seat
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
    seat = Seat(instrument, pocket_depth, angle_deg)
    return seat.height(x) - number("the pivot's height", z)
