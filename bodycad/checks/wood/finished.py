"""The finished surface itself: where a contour leaves a step in it, and where a fin is left
standing between a void and the air beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from bodycad.checks.wood.inwood import in_wood
from bodycad.checks.wood.level import level_reach
from bodycad.checks.wood.near import ball_bounds, voids_within
from bodycad.geometry.solids.carve import section_height
from bodycad.geometry.solids.prism import SPACING
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.geometry.solids.solid import Point3
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

BESIDE = 0.01
"""How far to either side of a contour's end the surface is looked at, mm."""
APART = 3.0
"""Places along a contour's end, and along a void's rim, are no farther apart than this, mm."""
LAYER = 6.0
"""Void walls are looked at in the middle of layers of so many mm, the same for all."""
ON = 0.05
"""What of a rim lies this near to the outline is a mouth in it, mm."""
STEEP = 2.0
"""A fin is higher than this many times its thickness: anything lower is a corner."""


@dataclass(frozen=True)
class Spot:
    """A figure (mm), where, and what it is of: a contour's or a void's id."""

    value: float
    at: Point3
    of: str


def step(contour: Contour, piece: Workpiece) -> Spot | None:
    """The highest step that a contour's ends leave in the finished surface within the outline;
    None where its ends lie in air."""
    skin, points, across = piece.skin, *_ends(contour, piece.skin)
    face, level = contour.face, skin.level(contour.face)
    down = np.abs(points[:, 2] - level)
    x0, y0, x1, y1 = skin.outline.box
    plan = points[:, :2]
    keep = (down > BESIDE) & ((plan >= (x0, y0)) & (plan <= (x1, y1))).all(axis=1)
    keep &= (points[:, 2] < 0.0) & (points[:, 2] > -skin.thickness)
    plan, across = plan[keep], across[keep]
    for side in (-1.0, 1.0):
        inside = skin.outline.segments.encloses(plan + side * BESIDE * across)
        plan, across = plan[inside], across[inside]
    for void in _over(piece, plan):
        if face in void.opens and len(plan):
            bare = np.isnan(void.shape.column(plan)[0])
            plan, across = plan[bare], across[bare]
    if not len(plan):
        return None
    # The edge treatment may have taken the step away.
    one, two = (skin.height(face, plan + side * BESIDE * across) for side in (-1.0, 1.0))
    rise = np.abs(one - two)
    k = int(np.argmax(rise))
    return Spot(float(rise[k]), (float(plan[k, 0]), float(plan[k, 1]), float(one[k])), contour.id)


def _over(piece: Workpiece, plan: np.ndarray) -> list[Void]:
    """The voids whose boxes come over or under the box of plan points (m, 2)."""
    if not len(plan):
        return []
    return voids_within(piece, (*plan.min(axis=0), -np.inf, *plan.max(axis=0), np.inf))


def _ends(contour: Contour, skin: Skin) -> tuple[np.ndarray, np.ndarray]:
    """Points (m, 3) of a carve's surface where it ends, in its section or along its sweep, and the
    unit ways (m, 2) in plan across that end."""
    carve = contour.carve.straight
    if carve is None:
        return np.zeros((0, 3)), np.zeros((0, 2))
    s = carve.section.segments
    (u0, _, u1, _), (v0, v1) = carve.section.box, carve.span
    x0, y0, x1, y1 = skin.outline.box
    body = carve.local(np.array(list(product((x0, x1), (y0, y1), (0.0, -skin.thickness)))))
    (ua, va, _), (ub, vb, _) = body.min(axis=0), body.max(axis=0)
    upright = ~s.arc & (np.abs(s.a[:, 0] - s.b[:, 0]) < BESIDE)
    along, sweep = (axis[:2] / np.linalg.norm(axis[:2]) for axis in carve.axes[:2])
    rows, ways = [np.zeros((0, 3))], [np.zeros((0, 2))]
    for u in np.unique(s.a[upright, 0].round(6)):
        if ua <= u <= ub:
            # Just inside, on the side that the section has.
            inner = u + math.copysign(BESIDE, (u0 + u1) / 2.0 - u) if u in (u0, u1) else u
            v = _places(max(v0, va), min(v1, vb))
            rows.append(np.column_stack([np.full(len(v), inner), v, np.full(len(v), inner)]))
            ways.append(np.tile(along, (len(v), 1)))
    for end in (v0, v1):
        if va <= end <= vb:
            across = _places(max(u0 + BESIDE, ua), min(u1 - BESIDE, ub))
            rows.append(np.column_stack([across, np.full(len(across), end), across]))
            ways.append(np.tile(sweep, (len(across), 1)))
    local = np.vstack(rows)
    local[:, 2] = section_height(carve.section, local[:, 2], contour.face)
    sound = np.isfinite(local[:, 2])
    return carve.world(local[sound]), np.vstack(ways)[sound]


def _places(low: float, high: float) -> np.ndarray:
    """Places from `low` to `high`, APART at most; none where low lies above high."""
    return (
        np.linspace(low, high, math.ceil((high - low) / APART) + 1) if low < high else np.array([])
    )


