"""What the bolt checks ask of neck screws, for one screw or for many places at once.

Every figure is worked out here alone: `bolts` judges the figures of the screws that a design has,
and `pattern` asks for the same figures over the whole heel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.level import level_reach
from bodycad.fasteners import Insert
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3
from bodycad.shop import Shop
from bodycad.tools import Drill


@dataclass(frozen=True, eq=False)
class Screws:
    """Screws of one size in one neck, each (m,) at its own place; mm.

    at (m, 3): the middles of their seats. way: from head to tip. reach: from seat to tip. flange:
    diameter on the seat. thread: outside diameter. insert: what they bite, None for wood screws;
    point: how far the drill of its hole goes beyond the full diameter.
    """

    neck: Neck
    at: np.ndarray
    way: Point3
    reach: float
    flange: float
    thread: float
    insert: Insert | None = None
    point: float = 0.0

    @property
    def tilt_deg(self) -> float:
        """Degrees by which the screws stand off square to what the block rests on."""
        return self._off_square(self.neck.rest)

    def _off_square(self, floor: Prism) -> float:
        normal = np.array([-floor.slope[0], -floor.slope[1], 1.0])
        aside = float(np.linalg.norm(np.cross(self.way, normal)))
        return math.degrees(math.atan2(aside, abs(float(np.dot(self.way, normal)))))

    @cached_property
    def run(self) -> np.ndarray:
        """(m,): along the axis from the seat to the pocket's floor."""
        climb = self.way[2] - float(np.dot(self.neck.pocket.slope, self.way[:2]))
        return np.asarray((self.neck.floor(self.at[:, :2]) - self.at[:, 2]) / climb)

    @cached_property
    def enters(self) -> np.ndarray:
        """(m,): along the axis from the seat to the block's underside, past the shim."""
        if self.neck.rest is self.neck.pocket:
            return self.run
        climb = self.way[2] - float(np.dot(self.neck.rest.slope, self.way[:2]))
        return np.asarray((self.neck.bottom(self.at[:, :2]) - self.at[:, 2]) / climb)

    @cached_property
    def mouths(self) -> np.ndarray:
        """(m, 3): where the axes come out of the pocket's floor."""
        return np.asarray(self.at + self.run[:, None] * np.array(self.way))

    @cached_property
    def tips(self) -> np.ndarray:
        """(m, 3): the screws' points."""
        return self.at + self.reach * np.array(self.way)

    @property
    def wood(self) -> np.ndarray:
        """(m,): least wood over the flange; on a tilted floor its rim has least."""
        tilt = math.radians(self._off_square(self.neck.pocket))
        return self.run - self.flange / 2.0 * math.tan(tilt)

    @property
    def grip(self) -> np.ndarray:
        """(m,): length of the screw in the neck."""
        return self.reach - self.enters

    @property
    def holes(self) -> np.ndarray:
        """(m, 3): the ends of the holes in the neck: the screws' tips, or where the hole for an
        insert ends with its point, whichever is farther."""
        if self.insert is None:
            return self.tips
        far = np.maximum(self.reach, self.enters + self.insert.depth + self.point)
        return np.asarray(self.at + far[:, None] * np.array(self.way))

    @property
    def outside(self) -> float:
        """Diameter of what bites the neck's wood: the thread, or the insert."""
        return self.insert.outside if self.insert else self.thread

    @property
    def to_board(self) -> np.ndarray:
        """(m,): height of the fretboard's underside over the holes' ends."""
        return np.asarray(self.neck.under_board(self.holes[:, :2]) - self.holes[:, 2])

    @property
    def to_rod(self) -> np.ndarray:
        """(m,): from the threads to the side of the truss rod's channel; inf where the tips end
        below the channel or there is none."""
        joint = self.neck.joint
        if joint.rod_width <= 0.0:
            return np.full(len(self.at), math.inf)
        aside = np.abs(self.neck.uv(self.holes[:, :2])[:, 1])
        beside = aside - joint.rod_width / 2.0 - self.outside / 2.0
        return np.where(self.to_board < joint.rod_depth, beside, math.inf)

    @property
    def lowest(self) -> np.ndarray:
        """(m,): least height of the flanges' rims; that of the seats where screws are upright."""
        return self.at[:, 2] - self.flange / 2.0 * math.hypot(*self.way[:2])

    def land(self, skin: Skin, inset: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """(m,): from the axes to the air at the level of the seats, and whose air it is; see
        `level_reach`."""
        return level_reach(skin, self.at[:, :2], inset, self.lowest)


def insert_point(shop: Shop, insert: Insert) -> float:
    """How far the point of the shop's drill for an insert's hole goes beyond its depth, mm."""
    drill = shop.drill_for(insert.hole, insert.depth)
    return (drill or Drill(insert.hole, insert.depth)).point


def inside(outline: Profile, points: np.ndarray, radius: float) -> tuple[np.ndarray, np.ndarray]:
    """Room (m,) from circles of `radius` about plan points (m, 2) to the outline that holds them,
    negative where they poke out, and the nearest points (m, 2) of the outline; mm."""
    distance, foot, _ = outline.segments.nearest(points)
    return np.where(outline.segments.encloses(points), distance, -distance) - radius, foot
