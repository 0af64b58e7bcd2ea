"""A contour as a reader finds it in a file, and the rules it must hold on its own."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from bodycad.exports.sheet import MARKS
from bodycad.geometry.plane.profile import Profile, flatten
from bodycad.geometry.plane.region import self_crossing

if TYPE_CHECKING:
    from ezdxf.entities import DXFGraphic

NIL = 1e-6
"""Shorter than this (mm) is no length, nearer than this is the same point."""
SHORT, FLATTEST, KINK_DEG = 0.05, 10_000.0, (0.05, 2.0)
"""Short segment and largest radius in mm; a turn between these degrees is a kink."""
SAGITTA = 1e-4
"""How far (mm) the polygons behind the crossing and overlap rules leave their arcs."""
_TOOL_OUTSIDE = ("_OUTLINE_",)


@dataclass(frozen=True)
class Fault:
    """One finding: level "error" or "warning", the layer and entity handle ("" for the file), in
    words."""

    level: str
    layer: str
    handle: str
    text: str


@dataclass(frozen=True, eq=False)
class Ring:
    """A contour as read: rows x, y, bulge; a circle has two rows."""

    entity: DXFGraphic
    rows: np.ndarray
    closed: bool = True

    @property
    def layer(self) -> str:
        return str(self.entity.dxf.layer)

    @cached_property
    def profile(self) -> Profile:
        return Profile(self.rows)

    def fault(self, text: str, level: str = "error") -> Fault:
        return Fault(level, self.layer, self.entity.dxf.handle, text)


def read_ring(entity: DXFGraphic) -> Ring | None:
    """The contour of a CIRCLE, LWPOLYLINE or plane POLYLINE; None for every other kind."""
    kind = entity.dxftype()
    if kind == "CIRCLE":
        (x, y, _), r = entity.dxf.center, entity.dxf.radius
        return Ring(entity, np.array([(x + r, y, 1.0), (x - r, y, 1.0)]))
    if kind == "LWPOLYLINE":
        return Ring(entity, np.array(entity.get_points("xyb"), float).reshape(-1, 3), entity.closed)
    if kind == "POLYLINE" and entity.is_2d_polyline:
        rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
        return Ring(entity, np.array(rows, float).reshape(-1, 3), entity.is_closed)
    return None


def broken(ring: Ring) -> Iterator[Fault]:
    """Faults of one contour that leave nothing else to judge about it."""
    if not np.isfinite(ring.rows).all():
        yield ring.fault("not-finite: a coordinate or bulge is not a number")
        return
    if not ring.closed:
        yield ring.fault("open: the closed flag is not set")
    step = np.hypot(*np.diff(ring.rows[:, :2], axis=0).T) if len(ring.rows) > 1 else np.zeros(1)
    if np.any(step < NIL):
        where = place(ring.rows[int(np.argmin(step))])
        yield ring.fault(f"zero-length: a segment without length at {where}")
    if len(ring.rows) > 2 and math.dist(ring.rows[0, :2], ring.rows[-1, :2]) < NIL:
        yield ring.fault("repeated-vertex: the first vertex stands again at the end")
    elif np.all(step >= NIL):
        points = flatten(ring.profile, SAGITTA)
        crossing = self_crossing(points) if len(points) > 2 else ""
        if crossing:
            yield ring.fault(f"crossing: the contour meets itself, {crossing}")
        elif abs(ring.profile.area) < NIL:
            yield ring.fault("zero-length: the contour encloses nothing")


def rough(ring: Ring, cutter: float) -> Iterator[Fault]:
    """Faults of a sound contour that make a cut slow or ragged; `cutter` is the smallest diameter,
    mm, or 0."""
    s, turn = ring.profile.segments, _turns(ring.profile)
    if np.any(np.abs(s.bulge) > 1.0 + 1e-9):
        where = place(s.a[int(np.argmax(np.abs(s.bulge)))])
        yield ring.fault(f"wide-arc: over 180 degrees at {where}")
    kinked = (np.abs(turn) > KINK_DEG[0]) & (np.abs(turn) < KINK_DEG[1])
    for rule, limit, found, points in (
        ("short", f"under {SHORT:g} mm", s.length < SHORT, s.a),
        ("flat-arc", f"over {FLATTEST / 1000:g} m", s.arc & (s.radius > FLATTEST), s.a),
        ("kink", f"of {KINK_DEG[0]:g}-{KINK_DEG[1]:g} degrees", kinked, s.b),
    ):
        if found.any():
            text = f"{rule}: {found.sum()} {limit}, the first at {place(points[found][0])}"
            yield ring.fault(text, "warning")
    if cutter and ring.layer not in MARKS and "_DIA" not in ring.layer:
        radius = _tightest(ring, turn)
        if radius < cutter / 2.0 - NIL:
            least = f"the smallest cutter's is {cutter / 2.0:.2f}"
            yield ring.fault(f"corner: inside radius {radius:.2f} mm, {least}", "warning")


def _turns(shape: Profile) -> np.ndarray:
    """Degrees (n,) by which the chain turns at the end of each segment, positive to the left."""
    s = shape.segments
    arriving, leaving = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    turn: np.ndarray = np.degrees(np.arctan2(cross, (arriving * leaving).sum(axis=1)))
    return turn


def _tightest(ring: Ring, turn: np.ndarray) -> float:
    """Radius (mm) of the tightest corner the cutter must reach into: 0 when sharp, inf when there
    is none."""
    # The tool lies left of the path in a pocket and round an island, right of it about an outline.
    side = -1.0 if any(word in ring.layer for word in _TOOL_OUTSIDE) else 1.0
    s = ring.profile.segments
    bends = s.arc & (side * s.bulge > 0)
    if np.any(side * turn > KINK_DEG[1]):
        return 0.0
    return float(s.radius[bends].min()) if bends.any() else math.inf


def place(point: Sequence[float]) -> str:
    """A point in words."""
    return f"({point[0]:.3f}, {point[1]:.3f})"
