"""Controls: they hang in a cavity from the wood over it, or from a guard over a route."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Annotated, Any, ClassVar

from bodycad.declare import Id, declared, mm, over
from bodycad.errors import number
from bodycad.geometry.plane.build import circle, rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Shape
from bodycad.layout.interface import Bush, Fit, Hardware, Interface, Mass, Sweep, Terminal
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.cavity import hollows
from bodycad.units import default
from bodycad.words import SIDES, Face, FitKind, Operation, RoomKind, SweepKind, Wire

CHOICE = {"size": False}
Half = Annotated[float, mm(1.0, 100.0)]
Panel = Annotated[float, over(100.0)]
Bushing = Annotated[float, mm(0.5, 100.0)]
Hole = Annotated[float, mm(1.0, 50.0)]
Knob = Annotated[float, mm(2.0, 150.0)]
NUT_AND_WASHER = 4.0
"""Length of a bush taken up by its nut and washer, mm (common practice, no source)."""
WASHER = 4.0
"""How far the washer reaches beyond the hole, mm (common practice, no source)."""


class Control:
    """What controls share: their openings through a panel, and what hangs from it in a cavity.

    Subclasses are dataclasses with `cavity` (id of the placed cavity), `panel` (wood between the
    front and the cavity, or the thickness of the guard, mm), `guard` (id of the placed guard that
    it hangs from, None where it hangs from the wood), `hole`, `bush`, `depth`, `knob` and `thread`
    (outside diameter of the bush), a `can` profile and their mass in `kg`. WHAT: what it is bought
    as; ITS_OWN: the kinds of its rooms that come with it, a knob where it needs none."""

    cavity: str
    panel: float
    hole: float
    bush: float
    depth: float
    knob: float
    thread: float
    guard: str | None
    kg: ClassVar[float]
    WHAT: ClassVar[str]
    ITS_OWN: ClassVar[tuple[RoomKind, ...]] = (RoomKind.CAN,)

    @property
    def can(self) -> Profile:
        """The plan of what hangs in the cavity, about the bush."""
        raise NotImplementedError

    @property
    def blocks(self) -> tuple[tuple[str, Profile, float], ...]:
        """What hangs in the cavity: word, plan about the bush, and depth under the panel."""
        return (("can", self.can, self.depth),)

    @property
    def cutouts(self) -> tuple[tuple[str, Profile], ...]:
        """The openings through the panel: word and plan about the datum; a circle is drilled."""
        return (("hole", circle(self.hole)),)

    @property
    def clamps(self) -> float:
        """The thickest wood or guard the bush can clamp, mm."""
        return self.bush - NUT_AND_WASHER

    @property
    def top(self) -> float:
        """Height of what is clamped over the face, mm: of a guard its thickness."""
        return self.panel if self.guard else 0.0

    @property
    def under(self) -> float:
        """Height of its underside over the face, mm."""
        return self.top - self.panel

    def fitted(self, part: str, drawn: Control, made: Made) -> Control:
        """This control in the hole drawn, under the wood that the cavity left."""
        panel = drawn.panel
        if self.guard is None:
            panel = drawn.panel + made.thicker - made.depth(f"{self.cavity}.cavity")
        own: Any = self
        fitted: Control = replace(own, panel=panel, **drawn.openings_of)
        return fitted

    @property
    def openings_of(self) -> dict[str, float]:
        """The sizes that its panel is cut to, by name."""
        return {"hole": self.hole}

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        """The openings in the wood; a control on a guard has none there."""
        if self.guard is not None:
            return ()
        front, into = frozenset({Face.FRONT}), frozenset({f"{self.cavity}.cavity"})
        return self._cut(part, place.profile, place.below(self.panel), front, into)

    def openings(self, part: str, place: Place, piece: Workpiece) -> tuple[Void, ...]:
        """The openings in the guard that it hangs from."""
        if self.guard is None or piece.id != f"{self.guard}.plate":
            return ()

        def own(plan: Profile) -> Profile:
            return piece.frame.own_profile(place.profile(plan))

        return self._cut(part, own, piece.thickness, frozenset(SIDES), frozenset())

    def _cut(
        self,
        part: str,
        placed: Callable[[Profile], Profile],
        depth: float,
        opens: frozenset[Face],
        into: frozenset[str],
    ) -> tuple[Void, ...]:
        found = []
        for word, local in self.cutouts:
            name, plan, front = f"{part}.{word}", placed(local), Face.FRONT
            if plan.circle:
                (x, y), radius = plan.circle
                hole = bore((x, y, 0.0), (0, 0, -1), 2.0 * radius, depth, name=name)
                found.append(Void(name, part, front, Operation.BORE, hole, opens, into))
            else:
                slot = Prism(plan, -depth, 0.0)
                found.append(Void(name, part, front, Operation.POCKET, slot, opens, into))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return (
            *self.held(part, place),
            *self.hung(part),
            Sweep(part=part, kind=SweepKind.HAND, room=f"{part}.knob"),
            Terminal(part=part, kind=Wire.SIGNAL, voids=hollows(piece, self.cavity)),
            Mass(part=part, kg=self.kg),
            *self.bought(part),
        )

    def bought(self, part: str) -> Iterator[Hardware]:
        """The control as it is bought, and its knob."""
        yield Hardware(part=part, what=self.WHAT, fills=self.ITS_OWN, sizes=self.told)
        if RoomKind.KNOB not in self.ITS_OWN:
            sizes = (("diameter", self.knob),)
            yield Hardware(part=part, what="knob", fills=(RoomKind.KNOB,), sizes=sizes)

    @property
    def told(self) -> tuple[tuple[str, float], ...]:
        """What to look for when it is bought: its bush, and how deep it is."""
        return ("bush", self.thread), ("bush length", self.bush), ("depth", self.depth)

    def held(self, part: str, place: Place) -> tuple[Interface, ...]:
        """What holds it to its panel: a bush."""
        return (
            Bush(
                part=part,
                hole=f"{part}.hole",
                under=None if self.guard else f"{self.cavity}.cavity",
                at=place.at(0.0, 0.0, self.top),
                clamps=self.clamps,
                washer=self.hole / 2.0 + WASHER,
                diameter=self.thread,
            ),
        )

    def hung(self, part: str) -> Iterator[Interface]:
        """The fit of what hangs in the cavity."""
        for name, _, _ in self.blocks:
            yield Fit(
                part=part,
                kind=FitKind.CONTROL,
                name=name,
                room=f"{part}.{name}",
                outer=f"{self.cavity}.cavity",
                hangs=True,
                plate=f"{self.guard}.plate" if self.guard else None,
            )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        high = place.z + self.under
        return (
            *(
                Room(
                    f"{part}.{name}",
                    part,
                    RoomKind.CAN,
                    Prism(place.profile(plan), high - depth, high),
                )
                for name, plan, depth in self.blocks
            ),
            Room(f"{part}.knob", part, RoomKind.KNOB, self.grip(place)),
        )

    def grip(self, place: Place) -> Shape:
        """What the hand takes hold of, over the panel."""
        return bore(place.at(0.0, 0.0, self.top + 1.0), (0, 0, 1), self.knob, 16.0)


@dataclass(frozen=True)
@declared()
class Pot(Control):
    """A potentiometer, full size (24 mm); its datum is the axis of its shaft.
              | |  shaft
           +--+-+--+  bush: threaded length; thread: outside diameter of the bush
    =======+       +======= panel (wood), hole
        +--+-------+--+  ^
        |     can     |  | depth: panel to the lowest lug
        +-------------+  v
        <- can_diameter ->          knob: the knob's diameter

    guard: the placed guard that it hangs from; `panel` is then the guard's thickness, and `cavity`
    the route under it."""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    can_diameter: Annotated[float, mm(2.0, 100.0)] = default(24.0, 0.2)
    depth: Annotated[float, mm(1.0, 100.0)] = default(15.0, 1.0)
    bush: Bushing = default(9.5, 0.3)
    hole: Hole = default(9.6)
    knob: Knob = default(19.0, 0.5)
    thread: Hole = default(9.4, 0.1)  # a 3/8-32 UNEF thread: 9.35 to 9.50 (ASME B1.1, from memory)
    guard: Id | None = field(default=None, metadata=CHOICE, kw_only=True)
    kg: ClassVar[float] = 0.05
    WHAT: ClassVar[str] = "potentiometer"

    @property
    def told(self) -> tuple[tuple[str, float], ...]:
        """Its can, and what every control tells."""
        return ("can", self.can_diameter), *super().told

    @property
    def can(self) -> Profile:
        """The can's plan about the shaft."""
        return circle(self.can_diameter)


