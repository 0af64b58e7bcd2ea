"""The outside of the body: outline, faces, edge treatment and contours, with exact distances to it.

The air round the wood is a union of simple solids (above the front, below the back, outside the
edge, inside each contour), so the distance from a point in the wood to the air is the least of the
distances to them. The edge depends only on s, the plan distance in from the outline, and z; the
plan distance changes at most as fast as one walks, and exactly so straight toward the outline, so a
distance in the (s, z) plane is the distance in space.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from bodycad.errors import InputError, number
from bodycad.geometry.plane.build import QUARTER
from bodycad.geometry.plane.profile import Profile, profile
from bodycad.geometry.solids.carve import Carve
from bodycad.words import SIDES, Face, word

THICKEST = 150.0
"""No body is thicker than this, mm."""

AIR = 200.0
"""How far the air beside and above the edge is drawn, mm: more than any body is thick."""


@dataclass(frozen=True)
class Square:
    """An edge left square."""

    reach: float = 0.0
    drop: float = 0.0


@dataclass(frozen=True)
class Roundover:
    """A quarter round of `radius` mm along the whole edge of one face."""

    radius: float

    def __post_init__(self) -> None:
        number("a roundover's radius", self.radius, above=0.0)

    @property
    def reach(self) -> float:
        return self.radius

    @property
    def drop(self) -> float:
        return self.radius


@dataclass(frozen=True)
class Ledge:
    """A binding ledge: `plies` are the strip's layers in mm, `height` is the strip's height.

    The ledge is cut `proud` mm narrower than the strip is thick, so that the strip stands out and
    is scraped flush.
    """

    plies: tuple[float, ...]
    height: float
    proud: float = 0.1

    def __post_init__(self) -> None:
        if not self.plies:
            raise InputError("a binding's plies", self.plies, "at least one thickness in mm")
        for ply in self.plies:
            number("a binding ply", ply, above=0.0)
        number("a binding's height", self.height, above=0.0)
        number("a binding's proud allowance", self.proud, low=0.0, high=sum(self.plies) / 2.0)

    @property
    def reach(self) -> float:
        return sum(self.plies) - self.proud

    @property
    def drop(self) -> float:
        return self.height


Edge = Square | Roundover | Ledge


@dataclass(frozen=True, eq=False)
class Contour:
    """A carve that reshapes the front or the back. Its section must run out of the face into the
    air, so that nothing overhangs."""

    id: str
    face: Face
    carve: Carve

    def __post_init__(self) -> None:
        object.__setattr__(self, "face", word(Face, self.face, f"{self.id}: the face", SIDES))

    def mirrored(self) -> Contour:
        """Reflected in the centreline (y -> -y)."""
        return Contour(self.id, self.face, self.carve.mirrored())

    def moved(self, dx: float, dy: float, dz: float = 0.0) -> Contour:
        """The same contour shifted by (dx, dy, dz) mm."""
        return Contour(self.id, self.face, self.carve.moved(dx, dy, dz))


@dataclass(frozen=True, eq=False)
class Skin:
    """Everything that bounds the wood from outside. Wood fills `-thickness <= z <= 0` inside
    `outline`."""

    outline: Profile
    thickness: float
    front: Edge
    back: Edge
    contours: tuple[Contour, ...] = ()

    def __post_init__(self) -> None:
        number("the thickness", self.thickness, above=0.0, high=THICKEST)
        for k, contour in enumerate(self.contours):
            if contour.id == "edge" or contour.id in {c.id for c in self.contours[:k]}:
                raise InputError(
                    "a contour's id",
                    contour.id,
                    'an id of its own, and not "edge"',
                    "give each contour another id",
                )
        if self.front.drop + self.back.drop > self.thickness:
            raise InputError(
                "the edge treatments' heights together",
                self.front.drop + self.back.drop,
                f"at most the {self.thickness:g} mm thickness",
                "use smaller roundovers or a lower binding",
            )

    @cached_property
    def edge_air(self) -> Profile:
        """The air beside the edge as a profile in (s, z): s is the plan distance in from the
        outline."""
        t = self.thickness
        rows = [(-AIR, -t - AIR), (max(self.back.reach, 0.0), -t - AIR)]
        rows += [(s, -t - z, bulge) for s, z, bulge in _corner(self.back)]
        rows += [(s, z, bulge) for s, z, bulge in reversed(_corner(self.front, ahead=True))]
        rows += [(max(self.front.reach, 0.0), AIR), (-AIR, AIR)]
        return profile(rows, "the edge")

    @cached_property
    def memo(self) -> dict[Any, Any]:
        """Figures of this skin alone, each worked out once, whatever is cut inside."""
        return {}

    def inset(self, points: np.ndarray) -> np.ndarray:
        """s (m,): plan distance in from the outline, negative outside, for plan points (m, 2)."""
        return -self.outline.signed_distance(points)

    def edge_inset(self, z: float) -> float:
        """Plan distance in from the outline at which wood begins at height z, mm."""
        return max(_edge_gain(self.front, -z), _edge_gain(self.back, self.thickness + z))

    def level(self, face: str) -> float:
        """Height z (mm) of the plain plane of a face, "front" or "back"; InputError for another."""
        return 0.0 if word(Face, face, "a face", SIDES) is Face.FRONT else -self.thickness

    def height(self, face: str, points: np.ndarray) -> np.ndarray:
        """Height z (m,) of the shaped face, "front" or "back", over plan points (m, 2) inside the
        outline."""
        front = word(Face, face, "a face", SIDES) is Face.FRONT
        return self.front_height(points) if front else self.back_height(points)

    def drop_at(self, face: str, points: np.ndarray) -> np.ndarray:
        """How far (m,) below a face the edge treatment begins on the side, at the place of the
        outline nearest to each of `points` (m, 2), mm; 0 where the edge is square."""
        return np.full(len(np.atleast_2d(points)), self._edge(face).drop)

    def reach_at(self, face: str, points: np.ndarray) -> np.ndarray:
        """How far (m,) in from the outline the edge treatment reaches on a face, at the place of
        the outline nearest to each of `points` (m, 2), mm; 0 where the edge is square."""
        return np.full(len(np.atleast_2d(points)), self._edge(face).reach)

    def _edge(self, face: str) -> Edge:
        return self.front if word(Face, face, "a face", SIDES) is Face.FRONT else self.back

    def front_height(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the shaped front over plan points (m, 2) inside the outline."""
        carved = self._contour_heights(points, "front")
        return (
            np.minimum(carved, -_edge_loss(self.front, self.inset(points)))
            if self.front.drop
            else carved
        )

    def back_height(self, points: np.ndarray) -> np.ndarray:
        """Height (m,) of the shaped back over plan points (m, 2) inside the outline."""
        carved = np.maximum(self._contour_heights(points, "back"), -self.thickness)
        return (
            np.maximum(carved, -self.thickness + _edge_loss(self.back, self.inset(points)))
            if self.back.drop
            else carved
        )

    def _contour_heights(self, points: np.ndarray, face: str) -> np.ndarray:
        points = np.atleast_2d(points)
        height = np.zeros(len(points)) if face == "front" else np.full(len(points), -self.thickness)
        for contour in self.contours:
            if contour.face == face:
                cut = contour.carve.height(points, face)
                height = np.fmin(height, cut) if face == "front" else np.fmax(height, cut)
        return height

    def mirrored(self) -> Skin:
        """Reflected in the centreline (y -> -y)."""
        contours = tuple(contour.mirrored() for contour in self.contours)
        return Skin(self.outline.mirrored(), self.thickness, self.front, self.back, contours)

    def moved(self, dx: float, dy: float, thicker: float = 0.0) -> Skin:
        """Shifted by (dx, dy) mm in plan, and thicker by `thicker` mm at the back, whose contours
        keep their depth under it. The plain front stays at z = 0."""
        contours = tuple(
            c.moved(dx, dy, -thicker if c.face is Face.BACK else 0.0) for c in self.contours
        )
        outline = self.outline.moved(dx, dy) if dx or dy else self.outline
        return Skin(outline, self.thickness + thicker, self.front, self.back, contours)


