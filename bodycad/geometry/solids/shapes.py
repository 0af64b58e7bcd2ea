"""The solids that leave the wood: upright prisms, bores at any angle, and carves along a line.

Every shape knows its bounding box and volume, and for points outside it the exact distance and the
nearest point of the shape (`closest`), which is all that the gap search needs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from bodycad.errors import InputError, number
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.carve import Box3, Carve, Point3


@dataclass(frozen=True, eq=False)
class Prism:
    """An upright prism: `profile` between heights `low` and `high` (mm).

    With a tilted floor (`slope` = dz/dx, dz/dy), `low` is the floor's height at `slope_at` (x, y).
    """

    profile: Profile
    low: float
    high: float
    slope: tuple[float, float] = (0.0, 0.0)
    slope_at: tuple[float, float] = (0.0, 0.0)

    @property
    def tilted(self) -> bool:
        return self.slope != (0.0, 0.0)

    def floor(self, x: float, y: float) -> float:
        """Height of the floor at (x, y), mm."""
        return (
            self.low
            + self.slope[0] * (x - self.slope_at[0])
            + self.slope[1] * (y - self.slope_at[1])
        )

    @cached_property
    def floor_range(self) -> tuple[float, float]:
        """Lowest and highest height of the floor over the profile, mm (exact on arcs by support
        points)."""
        if not self.tilted:
            return self.low, self.low
        low, high = support_range(self.profile, math.atan2(self.slope[1], self.slope[0]))
        rise, base = math.hypot(*self.slope), self.floor(0.0, 0.0)
        return base + rise * low, base + rise * high

    @cached_property
    def box(self) -> Box3:
        x0, y0, x1, y1 = self.profile.box
        return x0, y0, self.floor_range[0], x1, y1, self.high

    @cached_property
    def volume(self) -> float:
        """Exact volume, mm3: area times the height over the centroid."""
        return self.profile.area * (self.high - self.floor(*self.profile.centroid))

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Exact distance (m,) from `points` (m, 3) and nearest points (m, 3); 0 inside."""
        if self.tilted:
            from bodycad.geometry.solids.tilted import closest

            return closest(self, points)
        plan = points[:, :2]
        distance, foot, _ = self.profile.segments.nearest(plan)
        inside = self.profile.segments.encloses(plan)
        foot = np.where(inside[:, None], plan, foot)
        z = np.clip(points[:, 2], self.low, self.high)
        flat = np.where(inside, 0.0, distance)
        return np.hypot(flat, points[:, 2] - z), np.column_stack([foot, z])

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Prism:
        """The same prism shifted by (dx, dy, dz) mm."""
        if not (dx or dy or dz):
            return self
        x, y = self.slope_at
        plan = self.profile.moved(dx, dy) if dx or dy else self.profile
        return Prism(plan, self.low + dz, self.high + dz, self.slope, (x + dx, y + dy))

    def mirrored(self) -> Prism:
        """The prism reflected in the centreline (y -> -y)."""
        (sx, sy), (x, y) = self.slope, self.slope_at
        return Prism(self.profile.mirrored(), self.low, self.high, (sx, -sy), (x, -y))


