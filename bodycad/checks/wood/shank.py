"""The way of a long drill behind the hole that it makes: its shank, and its chuck."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.air import free_radius
from bodycad.checks.wood.near import of_the_cuts
from bodycad.geometry.solids.bore import Bore
from bodycad.geometry.solids.solid import Point3, point3
from bodycad.layout.interface import Way
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void
from bodycad.layout.workpiece import Workpiece
from bodycad.shop import Shop
from bodycad.tools import Drill
from bodycad.words import Face, Operation

LEVEL = 0.05
"""A hole that rises less than so many mm a mm is level: it comes out in no face."""
STEP = 0.5
"""Spacing of the sections at which a drill's way is tested, mm."""
WALL = 10.0
"""The shank of a drill that enters a cavity's wall is asked about from so far before it, mm:
nearer, the wall that it drills is beside it."""


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


def on_hand(shop: Shop, diameter: float, out: float, flat: bool = False) -> Drill | None:
    """The drill on hand for a hole, `out` mm of it out of its chuck: where one only just reaches
    and a longer one is on hand, that. flat: its end must be flat."""
    return shop.drill_for(diameter, out + shop.limit("drill-reach").warn, flat)


def in_a_wall(void: Void) -> bool:
    """Whether a void is a pilot in the wall of a cavity: its drill comes in over the far rim."""
    hole = void.shape.hole
    return void.operation is Operation.PILOT and not void.opens and bool(hole and not hole.upright)


def out_of_chuck(void: Void, layout: Layout) -> float | None:
    """How far (mm) the drill of a way for wires, or of a pilot in a cavity's wall, stands out of
    its chuck when the hole is as deep as drawn at its full diameter: the wood beside its way keeps
    the chuck off. Infinite where no drill on hand brings the chuck clear; None for other holes."""
    hole = void.shape.hole
    if hole is None or void.id not in layout.body.by_id:
        return None
    ways = {way.hole for way in layout.stated(Way)}
    if void.operation is Operation.CHANNEL or void.id in ways or in_a_wall(void):
        return shank(void, hole, layout).need - hole.tip
    return None


def shank(void: Void, shape: Bore, layout: Layout) -> Shank:
    """The drill that makes the hole `shape` of a void of the body: it comes from behind the hole's
    start, on its line. Where the shop has none of its size, the longest of all is meant."""
    shop, own = layout.shop, layout.shop.drill_for(shape.diameter, math.inf)
    longest, clear = own.reach if own else max(d.reach for d in shop.drills), shop.chuck / 2.0
    how = void, shape, longest, clear
    return of_the_cuts(layout.body, ("shank", *how), lambda: _shank(layout.body, *how))


def _shank(piece: Workpiece, void: Void, shape: Bore, longest: float, chuck: float) -> Shank:
    """See `shank`: with a drill `longest` mm out of a chuck of that radius, mm."""
    start = np.array(shape.start)
    # A drill that starts on a face is in the air from there: its way begins where it stands clear.
    rise = 1.0 if Face.EDGE in void.opens else abs(shape.direction[2])
    lead = WALL if in_a_wall(void) else 0.0
    lead = max(lead, shape.radius / max(rise, LEVEL) if void.opens else 0.0)
    back = np.union1d(np.arange(0.0, longest, STEP), [lead])
    line = start - back[:, None] * np.array(shape.direction)
    others = tuple(v for v in piece.voids if v.id != void.id and v.operation != Operation.PILOT)
    free = free_radius(piece, line, others, chuck)
    # From there on back the chuck, and the machine behind it, must stay clear.
    tight = np.flatnonzero(free < chuck)
    chuck_at = np.arange(tight[-1] + 1 if len(tight) else 0, len(line))
    used = (back >= lead) & (back <= (back[chuck_at[0]] if len(chuck_at) else longest))
    k = int(np.argmin(np.where(used, free, np.inf)))
    clear = point3(line[chuck_at[0]]) if len(chuck_at) else None
    need = shape.length + (float(back[chuck_at[0]]) if len(chuck_at) else math.inf)
    return Shank(float(free[k]) - shape.radius, point3(line[k]), clear, need, longest)
