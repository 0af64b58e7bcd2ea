"""What the bolt checks ask of one neck screw, for many places at once: figures less their limits.

Each figure is the one that `checks.bolts` (and for other parts' cuts `checks.walls`) judges, with the
joint's own heights; a screw may stand where every margin is at least nil. Walls to slanted bores are
bounded from below, so that they are never overstated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Sequence

import numpy as np

from bodycad.checks.inwood import in_wood
from bodycad.checks.near import REACH, related
from bodycad.errors import number
from bodycad.geometry.shapes import Bore, Prism
from bodycad.layout.body import Layout, Placed
from bodycad.layout.void import Void
from bodycad.parts.neckjoint import NeckJoint
from bodycad.pattern.field import level_reach, wall_to_edge

FIGURES: tuple[tuple[str, str], ...] = (
    ("bolt-seat", "the seat's height over the back"), ("bolt-seat", "the flange's land"),
    ("bolt-seat", "the wall round the counterbore"), ("bolt-seat", "the wood under the pocket"),
    ("bolt-grip", "the thread in the neck"), ("bolt-tip", "the tip under the fretboard"),
    ("bolt-tip", "the truss rod"), ("bolt-edge", "the heel's edge"), ("bolt-edge", "the pocket's edge"),
    ("bolt-edge", "the body's edge"), ("wall", "another part's cut"),
)
"""(check, what it is about), in the order of the rows of `margins`."""
SLACK = 1e-9
"""A figure this near its limit (mm) holds it, as in `checks.finding.judge`."""
STEP = 0.1
"""Spacing of the points of a screw's axis that are measured to a slanted bore, mm."""


@dataclass(frozen=True)
class Option:
    """A screw that may be used: the wood left under its ferrule and its length under the head, mm."""

    wood: float
    length: float

    def __post_init__(self) -> None:
        number("an option's wood under the ferrule", self.wood, above=0.0)
        number("an option's screw length", self.length, above=0.0)


@dataclass(frozen=True, eq=False)
class Spots:
    """Places (m,) of one screw on a heel, with the figures that no option changes, mm."""

    u: np.ndarray
    v: np.ndarray
    points: np.ndarray
    heel: np.ndarray
    pocket: np.ndarray
    inset: np.ndarray


@dataclass(frozen=True, eq=False)
class _Screw:
    """One option at many places, under the names that `NeckJoint.seat`, `tip` and `grip` ask for."""

    u: np.ndarray
    wood: float
    length: float


def spots(layout: Layout, placed: Placed, u: np.ndarray, v: np.ndarray) -> Spots:
    """Places (u, v) of a joint's heel with their distances to heel, pocket and outline."""
    points = np.column_stack(placed.place.point(u, v))
    joint: NeckJoint = placed.part
    heel, pocket = (-placed.place.profile(shape).signed_distance(points)
                    for shape in (joint.heel_profile, joint.pocket_profile))
    return Spots(u, v, points, heel - joint.pilot / 2.0, pocket - joint.hole / 2.0, layout.skin.inset(points))


def margins(layout: Layout, placed: Placed, at: Spots, options: Sequence[Option], strict: bool = False) -> np.ndarray:
    """(options, FIGURES, m): every figure less its failing limit (`strict`: its warning limit), mm.

    inf where a check does not ask for the figure.
    """
    woods = {option.wood: _of_wood(layout, placed, at, option.wood, strict) for option in options}
    return np.stack([_of_screw(layout, placed, at, option, strict, woods[option.wood]) for option in options])


def floor_of(layout: Layout, name: str, strict: bool) -> float:
    """The failing limit of a figure, or its warning limit, mm."""
    limit = layout.shop.limit(name)
    return limit.warn if strict else limit.fail


def squareness(layout: Layout, joint: NeckJoint, strict: bool = False) -> float:
    """Degrees by which the pocket floor is squarer to the screws than `bolt-seat.tilt` asks; negative
    where no screw of the joint may stand at all."""
    return floor_of(layout, "bolt-seat.tilt", strict) - abs(joint.angle_deg)


