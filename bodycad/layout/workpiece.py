"""A workpiece: one piece of wood or sheet that is cut, in its own frame, and where it sits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from bodycad.errors import number
from bodycad.geometry.solids.carve import Point3
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.blank import Blank
from bodycad.layout.void import Void

BODY = "body"
"""The id of the first workpiece of a layout."""


@dataclass(frozen=True)
class Frame:
    """Where a workpiece's own frame sits in the instrument's.

    The piece is turned over about its x axis where `turned_over` (its front then faces the back),
    turned by `turn_deg` about z, and shifted by (x, y, z) mm.
    """

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    turn_deg: float = 0.0
    turned_over: bool = False

    def __post_init__(self) -> None:
        for name in ("x", "y", "z", "turn_deg"):
            number(f"{name} of a workpiece's frame", getattr(self, name))

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

    def mirrored(self) -> Frame:
        """The frame of the piece's mirrored twin."""
        return replace(self, y=-self.y, turn_deg=-self.turn_deg)


@dataclass(frozen=True, eq=False)
class Workpiece:
    """One piece to be cut: its skin and voids in its own frame, mm.

    In that frame wood fills `-thickness <= z <= 0` inside the skin's outline; its front is z = 0.
    part: id of the placed part it belongs to, "" for none. blank: the board or sheet it is cut
    from, None where an offcut will do. sheet: it is cut from plastic, metal or ply sheet, whose
    limits are not those of a body's wood ("edge.sheet"). title: its name for people.
    """

    id: str
    skin: Skin
    voids: tuple[Void, ...] = ()
    blank: Blank | None = None
    frame: Frame = field(default_factory=Frame)
    part: str = ""
    title: str = ""
    sheet: bool = False

    @property
    def edge(self) -> str:
        """The subject of findings that stands for its edge: "edge" of the body."""
        return "edge" if self.id == BODY else f"{self.id}.edge"

    @property
    def thickness(self) -> float:
        """Of the plain stock, mm."""
        return self.skin.thickness

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

    def mirrored(self) -> Workpiece:
        """The piece of the left-handed twin: reflected in its own centreline (y -> -y)."""
        return replace(
            self,
            skin=self.skin.mirrored(),
            voids=tuple(void.mirrored() for void in self.voids),
            blank=self.blank and self.blank.mirrored(),
            frame=self.frame.mirrored(),
        )
