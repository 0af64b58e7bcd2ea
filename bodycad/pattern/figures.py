"""The figures of the bolt checks for one kind of screw at many places of a heel.

Each figure is worked out by `checks.rules.screw_figures`, as for the checks. A screw may stand
where every figure holds its limit. Walls to other parts' cuts are bounded from below, so that they
are never overstated.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from bodycad.checks.rules.bolts import radius_of
from bodycad.checks.rules.screw_figures import Screws, inside
from bodycad.checks.rules.seated import Neck
from bodycad.checks.wood.inwood import in_wood
from bodycad.checks.wood.level import wall_to_edge
from bodycad.checks.wood.near import REACH
from bodycad.checks.wood.proud import deepest_back
from bodycad.errors import InputError, number
from bodycad.geometry.distance.shelf import shelf_distances, shelf_levels
from bodycad.layout.interface import Screw
from bodycad.layout.layout import Layout
from bodycad.layout.void import Void

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
    ("bolt-edge", "the heel in diameters", "bolt-edge.diameters"),
    ("bolt-seat", "the head under the back", "bolt-seat.proud"),
    ("wall", "another part's cut", "wall"),
)
"""(check, what it is about, its limit in the shop), in the order of the rows of `figures`."""
IN_DIAMETERS = 10
"""The row that counts in diameters of the thread; all others are mm."""
UP = (0.0, 0.0, 1.0)
"""The way of a screw from the back."""
SLACK = 1e-9
"""A figure this near its limit (mm) holds it, as in `checks.finding.judge`."""
TURNS = 26
"""Steps of the golden section along a screw's axis: 150 mm come down to less than 0.001 mm."""


@dataclass(frozen=True)
class Option:
    """A screw that may be used: wood left under its ferrule, length under its head, mm."""

    wood: float
    length: float

    def __post_init__(self) -> None:
        number("an option's wood under the ferrule", self.wood, above=0.0)
        number("an option's screw length", self.length, above=0.0)


@dataclass(frozen=True)
class Planned:
    """One screw of a pattern, as a part's `with_screws` takes it: its axis at (u, v) of its neck,
    the wood left under its seat and its length under the head, mm."""

    u: float
    v: float
    wood: float
    length: float


@dataclass(frozen=True)
class Kit:
    """What the screws of one neck share, mm: `bed`, `hole` and `pilot` are the diameters of
    counterbore, hole in the body and hole in the neck, `sunk` is how far the head stands above the
    seat, `rise` how far head and ferrule stand out from it less what may stand proud, None where
    that is not stated."""

    flange: float
    bed: float
    hole: float
    thread: float
    pilot: float
    sunk: float
    rise: float | None


@dataclass(frozen=True, eq=False)
class Spots:
    """Places (m,) of one screw on a heel, with the figures that no option changes, mm; back: the
    height of the shaped back where it is carved deepest under the flange."""

    neck: Neck
    kit: Kit
    points: np.ndarray
    floor: np.ndarray
    heel: np.ndarray
    pocket: np.ndarray
    inset: np.ndarray
    back: np.ndarray


def kit_of(layout: Layout, neck: Neck) -> Kit:
    """The sizes that a neck's screws share. Raises InputError where a screw does not stand upright
    or leaves out a size that a pattern needs, and where they are of more than one kind."""

    def kit(screw: Screw) -> Kit:
        thing = f"screw {screw.number} of {screw.part}"
        if screw.length is None or screw.pilot is None:
            raise InputError(thing, "without length or pilot", "both stated, mm", "state them")
        if abs(screw.way[2] - 1.0) > SLACK:
            allowed = "a way of (0, 0, 1)"
            raise InputError(thing, screw.way, allowed, "a pattern needs upright screws")
        hole = 2.0 * radius_of(layout.by_id[screw.hole])
        bed = 2.0 * radius_of(layout.by_id[screw.seat]) if screw.seat else screw.flange
        sunk = round(screw.length - screw.reach, 9)
        rise = None if screw.rise is None else screw.rise - screw.proud
        return Kit(screw.flange, bed, hole, screw.thread, screw.pilot, sunk, rise)

    kits = {kit(screw) for screw in neck.screws if screw.seat} or {kit(s) for s in neck.screws}
    if len(kits) != 1:
        remedy = "give them one size of everything"
        raise InputError(f"the kinds of screw of {neck.id}", len(kits), "1", remedy)
    return kits.pop()


