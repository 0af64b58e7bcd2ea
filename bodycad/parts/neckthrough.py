"""A neck that runs through the body: the body's core is the neck, and only wings are glued on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated

from bodycad.declare import Text, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.layout.interface import Core, Interface, Mass
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.neckjoint import Angle
from bodycad.parts.pocket import CHOICE, RodNotch
from bodycad.units import default
from bodycad.wood import Species, species
from bodycad.words import RoomKind


@dataclass(frozen=True)
@declared("a neck that runs through the body")
class NeckThrough:
    """A core with a wing glued to each side; its datum is the middle of the heel's bridge-side end,
    u toward the nut, as that of every neck.

        +--------------------------------+            rise: the fretboard's underside over the front
        |   wing                         |             where the neck leaves the body
        +- - - - - - - glue line - - - - +=======
        |   core            [ fretboard ...      ^ core: its width
        +- - - - - - - glue line - - - - +=======
        |   wing                         |
        +--------------------------------+
                            <-- heel -->         the heel: what of the neck lies over the body; its
                                                 widths are the fretboard's there

    angle_deg: how far the headstock leans back: the fretboard then rises toward the bridge, on wood
    of the core that stands over the front. The core is wood of the body, and species its own: it is
    in the blank, which `blank_round(..., core=66.0)` makes for it, and runs on past it as the neck;
    of a `Blank` its sides are `joints`. A neck through has no pocket, and the body's other parts
    are cut in it. rod: the notch behind the fretboard's end for a truss rod that is
    adjusted there."""

    heel: Heel
    board_thickness: Annotated[float, mm(2.0, 20.0)]
    core: Annotated[float, mm(20.0, 150.0)] = default(58.0, 0.2)
    rise: Annotated[float, mm(0.0, 30.0)] = field(default=0.0, metadata=CHOICE)
    angle_deg: Angle = field(default=0.0, metadata=CHOICE)
    species: Text | Species | None = field(default=None, metadata=CHOICE)
    rod: RodNotch | None = None

    def __post_init__(self) -> None:
        number("the fretboard's thickness", self.board_thickness, high=self.heel.thickness)
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))
        if self.rod:
            thing, high = "the truss rod's axis under the fretboard", self.heel.rod_depth
            number(thing, self.rod.under, high=high, remedy="it lies in the rod's channel")

    @property
    def joints(self) -> tuple[float, float]:
        """y of the core's two glue lines, for the blank, mm."""
        return -self.core / 2.0, self.core / 2.0

    def shared_sizes(self) -> dict[str, str]:
        """Heel and fretboard are those of the instrument's neck."""
        return {"heel.": "neck.heel.", "board_thickness": "neck.board_thickness"}

    @cached_property
    def board_profile(self) -> Profile:
        """The fretboard over the body in (u, v), as wide as the heel's sides carried on."""
        h = self.heel
        (treble, bass), mouth = h.corners(h.board_overlap), h.width_mouth / 2.0
        return profile([treble, (h.length, -mouth), (h.length, mouth), bass], "the fretboard")

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        if self.rod is None:
            return ()
        thing, remedy = "the depth of the notch for the truss rod", "use thicker stock"
        number(thing, self.rod.depth, high=thickness - 1.0, remedy=remedy)
        return (self.rod.cut(part, place, 0.0, 0.0),)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        turn, slope = math.radians(place.turn_deg), -math.tan(math.radians(self.angle_deg))
        tilt, mouth = (slope * math.cos(turn), slope * math.sin(turn)), self.heel.length
        plan = place.profile(self.board_profile)
        under = Prism(plan, self.rise, 100.0, tilt, place.point(mouth, 0.0))
        high = under.floor_range[1] + self.board_thickness
        board = Prism(plan, self.rise, high, tilt, place.point(mouth, 0.0))
        found = (Room(f"{part}.board", part, RoomKind.BOARD, board),)
        if self.rod is None:
            return found
        end = float(under.floor(*place.point(0.0, 0.0)))
        return *found, *self.rod.solids(part, place, end)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        end = (*place.point(self.heel.length, 0.0), float(self.rise))
        board, wide = f"{part}.board", self.core
        core = Core(part=part, board=board, width=wide, end=end, species=self.species)
        tool = (self.rod.way(part), self.rod.bought(part)) if self.rod else ()
        return core, *tool, Mass(part=part, kg=0.0, at=end)
