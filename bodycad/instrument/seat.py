"""The neck where strings and scale want it on a body: its heel block, its fretboard and the
strings over the body, in the body's frame.

The neck is one rigid body, drawn level in its own frame: `along` mm from the scale line toward the
nut, y across, `over` mm over the flat of its heel. In the pocket it is turned about an axis across
the body (a positive angle leans the headstock back) and put where the middle of the strings passes
over the scale line at x = 0. So a turned neck stands nearer the bridge at the pocket's floor than
its level drawing does, by about the strings' height over that floor times the angle's sine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.declare import between, declared, mm, over
from bodycad.errors import number
from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.solid import Point3
from bodycad.instrument.lines import Instrument, Point, StringLine
from bodycad.instrument.neck import Heel, board_half_width, heel_end_x, mouth_x
from bodycad.instrument.scale import remaining


def heel_plan(heel: Heel) -> Profile:
    """The heel block's plan in (u, v): u mm from the middle of its bridge-side end toward the
    nut."""
    (treble, bass), mouth = heel.corners(), heel.width_mouth / 2.0
    plan = [treble, (heel.length, -mouth), (heel.length, mouth), bass]
    return rounded(plan, (heel.corner, 0.0, 0.0, heel.corner), "the heel")


@dataclass(frozen=True)
@declared("a seat")
class Seat:
    """An instrument's neck on the floor of its pocket, mm and degrees.

    depth: the pocket's at the block's mouth. angle_deg: tilt of its floor, positive where the
    headstock leans back. thickness: from the floor to the board's playing face, a flat shim
    counted; None for the heel's own. Raises InputError for what no joint has."""

    instrument: Instrument
    depth: Annotated[float, mm(0.0, 100.0)]
    angle_deg: Annotated[float, between(-5.0, 10.0, "degrees")] = 0.0
    thickness: Annotated[float, over(200.0)] | None = None

    def __post_init__(self) -> None:
        if self.thickness is None:
            object.__setattr__(self, "thickness", float(self.instrument.neck.heel.thickness))

    @cached_property
    def _turn(self) -> tuple[float, float]:
        angle = math.radians(self.angle_deg)
        return math.cos(angle), math.sin(angle)

    @property
    def _crowns(self) -> float:
        """The plane of the frets' crowns over the floor."""
        assert self.thickness is not None
        return self.thickness + self.instrument.fret_height

    @cached_property
    def over_saddle(self) -> float:
        """mm of the strings (mean action) over the floor's plane at the scale line, square to
        it."""
        own = self.instrument
        return self._crowns + own.action12_treble + own.action12_bass - own.nut_action

    def point(self, along: float, y: float, over: float) -> Point3:
        """The body's (x, y, z) of a point of the neck, given in the neck's own frame."""
        c, s = self._turn
        x = along * c + (over - self.over_saddle) * s
        return x, y, -self.depth + (mouth_x(self.instrument.neck) - along) * s + over * c

    @property
    def end(self) -> Point3:
        """The middle of the block's bridge-side end on the pocket's floor."""
        return self.point(heel_end_x(self.instrument.neck), 0.0, 0.0)

    @property
    def mouth(self) -> Point3:
        """The middle of the block's mouth on the pocket's floor, the pivot of the neck angle."""
        return self.point(mouth_x(self.instrument.neck), 0.0, 0.0)

    @property
    def nut(self) -> Point3:
        """The middle of the nut on the board's playing face."""
        assert self.thickness is not None
        return self.point(self.instrument.neck.centre_scale, 0.0, self.thickness)

    @cached_property
    def block(self) -> Profile:
        """The heel block's plan on the floor. Its turn about the axis across shortens it by less
        than 0.004 of its length at 5 degrees, which is left out: the pocket's floor slopes too."""
        plan = heel_plan(self.instrument.neck.heel)
        return (plan.mirrored() if self.instrument.flipped else plan).moved(self.end[0], 0.0)

    @cached_property
    def board(self) -> Profile:
        """The fretboard's plan from its bridge-side end to the nut, taken at its underside."""
        return self.board_to(self.instrument.neck.centre_scale)

    def board_to(self, far: float) -> Profile:
        """The same from its bridge-side end to `far` mm along the neck."""
        end, neck = self.instrument.board_end, self.instrument.neck

        def corner(side: float, along: float) -> Point:
            return self.point(along, side * board_half_width(neck, along), self._under)[:2]

        half = board_half_width(neck, end.x)
        treble, bass = (corner(side, end.x_at(side * half)) for side in (-1.0, 1.0))
        return profile([treble, corner(-1.0, far), corner(1.0, far), bass], "the fretboard")

    @property
    def _under(self) -> float:
        """The fretboard's underside over the floor."""
        assert self.thickness is not None
        return self.thickness - self.instrument.neck.board_thickness

    def underside(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the fretboard's underside over plan points (m, 2), mm."""
        c, s = self._turn
        x0, _, z0 = self.point(0.0, 0.0, self._under)
        heights: np.ndarray = z0 - (points[:, 0] - x0) * s / c
        return heights

    def string(self, number_: int, x: float) -> Point3:
        """The open string of that number, 1 the treble, over the body at `x` mm."""
        line = self.instrument.lines[number_ - 1]
        along, over = self._at(x, *self._open(self.instrument.actions12[number_ - 1], line))
        return self.point(along, line.y_at(along), over)

    def pressed(self, number_: int, x: float, fret: float | None = None) -> Point3:
        """The same string pressed at a fret, None for the last: straight from the fret's crown to
        the saddle where it bears; on the crown for x on the nut's side of that fret."""
        own, k = self.instrument, number_ - 1
        line, n = own.lines[k], own.neck.frets if fret is None else fret
        crown, bears = line.saddle[0] + line.scale * remaining(n), own.saddle_points[k][0]
        over, slope = self._open(own.actions12[k], line)
        steep = (over + slope * bears - self._crowns) / (bears - crown)
        along, over = self._at(x, self._crowns - steep * crown, steep)
        if along > crown:
            along, over = self._at(x, self._crowns, 0.0)
        return self.point(along, line.y_at(along), over)

    def height(self, x: float) -> float:
        """mm of the strings (mean action), on the centreline, over the body's flat top at `x`."""
        own, scale = self.instrument, self.instrument.neck.centre_scale
        middle = StringLine(0, (scale, 0.0), (0.0, 0.0))
        action = (own.action12_treble + own.action12_bass) / 2.0
        along, over = self._at(x, *self._open(action, middle))
        return self.point(along, 0.0, over)[2]

    def _open(self, action: float, line: StringLine) -> tuple[float, float]:
        """How high an open string runs over the floor at along = 0, and its rise along the neck."""
        nut = self.instrument.nut_action
        rise = 2.0 * (nut - action) / line.scale
        return self._crowns + nut - rise * line.nut[0], rise

    def _at(self, x: float, over: float, rise: float) -> tuple[float, float]:
        """Where (along, over) a line that is `over` + `rise` times along over the floor passes
        `x`."""
        c, s = self._turn
        along = (number("x", x) - (over - self.over_saddle) * s) / (c + rise * s)
        return along, over + rise * along
