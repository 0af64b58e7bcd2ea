"""Each void as its tool really runs: past every face it opens, and a little into the voids it meets.

Where the wood ends or another void already is, this takes nothing; where a tilted drill enters, it
takes the wedge that the drill takes. The volume and the kernel both cut with these shapes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from bodycad.geometry.distance.plan import inside_gap
from bodycad.geometry.solids.shapes import Bore, Prism, support_range
from bodycad.geometry.solids.skin import Skin
from bodycad.layout.sections import plan_of
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece

OVER = 1.0
"""How far (mm) a tool runs past an open face or into a void it meets."""
NEAR = 1e-3
"""An end within this (mm) of a face or floor reaches it."""


def tool_shapes(piece: Workpiece) -> Mapping[str, Prism | Bore]:
    """The shape that each void's tool takes, by void id, in the piece's order."""
    made = {}
    for void in piece.voids:
        shape = past_faces(void, piece.skin)
        for other in piece.voids:
            if other is not void and piece.meant(void, other):
                shape = into(shape, other)
        made[void.id] = shape
    return MappingProxyType(made)


def past_faces(void: Void, skin: Skin) -> Prism | Bore:
    """The void's shape run at least `OVER` past each face it opens, where its end reaches that
    face."""
    if isinstance(void.shape, Prism):
        return _prism_past(void.shape, void.opens, skin.thickness)
    shape = void.shape
    backward = max(
        (_overrun(shape, "start", face, skin) for face in sorted(void.opens)), default=0.0
    )
    forward = max((_overrun(shape, "end", face, skin) for face in sorted(void.opens)), default=0.0)
    start = tuple(s - backward * d for s, d in zip(shape.start, shape.direction))
    return (
        replace(shape, start=start, length=shape.length + backward + forward)
        if backward or forward
        else shape
    )


def _prism_past(shape: Prism, opens: frozenset[str], thickness: float) -> Prism:
    if "front" in opens and shape.high >= -NEAR:
        shape = replace(shape, high=max(shape.high, OVER))
    if "back" in opens and shape.floor_range[1] <= -thickness + NEAR:
        shape = Prism(shape.profile, min(shape.floor_range[0], -thickness - OVER), shape.high)
    return shape


def _overrun(shape: Bore, end: str, face: str, skin: Skin) -> float:
    """How much further (mm) one end of a bore must run for its whole disc to clear an open face."""
    way = -1.0 if end == "start" else 1.0
    out = way * np.array(shape.direction)
    disc = np.array(shape.start) + (0.0 if end == "start" else shape.shoulder) * np.array(
        shape.direction
    )
    last = disc if end == "start" else np.array(shape.end)
    if face == "edge":
        return _edge_overrun(shape, disc, out, skin)
    up = 1.0 if face == "front" else -1.0
    level = 0.0 if face == "front" else skin.thickness
    rise = shape.radius * math.sqrt(max(1.0 - out[2] ** 2, 0.0))
    if up * out[2] < 0.05 or max(up * disc[2] + rise, up * last[2]) < level - NEAR:
        return 0.0
    return max((level + OVER - up * disc[2] + rise) / (up * out[2]), 0.0)


def _edge_overrun(shape: Bore, disc: np.ndarray, out: np.ndarray, skin: Skin) -> float:
    turn = np.arange(16) * math.pi / 8.0
    u, v, _ = shape.axes
    rim = disc + shape.radius * (np.cos(turn)[:, None] * u + np.sin(turn)[:, None] * v)
    inset = skin.inset(rim[:, :2])
    if inset.min() > NEAR or math.hypot(*out[:2]) < 0.05:
        return 0.0
    for run in np.arange(0.0, 2.0 * shape.diameter + 4.0 * OVER, 0.5):
        if skin.inset((rim + run * out)[:, :2]).max() <= -OVER:
            return float(run)
    return 0.0


def into(shape: Prism | Bore, other: Void) -> Prism | Bore:
    """The shape with any level end that stands on the other void's floor or ceiling run `OVER` into
    it.

    Only where the whole plan lies inside the other void, so that no more wood goes.
    """
    host = other.shape.as_prism() if isinstance(other.shape, Bore) else other.shape
    if (
        host is None
        or (isinstance(shape, Bore) and not shape.upright)
        or (isinstance(shape, Prism) and shape.tilted)
    ):
        return shape
    high, low = (
        (shape.high, shape.low)
        if isinstance(shape, Prism)
        else sorted((shape.start[2], shape.end[2]))[::-1]
    )
    plan = plan_of(shape)
    low_floor, high_floor = _floor_under(host, plan)
    up = low_floor - NEAR <= high <= high_floor + NEAR
    down = abs(low - host.high) <= NEAR
    if not (up or down) or inside_gap(plan, host.profile)[0] < -1e-9:
        return shape
    more_up = max(min(high_floor + OVER, host.high) - high, 0.0) if up else 0.0
    more_down = max(low - max(host.high - OVER, high_floor), 0.0) if down else 0.0
    if isinstance(shape, Prism):
        return replace(shape, high=shape.high + more_up, low=shape.low - more_down)
    return _stretched(shape, more_up, more_down)


def _stretched(shape: Bore, more_up: float, more_down: float) -> Bore:
    """An upright bore run further at its flat ends only."""
    drilled_down = shape.direction[2] < 0.0
    at_start, at_end = (more_up, more_down) if drilled_down else (more_down, more_up)
    if shape.tip > 0.0:
        at_end = 0.0
    start = (*shape.start[:2], shape.start[2] - at_start * shape.direction[2])
    return replace(shape, start=start, length=shape.length + at_start + at_end)


def _floor_under(host: Prism, plan) -> tuple[float, float]:
    """Lowest and highest floor (mm) of a prism under a plan profile."""
    if not host.tilted:
        return host.low, host.low
    low, high = support_range(plan, math.atan2(host.slope[1], host.slope[0]))
    steep, base = math.hypot(*host.slope), host.floor(0.0, 0.0)
    return base + steep * low, base + steep * high
