"""Frets of twelve equal steps to the octave, straight or fanned.

Frame: x = 0 is the saddle line on the centreline, +x toward the nut, +y toward the bass strings;
millimetres. The distance from nut to fret n is L (1 - 2^(-n/12)), so fret 12 halves the string.
Source: equal temperament (definition); Varieschi & Gower, Am. J. Phys. 78 (2010) 47, section II.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from bodycad.declare import mm
from bodycad.errors import number

_INCHES_SLIP = "lengths are millimetres: write inch(25.5) for 25.5 inches"
Scale = Annotated[float, mm(100.0, 3000.0), _INCHES_SLIP]
MOST_FRETS = 48


def scale_length(value: object, thing: str = "the scale") -> float:
    """`value` when it can be a scale in mm (100 to 3000), else InputError; catches inches."""
    return number(thing, value, 100, 3000, remedy=_INCHES_SLIP)


def remaining(n: float) -> float:
    """Share of the string left between fret n and the saddle, 2^(-n/12); n may be fractional."""
    return float(2.0 ** (-number("the fret number", n, 0, MOST_FRETS) / 12.0))


def fret_distance(scale: float, n: float) -> float:
    """Distance in mm from the nut to fret `n` of a string of `scale` mm."""
    return scale_length(scale) * (1.0 - remaining(n))


@dataclass(frozen=True)
class FretLine:
    """A fret, nut or saddle line in plan: x mm on the centreline, `slope` mm of x per mm of y."""

    x: float
    slope: float = 0.0

    def x_at(self, y: float) -> float:
        """x in mm of the line at `y` mm off the centreline (+ bass)."""
        return self.x + self.slope * y


def fret_line(
    bass_scale: float,
    treble_scale: float,
    n: float,
    straight_fret: float,
    nut_spread: float,
    bridge_spread: float,
) -> FretLine:
    """Fret `n` of a fanned neck (0 = the nut); equal scales give a straight one.

    The scales belong to the outer strings and are measured parallel to the centreline; the spreads
    are the outer string centres in mm at nut and saddles; fret `straight_fret` (may be fractional)
    is square to the centreline. Both outer strings are cut in the same proportion at every fret,
    and so are inner strings that keep their share of the spread from nut to saddle."""
    return _line(bass_scale, treble_scale, remaining(n), straight_fret, nut_spread, bridge_spread)


def saddle_line(
    bass_scale: float,
    treble_scale: float,
    straight_fret: float,
    nut_spread: float,
    bridge_spread: float,
) -> FretLine:
    """The uncompensated saddle line of the same neck; it crosses the centreline at x = 0."""
    return _line(bass_scale, treble_scale, 0.0, straight_fret, nut_spread, bridge_spread)


def _line(
    bass: float, treble: float, share: float, straight_fret: float, nut: float, bridge: float
) -> FretLine:
    scale_length(bass, "the bass scale")
    scale_length(treble, "the treble scale")
    number("the string spread at the nut", nut, above=0)
    number("the string spread at the bridge", bridge, above=0)
    middle = (bass + treble) / 2.0
    width = bridge + (nut - bridge) * share
    return FretLine(middle * share, (bass - treble) * (share - remaining(straight_fret)) / width)
