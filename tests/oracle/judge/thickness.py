"""Wood thinner than it may be, holes that come out where they should not, cuts that cut nothing.

The walls, floors and ends of every cut are sampled every SPACING mm; from each sample a ray runs
straight into the wood. Ruined is:

- a cut that removes no wood at all;
- a sample that lies in a cut which its own does not say it meets, or beyond a face that it does
  not say it opens ("comes out");
- wood of less than LEAST mm between the sample and the next air, unless it is the sharp edge of
  wood that two surfaces leave where they cross at no less than WEDGE degrees;
- two cuts that do not meet with less than LEAST mm between them, measured on their meshes.

The feather edge beside a mouth is excused by how far the sample lies from that mouth."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.spatial import cKDTree

from tests.oracle.judge.ruin import Ruin, ruin
from tests.oracle.judge.wood import IN, NAMES, RIM_BACK, RIM_FRONT, Cut, Wood

SPACING = 2.0
LEAST = 1.5
WEDGE = 25.0
FEW = 3
"""So many samples make a place; fewer are the corner of a chord."""
STEP = 0.03
"""How far off its surface a sample is looked at, mm: more than the chords leave the arcs."""
DEPTHS = (0.4, 0.8, 1.2, LEAST)


def ruins(wood: Wood) -> Iterator[Ruin]:
    for cut in wood.cuts.values():
        yield from _of(wood, cut)
    yield from _pairs(wood)


def _of(wood: Wood, cut: Cut) -> Iterator[Ruin]:
    points, out = cut.shape.sampled(SPACING)
    off = points + STEP * out
    box = np.array([points.min(axis=0), points.max(axis=0)])
    others = wood.near(box, cut.id, 2.0 * LEAST)
    met = np.zeros(len(off), bool)
    struck: dict[str, np.ndarray] = {}
    for other in others:
        held = other.shape.holds(off)
        if other.id in cut.meets or _kin(wood, cut, other):
            met |= held
        elif held.any():
            struck[other.id] = held
    where = wood.skin.where(off)
    opens = np.zeros(len(off), bool)
    for code, name in NAMES.items():
        if name in cut.opens or (code in (RIM_FRONT, RIM_BACK) and "edge" in cut.opens):
            opens |= where == code
    fine = met | opens
    for other, held in struck.items():
        bad = held & ~fine & (where == IN)
        if bad.sum() >= FEW:
            yield ruin("thin.opens-into", (cut.id, other), 0.0, f"{bad.sum()} samples")
    for code, name in NAMES.items():
        bad = (where == code) & ~fine
        if bad.sum() >= FEW:
            yield ruin("thin.comes-out", (cut.id, name), 0.0, f"{bad.sum()} samples")
    solid = np.flatnonzero((where == IN) & ~met & ~np.any([*struck.values()] or [met], axis=0))
    if len(solid) < FEW:
        yield ruin("thin.cuts-nothing", (cut.id,), float(len(solid)), "samples in wood")
        return
    start, way = points[solid], out[solid]
    thick = np.full(len(solid), math.inf)
    for depth in DEPTHS:
        rows = np.flatnonzero(np.isinf(thick))
        ahead = start[rows] + depth * way[rows]
        air = wood.skin.where(ahead) != IN
        for other in (cut, *others):
            if other is cut and not cut.routed:
                continue
            air |= other.shape.holds(ahead)
        thick[rows[air]] = depth
    thin = np.flatnonzero(np.isfinite(thick))
    if len(thin) < FEW:
        return
    mouth = points[fine]
    far = np.full(len(thin), math.inf)
    if len(mouth):
        far = cKDTree(mouth).query(start[thin])[0]
    far = np.maximum(far - 1.5 * SPACING, 0.0)
    # A tested depth is an upper bound: the wedge is judged with the depth before it.
    before = np.array([{0.4: 0.0, 0.8: 0.4, 1.2: 0.8, LEAST: 1.2}[t] for t in thick[thin]])
    kept = thin[(thick[thin] + before) / 2.0 < math.tan(math.radians(WEDGE)) * far]
    if len(kept) >= FEW:
        k = kept[np.argmin(thick[kept])]
        beyond = _beyond(wood, cut, start[k] + thick[k] * way[k])
        yield ruin(
            "thin.wall",
            (cut.id, beyond),
            float(thick[k]),
            f"{len(kept)} samples at {_at(start[k])}",
        )


def _kin(wood: Wood, one: Cut, two: Cut) -> bool:
    """Whether a cut meets one that the other opens into as a step of the same hollow."""
    for a, b in ((one, two), (two, one)):
        for name in a.meets:
            step = wood.cuts.get(name)
            if step is not None and step.part == b.part and b.id in step.meets and not b.pilot:
                return True
    return False


def _beyond(wood: Wood, cut: Cut, point: np.ndarray) -> str:
    code = int(wood.skin.where(point[None])[0])
    if code != IN:
        return NAMES[code]
    for other in wood.near(np.array([point, point])):
        if other.shape.holds(point[None])[0]:
            return other.id
    return cut.id


def _pairs(wood: Wood) -> Iterator[Ruin]:
    cuts = list(wood.cuts.values())
    for k, one in enumerate(cuts):
        for two in cuts[k + 1 :]:
            if two.id in one.meets or set(one.meets) & {two.id}:
                continue
            a, b = wood.boxes[one.id], wood.boxes[two.id]
            if (a[0] > b[1] + LEAST).any() or (b[0] > a[1] + LEAST).any():
                continue
            if _kin(wood, one, two):
                continue
            gap = wood.solids[one.id].min_gap(wood.solids[two.id], LEAST)
            if gap < LEAST:
                yield ruin("thin.between", (one.id, two.id), float(gap), "mm between the two")


def _at(point: np.ndarray) -> str:
    return "(" + ", ".join(f"{v:.1f}" for v in point) + ")"
