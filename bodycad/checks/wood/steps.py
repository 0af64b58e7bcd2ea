"""Where the surface of a contour ends in the wood: steps, and wood that hangs over it.

The front (or back) is a height over the plan. A contour breaks it off only over lines that are
known from its section: over the section's steep sides, which run along the sweep, and over the two
ends of the sweep. The height is taken just before and just behind those lines."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bodycad.checks.wood.near import of_the_skin
from bodycad.geometry.plane.segments import crossed
from bodycad.geometry.solids.carve import Carve, section_height
from bodycad.geometry.solids.edge import Ledge
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

STEEP_DEG = 75.0
"""A surface steeper than this is a wall: no hand rests on it and no strip bends down it."""
CHORDS = 32
"""Chords of a segment of the section whose steepness is looked at."""
SPACING = 0.5
"""Spacing of the points at which a line is first looked at, mm."""
FINE = 64
"""Points between neighbours at the worst place, for the second look."""
BESIDE = 1e-4
"""How far before and behind a line the surface is taken, mm."""
NEAR = 2e-4
"""How near (mm) to the outline a line is still looked at."""
NONE = 1e-3
"""A step lower than this (mm) is none."""


@dataclass(frozen=True)
class Step:
    """A change of height, mm, how much higher it may be beside the points that were looked at, and
    its foot and its top."""

    height: float
    bound: float
    foot: tuple[float, float, float]
    top: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class _Break(ABC):
    """A line over which a surface may break off. along: the places along it, mm, that are looked at
    first, in order."""

    along: np.ndarray

    @abstractmethod
    def sides(self, along: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Plan points (m, 2) just before and just behind the line, for places (m,) along it."""