def spots(layout: Layout, neck: Neck, u: np.ndarray, v: np.ndarray) -> Spots:
    """Places (u, v) of a neck's heel with their distances to heel, pocket and outline."""
    points, kit = neck.points(u, v), kit_of(layout, neck)
    heel = inside(neck.block.profile, points, kit.pilot / 2.0)[0]
    pocket = inside(neck.pocket.profile, points, kit.hole / 2.0)[0]
    inset = layout.skin.inset(points)
    back = deepest_back(layout.skin, points, kit.flange, inset)
    return Spots(neck, kit, points, neck.floor(points), heel, pocket, inset, back)


def figures(layout: Layout, at: Spots, options: Sequence[Option]) -> Iterator[np.ndarray]:
    """For each option (FIGURES, m): every figure in mm, or in diameters where its limit is; inf
    where a check does not ask for it."""
    woods: dict[float, dict[int, np.ndarray]] = {}
    round_hole = _walls(layout, at, np.full(len(at.floor), at.kit.hole / 2.0), at.floor)
    for option in options:
        if option.wood not in woods:
            woods[option.wood] = _of_wood(layout, at, option.wood, round_hole)
        screws = _screws(at, option)
        rows = {
            3: screws.wood,
            4: screws.grip,
            5: screws.to_board,
            6: screws.to_rod,
            7: at.heel,
            8: at.pocket,
            IN_DIAMETERS: (at.heel + at.kit.pilot / 2.0) / at.kit.thread,
            11: np.full(len(at.back), math.inf)
            if at.kit.rise is None
            else screws.at[:, 2] - at.kit.rise - at.back,
            **woods[option.wood],
        }
        yield np.stack([rows[k] for k in range(len(FIGURES))])


def _screws(at: Spots, option: Option) -> Screws:
    """Screws of one option at every place."""
    seats = np.column_stack([at.points, at.floor - option.wood])
    reach = option.length - at.kit.sunk
    return Screws(at.neck, seats, UP, reach, at.kit.flange, at.kit.thread)


def least_margin(
    layout: Layout, found: np.ndarray, strict: bool, thread: float
) -> tuple[np.ndarray, np.ndarray]:
    """Of figures (FIGURES, m) less their limits: the least (m,), mm, and its row (m,)."""
    margins = found - np.array([floor_of(layout, name, strict) for _, _, name in FIGURES])[:, None]
    margins[IN_DIAMETERS] *= thread
    row = margins.argmin(axis=0)
    return np.take_along_axis(margins, row[None], axis=0)[0], row.astype(np.int8)


def floor_of(layout: Layout, name: str, strict: bool) -> float:
    """The failing limit of a figure, or its warning limit, in the figure's own unit."""
    limit = layout.shop.limit(name)
    return limit.warn if strict else limit.fail


def squareness(layout: Layout, neck: Neck, strict: bool = False) -> float:
    """Degrees by which the pocket floor is squarer to upright screws than `bolt-seat.tilt` asks;
    negative where no screw of the neck may stand at all."""
    screws = Screws(neck, np.array([neck.end]), UP, 0.0, 0.0, 0.0)
    return floor_of(layout, "bolt-seat.tilt", strict) - screws.tilt_deg


