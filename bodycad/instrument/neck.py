"""The neck as the body sees it: scale, fretboard outline and the heel that fills the pocket."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated, Literal

from bodycad.declare import between, declared, mm
from bodycad.errors import InputError, number
from bodycad.instrument.scale import MOST_FRETS, Scale, remaining
from bodycad.units import default

Corner = tuple[float, float]


@dataclass(frozen=True)
@declared("the heel")
class Heel:
    """The block that sits in the pocket, mm.

              nut side                    bridge side
        -------+------------------------------+
               |                               )  corner = radius of these two corners (0 = square)
         width_mouth          length       width_end
               |                               )
        -------+------------------------------+  -> the board may run on by board_overlap

        thickness: flat bottom of the heel to the playing face of the board, board included.
        The truss-rod channel is rod_width wide and rod_depth deep below the board's underside.
        slant_deg: of the bridge-side end off square, as fanned frets want it: positive where its
        bass corner lies nearer the bridge; the length is told on the centreline.
        rod_at_heel: the rod is adjusted at this end, so that the body needs a notch for its tool.

    Defaults are common practice, no source; a heel is measured, never assumed."""

    width_mouth: Annotated[float, mm(20.0, 150.0)] = default(54.0, 0.4)
    width_end: Annotated[float, mm(20.0, 150.0)] = default(56.0, 0.4)
    length: Annotated[float, mm(20.0, 300.0)] = default(76.0, 3.0)
    thickness: Annotated[float, mm(10.0, 60.0)] = default(25.4, 0.8)
    corner: Annotated[float, mm(0.0, 75.0)] = default(0.0)
    rod_width: Annotated[float, mm(0.0, 40.0)] = default(6.4)
    rod_depth: Annotated[float, mm(0.0, 60.0)] = default(9.5)
    board_overlap: Annotated[float, mm(0.0, 100.0)] = default(0.0)
    slant_deg: Annotated[float, between(-30.0, 30.0, "degrees")] = default(0.0)
    rod_at_heel: bool = field(default=False, metadata={"size": False})

    def __post_init__(self) -> None:
        half = min(self.width_end / 2.0, self.length)
        number("the heel's corner radius", self.corner, high=half)
        half = min(self.width_mouth, self.width_end) / 2.0
        number("the truss-rod channel's width", self.rod_width, high=half)
        number("the truss-rod channel's depth", self.rod_depth, high=self.thickness)

    @property
    def taper(self) -> float:
        """How much wider the block gets for each mm toward the nut; negative where it narrows."""
        return (self.width_mouth - self.width_end) / self.length

    def corners(self, past: float = 0.0, wider: float = 0.0) -> tuple[Corner, Corner]:
        """(u, v) of the treble and the bass corner of the bridge-side end, of a block that reaches
        `past` mm farther and is `wider` mm wider, mm."""
        slant, taper = math.tan(math.radians(self.slant_deg)), self.taper
        width = self.width_end + wider - taper * past
        treble, bass = -width / (2.0 - taper * slant), width / (2.0 + taper * slant)
        return (-past - slant * treble, treble), (-past - slant * bass, bass)


@dataclass(frozen=True)
@declared("the neck")
class Neck:
    """A neck, mm. `scale` is one length, or (treble, bass) for fanned frets.

    Scales are nut to saddle line, parallel to the centreline. `nut_width` is the board's width at
    the nut, `nut_spread` the outer string centres there, `width_at_last_fret` the board's width on
    the last fret and `overhang` the board beyond it, both on the centreline. Fanned necks have
    fret `straight_fret` square to the centreline; their board ends parallel to the last fret
    (`board_end="fret"`) or square across (`"square"`). Raises InputError when the numbers clash."""

    scale: Scale | tuple[Scale, Scale]
    frets: Annotated[int, between(1, MOST_FRETS)] = field(metadata={"size": False})
    nut_width: Annotated[float, mm(20.0, 150.0)]
    nut_spread: Annotated[
        float, mm(1.0, 150.0), "it is measured between the centres of the outer strings"
    ]
    width_at_last_fret: Annotated[float, mm(20.0, 200.0)]
    heel: Heel = Heel()
    overhang: Annotated[float, mm(0.0, 60.0)] = default(5.0)
    board_thickness: Annotated[float, mm(2.0, 20.0)] = default(6.4)
    straight_fret: Annotated[float, between(0.0, MOST_FRETS)] = field(
        default=7.0, metadata={"size": False}
    )
    board_end: Literal["fret", "square"] = field(default="fret", metadata={"size": False})

    def __post_init__(self) -> None:
        if isinstance(self.scale, tuple) and self.scale[0] > self.scale[1]:
            allowed = "(treble, bass) with treble at most bass"
            raise InputError("the pair of scales", self.scale, allowed, "Swap the two.")
        remedy = "it is measured between the centres of the outer strings"
        thing = "the string spread at the nut"
        number(thing, self.nut_spread, high=self.nut_width, remedy=remedy)
        shaft = self.heel.thickness - self.board_thickness
        thing = "the heel's wood under the board"
        number(thing, shaft, above=0, remedy="the heel's thickness includes the board")
        remedy = "it would come out at the heel's bottom; 0 when the channel ends before the heel"
        number("the truss-rod channel's depth", self.heel.rod_depth, 0, shaft, remedy=remedy)

    @property
    def treble_scale(self) -> float:
        """Scale in mm on the treble side."""
        return self.scale[0] if isinstance(self.scale, tuple) else self.scale

    @property
    def bass_scale(self) -> float:
        """Scale in mm on the bass side."""
        return self.scale[1] if isinstance(self.scale, tuple) else self.scale

    @property
    def centre_scale(self) -> float:
        """Scale in mm on the centreline: also the x of the nut there."""
        return (self.treble_scale + self.bass_scale) / 2.0


def last_fret_x(neck: Neck) -> float:
    """x in mm of the last fret on the centreline: its distance from the saddle line."""
    return neck.centre_scale * remaining(neck.frets)


@declared()
def board_end_x(neck: Neck) -> float:
    """x in mm of the board's bridge-side end on the centreline."""
    return last_fret_x(neck) - neck.overhang


@declared()
def heel_end_x(neck: Neck) -> float:
    """x in mm of the heel's bridge-side end face."""
    return board_end_x(neck) + neck.heel.board_overlap


@declared()
def mouth_x(neck: Neck) -> float:
    """x in mm of the pocket's mouth (the heel's nut-side end), the pivot of the neck angle."""
    return heel_end_x(neck) + neck.heel.length


def board_half_width(neck: Neck, x: float) -> float:
    """Half the board's width in mm at `x`: the straight taper from nut to last fret, continued."""
    last, nut = last_fret_x(neck), neck.centre_scale
    share = (nut - number("x", x)) / (nut - last)
    return (neck.nut_width + (neck.width_at_last_fret - neck.nut_width) * share) / 2.0
