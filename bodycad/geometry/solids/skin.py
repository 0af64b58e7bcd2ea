"""The outside of the body: outline, faces, edge treatment and contours, with exact distances to it.

The air round the wood is a union of simple solids (above the front, below the back, outside the
edge, inside each contour), so the distance from a point in the wood to the air is the least of the
distances to them. The edge depends only on s, the plan distance in from the outline, and z; the
plan distance changes at most as fast as one walks, and exactly so straight toward the outline, so a
distance in the (s, z) plane is the distance in space."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Any

import numpy as np

from bodycad.declare import Count, Id, declared, mm
from bodycad.errors import InputError
from bodycad.geometry.plane.arrange import Region
from bodycad.geometry.plane.boolean import overlay, union
from bodycad.geometry.plane.offset import offset
from bodycad.geometry.plane.profile import Plan, Profile, trusted
from bodycad.geometry.solids.edge import Edge, Ledge, Roundover, Square
from bodycad.geometry.solids.shaping import Shaping
from bodycad.geometry.solids.stretch import AN_EDGE, Run, Stretch, checked, joined, runs, whole
from bodycad.words import SIDES, Face, Side, word

THICKEST = 150.0
"""No body is thicker than this, mm."""

SAME = 1e-6
"""A foot on the outline nearer than this (mm) to a stretch lies in it."""
UNDER = 1e-6
"""How far into the body (mm) a section is taken that just misses a face or a floor."""
_Edges = Edge | tuple[Stretch, ...]
AIR = 200.0
"""How far the air beside and above the edge is drawn, mm: more than any body is thick."""


@dataclass(frozen=True, eq=False)
@declared("{id}")
class Contour:
    """A carve that reshapes the front or the back. Its section must run out of the face into the
    air, so that nothing overhangs."""

    id: Id
    face: Side
    carve: Annotated[Shaping, "fall_away(...), scoop(...) and arched_top(...) make contours"]

    def mirrored(self) -> Contour:
        """Reflected in the centreline (y -> -y)."""
        return Contour(self.id, self.face, self.carve.mirrored())

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Contour:
        """The same contour shifted by (dx, dy, dz) mm."""
        return Contour(self.id, self.face, self.carve.moved(dx, dy, dz))


@dataclass(frozen=True, eq=False)
class Shelf:
    """Air over a run of the outline (under it, at the back) that is not the same all round: the
    corner that the run's edge takes off; or, with a `carve`, what a ledge that follows a contour
    takes under the contour's own surface.

    `carve`: the contour's carve, shifted into the body by the ledge's height."""

    face: Face
    run: Run
    carve: Shaping | None = None
    contour: str = ""

    @property
    def inward(self) -> float:
        """The sign of z from the face into the body."""
        return -1.0 if self.face is Face.FRONT else 1.0

    @property
    def top(self) -> float:
        """How far under its face it is widest, mm."""
        return 0.0 if self.carve is None else self.run.edge.drop

    def depth(self, points: np.ndarray, s: np.ndarray, level: float) -> np.ndarray:
        """How far (m,) under the plain face at `level` the air reaches at plan points (m, 2) that
        lie `s` (m,) mm in from the run; -inf where there is none."""
        if self.carve is None:
            return self.run.edge.loss(s)
        return self._under(self.carve.height(points, self.face), level)

    def deepest(
        self,
        points: np.ndarray,
        s: np.ndarray,
        radius: np.ndarray,
        across: np.ndarray,
        level: float,
    ) -> np.ndarray:
        """A depth (m,) under the plain face that the air does not exceed in cells of the band, each
        within `radius` (m,) mm of its centre and `across` (m,) mm of it in s; else -inf."""
        if self.carve is None:
            return self.run.edge.loss(s - across)
        return self._under(self.carve.deepest(points, radius, self.face), level)

    def _under(self, z: np.ndarray, level: float) -> np.ndarray:
        return np.nan_to_num(level - z if self.face is Face.FRONT else z - level, nan=-np.inf)

    def regions(self, outline: Profile, z: float, level: float) -> tuple[Region, ...]:
        """What the level plane at `z` cuts out of it, in plan."""
        if self.carve is None:
            width = self.run.edge.inset(abs(z - level))
            return union(self.run.bands(width)) if width > 0.0 else ()
        slices, bands = self.carve.level_slices(z), self.plan(outline)
        inner = offset(outline, -self.run.edge.reach) if self.run.closed else ()
        n, m = len(slices), len(slices) + len(bands)

        def taken(inside: np.ndarray) -> np.ndarray:
            there = [inside[:n].any(axis=0), inside[n:m].any(axis=0), ~inside[m:].any(axis=0)]
            return np.logical_and.reduce(there)

        return overlay((*slices, *bands, *inner), taken) if slices else ()

    def widest(self, outline: Profile, level: float) -> tuple[Region, ...]:
        """Its regions where they are widest, so that it takes nothing beside them."""
        return self.regions(outline, level + (self.top + UNDER) * self.inward, level)

    def plan(self, outline: Profile) -> tuple[Profile, ...]:
        """Profiles that hold the band of a ledge in plan; along the whole outline, the outline."""
        return (outline,) if self.run.closed else self.run.bands(self.run.edge.reach)


@dataclass(frozen=True, eq=False)
@declared("the skin")
class Skin:
    """Everything that bounds the wood from outside. Wood fills `-thickness <= z <= 0` inside
    `outline`.

    `front`, `back`: the edge of that face, along the whole outline; or stretches of it, and square
    elsewhere. Raises InputError where stretches overlap, where the outline has no room for an edge,
    and where the edges of both faces together are higher than the thickness."""

    outline: Plan
    thickness: Annotated[float, mm(0.2, THICKEST)]
    front: Annotated[Edge | Stretch | tuple[Stretch, ...], AN_EDGE]
    back: Annotated[Edge | Stretch | tuple[Stretch, ...], AN_EDGE]
    contours: Annotated[tuple[Contour, ...], Count(0, 200)] = ()

    def __post_init__(self) -> None:
        for k, contour in enumerate(self.contours):
            if contour.id == "edge" or contour.id in {c.id for c in self.contours[:k]}:
                allowed, remedy = 'an id of its own, and not "edge"', "give each contour another id"
                raise InputError("a contour's id", contour.id, allowed, remedy)
        for face in SIDES:
            object.__setattr__(self, face.value, self._read(face))
        both = self.drop("front") + self.drop("back")
        if both > self.thickness:
            allowed = f"at most the {self.thickness:g} mm thickness"
            remedy = "use smaller roundovers or a lower binding"
            raise InputError("the edge treatments' heights together", both, allowed, remedy)

    def _read(self, face: Face) -> _Edges:
        """A face's edge as given: stretches that meet as one, one all round as a plain edge."""
        name, given = f"the {face} edge", getattr(self, face.value)
        stretches = (given,) if isinstance(given, Stretch) else given
        if isinstance(stretches, tuple) and all(isinstance(s, Stretch) for s in stretches):
            runs(self.outline, stretches, name)
            stretches = joined(self.outline, stretches)
            if not (len(stretches) == 1 and whole(self.outline, stretches[0])):
                return stretches or Square()
            given = stretches[0].edge
        assert isinstance(given, Edge)
        if not isinstance(given, (Square, Roundover, Ledge)):
            checked(Run(given, self.outline.segments, True), self.outline, name)
        return given

    def edge(self, face: str) -> Edge:
        """The edge along the whole outline on a face; square where it comes in stretches."""
        found = self._given(word(Face, face, "a face", SIDES))
        return found if isinstance(found, Edge) else Square()

    def _given(self, face: Face) -> _Edges:
        found: _Edges = getattr(self, face.value)
        return found

    def runs(self, face: str) -> tuple[Run, ...]:
        """The stretches of a face's edge; none where one edge runs along the whole outline."""
        return self._runs[word(Face, face, "a face", SIDES)]

    @cached_property
    def _runs(self) -> dict[Face, tuple[Run, ...]]:
        found = {face: self._given(face) for face in SIDES}
        return {
            face: () if isinstance(given, Edge) else runs(self.outline, given, f"the {face} edge")
            for face, given in found.items()
        }

    def edges(self, face: str) -> tuple[Edge, ...]:
        """The edges of a face that are not square."""
        found = (self.edge(face), *(run.edge for run in self.runs(face)))
        return tuple(edge for edge in found if edge.drop)

    @cached_property
    def edge_heights(self) -> frozenset[float]:
        """The heights (mm) of both faces, and at which their edges begin, end or change."""
        t, front, back = self.thickness, self.edges("front"), self.edges("back")
        return frozenset(
            {0.0, -t}
            | {-depth for edge in front for _, depth, _ in edge.rows}
            | {depth - t for edge in back for _, depth, _ in edge.rows}
        )

    @cached_property
    def reach(self) -> float:
        """The farthest that an edge of either face reaches in from the outline, mm."""
        return max((e.reach for face in SIDES for e in self.edges(face)), default=0.0)

    def drop(self, face: str) -> float:
        """The lowest that a face's edges end on the side under the face, mm, contours aside."""
        return max((edge.drop for edge in self.edges(face)), default=0.0)

    @cached_property
    def edge_air(self) -> Profile:
        """The air beside the edge as a profile in (s, z), where it is the same all round: s is the
        plan distance in from the outline. Shelves come to it."""
        t, front, back = self.thickness, self.edge("front"), self.edge("back")
        rows: list[tuple[float, ...]] = [(-AIR, -t - AIR), (back.reach, -t - AIR)]
        rows += [(s, depth - t, -bulge) for s, depth, bulge in back.rows]
        bulges = (0.0, *(-bulge for _, _, bulge in front.rows[:-1]))
        rows += [(s, -d, b) for (s, d, _), b in zip(reversed(front.rows), reversed(bulges))]
        rows += [(front.reach, AIR), (-AIR, AIR)]
        return trusted(rows, "the edge")

    @cached_property
    def shelves(self) -> tuple[Shelf, ...]:
        """The air at the edge that is not the same all round."""
        found = [Shelf(face, run) for face in SIDES for run in self.runs(face)]
        for face in SIDES:
            edge = self.edge(face)
            own = self.runs(face) or (Run(edge, self.outline.segments, True),)
            for run in own:
                if isinstance(run.edge, Ledge) and run.edge.follows:
                    down = -run.edge.height if face is Face.FRONT else run.edge.height
                    for c in self.contours:
                        if c.face is face:
                            found.append(Shelf(face, run, c.carve.moved(0.0, 0.0, down), c.id))
        return tuple(found)

    @cached_property
    def memo(self) -> dict[Any, Any]:
        """Figures of this skin alone, each worked out once, whatever is cut inside."""
        return {}

    def inset(self, points: np.ndarray, within: float = math.inf) -> np.ndarray:
        """s (m,): plan distance in from the outline, negative outside, for plan points (m, 2);
        farther than `within` (mm) on either side, some figure beyond that."""
        return -self.outline.signed_distance(points, within)

    def edge_inset(self, z: float) -> float:
        """Plan distance in from the outline (mm) of the wood at height z, edge alike all round."""
        return max(self.edge("front").inset(-z), self.edge("back").inset(self.thickness + z))

    def level(self, face: str) -> float:
        """Height z (mm) of the plain plane of a face, "front" or "back"; InputError for another."""
        return 0.0 if word(Face, face, "a face", SIDES) is Face.FRONT else -self.thickness

    def height(self, face: str, points: np.ndarray) -> np.ndarray:
        """Height z (m,) of a shaped face, "front" or "back", over plan points (m, 2) within."""
        points = np.atleast_2d(points)
        carved, edge = self.fall(face, points), self.edge(face)
        depth = carved
        if edge.drop:
            depth = np.maximum(carved, _lost(edge, self.inset(points, edge.reach), carved))
        for run in self.runs(face):
            depth = np.maximum(depth, _lost(run.edge, run.inset(points), carved))
        return -depth if face == Face.FRONT else depth - self.thickness

    def fall(self, face: str, points: np.ndarray) -> np.ndarray:
        """How far (m,) the contours alone lower a face at plan points (m, 2), mm."""
        points, level = np.atleast_2d(points), self.level(face)
        depth = np.zeros(len(points))
        for contour in self.contours:
            if contour.face == face:
                cut = contour.carve.height(points, face)
                depth = np.fmax(depth, -cut if contour.face is Face.FRONT else cut - level)
        return depth

    def edge_at(
        self, face: str, points: np.ndarray, on: bool = False
    ) -> tuple[np.ndarray, np.ndarray]:
        """Of a face's edge at the place of the outline nearest to each of `points` (m, 2), mm: how
        far (m,) in it reaches, 0 where it is square; and how far (m,) under the plain face the flat
        of the side begins, under the edge, the contours, and a ledge that follows them. `on`: the
        points lie on the outline."""
        feet = points if on else self.outline.segments.nearest(np.atleast_2d(points))[1]
        edge, carved = self.edge(face), self.fall(face, feet)
        reach = np.full(len(feet), edge.reach)
        drop = np.maximum(carved, _lost(edge, np.zeros(len(feet)), carved))
        for run in self.runs(face):
            near = np.where(run.inset(feet) < SAME, 0.0, np.inf)
            reach = np.where(near > 0.0, reach, np.maximum(reach, run.edge.reach))
            drop = np.maximum(drop, _lost(run.edge, near, carved))
        return reach, drop

    def mirrored(self) -> Skin:
        """Reflected in the centreline (y -> -y)."""
        contours = tuple(contour.mirrored() for contour in self.contours)
        edges = self._moved_edges(Stretch.mirrored)
        return Skin(self.outline.mirrored(), self.thickness, *edges, contours)

    def moved(self, dx: float, dy: float, thicker: float = 0.0) -> Skin:
        """Shifted by (dx, dy) mm in plan, and thicker by `thicker` mm at the back, whose contours
        keep their depth under it. The plain front stays at z = 0."""
        fall = {Face.FRONT: 0.0, Face.BACK: -thicker}
        contours = tuple(c.moved(dx, dy, fall[c.face]) for c in self.contours)
        edges = self._moved_edges(lambda stretch: stretch.moved(dx, dy))
        outline = self.outline.moved(dx, dy) if dx or dy else self.outline
        return Skin(outline, self.thickness + thicker, *edges, contours)

    def _moved_edges(self, move: Callable[[Stretch], Stretch]) -> tuple[_Edges, _Edges]:
        """The edges of front and back, with every stretch of them moved."""
        given = map(self._given, SIDES)
        front, back = (e if isinstance(e, Edge) else tuple(map(move, e)) for e in given)
        return front, back


def _lost(edge: Edge, inset: np.ndarray, carved: np.ndarray) -> np.ndarray:
    """How far (m,) an edge lowers its face, carved by `carved` (m,), `inset` (m,) mm in."""
    if isinstance(edge, Ledge) and edge.follows:
        return np.where(inset < edge.reach, carved + edge.height, 0.0)
    return edge.loss(inset)
