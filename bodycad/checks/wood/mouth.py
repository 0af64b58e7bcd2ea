"""What of a void lies away from its own mouth, so that the skin beside the mouth is not taken for a
thin wall."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.checks.wood.inwood import in_wood
from bodycad.checks.wood.near import REACH, ball_bounds, of_the_cuts
from bodycad.geometry.distance.gap import contour_at_least, gap
from bodycad.geometry.distance.rim import rim_gap
from bodycad.geometry.distance.search import Gap
from bodycad.geometry.distance.within import contour_gap_within
from bodycad.geometry.plane.boolean import difference
from bodycad.geometry.plane.build import circle
from bodycad.geometry.plane.profile import Profile
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.edge import Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Contour, Skin
from bodycad.geometry.solids.solid import Shape
from bodycad.geometry.solids.stretch import Run
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.words import SIDES, Face

MOUTH = 10.0
"""A void that opens in the side is held against it from this far (mm) behind its own mouth: more
than the edge's limits, so that a square mouth in a straight side is no finding."""
LIP = 6.0
"""A void is held against a contour on the face that it opens from this far (mm) under its own rim:
more than the limits, so that a gentle contour beside a mouth, or in it, is no finding."""
GENTLE = 5.5
"""A contour that keeps this far (mm) from all that lies LIP under it is no thin wall anywhere: more
than the limits."""
ON = 1e-6
"""What lies this near (mm) to the outline runs along it."""
PACE = 0.25
"""Spacing of the places at which a slanted hole is looked for its lip, mm."""


def behind_mouth(void: Void, piece: Workpiece) -> tuple[Shape, ...]:
    """What of a void that opens in the side lies MOUTH mm and more behind its own mouth there, and
    not plainly farther than REACH from all of the side."""
    return of_the_cuts(
        piece,
        ("behind", void),
        lambda: tuple(one for one in _behind_mouth(void, piece) if not _far(one, piece.skin)),
    )


def _far(shape: Shape, skin: Skin) -> bool:
    x0, y0, _, x1, y1, _ = shape.box
    middle, half = np.array([[x0 + x1, y0 + y1]]) / 2.0, math.hypot(x1 - x0, y1 - y0) / 2.0
    return float(skin.inset(middle)[0]) - half - skin.reach > REACH


def _behind_mouth(void: Void, piece: Workpiece) -> tuple[Shape, ...]:
    found: list[Shape] = []
    for one in in_wood(void, piece):
        if one.shape.hole is None or one.shape.upright:
            found += _behind_side(one.shape, piece.skin)
            continue
        hole = one.shape.hole
        away = piece.skin.inset(hole.at(np.array([0.0, hole.shoulder]))[:, :2])
        first = void.face is Face.EDGE or away[0] <= away[1]
        inside = hole.lines.all_in(piece.skin.outline.segments)
        low = inside[0][0] if inside else hole.shoulder
        high = inside[-1][1] if inside else 0.0
        if first and low + MOUTH < hole.shoulder:
            found.append(_on_through(hole.stretched(-low - MOUTH, 0.0), void, piece.skin))
        elif not first and high > MOUTH:
            found.append(replace(hole, length=high - MOUTH, tip_deg=180.0))
    return tuple(found)


def _on_through(hole: Bore, void: Void, skin: Skin) -> Bore:
    """The part of a hole as far as the hole runs, where it comes out of the side again."""
    whole = void.shape.hole
    if whole is None or skin.inset(np.array([whole.end[:2]]))[0] > 0.0:
        return hole
    start = float((np.array(hole.start) - np.array(whole.start)) @ whole.axes[2])
    return whole.stretched(-start, 0.0)


def _behind_side(shape: Shape, skin: Skin) -> list[Shape]:
    """An upright shape without what lies within MOUTH of where it runs along the outline."""
    prism = shape.prism
    if prism is None:
        return [shape]
    near: list[Profile] = []
    for run in _along_outline(prism.profile.segments, skin):
        near += Run(Square(), run, False).bands(MOUTH)
        near += [circle(2.0 * MOUTH, *map(float, end)) for end in (run.a[0], run.b[-1])]
    if not near:
        return [prism]
    return [replace(prism, profile=part.outer) for part in difference(prism.profile, *near)]


