"""The part of a void that lies in wood: without what overruns the body or runs on inside a void it meets."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.checks.air import depth_inside
from bodycad.checks.near import remembered
from bodycad.geometry.boolean import intersection
from bodycad.geometry.build import circle
from bodycad.geometry.gap import Gap, contour_at_least, contour_gap, face_gap
from bodycad.geometry.nearest import inside_gap
from bodycad.geometry.profile import Profile
from bodycad.geometry.shapes import Bore, Prism
from bodycad.layout.body import Layout
from bodycad.layout.void import Void

SCAN = 1.0
"""Spacing of the sections at which a drilled void is tested for air all round, mm."""
FINE = 2e-3
"""How finely the place where the wood begins is found, mm."""
PARTS = 16
"""Sections tested at once while that place is narrowed down."""
RIM = np.arange(24) * math.pi / 12.0


def in_wood(void: Void, layout: Layout) -> tuple[Void, ...]:
    """The void as one or more voids that stand in wood; none when all of it lies in air.

    A prism open to the edge is cut by the outline. A slanted or level bore loses the ends whose whole
    section lies outside the outline, outside the faces or inside one void that it is declared to meet.
    """
    return remembered(layout, ("in wood", void), lambda: _in_wood(void, layout))


def _in_wood(void: Void, layout: Layout) -> tuple[Void, ...]:
    if isinstance(void.shape, Prism):
        if "edge" not in void.opens:
            return (void,)
        pieces = intersection(void.shape.profile, layout.skin.outline)
        return tuple(replace(void, shape=replace(void.shape, profile=piece.outer)) for piece in pieces)
    if void.shape.upright:
        return (void,)
    others = tuple(v for v in layout.voids if v is not void and layout.meant(void, v))
    shape = _trimmed(void.shape, layout, others, "edge" in void.opens)
    return () if shape is None else (replace(void, shape=shape),)


def _trimmed(shape: Bore, layout: Layout, others: tuple[Void, ...], edge: bool) -> Bore | None:
    ring = shape.radius * (np.cos(RIM)[:, None] * shape.axes[0] + np.sin(RIM)[:, None] * shape.axes[1])

    def airy(along: np.ndarray) -> np.ndarray:
        """Whether the whole section at each of `along` (m,) is in air."""
        points = (shape.at(along)[:, None, :] + ring).reshape(-1, 3)
        z = points[:, 2]
        rows = [z > 0.0, z < -layout.thickness]
        if edge:
            rows.append(~layout.skin.outline.segments.encloses(points[:, :2]))
        rows += [depth_inside(v, points) >= 0.0 for v in others]
        return np.any([row.reshape(len(along), -1).all(axis=1) for row in rows], axis=0)

    along = np.linspace(0.0, shape.shoulder, max(2, math.ceil(shape.shoulder / SCAN) + 1))
    wood = np.flatnonzero(~airy(along))
    if not len(wood):
        return None
    first, last = int(wood[0]), int(wood[-1])
    start = _turning(airy, along[first - 1], along[first]) if first > 0 else 0.0
    if last == len(along) - 1:
        return replace(shape, start=_point(shape, start), length=shape.length - start)
    end = _turning(airy, along[last + 1], along[last])
    return replace(shape, start=_point(shape, start), length=max(end - start, FINE), tip_deg=180.0)


def _turning(airy, free: float, wood: float) -> float:
    """Between a section in air and one that is not: the last place (mm) known to be in air."""
    while abs(wood - free) > FINE:
        between = free + (wood - free) * np.arange(1, PARTS) / PARTS
        solid = np.flatnonzero(~airy(between))
        first = int(solid[0]) if len(solid) else PARTS - 1
        free, wood = (between[first - 1] if first else free), (between[first] if len(solid) else wood)
    return float(free)


def _point(shape: Bore, along: float):
    return tuple(map(float, shape.at(np.array([along]))[0]))


def face_wood(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    """Least wood from the part of a void that lies in wood to the shaped front or back, and what that
    is: the face or a contour's id. Infinite where no part lies in wood."""
    return remembered(layout, ("face wood", void, face), lambda: _face_wood(void, layout, face))


def _face_wood(void: Void, layout: Layout, face: str) -> tuple[Gap, str]:
    best, what = Gap(math.inf, 0.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))), face
    for shape in (piece.shape for piece in in_wood(void, layout)):
        found = face_gap(shape, layout.skin, face)
        if found.distance < best.distance:
            best, what = found, face
        for contour in layout.skin.contours:
            if contour.face == face and contour_at_least(shape, contour.carve, best.distance) < best.distance:
                found = contour_gap(shape, contour.carve)
                if found.distance < best.distance:
                    best, what = found, contour.id
    return best, what


def leads_out(void: Void, layout: Layout, face: str) -> bool:
    """Whether an upright void reaches `face` through a void it meets, so that no wood is left between:
    a neck screw's hole under the pocket, a pot's hole over its cavity."""
    plan = _plan(void)
    if plan is None:
        return False
    for other in layout.voids:
        if face not in other.opens or other is void or not layout.meant(void, other):
            continue
        host = _plan(other)
        if host is None:
            continue
        reaches = void.high >= other.low - FINE if face == "front" else void.low <= other.high + FINE
        if reaches and inside_gap(plan, host)[0] >= -FINE:
            return True
    return False


def _plan(void: Void) -> Profile | None:
    if isinstance(void.shape, Prism):
        return void.shape.profile
    return circle(void.shape.diameter, *void.shape.start[:2]) if void.shape.upright else None
