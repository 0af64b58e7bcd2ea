"""What wood a tool meets on its straight way to a cut.

What any other cut takes is air here, for it leaves in any case; so is what a contour or an edge
takes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from bodycad.checks.wood.near import of_the_cuts, voids_within
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import Point3, point3
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

NONE = 0.05
"""Wood that is thinner than this, or stands out from a mouth's rim by less, is none, mm."""
STEP = 0.5
"""Spacing of the places at which a way is looked at, mm."""


def wood_over(void: Void, piece: Workpiece, face: Face) -> Point3 | None:
    """Where an upright tool that comes from a face meets wood over an upright cut: the top of what
    is open there, where it lies deepest under the shaped face; None where all of the way is air."""
    return of_the_cuts(piece, ("wood over", void, face), lambda: _wood_over(void, piece, face))


def _wood_over(void: Void, piece: Workpiece, face: Face) -> Point3 | None:
    level, (low, high) = piece.skin.level(face), void.shape.full
    top = low if face is Face.BACK else high
    if _up(face) * (level - top) <= NONE:
        return None
    plan = Prism(void.shape.plan, -1.0, 0.0)
    spots = np.unique(np.vstack([plan.ends[0].rim, plan.cover])[:, :2], axis=0)
    spots = spots[piece.skin.inset(spots) > 0.0]
    if not len(spots):
        return None
    x0, y0, _, x1, y1, _ = void.shape.box
    near = voids_within(piece, (x0, y0, min(top, level), x1, y1, max(top, level)), NONE)
    spans = [_span(other, spots, face) for other in near if other is not void]
    if void.shape.hole is not None:  # a drill that starts on a tilted floor takes the wedge there
        spans = [(np.fmin.reduce(first), last) for first, last in spans]
    reached, before = _span(void, spots, face)[1], np.full(len(spots), -math.inf)
    while not np.array_equal(reached, before):
        before = reached
        for first, last in spans:
            reached = np.where(first <= reached + NONE, np.fmax(reached, last), reached)
    wood = _up(face) * piece.skin.height(face, spots) - reached
    k = int(np.nanargmax(wood))
    return point3((*spots[k], _up(face) * reached[k])) if wood[k] > NONE else None


def _up(face: Face) -> float:
    return -1.0 if face is Face.BACK else 1.0


def _span(void: Void, spots: np.ndarray, face: Face) -> tuple[np.ndarray, np.ndarray]:
    """From where to where (m,) a void reaches over plan points in it or within NONE of it, counted
    up toward a face; nan beside it."""
    low, high = void.shape.widened(NONE).column(spots)
    return (-high, -low) if face is Face.BACK else (low, high)


def behind(void: Void, hole: Bore, piece: Workpiece) -> tuple[Point3 | None, tuple[Face, ...]]:
    """The way of the drill behind a hole's start, along its axis, until it is out of the plain
    board: where it first lies in wood, None where nowhere; and which faces it is then beyond."""
    x0, y0, x1, y1 = piece.skin.outline.box
    long = hole.length + math.dist((x0, y0), (x1, y1)) + piece.thickness
    line = hole.at(-np.arange(0.0, long, STEP))
    beyond = _outside(line, piece)
    out = int(np.argmax(beyond.any(axis=1)))
    wood = np.flatnonzero(~_in_air(line[: out + 1], piece, void))
    faces = tuple(face for face, there in zip(Face, beyond[out]) if there)
    return (point3(line[wood[0]]) if len(wood) else None), faces


def _outside(points: np.ndarray, piece: Workpiece) -> np.ndarray:
    """Whether each point (m, 3) lies over the plain front, under the back, beside the outline."""
    z, skin = points[:, 2], piece.skin
    over = z >= -NONE, z <= NONE - piece.thickness, skin.inset(points[:, :2]) <= NONE
    return np.stack(over, axis=1)


def _in_air(points: np.ndarray, piece: Workpiece, *but: Void) -> np.ndarray:
    """Which of the points (m, 3) lie outside the shaped wood or in a void; `but`: not in those."""
    skin, plan, z = piece.skin, points[:, :2], points[:, 2]
    air = np.asarray(_outside(points, piece).any(axis=1))
    for face in SIDES:
        air |= _up(face) * (z - skin.height(face, plan)) >= -NONE
    low, high = points.min(axis=0), points.max(axis=0)
    for other in voids_within(piece, (*low, *high), NONE):
        if other not in but:
            left = np.flatnonzero(~air)
            air[left] = other.shape.closest(points[left])[0] <= NONE
    return air


def wood_beside(void: Void, piece: Workpiece) -> Point3 | None:
    """Where a tool that comes level from beside the outline meets wood before a routed cut, on the
    best of the ways along its straight walls and square to the outline; None where one is air."""
    return of_the_cuts(piece, ("wood beside", void), lambda: _wood_beside(void, piece))


def _wood_beside(void: Void, piece: Workpiece) -> Point3 | None:
    rim = np.vstack([end.rim for end in void.shape.ends])
    found: Point3 | None = None
    for way in _level_ways(void, piece):
        here, found = rim, None
        while len(here):
            air = _in_air(here, piece)
            if not air.all():
                found = point3(here[int(np.argmin(air))])
                break
            here = here[piece.skin.inset(here[:, :2]) > 0.0] + STEP * way
        else:
            return None
    return found


def _level_ways(void: Void, piece: Workpiece) -> Iterator[np.ndarray]:
    s, outline = void.shape.plan.segments, piece.skin.outline.segments
    middle = np.array([void.shape.plan.centroid])
    foot = outline.nearest(middle)[1][0] - middle[0]
    straight = (s.b - s.a)[~s.arc]
    for x, y in (foot, -foot, *straight, *-straight):
        if (size := math.hypot(x, y)) > NONE:
            yield np.array([x / size, y / size, 0.0])
