"""A workpiece: one piece of wood or sheet that is cut, in its own frame, and where it sits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated, Any, Literal

from bodycad.declare import Count, Id, Name, Spot, Turn, declared
from bodycad.geometry.plane.profile import Plan, Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.blank import Blank, Pin
from bodycad.layout.void import Void
from bodycad.words import SIDES, Face

MOST_VOIDS = 1000
"""The most cuts of one workpiece: a body has about a hundred at most, and what is asked of pairs of
them grows with the square of their number where they crowd."""
BODY = "body"
"""The id of the first workpiece of a layout."""
PAST_HALF = 0.5
"""How far (mm) past the middle each half of an outline is cut, so that no skin is left (common
practice, no source)."""


@dataclass(frozen=True)
@declared("a workpiece's frame")
class Frame:
    """Where a workpiece's own frame sits in the instrument's.

    The piece is turned over about its x axis where `turned_over` (its front then faces the back),
    turned by `turn_deg` about z, and shifted by (x, y, z) mm."""

    x: Spot = 0.0
    y: Spot = 0.0
    z: Spot = 0.0
    turn_deg: Turn = 0.0
    turned_over: bool = False

    def point(self, own: Point3) -> Point3:
        """The instrument's coordinates of a point in the piece's own."""
        x, y, z = self.way(own)
        return x + self.x, y + self.y, z + self.z

    def way(self, own: Point3) -> Point3:
        """The instrument's components of a direction in the piece's own frame."""
        flip = -1.0 if self.turned_over else 1.0
        x, y, z = own[0], flip * own[1], flip * own[2]
        turn = math.radians(self.turn_deg)
        c, s = (math.cos(turn), math.sin(turn)) if self.turn_deg else (1.0, 0.0)
        return c * x - s * y, s * x + c * y, z

    def own(self, point: Point3) -> Point3:
        """The piece's own coordinates of a point of the instrument's."""
        back = Frame(turn_deg=-self.turn_deg)
        x, y, z = back.way((point[0] - self.x, point[1] - self.y, point[2] - self.z))
        return (x, -y, -z) if self.turned_over else (x, y, z)

    def profile(self, own: Profile) -> Profile:
        """A profile of the piece's own plan on the instrument's."""
        return (own.mirrored() if self.turned_over else own).moved(self.x, self.y, self.turn_deg)

    def own_profile(self, plan: Profile) -> Profile:
        """A profile of the instrument's plan on the piece's own."""
        back = plan.moved(-self.x, -self.y)
        back = back.moved(0.0, 0.0, -self.turn_deg) if self.turn_deg else back
        return back.mirrored() if self.turned_over else back

    def span(self, low: float, high: float) -> tuple[float, float]:
        """The instrument's heights of what lies between two of the piece's own."""
        return (self.z - high, self.z - low) if self.turned_over else (self.z + low, self.z + high)

    def mirrored(self) -> Frame:
        """The frame of the piece's mirrored twin."""
        return replace(self, y=-self.y, turn_deg=-self.turn_deg)


