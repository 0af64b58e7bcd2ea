"""What is wood, what is not, and through which face a point lies outside: points against the raw
numbers of a body's skin and voids."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import manifold3d
import numpy as np
import shapely

from tests.oracle.judge.solids import (
    SAGITTA,
    Block,
    Hole,
    Section,
    Solid,
    polygon,
    prepared,
    shape,
)

IN, FRONT, BACK, EDGE, RIM_FRONT, RIM_BACK = range(6)
"""Where a point lies: inside the skin, beyond a face, or in what an edge treatment takes off."""
NAMES = {FRONT: "front", BACK: "back", EDGE: "edge", RIM_FRONT: "front", RIM_BACK: "back"}
RASTER = 2.0
"""mm between the nodes of the map of distances to the outline."""
HAIR = 1e-3
SLICES = 4
"""Slabs in which an edge treatment is meshed, each as wide as at its middle."""


@dataclass(frozen=True, eq=False)
class Cut:
    """One void: its shape and what it says it opens and meets (both ways)."""

    id: str
    part: str
    shape: Block | Hole
    opens: frozenset[str]
    meets: frozenset[str]
    routed: bool
    pilot: bool
    from_back: bool


class Skin:
    """The outside of a body: outline, thickness, edges all round, contours."""

    def __init__(self, raw: Any, slices: int = SLICES, sagitta: float = SAGITTA) -> None:
        self.slices = slices
        self.thickness = float(raw.thickness)
        self.rim = polygon(np.asarray(raw.outline.vertices, float), sagitta)
        self.plan = prepared(self.rim)
        self.line = shapely.LinearRing(self.rim)
        shapely.prepare(self.line)
        self.front = [shape(c.carve) for c in raw.contours if c.face == "front"]
        self.back = [shape(c.carve) for c in raw.contours if c.face == "back"]
        self.sweeps = [*self.front, *self.back]
        self.names = {
            "front": [c.id for c in raw.contours if c.face == "front"],
            "back": [c.id for c in raw.contours if c.face == "back"],
        }
        self.edges = {"front": chain_of(raw.front, sagitta), "back": chain_of(raw.back, sagitta)}
        self.follows = {f: bool(getattr(getattr(raw, f), "follows", False)) for f in self.edges}

    def inset(self, plan: np.ndarray) -> np.ndarray:
        """Distance (m,) from the outline, negative outside."""
        far = shapely.distance(shapely.points(plan), self.line)
        return np.where(shapely.contains_xy(self.plan, *plan.T), far, -far)

    @cached_property
    def _map(self) -> tuple[np.ndarray, np.ndarray]:
        """Corner of a grid over the outline, and the inset of every node, RASTER mm apart."""
        x0, y0, x1, y1 = self.plan.bounds
        xs = np.arange(x0 - 2 * RASTER, x1 + 3 * RASTER, RASTER)
        ys = np.arange(y0 - 2 * RASTER, y1 + 3 * RASTER, RASTER)
        nodes = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1)
        inset = self.inset(nodes.reshape(-1, 2)).reshape(nodes.shape[:2])
        return np.array([xs[0], ys[0]]), inset

    def roughly(self, plan: np.ndarray) -> np.ndarray:
        """Inset (m,) of plan points, off by at most RASTER; beyond the map just negative."""
        corner, inset = self._map
        k = np.rint((plan - corner) / RASTER).astype(int)
        on = ((k >= 0) & (k < inset.shape)).all(axis=1)
        k = np.clip(k, 0, np.array(inset.shape) - 1)
        return np.where(on, inset[k[:, 0], k[:, 1]], -10.0 * RASTER)

    def where(self, points: np.ndarray) -> np.ndarray:
        """Where each point (m, 3) lies, as one of IN, FRONT, ..."""
        plan, z, t = points[:, :2], points[:, 2], self.thickness
        found = np.full(len(points), IN)
        for sweeps, code in ((self.front, FRONT), (self.back, BACK)):
            for sweep in sweeps:
                box = sweep.box
                near = np.flatnonzero(((points >= box[0]) & (points <= box[1])).all(axis=1))
                found[near[sweep.holds(points[near])]] = code
        rough = self.roughly(plan)
        left = np.flatnonzero(found == IN)
        for face, code in (("front", RIM_FRONT), ("back", RIM_BACK)):
            chain = self.edges[face]
            if chain is None:
                continue
            depth = -z[left] if face == "front" else z[left] + t
            sweeps = self.front if face == "front" else self.back
            deepest = chain[:, 1].max() + (40.0 if self.follows[face] and sweeps else 0.0)
            near = left[(depth >= 0.0) & (depth < deepest)]
            band = near[np.abs(rough[near]) < chain[0, 0] + RASTER]
            if not len(band):
                continue
            inset = self.inset(plan[band])
            lost = _loss(chain, inset)
            under = -z[band] if face == "front" else z[band] + t
            if self.follows[face] and sweeps:
                fall = self.fall(plan[band], face)
                lost = np.where(inset < chain[0, 0], fall + chain[:, 1].max(), 0.0)
            found[band[(inset > 0.0) & (under < lost)]] = code
        outside = np.flatnonzero(found == IN)
        found[outside[rough[outside] < -RASTER]] = EDGE
        unsure = outside[np.abs(rough[outside]) <= RASTER]
        found[unsure[~shapely.contains_xy(self.plan, *plan[unsure].T)]] = EDGE
        found[z > 0.0] = FRONT
        found[z < -t] = BACK
        return found

    def fall(self, plan: np.ndarray, face: str) -> np.ndarray:
        """How far (m,) the contours alone lower a face."""
        depth = np.zeros(len(plan))
        for sweep in self.front if face == "front" else self.back:
            cut = sweep.surface(plan, face == "front")
            lower = -cut if face == "front" else cut + self.thickness
            depth = np.fmax(depth, np.nan_to_num(lower, nan=0.0))
        return depth

    def height(self, plan: np.ndarray, face: str) -> np.ndarray:
        """Height (m,) of a shaped face, edge treatments left out."""
        fall = self.fall(plan, face)
        return -fall if face == "front" else fall - self.thickness

    @cached_property
    def solid(self) -> Solid:
        """The mesh of the body before its voids."""
        t, whole = self.thickness, Section([self.rim])
        drops = {f: 0.0 if c is None else float(c[:, 1].max()) for f, c in self.edges.items()}
        slabs = [
            whole.extrude(t - drops["front"] - drops["back"]).translate((0, 0, drops["back"] - t))
        ]
        for face, chain in self.edges.items():
            if chain is None:
                continue
            levels = np.unique(
                np.concatenate(
                    [[0.0], chain[[0, -1], 1], np.linspace(0, drops[face], self.slices + 1)]
                )
            )
            for top, low in zip(levels, levels[1:]):
                inset = float(_inset(chain, (top + low) / 2.0))
                plan = whole.offset(-inset, manifold3d.JoinType.Miter)
                # Each slab runs a hair into the wider one under it, so that the two are one.
                z = -low - HAIR if face == "front" else top - t
                slabs.append(plan.extrude(low - top + HAIR).translate((0.0, 0.0, float(z))))
        made = Solid.batch_boolean(slabs, manifold3d.OpType.Add)
        cuts = [sweep.solid() for sweep in self.sweeps]
        for face, sweeps, sign in (("front", self.front, -1.0), ("back", self.back, 1.0)):
            chain = self.edges[face]
            if chain is None or not self.follows[face]:
                continue
            wide, high = float(chain[0, 0]), float(chain[:, 1].max())
            band = whole - whole.offset(-wide, manifold3d.JoinType.Miter)
            ring = band.extrude(t).translate((0.0, 0.0, -t))
            cuts += [sweep.solid().translate((0.0, 0.0, sign * high)) ^ ring for sweep in sweeps]
        return Solid.batch_boolean([made, *cuts], manifold3d.OpType.Subtract) if cuts else made


def chain_of(edge: Any, sagitta: float = SAGITTA) -> np.ndarray | None:
    """An edge's rows as points (n, 2) of s, depth from the face to the side; None for square."""
    if not hasattr(edge, "rows"):
        raise NotImplementedError("an edge in stretches")
    rows = np.asarray(edge.rows, float)
    if rows[-1, 1] == 0.0:
        return None
    # In (s, z = -depth), closed by a chord that is dropped again.
    found = polygon(np.column_stack([rows[:, 0], -rows[:, 1], rows[:, 2]]), sagitta)
    return found * [1.0, -1.0]


