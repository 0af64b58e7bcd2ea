"""A carve: a section of lines and arcs swept along a straight line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import Annotated

import numpy as np

from bodycad.declare import Far, Turn, between, declared
from bodycad.errors import InputError
from bodycad.geometry.plane.boolean import intersection
from bodycad.geometry.plane.polygon import convex, even_polygon, where_negative
from bodycad.geometry.plane.profile import Plan, Profile, arcs_facing, flatten, trusted
from bodycad.geometry.plane.segments import places
from bodycad.geometry.solids.shaping import Shaping
from bodycad.geometry.solids.solid import Box3, Polygons, point3

ENDLESS = 1e5
"""Half the length of a sweep without ends, mm."""
FLAT = 0.001
"""Chords leave the arcs of a tilted sweep's level slice by at most this, mm."""


@dataclass(frozen=True, eq=False)
@declared("a contour")
class Carve(Shaping):
    """A section drawn in the plane (u, w) and swept along a straight line.

    u is level, from `origin` (x, y) in the direction `turn_deg` from +x; the sweep runs to the left
    of u from `span[0]` to `span[1]` mm, climbing at `tilt_deg` about the height `pivot`; w is the
    height z while the sweep is level. Planes and cylinders only: a straight side of the section
    sweeps a bevel, an arc a round or a scoop; a tilted sweep fades out along its length."""

    section: Plan
    origin: tuple[Far, Far]
    turn_deg: Turn
    span: tuple[Far, Far]
    tilt_deg: Annotated[float, between(-80.0, 80.0, "degrees")] = 0.0
    pivot: Far = 0.0

    def __post_init__(self) -> None:
        if self.span[0] >= self.span[1]:
            raise InputError("a contour's span", self.span, "(from, to), the lower one first")

    @cached_property
    def axes(self) -> np.ndarray:
        """(3, 3): the unit directions of u, of the sweep, and of w."""
        a, t = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        along, up = np.array([-math.sin(a), math.cos(a), 0.0]), np.array([0.0, 0.0, 1.0])
        climb, w = math.cos(t) * along + math.sin(t) * up, math.cos(t) * up - math.sin(t) * along
        return np.stack([[math.cos(a), math.sin(a), 0.0], climb, w])

    @property
    def level(self) -> bool:
        """Whether the sweep does not climb."""
        return self.tilt_deg == 0.0

    @property
    def straight(self) -> Carve:
        return self

    @property
    def endless(self) -> Carve:
        """A tilted sweep without ends."""
        return self if self.level else replace(self, span=(-ENDLESS, ENDLESS))

    def local(self, points: np.ndarray) -> np.ndarray:
        """(m, 3) of u, sweep position and w for points (m, 3)."""
        local = (points - self._pivot) @ self.axes.T
        local[:, 2] += self.pivot
        return local

    def world(self, local: np.ndarray) -> np.ndarray:
        """Points (m, 3) for (m, 3) of u, sweep position and w."""
        return (local - np.array([0.0, 0.0, self.pivot])) @ self.axes + self._pivot

    @cached_property
    def _pivot(self) -> np.ndarray:
        return np.array([*self.origin, self.pivot])

    @cached_property
    def _corners(self) -> np.ndarray:
        u0, w0, u1, w1 = self.section.box
        ranges = (u0, u1), self.span, (w0, w1)
        return self.world(np.array(list(product(*ranges)), float))

    @cached_property
    def _across(self) -> complex:
        x, y = self.axes[0, :2]
        return complex(x, -y)

    def _flat(self, points: np.ndarray) -> np.ndarray:
        """(m, 2) along u and to the left of it for points (m, 2) in plan."""
        turned = places(points - self._pivot[:2]) * self._across
        return turned.view(float).reshape(-1, 2)

    @cached_property
    def box(self) -> Box3:
        return *point3(self._corners.min(axis=0)), *point3(self._corners.max(axis=0))

    @cached_property
    def volume(self) -> float:
        """Exact volume of the whole sweep, mm3 (most of it may lie in air)."""
        return self.section.area * (self.span[1] - self.span[0])

    @cached_property
    def flat_box(self) -> tuple[float, float, float, float]:
        """The box of the whole sweep in plan, in mm from the origin along u and to the left of
        it."""
        flat = self._flat(self._corners[:, :2])
        (a0, b0), (a1, b1) = flat.min(axis=0).tolist(), flat.max(axis=0).tolist()
        return a0, b0, a1, b1

    @cached_property
    def plan(self) -> Profile:
        """The rectangle round the whole sweep, along u."""
        a0, b0, a1, b1 = self.flat_box
        return rectangle_between(a0, a1, b0, b1).moved(*self.origin, self.turn_deg)

    @cached_property
    def numbers(self) -> np.ndarray:
        """The section's vertices, the origin, turn, span, tilt and pivot."""
        rest = [*self.origin, self.turn_deg, *self.span, self.tilt_deg, self.pivot]
        return np.concatenate([self.section.vertices.ravel(), rest])

    @property
    def words(self) -> str:
        x0, y0, z0, x1, y1, z1 = self.box
        return f"contour x {x0:.3f}..{x1:.3f}, y {y0:.3f}..{y1:.3f}, z {z0:.4f}..{z1:.4f}"

    @cached_property
    def critical_heights(self) -> tuple[float, ...]:
        marks = np.unique(self.section.segments.boxes[:, [1, 3]].round(9))
        local = np.array([[0.0, v, w] for v in self.span for w in marks])
        return tuple(np.unique(self.world(local)[:, 2].round(9)).tolist())

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Exact distance (m,) from `points` (m, 3) and nearest points (m, 3); 0 inside."""
        local = self.local(points)
        flat = local[:, [0, 2]]
        distance, foot, _ = self.section.segments.nearest(flat)
        inside = self.section.segments.encloses(flat)
        foot = np.where(inside[:, None], flat, foot)
        v = np.clip(local[:, 1], *self.span)
        spot = self.world(np.column_stack([foot[:, 0], v, foot[:, 1]]))
        return np.hypot(np.where(inside, 0.0, distance), local[:, 1] - v), spot

    def height(self, points: np.ndarray, face: str) -> np.ndarray:
        points = np.atleast_2d(points)
        (x0, y0, _, x1, y1, _), t = self.box, math.radians(self.tilt_deg)
        found, (x, y) = np.full(len(points), np.nan), points.T
        over = np.flatnonzero((x >= x0) & (x <= x1) & (y >= y0) & (y <= y1))
        flat = self._flat(points[over])
        u0, _, u1, _ = self.section.box
        across = (flat[:, 0] >= u0) & (flat[:, 0] <= u1)
        over, flat = over[across], flat[across]
        if len(over):
            w = section_height(self.section, flat[:, 0], face)
            z = self.pivot + (w - self.pivot + flat[:, 1] * math.sin(t)) / math.cos(t)
            v = flat[:, 1] * math.cos(t) + (z - self.pivot) * math.sin(t)
            found[over] = np.where((v >= self.span[0]) & (v <= self.span[1]), z, np.nan)
        return found

    def deepest(self, points: np.ndarray, radius: np.ndarray, face: str) -> np.ndarray:
        flat = self._flat(points)
        w = section_deepest(self.section, flat[:, 0] - radius, flat[:, 0] + radius, face)
        t = math.radians(self.tilt_deg)
        slack = radius * abs(math.tan(t)) * (-1.0 if face == "front" else 1.0)
        z = self.pivot + (w - self.pivot + flat[:, 1] * math.sin(t)) / math.cos(t) + slack
        if self.level:
            far = (flat[:, 1] + radius < self.span[0]) | (flat[:, 1] - radius > self.span[1])
            z = np.where(far, np.nan, z)
        return z

    def level_distances(self, points: np.ndarray, z: float) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) at height `z` from plan points (m, 2) to the carve, and the nearest points.

        Negative inside the carve; inf when the plane misses it. Exact when the sweep is level; of a
        tilted one never overstated, by FLAT at most understated."""
        slack = 0.0 if self.level else FLAT
        best, spot = np.full(len(points), math.inf), points.astype(float)
        for shape in self.level_slices(z):
            distance, foot, _ = shape.segments.nearest(points)
            signed = np.where(shape.segments.encloses(points), -distance, distance) - slack
            nearer = signed < best
            best, spot = np.where(nearer, signed, best), np.where(nearer[:, None], foot, spot)
        return best, spot

    def level_section(self, z: float, sagitta: float = 0.005) -> Polygons:
        return self._polygons(z, lambda shape: even_polygon(shape, sagitta))

    def level_slices(self, z: float) -> tuple[Profile, ...]:
        """The section at height `z`, in plan: exact when level, else inscribed within FLAT."""
        if z not in self._slices:
            chord = FLAT * abs(math.sin(math.radians(self.tilt_deg)))
            found = self._polygons(z, lambda shape: flatten(shape, chord))
            self._slices[z] = tuple(Profile(np.pad(rows, ((0, 0), (0, 1)))) for rows in found)
        return self._slices[z]

    @cached_property
    def _slices(self) -> dict[float, tuple[Profile, ...]]:
        """Slices by height, each worked out once."""
        return {}

    def _polygons(self, z: float, flat: Callable[[Profile], np.ndarray]) -> Polygons:
        """The section at height `z`: strips of a level sweep, the section itself stretched along a
        climbing one. `flat` makes polygons of the section."""
        if self.level:
            v0, v1 = self.span
            spans = section_spans(self.section, z)
            strips = ([[a, v0, z], [b, v0, z], [b, v1, z], [a, v1, z]] for a, b in spans)
            return tuple(self.world(np.array(strip))[:, :2] for strip in strips)
        tilt, pivot = math.radians(self.tilt_deg), self.pivot
        ends = (pivot + (z - pivot - v * math.sin(tilt)) / math.cos(tilt) for v in self.span)
        low, high = sorted(ends)
        u0, w0, u1, w1 = self.section.box
        low, high = max(low, w0 - 1.0), min(high, w1 + 1.0)
        if high - low < 1e-9:
            return ()
        rows = flat(self.section)
        if convex(rows):
            rows = where_negative(rows, rows[:, 1] - high)
            kept = [where_negative(rows, low - rows[:, 1])] if len(rows) else []
        else:
            band = rectangle_between(u0 - 1.0, u1 + 1.0, low, high)
            kept = [flat(region.outer) for region in intersection(self.section, band)]
        return tuple(self._climbed(rows, z) for rows in kept if len(rows) >= 3)

    def _climbed(self, rows: np.ndarray, z: float) -> np.ndarray:
        """Plan points where the lines of sweep of section points (m, 2) u, w pass height `z`."""
        tilt, (u, w) = math.radians(self.tilt_deg), rows.T
        v = (z - self.pivot - (w - self.pivot) * math.cos(tilt)) / math.sin(tilt)
        # A climbing sweep mirrors its section: turned round, it runs counter-clockwise.
        plan = self.world(np.column_stack([u, v, w]))[:, :2]
        return plan[::-1] if tilt > 0.0 else plan

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Carve:
        if not (dx or dy or dz):
            return self
        x, y = self.origin
        section = self.section.moved(0.0, dz) if dz else self.section
        return replace(self, section=section, origin=(x + dx, y + dy), pivot=self.pivot + dz)

    def mirrored(self) -> Carve:
        (x, y), (v0, v1) = self.origin, self.span
        return Carve(self.section, (x, -y), -self.turn_deg, (-v1, -v0), -self.tilt_deg, self.pivot)