@dataclass(frozen=True, eq=False)
class Bore:
    """A drilled hole: from `start` along the unit `direction`, `length` mm to its very tip.

    `tip_deg` is the included angle of the drill point: 180 for a flat bottom, 118 for a twist
    drill."""

    start: Point3
    direction: Point3
    diameter: float
    length: float
    tip_deg: float = 180.0

    @property
    def radius(self) -> float:
        return self.diameter / 2.0

    @property
    def end(self) -> Point3:
        return tuple(s + self.length * d for s, d in zip(self.start, self.direction))

    @property
    def upright(self) -> bool:
        return abs(self.direction[0]) < 1e-12 and abs(self.direction[1]) < 1e-12

    @cached_property
    def tip(self) -> float:
        """Length of the conical point, mm."""
        return (
            0.0
            if self.tip_deg >= 180.0
            else self.radius / math.tan(math.radians(self.tip_deg) / 2.0)
        )

    @cached_property
    def shoulder(self) -> float:
        """Length at full diameter, mm."""
        return self.length - self.tip

    @cached_property
    def box(self) -> Box3:
        low, high = [], []
        for start, d, end in zip(self.start, self.direction, self.end):
            disc, shoulder = (
                self.radius * math.sqrt(max(1.0 - d * d, 0.0)),
                start + self.shoulder * d,
            )
            low.append(min(start - disc, shoulder - disc, end))
            high.append(max(start + disc, shoulder + disc, end))
        return (*low, *high)

    @cached_property
    def volume(self) -> float:
        """Exact volume, mm3."""
        return math.pi * self.radius**2 * (self.shoulder + self.tip / 3.0)

    @cached_property
    def axes(self) -> np.ndarray:
        """(3, 3): two unit vectors across the bore and its direction."""
        d = np.array(self.direction)
        side = np.array([0.0, 0.0, 1.0]) if abs(d[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
        u = np.cross(d, side)
        u /= np.linalg.norm(u)
        return np.stack([u, np.cross(d, u), d])

    def at(self, along: np.ndarray) -> np.ndarray:
        """Points (m, 3) of the axis at `along` (m,) mm from the start."""
        return np.array(self.start) + np.asarray(along)[:, None] * np.array(self.direction)

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Exact distance (m,) from `points` (m, 3) and nearest points (m, 3); 0 inside."""
        out = points - np.array(self.start)
        along = out @ self.axes[2]
        across = out - along[:, None] * self.axes[2]
        off = np.hypot(across @ self.axes[0], across @ self.axes[1])
        unit = across / np.where(off > 1e-12, off, 1.0)[:, None]
        a = np.clip(along, 0.0, self.shoulder)
        r = np.minimum(off, self.radius)
        if self.tip > 0.0:
            # Beside the cone: foot on its generatrix from (shoulder, radius) to (length, 0).
            lead = np.array([self.tip, -self.radius]) / math.hypot(self.tip, self.radius)
            rel = np.stack([along - self.shoulder, off - self.radius], axis=1)
            t = np.clip(rel @ lead, 0.0, math.hypot(self.tip, self.radius))
            in_cone = (
                (along > self.shoulder)
                & (along <= self.length)
                & (off <= self.radius * (self.length - along) / self.tip)
            )
            past = along > self.shoulder
            a = np.where(in_cone, along, np.where(past, self.shoulder + t * lead[0], a))
            r = np.where(in_cone, off, np.where(past, self.radius + t * lead[1], r))
        foot = np.array(self.start) + a[:, None] * self.axes[2] + r[:, None] * unit
        return np.hypot(along - a, off - r), foot

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Bore:
        """The same hole shifted by (dx, dy, dz) mm."""
        if not (dx or dy or dz):
            return self
        x, y, z = self.start
        return replace(self, start=(x + dx, y + dy, z + dz))

    def mirrored(self) -> Bore:
        """The hole reflected in the centreline (y -> -y)."""
        (x, y, z), (u, v, w) = self.start, self.direction
        return replace(self, start=(x, -y, z), direction=(u, -v, w))

    def as_prism(self) -> Prism | None:
        """The same solid as an upright prism when it is upright and flat-bottomed, else None."""
        return self._prism

    @cached_property
    def _prism(self) -> Prism | None:
        if not self.upright or self.tip > 0.0:
            return None
        from bodycad.geometry.plane.build import circle

        z = sorted((self.start[2], self.end[2]))
        return Prism(circle(self.diameter, self.start[0], self.start[1]), *z)


Shape = Prism | Bore | Carve


def boxes_apart(one: Shape, two: Shape) -> float:
    """Distance of two shapes' boxes, mm: the shapes cannot come nearer."""
    a, b = one.box, two.box
    return math.hypot(*(max(a[k] - b[k + 3], b[k] - a[k + 3], 0.0) for k in range(3)))


def support_range(profile: Profile, angle: float) -> tuple[float, float]:
    """Least and greatest extent (mm) of a profile along the direction `angle` (radians), arcs
    exact."""
    s = profile.segments
    d = np.array([math.cos(angle), math.sin(angle)])
    values = [s.a @ d]
    index = np.arange(len(s))
    for turn in (angle, angle + math.pi):
        on = s.arc & s.spans(np.full(len(s), turn), index)
        if on.any():
            values.append(s.centre[on] @ d + s.radius[on] * math.cos(turn - angle))
    flat = np.concatenate(values)
    return float(flat.min()), float(flat.max())


def bore(
    start: Point3,
    direction: Point3,
    diameter: float,
    length: float,
    tip_deg: float = 180.0,
    name: str = "a bore",
) -> Bore:
    """A Bore with its direction made a unit vector; InputError names what cannot be drilled."""
    number(f"{name}: the diameter", diameter, above=0.0)
    number(f"{name}: the length", length, above=0.0)
    number(f"{name}: the tip angle", tip_deg, low=60.0, high=180.0)
    size = math.sqrt(sum(c * c for c in direction))
    if not size > 0.0:
        raise InputError(f"{name}: the direction", direction, "a vector that is not nil")
    made = Bore(
        tuple(map(float, start)),
        tuple(c / size for c in direction),
        float(diameter),
        float(length),
        float(tip_deg),
    )
    if made.shoulder < 0.0:
        raise InputError(f"{name}: the length", length, f"more than its {made.tip:.2f} mm point")
    return made
