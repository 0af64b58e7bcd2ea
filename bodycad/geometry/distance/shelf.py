"""The distance from a solid to a shelf: air at the edge that is not the same all round.

A shelf is open upward (at the back downward) from a floor over a narrow band in plan, so the least
distance to it is that to the nearest of its upright lines. The band is searched by branch and bound
in cells of (along the outline, in from it): no point of a cell lies farther in plan from its centre
than its radius, and none lower than the lowest floor over it."""

from __future__ import annotations

from typing import Any

import numpy as np

from bodycad.geometry.distance.search import BOUND, MOST_CELLS, Best
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.segments import portions
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import UNDER, Shelf, Skin
from bodycad.geometry.solids.solid import Shape
from bodycad.geometry.solids.stretch import Run
from bodycad.words import Face

CELL = 4.0
"""Length along the outline of the cells that a search begins with, mm."""
GOLDEN = (5.0**0.5 - 1.0) / 2.0
CLOSE = BOUND / 10.0
"""How near (mm) the nearest place of an upright line is found by golden section."""


class _Band:
    """The band of a run in cells: each a piece of the chain, or of the turn about a corner of it,
    with fractions `t` along it and `s` mm in from it."""

    def __init__(self, run: Run) -> None:
        chain, reach = run.chain, run.edge.reach
        turns = np.array([high - low for _, low, high in run.corners])
        bend = np.where(chain.bulge < 0.0, reach / np.where(chain.arc, chain.radius, 1.0), 0.0)
        self.run, self.reach = run, reach
        self.length = np.concatenate([chain.length * (1.0 + bend), reach * turns])
        count = np.maximum(np.ceil(self.length / CELL), 1.0).astype(int)
        self.index, place = portions(count)
        self.half = 0.5 / count[self.index]
        self.t, self.s = (place + 0.5) / count[self.index], np.full(len(self.index), reach / 2.0)

    def at(self, index: np.ndarray, t: np.ndarray, s: np.ndarray) -> np.ndarray:
        """Plan points (m, 2)."""
        chain, plan = self.run.chain, np.empty((len(index), 2))
        along = index < len(chain)
        own = chain.take(index[along])
        ahead = own.tangent(t[along])
        plan[along] = own.at(t[along]) + s[along, None] * ahead[:, ::-1] * np.array([-1.0, 1.0])
        for k, (spot, low, high) in enumerate(self.run.corners, len(chain)):
            here = index == k
            turn = low + t[here] * (high - low)
            plan[here] = spot + s[here, None] * np.column_stack([np.cos(turn), np.sin(turn)])
        return plan


def search_shelf(shape: Shape, shelf: Shelf, skin: Skin, best: Best) -> None:
    """Offer `best` the least distance from a solid to a shelf, to within BOUND / 2."""
    band, plan, deepest, index, t, s, half, across = _cells(skin, shelf)
    level, down = skin.level(shelf.face), -1.0 if shelf.face is Face.FRONT else 1.0
    x0, y0, z0, x1, y1, z1 = shape.box
    radius = np.hypot(half * band.length[index], across)
    off = np.maximum(np.array([x0, y0]) - plan, plan - np.array([x1, y1])).clip(0.0)
    lowest = level + down * deepest
    gap = lowest - z1 if shelf.face is Face.FRONT else z0 - lowest
    apart = np.hypot(np.maximum(np.hypot(*off.T) - radius, 0.0), np.maximum(gap, 0.0))
    keep = apart < best.distance - BOUND / 2.0
    while keep.any():
        index, t, s, half, across = (v[keep] for v in (index, t, s, half, across))
        plan, radius, deepest = plan[keep], radius[keep], deepest[keep]
        least = to_uprights(shape, plan, level + down * deepest, shelf.face)[0]
        floor = shelf.depth(plan, s, level)
        real = np.isfinite(floor)
        if real.any():
            found = to_uprights(shape, plan[real], level + down * floor[real], shelf.face)
            best.offer(*found)
        if best.settled:
            return
        keep = least - radius - CLOSE < best.distance - BOUND / 2.0
        if keep.sum() > MOST_CELLS // 4:
            best.bound = max(best.bound, float(radius[keep].max()))
            return
        index, t, s, half, across = (v[keep] for v in (index, t, s, half, across))
        long = half * band.length[index] >= across
        one, two = np.where(long, half / 2.0, 0.0), np.where(long, 0.0, across / 2.0)
        half, across = np.where(long, half / 2.0, half), np.where(long, across, across / 2.0)
        t, s = np.concatenate([t - one, t + one]), np.concatenate([s - two, s + two])
        index, half, across = (np.tile(v, 2) for v in (index, half, across))
        plan, radius = band.at(index, t, s), np.hypot(half * band.length[index], across)
        deepest = shelf.deepest(plan, s, radius, across, level)
        keep = np.isfinite(deepest)


