"""An upright prism, its floor level or tilted."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Any

import numpy as np

from bodycad.declare import Far, between, declared
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.build import rectangle
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.polygon import convex, even_polygon, where_negative
from bodycad.geometry.plane.profile import Plan, Profile, arcs_facing, flatten, support_range
from bodycad.geometry.plane.segments import crossed, portions
from bodycad.geometry.solids.air import Air, Lines, Span, common, until
from bodycad.geometry.solids.solid import Box3, End, Point3, Polygons, Shape

ARC_PLACES = 17
"""Places along an arc of the floor's rim from which the nearest one is refined."""
NEWTON_STEPS = 6
"""Newton steps; each doubles the digits of a place already within an arc's 17th part."""
MOST_PAIRS = 200_000
"""Points times segments worked on together: keeps the arrays small."""
SPACING = 0.5
"""Spacing of the points round an end, mm; the grid over an end has GRID points a side."""
GRID = 61


Steep = Annotated[float, between(-20.0, 20.0)]
"""Height over distance of a floor."""


@dataclass(frozen=True, eq=False)
@declared()
class Prism(Shape):
    """An upright prism: `profile` between heights `low` and `high` (mm).

    With a tilted floor (`slope` = dz/dx, dz/dy), `low` is the floor's height at `slope_at` (x, y).
    """

    profile: Plan
    low: Far
    high: Far
    slope: tuple[Steep, Steep] = (0.0, 0.0)
    slope_at: tuple[Far, Far] = (0.0, 0.0)

    @property
    def tilted(self) -> bool:
        """Whether the floor is not level."""
        return self.slope != (0.0, 0.0)

    @property
    def upright(self) -> bool:
        return True

    @property
    def prism(self) -> Prism:
        return self

    @property
    def plan(self) -> Profile:
        return self.profile

    def floor(self, x: Any, y: Any) -> Any:
        """Height of the floor at (x, y), mm: numbers or arrays of one shape."""
        (sx, sy), (x0, y0) = self.slope, self.slope_at
        return self.low + sx * (x - x0) + sy * (y - y0)

    def floor_at(self, plan: np.ndarray) -> np.ndarray:
        """Heights (...) of the floor over plan points (..., 2), mm."""
        heights: np.ndarray = self.floor(plan[..., 0], plan[..., 1])
        return heights

    @cached_property
    def floor_range(self) -> tuple[float, float]:
        """Lowest and highest height of the floor, mm."""
        return self.floor_over(self.profile)

    def floor_over(self, plan: Profile) -> tuple[float, float]:
        """Lowest and highest height of the floor over a plan, mm; exact on arcs."""
        if not self.tilted:
            return self.low, self.low
        low, high = support_range(plan, math.atan2(self.slope[1], self.slope[0]))
        rise, base = math.hypot(*self.slope), self.floor(0.0, 0.0)
        return base + rise * low, base + rise * high

    @cached_property
    def box(self) -> Box3:
        x0, y0, x1, y1 = self.profile.box
        return x0, y0, self.floor_range[0], x1, y1, self.high

    @property
    def plain_reach(self) -> float:
        if self.tilted or not self.low < self.high:
            return math.inf
        # An arc leaves its chord by the bulge times half of it, and no chord is longer than twice
        # the way to a corner of the box of all vertices. What is not a number stays so.
        x, y, bulge = np.abs(self.profile.vertices).max(axis=0).tolist()
        wide = math.hypot(x, y) * (1.0 + max(bulge, 1.0))
        return max(wide, abs(self.low), abs(self.high))

    @cached_property
    def volume(self) -> float:
        """Exact volume, mm3: area times the height over the centroid."""
        return self.profile.area * (self.high - self.floor(*self.profile.centroid))

    @cached_property
    def numbers(self) -> np.ndarray:
        """The profile's vertices from a first one that does not depend on how it was drawn, then
        the floor's range, the top and the slope."""
        rows = self.profile.vertices
        first = int(np.lexsort(np.round(rows, 9).T[::-1])[0])
        ends = [*self.floor_range, self.high, *self.slope]
        return np.concatenate([np.roll(rows, -first, axis=0).ravel(), ends])

    @property
    def words(self) -> str:
        x0, y0, z0, x1, y1, z1 = self.box
        return f"prism x {x0:.3f}..{x1:.3f}, y {y0:.3f}..{y1:.3f}, z {z0:.4f}..{z1:.4f}"

    @property
    def critical_heights(self) -> tuple[float, ...]:
        return (*self.floor_range, self.high)

    @property
    def full(self) -> tuple[float, float]:
        return self.floor_range[1], self.high

    @property
    def highest(self) -> Point3:
        return *self._middle, self.high

    @property
    def lowest(self) -> Point3:
        if not self.tilted:
            return *self._middle, self.low
        angle = math.atan2(-self.slope[1], -self.slope[0])
        s = self.profile.segments
        spots = np.vstack([s.a, arcs_facing(s, (angle,))])
        x, y = map(float, min(spots, key=lambda p: self.floor(*p)))
        return x, y, self.floor(x, y)

    @cached_property
    def _middle(self) -> tuple[float, float]:
        x, y = self.profile.centroid
        if not self.profile.contains(x, y):
            x, y = map(float, self.profile.vertices[0, :2])
        return x, y

    @cached_property
    def ends(self) -> tuple[End, End]:
        rim = flatten(self.profile, 0.01)
        ahead = np.roll(rim, -1, axis=0) - rim
        count = np.maximum(np.ceil(np.hypot(*ahead.T) / SPACING), 1).astype(int)
        index, place = portions(count)
        rim = rim[index] + (place / count[index])[:, None] * ahead[index]
        top, floor = self._lifted(rim)
        up, low = np.array([0.0, 0.0, 1.0]), self.floor_range[1]
        last = End(-up, floor, low, low, not self.tilted)
        return End(up, top, self.high, self.high, True), last

    @property
    def cover(self) -> np.ndarray:
        """A grid over the top and over the floor."""
        x0, y0, x1, y1 = self.profile.box
        grid = np.stack(np.meshgrid(np.linspace(x0, x1, GRID), np.linspace(y0, y1, GRID)), -1)
        grid = grid.reshape(-1, 2)
        return np.vstack(self._lifted(grid[self.profile.segments.encloses(grid)]))

    def _lifted(self, plan: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Plan points (m, 2) at the top's height, and at the floor's."""
        top = np.full(len(plan), self.high)
        return np.column_stack([plan, top]), np.column_stack([plan, self.floor_at(plan)])

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) from `points` (m, 3) and nearest points (m, 3); 0 inside. Exact; to a
        tilted floor's rim over an arc by Newton's method."""
        s, plan = self.profile.segments, points[:, :2]
        flat, foot, _ = s.nearest(plan)
        inside = s.encloses(plan)
        foot = np.where(inside[:, None], plan, foot)
        floor = self.floor_at(foot) if self.tilted else self.low
        z = np.clip(points[:, 2], floor, self.high)
        best = np.hypot(np.where(inside, 0.0, flat), points[:, 2] - z)
        spot = np.column_stack([foot, z])
        if self.tilted:
            # From the foot's column up nothing is nearer than the plan distance or the top.
            under = np.flatnonzero(points[:, 2] < z)
            size = max(1, MOST_PAIRS // (len(s) * ARC_PLACES))
            for k in range(0, len(under), size):
                rows = under[k : k + size]
                for found in _from_below(self, points[rows]):
                    distance = np.linalg.norm(found - points[rows], axis=1)
                    nearer = distance < best[rows]
                    best[rows[nearer]], spot[rows[nearer]] = distance[nearer], found[nearer]
        return best, spot

    def column(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        inside = self.profile.segments.encloses(points)
        floor = self.floor_at(points)
        return np.where(inside, floor, np.nan), np.where(inside, self.high, np.nan)

    def level_section(self, z: float, sagitta: float = 0.005) -> Polygons:
        low, high = self.floor_range
        if not low < z < self.high:
            return ()
        points = even_polygon(self.profile, sagitta)
        if z >= high:
            return (points,)
        if convex(points):
            return (where_negative(points, self.floor_at(points) - z),)
        found = intersection(self.profile, self._below(z))
        return tuple(even_polygon(region.outer, sagitta) for region in found)

    def _below(self, z: float) -> Profile:
        """A rectangle over all of the plan where the tilted floor lies below height `z`."""
        sx, sy = self.slope
        steep = math.hypot(sx, sy)
        x0, y0, x1, y1 = self.profile.box
        size = 4.0 * (math.hypot(x1 - x0, y1 - y0) + 1.0)
        x, y, turn = (x0 + x1) / 2.0, (y0 + y1) / 2.0, math.degrees(math.atan2(sy, sx))
        # From the middle of the plan up the slope, to the line where the floor is at z.
        at = (z - self.floor(x, y)) / steep - size / 2.0
        return rectangle(size, size).moved(x + at * sx / steep, y + at * sy / steep, turn)

    def air(self, opens: Collection[str]) -> Air:
        """The air inside; "front" opens the top, "back" the floor."""
        return _PrismAir(self, "front" in opens, "back" in opens)

    def within(self, outline: Profile) -> tuple[Prism, ...]:
        """The parts of the prism inside an outline."""
        found = intersection(self.profile, outline)
        return tuple(replace(self, profile=region.outer) for region in found)

    def stretched(self, first: float, last: float) -> Prism:
        """The prism `first` mm higher and its floor `last` mm lower."""
        if not (first or last):
            return self
        return replace(self, low=self.low - last, high=self.high + first)

    def widened(self, by: float) -> Prism:
        """The prism with its profile offset by `by` mm."""
        return replace(self, profile=offset(self.profile, by)[0])

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Prism:
        if not (dx or dy or dz):
            return self
        x, y = self.slope_at
        plan = self.profile.moved(dx, dy) if dx or dy else self.profile
        return Prism(plan, self.low + dz, self.high + dz, self.slope, (x + dx, y + dy))

    def mirrored(self) -> Prism:
        (sx, sy), (x, y) = self.slope, self.slope_at
        return Prism(self.profile.mirrored(), self.low, self.high, (sx, -sy), (x, -y))


@dataclass(frozen=True, eq=False)
class _PrismAir(Air):
    prism: Prism
    top_open: bool
    floor_open: bool

    def holds(self, points: np.ndarray) -> np.ndarray:
        x0, y0, _, x1, y1, _ = self.prism.box
        plan, z = points[:, :2], points[:, 2]
        inside: np.ndarray = np.all((plan >= (x0, y0)) & (plan <= (x1, y1)), axis=1)
        if not self.floor_open:
            inside &= z >= self.prism.floor_at(plan)
        if not self.top_open:
            inside &= z <= self.prism.high
        near = np.flatnonzero(inside)
        if len(near):
            inside[near] = self.prism.profile.segments.encloses(plan[near])
        return inside

    def leaves(self, points: np.ndarray, way: np.ndarray, most: float) -> np.ndarray:
        prism, plan, z = self.prism, points[:, :2], points[:, 2]
        walls = crossed(prism.profile.segments, plan, way[:, :2], 0.0, most)
        found = [np.full(len(points), most), *walls[:, :1].T]
        if not self.floor_open:
            sinks = way[:, :2] @ np.array(prism.slope) - way[:, 2]
            found.append(until(z - prism.floor_at(plan), sinks))
        if not self.top_open:
            found.append(until(prism.high - z, way[:, 2]))
        return np.minimum.reduce(found)

    def free(self, points: np.ndarray, front: float, back: float) -> np.ndarray:
        prism, plan, z = self.prism, points[:, :2], points[:, 2]
        inside = -prism.profile.signed_distance(plan)
        walls = [inside]
        if not self.floor_open:
            slope = np.hypot(1.0, np.hypot(*prism.slope))
            walls.append((z - prism.floor_at(plan)) / slope)
        if not self.top_open:
            walls.append(prism.high - z)
        free = np.minimum.reduce(walls)
        top = self.top_open, z - front, z - prism.floor_range[1]
        for open_, over, room in (top, (self.floor_open, back - z, prism.high - z)):
            if open_:
                rim = np.minimum(np.hypot(inside, over), room)
                free = np.where((over > 0.0) & (inside > 0.0), np.maximum(free, rim), free)
        return free

    def spans(self, lines: Lines) -> list[Span]:
        prism, base, way = self.prism, lines.base, lines.way
        ends = [(0.0, lines.length)]
        if not self.floor_open:
            climbs = way[2] - way[:2] @ np.array(prism.slope)
            ends.append(lines.past(base[:, 2] - prism.floor_at(base[:, :2]), climbs))
        if not self.top_open:
            ends.append(lines.past(prism.high - base[:, 2], -way[2]))
        return [common(span, *ends) for span in lines.all_in(prism.profile.segments)]


def _from_below(prism: Prism, points: np.ndarray) -> Iterator[np.ndarray]:
    """For points (m, 3) below the floor at their plan foot: some of the prism, the nearest too."""
    s, slope = prism.profile.segments, np.array(prism.slope)
    rows = np.arange(len(points))
    # The floor's plane, where the foot lies on the floor.
    lift = (prism.floor_at(points[:, :2]) - points[:, 2]) / (1.0 + slope @ slope)
    foot = points + lift[:, None] * np.array([-slope[0], -slope[1], 1.0])
    on = s.encloses(foot[:, :2])
    yield np.where(on[:, None], foot, np.inf)
    # The walls, square to each segment.
    feet, distance = s.feet(points[:, :2])
    z = np.clip(points[:, 2:], prism.floor_at(feet), prism.high)
    k = np.argmin(np.hypot(distance, points[:, 2:] - z), axis=1)
    yield np.column_stack([feet[rows, k], z[rows, k]])
    # The floor's rim.
    lines, arcs = np.flatnonzero(~s.arc), np.flatnonzero(s.arc)
    if len(lines):
        yield _line_feet(prism, lines, points)
    if len(arcs):
        yield _arc_feet(prism, arcs, points)


def _line_feet(prism: Prism, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Nearest points (m, 3) on the rim over the straight segments `index`."""
    s, p = prism.profile.segments, points[:, None, :]
    a = np.column_stack([s.a[index], prism.floor_at(s.a[index])])
    d = np.column_stack([s.b[index], prism.floor_at(s.b[index])]) - a
    t = np.clip(((p - a) * d).sum(axis=2) / np.maximum((d * d).sum(axis=1), 1e-300), 0.0, 1.0)
    feet = a + t[..., None] * d
    k = np.argmin(((feet - p) ** 2).sum(axis=2), axis=1)
    return feet[np.arange(len(points)), k]


def _arc_feet(prism: Prism, index: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Nearest points (m, 3) on the rim over the arcs `index`: the best of ARC_PLACES, refined."""
    s, slope = prism.profile.segments, np.array(prism.slope)
    share = np.linspace(0.0, 1.0, ARC_PLACES)
    spots = np.stack([s.take(index).at(np.full(len(index), t)) for t in share])
    spots = np.concatenate([spots, prism.floor_at(spots)[..., None]], axis=2)
    best = np.argmin(((spots[None] - points[:, None, None, :]) ** 2).sum(axis=3), axis=1)
    start, sweep, radius, centre = s.start[index], s.sweep[index], s.radius[index], s.centre[index]
    low, high = (start + sweep * share[np.clip(best + step, 0, ARC_PLACES - 1)] for step in (-1, 1))
    low, high = np.minimum(low, high), np.maximum(low, high)
    angle = start + sweep * share[best]
    for _ in range(NEWTON_STEPS):
        c, sn = np.cos(angle), np.sin(angle)
        out, ahead = (radius[:, None] * np.stack(way, axis=-1) for way in ((c, sn), (-sn, c)))
        away = centre + out - points[:, None, :2]
        rise = prism.floor_at(centre + out) - points[:, 2:]
        first = (away * ahead).sum(axis=2) + rise * (ahead @ slope)
        second = radius**2 - (away * out).sum(axis=2) + (ahead @ slope) ** 2 - rise * (out @ slope)
        newton = first / np.where(second > 0.0, second, 1.0)
        step = np.where(second > 0.0, newton, np.sign(first) * (high - low) / 4.0)
        angle = np.clip(angle - step, low, high)
    found = centre + radius[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    refined = np.concatenate([found, prism.floor_at(found)[..., None]], axis=2)
    sampled = spots[best, np.arange(len(index))]
    both = np.concatenate([refined, sampled], axis=1)
    k = np.argmin(((both - points[:, None, :]) ** 2).sum(axis=2), axis=1)
    return both[np.arange(len(points)), k]
