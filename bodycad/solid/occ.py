"""The kernel's shapes, as little of them as is used here.

Names and meanings are those of cadquery, which wraps the same kernel, and shapes of cadquery's do
wherever these are asked for. That library is not imported, since a renderer, a solver and a drawing
library come with it: half the time of loading the kernel.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple, TypeVar

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakePolygon,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_NurbsConvert,
)
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp, BRepGProp_Face
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.BRepTools import BRepTools
from OCP.GC import GC_MakeArcOfCircle
from OCP.GCPnts import GCPnts_AbscissaPoint
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.Message import Message, Message_Gravity
from OCP.ShapeFix import ShapeFix_Face, ShapeFix_Shape
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape, TopTools_ListOfShape

S = TypeVar("S", bound="Shape")


class Vector(NamedTuple):
    """A point or a way in space, mm."""

    x: float
    y: float
    z: float = 0.0

    @property
    def wrapped(self) -> gp_Vec:
        return gp_Vec(*self)

    @property
    def point(self) -> gp_Pnt:
        return gp_Pnt(*self)

    @property
    def way(self) -> gp_Dir:
        return gp_Dir(*self)

    @property
    def Length(self) -> float:
        return math.hypot(*self)

    def toTuple(self) -> tuple[float, float, float]:
        return (self.x, self.y, self.z)

    def less(self, other: Sequence[float]) -> Vector:
        """This one less another."""
        return Vector(*(a - b for a, b in zip(self, other, strict=True)))


ORIGIN, UP = Vector(0.0, 0.0, 0.0), Vector(0.0, 0.0, 1.0)


class BoundBox(NamedTuple):
    """The box of a shape, mm."""

    xmin: float
    ymin: float
    zmin: float
    xmax: float
    ymax: float
    zmax: float


class Plane(NamedTuple):
    """A frame: its origin, its first axis, and its third, square to that."""

    origin: Sequence[float]
    xDir: Sequence[float]
    normal: Sequence[float]


class Location:
    """Where a shape is put: shifted, or from the world's frame into a plane's."""

    def __init__(self, to: Plane | Sequence[float]) -> None:
        change = gp_Trsf()
        if isinstance(to, Plane):
            axes = gp_Ax3(gp_Pnt(*to.origin), gp_Dir(*to.normal), gp_Dir(*to.xDir))
            change.SetTransformation(axes, gp_Ax3())
        else:
            change.SetTranslation(gp_Vec(*to))
        self.wrapped = TopLoc_Location(change)


class Shape:
    """A shape of the kernel's, `wrapped`; `known`: what was asked of it before."""

    def __init__(self, wrapped: TopoDS_Shape) -> None:
        self.wrapped = wrapped
        self.known: dict[str, Any] = {}

    @staticmethod
    def cast(wrapped: TopoDS_Shape) -> Any:
        """The kernel's shape as the class of its kind. Raises ValueError where there is none: an
        operation that fails says so by this alone, and asking none for its kind ends the process.
        """
        if wrapped is None or wrapped.IsNull():
            raise ValueError("it gave no shape back")
        kind = wrapped.ShapeType()
        return _CLASSES.get(kind, Shape)(_DOWN[kind](wrapped) if kind in _DOWN else wrapped)

    def ShapeType(self) -> str:
        return _NAMES[self.wrapped.ShapeType()]

    def isValid(self) -> bool:
        if "valid" not in self.known:
            self.known["valid"] = bool(BRepCheck_Analyzer(self.wrapped).IsValid())
        return bool(self.known["valid"])

    def Solids(self) -> list[Solid]:
        return [Solid(one) for one in self._within(TopAbs_ShapeEnum.TopAbs_SOLID)]

    def Faces(self) -> list[Face]:
        return [Face(one) for one in self._within(TopAbs_ShapeEnum.TopAbs_FACE)]

    def Edges(self) -> list[Edge]:
        return [Edge(one) for one in self._within(TopAbs_ShapeEnum.TopAbs_EDGE)]

    def _within(self, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
        """The parts of a kind, each once."""
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.wrapped, kind, found)
        return map(_DOWN[kind], found)

    def BoundingBox(self, tolerance: float | None = None) -> BoundBox:
        """The box of the surfaces, tight."""
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(self.wrapped, box)
        return BoundBox(*box.Get())

    def Center(self) -> Vector:
        """The centre of volume."""
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(self.wrapped, props)
        return _vector(props.CentreOfMass())

    def Area(self) -> float:
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(self.wrapped, props)
        return float(props.Mass())

    def moved(self: S, location: Location) -> S:
        return type(self)(self.wrapped.Moved(location.wrapped))

    def cut(self, *tools: Shape, fuzzy: float = 0.0) -> Shape:
        """This less all the tools, in one operation; places nearer than `fuzzy` (mm) may be taken
        for one."""
        made = BRepAlgoAPI_Cut()
        if fuzzy:
            made.SetFuzzyValue(fuzzy)
        return _combined(made, self, tools)

    def intersect(self, *tools: Shape) -> Shape:
        """What this and the tools share."""
        return _combined(BRepAlgoAPI_Common(), self, tools)


