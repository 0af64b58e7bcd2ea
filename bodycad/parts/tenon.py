"""A glued-in neck: a tenon in its mortise, short, or long with a tongue that runs on under the
front."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Annotated

import numpy as np

from bodycad.declare import Count, CutId, Text, declared, mm, over
from bodycad.errors import number
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import rounded
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.instrument.neck import Heel
from bodycad.layout.interface import Interface, Mass
from bodycad.layout.made import Made
from bodycad.layout.place import Place
from bodycad.layout.void import Room, Void
from bodycad.layout.workpiece import Workpiece
from bodycad.parts.neckjoint import Angle
from bodycad.parts.pocket import CHOICE, Open, Pocketed, RodNotch
from bodycad.units import default
from bodycad.wood import Species, species
from bodycad.words import Face, Grain, Mount, Operation, RoomKind

PLACES = 8
"""Places along a side at which its glued height is taken."""
OVERLAP = 2.0
"""How far the tongue's slot is routed on into the mortise past its own end, mm."""


@dataclass(frozen=True)
@declared("a tenon's tongue")
class Tongue:
    """What of a long tenon runs on past the heel's end toward the bridge, under the front.

             pickup's route
        front ___|   |___ <- under    heel
         |       |___|            |
         |  tongue  left          |  its underside is the heel's own
         +------------------------+
         <------ length ----->

    length: past the heel's end; width: across; corner: radius of its two far corners; under: how
    far its top lies under the plain front. cut_by: ids of the voids of other parts that are cut
    into it once it is glued."""

    length: Annotated[float, mm(3.0, 150.0)] = default(35.0, 0.3)
    width: Annotated[float, mm(10.0, 120.0)] = default(38.0, 0.2)
    corner: Annotated[float, mm(0.0, 60.0)] = default(6.35)
    under: Annotated[float, mm(0.0, 30.0)] = default(0.0)
    cut_by: Annotated[tuple[CutId, ...], Count(0, 30)] = field(default=(), metadata=CHOICE)

    def __post_init__(self) -> None:
        half = min(self.width / 2.0, self.length)
        number("the corner radius of a tenon's tongue", self.corner, high=half)


