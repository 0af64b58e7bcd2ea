"""Where the strings run over the body, and the instrument that bundles neck, strings and set-up.

Frame: x = 0 the saddle line on the centreline, +x toward the nut, +y toward the bass; mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Literal

from bodycad.declare import Count, between, declared, mm
from bodycad.errors import number
from bodycad.instrument.compensation import MODULUS, Setback, setback
from bodycad.instrument.fitted import Fitted
from bodycad.instrument.neck import Neck, board_end_x, board_half_width
from bodycad.instrument.scale import FretLine, fret_line, saddle_line
from bodycad.instrument.strings import BRIDGE_PAIR, Courses, String, spread_positions
from bodycad.units import default

Point = tuple[float, float]


@dataclass(frozen=True)
class StringLine:
    """One string in plan, from nut point to uncompensated saddle point; number 1 is the treble."""

    number: int
    nut: Point
    saddle: Point

    def y_at(self, x: float) -> float:
        """y in mm of the string (or its continuation) at `x` mm."""
        (x0, y0), (x1, y1) = self.saddle, self.nut
        return y0 + (y1 - y0) * (number("x", x) - x0) / (x1 - x0)

    @property
    def scale(self) -> float:
        """Nut to saddle line in mm, parallel to the centreline, as scales are quoted."""
        return self.nut[0] - self.saddle[0]

    @property
    def angle_deg(self) -> float:
        """Degrees in plan to the centreline, positive when it nears the bass toward the nut."""
        return math.degrees(math.atan2(self.nut[1] - self.saddle[1], self.scale))


def string_lines(
    neck: Neck,
    strings: tuple[String, ...],
    bridge_spread: float,
    equal: str = "gaps",
    courses: Courses = (),
    pairs: tuple[float, float] = (0.0, 0.0),
) -> tuple[StringLine, ...]:
    """The line of every string, string 1 (treble, -y) first; spreads are outer centre to outer
    centre.

    `equal` says how the nut's slots are spaced; the saddles of a bridge stand at equal centres, of
    `courses` their middles. `pairs`: how far the strings of a course are apart at nut and bridge.
    """
    gauges = tuple(string.gauge for string in strings)
    at_nut = spread_positions(gauges, neck.nut_spread, equal, courses, pairs[0])
    at_bridge = spread_positions(gauges, bridge_spread, "centres", courses, pairs[1])
    fan = (neck.bass_scale, neck.treble_scale)
    nut = fret_line(*fan, 0, neck.straight_fret, neck.nut_spread, bridge_spread)
    saddle = saddle_line(*fan, neck.straight_fret, neck.nut_spread, bridge_spread)
    return tuple(
        StringLine(i, (nut.x_at(y_nut), y_nut), (saddle.x_at(y_bridge), y_bridge))
        for i, (y_nut, y_bridge) in enumerate(zip(at_nut, at_bridge), 1)
    )


def course_lines(
    lines: Mapping[int, StringLine], courses: tuple[int, ...]
) -> dict[int, StringLine]:
    """The middle line of each course of those strings (by number, treble first), by the number of
    its first string; the strings themselves where they stand in no courses."""
    if not courses:
        return dict(lines)
    found, numbers = {}, sorted(lines)
    for many in courses:
        own, numbers = numbers[:many], numbers[many:]
        ends = [(lines[k].nut, lines[k].saddle) for k in own]
        (n0, n1), (s0, s1) = (
            [math.fsum(axis) / many for axis in zip(*side, strict=True)]
            for side in zip(*ends, strict=True)
        )
        found[own[0]] = StringLine(own[0], (n0, n1), (s0, s1))
    return found


Action = Annotated[float, mm(0.1, 10.0)]
"""Air between string and fret crown at the 12th fret."""
Pair = Annotated[float, mm(0.2, 30.0)]
"""From string to string of one course, centre to centre."""
NUT_PAIR = default(1.9, 0.2)


@dataclass(frozen=True)
@declared("the instrument")
class Instrument:
    """Neck, strings (treble first) and set-up of one instrument, mm.

    `bridge_spread` is the outer string centres at the saddles. The actions are the air between open
    string and fret crown at the 12th fret; `nut_action` is the string over the plane of the crowns
    at the nut. Strings may stand in `courses`, so many in each, treble first, (2,) * 6 for six
    pairs: pair_nut and pair_bridge are the centres of a course's neighbours at nut and saddles.
    Defaults are common practice, no source. Raises InputError when the numbers clash."""

    neck: Neck
    strings: Annotated[tuple[String, ...], Count(2, 36), 'as strings((".010", ...)) makes them']
    bridge_spread: Annotated[float, mm(1.0, 200.0)]
    action12_treble: Action = default(1.6, 0.2)
    action12_bass: Action = default(1.8, 0.2)
    nut_action: Annotated[float, mm(0.0, 5.0)] = default(0.5, 0.2)
    fret_height: Annotated[float, mm(0.0, 3.0)] = default(1.2, 0.2)
    equal: Literal["gaps", "centres"] = field(default="gaps", metadata={"size": False})
    modulus_gpa: Annotated[float, between(1.0, 500.0, "GPa")] = field(
        default=MODULUS, metadata={"unit": "GPa"}
    )
    flipped: bool = False
    """True for a left hand: everything reflected in the centreline."""
    courses: Courses = field(default=(), metadata={"size": False})
    pair_nut: Pair | None = None
    pair_bridge: Pair | None = None
    fitted: Fitted | None = field(default=None, metadata={"size": False})
    """How the neck stands once it is fitted; a `Design` says so."""

    def __post_init__(self) -> None:
        for name, usual in (("pair_nut", NUT_PAIR), ("pair_bridge", BRIDGE_PAIR)):
            if self.courses and getattr(self, name) is None:
                object.__setattr__(self, name, usual)
        # Both raise InputError: strings that do not fit their spreads, or too slack to sound.
        _ = self.lines, self.setbacks
        end = self.board_end
        for side in (-1, 1):
            y = side * board_half_width(self.neck, end.x)
            thing = "the board beyond the last fret at its edge"
            remedy = 'give the fanned neck more overhang, or board_end="fret"'
            number(thing, self.fret_line(self.neck.frets).x_at(y) - end.x_at(y), 0, remedy=remedy)

    def fret_line(self, n: float) -> FretLine:
        """Fret `n` in plan, 0 the nut."""
        neck = self.neck
        spreads = neck.nut_spread, self.bridge_spread
        line = fret_line(neck.bass_scale, neck.treble_scale, n, neck.straight_fret, *spreads)
        return FretLine(line.x, -line.slope) if self.flipped else line

    def mirrored(self) -> Instrument:
        """Reflected in the centreline (y -> -y)."""
        return replace(self, flipped=not self.flipped)

    @property
    def board_end(self) -> FretLine:
        """The board's bridge-side end in plan: parallel to the last fret, or square across."""
        slope = self.fret_line(self.neck.frets).slope if self.neck.board_end == "fret" else 0.0
        return FretLine(board_end_x(self.neck), slope)

    @cached_property
    def _drawn(self) -> tuple[StringLine, ...]:
        """Every string's line over a right-handed neck that stands as drawn."""
        pairs = self.pair_nut or 0.0, self.pair_bridge or 0.0
        own = self.neck, self.strings, self.bridge_spread, self.equal
        return string_lines(*own, self.courses, pairs)

    @cached_property
    def lines(self) -> tuple[StringLine, ...]:
        """Every string's line, treble first, as the neck leads it."""
        lines = self._drawn
        if self.fitted is not None:
            end, move = board_end_x(self.neck), self.fitted.moved
            lines = tuple(
                StringLine(s.number, move(s.nut, end), move(s.saddle, end)) for s in lines
            )
        if not self.flipped:
            return lines
        return tuple(
            StringLine(s.number, (s.nut[0], -s.nut[1]), (s.saddle[0], -s.saddle[1])) for s in lines
        )

    def middle_at(self, x: float) -> float:
        """y in mm of the neck's own middle line at `x`: 0 where it stands as drawn."""
        if self.fitted is None:
            return 0.0
        y = self.fitted.y_at(x, board_end_x(self.neck))
        return -y if self.flipped else y

    @cached_property
    def actions12(self) -> tuple[float, ...]:
        """Action in mm at the 12th fret of every string, treble to bass in proportion to y."""
        change = (self.action12_bass - self.action12_treble) / self.bridge_spread
        return tuple(
            self.action12_treble + change * (line.saddle[1] + self.bridge_spread / 2.0)
            for line in self._drawn
        )

    @cached_property
    def setbacks(self) -> tuple[Setback, ...]:
        """Compensation of every string."""
        return tuple(
            setback(string, line.scale, action, self.modulus_gpa)
            for string, line, action in zip(self.strings, self.lines, self.actions12)
        )

    @cached_property
    def saddle_points(self) -> tuple[Point, ...]:
        """Compensated saddle points: each nominal one moved along its string away from the nut."""
        return tuple(
            (line.saddle[0] - back.value, line.y_at(line.saddle[0] - back.value))
            for line, back in zip(self.lines, self.setbacks)
        )

    def spread_at(self, x: float) -> float:
        """Distance in mm across the centreline between the outer string centres at `x`."""
        return abs(self.lines[-1].y_at(x) - self.lines[0].y_at(x))
