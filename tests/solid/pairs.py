"""Made-up pairs of shapes at all angles for the tests that hold our distances against the
kernel's."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from bodycad.geometry.plane.build import circle, hull, rectangle
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.bore import Bore, bore
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.dome import Dome
from bodycad.geometry.solids.edge import Ledge, Roundover, Square
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.skin import Skin
from bodycad.geometry.solids.solid import Shape

Random = np.random.Generator
OUTLINE = profile([(-60, -45, 0.1), (60, -45, 0.3), (60, 45, -0.15), (-60, 45, 0.25)])
"""A lens-like body with a waist: arcs that bulge and one that bends in, sharp corners between
them."""
SKINS = {
    "square": Skin(rectangle(120, 90, 25), 40.0, Square(), Square()),
    "round": Skin(rectangle(120, 90, 25), 40.0, Roundover(6.0), Roundover(3.0)),
    "ledge": Skin(rectangle(120, 90, 25), 40.0, Ledge((1.5,), 6.4), Roundover(4.0)),
    "waist": Skin(OUTLINE, 40.0, Square(), Ledge((2.0,), 5.0)),
}


def prism(r: Random, tilted: bool = False) -> Prism:
    """A pocket with arcs, sharp corners or a bay, turned at random; its floor tilted by up to 27
    degrees."""
    plan = _PLANS[r.integers(len(_PLANS))](r).moved(*r.uniform(-25, 25, 2), r.uniform(0, 360))
    low = r.uniform(-30, -2)
    high = low + r.uniform(4, 20)
    if not tilted:
        return Prism(plan, low, high)
    way, rise = r.uniform(0, 2 * math.pi), r.choice([0.01, 0.05, 0.2, 0.5]) * r.uniform(0.5, 1.0)
    made = Prism(plan, low, high, (rise * math.cos(way), rise * math.sin(way)), plan.centroid)
    return replace(made, high=max(high, made.floor_range[1] + r.uniform(0.5, 3)))


def tilted(r: Random) -> Prism:
    return prism(r, True)


def drilled(r: Random) -> Bore:
    """A hole: upright, level or at any angle; flat, twist-drill or 90 degree point."""
    way = [
        np.array([0.0, 0.0, -1.0]),
        np.append(r.normal(size=2), 0.0),
        r.normal(size=3),
        r.normal(size=3),
    ][r.integers(4)]
    diameter = r.uniform(2, 14)
    return bore(
        tuple(r.uniform([-30, -30, -25], [30, 30, 0])),
        tuple(way),
        diameter,
        r.uniform(diameter + 0.5, 40),
        r.choice([180.0, 118.0, 90.0]),
    )


def carve(r: Random) -> Carve:
    """A scoop, bevel or blend, level or tilted by up to 40 degrees, that ends within the other
    shape's reach or past it."""
    tilt = float(r.choice([0.0, 0.0, 12.0, -25.0, r.uniform(-40, 40)]))
    span = (-r.uniform(2, 60), r.uniform(2, 60))
    return Carve(
        _SECTIONS[r.integers(len(_SECTIONS))](r),
        tuple(r.uniform(-20, 20, 2)),
        r.uniform(0, 360),
        span,
        tilt,
        r.uniform(-5, 5),
    )


def dome(r: Random) -> Dome:
    """An arched face with a crease or a recurve, or a bevel led round; its crown anywhere near."""
    crown = hull(((0, 0, r.uniform(3, 15)), (r.uniform(0, 30), 4, r.uniform(2, 8))))
    run, drop = r.uniform(15, 60), r.uniform(2, 12)
    bulge = r.choice([0.0, math.tan(math.atan2(drop, run) / 2.0)])
    rows = [(0, 0, -bulge), (run, -drop), (run + 60, -drop), (run + 60, 5), (0, 5)]
    rows = [(s, z - 10.0, b) for s, z, b in ((*row, 0.0)[:3] for row in rows)]
    return Dome(crown.moved(*r.uniform(-40, 40, 2), r.uniform(0, 360)), profile(rows))


_PLANS = (
    lambda r: rectangle(r.uniform(6, 30), r.uniform(6, 30), r.uniform(0.5, 2.9)),
    lambda r: circle(r.uniform(3, 25)),
    lambda r: profile([(0, 0), (20, 0, 0.3), (20, 10), (10, 6, -0.4), (0, 12)]),
    lambda r: hull([(0, 0, r.uniform(2, 8)), (r.uniform(10, 20), 4, 5), (8, 14, 3)]),
    lambda r: rectangle(12, r.uniform(4, 12)),
    lambda r: profile([(0, 0, 0.2), (15, -3, -0.25), (24, 8, 0.4), (4, 14, 0)]),
)
_SECTIONS = (
    lambda r: circle(r.uniform(10, 60), 0, r.uniform(-20, 20)),
    lambda r: profile([(0, 0), (30, -12), (30, 10), (0, 10)]),
    lambda r: profile([(0, 0, -0.2), (20, -10, 0), (40, -30), (40, 8), (0, 8)]),
    lambda r: profile([(0, 0), (12, -9, 0.3), (20, 4, 0.2), (0, 10, -0.2)]),
)


def moved(shape: Shape, by: np.ndarray) -> Shape:
    """The shape shifted by `by` (x, y, z), mm."""
    x, y, z = map(float, by)
    if isinstance(shape, Prism):
        at = (shape.slope_at[0] + x, shape.slope_at[1] + y)
        return Prism(shape.profile.moved(x, y), shape.low + z, shape.high + z, shape.slope, at)
    if isinstance(shape, Bore):
        return replace(shape, start=(shape.start[0] + x, shape.start[1] + y, shape.start[2] + z))
    if isinstance(shape, Dome):
        return shape.moved(x, y, z)
    return Carve(
        shape.section.moved(0.0, z),
        (shape.origin[0] + x, shape.origin[1] + y),
        shape.turn_deg,
        shape.span,
        shape.tilt_deg,
        shape.pivot + z,
    )


def mirrored(shape: Shape) -> Shape:
    return shape.mirrored()


def inside(shape: Shape) -> tuple[float, float, float]:
    """A point well inside a convex prism, a bore or a carve with a convex section."""
    if isinstance(shape, Prism):
        x, y = shape.profile.centroid
        return x, y, (shape.floor(x, y) + shape.high) / 2.0
    if isinstance(shape, Bore):
        return tuple(map(float, shape.at(np.array([shape.shoulder / 2.0]))[0]))
    u, w = shape.section.centroid
    if isinstance(shape, Dome):
        return tuple(map(float, shape.at(shape.crown.vertices[:1, :2], *np.array([[u], [w]]))[0]))
    return tuple(map(float, shape.world(np.array([[u, sum(shape.span) / 2.0, w]]))[0]))


def convex(plan: Profile) -> bool:
    """Whether a profile has no bay: every arc bulges out and every corner turns left."""
    s = plan.segments
    a, b = s.tangent(np.ones(len(s))), np.roll(s.tangent(np.zeros(len(s))), -1, axis=0)
    return bool((s.bulge >= 0.0).all() and (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] > -1e-9).all())