@dataclass(frozen=True)
@declared()
class SmallPot(Pot):
    """A small potentiometer (16 mm), with a metric bush.

           +--+-+--+  bush, thread (M7), hole
    =======+       +======= panel
          +-+-----+-+  ^
          |   can   |  | depth
          +---------+  v
          <--------->  can_diameter      knob
    """

    can_diameter: Annotated[float, mm(2.0, 100.0)] = default(16.5, 0.3)
    depth: Annotated[float, mm(1.0, 100.0)] = default(13.0, 1.0)
    bush: Bushing = default(8.0, 0.5)
    hole: Hole = default(7.5)
    thread: Hole = default(7.0, 0.1)
    kg: ClassVar[float] = 0.02
    WHAT: ClassVar[str] = "potentiometer"


@dataclass(frozen=True)
@declared()
class Rotary(Pot):
    """A rotary switch; its locating pin is filed off or let into the panel by hand.

              | |  shaft
           +--+-+--+  bush, thread, hole
    =======+       +======= panel
       +---+-------+---+  ^
       |      can      |  | depth: panel to the lowest lug
       +---------------+  v
       <- can_diameter ->         knob
    """

    can_diameter: Annotated[float, mm(2.0, 100.0)] = default(28.0, 0.5)
    depth: Annotated[float, mm(1.0, 100.0)] = default(24.0, 1.0)
    kg: ClassVar[float] = 0.05
    WHAT: ClassVar[str] = "rotary switch"