def section_height(section: Profile, u: np.ndarray, face: str) -> np.ndarray:
    """Lowest (front) or highest (back) ordinate (m,) of a section over `u` (m,), or nan."""
    x, worst = np.asarray(u, float)[:, None], np.inf if face == "front" else -np.inf
    straight, round_ = section.segments.kinds
    table = [np.full((len(x), 1), worst)]
    with np.errstate(divide="ignore", invalid="ignore"):
        if len(straight):
            (u0, w0), (du, dw) = straight.a.T, (straight.b - straight.a).T
            t = (x - u0) / du
            table.append(np.where((t >= 0.0) & (t <= 1.0), w0 + t * dw, worst))
        if len(round_):
            half = np.sqrt(round_.radius**2 - (x - round_.centre[:, 0]) ** 2)
            for z in (round_.centre[:, 1] + half, round_.centre[:, 1] - half):
                table.append(np.where(round_.faces(x + 1j * z), z, worst))
    best = (np.minimum if face == "front" else np.maximum).reduce(np.hstack(table), axis=1)
    return np.where(np.isfinite(best), best, np.nan)


def section_deepest(section: Profile, low: np.ndarray, high: np.ndarray, face: str) -> np.ndarray:
    """Lowest (front) or highest (back) ordinate (m,) of a section's surface anywhere from `low`
    (m,) to `high` (m,), or nan where it has none there."""
    s, (u0, _, u1, _) = section.segments, section.box
    # Between these points the section only rises or falls.
    way, down = (-math.pi / 2.0, True) if face == "front" else (math.pi / 2.0, False)
    marks = np.vstack([s.a, arcs_facing(s, (way,))])
    within = (marks[:, 0] >= low[:, None]) & (marks[:, 0] <= high[:, None])
    ends = section_height(section, np.clip(np.concatenate([low, high]), u0, u1), face)
    table = [np.where(within, marks[:, 1], np.nan), ends.reshape(2, -1).T]
    w = (np.fmin if down else np.fmax).reduce(np.hstack(table), axis=1)
    return np.where((high < u0) | (low > u1), np.nan, w)


