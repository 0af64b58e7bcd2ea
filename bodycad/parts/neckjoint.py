"""A bolt-on neck: pocket, screws and their single recessed ferrules at any points of the heel; and
what all necks on screws share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, Any

from bodycad.declare import Count, Spot, Text, between, declared, mm, over
from bodycad.errors import number
from bodycad.fasteners import Insert
from bodycad.geometry.plane.build import circle
from bodycad.geometry.solids.bore import bore
from bodycad.instrument.neck import Heel
from bodycad.layout.interface import Hardware, Interface, Land, Mass, Screw
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.pocket import CHOICE, Open, Pocketed, RodNotch, Shim
from bodycad.units import default
from bodycad.wood import Species, species
from bodycad.words import Face, Grain, HeadForm, Mount, Operation, RoomKind

Angle = Annotated[float, between(-5.0, 10.0, "degrees")]
Spot2 = tuple[float, float, float]
"""(u, v) of a hole, and the stock's thickness."""
Row = tuple[float, float, float, float]
"""(u, v) of a screw, the height where its head bears, and its length."""
KG = 0.06
"""Of screws and ferrules together, about the middle of the heel; common practice, no source."""
REMEDY = (
    "for a head that bears on a washer or on the bare wood give NeckFerrule(flange=its diameter, "
    "height=its thickness, web=its thickness)"
)


@dataclass(frozen=True)
@declared()
class NeckFerrule:
    """A cup that takes one screw head and sits in its own counterbore.

             <- flange ->
        _____            _____   seat (wood)
             |__      __|   ^
        web  |  |    |  |   | height
             |__|    |__|   v      the screw head bears on the web, `web` mm from the seat

    `fit` is what the counterbore is wider than the flange. form: the head's; the screw's length is
    told from `web` mm behind the seat, under a flat head of the height `head`, and from the rim of
    a countersunk one. Ferrule and head lie under the shaped back, or stand out of it by at most
    `proud` mm where that is meant."""

    flange: Annotated[float, mm(2.0, 60.0)] = default(14.0, 0.1)
    height: Annotated[float, mm(0.2, 40.0)] = default(6.0, 0.2)
    web: Annotated[float, mm(0.2, 40.0)] = default(2.0, 0.2)
    fit: Annotated[float, mm(0.0, 5.0)] = default(0.15)
    head: Annotated[float, mm(0.0, 20.0)] = default(3.0, 0.3)
    form: HeadForm = field(default=HeadForm.FLAT, metadata=CHOICE)
    proud: Annotated[float, mm(0.0, 20.0)] = field(default=0.0, metadata=CHOICE)

    def __post_init__(self) -> None:
        number("a neck ferrule's web", self.web, high=self.height)

    @property
    def rise(self) -> float:
        """How far ferrule and head stand out from the seat, mm."""
        sunk = self.form is HeadForm.COUNTERSUNK
        return max(float(self.height), self.web + (0.0 if sunk else self.head))


@dataclass(frozen=True)
@declared("a neck screw")
class Bolt:
    """One neck screw: (u, v) from the bridge-side end of the heel on the centreline (u toward the
    nut, v toward the bass), the wood left between the ferrule's seat and the pocket floor, and the
    screw's length as it is bought (under a flat head, over all with a countersunk one), mm."""

    u: Spot = field(metadata=CHOICE)
    v: Spot = field(metadata=CHOICE)
    wood: Annotated[float, over(100.0)] = field(metadata=CHOICE)
    length: Annotated[float, mm(5.0, 200.0)] = default(35.0, 0.5)