def _of_wood(layout: Layout, placed: Placed, at: Spots, wood: float, strict: bool) -> dict[int, np.ndarray]:
    """The rows that depend on the seat's height alone."""
    joint: NeckJoint = placed.part
    floor = joint.floor(at.u) + np.zeros(len(at.u))
    seat = joint.seat(_Screw(at.u, wood, 0.0)) + np.zeros(len(at.u))
    depth = layout.thickness + seat
    behind, bedded = depth < -SLACK, depth > SLACK
    bed = (joint.ferrule.flange + joint.ferrule.fit) / 2.0
    reach = level_reach(layout.skin, at.points, seat)
    rows = {0: np.where(behind, depth - floor_of(layout, "bolt-seat", strict), math.inf),
            1: np.where(behind, math.inf, reach - joint.ferrule.flange / 2.0 - floor_of(layout, "bolt-seat", strict)),
            2: np.where(behind, math.inf, reach - bed - floor_of(layout, "bolt-seat.wall", strict))}
    radius, high = np.where(bedded, bed, joint.hole / 2.0), np.where(bedded, seat, floor)
    rows[9] = _side(layout, at, radius, high) - floor_of(layout, "bolt-edge", strict)
    rows[10] = np.minimum(_walls(layout, placed, at, np.where(bedded, bed, 0.0), seat),
                          _walls(layout, placed, at, np.full(len(at.u), joint.hole / 2.0), floor)
                          ) - floor_of(layout, "wall", strict)
    return rows


def _of_screw(layout: Layout, placed: Placed, at: Spots, option: Option, strict: bool,
              found: dict[int, np.ndarray]) -> np.ndarray:
    joint: NeckJoint = placed.part
    screw, nil = _Screw(at.u, option.wood, option.length), np.zeros(len(at.u))
    end, under = joint.tip(screw), joint.floor(at.u) + joint.heel.thickness - joint.board_thickness
    beside = np.full(len(at.u), math.inf)
    if joint.heel.rod_width > 0.0:
        room = np.abs(at.v) - joint.heel.rod_width / 2.0 - joint.screw / 2.0 - floor_of(layout, "bolt-tip.rod", strict)
        beside = np.where(end > under - joint.heel.rod_depth, room, math.inf)
    wood = option.wood - joint.ferrule.flange / 2.0 * math.tan(math.radians(abs(joint.angle_deg)))
    edge = floor_of(layout, "bolt-edge", strict)
    rows = {3: nil + wood - floor_of(layout, "bolt-seat.wood", strict),
            4: nil + joint.grip(screw) - floor_of(layout, "bolt-grip", strict),
            5: nil + (under - end) - floor_of(layout, "bolt-tip", strict),
            6: beside, 7: at.heel - edge, 8: at.pocket - edge, **found}
    return np.stack([rows[k] for k in range(len(FIGURES))])


def _side(layout: Layout, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Room (m,) from a counterbore (or a hole without one) of `radius`, from the back to `high`, to the body's edge."""
    s, room = at.inset - radius, np.zeros(len(at.u))
    for level in np.unique(high):
        rows = np.flatnonzero((high == level) & (s > 0.0))
        room[rows] = wall_to_edge(layout.skin, s[rows], -layout.thickness, float(level))
    return np.where(room > 0.0, room, np.minimum(s, 0.0))


def _walls(layout: Layout, placed: Placed, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Wood (m,) from an upright hole of `radius`, from the back to `high`, to the cuts of other parts; inf
    where no hole is made (radius 0) or nothing is within REACH, as far as that is looked for."""
    best = np.full(len(at.u), math.inf)
    own = layout.voids_of(placed.id)
    spread = np.concatenate([at.points.min(axis=0), at.points.max(axis=0)])
    for void in layout.voids:
        if void.part == placed.id or any(layout.meant(void, mine) and mine.operation != "POCKET" for mine in own):
            continue
        if own and related(layout, own[0], void):
            continue
        x0, y0, _, x1, y1, _ = void.shape.box
        far = REACH + float(radius.max())
        if x0 - spread[2] > far or spread[0] - x1 > far or y0 - spread[3] > far or spread[1] - y1 > far:
            continue
        for piece in in_wood(void, layout) if isinstance(void.shape, Bore) else (void,):
            best = np.minimum(best, _wall(piece, layout.thickness, at, radius, high))
    return np.where((radius > 0.0) & (best <= REACH), best, math.inf)


def _wall(void: Void, thickness: float, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    shape = void.shape.as_prism() or void.shape if isinstance(void.shape, Bore) else void.shape
    if isinstance(shape, Prism):
        flat = np.maximum(shape.profile.signed_distance(at.points) - radius, 0.0)
        low, top = shape.floor_range[0], shape.high
        return np.hypot(flat, np.maximum(np.maximum(low - high, -thickness - top), 0.0))
    best = np.full(len(at.u), math.inf)
    for share in np.linspace(0.0, 1.0, int(thickness / STEP)):
        z = -thickness + share * (high + thickness)
        best = np.minimum(best, shape.closest(np.column_stack([at.points, z]))[0])
    return np.maximum(best - radius - STEP / 2.0, 0.0)
