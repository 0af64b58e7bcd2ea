"""What every neck in a pocket shares: the pocket's cut, the block and fretboard in it, shims, and
the notch for a truss rod that is adjusted at the heel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated, Any, Literal

from bodycad.declare import Count, CutId, between, declared, mm
from bodycad.errors import number
from bodycad.geometry.plane.build import rectangle, rounded
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.bore import bore
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.instrument.seat import heel_plan
from bodycad.layout.interface import Hardware, Interface, Joint, Sweep
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void, from_front
from bodycad.units import default
from bodycad.wood import Species
from bodycad.words import Face, Grain, Mount, Operation, RoomKind, SweepKind

CHOICE = {"size": False}
LEAST_OPEN = 1.0
"""A pocket's open side begins at least this far (mm) past the round of its corner."""
Open = Annotated[float, mm(-150.0, 300.0)]
"""How far from the heel's end, toward the nut, a side of a pocket is open from."""


@dataclass(frozen=True)
@declared("a shim")
class Shim:
    """A shim under the whole heel, mm thick at the pocket's mouth and at the heel's end: equal for
    a flat one, more at the end for one that leans the headstock back. A strip across the end alone
    bears like a wedge that is 0 at the mouth."""

    mouth: Annotated[float, mm(0.0, 10.0)] = default(0.0)
    end: Annotated[float, mm(0.0, 10.0)] = default(0.5)


@dataclass(frozen=True)
@declared("the notch for the truss rod")
class RodNotch:
    """A notch past the pocket's end, in which the tool turns the truss rod at the heel.

          toward the bridge <-          fretboard
        ___________        ______________________
                   |   /  |   ^ under the fretboard
        depth      |  /tool_deg
                   | /( nut )====== rod
                   |______|<-nut_length
                   <length>

    width, length: of the notch past the end of the pocket; depth: of its floor under the front;
    corner: radius of its corners. nut, nut_length: diameter of the rod's nut and how far it stands
    out of the heel. under: its axis below the fretboard's underside. tool: diameter of the tool,
    tool_length: how much of it must be clear, tool_deg: how steeply it may stand to the rod: 90 for
    a pin that turns a wheel from above. into: ids of voids that the notch is meant to open into.
    Defaults are common practice, no source."""

    width: Annotated[float, mm(3.0, 40.0)] = default(11.0)
    length: Annotated[float, mm(3.0, 80.0)] = default(13.0)
    depth: Annotated[float, mm(1.0, 60.0)] = default(12.0)
    corner: Annotated[float, mm(0.0, 20.0)] = default(3.2)
    nut: Annotated[float, mm(2.0, 20.0)] = default(8.0, 0.2)
    nut_length: Annotated[float, mm(0.5, 40.0)] = default(6.0, 0.5)
    under: Annotated[float, mm(0.0, 40.0)] = default(5.0, 0.5)
    tool: Annotated[float, mm(1.0, 20.0)] = default(4.0, 0.1)
    tool_length: Annotated[float, mm(5.0, 200.0)] = default(60.0)
    tool_deg: Annotated[float, between(0.0, 90.0, "degrees")] = field(default=90.0, metadata=CHOICE)
    into: Annotated[tuple[CutId, ...], Count(0, 20)] = field(default=(), metadata=CHOICE)

    def __post_init__(self) -> None:
        half, remedy = min(self.width, self.length) / 2.0, "the notch has two such corners"
        number("the corner radius of the notch for the truss rod", self.corner, high=half)
        thing = "the nut of the truss rod"
        number(thing, self.nut, high=self.width, remedy="make the notch wider")
        remedy = "make the notch longer"
        number("the truss rod's nut in its notch", self.nut_length, high=self.length, remedy=remedy)

    def cut(self, part: str, place: Place, past: float, on: float, *meets: str) -> Void:
        """The notch, from `past` mm behind the heel's end; `on`: how far before that end it is cut
        square across. meets: ids of the neck's own voids that it opens into."""
        low, high = -past - self.length, on + self.corner + 1.0
        plan = rectangle(high - low, self.width, self.corner, (low + high) / 2.0, 0.0)
        shape, opens = from_front(place.profile(plan), self.depth), frozenset({Face.FRONT})
        into, front = frozenset({*meets, *self.into}), Face.FRONT
        return Void(f"{part}.notch", part, front, Operation.POCKET, shape, opens, into)

    def solids(self, part: str, place: Place, underside: float) -> tuple[Room, Room]:
        """The rod's nut, and the tool from the middle of it (a pin) or from its end (a key).
        underside: height of the fretboard's at the heel's end."""
        turn, steep = math.radians(place.turn_deg), math.radians(self.tool_deg)
        back, z = (-math.cos(turn), -math.sin(turn)), underside - self.under
        nut = bore((*place.point(0.0, 0.0), z), (*back, 0.0), self.nut, self.nut_length)
        from_end = self.nut_length * (0.5 if self.tool_deg >= 90.0 else 1.0)
        flat, start = math.cos(steep), (*place.point(-from_end, 0.0), z)
        way = (back[0] * flat, back[1] * flat, math.sin(steep))
        tool = bore(start, way, self.tool, self.tool_length)
        return (
            Room(f"{part}.nut", part, RoomKind.PART, nut),
            Room(f"{part}.tool", part, RoomKind.TOOL, tool),
        )

    def way(self, part: str, *more: str) -> Sweep:
        """The tool's way through the notch and the neck's own voids `more`."""
        within = f"{part}.notch", *more
        return Sweep(part=part, kind=SweepKind.TOOL, room=f"{part}.tool", within=within)

    def bought(self, part: str) -> Hardware:
        """The rod, whose nut stands in the notch: a bought neck has one."""
        sizes = ("nut", self.nut), ("tool for it", self.tool)
        what, kinds = "truss rod that is adjusted at the heel", (RoomKind.PART,)
        return Hardware(part=part, what=what, fills=kinds, sizes=sizes)