class Bolted(Pocketed):
    """What necks on screws share. The fields are those of the parts."""

    screw: float
    hole: float
    pilot: float
    insert: Insert | None

    def _screws_hold(self, high: float, remedy: str) -> None:
        """Raise InputError where the sizes of screw, hole and pilot clash; high: what the hole must
        be narrower than."""
        thing = "the neck screw's body hole"
        number(thing, self.hole, low=self.screw, high=high, remedy=remedy)
        if self.insert:
            remedy = "a machine screw is thinner than the insert that it goes into"
            number("the neck screw in an insert", self.screw, high=self.insert.hole, remedy=remedy)
        else:
            number("the neck screw's pilot", self.pilot, high=self.screw)
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))
        self._held_together()

    def _drilled(
        self, name: str, part: str, place: Place, spot: Spot2, width: float, top: float
    ) -> Void:
        """A hole from the back, `top` mm high at its end."""
        *at, thickness = spot
        hole = bore((*place.point(*at), -thickness), (0, 0, 1), width, thickness + top, name=name)
        return Void(name, part, Face.BACK, Operation.BORE, hole, frozenset({Face.BACK}))

    def _screw(self, part: str, index: int, **more: Any) -> Screw:
        """The record of one screw; `more`: what only its kind of seat knows."""
        return Screw(
            part=part,
            number=index,
            hole=f"{part}.bolt.{index}.hole",
            way=(0.0, 0.0, 1.0),
            thread=self.screw,
            clamps=f"{part}.pocket",
            bites=f"{part}.heel",
            pilot=self.insert.hole if self.insert else self.pilot,
            insert=self.insert,
            loaded=True,
            **more,
        )

    def _bought(self, part: str, place: Place, index: int, row: Row) -> Iterator[Room]:
        """The screw and its insert; row: (u, v, height of its head's underside or rim, length)."""
        u, v, z, length = row
        x, y = place.point(u, v)
        name, up = f"{part}.bolt.{index}", (0, 0, 1)
        yield Room(f"{name}.screw", part, RoomKind.SCREW, bore((x, y, z), up, self.screw, length))
        if self.insert:
            wide, low = self.insert.outside, self.floor(u) + self._shimmed(u)
            shape = bore((x, y, low), up, wide, self.insert.length)
            yield Room(f"{name}.insert", part, RoomKind.SCREW, shape)

    def _weighs(self, part: str, place: Place, kg: float) -> Mass:
        """What the fastenings weigh, about the middle of the heel."""
        middle = self.heel.length / 2.0
        return Mass(part=part, kg=kg, at=(*place.point(middle, 0.0), self.floor(middle)))

    def shared_sizes(self) -> dict[str, str]:
        """Heel and fretboard are those of the instrument's neck."""
        return {"heel.": "neck.heel.", "board_thickness": "neck.board_thickness"}