@dataclass(frozen=True, eq=False)
class _Straight(_Break):
    """A straight line from `start` the unit way `way`, `wide` mm wide to its right."""

    start: np.ndarray
    way: np.ndarray
    wide: float

    def sides(self, along: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        here = self.start + along[:, None] * self.way
        out = np.array([self.way[1], -self.way[0]])
        return here - BESIDE * out, here + (self.wide + BESIDE) * out


@dataclass(frozen=True, eq=False)
class _ClimbingEnd(_Break):
    """The end at `v` of a sweep that climbs; the places are those of u."""

    face: Face
    carve: Carve
    v: float

    def places(self, u: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """In plan (m, 2), and the heights (m,) of the surface there, mm."""
        carve, tilt = self.carve, math.radians(self.carve.tilt_deg)
        (across, along), (u0, _, u1, _) = _axes(carve), carve.section.box
        inner = u.clip(u0 + 1e-9, u1 - 1e-9)
        rise = section_height(carve.section, inner, self.face) - carve.pivot
        y = self.v * math.cos(tilt) - rise * math.sin(tilt)
        z = self.v * math.sin(tilt) + rise * math.cos(tilt) + carve.pivot
        return np.array(carve.origin) + u[:, None] * across + y[:, None] * along, z

    def sides(self, along: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        here, out = self.places(along)[0], _axes(self.carve)[1]
        return here - BESIDE * out, here + BESIDE * out


def worst_step(contour: Contour, piece: Workpiece) -> Step:
    """The highest step of a contour's surface that stands in the wood of a piece; of height 0 where
    there is none. What a void takes of a step is no step."""
    best = Step(0.0, 0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    for line in of_the_skin(piece, ("breaks", contour.id), lambda: _breaks(contour, piece.skin)):
        for _ in range(2):
            heights = _heights(line, contour, piece.skin)
            left = _left(heights, line.sides(line.along)[0], piece.voids)
            k = int(np.argmax(left))
            if left[k] <= best.height:
                break
            (x, y), (z0, z1) = line.sides(line.along)[0][k], np.sort(heights[:, k])
            beside = [abs(left[k] - left[j]) for j in (k - 1, k + 1) if 0 <= j < len(left)]
            foot, top = ((float(x), float(y), float(z)) for z in (z0, z1))
            best = Step(float(left[k]), float(min(beside, default=0.0)), foot, top)
            low, high = line.along[max(k - 1, 0)], line.along[min(k + 1, len(left) - 1)]
            line = replace(line, along=np.linspace(low, high, FINE))
    return best


def _heights(line: _Break, contour: Contour, skin: Skin) -> np.ndarray:
    """(2, m): the shaped face before and behind a line; alike where either lies outside, or where
    the edge takes off more than both."""
    sides, level = line.sides(line.along), skin.level(contour.face)
    fall = np.array([skin.fall(contour.face, side) for side in sides])
    rows = np.flatnonzero(np.abs(fall[0] - fall[1]) > NONE)
    if len(rows):
        inset = np.minimum(*(skin.inset(side[rows]) for side in sides))
        lost = _edge_loss(skin, contour.face, sides[0][rows], inset)
        fall[:, rows] = np.maximum(fall[:, rows], np.where(inset > 0.0, lost, skin.thickness))
    depth: np.ndarray = fall.clip(0.0, skin.thickness)
    return level - depth if contour.face is Face.FRONT else level + depth


def _edge_loss(skin: Skin, face: Face, points: np.ndarray, inset: np.ndarray) -> np.ndarray:
    """How far (m,) the edge of a face alone lowers it; nothing under a ledge that follows what a
    contour does."""
    lost = np.zeros(len(points))
    for edge, s in (
        (skin.edge(face), inset),
        *((r.edge, r.inset(points)) for r in skin.runs(face)),
    ):
        if edge.drop and not (isinstance(edge, Ledge) and edge.follows):
            lost = np.maximum(lost, edge.loss(s))
    return lost


def _left(heights: np.ndarray, plan: np.ndarray, voids: tuple[Void, ...]) -> np.ndarray:
    """What is left (m,) of upright walls between two heights (2, m) when the voids are cut."""
    low, high = heights.min(axis=0), heights.max(axis=0)
    left: np.ndarray = high - low
    rows = np.flatnonzero(left > 0.0)
    if not len(rows):
        return left
    (u0, v0), (u1, v1) = plan[rows].min(axis=0).tolist(), plan[rows].max(axis=0).tolist()
    for void in voids:
        x0, y0, z0, x1, y1, z1 = void.shape.box
        if x0 > u1 or x1 < u0 or y0 > v1 or y1 < v0:
            continue
        near = rows[
            ((plan[rows] >= (x0, y0)) & (plan[rows] <= (x1, y1))).all(axis=1)
            & (low[rows] < z1)
            & (high[rows] > z0)
        ]
        if len(near):
            floor, roof = void.shape.column(plan[near])
            over = np.minimum(roof, high[near]) - np.maximum(floor, low[near])
            left[near] -= np.nan_to_num(over, nan=0.0).clip(0.0)
    kept: np.ndarray = np.maximum(left, 0.0)
    return kept


def _breaks(contour: Contour, skin: Skin) -> list[_Break]:
    """The lines over which a contour's own surface breaks off, but for those outside the body."""
    carve = contour.carve.straight
    if carve is None:
        return []
    across, along = _axes(carve)
    _, y0, _, y1 = carve.flat_box
    found = []
    for u0, u1 in _steep(carve):
        if not carve.level or _cuts(contour, carve, skin, u0, u1):
            start = np.array(carve.origin) + u0 * across
            found.append(_straight(skin, start, along, (y0, y1), u1 - u0))
    for end in carve.span:
        found.append(_end(contour, carve, skin, end))
    return [line for line in found if len(line.along)]


def _axes(carve: Carve) -> tuple[np.ndarray, np.ndarray]:
    """The unit directions in plan of u and of the sweep."""
    (x, y) = carve.axes[0, :2]
    return np.array([x, y]), np.array([-y, x])


def _straight(
    skin: Skin, start: np.ndarray, way: np.ndarray, span: tuple[float, float], wide: float
) -> _Break:
    """A straight line over the plan of a skin; its borders are among the places looked at."""
    box = np.array(skin.outline.box).reshape(2, 2) - start
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.sort(box / way, axis=0)
    low, high = max(span[0], float(reach[0].max())), min(span[1], float(reach[1].min()))
    if not low < high:
        return _Straight(np.zeros(0), start, way, wide)
    turns = crossed(skin.outline.segments, start[None, :], way[None, :], low, high)[0]
    cuts = np.array([low, *turns[(turns > low) & (turns < high)].tolist(), high])
    middles = start + ((cuts[:-1] + cuts[1:]) / 2.0)[:, None] * way
    marks = [
        np.linspace(a + NEAR, b - NEAR, max(2, math.ceil((b - a) / SPACING) + 1))
        for a, b, inside in zip(cuts, cuts[1:], skin.inset(middles) > 0.0)
        if inside and b - a > 2.0 * NEAR
    ]
    return _Straight(np.concatenate([np.zeros(0), *marks]), start, way, wide)


def _end(contour: Contour, carve: Carve, skin: Skin, v: float) -> _Break:
    """One end of a sweep."""
    u0, w0, u1, w1 = carve.section.box
    across, along = _axes(carve)
    if carve.level:
        return _straight(skin, np.array(carve.origin) + v * along, across, (u0, u1), 0.0)
    corners = carve.world(np.array([(u, v, w) for u in (u0, u1) for w in (w0, w1)]))
    (x0, y0, z0), (x1, y1, z1) = corners.min(axis=0), corners.max(axis=0)
    a, b, c, d = skin.outline.box
    if x0 > c or x1 < a or y0 > d or y1 < b or z0 > 0.0 or z1 < -skin.thickness:
        return _ClimbingEnd(np.zeros(0), contour.face, carve, v)
    count = max(2, math.ceil((u1 - u0) / SPACING) + 1)
    marks = np.union1d(np.linspace(u0, u1, count), carve.section.segments.a[:, 0])
    plan, z = _ClimbingEnd(marks, contour.face, carve, v).places(marks)
    inside = ((plan >= (a, b)) & (plan <= (c, d))).all(axis=1)
    within = inside & (z > -skin.thickness) & (z < 0.0)
    return _ClimbingEnd(marks[within], contour.face, carve, v)


def _cuts(contour: Contour, carve: Carve, skin: Skin, u0: float, u1: float) -> bool:
    """Whether a level sweep lies under its face just beside one of two places of its section."""
    spots = np.array([u0 - BESIDE, u1 + BESIDE])
    w = section_height(carve.section, spots, contour.face)
    level = skin.level(contour.face)
    under = level - w if contour.face is Face.FRONT else w - level
    return bool((np.nan_to_num(under, nan=-1.0) > NONE).any())


def _steep(carve: Carve) -> Iterator[tuple[float, float]]:
    """Where along u a section is steep, falling and rising parts apart."""
    a, b = _chords(carve)
    du, dw = (b - a).T
    for sign in (-1.0, 1.0):
        on = sign * dw > np.abs(du) * math.tan(math.radians(STEEP_DEG))
        pairs = sorted(zip(np.minimum(a[on, 0], b[on, 0]), np.maximum(a[on, 0], b[on, 0])))
        reached = None
        for low, high in pairs:
            if reached is not None and low <= reached[1] + 1e-9:
                reached = reached[0], max(reached[1], high)
                continue
            if reached is not None:
                yield float(reached[0]), float(reached[1])
            reached = low, high
        if reached is not None:
            yield float(reached[0]), float(reached[1])


def _chords(carve: Carve) -> tuple[np.ndarray, np.ndarray]:
    """A section as short chords, counter-clockwise."""
    s, t = carve.section.segments, np.linspace(0.0, 1.0, CHORDS + 1)
    every = s.take(np.repeat(np.arange(len(s)), len(t)))
    rows = every.at(np.tile(t, len(s))).reshape(len(s), len(t), 2)
    return rows[:, :-1].reshape(-1, 2), rows[:, 1:].reshape(-1, 2)


def overhang(contour: Contour, piece: Workpiece) -> tuple[float, tuple[float, float, float]]:
    """How far (mm) under its face, at most, a contour's section closes over wood, and where; 0
    where it is open to the face all over."""
    key = "overhang", contour.id
    return of_the_skin(piece, key, lambda: _overhang(contour, piece.skin))


def _overhang(contour: Contour, skin: Skin) -> tuple[float, tuple[float, float, float]]:
    carve, down = contour.carve.straight, contour.face is Face.FRONT
    if carve is None:
        return 0.0, (0.0, 0.0, 0.0)
    a, b = _chords(carve)
    turns_back = (b[:, 0] - a[:, 0]) * (-1.0 if down else 1.0) > 1e-9
    u, w = ((a + b) / 2.0)[turns_back].T
    t, level = math.radians(carve.tilt_deg), skin.level(contour.face)
    across, along = _axes(carve)
    _, y0, _, y1 = carve.flat_box
    y = np.linspace(y0, y1, max(2, math.ceil((y1 - y0) / 4.0)))
    z = carve.pivot + (w[:, None] - carve.pivot + y * math.sin(t)) / math.cos(t)
    v = y * math.cos(t) + (z - carve.pivot) * math.sin(t)
    under = level - z if down else z - level
    here = (under > BESIDE) & (under < skin.thickness) & (v > carve.span[0]) & (v < carve.span[1])
    i, j = np.nonzero(here)
    plan = np.array(carve.origin) + u[i, None] * across + y[j, None] * along
    wood = skin.inset(plan, 0.0) > 0.0 if len(plan) else np.zeros(0, bool)
    if not wood.any():
        return 0.0, (0.0, 0.0, 0.0)
    depth = np.where(wood, under[i, j], 0.0)
    k = int(np.argmax(depth))
    return float(depth[k]), (float(plan[k, 0]), float(plan[k, 1]), float(z[i[k], j[k]]))