class Vertex(Shape):
    """A point."""

    @classmethod
    def makeVertex(cls, x: float, y: float, z: float) -> Vertex:
        return cls(BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, z)).Vertex())


class Edge(Shape):
    """A piece of a curve."""

    def geomType(self) -> str:
        """The kind of its curve, such as "LINE"."""
        return _kind(BRepAdaptor_Curve(self.wrapped))

    def Length(self) -> float:
        return float(GCPnts_AbscissaPoint.Length_s(BRepAdaptor_Curve(self.wrapped)))

    def Center(self) -> Vector:
        props = GProp_GProps()
        BRepGProp.LinearProperties_s(self.wrapped, props)
        return _vector(props.CentreOfMass())

    @classmethod
    def makeLine(cls, start: Vector, end: Vector) -> Edge:
        return cls(BRepBuilderAPI_MakeEdge(start.point, end.point).Edge())

    @classmethod
    def makeThreePointArc(cls, start: Vector, middle: Vector, end: Vector) -> Edge:
        arc = GC_MakeArcOfCircle(start.point, middle.point, end.point).Value()
        return cls(BRepBuilderAPI_MakeEdge(arc).Edge())

    @classmethod
    def makeCircle(cls, radius: float, centre: Vector, way: Vector) -> Edge:
        circle = gp_Circ(gp_Ax2(centre.point, way.way), radius)
        return cls(BRepBuilderAPI_MakeEdge(circle).Edge())


class Wire(Shape):
    """A chain of edges."""

    def IsClosed(self) -> bool:
        return bool(BRep_Tool.IsClosed_s(self.wrapped))

    @classmethod
    def assembleEdges(cls, edges: Iterable[Edge]) -> Wire:
        """One wire of the edges. Raises ValueError where they are not one chain."""
        builder = BRepBuilderAPI_MakeWire()
        builder.Add(_list(edges))
        if not builder.IsDone():
            raise ValueError(f"the edges are no chain: {builder.Error()}")
        return cls(builder.Wire())

    @classmethod
    def makePolygon(cls, points: Iterable[Vector], close: bool = False) -> Wire:
        builder = BRepBuilderAPI_MakePolygon()
        for one in points:
            builder.Add(one.point)
        if close:
            builder.Close()
        return cls(builder.Wire())


class Face(Shape):
    """A piece of a surface."""

    def Center(self) -> Vector:
        """The centre of area."""
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(self.wrapped, props)
        return _vector(props.CentreOfMass())

    def geomType(self) -> str:
        """The kind of its surface, such as "PLANE"."""
        return _kind(BRepAdaptor_Surface(self.wrapped, False))

    def normalAt(self) -> Vector:
        """The unit normal in the middle of its parameters, out of the solid."""
        u0, u1, v0, v1 = BRepTools.UVBounds_s(self.wrapped)
        point, normal = gp_Pnt(), gp_Vec()
        BRepGProp_Face(self.wrapped).Normal((u0 + u1) / 2.0, (v0 + v1) / 2.0, point, normal)
        return _vector(normal.Normalized())

    def outerWire(self) -> Wire:
        return Wire(BRepTools.OuterWire_s(self.wrapped))

    @classmethod
    def makeFromWires(cls, outer: Wire, inner: Sequence[Wire] = ()) -> Face:
        """The plane face within a wire and outside others. Raises ValueError where it is none."""
        fixed = ShapeFix_Shape(outer.wrapped)
        fixed.Perform()
        builder = BRepBuilderAPI_MakeFace(TopoDS.Wire(fixed.Shape()), True)
        for wire in inner:
            if not wire.IsClosed():
                raise ValueError("an inner wire of a face is open")
            builder.Add(wire.wrapped)
        if not builder.IsDone():
            raise ValueError(f"no plane face: {builder.Error()}")
        oriented = ShapeFix_Face(builder.Face())
        oriented.FixOrientation()
        oriented.Perform()
        return cls(oriented.Result())


