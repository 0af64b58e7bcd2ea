"""What the bolt checks ask of one neck screw, for many places at once.

Each figure is the one that `checks.bolts` (and for other parts' cuts `checks.walls`) judges, with the
joint's own heights; a screw may stand where every figure holds its limit. Walls to slanted bores are
bounded from below, so that they are never overstated.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.checks.wood.inwood import in_wood
from bodycad.checks.wood.near import REACH
from bodycad.errors import number
from bodycad.geometry.solids.shapes import Bore, Prism
from bodycad.layout.layout import Layout, Placed
from bodycad.layout.void import Void
from bodycad.parts.neckjoint import NeckJoint
from bodycad.pattern.field import level_reach, wall_to_edge

FIGURES: tuple[tuple[str, str, str], ...] = (
    ("bolt-seat", "the seat's height over the back", "bolt-seat"),
    ("bolt-seat", "the flange's land", "bolt-seat"),
    ("bolt-seat", "the wall round the counterbore", "bolt-seat.wall"),
    ("bolt-seat", "the wood under the pocket", "bolt-seat.wood"),
    ("bolt-grip", "the thread in the neck", "bolt-grip"),
    ("bolt-tip", "the tip under the fretboard", "bolt-tip"),
    ("bolt-tip", "the truss rod", "bolt-tip.rod"),
    ("bolt-edge", "the heel's edge", "bolt-edge"),
    ("bolt-edge", "the pocket's edge", "bolt-edge"),
    ("bolt-edge", "the body's edge", "bolt-edge"),
    ("wall", "another part's cut", "wall"),
)
"""(check, what it is about, its limit in the shop), in the order of the rows of `figures`."""
SLACK = 1e-9
"""A figure this near its limit (mm) holds it, as in `checks.finding.judge`."""
TURNS = 26
"""Steps of the golden section along a screw's axis: 150 mm come down to less than 0.001 mm."""


@dataclass(frozen=True)
class Option:
    """A screw that may be used: the wood left under its ferrule and its length under the head,
    mm."""

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
    """One option at many places, under the names that `NeckJoint.seat`, `tip` and `grip` ask
    for."""

    u: np.ndarray
    wood: float
    length: float


def spots(layout: Layout, placed: Placed, u: np.ndarray, v: np.ndarray) -> Spots:
    """Places (u, v) of a joint's heel with their distances to heel, pocket and outline."""
    points = np.column_stack(placed.place.point(u, v))
    joint: NeckJoint = placed.part
    heel, pocket = (
        -placed.place.profile(shape).signed_distance(points)
        for shape in (joint.heel_profile, joint.pocket_profile)
    )
    return Spots(
        u, v, points, heel - joint.pilot / 2.0, pocket - joint.hole / 2.0, layout.skin.inset(points)
    )


def figures(
    layout: Layout, placed: Placed, at: Spots, options: Sequence[Option]
) -> Iterator[np.ndarray]:
    """For each option (FIGURES, m): every figure in mm; inf where a check does not ask for it."""
    woods: dict[float, dict[int, np.ndarray]] = {}
    for option in options:
        if option.wood not in woods:
            woods[option.wood] = _of_wood(layout, placed, at, option.wood)
        yield _of_screw(placed, at, option, woods[option.wood])


def least_margin(layout: Layout, found: np.ndarray, strict: bool) -> tuple[np.ndarray, np.ndarray]:
    """Of figures (FIGURES, m) less their limits: the least (m,), mm, and its row of FIGURES
    (m,)."""
    margins = found - np.array([floor_of(layout, name, strict) for _, _, name in FIGURES])[:, None]
    row = margins.argmin(axis=0)
    return np.take_along_axis(margins, row[None], axis=0)[0], row.astype(np.int8)


def floor_of(layout: Layout, name: str, strict: bool) -> float:
    """The failing limit of a figure, or its warning limit, mm."""
    limit = layout.shop.limit(name)
    return limit.warn if strict else limit.fail


def squareness(layout: Layout, joint: NeckJoint, strict: bool = False) -> float:
    """Degrees by which the pocket floor is squarer to the screws than `bolt-seat.tilt` asks;
    negative where no screw of the joint may stand at all."""
    return floor_of(layout, "bolt-seat.tilt", strict) - abs(joint.angle_deg)


