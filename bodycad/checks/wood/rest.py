"""How a fitted solid rests: the gap under it, and how far it lies under the shaped surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.finished import Spot
from bodycad.checks.wood.near import voids_within
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape, point3
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import Face

PLACES = 16
"""Places round a rim at which it is held against the surface, about."""
WITHIN = 0.05
"""A rim is looked at this far (mm) inside itself, so that what lies flush with an edge counts."""


@dataclass(frozen=True, eq=False)
class Rim:
    """A rim to be held against the shaped `face`: points (m, 3), none where all lie over voids."""

    of: str
    face: Face
    points: np.ndarray


def lying(name: str, shape: Shape, piece: Workpiece) -> Rim:
    """The rim of what lies on the flat face that is nearer to it, where it lies over no void."""
    middle = (shape.box[2] + shape.box[5]) / 2.0
    face = Face.FRONT if middle > -piece.thickness / 2.0 else Face.BACK
    rim = _rim(shape, face, 1.0)
    middle_of = rim.mean(axis=0)
    across = float(np.linalg.norm(rim - middle_of, axis=1).max())
    rim = middle_of + (rim - middle_of) * (1.0 - WITHIN / across)
    bare = np.ones(len(rim), bool)
    plan = rim[:, :2]
    for void in voids_within(piece, shape.box):
        low, high = np.array(void.shape.box[:2]), np.array(void.shape.box[3:5])
        if face in void.opens and ((plan >= low) & (plan <= high)).all(axis=1).any():
            bare &= np.isnan(void.shape.column(plan)[0])
    return Rim(name, face, rim[bare])


def outer(name: str, shape: Shape, void: Void) -> Rim:
    """The outer rim of what is let into a void from a flat face."""
    return Rim(name, void.face, _rim(shape, void.face, -1.0))


def _rim(shape: Shape, face: Face, toward: float) -> np.ndarray:
    """Points (m, 3) round the end of a shape that looks into the body from `face` (toward 1), or
    out of it (-1)."""
    up = -toward if face is Face.FRONT else toward
    rim = max(shape.ends, key=lambda end: up * float(end.out[2])).rim
    return rim[:: max(len(rim) // PLACES, 1)]


def over_surface(rims: Sequence[Rim], piece: Workpiece) -> list[Spot]:
    """Where each rim stands highest over its shaped face, mm (less than nothing under it); beside
    the outline the stock's thickness; 0 for a rim without points."""
    found: dict[int, Spot] = {}
    plain = _plain(rims, piece.skin)
    for face, sign in ((Face.FRONT, 1.0), (Face.BACK, -1.0)):
        own = [rim for rim in rims if rim.face is face and len(rim.points)]
        for rim in own:
            if id(rim) in plain:
                k = int(np.argmax(sign * rim.points[:, 2]))
                over = sign * float(rim.points[k, 2] - piece.skin.level(face))
                found[id(rim)] = Spot(over, point3(rim.points[k]), face)
        own = [rim for rim in own if id(rim) not in found]
        if not own:
            continue
        points = np.vstack([rim.points for rim in own])
        heights = sign * (points[:, 2] - piece.skin.height(face, points[:, :2]))
        beside = ~piece.skin.outline.segments.encloses(points[:, :2])
        heights = np.where(beside, piece.thickness, heights)
        ends = np.cumsum([len(rim.points) for rim in own])[:-1]
        for rim, row in zip(own, np.split(heights, ends), strict=True):
            k = int(np.argmax(row))
            found[id(rim)] = Spot(float(row[k]), point3(rim.points[k]), face)
    return [found.get(id(rim), Spot(0.0, (0.0, 0.0, 0.0), "")) for rim in rims]


def _plain(rims: Sequence[Rim], skin: Skin) -> set[int]:
    """Rims that lie clear of every edge treatment and contour, by the balls round them."""
    some = [rim for rim in rims if len(rim.points)]
    if not some:
        return set()
    centres = np.array([rim.points.mean(axis=0) for rim in some])
    ball = np.array([np.linalg.norm(r.points - c, axis=1).max() for r, c in zip(some, centres)])
    clear = skin.inset(centres[:, :2]) > ball + skin.reach
    for contour in skin.contours:
        clear &= contour.carve.closest(centres)[0] > ball
    return {id(rim) for rim, one in zip(some, clear, strict=True) if one}


def on_side(shape: Shape, piece: Workpiece) -> Spot:
    """The gap (mm) between the foot of what lies on the side of a workpiece and the side: under the
    middle of it, and how much more there is under one of its ends than under the other."""
    foot = max(shape.ends, key=lambda end: float(piece.skin.inset(end.rim[:1, :2])[0])).rim
    middle = foot.mean(axis=0)
    across = np.array([-shape.ends[1].out[1], shape.ends[1].out[0]])
    order = np.argsort((foot - middle)[:, :2] @ across)
    places = np.vstack([middle, foot[order[[0, -1]]]])
    gap, left, right = (-piece.skin.inset(places[:, :2])).tolist()
    return Spot(max(gap, 0.0) + abs(left - right), point3(middle), "the side")


def under(shape: Shape, void: Void) -> Spot:
    """The gap (mm) between the inner end of what is let into a void and the void's own end."""
    hole = void.shape.hole
    if hole is not None:
        ends = np.vstack([end.rim for end in shape.ends])
        along = (ends - np.array(hole.start)) @ hole.axes[2]
        k = int(np.argmax(along))
        return Spot(float(hole.shoulder - along[k]), point3(ends[k]), void.id)
    back = void.face is Face.BACK
    gap = void.high - shape.box[5] if back else shape.box[2] - void.low
    return Spot(gap, shape.highest if back else shape.lowest, void.id)
