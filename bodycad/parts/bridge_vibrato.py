"""Vibratos: a plate that tips on six screws or on two posts, its block in a slot through the body,
springs and claw in a cavity at the back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated, Self

import numpy as np

from bodycad.declare import between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle, rounded
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.layout.interface import Anchor, Interface, Land, Mass, Post, Screw, Sweep
from bodycad.layout.made import Made
from bodycad.layout.place import Depth, Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.bridge_posts import Posts
from bodycad.parts.bridge_shared import FRONT, Plated, Screwed, Tall, Travel, ground
from bodycad.parts.cavity import Cavity, Cover
from bodycad.parts.part import wood_screws
from bodycad.units import default
from bodycad.words import Face, Operation, RoomKind, SweepKind

Swing = Annotated[float, between(0.0, 60.0, "degrees")]
Reach = Annotated[float, mm(5.0, 300.0)]
STEPS = 400
"""A swing is looked at in so many steps: of 60 degrees and 80 mm they come within 0.001 mm of the
farthest place between them (r d^2 / 8 for the angle d of a step)."""
DEEPER = 2.5
"""How far the slot is cut deeper than to the cavity's ceiling, so that nothing is left between the
two, mm (common practice, no source)."""

CLEAR = 1.0
"""How far over the block's end the springs lie, mm."""