def rectangle_between(u0: float, u1: float, v0: float, v1: float) -> Profile:
    """The rectangle with those sides."""
    return trusted([(u0, v0), (u1, v0), (u1, v1), (u0, v1)], "a rectangle")


def section_spans(section: Profile, level: float) -> list[tuple[float, float]]:
    """Intervals of u in which the line at ordinate `level` lies inside a section, exact."""
    s = section.segments
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (level - s.a[:, 1]) / (s.b[:, 1] - s.a[:, 1])
        on = ~s.arc & (t >= 0.0) & (t <= 1.0)
        marks = [(s.a[:, 0] + t * (s.b[:, 0] - s.a[:, 0]))[on]]
        half = np.sqrt(s.radius**2 - (level - s.centre[:, 1]) ** 2)
        for side in (1.0, -1.0):
            angle = np.arctan2(level - s.centre[:, 1], side * half)
            hit = s.arc & np.isfinite(half) & s.spans(angle, np.arange(len(s)))
            marks.append((s.centre[:, 0] + side * half)[hit])
    cuts = np.unique(np.concatenate(marks))
    middle = np.column_stack([(cuts[:-1] + cuts[1:]) / 2.0, np.full(max(len(cuts) - 1, 0), level)])
    found: list[tuple[float, float]] = []
    here: list[bool] = s.encloses(middle).tolist() if len(middle) else []
    for a, b, inside in zip(cuts[:-1].tolist(), cuts[1:].tolist(), here):
        if inside and found and found[-1][1] == a:
            found[-1] = found[-1][0], b
        elif inside:
            found.append((a, b))
    return [(a, b) for a, b in found if b - a > 1e-9]
