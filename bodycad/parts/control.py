"""Controls that hang from the front inside a back cavity: pots and toggles."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated, Any, ClassVar

from bodycad.declare import Id, declared, mm, over
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
Panel = Annotated[float, over(100.0)]
Bushing = Annotated[float, mm(0.5, 100.0)]
Hole = Annotated[float, mm(1.0, 50.0)]
Knob = Annotated[float, mm(2.0, 150.0)]
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
@declared()
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

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    can_diameter: Annotated[float, mm(2.0, 100.0)] = default(24.0, 0.2)
    depth: Annotated[float, mm(1.0, 100.0)] = default(15.0, 1.0)
    bush: Bushing = default(9.5, 0.3)
    hole: Hole = default(9.6)
    knob: Knob = default(19.0, 0.5)
    thread: Hole = default(9.4, 0.1)  # a 3/8-32 UNEF thread: 9.35 to 9.50 (ASME B1.1, from memory)
    kg: ClassVar[float] = 0.05

    @property
    def can(self) -> Profile:
        """The can's plan about the shaft."""
        return circle(self.can_diameter)


@dataclass(frozen=True)
@declared()
class Toggle(Control):
    """A three-way toggle: a long narrow frame under a round bush.

    <---- length ---->   ^
    [       (o)      ]   | width         depth: panel to the lowest lug
                         v               thread: outside diameter of its bush
    """

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Annotated[float, mm(2.0, 150.0)] = default(40.0, 1.0)
    width: Annotated[float, mm(2.0, 100.0)] = default(17.0, 0.5)
    depth: Annotated[float, mm(1.0, 100.0)] = default(30.0, 1.0)
    bush: Bushing = default(11.0, 0.5)
    hole: Hole = default(12.7)
    knob: Knob = default(12.0, 1.0)
    thread: Hole = default(11.8, 0.1)  # 15/32-32 UNS: 11.73 to 11.88 (ASME B1.1, from memory)
    kg: ClassVar[float] = 0.04

    @property
    def can(self) -> Profile:
        """The frame's plan about the bush, long along u."""
        return rectangle(self.length, self.width, 1.0)