def _of_wood(
    layout: Layout, at: Spots, wood: float, round_hole: np.ndarray
) -> dict[int, np.ndarray]:
    """The rows that depend on the seat's height alone; `round_hole`: the walls (m,) round the hole
    in the body, which do not."""
    kit, screws = at.kit, _screws(at, Option(wood, at.kit.sunk + 1.0))
    seat = screws.lowest
    depth = layout.thickness + seat
    behind, bedded = depth < -SLACK, depth > SLACK
    reach, _ = screws.land(layout.skin, at.inset)
    land, bed, hole = reach - kit.flange / 2.0, kit.bed / 2.0, kit.hole / 2.0
    # A wall is asked for round a counterbore, and not where the flange itself hangs over.
    return {
        0: np.where(behind, depth, math.inf),
        1: np.where(behind, math.inf, land),
        2: np.where(bedded & (land >= 0.0), reach - bed, math.inf),
        9: _side(layout, at, np.where(bedded, bed, hole), np.where(bedded, seat, at.floor)),
        12: np.minimum(_walls(layout, at, np.where(bedded, bed, 0.0), seat), round_hole),
    }


def _side(layout: Layout, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Room (m,) from a counterbore (or a hole without one) of `radius`, from the back to `high`, to
    the body's edge."""
    s, room = at.inset - radius, np.zeros(len(radius))
    for level in np.unique(high):
        rows = np.flatnonzero((high == level) & (s > 0.0))
        room[rows] = wall_to_edge(layout.skin, s[rows], -layout.thickness, float(level))
    for z in shelf_levels(layout.skin):  # as if the widest section went right through
        room = np.minimum(
            room, shelf_distances(layout.skin, at.points, z, room + radius)[0] - radius
        )
    return np.where(room > 0.0, room, np.minimum(s, 0.0))


def _walls(layout: Layout, at: Spots, radius: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Wood (m,) between an upright hole of `radius`, which runs from the back up to `high`, and the
    nearest cut of another part; inf where there is no hole (radius 0) or no cut within REACH."""
    best, own = np.full(len(radius), math.inf), {s.part for s in at.neck.screws} | {at.neck.id}
    cut = {name for s in at.neck.screws for name in (s.hole, s.seat)}
    bores = [void for void in layout.voids if void.id in cut]
    for void in layout.voids:
        if void.part in own or any(layout.meant(void, mine) for mine in bores):
            continue
        x0, y0, _, x1, y1, _ = void.shape.box
        beside = np.maximum(np.array([x0, y0]) - at.points, at.points - np.array([x1, y1])).max(
            axis=1
        )
        near = np.flatnonzero(beside <= REACH + radius)
        pieces = (in_wood(void, layout.body) if void.shape.hole else (void,)) if len(near) else ()
        for piece in pieces:
            best[near] = np.minimum(
                best[near],
                _wall(piece, layout.thickness, at.points[near], radius[near], high[near]),
            )
    return np.where((radius > 0.0) & (best <= REACH), best, math.inf)


def _wall(
    void: Void, thickness: float, points: np.ndarray, radius: np.ndarray, high: np.ndarray
) -> np.ndarray:
    shape = void.shape.prism
    if shape is not None:
        flat = np.maximum(shape.profile.signed_distance(points) - radius, 0.0)
        low, top = shape.floor_range[0], shape.high
        # A tilted floor counts as flat at its lowest height, and its rise against the figure.
        rise = shape.floor_range[1] - low
        climb = np.maximum(np.maximum(low - high, -thickness - top), 0.0)
        return np.asarray(np.hypot(flat, climb) - rise)
    # A bore is convex, so the distance to it along the screw's axis has one valley.
    ratio, under = (math.sqrt(5.0) - 1.0) / 2.0, np.full(len(points), -thickness)

    def away(z: np.ndarray) -> np.ndarray:
        return np.asarray(void.shape.closest(np.column_stack([points, z]))[0])

    for _ in range(TURNS):
        one, two = high - ratio * (high - under), under + ratio * (high - under)
        left = away(one) < away(two)
        under, high = np.where(left, under, one), np.where(left, two, high)
    room = away((under + high) / 2.0) - (high - under) / 2.0 - radius
    return np.asarray(np.maximum(room, 0.0))
