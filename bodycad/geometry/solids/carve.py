"""A carve: a section of lines and arcs swept along a straight line, as planes and cylinders are cut."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from bodycad.geometry.plane.profile import Profile, flatten, profile

FLAT = 0.001
"""Chords leave the arcs of a tilted sweep's level slice by at most this, mm."""
Box3 = tuple[float, float, float, float, float, float]
Point3 = tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Carve:
    """A section drawn in the plane (u, w) and swept along a straight line.

    u is level, from `origin` (x, y) in the direction `turn_deg` from +x; the sweep runs to the left
    of u from `span[0]` to `span[1]` mm, climbing at `tilt_deg` about the height `pivot`; w is the
    height z while the sweep is level. Planes and cylinders only: a straight side of the section
    sweeps a bevel, an arc a round or a scoop; a tilted sweep fades out along its length.
    """

    section: Profile
    origin: tuple[float, float]
    turn_deg: float
    span: tuple[float, float]
    tilt_deg: float = 0.0
    pivot: float = 0.0

    @cached_property
    def axes(self) -> np.ndarray:
        """(3, 3): the unit directions of u, of the sweep, and of w."""
        a, t = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        along, u = (
            np.array([-math.sin(a), math.cos(a), 0.0]),
            np.array([math.cos(a), math.sin(a), 0.0]),
        )
        up = np.array([0.0, 0.0, 1.0])
        return np.stack(
            [u, math.cos(t) * along + math.sin(t) * up, math.cos(t) * up - math.sin(t) * along]
        )

    @property
    def level(self) -> bool:
        return self.tilt_deg == 0.0

    def local(self, points: np.ndarray) -> np.ndarray:
        """(m, 3) of u, sweep position and w for points (m, 3)."""
        local = (points - np.array([*self.origin, self.pivot])) @ self.axes.T
        local[:, 2] += self.pivot
        return local

    def world(self, local: np.ndarray) -> np.ndarray:
        """Points (m, 3) for (m, 3) of u, sweep position and w."""
        return (local - np.array([0.0, 0.0, self.pivot])) @ self.axes + np.array(
            [*self.origin, self.pivot]
        )

    @cached_property
    def box(self) -> Box3:
        u0, w0, u1, w1 = self.section.box
        corners = self.world(
            np.array([[u, v, w] for u in (u0, u1) for v in self.span for w in (w0, w1)], float)
        )
        return (*map(float, corners.min(axis=0)), *map(float, corners.max(axis=0)))

    @cached_property
    def volume(self) -> float:
        """Exact volume of the whole sweep, mm3 (most of it may lie in air)."""
        return self.section.area * (self.span[1] - self.span[0])

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
        """Height z (m,) at which the carve leaves the wood over plan points (m, 2); nan beside it.

        `face` "front": its lowest point (wood lies below); "back": its highest.
        """
        points = np.atleast_2d(points)
        side = np.array([-self.axes[0, 1], self.axes[0, 0]])
        flat = (points - np.array(self.origin)) @ np.stack([self.axes[0, :2], side]).T
        t = math.radians(self.tilt_deg)
        u0, _, u1, _ = self.section.box
        over = np.flatnonzero((flat[:, 0] >= u0) & (flat[:, 0] <= u1))
        w = np.full(len(flat), np.nan)
        w[over] = section_height(self.section, flat[over, 0], face)
        z = self.pivot + (w - self.pivot + flat[:, 1] * math.sin(t)) / math.cos(t)
        v = flat[:, 1] * math.cos(t) + (z - self.pivot) * math.sin(t)
        return np.where((v >= self.span[0]) & (v <= self.span[1]), z, np.nan)

    def deepest(self, points: np.ndarray, radius: np.ndarray, face: str) -> np.ndarray:
        """A height z (m,) that `height` does not pass, into the body, anywhere within `radius` (m,)
        mm of plan points (m, 2); nan where the carve is nowhere so near."""
        side = np.array([-self.axes[0, 1], self.axes[0, 0]])
        flat = (points - np.array(self.origin)) @ np.stack([self.axes[0, :2], side]).T
        u0, _, u1, _ = self.section.box
        low, high = flat[:, 0] - radius, flat[:, 0] + radius
        s, down = self.section.segments, face == "front"
        spots = [s.a]
        if s.curved:
            turn = np.full(len(s), -math.pi / 2.0 if down else math.pi / 2.0)
            on = s.arc & s.spans(turn, np.arange(len(s)))
            spots.append(s.centre[on] + s.radius[on, None] * [0.0, -1.0 if down else 1.0])
        marks = np.vstack(spots)
        within = (marks[:, 0] >= low[:, None]) & (marks[:, 0] <= high[:, None])
        table = [np.where(within, marks[:, 1], np.nan)]
        for u in (low, high):
            w = section_height(self.section, np.clip(u, u0, u1), face)
            table.append(w[:, None])
        w = (np.fmin if down else np.fmax).reduce(np.hstack(table), axis=1)
        t = math.radians(self.tilt_deg)
        slack = radius * abs(math.tan(t)) * (-1.0 if down else 1.0)
        z = self.pivot + (w - self.pivot + flat[:, 1] * math.sin(t)) / math.cos(t) + slack
        far = (high < u0) | (low > u1)
        if self.level:
            far |= (flat[:, 1] + radius < self.span[0]) | (flat[:, 1] - radius > self.span[1])
        return np.where(far, np.nan, z)

    def level_distance(self, x: float, y: float, z: float) -> tuple[float, tuple[float, float]]:
        """`level_distances` of one point."""
        distance, spot = self.level_distances(np.array([[x, y]], float), z)
        return float(distance[0]), tuple(map(float, spot[0]))

    def level_distances(self, points: np.ndarray, z: float) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) in the level plane at `z` from plan points (m, 2) to the carve, and the
        nearest points there.

        Negative inside the carve; inf when the plane misses it. Exact when the sweep is level; of a
        tilted sweep the section is flattened to FLAT, which is taken off, so that it is never
        overstated."""
        slack = 0.0 if self.level else FLAT
        best, spot = np.full(len(points), math.inf), points.astype(float)
        for shape in self.level_slices(z):
            distance, foot, _ = shape.segments.nearest(points)
            signed = np.where(shape.segments.encloses(points), -distance, distance) - slack
            nearer = signed < best
            best, spot = np.where(nearer, signed, best), np.where(nearer[:, None], foot, spot)
        return best, spot

    def level_slices(self, z: float) -> tuple[Profile, ...]:
        """What the level plane at `z` cuts out of the carve, in plan."""
        if z not in self._slices:
            self._slices[z] = tuple(
                shape.moved(*self.origin, self.turn_deg) for shape in self._local_slices(z)
            )
        return self._slices[z]

    @cached_property
    def _slices(self) -> dict[float, tuple[Profile, ...]]:
        """Slices by height, each worked out once."""
        return {}

    def _local_slices(self, z: float) -> list[Profile]:
        """`level_slices` in u and the direction square to it."""
        if self.level:
            return [
                rectangle_between(u0, u1, *self.span) for u0, u1 in section_spans(self.section, z)
            ]
        t = math.radians(self.tilt_deg)
        flat = flatten(self.section, FLAT * abs(math.sin(t)))
        # A climbing sweep mirrors its section in the plane: turned round, it runs counter-clockwise
        # again.
        flat = flat[::-1] if t > 0.0 else flat
        h = (self.pivot + (z - self.pivot) * math.cos(t) - flat[:, 1]) / math.sin(t)
        rows = np.column_stack([flat[:, 0], h])
        # The sweep's ends lie square to it: in this plane, each at one h.
        for sign, end in zip((1.0, -1.0), self.span):
            rows = _beyond(rows, sign, (end - (z - self.pivot) * math.sin(t)) / math.cos(t))
        return [Profile(np.column_stack([rows, np.zeros(len(rows))]))] if len(rows) > 2 else []

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Carve:
        """The same carve shifted by (dx, dy, dz) mm."""
        if not (dx or dy or dz):
            return self
        x, y = self.origin
        section = self.section.moved(0.0, dz) if dz else self.section
        return replace(self, section=section, origin=(x + dx, y + dy), pivot=self.pivot + dz)

    def mirrored(self) -> Carve:
        """Reflected in the centreline (y -> -y)."""
        return Carve(
            self.section,
            (self.origin[0], -self.origin[1]),
            -self.turn_deg,
            (-self.span[1], -self.span[0]),
            -self.tilt_deg,
            self.pivot,
        )


def _beyond(rows: np.ndarray, sign: float, limit: float) -> np.ndarray:
    """The part of a closed polygon (n, 2) whose second ordinate is beyond `limit` in the direction
    of `sign`."""
    over, ahead = sign * (rows[:, 1] - limit), np.concatenate([rows[1:], rows[:1]])
    next_ = np.concatenate([over[1:], over[:1]])
    crosses = (over >= 0.0) != (next_ >= 0.0)
    share = np.where(crosses, over / np.where(crosses, over - next_, 1.0), 0.0)
    both = np.stack([rows, rows + share[:, None] * (ahead - rows)], axis=1).reshape(-1, 2)
    return both[np.column_stack([over >= 0.0, crosses & (over != 0.0)]).ravel()]


def section_height(section: Profile, u: np.ndarray, face: str) -> np.ndarray:
    """Lowest (front) or highest (back) ordinate (m,) of a section over `u` (m,); nan where u misses
    it."""
    x, worst = np.asarray(u, float)[:, None], np.inf if face == "front" else -np.inf
    straight, round_ = (
        section.segments.take(np.flatnonzero(section.segments.arc == kind))
        for kind in (False, True)
    )
    table = [np.full((len(x), 1), worst)]
    with np.errstate(divide="ignore", invalid="ignore"):
        if len(straight):
            t = (x - straight.a[:, 0]) / (straight.b[:, 0] - straight.a[:, 0])
            table.append(
                np.where(
                    (t >= 0.0) & (t <= 1.0),
                    straight.a[:, 1] + t * (straight.b[:, 1] - straight.a[:, 1]),
                    worst,
                )
            )
        if len(round_):
            half = np.sqrt(round_.radius**2 - (x - round_.centre[:, 0]) ** 2)
            for z in (round_.centre[:, 1] + half, round_.centre[:, 1] - half):
                table.append(np.where(round_.faces(x + 1j * z), z, worst))
    best = np.hstack(table).min(axis=1) if face == "front" else np.hstack(table).max(axis=1)
    return np.where(np.isfinite(best), best, np.nan)


def rectangle_between(u0: float, u1: float, v0: float, v1: float) -> Profile:
    """The rectangle with those sides."""
    return profile([(u0, v0), (u1, v0), (u1, v1), (u0, v1)], "a level slice")


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
    for a, b, inside in zip(
        cuts[:-1].tolist(), cuts[1:].tolist(), s.encloses(middle) if len(middle) else []
    ):
        if inside and found and found[-1][1] == a:
            found[-1] = found[-1][0], b
        elif inside:
            found.append((a, b))
    return [(a, b) for a, b in found if b - a > 1e-9]
