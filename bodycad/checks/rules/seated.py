"""A neck as it sits in its pocket: what the shapes of pocket and block say about a stated joint."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from bodycad.checks.finding import Finding, failed, skip
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.seat import Seat
from bodycad.layout.assembly import core_seat, rest
from bodycad.layout.interface import Core, Joint, Screw
from bodycad.layout.layout import Layout
from bodycad.layout.place import Place
from bodycad.words import Mount

NONE = "this design has no neck joint"
OPEN = 5.0
"""A pocket's side that stands this far (mm) off the block is no wall of it, but its opening."""
LEVEL = 1e-9
"""A block's end that runs no more than this along its sides is square."""


@dataclass(frozen=True, eq=False)
class Neck:
    """A joint with its pocket as it is cut, its block as it is fitted, and the screws that clamp
    the pocket. (u, v): mm from the middle of the block's bridge-side end toward the nut and toward
    the bass."""

    joint: Joint
    pocket: Prism
    block: Prism
    screws: tuple[Screw, ...]
    place: Place

    @property
    def id(self) -> str:
        """The id of the part that states the joint."""
        return self.joint.part

    def uv(self, points: np.ndarray) -> np.ndarray:
        """(u, v) (m, 2) of plan points (m, 2)."""
        (ax, ay, _), side = self.joint.ahead, -1.0 if self.place.flipped else 1.0
        x, y = (points - np.array([self.place.x, self.place.y])).T
        return np.column_stack([ax * x + ay * y, side * (ax * y - ay * x)])

    def points(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """Plan points (m, 2) of places u, v (m,)."""
        side = -1.0 if self.place.flipped else 1.0
        ax, ay, _ = self.joint.ahead
        x, y = self.place.x + ax * u - side * ay * v, self.place.y + ay * u + side * ax * v
        return np.column_stack([x, y])

    def floor(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the pocket's floor at plan points (m, 2), mm."""
        return _floor(self.pocket, points)

    @cached_property
    def rest(self) -> Prism:
        """What the block rests on: the pocket, its floor raised by the shim."""
        return rest(self.joint, self.pocket, self.place.point(self.length, 0.0))

    def bottom(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the block's underside at plan points (m, 2), mm."""
        return _floor(self.rest, points)

    def under_board(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the fretboard's underside over the front at plan points (m, 2), mm."""
        return np.asarray(self.bottom(points) + self.block.high - _floor(self.block, points))

    @cached_property
    def outlines(self) -> tuple[Profile, Profile]:
        """Block and pocket in (u, v)."""
        place = self.place
        back = (s.profile.moved(-place.x, -place.y) for s in (self.block, self.pocket))
        turned = [one.moved(0.0, 0.0, -place.turn_deg) if place.turn_deg else one for one in back]
        block, pocket = (one.mirrored() if place.flipped else one for one in turned)
        return block, pocket

    @cached_property
    def length(self) -> float:
        """From the block's bridge-side end to its mouth, mm."""
        return self.outlines[0].box[2]

    @property
    def end(self) -> tuple[float, float, float]:
        """The middle of the block's bridge-side end, on what it rests on."""
        x, y = self.place.x, self.place.y
        return x, y, float(self.rest.floor(x, y))

    @property
    def depth(self) -> float:
        """Of the block's underside at its mouth, mm."""
        return -float(self.rest.floor(*self.place.point(self.length, 0.0)))

    @property
    def pocket_depth(self) -> float:
        """Of the pocket itself at the block's mouth, mm."""
        return -float(self.pocket.floor(*self.place.point(self.length, 0.0)))

    @property
    def angle_deg(self) -> float:
        """Tilt of what the block rests on that raises the strings toward the bridge."""
        (ax, ay, _), (sx, sy) = self.joint.ahead, self.rest.slope
        return -math.degrees(math.atan(ax * sx + ay * sy))

    def seat(self, layout: Layout) -> Seat:
        """The instrument's neck, as thick as this block with its board, where strings and scale
        want it on a floor as deep and as tilted as what this block rests on."""
        x, y = self.place.point(self.length, 0.0)
        board = layout.rooms_by_id[self.joint.board].shape.box
        block = self.block.high - float(_floor(self.block, np.array([[x, y]]))[0])
        return Seat(layout.instrument, self.depth, self.angle_deg, block + board[5] - board[2])

    @cached_property
    def slant(self) -> float:
        """How far the block's bridge-side end runs toward the bridge for each mm toward the bass;
        0 where that end is round or square."""
        s = self.outlines[0].segments
        across = ~s.arc & (s.a[:, 0] < self.length / 2.0) & (s.b[:, 0] < self.length / 2.0)
        across &= np.abs(s.ahead[:, 1]) > np.abs(s.ahead[:, 0])
        if not across.any():
            return 0.0
        along, aside = s.ahead[int(np.where(across, s.length, 0.0).argmax())].tolist()
        return -float(along) / float(aside) if abs(along) > LEVEL else 0.0

    @cached_property
    def corners(self) -> tuple[float, float]:
        """Radii of the bridge-side corners of block and pocket, mm; 0 where they are sharp."""
        block, pocket = (
            float(s.radius[s.arc & (s.a[:, 0] < self.length / 2.0)].max(initial=0.0))
            for s in (one.segments for one in self.outlines)
        )
        return block, pocket

    def side(self, outline: Profile, sign: float) -> tuple[float, float] | None:
        """v of the straight side of an outline, treble (-1) or bass (1), at u = 0 and at the
        block's mouth, mm; None where that side is curved. Where the pocket is open on that side,
        what is left of its side beside the block."""
        s = outline.segments
        along = ~s.arc & (np.abs(s.ahead[:, 0]) > np.abs(s.ahead[:, 1])) & (sign * s.a[:, 1] > 0.0)
        if ("bass" if sign > 0.0 else "treble") in self.joint.open:
            along &= np.abs(s.a[:, 1]) < np.abs(self.outlines[0].box[1::2]).max() + OPEN
        if not along.any():
            return None
        k = int(np.where(along, s.length, 0.0).argmax())
        (u0, v0), (u1, v1) = s.a[k], s.b[k]
        rise = (v1 - v0) / (u1 - u0)
        return float(v0 - rise * u0), float(v0 + rise * (self.length - u0))

    @cached_property
    def widths(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Widths of block and pocket at u = 0 and at the mouth, mm; None where a side is curved."""
        found = []
        for outline in self.outlines:
            treble, bass = self.side(outline, -1.0), self.side(outline, 1.0)
            if treble is None or bass is None:
                return None
            found.append((bass[0] - treble[0], bass[1] - treble[1]))
        return found[0], found[1]


def _floor(prism: Any, points: np.ndarray) -> np.ndarray:
    floor: np.ndarray = prism.floor(points[:, 0], points[:, 1]) + np.zeros(len(points))
    return floor


@dataclass(frozen=True, eq=False)
class Held:
    """A neck however it is held: in a pocket, or running through the body as its core.

    id: the part that states it. cut: the void or the room that sets its height, the subject of
    findings about it. board: room of its fretboard. seat: the instrument's neck there. depth: of
    its pocket at the mouth, None where it has none."""

    id: str
    cut: str
    heel: str
    board: str
    seat: Seat
    depth: float | None


def held(layout: Layout) -> tuple[Held, ...]:
    """Every neck, those in pockets first."""
    found = [
        Held(n.id, n.joint.pocket, n.joint.heel, n.joint.board, n.seat(layout), n.pocket_depth)
        for n in necks(layout)
    ]
    for core in layout.stated(Core):
        seat = core_seat(layout, core)
        if seat is not None:
            found.append(Held(core.part, core.board, core.board, core.board, seat, None))
    return tuple(found)


def necks(layout: Layout) -> tuple[Neck, ...]:
    """Every stated joint whose pocket and block are prisms, with the screws that clamp it."""
    found = []
    for joint in layout.stated(Joint):
        pocket = layout.by_id[joint.pocket].shape.prism
        block = layout.rooms_by_id[joint.heel].shape.prism
        if pocket is not None and block is not None:
            turn = math.degrees(math.atan2(joint.ahead[1], joint.ahead[0]))
            place = Place(joint.end[0], joint.end[1], turn, layout.left_handed)
            screws = tuple(s for s in layout.stated(Screw) if s.clamps == joint.pocket)
            found.append(Neck(joint, pocket, block, screws, place))
    return tuple(found)


def unasked(layout: Layout, check: str, pocketed: bool = True) -> Iterator[Finding]:
    """Why `check` has nothing to judge: the design has no joint, or one that is no block in a
    pocket; where it asks of pockets only (`pocketed`), a neck that runs through the body."""
    sound = {neck.joint.pocket for neck in necks(layout)}
    joints, cores = layout.stated(Joint), layout.stated(Core)
    if not joints and not cores:
        yield skip(check, NONE)
    if cores and pocketed and not joints:
        names = " and ".join(core.part for core in cores)
        yield skip(check, f"{names} runs through the body as its core: it has no pocket")
    for core in cores:
        if not pocketed and core_seat(layout, core) is None:
            words = f"{core.board} cannot be judged: it must be a prism on or over the front, its "
            words += "underside tilted along the neck by -5 to 10 degrees"
            yield failed(f"{check}.shape", (core.board,), words, "draw the fretboard so")
    for joint in joints:
        if joint.pocket not in sound:
            pair = f"{joint.pocket} and {joint.heel}"
            words = f"the joint of {joint.part} cannot be judged: {pair} must be prisms"
            cure = "make the pocket and the neck's block prisms"
            yield failed(f"{check}.shape", (joint.pocket, joint.heel), words, cure)


def unscrewed(layout: Layout, check: str) -> Iterator[Finding]:
    """The same for a check of neck screws: glued necks are skipped by name, and a neck that is held
    by screws and states none fails."""
    yield from unasked(layout, check)
    bare = [neck for neck in necks(layout) if not neck.screws]
    glued = [neck.id for neck in bare if neck.joint.mount == Mount.GLUE]
    if glued:
        yield skip(check, f"{' and '.join(glued)} {'is' if len(glued) == 1 else 'are'} glued")
    for neck in bare:
        if neck.joint.mount == Mount.SCREWS:
            words = (
                f"{neck.id} is held by screws and states no Screw that clamps {neck.joint.pocket}"
            )
            yield failed(f"{check}.screws", (neck.id,), words, 'state its screws, or mount="glue"')
