"""A drilled hole at any angle, with a flat end or a drill point."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated

import numpy as np

from bodycad.declare import Text, between, declared, over
from bodycad.errors import InputError
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.polygon import even_polygon
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.solids.air import NONE, PASSED, Air, Lines, Span, common, until
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.slanted import silhouette, slanted_section
from bodycad.geometry.solids.solid import NOWHERE, Box3, End, Point3, Polygons, Shape, point3

ROUND = 96
"""Points round an end."""
AROUND = 24
"""Lines along the side, and how far (mm) within it they run."""
WITHIN = 1e-6


Unit = Annotated[float, between(-1.000001, 1.000001)]
Thick = Annotated[float, over(1e5)]
Tip = Annotated[float, between(60.0, 180.0, "degrees")]


@dataclass(frozen=True, eq=False)
@declared()
class Bore(Shape):
    """A drilled hole: from `start` along the unit `direction`, `length` mm to its very tip.

    `tip_deg` is the drill point's included angle: 180 for a flat bottom, 118 for a twist drill."""

    start: Point3
    direction: tuple[Unit, Unit, Unit]
    diameter: Thick
    length: Thick
    tip_deg: Tip = 180.0

    def __post_init__(self) -> None:
        if abs(math.hypot(*self.direction) - 1.0) > 1e-6:
            thing, remedy = "a bore's direction", "bore(...) makes one of any vector"
            raise InputError(thing, self.direction, "a unit vector", remedy)

    @property
    def radius(self) -> float:
        """Half the diameter, mm."""
        return self.diameter / 2.0

    @property
    def end(self) -> Point3:
        """The very tip, mm."""
        (x, y, z), (u, v, w) = self.start, self.direction
        return x + self.length * u, y + self.length * v, z + self.length * w

    @property
    def upright(self) -> bool:
        return abs(self.direction[0]) < 1e-12 and abs(self.direction[1]) < 1e-12

    @cached_property
    def tip(self) -> float:
        """Length of the conical point, mm."""
        flat = self.tip_deg >= 180.0
        return 0.0 if flat else self.radius / math.tan(math.radians(self.tip_deg) / 2.0)

    @cached_property
    def shoulder(self) -> float:
        """Length at full diameter, mm."""
        return self.length - self.tip

    @cached_property
    def box(self) -> Box3:
        low, high = [], []
        for start, d, end in zip(self.start, self.direction, self.end):
            disc = self.radius * math.sqrt(max(1.0 - d * d, 0.0))
            shoulder = start + self.shoulder * d
            low.append(min(start - disc, shoulder - disc, end))
            high.append(max(start + disc, shoulder + disc, end))
        return *point3(low), *point3(high)

    @cached_property
    def volume(self) -> float:
        """Exact volume, mm3."""
        return math.pi * self.radius**2 * (self.shoulder + self.tip / 3.0)

    @cached_property
    def axes(self) -> np.ndarray:
        """(3, 3): two unit vectors across the bore and its direction."""
        x, y, z = self.direction
        u = (y, -x, 0.0) if abs(z) < 0.9 else (0.0, z, -y)
        a, b, c = (one / math.hypot(*u) for one in u)
        return np.array([(a, b, c), (y * c - z * b, z * a - x * c, x * b - y * a), (x, y, z)])

    def off_axis(self, point: Point3) -> float:
        """How far a point lies beside the endless axis, mm."""
        along = sum((p - s) * d for p, s, d in zip(point, self.start, self.direction))
        foot = tuple(s + along * d for s, d in zip(self.start, self.direction))
        return math.dist(point, foot)

    def at(self, along: np.ndarray) -> np.ndarray:
        """Points (m, 3) of the axis at `along` (m,) mm from the start."""
        return np.array(self.start) + np.asarray(along)[:, None] * np.array(self.direction)

    @cached_property
    def plan(self) -> Profile:
        """The circle of an upright bore. Of a slanted one the silhouette from above: ellipse ends
        fitted by arcs within `slanted.TOLERANCE`, and the drill point where it shows."""
        if self.upright:
            return circle(self.diameter, *self.start[:2])
        dx, dy, dz = self.direction
        drawn = silhouette(self.radius, self.shoulder, self.length, (math.hypot(dx, dy), dz))
        return drawn.moved(*self.start[:2], math.degrees(math.atan2(dy, dx)))

    @property
    def hole(self) -> Bore:
        return self

    @cached_property
    def prism(self) -> Prism | None:
        """The same solid as an upright prism when it is upright and has a flat end, else None."""
        if not self.upright or self.tip > 0.0:
            return None
        return Prism(self.plan, *self.full)

    @cached_property
    def numbers(self) -> np.ndarray:
        sizes = self.diameter, self.length, self.tip_deg
        return np.array([*self.start, *self.direction, *sizes], float)

    @property
    def words(self) -> str:
        spot = ", ".join(f"{c:.3f}" for c in self.start)
        return f"bore of {self.diameter:g} mm, {self.length:g} mm long from ({spot})"

    @property
    def rise(self) -> float:
        """How far (mm) the rim of a section across the bore lies above and below its middle."""
        return self.radius * math.sqrt(max(1.0 - self.direction[2] ** 2, 0.0))

    @property
    def critical_heights(self) -> tuple[float, ...]:
        """Of the rims at the start and the shoulder, and of the tip."""
        start, shoulder = self.start[2], self.start[2] + self.shoulder * self.direction[2]
        rise = self.rise
        return start - rise, start + rise, shoulder - rise, shoulder + rise, self.end[2]

    @property
    def full(self) -> tuple[float, float]:
        if not self.upright:
            return NOWHERE
        z = self.start[2], self.start[2] + self.shoulder * self.direction[2]
        return min(z), max(z)

    @property
    def highest(self) -> Point3:
        return self._extreme(1.0)

    @property
    def lowest(self) -> Point3:
        return self._extreme(-1.0)

    def _extreme(self, sign: float) -> Point3:
        if self.upright:
            return max(self.start, self.end, key=lambda p: sign * p[2])
        d = np.array(self.direction)
        across = np.array([0.0, 0.0, sign]) - sign * d[2] * d
        size = np.linalg.norm(across)
        rim = self.radius * across / size if size > 1e-12 else np.zeros(3)
        start = np.array(self.start)
        spots = [start + rim, start + self.shoulder * d + rim, np.array(self.end)]
        return point3(max(spots, key=lambda p: sign * float(p[2])))

    @cached_property
    def ends(self) -> tuple[End, End]:
        d, ring, rise = self.axes[2], self._ring(ROUND, self.radius), self.rise
        up = math.copysign(1.0, d[2])
        first, last = self.start[2], self.start[2] + self.shoulder * self.direction[2]
        start, shoulder = self.at(np.array([0.0, self.shoulder]))
        reach = up * max(up * last + rise, up * self.end[2])
        level = self.upright and self.tip == 0.0
        one = End(-d, start + ring, first - up * rise, first + up * rise, self.upright)
        return one, End(d, shoulder + ring, reach, last - up * rise, level)

    @property
    def cover(self) -> np.ndarray:
        return np.array([self.start, self.end])

    def _ring(self, count: int, radius: float) -> np.ndarray:
        """Points (count, 3) on a circle across the bore, less the middle of it."""
        turn = np.arange(count) * (2.0 * math.pi / count)
        across = np.cos(turn)[:, None] * self.axes[0] + np.sin(turn)[:, None] * self.axes[1]
        return radius * across

    @property
    def lines(self) -> Lines:
        """Lines all round the bore over its full diameter, WITHIN its side."""
        ring = self._ring(AROUND, self.radius - WITHIN)
        return Lines(np.array(self.start) + ring, self.axes[2], self.shoulder)

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
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
            past = along > self.shoulder
            in_cone = past & (along <= self.length)
            in_cone &= off <= self.radius * (self.length - along) / self.tip
            a = np.where(in_cone, along, np.where(past, self.shoulder + t * lead[0], a))
            r = np.where(in_cone, off, np.where(past, self.radius + t * lead[1], r))
        foot = np.array(self.start) + a[:, None] * self.axes[2] + r[:, None] * unit
        return np.hypot(along - a, off - r), foot

    def column(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        if self.upright:
            off = np.hypot(points[:, 0] - self.start[0], points[:, 1] - self.start[1])
            end = self.start[2] + self.direction[2] * (self.length - off * self.tip / self.radius)
            low, high = np.minimum(end, self.start[2]), np.maximum(end, self.start[2])
            beside = off > self.radius
            return np.where(beside, np.nan, low), np.where(beside, np.nan, high)
        # The cylinder's quadratic, its flat ends, its point.
        d, r = np.array(self.direction), self.radius
        out = np.column_stack([points, np.zeros(len(points))]) - np.array(self.start)
        along, up = out @ d, d[2]
        # A point at height z is along + up z from the start; a z^2 + 2 b z + c off the axis,
        # squared.
        across = out - along[:, None] * d
        rise = np.array([0.0, 0.0, 1.0]) - up * d
        a, b, c = rise @ rise, across @ rise, (across**2).sum(axis=1)
        low, high = _between(np.full(len(points), a), b, c - r * r)
        if abs(up) > 1e-12:
            ends = np.sort(np.stack([-along / up, (self.length - along) / up]), axis=0)
            low, high = np.maximum(low, ends[0]), np.minimum(high, ends[1])
        else:
            off = (along < 0.0) | (along > self.length)
            low = np.where(off, np.nan, low)
        if self.tip > 0.0:
            k, left = (r / self.tip) ** 2, self.length - along
            square = np.full(len(points), a - k * up * up)
            near, far = _between(square, b + k * up * left, c - k * left * left, np.sign(up))
            low, high = np.maximum(low, near), np.minimum(high, far)
        gone = ~(low < high)
        return np.where(gone, np.nan, low), np.where(gone, np.nan, high)

    def level_section(self, z: float, sagitta: float = 0.005) -> Polygons:
        dx, dy, dz = self.direction
        level, rise = math.hypot(dx, dy), z - self.start[2]
        if level < 1e-9:
            along = rise * dz
            if not 0.0 < along < self.length:
                return ()
            taper = 1.0 if along <= self.shoulder else (self.length - along) / self.tip
            return (even_polygon(circle(self.diameter * taper, *self.start[:2]), sagitta),)
        cut = slanted_section(self.radius, self.shoulder, self.length, (level, dz), rise, sagitta)
        if len(cut) < 3:
            return ()
        unit = np.array([dx, dy]) / level
        left = np.array([-unit[1], unit[0]])
        return (np.array(self.start[:2]) + cut[:, :1] * unit + cut[:, 1:] * left,)

    def air(self, opens: Collection[str]) -> Air:
        """The air inside; any face that it opens is at its start."""
        return _BoreAir(self, bool(opens))

    def stretched(self, first: float, last: float) -> Bore:
        """The bore begun `first` mm before its start and drilled `last` mm deeper."""
        if not (first or last):
            return self
        x, y, z = (s - first * d for s, d in zip(self.start, self.direction))
        return replace(self, start=(x, y, z), length=self.length + first + last)

    def widened(self, by: float) -> Bore:
        """The bore `by` mm wider all round; its full diameter ends where it did."""
        tip = self.tip * (1.0 + by / self.radius)
        return replace(self, diameter=self.diameter + 2.0 * by, length=self.shoulder + tip)

    def with_point(self, tip_deg: float) -> Bore:
        """The bore with another point, beyond the same length at full diameter."""
        bare = replace(self, tip_deg=tip_deg)
        return replace(bare, length=self.shoulder + bare.tip)

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Bore:
        if not (dx or dy or dz):
            return self
        x, y, z = self.start
        return replace(self, start=(x + dx, y + dy, z + dz))

    def mirrored(self) -> Bore:
        (x, y, z), (u, v, w) = self.start, self.direction
        return replace(self, start=(x, -y, z), direction=(u, -v, w))


@dataclass(frozen=True, eq=False)
class _BoreAir(Air):
    """The drill point counts as wall."""

    bore: Bore
    start_open: bool

    def _local(self, points: np.ndarray) -> np.ndarray:
        return (points - np.array(self.bore.start)) @ self.bore.axes.T

    def _room(self, points: np.ndarray) -> np.ndarray:
        across, over, along = self._local(points).T
        room = np.minimum(self.bore.radius - np.hypot(across, over), self.bore.shoulder - along)
        return room if self.start_open else np.minimum(room, along)

    def holds(self, points: np.ndarray) -> np.ndarray:
        return self._room(points) >= 0.0

    def free(self, points: np.ndarray, front: float, back: float) -> np.ndarray:
        return self._room(points)

    def leaves(self, points: np.ndarray, way: np.ndarray, most: float) -> np.ndarray:
        local, along = self._local(points), way @ self.bore.axes.T
        square, half = (along[:, :2] ** 2).sum(axis=1), (local[:, :2] * along[:, :2]).sum(axis=1)
        room = np.maximum(self.bore.radius**2 - (local[:, :2] ** 2).sum(axis=1), 0.0)
        root = np.sqrt(half * half + square * room)
        # The root that loses no digits where one goes nearly along the axis.
        out = room / np.where(half + root > 0.0, half + root, 1.0)
        side = np.where(half > 0.0, out, (root - half) / np.where(square > 0.0, square, 1.0))
        found = [np.where(square > 1e-24, side, np.inf).clip(max=most)]
        found.append(until(self.bore.shoulder - local[:, 2], along[:, 2]))
        if not self.start_open:
            found.append(until(local[:, 2], -along[:, 2]))
        return np.minimum.reduce(found)

    def spans(self, lines: Lines) -> list[Span]:
        local, way = self._local(lines.base), self.bore.axes @ lines.way
        square, half = float(way[:2] @ way[:2]), local[:, :2] @ way[:2]
        # Each line is within the radius between the roots of square t^2 + 2 half t = room.
        room = (self.bore.radius + PASSED) ** 2 - (local[:, :2] ** 2).sum(axis=1)
        ends = [lines.past(self.bore.shoulder - local[:, 2], -way[2])]
        if not self.start_open:
            ends.append(lines.past(local[:, 2], way[2]))
        if square < 1e-18:
            return [common(*ends) if room.min() >= 0.0 else NONE]
        spare = half * half + square * room
        if spare.min() < 0.0:
            return [NONE]
        root = np.sqrt(spare)
        most = float(((-half - root) / square).max()), float(((-half + root) / square).min())
        return [common(*ends, most)]


@declared("{name}")
def bore(
    start: Point3,
    direction: Point3,
    diameter: Thick,
    length: Thick,
    tip_deg: Tip = 180.0,
    name: Text = "a bore",
) -> Bore:
    """A Bore with its direction made a unit vector; InputError names what cannot be drilled."""
    size = math.sqrt(sum(c * c for c in direction))
    if not size > 0.0:
        raise InputError(f"{name}: the direction", direction, "a vector that is not nil")
    way = point3([c / size for c in direction])
    made = Bore(point3(start), way, float(diameter), float(length), float(tip_deg))
    if made.shoulder < 0.0:
        raise InputError(f"{name}: the length", length, f"more than its {made.tip:.2f} mm point")
    return made


def _between(
    a: np.ndarray, b: np.ndarray, c: np.ndarray, side: float = 0.0
) -> tuple[np.ndarray, np.ndarray]:
    """The z (m,) with a z^2 + 2 b z + c <= 0; with a negative `a` (a cone steeper than its axis)
    the half below the smaller root (`side` 1) or above the greater one (-1), or nan."""
    flat = np.abs(a) < 1e-12
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # The root that does not cancel, then the other from their product.
        q = -(b + np.copysign(np.sqrt(b * b - a * c), b))
        far = np.where(flat, -np.copysign(np.inf, b), q / a)
        near = np.where(q == 0.0, 0.0, c / q)
        one, two = np.minimum(far, near), np.maximum(far, near)
        whole = np.where(c <= 0.0, np.inf, np.nan)
    level = flat & (np.abs(b) < 1e-12)
    up = flat | (a > 0)
    low = np.where(level, -whole, np.where(up, one, np.where(side > 0, -np.inf, two)))
    high = np.where(level, whole, np.where(up, two, np.where(side > 0, one, np.inf)))
    return low, high