@dataclass(frozen=True)
@declared()
class PushPull(Pot):
    """A potentiometer with a switch under it, worked by pulling its knob up.

              | |  shaft, pull: how far the knob comes up
           +--+-+--+  bush, thread, hole
    =======+       +======= panel
        +--+-------+--+   ^ can_depth  ^
        |     can     |   v            |
        +-+---------+-+                | depth: panel to the lowest lug
          | switch  |                  |
          +---------+                  v
          switch_length (along u) by switch_width
    """

    depth: Annotated[float, mm(1.0, 100.0)] = default(30.0, 1.0)
    bush: Bushing = default(11.0, 0.5)
    can_depth: Annotated[float, mm(1.0, 100.0)] = default(11.0, 1.0)
    switch_length: Half = default(22.0, 0.5)
    switch_width: Half = default(15.0, 0.5)
    pull: Annotated[float, mm(0.5, 30.0)] = default(7.0, 1.0)
    kg: ClassVar[float] = 0.06
    WHAT: ClassVar[str] = "potentiometer with a switch that its knob pulls"

    def __post_init__(self) -> None:
        number("a push-pull's can_depth", self.can_depth, high=self.depth)

    @property
    def blocks(self) -> tuple[tuple[str, Profile, float], ...]:
        """The can, and the switch that reaches below it."""
        switch = rectangle(self.switch_length, self.switch_width, 1.0)
        return ("can", self.can, self.can_depth), ("switch", switch, self.depth)

    def grip(self, place: Place) -> Shape:
        """The knob, pushed and pulled."""
        return super().grip(place).stretched(0.0, self.pull)


@dataclass(frozen=True)
@declared()
class Toggle(Control):
    """A three-way toggle: a long narrow frame under a round bush.

    <---- length ---->   ^
    [       (o)      ]   | width         depth: panel to the lowest lug
                         v               thread: outside diameter of its bush

    guard: as of a `Pot`."""

    cavity: Id = field(metadata=CHOICE)
    panel: Panel = field(metadata=CHOICE)
    length: Annotated[float, mm(2.0, 150.0)] = default(40.0, 1.0)
    width: Annotated[float, mm(2.0, 100.0)] = default(17.0, 0.5)
    depth: Annotated[float, mm(1.0, 100.0)] = default(30.0, 1.0)
    bush: Bushing = default(11.0, 0.5)
    hole: Hole = default(12.7)
    knob: Knob = default(12.0, 1.0)
    thread: Hole = default(11.8, 0.1)  # 15/32-32 UNS: 11.73 to 11.88 (ASME B1.1, from memory)
    guard: Id | None = field(default=None, metadata=CHOICE, kw_only=True)
    kg: ClassVar[float] = 0.04
    WHAT: ClassVar[str] = "three-way toggle with its tip"
    ITS_OWN: ClassVar[tuple[RoomKind, ...]] = (RoomKind.CAN, RoomKind.KNOB)

    @property
    def can(self) -> Profile:
        """The frame's plan about the bush, long along u."""
        return rectangle(self.length, self.width, 1.0)


@dataclass(frozen=True)
@declared()
class MiniToggle(Toggle):
    """A small toggle with a bat lever: a short case under a round bush.

    <- length ->   ^
    [   (o)    ]   | width        depth: panel to the lowest lug
                   v              thread: outside diameter of its bush; knob: the lever's sweep
    """

    length: Annotated[float, mm(2.0, 150.0)] = default(13.2, 0.3)
    width: Annotated[float, mm(2.0, 100.0)] = default(12.7, 0.3)
    depth: Annotated[float, mm(1.0, 100.0)] = default(18.0, 1.0)
    bush: Bushing = default(9.0, 0.5)
    hole: Hole = default(6.5)
    knob: Knob = default(12.0, 2.0)
    thread: Hole = default(6.3, 0.1)  # 1/4-40 UNS (from memory)
    kg: ClassVar[float] = 0.01
    WHAT: ClassVar[str] = "small toggle"