class Pocketed:
    """What a part with a neck in a pocket answers for it. Its datum is the middle of the heel's
    bridge-side end, u toward the nut, v toward the bass. The fields are those of the parts."""

    heel: Heel
    depth: float
    board_thickness: float
    angle_deg: float
    side_clearance: float
    end_clearance: float
    overrun: float
    corner: float
    masked: bool
    species: str | Species | None
    grain: Grain
    cut_for: Heel | None
    shim: Shim | None
    rod: RodNotch | None
    open_treble: float | None
    open_bass: float | None

    def _held_together(self) -> None:
        """Raise InputError where the sizes of pocket, block and notch clash."""
        number("the fretboard's thickness", self.board_thickness, high=self.heel.thickness)
        thing, remedy = "the overrun of a pocket that is open on a side", "it is opened by so much"
        if self.open:
            number(thing, self.overrun, above=0.0, remedy=remedy)
        if self.rod:
            thing, remedy = "the depth of the notch for the truss rod", "it ends in the pocket"
            number(thing, self.rod.depth, high=-self.floor(0.0), remedy=remedy)
            thing, high = "the truss rod's axis under the fretboard", self.heel.rod_depth
            number(thing, self.rod.under, high=high, remedy="it lies in the rod's channel")

    @property
    def open(self) -> tuple[Literal["treble", "bass"], ...]:
        """The sides on which the pocket has no wall at its mouth."""
        sides: tuple[Literal["treble", "bass"], ...] = ("treble", "bass")
        return tuple(s for s in sides if getattr(self, f"open_{s}") is not None)

    @property
    def pocket_heel(self) -> Heel:
        """The heel that the pocket is cut for."""
        return self.cut_for or self.heel

    @cached_property
    def pocket_profile(self) -> Profile:
        """The pocket's plan in (u, v), run on past the mouth and past its open sides."""
        h = self.pocket_heel
        ends = h.corners(self.end_clearance, self.side_clearance)
        far = h.length + self.overrun
        widest = (h.width_end + self.side_clearance + h.taper * far) / 2.0
        treble = self._side(ends[0], (far, -widest), self.open_treble, -self.overrun)
        bass = self._side(ends[1], (far, widest), self.open_bass, self.overrun)
        rows = [*treble, *reversed(bass)]
        return rounded([p for p, _ in rows], tuple(r for _, r in rows), "the neck pocket")

    def _side(
        self,
        end: tuple[float, float],
        mouth: tuple[float, float],
        opens: float | None,
        out: float,
    ) -> list[tuple[tuple[float, float], float]]:
        """The corners of one side of the pocket from its end to its mouth, with their radii: where
        it is open from u = `opens` on, it steps out by `out` mm there."""
        (u, v), (far, w) = end, mouth
        if opens is None:
            return [(end, self.corner), (mouth, 0.0)]
        slant = math.tan(math.radians(self.pocket_heel.slant_deg))
        wide = w + out
        if opens <= u + self.corner + LEAST_OPEN:
            return [((u - slant * (wide - v), wide), 0.0), ((far, wide), 0.0)]
        number("where a pocket's side is open from", opens, high=self.pocket_heel.length)
        step = v + (w - v) * (opens - u) / (far - u)
        return [(end, self.corner), ((opens, step), 0.0), ((opens, wide), 0.0), ((far, wide), 0.0)]

    @cached_property
    def heel_profile(self) -> Profile:
        """The heel block's plan in (u, v)."""
        return heel_plan(self.heel)

    @cached_property
    def board_profile(self) -> Profile:
        """The fretboard over heel and overlap in (u, v), as wide as the heel's sides carried on:
        what is wider lies over the front, which the instrument's own board is held against."""
        h = self.heel
        (treble, bass), mouth = h.corners(h.board_overlap), h.width_mouth / 2.0
        return profile([treble, (h.length, -mouth), (h.length, mouth), bass], "the fretboard")

    def floor(self, u: float) -> float:
        """Height of the pocket floor at u, mm (negative)."""
        return -self.depth + math.tan(math.radians(self.angle_deg)) * (self.heel.length - u)

    @property
    def _raised(self) -> float:
        """How far the shim raises the block at its mouth, mm."""
        return float(self.shim.mouth) if self.shim else 0.0

    def _shimmed(self, u: float) -> float:
        """Thickness of the shim at u, mm."""
        if self.shim is None:
            return 0.0
        return self.shim.end + (self.shim.mouth - self.shim.end) * u / self.heel.length

    @property
    def _under(self) -> float:
        """Height of the fretboard's underside as the rooms are drawn, mm."""
        low = self.floor(self.heel.length) + self._raised
        return low + self.heel.thickness - self.board_thickness

    def _cut_as(self, drawn: Any, pocket: str, made: Made) -> dict[str, Any]:
        """The fields of this part in the pocket that was cut for `drawn`."""
        same = self.heel == drawn.heel
        names = "side_clearance", "end_clearance", "corner"
        return {
            "cut_for": drawn.cut_for if same else drawn.pocket_heel,
            "depth": drawn.depth + made.depth(pocket),
            **{name: getattr(drawn, name) for name in names},
        }

    def _pocket(self, part: str, place: Place, thickness: float) -> Iterator[Void]:
        """The pocket and the notch."""
        remedy = "use thicker stock or a shallower pocket"
        number("the pocket depth", self.depth, high=thickness - 1.0, remedy=remedy)
        slope = -math.tan(math.radians(self.angle_deg))
        turn = math.radians(place.turn_deg)
        mouth, plan = place.point(self.heel.length, 0.0), place.profile(self.pocket_profile)
        tilt = slope * math.cos(turn), slope * math.sin(turn)
        pocket = Prism(plan, -self.depth, 0.0, tilt, mouth)
        opens = frozenset({Face.FRONT, Face.EDGE})
        yield Void(f"{part}.pocket", part, Face.FRONT, Operation.POCKET, pocket, opens)
        if self.rod:
            slant = abs(math.tan(math.radians(self.pocket_heel.slant_deg))) * self.rod.width / 2.0
            yield self.rod.cut(part, place, self.end_clearance + slant, slant, f"{part}.pocket")

    def _block(self, part: str, place: Place) -> Iterator[Room]:
        """The block and the fretboard, and the rod's nut with the tool that turns it."""
        low, under = self.floor(self.heel.length) + self._raised, self._under
        top, block = under + self.board_thickness, place.profile(self.heel_profile)
        yield Room(f"{part}.heel", part, RoomKind.NECK, Prism(block, low, under))
        board = Prism(place.profile(self.board_profile), under, top)
        yield Room(f"{part}.board", part, RoomKind.BOARD, board)
        if self.rod:
            yield from self.rod.solids(part, place, under)

    def _joint(self, part: str, place: Place, mount: Mount, **more: Any) -> Iterator[Interface]:
        """The joint, the way of the tool, and what rod and shim are bought as."""
        turn = math.radians(place.turn_deg)
        yield Joint(
            part=part,
            mount=mount,
            pocket=f"{part}.pocket",
            heel=f"{part}.heel",
            board=f"{part}.board",
            end=(*place.point(0.0, 0.0), self.floor(0.0)),
            ahead=(math.cos(turn), math.sin(turn), 0.0),
            rod_width=self.heel.rod_width,
            rod_depth=self.heel.rod_depth,
            masked=self.masked,
            species=self.species,
            grain=self.grain,
            shim_mouth=self.shim.mouth if self.shim else 0.0,
            shim_end=self.shim.end if self.shim else 0.0,
            open=self.open,
            **more,
        )
        if self.rod:
            yield self.rod.way(part, f"{part}.pocket")
            yield self.rod.bought(part)
        if self.shim:
            sizes = ("at the mouth", self.shim.mouth), ("at the heel's end", self.shim.end)
            yield Hardware(part=part, what="full-size shim under the heel", sizes=sizes)
