"""Shapes made of a layout's raw numbers: which points they hold, points on them, and meshes.

A round is drawn with chords that leave it by SAGITTA at most; that counts in every tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import manifold3d
import numpy as np
import shapely

Solid = manifold3d.Manifold
Section = manifold3d.CrossSection
SAGITTA = 0.01
"""mm: the greatest distance from a chord to its arc."""


def polygon(rows: np.ndarray, sagitta: float = SAGITTA) -> np.ndarray:
    """Points (n, 2) on a closed chain given as rows x, y, bulge = tan(quarter of the angle)."""
    found = []
    for (x0, y0, bulge), (x1, y1, _) in zip(rows, np.roll(rows, -1, axis=0)):
        found.append((x0, y0))
        if abs(bulge) < 1e-12:
            continue
        angle = 4.0 * math.atan(bulge)
        chord = math.hypot(x1 - x0, y1 - y0)
        radius = chord / (2.0 * abs(math.sin(angle / 2.0)))
        share = max(min(sagitta / radius, 1.0), 1e-9)
        count = max(int(math.ceil(abs(angle) / (2.0 * math.acos(1.0 - share)))), 1)
        # The middle of the chord, and from it square to the chord to the centre.
        away = chord / (2.0 * math.tan(angle / 2.0))
        cx = (x0 + x1) / 2.0 - away * (y1 - y0) / chord
        cy = (y0 + y1) / 2.0 + away * (x1 - x0) / chord
        start = math.atan2(y0 - cy, x0 - cx)
        for k in range(1, count):
            turn = start + angle * k / count
            found.append((cx + radius * math.cos(turn), cy + radius * math.sin(turn)))
    return np.array(found)


def prepared(rim: np.ndarray) -> shapely.Polygon:
    """A closed polygon (n, 2), ready to be asked often."""
    plan = shapely.Polygon(rim)
    shapely.prepare(plan)
    return plan


def inside(plan: shapely.Polygon, points: np.ndarray) -> np.ndarray:
    """Which of the points (m, 2) lie inside."""
    x0, y0, x1, y1 = plan.bounds
    found = ((points >= (x0, y0)) & (points <= (x1, y1))).all(axis=1)
    near = np.flatnonzero(found)
    found[near] = shapely.contains_xy(plan, *points[near].T)
    return found


def along(rim: np.ndarray, spacing: float) -> tuple[np.ndarray, np.ndarray]:
    """Points (m, 2) along a counter-clockwise polygon and the way out of it (m, 2) at each."""
    nxt = np.roll(rim, -1, axis=0)
    length = np.hypot(*(nxt - rim).T)
    whole = np.concatenate([[0.0], np.cumsum(length)])
    count = max(int(whole[-1] / spacing), 8)
    spots = (np.arange(count) + 0.5) * whole[-1] / count
    k = np.clip(np.searchsorted(whole, spots, side="right") - 1, 0, len(rim) - 1)
    ahead = (nxt - rim)[k] / np.maximum(length[k], 1e-12)[:, None]
    return rim[k] + (spots - whole[k])[:, None] * ahead, np.column_stack(
        [ahead[:, 1], -ahead[:, 0]]
    )


def grid_in(rim: np.ndarray, spacing: float) -> np.ndarray:
    """Points (m, 2) of a square grid inside a polygon."""
    (x0, y0), (x1, y1) = rim.min(axis=0), rim.max(axis=0)
    xs = np.arange(x0 + spacing / 2.0, x1, spacing)
    ys = np.arange(y0 + spacing / 2.0, y1, spacing)
    spots = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    return spots[inside(prepared(rim), spots)]


@dataclass(frozen=True, eq=False)
class Block:
    """What lies over a plan between a floor, z = low + slope (x, y), and a level top."""

    rim: np.ndarray
    low: float
    high: float
    slope: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def plan(self) -> shapely.Polygon:
        return prepared(self.rim)

    @cached_property
    def box(self) -> np.ndarray:
        floor = self.floor(self.rim)
        return np.array([[*self.rim.min(axis=0), floor.min()], [*self.rim.max(axis=0), self.high]])

    def floor(self, plan: np.ndarray) -> np.ndarray:
        return self.low + plan @ np.array(self.slope)

    def holds(self, points: np.ndarray) -> np.ndarray:
        plan = points[:, :2]
        found = (points[:, 2] <= self.high) & (points[:, 2] >= self.floor(plan))
        near = np.flatnonzero(found)
        found[near] = inside(self.plan, plan[near])
        return found

    def sampled(self, spacing: float) -> tuple[np.ndarray, np.ndarray]:
        """Points (m, 3) on the walls, the floor and the top, and the ways out (m, 3)."""
        spots, out = along(self.rim, spacing)
        floor = self.floor(spots)
        deep = float(self.high - floor.min())
        levels = max(int(deep / spacing) + 1, 3)
        share = np.concatenate([[0.02], np.linspace(0.0, 1.0, levels)[1:-1], [0.98]])
        z = floor[:, None] + share * (self.high - floor)[:, None]
        walls = np.column_stack([np.repeat(spots, len(share), axis=0), z.ravel()])
        found = [walls]
        ways = [np.column_stack([np.repeat(out, len(share), axis=0), np.zeros(len(walls))])]
        flat = np.vstack([grid_in(self.rim, 1.25 * spacing), spots - 0.05 * out])
        found += [
            np.column_stack([flat, self.floor(flat)]),
            np.column_stack([flat, np.full(len(flat), self.high)]),
        ]
        down = np.array([*self.slope, -1.0])
        ways += [
            np.tile(down / np.linalg.norm(down), (len(flat), 1)),
            np.tile([0.0, 0.0, 1.0], (len(flat), 1)),
        ]
        return np.vstack(found), np.vstack(ways)

    def solid(self, inward: float = 0.0) -> Solid:
        """As a mesh, drawn in by `inward` mm on all sides."""
        plan = Section([self.rim])
        if inward:
            plan = plan.offset(-inward, manifold3d.JoinType.Miter)
        low = float(self.box[0, 2]) + inward
        if plan.is_empty() or self.high - inward <= low:
            return Solid()
        made = plan.extrude(self.high - inward - low).translate((0.0, 0.0, low))
        if any(self.slope):
            up = np.array([-self.slope[0], -self.slope[1], 1.0])
            size = float(np.linalg.norm(up))
            made = made.trim_by_plane(tuple(up / size), self.low / size + inward)
        return made


@dataclass(frozen=True, eq=False)
class Hole:
    """A round hole from `start` along a unit way, its last `tip` mm a cone."""

    start: np.ndarray
    way: np.ndarray
    radius: float
    length: float
    tip: float = 0.0
    sagitta: float = SAGITTA

    @property
    def axes(self) -> tuple[np.ndarray, np.ndarray]:
        """Two unit ways across."""
        helper = np.array([1.0, 0.0, 0.0]) if abs(self.way[0]) < 0.8 else np.array([0.0, 1.0, 0.0])
        u = np.cross(self.way, helper)
        u /= np.linalg.norm(u)
        return u, np.cross(self.way, u)

    @property
    def end(self) -> np.ndarray:
        return self.start + self.length * self.way

    @cached_property
    def box(self) -> np.ndarray:
        disc = self.radius * np.sqrt(np.clip(1.0 - self.way**2, 0.0, None))
        full = self.end - self.tip * self.way
        spots = np.array([self.start - disc, self.start + disc, full - disc, full + disc, self.end])
        return np.array([spots.min(axis=0), spots.max(axis=0)])

    def holds(self, points: np.ndarray) -> np.ndarray:
        t = (points - self.start) @ self.way
        off = points - self.start - t[:, None] * self.way
        r2 = (off**2).sum(axis=1)
        most = np.full(len(points), self.radius)
        if self.tip:
            most = np.clip((self.length - t) / self.tip, 0.0, 1.0) * self.radius
        return (t >= 0.0) & (t <= self.length) & (r2 <= most**2)

    def ring(self, t: np.ndarray, radius: float, count: int) -> tuple[np.ndarray, np.ndarray]:
        """Points (len(t) * count, 3) round the axis `t` mm from the start, and their ways out."""
        u, v = self.axes
        turn = 2.0 * math.pi * np.arange(count) / count
        out = np.cos(turn)[:, None] * u + np.sin(turn)[:, None] * v
        middle = self.start + np.asarray(t, float)[:, None] * self.way
        spots = middle[:, None] + radius * out
        return spots.reshape(-1, 3), np.tile(out, (len(middle), 1))

    def disc(self, t: float, radius: float, spacing: float = 1.0) -> np.ndarray:
        """Points (m, 3) of a disc across the axis."""
        rings = max(int(radius / spacing), 2)
        spots = [self.start[None] + t * self.way]
        for k in range(1, rings + 1):
            spots.append(self.ring(np.array([t]), radius * k / rings, max(8, 6 * k))[0])
        return np.vstack(spots)

    def sampled(self, spacing: float) -> tuple[np.ndarray, np.ndarray]:
        count = max(int(2.0 * math.pi * self.radius / spacing), 10)
        full = self.length - self.tip
        levels = max(int(full / spacing) + 1, 3)
        side, out = self.ring(np.linspace(0.02, full - 0.02, levels), self.radius, count)
        last = self.disc(full, 0.98 * self.radius)
        if self.tip:
            last = last + np.outer(
                self.tip * (1.0 - np.linalg.norm(last - last[0], axis=1) / self.radius), self.way
            )
        first = self.disc(0.0, 0.98 * self.radius)
        ways = [out, np.tile(self.way, (len(last), 1)), np.tile(-self.way, (len(first), 1))]
        return np.vstack([side, last, first]), np.vstack(ways)

    def solid(self, inward: float = 0.0) -> Solid:
        radius, long = self.radius - inward, self.length - self.tip - 2.0 * inward
        if radius <= 0.0 or long <= 0.0:
            return Solid()
        count = max(int(math.pi / math.acos(1.0 - min(self.sagitta / radius, 0.5))) + 1, 12)
        made = Solid.cylinder(long, radius, radius, count)
        if self.tip:
            cone = Solid.cylinder(self.tip, radius, 0.0, count)
            made = made + cone.translate((0.0, 0.0, long))
        u, v = self.axes
        start = self.start + inward * self.way
        return made.transform(np.column_stack([u, v, self.way, start]))


@dataclass(frozen=True, eq=False)
class Sweep:
    """A section (u, w) swept along a line: u runs from `origin` at `turn` radians from +x, the
    sweep to the left of it, climbing `tilt` radians about the height `pivot`."""

    rim: np.ndarray
    origin: np.ndarray
    turn: float
    span: tuple[float, float]
    tilt: float
    pivot: float

    @cached_property
    def plan(self) -> shapely.Polygon:
        return prepared(self.rim)

    @cached_property
    def axes(self) -> np.ndarray:
        """Rows: the ways of u, of the sweep and of w."""
        ca, sa, ct, st = (
            math.cos(self.turn),
            math.sin(self.turn),
            math.cos(self.tilt),
            math.sin(self.tilt),
        )
        left = np.array([-sa, ca, 0.0])
        up = np.array([0.0, 0.0, 1.0])
        return np.stack([[ca, sa, 0.0], ct * left + st * up, ct * up - st * left])

    @property
    def zero(self) -> np.ndarray:
        return np.array([*self.origin, self.pivot])

    def local(self, points: np.ndarray) -> np.ndarray:
        found = (points - self.zero) @ self.axes.T
        found[:, 2] += self.pivot
        return found

    @cached_property
    def box(self) -> np.ndarray:
        (u0, w0), (u1, w1) = self.rim.min(axis=0), self.rim.max(axis=0)
        corners = np.array(
            [[u, v, w - self.pivot] for u in (u0, u1) for v in self.span for w in (w0, w1)]
        )
        spots = corners @ self.axes + self.zero
        return np.array([spots.min(axis=0), spots.max(axis=0)])

    def holds(self, points: np.ndarray) -> np.ndarray:
        own = self.local(points)
        found = (own[:, 1] >= self.span[0]) & (own[:, 1] <= self.span[1])
        near = np.flatnonzero(found)
        found[near] = inside(self.plan, own[near][:, [0, 2]])
        return found

    def surface(self, plan: np.ndarray, front: bool) -> np.ndarray:
        """Height (m,) at which the sweep leaves the wood over plan points (m, 2): its lowest point
        where it shapes the front, its highest at the back; nan where it takes nothing."""
        box = self.box
        found = np.full(len(plan), np.nan)
        over = np.flatnonzero(((plan >= box[0, :2]) & (plan <= box[1, :2])).all(axis=1))
        flat = plan[over] - self.origin
        u = flat @ self.axes[0, :2]
        s = flat @ np.array([-self.axes[0, 1], self.axes[0, 0]])
        # Over one plan point u does not change: the section's own height there, leaned back.
        (ua, wa), (ub, wb) = self.rim.T, np.roll(self.rim, -1, axis=0).T
        between = (ua <= u[:, None]) != (ub <= u[:, None])
        share = (u[:, None] - ua) / np.where(between, ub - ua, 1.0)
        worst = np.inf if front else -np.inf
        w = np.where(between, wa + share * (wb - wa), worst)
        w = w.min(axis=1) if front else w.max(axis=1)
        on, ct, st = np.isfinite(w), math.cos(self.tilt), math.sin(self.tilt)
        w = np.where(on, w, self.pivot)
        z = self.pivot + (w - self.pivot + st * s) / ct
        v = ct * s + st * (z - self.pivot)
        held = on & (v >= self.span[0]) & (v <= self.span[1])
        found[over] = np.where(held, z, np.nan)
        return found

    def solid(self, inward: float = 0.0) -> Solid:
        (low, high), (u, v, w) = self.span, self.axes
        bar = Section([self.rim]).extrude(high - low)
        # Drawn in (u, w); its third axis, u x w, is the sweep's own the other way.
        start = self.zero - self.pivot * w + high * v
        return bar.transform(np.column_stack([u, w, -v, start]))


def shape(raw: Any, sagitta: float = SAGITTA) -> Block | Hole | Sweep:
    """A layout's solid from its plain numbers; which kind it is, its fields say."""
    if hasattr(raw, "direction"):
        radius = float(raw.diameter) / 2.0
        half = math.radians(float(raw.tip_deg)) / 2.0
        tip = 0.0 if raw.tip_deg >= 180.0 else radius / math.tan(half)
        start, way = np.array(raw.start, float), np.array(raw.direction, float)
        return Hole(start, way, radius, float(raw.length), tip, sagitta)
    if hasattr(raw, "section"):
        rim = polygon(np.asarray(raw.section.vertices, float), sagitta)
        turn, tilt = math.radians(float(raw.turn_deg)), math.radians(float(raw.tilt_deg))
        span = float(raw.span[0]), float(raw.span[1])
        return Sweep(rim, np.array(raw.origin, float), turn, span, tilt, float(raw.pivot))
    rim = polygon(np.asarray(raw.profile.vertices, float), sagitta)
    sx, sy = float(raw.slope[0]), float(raw.slope[1])
    low = float(raw.low) - sx * float(raw.slope_at[0]) - sy * float(raw.slope_at[1])
    return Block(rim, low, float(raw.high), (sx, sy))
