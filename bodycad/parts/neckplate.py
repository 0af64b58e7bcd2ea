"""A bolt-on neck on a plate: pocket, and screws through one plate at the back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Annotated

from bodycad.declare import Count, Spot, Text, declared, mm, over
from bodycad.errors import number
from bodycad.fasteners import Insert
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.layout.interface import Fit, Hardware, Hides, Interface, Land
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void, from_back
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.neckjoint import Angle, Bolted
from bodycad.parts.pocket import CHOICE, Open, RodNotch, Shim
from bodycad.units import default
from bodycad.wood import Species
from bodycad.words import (
    Face,
    FitKind,
    Grain,
    HeadForm,
    HideKind,
    Mount,
    Operation,
    RoomKind,
)

KG = 0.10
"""Of a steel plate and four screws, about the middle of the heel; common practice, no source."""


@dataclass(frozen=True)
@declared()
class NeckPlate:
    """A plate that takes all heads of a neck's screws.

        +------------------------+  ^
        | o                    o |  |      o: screws, screw_length apart along the neck,
        |                        |  width     screw_width apart across it; or `screws`, (u, v) of
        | o                    o |  |         each from the middle of the plate, for another row
        +------------------------+  v
        <-------- length -------->         along the neck

    corner: radius of its corners. head: how far the round of a screw's countersunk head stands over
    the plate, 0 for a flat one. recess: how deep it is let into the back to end flush with it, 0
    where it lies on it; gap: round it in that recess. Defaults are common practice, no source."""

    length: Annotated[float, mm(10.0, 200.0)] = default(64.0, 0.3)
    width: Annotated[float, mm(10.0, 150.0)] = default(51.0, 0.3)
    thickness: Annotated[float, mm(0.5, 12.0)] = default(2.5, 0.1)
    corner: Annotated[float, mm(0.0, 40.0)] = default(5.0, 0.5)
    screw_length: Annotated[float, mm(1.0, 190.0)] = default(50.8, 0.2)
    screw_width: Annotated[float, mm(1.0, 140.0)] = default(38.1, 0.2)
    head: Annotated[float, mm(0.0, 8.0)] = default(1.0, 0.3)
    recess: Annotated[float, mm(0.0, 20.0)] = field(default=0.0, metadata=CHOICE)
    gap: Annotated[float, mm(0.0, 3.0)] = default(0.2)
    screws: Annotated[tuple[tuple[Spot, Spot], ...], Count(0, 12)] = ()

    def __post_init__(self) -> None:
        half = min(self.length, self.width) / 2.0
        number("a neck plate's corner radius", self.corner, high=half)
        for k, (u, v) in enumerate(self.spots, 1):
            remedy = "screws go through the plate"
            aside = self.length / 2.0, self.width / 2.0
            number(f"the u of a neck plate's screw {k}", abs(u), high=aside[0], remedy=remedy)
            number(f"the v of a neck plate's screw {k}", abs(v), high=aside[1], remedy=remedy)

    @property
    def spots(self) -> tuple[tuple[float, float], ...]:
        """(u, v) of each screw from the middle of the plate."""
        if self.screws:
            return self.screws
        u, v = self.screw_length / 2.0, self.screw_width / 2.0
        return (u, v), (-u, v), (-u, -v), (u, -v)

    @property
    def rise(self) -> float:
        """How far plate and heads stand out from their seat, mm."""
        return float(self.thickness + self.head)

    def bears(self, u: float, v: float) -> float:
        """Diameter of the widest disc of the plate about one of its screws, mm: the least of the
        plate that its pull is spread by."""
        return 2.0 * min(self.length / 2.0 - abs(u), self.width / 2.0 - abs(v))


@dataclass(frozen=True)
@declared("a neck joint on a plate")
class PlateJoint(Bolted):
    """Pocket and screws through one plate; its datum is the middle of the heel's bridge-side end, u
    toward the nut.

             |<- at ->|                    length: of a screw as it is bought, from the rim of its
        =====+======= board =======        countersunk head
        -----+ heel   |           |
              \\______|___________|  floor of the pocket, `depth` under the front at the mouth
                 |    |    |  wood
        ______ ==|=========|== ______ back, or `recess` deep in it
                 plate

    at, aside: (u, v) of the plate's middle. All else is as in NeckJoint."""

    heel: Heel
    depth: Annotated[float, over(60.0)] = field(metadata=CHOICE)
    board_thickness: Annotated[float, mm(2.0, 20.0)]
    at: Spot = field(metadata=CHOICE)
    length: Annotated[float, mm(5.0, 200.0)] = default(45.0, 0.5)
    plate: NeckPlate = field(default_factory=NeckPlate)
    aside: Spot = field(default=0.0, metadata=CHOICE)
    angle_deg: Angle = field(default=0.0, metadata=CHOICE)
    side_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.3)
    end_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.3)
    overrun: Annotated[float, mm(0.0, 300.0)] = field(default=15.0, metadata=CHOICE)
    corner: Annotated[float, mm(0.0, 60.0)] = default(6.35)
    masked: bool = False
    species: Text | Species | None = field(default=None, metadata=CHOICE)
    grain: Grain = field(default=Grain.TANGENTIAL, metadata=CHOICE)
    screw: Annotated[float, mm(1.0, 15.0)] = default(4.2, 0.1)
    hole: Annotated[float, mm(1.0, 30.0)] = default(4.8)
    pilot: Annotated[float, mm(0.5, 15.0)] = default(3.1)
    cut_for: Heel | None = field(default=None, metadata=CHOICE)
    insert: Insert | None = None
    open_treble: Open | None = field(default=None, metadata=CHOICE)
    open_bass: Open | None = field(default=None, metadata=CHOICE)
    shim: Shim | None = None
    rod: RodNotch | None = None

    def __post_init__(self) -> None:
        widest = min(self.plate.bears(*spot) for spot in self.plate.spots)
        remedy = "the screw must fall through the body, and the plate must cover its hole"
        self._screws_hold(widest, remedy)

    def fitted(self, part: str, drawn: PlateJoint, made: Made) -> PlateJoint:
        """This neck in the pocket and holes that were cut for `drawn`."""
        here, there = self.plate, drawn.plate
        deeper = made.depth(f"{part}.recess")
        room = max(there.gap + min(there.length - here.length, there.width - here.width) / 2.0, 0.0)
        spread = {name: getattr(there, name) for name in ("screw_length", "screw_width", "screws")}
        recess = there.recess + deeper if there.recess else 0.0
        return replace(
            self,
            plate=replace(here, gap=room, recess=recess, **spread),
            hole=drawn.hole,
            pilot=drawn.pilot,
            **self._cut_as(drawn, f"{part}.pocket", made),
        )

    def plan(self, more: float = 0.0) -> Profile:
        """The plate's outline in (u, v), `more` mm larger all round."""
        one = self.plate
        size = one.length + 2.0 * more, one.width + 2.0 * more, one.corner + more
        return rectangle(*size, self.at, self.aside)

    @property
    def _spots(self) -> Iterator[tuple[int, float, float, float]]:
        """Each screw's number, (u, v), and how wide the plate bears about it."""
        for k, (u, v) in enumerate(self.plate.spots, 1):
            yield k, self.at + u, self.aside + v, self.plate.bears(u, v)

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        found, meets = list(self._pocket(part, place, thickness)), {f"{part}.pocket"}
        if self.plate.recess:
            under = thickness + min(self.floor(u) for _, u, _, _ in self._spots)
            remedy = "let the plate in less deep, or use thicker stock"
            number("the recess of a neck plate", self.plate.recess, high=under, remedy=remedy)
            name, plan = f"{part}.recess", place.profile(self.plan(self.plate.gap))
            shape, back = from_back(plan, self.plate.recess, thickness), frozenset({Face.BACK})
            found.append(Void(name, part, Face.BACK, Operation.RECESS, shape, back))
            meets.add(name)
        for k, u, v, _ in self._spots:
            name, spot = f"{part}.bolt.{k}.hole", (u, v, thickness)
            hole = self._drilled(name, part, place, spot, self.hole, self.floor(u))
            found.append(replace(hole, meets=frozenset(meets)))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return tuple(self._stated(part, place, piece))

    def _stated(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        yield self._weighs(part, place, KG)
        yield from self._joint(part, place, Mount.SCREWS)
        recess, plate, room = f"{part}.recess", self.plate, f"{part}.plate"
        let_in = piece.by_id.get(recess)
        seat = let_in.high if let_in else -piece.thickness
        proud = plate.head if let_in else plate.rise
        for k, u, v, bears in self._spots:
            yield self._screw(
                part,
                k,
                seat=recess if let_in else None,
                at=(*place.point(u, v), seat),
                flange=bears,
                reach=self.length - plate.thickness,
                length=self.length,
                head=HeadForm.COUNTERSUNK,
                rise=plate.rise,
                proud=proud,
            )
        rim = place.profile(self.plan())
        holes = tuple(f"{part}.bolt.{k}.hole" for k, _, _, _ in self._spots)
        yield Hides(
            part=part,
            kind=HideKind.IN if let_in else HideKind.ON,
            name="plate",
            rim=rim,
            room=room,
            face=Face.BACK,
            voids=holes,
            recess=recess if let_in else None,
        )
        if let_in:
            kind = FitKind.COVER
            yield Fit(part=part, kind=kind, name="plate", room=room, outer=recess)
        sizes = ("length", plate.length), ("width", plate.width), ("thickness", plate.thickness)
        kinds = (RoomKind.PLATE,)
        words = f"neck plate for {len(plate.spots)} screws"
        yield Hardware(part=part, what=words, fills=kinds, sizes=sizes)
        around = place.profile(self.plan(plate.gap)) if let_in else rim
        yield Land(part=part, name=room, face=Face.BACK, plan=around)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        found, plate = list(self._block(part, place)), self.plate
        seat = plate.recess - thickness
        shape = Prism(place.profile(self.plan()), seat - plate.thickness, seat)
        found.append(Room(f"{part}.plate", part, RoomKind.PLATE, shape))
        for k, u, v, _ in self._spots:
            found += self._bought(part, place, k, (u, v, seat - plate.thickness, self.length))
        return tuple(found)