@dataclass(frozen=True, eq=False)
@declared("the workpiece {id}")
class Workpiece:
    """One piece to be cut: its skin and voids in its own frame, mm.

    In that frame wood fills `-thickness <= z <= 0` inside the skin's outline; its front is z = 0.
    part: id of the placed part it belongs to, "" for none. blank: the board or sheet it is cut
    from, None where an offcut will do. sheet: it is cut from plastic, metal or ply sheet, whose
    limits are not those of a body's wood ("edge.sheet"). title: its name for people. neck: plan of
    a core that runs on past the outline as the neck, so that no cut of the outline may cross it;
    `lay_out` takes it from the record `Core`."""

    id: Id
    skin: Skin
    voids: Annotated[tuple[Void, ...], Count(0, MOST_VOIDS)] = ()
    blank: Blank | None = None
    frame: Frame = field(default_factory=Frame)
    part: Literal[""] | Id = ""
    title: Name = ""
    sheet: bool = False
    neck: Plan | None = None

    @property
    def edge(self) -> str:
        """The subject of findings that stands for its edge: "edge" of the body."""
        return "edge" if self.id == BODY else f"{self.id}.edge"

    @property
    def file_id(self) -> str:
        """Its id as file names hold it."""
        return self.id.replace(".", "-")

    @property
    def thickness(self) -> float:
        """Of the plain stock, mm."""
        return self.skin.thickness

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """The flat faces that are worked, in the order of work: both of the body; of another piece
        the front, and the back where something is cut there. The last one cuts the outline through,
        for with it go the waste and the datum pins in it."""
        cut = [v.face for v in self.voids] + [c.face for c in self.skin.contours]
        if self.id != BODY and Face.BACK not in cut and not self.skin.edges("back"):
            return (Face.FRONT,)
        front = self.blank is not None and self.blank.outline_from is Face.FRONT
        return SIDES[::-1] if front else SIDES

    @cached_property
    def outline_cuts(self) -> Mapping[Face, float]:
        """How deep the outline is cut from each face that cuts it, mm: right through from one, or
        half from each of two and `PAST_HALF` more."""
        if len(self.faces) == 2 and self.blank is not None and self.blank.outline_from is None:
            return dict.fromkeys(self.faces, self.thickness / 2.0 + PAST_HALF)
        return {self.faces[-1]: self.thickness}

    @cached_property
    def pins(self) -> Mapping[str, Pin]:
        """The datum pins of its blank by id; none without one."""
        own = "" if self.id == BODY else f"{self.id}."
        pins = self.blank.pins if self.blank is not None else ()
        return {f"{own}pin.{k}": pin for k, pin in enumerate(pins, 1)}

    @cached_property
    def by_id(self) -> Mapping[str, Void]:
        """Voids by id."""
        return {void.id: void for void in self.voids}

    @cached_property
    def cut_memo(self) -> dict[Any, Any]:
        """Figures that depend on the cuts and the skin alone, each worked out once."""
        return {}

    def voids_of(self, part: str) -> tuple[Void, ...]:
        """The voids that serve one placed part."""
        return tuple(v for v in self.voids if v.part == part)

    @cached_property
    def openings(self) -> Mapping[str, tuple[Void, ...]]:
        """The voids that are declared to open into each void, by its id, in the piece's order."""
        found: dict[str, set[str]] = {void.id: set(void.meets) - {void.id} for void in self.voids}
        for void in self.voids:
            for other in (void.meets & found.keys()) - {void.id}:
                found[other].add(void.id)
        return {
            name: tuple(v for v in self.voids if v.id in ids) if ids else ()
            for name, ids in found.items()
        }

    def meant(self, one: Void, two: Void) -> bool:
        """Whether two voids are declared to open into each other."""
        return two.id in one.meets or one.id in two.meets

    @cached_property
    def envelope(self) -> Prism:
        """The uncut piece in the instrument's frame: its outline from back to front."""
        plan = self.frame.profile(self.skin.outline)
        return Prism(plan, *self.frame.span(-self.thickness, 0.0))

    def moved(self, dx: float, dy: float) -> Workpiece:
        """The piece shifted by (dx, dy) mm on the instrument."""
        if not (dx or dy):
            return self
        frame = replace(self.frame, x=self.frame.x + dx, y=self.frame.y + dy)
        return replace(self, frame=frame)

    def mirrored(self) -> Workpiece:
        """The piece of the left-handed twin: reflected in its own centreline (y -> -y)."""
        return replace(
            self,
            skin=self.skin.mirrored(),
            voids=tuple(void.mirrored() for void in self.voids),
            blank=self.blank and self.blank.mirrored(),
            frame=self.frame.mirrored(),
            neck=self.neck and self.neck.mirrored(),
        )
