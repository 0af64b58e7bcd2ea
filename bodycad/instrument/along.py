"""Where a pickup goes along the strings, how far it is turned, and how far apart its poles stand to
follow them. Frame: x = 0 the saddle line on the centreline, +x toward the nut, mm.
"""

from __future__ import annotations

import math
from typing import Annotated

from bodycad.declare import Spot, Turn, between, declared, mm
from bodycad.errors import InputError
from bodycad.instrument.lines import Instrument, course_lines
from bodycad.instrument.neck import board_half_width
from bodycad.instrument.scale import MOST_FRETS, fret_line, remaining

Reach = Annotated[float, mm(0.0, 300.0)]
Fret = Annotated[float, between(0.0, MOST_FRETS)]


@declared()
def node_x(instrument: Instrument, fret: Fret) -> float:
    """x in mm of the node under fret `fret` of the open strings, on the centreline.

    A string stopped there keeps 2^(-n/12) of its length (equal temperament), so the 24th fret's
    node lies a quarter of the scale before the saddle line, whether the neck has that fret or
    not."""
    return instrument.neck.centre_scale * remaining(fret)


@declared()
def saddle_gap_x(distance: Spot, reach: Reach = 0.0) -> float:
    """x in mm of a pickup's middle whose bridge-side edge, `reach` mm from its middle, lies
    `distance` mm before the saddle line."""
    return distance + reach


@declared()
def board_gap_x(
    instrument: Instrument,
    reach: Reach,
    gap: Annotated[float, mm(0.0, 300.0)],
    turn_deg: Turn = 0.0,
) -> float:
    """x in mm of a pickup's middle whose nut-side edge, `reach` mm from its middle, comes no nearer
    to the fretboard's end than `gap` mm along the strings, over the board's width there.

    turn_deg: how the pickup is turned; the edge is a straight line that is longer than the board is
    wide."""
    end, turn = instrument.board_end, math.radians(turn_deg)
    if abs(math.cos(turn)) < 0.1:
        raise InputError("the turn of a pickup", turn_deg, "its poles across the strings")
    half = board_half_width(instrument.neck, end.x)
    # The edge runs along x = middle + reach / cos - y tan.
    out, slope = reach / abs(math.cos(turn)), math.tan(turn)
    return min(end.x_at(y) + y * slope for y in (-half, half)) - out - gap


@declared()
def fan_turn_deg(instrument: Instrument, x: Spot) -> float:
    """How far a pickup at `x` mm is turned to lie along the fan of the frets: as a fret would that
    crosses the centreline there. 0 for straight frets; degrees, as `Place.turn_deg` counts them for
    a right-handed body."""
    neck = instrument.neck
    treble, bass, straight = neck.treble_scale, neck.bass_scale, neck.straight_fret
    lines = [
        fret_line(bass, treble, n, straight, neck.nut_spread, instrument.bridge_spread)
        for n in (0.0, 12.0)
    ]
    # Rise across the outer strings: even in the share of the scale that is left.
    width = [neck.nut_spread, (neck.nut_spread + instrument.bridge_spread) / 2.0]
    rise = [line.slope * wide for line, wide in zip(lines, width, strict=True)]
    share = x / neck.centre_scale
    here = rise[1] + (rise[0] - rise[1]) * (share - 0.5) / 0.5
    spread = instrument.bridge_spread + (neck.nut_spread - instrument.bridge_spread) * share
    return -math.degrees(math.atan(here / spread))


@declared()
def pole_spacing_at(instrument: Instrument, x: Spot, turn_deg: Turn = 0.0, y: Spot = 0.0) -> float:
    """From the first to the last pole, mm, of a row through (x, y) that follows the strings: along
    the row, from the first string to the last, both as they run from nut to saddle line; where
    strings stand in courses, from the middle of the first to that of the last.

    turn_deg: of the row, as its place turns it. Raises InputError for a row that runs along the
    strings."""
    turn, spots = math.radians(turn_deg), []
    lines = list(course_lines(dict(enumerate(instrument.lines)), instrument.courses).values())
    for line in (lines[0], lines[-1]):
        slope = (line.nut[1] - line.saddle[1]) / line.scale
        across = math.cos(turn) + slope * math.sin(turn)
        if abs(across) < 0.1:
            raise InputError("the turn of a pickup", turn_deg, "its poles across the strings")
        spots.append((line.y_at(x) - y) / across)
    return abs(spots[1] - spots[0])
