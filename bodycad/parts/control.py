"""Controls that hang from the front inside a back cavity: pots and toggles."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

from bodycad.errors import numbers
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Bush, Fit, Interface, Mass, Sweep, Terminal
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.units import default
from bodycad.words import Face, FitKind, Operation, RoomKind, SweepKind, Wire

CHOICE = {"size": False}
SIZES = "panel hole bush thread depth knob"
NUT_AND_WASHER = 4.0
"""Length of a bush taken up by its nut and washer, mm (common practice, no source)."""
WASHER = 4.0
"""How far the washer reaches beyond the hole, mm (common practice, no source)."""


class Control:
    """What pots and toggles share: a hole through the `panel` of wood over the cavity they hang in.

    Subclasses are dataclasses with `cavity` (id of the placed cavity), `panel` (wood between the
    front and the cavity, mm), `hole`, `bush`, `depth`, `knob` and `thread` (outside diameter of the
    bush), a `can` profile and their mass in `kg`."""

    cavity: str
    panel: float
    hole: float
    bush: float
    depth: float
    knob: float
    thread: float
    kg: ClassVar[float]

    @property
    def can(self) -> Profile:
        """The plan of what hangs in the cavity, about the bush."""
        raise NotImplementedError

    @property
    def clamps(self) -> float:
        """The thickest wood the bush can clamp, mm."""
        return self.bush - NUT_AND_WASHER

    def fitted(self, part: str, drawn: Control, made: Made) -> Control:
        """This control in the hole drawn, under the wood that the cavity left."""
        panel = drawn.panel + made.thicker - made.depth(f"{self.cavity}.cavity")
        own: Any = self
        fitted: Control = replace(own, hole=drawn.hole, panel=panel)
        return fitted

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        name = f"{part}.hole"
        hole = bore((place.x, place.y, 0.0), (0, 0, -1), self.hole, self.panel, name=name)
        front, into = frozenset({Face.FRONT}), frozenset({f"{self.cavity}.cavity"})
        return (Void(name, part, Face.FRONT, Operation.BORE, hole, front, into),)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        cavity, can, kind = f"{self.cavity}.cavity", f"{part}.can", FitKind.CONTROL
        return (
            Bush(
                part=part,
                hole=f"{part}.hole",
                under=cavity,
                at=(place.x, place.y, 0.0),
                clamps=self.clamps,
                washer=self.hole / 2.0 + WASHER,
                diameter=self.thread,
            ),
            Fit(part=part, kind=kind, name="can", room=can, outer=cavity, hangs=True),
            Sweep(part=part, kind=SweepKind.HAND, room=f"{part}.knob"),
            Terminal(part=part, kind=Wire.SIGNAL, voids=hollows(piece, self.cavity)),
            Mass(part=part, kg=self.kg),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        can = Prism(place.profile(self.can), -self.panel - self.depth, -self.panel)
        knob = bore((place.x, place.y, 1.0), (0, 0, 1), self.knob, 16.0)
        return (
            Room(f"{part}.can", part, RoomKind.CAN, can),
            Room(f"{part}.knob", part, RoomKind.KNOB, knob),
        )


@dataclass(frozen=True)
class Pot(Control):
    """A potentiometer; its datum is the axis of its shaft.
              | |  shaft
           +--+-+--+  bush: threaded length, thread: its outside diameter
    =======+       +======= panel (wood), hole
        +--+-------+--+  ^
        |     can     |  | depth: panel to the lowest lug
        +-------------+  v
        <- can_diameter ->          knob: the knob's diameter
    """

    cavity: str = field(metadata=CHOICE)
    panel: float = field(metadata=CHOICE)
    can_diameter: float = default(24.0, 0.2)
    depth: float = default(15.0, 1.0)
    bush: float = default(9.5, 0.3)
    hole: float = default(9.6)
    knob: float = default(19.0, 0.5)
    thread: float = default(9.4, 0.1)  # a 3/8-32 UNEF thread: 9.35 to 9.50 (ASME B1.1, from memory)
    kg: ClassVar[float] = 0.05

    def __post_init__(self) -> None:
        numbers("a pot's", self, f"{SIZES} can_diameter", above=0.0)

    @property
    def can(self) -> Profile:
        """The can's plan about the shaft."""
        return circle(self.can_diameter)


@dataclass(frozen=True)
class Toggle(Control):
    """A three-way toggle: a long narrow frame under a round bush.

    <---- length ---->   ^
    [       (o)      ]   | width         depth: panel to the lowest lug
                         v               thread: outside diameter of its bush
    """

    cavity: str = field(metadata=CHOICE)
    panel: float = field(metadata=CHOICE)
    length: float = default(40.0, 1.0)
    width: float = default(17.0, 0.5)
    depth: float = default(30.0, 1.0)
    bush: float = default(11.0, 0.5)
    hole: float = default(12.7)
    knob: float = default(12.0, 1.0)
    thread: float = default(11.8, 0.1)  # 15/32-32 UNS: 11.73 to 11.88 (ASME B1.1, from memory)
    kg: ClassVar[float] = 0.04

    def __post_init__(self) -> None:
        numbers("a toggle's", self, f"{SIZES} length width", above=0.0)

    @property
    def can(self) -> Profile:
        """The frame's plan about the bush, long along u."""
        return rectangle(self.length, self.width, 1.0)