def _of_wood(layout: Layout, placed: Placed, at: Spots, wood: float) -> dict[int, np.ndarray]:
    """The rows that depend on the seat's height alone."""
    joint: NeckJoint = placed.part
    floor = joint.floor(at.u) + np.zeros(len(at.u))
    seat = joint.seat(_Screw(at.u, wood, 0.0)) + np.zeros(len(at.u))
    depth = layout.thickness + seat
    behind, bedded = depth < -SLACK, depth > SLACK
    bed = (joint.ferrule.flange + joint.ferrule.fit) / 2.0
    reach = level_reach(layout.skin, at.points, at.inset, seat)
    radius, high = np.where(bedded, bed, joint.hole / 2.0), np.where(bedded, seat, floor)
    wall = np.minimum(
        _walls(layout, placed, at, np.where(bedded, bed, 0.0), seat),
        _walls(layout, placed, at, np.full(len(at.u), joint.hole / 2.0), floor),
    )
    land = reach - joint.ferrule.flange / 2.0
    # Where the flange itself hangs over, the wall round its counterbore is not asked.
    return {
        0: np.where(behind, depth, math.inf),
        1: np.where(behind, math.inf, land),
        2: np.where(behind | (land < 0.0), math.inf, reach - bed),
        9: _side(layout, at, radius, high),
        10: wall,
    }


def _of_screw(
    placed: Placed, at: Spots, option: Option, found: dict[int, np.ndarray]
) -> np.ndarray:
    joint: NeckJoint = placed.part
    screw, nil = _Screw(at.u, option.wood, option.length), np.zeros(len(at.u))
    end, under = joint.tip(screw), joint.floor(at.u) + joint.heel.thickness - joint.board_thickness
    beside = nil + math.inf
    if joint.heel.rod_width > 0.0:
        room = np.abs(at.v) - joint.heel.rod_width / 2.0 - joint.screw / 2.0
        beside = np.where(end > under - joint.heel.rod_depth, room, math.inf)
    wood = option.wood - joint.ferrule.flange / 2.0 * math.tan(math.radians(abs(joint.angle_deg)))
    rows = {
        3: nil + wood,
        4: nil + joint.grip(screw),
        5: nil + (under - end),
        6: beside,
        7: at.heel,
        8: at.pocket,
        **found,
    }
    return np.stack([rows[k] for k in range(len(FIGURES))])


def _side(layout: Layout, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Room (m,) from a counterbore (or a hole without one) of `radius`, from the back to `high`, to
    the body's edge."""
    s, room = at.inset - radius, np.zeros(len(at.u))
    for level in np.unique(high):
        rows = np.flatnonzero((high == level) & (s > 0.0))
        room[rows] = wall_to_edge(layout.skin, s[rows], -layout.thickness, float(level))
    for z in layout.skin.shelf_levels:  # as if the widest section went right through
        room = np.minimum(room, layout.skin.shelf_distances(at.points, z)[0] - radius)
    return np.where(room > 0.0, room, np.minimum(s, 0.0))


def _walls(
    layout: Layout, placed: Placed, at: Spots, radius: np.ndarray, high: np.ndarray
) -> np.ndarray:
    """Wood (m,) from an upright hole of `radius`, from the back to `high`, to the cuts of other
    parts; inf where no hole is made (radius 0) or nothing is within REACH, as far as that is looked
    for."""
    best = np.full(len(at.u), math.inf)
    bores = [v for v in layout.voids_of(placed.id) if isinstance(v.shape, Bore)]
    for void in layout.voids:
        if void.part == placed.id or any(layout.meant(void, mine) for mine in bores):
            continue
        x0, y0, _, x1, y1, _ = void.shape.box
        beside = np.maximum(np.array([x0, y0]) - at.points, at.points - np.array([x1, y1])).max(
            axis=1
        )
        near = np.flatnonzero(beside <= REACH + radius)
        pieces = (
            (in_wood(void, layout.body) if isinstance(void.shape, Bore) else (void,))
            if len(near)
            else ()
        )
        for piece in pieces:
            best[near] = np.minimum(
                best[near],
                _wall(piece, layout.thickness, at.points[near], radius[near], high[near]),
            )
    return np.where((radius > 0.0) & (best <= REACH), best, math.inf)


def _wall(
    void: Void, thickness: float, points: np.ndarray, radius: np.ndarray, high: np.ndarray
) -> np.ndarray:
    shape = void.shape.as_prism() or void.shape if isinstance(void.shape, Bore) else void.shape
    if isinstance(shape, Prism):
        flat = np.maximum(shape.profile.signed_distance(points) - radius, 0.0)
        low, top = shape.floor_range[0], shape.high
        # A tilted floor counts as flat at its lowest height, and its rise against the figure.
        rise = shape.floor_range[1] - low
        return np.hypot(flat, np.maximum(np.maximum(low - high, -thickness - top), 0.0)) - rise
    # A bore is convex, so the distance to it along the screw's axis has one valley.
    ratio, low = (math.sqrt(5.0) - 1.0) / 2.0, np.full(len(points), -thickness)

    def away(z: np.ndarray) -> np.ndarray:
        return shape.closest(np.column_stack([points, z]))[0]

    for _ in range(TURNS):
        one, two = high - ratio * (high - low), low + ratio * (high - low)
        left = away(one) < away(two)
        low, high = np.where(left, low, one), np.where(left, two, high)
    return np.maximum(away((low + high) / 2.0) - (high - low) / 2.0 - radius, 0.0)
