"""A blade switch: a long narrow body under a slot, held by two machine screws."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, ClassVar

from bodycad.declare import Id, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import circle, rectangle, slot
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.interface import Interface, Screw
from bodycad.layout.place import Place
from bodycad.layout.void import Room
from bodycad.parts.control import CHOICE, Control, Panel
from bodycad.units import default
from bodycad.words import HeadForm, RoomKind

Thin = Annotated[float, mm(0.2, 20.0)]
Long = Annotated[float, mm(2.0, 150.0)]
INTO = 3.0
"""How far the lever goes on below its panel, mm."""


@dataclass(frozen=True)
@declared()
class BladeSwitch(Control):
    """A blade switch (a lever switch of three or five ways); datum: the middle of its slot.

                  <----- screw_span ----->
           screw  o    ==== slot ====    o         the slot: slot_length by slot_width along u
                        <- throw ->                knob: width of the lever's tip

                             |  lever_height over the panel; lever: its thickness
        ======|:|============|===========|:|====== panel
            +-|:|------------+-----------|:|-+  ^  frame: thickness of its tapped frame
            |                                |  |
            |       body, width across       |  |  depth: panel to the lowest lug
            +--------------------------------+  v
            <------------- length ----------->

    screw: outside diameter of its machine screws; screw_hole: of their holes in the panel; head: of
    their countersunk heads; screw_length: over all. guard: as of a `Pot`."""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Long = default(57.0, 1.0)
    width: Long = default(16.0, 1.0)
    depth: Annotated[float, mm(1.0, 100.0)] = default(35.0, 1.0)
    slot_length: Long = default(27.0)
    slot_width: Thin = default(1.6)
    throw: Long = default(24.0, 1.0)
    lever: Thin = default(1.0, 0.1)
    lever_height: Annotated[float, mm(1.0, 60.0)] = default(9.0, 1.0)
    knob: Annotated[float, mm(2.0, 150.0)] = default(8.0, 1.0)
    screw_span: Long = default(41.3, 0.2)
    screw: Annotated[float, mm(0.5, 12.0)] = default(3.0, 0.1)
    screw_hole: Annotated[float, mm(0.5, 15.0)] = default(3.5)
    screw_length: Annotated[float, mm(1.0, 80.0)] = default(8.0, 0.3)
    head: Annotated[float, mm(0.5, 25.0)] = default(5.5, 0.2)
    frame: Thin = default(1.2, 0.1)
    guard: Id | None = field(default=None, metadata=CHOICE, kw_only=True)
    kg: ClassVar[float] = 0.04
    WHAT: ClassVar[str] = "blade switch with its tip"
    ITS_OWN: ClassVar[tuple[RoomKind, ...]] = (RoomKind.CAN, RoomKind.KNOB, RoomKind.PART)

    def __post_init__(self) -> None:
        number("a blade switch's slot_length", self.slot_length, low=self.slot_width)
        number("a blade switch's screw_span", self.screw_span, high=self.length)

    @property
    def openings_of(self) -> dict[str, float]:
        """The sizes that its panel is cut to."""
        names = "slot_length", "slot_width", "screw_hole", "screw_span"
        return {name: getattr(self, name) for name in names}

    @property
    def told(self) -> tuple[tuple[str, float], ...]:
        return ("length", self.length), ("screws apart", self.screw_span), ("depth", self.depth)

    @property
    def can(self) -> Profile:
        """The body's plan about the slot, long along u."""
        return rectangle(self.length, self.width, 1.0)

    @property
    def cutouts(self) -> tuple[tuple[str, Profile], ...]:
        """The slot and the holes of both screws."""
        u = self.screw_span / 2.0
        holes = (
            (f"screw.{k}", circle(self.screw_hole, end, 0.0)) for k, end in enumerate((u, -u), 1)
        )
        return ("slot", slot(self.slot_length, self.slot_width)), *holes

    def held(self, part: str, place: Place) -> tuple[Interface, ...]:
        """Two machine screws, tapped into its frame."""
        u = self.screw_span / 2.0
        return tuple(
            Screw(
                part=part,
                number=k,
                hole=f"{part}.screw.{k}",
                free=f"{part}.screw.{k}" if self.guard else None,
                at=place.at(end, 0.0, self.top),
                way=(0.0, 0.0, -1.0),
                flange=self.head,
                thread=self.screw,
                reach=self.screw_length,
                length=self.screw_length,
                grip=self.frame,
                bites=f"{part}.can",
                head=HeadForm.COUNTERSUNK,
            )
            for k, end in enumerate((u, -u), 1)
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The body, the lever where it swings, and its tip."""
        blade = place.profile(rectangle(self.throw, self.lever))
        low, high = place.z + self.under - INTO, place.z + self.top + self.lever_height
        lever = Room(f"{part}.lever", part, RoomKind.PART, Prism(blade, low, high))
        return *super().rooms(part, place, thickness), lever

    def grip(self, place: Place) -> Shape:
        """The lever's tip over its throw."""
        plan = place.profile(slot(self.throw + self.knob, self.knob))
        low = place.z + self.top + self.lever_height
        return Prism(plan, low, low + 8.0)
