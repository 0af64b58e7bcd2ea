"""Necks of a maker's own, written with `from bodycad import ...` alone: one bolted, one glued.

Neither is known to the package; their ids, fields and shapes are their own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bodycad import (
    Hardware,
    InputError,
    Joint,
    Land,
    Mass,
    Place,
    Prism,
    Profile,
    Room,
    Screw,
    Void,
    bore,
    circle,
    from_front,
    rounded,
)


@dataclass(frozen=True)
class Tongue:
    """The block under the fretboard, mm: a straight-sided tongue with its far end rounded."""

    width: float = 56.0
    length: float = 76.0
    wood: float = 19.0
    board: float = 6.4
    radius: float = 7.0

    def outline(self, play: float = 0.0, past: float = 0.0, radius: float = 0.0) -> Profile:
        """Its plan with half of `play` at each side and end, run on by `past`."""
        low, far, half = -play, self.length + past, (self.width + play) / 2.0
        corners = [(low, -half), (far, -half), (far, half), (low, half)]
        return rounded(corners, (radius, 0.0, 0.0, radius), "the tongue")


@dataclass(frozen=True)
class Stud:
    """One screw: along and across from the tongue's end, how high its washer's seat lies over the
    back, and its length under the head."""

    along: float
    across: float
    seat: float
    length: float


@dataclass(frozen=True)
class OwnNeck:
    """A tongue held in its slot by screws whose heads sit on cups, as a maker writes it down."""

    tongue: Tongue
    studs: tuple[Stud, ...]
    slot: float = 17.0
    play: float = 0.3
    slot_radius: float = 6.35
    cup: float = 14.0
    cup_bore: float = 14.15
    cup_floor: float = 2.0
    thread: float = 4.2
    clear: float = 4.8
    pilot: float = 3.1
    fall_deg: float = 0.0
    bare: bool = True
    wood: str | None = None

    def height(self, along: float) -> float:
        """z of the slot's floor."""
        return -self.slot + (self.tongue.length - along) * math.tan(math.radians(self.fall_deg))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        plan = place.profile(self.tongue.outline(self.play, 15.0, self.slot_radius))
        tilt, turn = -math.tan(math.radians(self.fall_deg)), math.radians(place.turn_deg)
        slope = (tilt * math.cos(turn), tilt * math.sin(turn))
        slot = Prism(plan, -self.slot, 0.0, slope, place.point(self.tongue.length, 0.0))
        cuts = [Void(f"{part}.slot", part, "front", "POCKET", slot, frozenset({"front", "edge"}))]
        for k, stud in enumerate(self.studs, 1):
            x, y = place.point(stud.along, stud.across)
            cup, way, meets = f"{part}.cup{k}", f"{part}.way{k}", {f"{part}.slot"}
            if stud.seat > 0.0:
                hole = bore((x, y, -thickness), (0, 0, 1), self.cup_bore, stud.seat)
                cuts.append(Void(cup, part, "back", "BORE", hole, frozenset({"back"})))
                meets.add(cup)
            deep = thickness + self.height(stud.along)
            hole = bore((x, y, -thickness), (0, 0, 1), self.clear, deep)
            opens = frozenset({"back"})
            cuts.append(Void(way, part, "back", "BORE", hole, opens, frozenset(meets)))
        return tuple(cuts)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(self.tongue.outline(0.0, 0.0, self.tongue.radius))
        low, top = -self.slot, -self.slot + self.tongue.wood
        board = Prism(plan, top, top + self.tongue.board)
        found = [
            Room(f"{part}.tongue", part, "neck", Prism(plan, low, top)),
            Room(f"{part}.playing", part, "board", board),
        ]
        for k, stud in enumerate(self.studs, 1):
            x, y = place.point(stud.along, stud.across)
            head = -thickness + stud.seat
            cup = bore((x, y, head - 6.0), (0, 0, 1), self.cup, 6.0)
            screw = bore((x, y, head - self.cup_floor), (0, 0, 1), self.thread, stud.length)
            found.append(Room(f"{part}.cup{k}.body", part, "ferrule", cup))
            found.append(Room(f"{part}.screw{k}", part, "screw", screw))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece):
        x, y = place.point(0.0, 0.0)
        turn = math.radians(place.turn_deg)
        found = [
            Mass(part=part, kg=0.06),
            Hardware(part=part, what="cup for a head", count=len(self.studs), fills=("ferrule",)),
            Joint(
                part=part,
                mount="screws",
                pocket=f"{part}.slot",
                heel=f"{part}.tongue",
                board=f"{part}.playing",
                end=(x, y, self.height(0.0)),
                ahead=(math.cos(turn), math.sin(turn), 0.0),
                rod_width=6.4,
                rod_depth=9.5,
                masked=self.bare,
                species=self.wood,
            ),
        ]
        for k, stud in enumerate(self.studs, 1):
            x, y = place.point(stud.along, stud.across)
            cup = f"{part}.cup{k}"
            found.append(
                Screw(
                    part=part,
                    number=k,
                    hole=f"{part}.way{k}",
                    seat=cup if stud.seat > 0.0 else None,
                    at=(x, y, -piece.thickness + stud.seat),
                    way=(0.0, 0.0, 1.0),
                    flange=self.cup,
                    thread=self.thread,
                    reach=stud.length - self.cup_floor,
                    length=stud.length,
                    clamps=f"{part}.slot",
                    bites=f"{part}.tongue",
                    pilot=self.pilot,
                    loaded=True,
                    rise=6.0,
                )
            )
            plan = circle(self.cup_bore, x, y)
            found.append(Land(part=part, name=cup, face="back", plan=plan, carved=True))
        return tuple(found)


@dataclass(frozen=True)
class GluedNeck:
    """A tongue glued into its slot, floor and sides."""

    tongue: Tongue
    slot: float = 17.0
    play: float = 0.15
    slot_radius: float = 6.35
    glue: float = 76.0 * 56.0
    wood: str | None = None

    def __post_init__(self) -> None:
        if self.slot <= 0.0:
            raise InputError("the slot's depth", self.slot, "more than 0")

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        plan = place.profile(self.tongue.outline(self.play, 15.0, self.slot_radius))
        opens = frozenset({"front", "edge"})
        return (Void(f"{part}.slot", part, "front", "POCKET", from_front(plan, self.slot), opens),)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plan = place.profile(self.tongue.outline(0.0, 0.0, self.tongue.radius))
        top = -self.slot + self.tongue.wood
        return (
            Room(f"{part}.tongue", part, "neck", Prism(plan, -self.slot, top)),
            Room(f"{part}.playing", part, "board", Prism(plan, top, top + self.tongue.board)),
        )

    def interfaces(self, part: str, place: Place, piece):
        return (
            Mass(part=part, kg=0.0),
            Joint(
                part=part,
                mount="glue",
                pocket=f"{part}.slot",
                heel=f"{part}.tongue",
                board=f"{part}.playing",
                end=(*place.point(0.0, 0.0), -self.slot),
                ahead=(1.0, 0.0, 0.0),
                rod_width=6.4,
                rod_depth=9.5,
                glue=self.glue,
                species=self.wood,
            ),
        )
