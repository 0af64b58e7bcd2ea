"""What a row of an edge's section leaves along a piece of the outline: a plane, a cylinder, a cone,
a torus."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from OCP.Geom import (
    Geom_Circle,
    Geom_ConicalSurface,
    Geom_CylindricalSurface,
    Geom_SphericalSurface,
    Geom_Surface,
    Geom_SurfaceOfRevolution,
    Geom_ToroidalSurface,
    Geom_TrimmedCurve,
)
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3

from bodycad.geometry.solids.edge import Edge
from bodycad.solid.brep import ONE, axes, point, way
from bodycad.solid.mitre import Strip


@dataclass(frozen=True)
class Row:
    """A piece of an edge's section from `upper` to `lower`, each (s, height over the face); of an
    arc also its middle, radius, and the angles at both ends."""

    upper: tuple[float, float]
    lower: tuple[float, float]
    middle: tuple[float, float] | None = None
    radius: float = 0.0
    turn: tuple[float, float] = (0.0, 0.0)

    @property
    def level(self) -> bool:
        return self.upper[1] == self.lower[1]

    @property
    def upright(self) -> bool:
        return self.upper[0] == self.lower[0]

    @property
    def length(self) -> float:
        return math.dist(self.upper, self.lower)

    def mark(self, s: float) -> float:
        """The place `s` mm in: the angle on an arc, mm from the lower end on a line."""
        if self.middle is None:
            (s1, _), (s0, _) = self.upper, self.lower
            return self.length * (s - s0) / (s1 - s0)
        if abs(s - self.upper[0]) < 1e-9:
            return self.turn[0]
        if abs(s - self.lower[0]) < 1e-9:
            return self.turn[1]
        half = math.acos(min(max((s - self.middle[0]) / self.radius, -1.0), 1.0))
        low, high = sorted(self.turn)
        middle = (low + high) / 2.0
        ways = [sign * half + 2.0 * math.pi * k for sign in (1.0, -1.0) for k in (-1.0, 0.0, 1.0)]
        return min(ways, key=lambda a: abs(a - middle))

    def at(self, mark: float) -> tuple[float, float]:
        """(s, height) of a mark."""
        if self.middle is None:
            t = mark / self.length
            (s1, h1), (s0, h0) = self.upper, self.lower
            return s0 + t * (s1 - s0), h0 + t * (h1 - h0)
        (s, h), r = self.middle, self.radius
        return s + r * math.cos(mark), h + r * math.sin(mark)

    def ends(self) -> tuple[float, float]:
        """Its marks at the lower and the upper end."""
        return (0.0, self.length) if self.middle is None else (self.turn[1], self.turn[0])


def rows_of(edge: Edge) -> tuple[Row, ...]:
    """The pieces of an edge's section from the face to the side."""
    found = []
    chain = edge.chain
    for k, ((s0, d0, bulge), (s1, d1, _)) in enumerate(zip(edge.rows, edge.rows[1:])):
        upper, lower = (s0, -d0), (s1, -d1)
        if not bulge:
            found.append(Row(upper, lower))
            continue
        centre, first = chain.centre[k], float(chain.start[k])
        first -= (
            2.0 * math.pi * math.floor(min(first, first + float(chain.sweep[k])) / 2.0 / math.pi)
        )
        turn = first, first + float(chain.sweep[k])
        middle = float(centre[0]), float(centre[1])
        found.append(Row(upper, lower, middle, float(chain.radius[k]), turn))
    return tuple(found)


Map = Callable[[float, float], tuple[float, float]]
"""From the measure along a strip and the mark on a row to the parameters of a surface."""


def surface_of(strip: Strip, row: Row, level: float, up: float) -> tuple[Geom_Surface, Map]:
    """The surface that a row leaves along a strip of a face at `level`, `up` out of it, and where
    on it a place is. A line of an arc's section leaves a cone, an arc a torus; where the torus
    would cross its own axis, the arc turned about it."""
    if row.middle is not None:
        return _round(strip, row, level, up)
    nu = strip.bend * up
    if row.upright:
        frame = _axes(strip, level + up * row.lower[1], float(strip.bend))
        radius = strip.reach(row.lower[0])
        return Geom_CylindricalSurface(frame, radius), lambda m, q: (m, nu * q)
    (s1, h1), (s0, h0) = row.upper, row.lower
    r0, r1 = strip.reach(s0), strip.reach(s1)
    rise = nu * (h1 - h0)
    flip = 1.0 if (r1 - r0) * rise > 0.0 else -1.0
    # The cone opens along its own axis; where the slant runs against it, from the lower end.
    angle = math.atan2(abs(r1 - r0), abs(h1 - h0))
    if r1 > r0:
        frame = _axes(strip, level + up * h0, strip.bend * flip)
        return Geom_ConicalSurface(frame, angle, r0), lambda m, q: (flip * m, q)
    frame = _axes(strip, level + up * h1, strip.bend * flip)
    length = row.length
    return Geom_ConicalSurface(frame, angle, max(r1, 0.0)), lambda m, q: (flip * m, length - q)


def _axes(strip: Strip, z: float, up: float) -> gp_Ax3:
    """Axes about an arc's centre, from where it begins, their own axis up or down."""
    toward = strip.toward
    return axes(_spot(strip.centre, z), (0.0, 0.0, up), (toward.real, toward.imag, 0.0))


def _spot(p: complex, z: float) -> tuple[float, float, float]:
    return p.real, p.imag, z


def _round(strip: Strip, row: Row, level: float, up: float) -> tuple[Geom_Surface, Map]:
    assert row.middle is not None
    (s, h), r = row.middle, row.radius
    if not strip.bend:
        inward = strip.normal(0.0)
        u = np.array([inward.real, inward.imag, 0.0])
        normal = np.cross(u, [0.0, 0.0, up])
        frame = axes(_spot(strip.a + s * inward, level + up * h), normal, u)
        return Geom_CylindricalSurface(frame, r), lambda m, q: (q, up * m)
    sigma, nu = -strip.bend, strip.bend * up
    big = strip.radius + sigma * s
    a, b = (0.0 if sigma > 0 else math.pi), sigma * nu
    span = sorted(a + b * t for t in row.turn)
    if abs(big) < 1e-9:
        shift = -2.0 * math.pi * round((span[0] + span[1]) / 4.0 / math.pi)
        frame = _axes(strip, level + up * h, float(strip.bend))
        return Geom_SphericalSurface(frame, r), lambda m, q: (m, a + shift + b * q)
    if big > r + ONE:
        shift = -2.0 * math.pi * math.floor((span[0] + 1e-9) / 2.0 / math.pi)
        frame = _axes(strip, level + up * h, float(strip.bend))
        return Geom_ToroidalSurface(frame, big, r), lambda m, q: (m, a + shift + b * q)
    toward = strip.toward
    x, y = np.array([sigma * toward.real, sigma * toward.imag, 0.0]), np.array([0.0, 0.0, up])
    centre = _spot(strip.centre + big * toward, level + up * h)
    circle = Geom_Circle(gp_Ax2(point(centre), way(np.cross(x, y)), way(x)), r)
    trimmed = Geom_TrimmedCurve(circle, *sorted(row.turn))
    axis = gp_Ax1(point(_spot(strip.centre, level)), way((0.0, 0.0, float(strip.bend))))
    return Geom_SurfaceOfRevolution(trimmed, axis), lambda m, q: (m, q)