def _loss(chain: np.ndarray, inset: np.ndarray) -> np.ndarray:
    """How far (m,) an edge lowers its face at plan distances in."""
    s, depth = chain[::-1, 0], chain[::-1, 1]
    found = np.interp(inset, s, depth)
    return np.where(inset >= chain[0, 0], 0.0, found)


def _inset(chain: np.ndarray, depth: float) -> float:
    """The plan distance in at which wood begins `depth` under the face."""
    for (s0, d0), (s1, d1) in zip(chain, chain[1:]):
        if d0 <= depth < d1:
            return float(s0 + (s1 - s0) * (depth - d0) / (d1 - d0))
    return 0.0


class Wood:
    """A body with its cuts."""

    def __init__(self, piece: Any, skin: Skin | None = None) -> None:
        self.skin = skin or Skin(piece.skin)
        meets: dict[str, set[str]] = {v.id: set(v.meets) for v in piece.voids}
        for void in piece.voids:
            for other in void.meets:
                meets.setdefault(other, set()).add(void.id)
        self.cuts = {
            v.id: Cut(
                v.id,
                v.part,
                shape(v.shape),
                frozenset(str(f) for f in v.opens),
                frozenset(meets[v.id]),
                v.operation in ("POCKET", "RECESS"),
                v.operation == "PILOT",
                v.face == "back",
            )
            for v in piece.voids
        }
        self.boxes = {name: cut.shape.box for name, cut in self.cuts.items()}

    def near(self, box: np.ndarray, skip: str = "", by: float = 0.0) -> list[Cut]:
        """The cuts whose boxes come within `by` mm of a box (2, 3)."""
        return [
            self.cuts[name]
            for name, own in self.boxes.items()
            if name != skip and (own[0] <= box[1] + by).all() and (own[1] >= box[0] - by).all()
        ]

    def is_wood(self, points: np.ndarray) -> np.ndarray:
        """Which points (m, 3) are wood."""
        found = self.skin.where(points) == IN
        return found & ~self.in_cuts(points)

    def in_cuts(self, points: np.ndarray, skip: str = "") -> np.ndarray:
        """Which points lie in any cut."""
        found = np.zeros(len(points), bool)
        if not len(points):
            return found
        for cut in self.near(np.array([points.min(axis=0), points.max(axis=0)]), skip):
            box = self.boxes[cut.id]
            rows = np.flatnonzero(~found & ((points >= box[0]) & (points <= box[1])).all(axis=1))
            if len(rows):
                found[rows] = cut.shape.holds(points[rows])
        return found

    def shared(self, part: Solid) -> float:
        """mm3 of wood that a part stands in, by meshes."""
        if part.is_empty():
            return 0.0
        box = np.array(part.bounding_box()).reshape(2, 3)
        if box[0, 2] >= 0.0 or box[1, 2] <= -self.skin.thickness:
            return 0.0
        held = part ^ self.skin.solid
        if held.is_empty():
            return 0.0
        cuts = [self.solids[cut.id] for cut in self.near(box)]
        if cuts:
            held = Solid.batch_boolean([held, *cuts], manifold3d.OpType.Subtract)
        return float(held.volume())

    @cached_property
    def solids(self) -> dict[str, Solid]:
        """The mesh of every cut."""
        return {name: cut.shape.solid() for name, cut in self.cuts.items()}

    @cached_property
    def solid(self) -> Solid:
        """The mesh of the finished body."""
        cuts = [self.skin.solid, *self.solids.values()]
        return Solid.batch_boolean(cuts, manifold3d.OpType.Subtract)
