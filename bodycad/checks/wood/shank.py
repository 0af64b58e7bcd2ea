"""The way of a long drill behind the hole that it makes: its shank, and its chuck."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.air import free_radius
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3, point3
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.words import Face, Operation

LEVEL = 0.05
"""A hole that rises less than so many mm a mm is level: it comes out in no face."""
STEP = 0.5
"""Spacing of the sections at which a drill's way is tested, mm."""


@dataclass(frozen=True)
class Shank:
    """A drill at the end of its hole. spare: how far its shank clears the wood behind the hole's
    start, mm, least at `at`. chuck: where the chuck first stands clear, None where it nowhere does.
    need: how long the drill must be out of the chuck, longest: the longest on hand, mm."""

    spare: float
    at: Point3
    chuck: Point3 | None
    need: float
    longest: float


def shank(void: Void, shape: Bore, piece: Workpiece, shop: Shop, lead: float = 0.0) -> Shank:
    """The drill that makes the hole `shape` of `void`: it comes from behind the hole's start, on
    its line. lead: how far behind it the shank is first asked about, mm; more than that where the
    hole starts on a face."""
    start, own = np.array(shape.start), shop.drill_for(shape.diameter, math.inf)
    longest = min(shop.drill_reach, own.reach if own else shop.drill_reach)
    # A drill that starts on a face is in the air from there: its way begins where it stands clear.
    rise = 1.0 if Face.EDGE in void.opens else abs(shape.direction[2])
    lead = max(lead, shape.radius / max(rise, LEVEL) if void.opens else 0.0)
    back = np.union1d(np.arange(0.0, longest, STEP), [lead])
    line = start - back[:, None] * np.array(shape.direction)
    others = tuple(v for v in piece.voids if v.id != void.id and v.operation != Operation.PILOT)
    free = free_radius(piece, line, others, shop.chuck / 2.0)
    # From there on back the chuck, and the machine behind it, must stay clear.
    tight = np.flatnonzero(free < shop.chuck / 2.0)
    chuck_at = np.arange(tight[-1] + 1 if len(tight) else 0, len(line))
    used = (back >= lead) & (back <= (back[chuck_at[0]] if len(chuck_at) else longest))
    k = int(np.argmin(np.where(used, free, np.inf)))
    clear = point3(line[chuck_at[0]]) if len(chuck_at) else None
    need = shape.length + (float(back[chuck_at[0]]) if len(chuck_at) else math.inf)
    return Shank(float(free[k]) - shape.radius, point3(line[k]), clear, need, longest)