def _corner(edge: Edge, ahead: bool = False) -> list[tuple[float, float, float]]:
    """The edge's corner as (s, height below the face, bulge), from the face to the side.

    Heights are negative downward for the front; the back uses the same rows measured the other way.
    `ahead`: the rows will be read backwards, so each bulge sits on the vertex that then starts the
    arc."""
    if isinstance(edge, Roundover):
        r, quarter = edge.radius, QUARTER
        bulge = (0.0, -quarter) if ahead else (-quarter, 0.0)
        return [(r, 0.0, bulge[0]), (0.0, -r, bulge[1])]
    if isinstance(edge, Ledge):
        return [(edge.reach, 0.0, 0.0), (edge.reach, -edge.height, 0.0), (0.0, -edge.height, 0.0)]
    return [(0.0, 0.0, 0.0)]


def _edge_loss(edge: Edge, inset: np.ndarray) -> np.ndarray:
    """How far (m,) the edge treatment drops the face at plan distance `inset` (m,)."""
    s = np.clip(inset, 0.0, None)
    if isinstance(edge, Roundover):
        r = edge.radius
        return np.where(s < r, r - np.sqrt(np.clip(r * r - (r - s) ** 2, 0.0, None)), 0.0)
    return np.where(s < edge.reach, edge.drop, 0.0)


def _edge_gain(edge: Edge, depth: float) -> float:
    """How far in (mm) the edge treatment has cut at `depth` mm below its face."""
    if not 0.0 <= depth < edge.drop:
        return 0.0
    if isinstance(edge, Roundover):
        r = edge.radius
        return r - math.sqrt(max(r * r - (r - depth) ** 2, 0.0))
    return edge.reach