class Solid(Shape):
    """A lump."""

    def for_cadquery(self) -> Any:
        """The same as a Solid of cadquery's (this loads all of it)."""
        from cadquery import Solid as Theirs

        return Theirs(self.wrapped)

    @classmethod
    def extrudeLinear(cls, face: Face, along: Vector) -> Solid:
        return cls(BRepPrimAPI_MakePrism(face.wrapped, along.wrapped, True).Shape())

    @classmethod
    def revolve(cls, face: Face, degrees: float, start: Vector, end: Vector) -> Solid:
        """The face turned about the axis from `start` to `end`."""
        axis = gp_Ax1(start.point, end.less(start).way)
        turn = math.radians(degrees)
        return cls(BRepPrimAPI_MakeRevol(face.wrapped, axis, turn, True).Shape())

    @classmethod
    def makeBox(cls, length: float, width: float, height: float, corner: Vector = ORIGIN) -> Solid:
        axes = gp_Ax2(corner.point, UP.way)
        return cls(BRepPrimAPI_MakeBox(axes, length, width, height).Shape())

    @classmethod
    def makeCylinder(
        cls, radius: float, height: float, start: Vector = ORIGIN, way: Vector = UP
    ) -> Solid:
        axes = gp_Ax2(start.point, way.way)
        return cls(BRepPrimAPI_MakeCylinder(axes, radius, height).Shape())

    @classmethod
    def makeCone(
        cls, low: float, high: float, height: float, start: Vector = ORIGIN, way: Vector = UP
    ) -> Solid:
        axes = gp_Ax2(start.point, way.way)
        return cls(BRepPrimAPI_MakeCone(axes, low, high, height).Shape())


def _vector(point: gp_Pnt | gp_Vec) -> Vector:
    return Vector(point.X(), point.Y(), point.Z())


def _kind(adaptor: BRepAdaptor_Curve | BRepAdaptor_Surface) -> str:
    return str(adaptor.GetType().name).removeprefix("GeomAbs_").upper()


def _list(shapes: Iterable[Shape]) -> TopTools_ListOfShape:
    found = TopTools_ListOfShape()
    for one in shapes:
        found.Append(one.wrapped)
    return found


def _combined(operation: Any, shape: Shape, tools: Iterable[Shape]) -> Shape:
    # Else one cut widens the tolerances of what the next one is given.
    operation.SetNonDestructive(True)
    operation.SetArguments(_list((shape,)))
    operation.SetTools(_list(tools))
    operation.SetRunParallel(True)
    operation.Build()
    made: Shape = Shape.cast(operation.Shape())
    return made


def splined(solid: Solid) -> Solid:
    """The same surfaces and curves, each written as a rational spline."""
    return Solid(Shape.cast(BRepBuilderAPI_NurbsConvert(solid.wrapped, True).Shape()).wrapped)


def fused(shapes: Sequence[Shape]) -> Shape:
    """The shapes as one; what lies on one surface becomes one face."""
    made = _combined(BRepAlgoAPI_Fuse(), shapes[0], shapes[1:])
    merged = ShapeUpgrade_UnifySameDomain(made.wrapped, True, True, False)
    merged.Build()
    found: Shape = Shape.cast(merged.Shape())
    return found


# The kernel tells of its progress; what it prints besides faults would hide them in the log.
for printer in Message.DefaultMessenger_s().Printers():
    printer.SetTraceLevel(Message_Gravity.Message_Fail)

_KINDS = TopAbs_ShapeEnum
_CLASSES = {
    _KINDS.TopAbs_VERTEX: Vertex,
    _KINDS.TopAbs_EDGE: Edge,
    _KINDS.TopAbs_WIRE: Wire,
    _KINDS.TopAbs_FACE: Face,
    _KINDS.TopAbs_SOLID: Solid,
}
_DOWN = {
    _KINDS.TopAbs_VERTEX: TopoDS.Vertex,
    _KINDS.TopAbs_EDGE: TopoDS.Edge,
    _KINDS.TopAbs_WIRE: TopoDS.Wire,
    _KINDS.TopAbs_FACE: TopoDS.Face,
    _KINDS.TopAbs_SOLID: TopoDS.Solid,
}
_NAMES = {
    kind: str(kind.name).removeprefix("TopAbs_").capitalize()
    for kind in (*_CLASSES, _KINDS.TopAbs_SHELL, _KINDS.TopAbs_COMPSOLID, _KINDS.TopAbs_COMPOUND)
}