def _along_outline(s: Segments, skin: Skin) -> list[Segments]:
    """The pieces of a closed chain that run along the outline, in the chain's order."""
    on = np.abs(skin.inset(s.at(np.full(len(s), 0.5)))) < ON
    if on.all() or not on.any():
        return [s] if on.any() else []
    first = int(np.flatnonzero(on & ~np.roll(on, 1))[0])
    order = np.roll(np.arange(len(s)), -first)
    breaks = np.flatnonzero(np.diff(on[order].astype(int))) + 1
    return [s.take(part) for part in np.split(order, breaks) if on[part[0]]]


def to_own_contours(void: Void, piece: Workpiece) -> list[tuple[Contour, Gap]]:
    """For each contour on a face that a void opens and that comes near: least wood between it and
    what of the void lies LIP mm and more under its rim in the shaped face."""
    return of_the_cuts(piece, ("own contours", void), lambda: _to_own_contours(void, piece))


def _to_own_contours(void: Void, piece: Workpiece) -> list[tuple[Contour, Gap]]:
    bounds, found = ball_bounds(piece)[void.id], []
    for face in SIDES:
        for contour in piece.skin.contours if face in void.opens else ():
            # So far under a gentle surface nothing of it comes near.
            gentle = LIP * math.cos(contour.carve.steepest) >= GENTLE
            if contour.face is face and bounds[contour.id] < LIP and not gentle:
                gaps = [_to_own(one, contour, piece) for one in in_wood(void, piece)]
                known = [one for one in gaps if one is not None and one.distance <= REACH]
                if known:
                    found.append((contour, min(known, key=lambda gap: gap.distance)))
    return found


def _to_own(void: Void, contour: Contour, piece: Workpiece) -> Gap | None:
    shape, skin = void.shape, piece.skin
    if contour_at_least(shape, contour.carve) >= LIP:
        return None
    if not shape.upright:
        slanted = _under_lip(shape.hole, contour.face, skin) if shape.hole else None
        return gap(slanted, contour.carve) if slanted else None
    prism = shape.prism or Prism(shape.plan, *shape.full)
    down = -1.0 if contour.face is Face.FRONT else 1.0
    rim = prism.profile.segments
    walls = rim.take(np.flatnonzero(np.abs(skin.inset(rim.at(np.full(len(rim), 0.5)))) >= ON))
    spots = np.vstack([walls.a, *(walls.at(np.full(len(walls), t)) for t in (0.25, 0.5, 0.75))])
    if not len(walls):
        return None
    if prism.high - prism.floor_range[0] <= LIP:
        return None

    def along_rim() -> Gap | None:
        beside = (*piece.openings[void.id], *piece.voids_of(void.part))
        others = tuple(v.shape for v in beside if v.id != void.id)
        return rim_gap(prism, walls, contour, skin, LIP, others)

    if skin.fall(contour.face, spots).max() > ON:
        return along_rim()
    level = skin.level(contour.face) + down * LIP
    under = (
        replace(prism, high=min(prism.high, level))
        if contour.face is Face.FRONT
        else replace(prism, low=max(prism.low, level))
    )
    found = gap(under, contour.carve)
    if found.distance <= ON:  # the contour lies within the mouth
        return along_rim()
    if not skin.outline.contains(*found.at[1][:2]):
        return contour_gap_within(under, contour, skin)
    return found


def _under_lip(hole: Bore, face: Face, skin: Skin) -> Bore | None:
    """What of a slanted hole lies LIP mm and more under the shaped face all round."""
    ring = hole.lines
    along = np.arange(0.0, hole.shoulder, PACE)
    points = (ring.base[None] + along[:, None, None] * ring.way).reshape(-1, 3)
    depth = (skin.height(face, points[:, :2]) - points[:, 2]) * (
        1.0 if face is Face.FRONT else -1.0
    )
    deep = ((depth >= LIP) & (skin.inset(points[:, :2]) > 0.0)).reshape(len(along), -1).all(axis=1)
    if not deep.any():
        return None
    first = float(along[int(np.argmax(deep))])
    return hole.stretched(-first, 0.0)
