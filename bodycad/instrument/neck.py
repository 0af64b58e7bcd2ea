"""The neck as the body sees it: scale, fretboard outline and the heel that fills the pocket."""

from __future__ import annotations

from dataclasses import dataclass, field

from bodycad.errors import InputError, number
from bodycad.instrument.scale import MOST_FRETS, remaining, scale_length, whole
from bodycad.units import default


@dataclass(frozen=True)
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

    Defaults are common practice, no source; a heel is measured, never assumed."""

    width_mouth: float = default(56.0, 0.4)
    width_end: float = default(56.0, 0.4)
    length: float = default(76.0, 3.0)
    thickness: float = default(25.4, 0.8)
    corner: float = default(0.0)
    rod_width: float = default(6.4)
    rod_depth: float = default(9.5)
    board_overlap: float = default(0.0)

    def __post_init__(self) -> None:
        number("the heel's width at the mouth", self.width_mouth, 20, 150)
        number("the heel's width at its end", self.width_end, 20, 150)
        number("the heel's length", self.length, 20, 300)
        number("the heel's thickness", self.thickness, 10, 60)
        number("the heel's corner radius", self.corner, 0, min(self.width_end / 2, self.length))
        thing = "the truss-rod channel's width"
        number(thing, self.rod_width, 0, min(self.width_mouth, self.width_end) / 2)
        number("the truss-rod channel's depth", self.rod_depth, 0, self.thickness)
        number("the board's overlap past the heel", self.board_overlap, 0, 100)


@dataclass(frozen=True)
class Neck:
    """A neck, mm. `scale` is one length, or (treble, bass) for fanned frets.

    Scales are nut to saddle line, parallel to the centreline. `nut_width` is the board's width at
    the nut, `nut_spread` the outer string centres there, `width_at_last_fret` the board's width on
    the last fret and `overhang` the board beyond it, both on the centreline. Fanned necks have
    fret `straight_fret` square to the centreline; their board ends parallel to the last fret
    (`board_end="fret"`) or square across (`"square"`). Raises InputError when the numbers clash."""

    scale: float | tuple[float, float]
    frets: int = field(metadata={"size": False})
    nut_width: float
    nut_spread: float
    width_at_last_fret: float
    heel: Heel = Heel()
    overhang: float = default(5.0)
    board_thickness: float = default(6.4)
    straight_fret: float = field(default=7.0, metadata={"size": False})
    board_end: str = field(default="fret", metadata={"size": False})

    def __post_init__(self) -> None:
        if isinstance(self.scale, (tuple, list)):
            if len(self.scale) != 2:
                allowed = "one length, or (treble, bass) for fanned frets"
                raise InputError("the scale", self.scale, allowed)
            object.__setattr__(self, "scale", tuple(self.scale))
            scale_length(self.scale[0], "the treble scale")
            scale_length(self.scale[1], "the bass scale")
            if self.scale[0] > self.scale[1]:
                allowed = "(treble, bass) with treble at most bass"
                raise InputError("the pair of scales", self.scale, allowed, "Swap the two.")
        else:
            scale_length(self.scale)
        object.__setattr__(self, "frets", whole("the number of frets", self.frets, 1, MOST_FRETS))
        number("the nut width", self.nut_width, 20, 150)
        thing = "the string spread at the nut"
        remedy = "it is measured between the centres of the outer strings"
        number(thing, self.nut_spread, above=0, high=self.nut_width, remedy=remedy)
        number("the board's width at the last fret", self.width_at_last_fret, 20, 200)
        number("the board's overhang", self.overhang, 0, 60)
        number("the board's thickness", self.board_thickness, 2, 20)
        number("the straight fret", self.straight_fret, 0, MOST_FRETS)
        if self.board_end not in ("fret", "square"):
            raise InputError("board_end", self.board_end, '"fret" or "square"')
        if not isinstance(self.heel, Heel):
            raise InputError("heel", self.heel, "a Heel(...)")
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


def board_end_x(neck: Neck) -> float:
    """x in mm of the board's bridge-side end on the centreline."""
    return last_fret_x(neck) - neck.overhang


def heel_end_x(neck: Neck) -> float:
    """x in mm of the heel's bridge-side end face."""
    return board_end_x(neck) + neck.heel.board_overlap


def mouth_x(neck: Neck) -> float:
    """x in mm of the pocket's mouth (the heel's nut-side end), the pivot of the neck angle."""
    return heel_end_x(neck) + neck.heel.length


def board_half_width(neck: Neck, x: float) -> float:
    """Half the board's width in mm at `x`: the straight taper from nut to last fret, continued."""
    last, nut = last_fret_x(neck), neck.centre_scale
    share = (nut - number("x", x)) / (nut - last)
    return (neck.nut_width + (neck.width_at_last_fret - neck.nut_width) * share) / 2.0