@dataclass(frozen=True)
@declared()
class NeckJoint(Bolted):
    """Pocket and screws on single ferrules; its datum is the middle of the heel's bridge-side end,
    u toward the nut.

        nut <-                   | u = 0, the heel's end
        ====+======= board ======|
        ----+   heel      :      |
            |_____________:______|     floor: `depth` under the front at the mouth
                          :   ^
                          :   | wood   of each bolt, from the floor to its ferrule's seat
                        __:__ v
        _______________|  :  |____     back
                        head           length: of each bolt, under its head

    depth: pocket depth at the mouth; angle_deg: tilt of the floor that raises the strings toward
    the bridge; overrun: how far the pocket is routed on past the heel's mouth, out of the body, and
    past a side that is open. side_clearance is the total of both sides, end_clearance the room past
    the heel's end; corner is the pocket's corner radius; masked: the pocket is kept free of finish.
    screw, hole and pilot are the diameters of thread, body hole and hole in the neck; species and
    grain ("tangential" for a flatsawn neck, "radial" for a quartersawn one) are its wood. cut_for:
    the heel that the pocket was cut for, when it is not the one that is fitted. insert: what
    machine screws hold in, None for wood screws. open_treble, open_bass: where that side of the
    pocket is open from, at a deep cutaway, mm from the heel's end; None where it has a wall. shim:
    under the heel. rod: the notch for a truss rod that is adjusted at the heel."""

    heel: Heel
    depth: Annotated[float, over(60.0)] = field(metadata=CHOICE)
    board_thickness: Annotated[float, mm(2.0, 20.0)]
    bolts: Annotated[tuple[Bolt, ...], Count(2, 50)]
    ferrule: Annotated[NeckFerrule, REMEDY] = field(default_factory=NeckFerrule)
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
        remedy = "the screw must fall through the body, and its ferrule must not"
        self._screws_hold(self.ferrule.flange, remedy)

    def seat(self, bolt: Bolt) -> float:
        """Height of a ferrule's seat, mm (negative)."""
        return self.floor(bolt.u) - bolt.wood

    def with_screws(self, screws: Sequence[Any]) -> NeckJoint:
        """This joint with other screws; each has u, v, wood and length as a Bolt has."""
        return replace(self, bolts=tuple(Bolt(s.u, s.v, s.wood, s.length) for s in screws))

    def fitted(self, part: str, drawn: NeckJoint, made: Made) -> NeckJoint:
        """This neck in the pocket, holes and counterbores that were cut for `drawn`."""
        deeper = made.depth(f"{part}.pocket")
        bolts = tuple(
            replace(
                bolt,
                u=old.u,
                v=old.v,
                wood=old.wood - deeper - made.depth(f"{part}.bolt.{i}.seat") + made.thicker,
            )
            for i, (bolt, old) in enumerate(zip(self.bolts, drawn.bolts), 1)
        )
        room = max(drawn.ferrule.fit + (drawn.ferrule.flange - self.ferrule.flange), 0.0)
        return replace(
            self,
            bolts=bolts,
            ferrule=replace(self.ferrule, fit=room),
            hole=drawn.hole,
            pilot=drawn.pilot,
            **self._cut_as(drawn, f"{part}.pocket", made),
        )

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        found, cut = list(self._pocket(part, place, thickness)), f"{part}.pocket"
        for index, bolt in enumerate(self.bolts, 1):
            name, meets = f"{part}.bolt.{index}", {cut}
            spot, top = (bolt.u, bolt.v, thickness), self.seat(bolt)
            # A seat at or behind the back needs no counterbore; `bolt-seat` judges it.
            if thickness + top > 1e-9:
                meets.add(f"{name}.seat")
                found.append(self._drilled(f"{name}.seat", part, place, spot, self.bed, top))
            hole = self._drilled(f"{name}.hole", part, place, spot, self.hole, self.floor(bolt.u))
            found.append(replace(hole, meets=frozenset(meets)))
        return tuple(found)

    @property
    def bed(self) -> float:
        """Diameter of a ferrule's counterbore, mm."""
        return self.ferrule.flange + self.ferrule.fit

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        return tuple(self._stated(part, place, piece))

    def _stated(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        yield self._weighs(part, place, KG)
        yield from self._joint(part, place, Mount.SCREWS)
        for index, bolt in enumerate(self.bolts, 1):
            x, y = place.point(bolt.u, bolt.v)
            seat = f"{part}.bolt.{index}.seat"
            yield self._screw(
                part,
                index,
                seat=seat if seat in piece.by_id else None,
                at=(x, y, self.seat(bolt)),
                flange=self.ferrule.flange,
                reach=bolt.length - self.ferrule.web,
                length=bolt.length,
                head=self.ferrule.form,
                rise=self.ferrule.rise,
                proud=self.ferrule.proud,
            )
            plan = circle(self.bed, x, y)
            yield Land(part=part, name=seat, face=Face.BACK, plan=plan, carved=True)
        cup = self.ferrule
        yield Hardware(
            part=part,
            what="neck ferrule",
            count=len(self.bolts),
            fills=(RoomKind.FERRULE,),
            sizes=(("flange", cup.flange), ("height", cup.height), ("screw", self.screw)),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        found, cup = list(self._block(part, place)), self.ferrule
        for i, bolt in enumerate(self.bolts, 1):
            x, y = place.point(bolt.u, bolt.v)
            seat = self.seat(bolt)
            ferrule = bore((x, y, seat - cup.height), (0, 0, 1), cup.flange, cup.height)
            found.append(Room(f"{part}.bolt.{i}.ferrule", part, RoomKind.FERRULE, ferrule))
            found += self._bought(part, place, i, (bolt.u, bolt.v, seat - cup.web, bolt.length))
        return tuple(found)
