"""The distance between an upright prism and a carve."""

from __future__ import annotations

import math

import numpy as np

from bodycad.geometry.distance.curves import (
    carve_curves,
    floor_rim,
    search_curves,
    to_shape,
    top_rim,
    uprights,
)
from bodycad.geometry.distance.plan import chain_gap
from bodycad.geometry.distance.search import Best, Gap
from bodycad.geometry.plane.profile import support_range
from bodycad.geometry.plane.segments import Segments
from bodycad.geometry.solids.carve import Carve
from bodycad.geometry.solids.prism import Prism
from bodycad.geometry.solids.solid import boxes_apart, point3


def prism_carve_gap(prism: Prism, carve: Carve) -> Gap:
    """Least distance between a prism and a carve.

    Seen along a level sweep a level prism is a rectangle; its distance to the section is exact
    where the nearest points lie within the sweep. Otherwise the edges of both are searched."""
    if prism.tilted or not carve.level:
        return _searched(prism, carve, 0.0)
    low, high = prism.low, prism.high
    u0, u1 = _local_range(prism, carve, 0)
    rows = np.array([[u0, low], [u1, low], [u1, high], [u0, high]])
    block = Segments(rows, np.roll(rows, -1, axis=0), np.zeros(4))
    section = carve.section.segments
    flat, p, q = chain_gap(block, section)
    if flat > 0.0 and section.encloses(rows[:1])[0]:
        flat, q = 0.0, p
    elif flat > 0.0 and block.encloses(carve.section.vertices[:1, :2])[0]:
        flat, p = 0.0, q
    spot = _spot_at(prism, carve, float(p[0]))
    v = float(carve.local(np.array([[*spot, 0.0]]))[0, 1])
    if not carve.span[0] <= v <= carve.span[1]:
        return _searched(prism, carve, flat)
    foot = carve.world(np.array([[q[0], v, q[1]]]))[0]
    return Gap(flat, 0.0, (point3((*spot, p[1])), point3(foot)))


def _searched(prism: Prism, carve: Carve, least: float) -> Gap:
    """Branch and bound along the edges of both, and where their round faces can face each other."""
    best = Best(math.inf, np.zeros(3), np.zeros(3), least=max(least, boxes_apart(prism, carve)))
    own, swept = to_shape(carve.closest), to_shape(prism.closest, swapped=True)
    up = np.array([-prism.slope[0], -prism.slope[1], 1.0])
    down = math.atan2(float(up @ carve.axes[2]), float(up @ carve.axes[0]))
    quarters = tuple(k * math.pi / 2.0 for k in range(4))
    search_curves(top_rim(prism), own, best)
    search_curves(floor_rim(prism), own, best)
    search_curves(uprights(prism, math.radians(carve.turn_deg)), own, best)
    for curves in carve_curves(carve, (*quarters, down, down + math.pi)):
        search_curves(curves, swept, best)
    return best.gap()


def _local_range(prism: Prism, carve: Carve, axis: int) -> tuple[float, float]:
    angle = math.radians(carve.turn_deg) + (math.pi / 2.0 if axis else 0.0)
    shift = float(np.array(carve.origin) @ carve.axes[axis, :2])
    low, high = support_range(prism.profile, angle)
    return low - shift, high - shift


def _spot_at(prism: Prism, carve: Carve, u: float) -> tuple[float, float]:
    """A point of the prism's plan outline whose u in the carve's section is the given one."""
    s, way = prism.profile.segments, carve.axes[0, :2]
    start = (s.a - np.array(carve.origin)) @ way
    ahead = (s.b - s.a) @ way
    t = np.clip((u - start) / np.where(ahead != 0.0, ahead, 1.0), 0.0, 1.0)
    spots = [(s.a + t[:, None] * (s.b - s.a))[~s.arc], s.a]
    turn = math.radians(carve.turn_deg)
    off = (u - (s.centre - np.array(carve.origin)) @ way) / np.where(s.arc, s.radius, 1.0)
    lean = np.arccos(np.clip(off, -1.0, 1.0))
    for angle in (turn + lean, turn - lean):
        on = s.arc & s.spans(angle, np.arange(len(s)))
        out = np.stack([np.cos(angle), np.sin(angle)], axis=1)
        spots.append((s.centre + s.radius[:, None] * out)[on])
    points = np.vstack(spots)
    k = int(np.argmin(np.abs((points - np.array(carve.origin)) @ way - u)))
    return float(points[k, 0]), float(points[k, 1])
