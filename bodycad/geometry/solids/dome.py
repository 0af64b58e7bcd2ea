"""A dome: a section of lines and arcs led round a plan without corners that bulges everywhere."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from bodycad.declare import declared
from bodycad.errors import InputError
from bodycad.geometry.plane.polygon import even_polygon
from bodycad.geometry.plane.profile import Plan, Profile
from bodycad.geometry.solids.carve import Carve, section_deepest, section_height, section_spans
from bodycad.geometry.solids.shaping import Shaping
from bodycad.geometry.solids.solid import Box3, Polygons

SMOOTH = 1e-6
"""Where two pieces of a crown's border meet, they turn by no more than this, radians."""
STEEPEST_DEG = 75.0
"""No dome falls more steeply: that would be a step."""
CHORDS = 32
"""Chords of a segment of the section whose steepness is looked at."""
ON = 1e-9
"""A point no farther than this (mm) from the border lies on it."""


@dataclass(frozen=True, eq=False)
@declared("a dome")
class Dome(Shaping):
    """What is taken round a level crown, by one section all round it.

    `crown`: the plan of what stays level. `section`: drawn in (s, z), s being the plan distance out
    from the crown's border. A plan distance changes at most as fast as one walks, and straight out
    from a border that bulges everywhere exactly so: a distance in the plane of (s, z) is the
    distance in space. Level arcs of the border turn cones, rounds and hollows; straight pieces
    sweep them."""

    crown: Plan
    section: Plan

    def __post_init__(self) -> None:
        s, after = self.crown.segments, np.roll(np.arange(len(self.crown.segments)), -1)
        leaving, arriving = s.tangent(np.zeros(len(s)))[after], s.tangent(np.ones(len(s)))
        turn = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
        ahead = (arriving * leaving).sum(axis=1) > 0.0
        if np.any(s.bulge < 0.0) or np.any(np.abs(turn) > SMOOTH) or not ahead.all():
            remedy = "draw it with hull(circles), slot(...) or circle(...)"
            raise InputError(
                "a crown", "a corner or a bay", "a plan that is round all over", remedy
            )
        if self.section.box[0] < 0.0 or _breaks_off(self.section):
            allowed = f"one that falls by {STEEPEST_DEG:g} degrees at most and overhangs nowhere"
            raise InputError("a dome's section", "steps", allowed, "make it run out more gently")

    def outside(self, points: np.ndarray) -> np.ndarray:
        """s (m,): plan distance out from the crown's border, negative inside it, of plan points."""
        return self.crown.signed_distance(points)

    def _ways(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Of plan points (m, 2): s (m,), the nearest places (m, 2) of the crown's border, and the
        unit ways (m, 2) straight out from it there."""
        points = np.atleast_2d(np.asarray(points, float))
        chain = self.crown.segments
        away, foot, index = chain.nearest(points)
        s = np.where(chain.encloses(points), -away, away)
        own, rows = chain.take(index), np.arange(len(points))
        ahead = np.where(own.arc[:, None], foot - own.centre, _right(own.ahead))
        on = away <= ON
        way = np.where(on[:, None], ahead, (points - foot) * np.sign(s)[:, None])
        return s, foot, way / np.linalg.norm(way, axis=1)[rows, None]

    def at(self, plan: np.ndarray, s: np.ndarray, z: np.ndarray) -> np.ndarray:
        """Points (m, 3), `s` (m,) mm straight out from the places of the crown's border that are
        nearest to plan points (m, 2), at heights `z` (m,)."""
        _, border, way = self._ways(plan)
        return np.column_stack([border + way * s[:, None], z])

    @cached_property
    def box(self) -> Box3:
        (x0, y0, x1, y1), (_, z0, s, z1) = self.crown.box, self.section.box
        return x0 - s, y0 - s, z0, x1 + s, y1 + s, z1

    @cached_property
    def volume(self) -> float:
        """Exact volume, mm3: a plan that bulges everywhere has 2 pi mm more of border for each mm
        farther out (Steiner's formula)."""
        border, area = float(self.crown.segments.length.sum()), self.section.area
        return area * (border + 2.0 * math.pi * self.section.centroid[0])

    @cached_property
    def plan(self) -> Profile:
        """The border of all that it takes, and of the crown within."""
        return self.line(self.section.box[2])

    def line(self, s: float) -> Profile:
        """The line (a plan) `s` mm out from the crown's border: exact, its arcs stay arcs."""
        chain, bulge = self.crown.segments, self.crown.vertices[:, 2:]
        start = chain.tangent(np.zeros(len(chain)))
        return Profile(np.hstack([chain.a + s * _right(start), bulge])) if s else self.crown

    @cached_property
    def numbers(self) -> np.ndarray:
        """The vertices of crown and section."""
        return np.concatenate([self.crown.vertices.ravel(), self.section.vertices.ravel()])

    @property
    def words(self) -> str:
        x0, y0, x1, y1 = self.crown.box
        low, high = self.section.box[1], self.section.box[3]
        return f"dome round x {x0:.3f}..{x1:.3f}, y {y0:.3f}..{y1:.3f}, z {low:.4f}..{high:.4f}"

    @cached_property
    def critical_heights(self) -> tuple[float, ...]:
        marks = np.unique(self.section.segments.boxes[:, [1, 3]].round(9))
        return tuple(marks.tolist())

    @property
    def straight(self) -> Carve | None:
        return None

    @cached_property
    def steepest(self) -> float:
        """No place of its surface is steeper than this, radians: the section's slope at the ends of
        its segments, between which an arc's slope only rises or falls, its own sides left out."""
        s, (u0, _, u1, _) = self.section.segments, self.section.box
        sides = (np.abs(s.b[:, 0] - s.a[:, 0]) <= ON) & ~s.arc
        sides &= (np.abs(s.a[:, 0] - u0) <= ON) | (np.abs(s.a[:, 0] - u1) <= ON)
        ends = np.vstack([s.tangent(np.full(len(s), t))[~sides] for t in (0.0, 1.0)])
        return float(np.arctan2(np.abs(ends[:, 1]), np.abs(ends[:, 0])).max(initial=0.0))

    @property
    def level(self) -> bool:
        """Its lines are level."""
        return True

    def closest(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Exact distance (m,) from `points` (m, 3) and nearest points (m, 3); 0 inside."""
        s, border, way = self._ways(points[:, :2])
        flat = np.column_stack([s, points[:, 2]])
        distance, foot, _ = self.section.segments.nearest(flat)
        inside = self.section.segments.encloses(flat)
        spot = np.column_stack([border + way * foot[:, :1], foot[:, 1]])
        return np.where(inside, 0.0, distance), np.where(inside[:, None], points, spot)

    def height(self, points: np.ndarray, face: str) -> np.ndarray:
        return section_height(self.section, self.outside(points), face)

    def deepest(self, points: np.ndarray, radius: np.ndarray, face: str) -> np.ndarray:
        s = self.outside(points)
        return section_deepest(self.section, s - radius, s + radius, face)

    def level_distances(self, points: np.ndarray, z: float) -> tuple[np.ndarray, np.ndarray]:
        """Distance (m,) at height `z` from plan points (m, 2) to the dome, and the nearest points.

        Negative inside; inf when the plane misses it. Exact."""
        s, border, way = self._ways(points)
        best, spot = np.full(len(s), math.inf), np.array(points, float)
        for low, high in section_spans(self.section, z):
            signed = np.maximum(low - s, s - high)
            end, nearer = np.where(low - s > s - high, low, high), signed < best
            best = np.where(nearer, signed, best)
            spot = np.where(nearer[:, None], border + way * end[:, None], spot)
        return best, spot

    def level_section(self, z: float, sagitta: float = 0.005) -> Polygons:
        return self._halves(z, lambda shape: even_polygon(shape, sagitta))

    def level_slices(self, z: float) -> tuple[Profile, ...]:
        """The section at height `z`, in plan, exact: each ring of it as its two halves."""
        if z not in self._slices:
            self._slices[z] = self._halves(z, lambda shape: shape)
        return self._slices[z]

    @cached_property
    def _slices(self) -> dict[float, tuple[Profile, ...]]:
        """Slices by height, each worked out once."""
        return {}

    def _halves(self, z: float, made: Callable[[Profile], Any]) -> tuple[Any, ...]:
        return tuple(
            made(half)
            for low, high in section_spans(self.section, z)
            for half in self.halves(low, high)
        )

    def halves(self, low: float, high: float) -> tuple[Profile, Profile]:
        """The ring from `low` to `high` mm out from the crown's border, as two halves."""
        inner, outer = self.line(low).vertices, self.line(high).vertices
        n = len(inner)
        return _half(inner, outer, 0, n // 2), _half(inner, outer, n // 2, n)

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Dome:
        """The same dome shifted by (dx, dy, dz) mm."""
        return Dome(self.crown.moved(dx, dy), self.section.moved(0.0, dz))

    def mirrored(self) -> Dome:
        """Reflected in the centreline (y -> -y)."""
        return Dome(self.crown.mirrored(), self.section)


def _half(inner: np.ndarray, outer: np.ndarray, first: int, last: int) -> Profile:
    """From vertex `first` to vertex `last` of two lines, out along one and back along the other."""
    there, n = np.arange(first, last + 1) % len(inner), last - first
    rows = np.vstack([outer[there], inner[there[::-1]]])
    rows[n, 2] = rows[-1, 2] = 0.0
    rows[n + 1 : -1, 2] = -inner[there[:-1][::-1], 2]
    return Profile(rows)


def _right(ahead: np.ndarray) -> np.ndarray:
    """The unit ways (m, 2) to the right of ways: out of a counter-clockwise chain."""
    right = ahead[:, ::-1] * np.array([1.0, -1.0])
    found: np.ndarray = right / np.linalg.norm(right, axis=1)[:, None]
    return found


def _breaks_off(section: Profile) -> bool:
    """Whether a section has a step between its first and its last s, or overhangs."""
    s, t = section.segments, np.linspace(0.0, 1.0, CHORDS + 1)
    every = s.take(np.repeat(np.arange(len(s)), len(t)))
    rows = every.at(np.tile(t, len(s))).reshape(len(s), len(t), 2)
    step = np.diff(rows, axis=1).reshape(-1, 2)
    middle = (rows[:, :-1, 0] + rows[:, 1:, 0]).ravel() / 2.0
    u0, _, u1, _ = section.box
    within = (middle > u0 + ON) & (middle < u1 - ON)
    steep = np.abs(step[:, 1]) > np.abs(step[:, 0]) * math.tan(math.radians(STEEPEST_DEG))
    turns = float(np.abs(step[:, 0]).sum()) - 2.0 * (u1 - u0)
    return bool((steep & within).any()) or turns > 1e-6
