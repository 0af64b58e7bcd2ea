"""Boundaries made by hand: vertices, edges and faces that share each other, on exact surfaces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Any, cast

import numpy as np
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.Geom import Geom_Curve, Geom_Plane, Geom_Surface
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Line
from OCP.Geom2dAPI import Geom2dAPI_Interpolate
from OCP.GeomAPI import GeomAPI_Interpolate
from OCP.gp import gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_HArray1OfPnt, TColgp_HArray1OfPnt2d
from OCP.TColStd import TColStd_HArray1OfReal
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopoDS import (
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)

from bodycad.solid import occ

EXACT = 1e-7
"""Tolerance of what is exact, mm."""
ONE = 2e-4
"""Places nearer than this (mm) are one vertex."""
GRID = 1e-2


@dataclass(frozen=True, eq=False)
class Side:
    """An edge of the boundary with the vertices at its first and last parameter; `edge` is None
    where both are one place."""

    edge: TopoDS_Edge | None
    first: int
    last: int

    def way(self, start: int) -> bool:
        """Whether it runs forward from a vertex."""
        return self.first == start


Loop = list[tuple[Side, bool]]
"""Edges in a row, each with whether it runs forward."""


Numbers = Sequence[float] | np.ndarray
"""The components of a place or a direction."""


def point(p: Numbers) -> gp_Pnt:
    """A place in space."""
    return gp_Pnt(float(p[0]), float(p[1]), float(p[2]))


def way(v: Numbers) -> gp_Dir:
    """A direction in space."""
    return gp_Dir(float(v[0]), float(v[1]), float(v[2]))


def axes(origin: Numbers, normal: Numbers, u: Numbers) -> gp_Ax3:
    """Right-handed axes by their origin, their third axis and their first."""
    return gp_Ax3(point(origin), way(normal), way(u))


def turned(loop: Loop) -> Loop:
    """A loop run the other way."""
    return [(side, not forward) for side, forward in reversed(loop)]


@dataclass(eq=False)
class Boundary:
    """Faces that will close a solid, and the vertices that their edges share."""

    faces: list[TopoDS_Face] = field(default_factory=list)
    places: list[tuple[tuple[float, float, float], TopoDS_Vertex]] = field(default_factory=list)
    near: dict[tuple[int, ...], list[int]] = field(default_factory=dict)

    def vertex(self, p: Iterable[float]) -> int:
        """The vertex at a place; one that stands there already is it."""
        x, y, z = spot = tuple(map(float, p))
        # A vertex within ONE lies in the cell of one of the corners of a box about the place.
        spans = [{math.floor((v - ONE) / GRID), math.floor((v + ONE) / GRID)} for v in spot]
        for cell in product(*spans):
            for k in self.near.get(cell, ()):
                if math.dist(self.places[k][0], spot) < ONE:
                    return k
        made = TopoDS_Vertex()
        BRep_Builder().MakeVertex(made, gp_Pnt(x, y, z), EXACT)
        self.places.append(((x, y, z), made))
        own = math.floor(x / GRID), math.floor(y / GRID), math.floor(z / GRID)
        self.near.setdefault(own, []).append(len(self.places) - 1)
        return len(self.places) - 1

    def side(self, curve: Geom_Curve, low: float, high: float, tolerance: float = EXACT) -> Side:
        """The edge on a curve between two of its parameters."""
        ends = [curve.Value(t) for t in (low, high)]
        spots = [(p.X(), p.Y(), p.Z()) for p in ends]
        first, last = map(self.vertex, spots)
        if first == last:
            return Side(None, first, last)
        build, made = BRep_Builder(), TopoDS_Edge()
        build.MakeEdge(made, curve, tolerance)
        build.Range(made, low, high)
        for k, spot, role in (
            (first, spots[0], TopAbs_Orientation.TopAbs_FORWARD),
            (last, spots[1], TopAbs_Orientation.TopAbs_REVERSED),
        ):
            place, vertex = self.places[k]
            off = math.dist(place, spot)
            build.UpdateVertex(vertex, max(1.01 * off, 1.01 * tolerance, EXACT))
            build.Add(made, vertex.Oriented(role))
        return Side(made, first, last)

    def nothing(
        self, at: int, face: TopoDS_Face, curve: Geom2d_Curve, low: float, high: float
    ) -> Side:
        """An edge without length at a vertex, where a surface has its pole."""
        build, made = BRep_Builder(), TopoDS_Edge()
        build.MakeEdge(made)
        build.UpdateEdge(made, curve, face, EXACT)
        build.Range(made, face, low, high)
        vertex = self.places[at][1]
        for role in (TopAbs_Orientation.TopAbs_FORWARD, TopAbs_Orientation.TopAbs_REVERSED):
            build.Add(made, vertex.Oriented(role))
        build.Degenerated(made, True)
        return Side(made, at, at)

    def flat(self, loops: Sequence[Loop], origin: np.ndarray, normal: np.ndarray) -> None:
        """A plane face whose loops run counter-clockwise seen against its normal."""
        u = np.array([1.0, 0.0, 0.0]) if abs(normal[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
        u = np.cross(u, normal)
        plane = Geom_Plane(axes(origin, normal, u))
        self.add(start(plane), loops, True)

    def add(self, face: TopoDS_Face, loops: Sequence[Loop], natural: bool) -> None:
        """Close a face by its loops, which run counter-clockwise seen from outside; `natural`:
        its surface faces outside."""
        build = BRep_Builder()
        for loop in loops:
            wire = TopoDS_Wire()
            build.MakeWire(wire)
            for side, forward in loop:
                if side.edge is None:
                    continue
                ahead = forward == natural
                role = TopAbs_Orientation.TopAbs_FORWARD
                if not ahead:
                    role = TopAbs_Orientation.TopAbs_REVERSED
                build.Add(wire, side.edge.Oriented(role))
            wire.Closed(True)
            build.Add(face, wire)
        self.faces.append(face if natural else cast(TopoDS_Face, face.Reversed()))

    def solid(self) -> occ.Solid:
        """The solid that the faces bound."""
        build, shell, made = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
        build.MakeShell(shell)
        for face in self.faces:
            build.Add(shell, face)
        shell.Closed(True)
        build.MakeSolid(made)
        build.Add(made, shell)
        return occ.Solid(made)


def start(surface: Geom_Surface) -> TopoDS_Face:
    """A face on a surface, without its border."""
    face = TopoDS_Face()
    BRep_Builder().MakeFace(face, surface, EXACT)
    return face


def drawn(side: Side, face: TopoDS_Face, curve: Geom2d_Curve) -> None:
    """Say where an edge runs on a face's surface."""
    if side.edge is not None:
        BRep_Builder().UpdateEdge(side.edge, curve, face, BRep_Tool.Tolerance_s(side.edge))