@dataclass(frozen=True)
@declared("a vibrato's block")
class Block:
    """The block under the plate; its pivot is at u = 0, at the plate's underside.

       pivot
         v
    ======o====  plate           front: from the pivot back to the block's nut-side face
     |   |<-> front              height: from the plate's underside down
     |   |  height               dive_deg: how far the plate tips up behind (slack strings)
     |___|                       pull_deg: how far it tips down behind
     <---> thickness             width: across the strings
    """

    front: Annotated[float, mm(-20.0, 80.0)] = default(12.0, 0.5)
    thickness: Annotated[float, mm(2.0, 60.0)] = default(14.0, 0.5)
    width: Annotated[float, mm(10.0, 200.0)] = default(68.0, 0.5)
    height: Annotated[float, mm(5.0, 70.0)] = default(38.0, 0.5)
    dive_deg: Swing = default(14.0)
    pull_deg: Swing = default(0.0)

    def swept(self, low: float, high: float) -> tuple[float, float] | None:
        """Least and greatest u that the block comes to between two heights over the pivot, at any
        angle of its swing; None where it is never between them."""
        turn = np.radians(np.linspace(-self.pull_deg, self.dive_deg, STEPS + 1))
        u, w = self._corners(turn)
        found = [u[(w >= low) & (w <= high)]]
        for k in range(4):
            a, b = (u[k], w[k]), (u[k - 1], w[k - 1])
            for level in (low, high):
                rise = np.where(b[1] == a[1], 1.0, b[1] - a[1])
                share = (level - a[1]) / rise
                there = (share >= 0.0) & (share <= 1.0) & (b[1] != a[1])
                found.append((a[0] + share * (b[0] - a[0]))[there])
        every = np.concatenate(found)
        return (float(every.min()), float(every.max())) if every.size else None

    @property
    def lowest(self) -> float:
        """The lowest that it comes to, over the pivot, mm."""
        turn = np.radians(np.linspace(-self.pull_deg, self.dive_deg, STEPS + 1))
        return float(self._corners(turn)[1].min())

    def _corners(self, turn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """u and w (4, n) of the corners at each angle; a dive swings the block to the rear."""
        near, far = -self.front, -self.front - self.thickness
        u = np.array([near, far, far, near])[:, None]
        w = np.array([0.0, 0.0, -self.height, -self.height])[:, None]
        c, s = np.cos(turn), np.sin(turn)
        return u * c + w * s, w * c - u * s


@dataclass(frozen=True)
@declared("a spring claw")
class Claw:
    """The claw that the springs hang from, and its two wood screws toward the nut.

        cavity's nut-side wall            gap: from the wall to the claw as it is set
              |<- gap ->[claw]~~springs~~[block]
        ======|=========[    ]            depth: of the screws' pilots in the wood
        depth |         [    ]            tilt_deg: how far the pilots rise toward the front, so
              |                           that the drill leaves the cavity over its far rim
    height: of the pilots at the wall over the plain back; spread: from one to the other; width:
    of the claw and the springs; springs: their diameter."""

    gap: Annotated[float, mm(1.0, 80.0)] = default(12.0, 3.0)
    spread: Annotated[float, mm(4.0, 100.0)] = default(25.0, 0.5)
    pilot: Annotated[float, mm(1.0, 8.0)] = default(2.8)
    depth: Annotated[float, mm(5.0, 100.0)] = default(25.0)
    tilt_deg: Annotated[float, between(0.0, 45.0, "degrees")] = default(8.0)
    height: Annotated[float, mm(1.0, 60.0)] = default(10.0)
    width: Annotated[float, mm(5.0, 120.0)] = default(42.0, 1.0)
    springs: Annotated[float, mm(2.0, 20.0)] = default(7.5, 0.3)


@declared("a spring cavity")
def spring_hollow(
    ahead: Reach = 74.0, behind: Reach = 44.0, springs: Reach = 56.0, block: Reach = 82.0
) -> Profile:
    """The plan of the cavity at the back: `springs` wide up to `ahead` mm before the pivot, `block`
    wide where the block swings, down to `behind` mm behind the pivot."""
    a, b = springs / 2.0, block / 2.0
    half = [(ahead, a), (0.0, a), (0.0, b), (-behind, b)]
    # The corners that turn in are wide enough for the cover's and the recess's, which lie outside.
    radii = (4.8, 8.0, 4.8, 4.8)
    points = [*half, *((u, -v) for u, v in reversed(half))]
    return rounded(points, (*radii, *reversed(radii)), "a spring cavity")


FIXED = ((74.0, 0.0), (16.0, 28.0), (16.0, -28.0), (-44.0, 20.0), (-44.0, -20.0))
"""The cover's screws: clear of claw, springs and block."""
HOLLOW = Cavity(
    spring_hollow(),
    Depth(17.0),
    Cover(gap=0.3, screws=FIXED),
    corner=default(4.8),
)


@dataclass(frozen=True)
class Vibrato(Plated):
    """What both kinds of vibrato share; u = 0 is the pivot, the strings' ends are behind it.

    string_row: from the pivot back to the row of string holes in plate and block; the slot runs
    through the body from slot_front behind the pivot, slot_length long, slot_width wide. hollow:
    the cavity for the springs, routed from the back, with its cover, in the vibrato's own (u, v).
    """

    window_rear: Travel = default(-14.0, 0.5)
    window_front: Travel = default(-2.0, 0.5)
    plate_front: Annotated[float, mm(1.0, 200.0)] = default(6.0, 0.3)
    plate_rear: Annotated[float, mm(1.0, 200.0)] = default(40.0, 0.5)
    string_row: Annotated[float, mm(1.0, 100.0)] = default(20.0, 0.5)
    string_hole: Annotated[float, mm(0.5, 20.0)] = default(3.0, 0.2)
    slot_front: Annotated[float, mm(-30.0, 60.0)] = default(7.0)
    slot_length: Annotated[float, mm(3.0, 120.0)] = default(31.0)
    slot_width: Annotated[float, mm(12.0, 220.0)] = default(74.0)
    slot_corner: Annotated[float, mm(0.1, 30.0)] = default(3.2)
    block: Block = Block()
    claw: Claw = Claw()
    hollow: Cavity = HOLLOW

    @property
    def floats(self) -> float:
        """The plate's underside over the face, mm."""
        return 0.0

    @property
    def lever(self) -> float:
        """How far under the pivot the springs pull, mm."""
        return self.block.height - CLEAR - self.claw.springs / 2.0

    @property
    def wall(self) -> float:
        """u of the cavity's nut-side wall."""
        return float(self.hollow.routed.box[2])

    def slot(self, place: Place) -> Profile:
        """The slot in plan."""
        middle = -self.slot_front - self.slot_length / 2.0
        plan = rectangle(self.slot_length, self.slot_width, self.slot_corner, middle, 0.0)
        return place.profile(plan)

    def cuts(self, part: str, place: Place, thickness: float) -> Iterator[Void]:
        """Slot, spring cavity and the claw's pilots."""
        slot, cavity = f"{part}.slot", f"{part}.cavity"
        own = self.hollow.voids(part, place, thickness)
        yield from own
        ceiling = next(void.high for void in own if void.id == cavity)
        number(f"the ceiling of {cavity}", -ceiling, low=DEEPER, remedy="it comes out in front")
        shape, meets = from_front(self.slot(place), DEEPER - ceiling), frozenset({cavity})
        yield Void(slot, part, Face.FRONT, Operation.POCKET, shape, FRONT, meets)
        claw, lead = self.claw, 2.0
        tilt, turn = math.radians(claw.tilt_deg), math.radians(place.turn_deg)
        flat, rise = math.cos(tilt), math.sin(tilt)
        way = flat * math.cos(turn), flat * math.sin(turn), rise
        for k, v in enumerate((-claw.spread / 2.0, claw.spread / 2.0), 1):
            x, y = place.point(self.wall - lead * flat, v)
            start, name = (x, y, claw.height - thickness - lead * rise), f"{part}.claw.{k}"
            pilot = bore(start, way, claw.pilot, claw.depth + lead, name=name)
            yield Void(name, part, Face.BACK, Operation.PILOT, pilot, frozenset(), meets)

    def fitted(self, part: str, drawn: Self, made: Made) -> Self:
        """Slot and cavity are those drawn; block, springs and cover are its own."""
        return replace(self, hollow=self.hollow.fitted(part, drawn.hollow, made))

    def pieces(self, part: str, place: Place, piece: Workpiece) -> tuple[Workpiece, ...]:
        """The cavity's cover."""
        return self.hollow.pieces(part, place, piece)

    def tipping(self, part: str, place: Place, piece: Workpiece) -> Iterator[Interface]:
        """Saddles, the block's string holes, the swing of block and springs, the cavity with its
        cover, the claw's screws and the ground at the claw."""
        yield from self.saddles(part, place)
        top = self.floats + self.plate_thickness
        ends = tuple(place.at(-self.string_row, v, top) for v in self.hole_offsets)
        yield Anchor(part=part, at=ends, strings=self.strings, passes=self.string_hole)
        slot, cavity = f"{part}.slot", f"{part}.cavity"
        for room, _, _ in self._bands(part, place, piece.thickness):
            yield Sweep(part=part, kind=SweepKind.BLOCK, room=room, within=(slot, cavity))
        springs = f"{part}.springs"
        yield Sweep(part=part, kind=SweepKind.BLOCK, room=springs, within=(cavity,))
        own = self.hollow.interfaces(part, place, piece)
        yield from (one for one in own if not isinstance(one, Mass))
        covered = sum(isinstance(one, Screw) for one in own)
        for k, screw in enumerate(
            wood_screws(part, piece, (f"{part}.claw.1", f"{part}.claw.2")), 1
        ):
            reaches = self.claw.gap / math.cos(math.radians(self.claw.tilt_deg)) + self.claw.depth
            yield replace(screw, number=covered + k, length=reaches)
        kinds = RoomKind.PLATE, RoomKind.SADDLE, RoomKind.PART
        yield self.bought(part, "vibrato with block, arm, springs and claw", kinds)
        yield ground(part, voids=(cavity,))
        yield Mass(part=part, kg=0.55)

    def moving(self, part: str, place: Place, thickness: float) -> Iterator[Room]:
        """Saddles, what the block sweeps in slot and cavity, springs, claw and cover."""
        yield from self.blocks(part, place, self.floats + self.plate_thickness)
        for name, (low, high), (rear, front) in self._bands(part, place, thickness):
            plan = rectangle(front - rear, self.block.width, 0.0, (front + rear) / 2.0, 0.0)
            yield Room(name, part, RoomKind.SWING, Prism(place.profile(plan), low, high))
        claw, z = self.claw, place.z + self.floats - self.block.height
        near, far = self.wall - claw.gap, -self.block.front
        plan = rectangle(near - far, claw.width, 0.0, (near + far) / 2.0, 0.0)
        low = z + CLEAR
        springs = Prism(place.profile(plan), low, low + claw.springs)
        yield Room(f"{part}.springs", part, RoomKind.PART, springs)
        yield from self.hollow.rooms(part, place, thickness)

    def _bands(
        self, part: str, place: Place, thickness: float
    ) -> Iterator[tuple[str, tuple[float, float], tuple[float, float]]]:
        """What the block sweeps in the slot and below it: id, heights, and least and greatest u."""
        pivot = place.z + self.floats
        ceiling = self.hollow.depth.below(thickness, f"{part}.cavity") - thickness
        cut, low = ceiling - DEEPER, pivot + self.block.lowest
        for name, bottom, top in (("slot", max(cut, low), place.z), ("hollow", low, cut)):
            if top - bottom > 1e-6 and (found := self.block.swept(bottom - pivot, top - pivot)):
                yield f"{part}.swing.{name}", (bottom, top), found


@dataclass(frozen=True)
@declared("a vibrato")
class ScrewVibrato(Vibrato, Screwed):
    """A vibrato that tips on a row of wood screws before its saddles; its datum is the middle of
    that row.

          u <---- toward the nut
        +--o----------------+  ^          o: pivot screws, one a string, along the plate's front
        |  o  [===] ::::    |  |          ::: the block under the plate, block.front behind them
        |  o  [===] ::::    |  plate_width
        |  o  [===] ::::    |  |          slot_front: from them back to the slot through the body
        +--o----------------+  v          string_row: from them back to the block's string holes
        <->|<---- rear ---->
       front

    The plate lies on the face at rest and tips up behind. screws: their (u, v); left out, one a
    string from the first to the last, 1.75 mm outside the outer strings."""

    def _rule(self) -> Iterator[tuple[float, float]]:
        half, spaces = self.spread / 2.0 + 1.75, max(self.strings - 1, 1)
        yield from ((0.0, (2.0 * k / spaces - 1.0) * half) for k in range(self.strings))

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return *self.cuts(part, place, thickness), *self.fixed(part, place, "pivot")

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Those of every vibrato; the pivot screws, which the strings pull toward the nut as they
        do posts; the plate's flat. 0.55 kg (common practice, no source)."""
        own = tuple(self.tipping(part, place, piece))
        count, turn = sum(isinstance(one, Screw) for one in own), math.radians(place.turn_deg)
        names = [f"{part}.pivot.{k}" for k in range(1, len(self.fixing) + 1)]
        pull = math.cos(turn), math.sin(turn), 0.0
        screws = wood_screws(part, piece, names, place.z, self.plate_thickness)
        return (
            *own,
            *(replace(one, number=count + k) for k, one in enumerate(screws, 1)),
            *(
                Post(
                    part=part,
                    hole=name,
                    pull=pull,
                    pivot=place.at(u, v),
                    springs=self.lever,
                )
                for name, (u, v) in zip(names, self.fixing, strict=True)
            ),
            Land(part=part, name=f"{part}.plate", face=Face.FRONT, plan=self.plan(place)),
        )

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        plate = Prism(self.plan(place), place.z, place.z + self.plate_thickness)
        base = Room(f"{part}.plate", part, RoomKind.PLATE, plate)
        return base, *self.moving(part, place, thickness)


@dataclass(frozen=True)
@declared("a vibrato")
class PostVibrato(Vibrato):
    """A vibrato that tips on knife edges at two posts; its datum is the middle between the posts.

          u <---- toward the nut
           (o)--------------+  ^          o: posts in bushes, posts.spread apart
            |  [===] ::::   |  |          ::: the block under the plate
            |  [===] ::::   |  plate_width
            |  [===] ::::   |  |          rise: the plate's underside over the face, at rest
           (o)--------------+  v
            |<---- rear ---->             saddle_low, saddle_high: over the face

    Its plate floats: `block.pull_deg` tips it down behind, which `rise` must leave room for."""

    window_rear: Travel = default(-15.0, 0.5)
    window_front: Travel = default(-3.0, 0.5)
    saddle_low: Tall = default(12.0, 0.5)
    saddle_high: Tall = default(17.0, 0.5)
    plate_front: Annotated[float, mm(1.0, 200.0)] = default(4.0, 0.3)
    posts: Posts = Posts(spread=default(74.0, 0.3), bush=default(10.0, 0.1), stud=default(6.0, 0.2))
    rise: Annotated[float, mm(0.0, 20.0)] = default(3.0, 0.5)
    block: Block = Block(height=default(41.0, 0.5), pull_deg=default(3.0))

    @property
    def floats(self) -> float:
        """The plate's underside over the face, mm."""
        return self.rise

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        return *self.cuts(part, place, thickness), *self.posts.holes(part, place)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        """Those of every vibrato, and the posts with the pull of strings and springs."""
        posts = self.posts.leaning(part, place, self.rise, self.lever)
        return *self.tipping(part, place, piece), *posts

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        """The plate where it is lowest behind, tipped down by the pull."""
        dip = self.plate_rear * math.sin(math.radians(self.block.pull_deg))
        low, top = place.z + self.rise - dip, place.z + self.rise + self.plate_thickness
        plate = Room(f"{part}.plate", part, RoomKind.PART, Prism(self.plan(place), low, top))
        posts = self.posts.solids(part, place, self.rise)
        return plate, *posts, *self.moving(part, place, thickness)
