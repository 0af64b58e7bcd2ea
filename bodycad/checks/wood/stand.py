"""How a fitted solid stands to the finished wood: the air beside it, or how deep it stands in it.

Where one void after another holds the whole of it, the air is measured to their walls in closed
form. Anything else is cut by level planes: what of the solid's section lies in the wood's section
is the overlap. The planes stand at every height where a section begins, ends or changes its kind,
and between them at most STEP apart.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from bodycad.checks.wood.near import voids_within
from bodycad.geometry.distance.plan import inside_gap, plan_gap
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.region import block, merged, nearest, width
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Point3, Shape
from bodycad.layout.levels import SAGITTA, Around, around, sections, wood_at
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece

TOUCH = 1e-6
"""What stands no deeper in the wood than this (mm) touches it."""
INSIDE = 1e-5
"""How far within the heights where a section changes planes are laid, mm."""
STEP = 2.0
"""Planes lie no farther apart where a section changes with the height, mm."""
LOOK = 4.0
"""How far round a solid its wood is looked at, mm: a larger distance is stated as this."""
CHORDS = 2.0 * SAGITTA
"""How far the chords of two sections may leave the true ones together, mm."""
GRAZES = 0.1
"""A solid that reaches into the outline by less than this in plan (mm) lies on the side of it."""
ROUND, APART = 8, 1.0
"""Every so many points of an end's rim, and places along a solid's sides no farther apart (mm), are
held against the outline."""
SLANT = 0.1
"""How far a level section between two planes may leave what they show, mm: the sagitta of STEP on a
round side of 5 mm."""


@dataclass(frozen=True)
class Stand:
    """value: the least air (mm) between a solid and the wood beside it; negative: how deep it
    stands in it, the lesser of how wide and how high what they share is. bound: how far that may be
    overstated. at: where. against: a void's id, or "the wood"."""

    value: float
    bound: float
    at: tuple[Point3, Point3]
    against: str


Inside = Callable[[Profile, Profile], tuple[float, np.ndarray, np.ndarray]]
"""`inside_gap`, or one that remembers it."""


def stand(shape: Shape, piece: Workpiece, inside: Inside = inside_gap) -> Stand:
    """How a solid stands to the finished wood of a workpiece, both in the piece's own frame."""
    skin, box = piece.skin, shape.box
    low, high = max(box[2], -skin.thickness), min(box[5], 0.0)
    if high - low <= TOUCH:
        return _beyond_a_face(shape, skin)
    near = voids_within(piece, box)
    return (
        _in_voids(shape, near, low, high, inside)
        or _in_a_hole(shape, near)
        or _beside(shape, skin, (low + high) / 2.0)
        or _cut(shape, piece, near, low, high)
    )


def _wood(whole: Around, voids: Sequence[Void], box: Sequence[float], z: float) -> Any:
    """The section of the finished wood at height `z` within LOOK of a plan box, as a polygon."""
    room = LOOK + whole.reach + 1.0
    near = block((box[0] - room, box[1] - room, box[2] + room, box[3] + room))
    return wood_at(whole, (void.shape for void in voids), whole.outline.intersection(near), z)


def _beyond_a_face(shape: Shape, skin: Skin) -> Stand:
    """A solid wholly over the plain front or under the plain back."""
    x0, y0, low, x1, y1, high = shape.box
    over = low >= -TOUCH
    x, y, z = (x0 + x1) / 2.0, (y0 + y1) / 2.0, low if over else high
    level = 0.0 if over else -skin.thickness
    return Stand(max(abs(z - level), 0.0), 0.0, ((x, y, z), (x, y, level)), "the wood")


def _beside(shape: Shape, skin: Skin, z: float) -> Stand | None:
    """A solid wholly outside the outline, or that grazes it, else None."""
    x0, y0, x1, y1 = skin.outline.box
    a0, b0, _, a1, b1, _ = shape.box
    inside = x0 < a0 and y0 < b0 and a1 < x1 and b1 < y1
    if inside and skin.outline.contains((a0 + a1) / 2.0, (b0 + b1) / 2.0):
        return None
    away, p, q = plan_gap(shape.plan, skin.outline)
    at = (*_pair(p), z), (*_pair(q), z)
    if away > 0.0:
        return Stand(away, 0.0, at, "the wood")
    first, last = (end.rim[::ROUND, :2] for end in shape.ends)
    length = float(np.linalg.norm(last - first, axis=1).max())
    share = np.linspace(0.0, 1.0, math.ceil(length / APART) + 1)[:, None, None]
    deep = float(skin.inset((first + share * (last - first)).reshape(-1, 2)).max())
    return Stand(0.0 if deep <= TOUCH else -deep, 0.0, at, "the wood") if deep < GRAZES else None