@dataclass(frozen=True)
@declared("a glued neck")
class TenonJoint(Pocketed):
    """A tenon glued into its mortise; its datum is the middle of the heel's bridge-side end, u
    toward the nut. The heel is the tenon under the fretboard: as wide as the mortise holds, which
    is often less than the fretboard.

        -------+--- board ----+
        neck   |  heel        |_ _ _ _
        -------+--------------|_tongue_|  floor of the mortise, `depth` under the front at the mouth

    side_clearance: of both sides together, filled with glue; corner: radius of the mortise's
    corners; tongue: None for a short tenon. All else is as in NeckJoint. The glue faces are the
    floor and the sides along the grain, less what is open and what others cut away: end grain holds
    little and is left out."""

    heel: Heel
    depth: Annotated[float, over(60.0)] = field(metadata=CHOICE)
    board_thickness: Annotated[float, mm(2.0, 20.0)]
    tongue: Tongue | None = None
    angle_deg: Angle = field(default=0.0, metadata=CHOICE)
    side_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.2)
    end_clearance: Annotated[float, mm(0.0, 10.0)] = default(0.3)
    overrun: Annotated[float, mm(0.0, 300.0)] = field(default=15.0, metadata=CHOICE)
    corner: Annotated[float, mm(0.0, 60.0)] = default(6.35)
    species: Text | Species | None = field(default=None, metadata=CHOICE)
    grain: Grain = field(default=Grain.TANGENTIAL, metadata=CHOICE)
    cut_for: Heel | None = field(default=None, metadata=CHOICE)
    slot_for: Tongue | None = field(default=None, metadata=CHOICE)
    open_treble: Open | None = field(default=None, metadata=CHOICE)
    open_bass: Open | None = field(default=None, metadata=CHOICE)
    rod: RodNotch | None = None

    masked = True
    shim = None

    def __post_init__(self) -> None:
        if isinstance(self.species, str):
            object.__setattr__(self, "species", species(self.species))
        self._held_together()
        if self.tongue:
            thing, remedy = "the top of a tenon's tongue under the front", "it lies over its floor"
            number(thing, self.tongue.under, high=-self.floor(0.0) - 1.0, remedy=remedy)
            remedy = "its slot ends in the mortise"
            wide = self.heel.width_end
            number("the width of a tenon's tongue", self.tongue.width, high=wide, remedy=remedy)

    def fitted(self, part: str, drawn: TenonJoint, made: Made) -> TenonJoint:
        """This tenon in the mortise that was cut for `drawn`."""
        slot = drawn.slot_for if self.tongue == drawn.tongue else drawn.slot_for or drawn.tongue
        return replace(self, slot_for=slot, **self._cut_as(drawn, f"{part}.pocket", made))

    def shared_sizes(self) -> dict[str, str]:
        """Heel and fretboard are those of the instrument's neck."""
        return {"heel.": "neck.heel.", "board_thickness": "neck.board_thickness"}

    def _tongue_plan(
        self, one: Tongue, past: float, wider: float, on: float, near: float = 0.0
    ) -> Profile:
        """A tongue's plan in (u, v), `past` mm longer, `wider` mm wider, from u = `on` back, where
        its corners are round by `near`."""
        half, far = (one.width + wider) / 2.0, -one.length - past
        corners = [(far, -half), (on, -half), (on, half), (far, half)]
        return rounded(corners, (one.corner, near, near, one.corner), "the tenon's tongue")

    def voids(self, part: str, place: Place, thickness: float) -> tuple[Void, ...]:
        found = list(self._pocket(part, place, thickness))
        if self.tongue:
            pocket, one = found[0].shape.prism, self.slot_for or self.tongue
            assert pocket is not None
            slant = abs(math.tan(math.radians(self.pocket_heel.slant_deg))) * one.width / 2.0
            on = slant + one.corner + OVERLAP
            plan = self._tongue_plan(one, self.end_clearance, self.side_clearance, on, one.corner)
            cut = replace(pocket, profile=place.profile(plan))
            meets = frozenset({f"{part}.pocket", *self.tongue.cut_by})
            opens, front = frozenset({Face.FRONT}), Face.FRONT
            found.append(Void(f"{part}.slot", part, front, Operation.POCKET, cut, opens, meets))
        return tuple(found)

    def rooms(self, part: str, place: Place, thickness: float) -> tuple[Room, ...]:
        found = list(self._block(part, place))
        if self.tongue:
            plan = place.profile(self._tongue_plan(self.tongue, 0.0, 0.0, -self.end_clearance))
            pocket = next(self._pocket(part, place, thickness)).shape.prism
            assert pocket is not None
            shape = replace(pocket, profile=plan, high=-float(self.tongue.under))
            found.append(Room(f"{part}.tongue", part, RoomKind.NECK, shape))
        return tuple(found)

    def interfaces(self, part: str, place: Place, piece: Workpiece) -> tuple[Interface, ...]:
        more = {"tongue": f"{part}.tongue", "slot": f"{part}.slot"} if self.tongue else {}
        glue = round(self._block_glue(place, piece) + self._tongue_glue(part, place, piece), 3)
        joint = self._joint(part, place, Mount.GLUE, glue=glue, **more)
        return *joint, Mass(part=part, kg=0.0, at=(*place.point(0.0, 0.0), self.floor(0.0)))

    def _block_glue(self, place: Place, piece: Workpiece) -> float:
        """mm2 of the block's floor and of its sides along the grain, up to the shaped front."""
        h, area = self.heel, self.heel_profile.area
        for side, opens in ((-1.0, self.open_treble), (1.0, self.open_bass)):
            far = h.length if opens is None else min(max(opens, 0.0), h.length)
            straight = max(far - h.corner, 0.0)
            along = h.corner + straight * (np.arange(PLACES) + 0.5) / PLACES
            half = h.width_end + (h.width_mouth - h.width_end) * along / h.length
            spots = [place.point(*spot) for spot in zip(along, side * half / 2.0)]
            top = np.minimum(-piece.skin.fall("front", np.array(spots)), self._under)
            floor = np.array([self.floor(u) for u in along.tolist()])
            area += straight * float(np.maximum(top - floor, 0.0).mean())
        return float(area)

    def _tongue_glue(self, part: str, place: Place, piece: Workpiece) -> float:
        """mm2 of the tongue's floor and sides, where no other cut takes it away: a cut through the
        floor takes the floor there, and any cut takes all sides above its own floor."""
        slot = piece.by_id.get(f"{part}.slot")
        if self.tongue is None or slot is None:
            return 0.0
        tongue = self._tongue_plan(self.tongue, 0.0, 0.0, -self.end_clearance)
        plan, top = place.profile(tongue), -float(self.tongue.under)
        area = plan.area
        for void in piece.voids:
            if void.part == part or not void.operation.routed or void.face is not Face.FRONT:
                continue
            shared = intersection(plan, void.shape.plan)
            if not shared:
                continue
            spots = np.vstack([region.outer.segments.a for region in shared])
            floors = (_floor(one.shape.prism, spots, one.low) for one in (void, slot))
            if float(np.subtract(*floors).min()) <= 0.0:
                area -= sum(region.area for region in shared)
            top = min(top, void.low)
        length = max(self.tongue.length - self.tongue.corner - self.end_clearance, 0.0)
        deep = top - self.floor(-self.tongue.length / 2.0)
        # Cuts that overlap are each counted: never less than nothing is left.
        return float(max(area, 0.0) + 2.0 * length * max(deep, 0.0))


def _floor(shape: Prism | None, spots: np.ndarray, level: float) -> np.ndarray:
    """Heights (m,) of a cut's floor at plan points (m, 2); `level` of one that is no prism."""
    return np.full(len(spots), level) if shape is None else shape.floor_at(spots)
