"""What every solid answers, so that nobody outside `geometry` asks which kind it is."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

import numpy as np

from bodycad.declare import Far
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.air import Air

if TYPE_CHECKING:
    from bodycad.geometry.solids.bore import Bore
    from bodycad.geometry.solids.prism import Prism

Box3 = tuple[float, float, float, float, float, float]
Point3 = tuple[Far, Far, Far]
Polygons = tuple[np.ndarray, ...]

NOWHERE = (math.inf, -math.inf)
"""The heights of nothing."""


class Solid(ABC):
    """A solid in space, mm. Distances and sections are exact but where a method says otherwise."""

    @property
    @abstractmethod
    def box(self) -> Box3:
        """Low and high corner: x0, y0, z0, x1, y1, z1."""

    @property
    @abstractmethod
    def volume(self) -> float:
        """Exact volume, mm3."""

    @property
    @abstractmethod
    def plan(self) -> Profile:
        """The footprint seen from above."""

    @property
    @abstractmethod
    def numbers(self) -> np.ndarray:
        """(k,): figures that two solids share in every one when they are equal."""

    @property
    @abstractmethod
    def words(self) -> str:
        """The solid's own figures in one line, for messages."""

    @property
    @abstractmethod
    def critical_heights(self) -> tuple[float, ...]:
        """Heights where the level section begins, ends or changes its kind, unsorted."""

    @property
    def full(self) -> tuple[float, float]:
        """The heights between which the level section is the whole plan; low above high if none."""
        return NOWHERE

    @property
    def hole(self) -> Bore | None:
        """The drilled hole that this is, with axis, diameter and point; None for anything else."""
        return None

    @abstractmethod
    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) from `points` (m, 3) and nearest points (m, 3) of the solid; 0 inside."""

    @abstractmethod
    def level_section(self, z: float, sagitta: float = 0.005) -> Polygons:
        """The section at height `z` as polygons (k, 2) of the true area; empty where it misses.

        `sagitta` (mm) bounds how far a polygon's edges leave a curved boundary."""

    @abstractmethod
    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Self:
        """The same solid shifted by (dx, dy, dz) mm."""

    @abstractmethod
    def mirrored(self) -> Self:
        """The solid reflected in the centreline (y -> -y)."""


@dataclass(frozen=True, eq=False)
class End:
    """One end of a shape.

    out: the unit direction (3,) in which it faces. rim: points (m, 3) round it at full width.
    reach: the height (mm) that counts as reaching a face of the body. last: the height of what
    comes out of that face last. level: whether the end is flat and level."""

    out: np.ndarray
    rim: np.ndarray
    reach: float
    last: float
    level: bool


class Shape(Solid):
    """What a void or a room takes: a solid that runs straight from its first end to its last."""

    @property
    @abstractmethod
    def ends(self) -> tuple[End, End]:
        """The first end (a prism's top, where a bore starts) and the last (a floor, a tip)."""

    @property
    @abstractmethod
    def cover(self) -> np.ndarray:
        """Points (m, 3) over the faces of both ends, and a drill's tip."""

    @property
    @abstractmethod
    def prism(self) -> Prism | None:
        """The upright prism that this is, or is equal to; None where it is neither."""

    @property
    @abstractmethod
    def upright(self) -> bool:
        """Whether its sides are upright."""

    @property
    @abstractmethod
    def highest(self) -> Point3:
        """A point that no other lies above."""

    @property
    @abstractmethod
    def lowest(self) -> Point3:
        """A point that no other lies below."""

    @abstractmethod
    def column(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Lowest and highest height (m,) over plan points (m, 2); nan beside the shape."""

    @abstractmethod
    def air(self, opens: Collection[str]) -> Air:
        """The air inside, where the ends toward the faces `opens` are no walls."""

    @abstractmethod
    def stretched(self, first: float, last: float) -> Self:
        """The same shape run `first` mm further at its first end and `last` mm at its last."""

    @abstractmethod
    def widened(self, by: float) -> Self:
        """The same shape wider all round by `by` mm; its heights stay."""

    def deepened(self, by: float, face: str) -> Self:
        """The same cut from `face`, `by` mm deeper."""
        from_below = face == "back" and self.hole is None
        return self.stretched(by, 0.0) if from_below else self.stretched(0.0, by)

    @property
    def plain_reach(self) -> float:
        """How far from the origin it reaches at most along any axis, mm; inf where only its box
        tells that, or its top does not lie over its floor."""
        return math.inf

    def within(self, outline: Profile) -> tuple[Self, ...]:
        """The parts of an upright shape inside an outline; a bore is given back whole."""
        return (self,)

    def floor_over(self, plan: Profile) -> tuple[float, float]:
        """Lowest and highest height of an upright shape's floor over a plan inside its own."""
        return self.full[0], self.full[0]


def point3(row: Sequence[float] | np.ndarray) -> Point3:
    """The point of a row of three numbers."""
    return float(row[0]), float(row[1]), float(row[2])


def same(one: Solid, two: Solid) -> bool:
    """Whether two solids are equal in every number."""
    return one is two or np.array_equal(one.numbers, two.numbers)


def boxes_apart(one: Solid, two: Solid) -> float:
    """Distance of two solids' boxes, mm: the solids cannot come nearer."""
    a, b = one.box, two.box
    return math.hypot(*(max(a[k] - b[k + 3], b[k] - a[k + 3], 0.0) for k in range(3)))