def shelf_distances(
    skin: Skin, points: np.ndarray, z: float, known: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Distance (m,) in the level plane at `z` from plan points (m, 2) to the shelves of a skin, and
    the nearest points there. Negative inside; inf where the plane misses them all, and where they
    are no nearer than `known` (m,)."""
    best, spot = np.full(len(points), np.inf), np.array(points, float)
    space = np.column_stack([points, np.full(len(points), z)])
    for shelf in skin.shelves:
        if abs(z - skin.level(shelf.face)) > _cells(skin, shelf)[2].max(initial=0.0):
            continue
        near = skin.inset(points) - shelf.run.edge.reach < known
        if shelf.carve is not None and near.any():
            # In the plane it is never nearer than in space.
            near &= shelf.carve.closest(space)[0] < known.clip(1e-9)
        for region in _cut(skin, shelf, z) if near.any() else ():
            chains = [region.outer, *region.holes]
            feet = [chain.segments.nearest(points) for chain in chains]
            away = np.array([distance for distance, _, _ in feet])
            k = away.argmin(axis=0), np.arange(len(points))
            inside = np.array([chain.segments.encloses(points) for chain in chains])
            signed = np.where(inside[0] & ~inside[1:].any(axis=0), -away[k], away[k])
            foot, nearer = np.array([foot for _, foot, _ in feet])[k], signed < best
            best, spot = np.where(nearer, signed, best), np.where(nearer[:, None], foot, spot)
    return best, spot


def _cut(skin: Skin, shelf: Shelf, z: float) -> tuple[Region, ...]:
    """What the level plane at `z` cuts out of a shelf, made once."""
    key = "shelf", id(shelf), z
    if key not in skin.memo:
        skin.memo[key] = shelf.regions(skin.outline, z, skin.level(shelf.face))
    found: tuple[Region, ...] = skin.memo[key]
    return found


def shelf_levels(skin: Skin) -> set[float]:
    """Heights z (mm) at which a shelf is at its widest."""
    return {skin.level(shelf.face) + shelf.inward * (shelf.top + UNDER) for shelf in skin.shelves}


def in_shelves(skin: Skin, points: np.ndarray) -> np.ndarray:
    """How far (m,) points (m, 3) of the plain body lie in a shelf, mm: down to its floor or across
    to its inner wall, whichever is less; 0 outside them all."""
    found = np.zeros(len(points))
    for shelf in skin.shelves:
        level, edge = skin.level(shelf.face), shelf.run.edge
        s, under = shelf.run.inset(points[:, :2]), np.abs(points[:, 2] - level)
        deep = np.where(s < edge.reach, shelf.depth(points[:, :2], s, level) - under, 0.0)
        found = np.maximum(found, np.minimum(deep, edge.reach - s))
    return np.where(skin.inset(points[:, :2]) > 0.0, found, 0.0)


def _cells(skin: Skin, shelf: Shelf) -> tuple[Any, ...]:
    """The cells that a search begins with, made once: those in which the shelf takes anything."""
    key = "cells", id(shelf)
    if key not in skin.memo:
        skin.memo[key] = _first(shelf, skin)
    found: tuple[Any, ...] = skin.memo[key]
    return found


def _first(shelf: Shelf, skin: Skin) -> tuple[Any, ...]:
    band = _Band(shelf.run)
    plan = band.at(band.index, band.t, band.s)
    across = np.full(len(plan), band.reach / 2.0)
    radius = np.hypot(band.half * band.length[band.index], across)
    rows = [plan, radius, band.index, band.t, band.s, band.half, across]
    if shelf.carve is not None:
        x0, y0, _, x1, y1, _ = shelf.carve.box
        beside = np.maximum(np.array([x0, y0]) - plan, plan - np.array([x1, y1])).max(axis=1)
        rows = [row[beside <= radius] for row in rows]
    plan, radius, _, _, s, _, across = rows
    deepest = shelf.deepest(plan, s, radius, across, skin.level(shelf.face))
    rows[1] = deepest
    return (band, *(row[deepest > shelf.top] for row in rows))


def to_uprights(
    shape: Shape, plan: np.ndarray, floor: np.ndarray, face: Face
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Least distance (m,) from a solid to the upright lines over plan points (m, 2) from `floor`
    (m,) away from the body, and the pairs of points (m, 3) that show it; of a bore to within CLOSE.

    A prism is nearest at its top's height, or at the end of the line; the distance to a bore, which
    is convex, falls and then rises along the line."""

    def measure(z: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        points = np.column_stack([plan, z])
        distance, foot = shape.closest(points)
        return distance, foot, points

    front = face is Face.FRONT
    if isinstance(shape, Prism):
        return measure(np.maximum(floor, shape.high) if front else np.minimum(floor, shape.high))
    low = floor if front else np.minimum(floor, shape.box[2])
    high = np.maximum(floor, shape.box[5]) if front else floor
    a, b = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_a, at_b = measure(a)[0], measure(b)[0]
    while (high - low).max(initial=0.0) > CLOSE:
        left = at_a < at_b
        low, high = np.where(left, low, a), np.where(left, b, high)
        new = np.where(left, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
        at_new = measure(new)[0]
        a, b = np.where(left, new, b), np.where(left, a, new)
        at_a, at_b = np.where(left, at_new, at_b), np.where(left, at_a, at_new)
    return measure(np.where(at_a < at_b, a, b))
