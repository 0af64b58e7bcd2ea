"""What the strings pull with, in newtons."""

from __future__ import annotations

from bodycad.instrument.lines import Instrument
from bodycad.instrument.strings import tension


def string_tensions(instrument: Instrument) -> tuple[float, ...]:
    """Pull in N of every open string at pitch, treble first, each on its own scale."""
    return tuple(tension(string, line.scale) for string, line in zip(instrument.strings, instrument.lines))


def total_tension(instrument: Instrument) -> float:
    """Pull in N of all strings together."""
    return sum(string_tensions(instrument))