def _pair(point: np.ndarray) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _in_voids(
    shape: Shape, near: Sequence[Void], low: float, high: float, inside: Inside
) -> Stand | None:
    """An upright solid held by upright voids that reach from one to the next, each round all of
    its plan; else None. The figure is the least air at its sides."""
    prism, (x0, y0, _, x1, y1, _) = shape.prism, shape.box
    if prism is None:
        return None
    hosts = []
    for void in near:
        host = void.shape.prism
        if host is None:
            continue
        a0, b0, _, a1, b1, _ = host.box
        if min(x0 - a0, y0 - b0, a1 - x1, b1 - y1) >= -TOUCH:
            room = inside(prism.profile, host.profile)
            if room[0] >= -TOUCH:
                hosts.append((_floor_over(prism, host, low), host.high, room, void))
    level, best = low, None
    while level < high - TOUCH:
        fit = [h for h in hosts if h[0] <= level + TOUCH and h[1] > level + TOUCH]
        if not fit:
            return None
        _, top, (value, p, q), void = max(fit, key=lambda h: (h[2][0], h[1], h[3].id))
        z = (level + min(top, high)) / 2.0
        if best is None or value < best.value:
            best = Stand(max(value, 0.0), 0.0, ((*_pair(p), z), (*_pair(q), z)), void.id)
        level = top
    return best


def _floor_over(prism: Prism, host: Prism, low: float) -> float:
    """The height from which a void holds an upright solid: `low`, the solid's own, where its floor
    lies nowhere over the solid's; else the highest of its floor under the solid."""
    (sx, sy), (tx, ty) = host.slope, prism.slope
    rise = host.floor(0.0, 0.0) - prism.floor(0.0, 0.0)
    over = Prism(prism.profile, rise, rise + 1.0, (sx - tx, sy - ty)).floor_range[1]
    return low if over <= TOUCH else host.floor_over(prism.profile)[1]


def _in_a_hole(shape: Shape, near: Sequence[Void]) -> Stand | None:
    """A solid wholly in one drilled hole, which is as good as convex: its rims say so."""
    rims = [end.rim for end in shape.ends]
    points = np.vstack([*rims, shape.cover]) if shape.hole else np.vstack(rims)
    best = None
    for void in near:
        if void.shape.hole is None:
            continue
        free = void.air.free(points, 0.0, 0.0)
        k = int(np.argmin(free))
        if free[k] >= -TOUCH and (best is None or free[k] > best.value):
            x, y, z = map(float, points[k])
            best = Stand(max(float(free[k]), 0.0), 0.0, ((x, y, z), (x, y, z)), void.id)
    return best


def _cut(shape: Shape, piece: Workpiece, near: Sequence[Void], low: float, high: float) -> Stand:
    """A solid held against the wood in level planes."""
    skin, (x0, y0, _, x1, y1, _) = piece.skin, shape.box
    whole = around(skin)
    plan = x0, y0, x1, y1
    wood = partial(_wood, whole, near, plan)
    marks = {low, high} | {z for s in (shape, *(v.shape for v in near)) for z in s.critical_heights}
    breaks = sorted({round(z, 9) for z in marks | skin.edge_heights if low <= z <= high})
    changing = [s for s in (shape, *(v.shape for v in near)) if not s.upright or not s.prism]
    tilted = [s.full for s in (shape, *(v.shape for v in near)) if s.prism]
    clear, deepest, height = Stand(LOOK, 0.0, _spot(shape, low), "the wood"), 0.0, 0.0
    spot, slack = clear.at, CHORDS
    for z0, z1 in zip(breaks, breaks[1:]):
        steady = not changing and all(z1 <= a or a <= z0 for a, _ in tilted)
        steady = steady and not _shaped(whole, plan, z0, z1)
        count = 1 if steady else math.ceil((z1 - z0) / STEP) + 1
        inner = min(INSIDE, (z1 - z0) / 4.0)
        levels = [(z0 + z1) / 2.0] if steady else np.linspace(z0 + inner, z1 - inner, count + 1)
        shared, slack = 0, slack if steady else CHORDS + SLANT
        for z in map(float, levels):
            drawn = sections([shape], z)
            if not drawn:
                continue
            mine, left = merged(drawn), wood(z)
            both = mine.intersection(left)
            if both.area > CHORDS * CHORDS and (wide := width(both))[0] > CHORDS:
                shared += 1
                if wide[0] > deepest:
                    deepest, spot = wide[0], ((*wide[1], z), (*wide[1], z))
            elif (away := float(mine.distance(left))) < clear.value:
                p, q = nearest(mine, left)
                clear = Stand(away, slack, ((*p, z), (*q, z)), "the wood")
        height += (z1 - z0) * shared / len(levels)
    if deepest > 0.0:
        return Stand(-min(deepest, height), slack, spot, "the wood")
    return clear


def _shaped(whole: Around, plan: Sequence[float], low: float, high: float) -> bool:
    """Whether the wood's outside changes with the height between two levels near a plan box."""
    room = LOOK + whole.reach + 1.0
    near = block((plan[0] - room, plan[1] - room, plan[2] + room, plan[3] + room))
    if any(c.box[2] < high and low < c.box[5] and w.intersects(near) for c, w in whole.carves):
        return True
    skin = whole.skin
    if whole.local((*plan,)) is None:
        return False
    return -skin.drop("front") < high or skin.drop("back") - skin.thickness > low


def _spot(shape: Shape, z: float) -> tuple[Point3, Point3]:
    x0, y0, _, x1, y1, _ = shape.box
    middle = (x0 + x1) / 2.0, (y0 + y1) / 2.0, z
    return middle, middle