def straight(origin: Numbers, ahead: Numbers) -> Geom2d_Line:
    """A line on a surface, from parameter 0."""
    return Geom2d_Line(gp_Pnt2d(*map(float, origin)), gp_Dir2d(*map(float, ahead)))


def through(points: np.ndarray, marks: np.ndarray) -> Any:
    """A smooth curve through points (m, 3), which it passes at parameters `marks` (m,)."""
    given = TColgp_HArray1OfPnt(1, len(points))
    for k, p in enumerate(points):
        given.SetValue(k + 1, point(p))
    made = GeomAPI_Interpolate(given, _marks(marks), False, 1e-12)
    made.Perform()
    return made.Curve()


def flat_through(points: np.ndarray, marks: np.ndarray) -> Geom2d_BSplineCurve:
    """The same on a surface, through (m, 2)."""
    given = TColgp_HArray1OfPnt2d(1, len(points))
    for k, p in enumerate(points):
        given.SetValue(k + 1, gp_Pnt2d(float(p[0]), float(p[1])))
    made = Geom2dAPI_Interpolate(given, _marks(marks), False, 1e-12)
    made.Perform()
    return made.Curve()


def _marks(marks: np.ndarray) -> TColStd_HArray1OfReal:
    given = TColStd_HArray1OfReal(1, len(marks))
    for k, mark in enumerate(marks):
        given.SetValue(k + 1, float(mark))
    return given