def fins(piece: Workpiece, enough: float) -> Iterator[Spot]:
    """For each void that runs out of the side, or beside a contour of a face that it opens, the
    thinnest wood under `enough` (mm) that stands between its walls and the air beside it as a fin:
    thinner than 1 / STEEP of its way to the void's own mouth."""
    walls = [_wall(void, piece) for void in _beside_air(piece, enough)]
    walls = [wall for wall in walls if len(wall.plan) and len(wall.levels)]
    if not walls:
        return
    counts = np.array([len(w.plan) for w in walls])
    flat = piece.skin.inset(np.vstack([w.plan for w in walls]))
    insets = np.split(flat, np.cumsum(counts)[:-1])
    plan = np.vstack([np.tile(w.plan, (len(w.levels), 1)) for w in walls])
    z = np.concatenate([np.repeat(w.levels, len(w.plan)) for w in walls])
    inset = np.concatenate([np.tile(own, len(w.levels)) for own, w in zip(insets, walls)])
    radius = np.repeat([w.radius for w in walls], [len(w.levels) for w in walls] * counts)
    every, near = np.full(len(z), np.inf), _near_air(piece.skin, plan, inset, radius + enough)
    # An edge treatment rounds a wall off and leaves no fin.
    every[near], _ = level_reach(piece.skin, plan[near], inset[near], z[near], shelves=False)
    ends = np.cumsum([len(w.plan) * len(w.levels) for w in walls])[:-1]
    best: dict[str, Spot] = {}
    for wall, own in zip(walls, np.split(every, ends), strict=True):
        faces = None
        for level, reach in zip(wall.levels, own.reshape(len(wall.levels), -1), strict=True):
            thick = reach - wall.radius
            if not (thick < enough).any():
                continue
            # A drill's own mouth is as far from its axis as it is deep.
            stands = np.maximum(reach if wall.radius else thick, 0.0)
            faces = _faces(wall, piece.skin) if faces is None else faces
            mouth = _to_mouth(wall, float(level), reach, faces)
            thin = (thick < enough) & (STEEP * stands < mouth - BESIDE)
            k = int(np.argmin(np.where(thin, thick, np.inf)))
            if thin[k] and (wall.void.id not in best or thick[k] < best[wall.void.id].value):
                x, y = map(float, wall.plan[k])
                best[wall.void.id] = Spot(float(thick[k]), (x, y, float(level)), wall.void.id)
    yield from best.values()


def _near_air(skin: Skin, plan: np.ndarray, inset: np.ndarray, within: np.ndarray) -> np.ndarray:
    """Which of plan points (m, 2) may be `within` (m,) mm of the edge or a contour: indices."""
    near = inset <= within + skin.reach
    for contour in skin.contours:
        box = np.array(contour.carve.box)
        room = within[:, None]
        near |= ((plan >= box[:2] - room) & (plan <= box[3:5] + room)).all(axis=1)
    return np.flatnonzero(near)


def _beside_air(piece: Workpiece, enough: float) -> Iterator[Void]:
    """The parts in wood of the voids that a fin may stand beside."""
    bounds = ball_bounds(piece)
    for void in piece.voids:
        near = [c for c in piece.skin.contours if bounds[void.id][c.id] <= enough]
        if Face.EDGE in void.opens or any(c.face in void.opens for c in near):
            yield from in_wood(void, piece)


@dataclass(frozen=True, eq=False)
class _Wall:
    """The walls of a void at some `levels`: points (m, 2) in plan, or those of a level axis from
    which the wall is `radius` mm away. along: how far (m,) a drill has gone."""

    void: Void
    plan: np.ndarray
    levels: np.ndarray
    radius: float = 0.0
    along: np.ndarray | None = None


def _wall(void: Void, piece: Workpiece) -> _Wall:
    skin, shape = piece.skin, void.shape
    hole = shape.hole
    if hole is not None and not shape.upright:
        count = max(math.ceil(hole.shoulder / APART), 1) + 1
        along = np.linspace(0.0, hole.shoulder, count)
        points = hole.at(along)
        inside = skin.outline.segments.encloses(points[:, :2])
        inside &= np.abs(points[:, 2] - hole.start[2]) < BESIDE
        along = along[inside] - along[inside].min(initial=np.inf)
        return _Wall(void, points[inside, :2], np.array([hole.start[2]]), hole.radius, along)
    low, high = max(shape.box[2], -skin.thickness), min(shape.box[5], 0.0)
    layers = -LAYER * (np.arange(math.ceil(skin.thickness / LAYER)) + 0.5)
    levels = layers[(layers > low) & (layers < high)]
    return _Wall(void, shape.ends[0].rim[:: round(APART / SPACING), :2], levels)


def _faces(wall: _Wall, skin: Skin) -> list[tuple[float, np.ndarray]]:
    """Of each face that the void of an upright wall opens: which way is out of it, and its height
    (m,) over the wall."""
    opens = [face for face in SIDES if face in wall.void.opens and wall.along is None]
    return [(1.0 if f is Face.FRONT else -1.0, skin.height(f, wall.plan)) for f in opens]


def _to_mouth(
    wall: _Wall, level: float, reach: np.ndarray, faces: list[tuple[float, np.ndarray]]
) -> np.ndarray:
    """How far (m,) the points of a wall are from where the void comes out as it should."""
    if wall.along is not None:
        return wall.along
    mouth = np.full(len(reach), np.inf)
    for sign, height in faces:
        mouth = np.minimum(mouth, sign * (height - level))
    out = wall.plan[reach < ON]
    if Face.EDGE in wall.void.opens and len(out):
        away = np.linalg.norm(wall.plan[:, None] - out[None], axis=2).min(axis=1)
        # Where it comes out lies up to a place's step nearer than the places that do.
        mouth = np.minimum(mouth, np.maximum(away - APART, 0.0))
    return mouth
